//! One module per file format, reading and writing.

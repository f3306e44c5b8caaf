//! The site document: works' parameters, edits, history, and its RON file.

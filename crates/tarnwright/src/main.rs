//! The program: command line, files, threads and clock; opens the view.
fn main() {}

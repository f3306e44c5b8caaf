//! Sets up, runs the demo and verifies; nothing depends on it.
fn main() {}

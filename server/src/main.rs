//! The `lope` program.

fn main() {}

//! The command line program: hands the arguments to the library and turns its answer into an exit code.

fn main() {}

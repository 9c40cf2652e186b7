//! The command line program: hands the arguments to the library and turns its answer into an exit code.

use std::process::ExitCode;

use mimalloc::MiMalloc;

/// A build allocates memory in small pieces, millions of times.
#[global_allocator]
static ALLOCATOR: MiMalloc = MiMalloc;

fn main() -> ExitCode {
    bartack::cli::run(std::env::args_os())
}

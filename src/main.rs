//! The command line program: hands the arguments to the library and turns its answer into an exit code.

use std::process::ExitCode;

fn main() -> ExitCode {
    bartack::cli::run(std::env::args_os())
}

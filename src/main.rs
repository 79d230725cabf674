//! The benchdrop program: arguments in, exit code out. Everything else is in the library.

use std::process::ExitCode;

fn main() -> ExitCode {
    benchdrop::cli::main()
}

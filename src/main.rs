//! The benchdrop program: arguments in, exit code out. Everything else is in the library.

use std::process::ExitCode;

/// A backlog is many small values made and let go on two threads; this takes about a quarter off it.
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

fn main() -> ExitCode {
    benchdrop::cli::main()
}

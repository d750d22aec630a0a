//! The command: arguments in, exit code out.

use std::process::ExitCode;

fn main() -> ExitCode {
    aftercast::cli::run()
}

//! The program `estimator`.

use std::process::ExitCode;

fn main() -> ExitCode {
    api::cli::run()
}

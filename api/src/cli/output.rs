//! What the commands have in common: the runtime that they wait on, and what they print to.

/// What commands that wait for something run on.
pub(super) fn runtime() -> anyhow::Result<tokio::runtime::Runtime> {
    Ok(tokio::runtime::Builder::new_multi_thread().enable_all().build()?)
}

/// Prints to standard output; a reader that has gone away (`| head`) is no failure.
pub(super) fn print(text: &str) -> anyhow::Result<()> {
    use std::io::{ErrorKind, Write};

    match std::io::stdout().write_all(text.as_bytes()) {
        Err(error) if error.kind() == ErrorKind::BrokenPipe => Ok(()),
        outcome => Ok(outcome?),
    }
}

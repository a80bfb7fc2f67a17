//! `estimator keys`: keys that let firms in.

use clap::Subcommand;
use store::Store;

use super::{print, runtime};
use crate::settings::DatabaseOptions;
use crate::{firms, telemetry};

#[derive(Subcommand)]
pub(super) enum KeysCommand {
    /// Make a key for a firm, and the firm if there is none; the key is shown this once
    Create {
        /// The firm's name
        #[arg(long, value_name = "NAME")]
        firm: String,
        /// What the key is for, to tell a firm's keys apart
        #[arg(long, value_name = "NAME", default_value = "unnamed")]
        name: String,
        #[command(flatten)]
        database: DatabaseOptions,
    },
}

/// Runs a command on keys.
///
/// # Errors
/// Where the settings cannot work or the store fails.
pub(super) fn run(command: KeysCommand) -> anyhow::Result<()> {
    let KeysCommand::Create { firm, name, database } = command;
    let choice = database.choice()?;
    telemetry::start_log(choice.log_format);
    let key = runtime()?.block_on(async {
        let store = Store::open(&choice.store()).await?;
        let made = create(&store, &firm, &name).await;
        store.close().await;
        made
    })?;
    print(&format!("{}\n", key.reveal()))?;
    eprintln!("This is the key of `{firm}`. It is not shown again: keep it where secrets are kept.");
    Ok(())
}

/// The firm can price before the key is known to anyone.
async fn create(store: &Store, firm: &str, name: &str) -> anyhow::Result<store::NewKey> {
    firms::make_ready(store, firm).await?;
    Ok(store.create_key(firm, name).await?)
}

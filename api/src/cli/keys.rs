//! `estimator keys`: keys that let firms in.

use anyhow::{Context, ensure};
use clap::Subcommand;
use store::{FirmId, KeySummary, Store};
use uuid::Uuid;

use super::output::{print, runtime};
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
    /// List a firm's keys: identifier, last four characters, what for, made when, revoked when
    List {
        /// The firm's name
        #[arg(long, value_name = "NAME")]
        firm: String,
        #[command(flatten)]
        database: DatabaseOptions,
    },
    /// Revoke a key of a firm, for good; a service that knows the key lets it in for half a minute more
    Revoke {
        /// The firm's name
        #[arg(long, value_name = "NAME")]
        firm: String,
        /// The key's identifier, as `estimator keys list` prints it
        #[arg(long, value_name = "ID")]
        id: Uuid,
        #[command(flatten)]
        database: DatabaseOptions,
    },
}

/// Runs a command on keys.
///
/// # Errors
/// Where the settings cannot work, the store fails, or there is no such firm or key.
pub(super) fn run(command: KeysCommand) -> anyhow::Result<()> {
    match command {
        KeysCommand::Create { firm, name, database } => {
            let key = with_store(&database, async |store| create(store, &firm, &name).await)?;
            print(&format!("{}\n", key.reveal()))?;
            eprintln!("This is the key of `{firm}`. It is not shown again: keep it where secrets are kept.");
            Ok(())
        }
        KeysCommand::List { firm, database } => {
            let keys = with_store(&database, async |store| Ok(store.list_keys(known(store, &firm).await?).await?))?;
            print(&keys.iter().map(row).collect::<String>())
        }
        KeysCommand::Revoke { firm, id, database } => {
            let revoked =
                with_store(&database, async |store| Ok(store.revoke_key(known(store, &firm).await?, id).await?))?;
            ensure!(revoked, "`{firm}` has no key {id}; `estimator keys list --firm` shows those that it has");
            print(&format!("Revoked: {id}\n"))
        }
    }
}

/// Opens the store for one piece of work and closes it whatever comes of it.
fn with_store<T>(database: &DatabaseOptions, work: impl AsyncFnOnce(&Store) -> anyhow::Result<T>) -> anyhow::Result<T> {
    let choice = database.choice()?;
    telemetry::start_log(choice.log_format);
    runtime()?.block_on(async {
        let store = Store::open(&choice.store()).await?;
        let done = work(&store).await;
        store.close().await;
        done
    })
}

/// The firm can price before the key is known to anyone.
async fn create(store: &Store, firm: &str, name: &str) -> anyhow::Result<store::NewKey> {
    firms::make_ready(store, firm).await?;
    Ok(store.create_key(firm, name).await?)
}

async fn known(store: &Store, firm: &str) -> anyhow::Result<FirmId> {
    store.find_firm(firm).await?.with_context(|| format!("there is no firm `{firm}`"))
}

fn row(key: &KeySummary) -> String {
    let revoked = key.revoked_at.map_or_else(|| "in use".to_owned(), |at| format!("revoked {at}"));
    format!("{}  …{}  {}  made {}  {revoked}\n", key.id, key.last_four, key.name, key.created_at)
}

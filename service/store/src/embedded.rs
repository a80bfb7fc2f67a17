//! Postgres inside the process: nothing to install, one connection, for trying the service out and for one desk.
//!
//! It is reached as any server is, over a Unix socket in its own folder (on Windows, over loopback), so that the rest of
//! the store knows no difference. It connects as the superuser, whom row security does not bind; like every connection of
//! the store it then takes the service's role.

use std::path::{Path, PathBuf};
use std::pin::Pin;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, PoisonError};

use deadpool_postgres::Connect;
use pglite_oxide::PgliteServer;
use tokio::sync::oneshot;
use tokio::task::JoinHandle;
use tokio_postgres::{Client, Config, NoTls};

use crate::{StoreError, connect, limits, migrations};

/// A running embedded Postgres.
pub(crate) struct Embedded {
    shared: Arc<Shared>,
}

struct Shared {
    folder: PathBuf,
    config: Config,
    server: Mutex<Option<PgliteServer>>,
    /// Whether it was ended on purpose, and must not be started again.
    ended: AtomicBool,
}

impl Embedded {
    /// Starts the Postgres whose files lie in the data folder, making them the first time (some seconds).
    pub(crate) async fn start(data_dir: &Path) -> Result<Self, StoreError> {
        let folder = data_dir.join("postgres");
        let shared = Arc::new(Shared::new(folder)?);
        let starting = Arc::clone(&shared);
        // The runtime inside blocks its thread, which must therefore not be one of the async ones.
        let started = tokio::task::spawn_blocking(move || starting.start_server()).await;
        started.map_err(|panicked| StoreError::Refused(panicked.into()))??;
        Ok(Self { shared })
    }

    /// How to reach it.
    pub(crate) fn config(&self) -> &Config {
        &self.shared.config
    }

    /// A connection outside the pool, as the superuser. Until it is dropped there is no other.
    pub(crate) async fn connect(&self) -> Result<Client, StoreError> {
        let (client, _) = self.shared.connect().await?;
        Ok(client)
    }

    /// Brings the schema up to date and gives the Postgres' version. The connection is gone by then: there is one at a time.
    pub(crate) async fn prepare(&self) -> Result<String, StoreError> {
        let mut client = self.connect().await?;
        migrations::bring_up_to_date(&mut client).await?;
        connect::server_version(&client).await
    }

    /// What the pool connects by.
    pub(crate) fn connector(&self) -> EmbeddedConnector {
        EmbeddedConnector(Arc::clone(&self.shared))
    }

    /// Ends it once its connection is closed, and for good.
    pub(crate) async fn stop(&self) {
        self.shared.ended.store(true, Ordering::SeqCst);
        let Some(server) = self.shared.take_server() else {
            return;
        };
        // Not on one of the runtime's threads: should it hang, the program could not end.
        let (ended, end) = oneshot::channel();
        std::thread::spawn(move || ended.send(server.shutdown()));
        match tokio::time::timeout(limits::EMBEDDED_STOP_WAIT, end).await {
            Ok(Ok(Ok(()))) => {}
            Ok(Ok(Err(error))) => {
                tracing::warn!(%error, "the embedded Postgres did not end cleanly; it recovers at the next start");
            }
            Ok(Err(_)) | Err(_) => {
                tracing::warn!("the embedded Postgres did not end in time; it recovers at the next start");
            }
        }
    }
}

/// Makes the pool's connection, and starts Postgres again if it has stopped.
pub(crate) struct EmbeddedConnector(Arc<Shared>);

impl Connect for EmbeddedConnector {
    fn connect(
        &self,
        _config: &Config,
    ) -> Pin<Box<dyn Future<Output = Result<(Client, JoinHandle<()>), tokio_postgres::Error>> + Send + '_>> {
        Box::pin(async {
            match self.0.connect().await {
                Ok(connected) => Ok(connected),
                Err(error) if self.0.ended.load(Ordering::SeqCst) => Err(error),
                Err(error) => {
                    // Its thread ends when a connection breaks in the middle of an answer.
                    tracing::warn!(%error, "the embedded Postgres has stopped; starting it again");
                    restart(Arc::clone(&self.0)).await;
                    self.0.connect().await
                }
            }
        })
    }
}

impl Shared {
    fn new(folder: PathBuf) -> Result<Self, StoreError> {
        make_private_folder(&folder).map_err(|error| {
            StoreError::Misconfigured(
                format!(
                    "the data folder {} cannot be made: set DATA_DIR to a folder that can be written",
                    folder.display()
                ),
                Some(error.into()),
            )
        })?;
        let mut config = Config::new();
        config
            .user("postgres")
            .dbname("template1")
            .application_name("estimator")
            .connect_timeout(limits::CONNECT_WAIT)
            .port(SOCKET_PORT)
            .host_path(&folder);
        Ok(Self { folder, config, server: Mutex::new(None), ended: AtomicBool::new(false) })
    }

    fn start_server(&self) -> Result<(), StoreError> {
        let server = PgliteServer::builder()
            .path(&self.folder)
            .unix(self.folder.join(format!(".s.PGSQL.{SOCKET_PORT}")))
            .start()
            .map_err(|error| {
                let text = if format!("{error:#}").contains("already in use") {
                    format!("the data folder {} is in use by another process: stop that one, or set another DATA_DIR", self.folder.display())
                } else {
                    format!("the embedded Postgres cannot start in {}: set DATA_DIR to another folder, or DATABASE_URL to a server", self.folder.display())
                };
                StoreError::Misconfigured(text, Some(error.into()))
            })?;
        *self.server.lock().unwrap_or_else(PoisonError::into_inner) = Some(server);
        Ok(())
    }

    async fn connect(&self) -> Result<(Client, JoinHandle<()>), tokio_postgres::Error> {
        let (client, connection) = self.config.connect(NoTls).await?;
        let task = tokio::spawn(async move {
            if let Err(error) = connection.await {
                tracing::warn!(%error, "the connection to the embedded Postgres broke");
            }
        });
        Ok((client, task))
    }

    fn take_server(&self) -> Option<PgliteServer> {
        self.server.lock().unwrap_or_else(PoisonError::into_inner).take()
    }
}

/// The server is dropped on a thread of its own: that waits for the connection to close, which a runtime may yet have to do.
impl Drop for Shared {
    fn drop(&mut self) {
        if let Some(server) = self.take_server() {
            std::thread::spawn(move || drop(server));
        }
    }
}

/// Starts Postgres again. That it failed shows in the next attempt to connect; why, only here.
async fn restart(shared: Arc<Shared>) {
    let restarted = tokio::task::spawn_blocking(move || {
        drop(shared.take_server());
        shared.start_server()
    })
    .await;
    match restarted {
        Ok(Ok(())) => {}
        Ok(Err(error)) => tracing::error!(%error, "the embedded Postgres cannot be started again"),
        Err(error) => tracing::error!(%error, "the embedded Postgres cannot be started again"),
    }
}

/// Part of the socket's name.
const SOCKET_PORT: u16 = 5432;

fn make_private_folder(folder: &Path) -> std::io::Result<()> {
    let mut builder = std::fs::DirBuilder::new();
    builder.recursive(true);
    #[cfg(unix)]
    std::os::unix::fs::DirBuilderExt::mode(&mut builder, 0o700);
    builder.create(folder)
}

#[cfg(test)]
mod tests {
    use std::time::Duration;

    use deadpool_postgres::Client;

    use crate::{DatabaseSettings, Store};

    #[tokio::test]
    async fn after_its_connection_broke_in_the_middle_of_an_answer_the_embedded_postgres_answers_again() {
        let folder = std::env::temp_dir().join(format!("estimator-unit-{}", std::process::id()));
        let store = Store::open(&DatabaseSettings::new(None, &folder)).await.expect("a fresh folder opens");
        let firm = store.ensure_firm("local").await.expect("a firm is made");

        // Big enough an answer that the socket is full when its reader goes away.
        let client = store.connection().await.expect("there is a connection");
        let answer = client.query("SELECT repeat('x', 1000) FROM generate_series(1, 100000)", &[]);
        tokio::time::timeout(Duration::from_millis(20), answer).await.expect_err("it takes longer than that");
        drop(Client::take(client));

        let again = store.ensure_firm("local").await.expect("it answers again");
        assert_eq!(again, firm);
        store.close().await;
        std::fs::remove_dir_all(folder).expect("the folder is no longer in use");
    }
}

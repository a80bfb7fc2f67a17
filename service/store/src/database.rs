//! The connection to a database: which one, how many, and what each is set to before it is used.

use std::sync::Arc;
use std::time::Duration;

use deadpool_postgres::{Client, Hook, HookError, Manager, ManagerConfig, Pool, RecyclingMethod, Runtime};
use tokio_postgres::NoTls;

use crate::settings::DatabaseSettings;
use crate::{StoreError, connect, limits, migrations};

/// The store: a pool of connections to one migrated database. Cloning it is cheap and shares the pool.
#[derive(Clone)]
pub struct Store {
    inner: Arc<Inner>,
}

struct Inner {
    pool: Pool,
    database: String,
    answer_wait: Duration,
    #[cfg(feature = "embedded")]
    embedded: Option<crate::embedded::Embedded>,
}

/// How the pool stands at this moment.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Connections {
    /// Connections that are open.
    pub open: usize,
    /// Of these, those that nobody uses.
    pub idle: usize,
    /// Callers waiting for one.
    pub waiting: usize,
}

impl Store {
    /// Opens the database that the settings name and brings its schema up to date.
    ///
    /// A server that is not there yet is waited for, for as long as the settings say.
    ///
    /// # Errors
    /// `Misconfigured` where the settings cannot work, `Unavailable` where the server does not answer.
    pub async fn open(settings: &DatabaseSettings) -> Result<Self, StoreError> {
        match &settings.database_url {
            Some(url) => Self::open_server(url, settings).await,
            None => Self::open_embedded(settings).await,
        }
    }

    async fn open_server(url: &str, settings: &DatabaseSettings) -> Result<Self, StoreError> {
        let config = connect::server_config(url)?;
        let mut client = connect::connect_patiently(&config, settings.start_wait).await?;
        migrations::bring_up_to_date(&mut client).await?;
        let database = format!("PostgreSQL {} server", connect::server_version(&client).await?);
        drop(client);
        let elsewhere = connect::is_on_another_machine(&config);
        let manager = Manager::from_config(config, NoTls, recycling());
        let store = Self {
            inner: Arc::new(Inner {
                pool: pool(manager, settings, settings.pool_size.max(1), (limits::POOL_WAIT, limits::CONNECT_WAIT))?,
                database,
                answer_wait: settings.statement_timeout + limits::ANSWER_MARGIN,
                #[cfg(feature = "embedded")]
                embedded: None,
            }),
        };
        let role = store.role().await?;
        role.expect_bound(settings.allow_unbound_role)?;
        if role.login_is_superuser {
            tracing::warn!(
                "the service logs in to the database as a superuser and steps down: give it a user of its own"
            );
        }
        if elsewhere {
            tracing::warn!(
                "the connection to the database leaves this machine and is not encrypted: keep it on a private network, or \
                 put a tunnel between"
            );
        }
        Ok(store)
    }

    #[cfg(feature = "embedded")]
    async fn open_embedded(settings: &DatabaseSettings) -> Result<Self, StoreError> {
        let embedded = crate::embedded::Embedded::start(&settings.data_dir).await?;
        let version = match embedded.prepare().await {
            Ok(version) => version,
            Err(error) => {
                embedded.stop().await;
                return Err(error);
            }
        };
        let database = format!("embedded PostgreSQL {version} in {}", settings.data_dir.display());
        let manager = Manager::from_connect(embedded.config().clone(), embedded.connector(), recycling());
        let store = Self {
            inner: Arc::new(Inner {
                pool: pool(manager, settings, 1, (limits::EMBEDDED_WAIT, limits::EMBEDDED_START_WAIT))?,
                database,
                answer_wait: settings.statement_timeout + limits::ANSWER_MARGIN,
                embedded: Some(embedded),
            }),
        };
        let judged = async { store.role().await?.expect_bound(settings.allow_unbound_role) }.await;
        if let Err(error) = judged {
            store.close().await;
            return Err(error);
        }
        Ok(store)
    }

    #[cfg(not(feature = "embedded"))]
    #[expect(clippy::unused_async, reason = "the twin of the function of a build with an embedded database")]
    async fn open_embedded(_settings: &DatabaseSettings) -> Result<Self, StoreError> {
        Err(connect::no_database())
    }

    /// Which database this is, for a start-up line: kind, version, and the embedded one's folder. Never an address or password.
    #[must_use]
    pub fn database(&self) -> &str {
        &self.inner.database
    }

    /// Whether the database answers.
    ///
    /// # Errors
    /// `Unavailable` or `Busy` where it does not.
    pub async fn ready(&self) -> Result<(), StoreError> {
        let client = self.connection().await?;
        let answer = tokio::time::timeout(self.answer_wait(), async {
            client.batch_execute("SELECT 1").await?;
            Ok(())
        })
        .await;
        answer_or_discard(client, answer)
    }

    /// How the pool stands, for a gauge.
    #[must_use]
    pub fn connections(&self) -> Connections {
        let status = self.inner.pool.status();
        Connections { open: status.size, idle: status.available, waiting: status.waiting }
    }

    /// Closes the connections and ends the embedded Postgres cleanly. Later calls on clones fail with `Unavailable`.
    pub async fn close(self) {
        self.inner.pool.close();
        // A connection that was just promised to a caller may still lie in the closed pool.
        let _ = self.inner.pool.retain(|_, _| false);
        #[cfg(feature = "embedded")]
        if let Some(embedded) = &self.inner.embedded {
            embedded.stop().await;
        }
    }

    /// How long one answer of the database is waited for.
    pub(crate) fn answer_wait(&self) -> Duration {
        self.inner.answer_wait
    }

    /// A connection from the pool, already in the service's role.
    pub(crate) async fn connection(&self) -> Result<Client, StoreError> {
        Ok(self.inner.pool.get().await?)
    }
}

/// Brings the schema up to date and names the migrations that were applied; none where it was already.
///
/// # Errors
/// As [`Store::open`].
pub async fn migrate(settings: &DatabaseSettings) -> Result<Vec<String>, StoreError> {
    match &settings.database_url {
        Some(url) => {
            let mut client = connect::connect_patiently(&connect::server_config(url)?, settings.start_wait).await?;
            migrations::bring_up_to_date(&mut client).await
        }
        None => migrate_embedded(settings).await,
    }
}

#[cfg(feature = "embedded")]
async fn migrate_embedded(settings: &DatabaseSettings) -> Result<Vec<String>, StoreError> {
    let embedded = crate::embedded::Embedded::start(&settings.data_dir).await?;
    let mut client = embedded.connect().await?;
    let applied = migrations::bring_up_to_date(&mut client).await;
    drop(client);
    embedded.stop().await;
    applied
}

#[cfg(not(feature = "embedded"))]
#[expect(clippy::unused_async, reason = "the twin of the function of a build with an embedded database")]
async fn migrate_embedded(_settings: &DatabaseSettings) -> Result<Vec<String>, StoreError> {
    Err(connect::no_database())
}

impl std::fmt::Debug for Store {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Store").field("database", &self.inner.database).finish_non_exhaustive()
    }
}

/// Gives the answer on, or, where none came in time, throws the connection away: what it still holds back is unknown.
pub(crate) fn answer_or_discard<T>(
    client: Client,
    answer: Result<Result<T, StoreError>, tokio::time::error::Elapsed>,
) -> Result<T, StoreError> {
    answer.unwrap_or_else(|elapsed| {
        drop(Client::take(client));
        Err(StoreError::Unavailable(elapsed.into()))
    })
}

fn recycling() -> ManagerConfig {
    ManagerConfig { recycling_method: RecyclingMethod::Fast }
}

fn pool(
    manager: Manager,
    settings: &DatabaseSettings,
    size: usize,
    (wait, connect_wait): (Duration, Duration),
) -> Result<Pool, StoreError> {
    let session = Arc::new(session_settings(settings.statement_timeout));
    Pool::builder(manager)
        .max_size(size)
        .runtime(Runtime::Tokio1)
        .wait_timeout(Some(wait))
        .create_timeout(Some(connect_wait))
        .post_create(Hook::async_fn(move |client, _| {
            let session = Arc::clone(&session);
            Box::pin(async move { client.batch_execute(&session).await.map_err(HookError::Backend) })
        }))
        .build()
        .map_err(|error| StoreError::Refused(error.into()))
}

/// What every connection is set to before its first use: the database's own limits, and the role that row security binds.
fn session_settings(statement_timeout: Duration) -> String {
    format!(
        "SET search_path = public; SET timezone = 'UTC'; SET statement_timeout = {}; SET lock_timeout = {}; \
         SET idle_in_transaction_session_timeout = {}; SET ROLE estimator_app",
        statement_timeout.as_millis(),
        limits::LOCK_TIMEOUT.min(statement_timeout * 2 / 3).as_millis(),
        limits::IDLE_IN_TRANSACTION_TIMEOUT.as_millis(),
    )
}

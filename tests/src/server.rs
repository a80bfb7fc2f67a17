//! Databases on a Postgres server: each test gets a clone of one that is already migrated, in a few milliseconds.

use std::sync::atomic::{AtomicU32, Ordering};
use std::time::Duration;

use tokio::sync::OnceCell;
use tokio_postgres::error::SqlState;
use tokio_postgres::{Client, Config};

use crate::database::migrations_digest;
use crate::owner;

/// A server on which databases can be made.
#[derive(Debug)]
pub(crate) struct Server {
    /// Its address, with a user who may make databases and roles.
    url: String,
    /// Whether it is there when the tests are gone, and must be left as it was found.
    stays: bool,
    template: OnceCell<String>,
}

/// A database of one test, which goes with it.
#[derive(Debug)]
pub(crate) struct ServerDatabase {
    server_url: String,
    server_stays: bool,
    name: String,
}

impl Server {
    /// A server of somebody's, on which each test's database is dropped again. What stays is the migrated template, for the
    /// next run, and the service's role.
    pub(crate) fn that_stays(url: String) -> Self {
        Self { url, stays: true, template: OnceCell::new() }
    }

    /// A server that is thrown away as a whole.
    pub(crate) fn that_goes_with_the_tests(url: String) -> Self {
        Self { url, stays: false, template: OnceCell::new() }
    }

    /// A clone of the migrated template.
    pub(crate) async fn migrated_database(&self) -> ServerDatabase {
        let template = self.template.get_or_init(|| make_template(&self.url)).await;
        self.database_like(template).await
    }

    /// A clone of the server's own, empty template.
    pub(crate) async fn empty_database(&self) -> ServerDatabase {
        self.database_like("template0").await
    }

    async fn database_like(&self, template: &str) -> ServerDatabase {
        let database = ServerDatabase { server_url: self.url.clone(), server_stays: self.stays, name: fresh_name() };
        let client = administrator(&self.url).await;
        create_database(&client, &database.name, template).await;
        database
    }
}

impl ServerDatabase {
    pub(crate) fn url(&self) -> String {
        with_database(&self.server_url, &self.name)
    }
}

impl Drop for ServerDatabase {
    /// Drops the database, on a thread of its own: the test's runtime cannot be waited on from here.
    fn drop(&mut self) {
        if !self.server_stays {
            return;
        }
        let (url, name) = (self.server_url.clone(), self.name.clone());
        let dropping = std::thread::spawn(move || {
            let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build()?;
            runtime.block_on(async {
                let client = administrator(&url).await;
                client.batch_execute(&format!("DROP DATABASE IF EXISTS {name} WITH (FORCE)")).await?;
                anyhow::Ok(())
            })
        });
        if !std::thread::panicking() {
            dropping.join().expect("dropping does not panic").expect("a test's database can be dropped");
        }
    }
}

/// Makes the migrated template unless another test program has, and gives its name.
///
/// The name holds a digest of the migrations, so that one made from others is never taken for it.
async fn make_template(server_url: &str) -> String {
    let name = format!("estimator_test_template_{}", &migrations_digest()[..16]);
    let client = administrator(server_url).await;
    client
        .batch_execute("SELECT pg_advisory_lock(hashtextextended('estimator test template', 0))")
        .await
        .expect("the lock on the template is waited for");
    let complete = client
        .query_opt("SELECT FROM pg_database WHERE datname = $1 AND datistemplate", &[&name])
        .await
        .expect("the databases can be listed");
    if complete.is_none() {
        client
            .batch_execute(&format!("DROP DATABASE IF EXISTS {name} WITH (FORCE)"))
            .await
            .expect("a template left half made can be dropped");
        create_database(&client, &name, "template0").await;
        let settings = store::DatabaseSettings::new(Some(with_database(server_url, &name)), std::env::temp_dir());
        store::migrate(&settings).await.expect("an empty database is migrated");
        client
            .batch_execute(&format!("ALTER DATABASE {name} IS_TEMPLATE true"))
            .await
            .expect("the template is marked complete");
    }
    name
}

async fn create_database(client: &Client, name: &str, template: &str) {
    // The sessions that migrated the template end a moment after their client is gone, and until then it cannot be cloned.
    let attempts = 100;
    for attempt in 1..=attempts {
        match client.batch_execute(&format!("CREATE DATABASE {name} TEMPLATE {template}")).await {
            Ok(()) => return,
            Err(error) if error.code() == Some(&SqlState::OBJECT_IN_USE) && attempt < attempts => {
                tokio::time::sleep(Duration::from_millis(50)).await;
            }
            Err(error) => panic!("the test server makes no database: {error:?}"),
        }
    }
}

fn fresh_name() -> String {
    static COUNT: AtomicU32 = AtomicU32::new(0);
    let count = COUNT.fetch_add(1, Ordering::Relaxed);
    format!("estimator_test_{}_{count}", uuid::Uuid::now_v7().simple())
}

async fn administrator(server_url: &str) -> Client {
    let config: Config = server_url.parse().expect("TEST_DATABASE_URL is a Postgres address");
    owner::connect(&config).await
}

/// The address with another database's name in it.
fn with_database(server_url: &str, name: &str) -> String {
    let (address, options) = match server_url.split_once('?') {
        Some((address, options)) => (address, format!("?{options}")),
        None => (server_url, String::new()),
    };
    let after_scheme = address.find("://").map_or(0, |place| place + 3);
    let host_end = address[after_scheme..].find('/').map_or(address.len(), |place| after_scheme + place);
    format!("{}/{name}{options}", &address[..host_end])
}

#[cfg(test)]
mod tests {
    use super::with_database;

    #[test]
    fn only_the_databases_name_is_exchanged_in_an_address() {
        assert_eq!(with_database("postgres://u:p@h:1/old?a=b", "new"), "postgres://u:p@h:1/new?a=b");
        assert_eq!(with_database("postgres://u@h", "new"), "postgres://u@h/new");
    }
}

//! A connection as the database's owner: to look behind the service, and to damage what it must notice.

use std::ops::Deref;
use std::path::Path;

use pglite_oxide::PgliteServer;
use tokio_postgres::{Client, Config, NoTls};

/// A connection as the owner. [`Owner::close`] it before the store is opened again.
#[derive(Debug)]
pub struct Owner {
    client: Client,
    embedded: Option<PgliteServer>,
}

impl Owner {
    pub(crate) async fn of_server(url: &str) -> Self {
        let config: Config = url.parse().expect("the test database's address is one");
        Self { client: connect(&config).await, embedded: None }
    }

    pub(crate) async fn of_folder(data_dir: &Path) -> Self {
        let folder = data_dir.join("postgres");
        let socket = folder.join(".s.PGSQL.5432");
        let server = {
            let folder = folder.clone();
            tokio::task::spawn_blocking(move || PgliteServer::builder().path(folder).unix(socket).start())
                .await
                .expect("starting does not panic")
                .expect("the embedded Postgres starts once the store is closed")
        };
        let mut config = Config::new();
        config.user("postgres").dbname("template1").host_path(&folder);
        Self { client: connect(&config).await, embedded: Some(server) }
    }

    /// Ends the connection, and the embedded Postgres with it.
    pub async fn close(self) {
        drop(self.client);
        if let Some(server) = self.embedded {
            tokio::task::spawn_blocking(move || server.shutdown())
                .await
                .expect("ending does not panic")
                .expect("the embedded Postgres ends cleanly");
        }
    }
}

impl Deref for Owner {
    type Target = Client;

    fn deref(&self) -> &Client {
        &self.client
    }
}

/// A plain connection, whose task ends with the client.
pub(crate) async fn connect(config: &Config) -> Client {
    let (client, connection) = config.connect(NoTls).await.expect("the test database can be reached");
    tokio::spawn(async move {
        // That it broke shows in the next query.
        let _ = connection.await;
    });
    client
}

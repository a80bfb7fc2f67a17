//! Starting and stopping the service.

use std::net::{SocketAddr, TcpListener};
use std::sync::Arc;

use actix_web::dev::ServerHandle;
use actix_web::middleware::from_fn;
use actix_web::{App, HttpServer, web};
use anyhow::Context;
use store::Store;
use tokio::task::JoinHandle;

use crate::app;
use crate::auth::{Authenticator, KnownKeys};
use crate::firms;
use crate::limits;
use crate::middleware;
use crate::openapi;
use crate::settings::{Auth, Settings};
use crate::state::Service;

/// A service that listens.
pub struct Running {
    /// Where it listens; the port is the real one where 0 was asked for.
    pub addr: SocketAddr,
    /// The kind of database, for people.
    pub database: String,
    service: Arc<Service>,
    handle: ServerHandle,
    server: JoinHandle<std::io::Result<()>>,
    log: JoinHandle<()>,
}

/// Opens the database, migrates it and listens.
///
/// # Errors
/// Where the database cannot be used or the address cannot be had: a person has to see to it.
pub async fn start(settings: Settings) -> anyhow::Result<Running> {
    // The address first: it is had or not at once, and a second start on it must not touch the database of the first.
    let listener = TcpListener::bind(settings.listen)
        .with_context(|| format!("cannot listen on {}: is another service running there?", settings.listen))?;
    let addr = listener.local_addr().context("the system does not tell the address that it gave")?;
    let store = Store::open(&settings.store()).await?;
    let database = store.database().to_owned();
    let authenticator = match settings.auth {
        Auth::Open => Authenticator::Open(firms::make_ready(&store, firms::LOCAL).await?),
        Auth::Keys => {
            if !store.has_keys().await? {
                tracing::warn!(
                    "AUTH=keys, and there is no key: nobody can call until `estimator keys create` makes one"
                );
            }
            Authenticator::Keys(KnownKeys::new(settings.capacity.key_check, settings.capacity.key_grace))
        }
    };
    let contract = web::Bytes::from(openapi::document());
    let service = Arc::new(Service::new(store, authenticator, contract, &settings.capacity));
    let (handle, server) = listen(listener, &service)?;
    let log = tokio::spawn(write_refusals(Arc::clone(&service)));
    Ok(Running { addr, database, service, handle, server, log })
}

/// Writes what was refused to the log, for as long as the service runs.
async fn write_refusals(service: Arc<Service>) {
    let mut every = tokio::time::interval(limits::REFUSALS_WRITTEN_EVERY);
    loop {
        every.tick().await;
        service.refusals.write();
    }
}

type Listening = (ServerHandle, JoinHandle<std::io::Result<()>>);

fn listen(listener: TcpListener, service: &Arc<Service>) -> anyhow::Result<Listening> {
    let shared = web::Data::from(Arc::clone(service));
    let server = HttpServer::new(move || {
        App::new().app_data(shared.clone()).wrap(from_fn(middleware::answer)).configure(app::configure)
    })
    .client_request_timeout(limits::HEAD_TIME)
    .client_disconnect_timeout(limits::DISCONNECT_TIME)
    .keep_alive(limits::KEEP_ALIVE)
    .max_connections(limits::CONNECTIONS_MAX)
    .shutdown_timeout(limits::DRAIN_TIME_S)
    .disable_signals()
    .listen(listener)
    .context("cannot listen")?
    .run();
    Ok((server.handle(), tokio::spawn(server)))
}

impl Running {
    /// Says 'not ready' from now on, while requests are still answered.
    pub fn start_draining(&self) {
        self.service.start_draining();
    }

    /// Takes no more requests, answers those in hand, and closes the database.
    pub async fn stop(self) {
        self.service.start_draining();
        self.handle.stop(true).await;
        match self.server.await {
            Ok(Ok(())) => {}
            Ok(Err(error)) => tracing::error!(%error, "the server ended badly"),
            Err(error) => tracing::error!(%error, "the server's task ended badly"),
        }
        self.log.abort();
        self.service.refusals.write();
        self.service.store.clone().close().await;
    }
}

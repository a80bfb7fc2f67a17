//! Starting and stopping the service.

use std::future::ready;
use std::net::{SocketAddr, TcpListener};
use std::sync::Arc;
use std::time::Duration;

use actix_http::HttpService;
use actix_server::Server;
use actix_service::{ServiceFactoryExt as _, fn_service, map_config};
use actix_web::dev::{AppConfig, ServerHandle};
use actix_web::middleware::from_fn;
use actix_web::rt::net::TcpStream;
use actix_web::{App, Error, web};
use anyhow::Context;
use store::Store;
use tokio::task::JoinHandle;

use crate::app;
use crate::auth::{Authenticator, KnownKeys};
use crate::connection::Connection;
use crate::firms;
use crate::limits;
use crate::middleware;
use crate::openapi;
use crate::settings::{Auth, Settings};
use crate::state::AppState;

/// A service that listens.
pub struct Running {
    /// Where it listens; the port is the real one where 0 was asked for.
    pub addr: SocketAddr,
    /// The kind of database, for people.
    pub database: String,
    service: Arc<AppState>,
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
            Authenticator::Keys(KnownKeys::new(settings.capacity.key_check, settings.capacity.key_known))
        }
    };
    let contract = web::Bytes::from(openapi::document());
    let service = Arc::new(AppState::new(store, authenticator, contract, &settings.capacity));
    let (handle, server) = listen(listener, &service, settings.capacity.write_timeout)?;
    let log = tokio::spawn(write_refusals(Arc::clone(&service)));
    Ok(Running { addr, database, service, handle, server, log })
}

/// Writes what was refused to the log, for as long as the service runs.
async fn write_refusals(service: Arc<AppState>) {
    let mut every = tokio::time::interval(limits::REFUSALS_WRITTEN_EVERY);
    loop {
        every.tick().await;
        service.refusals.write();
    }
}

type Listening = (ServerHandle, JoinHandle<std::io::Result<()>>);

fn listen(listener: TcpListener, service: &Arc<AppState>, write_timeout: Duration) -> anyhow::Result<Listening> {
    let shared = web::Data::from(Arc::clone(service));
    let builder = Server::build()
        .max_concurrent_connections(limits::CONNECTIONS_MAX)
        .shutdown_timeout(limits::DRAIN_TIME_S)
        .disable_signals();
    let draining = builder.graceful_shutdown_signal();
    // As the library's own `HttpServer` does, but for the connection: that one would be the system's, as it is.
    let server = builder.listen("api", listener, move || {
        let (shared, draining) = (shared.clone(), draining.clone());
        let (refusals, write_timeout) = (Arc::clone(&shared.refusals), write_timeout);
        let app = App::new().app_data(shared).wrap(from_fn(middleware::answer)).configure(app::configure);
        let app = map_config(app, |()| AppConfig::default()).map_err(|error: Error| error.error_response());
        let http = HttpService::build()
            .graceful_shutdown_signal(move || {
                let draining = draining.clone();
                async move { draining.notified().await }
            })
            .client_request_timeout(limits::HEAD_TIME)
            .client_disconnect_timeout(limits::DISCONNECT_TIME)
            .keep_alive(limits::KEEP_ALIVE)
            .h1(app);
        fn_service(move |stream: TcpStream| {
            let caller = stream.peer_addr().ok();
            ready(Ok((Connection::new(stream, write_timeout, Arc::clone(&refusals)), caller)))
        })
        .and_then(http)
    });
    let server = server.context("cannot listen")?.run();
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

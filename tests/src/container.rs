//! One Postgres container for the whole test program.
//!
//! The runner ends a test program without dropping what is static, so nothing in it could remove the container for sure;
//! and a program that is killed removes nothing at all. So the container watches over itself: the program keeps one
//! connection open as long as it lives, and the container ends a few seconds after that connection has gone. The engine
//! then removes it.

use std::collections::HashMap;
use std::time::{Duration, Instant};

use anyhow::{Context, bail};
use testcontainers::bollard::models::{Mount, MountType, PortBinding};
use testcontainers::core::{ContainerPort, ImageExt};
use testcontainers::runners::AsyncRunner;
use testcontainers::{ContainerAsync, GenericImage};
use tokio::process::Command;
use tokio::sync::oneshot;
use tokio::task::JoinHandle;
use tokio_postgres::{Client, Config, NoTls};

use crate::database::{repository, variable};
use crate::server::Server;

const PORT: ContainerPort = ContainerPort::Tcp(5432);

/// How long the server in a container may take to answer.
const START_WAIT: Duration = Duration::from_secs(60);

/// Runs in the container in place of its own command: starts the server, and ends it once the tests' connection is gone, or
/// when it has not come within two minutes. Works with our own image and with the usual published ones.
const WATCHED_SERVER: &str = r#"
if command -v docker-entrypoint.sh >/dev/null; then set -- docker-entrypoint.sh postgres -c max_connections=300 -c fsync=off
else set -- postgres-entry; fi
"$@" & server=$!
seen=0; missing=0
while kill -0 $server 2>/dev/null; do
    sleep 2
    alive=$(psql -U postgres -Atc "SELECT count(*) FROM pg_stat_activity WHERE application_name = 'tests are running'" 2>/dev/null)
    if [ "${alive:-0}" -gt 0 ]; then seen=1; missing=0; else missing=$((missing + 1)); fi
    if [ $missing -gt 40 ] || [ $seen = 1 -a $missing -gt 1 ]; then kill -QUIT $server; fi
done
"#;

/// Starts the container, or says why there is none to be had.
pub(crate) async fn start() -> anyhow::Result<Server> {
    let (name, tag) = image()?;
    engine_answers().await?;
    have_image(&format!("{name}:{tag}")).await?;

    // The connection that keeps the container must outlive the runtime of whichever test came first.
    let (ready, url) = oneshot::channel();
    std::thread::spawn(move || {
        let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build();
        match runtime {
            Ok(runtime) => runtime.block_on(keep_container(name, tag, ready)),
            Err(error) => drop(ready.send(Err(error.into()))),
        }
    });
    let url = url.await.context("the thread that keeps the container ended")??;
    Ok(Server::that_goes_with_the_tests(url))
}

/// The image's name and tag in one, for people.
pub(crate) fn image_name() -> String {
    variable("TEST_POSTGRES_IMAGE").unwrap_or_else(|| "estimator-test-postgres:15".to_owned())
}

fn image() -> anyhow::Result<(String, String)> {
    let name = image_name();
    let (name, tag) = name.rsplit_once(':').context("TEST_POSTGRES_IMAGE must be given as name:tag")?;
    Ok((name.to_owned(), tag.to_owned()))
}

async fn engine_answers() -> anyhow::Result<()> {
    let asked = Command::new("docker").args(["version", "--format", "{{.Server.Version}}"]).output();
    let answer = tokio::time::timeout(Duration::from_secs(20), asked).await.context("no Docker engine answers")?;
    if !answer.context("there is no docker command")?.status.success() {
        bail!("no Docker engine answers");
    }
    Ok(())
}

/// Makes our own image if it is not there; another one is left to be pulled by the engine.
async fn have_image(image: &str) -> anyhow::Result<()> {
    let inspected = Command::new("docker").args(["image", "inspect", image]).output().await?;
    if inspected.status.success() || variable("TEST_POSTGRES_IMAGE").is_some() {
        return Ok(());
    }
    let script = repository().join(".ci/postgres-image");
    if !script.exists() {
        bail!("the image {image} is not there, nor the script that makes it");
    }
    let made = Command::new(script).stdin(std::process::Stdio::null()).output().await?;
    if !made.status.success() {
        bail!("the image {image} cannot be made: {}", String::from_utf8_lossy(&made.stderr).trim());
    }
    Ok(())
}

/// Starts the container, reports its address, and then holds it until the program ends.
async fn keep_container(name: String, tag: String, ready: oneshot::Sender<anyhow::Result<String>>) {
    match start_container(name, tag).await {
        Ok(running) => {
            let _ = ready.send(Ok(running.url));
            // This ends when the server goes, which the tests notice themselves.
            let _ = running.connection.await;
        }
        Err(error) => drop(ready.send(Err(error))),
    }
}

/// A container, and what keeps it: both must be held.
struct Running {
    url: String,
    connection: JoinHandle<()>,
    _client: Client,
    _container: ContainerAsync<GenericImage>,
}

async fn start_container(name: String, tag: String) -> anyhow::Result<Running> {
    let container = GenericImage::new(name, tag)
        .with_exposed_port(PORT)
        .with_entrypoint("sh")
        .with_cmd(["-c", WATCHED_SERVER])
        // No password: working one out at each of hundreds of connections would take most of a debug build's time.
        .with_env_var("POSTGRES_HOST_AUTH_METHOD", "trust")
        .with_host_config_modifier(|host| {
            host.auto_remove = Some(true);
            host.mounts.get_or_insert_default().push(own_volume());
            host.publish_all_ports = Some(false);
            host.port_bindings = Some(HashMap::from([(PORT.to_string(), Some(vec![on_loopback()]))]));
        })
        .start()
        .await
        .context("the container does not start")?;
    let host = container.get_host().await?;
    let port = container.get_host_port_ipv4(PORT).await?;
    let url = format!("postgres://postgres@{host}:{port}/postgres");
    let (client, connection) = connect_when_up(&url).await?;
    Ok(Running { url, connection, _client: client, _container: container })
}

/// A volume without a name, which goes with the container. A new database is a thousand small files, several times slower to
/// write on the layers of a container's own file system.
fn own_volume() -> Mount {
    Mount { target: Some("/var/lib/postgresql/data".to_owned()), typ: Some(MountType::VOLUME), ..Mount::default() }
}

/// A free port that only this machine reaches, as there is no password.
fn on_loopback() -> PortBinding {
    PortBinding { host_ip: Some("127.0.0.1".to_owned()), host_port: Some("0".to_owned()) }
}

/// Connects as the one whose going ends the container.
async fn connect_when_up(url: &str) -> anyhow::Result<(Client, JoinHandle<()>)> {
    let mut config: Config = url.parse()?;
    config.application_name("tests are running").connect_timeout(Duration::from_secs(2));
    let started = Instant::now();
    loop {
        match config.connect(NoTls).await {
            Ok((client, connection)) => {
                let held = tokio::spawn(async move { drop(connection.await) });
                return Ok((client, held));
            }
            Err(error) if started.elapsed() > START_WAIT => {
                return Err(error).context("the server in the container does not answer");
            }
            Err(_) => tokio::time::sleep(Duration::from_millis(200)).await,
        }
    }
}

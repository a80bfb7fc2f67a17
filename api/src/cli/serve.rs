//! `estimator serve`: listens until it is told to stop.

use std::net::{IpAddr, Ipv4Addr, SocketAddr};

use super::output::{print, runtime};
use crate::server::{Running, start};
use crate::settings::{Auth, LogFormat, ServeOptions, Settings};
use crate::{limits, openapi, telemetry};

/// Serves until the system or a person asks it to stop.
///
/// # Errors
/// Where the settings cannot work, or the service cannot start.
pub fn run(options: &ServeOptions) -> anyhow::Result<()> {
    let settings = options.settings()?;
    telemetry::start_log(settings.log_format);
    runtime()?.block_on(async {
        let running = start(settings.clone()).await?;
        announce(&settings, &running)?;
        wait_to_stop(&running).await?;
        running.stop().await;
        tracing::info!("stopped");
        Ok(())
    })
}

fn announce(settings: &Settings, running: &Running) -> anyhow::Result<()> {
    let base = base_url(running.addr);
    let auth = match settings.auth {
        Auth::Open => "open",
        Auth::Keys => "keys",
    };
    let (database, version, capacity) = (&running.database, env!("CARGO_PKG_VERSION"), settings.capacity.to_string());
    tracing::info!("api.url" = base, auth, database, version, capacity, "serving");
    match settings.log_format {
        // A collector wants events only.
        LogFormat::Json => Ok(()),
        LogFormat::Text => print(&greeting(&base, settings, &running.database)),
    }
}

fn greeting(base: &str, settings: &Settings, database: &str) -> String {
    let (who, key) = match settings.auth {
        Auth::Open => ("everybody on this machine, as the firm `local`", ""),
        Auth::Keys => ("whoever has a key: estimator keys create --firm NAME", " -H \"authorization: Bearer $KEY\""),
    };
    // The example is a file of ours and holds no quote that a shell would trip over; a test looks.
    let survey: String = openapi::MINIMAL.lines().map(str::trim).collect();
    format!(
        "Database  {database}\nCallers   {who}\nCapacity  {}\nAPI       {base}/v1\nDocs      {base}/docs\n\nTry it:\n\
         curl -sS {base}/v1/estimates{key} -H 'content-type: application/json' -d '{survey}'\n\n",
        settings.capacity
    )
}

/// An address that can be called from this machine, also where the service listens on all of them.
fn base_url(addr: SocketAddr) -> String {
    let ip = if addr.ip().is_unspecified() { IpAddr::V4(Ipv4Addr::LOCALHOST) } else { addr.ip() };
    format!("http://{}", SocketAddr::new(ip, addr.port()))
}

/// Waits for a sign to stop. After the system's own (SIGTERM) a load balancer gets time to notice; a person at the
/// keyboard is not kept waiting.
#[cfg(unix)]
async fn wait_to_stop(running: &Running) -> anyhow::Result<()> {
    use tokio::signal::unix::{SignalKind, signal};

    let mut asked = signal(SignalKind::terminate())?;
    tokio::select! {
        interrupted = tokio::signal::ctrl_c() => interrupted?,
        _ = asked.recv() => {
            running.start_draining();
            tracing::info!("asked to stop; not ready any more");
            // A second sign ends the wait.
            let _ = tokio::time::timeout(limits::DRAIN_NOTICE, asked.recv()).await;
        }
    }
    Ok(())
}

#[cfg(not(unix))]
async fn wait_to_stop(running: &Running) -> anyhow::Result<()> {
    tokio::signal::ctrl_c().await?;
    running.start_draining();
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::settings::DatabaseOptions;

    #[test]
    fn the_line_to_try_is_one_line_and_quoted_right() {
        let database = DatabaseOptions { database_url: Some("postgres://h/d".to_owned()), ..Default::default() };
        let settings = ServeOptions { database, ..Default::default() }.settings().expect("all defaults");
        let text = greeting("http://127.0.0.1:8080", &settings, "a database");
        let line = text.lines().find(|line| line.starts_with("curl ")).expect("a line to try");
        assert_eq!(line.matches('\'').count(), 4, "{line}");
        let survey = line.split("-d '").nth(1).and_then(|rest| rest.strip_suffix('\'')).expect("a body");
        assert!(serde_json::from_str::<serde_json::Value>(survey).is_ok(), "{survey}");
    }

    #[test]
    fn a_service_on_every_address_is_shown_at_one_that_can_be_called() {
        assert_eq!(base_url("0.0.0.0:8080".parse().expect("an address")), "http://127.0.0.1:8080");
        assert_eq!(base_url("[::1]:9".parse().expect("an address")), "http://[::1]:9");
    }
}

//! The log: one line an event, for people or for collectors. It holds no bodies, names of people, addresses or keys.

use tracing::Level;
use tracing_subscriber::filter::{LevelFilter, Targets};
use tracing_subscriber::layer::SubscriberExt;
use tracing_subscriber::util::SubscriberInitExt;
use tracing_subscriber::{Layer, fmt};

use crate::settings::LogFormat;

/// Starts the log on standard error. A second call changes nothing: one process has one log.
pub fn start_log(format: LogFormat) {
    start_log_to(format, std::io::stderr);
}

/// Starts the log somewhere else, such as where a test can read it.
pub fn start_log_to<W>(format: LogFormat, writer: W)
where
    W: for<'w> fmt::MakeWriter<'w> + Send + Sync + 'static,
{
    // Libraries only where something is wrong: at lower levels some of them write out headers.
    let filter = Targets::new()
        .with_default(Level::WARN)
        // Writes a line for each request that is no HTTP and each connection that breaks: the first are counted here.
        .with_target("actix_http", LevelFilter::OFF)
        .with_target("api", Level::INFO)
        .with_target("store", Level::INFO)
        .with_target("estimator", Level::INFO);
    let lines = match format {
        LogFormat::Text => fmt::layer().with_writer(writer).with_ansi(false).boxed(),
        LogFormat::Json => fmt::layer().with_writer(writer).json().flatten_event(true).with_span_list(false).boxed(),
    };
    let started = tracing_subscriber::registry().with(lines.with_filter(filter)).try_init().is_ok();
    if started {
        log_panics();
    }
}

/// A panic is a bug and costs one request. Its message may quote the request, so only the place is logged.
fn log_panics() {
    std::panic::set_hook(Box::new(|panic| {
        let place = panic.location().map(ToString::to_string).unwrap_or_default();
        tracing::error!("code.location" = place, "the service panicked");
    }));
}

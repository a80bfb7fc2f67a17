//! The command line.

mod health;
mod keys;
mod output;
mod price;
mod serve;

use std::process::ExitCode;

use clap::{Args, Parser, Subcommand};

use self::output::{print, runtime};
use crate::settings::{DatabaseOptions, ServeOptions, listen_address};
use crate::{openapi, telemetry};

/// From a survey of a house to a costed estimate for rewiring it.
#[derive(Parser)]
#[command(name = "estimator", version, args_conflicts_with_subcommands = true)]
struct Cli {
    #[command(subcommand)]
    command: Option<Command>,
    #[command(flatten)]
    serve: ServeOptions,
}

#[derive(Subcommand)]
enum Command {
    /// Serve the API (what happens without a command)
    Serve(Box<ServeOptions>),
    /// Price one survey file and print a table; no database is needed
    Price(price::PriceOptions),
    /// Print the API's OpenAPI document
    Openapi,
    /// Bring the database up to date, and end
    Migrate(DatabaseOptions),
    /// Keys that let firms in where AUTH=keys
    Keys {
        #[command(subcommand)]
        command: keys::KeysCommand,
    },
    /// Ask the service on this machine whether it is ready; ends with 0 or 1
    Health(HealthOptions),
}

#[derive(Args)]
struct HealthOptions {
    /// Where the service listens [default: 127.0.0.1:8080]
    #[arg(long, env = "LISTEN", value_name = "ADDRESS")]
    listen: Option<String>,
}

/// Runs the command that the program was started with.
#[must_use]
pub fn run() -> ExitCode {
    let cli = Cli::parse();
    let outcome = match cli.command.unwrap_or_else(|| Command::Serve(Box::new(cli.serve))) {
        Command::Serve(options) => serve::run(&options),
        Command::Price(options) => price::run(&options),
        Command::Openapi => print(&openapi::document()),
        Command::Migrate(options) => migrate(&options),
        Command::Keys { command } => keys::run(command),
        Command::Health(options) => listen_address(options.listen.as_deref()).map_err(Into::into).and_then(health::run),
    };
    match outcome {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("estimator: {error:#}");
            ExitCode::FAILURE
        }
    }
}

fn migrate(options: &DatabaseOptions) -> anyhow::Result<()> {
    let choice = options.choice()?;
    telemetry::start_log(choice.log_format);
    let applied = runtime()?.block_on(store::migrate(&choice.store()))?;
    match applied.as_slice() {
        [] => print("The database is up to date.\n"),
        names => print(&format!("Applied: {}\n", names.join(", "))),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use clap::CommandFactory;

    #[test]
    fn the_command_line_contradicts_itself_nowhere() {
        Cli::command().debug_assert();
    }

    #[test]
    fn without_a_command_the_service_is_served() {
        let cli = Cli::try_parse_from(["estimator", "--listen", "127.0.0.1:0"]).expect("parses");
        assert!(cli.command.is_none());
        assert_eq!(cli.serve.listen.as_deref(), Some("127.0.0.1:0"));
    }
}

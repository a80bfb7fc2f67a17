//! The program serving, from its first line to its last, on a database of its own.
#![cfg(all(unix, feature = "embedded"))]

use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::path::PathBuf;
use std::process::{Child, Command, Stdio};

/// The program, with nothing of this process's settings.
fn estimator(arguments: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_estimator"));
    command.args(arguments).stdin(Stdio::null());
    for setting in ["DATABASE_URL", "LISTEN", "DATA_DIR", "AUTH", "LOG_FORMAT", "QUEUE_SIZE", "RATE_LIMIT", "POOL_SIZE"]
    {
        command.env_remove(setting);
    }
    command
}

/// What `estimator health` says.
fn is_healthy(address: &str) -> bool {
    let asked = estimator(&["health", "--listen", address]).stderr(Stdio::null()).status();
    asked.expect("the program starts").success()
}

/// A folder that goes when the test does.
struct Folder(PathBuf);

impl Folder {
    fn create() -> Self {
        let folder = std::env::temp_dir().join(format!("estimator-command-line-{}", uuid::Uuid::now_v7().simple()));
        std::fs::create_dir(&folder).expect("the folder for temporary files can be written");
        Self(folder)
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        // What is left then is the system's to clear.
        let _ = std::fs::remove_dir_all(&self.0);
    }
}

/// A program that is ended with its test.
struct Started(Child);

impl Drop for Started {
    fn drop(&mut self) {
        // It has ended already where the test went well.
        let _ = self.0.kill();
        let _ = self.0.wait();
    }
}

#[test]
fn the_service_says_where_it_is_answers_and_ends_well_when_it_is_asked_to() {
    let folder = Folder::create();
    let child = estimator(&["--listen", "127.0.0.1:0"])
        .env("DATA_DIR", &folder.0)
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn();
    let mut service = Started(child.expect("the program starts"));
    let said: Vec<String> = BufReader::new(service.0.stdout.take().expect("a pipe"))
        .lines()
        .map(|line| line.expect("it prints text"))
        .take_while(|line| !line.starts_with("curl "))
        .collect();
    let api = said.iter().find_map(|line| line.strip_prefix("API")).expect("it says where it is").trim();
    let address = api.strip_prefix("http://").and_then(|rest| rest.strip_suffix("/v1")).expect("an address").to_owned();

    let mut stream = TcpStream::connect(&address).expect("it listens");
    write!(stream, "GET /health/ready HTTP/1.1\r\nhost: {address}\r\nconnection: close\r\n\r\n").expect("it reads");
    let mut answer = String::new();
    stream.read_to_string(&mut answer).expect("it answers");
    assert!(answer.starts_with("HTTP/1.1 200 OK"), "{answer}");
    assert!(is_healthy(&address));

    let asked = Command::new("kill").args(["-TERM", &service.0.id().to_string()]).status().expect("there is kill");
    assert!(asked.success());
    assert!(service.0.wait().expect("it ends").success());
    assert!(!is_healthy(&address));
}

//! `estimator health`: for a container's health check, so that the image needs no other program.

use std::io::{Read, Write};
use std::net::{IpAddr, Ipv4Addr, SocketAddr, TcpStream};
use std::time::Duration;

use anyhow::{Context, bail};

/// For each step of asking; an orchestrator waits about 3 s.
const STEP: Duration = Duration::from_secs(2);

/// Asks the service on this machine.
///
/// # Errors
/// Where it is not ready or does not answer.
pub fn run(listen: SocketAddr) -> anyhow::Result<()> {
    let ip = if listen.ip().is_unspecified() { IpAddr::V4(Ipv4Addr::LOCALHOST) } else { listen.ip() };
    let addr = SocketAddr::new(ip, listen.port());
    let mut stream = TcpStream::connect_timeout(&addr, STEP).with_context(|| format!("nothing answers at {addr}"))?;
    stream.set_read_timeout(Some(STEP))?;
    stream.set_write_timeout(Some(STEP))?;
    write!(stream, "GET /health/ready HTTP/1.1\r\nhost: {addr}\r\nconnection: close\r\n\r\n")?;
    let mut start = [0; 12];
    stream.read_exact(&mut start).with_context(|| format!("no answer from {addr}"))?;
    if start.ends_with(b" 200") { Ok(()) } else { bail!("the service at {addr} is not ready") }
}

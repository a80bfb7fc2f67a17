//! Below HTTP: readers who do not read, uploads that are cut, requests one behind the other, and what is no HTTP at all.

use std::time::{Duration, Instant};

use api::Auth;
use api::capacity::Capacity;
use end_to_end::{Answer, App, TestDatabase};
use reqwest::Method;
use serde_json::Value;
use tokio::io::{AsyncReadExt, AsyncWriteExt};
use tokio::net::{TcpSocket, TcpStream};

use crate::firms::{TwoFirms, two_firms_with};
use crate::given::MINIMAL;
use crate::wiring::boards;

async fn connected(app: &App) -> TcpStream {
    TcpStream::connect(app.running().addr).await.expect("it takes connections")
}

/// A connection that has room for next to nothing.
async fn narrow(app: &App) -> TcpStream {
    let socket = TcpSocket::new_v4().expect("a socket");
    socket.set_recv_buffer_size(4_096).expect("it can be small");
    socket.connect(app.running().addr).await.expect("it takes connections")
}

/// What comes back for these bytes until the service closes the connection.
async fn answer_to(app: &App, sent: &[u8]) -> String {
    let mut connection = connected(app).await;
    // It may have answered and closed before all was sent.
    let _ = connection.write_all(sent).await;
    let mut answer = Vec::new();
    let reading = connection.read_to_end(&mut answer);
    let _ = tokio::time::timeout(Duration::from_secs(9), reading).await.expect("the service closes");
    String::from_utf8_lossy(&answer).into_owned()
}

/// The problem document of a raw answer, and its status.
fn problem(answer: &str) -> (Value, u16) {
    let (head, body) = answer.split_once("\r\n\r\n").unwrap_or_else(|| panic!("no answer: {answer:?}"));
    let status = head.split(' ').nth(1).and_then(|status| status.parse().ok()).expect("a status");
    assert!(head.contains("content-type: application/problem+json"), "{head}");
    assert!(head.contains("x-content-type-options: nosniff") && head.contains("x-request-id: "), "{head}");
    assert!(head.contains(&format!("content-length: {}", body.len())), "{head}\n{body}");
    (serde_json::from_str(body).unwrap_or_else(|error| panic!("{error}: {body}")), status)
}

#[tokio::test(flavor = "multi_thread")]
async fn what_is_no_http_is_answered_with_a_problem_document() {
    let app = App::open().await;
    let too_long = format!("GET / HTTP/1.1\r\nhost: localhost\r\nx-long: {}\r\n\r\n", "a".repeat(200_000));
    let too_many = format!("GET / HTTP/1.1\r\nhost: localhost\r\n{}\r\n", "x-many: 1\r\n".repeat(1_000));
    for (sent, status, slug) in [
        ("complete nonsense\r\n\r\n", 400, "malformed-request"),
        ("G@T / HTTP/1.1\r\nhost: localhost\r\n\r\n", 400, "malformed-request"),
        ("GET / HTTP/9.9\r\nhost: localhost\r\n\r\n", 400, "malformed-request"),
        ("GET / HTTP/1.1\r\nhost: localhost\r\nno colon here\r\n\r\n", 400, "malformed-request"),
        ("GET / HTTP/1.1\r\n\r\n", 400, "malformed-request"),
        ("POST / HTTP/1.1\r\nhost: localhost\r\ncontent-length: many\r\n\r\n", 400, "malformed-request"),
        (
            "POST / HTTP/1.1\r\nhost: localhost\r\ncontent-length: 3\r\ntransfer-encoding: chunked\r\n\r\n0\r\n\r\n",
            400,
            "malformed-request",
        ),
        (&too_long, 431, "head-too-large"),
        (&too_many, 431, "head-too-large"),
        ("BREW /v1/estimates HTTP/1.1\r\nhost: localhost\r\nconnection: close\r\n\r\n", 405, "method-not-allowed"),
    ] {
        let (document, answered) = problem(&answer_to(&app, sent.as_bytes()).await);
        let named = sent.lines().next().unwrap_or_default();
        assert_eq!((answered, document["type"].as_str()), (status, Some(&*format!("/problems#{slug}"))), "{named}");
        assert_eq!(document["status"], status, "{named}");
        assert!(document["instance"].as_str().is_some_and(|instance| instance.starts_with("urn:request:")), "{named}");
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn a_head_that_never_ends_is_told_so_in_a_problem_document() {
    let app = App::open().await;

    let (document, status) =
        problem(&answer_to(&app, b"GET /health/live HTTP/1.1\r\nhost: localhost\r\nx-slow: ").await);

    assert_eq!((status, document["type"].as_str()), (408, Some("/problems#request-timeout")));
    assert!(document["detail"].as_str().is_some_and(|detail| detail.contains("head")), "{document}");
}

#[tokio::test(flavor = "multi_thread")]
async fn requests_one_behind_the_other_are_answered_in_their_order_and_nonsense_ends_them() {
    let app = App::open().await;
    let live = "GET /health/live HTTP/1.1\r\nhost: localhost\r\n\r\n";
    let length = MINIMAL.len();
    let price = format!(
        "POST /v1/estimates HTTP/1.1\r\nhost: localhost\r\ncontent-type: application/json\r\ncontent-length: {length}\r\n\r\n{MINIMAL}"
    );

    let answer = answer_to(&app, format!("{live}{price}{live}nonsense\r\n\r\n{live}").as_bytes()).await;

    let words = answer.split("HTTP/1.1 ").skip(1).filter_map(|answer| answer.get(..3));
    let statuses: Vec<&str> = words.filter(|word| word.parse::<u16>().is_ok()).collect();
    assert_eq!(statuses, ["200", "201", "200", "400"], "{answer}");
    let (document, _) = problem(&answer[answer.rfind("HTTP/1.1 400").expect("the last")..]);
    assert_eq!(document["type"], "/problems#malformed-request");
}

#[tokio::test(flavor = "multi_thread")]
async fn an_upload_that_is_cut_in_the_middle_leaves_nothing_behind() {
    let app = App::open().await;
    let head = "POST /v1/estimates HTTP/1.1\r\nhost: localhost\r\ncontent-type: application/json\r\ncontent-length: 90000\r\n\r\n";
    for _ in 0..100 {
        let mut connection = connected(&app).await;
        connection.write_all(head.as_bytes()).await.expect("it reads");
        connection.write_all(&[b' '; 20_000]).await.expect("it reads");
    }

    let answer = app.price(MINIMAL).await;

    assert_eq!(answer.status, 201);
    assert!(answer.header("audit-entry").starts_with("n=1,"), "{}", answer.header("audit-entry"));
}

/// A list of circuits whose answer has a few megabytes, as it is sent.
fn long_request() -> String {
    let body = boards(3_000).to_string();
    format!(
        "POST /v1/circuit-checks HTTP/1.1\r\nhost: localhost\r\ncontent-type: application/json\r\ncontent-length: {}\r\n\r\n{body}",
        body.len()
    )
}

#[tokio::test(flavor = "multi_thread")]
async fn readers_who_do_not_read_are_cut_off_and_hold_up_nobody_else_meanwhile() {
    // Room for a few such answers, of which one firm has half.
    let capacity = Capacity { write_timeout: Duration::from_secs(4), in_hand_max: 36_000_000, ..Capacity::default() };
    let TwoFirms { app, alder, birch } = two_firms_with(capacity).await;
    let request =
        long_request().replacen("\r\n", &format!("\r\nconnection: close\r\nauthorization: Bearer {alder}\r\n"), 1);
    let check = |key: &str| {
        let request = app.request(Method::POST, "/v1/circuit-checks").header("content-type", "application/json");
        Answer::to(request.bearer_auth(key).body(boards(3_000).to_string()))
    };
    let mut readers = Vec::new();
    for _ in 0..6 {
        let mut reader = narrow(&app).await;
        reader.write_all(request.as_bytes()).await.expect("it reads");
        readers.push((reader, String::new()));
    }
    for (reader, start) in &mut readers {
        let mut status = [0; 12];
        reader.read_exact(&mut status).await.expect("it answers");
        *start = String::from_utf8_lossy(&status).into_owned();
    }

    let (own, other) = (check(&alder).await, check(&birch).await);

    let refused = readers.iter().filter(|(_, start)| start == "HTTP/1.1 503").count();
    assert!(refused > 0 && refused < 6, "some of them filled the firm's half: {refused}");
    let _ = own.problem(503, "unavailable");
    assert!(!own.header("retry-after").is_empty());
    assert_eq!(other.status, 200, "another firm has room");
    let begun = Instant::now();
    while check(&alder).await.status != 200 {
        assert!(begun.elapsed() < Duration::from_secs(12), "what they held is let go");
        tokio::time::sleep(Duration::from_millis(100)).await;
    }
    for (mut reader, start) in readers {
        let mut rest = Vec::new();
        let ended = tokio::time::timeout(Duration::from_secs(9), reader.read_to_end(&mut rest)).await;
        let _ = ended.expect("it is closed");
        assert!(start != "HTTP/1.1 200" || rest.len() < 5_000_000, "the rest was not sent: {}", rest.len());
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn a_reader_who_reads_slowly_and_steadily_gets_the_whole_answer() {
    let capacity = Capacity { write_timeout: Duration::from_secs(1), ..Capacity::default() };
    let app = App::of_capacity(TestDatabase::create().await, Auth::Open, capacity).await;
    let mut reader = narrow(&app).await;
    let request = long_request().replacen("\r\n", "\r\nconnection: close\r\n", 1);
    reader.write_all(request.as_bytes()).await.expect("it reads");

    let (mut answer, mut piece) = (Vec::new(), vec![0; 100_000]);
    loop {
        let read = reader.read(&mut piece).await.expect("it is not cut off");
        if read == 0 {
            break;
        }
        answer.extend_from_slice(&piece[..read]);
        // About half a megabyte a second would be a quarter of an hour for some; here four seconds will do.
        if answer.len() % 7 == 0 {
            tokio::time::sleep(Duration::from_millis(10)).await;
        }
    }

    let body = answer.windows(4).position(|window| window == b"\r\n\r\n").expect("a head") + 4;
    let document: Value = serde_json::from_slice(&answer[body..]).expect("the whole document");
    assert_eq!(document["circuits"].as_array().map(Vec::len), Some(3_000));
}

#[tokio::test(flavor = "multi_thread")]
async fn a_compressed_body_is_refused_whatever_it_is_compressed_with() {
    let app = App::open().await;
    for coding in ["gzip", "deflate", "br", "zstd", "x-gzip", "identity, gzip", "gzip, identity", "GZIP", ""] {
        for path in ["/v1/estimates", "/v1/circuit-checks", "/v1/rate-sheets"] {
            let request = app.request(Method::POST, path).header("content-type", "application/json");
            let refused = Answer::to(request.header("content-encoding", coding).body(MINIMAL)).await;
            let _ = refused.problem(415, "unsupported-media-type");
            assert_eq!(refused.header("accept-encoding"), "identity", "{coding} {path}");
        }
    }
    // Two headers are one list.
    let request = app.pricing(MINIMAL).header("content-encoding", "identity").header("content-encoding", "gzip");
    let _ = Answer::to(request).await.problem(415, "unsupported-media-type");
    assert_eq!(Answer::to(app.pricing(MINIMAL).header("content-encoding", "identity")).await.status, 201);
}

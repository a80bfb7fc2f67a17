//! Callers who dribble, callers who crowd, and a service that keeps answering the others.

use std::time::{Duration, Instant};

use api::Auth;
use api::capacity::Capacity;
use end_to_end::{Answer, App, TestDatabase};
use serde_json::json;
use tokio::io::{AsyncReadExt, AsyncWriteExt};
use tokio::net::TcpStream;

use crate::given::MINIMAL;

/// The service cuts a head or a body off after five seconds; a busy machine may be late to notice.
const CUT_OFF_BY: Duration = Duration::from_secs(9);

/// What comes back on a connection until the service closes it.
async fn until_closed(mut connection: TcpStream) -> String {
    let mut answer = Vec::new();
    let reading = connection.read_to_end(&mut answer);
    // A connection that is reset is closed as well.
    let _ = tokio::time::timeout(CUT_OFF_BY, reading).await.expect("the service closes what dribbles");
    String::from_utf8_lossy(&answer).into_owned()
}

async fn connection(app: &App, sent: &str) -> TcpStream {
    let mut connection = TcpStream::connect(app.running().addr).await.expect("it takes connections");
    connection.write_all(sent.as_bytes()).await.expect("it reads");
    connection
}

#[tokio::test(flavor = "multi_thread")]
async fn five_hundred_callers_who_never_finish_their_head_are_cut_off_and_keep_nobody_waiting() {
    let app = App::open().await;
    let mut dribbling = Vec::new();
    for _ in 0..500 {
        dribbling.push(connection(&app, "POST /v1/estimates HTTP/1.1\r\nhost: localhost\r\nx-slow: ").await);
    }

    let asked = Instant::now();
    let answer = app.price(MINIMAL).await;
    let took = asked.elapsed();
    let mut cut_off = tokio::task::JoinSet::new();
    for connection in dribbling {
        cut_off.spawn(until_closed(connection));
    }
    let answers = cut_off.join_all().await;

    assert_eq!(answer.status, 201);
    assert!(took < Duration::from_secs(5), "an ordinary caller waited {took:?}");
    assert_eq!(answers.len(), 500);
    assert!(answers.iter().all(|answer| answer.is_empty() || answer.starts_with("HTTP/1.1 408")), "{:?}", answers[0]);
}

#[tokio::test(flavor = "multi_thread")]
async fn a_body_that_stops_half_way_is_answered_408_with_a_problem_document() {
    let app = App::open().await;
    let head = "POST /v1/estimates HTTP/1.1\r\nhost: localhost\r\ncontent-type: application/json\r\ncontent-length: 500\r\n\r\n";

    let answer = until_closed(connection(&app, &format!("{head}{{\"survey\":")).await).await;

    assert!(answer.starts_with("HTTP/1.1 408"), "{answer}");
    assert!(answer.contains("application/problem+json") && answer.contains("/problems#request-timeout"), "{answer}");
    assert_eq!(app.price(MINIMAL).await.status, 201);
}

/// The largest survey that is still quick to send: its pricing keeps a core busy for a while.
fn heavy() -> String {
    let rooms: Vec<_> = (0..400)
        .map(|index| {
            json!({ "id": format!("room-{index}"), "use": "bedroom",
                    "points": [ { "type": "double-socket", "count": 6 }, { "type": "pendant" }, { "type": "one-way-switch" } ] })
        })
        .collect();
    json!({ "survey": { "rooms": rooms } }).to_string()
}

#[tokio::test(flavor = "multi_thread")]
async fn a_crowd_is_answered_or_told_when_to_come_again_and_the_service_is_well_afterwards() {
    let app = App::open().await;
    let survey = heavy();
    let mut crowd = tokio::task::JoinSet::new();
    for _ in 0..300 {
        let asking = app.pricing(survey.clone());
        crowd.spawn(Answer::to(asking));
    }

    let answers = crowd.join_all().await;

    let (served, refused): (Vec<_>, Vec<_>) = answers.iter().partition(|answer| answer.status == 201);
    assert!(!served.is_empty(), "some of a crowd are served");
    assert!(!refused.is_empty(), "three hundred at once are more than the queue holds");
    for answer in refused {
        let _ = answer.problem(503, "unavailable");
        assert!(answer.header("retry-after").parse::<u32>().is_ok_and(|seconds| seconds > 0));
    }
    assert_eq!(app.price(MINIMAL).await.status, 201);
}

#[tokio::test(flavor = "multi_thread")]
async fn a_request_that_finds_no_room_is_told_so_before_its_body_is_read() {
    let capacity = Capacity { queue_size: 1, ..Capacity::default() };
    let app = App::of_capacity(TestDatabase::create().await, Auth::Open, capacity).await;
    let survey = heavy();
    let mut crowd = tokio::task::JoinSet::new();
    for _ in 0..12 {
        let asking: Vec<_> = (0..4).map(|_| app.pricing(survey.clone())).collect();
        crowd.spawn(async move {
            for request in asking {
                let _ = Answer::to(request).await;
            }
        });
    }
    // Its body never comes: whoever reads it first answers 408 after five seconds.
    let head = "POST /v1/estimates HTTP/1.1\r\nhost: localhost\r\ncontent-type: application/json\r\ncontent-length: 500\r\n\r\n";

    let told = async {
        loop {
            let mut asking = connection(&app, head).await;
            let mut answer = vec![0; 4_096];
            if let Ok(Ok(read)) = tokio::time::timeout(Duration::from_millis(1_500), asking.read(&mut answer)).await {
                return String::from_utf8_lossy(&answer[..read]).into_owned();
            }
        }
    };
    let answer = tokio::time::timeout(Duration::from_millis(4_500), told).await.expect("one of a crowd is refused");

    assert!(answer.starts_with("HTTP/1.1 503"), "{answer}");
    assert!(answer.to_ascii_lowercase().contains("retry-after: "), "{answer}");
    crowd.join_all().await;
}

/// A survey that takes a core seconds: many drawn rooms, with beams across every void.
fn full_of_beams() -> String {
    let room = |index: usize| {
        json!({ "id": format!("room-{index}"), "storey": if index < 200 { "ground" } else { "first" },
                "outline": { "x_m": index % 200 % 15 * 4, "y_m": index % 200 / 15 * 4, "width_m": 4, "depth_m": 4 },
                "points": [{ "type": "double-socket", "count": 37 }] })
    };
    let beam = |index: usize| {
        let at = |more: f64| index as f64 * 0.3 + more;
        json!({ "type": "steel-beam", "blocks": ["floor-void", "ceiling-void", "loft", "crawl-space"],
                "from": { "x_m": 0.1, "y_m": at(0.2) }, "to": { "x_m": 50, "y_m": at(0.1) } })
    };
    let (rooms, beams): (Vec<_>, Vec<_>) = ((0..400).map(room).collect(), (0..200).map(beam).collect());
    json!({ "survey": { "rooms": rooms, "obstructions": beams } }).to_string()
}

#[tokio::test(flavor = "multi_thread")]
async fn callers_who_go_away_take_their_work_with_them_and_the_next_one_is_answered_at_once() {
    let app = App::open().await;
    let survey = full_of_beams();
    let asked = Instant::now();
    let _ = app.price(survey.clone()).await;
    // What one takes that is waited for; the crowd goes away long before.
    let whole = asked.elapsed();
    let mut crowd = tokio::task::JoinSet::new();
    for _ in 0..12 {
        crowd.spawn(tokio::time::timeout(whole / 4, Answer::to(app.pricing(survey.clone()))));
    }
    let given_up = crowd.join_all().await.iter().filter(|outcome| outcome.is_err()).count();
    // The others found no room.
    let cores = std::thread::available_parallelism().expect("the system tells").get().min(12);
    assert!(given_up >= cores, "each core was at work for one who went away: {given_up} did");

    let asked = Instant::now();
    let answer = app.price(MINIMAL).await;

    assert_eq!(answer.status, 201);
    assert!(asked.elapsed() < whole / 3, "the next one waited {:?}, and one takes {whole:?}", asked.elapsed());
}

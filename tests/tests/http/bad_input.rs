//! What cannot be priced is refused with every fault named, and nothing breaks.

use end_to_end::{Answer, App};
use reqwest::Method;
use serde_json::json;
use tokio::io::{AsyncReadExt, AsyncWriteExt};

use crate::given::{MINIMAL, kitchen};

#[tokio::test(flavor = "multi_thread")]
async fn a_misspelt_field_is_refused_at_its_place_with_the_name_that_was_meant() {
    let app = App::open().await;
    let survey = json!({ "survey": { "rooms": [ { "id": "kitchen", "pionts": [] } ] } });

    let refused = app.price(survey.to_string()).await;

    assert_eq!(refused.pointers(), ["/survey/rooms/0/pionts"]);
    let fault = &refused.json()["errors"][0];
    assert_eq!(fault["code"], "unknown-field");
    assert!(fault["detail"].as_str().is_some_and(|detail| detail.contains("did you mean `points`")), "{fault}");
}

#[tokio::test(flavor = "multi_thread")]
async fn a_negative_count_and_a_thousand_million_sockets_are_refused() {
    let app = App::open().await;
    for count in [-2, 1_000_000_000] {
        let refused = app.price(kitchen(count).to_string()).await;
        assert_eq!(refused.pointers(), ["/survey/rooms/0/points/0/count"], "{count}");
        assert_eq!(refused.json()["errors"][0]["code"], "out-of-range", "{count}");
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn a_room_id_used_twice_is_refused() {
    let app = App::open().await;
    let room = json!({ "id": "kitchen", "points": [ { "type": "double-socket", "count": 1 } ] });
    let survey = json!({ "survey": { "rooms": [room, room] } });

    let refused = app.price(survey.to_string()).await;

    assert_eq!(refused.pointers(), ["/survey/rooms/1/id"]);
    assert_eq!(refused.json()["errors"][0]["code"], "duplicate-id");
}

#[tokio::test(flavor = "multi_thread")]
async fn a_service_in_a_room_that_does_not_exist_is_refused() {
    let app = App::open().await;
    let mut survey = kitchen(2);
    survey["survey"]["services"] = json!([ { "type": "gas", "room": "garage" } ]);

    let refused = app.price(survey.to_string()).await;

    assert_eq!(refused.pointers(), ["/survey/services/0/room"]);
    assert_eq!(refused.json()["errors"][0]["code"], "unknown-reference");
}

#[tokio::test(flavor = "multi_thread")]
async fn several_faults_are_told_at_once() {
    let app = App::open().await;
    let mut survey = kitchen(-1);
    survey["surveyor"] = json!("someone");
    survey["method"] = json!("by-guess");
    survey["terms"] = json!({ "confidence": 2 });

    let mut pointers = app.price(survey.to_string()).await.pointers();

    pointers.sort();
    assert_eq!(pointers, ["/method", "/survey/rooms/0/points/0/count", "/surveyor", "/terms/confidence"]);
}

#[tokio::test(flavor = "multi_thread")]
async fn what_is_not_json_is_refused_with_its_line_and_column() {
    let app = App::open().await;
    for (body, place) in [
        ("", "line 1, column 0"),
        ("{\n  \"survey\": NaN }", "line 2, column 13"),
        ("{\"survey\": {\"rooms\": [", "line 1"),
        ("room,point,count", "line 1, column 1"),
        ("\u{feff}{}", "line 1, column 1"),
    ] {
        let problem = app.price(body).await.problem(400, "malformed-body");
        assert!(problem["detail"].as_str().is_some_and(|detail| detail.contains(place)), "{body:?}: {problem}");
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn a_nest_of_ten_thousand_levels_is_refused() {
    let app = App::open().await;
    for (open, close) in [("[", "]"), ("{\"a\":", "}")] {
        let nest = format!("{}0{}", open.repeat(10_000), close.repeat(10_000));
        let problem = app.price(nest).await.problem(400, "malformed-body");
        assert!(problem["detail"].as_str().is_some_and(|detail| detail.contains("128 levels")), "{problem}");
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn a_body_of_twenty_megabytes_is_refused_however_it_is_sent() {
    let app = App::open().await;
    let body = || vec![b' '; 20_000_000];

    let _ = app.price(body()).await.problem(413, "body-too-large");

    // In chunks, so that nothing says beforehand how long it is: the door closes long before its end.
    let mut stream = tokio::net::TcpStream::connect(app.running().addr).await.expect("connects");
    let head = "POST /v1/estimates HTTP/1.1\r\nhost: localhost\r\ncontent-type: application/json\r\n\
                transfer-encoding: chunked\r\n\r\n";
    stream.write_all(head.as_bytes()).await.expect("the head is taken");
    let chunk = format!("10000\r\n{}\r\n", " ".repeat(0x1_0000));
    let (mut read, mut write) = stream.into_split();
    let sending = tokio::spawn(async move {
        for _ in 0..320 {
            if write.write_all(chunk.as_bytes()).await.is_err() {
                break;
            }
        }
    });
    let mut start = [0; 12];
    read.read_exact(&mut start).await.expect("an answer comes before the end of the body");
    assert_eq!(&start, b"HTTP/1.1 413");
    sending.abort();
    assert_eq!(app.get("/health/live").await.status, 200);
}

#[tokio::test(flavor = "multi_thread")]
async fn a_tally_with_a_missing_column_or_a_bad_row_is_refused_by_row_and_column() {
    let app = App::open().await;
    let tally = |text: &'static str| {
        Answer::to(app.request(Method::POST, "/v1/estimates").header("content-type", "text/csv").body(text))
    };

    let column = tally("room,count\nkitchen,3\n").await.problem(422, "invalid");
    assert_eq!((&column["errors"][0]["row"], &column["errors"][0]["column"]), (&json!(1), &json!("point")));

    let row =
        tally("room,point,count\nkitchen,double-socket,-3\nkitchen,double-sokcet,1\n").await.problem(422, "invalid");
    let places: Vec<_> = row["errors"].as_array().expect("errors").iter().map(|error| &error["row"]).collect();
    assert_eq!(places, [&json!(2), &json!(3)], "{row}");

    for text in ["", "\n\n\n", "\u{0}\u{0}", "room,point,count\n\"unclosed"] {
        let _ = tally(text).await.problem(422, "invalid");
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn a_key_written_twice_is_refused() {
    let app = App::open().await;
    let refused = app.price(r#"{ "survey": { "rooms": [] , "rooms": [ { "id": "a" } ] } }"#).await;
    let _ = refused.problem(422, "invalid");
}

#[tokio::test(flavor = "multi_thread")]
async fn a_character_that_the_trail_cannot_hold_is_refused() {
    let app = App::open().await;
    let mut survey = kitchen(2);
    survey["survey"]["reference"] = json!("J\u{0}1");

    assert_eq!(app.price(survey.to_string()).await.pointers(), ["/survey/reference"]);
}

#[tokio::test(flavor = "multi_thread")]
async fn a_compressed_body_and_one_of_another_type_are_refused() {
    let app = App::open().await;

    let compressed = Answer::to(app.pricing(MINIMAL).header("content-encoding", "gzip")).await;
    let _ = compressed.problem(415, "unsupported-media-type");

    let untyped = Answer::to(app.request(Method::POST, "/v1/estimates").body(MINIMAL)).await;
    let _ = untyped.problem(415, "unsupported-media-type");
    assert_eq!(untyped.header("accept-post"), "application/json, text/csv");
}

/// Fifty thousand outlets on walls that are doors from corner to corner: a free place is looked for in vain for each.
fn outlets_in_doors() -> String {
    let door = |wall: &str| json!({ "kind": "door", "wall": wall, "from_m": 0, "width_m": 4 });
    let doors = ["front", "back", "left", "right"].map(door);
    let room = json!({ "id": "hall", "storey": "ground", "outline": { "x_m": 0, "y_m": 0, "width_m": 4, "depth_m": 4 },
                       "openings": doors,
                       "points": vec![json!({ "type": "data-outlet", "count": 10_000 }); 5] });
    json!({ "survey": { "rooms": [room] } }).to_string()
}

#[tokio::test(flavor = "multi_thread")]
async fn a_short_survey_of_more_work_than_one_answer_may_take_is_refused_and_says_which_part_and_what_helps() {
    let app = App::open().await;

    let refused = app.price(outlets_in_doors()).await;

    let problem = refused.problem(422, "too-much-work");
    let detail = problem["detail"].as_str().expect("it says why");
    assert!(detail.contains("plans of its storeys") && detail.contains("split"), "{detail}");
    assert_eq!(app.price(MINIMAL).await.status, 201);
}

#[tokio::test(flavor = "multi_thread")]
async fn nothing_that_is_sent_ends_in_a_fault_of_the_service() {
    let app = App::open().await;
    let minimal = MINIMAL.as_bytes();
    for place in 0..minimal.len() {
        for byte in [0, b'"', b'{', b']', b'9', b'-', 0xff] {
            let mut spoilt = minimal.to_vec();
            spoilt[place] = byte;

            let answer = app.price(spoilt).await;

            assert!(answer.status.as_u16() < 500, "byte {place} as {byte}: {}", String::from_utf8_lossy(&answer.bytes));
        }
    }
}

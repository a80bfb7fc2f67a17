//! What goes out: compressed once, bounded in bytes, counted while it is on its way.

use api::Auth;
use api::capacity::Capacity;
use end_to_end::{Answer, App, TestDatabase};
use reqwest::Method;

use crate::given::{DEMONSTRATION, MINIMAL};

/// The answer as it was before it was packed.
fn unpacked(answer: &Answer) -> Vec<u8> {
    assert_eq!(answer.header("content-encoding"), "zstd");
    zstd::decode_all(answer.bytes.as_slice()).expect("one frame of zstd")
}

#[tokio::test(flavor = "multi_thread")]
async fn an_estimate_is_sent_as_it_is_kept_to_who_takes_that_and_unpacked_to_others() {
    let app = App::open().await;
    let made = Answer::to(app.pricing(DEMONSTRATION).header("accept-encoding", "gzip, zstd")).await;
    let path = made.header("location").to_owned();
    let get = |coding: &'static str| Answer::to(app.request(Method::GET, &path).header("accept-encoding", coding));

    let (packed, plain) = (get("zstd").await, app.get(&path).await);

    assert_eq!((made.status.as_u16(), packed.status.as_u16(), plain.status.as_u16()), (201, 200, 200));
    assert!(packed.bytes == made.bytes && unpacked(&packed) == plain.bytes);
    assert!(packed.bytes.len() * 4 < plain.bytes.len(), "{} of {}", packed.bytes.len(), plain.bytes.len());
    assert_eq!(plain.json()["id"], path["/v1/estimates/".len()..]);
    assert_eq!(plain.header("content-encoding"), "");
    for answer in [&made, &packed, &plain] {
        assert_eq!(answer.header("content-length"), answer.bytes.len().to_string());
        assert!(answer.header("vary").contains("Accept-Encoding"), "{}", answer.header("vary"));
    }
    for (coding, status, sent) in [
        ("", 200, ""),
        ("*", 200, ""),
        ("gzip", 200, ""),
        ("zstd;q=0.1", 200, "zstd"),
        ("identity, zstd;q=0.5", 200, ""),
        ("zstd;q=0", 200, ""),
        ("identity;q=0, zstd", 200, "zstd"),
        ("identity;q=0", 406, ""),
        ("gzip, *;q=0", 406, ""),
    ] {
        let answer = get(coding).await;
        assert_eq!((answer.status.as_u16(), answer.header("content-encoding")), (status, sent), "{coding}");
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn each_coding_of_an_estimate_has_a_strong_tag_of_its_own_that_saves_sending_it_again() {
    let app = App::open().await;
    let path = app.price(MINIMAL).await.header("location").to_owned();
    let get = |coding: &'static str, known: &str| {
        Answer::to(app.request(Method::GET, &path).header("accept-encoding", coding).header("if-none-match", known))
    };

    let (plain, packed) = (get("identity", "\"other\"").await, get("zstd", "\"other\"").await);
    let tags = [plain.header("etag"), packed.header("etag")];

    assert!(tags.iter().all(|tag| tag.starts_with('"')) && tags[0] != tags[1], "{tags:?}");
    for (coding, tag, status) in
        [("identity", tags[0], 304), ("zstd", tags[1], 304), ("identity", tags[1], 200), ("zstd", tags[0], 200)]
    {
        let answer = get(coding, tag).await;
        assert_eq!(answer.status, status, "{coding} {tag}");
        assert!(answer.status == 200 || answer.bytes.is_empty());
    }
    let head = Answer::to(app.request(Method::HEAD, &path)).await;
    assert_eq!((head.header("etag"), head.header("content-length")), (tags[0], plain.header("content-length")));
}

#[tokio::test(flavor = "multi_thread")]
async fn a_request_sent_again_gets_the_first_answer_in_whichever_coding_it_takes() {
    let app = App::open().await;
    let send = |coding: &'static str| {
        let request = app.pricing(DEMONSTRATION).header("idempotency-key", "J-1042");
        Answer::to(request.header("accept-encoding", coding))
    };

    let (first, again) = (send("identity").await, send("zstd").await);

    assert_eq!((first.status.as_u16(), again.status.as_u16()), (201, 201));
    assert_eq!(again.header("idempotent-replayed"), "true");
    assert!(unpacked(&again) == first.bytes, "the bytes differ");
    assert_eq!(again.header("audit-entry"), first.header("audit-entry"));
}

#[tokio::test(flavor = "multi_thread")]
async fn an_answer_that_would_be_too_large_is_refused_and_nothing_is_kept_of_it() {
    let capacity = Capacity { answer_max: 100_000, ..Capacity::default() };
    let app = App::of_capacity(TestDatabase::create().await, Auth::Open, capacity).await;

    let refused = app.price(DEMONSTRATION).await.problem(422, "answer-too-large");
    let small = app.price(MINIMAL).await;

    let detail = refused["detail"].as_str().unwrap_or_default();
    assert!(detail.contains("100000 bytes") && detail.contains("fewer rooms"), "{detail}");
    assert_eq!(small.status, 201, "{}", String::from_utf8_lossy(&small.bytes));
    assert!(small.header("audit-entry").starts_with("n=1,"), "{}", small.header("audit-entry"));
}

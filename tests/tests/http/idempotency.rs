//! The same request sent twice is done once.

use end_to_end::{Answer, App};

use crate::given::{MINIMAL, kitchen};

#[tokio::test(flavor = "multi_thread")]
async fn a_request_sent_again_with_its_key_gets_the_first_answer_to_the_byte() {
    let mut app = App::open().await;
    let send = async |app: &App| Answer::to(app.pricing(MINIMAL).header("idempotency-key", "J-1042")).await;

    let first = send(&app).await;
    let again = send(&app).await;
    app.restart().await;
    let later = send(&app).await;

    assert_eq!((first.status.as_u16(), first.header("idempotent-replayed")), (201, ""));
    for replayed in [again, later] {
        assert_eq!((replayed.status.as_u16(), replayed.header("idempotent-replayed")), (201, "true"));
        assert!(replayed.bytes == first.bytes, "the bytes differ");
        assert_eq!(replayed.header("location"), first.header("location"));
        assert_eq!(replayed.header("audit-entry"), first.header("audit-entry"));
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn a_key_is_not_lent_to_another_request() {
    let app = App::open().await;
    let send = |body: String| Answer::to(app.pricing(body).header("idempotency-key", "J-1042"));

    assert_eq!(send(kitchen(3).to_string()).await.status, 201);

    let _ = send(kitchen(4).to_string()).await.problem(422, "idempotency-key-reused");
}

#[tokio::test(flavor = "multi_thread")]
async fn a_refused_request_does_not_use_up_its_key() {
    let app = App::open().await;
    let send = |body: String| Answer::to(app.pricing(body).header("idempotency-key", "J-1042"));

    let _ = send(kitchen(-1).to_string()).await.problem(422, "invalid");

    assert_eq!(send(kitchen(1).to_string()).await.status, 201);
}

#[tokio::test(flavor = "multi_thread")]
async fn ten_twins_at_once_are_one_estimate() {
    let app = App::open().await;
    let twins: tokio::task::JoinSet<Answer> =
        (0..10).map(|_| Answer::to(app.pricing(MINIMAL).header("idempotency-key", "twin"))).collect();

    let answers = twins.join_all().await;

    // A twin that had to wait too long may be told to come again; none may be a second estimate.
    let told: Vec<&Answer> = answers.iter().filter(|answer| answer.status == 201).collect();
    assert!(!told.is_empty());
    assert!(told.iter().all(|answer| answer.bytes == told[0].bytes));
    for late in answers.iter().filter(|answer| answer.status != 201) {
        let (status, slug) = if late.status == 503 { (503, "unavailable") } else { (409, "conflict") };
        let _ = late.problem(status, slug);
        assert!(late.header("retry-after").parse::<u32>().is_ok_and(|seconds| seconds > 0));
    }
    assert_eq!(app.get(told[0].header("location")).await.header("audit-entry"), told[0].header("audit-entry"));
    assert!(told[0].header("audit-entry").starts_with("n=1,"), "{}", told[0].header("audit-entry"));
}

#[tokio::test(flavor = "multi_thread")]
async fn a_key_that_is_none_is_refused() {
    let app = App::open().await;
    for key in [String::new(), "k".repeat(256)] {
        let refused = Answer::to(app.pricing(MINIMAL).header("idempotency-key", key)).await.problem(422, "invalid");
        assert_eq!(refused["errors"][0]["header"], "Idempotency-Key");
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn a_key_is_looked_up_before_the_request_is_worked_on() {
    let app = App::open().await;
    let send = |body: String| Answer::to(app.pricing(body).header("idempotency-key", "J-1042"));
    assert_eq!(send(MINIMAL.to_owned()).await.status, 201);

    // Had it been read first, it would be no JSON.
    let _ = send("{".to_owned()).await.problem(422, "idempotency-key-reused");
}

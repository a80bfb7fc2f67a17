//! A survey looked over while it is typed.

use end_to_end::{Answer, App};
use reqwest::Method;
use serde_json::{Value, json};

async fn reviewed(app: &App, survey: &Value) -> Answer {
    let request = app.request(Method::POST, "/v1/survey-reviews").header("content-type", "application/json");
    Answer::to(request.body(survey.to_string())).await
}

#[tokio::test(flavor = "multi_thread")]
async fn a_survey_of_counts_is_asked_about_its_fabric_in_the_order_of_money() {
    let app = App::open().await;
    // Its scope is said: where it is not, that is asked first whatever it is worth.
    let survey = json!({ "survey": { "scope": "rewire", "rooms": [
        { "id": "kitchen", "points": [{ "type": "double-socket", "count": 6 }, { "type": "pendant" }] }
    ] } });

    let answer = reviewed(&app, &survey).await;

    assert_eq!((answer.status.as_u16(), answer.header("cache-control")), (200, "no-store"));
    let review = answer.json();
    let questions = review["questions"].as_array().expect("questions");
    let worth: Vec<f64> = questions.iter().filter_map(|question| question["worth"].as_str()?.parse().ok()).collect();
    assert!(worth.len() > 5 && worth.is_sorted_by(|a, b| a >= b), "{worth:?}");
    let floors = questions.iter().find(|question| question["id"] == "floor-construction").expect("asked");
    let odds: f64 =
        floors["answers"].as_array().into_iter().flatten().filter_map(|answer| answer["odds"].as_f64()).sum();
    assert!((odds - 1.0).abs() < 1e-9, "{floors}");
    let walls = review["completeness"].as_array().into_iter().flatten().find(|one| one["subject"] == "walls");
    assert_eq!(walls.map(|walls| (&walls["percent"], &walls["missing"])), Some((&json!(0), &json!(["kitchen"]))));
    assert!(review["risk_flags"].is_array() && review["assumptions"].is_array());
}

#[tokio::test(flavor = "multi_thread")]
async fn a_form_that_has_only_begun_is_reviewed_and_a_wrong_word_is_still_refused() {
    let app = App::open().await;

    let begun = reviewed(&app, &json!({ "survey": { "rooms": [{ "id": "hall" }] } })).await;
    assert_eq!(begun.status.as_u16(), 200, "{}", String::from_utf8_lossy(&begun.bytes));

    let refused = reviewed(&app, &json!({ "survey": { "rooms": [{ "id": "hall", "wall": "bricks" }] } })).await;
    let _ = refused.problem(422, "invalid");
    assert_eq!(refused.pointers(), ["/survey/rooms/0/wall"]);
}

#[tokio::test(flavor = "multi_thread")]
async fn the_same_survey_is_reviewed_alike_to_the_byte_and_the_order_of_its_rooms_does_not_matter() {
    let app = App::open().await;
    let rooms = [json!({ "id": "a", "points": [{ "type": "double-socket", "count": 4 }] }), json!({ "id": "b" })];
    let one = json!({ "survey": { "rooms": rooms } });
    let other = json!({ "survey": { "rooms": [rooms[1], rooms[0]] } });

    let first = reviewed(&app, &one).await;

    assert_eq!(first.bytes, reviewed(&app, &one).await.bytes);
    assert_eq!(first.bytes, reviewed(&app, &other).await.bytes);
}

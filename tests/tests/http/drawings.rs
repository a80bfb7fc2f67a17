//! Drawings of a kept estimate.

use end_to_end::{Answer, App};
use reqwest::Method;

use crate::given::{DEMONSTRATION, MINIMAL};

const NAMES: [&str; 3] = ["route-plan", "single-line-diagram", "cost-range"];

#[tokio::test(flavor = "multi_thread")]
async fn a_kept_house_is_drawn_the_same_every_time_also_after_a_restart() {
    let mut app = App::open().await;
    let path = app.price(DEMONSTRATION).await.header("location").to_owned();

    for name in NAMES {
        let drawn = app.get(&format!("{path}/drawings/{name}")).await;
        assert_eq!((drawn.status.as_u16(), drawn.header("content-type")), (200, "image/svg+xml"), "{name}");
        assert_eq!((drawn.header("cache-control"), drawn.header("vary")), ("no-store", "Accept"));
        let text = String::from_utf8(drawn.bytes.clone()).expect("text");
        assert!(text.starts_with("<?xml") && text.ends_with("</svg>\n") && text.contains("Kestrel Bank"), "{name}");

        app.restart().await;
        assert!(app.get(&format!("{path}/drawings/{name}")).await.bytes == drawn.bytes, "{name}: the bytes differ");
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn the_head_of_a_drawing_says_what_its_body_would_be() {
    let app = App::open().await;
    let path = app.price(MINIMAL).await.header("location").to_owned() + "/drawings/cost-range";

    let full = app.get(&path).await;
    let head = Answer::to(app.request(Method::HEAD, &path)).await;

    assert_eq!(head.status, 200);
    assert_eq!(head.header("content-length"), full.bytes.len().to_string());
    assert!(head.bytes.is_empty());
}

#[tokio::test(flavor = "multi_thread")]
async fn a_survey_without_outlines_has_no_plan_and_is_told_why() {
    let app = App::open().await;
    let path = app.price(MINIMAL).await.header("location").to_owned();

    let refused = app.get(&format!("{path}/drawings/route-plan")).await.problem(404, "nothing-to-draw");

    assert!(refused["detail"].as_str().is_some_and(|detail| detail.contains("`outline`")), "{refused}");
    assert_eq!(app.get(&format!("{path}/drawings/single-line-diagram")).await.status, 200);
}

#[tokio::test(flavor = "multi_thread")]
async fn a_drawing_that_there_is_not_is_not_found_and_those_that_there_are_are_named() {
    let app = App::open().await;
    let path = app.price(MINIMAL).await.header("location").to_owned();

    for name in ["floor-plan", "route-plan.svg", "ROUTE-PLAN", "%00"] {
        let refused = app.get(&format!("{path}/drawings/{name}")).await.problem(404, "not-found");
        let detail = refused["detail"].as_str().unwrap_or_default();
        assert!(NAMES.iter().all(|name| detail.contains(name)), "{name}: {detail}");
    }
    for path in ["/v1/estimates/01938f5e-7c1a-7c3e-8a51-0d6f1b2a3c4d", "/v1/estimates/kitchen"] {
        let refused = app.get(&format!("{path}/drawings/cost-range")).await.problem(404, "not-found");
        assert!(refused["detail"].as_str().is_some_and(|detail| detail.contains("estimate")), "{refused}");
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn a_drawing_is_given_as_svg_and_as_nothing_else() {
    let app = App::open().await;
    let path = app.price(MINIMAL).await.header("location").to_owned() + "/drawings/cost-range";
    let asked = |accept: &'static str| Answer::to(app.request(Method::GET, &path).header("accept", accept));

    assert_eq!(asked("image/*").await.header("content-type"), "image/svg+xml");
    let refused = asked("image/png, application/pdf").await.problem(406, "not-acceptable");
    assert!(refused["detail"].as_str().is_some_and(|detail| detail.contains("image/svg+xml")), "{refused}");
}

//! What is stored is what is shown: the document read back from its bytes gives the same papers.

use documents::drawings::Drawing;
use engine::estimate::Estimate;

use crate::support;

#[test]
fn an_estimate_read_back_from_its_stored_bytes_is_the_same_estimate() {
    let estimate = support::estimate();
    let stored = serde_json::to_vec(&estimate).expect("an estimate writes as JSON");

    let read: Estimate = serde_json::from_slice(&stored).expect("and reads back");

    assert_eq!(read, estimate);
    assert_eq!(documents::table::estimate(&read), documents::table::estimate(&estimate));
}

#[test]
fn an_estimate_with_a_field_of_a_later_version_still_reads() {
    let mut value = serde_json::to_value(support::estimate()).expect("an estimate writes as JSON");
    value["added_later"] = serde_json::json!({ "of": "no concern" });

    assert!(serde_json::from_value::<Estimate>(value).is_ok());
}

/// The smallest survey as the first version answered it; what later versions add to the answer is not in it.
const FIRST_VERSION: &str = include_str!("../fixtures/first-version.json");

#[test]
fn an_estimate_of_the_first_version_still_reads_and_gives_its_papers() {
    let estimate: Estimate = serde_json::from_str(FIRST_VERSION).expect("a stored estimate reads for ever");

    assert!(documents::table::estimate(&estimate).contains("Circuits"));
    assert!(documents::csv::estimate_lines(&estimate).is_ok());
    assert!(documents::xlsx::estimate(&estimate).is_ok());
    let drawn: Vec<bool> = Drawing::ALL.into_iter().map(|drawing| drawing.of(&estimate).is_ok()).collect();
    assert_eq!(drawn, [false, true, true], "there is no plan in it");
}

//! What is stored is what is shown: the document read back from its bytes gives the same papers.

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

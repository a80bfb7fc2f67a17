//! The quick reading and the whole schema take the same documents.

use std::sync::LazyLock;

use proptest::prelude::*;

use super::*;
use crate::checks::CircuitCheckRequest;
use crate::demand::DemandRequest;
use crate::rate_sheet::RateSheet;
use crate::survey::EstimateRequest;
use crate::working::CableSizeRequest;

/// A contract and a sound document of it.
struct Case<T> {
    contract: Contract<T>,
    sound: Value,
}

impl<T: ToSchema + DeserializeOwned> Case<T> {
    fn of(sound: Value) -> Self {
        Self { contract: Contract::new(), sound }
    }

    /// The document with the values at some places changed, read both ways.
    fn agrees(&self, changes: &[(usize, Change)]) -> Result<(), TestCaseError> {
        let mut document = self.sound.clone();
        for (place, change) in changes {
            let mut places = Vec::new();
            places_of(&document, &mut String::new(), &mut places);
            let pointer = &places[place % places.len()];
            change.at(pointer, &mut document);
        }
        let bytes = document.to_string().into_bytes();
        let quick = self.contract.read(&bytes).is_ok();
        let whole = self.contract.read_by_schema(&bytes).is_ok();
        prop_assert_eq!(quick, whole, "{}", document);
        // What both readers take the limits must hold for by themselves, or the quick way would never be gone.
        if whole {
            prop_assert!(self.contract.limits.holds(&bytes), "sound, yet read the slow way: {}", document);
        }
        Ok(())
    }
}

/// One thing done to a document.
#[derive(Debug, Clone)]
enum Change {
    Put(Value),
    Longer(usize),
    Remove,
    Add(&'static str),
}

impl Change {
    fn at(&self, pointer: &str, document: &mut Value) {
        match self {
            Self::Remove => {
                let Some((parent, field)) = pointer.rsplit_once('/') else { return };
                match document.pointer_mut(parent) {
                    Some(Value::Object(fields)) => {
                        fields.remove(field);
                    }
                    Some(Value::Array(entries)) => {
                        entries.pop();
                    }
                    _ => {}
                }
            }
            Self::Put(value) => {
                if let Some(place) = document.pointer_mut(pointer) {
                    *place = value.clone();
                }
            }
            Self::Longer(times) => match document.pointer_mut(pointer) {
                Some(Value::Array(entries)) if !entries.is_empty() => {
                    let first = entries[0].clone();
                    entries.resize(*times, first);
                }
                Some(Value::String(text)) => *text = "é".repeat(*times),
                _ => {}
            },
            Self::Add(field) => {
                if let Some(Value::Object(fields)) = document.pointer_mut(pointer) {
                    fields.insert((*field).to_owned(), json!(1));
                }
            }
        }
    }
}

fn places_of(value: &Value, at: &mut String, places: &mut Vec<String>) {
    places.push(at.clone());
    let length = at.len();
    match value {
        Value::Object(fields) => {
            for (key, inner) in fields {
                at.push('/');
                at.push_str(&pointer_token(key));
                places_of(inner, at, places);
                at.truncate(length);
            }
        }
        Value::Array(entries) => {
            for (index, inner) in entries.iter().enumerate() {
                let _ = write!(at, "/{index}");
                places_of(inner, at, places);
                at.truncate(length);
            }
        }
        Value::Null | Value::Bool(_) | Value::Number(_) | Value::String(_) => {}
    }
}

fn any_change() -> impl Strategy<Value = Change> {
    let edges = [-1001.0, -1000.0, -1.0, -0.1, 0.0, 0.05, 0.1, 0.5, 1.0, 2.0, 4.0, 5.0, 20.0, 100.0, 101.0, 400.0];
    prop_oneof![
        4 => prop::sample::select(edges.to_vec()).prop_map(|number| Change::Put(json!(number))),
        2 => (-2_000..12_000i64).prop_map(|number| Change::Put(json!(number))),
        2 => (-2_000.0..12_000.0f64).prop_map(|number| Change::Put(json!(number))),
        1 => prop::sample::select(vec!["", "c1", "ring", "b", "-1.00", "12.50", "standard", "Standard", "tn-c-s"])
            .prop_map(|text| Change::Put(json!(text))),
        1 => Just(Change::Put(Value::Null)),
        1 => Just(Change::Put(json!(true))),
        1 => Just(Change::Put(json!([]))),
        1 => Just(Change::Put(json!({}))),
        2 => prop::sample::select(vec![0, 1, 40, 41, 64, 65, 200, 201, 500, 501]).prop_map(Change::Longer),
        1 => Just(Change::Remove),
        1 => prop::sample::select(vec!["length_m", "note", "colour"]).prop_map(Change::Add),
    ]
}

fn changes() -> impl Strategy<Value = Vec<(usize, Change)>> {
    prop::collection::vec((any::<usize>(), any_change()), 0..3)
}

static CIRCUITS: LazyLock<Case<CircuitCheckRequest>> = LazyLock::new(|| {
    Case::of(serde_json::from_str(include_str!("../../tests/fixtures/shower.json")).expect("the fixture"))
});
static SIZES: LazyLock<Case<CableSizeRequest>> = LazyLock::new(|| {
    Case::of(json!({
        "supply": { "voltage_v": 230, "earthing": "tt", "ze_ohm": 21.5, "fault_current_ka": null },
        "use": "power", "arrangement": "radial", "load": { "current_a": 20 }, "cable_type": "armoured-90c", "length_m": 18,
        "installation": { "method": "d", "ambient_c": 15, "soil_k_m_per_w": 1.5, "depth_m": 0.7, "burial": "direct" },
        "device": { "type": "breaker", "curve": "c", "rating_a": 20 },
        "upstream": { "voltage_drop_v": 1.5, "zs_ohm": 0.4, "fault_current_ka": 0.9 }
    }))
});
static DEMANDS: LazyLock<Case<DemandRequest>> = LazyLock::new(|| {
    Case::of(json!({
        "supply": { "voltage_v": 230, "cut_out_a": 80 },
        "loads": [{ "kind": "cooker", "count": 1, "load_kw": 10.4, "socket_outlet": true }]
    }))
});
static SURVEYS: LazyLock<Case<EstimateRequest>> = LazyLock::new(|| {
    let survey = include_str!("../../../../openapi/examples/kestrel-bank.json");
    Case::of(serde_json::from_str(survey).expect("the example"))
});
static SHEETS: LazyLock<Case<RateSheet>> =
    LazyLock::new(|| Case::of(serde_json::to_value(RateSheet::standard()).expect("writes")));

proptest! {
    #[test]
    fn circuits_are_taken_or_refused_alike(changes in changes()) {
        CIRCUITS.agrees(&changes)?;
    }

    #[test]
    fn loads_to_size_for_are_taken_or_refused_alike(changes in changes()) {
        SIZES.agrees(&changes)?;
    }

    #[test]
    fn demands_are_taken_or_refused_alike(changes in changes()) {
        DEMANDS.agrees(&changes)?;
    }

    #[test]
    fn surveys_are_taken_or_refused_alike(changes in changes()) {
        SURVEYS.agrees(&changes)?;
    }

    #[test]
    fn rate_sheets_are_taken_or_refused_alike(changes in changes()) {
        SHEETS.agrees(&changes)?;
    }
}

#[test]
fn a_list_in_the_place_of_an_object_without_limits_is_refused() {
    let listed =
        br#"{ "survey": { "rooms": [{ "id": "hall", "points": [{ "type": "pendant" }] }], "preferences": [] } }"#;
    let faults = match SURVEYS.contract.read(listed) {
        Err(Unreadable::Faults(faults)) => faults,
        other => panic!("{other:?}"),
    };
    assert_eq!(faults[0].pointer, "/survey/preferences");
}

#[test]
fn a_key_written_twice_is_refused_both_ways() {
    let twice = br#"{ "supply": {}, "loads": [{ "kind": "shower", "load_kw": 9, "load_kw": 10 }] }"#;
    assert!(DEMANDS.contract.read(twice).is_err());
    assert!(DEMANDS.contract.read_by_schema(twice).is_err());
}

#[test]
fn an_unknown_word_is_answered_in_sentences_with_the_words_that_are_known() {
    let contract = Contract::<DemandRequest>::new();
    let detail = |kind: &str| {
        let request = serde_json::json!({ "supply": {}, "loads": [{ "kind": kind, "count": 1, "current_a": 6 }] });
        match contract.read(&request.to_string().into_bytes()) {
            Err(Unreadable::Faults(faults)) => faults[0].detail.clone(),
            other => panic!("not refused: {other:?}"),
        }
    };

    assert!(detail("kettle").starts_with("\"kettle\" is not known here. Accepted: lighting, "), "{}", detail("kettle"));
    let near = "\"cookre\" is not known here; did you mean `cooker`? Accepted: lighting, ";
    assert!(detail("cookre").starts_with(near), "{}", detail("cookre"));
}

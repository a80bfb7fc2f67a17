//! Published worked examples and handbook figures, one a row of `fixtures/published.json`, each with its source and how it
//! is known: `seen` on a page, recalled (`memory`), or `derived` from published figures by the handbook's method.
//!
//! A row names what it changes of one circuit (or the loads of one demand), the figure looked at and what it must be; or the
//! longest run that passes a check and one that does not.

use std::collections::BTreeMap;

use engine::checks::CircuitCheckRequest;
use engine::demand::{DemandRequest, after_diversity};
use engine::standards::Standards;
use engine::working::check_circuits;
use serde::Deserialize;
use serde_json::{Map, Value, json};

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Example {
    group: String,
    what: String,
    source: String,
    status: Status,
    #[serde(default)]
    supply: Map<String, Value>,
    #[serde(default)]
    circuit: Map<String, Value>,
    #[serde(default)]
    loads: Vec<Value>,
    figure: Option<String>,
    value: Option<f64>,
    within: Option<f64>,
    check: Option<String>,
    passes_at_m: Option<f64>,
    fails_at_m: Option<f64>,
}

#[derive(Deserialize, PartialEq, Eq, PartialOrd, Ord, Clone, Copy, Debug)]
#[serde(rename_all = "kebab-case")]
enum Status {
    Seen,
    Memory,
    Derived,
}

fn examples() -> Vec<Example> {
    serde_json::from_str(include_str!("fixtures/published.json")).expect("reads")
}

/// The answer for the example's circuit, as a caller would get it.
fn checked(standards: &Standards, example: &Example, length_m: Option<f64>) -> Value {
    let mut supply = json!({ "voltage_v": 230, "earthing": "tn-c-s", "ze_ohm": 0.35, "fault_current_ka": 1.2 });
    let mut circuit = json!({ "id": "C1", "use": "power", "load": { "current_a": 16 }, "length_m": 10,
        "device": { "type": "rcbo", "curve": "b", "rating_a": 16, "residual_ma": 30 },
        "cable": { "type": "flat-twin-and-earth-70c", "line_mm2": 2.5 }, "installation": { "method": "c" } });
    example.supply.iter().for_each(|(name, value)| supply[name] = value.clone());
    example.circuit.iter().for_each(|(name, value)| circuit[name] = value.clone());
    if let Some(length_m) = length_m {
        circuit["length_m"] = json!(length_m);
    }
    let request: CircuitCheckRequest =
        serde_json::from_value(json!({ "supply": supply, "circuits": [circuit] })).expect("a request");
    let answer = check_circuits(standards, &request).unwrap_or_else(|faults| panic!("{}: {faults:?}", example.what));
    serde_json::to_value(&answer.circuits[0]).expect("writes")
}

fn demand(standards: &Standards, example: &Example) -> Value {
    let request: DemandRequest =
        serde_json::from_value(json!({ "supply": { "cut_out_a": 100 }, "loads": example.loads })).expect("a request");
    let answer = after_diversity(standards, &request).unwrap_or_else(|faults| panic!("{}: {faults:?}", example.what));
    serde_json::to_value(answer).expect("writes")
}

/// `iz_a` of the circuit, `disconnection.limit` of a check, `enclosure.value` of its conduit.
fn figure(answer: &Value, name: &str) -> Option<f64> {
    let Some((check, field)) = name.split_once('.') else { return answer[name].as_f64() };
    if check == "enclosure" {
        return answer[check][field].as_f64();
    }
    let checks = answer["checks"].as_array()?;
    checks.iter().find(|found| found["name"] == check)?[field].as_f64()
}

fn verdict(answer: &Value, check: &str) -> Option<String> {
    let found = answer["checks"].as_array()?.iter().find(|found| found["name"] == check)?;
    found["verdict"].as_str().map(str::to_owned)
}

/// What is wrong with an example, if anything.
fn wrong(standards: &Standards, example: &Example) -> Option<String> {
    if let (Some(check), Some(passes), Some(fails)) = (&example.check, example.passes_at_m, example.fails_at_m) {
        let at = |length_m| verdict(&checked(standards, example, Some(length_m)), check);
        let found = (at(passes), at(fails));
        let expected = (Some("pass".to_owned()), Some("fail".to_owned()));
        return (found != expected).then(|| format!("{}: {found:?} at {passes} and {fails} m", example.what));
    }
    let name = example.figure.as_deref().unwrap_or_default();
    let answer = if example.loads.is_empty() { checked(standards, example, None) } else { demand(standards, example) };
    let (Some(found), Some(published)) = (figure(&answer, name), example.value) else {
        return Some(format!("{}: no figure `{name}`", example.what));
    };
    let off = (found - published).abs() > example.within.unwrap_or(0.0);
    off.then(|| format!("{}: {name} is {found}, published {published} ({})", example.what, example.source))
}

#[test]
fn every_published_example_comes_out_as_published() {
    let standards = Standards::built_in();
    let wrong: Vec<String> = examples().iter().filter_map(|example| wrong(&standards, example)).collect();
    assert!(wrong.is_empty(), "{wrong:#?}");
}

#[test]
fn there_are_published_examples_of_every_part_of_the_calculation() {
    let examples = examples();
    let mut groups: BTreeMap<&str, usize> = BTreeMap::new();
    for example in &examples {
        assert!(!example.source.is_empty(), "{}", example.what);
        *groups.entry(&example.group).or_default() += 1;
    }
    let least = [
        ("voltage-drop", 8),
        ("correction-factors", 20),
        ("loop-impedance", 20),
        ("adiabatic", 8),
        ("diversity", 10),
        ("circuit-lengths", 8),
        ("enclosures", 5),
    ];
    for (group, count) in least {
        assert!(groups.get(group).is_some_and(|held| *held >= count), "{group}: {groups:?}");
    }
    // Read on a page today or published as such, not merely recalled or worked out.
    let seen = examples.iter().filter(|example| example.status == Status::Seen).count();
    assert!(seen >= 40, "{seen} of {} seen", examples.len());
}

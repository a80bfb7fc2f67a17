//! Which lights share a device, in houses made by a rule and in two made for it.

#[path = "answers/houses.rs"]
mod houses;
mod support;

use std::collections::BTreeMap;

use engine::estimate::{Circuit, Estimate};
use serde_json::{Value, json};
use support::{ENGINE, document, priced, read};

const LIT: [&str; 4] = ["pendant", "ceiling-light", "downlight", "bathroom-light"];

/// The uses of the rooms by their identifiers.
fn uses(request: &Value) -> BTreeMap<String, String> {
    let rooms = request["survey"]["rooms"].as_array().expect("rooms");
    let word = |room: &Value, field: &str| room[field].as_str().unwrap_or("other").to_owned();
    rooms.iter().map(|room| (word(room, "id"), word(room, "use"))).collect()
}

fn lights(estimate: &Estimate) -> impl Iterator<Item = &Circuit> {
    let designed = |circuit: &&Circuit| circuit.circuit_type == "lighting" && !circuit.existing;
    estimate.circuits.iter().filter(designed).filter(|circuit| circuit.fed_from.is_none())
}

/// The uses of the rooms whose lights are on a circuit.
fn served(circuit: &Circuit, uses: &BTreeMap<String, String>) -> Vec<String> {
    let rooms = circuit.points.iter().filter(|point| LIT.contains(&point.point_type.as_str()));
    rooms.filter_map(|point| uses.get(&point.room).cloned()).collect()
}

#[test]
fn no_one_device_darkens_hall_and_landing_or_hall_and_cellar() {
    // Common practice, no source; regulation 314.1 asks only that the loss of one circuit be thought of.
    for seed in 0..150 {
        let request = houses::house(seed);
        if request["survey"].get("circuits").is_some() {
            continue;
        }
        // Some are made to be refused.
        let Ok(survey) = ENGINE.read_survey(request.to_string().as_bytes()) else { continue };
        let uses = uses(&request);
        for circuit in lights(&priced(&survey)) {
            let served = served(circuit, &uses);
            let has = |word: &str| served.iter().any(|room| room == word);
            assert!(!(has("hall") && has("landing")), "house {seed}, {}: {served:?}", circuit.name);
            assert!(!(has("hall") && (has("cellar") || has("garage"))), "house {seed}, {}: {served:?}", circuit.name);
        }
    }
}

#[test]
fn the_lamp_of_a_stair_that_is_drawn_beside_the_hall_is_on_the_upper_device() {
    // Common practice, no source: one fault must not darken both ends of the stair.
    let room = |id: &str, room_use: &str, storey: &str| json!({ "id": id, "use": room_use, "storey": storey, "points": [{ "type": "pendant" }, { "type": "one-way-switch" }] });
    let request = json!({ "survey": { "rooms": [
        room("hall", "hall", "ground"), room("stair", "landing", "ground"), room("living", "living", "ground"),
        room("bed", "bedroom", "first")] } });

    let estimate = priced(&read(&request));
    let on = |id: &str| {
        let has = |circuit: &&Circuit| circuit.points.iter().any(|point| point.room == id);
        lights(&estimate).find(has).map(|circuit| circuit.name.clone()).expect("it is lit")
    };

    assert_eq!(on("stair"), on("bed"));
    assert_ne!(on("stair"), on("hall"));
}

#[test]
fn the_hall_of_the_demonstration_house_is_not_on_one_device_with_its_cellar_garage_and_kitchen() {
    let request = document("kestrel-bank.json");
    let uses = uses(&request);
    let estimate = priced(&read(&request));
    let of = |word: &str| lights(&estimate).find(|one| served(one, &uses).iter().any(|room| room == word));

    let hall = of("hall").expect("the hall is lit").name.clone();
    assert!(["cellar", "garage", "kitchen", "landing"].iter().all(|word| of(word).is_none_or(|one| one.name != hall)));
}

#[test]
fn a_flat_has_two_circuits_of_lights_with_its_hall_on_one_and_its_kitchen_on_the_other() {
    // BS 7671 314.1, from memory; two circuits: common practice, no source.
    let room = |id: &str, room_use: &str| json!({ "id": id, "use": room_use, "storey": "ground", "points": [{ "type": "pendant" }, { "type": "one-way-switch" }] });
    let request = json!({ "survey": { "rooms": [
        room("hall", "hall"), room("kitchen", "kitchen"), room("living", "living"), room("bed", "bedroom")] } });

    let estimate = priced(&read(&request));
    let mut rooms: Vec<Vec<&str>> = lights(&estimate)
        .map(|one| {
            let mut rooms: Vec<&str> = one.points.iter().map(|point| point.room.as_str()).collect();
            rooms.sort_unstable();
            rooms.dedup();
            rooms
        })
        .collect();
    rooms.sort();

    assert_eq!(rooms, [vec!["bed", "hall"], vec!["kitchen", "living"]]);
}

//! Every hole through a fire line is sealed: counted from what is drilled, not from what stands on a ceiling.

mod support;

use engine::estimate::Estimate;
use serde_json::Value;
use support::{document, priced, put, read};

fn changed(name: &str, changes: &[(&str, Value)]) -> Estimate {
    let mut request = document(name);
    changes.iter().for_each(|(pointer, value)| put(&mut request, pointer, value));
    priced(&read(&request))
}

fn seals(estimate: &Estimate, room: &str) -> f64 {
    let lines = estimate.lines.iter().filter(|line| line.item == "fire-seals" && line.room.as_deref() == Some(room));
    lines.map(|line| line.quantity).sum()
}

/// Holes that are drilled in the walls of a room, in the void or under it.
fn drilled(estimate: &Estimate, name: &str, in_the_void: bool) -> f64 {
    let of_room = |description: &str| {
        description.contains(&format!("between {name} and")) || description.contains(&format!("and {name}"))
    };
    let holes = estimate.lines.iter().filter(|line| line.item == "wall-hole" && of_room(&line.description));
    holes.filter(|line| line.description.ends_with("in the void") == in_the_void).map(|line| line.quantity).sum()
}

/// The garage of the demonstration house, under a bedroom.
const GARAGE: &str = "/survey/rooms/7";

#[test]
fn every_hole_between_a_garage_and_the_house_is_sealed_and_those_of_its_ceiling_too() {
    let house = changed("kestrel-bank.json", &[]);
    let open = changed("kestrel-bank.json", &[(&format!("{GARAGE}/ceiling/fire_line"), false.into())]);

    let walls = drilled(&house, "garage", false);
    assert!(walls > 0.0, "a cable goes through the wall of the garage");
    // Three points stand on its ceiling, and cables come down through it.
    assert!(seals(&house, "garage") >= walls + 3.0, "{} seals, {walls} of them in walls", seals(&house, "garage"));
    // Where its ceiling keeps no fire back the wall does up to the floor above.
    assert!(drilled(&open, "garage", true) > 0.0);
    let both = drilled(&open, "garage", false) + drilled(&open, "garage", true);
    assert!((seals(&open, "garage") - both).abs() < 0.01, "{} of {both}", seals(&open, "garage"));
}

#[test]
fn a_garage_under_a_bedroom_has_a_fire_line_for_a_ceiling_though_nobody_recorded_one() {
    let recorded = changed("kestrel-bank.json", &[]);
    let unread = changed("kestrel-bank.json", &[(&format!("{GARAGE}/ceiling/fire_line"), Value::Null)]);
    assert!((seals(&recorded, "garage") - seals(&unread, "garage")).abs() < 0.01);
}

#[test]
fn a_store_in_place_of_the_garage_has_no_fire_line() {
    let use_of_garage = format!("{GARAGE}/use");
    let fire_line = format!("{GARAGE}/ceiling/fire_line");
    let store = changed("kestrel-bank.json", &[(&use_of_garage, "store".into()), (&fire_line, Value::Null)]);
    assert!(seals(&store, "garage") < 0.01);
}

#[test]
fn in_a_maisonette_the_holes_over_the_doors_of_its_hall_are_sealed_and_in_a_house_they_are_not() {
    // Over a crawl space of its own, so that its cables go as those of the house do.
    let own_ground = ("/survey/site/storeys/0/below", "crawl-space".into());
    let maisonette = changed("three-bed.json", &[("/survey/site/dwelling", "maisonette".into()), own_ground]);
    let drilled = drilled(&maisonette, "hall", true) + drilled(&maisonette, "hall", false);
    assert!(drilled > 0.0, "cables go through the walls of the hall");
    assert!((seals(&maisonette, "hall") - drilled).abs() < 0.01, "{} of {drilled}", seals(&maisonette, "hall"));

    assert!(seals(&changed("three-bed.json", &[]), "hall") < 0.01);
}

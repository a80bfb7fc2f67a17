//! What is bought covers what is used, and is accounted for room by room, stage by stage, drum by drum.

mod support;

use std::collections::BTreeMap;

use engine::estimate::{Estimate, LineKind, TakeOffItem};
use engine::money::Money;
use engine::rate_sheet::RateSheet;
use engine::survey::{Finish, SuppliedBy};
use serde_json::{Value, json};
use support::{example, priced_with};

fn priced(survey: &[u8], sheet: RateSheet) -> Estimate {
    let request: Value = serde_json::from_slice(survey).expect("it is JSON");
    priced_with(&support::read(&request), sheet)
}

fn survey(survey: &Value) -> Vec<u8> {
    json!({ "survey": survey }).to_string().into_bytes()
}

fn demonstration_house() -> Estimate {
    priced_with(&example("kestrel-bank.json"), RateSheet::standard())
}

fn near(a: f64, b: f64, within: f64) -> bool {
    (a - b).abs() <= within
}

#[test]
fn of_every_material_enough_is_bought_and_none_is_lost_track_of() {
    // What the client brings is listed, and not bought.
    let of_firm = demonstration_house().take_off.into_iter().filter(|item| item.supplied_by == SuppliedBy::Firm);
    for item in of_firm {
        let name = &item.item;
        assert!(item.bought + 0.01 >= item.used + item.waste, "{name}");
        assert!(near(item.left_over, item.bought - item.used - item.waste, 0.03), "{name}");
        let as_bought: f64 = item.purchases.iter().map(|one| one.packs as f64 * one.pack_size).sum();
        assert!(near(as_bought, item.bought, 0.01), "{name}");
        assert_eq!(item.purchases.iter().map(|one| one.cost).sum::<Money>(), item.cost, "{name}");
        assert!(item.left_over_cost <= item.cost && item.cost_at_least <= item.cost, "{name}");
        let rooms: f64 = item.by_room.iter().map(|room| room.used).sum();
        let stages: f64 = item.by_stage.iter().map(|stage| stage.used).sum();
        assert!(near(rooms, item.used, 0.005 * item.by_room.len() as f64 + 0.005), "{name}: {rooms} of {}", item.used);
        assert!(near(stages, item.used, 0.02), "{name}: {stages} of {}", item.used);
    }
}

#[test]
fn the_cuts_of_each_cable_add_to_what_is_used_and_lost_and_fit_on_their_drums() {
    let house = demonstration_house();
    let cables: Vec<&TakeOffItem> = house.take_off.iter().filter(|item| !item.drums.is_empty()).collect();
    assert!(cables.iter().any(|cable| cable.item == "cable-te-2-5"));
    for cable in cables {
        let cuts: f64 = cable.drums.iter().flat_map(|drum| &drum.cuts).sum();
        let pieces: usize = cable.drums.iter().map(|drum| drum.cuts.len()).sum();
        // Each piece is rounded up to a hundredth of a metre.
        assert!(near(cuts, cable.used + cable.waste, 0.01 * pieces as f64 + 0.02), "{}: {cuts}", cable.item);
        for drum in &cable.drums {
            assert!(near(drum.cuts.iter().sum::<f64>() + drum.left_over, drum.pack_size, 1e-6), "{}", cable.item);
        }
        assert_eq!(cable.drums.len() as u64, cable.packs, "{}", cable.item);
    }
}

#[test]
fn what_is_bought_for_the_demonstration_house_is_never_under_its_bound_and_nearly_all_of_it_meets_it() {
    let items = demonstration_house().take_off;
    assert!(items.iter().all(|item| item.cost >= item.cost_at_least));
    // A bound that counts metres and not pieces is not always met: whole lengths leave ends on the drums.
    let unproved: Vec<&str> =
        items.iter().filter(|item| item.cost != item.cost_at_least).map(|item| item.item.as_str()).collect();
    assert!(unproved.len() <= 3 && unproved.iter().all(|item| item.starts_with("cable-")), "{unproved:?}");
}

#[test]
fn every_material_of_the_built_in_sheet_has_a_shelf_at_the_merchants_and_a_stage() {
    for material in RateSheet::standard().materials {
        assert!(!material.category.is_empty() && material.stage.is_some(), "{}", material.item);
    }
}

#[test]
fn a_firm_that_charges_left_overs_has_them_on_a_line_and_the_lines_still_add_up() {
    let survey = include_bytes!("../../../openapi/examples/kestrel-bank.json");
    let mut sheet = RateSheet::standard();
    sheet.terms.left_over_charged_percent = 100.0;

    let (plain, charged) = (demonstration_house(), priced(survey, sheet));

    let line = charged.lines.iter().find(|line| line.item == "left-over").expect("a line for what is left over");
    let left: Money = charged.take_off.iter().map(|item| item.left_over_cost).sum();
    assert_eq!(line.amount, left);
    assert!(plain.lines.iter().all(|line| line.item != "left-over"));
    assert_eq!(charged.totals.materials, plain.totals.materials + left);
    assert_eq!(charged.lines.iter().map(|line| line.amount).sum::<Money>(), charged.totals.net);
}

/// Two rooms taken off by hand. The sums are ours.
#[test]
fn two_rooms_taken_off_by_hand_come_to_the_same_quantities() {
    // Sitting room, brick: 4 double sockets. Each: 2-gang box 35 mm, plate, 2 grommets, 2 fixings, 0.15 m sleeving.
    // Bedroom, dry-lined on dabs: 2 double sockets (2-gang dry-lining box) and 1 pendant with its one-way switch.
    let survey = br#"{ "survey": { "rooms": [
        { "id": "sitting", "use": "living", "wall": "brick", "points": [ { "type": "double-socket", "count": 4 } ] },
        { "id": "bedroom", "use": "bedroom", "wall": "plasterboard-on-dabs", "points": [
            { "type": "double-socket", "count": 2 }, { "type": "pendant", "count": 1 }, { "type": "one-way-switch", "count": 1 } ] } ] } }"#;
    let estimate = priced(survey, RateSheet::standard());
    let used: BTreeMap<(&str, &str), f64> = estimate
        .take_off
        .iter()
        .flat_map(|item| {
            item.by_room.iter().filter_map(|room| Some(((item.item.as_str(), room.room.as_deref()?), room.used)))
        })
        .collect();
    let of = |item, room| used.get(&(item, room)).copied().unwrap_or(0.0);

    assert_eq!(of("box-2g-35", "sitting"), 4.0);
    assert_eq!(of("plate-double-socket", "sitting"), 4.0);
    assert_eq!(of("grommet", "sitting"), 8.0);
    assert_eq!(of("box-2g-dry-lining", "bedroom"), 2.0);
    assert_eq!(of("box-2g-35", "bedroom"), 0.0);
    assert_eq!(of("plate-double-socket", "bedroom"), 2.0);
    assert_eq!(of("pendant-set", "bedroom"), 1.0);
    assert_eq!(of("plate-switch-1g-1way", "bedroom"), 1.0);
    assert_eq!(of("box-1g-dry-lining", "bedroom"), 1.0);
    // A dry-lining box is held by its own lugs and has no knock-out to bush.
    assert_eq!(of("grommet", "bedroom"), 0.0);
    // 6 sockets, 2 % broken: 6.12, bought singly: 7.
    let plates = estimate.take_off.iter().find(|item| item.item == "plate-double-socket").expect("plates");
    assert_eq!((plates.packs, plates.left_over), (7, 0.88));
}

/// What is bought of an item, and who brings it.
fn bought(estimate: &Estimate, item: &str) -> Vec<(f64, f64, SuppliedBy)> {
    let of_item = estimate.take_off.iter().filter(|one| one.item == item);
    of_item.map(|one| (one.used, one.bought, one.supplied_by)).collect()
}

#[test]
fn a_spare_of_a_dear_piece_is_bought_only_where_half_a_piece_or_more_is_expected_to_be_lost() {
    // Common practice, no source: what is dear is fetched again when one breaks, what is cheap is taken along.
    let room = |count: u32| {
        survey(&json!({ "rooms": [{ "id": "kitchen", "points": [
            { "type": "heat-alarm" }, { "type": "extractor-fan", "count": 3 }, { "type": "double-socket", "count": count }
        ] }] }))
    };
    let few = priced(&room(4), RateSheet::standard());
    let many = priced(&room(40), RateSheet::standard());
    let pieces = |estimate: &Estimate, dear: bool| {
        let each = estimate.take_off.iter().filter(|one| one.unit == "each" && (one.pack_size - 1.0).abs() < 0.01);
        let of_price = each.filter(|one| (one.cost.approximate() / one.bought >= 5.0) == dear);
        of_price.map(|one| (one.item.clone(), one.used, one.bought)).collect::<Vec<_>>()
    };
    for (item, used, bought) in pieces(&few, true) {
        assert!((bought - used).abs() < 0.01, "{item}: {used} wanted, {bought} bought");
    }
    assert!(pieces(&few, true).len() > 3, "{:?}", pieces(&few, true));
    // Of the cheap ones there are spares, and of many dear ones too.
    assert!(pieces(&many, false).iter().any(|(_, used, bought)| bought > used));
}

#[test]
fn the_order_says_which_finish_and_who_brings_it() {
    let house = json!({ "rooms": [{ "id": "hall", "points": [
        { "type": "double-socket", "count": 2, "finish": "white" },
        { "type": "double-socket", "count": 3, "finish": "metal-flat" },
        { "type": "double-socket", "count": 1, "supplied_by": "client" }
    ] }] });
    let estimate = priced(&survey(&house), RateSheet::standard());
    let of_firm: Vec<&TakeOffItem> = estimate
        .take_off
        .iter()
        .filter(|one| one.item == "plate-double-socket" && one.supplied_by == SuppliedBy::Firm)
        .collect();
    assert_eq!(
        of_firm.iter().map(|one| (one.finish, one.used)).collect::<Vec<_>>(),
        [(Some(Finish::White), 2.0), (Some(Finish::MetalFlat), 3.0)]
    );
    assert!(of_firm[1].cost.approximate() / of_firm[1].bought > of_firm[0].cost.approximate() / of_firm[0].bought);
    let brought = bought(&estimate, "plate-double-socket").into_iter().filter(|one| one.2 == SuppliedBy::Client);
    assert_eq!(brought.collect::<Vec<_>>(), [(1.0, 0.0, SuppliedBy::Client)]);
    let charged: Money = estimate.take_off.iter().map(|one| one.charged).sum();
    assert!(charged > Money::ZERO);
}

#[test]
fn what_the_counter_cuts_is_bought_by_the_metre() {
    let house = json!({ "rooms": [{ "id": "hall", "points": [{ "type": "double-socket", "count": 2 }] }] });
    let estimate = priced(&survey(&house), RateSheet::standard());
    let earth = estimate.take_off.iter().find(|one| one.item == "conductor-earth-16").expect("an earthing conductor");
    assert!(earth.left_over < 1.0 && earth.bought < 6.0, "{earth:?}");
}

#[test]
fn every_point_that_hangs_on_one_circuit_says_which() {
    let house = json!({ "rooms": [{ "id": "hall", "points": [{ "type": "double-socket", "count": 2 }, { "type": "pendant" }] }] });
    let estimate = priced(&survey(&house), RateSheet::standard());
    let ids: Vec<&str> = estimate.circuits.iter().map(|circuit| circuit.id.as_str()).collect();
    let points = estimate.lines.iter().filter(|line| line.kind == LineKind::Point);
    for line in points {
        assert!(line.circuit.as_deref().is_some_and(|circuit| ids.contains(&circuit)), "{line:?}");
    }
}

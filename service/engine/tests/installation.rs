//! The board, the earthing and what hangs on them, in whole houses.

mod support;

use std::collections::{BTreeMap, BTreeSet};

use engine::checks::Verdict;
use engine::estimate::{Board, Estimate};
use serde_json::{Value, json};
use support::{document, priced, read};

fn estimate(request: &Value) -> Estimate {
    priced(&read(request))
}

/// Two storeys, invented.
fn house() -> Value {
    let lit = |id: &str, room_use: &str, storey: &str| {
        json!({ "id": id, "use": room_use, "storey": storey,
                "points": [{ "type": "double-socket", "count": 3 }, { "type": "pendant" }, { "type": "one-way-switch" }] })
    };
    json!({ "survey": {
        "rooms": [lit("hall", "hall", "ground"), lit("front", "living", "ground"), lit("kitchen", "kitchen", "ground"),
                  lit("bed", "bedroom", "first"), lit("back", "bedroom", "first")],
        "consumer_unit": { "room": "hall" }, "intake": { "room": "hall" },
        "supply": { "earthing": "tn-c-s", "ze_ohm": 0.3, "fault_current_ka": 1.2, "cut_out_a": 80 }
    } })
}

/// The same house with something changed.
fn with(pointer: &str, value: Value) -> Estimate {
    let mut house = house();
    let (parent, field) = pointer.rsplit_once('/').expect("a pointer");
    house.pointer_mut(parent).expect("a place")[field] = value;
    estimate(&house)
}

fn flags(estimate: &Estimate) -> Vec<&str> {
    estimate.risk_flags.iter().map(|flag| flag.id.as_ref()).collect()
}

/// Rooms that have lights, by what has to trip for them to go dark: a circuit's own device, or the one before it.
fn dark_by_trip(estimate: &Estimate) -> (BTreeSet<String>, BTreeMap<String, BTreeSet<String>>) {
    let sections: BTreeMap<&str, u8> =
        (estimate.board.chart.iter()).filter_map(|way| Some((way.circuit.as_deref()?, way.section?))).collect();
    let lights = ["pendant", "ceiling-light", "downlight", "wall-light", "bathroom-light", "linear-light"];
    let mut all = BTreeSet::new();
    let mut dark: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    for circuit in estimate.circuits.iter().filter(|circuit| circuit.fed_from.is_none()) {
        for points in circuit.points.iter().filter(|points| lights.contains(&points.point_type.as_str())) {
            all.insert(points.room.clone());
            dark.entry(circuit.id.clone()).or_default().insert(points.room.clone());
            if let Some(section) = sections.get(circuit.id.as_str()) {
                dark.entry(format!("section {section}")).or_default().insert(points.room.clone());
            }
        }
    }
    (all, dark)
}

#[test]
fn no_single_trip_darkens_the_house_whatever_the_board() {
    // Source: BS 7671 314.1, from memory.
    for name in ["kestrel-bank.json", "three-bed.json", "counts-only.json"] {
        for board in ["rcbo", "split-load"] {
            let mut request = document(name);
            request["survey"]["preferences"]["board"] = json!(board);
            let (all, dark) = dark_by_trip(&estimate(&request));
            for (device, rooms) in dark {
                assert!(rooms.len() < all.len(), "{name}, {board}: {device} darkens every room");
            }
        }
    }
}

#[test]
fn on_a_split_board_lights_and_sockets_of_a_storey_hang_on_different_devices() {
    // Source: BS 7671 314.1, from memory; common practice on boards with two residual current devices.
    let estimate = with("/survey/preferences", json!({ "board": "split-load" }));

    let section = |name: &str| {
        let way = estimate.board.chart.iter().find(|way| way.name == name);
        way.unwrap_or_else(|| panic!("no way {name}")).section.expect("a section")
    };
    assert_ne!(section("Lights, first floor"), section("Sockets, first floor"));
    assert_ne!(section("Lights, ground floor"), section("Lights, first floor"));
}

#[test]
fn on_a_split_board_a_charge_point_and_an_outbuilding_have_devices_of_their_own() {
    // Source: BS 7671 722.531.3.1, from memory: a charge point is protected by a residual current device of its own.
    let mut request = document("kestrel-bank.json");
    request["survey"]["preferences"]["board"] = json!("split-load");
    let estimate = estimate(&request);

    let section: BTreeMap<&str, Option<u8>> =
        estimate.board.chart.iter().filter_map(|way| Some((way.circuit.as_deref()?, way.section))).collect();
    for circuit in &estimate.circuits {
        let own = circuit.circuit_type == "charge-point" || circuit.fed_from.is_some();
        let feed = circuit.circuit_type == "distribution";
        assert_eq!(circuit.device.device_type == "rcbo", own, "{}", circuit.name);
        if circuit.fed_from.is_none() {
            assert_eq!(section[circuit.id.as_str()].is_none(), own || feed, "{}", circuit.name);
        }
        assert!(circuit.checks.iter().all(|check| check.verdict != Verdict::Fail), "{}", circuit.name);
    }
}

#[test]
fn the_chart_numbers_every_way_and_holds_every_circuit_once() {
    let estimate = estimate(&document("kestrel-bank.json"));

    let whole = |board: &[engine::estimate::Way], ways: u32, used: u32| {
        assert_eq!(board.iter().map(|way| way.way).collect::<Vec<u32>>(), (1..=ways).collect::<Vec<u32>>());
        assert_eq!(board.iter().filter(|way| way.circuit.is_some()).count(), used as usize);
        assert!(
            board.iter().filter(|way| way.circuit.is_some()).all(|way| way.cable.is_some() && way.device.is_some())
        );
    };
    let board = &estimate.board;
    whole(&board.chart, board.ways, board.ways_used);
    for sub_board in &board.sub_boards {
        whole(&sub_board.chart, sub_board.ways, sub_board.ways_used.expect("ways used"));
    }
    let charted: usize = board.sub_boards.iter().filter_map(|board| board.ways_used).map(|used| used as usize).sum();
    assert_eq!(board.ways_used as usize + charted, estimate.circuits.len());
}

#[test]
fn what_is_to_come_has_its_way_and_is_said() {
    let board: Board = with("/survey/future", json!([{ "type": "heat-pump" }, { "type": "home-office" }])).board;

    let kept: Vec<&str> = board.chart.iter().filter_map(|way| way.kept_for.as_deref()).collect();
    assert_eq!(kept, ["heat-pump"]);
    assert_eq!(board.provisions.len(), 2);
    assert!(board.provisions.iter().all(|laid| !laid.provision.is_empty() && !laid.source.is_empty()));
}

#[test]
fn tails_of_25_mm2_bring_16_mm2_of_earth_and_bonds_of_10_mm2() {
    // Source: BS 7671 Tables 54.7 and 54.8, seen.
    let earthing =
        with("/survey/services", json!([{ "type": "gas" }, { "type": "water", "entry_material": "plastic" }]))
            .board
            .earthing
            .expect("the earthing");

    assert_eq!(earthing.conductor_mm2, 16.0);
    let bonds: Vec<(&str, bool, f64)> =
        earthing.main_bonds.iter().map(|bond| (bond.service.as_str(), bond.needed, bond.size_mm2)).collect();
    assert_eq!(bonds, [("gas", true, 10.0), ("water", false, 10.0)]);
    assert!(earthing.electrode.is_none());
}

#[test]
fn a_house_with_its_own_electrode_says_what_it_may_have() {
    // Source: BS 7671 411.5.3 and Table 41.5, from memory.
    let estimate = with("/survey/supply", json!({ "earthing": "tt", "cut_out_a": 80 }));

    let electrode = estimate.board.earthing.clone().expect("the earthing").electrode.expect("an electrode");
    assert_eq!((electrode.ohm_max.value(), electrode.conductor_mm2), (200.0, 16.0));
    assert!(estimate.lines.iter().any(|line| line.item == "earth-electrode"));
    assert!(estimate.circuits.iter().all(|circuit| circuit.verdict != Verdict::Fail), "30 mA allows 1667 ohm");
}

#[test]
fn a_bathroom_whose_circuits_all_disconnect_and_have_30_ma_wants_no_bonds_of_its_own() {
    // Source: BS 7671 701.415.2, from memory.
    let bathroom = json!({ "id": "bath", "use": "bathroom", "storey": "first",
                           "points": [{ "type": "bathroom-light" }, { "type": "pull-cord-switch" }] });
    let mut house = house();
    house["survey"]["rooms"].as_array_mut().expect("rooms").push(bathroom);

    let bonds = estimate(&house).board.earthing.expect("the earthing").supplementary;

    assert_eq!(bonds.iter().map(|bond| (bond.room.as_str(), bond.needed)).collect::<Vec<_>>(), [("bath", false)]);
    // Where the supply is so poor that no breaker acts in time, they are.
    house["survey"]["supply"]["ze_ohm"] = json!(40);
    assert!(estimate(&house).board.earthing.expect("the earthing").supplementary[0].needed);
}

#[test]
fn a_board_out_of_reach_or_in_the_loft_is_said_to_stand_badly() {
    // Source: BS 7671 132.12, from memory.
    let high = with("/survey/consumer_unit", json!({ "room": "hall", "height_m": 2.3 }));
    assert_eq!(high.board.place.as_ref().map(|place| place.verdict), Some(Verdict::Fail));
    assert!(flags(&high).contains(&"board-place-bad"));

    let well = with("/survey/consumer_unit", json!({ "room": "front", "height_m": 1.4 }));
    assert!(!flags(&well).contains(&"board-place-bad"));
    assert_ne!(well.board.place.as_ref().map(|place| place.verdict), Some(Verdict::Fail));
}

#[test]
fn a_battery_in_a_bedroom_is_stopped_and_its_devices_work_both_ways() {
    // Source: PAS 63100:2024, from memory; Amendment 4 as reported.
    let estimate = with("/survey/rooms/3/appliances", json!([{ "type": "battery", "load_kw": 3.7 }]));

    let flag = estimate.risk_flags.iter().find(|flag| flag.id == "battery-place-bad").expect("a flag");
    assert!(flag.what.contains("bed:"), "{}", flag.what);
    let both: Vec<&str> = (estimate.circuits.iter())
        .filter(|circuit| circuit.device.both_directions)
        .map(|circuit| circuit.circuit_type.as_str())
        .collect();
    assert_eq!(both, ["appliance"]);
    let rule = estimate.board.new_rules.iter().find(|rule| rule.subject == "two-way-devices").expect("judged");
    assert_eq!((rule.applies, rule.verdict), (true, Verdict::Advise));
}

#[test]
fn three_phases_are_shared_out_and_to_be_confirmed() {
    let estimate = with("/survey/supply", json!({ "earthing": "tn-s", "phases": 3, "cut_out_a": 100 }));

    assert!(flags(&estimate).contains(&"three-phase-supply"));
    assert_eq!(estimate.board.supply.as_ref().map(|supply| supply.phases), Some(3));
    assert!(estimate.demand.notes.iter().any(|note| note.contains("three phases")), "{:?}", estimate.demand.notes);
}

#[test]
fn arc_detection_is_recommended_in_a_house_and_required_in_a_tower() {
    // Source: BS 7671 421.1.7, from memory.
    assert_eq!(estimate(&house()).board.arc_detection.as_ref().map(|judged| judged.verdict), Some(Verdict::Advise));
    let tower =
        with("/survey/site", json!({ "storeys": [{ "id": "ground", "level": 7 }, { "id": "first", "level": 8 }] }));
    assert_eq!(tower.board.arc_detection.as_ref().map(|judged| judged.verdict), Some(Verdict::Fail));
    assert!(flags(&tower).contains(&"arc-detection-required"));
}

#[test]
fn sockets_out_of_doors_count_as_a_circuit_of_sockets() {
    // Source: On-Site Guide Table A2: every other circuit of sockets at 40 % (seen).
    let outside = json!({ "id": "outside", "use": "outside", "points": [{ "type": "outside-socket" }] });
    let mut house = house();
    let before = estimate(&house).demand.after_diversity_a.value();
    house["survey"]["rooms"].as_array_mut().expect("rooms").push(outside);

    let after = estimate(&house).demand.after_diversity_a.value();

    assert!((after - before - 8.0).abs() < 0.01, "20 A x 0.4: {before} then {after}");
}

#[test]
fn a_switch_beside_a_drawn_bath_is_stopped() {
    // Source: BS 7671 701.32.4, 0.6 m, seen.
    let bathroom = json!({ "id": "bath", "use": "bathroom", "storey": "first",
        "outline": { "x_m": 0, "y_m": 0, "width_m": 2.4, "depth_m": 2.0 },
        "baths": [{ "x_m": 0, "y_m": 0, "width_m": 1.7, "depth_m": 0.7 }],
        "points": [{ "type": "bathroom-light" }, { "type": "one-way-switch", "at": { "x_m": 2.0, "y_m": 0 } }] });
    let mut house = house();
    house["survey"]["rooms"].as_array_mut().expect("rooms").push(bathroom);

    let estimate = estimate(&house);

    let switch = estimate.bathrooms.iter().find(|point| point.point_type == "one-way-switch").expect("judged");
    assert_eq!((switch.distance_m, switch.measured, switch.verdict), (0.3, true, Verdict::Fail));
    assert!(flags(&estimate).contains(&"bathroom-zone-conflict"));
}

#[test]
fn long_tails_are_a_feed_whose_drop_and_impedance_are_in_every_check() {
    // Source: IEC 60228, 25 mm2 0.727 and 16 mm2 1.15 mohm/m, 1.2 at 70 degC; BS 7671 Table 4D1B, 25 mm2 1.8 mV/A/m in
    // conduit, as the data file has it.
    let beside = with("/survey/consumer_unit", json!({ "room": "hall" }));
    let away = with("/survey/consumer_unit", json!({ "room": "back" }));
    let (near, far) = (&beside.board, &away.board);
    let figures = |board: &Board| {
        let zs = board.zs_ohm.expect("known").value();
        (zs, board.tails_drop_v.expect("known").value(), board.fault_current_ka.expect("measured"))
    };
    assert!(near.tails_m.value() <= 3.0 && far.tails_m.value() > 3.0, "{} {}", near.tails_m, far.tails_m);
    assert_eq!(figures(near), (0.3, 0.0, 1.2));

    let (zs, drop, fault_ka) = figures(far);
    let metres = far.tails_m.value();
    assert!((zs - 0.3 - (0.727 + 1.15) * 1.2 * metres / 1_000.0).abs() < 0.000_3, "{zs} at {metres} m");
    assert!((drop - 1.8 * 80.0 * metres / 1_000.0).abs() < 0.02, "{drop} at {metres} m");
    assert!(fault_ka < 1.2 && fault_ka > 0.9, "{fault_ka}");
    assert!(far.because.iter().any(|line| line.starts_with("The tails are in every check")), "{:?}", far.because);
    for circuit in away.circuits.iter().filter(|circuit| circuit.fed_from.is_none()) {
        let says = |name: &str, words: &str| {
            circuit.checks.iter().any(|check| check.name.word() == name && check.working.contains(words))
        };
        assert!(says("voltage-drop", "V upstream"), "{}: {:?}", circuit.id, circuit.checks);
        assert!(says("disconnection", &format!("Zs = {zs} +")), "{}: {:?}", circuit.id, circuit.checks);
    }
}

#[test]
fn a_designer_is_told_for_which_conditions_the_capacities_are_read() {
    // Source: BS 7671 Appendix 4: 30 degC in air, 20 degC and 2.5 K.m/W in the ground, from memory.
    let estimate = estimate(&house());

    let told = estimate.assumptions.iter().find(|one| one.subject == "cables-as-they-lie").expect("it is said");
    assert!(told.assumed.starts_with("30 degC in air, 20 degC and 2.5 K.m/W"), "{}", told.assumed);
    let overload = |working: &str| working.contains("Ca 1: 30 degC") && working.contains("Cg 1: 1 together");
    for circuit in &estimate.circuits {
        let check = circuit.checks.iter().find(|check| check.name.word() == "overload").expect("it is checked");
        assert!(overload(&check.working), "{}: {}", circuit.id, check.working);
    }
}

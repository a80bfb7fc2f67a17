//! Houses made by a fixed rule, no two alike: drawn and not, lived in, kept in part, with outbuildings. All invented.

use engine::survey::{ApplianceType, PointType, RoomUse, Wall};
use serde_json::{Value, json};

/// Numbers that look like chance and are the same on every machine (splitmix64, public domain).
pub struct Numbers(u64);

impl Numbers {
    pub fn seeded(seed: u64) -> Self {
        Self(seed.wrapping_mul(0x2545_F491_4F6C_DD1D).wrapping_add(1))
    }

    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        mixed ^ (mixed >> 31)
    }

    /// From `low` to `high`, both with it.
    fn between(&mut self, low: u64, high: u64) -> u64 {
        low + self.next() % (high - low + 1)
    }

    /// Once in so many times.
    fn once_in(&mut self, times: u64) -> bool {
        self.next().is_multiple_of(times)
    }

    fn one_of<'a>(&mut self, words: &[&'a str]) -> &'a str {
        words[self.between(0, words.len() as u64 - 1) as usize]
    }

    fn tenths(&mut self, low: u64, high: u64) -> f64 {
        self.between(low, high) as f64 / 10.0
    }
}

const FLOORS: [&str; 7] = [
    "suspended-timber",
    "solid-concrete",
    "screed-with-heating",
    "beam-and-block",
    "chipboard-on-joists",
    "timber-on-battens",
    "stone-flag",
];
const COVERINGS: [&str; 8] =
    ["none", "carpet", "laminate", "timber-glued", "tile", "quarry-tile", "sheet-vinyl", "vinyl-tile"];
const CEILINGS: [&str; 7] = [
    "plasterboard",
    "lath-and-plaster",
    "concrete",
    "exposed-beams",
    "tongue-and-groove-board",
    "suspended-tile",
    "vaulted",
];
const INSULATION: [&str; 5] = ["mineral-wool", "polystyrene", "foam-board", "loose-fill", "none"];
const OCCUPANCIES: [&str; 5] = ["empty", "lightly-furnished", "furnished", "full", "in-use"];
const FINISHES: [&str; 6] = ["white", "white-slim", "metal-flat", "metal-screwless", "painted", "client-supplied"];
const DWELLINGS: [&str; 7] = ["detached", "semi-detached", "terrace", "end-terrace", "bungalow", "flat", "maisonette"];
const GROUNDS: [&str; 7] = ["lawn", "bed", "gravel", "slabs", "concrete", "tarmac", "shared-drive"];
const FUTURES: [&str; 9] = [
    "loft-conversion",
    "extension",
    "charge-point",
    "heat-pump",
    "stair-lift",
    "solar",
    "battery",
    "hot-tub",
    "home-office",
];

fn wall(numbers: &mut Numbers) -> &'static str {
    let all = Wall::ALL;
    all[numbers.between(0, all.len() as u64 - 1) as usize].word()
}

/// Puts a field in, once in so many times.
fn perhaps(numbers: &mut Numbers, times: u64, to: &mut Value, field: &str, value: impl FnOnce(&mut Numbers) -> Value) {
    if numbers.once_in(times) {
        to[field] = value(numbers);
    }
}

fn point(numbers: &mut Numbers, outline: Option<&Value>) -> Value {
    let all = PointType::ALL;
    // Sockets, switches and lights are most of a house.
    let usual = ["double-socket", "double-socket", "pendant", "one-way-switch", "two-way-switch", "smoke-alarm"];
    let kind = if numbers.once_in(2) {
        numbers.one_of(&usual)
    } else {
        all[numbers.between(0, all.len() as u64 - 1) as usize].word()
    };
    let mut point = json!({ "type": kind });
    perhaps(numbers, 2, &mut point, "count", |numbers| numbers.between(1, 6).into());
    perhaps(numbers, 8, &mut point, "finish", |numbers| numbers.one_of(&FINISHES).into());
    perhaps(numbers, 10, &mut point, "supplied_by", |numbers| numbers.one_of(&["firm", "client"]).into());
    perhaps(numbers, 12, &mut point, "weight_kg", |numbers| numbers.between(1, 20).into());
    perhaps(numbers, 12, &mut point, "priority", |numbers| numbers.one_of(&["must", "want", "could"]).into());
    perhaps(numbers, 14, &mut point, "existing_reuse", |_| true.into());
    perhaps(numbers, 12, &mut point, "height_m", |numbers| numbers.tenths(3, 20).into());
    if ["one-way-switch", "two-way-switch", "intermediate-switch"].contains(&kind) {
        perhaps(numbers, 3, &mut point, "gangs", |numbers| numbers.between(1, 3).into());
    }
    if let Some(outline) = outline {
        let (width, depth) = (outline["width_m"].as_f64().unwrap_or(1.0), outline["depth_m"].as_f64().unwrap_or(1.0));
        if numbers.once_in(3) {
            let share = numbers.tenths(1, 9);
            let x = outline["x_m"].as_f64().unwrap_or(0.0) + (width * share / 10.0 * 100.0).round() / 100.0;
            point["at"] = json!({ "x_m": x, "y_m": outline["y_m"] });
            point["count"] = 1.into();
        } else if numbers.once_in(4) {
            point["wall"] = numbers.one_of(&["front", "back", "left", "right"]).into();
            point["along_m"] = ((width.min(depth) * numbers.tenths(1, 9) / 10.0 * 100.0).round() / 100.0).into();
            point["count"] = 1.into();
        }
    }
    point
}

fn room(numbers: &mut Numbers, index: usize, place: Option<(&str, Value)>) -> Value {
    let uses = RoomUse::ALL;
    let mut room = json!({
        "id": format!("room-{index}"), "use": uses[numbers.between(0, uses.len() as u64 - 1) as usize].word()
    });
    if let Some((storey, outline)) = place {
        room["storey"] = storey.into();
        room["outline"] = outline;
    }
    perhaps(numbers, 2, &mut room, "wall", |numbers| wall(numbers).into());
    perhaps(numbers, 2, &mut room, "occupancy", |numbers| numbers.one_of(&OCCUPANCIES).into());
    perhaps(numbers, 2, &mut room, "floor", |numbers| {
        let mut floor = json!({ "construction": numbers.one_of(&FLOORS) });
        perhaps(numbers, 2, &mut floor, "covering", |numbers| numbers.one_of(&COVERINGS).into());
        perhaps(numbers, 4, &mut floor, "joists", |numbers| numbers.one_of(&["left-to-right", "front-to-back"]).into());
        perhaps(numbers, 6, &mut floor, "crawl_space_m", |numbers| numbers.tenths(2, 9).into());
        perhaps(numbers, 6, &mut floor, "joist_depth_mm", |numbers| numbers.between(80, 250).into());
        perhaps(numbers, 8, &mut floor, "boards", |_| "tongued".into());
        floor
    });
    perhaps(numbers, 2, &mut room, "ceiling", |numbers| {
        let mut ceiling = json!({ "construction": numbers.one_of(&CEILINGS) });
        perhaps(numbers, 3, &mut ceiling, "insulation_mm", |numbers| (numbers.between(0, 30) * 10).into());
        perhaps(numbers, 4, &mut ceiling, "insulation", |numbers| numbers.one_of(&INSULATION).into());
        perhaps(numbers, 6, &mut ceiling, "textured", |_| true.into());
        perhaps(numbers, 8, &mut ceiling, "fire_line", |_| true.into());
        perhaps(numbers, 8, &mut ceiling, "void_reached", |numbers| numbers.once_in(2).into());
        ceiling
    });
    for (field, times) in [("tiled", 6), ("surface_wiring", 6), ("units_stay", 8), ("combustion_appliance", 8)] {
        perhaps(numbers, times, &mut room, field, |_| true.into());
    }
    perhaps(numbers, 8, &mut room, "height_m", |numbers| numbers.tenths(20, 40).into());
    let outline = room
        .get("outline")
        .filter(|_| !["outside", "other"].contains(&room["use"].as_str().unwrap_or_default()))
        .cloned();
    let points: Vec<Value> = (0..numbers.between(1, 6)).map(|_| point(numbers, outline.as_ref())).collect();
    room["points"] = points.into();
    perhaps(numbers, 5, &mut room, "appliances", |numbers| {
        let all = ApplianceType::ALL;
        let mut appliance = json!({ "type": all[numbers.between(0, all.len() as u64 - 1) as usize].word() });
        perhaps(numbers, 2, &mut appliance, "load_kw", |numbers| numbers.tenths(10, 105).into());
        json!([appliance])
    });
    room
}

/// Rooms side by side in two rows on each storey, with walls of a hand's breadth between some of them.
fn drawn_rooms(numbers: &mut Numbers) -> Vec<Value> {
    let storeys = ["ground", "first", "cellar"];
    let mut rooms = Vec::new();
    let across = numbers.between(1, 3);
    let (widths, depths): (Vec<f64>, Vec<f64>) =
        ((0..across).map(|_| numbers.tenths(18, 48)).collect(), vec![numbers.tenths(22, 45), numbers.tenths(22, 45)]);
    let gap = if numbers.once_in(2) { 0.0 } else { 0.1 };
    for storey in &storeys[..numbers.between(1, 3) as usize] {
        let mut y = 0.0;
        for depth in &depths {
            let mut x = 0.0;
            for width in &widths {
                let outline = json!({ "x_m": x, "y_m": y, "width_m": width, "depth_m": depth });
                rooms.push(room(numbers, rooms.len(), Some((storey, outline))));
                x = ((x + width + gap) * 100.0_f64).round() / 100.0;
            }
            y = ((y + depth + gap) * 100.0_f64).round() / 100.0;
        }
    }
    rooms
}

fn site(numbers: &mut Numbers) -> Value {
    let mut site = json!({});
    perhaps(numbers, 2, &mut site, "dwelling", |numbers| numbers.one_of(&DWELLINGS).into());
    perhaps(numbers, 2, &mut site, "built_year", |numbers| numbers.between(1880, 2020).into());
    perhaps(numbers, 2, &mut site, "nation", |numbers| {
        numbers.one_of(&["england", "wales", "scotland", "northern-ireland"]).into()
    });
    perhaps(numbers, 3, &mut site, "tenure", |numbers| {
        numbers.one_of(&["owner-occupied", "private-let", "social-let", "leasehold"]).into()
    });
    perhaps(numbers, 8, &mut site, "listed", |_| true.into());
    perhaps(numbers, 3, &mut site, "occupancy", |numbers| numbers.one_of(&OCCUPANCIES).into());
    perhaps(numbers, 3, &mut site, "wall", |numbers| wall(numbers).into());
    perhaps(numbers, 3, &mut site, "distance_km", |numbers| numbers.between(1, 60).into());
    perhaps(numbers, 3, &mut site, "parking", |numbers| {
        numbers.one_of(&["drive", "street", "permit", "distant"]).into()
    });
    perhaps(numbers, 8, &mut site, "party_walls", |numbers| json!([numbers.one_of(&["left", "right"])]));
    perhaps(numbers, 8, &mut site, "vulnerable_person", |_| true.into());
    site
}

fn supply(numbers: &mut Numbers) -> Value {
    let mut supply = json!({ "voltage_v": 230 });
    perhaps(numbers, 2, &mut supply, "earthing", |numbers| numbers.one_of(&["tn-c-s", "tn-s", "tt", "unknown"]).into());
    perhaps(numbers, 2, &mut supply, "cut_out_a", |numbers| [40, 60, 80, 100][numbers.between(0, 3) as usize].into());
    perhaps(numbers, 3, &mut supply, "ze_ohm", |numbers| (numbers.between(10, 60) as f64 / 100.0).into());
    perhaps(numbers, 3, &mut supply, "fault_current_ka", |numbers| numbers.tenths(5, 60).into());
    perhaps(numbers, 6, &mut supply, "phases", |_| 3.into());
    perhaps(numbers, 6, &mut supply, "looped", |_| true.into());
    perhaps(numbers, 3, &mut supply, "isolator_after_meter", |numbers| numbers.once_in(2).into());
    supply
}

fn outbuilding(numbers: &mut Numbers, index: u64) -> Value {
    let mut building = json!({ "id": format!("building-{index}") });
    perhaps(numbers, 2, &mut building, "use", |numbers| {
        numbers.one_of(&["workshop", "garage", "shed", "garden-room", "greenhouse"]).into()
    });
    perhaps(numbers, 3, &mut building, "construction", |numbers| {
        numbers.one_of(&["timber", "masonry", "metal"]).into()
    });
    if numbers.once_in(2) {
        building["run_m"] = numbers.between(3, 40).into();
        building["ground"] = numbers.one_of(&GROUNDS).into();
    } else if numbers.once_in(2) {
        let stretch =
            |numbers: &mut Numbers| json!({ "ground": numbers.one_of(&GROUNDS), "length_m": numbers.between(2, 20) });
        building["stretches"] = json!([stretch(numbers), stretch(numbers)]);
    }
    if numbers.once_in(3) {
        let y = 20 + index * 10;
        building["outline"] = json!({ "x_m": numbers.between(0, 6), "y_m": y, "width_m": 4, "depth_m": 3 });
    }
    perhaps(numbers, 6, &mut building, "fed_from", |_| "intake".into());
    let points: Vec<Value> = (0..numbers.between(1, 4)).map(|_| point(numbers, None)).collect();
    building["points"] = points.into();
    perhaps(
        numbers,
        3,
        &mut building,
        "appliances",
        |numbers| json!([{ "type": numbers.one_of(&["machine", "charge-point", "panel-heater", "sauna"]), "load_kw": numbers.tenths(20, 70) }]),
    );
    building
}

fn kept_circuits(numbers: &mut Numbers) -> Value {
    let mut kept = json!({
        "id": "K1", "type": numbers.one_of(&["ring-sockets", "radial-sockets", "lighting", "cooker", "shower"]),
        "existing": true, "device": { "rating_a": 32 }, "cable": { "line_mm2": 2.5 }, "length_m": numbers.between(8, 80)
    });
    perhaps(numbers, 2, &mut kept, "tested", |numbers| numbers.once_in(2).into());
    let mut given = json!({ "id": "G1", "rooms": ["room-0"], "type": numbers.one_of(&["ring-sockets", "radial-sockets", "lighting"]) });
    perhaps(numbers, 2, &mut given, "device", |numbers| json!({ "rating_a": numbers.between(1, 3) * 10 + 2 }));
    perhaps(numbers, 2, &mut given, "method", |numbers| numbers.one_of(&["a", "b", "c", "100", "101"]).into());
    if numbers.once_in(2) { json!([kept]) } else { json!([kept, given]) }
}

/// What belongs to the whole house.
fn whole_house(numbers: &mut Numbers, survey: &mut Value, rooms: u64) {
    let any_room = |numbers: &mut Numbers| format!("room-{}", numbers.between(0, rooms - 1));
    perhaps(numbers, 2, survey, "site", site);
    perhaps(numbers, 2, survey, "supply", supply);
    perhaps(numbers, 2, survey, "intake", |numbers| json!({ "room": any_room(numbers) }));
    perhaps(numbers, 2, survey, "consumer_unit", |numbers| {
        let mut unit = json!({ "room": any_room(numbers) });
        perhaps(numbers, 2, &mut unit, "existing", |numbers| {
            let kinds = ["rewireable-fuses", "cartridge-fuses", "breakers-no-rcd", "breakers-with-rcd", "modern"];
            json!({ "condition": numbers.one_of(&kinds), "backing_board_suspect": numbers.once_in(2) })
        });
        unit
    });
    perhaps(numbers, 2, survey, "services", |numbers| {
        let service = |numbers: &mut Numbers| {
            let kinds = ["gas", "water", "oil", "oil-tank", "drain", "structural-steel"];
            let mut service = json!({ "type": numbers.one_of(&kinds) });
            perhaps(numbers, 2, &mut service, "room", |numbers| any_room(numbers).into());
            perhaps(numbers, 2, &mut service, "entry_material", |numbers| numbers.one_of(&["metal", "plastic"]).into());
            perhaps(numbers, 3, &mut service, "bonded_mm2", |numbers| {
                [0, 4, 6, 10][numbers.between(0, 3) as usize].into()
            });
            service
        };
        (0..numbers.between(0, 3)).map(|_| service(numbers)).collect()
    });
    perhaps(numbers, 3, survey, "outbuildings", |numbers| {
        (0..numbers.between(1, 2)).map(|index| outbuilding(numbers, index)).collect()
    });
    perhaps(numbers, 3, survey, "existing", |numbers| {
        let eras = ["rubber", "lead", "imperial-pvc", "metric-pvc-no-cpc", "modern", "none"];
        let mut existing = json!({ "cable_era": numbers.one_of(&eras) });
        perhaps(numbers, 2, &mut existing, "points_to_strip", |numbers| numbers.between(0, 80).into());
        perhaps(numbers, 3, &mut existing, "surface_wiring_m", |numbers| numbers.between(0, 40).into());
        perhaps(numbers, 4, &mut existing, "storage_heaters", |numbers| numbers.between(1, 4).into());
        perhaps(numbers, 4, &mut existing, "borrowed_neutral", |_| true.into());
        existing
    });
    perhaps(numbers, 3, survey, "future", |numbers| {
        let future = |numbers: &mut Numbers| {
            let mut future = json!({ "type": numbers.one_of(&FUTURES) });
            perhaps(numbers, 2, &mut future, "room", |numbers| any_room(numbers).into());
            future
        };
        (0..numbers.between(1, 3)).map(|_| future(numbers)).collect()
    });
    perhaps(numbers, 3, survey, "preferences", |numbers| {
        let mut preferences = json!({});
        perhaps(numbers, 2, &mut preferences, "finish", |numbers| numbers.one_of(&FINISHES).into());
        perhaps(numbers, 2, &mut preferences, "board", |numbers| numbers.one_of(&["rcbo", "split-load"]).into());
        perhaps(numbers, 3, &mut preferences, "neutral_looped_at", |numbers| {
            numbers.one_of(&["ceiling", "switch"]).into()
        });
        perhaps(numbers, 3, &mut preferences, "alarms", |numbers| numbers.one_of(&["ld1", "ld2", "ld3"]).into());
        perhaps(numbers, 3, &mut preferences, "making_good", |numbers| numbers.once_in(2).into());
        preferences
    });
    perhaps(numbers, 6, survey, "circuits", kept_circuits);
}

/// The request of one house.
pub fn house(seed: u64) -> Value {
    let numbers = &mut Numbers::seeded(seed);
    let rooms: Vec<Value> = if numbers.once_in(2) {
        drawn_rooms(numbers)
    } else {
        (0..numbers.between(1, 9)).map(|index| room(numbers, index as usize, None)).collect()
    };
    let drawn = rooms[0].get("outline").is_some();
    let count = rooms.len() as u64;
    let mut survey = json!({ "rooms": rooms });
    whole_house(numbers, &mut survey, count);
    if drawn {
        perhaps(numbers, 2, &mut survey, "obstructions", |numbers| {
            let kinds = ["steel-beam", "concrete-beam", "chimney-breast", "structural-wall", "pipework", "noggins"];
            let x = numbers.tenths(10, 40);
            json!([{ "type": numbers.one_of(&kinds), "storey": "ground", "from": { "x_m": x, "y_m": 0 },
                     "to": { "x_m": x, "y_m": 4 },
                     "blocks": [numbers.one_of(&["ceiling-void", "floor-void", "loft", "wall-chase"])] }])
        });
    }
    let mut request = json!({ "survey": survey });
    perhaps(numbers, 5, &mut request, "method", |_| "per-point".into());
    perhaps(numbers, 4, &mut request, "terms", |numbers| {
        let mut terms = json!({});
        perhaps(numbers, 2, &mut terms, "vat", |numbers| {
            numbers.one_of(&["standard", "reduced", "zero", "reverse-charge"]).into()
        });
        perhaps(numbers, 2, &mut terms, "confidence", |numbers| (numbers.between(55, 95) as f64 / 100.0).into());
        perhaps(numbers, 3, &mut terms, "visit", |_| json!({ "paid_by": "J-1", "rooms": ["room-0"] }));
        terms
    });
    request
}

//! The plan of a storey: against a general-purpose library, against the true walls of two dwellings, and against what must
//! hold however a house is drawn.

use std::collections::BTreeMap;
use std::path::PathBuf;

use engine::geometry::{Position, Shape, straight};
use engine::site::storey::{
    Beyond, CONDITION_M_MAX, DrawnBy, FacePiece, HouseFrame, RoomOutline, StoreyPlan, conditioned,
};
use engine::survey::Wall;
use engine::work::WorkBudget;
use geo::Area;
use proptest::prelude::*;
use serde_json::Value;

fn fixture(name: &str) -> Value {
    let file = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/fixtures").join(name);
    serde_json::from_str(&std::fs::read_to_string(file).expect("the fixture is there")).expect("it is JSON")
}

fn at(x_m: f64, y_m: f64) -> Position {
    Position { x_m, y_m }
}

fn number(value: &Value) -> f64 {
    value.as_f64().expect("a number")
}

/// A room by its corners, as the survey of a dwelling has it.
fn ring(room: &Value) -> Option<Vec<Position>> {
    if let Some(corners) = room["corners"].as_array() {
        return Some(corners.iter().map(|corner| at(number(&corner["x_m"]), number(&corner["y_m"]))).collect());
    }
    let outline = room.get("outline")?;
    let [x, y, wide, deep] = ["x_m", "y_m", "width_m", "depth_m"].map(|key| number(&outline[key]));
    Some(rectangle([x, y, x + wide, y + deep]))
}

fn rectangle([x, y, right, back]: [f64; 4]) -> Vec<Position> {
    vec![at(x, y), at(right, y), at(right, back), at(x, back)]
}

fn plan(rings: &[Vec<Position>]) -> StoreyPlan {
    let shapes: Vec<Shape> = rings.iter().map(|ring| Shape::of(ring)).collect();
    let rooms: Vec<RoomOutline<'_>> = shapes
        .iter()
        .enumerate()
        .map(|(room, shape)| RoomOutline { room, shape, wall: Wall::Brick, usual_outside_wall_m: 0.3 })
        .collect();
    StoreyPlan::of(&rooms, &[], &WorkBudget::unlimited())
}

/// Metres of wall by what is beyond.
fn metres_by_kind(plan: &StoreyPlan) -> BTreeMap<&'static str, f64> {
    let mut metres = BTreeMap::new();
    for piece in &plan.faces {
        let kind = match piece.beyond {
            Beyond::Room(_) => "room",
            Beyond::Open(_) => "open",
            Beyond::WallEnd => "wall-end",
            Beyond::Unknown(_) => "unknown",
            Beyond::OtherDwelling => "other-dwelling",
            Beyond::Outside => "outside",
        };
        *metres.entry(kind).or_insert(0.0) += piece.line.length();
    }
    metres
}

/// The storeys of a dwelling, each with the identifiers of its rooms.
fn storeys(name: &str) -> Vec<Vec<(String, Vec<Position>)>> {
    let survey = fixture(&format!("houses/{name}.json"))["survey"].clone();
    let mut storeys: BTreeMap<String, Vec<(String, Vec<Position>)>> = BTreeMap::new();
    for room in survey["rooms"].as_array().expect("rooms") {
        let text = |key: &str| room[key].as_str().unwrap_or_default().to_owned();
        if let Some(ring) = ring(room) {
            storeys.entry(text("storey")).or_default().push((text("id"), ring));
        }
    }
    storeys.into_values().collect()
}

fn rings(storey: &[(String, Vec<Position>)]) -> Vec<Vec<Position>> {
    storey.iter().map(|(_, ring)| ring.clone()).collect()
}

/// The rooms of a dwelling in its own axes, its walls made straight, storey by storey.
fn in_its_axes(name: &str) -> Vec<Vec<Vec<Position>>> {
    let storeys = storeys(name);
    let all: Vec<Vec<Position>> = storeys.iter().flat_map(|storey| rings(storey)).collect();
    let shapes: Vec<Shape> = all.iter().map(|ring| Shape::of(ring)).collect();
    let frame = HouseFrame::of(&shapes.iter().collect::<Vec<_>>());
    let turned: Vec<Vec<Position>> =
        all.iter().map(|ring| ring.iter().map(|corner| frame.to_house(*corner)).collect()).collect();
    let mut straightened = conditioned(&turned, &WorkBudget::unlimited()).into_iter();
    storeys.iter().map(|storey| straightened.by_ref().take(storey.len()).collect()).collect()
}

/// Source: shapely, by storeys.py beside the fixture.
#[test]
fn areas_neighbours_and_the_outside_of_five_hundred_plans_are_those_of_another_library() {
    let storeys = fixture("storeys.json");

    for (index, storey) in storeys.as_array().expect("a list").iter().enumerate() {
        let rooms: Vec<Vec<Position>> = storey["rooms"]
            .as_array()
            .expect("rooms")
            .iter()
            .map(|room| rectangle([0, 1, 2, 3].map(|corner| number(&room[corner]))))
            .collect();
        let plan = plan(&rooms);

        let closed = plan.closed.unsigned_area();
        assert!((closed - number(&storey["closed_m2"])).abs() < 1e-6, "storey {index}: {closed} m2");
        let mut holes: Vec<f64> = plan.unknown.iter().map(Area::unsigned_area).collect();
        holes.sort_by(f64::total_cmp);
        let expected: Vec<f64> = storey["holes_m2"].as_array().expect("holes").iter().map(number).collect();
        let same = holes.len() == expected.len() && holes.iter().zip(&expected).all(|(a, b)| (a - b).abs() < 1e-6);
        assert!(same, "storey {index}: holes of {holes:?}, not {expected:?}");

        let mut facing: BTreeMap<String, f64> = BTreeMap::new();
        for piece in &plan.faces {
            if let Beyond::Room(across) | Beyond::Open(across) = piece.beyond {
                let pair = format!("{}-{}", piece.face.outline, across.face.outline);
                *facing.entry(pair).or_insert(0.0) += piece.line.length();
            }
        }
        let expected = storey["facing_m"].as_object().expect("pairs");
        assert_eq!(facing.keys().collect::<Vec<_>>(), expected.keys().collect::<Vec<_>>(), "storey {index}");
        for (pair, metres) in &facing {
            assert!((metres - number(&expected[pair])).abs() < 1e-6, "storey {index}: {pair} over {metres} m");
        }
        let outside = metres_by_kind(&plan).get("outside").copied().unwrap_or(0.0);
        assert!((outside - number(&storey["outside_m"])).abs() < 1e-6, "storey {index}: {outside} m outside");
    }
}

/// What a building model says of one wall of a room.
struct TrueWall {
    middle: Position,
    metres: f64,
    kind: String,
    thickness: f64,
}

fn true_walls(side: &Value, room: &str) -> Vec<TrueWall> {
    let place = |corner: &Value| at(number(&corner[0]), number(&corner[1]));
    let walls = side["rooms"][room]["walls"].as_array().cloned().unwrap_or_default();
    walls
        .iter()
        .map(|wall| {
            let (from, to) = (place(&wall["line"][0]), place(&wall["line"][1]));
            TrueWall {
                middle: at((from.x_m + to.x_m) / 2.0, (from.y_m + to.y_m) / 2.0),
                metres: straight(from, to),
                kind: wall["kind"].as_str().unwrap_or_default().to_owned(),
                thickness: wall["thickness_m"].as_f64().unwrap_or_default(),
            }
        })
        .collect()
}

/// Source: the walls of two public building models, `house-a.side.json` and `house-b.side.json`.
#[test]
fn the_walls_of_two_real_dwellings_are_found_with_their_thickness() {
    for house in ["house-a", "house-b"] {
        let side = fixture(&format!("houses/{house}.side.json"));
        let (mut all, mut found, mut internal, mut off) = (0.0, 0.0, 0.0, 0.0);
        for storey in storeys(&format!("{house}.main")) {
            let plan = plan(&rings(&storey));
            assert_eq!(plan.drawn_by, DrawnBy::Faces, "{house}");
            for (room, (id, _)) in storey.iter().enumerate() {
                for wall in true_walls(&side, id).iter().filter(|wall| wall.kind != "party") {
                    let near = |piece: &&FacePiece| {
                        let along = piece.line.nearest(wall.middle);
                        piece.face.outline == room && straight(piece.line.at(along), wall.middle) < 0.02
                    };
                    let piece = plan.faces.iter().find(near);
                    all += wall.metres;
                    let as_it_is = match piece.map(|piece| piece.beyond) {
                        Some(Beyond::Room(across)) if wall.kind == "internal" => {
                            internal += wall.metres;
                            off += (across.thickness - wall.thickness).abs() * wall.metres;
                            true
                        }
                        Some(Beyond::Outside) => wall.kind == "external",
                        Some(Beyond::WallEnd) => wall.kind == "internal",
                        _ => false,
                    };
                    found += if as_it_is { wall.metres } else { 0.0 };
                }
            }
        }
        assert!(found >= 0.97 * all, "{house}: {found:.1} of {all:.1} m of wall are what they are");
        assert!(off <= 0.01 * internal, "{house}: walls are {:.0} mm off", 1_000.0 * off / internal);
    }
}

#[test]
fn a_dwelling_has_the_same_walls_however_it_is_drawn() {
    for house in ["house-a", "house-b"] {
        let kinds = |form: &str| -> Vec<BTreeMap<&'static str, f64>> {
            in_its_axes(&format!("{house}.{form}")).iter().map(|storey| metres_by_kind(&plan(storey))).collect()
        };
        let main = kinds("main");
        for form in ["mirror", "hair", "turn5"] {
            for (one, other) in main.iter().zip(kinds(form)) {
                assert_eq!(one.keys().collect::<Vec<_>>(), other.keys().collect::<Vec<_>>(), "{house}, {form}");
                for (kind, metres) in one {
                    assert!(
                        (metres - other[kind]).abs() < 0.02,
                        "{house}, {form}: {kind} {metres} and {}",
                        other[kind]
                    );
                }
            }
        }
    }
}

#[test]
fn the_walls_of_a_dwelling_shut_to_their_middle_are_walls_still() {
    for storey in in_its_axes("house-b.shut") {
        let plan = plan(&storey);
        assert_eq!(plan.drawn_by, DrawnBy::MiddleOfWalls);
        assert!(plan.faces.iter().all(|piece| !matches!(piece.beyond, Beyond::Open(_))));
    }
}

#[test]
fn a_gap_wider_than_a_wall_between_four_rooms_is_asked_about_and_none_of_them_looks_outside_there() {
    // Four rooms round a light well of 1 by 1 m.
    let rooms = [[0.0, 0.0, 3.0, 2.0], [3.1, 0.0, 5.0, 3.0], [2.1, 3.1, 5.0, 5.0], [0.0, 2.1, 2.0, 5.0]];
    let plan = plan(&rooms.map(rectangle));

    assert_eq!(plan.asked_about().count(), 1);
    let well: f64 = plan.asked_about().map(Area::unsigned_area).sum();
    assert!((1.0..1.5).contains(&well), "{well} m2");
    let outside = metres_by_kind(&plan)["outside"];
    let round = 20.0 - 0.1 * 4.0;
    assert!((outside - round).abs() < 0.01, "{outside} m look outside, of {round}");
}

#[test]
fn the_outer_face_of_a_wall_is_where_the_points_outside_stand() {
    let room = Shape::of(&rectangle([0.0, 0.0, 4.0, 3.0]));
    let beside = Shape::of(&rectangle([4.1, 0.0, 6.0, 3.0]));
    let outline = |room, shape| RoomOutline { room, shape, wall: Wall::Brick, usual_outside_wall_m: 0.3 };

    let marked = StoreyPlan::of(
        &[outline(0, &room), outline(1, &beside)],
        &[at(2.0, -0.35), at(5.0, 3.35)],
        &WorkBudget::unlimited(),
    );
    let unmarked = StoreyPlan::of(&[outline(0, &room), outline(1, &beside)], &[], &WorkBudget::unlimited());

    assert!((marked.outside_wall_m - 0.35).abs() < 1e-9);
    assert!((unmarked.outside_wall_m - 0.3).abs() < 1e-9);
    assert!(marked.outside[0].holds_nearly(at(2.0, -0.35)) && !marked.outside[0].holds_inside(at(2.0, -0.36)));
}

/// Rooms in rows with walls between them, in whole centimetres: no two walls of theirs nearly meet.
fn rows() -> impl Strategy<Value = Vec<Vec<Position>>> {
    let room = (120_u32..500, 0_usize..4);
    proptest::collection::vec((proptest::collection::vec(room, 1..4), 150_u32..400, 0_usize..4), 1..4).prop_map(
        |rows| {
            const WALLS_M: [f64; 4] = [0.1, 0.14, 0.3, 0.1];
            let mut rooms = Vec::new();
            let mut y = 0.0;
            for (row, deep, wall) in rows {
                let (mut x, deep) = (0.0, f64::from(deep) / 100.0);
                for (wide, wall) in row {
                    let wide = f64::from(wide) / 100.0;
                    rooms.push(rectangle([x, y, x + wide, y + deep]));
                    x += wide + WALLS_M[wall];
                }
                y += deep + WALLS_M[wall];
            }
            rooms
        },
    )
}

fn turned(rings: &[Vec<Position>], degrees: f64) -> Vec<Vec<Position>> {
    let (sine, cosine) = degrees.to_radians().sin_cos();
    let turn = |corner: &Position| {
        let (x, y) = (corner.x_m * cosine - corner.y_m * sine, corner.x_m * sine + corner.y_m * cosine);
        at((x * 1_000.0).round() / 1_000.0, (y * 1_000.0).round() / 1_000.0)
    };
    rings.iter().map(|ring| ring.iter().map(turn).collect()).collect()
}

fn frame(rings: &[Vec<Position>]) -> HouseFrame {
    let shapes: Vec<Shape> = rings.iter().map(|ring| Shape::of(ring)).collect();
    HouseFrame::of(&shapes.iter().collect::<Vec<_>>())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn the_pieces_of_a_side_tile_it(rooms in rows(), degrees in 0.0_f64..90.0) {
        let rooms = turned(&rooms, degrees);
        let plan = plan(&rooms);
        let mut by_side: BTreeMap<_, f64> = BTreeMap::new();
        for piece in &plan.faces {
            *by_side.entry(piece.face).or_insert(0.0) += piece.line.length();
        }
        for (face, metres) in by_side {
            let side = Shape::of(&rooms[face.outline]).edge(face.edge).length();
            prop_assert!((metres - side).abs() < 1e-9, "{face:?}: {metres} of {side} m");
        }
    }

    #[test]
    fn two_faces_of_a_wall_name_each_other_with_the_same_thickness(rooms in rows()) {
        let plan = plan(&rooms);
        for piece in &plan.faces {
            let Beyond::Room(across) = piece.beyond else { continue };
            let middle = piece.line.beside_its_middle(across.thickness);
            let twin = plan.faces.iter().find(|twin| {
                let near = straight(twin.line.at(twin.line.nearest(middle)), middle) < 0.001;
                twin.face == across.face && near && matches!(twin.beyond, Beyond::Room(back) if back.face == piece.face)
            });
            let Some(FacePiece { beyond: Beyond::Room(back), .. }) = twin else {
                return Err(TestCaseError::fail(format!("{piece:?} is not named back")));
            };
            prop_assert!((back.thickness - across.thickness).abs() < 0.0001);
        }
    }

    #[test]
    fn the_order_of_rooms_and_the_first_corner_of_each_change_no_wall(rooms in rows(), by in 0_usize..4) {
        let mut other: Vec<Vec<Position>> = rooms.iter().rev().cloned().collect();
        other.iter_mut().for_each(|ring| ring.rotate_left(by));
        let (one, other) = (metres_by_kind(&plan(&rooms)), metres_by_kind(&plan(&other)));
        prop_assert_eq!(one.keys().collect::<Vec<_>>(), other.keys().collect::<Vec<_>>());
        for (kind, metres) in one {
            prop_assert!((metres - other[kind]).abs() < 1e-9);
        }
    }

    #[test]
    fn the_axes_of_a_house_are_found_however_it_is_turned(rooms in rows(), degrees in -44.0_f64..44.0) {
        let rooms = turned(&rooms, degrees);
        let frame = frame(&rooms);
        prop_assert!((frame.degrees() - degrees).abs() < 0.03, "{} for {degrees}", frame.degrees());
        for corner in rooms.iter().flatten() {
            prop_assert!(straight(frame.to_drawing(frame.to_house(*corner)), *corner) < 1e-9);
        }
    }

    #[test]
    fn making_walls_straight_moves_no_corner_far_and_leaves_straight_ones_alone(
        rooms in rows(), off in proptest::collection::vec((-3_i8..=3, -3_i8..=3), 60),
    ) {
        for (before, after) in rooms.iter().flatten().zip(conditioned(&rooms, &WorkBudget::unlimited()).iter().flatten()) {
            prop_assert!(straight(*before, *after) < 1e-9, "they were straight: {before:?}, {after:?}");
        }
        let mut offs = off.iter().cycle();
        let mut drawn = rooms.clone();
        for (corner, (x, y)) in drawn.iter_mut().flatten().zip(&mut offs) {
            *corner = at(corner.x_m + f64::from(*x) / 1_000.0, corner.y_m + f64::from(*y) / 1_000.0);
        }
        let straightened = conditioned(&drawn, &WorkBudget::unlimited());
        for (before, after) in drawn.iter().zip(&straightened) {
            for (one, other) in before.iter().zip(after) {
                prop_assert!((one.x_m - other.x_m).abs() <= CONDITION_M_MAX + 1e-9);
                prop_assert!((one.y_m - other.y_m).abs() <= CONDITION_M_MAX + 1e-9);
            }
        }
    }
}

//! Houses made by a rule: two storeys of rooms on a grid, points on walls and ceilings, beams, lintels and walls that
//! block, some along a wall, some across a room, some askew.

use serde_json::{Value, json};

/// A step of the splitmix generator. Source: Steele, Lea and Flood, "Fast splittable pseudorandom number generators"
/// (2014), from memory.
pub struct Dice(pub u64);

impl Dice {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mixed = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        let mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        mixed ^ (mixed >> 31)
    }

    pub fn below(&mut self, limit: usize) -> usize {
        usize::try_from(self.next() % limit as u64).expect("below the limit")
    }

    /// Centimetres between two lengths.
    pub fn metres(&mut self, least: f64, greatest: f64) -> f64 {
        let steps = ((greatest - least) * 100.0).round().max(1.0) as usize;
        ((least * 100.0).round() + self.below(steps + 1) as f64) / 100.0
    }

    fn one_in(&mut self, many: usize) -> bool {
        self.below(many) == 0
    }

    pub fn of<T: Copy>(&mut self, list: &[T]) -> T {
        list[self.below(list.len())]
    }
}

#[derive(Clone, Copy)]
struct Rect {
    x: f64,
    y: f64,
    width: f64,
    depth: f64,
}

impl Rect {
    fn on_a_wall(&self, dice: &mut Dice) -> (f64, f64) {
        let along = |least: f64, long: f64, dice: &mut Dice| dice.metres(least + 0.05, least + long - 0.05);
        match dice.below(4) {
            0 => (along(self.x, self.width, dice), self.y),
            1 => (along(self.x, self.width, dice), self.y + self.depth),
            2 => (self.x, along(self.y, self.depth, dice)),
            _ => (self.x + self.width, along(self.y, self.depth, dice)),
        }
    }

    fn inside(&self, dice: &mut Dice) -> (f64, f64) {
        let x = dice.metres(self.x + 0.1, self.x + self.width - 0.1);
        (x, dice.metres(self.y + 0.1, self.y + self.depth - 0.1))
    }
}

fn at((x, y): (f64, f64)) -> Value {
    json!({ "x_m": (x * 1_000.0).round() / 1_000.0, "y_m": (y * 1_000.0).round() / 1_000.0 })
}

/// The sides of a grid's cells, with walls between them.
fn cuts(dice: &mut Dice, count: usize, wall: f64) -> Vec<(f64, f64)> {
    let mut here = 0.0;
    (0..count)
        .map(|_| {
            let long = dice.metres(2.2, 4.6);
            let cut = (here, long);
            here += long + wall;
            cut
        })
        .collect()
}

fn points(dice: &mut Dice, rect: &Rect) -> Vec<Value> {
    let mut points = Vec::new();
    for _ in 0..1 + dice.below(3) {
        points.push(json!({ "type": "double-socket", "at": at(rect.on_a_wall(dice)) }));
    }
    if dice.one_in(3) {
        points.push(json!({ "type": "double-socket", "count": 1 + dice.below(4) }));
    }
    points.push(json!({ "type": "pendant", "at": at(rect.inside(dice)) }));
    if dice.one_in(3) {
        points.push(json!({ "type": "smoke-alarm" }));
    }
    points.push(if dice.one_in(2) {
        json!({ "type": "one-way-switch", "at": at(rect.on_a_wall(dice)) })
    } else {
        json!({ "type": "one-way-switch" })
    });
    points
}

fn room(dice: &mut Dice, id: &str, storey: &str, rect: &Rect) -> Value {
    let wall = dice.of(&["brick", "brick", "dense-block", "timber-stud", "plasterboard-on-dabs"]);
    let floor = if storey == "ground" && dice.one_in(2) { "solid-concrete" } else { "suspended-timber" };
    let covering = dice.of(&["none", "carpet", "laminate", "tile"]);
    let ceiling = if dice.one_in(8) { "concrete" } else { "plasterboard" };
    json!({
        "id": id, "storey": storey, "use": "other", "wall": wall, "occupancy": "empty",
        "outline": { "x_m": rect.x, "y_m": rect.y, "width_m": rect.width, "depth_m": rect.depth },
        "floor": { "construction": floor, "covering": covering },
        "ceiling": { "construction": ceiling },
        "points": points(dice, rect)
    })
}

fn obstruction(dice: &mut Dice, rects: &[Rect], wall: f64) -> Value {
    let rect = rects[dice.below(rects.len())];
    let (left, right) = (rect.x, rect.x + rect.width);
    let (front, back) = (rect.y, rect.y + rect.depth);
    let kind = dice.of(&["steel-beam", "steel-beam", "concrete-beam", "concrete-lintel", "structural-wall"]);
    let along_a_wall = kind == "concrete-lintel" || kind == "structural-wall" || dice.one_in(3);
    let (from, to) = if along_a_wall {
        // In the middle of the wall behind the room, or on its face.
        let off = dice.of(&[0.0, wall / 2.0]);
        if dice.one_in(2) {
            ((left, back + off), (right, back + off))
        } else {
            ((right + off, front), (right + off, back))
        }
    } else {
        match dice.below(4) {
            0 => {
                let y = dice.metres(front + 0.2, back - 0.2);
                ((left, y), (right, y))
            }
            1 => {
                let x = dice.metres(left + 0.2, right - 0.2);
                ((x, front), (x, back))
            }
            // From a wall to a post in the room.
            2 => {
                let y = dice.metres(front + 0.2, back - 0.2);
                ((left, y), (dice.metres(left + 0.8, right - 0.4), y))
            }
            _ => (rect.on_a_wall(dice), rect.inside(dice)),
        }
    };
    let blocks: &[&str] = match kind {
        "structural-wall" => dice.of(&[
            &["wall-chase"][..],
            &["wall-chase", "stud-cavity", "dry-lining-gap"][..],
            &["wall-chase", "ceiling-void"][..],
        ]),
        "concrete-lintel" => {
            dice.of(&[&["wall-chase"][..], &["ceiling-void"][..], &["ceiling-void", "wall-chase"][..]])
        }
        _ => dice.of(&[&["ceiling-void"][..], &["ceiling-void"][..], &["ceiling-void", "floor-void"][..]]),
    };
    let storey = dice.of(&["ground", "ground", "first"]);
    json!({ "type": kind, "storey": storey, "from": at(from), "to": at(to), "blocks": blocks })
}

/// The house of a number, and the obstructions that go with it.
pub fn house(number: u64) -> Value {
    let mut dice = Dice(number.wrapping_mul(0x5851_F42D_4C95_7F2D));
    let wall = dice.of(&[0.0, 0.1, 0.15]);
    let (columns, rows) = (2 + dice.below(2), 1 + dice.below(3));
    let (across, deep) = (cuts(&mut dice, columns, wall), cuts(&mut dice, rows, wall));
    let round = |metres: f64| (metres * 100.0).round() / 100.0;
    let rects: Vec<Rect> = deep
        .iter()
        .flat_map(|(y, depth)| across.iter().map(|(x, width)| (*x, *y, *width, *depth)))
        .map(|(x, y, width, depth)| Rect { x: round(x), y: round(y), width, depth })
        .collect();
    let mut rooms = Vec::new();
    for storey in ["ground", "first"] {
        for (index, rect) in rects.iter().enumerate() {
            rooms.push(room(&mut dice, &format!("{storey}-{index}"), storey, rect));
        }
    }
    let board = dice.below(rects.len());
    let obstructions: Vec<Value> = (0..1 + dice.below(4)).map(|_| obstruction(&mut dice, &rects, wall)).collect();
    json!({
        "site": { "dwelling": "detached", "built_year": 1934, "storeys": [
            { "id": "ground", "level": 0, "height_m": 2.5 }, { "id": "first", "level": 1, "height_m": 2.4 }
        ] },
        "rooms": rooms,
        "obstructions": obstructions,
        "consumer_unit": { "room": format!("ground-{board}"), "at": at(rects[board].on_a_wall(&mut dice)) }
    })
}

/// Places on the walls of a house's rooms, clear of all that was recorded, and the house without its points and with its
/// board clear too.
#[allow(dead_code, reason = "only the test of what stands in the way asks for them")]
pub fn ends(survey: &mut Value, number: u64) -> Vec<Value> {
    let mut dice = Dice(number ^ 0xE4D5);
    let number = |value: &Value, key: &str| value[key].as_f64().expect("a number");
    let obstructions = survey["obstructions"].clone();
    let clear = |(x, y): (f64, f64)| {
        obstructions.as_array().into_iter().flatten().all(|one| {
            let [(ax, ay), (bx, by)] = [&one["from"], &one["to"]].map(|end| (number(end, "x_m"), number(end, "y_m")));
            let long = (bx - ax).hypot(by - ay);
            let share = (((x - ax) * (bx - ax) + (y - ay) * (by - ay)) / (long * long)).clamp(0.0, 1.0);
            (x - ax - share * (bx - ax)).hypot(y - ay - share * (by - ay)) > 0.5
        })
    };
    let mut ends = Vec::new();
    for room in survey["rooms"].as_array_mut().into_iter().flatten() {
        room["points"] = json!([]);
        let outline = &room["outline"];
        let rect = Rect {
            x: number(outline, "x_m"),
            y: number(outline, "y_m"),
            width: number(outline, "width_m"),
            depth: number(outline, "depth_m"),
        };
        let place = rect.on_a_wall(&mut dice);
        if clear(place) {
            ends.push(json!({ "room": room["id"], "at": at(place) }));
        }
    }
    if let Some(first) = ends.first() {
        survey["consumer_unit"] = first.clone();
    }
    ends.into_iter().skip(1).collect()
}

//! What was recorded as solids in space, and the pieces of a cable held against them. It reads the survey's and the
//! answer's JSON and nothing of the planner.

use serde_json::Value;

/// Where not recorded. Source: the issue's own figures; common practice, no source.
const WIDTH_M: f64 = 0.15;
const BELOW_THE_CEILING_M: f64 = 0.12;
const BEARING_M: f64 = 0.15;
/// Floor zone between two storeys, so that heights of two storeys are of one scale.
const FLOOR_ZONE_M: f64 = 0.25;
/// What the answer's rounding to millimetres may lose.
const ROUNDING_M: f64 = 0.002;

/// Ways in or on a wall: what blocks one of them does so from floor to ceiling.
const ON_WALLS: [&str; 7] = [
    "wall-chase",
    "stud-cavity",
    "dry-lining-gap",
    "mini-trunking",
    "skirting-trunking",
    "surface-clipped",
    "surface-conduit",
];
const ON_A_FACE: [&str; 4] = ["mini-trunking", "skirting-trunking", "surface-clipped", "surface-conduit"];
const OVERHEAD: [&str; 2] = ["ceiling-void", "loft"];
const UNDERFOOT: [&str; 2] = ["floor-void", "crawl-space"];

type Place = (f64, f64);

/// A box that lies along a line on plan.
pub struct Solid {
    pub what: String,
    from: Place,
    to: Place,
    half: f64,
    bearing: f64,
    least_z: f64,
    greatest_z: f64,
    /// The ways that it closes; all where none are named.
    media: Option<Vec<String>>,
}

/// A straight piece of a cable.
#[derive(Debug)]
pub struct Piece {
    pub medium: String,
    /// The obstruction that the answer names for it.
    pub named: Option<String>,
    from: (f64, f64, f64),
    to: (f64, f64, f64),
}

fn number(value: &Value, key: &str) -> Option<f64> {
    value[key].as_f64()
}

fn place(value: &Value) -> Place {
    (value["x_m"].as_f64().expect("x_m"), value["y_m"].as_f64().expect("y_m"))
}

/// Level and height of each storey.
pub struct Storeys(pub Vec<(String, i64, f64)>);

impl Storeys {
    fn height(&self, level: i64) -> f64 {
        self.0.iter().find(|storey| storey.1 == level).map_or(2.4, |storey| storey.2)
    }

    /// Height of a level's floor over that of the ground floor.
    fn floor(&self, level: i64) -> f64 {
        let zones = |levels: std::ops::Range<i64>| levels.map(|level| self.height(level) + FLOOR_ZONE_M).sum::<f64>();
        if level >= 0 { zones(0..level) } else { -zones(level..0) }
    }
}

/// The solids of every recorded obstruction.
pub fn solids(survey: &Value, storeys: &Storeys) -> Vec<Solid> {
    let mut solids = Vec::new();
    for obstruction in survey["obstructions"].as_array().into_iter().flatten() {
        for (id, level, height) in &storeys.0 {
            if obstruction["storey"].as_str().is_none_or(|storey| storey == id) {
                of_one(obstruction, storeys.floor(*level), *height, &mut solids);
            }
        }
    }
    solids
}

fn of_one(obstruction: &Value, floor: f64, height: f64, solids: &mut Vec<Solid>) {
    let kind = obstruction["type"].as_str().expect("a type");
    let bears = matches!(kind, "steel-beam" | "concrete-beam" | "concrete-lintel");
    let blocks: Vec<String> = obstruction["blocks"]
        .as_array()
        .into_iter()
        .flatten()
        .filter_map(|medium| medium.as_str().map(str::to_owned))
        .collect();
    let some_of = |known: &[&str]| -> Vec<String> {
        blocks.iter().filter(|medium| known.contains(&medium.as_str())).cloned().collect()
    };
    let solid = |least_z: f64, greatest_z: f64, media: Option<Vec<String>>| Solid {
        what: kind.to_owned(),
        from: place(&obstruction["from"]),
        to: place(&obstruction["to"]),
        half: number(obstruction, "width_m").unwrap_or(WIDTH_M) / 2.0,
        bearing: if bears { BEARING_M } else { 0.0 },
        least_z: floor + least_z,
        greatest_z: floor + greatest_z,
        media,
    };
    if !some_of(&OVERHEAD).is_empty() {
        let below = number(obstruction, "depth_m").unwrap_or(BELOW_THE_CEILING_M);
        solids.push(solid(height - below, height + FLOOR_ZONE_M, None));
    }
    if !some_of(&UNDERFOOT).is_empty() {
        solids.push(solid(-FLOOR_ZONE_M, 0.0, None));
    }
    let on_walls = some_of(&ON_WALLS);
    if !on_walls.is_empty() {
        solids.push(solid(0.0, height, Some(on_walls)));
    }
}

impl Solid {
    /// The part of a piece inside of it, as shares of its length.
    fn inside(&self, piece: &Piece) -> Option<(f64, f64)> {
        let (dx, dy) = (self.to.0 - self.from.0, self.to.1 - self.from.1);
        let length = dx.hypot(dy);
        let along = |(x, y, _): (f64, f64, f64)| ((x - self.from.0) * dx + (y - self.from.1) * dy) / length;
        let across = |(x, y, _): (f64, f64, f64)| ((y - self.from.1) * dx - (x - self.from.0) * dy) / length;
        let mut part = (0.0, 1.0);
        for (from, to, least, greatest) in [
            (along(piece.from), along(piece.to), -self.bearing, length + self.bearing),
            (across(piece.from), across(piece.to), -self.half, self.half),
            (piece.from.2, piece.to.2, self.least_z, self.greatest_z),
        ] {
            let (least, greatest) = (least + ROUNDING_M, greatest - ROUNDING_M);
            let change: f64 = to - from;
            if change.abs() < 1e-12 {
                if from <= least || from >= greatest {
                    return None;
                }
                continue;
            }
            let (one, other) = ((least - from) / change, (greatest - from) / change);
            part = (f64::max(part.0, one.min(other)), f64::min(part.1, one.max(other)));
        }
        (part.1 > part.0).then_some(part)
    }

    /// Why a piece may not lie as it does; nothing where it may.
    pub fn fault(&self, piece: &Piece) -> Option<String> {
        if self.media.as_ref().is_some_and(|media| !media.contains(&piece.medium)) {
            return None;
        }
        // Surface ways lie on the face of a wall, not in it, unless the wall was recorded to close them.
        if self.media.is_none() && self.what == "structural-wall" && ON_A_FACE.contains(&piece.medium.as_str()) {
            return None;
        }
        let (start, end) = self.inside(piece)?;
        let (from, to) = (piece.from, piece.to);
        let inside_m = ((to.0 - from.0).hypot(to.1 - from.1)) * (end - start);
        if piece.named.is_none() {
            return Some(format!("{:.3} m of it lie in a {} and it is not named", inside_m, self.what));
        }
        if piece.medium == "wall-chase" {
            return Some(format!("a chase is cut into a {}", self.what));
        }
        let flat = (to.2 - from.2).abs() < ROUNDING_M;
        if self.media.is_none() && !flat {
            return Some(format!("it falls through a {}", self.what));
        }
        // A crossing goes straight over: hardly longer than the thing is wide.
        let widest = 3.0 * self.half * 2.0;
        (inside_m > widest).then(|| format!("it runs {inside_m:.3} m along a {}", self.what))
    }
}

/// Every straight piece of every route of an estimate or of an answer to routes asked for.
pub fn pieces(answer: &Value, storeys: &Storeys) -> Vec<Piece> {
    let legs = answer["tours"].as_array().into_iter().flatten().flat_map(|tour| tour["legs"].as_array());
    let lists = answer["routes"].as_array().into_iter().flatten().chain(legs.flatten());
    let segments = lists.flat_map(|list| list["segments"].as_array()).flatten();
    let mut pieces = Vec::new();
    for segment in segments {
        let path: Vec<(f64, f64, f64)> = segment["path"]
            .as_array()
            .into_iter()
            .flatten()
            .map(|at| {
                let level = at["level"].as_i64().expect("a level");
                let (x, y) = place(at);
                (x, y, storeys.floor(level) + at["height_m"].as_f64().expect("a height"))
            })
            .collect();
        pieces.extend(path.windows(2).map(|pair| Piece {
            medium: segment["medium"].as_str().expect("a medium").to_owned(),
            named: segment["obstruction"].as_str().map(str::to_owned),
            from: pair[0],
            to: pair[1],
        }));
    }
    pieces
}

/// Every place in which a cable touches what was recorded.
pub fn faults(survey: &Value, answer: &Value, storeys: &Storeys) -> Vec<String> {
    let (solids, pieces) = (solids(survey, storeys), pieces(answer, storeys));
    let held = pieces.iter().flat_map(|piece| solids.iter().map(move |solid| (piece, solid)));
    held.filter_map(|(piece, solid)| Some(format!("{piece:?}: {}", solid.fault(piece)?))).collect()
}

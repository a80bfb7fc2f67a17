//! How walls, floors, coverings and rooms behave.

use serde::{Deserialize, Deserializer};

use crate::survey::{CeilingConstruction, FloorConstruction, FloorCovering, RoomUse, Wall};

/// How a wall is worked: suffixes of the operations that cut it.
#[derive(Debug, Clone, Deserialize)]
pub struct WallKind {
    /// The wall.
    pub wall: Wall,
    /// Suffix of the operation that cuts a box into it, or `dry-lining`, `lath-and-plaster`, `surface`.
    #[serde(rename = "box")]
    pub box_suffix: String,
    /// Suffix of the operation that chases it; empty where the cable is fished behind a lining.
    pub chase: String,
    /// Operation that makes a hole for a cable.
    pub hole: String,
    /// Operation that cores it for a fan.
    pub fan_core: String,
    /// Whether cutting it makes silica dust.
    #[serde(deserialize_with = "yes")]
    pub dusty: bool,
}

/// How a floor is opened.
#[derive(Debug, Clone, Deserialize)]
pub struct FloorKind {
    /// The construction.
    pub construction: FloorConstruction,
    /// Whether there is a void to run in.
    #[serde(deserialize_with = "yes")]
    pub void: bool,
    /// Operation that lifts and relays it; empty where there is nothing to lift.
    pub board_operation: String,
    /// Boards up per metre of opened line.
    pub board_m2_per_m: f64,
    /// Joists crossed per metre of a run across them.
    pub joists_per_m: f64,
}

/// How a covering is lifted.
#[derive(Debug, Clone, Deserialize)]
pub struct CoveringKind {
    /// The covering.
    pub covering: FloorCovering,
    /// Whether it can be lifted and relaid without damage that shows.
    #[serde(deserialize_with = "yes")]
    pub lifts: bool,
    /// Operation that lifts and relays it; empty where there is none.
    pub operation: String,
    /// Covering up per metre of opened line.
    pub m2_per_m: f64,
}

/// The rooms that share a circuit of sockets.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum SocketsWith {
    /// Kitchen and utility, which are apart from their storey.
    Kitchen,
    /// The other rooms of a storey.
    Storey,
}

/// What a room of a use is usually like.
#[derive(Debug, Clone, Deserialize)]
pub struct RoomUseKind {
    /// The use.
    #[serde(rename = "use")]
    pub room_use: RoomUse,
    /// Usual floor area.
    pub area_m2: f64,
    /// Whether tiled and sealed walls slow the work.
    #[serde(deserialize_with = "yes")]
    pub wet: bool,
    /// The sockets circuit that it goes on.
    pub sockets_with: SocketsWith,
    /// Words of a name that give the use away, between semicolons.
    pub words: String,
    /// Words that do so only where nothing else does.
    pub alone: String,
}

/// What a house of an age is usually made of.
#[derive(Debug, Clone, Deserialize)]
pub struct Decade {
    /// Last year of the row.
    pub until: u16,
    /// Most walls.
    pub wall: Wall,
    /// Lowest floor.
    pub ground_floor: FloorConstruction,
    /// Floors above it.
    pub upper_floor: FloorConstruction,
    /// Usual covering.
    pub covering: FloorCovering,
    /// Usual ceiling.
    pub ceiling: CeilingConstruction,
}

pub(super) fn yes<'de, D: Deserializer<'de>>(deserializer: D) -> Result<bool, D::Error> {
    match String::deserialize(deserializer)?.as_str() {
        "yes" => Ok(true),
        "no" => Ok(false),
        other => Err(serde::de::Error::custom(format!("`{other}` is neither yes nor no"))),
    }
}

//! The ways of a board, as they stand on its chart.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::{CableChosen, DeviceChosen};
use crate::quantities::Metres;

/// One way of a board.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct Way {
    /// Its number, from the main switch.
    #[schema(example = 3)]
    pub way: u32,
    /// The circuit; absent where the way is spare.
    pub circuit: Option<String>,
    /// What stands on the chart.
    #[schema(example = "Sockets, kitchen and utility")]
    pub name: String,
    /// Its device.
    pub device: Option<DeviceChosen>,
    /// Its cable.
    pub cable: Option<CableChosen>,
    /// Metres of its cable.
    pub length_m: Option<Metres>,
    /// The residual current device that it hangs behind, from 1; absent where it has its own.
    pub section: Option<u8>,
    /// What a spare way is kept for.
    pub kept_for: Option<String>,
    /// Whether it is in use today by a circuit that nobody recorded.
    #[serde(default)]
    pub unrecorded: bool,
}

/// A small board beside one that stays and has no free way.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct SmallBoard {
    /// Ways of it.
    pub ways: u32,
    /// Ways that its circuits take.
    pub ways_used: u32,
    /// Ways left free.
    pub ways_spare: u32,
    /// Every way, spare ones last.
    pub chart: Vec<Way>,
    /// The enclosure.
    pub enclosure: String,
}

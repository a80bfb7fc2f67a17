//! The sheet across: its width, and where everything stands.

use super::super::sheet::MARGIN;

/// As wide as A3 lying.
pub(in crate::drawings) const WIDTH: f64 = 420.0;
/// The sheet's edge on the right.
pub(super) const RIGHT: f64 = WIDTH - MARGIN;
/// The conductor from the intake up to the board.
pub(super) const RISER: f64 = 24.0;

/// Where everything stands, from left to right.
pub(super) struct Columns {
    /// Left side of an enclosure.
    pub(super) enclosure: f64,
    /// Where the conductor comes down from which the sections of a divided bus are fed.
    pub(super) riser: f64,
    pub(super) bus: f64,
    pub(super) way: f64,
    pub(super) device: f64,
    pub(super) device_words: f64,
    /// Right side of an enclosure.
    pub(super) outside: f64,
    pub(super) cable_words: f64,
    /// Where the first of the feeds turns down.
    pub(super) lanes: f64,
    pub(super) load: f64,
    pub(super) serves: f64,
    pub(super) figures: f64,
}

/// From one feed that turns down to the next.
const LANE: f64 = 3.0;

impl Columns {
    /// With lanes for so many feeds. Beyond what the sheet holds they lie on each other.
    pub(super) fn beside(feeds: usize) -> Self {
        /// Lanes that leave enough room for words.
        const LANES_MAX: usize = 12;
        let lanes = 210.0;
        let load = lanes + LANE * (feeds.min(LANES_MAX) as f64 + 1.0);
        Self {
            enclosure: 88.0,
            riser: 93.0,
            bus: 106.0,
            way: 113.0,
            device: 114.0,
            device_words: 131.0,
            outside: 163.0,
            cable_words: 166.0,
            lanes,
            load,
            serves: load + 9.0,
            figures: 352.0,
        }
    }

    pub(super) fn lane(&self, feed: usize) -> f64 {
        (self.lanes + LANE * (feed as f64 + 0.5)).min(self.load - 1.0)
    }
}

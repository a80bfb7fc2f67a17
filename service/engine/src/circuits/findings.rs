//! What is judged of an installation beside its circuits: where the board stands, arc detection, bonds in bathrooms, what
//! a new amendment adds, alarms, what stands in which zone. No price hangs on it, so a job that is only priced again does
//! without.

use std::collections::BTreeMap;

use super::alarms::{self, AlarmFinding};
use super::bathrooms::{self, ZoneFinding};
use super::earthing::{self, SupplementaryPlan};
use super::edition::{self, NewRule};
use super::place::{self, PlaceFinding};
use super::{ArcDetection, Installation};
use crate::geometry::{Outline, Position, Shape};
use crate::site::Site;
use crate::standards::Standards;
use crate::survey::Survey;

/// What is judged of an installation.
#[derive(Debug, Clone)]
pub struct Findings {
    /// What is to be said of the place where the board stands.
    pub place: Vec<PlaceFinding>,
    /// Whether sockets must have arc fault detection.
    pub arc_detection: ArcDetection,
    /// Rooms with a bath or shower, and whether they want bonds of their own.
    pub supplementary: Vec<SupplementaryPlan>,
    /// What the newest amendment adds that may touch the house.
    pub new_rules: [NewRule; 3],
    /// Alarms, by room of the category and by storey.
    pub alarms: Vec<AlarmFinding>,
    /// Points of bathrooms, by zone.
    pub bathrooms: Vec<ZoneFinding>,
}

impl Findings {
    /// Judges what was designed and recorded.
    #[must_use]
    pub fn of(site: &Site, survey: &Survey, installation: &Installation, standards: &Standards) -> Self {
        let board = &installation.board;
        Self {
            // Where a board stays, its place is not this job's to judge.
            place: if board.stays { Vec::new() } else { place::findings(site, board.height, board.tails) },
            arc_detection: ArcDetection::of(site),
            supplementary: earthing::supplementary_bonds(site, installation, standards),
            new_rules: edition::new_rules(site),
            alarms: alarms::findings(site),
            bathrooms: bathrooms::findings(site, &baths(site, survey)),
        }
    }
}

/// The baths and trays that were drawn, by room, in the axes of the house.
fn baths<'s>(site: &Site, survey: &'s Survey) -> BTreeMap<&'s str, Vec<Shape>> {
    let drawn = survey.rooms.iter().filter(|room| !room.baths.is_empty());
    let in_the_house = |bath: &Outline| {
        let corners: Vec<Position> =
            Shape::from(*bath).corners().iter().map(|corner| site.frame.to_house(*corner)).collect();
        Shape::of(&corners)
    };
    drawn.map(|room| (room.id.as_str(), room.baths.iter().map(in_the_house).collect())).collect()
}

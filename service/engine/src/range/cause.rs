//! What a cause of spread is.

use std::cmp::Ordering;

use crate::rate_sheet::Stage;
use crate::unknowns::AnswerSubject;

/// What a cause of spread is. The order settles which draws a cause gets beside one that moves as much, so it never
/// changes: it is that of the causes' names as they are printed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum CauseKind {
    /// All that are too small to be drawn alone.
    Small,
    /// Crew and house, common to all hours.
    Crew,
    /// What one operation takes at one stage.
    Hours {
        /// The operation, by its name in the sheet.
        operation: String,
        /// The stage.
        stage: Stage,
    },
    /// What materials cost until they are bought.
    Prices,
    /// Something that was not recorded.
    Unrecorded(AnswerSubject),
}

impl CauseKind {
    const fn rank(&self) -> u8 {
        match self {
            Self::Small => 0,
            Self::Unrecorded(AnswerSubject::BoardBacking) => 1,
            Self::Unrecorded(AnswerSubject::CeilingCoating) => 2,
            Self::Unrecorded(AnswerSubject::Ceiling) => 3,
            Self::Crew => 4,
            Self::Unrecorded(AnswerSubject::FloorCovering) => 5,
            Self::Unrecorded(AnswerSubject::GroundFloor) => 6,
            Self::Hours { .. } => 7,
            Self::Unrecorded(AnswerSubject::OpeningHeights) => 8,
            Self::Unrecorded(AnswerSubject::Earthing) => 9,
            Self::Unrecorded(AnswerSubject::StudInsulation) => 10,
            Self::Unrecorded(AnswerSubject::Lengths | AnswerSubject::Positions) => 11,
            Self::Unrecorded(AnswerSubject::ApplianceLoad) => 12,
            Self::Unrecorded(AnswerSubject::PointsToStrip) => 13,
            Self::Unrecorded(AnswerSubject::Parking) => 14,
            Self::Unrecorded(AnswerSubject::MissingPoint) => 15,
            Self::Prices => 16,
            Self::Unrecorded(AnswerSubject::MissingSwitch) => 17,
            Self::Unrecorded(AnswerSubject::LightWeight) => 18,
            Self::Unrecorded(AnswerSubject::Distance) => 19,
            Self::Unrecorded(AnswerSubject::CutOut) => 20,
            Self::Unrecorded(AnswerSubject::Ground) => 21,
            Self::Unrecorded(AnswerSubject::OutbuildingRun) => 22,
            Self::Unrecorded(AnswerSubject::Finish) => 23,
            Self::Unrecorded(AnswerSubject::KitchenPlan) => 24,
            Self::Unrecorded(AnswerSubject::UpperFloor) => 25,
            Self::Unrecorded(AnswerSubject::Wall) => 26,
            Self::Unrecorded(AnswerSubject::BuriedServices) => 27,
            Self::Unrecorded(AnswerSubject::UnseenFabric) => 28,
            Self::Unrecorded(AnswerSubject::Above) => 29,
            Self::Unrecorded(AnswerSubject::Below) => 30,
            Self::Unrecorded(AnswerSubject::NoHiddenWay) => 31,
            Self::Unrecorded(AnswerSubject::OutbuildingConstruction) => 32,
            Self::Unrecorded(AnswerSubject::SignalHub) => 33,
            Self::Unrecorded(AnswerSubject::ServicePosition) => 34,
            Self::Unrecorded(AnswerSubject::EarthingSound) => 35,
            Self::Unrecorded(AnswerSubject::ScopeSmall | AnswerSubject::ScopeWhole) => 36,
            Self::Unrecorded(AnswerSubject::FreeWays | AnswerSubject::BoardChanged) => 37,
            Self::Unrecorded(AnswerSubject::RoofOverExtension) => 38,
            Self::Unrecorded(AnswerSubject::Occupancy) => 39,
            Self::Unrecorded(AnswerSubject::ServiceBond) => 40,
            Self::Unrecorded(AnswerSubject::Isolator) => 41,
            Self::Unrecorded(AnswerSubject::Looped) => 42,
            Self::Unrecorded(AnswerSubject::WayPastSteel) => 43,
            Self::Unrecorded(AnswerSubject::MakingGood) => 44,
        }
    }
}

impl Ord for CauseKind {
    fn cmp(&self, other: &Self) -> Ordering {
        /// The name of the hours as it is printed, from the operation on.
        fn printed<'a>(operation: &'a str, stage: Stage) -> impl Iterator<Item = u8> + 'a {
            let operation = operation.bytes().map(|byte| if byte == b'-' { b' ' } else { byte });
            operation.chain(*b", ").chain(stage.words().bytes())
        }
        match (self, other) {
            (Self::Hours { operation, stage }, Self::Hours { operation: other_operation, stage: other_stage }) => {
                printed(operation, *stage).cmp(printed(other_operation, *other_stage))
            }
            _ => self.rank().cmp(&other.rank()),
        }
    }
}

impl PartialOrd for CauseKind {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

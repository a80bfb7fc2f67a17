//! Why a price spreads, and how sure it is.

use std::collections::BTreeSet;

use crate::range::{CauseKind, Confidence, ConfidenceReason, STOPS_THAT_RAISE};
use crate::unknowns::AnswerSubject;

/// How the spread was worked out, and what it leaves out.
pub(crate) const BASIS: &str = "We drew the whole job 16,384 times. Each draw picks hours for each task, one factor for crew and house, one for the price \
                     of materials, and an answer to what was not recorded. Contingency lifts the base price to the \
                     confidence asked for (range estimating, AACE International 41R-08 and 40R-08, from memory). What nobody \
                     has thought of is left out. The range is no surer than its odds and hours, which are from memory or \
                     common practice.";

/// Why a price is to be so sure; `open` are the `stop` flags.
pub(crate) fn confidence(confidence: Confidence, open: &BTreeSet<&str>) -> String {
    let named = open.iter().copied().collect::<Vec<_>>().join(", ");
    let because = match confidence.reason {
        ConfidenceReason::Asked => return "as the request asks".to_owned(),
        ConfidenceReason::StopsOpen(count) if count >= STOPS_THAT_RAISE => {
            format!("The request names none. {count} `stop` flags are open ({named}), so 90 % in place of 80 %")
        }
        ConfidenceReason::StopsOpen(0) => "The request names none, and no `stop` flag is open, so 80 %".to_owned(),
        ConfidenceReason::StopsOpen(_) => {
            format!("The request names none, and one `stop` flag is open ({named}), so 80 %")
        }
    };
    format!("{because} (domain practice, from memory)")
}

/// A cause of spread.
pub(crate) fn cause(kind: &CauseKind) -> String {
    match kind {
        CauseKind::Small => "all smaller causes together".to_owned(),
        CauseKind::Crew => "crew and house, common to all hours".to_owned(),
        CauseKind::Hours { operation, stage } => {
            format!("hours of {}, {}", operation.replace('-', " "), stage.words())
        }
        CauseKind::Prices => "prices of materials until they are bought".to_owned(),
        CauseKind::Unrecorded(subject) => unrecorded(*subject).to_owned(),
    }
}

const fn unrecorded(subject: AnswerSubject) -> &'static str {
    match subject {
        AnswerSubject::Wall => "walls that were not recorded",
        AnswerSubject::GroundFloor => "ground floors that were not recorded",
        AnswerSubject::UpperFloor => "upper floors that were not recorded",
        AnswerSubject::FloorCovering => "floor coverings that were not recorded",
        AnswerSubject::Ceiling => "ceilings that were not recorded",
        AnswerSubject::Occupancy => "whether the rooms are empty, which was not recorded",
        AnswerSubject::Lengths | AnswerSubject::Positions => "lengths of runs that were not measured",
        AnswerSubject::ServicePosition => "where the services come in",
        AnswerSubject::ServiceBond => "whether the services want a bond",
        AnswerSubject::PointsToStrip => "old points that were not counted",
        AnswerSubject::Distance => "the distance, which was not recorded",
        AnswerSubject::Parking => "parking, which was not recorded",
        AnswerSubject::OutbuildingRun => "the length of the trench",
        AnswerSubject::Ground => "the ground of the trench",
        AnswerSubject::BuriedServices => "what else is buried",
        AnswerSubject::OutbuildingConstruction => "what the outbuilding is made of",
        AnswerSubject::Earthing => "how the house is earthed",
        AnswerSubject::CutOut => "the fuse in the cut-out",
        AnswerSubject::Isolator => "whether the supply can be made dead",
        AnswerSubject::Looped => "whether the supply is looped",
        AnswerSubject::CeilingCoating => "asbestos in textured ceilings",
        AnswerSubject::BoardBacking => "asbestos behind the old board",
        AnswerSubject::LightWeight => "the client's lights, which nobody weighed",
        AnswerSubject::OpeningHeights => "how high doors and windows reach",
        AnswerSubject::WayPastSteel => "whether there is a way past the steel",
        AnswerSubject::RoofOverExtension => "whether the roof over the extension can be got into",
        AnswerSubject::NoHiddenWay => "what may show where no way is hidden",
        AnswerSubject::Above => "what is over the dwelling, which was not recorded",
        AnswerSubject::Below => "what is under the dwelling, which was not recorded",
        AnswerSubject::UnseenFabric => "what hides in voids that nobody has looked into",
        AnswerSubject::MissingPoint => "points that the list may lack",
        AnswerSubject::MissingSwitch => "switches that the list may lack",
        AnswerSubject::MakingGood => "who makes good",
        AnswerSubject::Finish => "the look of the plates, which was not recorded",
        AnswerSubject::KitchenPlan => "the plan of the kitchen",
        AnswerSubject::ScopeSmall | AnswerSubject::ScopeWhole => "whether it is a rewire, which was not recorded",
        AnswerSubject::SignalHub => "where data and television cables end",
        AnswerSubject::StudInsulation => "insulation in stud walls, which nobody looked for",
        AnswerSubject::EarthingSound => "whether earthing and bonds are sound",
        AnswerSubject::FreeWays | AnswerSubject::BoardChanged => "whether the board has free ways",
        AnswerSubject::ApplianceLoad => "loads of appliances whose plates nobody read",
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rate_sheet::Stage;

    #[test]
    fn causes_stand_in_the_order_of_their_printed_names() {
        let hours = |operation: &str, stage| CauseKind::Hours { operation: operation.to_owned(), stage };
        let mut kinds = vec![
            CauseKind::Small,
            CauseKind::Crew,
            CauseKind::Prices,
            hours("drill", Stage::SecondFix),
            hours("drill", Stage::FirstFix),
            hours("drill-joist", Stage::FirstFix),
            hours("drillings", Stage::FirstFix),
        ];
        kinds.extend(AnswerSubject::ALL.iter().map(|subject| CauseKind::Unrecorded(*subject)));
        for one in &kinds {
            for other in &kinds {
                assert_eq!(one.cmp(other), cause(one).cmp(&cause(other)), "{one:?}, {other:?}");
            }
        }
    }
}

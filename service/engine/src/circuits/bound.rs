//! How many circuits a survey asks for, found before any of them is designed.

use super::{gather, given::GivenSurvey};
use crate::catalogue::Catalogue;
use crate::faults::{Fault, FaultCode};
use crate::limits::CIRCUITS_DESIGNED_MAX;
use crate::site::Site;
use crate::survey::Survey;

/// Whether the survey may ask for more circuits than are designed: a circuit serves a point, an appliance or a building, so
/// there are never more of them than of those. Linear in the entries of the survey.
#[must_use]
pub fn may_be_too_many(survey: &Survey) -> bool {
    let rooms = survey.rooms.iter().map(|room| (&room.points, &room.appliances));
    let buildings = survey.outbuildings.iter().map(|building| (&building.points, &building.appliances));
    let served: u64 = rooms
        .chain(buildings)
        .map(|(points, appliances)| {
            let points = points.iter().map(|point| u64::from(point.count.unwrap_or(1)));
            let appliances = appliances.iter().map(|appliance| u64::from(appliance.count.unwrap_or(1)));
            points.chain(appliances).sum::<u64>()
        })
        .sum();
    served + survey.outbuildings.len() as u64 + survey.circuits.len() as u64 > CIRCUITS_DESIGNED_MAX as u64
}

/// The fault of a survey that asks for more than [`CIRCUITS_DESIGNED_MAX`] circuits, where it does. Linear in its points.
pub(super) fn too_many(site: &Site, catalogue: &Catalogue, given: GivenSurvey) -> Option<Fault> {
    let wanted = gather::gather(site, catalogue, given).drafts.len();
    (wanted > CIRCUITS_DESIGNED_MAX).then(|| {
        let detail = format!(
            "the survey asks for {wanted} circuits; at most {CIRCUITS_DESIGNED_MAX} are designed in one survey, those of \
             outbuildings with them: split it, one survey a dwelling"
        );
        Fault::new("/survey/rooms", FaultCode::OutOfRange, detail)
    })
}

//! Which certificates the work asks for, and whether somebody has to be told of it.

use super::{CircuitIndex, CircuitPlan, Installation};
use crate::site::Site;
use crate::survey::{Dwelling, Nation, RoomUse, Scope};
use wiring::closed_list;

closed_list! {
    /// The kind of a certificate.
    CertificateKind {
        Installation = "installation-certificate": "For new circuits and for a board changed (BS 7671 644.1, from memory).",
        MinorWorks = "minor-works-certificate": "For an addition to one circuit that is there, without a new one.",
    }
}

/// A certificate, and the circuits on it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Certificate {
    /// The kind.
    pub kind: CertificateKind,
    /// The circuits.
    pub circuits: Vec<CircuitIndex>,
}

/// Whether the work has to be notified to building control, in which nation, and why.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Notice {
    /// Whether it has to be.
    pub required: bool,
    /// The nation; England where nobody recorded it.
    pub nation: Nation,
    /// Why, or why not.
    pub because: NoticeBecause,
}

/// Why work has to be notified, or not.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NoticeBecause {
    /// A circuit is new.
    NewCircuit,
    /// The board is changed.
    BoardChanged,
    /// In the room with a bath or shower, whose zones count.
    Bathroom,
    /// In a kitchen, which Wales still lists.
    Kitchen,
    /// Out of doors, which Wales still lists.
    Outdoors,
    /// A flat in Scotland wants a warrant.
    ScottishFlat,
    /// A house of up to two storeys in Scotland wants no warrant.
    ScottishHouse,
    /// A house of more storeys in Scotland wants a warrant.
    ScottishTallHouse,
    /// Northern Ireland has no such notice.
    NorthernIreland,
    /// Only circuits that are there are extended.
    ExtensionOnly,
}

impl Installation {
    /// Circuits that are new.
    fn new_circuits(&self) -> impl Iterator<Item = (CircuitIndex, &CircuitPlan)> {
        self.circuits.iter().enumerate().filter(|(_, circuit)| circuit.fixed.kept.is_none())
    }

    /// Circuits that are there and worked on.
    fn extended(&self) -> impl Iterator<Item = (CircuitIndex, &CircuitPlan)> {
        let worked_on = |circuit: &CircuitPlan| circuit.fixed.kept.is_some() && !circuit.members.is_empty();
        self.circuits.iter().enumerate().filter(move |(_, circuit)| worked_on(circuit))
    }

    /// The certificates: one for the installation as soon as a circuit is new or the board is changed, which holds the
    /// additions of the visit too; else one for minor works for each circuit worked on. BS 7671 644.1.2 and the model forms of
    /// Appendix 6, seen second-hand.
    #[must_use]
    pub fn certificates(&self, site: &Site) -> Vec<Certificate> {
        let all_of_the_board = site.scope.rewires() || site.scope.kind == Scope::BoardChange;
        if all_of_the_board {
            let circuits = (0..self.circuits.len()).collect();
            return vec![Certificate { kind: CertificateKind::Installation, circuits }];
        }
        let extended: Vec<CircuitIndex> = self.extended().map(|(index, _)| index).collect();
        let mut circuits: Vec<CircuitIndex> = self.new_circuits().map(|(index, _)| index).collect();
        if circuits.is_empty() {
            let minor = |index| Certificate { kind: CertificateKind::MinorWorks, circuits: vec![index] };
            return extended.into_iter().map(minor).collect();
        }
        circuits.extend(extended);
        circuits.sort_unstable();
        vec![Certificate { kind: CertificateKind::Installation, circuits }]
    }

    /// Whether the work has to be notified. England: Schedule 4 of the Building Regulations as it is since 2013; Wales: the
    /// older one; Scotland: the warrant; Northern Ireland: none. From memory, the Scottish rule seen.
    #[must_use]
    pub fn notice(&self, site: &Site) -> Notice {
        let nation = site.nation.unwrap_or(Nation::England);
        let tells = |because| Notice { required: true, nation, because };
        let silent = |because| Notice { required: false, nation, because };
        match nation {
            Nation::NorthernIreland => return silent(NoticeBecause::NorthernIreland),
            Nation::Scotland => return scotland(site),
            Nation::England | Nation::Wales => {}
        }
        if !site.scope.board_stays() {
            return tells(NoticeBecause::BoardChanged);
        }
        if self.new_circuits().next().is_some() {
            return tells(NoticeBecause::NewCircuit);
        }
        let uses = |picks: fn(RoomUse) -> bool| {
            let members = self.extended().flat_map(|(_, circuit)| &circuit.members);
            members.into_iter().any(|member| picks(site.rooms[member.room].room_use))
        };
        if uses(|room_use| room_use == RoomUse::Bathroom) {
            return tells(NoticeBecause::Bathroom);
        }
        if nation == Nation::Wales {
            if uses(|room_use| matches!(room_use, RoomUse::Kitchen | RoomUse::KitchenDiner)) {
                return tells(NoticeBecause::Kitchen);
            }
            if uses(|room_use| room_use == RoomUse::Outside) {
                return tells(NoticeBecause::Outdoors);
            }
        }
        silent(NoticeBecause::ExtensionOnly)
    }
}

/// Flats and houses of more than two storeys want a warrant, lower houses none. Seen second-hand.
fn scotland(site: &Site) -> Notice {
    let tells = |required, because| Notice { required, nation: Nation::Scotland, because };
    if site.dwelling.is_some_and(Dwelling::shares_its_floors) {
        return tells(true, NoticeBecause::ScottishFlat);
    }
    if site.top_level > 1 {
        tells(true, NoticeBecause::ScottishTallHouse)
    } else {
        tells(false, NoticeBecause::ScottishHouse)
    }
}

//! What the trade knows before it sees the house: what each point type needs, how fabric behaves, how large rooms
//! usually are, what each appliance draws. Data files with their sources; the code only looks things up.

mod building;
mod cables;
mod fabric;
mod points;
mod provisions;
mod ratings;
mod room_names;

pub use building::{BuildingLimit, BuildingLimitName, Leaf};
pub use cables::{CableClass, CableIndex, CableKind, CableMake, CableNames, CableSize, CableUse, Cables};
pub use fabric::{CoveringKind, Decade, FloorKind, RoomUseKind, SocketsWith, WallKind};
pub(crate) use points::connection;
pub use points::{CircuitFamily, CircuitType, HEAVY_FITTING_KG, PointGroup, PointKind, PointPlace};
pub use provisions::{DrawsIn, Provision};
pub use ratings::{ApplianceKind, CircuitKind, RatingStep};

use crate::quantities::Metres;
use crate::survey::{ApplianceType, FloorConstruction, FloorCovering, FutureType, PointType, RoomUse, Wall};
use crate::table::rows;

/// The data files, read once.
#[derive(Debug, Clone)]
pub struct Catalogue {
    cables: Cables,
    points: Vec<PointKind>,
    point_rows: Vec<[usize; GANGS]>,
    walls: Vec<WallKind>,
    floors: Vec<FloorKind>,
    coverings: Vec<CoveringKind>,
    room_uses: Vec<RoomUseKind>,
    decades: Vec<Decade>,
    appliances: Vec<ApplianceKind>,
    circuits: Vec<CircuitKind>,
    ratings: Vec<RatingStep>,
    provisions: Vec<Provision>,
    building_limits: Vec<BuildingLimit>,
    leaves: Vec<Leaf>,
}

/// Gangs that a switch may have.
const GANGS: usize = 4;

impl Catalogue {
    /// Reads the files that are part of the program.
    ///
    /// # Panics
    /// If a file lacks a row for a value of a closed list: a bug that the first test finds.
    #[must_use]
    pub fn built_in() -> Self {
        let points: Vec<PointKind> = rows("point_types.csv", include_str!("../../data/point_types.csv"));
        let point_rows = PointType::ALL.iter().map(|kind| point_rows(&points, *kind)).collect();
        Self {
            cables: Cables::built_in(),
            points,
            point_rows,
            walls: in_order("walls.csv", include_str!("../../data/walls.csv"), Wall::ALL, |row: &WallKind| row.wall),
            floors: in_order(
                "floors.csv",
                include_str!("../../data/floors.csv"),
                FloorConstruction::ALL,
                |row: &FloorKind| row.construction,
            ),
            coverings: in_order(
                "coverings.csv",
                include_str!("../../data/coverings.csv"),
                FloorCovering::ALL,
                |row: &CoveringKind| row.covering,
            ),
            room_uses: in_order(
                "room_uses.csv",
                include_str!("../../data/room_uses.csv"),
                RoomUse::ALL,
                |row: &RoomUseKind| row.room_use,
            ),
            decades: rows("decades.csv", include_str!("../../data/decades.csv")),
            appliances: in_order(
                "appliance_types.csv",
                include_str!("../../data/appliance_types.csv"),
                ApplianceType::ALL,
                |row: &ApplianceKind| row.appliance,
            ),
            circuits: rows("circuit_types.csv", include_str!("../../data/circuit_types.csv")),
            ratings: rows("appliance_circuits.csv", include_str!("../../data/appliance_circuits.csv")),
            provisions: in_order(
                "provisions.csv",
                include_str!("../../data/provisions.csv"),
                FutureType::ALL,
                |row: &Provision| row.future,
            ),
            building_limits: in_order(
                "building_limits.csv",
                include_str!("../../data/building_limits.csv"),
                BuildingLimitName::ALL,
                |row: &BuildingLimit| row.limit,
            ),
            leaves: in_order("leaves.csv", include_str!("../../data/leaves.csv"), Wall::ALL, |row: &Leaf| row.wall),
        }
    }

    /// The cables.
    #[must_use]
    pub const fn cables(&self) -> &Cables {
        &self.cables
    }

    /// What a point needs; `gangs` matters for switches only.
    #[must_use]
    pub fn point(&self, point: PointType, gangs: u8) -> &PointKind {
        let gang = usize::from(gangs.clamp(1, 4)) - 1;
        &self.points[self.point_rows[point as usize][gang]]
    }

    /// Every row of the point table, for resolving names against a rate sheet.
    #[must_use]
    pub fn points(&self) -> &[PointKind] {
        &self.points
    }

    /// The row of [`Catalogue::points`] for a point.
    #[must_use]
    pub fn point_row(&self, point: PointType, gangs: u8) -> usize {
        self.point_rows[point as usize][usize::from(gangs.clamp(1, 4)) - 1]
    }

    /// How a wall is worked.
    #[must_use]
    pub fn wall(&self, wall: Wall) -> &WallKind {
        &self.walls[wall as usize]
    }

    /// How a floor is opened.
    #[must_use]
    pub fn floor(&self, construction: FloorConstruction) -> &FloorKind {
        &self.floors[construction as usize]
    }

    /// How a covering is lifted.
    #[must_use]
    pub fn covering(&self, covering: FloorCovering) -> &CoveringKind {
        &self.coverings[covering as usize]
    }

    /// What the fabric allows.
    #[must_use]
    pub fn building_limit(&self, name: BuildingLimitName) -> &BuildingLimit {
        &self.building_limits[name as usize]
    }

    /// How thick an outside wall of this fabric usually is.
    #[must_use]
    pub fn outside_wall(&self, wall: Wall) -> Metres {
        Metres::new(self.leaves[wall as usize].outside_mm / 1_000.0)
    }

    /// The leaf of a wall that a chase is cut into, in millimetres; 0 where nothing is chased.
    #[must_use]
    pub fn leaf_mm(&self, wall: Wall) -> f64 {
        self.leaves[wall as usize].leaf_mm
    }

    /// What a room of this use is like.
    #[must_use]
    pub fn room_use(&self, room_use: RoomUse) -> &RoomUseKind {
        &self.room_uses[room_use as usize]
    }

    /// The use that a name or an identifier gives away, as people write it.
    #[must_use]
    pub fn use_from_words(&self, words: &str) -> Option<RoomUse> {
        room_names::room_use(&self.room_uses, words)
    }

    /// What a house of that year is usually made of.
    #[must_use]
    pub fn decade(&self, built_year: u16) -> &Decade {
        self.decades.iter().find(|row| built_year <= row.until).unwrap_or(&self.decades[self.decades.len() - 1])
    }

    /// What is laid ready for what may come.
    #[must_use]
    pub fn provision(&self, future: FutureType) -> &Provision {
        &self.provisions[future as usize]
    }

    /// What an appliance draws and asks for.
    #[must_use]
    pub fn appliance(&self, appliance: ApplianceType) -> &ApplianceKind {
        &self.appliances[appliance as usize]
    }

    /// The usual form of a circuit.
    #[must_use]
    pub fn circuit(&self, circuit: CircuitType) -> &CircuitKind {
        let row = self.circuits.iter().find(|row| row.circuit == circuit);
        row.unwrap_or(&self.circuits[0])
    }

    /// Device and cable by design current, smallest first.
    #[must_use]
    pub fn ratings(&self) -> &[RatingStep] {
        &self.ratings
    }
}

fn point_rows(points: &[PointKind], kind: PointType) -> [usize; GANGS] {
    std::array::from_fn(|gang| {
        points
            .iter()
            .position(|row| row.point == kind && (row.gangs_asked == 0 || usize::from(row.gangs_asked) == gang + 1))
            .unwrap_or_else(|| panic!("point_types.csv has no row for `{kind}` with {} gangs", gang + 1))
    })
}

/// The rows of a table in the order of its closed list, so that a value is its own index.
fn in_order<Row, Key>(file: &str, text: &str, list: &[Key], key: impl Fn(&Row) -> Key) -> Vec<Row>
where
    Row: serde::de::DeserializeOwned + Clone,
    Key: PartialEq + Copy + std::fmt::Display,
{
    let table: Vec<Row> = rows(file, text);
    list.iter()
        .map(|wanted| {
            let row = table.iter().find(|row| key(row) == *wanted);
            row.cloned().unwrap_or_else(|| panic!("{file} has no row for `{wanted}`"))
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_value_of_a_closed_list_has_a_row() {
        let catalogue = Catalogue::built_in();
        for wall in Wall::ALL {
            assert_eq!(catalogue.wall(*wall).wall, *wall);
        }
        for point in PointType::ALL {
            assert_eq!(catalogue.point(*point, 2).point, *point);
        }
        assert_eq!(catalogue.point(PointType::TwoWaySwitch, 3).label, "Three-gang two-way switch");
    }

    #[test]
    fn a_house_of_1934_has_brick_walls_and_boards_on_joists() {
        let catalogue = Catalogue::built_in();
        assert_eq!(catalogue.decade(1934).wall, Wall::Brick);
        assert_eq!(catalogue.decade(1934).ground_floor, FloorConstruction::SuspendedTimber);
    }
}

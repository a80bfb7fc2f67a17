//! What a metre, a hole and an opened floor cost, room by room: the sheet's hours at its rate, with the factors of the
//! room, and the material.
//!
//! Money is kept in whole millionths ([`Cost`]), so that sums come out the same in any order and two ways that cost
//! the same are the same.

use crate::catalogue::{Catalogue, DrawsIn};
use crate::circuits::CableSize;
use crate::labour::Factors;
use crate::rate_sheet::{MaterialIndex, OperationIndex, Workbook};
use crate::site::{RoomPlan, Site};
use crate::survey::{FloorConstruction, JoistDirection, Wall};
use crate::take_off::{Conditions, cable_metre, draw_in_metre};

use super::{Void, is_chased};

/// Millionths of the sheet's currency.
pub type Cost = u64;

/// Capping covers both sides: a metre for each metre of chase, and a twentieth for joints. From memory.
pub const CAPPING_PER_M: f64 = 1.05;
/// Capping nails or fixings per metre. Source: domain practice, from memory.
pub const FIXINGS_PER_M: f64 = 4.0;
/// Share of an opened line that runs across the joists and so needs them drilled, where nobody recorded which way they
/// run. Common practice, no source.
const ACROSS_THE_JOISTS: f64 = 0.5;

/// Hours and money of one unit.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Rate {
    /// Person-hours.
    pub hours: f64,
    /// Labour and material.
    pub money: f64,
}

impl Rate {
    /// So many units of it.
    #[must_use]
    pub fn times(self, quantity: f64) -> Self {
        Self { hours: self.hours * quantity, money: self.money * quantity }
    }

    /// Both together.
    #[must_use]
    pub fn plus(self, other: Self) -> Self {
        Self { hours: self.hours + other.hours, money: self.money + other.money }
    }

    /// Its money in millionths.
    #[must_use]
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "saturates; prices are not negative")]
    pub fn cost(self) -> Cost {
        (self.money.max(0.0) * 1e6).round() as Cost
    }
}

/// The cables that ways are weighed for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Gauge {
    /// Up to 1.5 mm2.
    Lighting,
    /// 2.5 mm2.
    Sockets,
    /// 6 mm2, and 4 mm2 where the size is not yet known.
    Heavy,
    /// 10 mm2, and 16 mm2 where the size is not yet known.
    Heaviest,
    /// 10 mm2 bonding conductor.
    Bond,
    /// Conduit with a draw wire.
    DrawIn,
    /// 1 mm2.
    One,
    /// 4 mm2.
    Four,
    /// 16 mm2.
    Sixteen,
    /// 4 mm2 armoured.
    Armoured4,
    /// 6 mm2 armoured.
    Armoured6,
    /// 10 mm2 armoured.
    Armoured10,
    /// 16 mm2 armoured.
    Armoured16,
}

impl Gauge {
    /// How many there are.
    pub const COUNT: usize = 13;
    /// Those that the ways of a house are weighed for.
    pub const USUAL: [Self; 5] = [Self::Lighting, Self::Sockets, Self::Heavy, Self::Heaviest, Self::Bond];

    /// The gauge of a flat cable with lines of this size.
    #[must_use]
    pub fn of(line_mm2: f64) -> Self {
        match line_mm2 {
            size if size <= 1.5 => Self::Lighting,
            size if size <= 2.5 => Self::Sockets,
            size if size <= 6.0 => Self::Heavy,
            _ => Self::Heaviest,
        }
    }

    /// The gauge of a cable whose size is known.
    #[must_use]
    pub const fn of_cable(cable: CableSize) -> Self {
        match cable {
            CableSize::Flat1 => Self::One,
            CableSize::Flat1_5 | CableSize::ThreeCore1_5 => Self::Lighting,
            CableSize::Flat2_5 => Self::Sockets,
            CableSize::Flat4 => Self::Four,
            CableSize::Flat6 => Self::Heavy,
            CableSize::Flat10 => Self::Heaviest,
            CableSize::Flat16 => Self::Sixteen,
            // Those that only stay take the next that is priced: nothing of them is laid.
            CableSize::Armoured4 | CableSize::Armoured1_5 | CableSize::Armoured2_5 => Self::Armoured4,
            CableSize::Armoured6 => Self::Armoured6,
            CableSize::Armoured10 => Self::Armoured10,
            CableSize::Armoured16 | CableSize::Armoured25 => Self::Armoured16,
        }
    }

    /// The cable that its prices are of; absent for the bonding conductor and for conduit.
    const fn cable(self) -> Option<CableSize> {
        match self {
            Self::One => Some(CableSize::Flat1),
            Self::Lighting => Some(CableSize::Flat1_5),
            Self::Sockets => Some(CableSize::Flat2_5),
            Self::Four => Some(CableSize::Flat4),
            Self::Heavy => Some(CableSize::Flat6),
            Self::Heaviest => Some(CableSize::Flat10),
            Self::Sixteen => Some(CableSize::Flat16),
            Self::Armoured4 => Some(CableSize::Armoured4),
            Self::Armoured6 => Some(CableSize::Armoured6),
            Self::Armoured10 => Some(CableSize::Armoured10),
            Self::Armoured16 => Some(CableSize::Armoured16),
            Self::Bond | Self::DrawIn => None,
        }
    }
}

/// How many ways of laying a cable there are: each [`Void`], and a chase.
const LAYS: usize = 6;
/// The chase, after the voids.
const CHASE: usize = 5;

/// The prices of one room.
#[derive(Debug, Clone, Copy)]
pub struct RoomPrices {
    lay: [[[Rate; LAYS]; Gauge::COUNT]; 2],
    /// A metre of chase with its capping and filling, for one run and for two side by side; nothing where walls are
    /// fished.
    pub chase: [Rate; 2],
    /// Drilling the plate or noggin of a hollow wall for one drop.
    pub drill: Rate,
    /// A hole through a wall of the room.
    pub hole: Rate,
    /// A hole through a slab.
    pub slab_hole: Rate,
    /// Opening the floor along one line, and closing it again.
    pub open_floor: Rate,
}

impl RoomPrices {
    /// A metre of cable.
    #[must_use]
    pub const fn metre(&self, gauge: Gauge, void: Void, overhead: bool) -> Rate {
        self.lay[overhead as usize][gauge as usize][void as usize]
    }

    /// A metre of cable in a chase that is there.
    #[must_use]
    pub const fn metre_in_chase(&self, gauge: Gauge) -> Rate {
        self.lay[0][gauge as usize][CHASE]
    }
}

/// The prices of a house.
#[derive(Debug, Clone)]
pub struct Prices {
    rooms: Vec<RoomPrices>,
    gauges: Vec<Gauge>,
    /// What something in the way multiplies the hours of the metres in question by.
    pub obstruction: f64,
    /// Money of a person-hour.
    pub hour: f64,
}

/// How much is done to open a floor along one line of a room.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OpenedFloor {
    /// Length of the line.
    pub line_m: f64,
    /// Joists drilled.
    pub joists: f64,
    /// Boards lifted.
    pub boards_m2: f64,
    /// Covering taken up.
    pub covering_m2: f64,
}

impl OpenedFloor {
    /// One line along the longer side of the room.
    #[must_use]
    pub fn of(room: &RoomPlan, catalogue: &Catalogue) -> Self {
        let floor = catalogue.floor(room.floor);
        let covering = catalogue.covering(room.covering);
        let line_m = room.shape.longer_side().value();
        Self {
            line_m,
            joists: joists_drilled(room, line_m, floor.joists_per_m),
            boards_m2: line_m * floor.board_m2_per_m,
            covering_m2: (line_m * covering.m2_per_m).min(room.area.value()),
        }
    }
}

/// Joists that an opened line of a room crosses and that are drilled for it.
#[must_use]
pub fn joists_drilled(room: &RoomPlan, line_m: f64, joists_per_m: f64) -> f64 {
    let (least, greatest) = room.shape.bounds();
    let along_the_front = greatest.x_m - least.x_m >= greatest.y_m - least.y_m;
    let across = match room.joists {
        None => ACROSS_THE_JOISTS,
        Some(JoistDirection::LeftToRight) => f64::from(!along_the_front),
        Some(JoistDirection::FrontToBack) => f64::from(along_the_front),
    };
    (line_m * joists_per_m * across).ceil()
}

impl Prices {
    /// Works out every price once. Where no map is drawn there is nothing to weigh, and no room has prices.
    #[must_use]
    pub fn of(site: &Site, catalogue: &Catalogue, workbook: &Workbook, factors: &Factors) -> Self {
        Self::with_cables(site, catalogue, workbook, factors, &[])
    }

    /// The same with the prices of cables whose size is known, besides the usual ones.
    #[must_use]
    pub fn with_cables(
        site: &Site,
        catalogue: &Catalogue,
        workbook: &Workbook,
        factors: &Factors,
        cables: &[CableSize],
    ) -> Self {
        let asked = cables.iter().map(|cable| Gauge::of_cable(*cable));
        let to_come = site.future.iter().any(|future| catalogue.provision(*future).draws_in != DrawsIn::None);
        let conduit = to_come.then_some(Gauge::DrawIn);
        let mut gauges: Vec<Gauge> = Gauge::USUAL.into_iter().chain(conduit).chain(asked).collect();
        gauges.sort_unstable();
        gauges.dedup();
        let asking = Asking { site, catalogue, workbook, factors, gauges: &gauges };
        let weighed = if super::is_drawn(site) { &site.rooms[..] } else { &[] };
        Self {
            rooms: weighed.iter().enumerate().map(|(index, room)| asking.room(index, room)).collect(),
            obstruction: factors.obstruction(),
            hour: workbook.sheet.terms.labour_rate.approximate(),
            gauges,
        }
    }

    /// The cables that there are prices for.
    #[must_use]
    pub fn gauges(&self) -> &[Gauge] {
        &self.gauges
    }

    /// The prices of a room.
    #[must_use]
    pub fn room(&self, room: usize) -> &RoomPrices {
        &self.rooms[room]
    }
}

struct Asking<'a> {
    site: &'a Site,
    catalogue: &'a Catalogue,
    workbook: &'a Workbook,
    factors: &'a Factors,
    gauges: &'a [Gauge],
}

impl Asking<'_> {
    fn room(&self, index: usize, room: &RoomPlan) -> RoomPrices {
        let reach = Conditions { room: Some(index), ..Conditions::HOUSE };
        let overhead = Conditions { overhead: true, ..reach };
        let (does, takes) = (&self.workbook.does, &self.workbook.takes);
        let wall = self.workbook.wall_work(room.wall);
        let chase = wall.chases.map_or([Rate::default(); 2], |chases| {
            chases.map(|chase| {
                let cut = self
                    .work(chase, &reach)
                    .plus(self.material(takes.capping).times(CAPPING_PER_M))
                    .plus(self.material(takes.fixing).times(FIXINGS_PER_M));
                if self.site.making_good {
                    cut.plus(self.work(does.fill_chase, &reach)).plus(self.material(takes.filler))
                } else {
                    cut
                }
            })
        });
        RoomPrices {
            lay: [&reach, &overhead].map(|conditions| {
                let mut lay = [[Rate::default(); LAYS]; Gauge::COUNT];
                self.gauges.iter().for_each(|gauge| lay[*gauge as usize] = self.lay(*gauge, conditions));
                lay
            }),
            chase,
            drill: self.work(does.drill_stud, &reach),
            hole: self.work(wall.hole, &reach).plus(self.material(takes.hole_sleeve)),
            slab_hole: self
                .work(self.workbook.wall_work(Wall::Concrete).hole, &reach)
                .plus(self.material(takes.hole_sleeve)),
            open_floor: self.open_floor(room, &reach),
        }
    }

    fn lay(&self, gauge: Gauge, conditions: &Conditions) -> [Rate; LAYS] {
        let (does, takes) = (&self.workbook.does, &self.workbook.takes);
        let bond = [does.bonding_open, does.bonding_open, does.bonding_clipped, does.bonding_fished, does.bonding_open];
        let (material, [open, joists, clipped, fished, chase]) = match gauge.cable() {
            Some(cable) => {
                let (material, operations) = cable_metre(self.workbook, cable);
                (Some(material), operations)
            }
            None if gauge == Gauge::DrawIn => draw_in_metre(self.workbook),
            None => (Some(takes.bonding_10), bond),
        };
        let trunking = self.work(does.mini_trunking, conditions).plus(self.material(takes.mini_trunking));
        // In the order of `Void`, then the chase.
        let cable = material.map_or(Rate::default(), |material| self.material(material));
        [
            self.work(open, conditions),
            self.work(joists, conditions),
            self.work(fished, conditions),
            self.work(clipped, conditions),
            self.work(open, conditions).plus(trunking),
            self.work(chase, conditions),
        ]
        .map(|work| work.plus(cable))
    }

    fn open_floor(&self, room: &RoomPlan, conditions: &Conditions) -> Rate {
        let opened = OpenedFloor::of(room, self.catalogue);
        let boards = self
            .workbook
            .board_operation(room.floor, room.boards)
            .map_or(Rate::default(), |operation| self.work(operation, conditions).times(opened.boards_m2));
        let covering = self
            .workbook
            .covering_operation(room.covering)
            .map_or(Rate::default(), |operation| self.work(operation, conditions).times(opened.covering_m2));
        self.work(self.workbook.does.drill_joist, conditions).times(opened.joists).plus(boards).plus(covering)
    }

    fn work(&self, operation: OperationIndex, conditions: &Conditions) -> Rate {
        let hours = self.factors.hours_of_one(operation, conditions, self.workbook);
        Rate { hours, money: hours * self.workbook.sheet.terms.labour_rate.approximate() }
    }

    fn material(&self, material: MaterialIndex) -> Rate {
        Rate { hours: 0.0, money: self.workbook.material(material).approximate_cost }
    }
}

/// Up or down a wall of a room: what is there to pay once for the way, and then for each cable of so many.
#[must_use]
pub fn up_the_wall(prices: &RoomPrices, room: &RoomPlan, gauge: Gauge, metres: f64, cables: f64) -> Rate {
    if room.surface {
        return prices.metre(gauge, Void::Surface, false).times(metres * cables);
    }
    match room.wall {
        wall if is_chased(wall) => {
            let way = prices.chase[usize::from(cables > 1.0)].times(metres);
            way.plus(prices.metre_in_chase(gauge).times(metres * cables))
        }
        Wall::Glazed => prices.metre(gauge, Void::Trunking, false).times(metres * cables),
        _ => {
            let first = prices.metre(gauge, Void::Closed, false).times(metres);
            first.plus(prices.drill).plus(prices.metre(gauge, Void::Open, false).times(metres * (cables - 1.0)))
        }
    }
}

/// Whether there is a void under a floor of this make.
#[must_use]
pub const fn has_void(floor: FloorConstruction) -> bool {
    matches!(floor, FloorConstruction::SuspendedTimber | FloorConstruction::ChipboardOnJoists)
}

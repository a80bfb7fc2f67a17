//! What a metre, a hole and an opened floor cost, room by room: the sheet's hours at its rate, with the factors of the
//! room, and the material.
//!
//! Money is kept in whole millionths ([`Millionths`]), so that sums come out the same in any order and two ways that cost
//! the same are the same.

use crate::catalogue::{CableClass, CableSize, Catalogue, DrawsIn};
use crate::rate_sheet::{MaterialIndex, OperationIndex, Workbook};
use crate::site::{RoomPlan, Site};
use crate::survey::{JoistDirection, Medium, Wall};

use super::{Conditions, Factors, Void, is_drawn, wall_way};

/// Millionths of the sheet's currency.
pub type Millionths = u64;

/// The most that one thing counts for: thousands of them add up to less than a number holds.
pub(crate) const MILLIONTHS_MAX: Millionths = 1 << 50;

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
    pub fn cost(self) -> Millionths {
        ((self.money.max(0.0) * 1e6).round() as Millionths).min(MILLIONTHS_MAX)
    }
}

/// How many ways of laying a cable there are: each [`Void`], and a chase.
const LAYS: usize = 6;
/// The chase, after the voids.
const CHASE: usize = 5;

/// The prices of one room.
#[derive(Debug, Clone)]
pub struct RoomPrices {
    /// By [`CableClass::index`]: within reach, and overhead.
    lay: Vec<[[Rate; LAYS]; 2]>,
    /// A metre of chase with its capping and filling, for one run and for two side by side; nothing where walls are
    /// fished.
    pub chase: [Rate; 2],
    /// Drilling the plate or noggin of a hollow wall for one drop.
    pub drill: Rate,
    /// A hole through a wall of the room.
    pub hole: Rate,
    /// A hole through a slab.
    pub slab_hole: Rate,
    /// Finding the gap over or under a beam, and getting one cable through it.
    pub pass_over: Rate,
    /// Opening the floor along one line, and closing it again.
    pub open_floor: Rate,
}

impl RoomPrices {
    /// A metre of cable.
    #[must_use]
    pub fn metre(&self, class: CableClass, void: Void, overhead: bool) -> Rate {
        self.lay[class.index()][usize::from(overhead)][void as usize]
    }

    /// A metre of cable in a chase that is there.
    #[must_use]
    pub fn metre_in_chase(&self, class: CableClass) -> Rate {
        self.lay[class.index()][0][CHASE]
    }
}

/// The prices of a house.
#[derive(Debug, Clone)]
pub struct Prices {
    rooms: Vec<RoomPrices>,
    classes: Vec<CableClass>,
    armoured: Option<CableClass>,
    factors: Factors,
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
    pub fn of(site: &Site, catalogue: &Catalogue, workbook: &Workbook) -> Self {
        Self::with_cables(site, catalogue, workbook, &[])
    }

    /// The same with the prices of cables whose size is known, besides the usual ones.
    #[must_use]
    pub fn with_cables(site: &Site, catalogue: &Catalogue, workbook: &Workbook, cables: &[CableSize]) -> Self {
        let asked = cables.iter().map(|cable| catalogue.cables().class_of(*cable));
        let to_come = site.future.iter().any(|future| catalogue.provision(*future).draws_in != DrawsIn::None);
        let conduit = to_come.then_some(CableClass::DrawIn);
        // The size of a feed follows from what is behind it: its way is weighed as the smallest.
        let feed = catalogue.cables().feeds().first().filter(|_| !site.outbuildings.is_empty());
        let armoured = feed.map(|feed| catalogue.cables().class_of(*feed));
        let mut classes: Vec<CableClass> =
            CableClass::USUAL.into_iter().chain(conduit).chain(armoured).chain(asked).collect();
        classes.sort_unstable();
        classes.dedup();
        let factors = Factors::of(site, workbook);
        let asking = RoomPricing { site, catalogue, workbook, factors: &factors, classes: &classes };
        let weighed = if is_drawn(site) { &site.rooms[..] } else { &[] };
        Self {
            rooms: weighed.iter().enumerate().map(|(index, room)| asking.room(index, room)).collect(),
            obstruction: factors.obstruction(),
            hour: workbook.sheet.terms.labour_rate.approximate(),
            classes,
            armoured,
            factors,
        }
    }

    /// What multiplies hours, room by room.
    #[must_use]
    pub fn factors(&self) -> &Factors {
        &self.factors
    }

    /// The cables that there are prices for.
    #[must_use]
    pub fn classes(&self) -> &[CableClass] {
        &self.classes
    }

    /// The armoured cable that feeds of outbuildings are weighed as, where there are any.
    #[must_use]
    pub const fn armoured(&self) -> Option<CableClass> {
        self.armoured
    }

    /// The prices of a room.
    #[must_use]
    pub fn room(&self, room: usize) -> &RoomPrices {
        &self.rooms[room]
    }
}

struct RoomPricing<'a> {
    site: &'a Site,
    catalogue: &'a Catalogue,
    workbook: &'a Workbook,
    factors: &'a Factors,
    classes: &'a [CableClass],
}

impl RoomPricing<'_> {
    fn room(&self, index: usize, room: &RoomPlan) -> RoomPrices {
        let reach = Conditions { room: Some(index), ..Conditions::HOUSE };
        let overhead = Conditions { overhead: true, ..reach };
        let (operations, materials) = (&self.workbook.operations, &self.workbook.materials);
        let mut lay = vec![[[Rate::default(); LAYS]; 2]; CableClass::places(self.classes)];
        for class in self.classes {
            lay[class.index()] = [&reach, &overhead].map(|conditions| self.lay(*class, conditions));
        }
        let wall = self.workbook.wall_work(room.wall);
        let chase = wall.chases.map_or([Rate::default(); 2], |chases| {
            chases.map(|chase| {
                let cut = self
                    .work(chase, &reach)
                    .plus(self.material(materials.capping).times(CAPPING_PER_M))
                    .plus(self.material(materials.fixing).times(FIXINGS_PER_M));
                if self.site.making_good {
                    cut.plus(self.work(operations.fill_chase, &reach)).plus(self.material(materials.filler))
                } else {
                    cut
                }
            })
        });
        RoomPrices {
            lay,
            chase,
            drill: self.work(operations.drill_stud, &reach),
            hole: self.work(wall.hole, &reach).plus(self.material(materials.hole_sleeve)),
            slab_hole: self
                .work(self.workbook.wall_work(Wall::Concrete).hole, &reach)
                .plus(self.material(materials.hole_sleeve)),
            pass_over: self.work(operations.pass_over_beam, &reach),
            open_floor: self.open_floor(room, &reach),
        }
    }

    fn lay(&self, class: CableClass, conditions: &Conditions) -> [Rate; LAYS] {
        let (operations, materials) = (&self.workbook.operations, &self.workbook.materials);
        let cable = self.workbook.cable(self.catalogue.cables().standing_for(class));
        let [open, joists, clipped, fished, chase] = cable.laying;
        let trunking = self.work(operations.mini_trunking, conditions).plus(self.material(materials.mini_trunking));
        // In the order of `Void`, then the chase.
        let cable = cable.material.map_or(Rate::default(), |material| self.material(material));
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
        self.work(self.workbook.operations.drill_joist, conditions).times(opened.joists).plus(boards).plus(covering)
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
pub fn up_the_wall(prices: &RoomPrices, room: &RoomPlan, class: CableClass, metres: f64, cables: f64) -> Rate {
    match wall_way(room.surface, room.wall, true) {
        (Medium::WallChase, _) => {
            let way = prices.chase[usize::from(cables > 1.0)].times(metres);
            way.plus(prices.metre_in_chase(class).times(metres * cables))
        }
        (_, void @ (Void::Surface | Void::Trunking | Void::Open | Void::Joists)) => {
            prices.metre(class, void, false).times(metres * cables)
        }
        (_, Void::Closed) => {
            let first = prices.metre(class, Void::Closed, false).times(metres);
            first.plus(prices.drill).plus(prices.metre(class, Void::Open, false).times(metres * (cables - 1.0)))
        }
    }
}

//! What was not recorded, as alternatives at stated odds, each priced. The same sums serve the range (how far it
//! spreads), the questions (what the answer is worth) and the flags (what is at stake).
//!
//! An alternative is first priced by what it changes: the boxes, drops and floors of the rooms meant, a bond, a trench,
//! a visit. Where it changes the site, and the house is not a large building, the whole job is then priced again with
//! the site so ([`Change`]), for a floor that opens serves the ceiling below as well. The tests hold both against the price
//! of the survey with that answer in it. Cost: one step for each point in the rooms meant and each alternative, and
//! routes to prices once for each alternative that changes the site.

mod fabric;
mod house;
mod odds;
mod points;
mod shown;
mod supply;
mod ways;
mod wishes;

pub use odds::Odds;
pub(crate) use points::is_dark;
pub(crate) use ways::under_other_roofs;
pub(crate) use wishes::{is_unplanned_kitchen, load_matters};

use crate::circuits::HouseDemand;
use crate::money::Money;
use crate::pricing::{Cost, PricedItem};
use crate::rate_sheet::{MaterialIndex, OperationIndex, Stage};
use crate::routes::Ways;
use crate::site::{AppliancePlan, Assumptions, RoomIndex, RoomPlan, Site};
use crate::survey::{ApplianceType, Finish, Occupancy, Survey};
use crate::take_off::{Item, Job, TakeOff};
use crate::unit_rates::Factors;

/// One answer to an unknown.
#[derive(Debug, Clone, PartialEq)]
pub struct Answer {
    /// In the survey's word where it has one.
    pub answer: String,
    /// How probable it is.
    pub odds: f64,
    /// What the table reckons with, where a word will not do.
    pub figure: Option<f64>,
    /// What it adds to the cost as priced.
    pub adds: Cost,
}

/// Something that was not recorded, and what each answer would add.
#[derive(Debug, Clone)]
pub struct Unknown {
    /// Which: the question's identifier.
    pub id: &'static str,
    /// The question; absent where only opening the fabric tells.
    pub ask: Option<&'static str>,
    /// The rooms or things meant.
    pub places: Vec<String>,
    /// As a cause of spread.
    pub cause: &'static str,
    /// The answers, in the order of the table.
    pub answers: Vec<Answer>,
    /// Where it is a length: the cost that goes by it, and its standard deviation as a share.
    pub part: Option<(Cost, f64)>,
    /// What the answers change.
    pub because: &'static str,
    /// How the site is changed to what an answer says, where that is enough to price the job again.
    pub change: Option<Change>,
}

/// How a site is changed to what an answer says.
#[derive(Debug, Clone)]
pub enum Change {
    /// In some of its rooms.
    Rooms {
        /// The rooms.
        rooms: Vec<RoomIndex>,
        /// Puts the answer's word in a room.
        set: fn(&mut RoomPlan, &str),
    },
    /// In how full some of its rooms are.
    Occupancy {
        /// The rooms.
        rooms: Vec<RoomIndex>,
    },
    /// In what the appliances of a kind in a room draw whose plates nobody read.
    Load {
        /// The room.
        room: RoomIndex,
        /// The kind.
        kind: ApplianceType,
    },
    /// In the look of the plates inside whose look nobody recorded.
    Finish,
    /// As a whole, in nothing that a cable's way depends on.
    House(fn(&mut Site, &Answer)),
    /// In how the crew gets there.
    GettingThere(fn(&mut Site, &Answer)),
    /// As a whole, in what lies in the way of cables.
    Ways(fn(&mut Site, &Answer)),
}

/// The first step of the job that another answer changes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Reach {
    /// Cables may go another way.
    Ways,
    /// The ways stand; what is counted on them changes.
    Counts,
    /// What is counted stands; its hours change, and what comes once or every day.
    Preliminaries,
}

impl Change {
    /// How far back in the job it reaches.
    #[must_use]
    pub fn reach(&self, ways: &Ways<'_>) -> Reach {
        match self {
            Self::Rooms { .. } | Self::Load { .. } | Self::Ways(_) => Reach::Ways,
            // Only on the map does the cheaper way hang on who is in the room.
            Self::Occupancy { .. } if ways.network().is_some() => Reach::Ways,
            Self::Finish | Self::House(_) => Reach::Counts,
            Self::Occupancy { .. } | Self::GettingThere(_) => Reach::Preliminaries,
        }
    }

    /// Makes `site`, which is the site as it was taken but for another answer, as this answer has it. Says whether that is
    /// another site than was taken. One copy serves all answers: copying a house takes as long as counting it.
    pub fn make(&self, site: &mut Site, as_taken: &Site, answer: &Answer) -> bool {
        for (room, taken) in site.rooms.iter_mut().zip(&as_taken.rooms) {
            (room.wall, room.floor, room.covering) = (taken.wall, taken.floor, taken.covering);
            (room.ceiling, room.occupancy) = (taken.ceiling, taken.occupancy);
            if room.appliances != taken.appliances {
                room.appliances.clone_from(&taken.appliances);
            }
            room.points.iter_mut().zip(&taken.points).for_each(|(point, taken)| point.finish = taken.finish);
        }
        (site.points_to_strip, site.parking) = (as_taken.points_to_strip, as_taken.parking);
        (site.distance_km, site.making_good) = (as_taken.distance_km, as_taken.making_good);
        if site.obstructions != as_taken.obstructions {
            site.obstructions.clone_from(&as_taken.obstructions);
        }
        match self {
            Self::Rooms { rooms, set } => rooms.iter().for_each(|room| set(&mut site.rooms[*room], &answer.answer)),
            Self::Occupancy { rooms } => {
                let occupancy = Occupancy::from_word(&answer.answer);
                for room in rooms {
                    site.rooms[*room].occupancy = occupancy.unwrap_or(site.rooms[*room].occupancy);
                }
            }
            Self::Load { room, kind } => {
                let unread = |one: &&mut AppliancePlan| one.kind == *kind && !one.load_recorded;
                for appliance in site.rooms[*room].appliances.iter_mut().filter(unread) {
                    appliance.load = appliance.load * answer.figure.unwrap_or(1.0);
                }
            }
            Self::Finish => {
                let finish = Finish::from_word(&answer.answer);
                let points = site.rooms.iter_mut().flat_map(|room| &mut room.points);
                for point in points.filter(|point| !point.finish_recorded) {
                    point.finish = finish.unwrap_or(point.finish);
                }
            }
            Self::House(set) | Self::GettingThere(set) | Self::Ways(set) => set(site, answer),
        }
        let fabric = |room: &RoomPlan| (room.wall, room.floor, room.covering, room.ceiling, room.occupancy);
        site.rooms.iter().zip(&as_taken.rooms).any(|(one, other)| fabric(one) != fabric(other))
            || site.rooms.iter().zip(&as_taken.rooms).any(|(one, other)| {
                let mut looks = one.points.iter().zip(&other.points);
                one.appliances != other.appliances || looks.any(|(one, other)| one.finish != other.finish)
            })
            || (site.points_to_strip, site.parking) != (as_taken.points_to_strip, as_taken.parking)
            || site.making_good != as_taken.making_good
            || (site.distance_km - as_taken.distance_km).abs() > 0.0
            || site.obstructions != as_taken.obstructions
    }
}

impl Unknown {
    /// How far the price as it stands is off on average: the value of knowing.
    #[must_use]
    pub fn worth(&self) -> f64 {
        self.answers.iter().map(|answer| answer.odds * answer.adds.total().abs()).sum()
    }

    /// The dearest answer less the cheapest.
    #[must_use]
    pub fn span(&self) -> f64 {
        let totals = || self.answers.iter().map(|answer| answer.adds.total());
        (totals().fold(f64::MIN, f64::max) - totals().fold(f64::MAX, f64::min)).max(0.0)
    }

    /// What the dearest answer adds to the cost as priced.
    #[must_use]
    pub fn dearest(&self) -> f64 {
        self.answers.iter().map(|answer| answer.adds.total()).fold(0.0, f64::max)
    }
}

/// The job that is asked about.
#[derive(Clone, Copy)]
pub(crate) struct Asked<'a> {
    /// Site, ways, installation, tables.
    pub job: Job<'a>,
    /// What was recorded.
    pub survey: &'a Survey,
    /// Quantities.
    pub take_off: &'a TakeOff,
    /// Hours' factors.
    pub factors: &'a Factors,
    /// The items, priced.
    pub priced: &'a [(&'a Item, PricedItem)],
    /// What was taken where nobody recorded anything.
    pub assumptions: &'a Assumptions,
    /// Demand after diversity.
    pub demand: &'a HouseDemand,
    /// Days of the crew.
    pub days: f64,
    /// The table of alternatives.
    pub odds: &'a Odds,
    /// Whether every answer that changes the site is going to be priced in full, so that a first sum is not wanted.
    pub priced_again: bool,
}

/// Everything that was not recorded, in a fixed order, each answer with a first sum of what it adds.
pub(crate) fn unknowns(asked: &Asked<'_>) -> Vec<Unknown> {
    let mut found = Vec::new();
    fabric::fabric(asked, &mut found);
    house::house(asked, &mut found);
    points::points(asked, &mut found);
    wishes::wishes(asked, &mut found);
    ways::ways(asked, &mut found);
    shown::shown(asked, &mut found);
    supply::supply(asked, &mut found);
    found
}

impl Asked<'_> {
    /// Expected hours of one unit of an operation, all stages, without factors.
    pub(crate) fn hours(&self, operation: OperationIndex) -> f64 {
        self.job.workbook.operation(operation).stages.iter().flatten().map(|hours| hours.mean()).sum()
    }

    /// What so much of an operation costs, without factors.
    pub(crate) fn work(&self, operation: OperationIndex, quantity: f64) -> Cost {
        Cost::labour(self.job.workbook.cost_of_one(operation) * quantity)
    }

    /// What so much of a material costs, waste with it.
    pub(crate) fn material(&self, material: impl Into<Option<MaterialIndex>>, quantity: f64) -> Cost {
        let price = |material| self.job.workbook.material(material).approximate_price * quantity;
        Cost { labour: 0.0, materials: material.into().map_or(0.0, price) }
    }

    fn rate(&self) -> f64 {
        self.job.workbook.sheet.terms.labour_rate.approximate()
    }

    /// What the items that the test picks cost.
    fn cost_of(&self, picks: impl Fn(&Item) -> bool) -> Cost {
        let cost = |priced: &PricedItem| Cost {
            labour: priced.labour.approximate(),
            materials: priced.materials.approximate(),
        };
        self.priced.iter().filter(|(item, _)| picks(item)).map(|(_, priced)| cost(priced)).sum()
    }

    /// How much longer first fix takes in a room than in an empty one.
    fn crowding(&self, room: &RoomPlan) -> f64 {
        let mut one = [0.0; Stage::COUNT];
        one[Stage::FirstFix.index()] = 1.0;
        self.factors.occupied_hours(&one, room.occupancy)
    }

    /// Rooms of the house with something wanted in them that the test picks.
    fn rooms(&self, silent: impl Fn(&RoomPlan) -> bool) -> Vec<RoomIndex> {
        let asked = |room: &RoomPlan| room.is_inside() && !room.points.is_empty() && silent(room);
        self.job.site.rooms.iter().enumerate().filter(|(_, room)| asked(room)).map(|(index, _)| index).collect()
    }

    fn named(&self, rooms: &[RoomIndex]) -> Vec<String> {
        rooms.iter().map(|room| self.job.site.rooms[*room].id.clone()).collect()
    }

    /// The crew sent away and back: travel, van, setting up, and half a day that nobody pays for.
    pub(crate) fn lost_visit(&self) -> Cost {
        /// Of the crew's day. Common practice, no source.
        const LOST_DAY: f64 = 0.5;
        let terms = &self.job.workbook.sheet.terms;
        let does = &self.job.workbook.does;
        let people = f64::from(terms.people);
        let kilometres = 2.0 * self.job.site.distance_km;
        self.work(does.travel_10_km, kilometres / crate::labour::TRAVEL_UNIT_KM * people)
            + self.work(does.set_up_day, 1.0)
            + Cost::labour(people * terms.hours_per_day * LOST_DAY * self.rate())
            + Cost { labour: 0.0, materials: terms.vehicle_per_km.approximate() * kilometres }
    }

    /// As a net price.
    pub(crate) fn selling(&self, cost: Cost) -> Money {
        crate::pricing::selling(cost.total(), &self.job.workbook.sheet.terms)
    }

    /// The answers of a subject, each with what it adds.
    fn answers(&self, subject: &str, adds: impl Fn(&odds::Row) -> Cost) -> Vec<Answer> {
        let rows = self.odds.of(subject, self.job.site.built_year);
        let answer = |row: &odds::Row| Answer {
            answer: row.answer.clone(),
            odds: row.odds,
            figure: row.figure,
            adds: adds(row),
        };
        rows.iter().map(answer).collect()
    }

    /// The answers of a subject that goes by a multiple of what was taken, with the figure in its unit.
    fn multiples(&self, subject: &str, taken: f64, unit: &str, now: Cost) -> Vec<Answer> {
        let answer = |row: &odds::Row| {
            let figure = row.figure.unwrap_or(1.0);
            let answer = format!("{}: {:.0} {unit}", row.answer, (taken * figure).round());
            Answer { answer, odds: row.odds, figure: Some(figure), adds: now * (figure - 1.0) }
        };
        self.odds.of(subject, self.job.site.built_year).iter().map(answer).collect()
    }

    /// The answers of a subject that happens or does not.
    fn either(&self, subject: &str, cost: Cost) -> Vec<Answer> {
        self.answers(subject, |row| cost * row.figure.unwrap_or(0.0))
    }
}

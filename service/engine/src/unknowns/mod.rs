//! What was not recorded, as alternatives at stated odds, each priced. The same sums serve the range (how far it
//! spreads), the questions (what the answer is worth) and the flags (what is at stake).
//!
//! An alternative is first priced by what it changes: the boxes, drops and floors of the rooms meant, a bond, a trench,
//! a visit. Where it changes the site, and the job is not a very large one, the whole job is then priced again with
//! the site so ([`Change`]), for a floor that opens serves the ceiling below as well. The tests hold both against the price
//! of the survey with that answer in it. Cost: one step for each point in the rooms meant and each alternative, and
//! routes to prices once for each alternative that changes the site.

mod fabric;
mod house;
mod id;
mod place;
mod points;
mod shown;
mod signal;
mod stack;
mod stays;
mod studs;
mod supply;
mod table;
mod ways;
mod wishes;

pub use id::{AnswerSubject, QuestionId};
pub use place::HousePlace;
pub(crate) use place::rooms;
pub(crate) use points::is_dark;
pub use table::{AnswerTable, AnswerValue, TableAnswer};
pub(crate) use ways::under_other_roofs;
pub(crate) use wishes::{is_unplanned_kitchen, load_matters};

use crate::circuits::HouseDemand;
use crate::money::Money;
use crate::pricing::{Cost, PricedItem};
use crate::rate_sheet::{MaterialIndex, OperationIndex, Stage};
use crate::routes::Routing;
use crate::site::{AppliancePlan, Assumptions, RoomIndex, RoomPlan, Site};
use crate::survey::{ApplianceType, Survey};
use crate::take_off::{Item, Job, TakeOff};
use crate::unit_rates::Factors;

/// One answer to an open question.
#[derive(Debug, Clone, PartialEq)]
pub struct Answer {
    /// What the thing turns out to be.
    pub value: AnswerValue,
    /// How much that is, where the answer is a multiple of what was taken.
    pub amount: Option<AnswerAmount>,
    /// How probable it is.
    pub odds: f64,
    /// What it adds to the cost as priced.
    pub adds: Cost,
}

/// A multiple of what was taken, in its unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum AnswerAmount {
    /// Old points.
    Points(f64),
    /// A distance.
    Kilometres(f64),
    /// The length of a trench.
    Metres(f64),
    /// A load.
    Kilowatts(f64),
}

/// Something that was not recorded, and what each answer would add.
#[derive(Debug, Clone)]
pub struct OpenQuestion {
    /// What it is about.
    pub subject: AnswerSubject,
    /// The rooms or things meant.
    pub places: Vec<HousePlace>,
    /// The answers, in the order of the table.
    pub answers: Vec<Answer>,
    /// Where it is a length: the cost that goes by it, and its standard deviation as a share.
    pub part: Option<(Cost, f64)>,
    /// How the site is changed to what an answer says, where that is enough to price the job again.
    pub change: Option<Change>,
}

/// How a site is changed to what an answer says.
#[derive(Debug, Clone)]
pub enum Change {
    /// In the fabric of some of its rooms, or in how full they are.
    Rooms(Vec<RoomIndex>),
    /// In what the appliances of a kind in some rooms draw whose plates nobody read.
    Load {
        /// The rooms.
        rooms: Vec<RoomIndex>,
        /// The kind.
        kind: ApplianceType,
    },
    /// In the look of the plates inside whose look nobody recorded.
    Finish,
    /// As a whole.
    Site(fn(&mut Site, &AnswerValue)),
}

/// The first step of the job that another answer changes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Reach {
    /// Cables may go another way.
    Routing,
    /// The ways stand; what is counted on them changes.
    Counts,
    /// What is counted stands; its hours change, and what comes once or every day.
    Preliminaries,
}

impl Reach {
    /// How far back in the job a site that differs from the one it was designed for reaches; not at all where both are
    /// alike in all that an answer may change.
    #[must_use]
    pub fn between(site: &Site, designed: &Site, ways: &Routing<'_>) -> Option<Self> {
        if site.scope != designed.scope || site.board_found != designed.board_found {
            return Some(Self::Routing);
        }
        let differ = |differs: fn(&RoomPlan, &RoomPlan) -> bool| {
            site.rooms.iter().zip(&designed.rooms).any(|(one, other)| differs(one, other))
        };
        let fabric =
            |room: &RoomPlan| (room.wall, room.floor, room.covering, room.ceiling, room.stack, room.wall_insulation);
        let occupancy = differ(|one, other| one.occupancy != other.occupancy);
        // Only on the map does the cheaper way hang on who is in the room.
        let in_the_way = occupancy && ways.network().is_some();
        let built = site.rooms.iter().zip(&designed.rooms).any(|(one, other)| fabric(one) != fabric(other));
        let loads = differ(|one, other| one.appliances != other.appliances);
        let laid_elsewhere = site.obstructions != designed.obstructions || site.signal_hub != designed.signal_hub;
        if built || loads || in_the_way || laid_elsewhere {
            return Some(Self::Routing);
        }
        let finish = |one: &RoomPlan, other: &RoomPlan| {
            one.points.iter().zip(&other.points).any(|(one, other)| one.finish != other.finish)
        };
        let counted = |site: &Site| (site.making_good, site.points_to_strip, site.supply.earthing);
        if differ(finish) || counted(site) != counted(designed) {
            return Some(Self::Counts);
        }
        let getting_there = (site.distance_km - designed.distance_km).abs() > 0.0 || site.parking != designed.parking;
        (occupancy || getting_there).then_some(Self::Preliminaries)
    }
}

impl Change {
    /// Makes `site` as this answer has it.
    pub fn make(&self, site: &mut Site, answer: &AnswerValue) {
        match self {
            Self::Rooms(rooms) => rooms.iter().for_each(|room| put(&mut site.rooms[*room], answer)),
            Self::Load { rooms, kind } => {
                let unread = |one: &&mut AppliancePlan| one.kind == *kind && !one.load_recorded;
                for room in rooms {
                    for appliance in site.rooms[*room].appliances.iter_mut().filter(unread) {
                        appliance.load = appliance.load * answer.figure().unwrap_or(1.0);
                    }
                }
            }
            Self::Finish => {
                let AnswerValue::Finish(finish) = answer else { return };
                let points = site.rooms.iter_mut().flat_map(|room| &mut room.points);
                points.filter(|point| !point.finish_recorded).for_each(|point| point.finish = *finish);
            }
            Self::Site(set) => set(site, answer),
        }
    }

    /// Makes `site` again what it was before the change. What an answer cannot have touched is not copied: copying a whole
    /// house takes as long as counting it.
    pub fn undo(&self, site: &mut Site, before: &Site) {
        match self {
            Self::Rooms(rooms) | Self::Load { rooms, .. } => {
                rooms.iter().for_each(|room| site.rooms[*room].clone_from(&before.rooms[*room]));
            }
            Self::Finish => site.rooms.clone_from(&before.rooms),
            Self::Site(_) => site.clone_from(before),
        }
    }
}

/// Puts what was found in a room into it.
fn put(room: &mut RoomPlan, answer: &AnswerValue) {
    match answer {
        AnswerValue::Wall(wall) => room.wall = *wall,
        AnswerValue::Floor(floor) => room.floor = *floor,
        AnswerValue::Covering(covering) => room.covering = *covering,
        AnswerValue::Ceiling(ceiling) => room.ceiling = *ceiling,
        AnswerValue::Occupancy(occupancy) => room.occupancy = *occupancy,
        AnswerValue::Parking(_)
        | AnswerValue::Ground(_)
        | AnswerValue::Outbuilding(_)
        | AnswerValue::Earthing(_)
        | AnswerValue::Finish(_)
        | AnswerValue::Figure { .. } => {}
    }
}

impl OpenQuestion {
    /// The question that asks it.
    #[must_use]
    pub const fn id(&self) -> QuestionId {
        self.subject.question()
    }

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
pub(crate) struct UnknownsContext<'a> {
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
    pub table: &'a AnswerTable,
    /// Whether every answer that changes the site is going to be priced in full, so that a first sum is not wanted.
    pub priced_again: bool,
}

/// Everything that was not recorded, in a fixed order, each answer with a first sum of what it adds.
pub(crate) fn unknowns(asked: &UnknownsContext<'_>) -> Vec<OpenQuestion> {
    let mut found = Vec::new();
    fabric::fabric(asked, &mut found);
    house::house(asked, &mut found);
    points::points(asked, &mut found);
    wishes::wishes(asked, &mut found);
    ways::ways(asked, &mut found);
    shown::shown(asked, &mut found);
    stack::stack(asked, &mut found);
    signal::hub(asked, &mut found);
    studs::insulation(asked, &mut found);
    supply::supply(asked, &mut found);
    stays::stays(asked, &mut found);
    found
}

impl UnknownsContext<'_> {
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

    /// The crew sent away and back: travel, van, setting up, and half a day that nobody pays for.
    pub(crate) fn lost_visit(&self) -> Cost {
        /// Of the crew's day. Common practice, no source.
        const LOST_DAY: f64 = 0.5;
        let terms = &self.job.workbook.sheet.terms;
        let operations = &self.job.workbook.operations;
        let alone = !self.job.site.scope.rewires() && self.days <= crate::labour::ONE_PERSON_DAYS_MAX;
        let people = if alone { 1.0 } else { f64::from(terms.people) };
        let kilometres = 2.0 * self.job.site.distance_km;
        self.work(operations.travel_10_km, kilometres / crate::labour::TRAVEL_UNIT_KM * people)
            + self.work(operations.set_up_day, 1.0)
            + Cost::labour(people * terms.hours_per_day * LOST_DAY * self.rate())
            + Cost { labour: 0.0, materials: terms.vehicle_per_km.approximate() * kilometres }
    }

    /// As a net price.
    pub(crate) fn selling(&self, cost: Cost) -> Money {
        crate::pricing::selling(cost.total(), &self.job.workbook.sheet.terms)
    }

    /// The answers of a subject in this house.
    fn rows(&self, subject: AnswerSubject) -> &[TableAnswer] {
        self.table.of(subject, self.job.site.built_year)
    }

    /// The answers of a subject, each with what it adds.
    fn answers(&self, subject: AnswerSubject, adds: impl Fn(&AnswerValue) -> Cost) -> Vec<Answer> {
        let answer = |row: &TableAnswer| Answer {
            value: row.value.clone(),
            amount: None,
            odds: row.odds,
            adds: adds(&row.value),
        };
        self.rows(subject).iter().map(answer).collect()
    }

    /// The answers of a subject that goes by a multiple of what was taken, each with the amount.
    fn multiples(&self, subject: AnswerSubject, now: Cost, amount: impl Fn(f64) -> AnswerAmount) -> Vec<Answer> {
        let answer = |row: &TableAnswer| {
            let figure = row.value.figure().unwrap_or(1.0);
            let amount = Some(amount(figure));
            Answer { value: row.value.clone(), amount, odds: row.odds, adds: now * (figure - 1.0) }
        };
        self.rows(subject).iter().map(answer).collect()
    }

    /// The answers of a subject that happens or does not.
    fn either(&self, subject: AnswerSubject, cost: Cost) -> Vec<Answer> {
        self.answers(subject, |value| cost * value.figure().unwrap_or(0.0))
    }
}

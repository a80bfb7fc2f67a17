//! Routes asked for by themselves: what is asked and what goes out.

use super::{RouteLimit, RouteOpening, RouteSegment, RunnerUp};
use crate::checks::Arrangement;
use crate::money::Money;
use crate::quantities::{Hours, Metres};
use crate::standards::CableType;
use crate::survey::{Position, RateSheetReference, Survey, WallSide};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use wiring::closed_list;

/// A drawn site, the runs and the tours that are wanted on it: some of either.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct RoutesRequest {
    /// The site, as for an estimate; every room with its outline. Points of rooms may be left out: those that are there
    /// share what is opened.
    pub survey: Survey,
    /// The rate sheet to weigh the ways with; the newest version of `standard` if left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rate_sheet: Option<RateSheetReference>,
    /// Cables from one end to another. Runs and tours are planned together: what one opens is free for the others to
    /// use, and its cost is shared out among those that use it.
    #[schema(max_items = 100)]
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub runs: Vec<RunAsked>,
    /// Cables through several places, in the order that costs least. All together may visit 1000 places.
    #[schema(max_items = 100)]
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub tours: Vec<TourAsked>,
}

/// A run that is wanted: one cable between two ends.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct RunAsked {
    /// Its identifier.
    #[schema(min_length = 1, max_length = 64, example = "shower")]
    pub id: String,
    /// Where it starts, as at a board; at the board if left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub from: Option<RunEnd>,
    /// Where it goes.
    pub to: RunEnd,
    /// Its cable; flat twin and earth if left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cable_type: Option<CableType>,
    /// Its line conductor, in mm2: the next size that the rate sheet prices is taken. 2.5 if left out, 4 of an armoured
    /// cable.
    #[schema(minimum = 1, maximum = 16, example = 2.5)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub line_mm2: Option<f64>,
}

/// A tour that is wanted: one cable through several places.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct TourAsked {
    /// Its identifier.
    #[schema(min_length = 1, max_length = 64, example = "kitchen-ring")]
    pub id: String,
    /// Where it starts, as at a board; at the board if left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub from: Option<RunEnd>,
    /// The places, in any order.
    #[schema(min_items = 1, max_items = 100)]
    pub visit: Vec<RunEnd>,
    /// A `ring` comes back to where it began; a `radial` ends at its last place, and branches at its places where that is
    /// cheaper; `radial` if left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub arrangement: Option<Arrangement>,
    /// Its cable; flat twin and earth if left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cable_type: Option<CableType>,
    /// Its line conductor, in mm2, as of a run.
    #[schema(minimum = 1, maximum = 16, example = 2.5)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub line_mm2: Option<f64>,
}

/// One end of a cable. Without a place: in the middle of the room, on the nearest wall.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct RunEnd {
    /// The room.
    #[schema(min_length = 1, max_length = 64, example = "bathroom")]
    pub room: String,
    /// The place on plan.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub at: Option<Position>,
    /// The side of the room on whose wall it is, where that was measured instead of the place. With `along_m`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub wall: Option<WallSide>,
    /// Metres along that wall: from the left end of a front or back wall, from the front end of a side wall.
    #[schema(minimum = 0, maximum = 1000, example = 1.2)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub along_m: Option<f64>,
    /// Its centre above the floor, in metres. If left out, 1.5 where a cable starts and 0.45 where it goes; on a ceiling
    /// it is not asked for.
    #[schema(minimum = 0, maximum = 20, example = 0.45)]
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub height_m: Option<f64>,
    /// On a wall or on the ceiling; `wall` if left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub place: Option<EndPlace>,
}

closed_list! {
    /// Where in a room an end is.
    EndPlace {
        Wall = "wall": "On a wall.",
        Ceiling = "ceiling": "On the ceiling.",
    }
}

/// The routes of the runs and of the tours, each in the order in which they were asked for.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct RoutesAnswer {
    /// ISO 4217; every amount of the document is in it.
    #[schema(example = "GBP")]
    pub currency: String,
    /// One for each run.
    pub routes: Vec<AskedRoute>,
    /// One for each tour.
    pub tours: Vec<AskedTour>,
}

/// The way of one run.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct AskedRoute {
    /// The run's identifier.
    #[schema(example = "shower")]
    pub id: String,
    /// The cable that was priced, in words.
    #[schema(example = "10 mm2 flat twin and earth")]
    pub cable: String,
    /// All stretches together: with what is left at the ends, without what is lost in cutting.
    pub metres: Metres,
    /// Hours of running the cable and of its chases, and its share of opening what it goes through: the sum of
    /// `segments` and `openings`.
    pub hours: Hours,
    /// Labour and material at the rate sheet's hours, rates and prices, with waste: direct cost, before overhead,
    /// contingency, profit and tax. The sum of `segments` and `openings` to the penny.
    pub cost: Money,
    /// Stretch by stretch, in the order in which the cable lies.
    pub segments: Vec<RouteSegment>,
    /// What is opened for it, and how many share it: runs and tours of the request, and the points of the survey, the lower
    /// ones and the lights of each room counted as one user each.
    pub openings: Vec<RouteOpening>,
    /// What the fabric allows its way.
    pub limits: Vec<RouteLimit>,
    /// Why it goes so.
    pub chosen_because: String,
    /// The next best way; absent where there is none.
    pub runner_up: Option<RunnerUp>,
}

/// The way of one tour.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct AskedTour {
    /// The tour's identifier.
    #[schema(example = "kitchen-ring")]
    pub id: String,
    /// The cable that was priced, in words.
    #[schema(example = "2.5 mm2 flat twin and earth")]
    pub cable: String,
    /// The places in the order in which they are visited: each by its index in `visit`, from 0.
    #[schema(example = json!([2, 0, 1]))]
    pub order: Vec<usize>,
    /// All legs together: the whole loop of a ring.
    pub metres: Metres,
    /// Hours of the legs, and its share of opening what it goes through.
    pub hours: Hours,
    /// Labour and material, as of a route: the sum of `legs` and `openings` to the penny.
    pub cost: Money,
    /// From the start to the first place, from place to place, and of a ring back to the start.
    pub legs: Vec<AskedLeg>,
    /// What is opened for it, and how many share it, as of a route.
    pub openings: Vec<RouteOpening>,
    /// What the fabric allows its way.
    pub limits: Vec<RouteLimit>,
    /// Why it goes so.
    pub chosen_because: String,
    /// The next best way; absent where there is none.
    pub runner_up: Option<RunnerUp>,
}

/// The way from one place of a tour to the next.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct AskedLeg {
    /// The place that it comes from, by its index in `visit`; absent where that is the start.
    pub from: Option<usize>,
    /// The place that it goes to, by its index in `visit`; absent where that is the start.
    pub to: Option<usize>,
    /// Its stretches together.
    pub metres: Metres,
    /// Their hours, without opening.
    pub hours: Hours,
    /// Their labour and material, without opening.
    pub cost: Money,
    /// Stretch by stretch.
    pub segments: Vec<RouteSegment>,
}

//! From a house to its circuits: unit rates, routes, circuits, checks.

use std::collections::BTreeMap;

use super::{
    CircuitIndex, CircuitPlan, CircuitReason, Installation, LargerBecause, UnassignedRuns, board, clear, feeds, gather,
    given, grouping, lying, names, phases, points_of, proof, sizing, tails,
};
use crate::catalogue::CircuitType;
use crate::context::Context;
use crate::routes::Routing;
use crate::site::Site;
use crate::unit_rates::{Factors, Prices};
use crate::work::WorkPart;

/// What a circuit takes to be designed and checked, its routes apart, in steps.
const STEPS_OF_A_CIRCUIT: u64 = 300;
/// What each of its points takes.
const STEPS_OF_A_POINT: u64 = 10;

/// A house with its routes and its circuits.
pub struct Design<'a> {
    /// What it was designed from.
    pub context: Context<'a>,
    /// The house.
    pub site: &'a Site,
    /// The ways of its cables.
    pub ways: Routing<'a>,
    /// Its circuits and boards.
    pub installation: Installation,
    /// Steps of work that all of it took.
    pub steps: u64,
}

impl Design<'_> {
    /// What multiplies hours, room by room.
    #[must_use]
    pub fn factors(&self) -> &Factors {
        self.ways.factors()
    }
}

/// Designs the installation of a house.
#[must_use]
pub fn design<'a>(context: Context<'a>, site: &'a Site) -> Design<'a> {
    let before = context.work.steps();
    // site → unit rates → routes: the map of voids, what is opened for all, which void serves each room
    let prices = Prices::of(site, context.catalogue, context.workbook);
    let ways =
        Routing::of(site, context.catalogue, prices, context.work, |storey| context.survey().storey_level(storey));
    // routes → circuits → checks: points gathered, device and cable chosen, held against the rules
    let installation = installation(context, &ways);
    Design { context, site, ways, installation, steps: context.work.steps() - before }
}

/// Gathers the points of a house into circuits along its ways.
#[must_use]
pub fn installation(context: Context<'_>, ways: &Routing<'_>) -> Installation {
    let Context { catalogue, standards, .. } = context;
    let survey = context.survey();
    let fabric = lying::Fabric::of(ways.site());
    let given = given::given(ways.site(), survey, catalogue, standards);
    let gathered = gather::gather(ways.site(), catalogue, given);
    let mut circuits: Vec<CircuitPlan> = Vec::with_capacity(gathered.drafts.len());
    let mut feeds: BTreeMap<usize, CircuitIndex> = BTreeMap::new();
    let mut waiting: Vec<gather::CircuitDraft> = gathered.drafts;
    waiting.sort_by_key(|draft| feeds::boards_before(ways.site(), draft));
    waiting.reverse();
    while let Some(draft) = waiting.pop() {
        if !context.work.spend(WorkPart::Circuits, STEPS_OF_A_CIRCUIT + points_of(&draft.members) * STEPS_OF_A_POINT) {
            break;
        }
        let index = circuits.len();
        if draft.kind == CircuitType::Distribution
            && let Some(building) = draft.outbuilding
        {
            feeds.insert(building, index);
        }
        let fed_from = feeds::fed_from(ways.site(), &draft, &feeds);
        let id = draft.id.clone();
        match sizing::complete(draft, fed_from, (ways, &fabric), context) {
            sizing::Completion::Complete(mut circuit) => {
                circuit.id = id.unwrap_or_default();
                circuits.push(*circuit);
            }
            // Two shorter rings in place of one that is too long; the halves come up next, the first one first.
            sizing::Completion::TooLong(first, second) => waiting.extend([*second, *first]),
            sizing::Completion::NotBorne(own, there) => {
                waiting.extend(there.into_iter().map(|there| *there).chain([*own]))
            }
        }
    }
    feeds::size(&mut circuits, ways.site(), context);
    phases::share(&mut circuits, ways.site());
    clear::choose(&mut circuits, &fabric, ways, context);
    for circuit in &mut circuits {
        circuit.lies = lying::by_itself(circuit, &fabric);
        sizing::bear_where_it_lies(circuit, context);
    }
    let shared = grouping::share(&mut circuits, &fabric, ways, context);
    let tails = tails::run(ways);
    let at_board = tails::at_board(tails.length, &proof::supply(ways.site()), ways.site(), standards);
    let sections = board::sections(ways.site(), &circuits);
    names::by_way(&mut circuits, &sections, ways.site());
    let checked = proved(&mut circuits, &at_board, ways, context);
    let board = board::plan(ways, board::Planned { tails, at_board, circuits: &circuits, sections, context });
    let (signal, on_sockets) = (gathered.signal, gathered.on_sockets);
    let unassigned = UnassignedRuns::laid_for(ways, &signal, catalogue);
    Installation { circuits, signal, unassigned, board, shared, on_sockets, checked }
}

/// Checks every circuit; where the last point behind a feed drops too much, or is too far to disconnect, with every cable of
/// its own, the feed takes its next size and all is checked again.
fn proved(
    circuits: &mut Vec<CircuitPlan>,
    at_board: &tails::AtBoard,
    ways: &Routing<'_>,
    context: Context<'_>,
) -> Vec<Option<proof::Proof>> {
    let has_feeds = circuits.iter().any(|circuit| circuit.kind == CircuitType::Distribution);
    let mut before = if has_feeds { circuits.clone() } else { Vec::new() };
    loop {
        // Every circuit is checked again for each feed that is enlarged.
        context.work.count(WorkPart::Circuits, circuits.len() as u64 * STEPS_OF_A_CIRCUIT);
        let checked = proof::prove(circuits, &at_board.upstream, ways, context);
        let Some((feed, larger)) = feeds::to_enlarge(circuits, &checked, context.catalogue) else { return checked };
        if !context.work.goes_on() {
            return checked;
        }
        let from_mm2 = before[feed].cable.line_mm2();
        before[feed].cable = larger;
        let (to_mm2, why) = (larger.line_mm2(), LargerBecause::LastPointBehind);
        before[feed].reasons.push(CircuitReason::Larger { from_mm2, to_mm2, why });
        circuits.clone_from(&before);
    }
}

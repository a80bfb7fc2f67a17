//! The circuits by what feeds them: the house's board, the intake, the boards that other circuits feed.

use std::collections::BTreeMap;

use engine::estimate::{Board, Circuit, Estimate, LineKind, SmallBoard, Way};
use engine::quantities::{Amps, Ohms};

use super::names::PaperNames;
use crate::words::{fixed, short};

/// A board, or what stands for one, and its circuits.
pub(super) struct Group<'a> {
    /// Its name in the file: `board`, `intake`, or the circuit that feeds it.
    pub(super) key: &'a str,
    pub(super) title: String,
    /// A second line under the title.
    pub(super) remark: String,
    /// The circuit that feeds it.
    pub(super) feed: Option<&'a str>,
    /// Whether its circuits leave the tails at the intake, each by its own switched fuse.
    pub(super) from_intake: bool,
    /// What stands beside the main switch; none where there is none.
    pub(super) main_switch: Option<String>,
    /// What stands beside the surge device; none where there is none.
    pub(super) surge: Option<String>,
    /// Whether it has an earth electrode of its own.
    pub(super) electrode: bool,
    pub(super) circuits: Vec<Numbered<'a>>,
    /// Ways without a circuit, in words.
    pub(super) spare: Vec<String>,
}

/// A circuit in its way.
pub(super) struct Numbered<'a> {
    pub(super) way: u32,
    /// The residual current device that it hangs behind with others, from 1.
    pub(super) section: Option<u8>,
    pub(super) circuit: &'a Circuit,
}

/// The house's own board first, then the intake's circuits, then the further boards in the order of their feeds.
pub(super) fn groups<'a>(estimate: &'a Estimate, names: &PaperNames<'_>) -> Vec<Group<'a>> {
    let mut groups = vec![house(estimate, names)];
    groups.extend(estimate.board.small_board.as_ref().map(|board| beside(estimate, board)));
    let from_intake = fed_from(estimate, Some(INTAKE));
    if !from_intake.is_empty() {
        groups.push(Group {
            key: INTAKE,
            title: "At the intake".to_owned(),
            remark: "these leave the tails at the intake, before the consumer unit".to_owned(),
            feed: None,
            from_intake: true,
            main_switch: None,
            surge: None,
            electrode: false,
            circuits: numbered(from_intake, &[]),
            spare: Vec::new(),
        });
    }
    for feed in feeds(estimate) {
        groups.push(further(estimate, feed, names));
    }
    groups
}

const INTAKE: &str = "intake";

fn fed_from<'a>(estimate: &'a Estimate, feed: Option<&str>) -> Vec<&'a Circuit> {
    estimate.circuits.iter().filter(|circuit| circuit.fed_from.as_deref() == feed).collect()
}

/// The circuits that feed others or a board, each once.
fn feeds(estimate: &Estimate) -> Vec<&str> {
    let boards = estimate.board.sub_boards.iter().map(|board| board.fed_from.as_str());
    let circuits = estimate.circuits.iter().filter_map(|circuit| circuit.fed_from.as_deref());
    let mut seen = std::collections::BTreeSet::from([INTAKE]);
    boards.chain(circuits).filter(|feed| seen.insert(feed)).collect()
}

/// The circuits of the house's board, and of the small board beside it.
fn on_the_board(estimate: &Estimate, of_the_small_one: bool) -> Vec<&Circuit> {
    let small = || estimate.board.small_board.iter().flat_map(|board| &board.chart);
    let on_it = |circuit: &Circuit| small().any(|way| way.circuit.as_deref() == Some(circuit.id.as_str()));
    fed_from(estimate, None).into_iter().filter(|circuit| on_it(circuit) == of_the_small_one).collect()
}

/// The small board beside one that stays and has no free way.
fn beside<'a>(estimate: &'a Estimate, board: &'a SmallBoard) -> Group<'a> {
    let circuits = on_the_board(estimate, true);
    Group {
        key: "small-board",
        title: "Small board beside it".to_owned(),
        remark: format!(
            "{} ways, {} used, {} spare; {}",
            board.ways, board.ways_used, board.ways_spare, board.enclosure
        ),
        feed: None,
        from_intake: false,
        main_switch: Some("Main switch".to_owned()),
        surge: None,
        electrode: false,
        spare: spare(&board.chart, circuits.len(), Some(board.ways_spare), "spare, blanked"),
        circuits: numbered(circuits, &board.chart),
    }
}

fn house<'a>(estimate: &'a Estimate, names: &PaperNames<'_>) -> Group<'a> {
    let board = &estimate.board;
    let circuits = on_the_board(estimate, false);
    let (title, free) =
        if board.stays { ("Consumer unit that stays", "free") } else { ("Consumer unit", "spare, blanked") };
    let place = board.room.as_deref().map(|room| format!(", {}", names.room(room))).unwrap_or_default();
    Group {
        key: "board",
        title: format!("{title}{place}"),
        remark: format!(
            "{} ways, {} used, {} spare{}; {}",
            board.ways,
            board.ways_used,
            board.ways_spare,
            at_it(board.zs_ohm, board.fault_current_ka),
            board.enclosure
        ),
        feed: None,
        from_intake: false,
        main_switch: Some(main_switch(Some(board.main_switch_a.value()), board.main_switch_poles)),
        surge: board.surge_device.then(|| surge(board)),
        electrode: false,
        spare: spare(&board.chart, circuits.len(), Some(board.ways_spare), free),
        circuits: numbered(circuits, &board.chart),
    }
}

fn further<'a>(estimate: &'a Estimate, feed: &'a str, names: &PaperNames<'_>) -> Group<'a> {
    let circuits = fed_from(estimate, Some(feed));
    let known = estimate.circuits.iter().any(|circuit| circuit.id == feed);
    let board = estimate.board.sub_boards.iter().find(|board| board.fed_from == feed);
    let used = u32::try_from(circuits.len()).unwrap_or(u32::MAX);
    let (title, remark) = match board {
        Some(board) => (
            format!("Board, {}, fed by {feed}", names.room(&board.outbuilding)),
            format!(
                "{} ways, {used} used{}; {}",
                board.ways,
                at_it(board.zs_ohm, board.fault_current_ka),
                board.earthing
            ),
        ),
        None => (format!("Fed by {feed}"), String::new()),
    };
    let electrode = board.is_some_and(|board| {
        board.electrode.is_some() || {
            let here = Some(board.outbuilding.as_str());
            let rods =
                estimate.lines.iter().filter(|line| line.kind == LineKind::Outbuilding && line.item == ELECTRODE);
            rods.into_iter().any(|line| line.room.as_deref() == here)
        }
    });
    let chart = board.map_or(&[][..], |board| &board.chart);
    Group {
        key: feed,
        title,
        remark,
        feed: known.then_some(feed),
        from_intake: false,
        main_switch: board.map(|board| main_switch(board.main_switch_a.map(Amps::value), None)),
        surge: None,
        electrode,
        spare: spare(chart, circuits.len(), board.map(|board| board.ways.saturating_sub(used)), "spare, blanked"),
        circuits: numbered(circuits, chart),
    }
}

/// Loop impedance and prospective fault current at a board, as far as they are known.
fn at_it(zs: Option<Ohms>, fault_ka: Option<f64>) -> String {
    let zs = zs.map(|zs| format!("; Zs {} ohm by the house's earth", fixed(zs.value(), 2))).unwrap_or_default();
    let fault = fault_ka.map(|fault| format!(", fault current {} kA", fixed(fault, 2))).unwrap_or_default();
    format!("{zs}{fault}")
}

fn main_switch(rating: Option<f64>, poles: Option<u8>) -> String {
    let rating = rating.map(|rating| format!(" {} A", short(rating))).unwrap_or_default();
    let poles = poles.map(|poles| format!(", {poles} poles")).unwrap_or_default();
    format!("Main switch{rating}{poles}")
}

/// The kind of surge device as far as its first words go; the estimate has the rest.
fn surge(board: &Board) -> String {
    let kind = board.surge.as_deref().and_then(|kind| kind.split([',', ';']).next());
    kind.map_or_else(|| "Surge device".to_owned(), |kind| format!("Surge device, {kind}"))
}

/// Each circuit in its way of the chart; in the order of the document in an estimate without a chart.
fn numbered<'a>(circuits: Vec<&'a Circuit>, chart: &[Way]) -> Vec<Numbered<'a>> {
    let ways: BTreeMap<&str, &Way> = chart.iter().filter_map(|way| Some((way.circuit.as_deref()?, way))).collect();
    let numbered = |(place, circuit): (u32, &'a Circuit)| {
        let way = ways.get(circuit.id.as_str());
        Numbered { way: way.map_or(place, |way| way.way), section: way.and_then(|way| way.section), circuit }
    };
    let mut numbered: Vec<Numbered<'_>> = (1..).zip(circuits).map(numbered).collect();
    numbered.sort_by_key(|one| one.way);
    numbered
}

/// Ways without a circuit that is known, those of one kind together.
fn spare(chart: &[Way], circuits: usize, count: Option<u32>, spare: &str) -> Vec<String> {
    let free_word = spare;
    let words = |first: u32, last: u32, what: &str| {
        if first == last { format!("Way {first}: {what}") } else { format!("Ways {first} to {last}: {what}") }
    };
    if chart.is_empty() {
        let first = u32::try_from(circuits).unwrap_or(u32::MAX).saturating_add(1);
        let spare = count.filter(|count| *count > 0);
        return spare.map(|count| words(first, first.saturating_add(count - 1), free_word)).into_iter().collect();
    }
    let free: Vec<&Way> = chart.iter().filter(|way| way.circuit.is_none()).collect();
    let alike = |one: &Way, other: &Way| one.kept_for == other.kept_for && one.unrecorded == other.unrecorded;
    free.chunk_by(|one, other| alike(one, other) && one.way + 1 == other.way)
        .filter_map(|same| {
            let (first, last) = (same.first()?, same.last()?);
            let kept = first.kept_for.as_ref().map(|future| format!("kept for a {}", future.replace('-', " ")));
            let otherwise = if first.unrecorded { "in use, not recorded" } else { free_word };
            Some(words(first.way, last.way, kept.as_deref().unwrap_or(otherwise)))
        })
        .collect()
}

/// The item of the price under which an electrode is driven.
pub(super) const ELECTRODE: &str = "earth-electrode";

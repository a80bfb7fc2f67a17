//! The circuits by what feeds them: the house's board, the intake, the boards that other circuits feed.

use engine::estimate::{Circuit, Estimate, LineKind};

use super::Names;
use crate::words::short;

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
    pub(super) surge: bool,
    /// Whether it has an earth electrode of its own.
    pub(super) electrode: bool,
    pub(super) circuits: Vec<&'a Circuit>,
    pub(super) ways_spare: u32,
}

/// The house's own board first, then the intake's circuits, then the further boards in the order of their feeds.
pub(super) fn groups<'a>(estimate: &'a Estimate, names: &Names<'_>) -> Vec<Group<'a>> {
    let mut groups = vec![house(estimate, names)];
    let from_intake = fed_from(estimate, Some(INTAKE));
    if !from_intake.is_empty() {
        groups.push(Group {
            key: INTAKE,
            title: "At the intake".to_owned(),
            remark: "each by its own switched fuse, before the consumer unit".to_owned(),
            feed: None,
            from_intake: true,
            main_switch: None,
            surge: false,
            electrode: false,
            circuits: from_intake,
            ways_spare: 0,
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

fn house<'a>(estimate: &'a Estimate, names: &Names<'_>) -> Group<'a> {
    let board = &estimate.board;
    let place = board.room.as_deref().map(|room| format!(", {}", names.room(room))).unwrap_or_default();
    Group {
        key: "board",
        title: format!("Consumer unit{place}"),
        remark: format!(
            "{} ways, {} used, {} spare; {}",
            board.ways, board.ways_used, board.ways_spare, board.enclosure
        ),
        feed: None,
        from_intake: false,
        main_switch: Some(format!("Main switch {} A", short(board.main_switch_a.value()))),
        surge: board.surge_device,
        electrode: false,
        circuits: fed_from(estimate, None),
        ways_spare: board.ways_spare,
    }
}

fn further<'a>(estimate: &'a Estimate, feed: &'a str, names: &Names<'_>) -> Group<'a> {
    let circuits = fed_from(estimate, Some(feed));
    let known = estimate.circuits.iter().any(|circuit| circuit.id == feed);
    let board = estimate.board.sub_boards.iter().find(|board| board.fed_from == feed);
    let used = u32::try_from(circuits.len()).unwrap_or(u32::MAX);
    let (title, remark) = match board {
        Some(board) => (
            format!("Board, {}, fed by {feed}", names.room(&board.outbuilding)),
            format!("{} ways, {used} used; {}", board.ways, board.earthing),
        ),
        None => (format!("Fed by {feed}"), String::new()),
    };
    let electrode = board.is_some_and(|board| {
        let here = Some(board.outbuilding.as_str());
        let rods = estimate.lines.iter().filter(|line| line.kind == LineKind::Outbuilding && line.item == ELECTRODE);
        rods.into_iter().any(|line| line.room.as_deref() == here)
    });
    Group {
        key: feed,
        title,
        remark,
        feed: known.then_some(feed),
        from_intake: false,
        main_switch: board.map(|_| "Main switch".to_owned()),
        surge: false,
        electrode,
        circuits,
        ways_spare: board.map_or(0, |board| board.ways.saturating_sub(used)),
    }
}

/// The item of the price under which an electrode is driven.
pub(super) const ELECTRODE: &str = "earth-electrode";

//! The circuits, the board and the demand, as far as a person at a terminal wants them.

use engine::checks::Verdict;
use engine::estimate::{Circuit, Estimate};

use super::layout::{Grid, TableColumn, hanging, heading};
use crate::words::{self, clean, fixed, sentence, short};

pub(super) fn circuits(estimate: &Estimate, out: &mut String) {
    heading(&format!("Circuits ({})", estimate.circuits.len()), out);
    let mut grid = Grid::new([
        TableColumn::Wrapped("Id"),
        TableColumn::Wrapped("Circuit"),
        TableColumn::Text("Form"),
        TableColumn::Text("Device"),
        TableColumn::Wrapped("Cable, mm2"),
        TableColumn::Figure("Metres"),
        TableColumn::Figure("Load, A"),
        TableColumn::Text("Verdict"),
    ]);
    for circuit in &estimate.circuits {
        grid.row([
            clean(&circuit.id),
            name(circuit),
            clean(&circuit.arrangement),
            words::device(&circuit.device),
            words::cable(&circuit.cable),
            fixed(circuit.length_m.value(), 1),
            fixed(circuit.design_current_a.value(), 1),
            circuit.verdict.to_string(),
        ]);
        for check in circuit.checks.iter().filter(|check| check.verdict != Verdict::Pass) {
            grid.note(clean(&format!("{} {}, {}: {}", check.verdict, check.name, check.clause, check.working)));
        }
    }
    grid.print(out);
    board(estimate, out);
    demand(estimate, out);
}

fn name(circuit: &Circuit) -> String {
    let fed = circuit.fed_from.as_ref().map(|from| format!(", from {from}")).unwrap_or_default();
    clean(&format!("{}{fed}", circuit.name))
}

fn board(estimate: &Estimate, out: &mut String) {
    let board = &estimate.board;
    out.push('\n');
    let place = board.room.as_ref().map(|room| format!(" in {room}")).unwrap_or_default();
    let surge = match (board.stays, board.surge_device) {
        (true, _) => "surge protection as it is",
        (false, true) => "with a surge device",
        (false, false) => "no surge device",
    };
    let stays = if board.stays { "stays: " } else { "" };
    let text = format!(
        "{stays}{} ways{place}: {} used, {} spare; main switch {} A; {}; {surge}; {} m of tails",
        board.ways,
        board.ways_used,
        board.ways_spare,
        short(board.main_switch_a.value()),
        board.enclosure,
        fixed(board.tails_m.value(), 1)
    );
    hanging("  Board   ", &clean(&text), out);
    if let Some(small) = &board.small_board {
        let text = format!("Small board beside it: {} ways, {} used; {}", small.ways, small.ways_used, small.enclosure);
        hanging("          ", &clean(&text), out);
    }
    for sub_board in &board.sub_boards {
        let text = format!(
            "{}: {} ways, fed by {}; {}",
            sub_board.outbuilding, sub_board.ways, sub_board.fed_from, sub_board.earthing
        );
        hanging("          ", &clean(&text), out);
    }
}

fn demand(estimate: &Estimate, out: &mut String) {
    let demand = &estimate.demand;
    let text = format!(
        "{} A after diversity ({} A connected), cut-out {} A: {}. Working: {}",
        fixed(demand.after_diversity_a.value(), 0),
        fixed(demand.connected_a.value(), 0),
        short(demand.cut_out_a.value()),
        demand.verdict,
        demand.working
    );
    hanging("  Demand  ", &clean(&text), out);
    for ask in &demand.ask_operator {
        hanging("          - ", &sentence(ask), out);
    }
}

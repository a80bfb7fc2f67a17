//! The range against closed forms, against draws of a general-purpose library, and against simulated jobs.

mod closed_forms;
mod honesty;
mod library;
mod simulated;

use super::*;
use crate::pricing::Cost;
use crate::rate_sheet::Stage;

fn alternative(odds: f64, labour: f64, materials: f64) -> Alternative {
    Alternative { odds, adds: Cost { labour, materials } }
}

fn cause(operation: &str, effect: Effect) -> Cause {
    Cause { kind: CauseKind::Hours { operation: operation.to_owned(), stage: Stage::FirstFix }, effect }
}

fn drawn(model: Model) -> (Model, Draws) {
    let shapes = Shapes::built_in();
    let model = model.arranged();
    let draws = Draws::of(&DrawSetup { model: &model, shapes: &shapes }, lattice::seed(&model));
    (model, draws)
}

//! The range against closed forms, against draws of a general-purpose library, and against simulated jobs.

mod closed_forms;
mod honesty;
mod library;
mod simulated;

use super::*;
use crate::pricing::Cost;

fn alternative(odds: f64, labour: f64, materials: f64) -> Alternative {
    Alternative { odds, adds: Cost { labour, materials } }
}

fn cause(name: &'static str, effect: Effect) -> Cause {
    Cause { name: name.into(), effect }
}

fn drawn(model: Model) -> (Model, Draws) {
    let shapes = Shapes::built_in();
    let model = model.arranged();
    let draws = Draws::of(&DrawSetup { model: &model, shapes: &shapes }, lattice::seed(&model));
    (model, draws)
}

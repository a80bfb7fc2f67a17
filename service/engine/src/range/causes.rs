//! A job as priced, as a [`Model`]: its base, and every cause that moves it.

use std::collections::BTreeMap;

use super::cause::CauseKind;
use super::model::{Alternative, Cause, Effect, Model};
use crate::pricing::Cost;
use crate::rate_sheet::{OperationIndex, Stage};
use crate::unknowns::{OpenQuestion, UnknownsContext};

/// What a job's spread is made from.
pub(crate) struct Spreading<'a> {
    /// The job.
    pub asked: &'a UnknownsContext<'a>,
    /// What was not recorded.
    pub unknowns: &'a [OpenQuestion],
    /// Small materials that nobody counts, in money.
    pub sundries: f64,
}

impl Spreading<'_> {
    /// The model. Cost: one step for each work of each item, and one for each alternative.
    pub fn model(&self) -> Model {
        let asked = self.asked;
        let terms = &asked.job.workbook.sheet.terms;
        let mut base = Cost { labour: 0.0, materials: self.sundries };
        let mut fixed = 0.0;
        for (item, priced) in asked.priced {
            #[expect(clippy::cast_precision_loss, reason = "fees of one job")]
            let outlay = item.outlay_pennies as f64 / 100.0;
            base.labour += priced.labour.approximate();
            base.materials += priced.materials.approximate() - outlay;
            fixed += outlay;
        }
        let mut causes = self.three_points();
        causes.extend(self.unknowns.iter().filter_map(of_unknown));
        Model { base, fixed, crew_sigma: terms.crew_spread, prices_sigma: terms.price_spread, causes }
    }

    /// The three-point hours of each operation and stage, wherever in the house it is done.
    fn three_points(&self) -> Vec<Cause> {
        let UnknownsContext { job, take_off, priced, .. } = *self.asked;
        let mut quantities: BTreeMap<(OperationIndex, Stage), f64> = BTreeMap::new();
        for (item, priced) in priced {
            let works = take_off.works(item);
            let bare: f64 = works.iter().map(|work| self.asked.hours(work.operation) * work.quantity).sum();
            if bare <= 0.0 {
                continue;
            }
            // The factors of the room, its height and finish, as they came out over the whole item.
            let factor = priced.hours.total() / bare;
            for work in works {
                for stage in Stage::ALL {
                    if job.workbook.operation(work.operation).stages[stage.index()].is_some() {
                        *quantities.entry((work.operation, stage)).or_insert(0.0) += work.quantity * factor;
                    }
                }
            }
        }
        let mut causes = Vec::with_capacity(quantities.len());
        for ((operation, stage), quantity) in quantities {
            let operation = job.workbook.operation(operation);
            let Some(hours) = operation.stages[stage.index()] else { continue };
            let width = hours.pessimistic - hours.optimistic;
            if width > 0.0 {
                let rate = job.workbook.rate(stage).approximate();
                let mode = (hours.likely - hours.optimistic) / width;
                let effect = Effect::ThreePoint { deviation: hours.deviation() * quantity * rate, mode };
                causes.push(Cause { kind: CauseKind::Hours { operation: operation.name.clone(), stage }, effect });
            }
        }
        causes
    }
}

/// An unknown as a cause; none where every answer costs the same.
fn of_unknown(unknown: &OpenQuestion) -> Option<Cause> {
    let effect = match unknown.part {
        // A length is not one of three lengths; only the question puts it so.
        Some((of, deviation)) => Effect::Part { of, sigma: libm::log1p(deviation * deviation).sqrt() },
        None => Effect::Alternatives(
            unknown.answers.iter().map(|answer| Alternative { odds: answer.odds, adds: answer.adds }).collect(),
        ),
    };
    let cause = Cause { kind: CauseKind::Unrecorded(unknown.subject), effect };
    (cause.moments().total > 0.0).then_some(cause)
}

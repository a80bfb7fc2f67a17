//! Refusals in the log: counted, and written once a second and kind, so that a flood of them fills no disk.

use std::collections::BTreeMap;
use std::sync::{Mutex, PoisonError};

use crate::problem::Problem;
use crate::request_id::RequestId;

/// The refusals since the last lines were written.
#[derive(Debug, Default)]
pub struct Refusals(Mutex<BTreeMap<&'static str, Counted>>);

/// The refusals of one kind, and the first of them as an example.
#[derive(Debug)]
struct Counted {
    count: u64,
    request: String,
    causes: Option<String>,
}

impl Refusals {
    /// One more.
    pub fn count(&self, problem: &Problem, request: &RequestId) {
        let mut counted = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let first = || Counted { count: 0, request: request.to_string(), causes: problem.causes() };
        counted.entry(problem.kind().row().slug).or_insert_with(first).count += 1;
    }

    /// Writes a line for each kind that there was, and begins anew.
    pub fn write(&self) {
        let counted = std::mem::take(&mut *self.0.lock().unwrap_or_else(PoisonError::into_inner));
        for (slug, Counted { count, request, causes }) in counted {
            match causes {
                Some(causes) => {
                    tracing::warn!(problem = slug, count, "request.id" = request, causes, "requests refused");
                }
                None => tracing::info!(problem = slug, count, "request.id" = request, "requests refused"),
            }
        }
    }
}

//! What several tests share.

use std::path::PathBuf;
use std::sync::LazyLock;

use engine::estimate::Estimate;
use engine::rate_sheet::{RateSheet, Workbook};
use engine::survey::{self, EstimateRequest, SurveyContract};
use engine::{Engine, Stamp};

static CONTRACT: LazyLock<SurveyContract> = LazyLock::new(SurveyContract::new);
/// Built once: the tables are the same for every test.
pub static ENGINE: LazyLock<Engine> = LazyLock::new(Engine::new);
/// The built-in sheet.
pub static WORKBOOK: LazyLock<Workbook> =
    LazyLock::new(|| ENGINE.prepare(RateSheet::standard(), 1).expect("the built-in sheet is complete"));

/// A published example.
pub fn example(name: &str) -> EstimateRequest {
    let file = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../openapi/examples").join(name);
    let bytes = std::fs::read(file).expect("the example is there");
    survey::read(&CONTRACT, &bytes).unwrap_or_else(|faults| panic!("{name}: {faults:?}"))
}

/// The estimate of a request at the built-in sheet.
pub fn priced(request: &EstimateRequest) -> Estimate {
    let stamp = Stamp { id: "00000000-0000-7000-8000-000000000000".to_owned(), created_at: String::new() };
    ENGINE.estimate(request, &WORKBOOK, stamp)
}

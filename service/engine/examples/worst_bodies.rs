//! Tries bodies, one a line in, and says which are the worst: time on a core, steps of work, memory and bytes out.
//! `tests/fixtures/bodies.py` is its caller. Every body that is over its time or its memory is named at once.

use std::io::{BufRead, Write};
use std::time::Duration;

use engine::estimate::{RoutesRequest, SurveyReviewRequest};
use engine::rate_sheet::{RateSheet, Workbook};
use engine::work::{Cancellation, WorkBudget, WorkPart};
use engine::{Engine, Stamp};

#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

/// What no body may take.
const TIME_MAX: Duration = Duration::from_secs(2);
const MEMORY_MB_MAX: u64 = 600;
/// How many of the worst are told of each resource.
const TOLD: usize = 6;

/// A line in: what it is sent to, what it is called, the body.
struct Trial<'a> {
    resource: &'a str,
    name: &'a str,
    body: &'a str,
}

/// What came of a body.
struct Tried {
    resource: String,
    name: String,
    sent: usize,
    took: Duration,
    steps: u64,
    memory_mb: u64,
    /// Bytes out, or why there are none.
    answer: Result<usize, String>,
    parts: String,
}

/// What the worst is found by.
type Key = fn(&Tried) -> u128;

/// How long this thread has been on a core: what else the machine does is not counted.
fn on_a_core() -> Duration {
    let told = std::fs::read_to_string("/proc/thread-self/schedstat").unwrap_or_default();
    Duration::from_nanos(told.split_whitespace().next().and_then(|text| text.parse().ok()).unwrap_or(0))
}

/// The most memory since it was last asked, in megabytes.
fn peak_mb() -> u64 {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let line = status.lines().find(|line| line.starts_with("VmHWM:")).unwrap_or_default();
    let peak: u64 = line.split_whitespace().nth(1).and_then(|text| text.parse().ok()).unwrap_or(0);
    // Where this cannot be written, the peak is that of all bodies so far.
    let _ = std::fs::write("/proc/self/clear_refs", "5");
    peak / 1_024
}

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let engine = Engine::new();
    let workbook = engine.prepare(RateSheet::standard(), 1)?;
    let mut out = std::io::stdout().lock();
    let mut all: Vec<Tried> = Vec::new();
    for line in std::io::stdin().lock().lines() {
        let line = line?;
        let mut columns = line.splitn(3, '\t');
        let (Some(resource), Some(name), Some(body)) = (columns.next(), columns.next(), columns.next()) else {
            return Err("a line has a resource, a name and a body, with tabs between them".into());
        };
        let tried = tried(&engine, &workbook, &Trial { resource, name, body });
        if tried.took > TIME_MAX || tried.memory_mb > MEMORY_MB_MAX {
            writeln!(out, "OVER  {}", told(&tried))?;
        }
        all.push(tried);
    }
    let accepted = all.iter().filter(|tried| tried.answer.is_ok()).count();
    writeln!(out, "{} bodies, {accepted} answered", all.len())?;
    for resource in ["estimate", "review", "routes", "demand"] {
        let worst = |key: Key| {
            let mut of_it: Vec<&Tried> = all.iter().filter(|tried| tried.resource == resource).collect();
            of_it.sort_by_key(|tried| std::cmp::Reverse(key(tried)));
            of_it.truncate(TOLD);
            of_it
        };
        let keys: [(&str, Key); 4] = [
            ("time", |tried| tried.took.as_nanos()),
            ("time for each step", |tried| tried.took.as_nanos() * 1_000 / u128::from(tried.steps + 1_000_000)),
            ("memory", |tried| u128::from(tried.memory_mb)),
            ("bytes", |tried| tried.answer.as_ref().map_or(0, |bytes| *bytes as u128)),
        ];
        for (what, key) in keys {
            writeln!(out, "{resource}, by {what}:")?;
            for tried in worst(key) {
                writeln!(out, "  {}", told(tried))?;
            }
        }
    }
    Ok(())
}

fn told(tried: &Tried) -> String {
    let answer = match &tried.answer {
        Ok(bytes) => format!("{bytes} bytes"),
        Err(fault) => format!("refused: {}", fault.chars().take(120).collect::<String>()),
    };
    format!(
        "{:8.1} ms {:7.1} M steps {:4} MB, {} bytes in, {answer}: {} [{}]",
        tried.took.as_secs_f64() * 1e3,
        tried.steps as f64 / 1e6,
        tried.memory_mb,
        tried.sent,
        tried.name,
        tried.parts
    )
}

fn tried(engine: &Engine, workbook: &Workbook, trial: &Trial<'_>) -> Tried {
    let sent = trial.body.as_bytes();
    let _ = peak_mb();
    let work = WorkBudget::cancelled_by(Cancellation::default());
    let before = on_a_core();
    let answer = match trial.resource {
        "estimate" => estimated(engine, workbook, sent, &work),
        "review" => reviewed(engine, workbook, sent, &work),
        "routes" => routed(engine, workbook, sent, &work),
        _ => demanded(engine, sent),
    };
    let took = on_a_core() - before;
    let parts = WorkPart::ALL.iter().filter(|part| work.steps_of(**part) * 20 > work.steps());
    let parts = parts.map(|part| format!("{part:?} {:.1}", work.steps_of(*part) as f64 / 1e6)).collect::<Vec<_>>();
    Tried {
        resource: trial.resource.to_owned(),
        name: trial.name.to_owned(),
        sent: sent.len(),
        took,
        steps: work.steps(),
        memory_mb: peak_mb(),
        answer,
        parts: parts.join(", "),
    }
}

fn written(answer: &impl serde::Serialize) -> Result<usize, String> {
    serde_json::to_vec(answer).map(|bytes| bytes.len()).map_err(|fault| fault.to_string())
}

fn estimated(engine: &Engine, workbook: &Workbook, sent: &[u8], work: &WorkBudget) -> Result<usize, String> {
    let request = engine.read_survey(sent).map_err(|fault| format!("{fault:?}"))?;
    let stamp = Stamp { id: String::new(), created_at: String::new() };
    written(&engine.estimate_within(&request, workbook, stamp, work).map_err(|stopped| stopped.to_string())?)
}

fn reviewed(engine: &Engine, workbook: &Workbook, sent: &[u8], work: &WorkBudget) -> Result<usize, String> {
    let request: SurveyReviewRequest = serde_json::from_slice(sent).map_err(|fault| fault.to_string())?;
    let faults = engine.review_faults(&request);
    if !faults.is_empty() {
        return Err(format!("{faults:?}"));
    }
    written(&engine.review_within(&request, workbook, work).map_err(|stopped| stopped.to_string())?)
}

fn routed(engine: &Engine, workbook: &Workbook, sent: &[u8], work: &WorkBudget) -> Result<usize, String> {
    let request: RoutesRequest = serde_json::from_slice(sent).map_err(|fault| fault.to_string())?;
    let answer = engine.routes_within(&request, workbook, work).map_err(|stopped| stopped.to_string())?;
    written(&answer.map_err(|faults| format!("{faults:?}"))?)
}

fn demanded(engine: &Engine, sent: &[u8]) -> Result<usize, String> {
    let request = serde_json::from_slice(sent).map_err(|fault| fault.to_string())?;
    let demand = engine::demand::after_diversity(&engine.standards, &request);
    written(&demand.map_err(|faults| format!("{faults:?}"))?)
}

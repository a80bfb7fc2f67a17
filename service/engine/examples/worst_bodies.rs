//! Tries bodies, one a line in, and says which are the worst: time on a core, steps of work, memory and bytes out.
//! `tests/fixtures/bodies.py` is its caller. Every body that is over its time or its memory is named at once. With the word
//! `called-off` each is tried again and called off at many places of its way: how long it then goes on is told, the worst
//! last.

use std::io::{BufRead, Write};
use std::path::{Path, PathBuf};
use std::time::Duration;

use engine::checks::CircuitCheckRequest;
use engine::demand::DemandRequest;
use engine::document::Contract;
use engine::estimate::difference::between;
use engine::estimate::{RoutesRequest, SurveyReviewRequest};
use engine::rate_sheet::difference::difference;
use engine::rate_sheet::{RateSheet, Section, Workbook};
use engine::survey::EstimateRequest;
use engine::work::{Cancellation, WorkBudget, WorkPart};
use engine::working::CableSizeRequest;
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

/// Places of its way at which a body is called off.
const CALLED_OFF_AT: u32 = 16;
/// What it may then go on for.
const GOES_ON_MAX: Duration = Duration::from_millis(50);

/// How long a thread has been on a core, by its folder.
fn thread_on_a_core(folder: &Path) -> Duration {
    let told = std::fs::read_to_string(folder.join("schedstat")).unwrap_or_default();
    Duration::from_nanos(told.split_whitespace().next().and_then(|text| text.parse().ok()).unwrap_or(0))
}

/// The longest that a body goes on on its core after it was called off, and after how long that was.
fn goes_on_for(service: &Service, trial: &Trial<'_>, whole: Duration) -> (Duration, Duration) {
    let own: PathBuf = Path::new("/proc").join(std::fs::read_link("/proc/thread-self").unwrap_or_default());
    let mut worst = (Duration::ZERO, Duration::ZERO);
    for place in 0..CALLED_OFF_AT {
        let after = whole * place / CALLED_OFF_AT;
        let (cancellation, began) = (Cancellation::default(), thread_on_a_core(&own));
        let (word, own_folder) = (cancellation.clone(), own.clone());
        let gone = std::thread::spawn(move || {
            while thread_on_a_core(&own_folder) - began < after {
                std::thread::sleep(Duration::from_micros(200));
            }
            word.cancel();
            thread_on_a_core(&own_folder)
        });
        let answer = answered(service, trial, &WorkBudget::cancelled_by(cancellation));
        let stopped = thread_on_a_core(&own);
        while !gone.is_finished() {
            std::hint::spin_loop();
        }
        let went_on = gone.join().map_or(Duration::ZERO, |gone| stopped.saturating_sub(gone));
        if answer.is_err() && went_on > worst.0 {
            worst = (went_on, after);
        }
    }
    worst
}

fn call_off_all(service: &Service) -> Result<(), Box<dyn std::error::Error>> {
    let mut out = std::io::stdout().lock();
    let mut worst: Vec<(Duration, Duration, Duration, String)> = Vec::new();
    for line in std::io::stdin().lock().lines() {
        let line = line?;
        let mut columns = line.splitn(3, '\t');
        let (Some(resource), Some(name), Some(body)) = (columns.next(), columns.next(), columns.next()) else {
            return Err("a line has a resource, a name and a body, with tabs between them".into());
        };
        if body.len() > bytes_taken(resource) {
            continue;
        }
        let trial = Trial { resource, name, body };
        let whole = tried(service, &trial).took;
        let (went_on, after) = goes_on_for(service, &trial, whole);
        if went_on > GOES_ON_MAX {
            writeln!(out, "OVER  {went_on:?} after {after:?} of {whole:?}: {resource} {name}")?;
        }
        worst.push((went_on, after, whole, format!("{resource} {name}")));
    }
    worst.sort();
    for (went_on, after, whole, name) in &worst {
        writeln!(out, "{went_on:?} after {after:?} of {whole:?}: {name}")?;
    }
    Ok(())
}

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let service = Service::new()?;
    if std::env::args().nth(1).as_deref() == Some("called-off") {
        return call_off_all(&service);
    }
    let mut out = std::io::stdout().lock();
    let mut all: Vec<Tried> = Vec::new();
    let mut longer = 0;
    for line in std::io::stdin().lock().lines() {
        let line = line?;
        let mut columns = line.splitn(3, '\t');
        let (Some(resource), Some(name), Some(body)) = (columns.next(), columns.next(), columns.next()) else {
            return Err("a line has a resource, a name and a body, with tabs between them".into());
        };
        if body.len() > bytes_taken(resource) {
            longer += 1;
            continue;
        }
        let tried = tried(&service, &Trial { resource, name, body });
        if tried.took > TIME_MAX || tried.memory_mb > MEMORY_MB_MAX {
            writeln!(out, "OVER  {}", told(&tried))?;
        }
        all.push(tried);
    }
    let accepted = all.iter().filter(|tried| tried.answer.is_ok()).count();
    writeln!(out, "{} bodies, {accepted} answered, {longer} longer than the service takes", all.len())?;
    let mut resources: Vec<&str> = all.iter().map(|tried| tried.resource.as_str()).collect();
    resources.sort_unstable();
    resources.dedup();
    for resource in resources {
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

/// The longest body that the service takes, in bytes: `BODY_BYTES_MAX` and its like in the service's limits.
fn bytes_taken(resource: &str) -> usize {
    match resource {
        "checks" => 10 << 20,
        "sheet" | "section" => 4 << 20,
        _ => 1 << 20,
    }
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

/// What the service holds ready for every request.
struct Service {
    engine: Engine,
    workbook: Workbook,
    /// The same sheet with other prices, for what is priced twice.
    other: Workbook,
    checks: Contract<CircuitCheckRequest>,
    sizes: Contract<CableSizeRequest>,
    demand: Contract<DemandRequest>,
    example: EstimateRequest,
}

impl Service {
    fn new() -> Result<Self, Box<dyn std::error::Error>> {
        let engine = Engine::new();
        let workbook = engine.prepare(RateSheet::standard(), 1)?;
        let mut other = RateSheet::standard();
        for labour in &mut other.labour {
            labour.likely_h = labour.pessimistic_h;
        }
        let other = engine.prepare(other, 2)?;
        let example = engine.read_survey(include_bytes!("../../../openapi/examples/kestrel-bank.json"));
        let example = example.map_err(|fault| format!("{fault:?}"))?;
        let (checks, sizes, demand) = (Contract::new(), Contract::new(), Contract::new());
        Ok(Self { engine, workbook, other, checks, sizes, demand, example })
    }
}

fn tried(service: &Service, trial: &Trial<'_>) -> Tried {
    let sent = trial.body.as_bytes();
    let _ = peak_mb();
    let work = WorkBudget::cancelled_by(Cancellation::default());
    let before = on_a_core();
    let answer = answered(service, trial, &work);
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

/// The bytes of what is answered to a body, or why there is none.
fn answered(service: &Service, trial: &Trial<'_>, work: &WorkBudget) -> Result<usize, String> {
    let (Service { engine, workbook, .. }, sent) = (service, trial.body.as_bytes());
    match trial.resource {
        "estimate" => estimated(engine, workbook, sent, work),
        "review" => reviewed(engine, workbook, sent, work),
        "routes" => routed(engine, workbook, sent, work),
        "difference" => compared(service, sent, work),
        "tally" => tallied(engine, workbook, trial.body, work),
        "sheet" => priced_with(service, sent, work),
        "section" => imported(engine, trial.body),
        "checks" => checked(service, sent),
        "sizes" => sized(service, sent),
        "demand" => demanded(service, sent),
        other => Err(format!("no such resource: {other}")),
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

/// A survey priced with two sheets.
fn compared(service: &Service, sent: &[u8], work: &WorkBudget) -> Result<usize, String> {
    let request = service.engine.read_survey(sent).map_err(|fault| format!("{fault:?}"))?;
    let price = |workbook| {
        let stamp = Stamp { id: String::new(), created_at: String::new() };
        service.engine.estimate_within(&request, workbook, stamp, work).map_err(|stopped| stopped.to_string())
    };
    let changes = difference(&service.workbook.sheet, &service.other.sheet);
    Ok(written(&between(&price(&service.workbook)?, &price(&service.other)?))? + written(&changes.changes)?)
}

/// Line ends and quotes of a CSV stand in a line of the trial as a JSON string has them.
fn tallied(engine: &Engine, workbook: &Workbook, body: &str, work: &WorkBudget) -> Result<usize, String> {
    let csv: String = serde_json::from_str(body).map_err(|fault| fault.to_string())?;
    let request = engine.read_tally(csv.as_bytes()).map_err(|fault| format!("{fault:?}"))?;
    let stamp = Stamp { id: String::new(), created_at: String::new() };
    written(&engine.estimate_within(&request, workbook, stamp, work).map_err(|stopped| stopped.to_string())?)
}

/// A sheet accepted, made ready, and the demonstration house priced with it.
fn priced_with(service: &Service, sent: &[u8], work: &WorkBudget) -> Result<usize, String> {
    let sheet = service.engine.accept_rate_sheet(sent).map_err(|fault| format!("{fault:?}"))?;
    let workbook = service.engine.prepare(sheet, 1).map_err(|fault| fault.to_string())?;
    let faults = service.engine.faults_on(&service.example, &workbook);
    if !faults.is_empty() {
        return Err(format!("{faults:?}"));
    }
    let stamp = Stamp { id: String::new(), created_at: String::new() };
    let priced = service.engine.estimate_within(&service.example, &workbook, stamp, work);
    written(&priced.map_err(|stopped| stopped.to_string())?)
}

fn imported(engine: &Engine, body: &str) -> Result<usize, String> {
    let csv: String = serde_json::from_str(body).map_err(|fault| fault.to_string())?;
    let sheet = engine.accept_section(Section::Materials, csv.as_bytes(), &RateSheet::standard());
    written(&sheet.map_err(|faults| format!("{faults:?}"))?)
}

fn checked(service: &Service, sent: &[u8]) -> Result<usize, String> {
    let request = service.checks.read(sent).map_err(|fault| format!("{fault:?}"))?;
    let answer = engine::working::check_circuits_as_json(&service.engine.standards, &request);
    answer.map(|json| json.len()).map_err(|faults| format!("{faults:?}"))
}

fn sized(service: &Service, sent: &[u8]) -> Result<usize, String> {
    let request = service.sizes.read(sent).map_err(|fault| format!("{fault:?}"))?;
    let sizes = engine::working::size_cable(&service.engine.standards, &request);
    written(&sizes.map_err(|faults| format!("{faults:?}"))?)
}

fn demanded(service: &Service, sent: &[u8]) -> Result<usize, String> {
    let request = service.demand.read(sent).map_err(|fault| format!("{fault:?}"))?;
    let demand = engine::demand::after_diversity(&service.engine.standards, &request);
    written(&demand.map_err(|faults| format!("{faults:?}"))?)
}

//! An estimate worked out again from what was kept: whether it comes out the same to the byte, and if not, why.

use std::borrow::Cow;

use serde::Serialize;
use utoipa::ToSchema;
use wiring::closed_list;

use super::RateSheetUsed;
use super::difference::{EstimateDifference, difference};
use crate::{ENGINE_VERSION, RULESET_ID};

closed_list! {
    /// Why an estimate does not come out as it did.
    ReplayCause {
        Engine = "engine": "The engine is of another version.",
        Ruleset = "ruleset": "Other wiring rules are in force.",
        RateSheet = "rate-sheet": "The version of the rate sheet is not there, or this engine asks for more than it has.",
        Request = "request": "This engine does not accept the request any more.",
        Build = "build": "The versions are the same: the engine was changed without a new version.",
    }
}

/// An estimate worked out again.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct Replay {
    /// The estimate.
    #[schema(example = "01938f5e-7c1a-7c3e-8a51-0d6f1b2a3c4d")]
    pub id: String,
    /// Whether every byte is the same.
    pub same: bool,
    /// What it was worked out with then.
    pub then: Circumstances,
    /// What it is worked out with now.
    pub now: Circumstances,
    /// Why it is not the same; empty where it is.
    pub causes: Vec<ReplayFault>,
    /// Where it is not the same; absent where it is, or could not be worked out.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false)]
    pub differences: Option<EstimateDifference>,
}

/// One reason why an estimate does not come out as it did.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
#[schema(as = Cause)]
pub struct ReplayFault {
    /// The reason.
    pub cause: ReplayCause,
    /// In words, with what was found.
    pub detail: Cow<'static, str>,
}

/// What an estimate is worked out with.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, ToSchema)]
pub struct Circumstances {
    /// The engine's version.
    #[schema(example = "0.1.0")]
    pub engine_version: String,
    /// The wiring rules.
    #[schema(example = "uk-bs7671-2018-a4")]
    pub ruleset: String,
    /// Name of the rate sheet.
    #[schema(example = "standard")]
    pub rate_sheet: String,
    /// Version of the rate sheet.
    #[schema(example = 1)]
    pub rate_sheet_version: u32,
}

/// An estimate as it was kept.
#[derive(Debug, Clone, Copy)]
pub struct ReplayInput<'a> {
    /// Its identifier.
    pub id: &'a str,
    /// The document.
    pub document: &'a [u8],
    /// The engine's version that made it.
    pub engine_version: &'a str,
    /// The wiring rules that it was made to.
    pub ruleset: &'a str,
    /// The rate sheet that priced it.
    pub rate_sheet: &'a str,
    /// Its version.
    pub rate_sheet_version: u32,
}

/// What came out this time: the document, or what kept it from being made.
pub type Outcome = Result<Vec<u8>, ReplayFault>;

impl Replay {
    /// Holds an estimate against what came out this time.
    #[must_use]
    pub fn of(given: ReplayInput<'_>, outcome: Outcome) -> Self {
        let then = Circumstances {
            engine_version: given.engine_version.to_owned(),
            ruleset: given.ruleset.to_owned(),
            rate_sheet: given.rate_sheet.to_owned(),
            rate_sheet_version: given.rate_sheet_version,
        };
        let now =
            Circumstances { engine_version: ENGINE_VERSION.to_owned(), ruleset: RULESET_ID.to_owned(), ..then.clone() };
        let id = given.id.to_owned();
        let differences = match outcome {
            Ok(document) if document == given.document => {
                return Self { id, same: true, then, now, causes: Vec::new(), differences: None };
            }
            Ok(document) => Ok(difference(given.document, &document).ok()),
            Err(cause) => Err(cause),
        };
        let mut causes = versions(&then, &now);
        let differences = differences.unwrap_or_else(|cause| {
            causes.push(cause);
            None
        });
        if causes.is_empty() {
            let detail =
                "engine, rules and rate sheet have the same versions: the engine's code was changed without a new one";
            causes.push(ReplayFault { cause: ReplayCause::Build, detail: detail.into() });
        }
        Self { id, same: false, then, now, causes, differences }
    }
}

/// What is of another version now than then.
fn versions(then: &Circumstances, now: &Circumstances) -> Vec<ReplayFault> {
    let pairs = [
        (ReplayCause::Engine, "engine", &then.engine_version, &now.engine_version),
        (ReplayCause::Ruleset, "wiring rules", &then.ruleset, &now.ruleset),
    ];
    let changed = pairs.into_iter().filter(|(_, _, then, now)| then != now);
    changed
        .map(|(cause, what, then, now)| ReplayFault { cause, detail: format!("{what} {then} then, {now} now").into() })
        .collect()
}

impl ReplayFault {
    /// The version of the rate sheet is not there.
    #[must_use]
    pub fn no_rate_sheet(name: &str, version: u32) -> Self {
        let detail = format!("there is no version {version} of the rate sheet `{name}`");
        Self { cause: ReplayCause::RateSheet, detail: detail.into() }
    }

    /// This engine asks for more than the sheet has.
    #[must_use]
    pub fn incomplete_rate_sheet(sheet: &RateSheetUsed, why: &str) -> Self {
        let detail = format!(
            "version {} of the rate sheet `{}` cannot be used by this engine: {why}",
            sheet.version, sheet.name
        );
        Self { cause: ReplayCause::RateSheet, detail: detail.into() }
    }

    /// The request is not accepted any more.
    #[must_use]
    pub fn request(why: &str) -> Self {
        let detail = format!("this engine does not accept the request any more: {why}");
        Self { cause: ReplayCause::Request, detail: detail.into() }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const GIVEN: ReplayInput<'static> = ReplayInput {
        id: "01938f5e-7c1a-7c3e-8a51-0d6f1b2a3c4d",
        document: br#"{"totals":{"net":"100.00"},"lines":[{"kind":"point","room":"hall","circuit":null,"item":"pendant","amount":"100.00"}]}"#,
        engine_version: ENGINE_VERSION,
        ruleset: RULESET_ID,
        rate_sheet: "standard",
        rate_sheet_version: 1,
    };

    #[test]
    fn the_same_bytes_are_the_same_estimate_and_no_cause_is_named() {
        let replay = Replay::of(GIVEN, Ok(GIVEN.document.to_vec()));
        assert!(replay.same && replay.causes.is_empty() && replay.differences.is_none());
    }

    #[test]
    fn an_estimate_of_another_engine_names_it_and_the_line_that_moved() {
        let given = ReplayInput { engine_version: "0.0.9", ..GIVEN };
        let dearer = String::from_utf8_lossy(GIVEN.document).replace("100.00", "101.00").into_bytes();

        let replay = Replay::of(given, Ok(dearer));

        assert!(!replay.same);
        assert_eq!(replay.causes.iter().map(|cause| cause.cause).collect::<Vec<_>>(), [ReplayCause::Engine]);
        let found = replay.differences.expect("they can be compared");
        assert_eq!((found.totals.len(), found.lines.len()), (1, 1));
        assert_eq!(found.lines[0].difference.to_string(), "1.00");
    }

    #[test]
    fn a_change_under_the_same_versions_is_called_what_it_is() {
        let replay = Replay::of(GIVEN, Ok(b"{}".to_vec()));
        assert_eq!(replay.causes[0].cause, ReplayCause::Build);
    }

    #[test]
    fn a_request_that_is_refused_today_says_so() {
        let replay = Replay::of(GIVEN, Err(ReplayFault::request("`rooms` is missing")));
        assert_eq!(replay.causes[0].cause, ReplayCause::Request);
        assert!(replay.differences.is_none());
    }
}

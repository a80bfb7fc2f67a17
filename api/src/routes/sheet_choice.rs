//! The rate sheet that a request is priced with.

use std::sync::Arc;

use engine::faults::{Fault, FaultCode};
use engine::rate_sheet::Workbook;
use engine::survey::RateSheetReference;
use jiff::Timestamp;
use jiff::tz::TimeZone;

use crate::built_in;
use crate::caller::Caller;
use crate::engine_pool::{SheetVersion, Turn};
use crate::problem::Problem;
use crate::state::AppState;

/// Whether the built-in sheet is asked for, by name or by naming none.
pub(super) fn is_built_in(asked: Option<&RateSheetReference>) -> bool {
    asked.is_none_or(|sheet| sheet.name == built_in::NAME && sheet.version.is_none())
}

/// The sheet to price with: the version asked for, or the newest in effect; the built-in one where none is named.
pub(super) async fn sheet_asked_for(
    service: &AppState,
    turn: &Turn<'_>,
    caller: Caller,
    asked: Option<&RateSheetReference>,
) -> Result<(SheetVersion, Arc<Workbook>), Problem> {
    let Some(asked) = asked.filter(|_| !is_built_in(asked)) else {
        return built_in_as_kept(service, turn, caller).await;
    };
    let name = asked.name.clone();
    let version = match asked.version {
        Some(version) => i32::try_from(version).ok(),
        None => {
            let today = Timestamp::now().to_zoned(TimeZone::UTC).date();
            let newest = service.store.find_rate_sheet_in_effect(caller.firm, &name, today).await?;
            newest.map(|summary| summary.version)
        }
    };
    let sheet = match version {
        Some(version) => SheetVersion { firm: caller.firm, name, version },
        None => {
            let detail = format!(
                "there is no rate sheet `{name}` that is in effect today; GET /v1/rate-sheets lists yours, and a version \
                 that is not in effect can be asked for by its number"
            );
            return Err(unknown_sheet("/rate_sheet/name", detail));
        }
    };
    let workbook = turn.workbook(&service.store, &sheet).await?.ok_or_else(|| no_such_version(&sheet))?;
    Ok((sheet, workbook))
}

/// The built-in sheet, as the version that the caller's firm keeps it as.
pub(super) async fn built_in_as_kept(
    service: &AppState,
    turn: &Turn<'_>,
    caller: Caller,
) -> Result<(SheetVersion, Arc<Workbook>), Problem> {
    let kept = service.built_in.kept(&service.store, caller.firm).await?;
    let sheet = SheetVersion { firm: caller.firm, name: kept.name, version: kept.version };
    let workbook = if u32::try_from(kept.version) == Ok(built_in::VERSION) {
        turn.built_in(&service.built_in).await?
    } else {
        turn.workbook(&service.store, &sheet).await?.ok_or_else(|| no_such_version(&sheet))?
    };
    Ok((sheet, workbook))
}

fn no_such_version(sheet: &SheetVersion) -> Problem {
    let detail = format!(
        "there is no version {} of a rate sheet `{name}`; GET /v1/rate-sheets/{name}/versions lists yours, and without a \
         version the newest is used",
        sheet.version,
        name = sheet.name
    );
    unknown_sheet("/rate_sheet/version", detail)
}

fn unknown_sheet(pointer: &str, detail: String) -> Problem {
    Problem::invalid(vec![Fault::new(pointer, FaultCode::UnknownReference, detail).into()])
}

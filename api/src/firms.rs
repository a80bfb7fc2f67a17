//! A new firm is ready to price at once: it gets the built-in rate sheet.

use anyhow::Context;
use engine::rate_sheet::RateSheet;
use store::{FirmId, NewRateSheet, Store};

/// The firm that everybody is without keys.
pub const LOCAL: &str = "local";

/// The firm of that name, made if there is none, with the built-in sheet unless it has a sheet of that name already.
///
/// # Errors
/// Where the store fails.
pub async fn make_ready(store: &Store, name: &str) -> anyhow::Result<FirmId> {
    let firm = store.ensure_firm(name).await?;
    give_built_in_sheet(store, firm).await?;
    Ok(firm)
}

/// Gives the firm the built-in sheet, unless it has one of that name: then that one is the firm's own business.
///
/// # Errors
/// Where the store fails.
pub async fn give_built_in_sheet(store: &Store, firm: FirmId) -> anyhow::Result<()> {
    let sheet = RateSheet::standard();
    if store.find_rate_sheet(firm, &sheet.name, None).await?.is_some() {
        return Ok(());
    }
    let content = serde_json::to_vec(&sheet).context("the built-in rate sheet does not serialise")?;
    let new = NewRateSheet {
        name: &sheet.name,
        currency: &sheet.currency,
        content: &content,
        invented: sheet.invented,
        notes: Some(&sheet.note),
        effective_from: sheet.first_day(),
        effective_until: sheet.last_day(),
    };
    store.ensure_rate_sheet(firm, &new).await?;
    Ok(())
}

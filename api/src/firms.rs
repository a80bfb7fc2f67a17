//! A new firm is ready to price at once: it keeps the built-in rate sheet.

use store::{FirmId, Store};

use crate::built_in::BuiltIn;

/// The firm that everybody is without keys.
pub const LOCAL: &str = "local";

/// The firm of that name, made if there is none; it keeps the built-in sheet.
///
/// # Errors
/// Where the store fails.
pub async fn make_ready(store: &Store, name: &str) -> anyhow::Result<FirmId> {
    let firm = store.ensure_firm(name).await?;
    BuiltIn::new().kept(store, firm).await?;
    Ok(firm)
}

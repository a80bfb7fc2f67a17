//! The built-in rate sheet `standard`: part of the program, the same for every firm, and read-only.
//!
//! Each firm keeps a copy of it as a version of its own, made when the firm is made or when a release has changed the
//! sheet: what an estimate was priced with is there for as long as the estimate is. A firm that wrote versions of its own
//! under the name before still has them, by their number.

use std::sync::{Arc, OnceLock};

use engine::Engine;
use engine::rate_sheet::{RateSheet, Workbook};
use quick_cache::sync::Cache;
use store::{Digest, FirmId, NewRateSheet, RateSheetSummary, Store, StoreError};

use crate::limits;
use crate::problem::{Kind, Problem};

/// Its name.
pub const NAME: &str = "standard";
/// The version that it is where nothing is kept.
pub const VERSION: u32 = 1;

/// The sheet, its document, and what the firms have kept it as.
pub struct BuiltIn {
    sheet: RateSheet,
    /// Its document, as it is kept and served.
    pub content: Vec<u8>,
    workbook: OnceLock<Arc<Workbook>>,
    kept: Cache<FirmId, RateSheetSummary>,
}

impl BuiltIn {
    /// The sheet of this program.
    #[must_use]
    pub fn new() -> Self {
        let sheet = RateSheet::standard();
        let content = serde_json::to_vec(&sheet).expect("a sheet has text keys only, and a vector takes every byte");
        Self { sheet, content, workbook: OnceLock::new(), kept: Cache::new(limits::BUILT_IN_KEPT_MAX) }
    }

    /// Ready to price with, as version [`VERSION`].
    ///
    /// # Errors
    /// `Internal` where it lacks what the engine asks for.
    pub fn workbook(&self, engine: &Engine) -> Result<Arc<Workbook>, Problem> {
        if let Some(ready) = self.ready() {
            return Ok(ready);
        }
        let ready = Arc::new(engine.prepare(self.sheet.clone(), VERSION).map_err(Problem::internal)?);
        Ok(Arc::clone(self.workbook.get_or_init(|| ready)))
    }

    /// The same, where it has been made ready before.
    #[must_use]
    pub fn ready(&self) -> Option<Arc<Workbook>> {
        self.workbook.get().map(Arc::clone)
    }

    /// The version that the firm keeps it as. Where it has none, it is kept now.
    ///
    /// # Errors
    /// As the store's calls.
    pub async fn kept(&self, store: &Store, firm: FirmId) -> Result<RateSheetSummary, StoreError> {
        if let Some(kept) = self.kept.get(&firm) {
            return Ok(kept);
        }
        let digest = Digest::of(&self.content);
        let found = store.find_rate_sheet_by_digest(firm, NAME, digest).await?;
        let kept = match found {
            Some(kept) => kept,
            None => store.ensure_rate_sheet(firm, &self.to_keep()).await?,
        };
        self.kept.insert(firm, kept.clone());
        Ok(kept)
    }

    fn to_keep(&self) -> NewRateSheet<'_> {
        NewRateSheet {
            name: &self.sheet.name,
            currency: &self.sheet.currency,
            content: &self.content,
            invented: self.sheet.invented,
            notes: Some(&self.sheet.note),
            effective_from: self.sheet.first_day(),
            effective_until: self.sheet.last_day(),
        }
    }
}

impl Default for BuiltIn {
    fn default() -> Self {
        Self::new()
    }
}

/// Refuses to write under the name of the built-in sheet.
///
/// # Errors
/// `ReadOnly` where it is that name.
pub fn refuse_to_write(name: &str) -> Result<(), Problem> {
    if name != NAME {
        return Ok(());
    }
    let detail = "`standard` is the built-in sheet and the same for everybody: copy it under a name of your own with \
                  POST /v1/rate-sheets and {\"name\":\"ours\",\"copy_of\":{\"name\":\"standard\"}}, and write that";
    Err(Problem::new(Kind::ReadOnly, detail))
}

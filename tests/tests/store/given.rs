//! What the tests begin with.

use std::ops::Deref;
use std::sync::LazyLock;

use end_to_end::{Owner, TestDatabase};
use rust_decimal::Decimal;
use store::{
    EntryId, EntryKind, FirmId, NewEntry, NewRateSheet, Packed, RateSheetSummary, Receipt, Recorded, Store, StoreError,
};

/// A store on a database of its own, with one firm.
pub struct OneFirm {
    pub store: Store,
    pub database: TestDatabase,
    pub firm: FirmId,
}

pub async fn one_firm() -> OneFirm {
    let database = TestDatabase::create().await;
    let store = database.open().await;
    let firm = store.ensure_firm("local").await.expect("a firm is made");
    OneFirm { database, store, firm }
}

impl Deref for OneFirm {
    type Target = Store;

    fn deref(&self) -> &Store {
        &self.store
    }
}

/// An estimate with plausible figures. Invented.
pub fn estimate<'a>(id: EntryId, request: &'a [u8]) -> NewEntry<'a> {
    static RESPONSE: LazyLock<Packed> = LazyLock::new(|| packed(b"{ \"totals\": {\"gross\":\"5400.00\"} }"));
    NewEntry {
        id,
        kind: EntryKind::Estimate,
        reference: Some("J-1042"),
        request,
        request_media_type: "application/json",
        response: &RESPONSE,
        rate_sheet_name: "standard",
        rate_sheet_version: 1,
        ruleset: "uk-bs7671-2018-a4",
        engine_version: "0.1.0",
        gross: Some(Decimal::new(540_000, 2)),
        idempotency_key: None,
    }
}

/// An answer, compressed.
pub fn packed(answer: &[u8]) -> Packed {
    Packed::of(answer).expect("there is memory for it")
}

/// Records an entry as a client would: where the database is busy, once more. It is then certain that nothing was recorded.
pub async fn record_patiently(store: &Store, firm: FirmId, entry: &NewEntry<'_>) -> Recorded {
    for _ in 0..20 {
        match store.record_estimate(firm, entry).await {
            Err(StoreError::Held(_) | StoreError::Busy(_)) => {}
            answer => return answer.expect("it is recorded"),
        }
    }
    panic!("the database is still busy after 20 tries");
}

/// Records an estimate of its own and gives its identifier.
pub async fn record(store: &Store, firm: FirmId, request: &[u8]) -> EntryId {
    let id = EntryId::now();
    let recorded = store.record_estimate(firm, &estimate(id, request)).await.expect("it is recorded");
    receipt(&recorded);
    id
}

/// The receipt of what must be new.
pub fn receipt(recorded: &Recorded) -> Receipt {
    match recorded {
        Recorded::New(receipt) => *receipt,
        other => panic!("not new: {other:?}"),
    }
}

/// Keeps a document as the sheet `standard`.
pub async fn keep_sheet(store: &Store, firm: FirmId, content: &[u8]) -> RateSheetSummary {
    let sheet = NewRateSheet {
        name: "standard",
        currency: "GBP",
        content,
        invented: true,
        notes: Some("invented"),
        effective_from: None,
        effective_until: None,
    };
    store.ensure_rate_sheet(firm, &sheet).await.expect("the sheet is kept")
}

/// The one number that a query gives.
pub async fn count(owner: &Owner, sql: &str) -> i64 {
    owner.query_one(sql, &[]).await.expect("the owner may count").get(0)
}

//! Where the engine works: off the threads that listen, as many at once as there are cores, behind a short queue that is
//! fair among firms.

use std::cell::Cell;
use std::sync::Arc;

use actix_web::web;
use engine::Engine;
use engine::rate_sheet::Workbook;
use engine::work::{Cancellation, WorkBudget};
use quick_cache::sync::Cache;
use store::{FirmId, Store};

use crate::auth::Identity;
use crate::built_in::BuiltIn;
use crate::limits;
use crate::places::{Place, Places};
use crate::problem::Problem;

/// The engine, who may use it now, and the rate sheets that it has ready.
pub struct EnginePool {
    engine: Arc<Engine>,
    places: Arc<Places>,
    /// Those of the requests that are recorded that are worked on, from their first step until they are.
    admitted: Arc<Places>,
    /// A version never changes, so it is never out of date here.
    workbooks: Cache<SheetVersion, Arc<Workbook>>,
}

/// A request's turn at the engine. One that is recorded is admitted once, from start to end. Any other waits for its first
/// piece of work; for the next ones it goes before all who still
/// wait for their first, and is not refused.
pub struct Turn<'a> {
    pool: &'a EnginePool,
    who: Identity,
    expected_us: u64,
    begun: Cell<bool>,
    admission: Option<Place>,
}

/// A version of a firm's rate sheet.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct SheetVersion {
    /// Whose it is.
    pub firm: FirmId,
    /// Its name.
    pub name: String,
    /// Its version.
    pub version: i32,
}

/// Calls work off when the future that waits for it is dropped; work that is done does not mind.
struct CalledOff(Cancellation);

impl Drop for CalledOff {
    fn drop(&mut self) {
        self.0.cancel();
    }
}

impl EnginePool {
    /// A pool with as many places as there are cores, and a queue for so many requests. Reads the engine's tables.
    #[must_use]
    pub fn new(queue_size: usize) -> Self {
        let cores = std::thread::available_parallelism().map_or(1, std::num::NonZero::get);
        Self {
            engine: Arc::new(Engine::new()),
            places: Arc::new(Places::new(cores, queue_size)),
            admitted: Arc::new(Places::new(cores * limits::ADMITTED_PER_CORE, queue_size)),
            workbooks: Cache::new(limits::WORKBOOKS_MAX),
        }
    }

    /// Whether a request of that firm would find room in its queue: asked before its body is read.
    ///
    /// # Errors
    /// `Unavailable` where it would not.
    pub fn expect_room(&self, firm: FirmId, recorded: bool) -> Result<(), Problem> {
        if recorded { self.admitted.expect_room(firm) } else { self.places.expect_room(firm) }
    }

    /// A turn for a request that is recorded, with a body of that size: it waits here, and no more until it is answered.
    ///
    /// # Errors
    /// `Unavailable` where too many wait already or its turn does not come in time.
    pub async fn admitted_turn(&self, who: Identity, bytes: usize) -> Result<Turn<'_>, Problem> {
        let turn = self.turn(who, bytes);
        let admission = self.admitted.first(who, turn.expected_us).await?;
        Ok(Turn { admission: Some(admission), ..turn })
    }

    /// A turn for a request with a body, or for a kept document, of that size.
    #[must_use]
    pub fn turn(&self, who: Identity, bytes: usize) -> Turn<'_> {
        let expected_us = limits::WORK_EXPECTED_US + limits::WORK_EXPECTED_PER_BYTE_US * bytes as u64;
        Turn { pool: self, who, expected_us, begun: Cell::new(false), admission: None }
    }
}

impl Turn<'_> {
    /// Has the engine do a piece of work that is short by itself.
    ///
    /// # Errors
    /// As [`Turn::run_within`].
    pub async fn run<T: Send + 'static>(&self, work: impl FnOnce(&Engine) -> T + Send + 'static) -> Result<T, Problem> {
        self.run_within(|engine, _| work(engine)).await
    }

    /// Has the engine do a piece of work within what one answer may take. When the request is given up, because its time is
    /// over or the caller has gone, the work is called off and gives its place back.
    ///
    /// # Errors
    /// `Unavailable` where the request has not begun and too many wait already or no core comes free in time; `Internal`
    /// where the work panics. Both leave the service as it was.
    pub async fn run_within<T: Send + 'static>(
        &self,
        work: impl FnOnce(&Engine, &WorkBudget) -> T + Send + 'static,
    ) -> Result<T, Problem> {
        let places = &self.pool.places;
        let place = match (self.begun.get(), &self.admission) {
            (false, None) => places.first(self.who, self.expected_us).await?,
            (false, Some(_)) => places.first_of_admitted(self.who, self.expected_us).await?,
            (true, _) => places.next(self.who).await?,
        };
        self.begun.set(true);
        let engine = Arc::clone(&self.pool.engine);
        let span = tracing::Span::current();
        let given_up = CalledOff(Cancellation::default());
        let cancellation = given_up.0.clone();
        let done = web::block(move || {
            let _entered = span.entered();
            let outcome = work(&engine, &WorkBudget::cancelled_by(cancellation));
            // Held until the work is done, even where the request has been given up.
            drop(place);
            outcome
        });
        done.await.map_err(Problem::internal)
    }

    /// The built-in sheet, ready to price with.
    ///
    /// # Errors
    /// As [`Turn::run`], at the first request.
    pub async fn built_in(&self, built_in: &Arc<BuiltIn>) -> Result<Arc<Workbook>, Problem> {
        if let Some(ready) = built_in.ready() {
            return Ok(ready);
        }
        let built_in = Arc::clone(built_in);
        self.run(move |engine| built_in.workbook(engine)).await?
    }

    /// The version of the sheet, ready to price with; none where the firm has no such version.
    ///
    /// # Errors
    /// As the store's calls and [`Turn::run`]; `Invalid` where the sheet lacks what the engine asks for.
    pub async fn workbook(&self, store: &Store, sheet: &SheetVersion) -> Result<Option<Arc<Workbook>>, Problem> {
        // Of several that ask for a version at once, one makes it ready and the others wait for that.
        let place = match self.pool.workbooks.get_value_or_guard_async(sheet).await {
            Ok(ready) => return Ok(Some(ready)),
            Err(place) => place,
        };
        let Some(kept) = store.find_rate_sheet(sheet.firm, &sheet.name, Some(sheet.version)).await? else {
            return Ok(None);
        };
        let version = u32::try_from(kept.summary.version).map_err(Problem::internal)?;
        let prepared = self
            .run(move |engine| {
                // What is kept was read before it was kept: where it cannot be read now, the service is at fault.
                let content = engine.read_rate_sheet(&kept.content).map_err(Problem::internal)?;
                engine.prepare(content, version).map_err(Problem::from)
            })
            .await??;
        let workbook = Arc::new(prepared);
        // Refused only where the cache was emptied meanwhile, which nobody does.
        let _ = place.insert(Arc::clone(&workbook));
        Ok(Some(workbook))
    }
}

#[cfg(test)]
mod tests {
    use uuid::Uuid;

    use super::*;
    use crate::problem::Kind;

    #[actix_web::test]
    async fn work_that_panics_costs_its_own_request_and_gives_its_place_back() {
        let pool = EnginePool::new(8);
        let who = Identity { firm: FirmId::from_uuid(Uuid::nil()), key: None };

        for _ in 0..64 {
            let failed = pool.turn(who, 0).run(|_| -> u8 { panic!("on purpose") }).await.expect_err("it panicked");
            assert_eq!(failed.kind(), Kind::Internal);
        }

        assert_eq!(pool.turn(who, 0).run(|_| 7).await.expect("the pool still works"), 7);
    }

    #[actix_web::test]
    async fn work_whose_request_is_given_up_is_called_off_and_gives_its_place_back() {
        let pool = EnginePool::new(8);
        let who = Identity { firm: FirmId::from_uuid(Uuid::nil()), key: None };

        for _ in 0..64 {
            let turn = pool.turn(who, 0);
            // Without an end but for the word that nobody waits.
            let endless = turn.run_within(|_, work| while work.goes_on() {});
            let given_up = tokio::time::timeout(std::time::Duration::from_millis(5), endless).await;
            assert!(given_up.is_err(), "it has no end");
        }

        let next = pool.turn(who, 0);
        let next = tokio::time::timeout(std::time::Duration::from_secs(5), next.run(|_| 7)).await;
        assert_eq!(next.expect("a place is free").expect("the pool still works"), 7);
    }
}

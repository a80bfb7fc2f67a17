//! Where the engine works: off the threads that listen, as many at once as there are cores, behind a short queue.

use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};

use actix_web::web;
use engine::Engine;
use engine::rate_sheet::Workbook;
use quick_cache::sync::Cache;
use store::{FirmId, Store};
use tokio::sync::Semaphore;

use crate::limits;
use crate::problem::{Kind, Problem};

/// The engine, who may use it now, and the rate sheets that it has ready.
pub struct EnginePool {
    engine: Arc<Engine>,
    places: Arc<Semaphore>,
    waiting: AtomicUsize,
    /// A version never changes, so it is never out of date here.
    workbooks: Cache<SheetVersion, Arc<Workbook>>,
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

impl EnginePool {
    /// A pool with as many places as there are cores. Reads the engine's tables.
    #[must_use]
    pub fn new() -> Self {
        let cores = std::thread::available_parallelism().map_or(1, std::num::NonZero::get);
        Self {
            engine: Arc::new(Engine::new()),
            places: Arc::new(Semaphore::new(cores)),
            waiting: AtomicUsize::new(0),
            workbooks: Cache::new(limits::WORKBOOKS_MAX),
        }
    }

    /// Has the engine do a piece of work.
    ///
    /// # Errors
    /// `Unavailable` where too many wait already or no core comes free in time; `Internal` where the work panics. Both
    /// leave the service as it was.
    pub async fn run<T: Send + 'static>(&self, work: impl FnOnce(&Engine) -> T + Send + 'static) -> Result<T, Problem> {
        let place = self.place().await?;
        let engine = Arc::clone(&self.engine);
        let span = tracing::Span::current();
        let done = web::block(move || {
            let _entered = span.entered();
            let outcome = work(&engine);
            // Held until the work is done, even where the request has been given up.
            drop(place);
            outcome
        });
        done.await.map_err(Problem::internal)
    }

    async fn place(&self) -> Result<tokio::sync::OwnedSemaphorePermit, Problem> {
        let busy = |detail: &str| Problem::new(Kind::Unavailable, detail);
        let _waiting = Waiting::behind(&self.waiting)
            .ok_or_else(|| busy("too many requests are waiting; the same request can be sent again"))?;
        let place = tokio::time::timeout(limits::QUEUE_TIME, Arc::clone(&self.places).acquire_owned()).await;
        let place = place.map_err(|_| busy("no core came free in time; the same request can be sent again"))?;
        // Nobody ever closes the semaphore.
        place.map_err(Problem::internal)
    }

    /// The version of the sheet, ready to price with; none where the firm has no such version.
    ///
    /// # Errors
    /// As the store's calls and [`EnginePool::run`]; `Invalid` where the sheet lacks what the engine asks for.
    pub async fn workbook(&self, store: &Store, sheet: &SheetVersion) -> Result<Option<Arc<Workbook>>, Problem> {
        // Of several that ask for a version at once, one makes it ready and the others wait for that.
        let place = match self.workbooks.get_value_or_guard_async(sheet).await {
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

impl Default for EnginePool {
    fn default() -> Self {
        Self::new()
    }
}

/// One more in the queue, for as long as this lives.
struct Waiting<'a>(&'a AtomicUsize);

impl<'a> Waiting<'a> {
    fn behind(queue: &'a AtomicUsize) -> Option<Self> {
        let ahead = queue.fetch_add(1, Ordering::Relaxed);
        let waiting = Self(queue);
        // Too long: leaves again by being dropped.
        (ahead < limits::QUEUE_MAX).then_some(waiting)
    }
}

impl Drop for Waiting<'_> {
    fn drop(&mut self) {
        self.0.fetch_sub(1, Ordering::Relaxed);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[actix_web::test]
    async fn work_that_panics_costs_its_own_request_and_gives_its_place_back() {
        let pool = EnginePool::new();

        for _ in 0..64 {
            let failed = pool.run(|_| -> u8 { panic!("on purpose") }).await.expect_err("it panicked");
            assert_eq!(failed.kind(), Kind::Internal);
        }

        assert_eq!(pool.run(|_| 7).await.expect("the pool still works"), 7);
    }

    #[actix_web::test]
    async fn one_too_many_in_the_queue_is_refused_and_the_queue_shortens_again() {
        let queue = AtomicUsize::new(limits::QUEUE_MAX - 1);

        let last = Waiting::behind(&queue);
        assert!(last.is_some());
        assert!(Waiting::behind(&queue).is_none());
        drop(last);

        assert!(Waiting::behind(&queue).is_some());
    }
}

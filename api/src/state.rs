//! What every request is served from.

use std::num::NonZeroU32;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use actix_web::{HttpRequest, web};
use store::Store;

use crate::auth::Authenticator;
use crate::built_in::BuiltIn;
use crate::capacity::Capacity;
use crate::engine_pool::EnginePool;
use crate::in_hand::InHand;
use crate::outgoing::AnswerLimit;
use crate::problem::Problem;
use crate::rate_limits::RateLimits;
use crate::refusals::Refusals;

/// What every request is served from. It holds no state of a request: any number of services stand over one database.
pub struct AppState {
    /// The database.
    pub store: Store,
    /// Who may call.
    pub authenticator: Authenticator,
    /// The built-in rate sheet.
    pub built_in: Arc<BuiltIn>,
    /// Where the engine works.
    pub engine_pool: EnginePool,
    /// Bytes of requests and answers that are held now.
    pub in_hand: Arc<InHand>,
    /// Bytes that an answer may have.
    pub answer_limit: AnswerLimit,
    /// The API's own document.
    pub openapi: web::Bytes,
    /// How many requests a key may send; none where there is no limit.
    pub rate_limits: Option<RateLimits>,
    /// What was refused in this second.
    pub refusals: Arc<Refusals>,
    draining: AtomicBool,
}

impl AppState {
    /// A service that is ready for requests; `openapi` is its contract, as it is served.
    #[must_use]
    pub fn new(store: Store, authenticator: Authenticator, openapi: web::Bytes, capacity: &Capacity) -> Self {
        Self {
            store,
            authenticator,
            built_in: Arc::new(BuiltIn::new()),
            engine_pool: EnginePool::new(capacity.queue_size),
            in_hand: Arc::new(InHand::new(capacity.in_hand_max)),
            answer_limit: AnswerLimit(capacity.answer_max),
            openapi,
            rate_limits: NonZeroU32::new(capacity.rate_limit).map(RateLimits::per_minute),
            refusals: Arc::default(),
            draining: AtomicBool::new(false),
        }
    }

    /// The service that a request is served by.
    ///
    /// # Errors
    /// Never, as long as the application is built with the service in it.
    pub fn of(request: &HttpRequest) -> Result<web::Data<Self>, Problem> {
        let service = request.app_data::<web::Data<Self>>().cloned();
        service.ok_or_else(|| Problem::internal("the application was built without its service"))
    }

    /// From now on the service says that it is not ready, so that no new requests are sent its way.
    pub fn start_draining(&self) {
        self.draining.store(true, Ordering::Relaxed);
    }

    /// Whether the service is about to stop.
    #[must_use]
    pub fn is_draining(&self) -> bool {
        self.draining.load(Ordering::Relaxed)
    }
}

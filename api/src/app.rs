//! What every request is served from, and the table of addresses.

use std::sync::atomic::{AtomicBool, Ordering};

use actix_web::{HttpRequest, HttpResponse, web};
use store::Store;

use crate::caller::Doorkeeper;
use crate::desk::Desk;
use crate::openapi;
use crate::problem::Problem;
use crate::routes;

/// What every request is served from. It holds no state of a request: any number of services stand over one database.
pub struct Service {
    /// The database.
    pub store: Store,
    /// Who may call.
    pub doorkeeper: Doorkeeper,
    /// Where the engine works.
    pub desk: Desk,
    /// The API's own document.
    pub openapi: web::Bytes,
    draining: AtomicBool,
}

impl Service {
    /// A service that is ready for requests.
    #[must_use]
    pub fn new(store: Store, doorkeeper: Doorkeeper) -> Self {
        Self {
            store,
            doorkeeper,
            desk: Desk::new(),
            openapi: web::Bytes::from(openapi::document()),
            draining: AtomicBool::new(false),
        }
    }

    /// The service that a request is served by.
    ///
    /// # Errors
    /// Never, as long as the application is built by [`addresses`]'s caller with the service in it.
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

/// Every address, with all its methods in one place each, so that a wrong method is told from a wrong address.
pub fn addresses(config: &mut web::ServiceConfig) {
    config
        .configure(routes::estimates::addresses)
        .configure(routes::drawings::addresses)
        .configure(routes::replay::addresses)
        .configure(routes::rate_sheets::addresses)
        .configure(routes::survey_reviews::addresses)
        .configure(routes::rate_sheet_differences::addresses)
        .configure(routes::circuit_checks::addresses)
        .configure(routes::cable_sizes::addresses)
        .configure(routes::cable_routes::addresses)
        .configure(routes::demand::addresses)
        .configure(routes::health::addresses)
        .configure(routes::pages::addresses)
        .default_service(web::to(HttpResponse::NotFound));
}

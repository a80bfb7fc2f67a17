//! The application: every address, and what is said where there is none.

use actix_web::{HttpResponse, web};

use crate::routes::RESOURCES;

/// Every address, with all its methods in one place each, so that a wrong method is told from a wrong address.
pub fn configure(config: &mut web::ServiceConfig) {
    for resource in &RESOURCES {
        config.configure(resource.configure);
    }
    config.default_service(web::to(HttpResponse::NotFound));
}

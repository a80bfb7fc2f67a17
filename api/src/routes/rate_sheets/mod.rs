//! `/v1/rate-sheets`: a firm's prices and labour units, by name and version. A version never changes: writing makes the
//! next one.

pub mod read;
pub mod sections;
pub mod write;

mod entry;

use actix_web::web;
use utoipa::OpenApi;

use super::resource::Resource;

/// Its place in the list of resources.
pub const RESOURCE: Resource = Resource { configure, operations: RateSheetsOperations::openapi };

#[derive(OpenApi)]
#[openapi(paths(
    write::create_rate_sheet,
    read::list_rate_sheets,
    read::read_rate_sheet,
    write::write_rate_sheet,
    read::list_rate_sheet_versions,
    read::read_rate_sheet_version,
    sections::read_rate_sheet_section,
    sections::write_rate_sheet_section
))]
struct RateSheetsOperations;

fn configure(config: &mut web::ServiceConfig) {
    config
        .service(
            web::resource("/v1/rate-sheets")
                .route(web::post().to(write::create_rate_sheet))
                .route(web::get().to(read::list_rate_sheets))
                .route(web::head().to(read::list_rate_sheets)),
        )
        .service(
            web::resource("/v1/rate-sheets/{name}")
                .route(web::get().to(read::read_rate_sheet))
                .route(web::head().to(read::read_rate_sheet))
                .route(web::put().to(write::write_rate_sheet)),
        )
        .service(
            web::resource("/v1/rate-sheets/{name}/versions")
                .route(web::get().to(read::list_rate_sheet_versions))
                .route(web::head().to(read::list_rate_sheet_versions)),
        )
        .service(
            web::resource("/v1/rate-sheets/{name}/versions/{version}")
                .route(web::get().to(read::read_rate_sheet_version))
                .route(web::head().to(read::read_rate_sheet_version)),
        )
        .service(
            web::resource("/v1/rate-sheets/{name}/sections/{section}")
                .route(web::get().to(sections::read_rate_sheet_section))
                .route(web::head().to(sections::read_rate_sheet_section))
                .route(web::put().to(sections::write_rate_sheet_section)),
        );
}

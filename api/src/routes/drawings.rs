//! `/v1/estimates/{id}/drawings`: a kept estimate as a picture.

use actix_web::http::header;
use actix_web::{HttpRequest, HttpResponse, web};
use documents::drawings::{Drawing, NothingToDraw};
use engine::estimate::Estimate;
use utoipa::OpenApi;

use super::estimates::{find_estimate, read_kept};
use super::resource::Resource;
use crate::caller::Caller;
use crate::negotiation::chosen;
use crate::problem::{ForCallers, ForReaders, Kind, Problem};
use crate::query::NoQuery;
use crate::state::AppState;

/// Its place in the list of resources.
pub const RESOURCE: Resource = Resource { configure, operations: DrawingsOperations::openapi };

#[derive(OpenApi)]
#[openapi(paths(read_estimate_drawing))]
struct DrawingsOperations;

fn configure(config: &mut web::ServiceConfig) {
    config.service(
        web::resource("/v1/estimates/{id}/drawings/{name}")
            .route(web::get().to(read_estimate_drawing))
            .route(web::head().to(read_estimate_drawing)),
    );
}

const SVG: &str = "image/svg+xml";

/// Read a drawing of an estimate
///
/// Drawn from the estimate as it was kept: the same estimate gives the same bytes. For paper, without scripts and without
/// anything from outside the file; lengths on the sheet are millimetres.
///
/// - `route-plan`: each storey with its rooms, points, obstructions and the ways of the cables, to scale. There is none where
///   no room of the survey has an outline.
/// - `single-line-diagram`: supply, boards, circuits with device and cable, earthing and bonding.
/// - `cost-range`: the distribution of the net price with p10, p50, p80 and p90, and what drives the spread.
#[utoipa::path(
    get, path = "/v1/estimates/{id}/drawings/{name}", tag = "estimates", operation_id = "read_estimate_drawing",
    params(
        ("id" = Uuid, Path, description = "The estimate's `id`.", example = "0198f3a0-7c1a-7c3e-8a51-0d6f1b2a3c4d"),
        ("name" = inline(DrawingName), Path, description = "Which drawing.", example = "single-line-diagram")
    ),
    responses(
        (status = 200, description = "The drawing.", body = String, content_type = "image/svg+xml",
         example = json!("<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"420mm\" height=\"297mm\" viewBox=\"0 0 420 297\">…</svg>")),
        ForCallers, ForReaders
    )
)]
pub async fn read_estimate_drawing(
    caller: Caller,
    _: NoQuery,
    request: HttpRequest,
    path: web::Path<(String, String)>,
    service: web::Data<AppState>,
) -> Result<HttpResponse, Problem> {
    chosen(&request, &[(SVG, ())])?;
    let (id, name) = path.into_inner();
    let drawing = Drawing::from_name(&name).ok_or_else(no_such_drawing)?;
    let response = find_estimate(&service, caller, &id).await?.response;
    let turn = service.engine_pool.turn(caller.identity, response.unpacked_length());
    let limit = service.answer_limit;
    let drawn = turn.run(move |_| limit.kept_by(draw(drawing, &read_kept(&response)?)?)).await??;
    Ok(HttpResponse::Ok()
        .content_type(SVG)
        .insert_header((header::CACHE_CONTROL, "no-store"))
        .insert_header((header::VARY, "Accept"))
        .body(drawn))
}

fn draw(drawing: Drawing, estimate: &Estimate) -> Result<String, Problem> {
    drawing.of(estimate).map_err(|nothing: NothingToDraw| Problem::new(Kind::NothingToDraw, nothing.to_string()))
}

fn no_such_drawing() -> Problem {
    let names: Vec<&str> = Drawing::ALL.iter().map(|drawing| drawing.name()).collect();
    Problem::new(Kind::NotFound, format!("there is no such drawing; there are {}", names.join(", ")))
}

/// The drawings, for the published document.
#[derive(utoipa::ToSchema)]
#[schema(rename_all = "kebab-case")]
#[expect(dead_code, reason = "only its schema is used; a test holds its words to the drawings that there are")]
enum DrawingName {
    /// Each storey with rooms, points, obstructions and the ways of the cables.
    RoutePlan,
    /// Supply, boards, circuits, earthing.
    SingleLineDiagram,
    /// The distribution of the net price and what drives it.
    CostRange,
}

#[cfg(test)]
mod tests {
    use utoipa::PartialSchema;

    use super::*;

    #[test]
    fn the_published_names_are_those_that_are_drawn() {
        let schema = serde_json::to_value(DrawingName::schema()).expect("a schema writes as JSON");
        let names: Vec<&str> = Drawing::ALL.iter().map(|drawing| drawing.name()).collect();
        assert_eq!(schema["enum"], serde_json::json!(names));
    }
}

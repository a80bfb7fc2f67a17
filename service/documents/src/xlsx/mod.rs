//! An estimate as a workbook. Totals are formulas over the lines, each with its result stored beside it, so that the
//! sheet shows the estimate's figures before and after a recalculation and follows a line that is changed by hand.

mod pen;
mod sheets;
mod totals;

use engine::estimate::Estimate;
use rust_xlsxwriter::{DocProperties, ExcelDateTime, Workbook, Worksheet};

use self::pen::Styles;
use crate::words::clean;

/// Why no workbook could be made: more rows than a sheet holds, or a fault of ours.
#[derive(Debug, thiserror::Error)]
#[error("the workbook could not be written")]
pub struct XlsxError(#[from] rust_xlsxwriter::XlsxError);

/// The workbook's bytes. The same estimate gives the same bytes: the only date in it is the estimate's own.
///
/// # Errors
/// [`XlsxError`] where a sheet would pass the format's limits.
pub fn estimate(estimate: &Estimate) -> Result<Vec<u8>, XlsxError> {
    let mut workbook = Workbook::new();
    workbook.set_properties(&properties(estimate)?);
    let styles = Styles::new();
    sheets::summary(sheet(&mut workbook, "Summary")?, &styles, estimate)?;
    sheets::lines(sheet(&mut workbook, "Lines")?, &styles, estimate)?;
    sheets::rooms(sheet(&mut workbook, "Rooms")?, &styles, estimate)?;
    sheets::circuits(sheet(&mut workbook, "Circuits")?, &styles, estimate)?;
    sheets::take_off(sheet(&mut workbook, "Take-off")?, &styles, estimate)?;
    sheets::risks_and_questions(sheet(&mut workbook, "Risks and questions")?, &styles, estimate)?;
    sheets::assumptions(sheet(&mut workbook, "Assumptions")?, &styles, estimate)?;
    Ok(workbook.save_to_buffer()?)
}

fn sheet<'a>(workbook: &'a mut Workbook, name: &str) -> Result<&'a mut Worksheet, rust_xlsxwriter::XlsxError> {
    let sheet = workbook.add_worksheet();
    sheet.set_landscape().set_print_fit_to_pages(1, 0);
    sheet.set_name(name)
}

fn properties(estimate: &Estimate) -> Result<DocProperties, rust_xlsxwriter::XlsxError> {
    // `2026-11-25T10:00:00`: seconds and their parts beyond are of no use here. A date that does not read is left
    // at a fixed one, for the writer would put today's.
    let stamp: String = estimate.created_at.chars().take(19).collect();
    let made = ExcelDateTime::parse_from_str(&stamp).or_else(|_| ExcelDateTime::from_ymd(2000, 1, 1))?;
    let title = match &estimate.reference {
        Some(reference) => format!("Estimate for {}", clean(reference)),
        None => "Estimate".to_owned(),
    };
    Ok(DocProperties::new().set_title(title).set_subject(clean(&estimate.id)).set_creation_datetime(&made))
}

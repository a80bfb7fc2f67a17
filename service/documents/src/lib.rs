//! An estimate as something that a person reads: a text table, CSV lines, an XLSX workbook, drawings.
//!
//! In: an [`Estimate`](engine::estimate::Estimate), fresh or read back from what was stored. Out: text or bytes.
//! Nothing here works out a price: every figure is one of the estimate's own. The same estimate gives the same
//! bytes. Work and memory grow with the lines.

pub mod csv;
pub mod drawings;
pub mod quotation;
pub mod table;
mod words;
pub mod xlsx;

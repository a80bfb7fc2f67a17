//! Prices a survey with the built-in sheet and draws it, to look at a drawing without the service:
//! `cargo run -p documents --example draw -- single-line-diagram openapi/examples/kestrel-bank.json > diagram.svg`

use std::error::Error;

use documents::drawings::Drawing;
use engine::estimate::{Engine, Stamp};
use engine::rate_sheet::RateSheet;

fn main() -> Result<(), Box<dyn Error>> {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let [name, file] = arguments.as_slice() else { return Err("give a drawing's name and a survey's file".into()) };
    let drawing = Drawing::from_name(name).ok_or("there is no such drawing")?;
    let engine = Engine::new();
    let request = engine.read_survey(&std::fs::read(file)?).map_err(|fault| format!("{fault:?}"))?;
    let workbook = engine.prepare(RateSheet::standard(), 1).map_err(|sheet| format!("{sheet:?}"))?;
    let stamp = Stamp { id: "example".to_owned(), created_at: "2026-11-25T10:00:00Z".to_owned() };
    let estimate = engine.estimate(&request, &workbook, stamp);
    print!("{}", drawing.of(&estimate)?);
    Ok(())
}

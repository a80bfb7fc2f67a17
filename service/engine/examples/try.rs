fn main() {
    let file = std::env::args().nth(1).unwrap();
    let bytes = std::fs::read(&file).unwrap();
    let engine = engine::Engine::new();
    let request = if file.ends_with("csv") { engine.read_tally(&bytes).unwrap() } else { match engine.read_survey(&bytes) { Ok(r) => r, Err(e) => { println!("{e:#?}"); return; } } };
    let workbook = engine.prepare(engine::rate_sheet::RateSheet::standard(), 1).unwrap();
    let t = std::time::Instant::now();
    let e = engine.estimate(&request, &workbook, engine::Stamp { id: "0".into(), created_at: "0".into() });
    eprintln!("{:?}", t.elapsed());
    println!("{}", serde_json::to_string_pretty(&e).unwrap());
}

//! What a client is shown, whatever it is printed on.

use engine::estimate::{Estimate, PriceStanding, Severity};
use engine::money::Money;
use engine::rate_sheet::RateSheet;
use engine::{Engine, Stamp};

use super::paper::{Block, RowWeight};
use super::{ClientDetails, Detail, FirmDetails, Offered, sections};

fn priced(request: &str) -> Estimate {
    let engine = Engine::new();
    let workbook = engine.prepare(RateSheet::standard(), 1).expect("the built-in sheet is whole");
    let survey = engine.read_survey(request.as_bytes()).expect("a sound survey");
    let stamp = Stamp { id: "0198f3a0-7c1a-7c3e-8a51-0d6f1b2a3c4d".into(), created_at: "2026-11-25T10:00:00Z".into() };
    engine.estimate(&survey, &workbook, stamp)
}

fn demonstration() -> Estimate {
    priced(include_str!("../../../../openapi/examples/kestrel-bank.json"))
}

fn offered<'a>(
    estimate: &'a Estimate,
    firm: &'a FirmDetails,
    client: &'a ClientDetails,
    detail: Detail,
) -> Offered<'a> {
    Offered { estimate, firm, client, detail }
}

fn page(estimate: &Estimate, detail: Detail) -> String {
    offered(estimate, &FirmDetails::default(), &ClientDetails::default(), detail).html().expect("no mark to be wrong")
}

#[test]
fn all_three_depths_show_the_same_total_and_their_rows_add_up_to_it() {
    let estimate = demonstration();
    for detail in Detail::ALL {
        let (firm, client) = (FirmDetails::default(), ClientDetails::default());
        let paper = sections::paper(offered(&estimate, &firm, &client, *detail));
        let table = paper.blocks.iter().find_map(|block| match block {
            Block::Table(table) => Some(table),
            _ => None,
        });
        let rows = &table.expect("a table of the price").rows;
        let amount = |cells: &[String]| -> Money {
            cells.last().expect("a price").replace(',', "").parse().expect("an amount of money")
        };
        let net = rows.iter().position(|row| row.weight == RowWeight::Sum).expect("a sum");
        let parts = rows[..net].iter().filter(|row| row.weight == RowWeight::Plain);
        assert_eq!(parts.map(|row| amount(&row.cells)).sum::<Money>(), estimate.totals.net, "{detail}");
        assert_eq!(amount(&rows[net].cells), estimate.totals.net, "{detail}");
        let total = rows.iter().find(|row| row.weight == RowWeight::Total).expect("what is to be paid");
        assert_eq!(amount(&total.cells), estimate.totals.gross, "{detail}");
    }
}

#[test]
fn a_lump_sum_gives_no_price_of_a_room_or_a_line_away() {
    let estimate = demonstration();
    let page = page(&estimate, Detail::LumpSum);
    for room in estimate.rooms.iter().filter(|room| room.price != Money::ZERO) {
        assert!(!page.contains(&crate::words::money(room.price)), "{}", room.name);
    }
}

#[test]
fn an_open_stop_heads_the_paper_a_budget_and_says_what_is_missing() {
    let estimate = demonstration();
    let stop = estimate.risk_flags.iter().find(|flag| flag.severity == Severity::Stop).expect("it has open stops");
    assert_eq!(estimate.stands_as().standing, PriceStanding::Budget);
    let page = page(&estimate, Detail::ByRoom);
    assert!(page.contains("<h1>Budget price</h1>"));
    let action: String = stop.action.chars().take(20).collect();
    assert!(page.contains(&action), "{action}");
}

#[test]
fn what_others_typed_means_nothing_to_a_browser() {
    let mut estimate = demonstration();
    estimate.reference = Some("<script>alert(1)</script> & \"Ünïcode\" £ \u{202e}abc".to_owned());
    let firm = FirmDetails { name: Some("<img src=x onerror=1>".to_owned()), ..FirmDetails::default() };
    let client = ClientDetails { name: Some("A</p><b>'".to_owned()), ..ClientDetails::default() };
    let page = offered(&estimate, &firm, &client, Detail::ByLine).html().expect("no mark");
    assert!(!page.contains("<script") && !page.contains("<img") && !page.contains("<b>") && !page.contains('\u{202e}'));
    assert!(page.contains("&lt;script&gt;") && page.contains("Ünïcode") && page.contains('£'));
}

#[test]
fn the_law_of_contracts_made_at_home_is_on_every_quotation() {
    let page = page(&demonstration(), Detail::ByRoom);
    for words in
        ["Your right to cancel", "14 days", "Cancellation form", "I/We [*] hereby give notice", "Request to begin"]
    {
        assert!(page.contains(words), "{words}");
    }
}

#[test]
fn a_mark_that_is_no_picture_is_refused() {
    for wrong in ["not base64!", "aGVsbG8="] {
        let firm = FirmDetails { logo: Some(wrong.to_owned()), ..FirmDetails::default() };
        assert_eq!(firm.logo().expect_err(wrong).pointer, "/logo");
    }
}

#[test]
fn rooms_go_by_their_names_and_what_was_taken_says_why() {
    let estimate = demonstration();
    let page = page(&estimate, Detail::ByRoom);
    let one = estimate.assumptions.iter().find(|one| one.subject == "positions").expect("points are not all marked");
    let room = estimate.rooms.iter().find(|room| room.room == "bed1").expect("it has a first bedroom");
    assert!(one.places.contains(&room.room) && page.contains(&room.name) && !page.contains("bed1"));
    assert!(page.contains(&one.because));
}

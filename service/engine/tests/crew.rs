//! A crew by grade: what its mix costs, who may test, and how long that takes.

mod support;

use engine::estimate::Estimate;
use engine::money::Money;
use engine::rate_sheet::sections::{Section, export};
use engine::rate_sheet::{CrewGrade, RateSheet, Stage};
use support::{ENGINE, example, priced_with};

fn money(text: &str) -> Money {
    text.parse().expect("an amount in a test")
}

fn grade(grade: &str, people: u32, rate: &str, tests: bool) -> CrewGrade {
    CrewGrade { grade: grade.to_owned(), people, rate: money(rate), tests }
}

/// An electrician at 34.00 and a mate at 22.00 come to 28.00 an hour. Invented rates; the mix is ours.
fn electrician_and_mate() -> RateSheet {
    let mut sheet = RateSheet::standard();
    sheet.terms.crew = vec![grade("electrician", 1, "34.00", true), grade("mate", 1, "22.00", false)];
    assert_eq!(ENGINE.rate_sheet_faults(&sheet), []);
    sheet
}

fn priced(sheet: RateSheet) -> Estimate {
    let estimate = priced_with(&example("three-bed.json"), sheet);
    assert_eq!(estimate.lines.iter().map(|line| line.amount).sum::<Money>(), estimate.totals.net);
    let by_stage: Money = estimate.breakdown.by_stage.iter().map(|stage| stage.amount).sum();
    assert_eq!(by_stage, estimate.totals.net);
    estimate
}

#[test]
fn two_who_cost_the_same_and_both_test_price_the_house_as_one_blended_rate_does() {
    let mut sheet = RateSheet::standard();
    sheet.terms.crew = vec![grade("electrician", 2, "28.00", true)];
    assert_eq!(ENGINE.rate_sheet_faults(&sheet), []);

    assert_eq!(priced(sheet), priced(RateSheet::standard()));
}

#[test]
fn tests_cost_what_those_cost_who_may_test_and_all_other_work_the_mix() {
    let (blended, by_grade) = (priced(RateSheet::standard()), priced(electrician_and_mate()));

    for (line, same) in by_grade.lines.iter().zip(&blended.lines) {
        match line.item.as_str() {
            // Nothing but hours of testing: 34.00 each.
            "circuit-tests" | "certificate" | "handover" => {
                assert_eq!(line.labour, money("34.00").times(line.hours.value()), "{}", line.item);
                assert!(line.because[0].contains("of testing at 34.00"), "{:?}", line.because);
            }
            "chase" | "open-floor" | "making-good" | "cable-2-5" => {
                assert_eq!(line.labour, same.labour, "{}", line.item);
                assert!(line.because[0].contains(". At 28.00 an hour"), "{:?}", line.because);
            }
            _ => {}
        }
    }
    let socket = by_grade.lines.iter().find(|line| line.item == "double-socket").expect("a socket");
    assert!(socket.because[0].contains("h at 28.00 + ") && socket.because[0].contains("of testing at 34.00"));
    assert!(by_grade.totals.labour > blended.totals.labour);
}

#[test]
fn tests_take_longer_where_only_one_of_two_may_do_them() {
    let (blended, by_grade) = (priced(RateSheet::standard()), priced(electrician_and_mate()));
    let testing = |estimate: &Estimate| {
        let step = estimate.programme.steps.iter().find(|step| step.step.starts_with("test")).expect("the tests");
        (step.crew_days, step.step.clone())
    };

    assert!(by_grade.programme.crew_days > blended.programme.crew_days);
    assert!(testing(&by_grade).0 > 1.5 * testing(&blended).0, "{:?} {:?}", testing(&by_grade), testing(&blended));
    assert!(testing(&by_grade).1.contains("by the 1 of the crew"), "{}", testing(&by_grade).1);
    // The mate stays at home on the days on which nothing but tests is left.
    let travel = by_grade.lines.iter().find(|line| line.item == "travel").expect("travel");
    assert!(travel.because.iter().any(|why| why.contains("only the 1 who test")), "{:?}", travel.because);
}

#[test]
fn a_crew_that_does_not_add_up_is_refused_with_what_it_comes_to() {
    let refused = |crew: Vec<CrewGrade>, people: u32, rate: &str| {
        let mut sheet = RateSheet::standard();
        (sheet.terms.crew, sheet.terms.people, sheet.terms.labour_rate) = (crew, people, money(rate));
        let faults = ENGINE.rate_sheet_faults(&sheet);
        faults.into_iter().map(|fault| (fault.pointer, fault.detail)).collect::<Vec<_>>()
    };
    let crew = || vec![grade("electrician", 1, "34.00", true), grade("mate", 1, "22.00", false)];

    assert_eq!(refused(crew(), 2, "28.00"), []);
    let people = refused(crew(), 3, "28.00");
    assert!(people.len() == 1 && people[0].0 == "/terms/people" && people[0].1.contains("give 2"), "{people:?}");
    let mix = refused(crew(), 2, "30.00");
    assert!(mix.len() == 1 && mix[0].0 == "/terms/labour_rate" && mix[0].1.contains("28.00"), "{mix:?}");
    let nobody = refused(vec![grade("mate", 2, "28.00", false)], 2, "28.00");
    assert!(nobody.len() == 1 && nobody[0].0 == "/terms/crew", "{nobody:?}");
    let twice = refused(vec![grade("mate", 1, "28.00", true), grade("mate", 1, "28.00", true)], 2, "28.00");
    assert!(twice.len() == 1 && twice[0].0 == "/terms/crew/1/grade", "{twice:?}");
}

#[test]
fn a_crew_goes_out_to_a_spreadsheet_and_comes_back() {
    let sheet = electrician_and_mate();
    let table = String::from_utf8(export(Section::Terms, &sheet)).expect("text");
    assert!(
        table.contains("\"crew:electrician\",\"1 at 34.00, tests\"") && table.contains("\"crew:mate\",\"1 at 22.00\""),
        "{table}"
    );

    let back = ENGINE.accept_section(Section::Terms, table.as_bytes(), &RateSheet::standard());

    assert_eq!(back.as_ref(), Ok(&sheet));
    let dearer = table.replacen("1 at 34.00, tests", "1 at £36 TESTS", 1);
    let refused = ENGINE.accept_section(Section::Terms, dearer.as_bytes(), &sheet).expect_err("the mix is another");
    assert!(refused.len() == 1 && refused[0].detail.contains("29.00"), "{refused:?}");
    let both = dearer.replacen("28.00", "29.00", 1);
    assert!(ENGINE.accept_section(Section::Terms, both.as_bytes(), &sheet).is_ok());
    let unread = table.replacen("1 at 22.00", "one", 1);
    let refused = ENGINE.accept_section(Section::Terms, unread.as_bytes(), &sheet).expect_err("it cannot be read");
    assert!(refused.len() == 1 && refused[0].detail.contains("1 at 34.00"), "{refused:?}");
}

#[test]
fn the_mix_of_three_is_rounded_to_the_penny_once() {
    let mut sheet = RateSheet::standard();
    sheet.terms.crew = vec![
        grade("electrician", 1, "34.00", true),
        grade("improver", 1, "27.00", true),
        grade("mate", 1, "22.00", false),
    ];
    sheet.terms.people = 3;
    // 83.00 / 3 = 27.666…
    sheet.terms.labour_rate = money("27.67");
    assert_eq!(ENGINE.rate_sheet_faults(&sheet), []);
    let workbook = ENGINE.prepare(sheet, 1).expect("the sheet is complete");
    assert_eq!([Stage::FirstFix, Stage::Testing].map(|stage| workbook.rate(stage)), [money("27.67"), money("30.50")]);
}

//! Every penny is accounted for: by line, room, circuit, stage, tax case and payment.

mod support;

use engine::estimate::Estimate;
use engine::money::Money;
use engine::rate_sheet::RateSheet;
use engine::survey::{EstimateRequest, Finish, Method, Occupancy, PointType, Terms, VatCase, VatException};
use rust_decimal::Decimal;
use support::{ENGINE, example, priced_with as price};

fn demonstration_house() -> EstimateRequest {
    example("kestrel-bank.json")
}

fn read(survey: &str) -> EstimateRequest {
    support::read(&serde_json::from_str(survey).expect("it is JSON"))
}

fn changed(change: impl FnOnce(&mut RateSheet)) -> RateSheet {
    let mut sheet = RateSheet::standard();
    change(&mut sheet);
    assert_eq!(ENGINE.rate_sheet_faults(&sheet), [], "the sheet of the test is one that would be taken");
    sheet
}

fn money(text: &str) -> Money {
    text.parse().expect("an amount in a test")
}

fn sum(amounts: impl Iterator<Item = Money>) -> Money {
    amounts.sum()
}

/// What must hold of every price, however it came about.
fn adds_up(estimate: &Estimate) {
    let totals = &estimate.totals;
    assert_eq!(sum(estimate.lines.iter().map(|line| line.amount)), totals.net, "lines");
    assert_eq!(sum(estimate.breakdown.by_circuit.iter().map(|row| row.amount)), totals.net, "circuits");
    assert_eq!(sum(estimate.breakdown.by_stage.iter().map(|row| row.amount)), totals.net, "stages");
    let whole_house = estimate.lines.iter().filter(|line| line.room.is_none()).map(|line| line.amount);
    assert_eq!(sum(estimate.rooms.iter().map(|room| room.amount)) + sum(whole_house), totals.net, "rooms");
    let six =
        [totals.materials, totals.labour, totals.preliminaries, totals.overhead, totals.contingency, totals.profit];
    assert_eq!(sum(six.into_iter()), totals.net, "totals");
    assert_eq!(sum(estimate.lines.iter().map(|line| line.vat)), totals.vat, "tax by line");
    assert_eq!(sum(totals.vat_by_case.iter().map(|share| share.vat)), totals.vat, "tax by case");
    assert_eq!(sum(totals.vat_by_case.iter().map(|share| share.net)), totals.net, "net by case");
    assert_eq!(totals.net + totals.vat, totals.gross, "gross");
    assert_eq!(sum(estimate.offer.payments.iter().map(|payment| payment.amount)), totals.gross, "payments");
    let check = &estimate.cross_check;
    assert_eq!(sum(check.causes.iter().map(|cause| cause.amount)), check.difference, "causes");
    assert_eq!(check.net + check.difference, totals.net, "the other method");
}

#[test]
fn every_penny_of_the_demonstration_house_is_accounted_for_by_both_methods() {
    for method in [Method::Measured, Method::PerPoint] {
        let mut house = demonstration_house();
        house.method = Some(method);
        adds_up(&price(&house, RateSheet::standard()));
    }
}

#[test]
fn a_job_of_one_socket_is_brought_up_to_the_minimum_charge_on_a_line() {
    let one = read(
        r#"{ "survey": { "rooms": [ { "id": "hall", "points": [ { "type": "double-socket", "count": 1 } ] } ] } }"#,
    );
    let free = price(&one, RateSheet::standard()).totals.net;
    let least = free + money("150.00");

    let charged = price(&one, changed(|sheet| sheet.terms.minimum_charge = least));

    assert_eq!(charged.totals.net, least);
    let line = charged.lines.iter().find(|line| line.item == "minimum-charge").expect("a line for it");
    assert_eq!(line.amount, money("150.00"));
    adds_up(&charged);
    let enough = price(&one, changed(|sheet| sheet.terms.minimum_charge = free));
    assert!(enough.lines.iter().all(|line| line.item != "minimum-charge"));
}

#[test]
fn a_firm_that_rounds_down_to_tens_says_so_on_a_line_and_never_goes_below_its_minimum() {
    let house = demonstration_house();
    let exact = price(&house, RateSheet::standard()).totals.net;

    let rounded = price(&house, changed(|sheet| sheet.terms.round_down_to = money("10.00")));

    assert_eq!(rounded.totals.net.exact() % Decimal::TEN, Decimal::ZERO);
    assert!(rounded.totals.net <= exact && exact - rounded.totals.net < money("10.00"));
    adds_up(&rounded);
    let held = price(
        &house,
        changed(|sheet| {
            sheet.terms.round_down_to = money("10.00");
            sheet.terms.minimum_charge = exact;
        }),
    );
    assert_eq!(held.totals.net, exact);
}

#[test]
fn a_renovation_with_a_workshop_and_a_charge_point_bears_two_rates_and_adds_up() {
    // The house was empty for two years; the workshop is no dwelling and the charge point no renovation of one. Ours.
    let mut house = demonstration_house();
    let exception =
        |room: Option<&str>, point| VatException { case: VatCase::Standard, room: room.map(str::to_owned), point };
    house.terms = Some(Terms {
        vat: Some(VatCase::Reduced),
        vat_exceptions: vec![exception(Some("workshop"), None), exception(None, Some(PointType::ChargePoint))],
        ..Terms::default()
    });
    assert_eq!(ENGINE.faults(&house), []);

    let mixed = price(&house, RateSheet::standard());

    adds_up(&mixed);
    let [standard, reduced] = mixed.totals.vat_by_case.as_slice() else { panic!("{:?}", mixed.totals.vat_by_case) };
    assert_eq!((standard.case, reduced.case), (VatCase::Standard, VatCase::Reduced));
    assert_eq!(standard.vat, standard.net.share(0.2));
    assert_eq!(reduced.vat, reduced.net.share(0.05));
    assert!(reduced.notice.contains("708") && reduced.condition.contains("two years"));
    let workshop = mixed.lines.iter().filter(|line| line.room.as_deref() == Some("workshop"));
    assert!(workshop.clone().count() > 3);
    for line in workshop {
        assert_eq!(line.vat_case, Some(VatCase::Standard), "{}", line.item);
        assert!((line.vat - line.amount.share(0.2)).abs() <= line.amount.abs().share(0.4), "{}", line.item);
    }
    let charge_point = mixed.lines.iter().find(|line| line.item == "charge-point").expect("a charge point");
    assert_eq!(charge_point.vat_case, Some(VatCase::Standard));
    let circuit = mixed.circuits.iter().find(|circuit| circuit.circuit_type == "charge-point").expect("its circuit");
    let cable = mixed.lines.iter().filter(|line| line.circuit.as_ref() == Some(&circuit.id));
    assert!(cable.map(|line| line.vat_case).all(|case| case == Some(VatCase::Standard)), "its cable goes with it");
    // Between all at 5 % and all at 20 %.
    assert!(mixed.totals.vat > mixed.totals.net.share(0.05) && mixed.totals.vat < mixed.totals.net.share(0.2));
    assert!(mixed.risk_flags.iter().any(|flag| flag.id == "vat-evidence-missing"));
}

#[test]
fn each_tax_case_charges_its_rate_on_the_whole_of_a_plain_job() {
    for (case, rate) in [
        (VatCase::Standard, 0.2),
        (VatCase::Reduced, 0.05),
        (VatCase::Zero, 0.0),
        (VatCase::ReverseCharge, 0.0),
        (VatCase::NotRegistered, 0.0),
    ] {
        let mut house = demonstration_house();
        house.terms = Some(Terms { vat: Some(case), ..Terms::default() });
        let priced = price(&house, RateSheet::standard());
        assert_eq!(priced.totals.vat, priced.totals.net.share(rate), "{case}");
        adds_up(&priced);
    }
}

#[test]
fn an_exception_for_nothing_or_for_a_room_that_is_not_there_is_refused() {
    let refused = |exception: &str| {
        let survey = format!(
            r#"{{ "survey": {{ "rooms": [ {{ "id": "hall", "points": [ {{ "type": "pendant", "count": 1 }} ] }} ] }}, "terms": {{ "vat_exceptions": [ {exception} ] }} }}"#
        );
        match ENGINE.read_survey(survey.as_bytes()) {
            Err(engine::document::Unreadable::Faults(faults)) => {
                faults.into_iter().map(|fault| fault.pointer).collect::<Vec<_>>()
            }
            other => panic!("{other:?}"),
        }
    };
    assert_eq!(refused(r#"{ "case": "standard" }"#), ["/terms/vat_exceptions/0"]);
    assert_eq!(refused(r#"{ "case": "standard", "room": "attic" }"#), ["/terms/vat_exceptions/0/room"]);
}

#[test]
fn a_firm_that_is_not_registered_charges_no_tax_and_a_request_for_some_is_refused() {
    let sheet = || changed(|sheet| sheet.terms.vat = VatCase::NotRegistered);
    let mut house = demonstration_house();
    house.terms = None;
    let priced = price(&house, sheet());
    assert_eq!((priced.totals.vat, priced.totals.vat_case), (Money::ZERO, VatCase::NotRegistered));

    let workbook = ENGINE.prepare(sheet(), 1).expect("the sheet is complete");
    let refused = |terms: Terms| -> Vec<String> {
        let request = EstimateRequest { terms: Some(terms), ..house.clone() };
        ENGINE.faults_on(&request, &workbook).into_iter().map(|fault| fault.pointer).collect()
    };
    let asked = |vat: VatCase| Terms { vat: Some(vat), ..Terms::default() };
    assert_eq!(refused(asked(VatCase::Standard)), ["/terms/vat"]);
    let exception = VatException { case: VatCase::Reduced, room: Some("workshop".to_owned()), point: None };
    let mixed = Terms { vat_exceptions: vec![exception], ..asked(VatCase::NotRegistered) };
    assert_eq!(refused(mixed), ["/terms/vat_exceptions/0/case"]);
    assert!(refused(asked(VatCase::NotRegistered)).is_empty() && refused(Terms::default()).is_empty());
    let registered = ENGINE.prepare(RateSheet::standard(), 1).expect("the sheet is complete");
    let plain = EstimateRequest { terms: Some(asked(VatCase::Standard)), ..house.clone() };
    assert!(ENGINE.faults_on(&plain, &registered).is_empty());
}

#[test]
fn a_mark_up_on_one_category_is_charged_on_its_materials_and_changes_no_purchase() {
    let house = demonstration_house();
    let plain = price(&house, RateSheet::standard());
    let of = |estimate: &Estimate, category: &str| {
        sum(estimate.take_off.iter().filter(|item| item.category == category).map(|item| item.charged))
    };

    let marked = price(
        &house,
        changed(|sheet| {
            sheet.terms.category_percents.insert("cable".to_owned(), 25.0);
        }),
    );

    let (before, after) = (of(&plain, "cable"), of(&marked, "cable"));
    assert!((after - before.share(1.25)).abs() <= money("0.20"), "{before} {after}");
    assert_eq!(of(&plain, "boards"), of(&marked, "boards"));
    assert_eq!(
        plain.take_off.iter().map(|item| item.cost).collect::<Vec<_>>(),
        marked.take_off.iter().map(|item| item.cost).collect::<Vec<_>>()
    );
    let unknown = {
        let mut sheet = RateSheet::standard();
        sheet.terms.category_percents.insert("cabel".to_owned(), 5.0);
        ENGINE.rate_sheet_faults(&sheet)
    };
    assert!(
        unknown[0].pointer == "/terms/category_percents/cabel" && unknown[0].detail.contains("`cable`"),
        "{unknown:?}"
    );
}

#[test]
fn rates_ten_times_as_high_make_the_net_price_ten_times_as_high() {
    let house = demonstration_house();
    let ten = |price: Money| Money::rounded(price.exact() * Decimal::TEN);
    let plain = price(&house, RateSheet::standard());

    let scaled = price(
        &house,
        changed(|sheet| {
            for material in &mut sheet.materials {
                material.pack_price = ten(material.pack_price);
                for pack in &mut material.other_packs {
                    pack.price = ten(pack.price);
                }
            }
            for rate in &mut sheet.points {
                (rate.first, rate.further) = (ten(rate.first), ten(rate.further));
            }
            for rate in &mut sheet.hire {
                rate.price = ten(rate.price);
            }
            let terms = &mut sheet.terms;
            for price in [
                &mut terms.labour_rate,
                &mut terms.vehicle_per_km,
                &mut terms.waste_gate_fee,
                &mut terms.notification_fee,
                &mut terms.spare_under,
            ] {
                *price = ten(*price);
            }
        }),
    );

    // Each line is rounded to the penny once in both: half a penny a line, ten times.
    let drawn = |item: &str| item == "contingency" || item == "profit";
    assert_eq!(plain.lines.len(), scaled.lines.len());
    for (line, dearer) in plain.lines.iter().zip(&scaled.lines).filter(|(line, _)| !drawn(&line.item)) {
        assert!(
            (dearer.amount - ten(line.amount)).abs() <= money("0.10"),
            "{}: {} {}",
            line.id,
            line.amount,
            dearer.amount
        );
    }
    // Other rates are another draw: the contingency, and the profit on it, move within the noise of the draws.
    let noise = Money::rounded(scaled.totals.net.exact() / Decimal::ONE_THOUSAND);
    assert!((scaled.totals.net - ten(plain.totals.net)).abs() <= noise, "{} {}", plain.totals.net, scaled.totals.net);
    adds_up(&scaled);
}

#[test]
fn a_dearer_finish_never_lowers_the_price() {
    let with = |finish: Finish| {
        let mut house = demonstration_house();
        for point in house.survey.rooms.iter_mut().flat_map(|room| &mut room.points) {
            point.finish = Some(finish);
        }
        price(&house, RateSheet::standard()).totals.net
    };
    let rising =
        [Finish::White, Finish::WhiteSlim, Finish::Painted, Finish::MetalFlat, Finish::MetalScrewless].map(with);
    assert!(rising.is_sorted(), "{rising:?}");
}

#[test]
fn at_point_rates_the_second_identical_point_never_costs_more_than_the_first() {
    let net = |count: u32| {
        let mut request = read(
            r#"{ "survey": { "rooms": [ { "id": "hall", "points": [ { "type": "double-socket", "count": 1 } ] } ] }, "method": "per-point" }"#,
        );
        request.survey.rooms[0].points[0].count = Some(count);
        price(&request, RateSheet::standard()).totals.net
    };
    let (one, two, three) = (net(1), net(2), net(3));
    assert!(two - one <= one && three - two <= two - one && two > one, "{one} {two} {three}");
}

#[test]
fn an_empty_house_costs_less_than_a_furnished_one_and_the_difference_is_told_in_money() {
    let with = |occupancy: Occupancy| {
        let mut house = demonstration_house();
        for room in &mut house.survey.rooms {
            room.occupancy = Some(occupancy);
        }
        price(&house, RateSheet::standard())
    };
    let (empty, furnished) = (with(Occupancy::Empty), with(Occupancy::Furnished));
    assert!(empty.totals.net < furnished.totals.net);
    let cleared = furnished.options.iter().find(|option| option.id == "clear-the-rooms").expect("the option");
    assert!(cleared.net_change.is_negative());
}

#[test]
fn the_matching_point_rates_come_to_the_measured_price_of_this_house() {
    let house = demonstration_house();
    let measured = price(&house, RateSheet::standard());

    let rates = &measured.cross_check.matching_rates;

    let all: Money = rates.iter().map(|rate| rate.matching.times(rate.count)).sum();
    let pennies: f64 = rates.iter().map(|rate| rate.count).sum();
    assert!((all - measured.totals.net).approximate().abs() <= pennies * 0.01, "{all} {}", measured.totals.net);
    let socket = rates.iter().find(|rate| rate.item == "double-socket").expect("sockets");
    let first = RateSheet::standard().points.iter().find(|rate| rate.item == "double-socket").map(|rate| rate.first);
    assert!(Some(socket.rate) <= first && socket.matching > socket.rate, "{socket:?}");
}

#[test]
fn every_finish_of_the_house_is_priced_at_once_and_the_rooms_add_to_the_house() {
    let house = demonstration_house();
    let priced = price(&house, RateSheet::standard());
    let change = |room: Option<&str>, finish: Finish| {
        priced.finishes.iter().find(|one| one.room.as_deref() == room && one.finish == finish).map(|one| one.net_change)
    };

    for finish in [Finish::White, Finish::MetalFlat, Finish::MetalScrewless] {
        let rooms = priced.finishes.iter().filter(|one| one.room.is_some() && one.finish == finish);
        let (count, sum) = (rooms.clone().count(), sum(rooms.map(|one| one.net_change)));
        let whole = change(None, finish).expect("the house");
        // Half a penny of rounding a room.
        assert!((sum - whole).abs() <= Money::from_pennies(count as i64), "{finish}: {sum} {whole}");
    }
    assert!(change(None, Finish::MetalScrewless) > change(None, Finish::MetalFlat));

    // Done in earnest it comes to the same, but for what the contingency makes of it.
    let mut metal = house;
    for point in metal.survey.rooms.iter_mut().flat_map(|room| &mut room.points) {
        point.finish = point.finish.filter(|own| *own == Finish::ClientSupplied).or(Some(Finish::MetalFlat));
    }
    let earnest = price(&metal, RateSheet::standard()).totals.net - priced.totals.net;
    let told = change(None, Finish::MetalFlat).expect("the house");
    assert!((earnest - told).abs() <= told.share(0.15), "{earnest} {told}");
}

//! The drawings of the published examples and of odd houses, held to what every drawing must be: whole, within its sheet,
//! readable, and without anything that runs or is fetched.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use engine::estimate::{Engine, Estimate, Stamp};
use engine::money::Money;
use engine::rate_sheet::{RateSheet, Workbook};
use engine::survey::EstimateRequest;
use roxmltree::{Document, Node};
use serde_json::{Value, json};

use super::svg::{Area, Svg};
use super::{Drawing, NothingToDraw, cost_range, route_plan, single_line};

static OFFICE: LazyLock<(Engine, Workbook)> = LazyLock::new(|| {
    let engine = Engine::new();
    let workbook = engine.prepare(RateSheet::standard(), 1).expect("the built-in sheet is whole");
    (engine, workbook)
});

fn priced(request: &EstimateRequest) -> Estimate {
    let stamp = Stamp { id: "example".to_owned(), created_at: "2026-11-25T10:00:00Z".to_owned() };
    OFFICE.0.estimate(request, &OFFICE.1, stamp)
}

fn example(name: &str) -> Estimate {
    let path = format!("{}/../../openapi/examples/{name}.json", env!("CARGO_MANIFEST_DIR"));
    let bytes = std::fs::read(path).expect("the example is there");
    priced(&OFFICE.0.read_survey(&bytes).expect("a right survey"))
}

/// The estimate of a rewire.
fn surveyed(survey: &Value) -> Estimate {
    let mut survey = survey.clone();
    survey["scope"] = "rewire".into();
    let bytes = json!({ "survey": survey }).to_string();
    priced(&OFFICE.0.read_survey(bytes.as_bytes()).expect("a right survey"))
}

const EXAMPLES: [&str; 4] = ["kestrel-bank", "three-bed", "counts-only", "minimal"];

/// Rooms of 4 by 4 m, twenty in a row, on one storey.
fn many_rooms(rooms: usize) -> Estimate {
    let room = |index: usize| {
        let (x, y) = ((index % 20) as f64 * 4.0, (index / 20) as f64 * 4.0);
        json!({
            "id": format!("r{index}"), "name": format!("Room {index} <&> of a name \"that\" is long"), "storey": "ground",
            "outline": { "x_m": x, "y_m": y, "width_m": 4.0, "depth_m": 4.0 },
            "points": [
                { "type": "double-socket", "count": 4 }, { "type": "pendant", "count": 1 },
                { "type": "one-way-switch", "count": 1 }, { "type": "smoke-alarm", "count": 1 }
            ]
        })
    };
    surveyed(&json!({ "rooms": (0..rooms).map(room).collect::<Vec<_>>() }))
}

/// Every drawing that the estimate has, by name.
fn drawings(estimate: &Estimate) -> BTreeMap<&'static str, String> {
    Drawing::ALL.into_iter().filter_map(|drawing| Some((drawing.name(), drawing.of(estimate).ok()?))).collect()
}

/// The same drawings before they are written, with the size of their sheets.
fn sheets(estimate: &Estimate) -> Vec<(&'static str, Svg, Area)> {
    let sheet = |width, height| Area { left: 0.0, top: 0.0, width, height };
    let (diagram, high) = single_line::drawn(estimate);
    let (range, range_high) = cost_range::drawn(estimate);
    let mut sheets = vec![
        ("single-line-diagram", diagram, sheet(single_line::WIDTH, high)),
        ("cost-range", range, sheet(cost_range::WIDTH, range_high)),
    ];
    if let Some(plan) = &estimate.plan {
        let drawn = route_plan::drawn(estimate, plan);
        sheets.push(("route-plan", drawn.svg, sheet(drawn.width, drawn.height)));
    }
    sheets
}

fn elements<'a, 'i>(document: &'a Document<'i>, name: &'static str) -> impl Iterator<Item = Node<'a, 'i>> {
    document.descendants().filter(move |node| node.has_tag_name(name) || node.tag_name().name() == name)
}

/// How often each value of an attribute occurs on a group.
fn groups<'a>(document: &'a Document<'_>, attribute: &'static str) -> BTreeMap<&'a str, usize> {
    let mut found = BTreeMap::new();
    for value in elements(document, "g").filter_map(|group| group.attribute(attribute)) {
        *found.entry(value).or_insert(0) += 1;
    }
    found
}

fn words(document: &Document<'_>) -> String {
    elements(document, "text").filter_map(|text| text.text()).collect::<Vec<_>>().join("\n")
}

#[test]
fn every_example_has_its_drawings_and_one_without_outlines_has_no_plan() {
    let names: Vec<usize> = EXAMPLES.iter().map(|name| drawings(&example(name)).len()).collect();
    assert_eq!(names, [3, 3, 2, 2]);
    assert_eq!(route_plan(&example("counts-only")), Err(NothingToDraw::NoOutlines));
}

#[test]
fn nothing_in_a_drawing_runs_or_is_fetched() {
    for name in EXAMPLES {
        for (drawing, file) in drawings(&example(name)) {
            let document = Document::parse(&file).expect("right XML");
            for node in document.descendants().filter(Node::is_element) {
                let element = node.tag_name().name();
                assert!(
                    [
                        "svg", "g", "title", "desc", "line", "polyline", "polygon", "rect", "circle", "ellipse",
                        "path", "text"
                    ]
                    .contains(&element),
                    "{name} {drawing}: {element}"
                );
                for attribute in node.attributes() {
                    let harmless = !attribute.name().starts_with("on")
                        && !["href", "style", "src"].contains(&attribute.name())
                        && !attribute.value().contains("url(");
                    assert!(harmless, "{name} {drawing}: {attribute:?}");
                }
            }
        }
    }
}

#[test]
fn nothing_leaves_the_sheet() {
    let mut houses: Vec<(String, Estimate)> = EXAMPLES.iter().map(|name| ((*name).to_owned(), example(name))).collect();
    houses.push(("many rooms".to_owned(), many_rooms(30)));
    for (name, estimate) in &houses {
        for (drawing, file) in drawings(estimate) {
            let tree = usvg::Tree::from_str(&file, &usvg::Options::default()).expect("a drawing");
            let (reach, size) = (tree.root().abs_stroke_bounding_box(), tree.size());
            let within = reach.left() >= -0.01
                && reach.top() >= -0.01
                && reach.right() <= size.width() + 0.01
                && reach.bottom() <= size.height() + 0.01;
            assert!(within, "{name} {drawing}: {reach:?} of {size:?}");
        }
        for (drawing, svg, sheet) in sheets(estimate) {
            for area in svg.lettered() {
                assert!(sheet.holds(area), "{name} {drawing}: words at {area:?} of {sheet:?}");
            }
        }
    }
}

#[test]
fn no_words_lie_on_others() {
    for name in EXAMPLES {
        for (drawing, svg, _) in sheets(&example(name)) {
            let areas = svg.lettered();
            assert!(areas.len() > 10, "{name} {drawing} has words");
            for (index, one) in areas.iter().enumerate() {
                for other in &areas[index + 1..] {
                    assert!(!one.overlaps(other), "{name} {drawing}: {one:?} and {other:?}");
                }
            }
        }
    }
}

#[test]
fn every_circuit_is_once_in_the_diagram_with_its_name_and_what_feeds_it() {
    for name in EXAMPLES {
        let estimate = example(name);
        let file = single_line::single_line_diagram(&estimate);
        let document = Document::parse(&file).expect("right XML");

        let drawn = groups(&document, "data-circuit");
        let words = words(&document);
        assert_eq!(drawn.len(), estimate.circuits.len(), "{name}");
        for circuit in &estimate.circuits {
            assert_eq!(drawn.get(circuit.id.as_str()), Some(&1), "{name} {}", circuit.id);
            assert!(words.contains(&format!("{}  {}", circuit.id, circuit.name)), "{name} {}", circuit.name);
            let group = elements(&document, "g").find(|group| group.attribute("data-circuit") == Some(&circuit.id));
            let board = group.and_then(|group| group.parent()).and_then(|board| board.attribute("data-board"));
            assert_eq!(board, Some(circuit.fed_from.as_deref().unwrap_or("board")), "{name} {}", circuit.id);
        }
    }
}

#[test]
fn every_board_of_an_outbuilding_and_every_bond_of_the_price_is_in_the_diagram() {
    let estimate = example("kestrel-bank");
    assert!(!estimate.board.sub_boards.is_empty(), "the house has an outbuilding");
    let file = single_line::single_line_diagram(&estimate);
    let document = Document::parse(&file).expect("right XML");

    let (boards, words) = (groups(&document, "data-board"), words(&document));
    for board in &estimate.board.sub_boards {
        assert!(boards.contains_key(board.fed_from.as_str()), "{}", board.fed_from);
    }
    for line in estimate.lines.iter().filter(|line| line.item.starts_with("bond-")) {
        let metres = format!("{:.1} m, new", line.quantity);
        assert!(words.contains(&line.description) && words.contains(&metres), "{}, {metres}", line.description);
    }
    for told in [
        "TN-C-S",
        "Surge device",
        "Main switch 100 A",
        "Cut-out 60 A",
        "not read: assumed",
        "kept for a",
        "type A*, 6 kA",
        "* Residual current: 3",
    ] {
        assert!(words.contains(told), "{told}");
    }
}

#[test]
fn a_board_that_stays_is_drawn_as_it_stays_and_a_small_one_beside_it() {
    let mut survey = json!({ "scope": "single-circuit",
        "rooms": [{ "id": "hall", "use": "hall" }, { "id": "bathroom", "use": "bathroom",
            "points": [{ "type": "shower-switch" }], "appliances": [{ "type": "shower", "load_kw": 9.5 }] }],
        "consumer_unit": { "room": "hall", "existing": { "condition": "modern", "ways": 8, "ways_spare": 1 } } });
    let drawn = |survey: &Value| {
        let bytes = json!({ "survey": survey }).to_string();
        let estimate = priced(&OFFICE.0.read_survey(bytes.as_bytes()).expect("a right survey"));
        single_line::single_line_diagram(&estimate)
    };

    let free = drawn(&survey);
    survey["consumer_unit"]["existing"]["ways_spare"] = json!(0);
    let full = drawn(&survey);

    for diagram in [&free, &full] {
        assert!(diagram.contains("Consumer unit that stays") && diagram.contains("in use, not recorded"));
        assert!(!diagram.contains("Surge device"), "nobody fits one");
    }
    assert!(!free.contains("Small board beside it") && full.contains("Small board beside it"));
}

#[test]
fn every_point_of_the_plan_is_drawn_on_its_circuit() {
    for name in ["kestrel-bank", "three-bed"] {
        let estimate = example(name);
        let file = route_plan(&estimate).expect("a plan");
        let document = Document::parse(&file).expect("right XML");

        let mut drawn: BTreeMap<(&str, &str, &str), usize> = BTreeMap::new();
        for group in elements(&document, "g").filter(|group| group.has_attribute("data-point")) {
            let told = |name| group.attribute(name).expect("a group of a point says what it is");
            let count: usize = told("data-count").parse().expect("a count");
            *drawn.entry((told("data-room"), told("data-point"), told("data-circuit"))).or_insert(0) += count;
        }
        let plan = estimate.plan.as_ref().expect("a plan");
        let mut given: BTreeMap<(&str, &str, &str), usize> = BTreeMap::new();
        for point in plan.storeys.iter().flat_map(|storey| &storey.points) {
            let circuit = point.circuit.as_deref().unwrap_or("none");
            *given.entry((&point.room, point.point_type.word(), circuit)).or_insert(0) += 1;
        }
        assert_eq!(drawn, given, "{name}");
        assert!(given.values().sum::<usize>() > 40, "{name}");
        assert_eq!(route_plan::drawn(&estimate, plan).unlabelled, 0, "{name}: every point has its circuit beside it");
    }
}

#[test]
fn every_storey_room_and_circuit_is_on_the_plan() {
    let estimate = example("kestrel-bank");
    let file = route_plan(&estimate).expect("a plan");
    let document = Document::parse(&file).expect("right XML");

    let (rooms, words) = (groups(&document, "data-room"), words(&document));
    for room in estimate.plan.iter().flat_map(|plan| &plan.storeys).flat_map(|storey| &storey.rooms) {
        assert!(rooms.contains_key(room.id.as_str()) && words.contains(&room.name), "{}", room.id);
    }
    for circuit in &estimate.circuits {
        assert!(words.contains(&format!("{}  ", circuit.id)), "{}", circuit.id);
    }
    for told in ["4.40 × 3.40 m", "9.20 m", "Scale 1:50", "place spread by rule", "steel beam", "Board", "Intake"] {
        assert!(words.contains(told), "{told}");
    }
}

#[test]
fn a_building_apart_is_drawn_by_itself_and_takes_its_points_along() {
    let file = route_plan(&example("kestrel-bank")).expect("a plan");
    let document = Document::parse(&file).expect("right XML");

    let part = elements(&document, "g").find(|group| group.attribute("data-storey") == Some("workshop"));
    let part = part.expect("the workshop stands far behind the house");
    let rooms: Vec<&str> = part.children().filter_map(|group| group.attribute("data-room")).collect();
    assert!(rooms.len() > 5 && rooms.iter().all(|room| *room == "workshop"), "{rooms:?}");
}

#[test]
fn the_same_estimate_gives_the_same_bytes_also_when_it_was_stored_between() {
    for name in EXAMPLES {
        let estimate = example(name);
        let stored = serde_json::to_vec(&estimate).expect("writes");
        let read: Estimate = serde_json::from_slice(&stored).expect("reads back");
        assert!(drawings(&estimate) == drawings(&read), "{name}");
    }
}

#[test]
fn the_size_of_a_bond_is_the_figure_of_the_board_and_words_are_read_only_where_an_older_estimate_has_none() {
    let mut estimate = example("kestrel-bank");
    let drawn =
        |estimate: &Estimate| words(&Document::parse(&single_line::single_line_diagram(estimate)).expect("right XML"));
    for line in estimate.lines.iter_mut().filter(|line| line.item.starts_with("bond-")) {
        line.because = vec!["35 mm2 as these words have it, and nothing else".to_owned()];
    }
    let board = estimate.board.earthing.as_mut().expect("the board has its earthing");
    let bond = board.main_bonds.iter_mut().find(|bond| bond.needed).expect("a bond is run");
    bond.size_mm2 = 16.0;
    let words = drawn(&estimate);
    assert!(words.contains("16 mm2, ") && !words.contains("35 mm2"), "{words}");

    estimate.board.earthing = None;
    assert!(drawn(&estimate).contains("35 mm2 as these words have it"), "an older one is read as it was");
}

#[test]
fn an_estimate_from_before_plan_and_distribution_were_kept_still_has_its_other_drawings() {
    let mut older = serde_json::to_value(example("kestrel-bank")).expect("writes");
    let top = older.as_object_mut().expect("a document");
    for key in ["plan", "alarms", "bathrooms"] {
        assert!(top.remove(key).is_some(), "{key}");
    }
    let board = top["board"].as_object_mut().expect("a board");
    for key in ["place", "supply", "tails_mm2", "main_switch_poles", "chart", "surge", "arc_detection", "earthing"] {
        assert!(board.remove(key).is_some(), "{key}");
    }
    assert!(top["range"].as_object_mut().expect("a range").remove("distribution").is_some());
    for route in top["routes"].as_array_mut().expect("routes") {
        route.as_object_mut().expect("a route").remove("circuit");
        for segment in route["segments"].as_array_mut().expect("segments") {
            segment.as_object_mut().expect("a segment").remove("path");
        }
    }
    let estimate: Estimate = serde_json::from_value(older).expect("an older estimate still reads");

    assert_eq!(route_plan(&estimate), Err(NothingToDraw::NoOutlines));
    let diagram = single_line::single_line_diagram(&estimate);
    assert!(words(&Document::parse(&diagram).expect("right XML")).contains("The arrangement is in the survey"));
    let range = cost_range::cost_range(&estimate);
    let document = Document::parse(&range).expect("right XML");
    assert!(words(&document).contains("nothing is drawn between them"));
    assert!(!groups(&document, "data-part").contains_key("distribution"), "no curve is made up");
}

#[test]
fn the_columns_of_the_range_are_as_large_as_their_shares_and_the_marks_stand_where_they_belong() {
    let estimate = example("kestrel-bank");
    let file = cost_range::cost_range(&estimate);
    let document = Document::parse(&file).expect("right XML");

    let part = elements(&document, "g").find(|group| group.attribute("data-part") == Some("distribution"));
    let columns: Vec<Node<'_, '_>> = part.expect("a distribution").children().filter(Node::is_element).collect();
    assert_eq!(columns.len(), estimate.range.distribution.len());
    let figure = |node: &Node<'_, '_>, name| node.attribute(name).expect("a figure").parse::<f64>().expect("a figure");
    let areas: Vec<f64> = columns.iter().map(|column| figure(column, "width") * figure(column, "height")).collect();
    let all: f64 = areas.iter().sum();
    for (area, bin) in areas.iter().zip(&estimate.range.distribution) {
        // Figures on the sheet are to a hundredth of a millimetre.
        assert!((area / all - bin.share).abs() < 0.001, "{bin:?}: {}", area / all);
    }

    // Two edges of columns give the scale; each mark is held to it.
    let (first, last) = (&columns[0], &columns[columns.len() - 1]);
    let bins = &estimate.range.distribution;
    let (left, least) = (figure(first, "x"), bins[0].from.approximate());
    let (right, most) = (figure(last, "x") + figure(last, "width"), bins[bins.len() - 1].to.approximate());
    let expected = |amount: Money| left + (amount.approximate() - least) / (most - least) * (right - left);
    for (name, amount) in [("p10", estimate.range.p10), ("p50", estimate.range.p50), ("p90", estimate.range.p90)] {
        let group = elements(&document, "g")
            .find(|group| group.attribute("data-mark").is_some_and(|mark| mark.starts_with(name)))
            .expect("the mark");
        let line = group.children().find(|node| node.tag_name().name() == "line").expect("its line");
        assert!((figure(&line, "x1") - expected(amount)).abs() < 0.05, "{name}");
    }
    assert_eq!(groups(&document, "data-driver").len(), estimate.range.drivers.len());
}

#[test]
fn strange_names_stay_words_and_long_ones_are_cut() {
    let long = "a very long name ".repeat(25);
    let rooms = json!([
        { "id": "a", "name": "</text><script>alert(1)</script>", "outline": { "x_m": 0, "y_m": 0, "width_m": 4, "depth_m": 3 },
          "points": [{ "type": "double-socket", "count": 4 }] },
        { "id": "b", "name": long, "outline": { "x_m": 4, "y_m": 0, "width_m": 3, "depth_m": 3 },
          "points": [{ "type": "pendant", "count": 1 }, { "type": "double-socket", "count": 3 }] }
    ]);
    let estimate = surveyed(&json!({ "reference": "]]> & \"<'", "rooms": rooms }));

    for (drawing, file) in drawings(&estimate) {
        let document = Document::parse(&file).expect("right XML");
        assert_eq!(elements(&document, "script").count(), 0, "{drawing}");
        assert!(words(&document).contains("]]> & \"<'"), "{drawing}");
    }
    for (drawing, svg, sheet) in sheets(&estimate) {
        assert!(svg.lettered().iter().all(|area| sheet.holds(area)), "{drawing}");
    }
}

#[test]
fn hundreds_of_points_at_one_place_are_one_symbol_with_a_count() {
    let estimate = surveyed(&json!({ "rooms": [
        { "id": "hall", "outline": { "x_m": 0, "y_m": 0, "width_m": 4, "depth_m": 3 },
          "points": [{ "type": "double-socket", "count": 500, "at": { "x_m": 1.0, "y_m": 0.0 } }] }
    ] }));

    let file = route_plan(&estimate).expect("a plan");

    let document = Document::parse(&file).expect("right XML");
    let counted: usize = elements(&document, "g")
        .filter_map(|group| group.attribute("data-count"))
        .map(|count| count.parse::<usize>().expect("a count"))
        .sum();
    assert_eq!(counted, 500);
    assert!(elements(&document, "g").filter(|group| group.has_attribute("data-point")).count() < 60);
}

#[test]
fn drawings_grow_with_the_house_and_not_faster() {
    let (some, many) = (many_rooms(20), many_rooms(100));
    for (drawing, file) in drawings(&many) {
        let smaller = drawings(&some)[drawing].len();
        assert!(file.len() < smaller * 7, "{drawing}: {} bytes for 100 rooms, {smaller} for 20", file.len());
    }
}

#[test]
fn every_route_with_a_way_is_on_the_plan_and_named_where_there_is_room() {
    for name in ["kestrel-bank", "three-bed"] {
        let estimate = example(name);
        let file = route_plan(&estimate).expect("a plan");
        let document = Document::parse(&file).expect("right XML");

        let drawn = groups(&document, "data-route");
        for route in &estimate.routes {
            let known = route.segments.iter().any(|segment| {
                segment.path.windows(2).any(|ends| {
                    ends[0].level == ends[1].level && (ends[0].x_m, ends[0].y_m) != (ends[1].x_m, ends[1].y_m)
                })
            });
            assert_eq!(drawn.contains_key(route.id.as_str()), known, "{name} {}", route.id);
        }
    }
}

/// The invented three-bedroom house with a board of two residual current devices.
fn divided() -> Estimate {
    let path = format!("{}/../../openapi/examples/three-bed.json", env!("CARGO_MANIFEST_DIR"));
    let mut survey: Value = serde_json::from_slice(&std::fs::read(path).expect("the example is there")).expect("JSON");
    survey["survey"]["preferences"]["board"] = json!("split-load");
    surveyed(&survey["survey"])
}

#[test]
fn a_divided_board_is_drawn_as_sections_behind_their_residual_current_devices() {
    let estimate = divided();
    let file = single_line::single_line_diagram(&estimate);
    let document = Document::parse(&file).expect("right XML");

    // The ways of a section lie side by side, as its bar asks.
    let sections: Vec<Option<u8>> =
        estimate.board.chart.iter().filter(|way| way.circuit.is_some()).map(|way| way.section).collect();
    assert!(sections.is_sorted() && sections.contains(&Some(1)) && sections.contains(&Some(2)), "{sections:?}");
    assert_eq!(groups(&document, "data-section"), BTreeMap::from([("1", 1), ("2", 1)]));
    let words = words(&document);
    for told in ["RCD 1, 30 mA, type A", "RCD 2, 30 mA, type A", "in front of ways", "residual current device"] {
        assert!(words.contains(told), "{told}");
    }
    for circuit in &estimate.circuits {
        assert!(words.contains(&format!("{}  {}", circuit.id, circuit.name)), "{}", circuit.name);
    }

    let (diagram, high) = single_line::drawn(&estimate);
    let areas = diagram.lettered();
    for (index, one) in areas.iter().enumerate() {
        assert!(one.bottom() <= high, "{one:?} on a sheet of {high}");
        assert!(areas[index + 1..].iter().all(|other| !one.overlaps(other)), "{one:?} lies on other words");
    }

    let whole = single_line::single_line_diagram(&example("three-bed"));
    assert!(groups(&Document::parse(&whole).expect("right XML"), "data-section").is_empty());
}

/// The demonstration house has bonds, and draw-in runs whose names are longer than there is room for beside a line.
#[test]
fn every_bond_and_draw_in_run_is_named_in_whole_in_the_legend_of_the_plan_and_no_name_is_cut_on_it() {
    let estimate = example("kestrel-bank");

    let plan = route_plan(&estimate).expect("it was drawn");

    let document = Document::parse(&plan).expect("it is XML");
    let words: Vec<&str> = elements(&document, "text").filter_map(|text| text.text()).collect();
    let others: Vec<_> = estimate.routes.iter().filter(|route| route.circuit.is_none()).collect();
    assert!(others.iter().any(|route| route.serves.starts_with("draw-in run")), "{others:?}");
    for route in others {
        assert!(words.contains(&format!("{}  {}", route.id, route.serves).as_str()), "{}", route.serves);
    }
    let cut: Vec<&&str> = words.iter().filter(|words| words.ends_with('…')).collect();
    assert!(cut.is_empty(), "{cut:?}");
}

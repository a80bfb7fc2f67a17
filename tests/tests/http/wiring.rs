//! Circuits checked, cables sized and demand worked out over HTTP.

use end_to_end::{Answer, App};
use reqwest::Method;
use serde_json::{Value, json};

async fn calculated(app: &App, path: &str, request: &Value) -> Answer {
    let request = app.request(Method::POST, path).header("content-type", "application/json").body(request.to_string());
    Answer::to(request).await
}

/// A shower of 9.5 kW on 18 m of 10 mm2, as the contract shows it.
fn shower() -> Value {
    json!({
        "supply": { "voltage_v": 230, "earthing": "tn-c-s", "ze_ohm": 0.35, "fault_current_ka": 1.2 },
        "circuits": [{
            "id": "C1", "name": "Shower", "use": "power", "arrangement": "radial", "load": { "load_kw": 9.5 },
            "device": { "type": "rcbo", "curve": "b", "rating_a": 45, "residual_ma": 30, "breaking_capacity_ka": 6 },
            "cable": { "type": "flat-twin-and-earth-70c", "line_mm2": 10, "cpc_mm2": 4 },
            "length_m": 18,
            "installation": { "method": "c", "ambient_c": 30, "grouped_circuits": 1, "insulation_mm": 0 },
            "disconnection_s": 0.4, "fed_from": null
        }]
    })
}

#[tokio::test(flavor = "multi_thread")]
async fn a_circuit_is_judged_by_seven_checks_with_their_working() {
    let app = App::open().await;

    let answer = calculated(&app, "/v1/circuit-checks", &shower()).await;

    assert_eq!((answer.status.as_u16(), answer.header("cache-control")), (200, "no-store"));
    let circuit = &answer.json()["circuits"][0];
    let checks = circuit["checks"].as_array().expect("checks");
    let names: Vec<&str> = checks.iter().filter_map(|check| check["name"].as_str()).collect();
    assert_eq!(names.len(), 7, "{names:?}");
    for name in ["design-current", "overload", "voltage-drop", "disconnection", "fault-withstand", "breaking-capacity"]
    {
        assert!(names.contains(&name), "{name}");
    }
    assert!(checks.iter().all(|check| check["working"].as_str().is_some_and(|working| !working.is_empty())));
    assert!(circuit["ib_a"].as_f64().is_some_and(|current| (current - 41.3).abs() < 0.1), "{circuit}");
}

/// Boards of nine circuits, each fed by a distribution circuit.
pub fn boards(count: usize) -> Value {
    let mut request = shower();
    let one = request["circuits"][0].clone();
    let circuits = (0..count).map(|index| {
        let mut circuit = one.clone();
        circuit["id"] = json!(format!("C{index}"));
        if index % 10 != 0 {
            circuit["fed_from"] = json!(format!("C{}", index / 10 * 10));
        }
        circuit
    });
    request["circuits"] = circuits.collect();
    request
}

#[tokio::test(flavor = "multi_thread")]
async fn ten_thousand_circuits_are_checked_in_one_request() {
    let app = App::open().await;

    let answer = calculated(&app, "/v1/circuit-checks", &boards(10_000)).await;

    assert_eq!(answer.status, 200);
    let circuits = answer.json()["circuits"].as_array().cloned().unwrap_or_default();
    assert_eq!(circuits.len(), 10_000);
    assert!(circuits.iter().all(|circuit| circuit["checks"].as_array().is_some_and(|checks| checks.len() == 7)));
    let (board, behind) = (&circuits[10]["voltage_drop_v"], &circuits[19]["voltage_drop_v"]);
    assert!(board.as_f64() < behind.as_f64(), "the feeder's drop is carried along");
}

#[tokio::test(flavor = "multi_thread")]
async fn more_circuits_than_one_request_may_hold_are_refused_with_the_limit() {
    let app = App::open().await;

    let refused = calculated(&app, "/v1/circuit-checks", &boards(20_001)).await;

    assert_eq!(refused.pointers(), ["/circuits"]);
    assert!(String::from_utf8_lossy(&refused.bytes).contains("at most 20000"));
}

/// One thing wrong with a request that is sound otherwise: its name, where it is, and what is put there.
const WRONG: [(&str, &str, &str, &str); 14] = [
    ("a circuit of no length", "/circuits/0/length_m", "0", "out-of-range"),
    ("a circuit of ten kilometres", "/circuits/0/length_m", "10000", "out-of-range"),
    ("no load", "/circuits/0/load/load_kw", "0", "out-of-range"),
    ("a megawatt", "/circuits/0/load/load_kw", "1000", "out-of-range"),
    ("a size that is not made", "/circuits/0/cable/line_mm2", "7", "not-in-table"),
    ("a rating that is not made", "/circuits/0/device/rating_a", "33", "not-in-table"),
    ("a time without a table", "/circuits/0/disconnection_s", "0.3", "not-in-table"),
    ("a place hotter than the table", "/circuits/0/installation/ambient_c", "75", "not-in-table"),
    ("more together than the table", "/circuits/0/installation/grouped_circuits", "50", "not-in-table"),
    ("a method without a column", "/circuits/0/installation/method", "\"d\"", "not-in-table"),
    ("a cable that nobody makes", "/circuits/0/cable/type", "\"bell-wire\"", "unknown-value"),
    ("a feeder that is not there", "/circuits/0/fed_from", "\"C9\"", "unknown-reference"),
    ("a circuit that feeds itself", "/circuits/0/fed_from", "\"C1\"", "contradiction"),
    ("a supply of twelve volts", "/supply/voltage_v", "12", "out-of-range"),
];

#[tokio::test(flavor = "multi_thread")]
async fn what_cannot_be_checked_is_refused_where_it_stands_and_by_its_table() {
    let app = App::open().await;

    for (what, place, wrong, code) in WRONG {
        let refused = calculated(&app, "/v1/circuit-checks", &with(shower(), place, wrong)).await;

        refused_where_it_stands(&refused, what, place, code);
    }
}

/// The request with one value in place of its own.
fn with(mut request: Value, place: &str, value: &str) -> Value {
    let (parent, field) = place.rsplit_once('/').expect("a pointer");
    request.pointer_mut(parent).expect("a place")[field] = serde_json::from_str(value).expect("a value");
    request
}

/// One fault, there, of that code; by its table where a value is in none.
#[track_caller]
fn refused_where_it_stands(refused: &Answer, what: &str, pointer: &str, code: &str) {
    assert_eq!(refused.pointers(), [pointer], "{what}");
    let fault = refused.json()["errors"][0].clone();
    assert_eq!(fault["code"], code, "{what}: {fault}");
    if code == "not-in-table" {
        assert!(fault["detail"].as_str().is_some_and(|detail| detail.contains("Table")), "{what}: {fault}");
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn a_device_bigger_than_its_cable_fails_with_its_working() {
    let app = App::open().await;
    let mut request = shower();
    request["circuits"][0]["cable"] = json!({ "type": "flat-twin-and-earth-70c", "line_mm2": 2.5 });

    let answer = calculated(&app, "/v1/circuit-checks", &request).await.json();

    let overload = &answer["circuits"][0]["checks"][1];
    assert_eq!((&answer["verdict"], &overload["verdict"]), (&json!("fail"), &json!("fail")));
    assert!(overload["working"].as_str().is_some_and(|working| working.ends_with("45 A > 27 A")), "{overload}");
}

#[tokio::test(flavor = "multi_thread")]
async fn a_loop_of_feeders_is_refused_and_named() {
    let app = App::open().await;
    let mut request = boards(2);
    request["circuits"][0]["fed_from"] = json!("C1");

    let refused = calculated(&app, "/v1/circuit-checks", &request).await;

    assert_eq!(refused.pointers(), ["/circuits/0/fed_from"]);
    assert!(String::from_utf8_lossy(&refused.bytes).contains("C0 from C1 from C0"));
}

#[tokio::test(flavor = "multi_thread")]
async fn a_circuit_with_two_loads_or_none_is_refused_at_its_place() {
    let app = App::open().await;
    let mut both = shower();
    both["circuits"][0]["load"] = json!({ "load_kw": 9.5, "current_a": 41 });

    let refused = calculated(&app, "/v1/circuit-checks", &both).await;

    assert!(
        refused.pointers().iter().all(|pointer| pointer.starts_with("/circuits/0/load")),
        "{:?}",
        refused.pointers()
    );
}

#[tokio::test(flavor = "multi_thread")]
async fn a_cable_is_sized_and_demand_is_worked_out() {
    let app = App::open().await;
    let shower = shower();
    let size = json!({
        "supply": shower["supply"], "use": "power", "arrangement": "radial", "load": { "load_kw": 9.5 },
        "cable_type": "flat-twin-and-earth-70c", "length_m": 18, "installation": { "method": "c" },
        "device": { "type": "rcbo", "curve": "b" }
    });

    let sized = calculated(&app, "/v1/cable-sizes", &size).await;
    assert_eq!(sized.status, 200, "{}", String::from_utf8_lossy(&sized.bytes));
    assert!(sized.json()["chosen"]["line_mm2"].as_f64().is_some_and(|size| size >= 6.0));

    let loads = json!({ "supply": { "voltage_v": 230, "cut_out_a": 80 },
        "loads": [ { "kind": "cooker", "load_kw": 10.4, "socket_outlet": true }, { "kind": "shower", "load_kw": 9.5 } ] });
    let demand = calculated(&app, "/v1/demand", &loads).await;
    assert_eq!(demand.status, 200, "{}", String::from_utf8_lossy(&demand.bytes));
    let demand = demand.json();
    assert!(demand["after_diversity_a"].as_f64() < demand["connected_a"].as_f64(), "{demand}");
}

#[tokio::test(flavor = "multi_thread")]
async fn runs_and_tours_in_a_drawn_house_are_routed_with_their_metres_hours_and_cost() {
    let app = App::open().await;
    let room = |id: &str, x: f64| {
        json!({
            "id": id, "storey": "ground", "wall": "brick",
            "outline": { "x_m": x, "y_m": 0, "width_m": 4, "depth_m": 4 },
            "floor": { "construction": "suspended-timber", "covering": "carpet" }
        })
    };
    let request = json!({
        "survey": { "rooms": [room("hall", 0.0), room("living", 4.0)], "consumer_unit": { "room": "hall" } },
        "runs": [{ "id": "socket", "to": { "room": "living", "wall": "right", "along_m": 1.0 } }],
        "tours": [{ "id": "ring", "arrangement": "ring", "visit": [{ "room": "living" }, { "room": "hall" }] }]
    });

    let answer = calculated(&app, "/v1/routes", &request).await;
    let refused = calculated(
        &app,
        "/v1/routes",
        &json!({
            "survey": { "rooms": [{ "id": "hall" }] }, "runs": [{ "id": "socket", "to": { "room": "hall" } }]
        }),
    )
    .await;

    assert_eq!((answer.status.as_u16(), answer.header("cache-control")), (200, "no-store"), "{}", answer.json());
    let route = &answer.json()["routes"][0];
    assert_eq!((&route["id"], &route["cost"].is_string()), (&json!("socket"), &true), "{route}");
    assert!(route["metres"].as_f64() > Some(8.0) && route["hours"].as_f64() > Some(0.0), "{route}");
    assert!(route["runner_up"]["medium"].is_string(), "{route}");
    let tour = &answer.json()["tours"][0];
    assert_eq!((&tour["id"], &tour["order"]), (&json!("ring"), &json!([1, 0])), "{tour}");
    assert_eq!(tour["legs"].as_array().map(Vec::len), Some(3), "{tour}");
    assert_eq!(refused.status.as_u16(), 422);
    assert_eq!(refused.json()["errors"][0]["pointer"], "/survey/rooms/0/outline");
}

/// A load for which a cable is wanted, sound.
fn wanted() -> Value {
    json!({
        "supply": { "voltage_v": 230, "earthing": "tn-c-s", "ze_ohm": 0.35, "fault_current_ka": 1.2 },
        "use": "power", "load": { "load_kw": 9.5 }, "cable_type": "flat-twin-and-earth-70c", "length_m": 18,
        "installation": { "method": "c" }, "device": { "type": "rcbo", "curve": "b" }
    })
}

/// One thing wrong with a load to size for: what, where it is put, what is put there, where it is refused, by what code.
const WRONG_SIZES: [(&str, &str, &str, &str, &str); 7] = [
    ("no length", "/length_m", "0", "/length_m", "out-of-range"),
    ("ten kilometres", "/length_m", "10000", "/length_m", "out-of-range"),
    ("no load", "/load/load_kw", "0", "/load/load_kw", "out-of-range"),
    ("a megawatt", "/load/load_kw", "1000", "/load/load_kw", "out-of-range"),
    ("a load above every device", "/load/load_kw", "60", "/load", "not-in-table"),
    ("a method without a column", "/installation/method", "\"d\"", "/installation/method", "not-in-table"),
    ("a cable that nobody makes", "/cable_type", "\"bell-wire\"", "/cable_type", "unknown-value"),
];

#[tokio::test(flavor = "multi_thread")]
async fn what_cannot_be_sized_is_refused_where_it_stands_and_by_its_table() {
    let app = App::open().await;

    for (what, place, wrong, pointer, code) in WRONG_SIZES {
        let refused = calculated(&app, "/v1/cable-sizes", &with(wanted(), place, wrong)).await;

        refused_where_it_stands(&refused, what, pointer, code);
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn a_run_that_no_size_bears_gets_no_size_and_the_nearest_miss() {
    let app = App::open().await;
    let mut request = wanted();
    request["length_m"] = json!(900);

    let answer = calculated(&app, "/v1/cable-sizes", &request).await.json();

    assert!(answer["chosen"].is_null());
    let explanation = answer["nearest_miss"]["explanation"].as_str().unwrap_or_default();
    assert!(explanation.contains("times its limit"), "{explanation}");
}

#[tokio::test(flavor = "multi_thread")]
async fn loads_that_cannot_be_are_refused_where_they_stand() {
    let app = App::open().await;
    let request = json!({ "supply": { "voltage_v": 12 }, "loads": [
        { "kind": "shower", "load_kw": 0 }, { "kind": "shower", "load_kw": 1000 },
        { "kind": "shower", "load_kw": 9, "count": 10001 }
    ] });

    let refused = calculated(&app, "/v1/demand", &request).await;

    assert_eq!(refused.pointers(), ["/loads/0/load_kw", "/loads/1/load_kw", "/loads/2/count", "/supply/voltage_v"]);
    let unknown = json!({ "supply": {}, "loads": [{ "kind": "showr", "load_kw": 9 }] });
    assert_eq!(calculated(&app, "/v1/demand", &unknown).await.pointers(), ["/loads/0/kind"]);
}

/// A kitchen and a hall with circuits that a designer has fixed.
fn survey(circuits: Value) -> Value {
    json!({ "survey": {
        "rooms": [
            { "id": "kitchen", "use": "kitchen", "points": [{ "type": "double-socket", "count": 6 }, { "type": "pendant" }] },
            { "id": "hall", "use": "hall", "points": [{ "type": "pendant" }, { "type": "one-way-switch" }] }
        ],
        "circuits": circuits
    } })
}

#[tokio::test(flavor = "multi_thread")]
async fn a_circuit_that_a_designer_has_fixed_is_kept_and_checked() {
    let app = App::open().await;
    let given = json!([{ "id": "S1", "type": "ring-sockets", "rooms": ["kitchen"],
                         "device": { "curve": "c", "rating_a": 32 }, "cable": { "line_mm2": 4 }, "length_m": 44 }]);

    let estimate = app.price(survey(given).to_string()).await;

    assert_eq!(estimate.status, 201, "{}", String::from_utf8_lossy(&estimate.bytes));
    let estimate = estimate.json();
    let circuits = estimate["circuits"].as_array().expect("circuits");
    let ring = circuits.iter().find(|circuit| circuit["id"] == "S1").expect("the designer's circuit");
    assert_eq!((&ring["cable"]["line_mm2"], &ring["device"]["curve"]), (&json!(4.0), &json!("c")));
    assert_eq!(ring["length_m"], 44.0);
    assert_eq!(ring["checks"].as_array().map(Vec::len), Some(7));
}

#[tokio::test(flavor = "multi_thread")]
async fn a_designers_circuit_that_the_survey_does_not_bear_is_refused_where_it_stands() {
    let app = App::open().await;
    let given = json!([
        { "id": "S1", "type": "lighting", "rooms": ["hall"], "device": { "rating_a": 7 } },
        { "id": "S2", "points": [{ "room": "kitchen", "type": "double-socket", "count": 9 }] },
        { "id": "S3", "type": "lighting", "rooms": ["halll"] }
    ]);

    let refused = app.price(survey(given).to_string()).await;

    assert_eq!(
        refused.pointers(),
        ["/survey/circuits/0/device/rating_a", "/survey/circuits/1/points/0", "/survey/circuits/2/rooms/0"]
    );
    assert!(String::from_utf8_lossy(&refused.bytes).contains("did you mean `hall`"));
}

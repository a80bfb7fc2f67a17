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

//! The recipes of `openapi/examples/recipes`, run as their readers would run them.

use std::path::{Path, PathBuf};
use std::process::Command;

use end_to_end::App;
use serde_json::{Value, json};

/// The Python that `RECIPES_PYTHON` names, or the machine's own where it has the libraries; none, and said so, elsewhere.
///
/// # Panics
/// Where one is named and does not have them: a test that was meant to run must not be left out.
fn python() -> Option<String> {
    let named = std::env::var("RECIPES_PYTHON").ok();
    let python = named.clone().unwrap_or_else(|| "python3".to_owned());
    let found = Command::new(&python).args(["-c", "import ifcopenshell, shapely"]).output();
    let has = found.as_ref().is_ok_and(|output| output.status.success());
    assert!(has || named.is_none(), "{python} has no ifcopenshell and shapely: {found:?}");
    if !has {
        eprintln!("left out: no Python with ifcopenshell and shapely; RECIPES_PYTHON may name one");
    }
    has.then_some(python)
}

fn run(python: &str, arguments: &[&str]) -> Vec<u8> {
    let output = Command::new(python).args(arguments).output().expect("it was found before");
    assert!(output.status.success(), "{arguments:?}: {}", String::from_utf8_lossy(&output.stderr));
    output.stdout
}

fn repository() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).parent().expect("the crate lies in the repository").to_owned()
}

#[tokio::test(flavor = "multi_thread")]
async fn a_building_model_in_ifc_becomes_a_survey_that_is_priced_by_its_own_measures() {
    let Some(python) = python() else { return };
    let model = std::env::temp_dir().join(format!("invented-house-{}.ifc", std::process::id()));
    let path = model.to_str().expect("a plain path");
    let made = repository().join("tests/tests/recipes/model.py");
    let recipe = repository().join("openapi/examples/recipes/ifc_to_survey.py");
    let _ = run(&python, &[made.to_str().expect("a plain path"), path]);
    let given = [recipe.to_str().expect("a plain path"), path, "--dwelling", "detached", "--nation", "england"];
    let read = run(&python, &given);
    std::fs::remove_file(&model).expect("it was made");

    let mut request: Value = serde_json::from_slice(&read).expect("the recipe writes JSON");
    let rooms = request["survey"]["rooms"].as_array_mut().expect("rooms");
    // As the model has them: an L of six corners, walls of 0.1 m between rooms, a door, a window, a flat roof.
    let corners: Vec<usize> = rooms.iter().map(|room| room["corners"].as_array().map_or(0, Vec::len)).collect();
    assert_eq!(corners, [6, 4, 4, 4, 4]);
    assert_eq!((&rooms[2]["above"], &rooms[0]["height_m"]), (&json!("flat-roof"), &json!(2.4)));
    let door = &rooms[0]["openings"][0];
    assert_eq!(
        (&door["kind"], &door["wall"], &door["from_m"], &door["width_m"]),
        (&json!("door"), &json!("front"), &json!(1.0), &json!(0.9))
    );
    let window = &rooms[3]["openings"][0];
    assert_eq!((&window["kind"], &window["sill_m"], &window["head_m"]), (&json!("window"), &json!(0.9), &json!(2.0)));
    assert_eq!(
        (&rooms[0]["floor"]["construction"], &rooms[2]["wall"]),
        (&json!("solid-concrete"), &json!("aerated-block"))
    );
    for room in rooms.iter_mut() {
        room["points"] =
            json!([{ "type": "double-socket", "count": 2 }, { "type": "pendant" }, { "type": "one-way-switch" }]);
    }

    let app = App::open().await;
    let answer = app.price(request.to_string()).await;
    assert_eq!(answer.status.as_u16(), 201, "{}", String::from_utf8_lossy(&answer.bytes));
    let estimate = answer.json();
    assert!(estimate["totals"]["net"].as_str().is_some_and(|net| net.parse::<f64>().is_ok_and(|net| net > 1_000.0)));
    // Every room lies where it was drawn, and its use is read from the name that the model gives it.
    let assumed = estimate["assumptions"].as_array().expect("assumptions");
    let of = |id: &str| assumed.iter().filter(move |one| one["subject"] == id).collect::<Vec<_>>();
    assert!(of("lengths").is_empty() && of("room-size").is_empty(), "{assumed:#?}");
    let uses: Vec<&str> = of("room-use").iter().filter_map(|one| one["assumed"].as_str()).collect();
    for room_use in ["kitchen-diner", "hall", "utility", "bedroom", "landing"] {
        assert!(uses.contains(&room_use), "{room_use} of {uses:?}");
    }
}

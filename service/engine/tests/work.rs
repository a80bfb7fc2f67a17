//! An answer takes so many steps of work and no more: the same for the same survey on every machine, and none after nobody
//! waits for it any more.

mod support;

use std::path::Path;
use std::time::Duration;

use engine::Stamp;
use engine::estimate::Estimate;
use engine::limits::WORK_STEPS_MAX;
use engine::survey::EstimateRequest;
use engine::work::{Cancellation, Stopped, WorkBudget, WorkPart};
use serde_json::{Value, json};
use support::{ENGINE, WORKBOOK, example, read};

fn priced_within(request: &EstimateRequest, work: &WorkBudget) -> Result<Estimate, Stopped> {
    ENGINE.estimate_within(request, &WORKBOOK, Stamp { id: String::new(), created_at: String::new() }, work)
}

/// Steps that an estimate takes.
fn steps(request: &EstimateRequest) -> u64 {
    let work = WorkBudget::unlimited();
    assert!(priced_within(request, &work).is_ok());
    work.steps()
}

/// Rooms in one long row, their far walls like combs: every place on the outside wall is held against thousands of corners.
fn combs(rooms: usize) -> EstimateRequest {
    const TEETH: usize = 31;
    let comb = |index: usize| {
        let left = index as f64 * 4.0;
        let mut corners = vec![json!({ "x_m": left, "y_m": 0 }), json!({ "x_m": left + 4.0, "y_m": 0 })];
        for tooth in (0..TEETH).rev() {
            let at = |number: usize| left + 4.0 * number as f64 / TEETH as f64;
            let deep = if tooth.is_multiple_of(2) { 4.0 } else { 3.7 };
            corners.push(json!({ "x_m": at(tooth + 1), "y_m": deep }));
            corners.push(json!({ "x_m": at(tooth), "y_m": deep }));
        }
        json!({ "id": format!("room-{index}"), "storey": "ground", "corners": corners,
                "points": [{ "type": "double-socket", "count": 4 }, { "type": "pendant" }, { "type": "one-way-switch" }] })
    };
    read(&json!({ "survey": { "rooms": (0..rooms).map(comb).collect::<Vec<_>>() } }))
}

#[test]
fn the_same_survey_takes_the_same_steps_in_whatever_order_it_was_written_down() {
    let request = example("kestrel-bank.json");
    let mut turned = request.clone();
    turned.survey.rooms.reverse();
    turned.survey.rooms.iter_mut().for_each(|room| room.points.reverse());

    assert_eq!(steps(&request), steps(&request));
    assert_eq!(steps(&request), steps(&turned));
}

#[test]
fn the_demonstration_house_takes_a_small_part_of_what_one_answer_may() {
    let steps = steps(&example("kestrel-bank.json"));

    assert!(steps * 10 < WORK_STEPS_MAX, "{steps}");
}

#[test]
fn the_largest_house_that_is_searched_on_a_map_is_answered_within_three_quarters_of_the_work() {
    let room = |index: usize| -> Value {
        json!({ "id": format!("room-{index}"), "use": "bedroom", "storey": if index < 200 { "ground" } else { "first" },
                "outline": { "x_m": index % 200 % 15 * 4, "y_m": index % 200 / 15 * 4, "width_m": 4, "depth_m": 4 },
                "points": [{ "type": "double-socket", "count": 4 }, { "type": "pendant" }, { "type": "one-way-switch" },
                           { "type": "smoke-alarm" }, { "type": "data-outlet" }] })
    };
    let request = read(&json!({ "survey": { "rooms": (0..400).map(room).collect::<Vec<_>>() } }));

    let steps = steps(&request);
    assert!(steps * 4 < WORK_STEPS_MAX * 3, "{steps}");
}

#[test]
fn an_estimate_over_its_work_is_refused_and_names_the_part_that_took_most_of_it() {
    let request = combs(100);
    let work = WorkBudget::of(10_000_000, Cancellation::default());

    let refused = priced_within(&request, &work).expect_err("it takes more");

    assert_eq!(refused, Stopped::TooMuchWork(WorkPart::Routes));
    assert!(refused.to_string().contains("ways of its cables") && refused.to_string().contains("split"), "{refused}");
    assert!(work.steps() < 30_000_000, "it went on for {} steps", work.steps());
}

/// How long a thread has been on a core, by its folder under `/proc`: what else the machine does is not counted.
fn on_a_core(thread: &Path) -> Duration {
    let told = std::fs::read_to_string(Path::new("/proc").join(thread).join("schedstat")).expect("the system tells");
    Duration::from_nanos(told.split_whitespace().next().and_then(|text| text.parse().ok()).expect("a number"))
}

/// For how long an estimate goes on after the word was given so long after its start; none where it was done by then.
fn went_on_for(request: &EstimateRequest, called_off_after: Duration) -> Option<Duration> {
    let cancellation = Cancellation::default();
    let whoever_waits = cancellation.clone();
    let thread = std::fs::read_link("/proc/thread-self").expect("the system tells");
    let priced = thread.clone();
    let began = on_a_core(&thread);
    let gone = std::thread::spawn(move || {
        while on_a_core(&priced) - began < called_off_after {
            std::thread::sleep(Duration::from_millis(1));
        }
        whoever_waits.cancel();
        on_a_core(&priced)
    });

    let outcome = priced_within(request, &WorkBudget::of(u64::MAX, cancellation));
    let stopped = on_a_core(&thread);

    // Where it was done before, its time on a core goes on until the word is given.
    while !gone.is_finished() {
        std::hint::spin_loop();
    }
    let gone = gone.join().expect("it gives the word");
    outcome.is_err_and(|stopped| stopped == Stopped::Cancelled).then(|| stopped.saturating_sub(gone))
}

#[test]
fn an_estimate_that_nobody_waits_for_any_more_stops_within_a_moment_whatever_it_is_at() {
    let request = combs(240);
    let most = Duration::from_millis(if cfg!(debug_assertions) { 150 } else { 50 });
    for after in [1, 20, 50, 100, 200, 300, 600] {
        let Some(went_on) = went_on_for(&request, Duration::from_millis(after)) else { break };
        assert!(went_on < most, "called off after {after} ms it went on for {went_on:?}");
    }
}

#[test]
fn drawing_the_storeys_is_counted_and_called_off_like_any_other_work() {
    let request = combs(90);
    let work = WorkBudget::of(100_000, Cancellation::default());

    let refused = priced_within(&request, &work).expect_err("it takes more");

    assert_eq!(refused, Stopped::TooMuchWork(WorkPart::Plans));
    assert!(work.steps() < 1_000_000, "it went on for {} steps", work.steps());
}

/// So many rooms with a gap between them, half of them over the other half, a door in each and a neighbour on two sides.
fn terrace(rooms: usize) -> EstimateRequest {
    let half = rooms / 2;
    let row = half.isqrt();
    let room = |index: usize| {
        let place = index % half;
        json!({ "id": format!("room-{index}"), "storey": if index < half { "ground" } else { "first" },
                "outline": { "x_m": (place % row) as f64 * 4.2, "y_m": (place / row) as f64 * 4.2, "width_m": 4, "depth_m": 4 },
                "openings": [{ "kind": "door", "wall": "front", "from_m": 1, "width_m": 0.8 }],
                "points": [{ "type": "double-socket", "count": 4 }, { "type": "pendant" }] })
    };
    read(
        &json!({ "survey": { "site": { "party_walls": ["left", "right"] }, "rooms": (0..rooms).map(room).collect::<Vec<_>>() } }),
    )
}

#[test]
fn what_a_room_takes_to_draw_hardly_grows_with_how_many_there_are() {
    let [few, many] = [100, 400].map(|rooms| {
        let work = WorkBudget::unlimited();
        assert!(priced_within(&terrace(rooms), &work).is_ok());
        work.steps_of(WorkPart::Plans) as f64 / rooms as f64
    });

    assert!(many < few * 1.3, "{many:.0} steps for each of four hundred, {few:.0} for each of a hundred");
}

/// So many rooms with a heater each, and so a circuit each.
fn circuits(count: usize) -> EstimateRequest {
    let room = |index| json!({ "id": format!("room-{index}"), "points": [{ "type": "storage-heater-point" }] });
    read(&json!({ "survey": { "rooms": (0..count).map(room).collect::<Vec<_>>() } }))
}

#[test]
fn what_a_circuit_takes_hardly_grows_with_how_many_there_are() {
    let [few, some, many] = [10, 100, 1_000].map(|count| steps(&circuits(count)) as f64);

    let (first, last) = ((some - few) / 90.0, (many - some) / 900.0);

    assert!(last < first * 1.3, "{last:.0} steps for each of a thousand, {first:.0} for each of a hundred");
}

/// A shower in each of so many bathrooms, whose plates nobody has read.
fn unread(rooms: usize) -> EstimateRequest {
    let room = |index| {
        json!({ "id": format!("bath-{index}"), "use": "bathroom", "points": [{ "type": "shower-switch" }],
                "appliances": [{ "type": "shower" }] })
    };
    read(&json!({ "survey": { "rooms": (0..rooms).map(room).collect::<Vec<_>>() } }))
}

#[test]
fn few_unread_plates_are_asked_one_by_one_and_many_of_a_kind_once_for_all() {
    let asked = |rooms: usize| {
        let estimate = priced_within(&unread(rooms), &WorkBudget::unlimited()).expect("it has no end");
        let loads = estimate.questions.iter().filter(|question| question.id == "appliance-load");
        loads.map(|question| question.places.len()).collect::<Vec<_>>()
    };

    let few = asked(3);
    assert!(!few.is_empty() && few.iter().all(|places| *places == 1), "{few:?}");
    assert_eq!(asked(200), [200]);
}

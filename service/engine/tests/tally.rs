//! A tally kept as a table: what is read, what is refused, and where the fault is said to be.

use std::fmt::Write as _;
use std::sync::LazyLock;

use engine::limits::FAULTS_LISTED_MAX;
use engine::survey::tally::{self, TallyFault};
use engine::survey::{EstimateRequest, Finish, FloorConstruction, PointType, Priority, SurveyContract};
use proptest::prelude::*;

static CONTRACT: LazyLock<SurveyContract> = LazyLock::new(SurveyContract::new);

fn read(text: &str) -> EstimateRequest {
    tally::read(text.as_bytes()).unwrap_or_else(|faults| panic!("{text}: {faults:?}"))
}

fn faults(text: &str) -> Vec<TallyFault> {
    tally::read(text.as_bytes()).expect_err("a tally with a fault")
}

/// The one fault of a tally, as its row, its column and its detail.
fn fault(text: &str) -> (u64, Option<String>, String) {
    let [fault] = <[TallyFault; 1]>::try_from(faults(text)).expect("one fault");
    (fault.row, fault.column, fault.detail)
}

#[test]
fn rooms_come_in_the_order_of_the_tally_with_what_is_wanted_in_each() {
    let request = read("room,point,count\nKitchen,double-socket,6\nHall,pendant,1\nKitchen,heat-alarm,1\n");

    let rooms = &request.survey.rooms;
    assert_eq!(rooms.iter().map(|room| room.id.as_str()).collect::<Vec<_>>(), ["Kitchen", "Hall"]);
    assert_eq!(rooms[0].name.as_deref(), Some("Kitchen"));
    assert_eq!(rooms[0].points.len(), 2);
    assert_eq!((rooms[0].points[0].point_type, rooms[0].points[0].count), (PointType::DoubleSocket, Some(6)));
}

#[test]
fn the_published_example_is_the_reference_house() {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../../openapi/examples/tally.csv");
    let request = tally::read(&std::fs::read(path).expect("the example is there")).expect("it reads");

    let points: u32 = request.survey.rooms.iter().flat_map(|room| &room.points).filter_map(|point| point.count).sum();
    assert_eq!((request.survey.rooms.len(), points), (11, 75));
}

#[test]
fn a_tally_says_the_same_whatever_a_spreadsheet_makes_of_its_form() {
    let plain = read("room,point,count,floor\nKitchen,double-socket,6,suspended-timber\nHall,pendant,1,\n");

    assert_eq!(read("room;point;count;floor\nKitchen;double-socket;6;suspended-timber\nHall;pendant;1;\n"), plain);
    assert_eq!(
        read("room\tpoint\tcount\tfloor\nKitchen\tdouble-socket\t6\tsuspended-timber\nHall\tpendant\t1\n"),
        plain
    );
    assert_eq!(
        read(
            "\u{feff}Room, Point ,COUNT,floor\r\n\r\n Kitchen , double-socket , 6 ,suspended-timber\r\n,,,\r\nHall,pendant,1"
        ),
        plain
    );
    assert_eq!(read("count,room,floor,point\n6,Kitchen,suspended-timber,double-socket\n1,\"Hall\",,pendant\n"), plain);
    assert_eq!(
        read("room,point,count,floor,,\nKitchen,double-socket,6,suspended-timber,,\nHall,pendant,1,,,\n"),
        plain
    );
}

#[test]
fn rows_that_are_alike_add_up_and_rows_that_differ_in_finish_or_priority_stay_apart() {
    let request = read(
        "room,point,count,finish,priority\nHall,pendant,1,,\nHall,pendant,2,,\nHall,pendant,1,metal-flat,\n\
         Hall,pendant,1,,must\n",
    );

    let points = &request.survey.rooms[0].points;
    assert_eq!(points.iter().map(|point| point.count).collect::<Vec<_>>(), [Some(3), Some(1), Some(1)]);
    assert_eq!((points[1].finish, points[2].priority), (Some(Finish::MetalFlat), Some(Priority::Must)));
}

#[test]
fn storey_and_floor_need_be_said_once_a_room() {
    let request = read("room,point,count,storey,floor\nHall,pendant,1,,\nHall,data-outlet,1,ground,stone-flag\n");

    let hall = &request.survey.rooms[0];
    assert_eq!(hall.storey.as_deref(), Some("ground"));
    assert_eq!(hall.floor.as_ref().and_then(|floor| floor.construction), Some(FloorConstruction::StoneFlag));
}

#[test]
fn two_rows_may_not_disagree_on_where_a_room_is() {
    let text = "room,point,count,storey,floor\nHall,pendant,1,ground,stone-flag\nHall,pendant,1,first,beam-and-block\n";

    let found = faults(text);

    assert_eq!(found.len(), 2);
    assert_eq!((found[0].row, found[0].column.as_deref()), (3, Some("floor")));
    assert_eq!((found[1].row, found[1].column.as_deref()), (3, Some("storey")));
    assert!(found[1].detail.contains("row 2 has `ground`"), "{}", found[1].detail);
}

#[test]
fn every_fault_is_told_at_once_with_its_row_and_column() {
    let text = "room,point,count,finish\nKitchen,dubble-socket,6,\n\nHall,pendant,-2,chrome\n,pendant,1,\nHall,,1.5,\n";

    let found = faults(text);

    let places: Vec<(u64, &str)> =
        found.iter().map(|fault| (fault.row, fault.column.as_deref().unwrap_or_default())).collect();
    assert_eq!(places, [(2, "point"), (4, "count"), (4, "finish"), (5, "room"), (6, "count"), (6, "point")]);
    assert_eq!(found[0].detail, "`dubble-socket` is not known here; did you mean `double-socket`?");
    assert_eq!(found[1].detail, "`count` is -2; give a whole number from 0 to 10000");
}

#[test]
fn a_misspelt_column_is_refused_with_the_name_that_was_meant() {
    let (row, column, detail) = fault("room,point,count,story\nHall,pendant,1,ground\n");

    assert_eq!((row, column.as_deref()), (1, Some("story")));
    assert_eq!(detail, "there is no column `story`; did you mean `storey`?");
}

#[test]
fn a_column_that_is_missing_or_there_twice_is_named() {
    let (row, column, _) = fault("room,point\nHall,pendant\n");
    assert_eq!((row, column.as_deref()), (1, Some("count")));

    let (row, column, detail) = fault("room,point,count,count\nHall,pendant,1,2\n");
    assert_eq!((row, column.as_deref()), (1, Some("count")));
    assert!(detail.contains("twice"), "{detail}");
}

#[test]
fn a_cell_under_no_heading_is_not_passed_over() {
    assert_eq!(fault("room,point,count\nHall,pendant,1,ground\n").0, 2);
    assert_eq!(fault("room,point,count,\nHall,pendant,1,ground\n").0, 2);
}

#[test]
fn a_room_written_two_ways_is_not_two_rooms() {
    let (row, column, detail) = fault("room,point,count\nBed 1,pendant,1\nbed  1,data-outlet,1\n");

    assert_eq!((row, column.as_deref()), (3, Some("room")));
    assert!(detail.contains("`Bed 1` in row 2"), "{detail}");
}

#[test]
fn a_name_of_64_characters_is_read_and_one_of_65_is_not() {
    let longest = "ö".repeat(64);

    assert_eq!(read(&format!("room,point,count\n{longest},pendant,1\n")).survey.rooms[0].id, longest);
    assert_eq!(fault(&format!("room,point,count\n{longest}ö,pendant,1\n")).0, 2);
}

#[test]
fn counts_are_whole_from_nought_to_ten_thousand_and_so_is_their_sum() {
    assert_eq!(read("room,point,count\nHall,pendant,10000\nHall,data-outlet,0\n").survey.rooms[0].points.len(), 2);
    for wrong in ["10001", "+1", "1e3", "", "99999999999", "ten"] {
        let (row, column, _) = fault(&format!("room,point,count\nHall,pendant,{wrong}\n"));
        assert_eq!((row, column.as_deref()), (2, Some("count")), "{wrong}");
    }
    let (row, column, _) = fault("room,point,count\nHall,pendant,10000\nHall,pendant,1\n");
    assert_eq!((row, column.as_deref()), (3, Some("count")));
}

#[test]
fn an_empty_tally_or_one_without_points_says_what_to_send() {
    assert!(fault("").2.contains("room,point,count"));
    assert!(fault("\n\n  \n").2.contains("room,point,count"));
    assert!(fault("room,point,count\n").2.contains("no room has any points"));
    assert_eq!(fault("\n\nroom,point,count\nHall,pendant,0\n").0, 3);
}

#[test]
fn a_file_in_another_encoding_is_refused_with_the_row_of_the_first_odd_character() {
    let found = tally::read(b"room,point,count\r\nHall,pendant,1\r\nCaf\xe9,pendant,1\r\n").expect_err("Latin-1");

    assert_eq!((found.len(), found[0].row), (1, 3));
}

#[test]
fn a_quotation_mark_left_open_is_told_where_it_opens() {
    let found = faults("room,point,count\nHall,pendant,1\n\"Kit,pendant,1\nBed,pendant,1\n");

    assert!(found.iter().all(|fault| fault.row == 3), "{found:?}");
    assert!(found.iter().any(|fault| fault.detail.contains("quotation mark")), "{found:?}");
}

#[test]
fn the_usual_words_for_storeys_are_read_and_others_are_refused_with_the_list() {
    for storey in ["cellar", "basement", "ground", "first", "second", "third", "loft"] {
        let request = read(&format!("room,point,count,storey\nHall,pendant,1,{storey}\n"));
        assert_eq!(request.survey.rooms[0].storey.as_deref(), Some(storey));
    }
    let (row, column, detail) = fault("room,point,count,storey\nHall,pendant,1,mezzanine\n");
    assert_eq!((row, column.as_deref()), (2, Some("storey")));
    assert!(detail.contains("ground, first"), "{detail}");
}

#[test]
fn a_tally_is_read_as_an_office_writes_it() {
    let plain = read("room,point,count,storey\nKitchen,double-socket,6,ground\nHall,two-way-switch,1,first\n");
    let written = "Location;Item;Qty;Level\nKitchen;Double sockets;6.0;Ground floor\nHall;2 way switch;1,0;1st floor\n";

    assert_eq!(read(&written.replace("1,0", "1.00")), plain);
    let gangs = read("Room,Accessory,No.\nHall,2-gang 2-way switch,1\n");
    assert_eq!(gangs.survey.rooms[0].points[0].gangs, Some(2));
    assert_eq!(fault("room,point,count\nHall,pendant,1.5\n").1.as_deref(), Some("count"));
}

#[test]
fn a_tally_of_nothing_but_faults_lists_the_first_hundred() {
    let mut text = "room,point,count\n".to_owned();
    for row in 0..500 {
        writeln!(text, "Room {row},pendent,1").expect("writes to memory");
    }

    let found = faults(&text);

    assert_eq!(found.len(), FAULTS_LISTED_MAX);
    assert_eq!((found[0].row, found[99].row), (2, 101));
}

/// The rows of a request that came from a tally, written out again.
fn rendered(request: &EstimateRequest, separator: u8) -> Vec<u8> {
    let mut writer = csv::WriterBuilder::new().delimiter(separator).from_writer(Vec::new());
    writer.write_record(["room", "point", "count", "storey", "floor", "finish", "priority"]).expect("to memory");
    for room in &request.survey.rooms {
        let floor = room.floor.as_ref().and_then(|floor| floor.construction).map_or("", FloorConstruction::word);
        for point in &room.points {
            writer
                .write_record([
                    room.id.as_str(),
                    point.point_type.word(),
                    &point.count.unwrap_or(1).to_string(),
                    room.storey.as_deref().unwrap_or_default(),
                    floor,
                    point.finish.map_or("", Finish::word),
                    point.priority.map_or("", Priority::word),
                ])
                .expect("to memory");
        }
    }
    writer.into_inner().expect("memory does not fail")
}

/// A tally's row: index of the room, then what is wanted there.
type Row = (usize, PointType, u32, Option<Finish>, Option<Priority>);

fn row() -> impl Strategy<Value = Row> {
    (
        0..4usize,
        proptest::sample::select(PointType::ALL),
        1..100u32,
        proptest::option::of(proptest::sample::select(Finish::ALL)),
        proptest::option::of(proptest::sample::select(Priority::ALL)),
    )
}

/// Names with all that a table stumbles on: separators, quotation marks, signs that start a formula.
fn names() -> impl Strategy<Value = Vec<String>> {
    proptest::collection::vec("[A-Za-z0-9,;\"'=+@|é-]{1,12}", 4)
        .prop_map(|names| names.iter().enumerate().map(|(index, name)| format!("{name}{index}")).collect())
}

proptest! {
    #[test]
    fn a_tally_written_out_and_read_again_is_the_same_request(
        names in names(),
        rows in proptest::collection::vec(row(), 1..40),
        floor in proptest::option::of(proptest::sample::select(FloorConstruction::ALL)),
    ) {
        let mut writer = csv::Writer::from_writer(Vec::new());
        writer.write_record(["room", "point", "count", "floor", "finish", "priority"]).expect("to memory");
        for (room, point, count, finish, priority) in rows {
            let count = count.to_string();
            let row = [names[room].as_str(), point.word(), &count, floor.map_or("", FloorConstruction::word),
                finish.map_or("", Finish::word), priority.map_or("", Priority::word)];
            writer.write_record(row).expect("to memory");
        }

        let request = tally::read(&writer.into_inner().expect("memory does not fail")).expect("a right tally");

        for separator in [b',', b';', b'\t'] {
            prop_assert_eq!(&tally::read(&rendered(&request, separator)), &Ok(request.clone()));
        }
    }

    #[test]
    fn what_a_tally_gives_is_a_survey_that_the_contract_takes(
        rows in proptest::collection::vec(row(), 1..10),
    ) {
        let mut text = "room,point,count\n".to_owned();
        for (room, point, count, ..) in rows {
            writeln!(text, "Room {room},{point},{count}").expect("writes to memory");
        }

        let request = read(&text);
        let json = serde_json::to_vec(&request).expect("a request writes as JSON");

        prop_assert_eq!(engine::survey::read(&CONTRACT, &json), Ok(request));
    }

    #[test]
    fn no_bytes_make_the_reader_panic(bytes in proptest::collection::vec(any::<u8>(), 0..400)) {
        let _ = tally::read(&bytes);
    }

    #[test]
    fn no_text_below_a_right_heading_makes_the_reader_panic_and_faults_point_into_the_file(
        text in "[a-c,;\"\r\n \t0-9é=]{0,200}",
    ) {
        let text = format!("room,point,count\n{text}");
        if let Err(faults) = tally::read(text.as_bytes()) {
            let lines = text.replace("\r\n", "\n").replace('\r', "\n").matches('\n').count() as u64 + 1;
            prop_assert!(faults.iter().all(|fault| (1..=lines).contains(&fault.row)), "{:?}", faults);
        }
    }
}

#[test]
fn the_first_line_may_say_what_kind_of_job_it_is() {
    let read = |scope: &str| tally::read(format!("scope,{scope}\nroom,point,count\nhall,pendant,one\n").as_bytes());
    let sound = tally::read(b"scope;partial-rewire\nroom;point;count\nhall;pendant;1\n").expect("it is read");

    assert_eq!(sound.survey.scope.map(|scope| scope.word()), Some("partial-rewire"));
    assert_eq!(read("addition").expect_err("the count is no number")[0].row, 3);
    assert_eq!(read("adition").expect_err("no such kind")[0].row, 1);
}

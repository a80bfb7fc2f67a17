//! Places in the house and things in it, by the names that the survey gives them.

use crate::take_off::Job;
use crate::unknowns::HousePlace;

/// Places as a flag names them: circuits by their ways on the board.
pub(crate) fn of_flag(job: Job<'_>, places: &[HousePlace]) -> Vec<String> {
    places.iter().map(|place| named(job, *place)).collect()
}

/// Places as a question names them: circuits by what they serve, for people know no ways.
pub(crate) fn of_question(job: Job<'_>, places: &[HousePlace]) -> Vec<String> {
    let name = |place: &HousePlace| match place {
        HousePlace::Circuit(index) => job.installation.circuits[*index].name.clone(),
        other => named(job, *other),
    };
    places.iter().map(name).collect()
}

fn named(job: Job<'_>, place: HousePlace) -> String {
    let plain = |word: &str| word.replace('-', " ");
    match place {
        HousePlace::House => "house".to_owned(),
        HousePlace::Board => "board".to_owned(),
        HousePlace::Intake => "intake".to_owned(),
        HousePlace::Stair => "stair".to_owned(),
        HousePlace::Loft => "loft".to_owned(),
        HousePlace::Room(room) => job.site.rooms[room].id.clone(),
        HousePlace::Circuit(circuit) => job.installation.circuits[circuit].id.clone(),
        HousePlace::Service(service) => plain(service.word()),
        HousePlace::Obstruction(index) => {
            let one = &job.site.obstructions[index];
            format!("{}, {}", plain(one.obstruction_type.word()), one.storey.as_deref().unwrap_or("house"))
        }
        HousePlace::Appliances(kind, room) => format!("{}, {}", plain(kind.word()), job.site.rooms[room].id),
        HousePlace::Rule(word) => word.to_owned(),
    }
}

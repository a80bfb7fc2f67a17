//! The assumptions as they go out.

use super::{Assumption, words};
use crate::site::{Assumed, AssumedEntry, AssumedPlace, Assumptions};
use crate::take_off::Job;

/// What was taken where nothing was recorded, and what every job rests on.
pub(crate) fn assumptions(made: &Assumptions, job: Job<'_>) -> Vec<Assumption> {
    let mut entries: Vec<Assumption> = Vec::new();
    for AssumedEntry { assumed, places } in made.entries() {
        let new = assumption(job, *assumed, places.iter().map(word).collect());
        // Figures that differ by less than is printed are one entry.
        let alike = |entry: &&mut Assumption| {
            entry.subject == new.subject && entry.assumed == new.assumed && entry.because == new.because
        };
        match entries.iter_mut().find(alike) {
            Some(entry) => entry.places.extend(new.places),
            None => entries.push(new),
        }
    }
    entries.extend(of_the_job(job).map(|assumed| assumption(job, assumed, vec![word(&AssumedPlace::House)])));
    entries
}

/// What is taken of any job of its kind.
fn of_the_job(job: Job<'_>) -> impl Iterator<Item = Assumed> {
    let taken = [
        (job.visit.is_some(), Assumed::Visit),
        (job.site.measured && job.ways.network().is_none(), Assumed::Routes),
        (!job.site.measured, Assumed::Lengths),
        (true, Assumed::CablesAsTheyLie),
        (true, Assumed::LampLoad),
    ];
    taken.into_iter().filter(|(is_taken, _)| *is_taken).map(|(_, assumed)| assumed)
}

fn assumption(job: Job<'_>, assumed: Assumed, places: Vec<String>) -> Assumption {
    Assumption {
        subject: assumed.subject().word().into(),
        places,
        assumed: words::assumptions::taken(job, assumed),
        because: words::assumptions::because(job, assumed).into_owned(),
    }
}

fn word(place: &AssumedPlace) -> String {
    match place {
        AssumedPlace::House => "house".to_owned(),
        AssumedPlace::Room(id) => id.clone(),
        AssumedPlace::Service(kind) => kind.word().to_owned(),
    }
}

//! The places at which the engine works: as many as there are cores. A request waits once, in a queue that is fair among
//! firms; when it comes back from the database for its next step, it goes before all who have not begun.

use std::collections::VecDeque;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::Instant;

use store::FirmId;
use tokio::sync::oneshot;

use crate::auth::Identity;
use crate::fair_queue::{FairQueue, Queued};
use crate::limits;
use crate::problem::{Kind, Problem};

/// The places, and who waits for one.
pub struct Places(Mutex<State>);

struct State {
    free: usize,
    waiting_max: usize,
    standing_max: usize,
    /// Since when there has always been somebody waiting who has not begun.
    standing_since: Option<Instant>,
    /// Until when the queue is kept short, since it has stood: those who were told to come again come again.
    short_until: Option<Instant>,
    next_ticket: u64,
    /// Requests that have begun and come back for their next step.
    returning: VecDeque<(u64, oneshot::Sender<Outcome>)>,
    fresh: FairQueue<oneshot::Sender<Outcome>>,
}

/// What one who waits is told.
enum Outcome {
    Place,
    PushedOut,
}

/// A place, held for as long as this lives.
pub struct Place {
    places: Arc<Places>,
    who: Identity,
    expected_us: u64,
    since: Instant,
}

/// One who waits. Whoever goes away leaves the queue, and gives on a place that has just been given.
struct Waiting {
    places: Arc<Places>,
    who: Identity,
    ticket: u64,
    outcome: oneshot::Receiver<Outcome>,
}

impl Places {
    /// As many places, and a queue for as many requests that have not begun. A rush may fill it. Where the queue stands,
    /// because more keep coming than are worked off, it is kept short: waiting longer would get nobody more.
    pub fn new(count: usize, waiting_max: usize) -> Self {
        let (returning, fresh) = (VecDeque::new(), FairQueue::new(waiting_max));
        let standing_max = waiting_max.min(count * limits::STANDING_PER_PLACE);
        Self(Mutex::new(State {
            free: count,
            waiting_max,
            standing_max,
            standing_since: None,
            short_until: None,
            next_ticket: 0,
            returning,
            fresh,
        }))
    }

    /// Whether a request of that firm would be taken into the queue now.
    ///
    /// # Errors
    /// `Unavailable` where it would not.
    pub fn expect_room(&self, firm: FirmId) -> Result<(), Problem> {
        let mut state = self.state();
        state.look_at_queue();
        if state.fresh.has_room_for(firm) { Ok(()) } else { Err(too_many()) }
    }

    /// A place for a request that has not begun.
    ///
    /// # Errors
    /// `Unavailable` where too many wait already or no place comes free in time.
    pub async fn first(self: &Arc<Self>, who: Identity, expected_us: u64) -> Result<Place, Problem> {
        let waiting = self.enqueue(who, |state, ticket, sender| {
            match state.fresh.push(who, ticket, expected_us, sender) {
                Queued::Waits => true,
                Queued::InPlaceOf(last) => {
                    // Whoever is no longer there needs not be told.
                    let _ = last.send(Outcome::PushedOut);
                    true
                }
                Queued::Refused => false,
            }
        });
        let Some(mut waiting) = waiting else { return Err(too_many()) };
        match tokio::time::timeout(limits::QUEUE_TIME, &mut waiting.outcome).await {
            Ok(Ok(Outcome::Place)) => Ok(waiting.into_place(expected_us)),
            Ok(Ok(Outcome::PushedOut)) => Err(too_many()),
            // Nobody else drops the other end.
            Ok(Err(lost)) => Err(Problem::internal(lost)),
            Err(_) => {
                Err(Problem::new(Kind::Unavailable, "no core came free in time; the same request can be sent again"))
            }
        }
    }

    /// A place for the first step of a request that was admitted as a whole: it takes its turn, and is neither refused nor
    /// pushed out. The request's own time limit holds.
    ///
    /// # Errors
    /// `Internal` where the queue is broken.
    pub async fn first_of_admitted(self: &Arc<Self>, who: Identity, expected_us: u64) -> Result<Place, Problem> {
        let waiting = self.enqueue(who, |state, ticket, sender| {
            state.fresh.push_admitted(who, ticket, expected_us, sender);
            true
        });
        let Some(mut waiting) = waiting else { return Err(too_many()) };
        match (&mut waiting.outcome).await.map_err(Problem::internal)? {
            Outcome::Place => Ok(waiting.into_place(expected_us)),
            Outcome::PushedOut => Err(too_many()),
        }
    }

    /// A place for the next step of a request that has begun. It is not refused; the request's own time limit holds.
    ///
    /// # Errors
    /// `Internal` where the queue is broken.
    pub async fn next(self: &Arc<Self>, who: Identity) -> Result<Place, Problem> {
        let waiting = self.enqueue(who, |state, ticket, sender| {
            state.returning.push_back((ticket, sender));
            true
        });
        let Some(mut waiting) = waiting else { return Err(too_many()) };
        (&mut waiting.outcome).await.map_err(Problem::internal)?;
        Ok(waiting.into_place(0))
    }

    /// One more who waits, unless `put` finds no room.
    fn enqueue(
        self: &Arc<Self>,
        who: Identity,
        put: impl FnOnce(&mut State, u64, oneshot::Sender<Outcome>) -> bool,
    ) -> Option<Waiting> {
        let (sender, outcome) = oneshot::channel();
        let mut state = self.state();
        state.look_at_queue();
        let ticket = state.next_ticket;
        state.next_ticket += 1;
        if !put(&mut state, ticket, sender) {
            return None;
        }
        state.give();
        Some(Waiting { places: Arc::clone(self), who, ticket, outcome })
    }

    fn state(&self) -> MutexGuard<'_, State> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

impl State {
    /// Sets how long the queue may be, by how long it has stood, and turns away those beyond.
    fn look_at_queue(&mut self) {
        let now = Instant::now();
        if self.standing_since.is_some_and(|since| now > since + limits::STANDING_TIME) {
            self.short_until = Some(now + limits::SHORT_TIME);
        }
        let stands = self.short_until.is_some_and(|until| now < until);
        self.fresh.shorten_to(if stands { self.standing_max } else { self.waiting_max });
        while stands && let Some(last) = self.fresh.pop_beyond() {
            // Whoever is no longer there needs not be told.
            let _ = last.send(Outcome::PushedOut);
        }
    }

    /// Gives the free places to those who are next.
    fn give(&mut self) {
        while self.free > 0 {
            let returning = self.returning.pop_front().map(|(_, sender)| sender);
            let Some(next) = returning.or_else(|| self.fresh.pop()) else { break };
            if next.send(Outcome::Place).is_ok() {
                self.free -= 1;
            }
        }
        self.note_queue();
    }

    /// Notes whether anybody waits.
    fn note_queue(&mut self) {
        match self.fresh.len() {
            0 => self.standing_since = None,
            _ => self.standing_since = self.standing_since.or_else(|| Some(Instant::now())),
        }
    }
}

impl Waiting {
    fn into_place(self, expected_us: u64) -> Place {
        // The outcome has been taken: dropping this finds nothing to give back.
        Place { places: Arc::clone(&self.places), who: self.who, expected_us, since: Instant::now() }
    }
}

impl Drop for Waiting {
    fn drop(&mut self) {
        let mut state = self.places.state();
        let before = state.returning.len();
        state.returning.retain(|(ticket, _)| *ticket != self.ticket);
        let waited = state.returning.len() < before || state.fresh.remove(self.who, self.ticket);
        state.note_queue();
        if !waited && matches!(self.outcome.try_recv(), Ok(Outcome::Place)) {
            state.free += 1;
            state.give();
        }
    }
}

impl Drop for Place {
    fn drop(&mut self) {
        let took_us = u64::try_from(self.since.elapsed().as_micros()).unwrap_or(u64::MAX);
        let mut state = self.places.state();
        state.fresh.correct(self.who, self.expected_us, took_us);
        state.free += 1;
        state.give();
    }
}

fn too_many() -> Problem {
    Problem::new(Kind::Unavailable, "too many requests are waiting; the same request can be sent again")
}

#[cfg(test)]
mod tests {
    use std::time::Duration;

    use super::*;
    use uuid::Uuid;

    fn who(firm: u128) -> Identity {
        Identity { firm: FirmId::from_uuid(Uuid::from_u128(firm)), key: None }
    }

    #[actix_web::test]
    async fn a_request_that_has_begun_goes_before_those_that_have_not() {
        let places = Arc::new(Places::new(1, 10));
        let held = places.first(who(1), 1_000).await.expect("a free place");
        let fresh = actix_web::rt::spawn({
            let places = Arc::clone(&places);
            async move { places.first(who(2), 1_000).await.map(|_| Instant::now()) }
        });
        tokio::time::sleep(Duration::from_millis(20)).await;
        let returning = actix_web::rt::spawn({
            let places = Arc::clone(&places);
            async move { places.next(who(1)).await.map(|_| Instant::now()) }
        });
        tokio::time::sleep(Duration::from_millis(20)).await;

        drop(held);

        let fresh = fresh.await.expect("it runs").expect("its turn comes");
        let returning = returning.await.expect("it runs").expect("its turn comes");
        assert!(returning <= fresh, "who has begun waits behind nobody who has not");
    }

    #[actix_web::test]
    async fn whoever_goes_away_leaves_the_queue_and_no_place_is_lost() {
        let places = Arc::new(Places::new(1, 1));
        let held = places.first(who(1), 1_000).await.expect("a free place");
        {
            let gone = places.first(who(1), 1_000);
            assert!(tokio::time::timeout(Duration::from_millis(20), gone).await.is_err(), "it waits");
        }
        let waits = places.first(who(1), 1_000);
        let given_and_gone = async {
            let _ = tokio::time::timeout(Duration::from_millis(1), waits).await;
        };
        drop(held);
        given_and_gone.await;

        let again = tokio::time::timeout(Duration::from_secs(1), places.first(who(3), 1_000)).await;
        assert!(again.expect("no place was lost").is_ok());
    }

    #[actix_web::test]
    async fn a_queue_that_stands_is_kept_short_and_one_that_was_empty_takes_a_rush() {
        let places = Arc::new(Places::new(1, 10));
        let rush = async |count: usize| {
            let all: Vec<_> = (0..count).map(|_| Box::pin(places.first(who(1), 1_000))).collect();
            let mut waiting = Vec::new();
            for mut one in all {
                match futures_util::poll!(&mut one) {
                    std::task::Poll::Pending => waiting.push(one),
                    std::task::Poll::Ready(ended) => assert!(ended.is_err(), "the place is held"),
                }
            }
            waiting
        };
        let held = places.first(who(1), 1_000).await.expect("a free place");
        let mut waiting = rush(12).await;
        assert_eq!(waiting.len(), 10, "a rush");
        tokio::time::sleep(limits::STANDING_TIME + Duration::from_millis(50)).await;

        let more = rush(12).await;

        assert!(more.is_empty(), "it stands");
        let mut left = Vec::new();
        for mut one in waiting.drain(..) {
            match futures_util::poll!(&mut one) {
                std::task::Poll::Pending => left.push(one),
                std::task::Poll::Ready(ended) => assert!(ended.is_err(), "the place is held"),
            }
        }
        assert_eq!(left.len(), limits::STANDING_PER_PLACE);
        drop(left);
        assert_eq!(rush(12).await.len(), limits::STANDING_PER_PLACE, "they come again");
        tokio::time::sleep(limits::SHORT_TIME + Duration::from_millis(50)).await;
        assert_eq!(rush(12).await.len(), 10, "it was empty");
        drop(held);
    }

    #[actix_web::test]
    async fn one_too_many_is_refused_at_once_with_a_time_to_come_again() {
        let places = Arc::new(Places::new(1, 1));
        let _held = places.first(who(1), 1_000).await;
        let mut waits = std::pin::pin!(places.first(who(1), 1_000));
        assert!(futures_util::poll!(&mut waits).is_pending());
        assert!(places.expect_room(who(1).firm).is_err());
        let refused = places.first(who(1), 1_000).await.err().expect("no room");
        assert_eq!(refused.kind(), Kind::Unavailable);
    }
}

//! Who is next: a queue that is fair among firms, and among the keys of a firm.
//!
//! Every firm, and every key within it, has an account of the work done for it; the one with the least is next. Whoever
//! was idle begins where the others stand, so that nobody saves up. A full queue makes room for a firm that has few in it
//! by turning away the last of the firm that has most.

use std::collections::{BTreeMap, VecDeque};

use store::{Digest, FirmId};

use crate::auth::Identity;

/// The queue. Work is in microseconds.
#[derive(Debug)]
pub struct FairQueue<T> {
    waiting_max: usize,
    /// Those who may be turned away; whoever stays is not in this.
    waiting: usize,
    /// The account of the firm that was served last: where a newcomer begins.
    now: u64,
    firms: BTreeMap<FirmId, Firm<T>>,
}

#[derive(Debug)]
struct Firm<T> {
    account: u64,
    /// Those who may be turned away.
    waiting: usize,
    /// Those who stay.
    staying: usize,
    now: u64,
    keys: BTreeMap<Option<Digest>, KeyQueue<T>>,
}

#[derive(Debug)]
struct KeyQueue<T> {
    account: u64,
    waiting: VecDeque<QueuedRequest<T>>,
}

#[derive(Debug)]
struct QueuedRequest<T> {
    ticket: u64,
    work_us: u64,
    /// It has its turn already and is not turned away.
    stays: bool,
    item: T,
}

/// What became of one that came.
#[derive(Debug, PartialEq, Eq)]
pub enum Queued<T> {
    /// It waits.
    Waits,
    /// It waits, and this one, the last of another firm's, had to leave.
    InPlaceOf(T),
    /// There is no room for it.
    Refused,
}

impl<T> FairQueue<T> {
    /// A queue for as many at most.
    pub fn new(waiting_max: usize) -> Self {
        Self { waiting_max, waiting: 0, now: 0, firms: BTreeMap::new() }
    }

    /// How many wait who may be turned away.
    pub fn len(&self) -> usize {
        self.waiting
    }

    /// From now on so many at most; [`Self::pop_beyond`] takes out who is too many.
    pub fn shorten_to(&mut self, waiting_max: usize) {
        self.waiting_max = waiting_max;
    }

    /// Takes out one who is too many: the last of the firm that has most.
    pub fn pop_beyond(&mut self) -> Option<T> {
        if self.waiting <= self.waiting_max {
            return None;
        }
        let (longest, _) = self.firms.iter().max_by_key(|(_, firm)| firm.waiting)?;
        self.pop_last(*longest)
    }

    /// Whether one more of that firm would find room.
    pub fn has_room_for(&self, firm: FirmId) -> bool {
        self.waiting < self.waiting_max || self.longest_but(firm).is_some()
    }

    /// Puts one at the end of its line. The ticket is for taking it out again.
    pub fn push(&mut self, who: Identity, ticket: u64, work_us: u64, item: T) -> Queued<T> {
        let mut queued = Queued::Waits;
        if self.waiting >= self.waiting_max {
            match self.longest_but(who.firm).and_then(|firm| self.pop_last(firm)) {
                Some(last) => queued = Queued::InPlaceOf(last),
                None => return Queued::Refused,
            }
        }
        self.put(who, QueuedRequest { ticket, work_us, stays: false, item });
        queued
    }

    /// As [`Self::push`], for one that has been let in and only waits for its turn: there is room, and it stays.
    pub fn push_admitted(&mut self, who: Identity, ticket: u64, work_us: u64, item: T) {
        self.put(who, QueuedRequest { ticket, work_us, stays: true, item });
    }

    fn put(&mut self, who: Identity, request: QueuedRequest<T>) {
        let stays = request.stays;
        let now = self.now;
        let firm = self.firms.entry(who.firm).or_insert_with(|| Firm::new(now));
        firm.account = if firm.is_idle() { firm.account.max(now) } else { firm.account };
        let now = firm.now;
        let line = firm.keys.entry(who.key).or_insert_with(|| KeyQueue { account: now, waiting: VecDeque::new() });
        line.account = if line.waiting.is_empty() { line.account.max(now) } else { line.account };
        line.waiting.push_back(request);
        if stays {
            firm.staying += 1;
        } else {
            firm.waiting += 1;
            self.waiting += 1;
        }
    }

    /// Takes out the one that is next, and enters its work.
    pub fn pop(&mut self) -> Option<T> {
        let firm = self.firms.values_mut().filter(|firm| !firm.is_idle()).min_by_key(|firm| firm.account)?;
        self.now = self.now.max(firm.account);
        let line = firm.keys.values_mut().filter(|line| !line.waiting.is_empty()).min_by_key(|line| line.account)?;
        firm.now = firm.now.max(line.account);
        let next = line.waiting.pop_front()?;
        line.account += next.work_us;
        firm.account += next.work_us;
        firm.one_left(next.stays, &mut self.waiting);
        self.forget_idle();
        Some(next.item)
    }

    /// Corrects an account once it is known how much the work was.
    pub fn correct(&mut self, who: Identity, expected_us: u64, took_us: u64) {
        let now = self.now;
        let firm = self.firms.entry(who.firm).or_insert_with(|| Firm::new(now));
        firm.account = (firm.account + took_us).saturating_sub(expected_us);
        let now = firm.now;
        let line = firm.keys.entry(who.key).or_insert_with(|| KeyQueue { account: now, waiting: VecDeque::new() });
        line.account = (line.account + took_us).saturating_sub(expected_us);
        self.forget_idle();
    }

    /// Takes one out that no longer waits; says whether it was there.
    pub fn remove(&mut self, who: Identity, ticket: u64) -> bool {
        let Some(firm) = self.firms.get_mut(&who.firm) else { return false };
        let Some(line) = firm.keys.get_mut(&who.key) else { return false };
        let Some(place) = line.waiting.iter().position(|waiting| waiting.ticket == ticket) else { return false };
        let stays = line.waiting.remove(place).is_some_and(|gone| gone.stays);
        firm.one_left(stays, &mut self.waiting);
        true
    }

    /// The firm with most in the queue, if it has more than that one would have with one more.
    fn longest_but(&self, firm: FirmId) -> Option<FirmId> {
        let own = self.firms.get(&firm).map_or(0, |firm| firm.waiting);
        let (longest, most) = self.firms.iter().max_by_key(|(_, firm)| firm.waiting)?;
        (most.waiting > own + 1).then_some(*longest)
    }

    /// Takes out the last of the longest line of a firm.
    fn pop_last(&mut self, firm: FirmId) -> Option<T> {
        let firm = self.firms.get_mut(&firm)?;
        let leaving = |line: &KeyQueue<T>| line.waiting.iter().filter(|waiting| !waiting.stays).count();
        let longest = firm.keys.values_mut().max_by_key(|line| leaving(line))?;
        let place = longest.waiting.iter().rposition(|waiting| !waiting.stays)?;
        let last = longest.waiting.remove(place)?;
        firm.waiting -= 1;
        self.waiting -= 1;
        Some(last.item)
    }

    /// An account that is not ahead of the others is not worth keeping.
    fn forget_idle(&mut self) {
        let now = self.now;
        self.firms.retain(|_, firm| {
            let (idle, account, now_of_firm) = (firm.is_idle(), firm.account, firm.now);
            firm.keys.retain(|_, line| !line.waiting.is_empty() || line.account > now_of_firm);
            !idle || account > now
        });
    }
}

impl<T> Firm<T> {
    fn new(now: u64) -> Self {
        Self { account: now, waiting: 0, staying: 0, now: 0, keys: BTreeMap::new() }
    }

    fn is_idle(&self) -> bool {
        self.waiting + self.staying == 0
    }

    fn one_left(&mut self, stayed: bool, waiting_of_all: &mut usize) {
        if stayed {
            self.staying -= 1;
        } else {
            self.waiting -= 1;
            *waiting_of_all -= 1;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use uuid::Uuid;

    fn who(firm: u128, key: u8) -> Identity {
        Identity { firm: FirmId::from_uuid(Uuid::from_u128(firm)), key: Some(Digest::of(&[key])) }
    }

    fn filled(firm: Identity, count: u64) -> FairQueue<u64> {
        let mut queue = FairQueue::new(100);
        for ticket in 0..count {
            assert_eq!(queue.push(firm, ticket, 1_000, ticket), Queued::Waits);
        }
        queue
    }

    #[test]
    fn a_firm_with_one_request_passes_another_firms_many() {
        let mut queue = filled(who(1, 1), 50);
        let _ = (queue.pop(), queue.pop());

        let _ = queue.push(who(2, 1), 99, 1_000, 99);

        assert_eq!(queue.pop().max(queue.pop()), Some(99), "it is one of the next two");
    }

    #[test]
    fn a_key_with_one_request_passes_the_many_of_its_firms_other_key() {
        let mut queue = filled(who(1, 1), 50);
        let _ = (queue.pop(), queue.pop());

        let _ = queue.push(who(1, 2), 99, 1_000, 99);

        assert_eq!(queue.pop().max(queue.pop()), Some(99), "it is one of the next two");
    }

    #[test]
    fn work_counts_and_not_the_number_of_requests() {
        let (large, small) = (who(1, 1), who(2, 1));
        let mut queue = FairQueue::new(100);
        for ticket in 0..20 {
            let _ = queue.push(large, ticket, 10_000, "large");
            let _ = queue.push(small, 100 + ticket, 1_000, "small");
        }

        let first: Vec<_> = (0..11).filter_map(|_| queue.pop()).collect();

        assert_eq!(first.iter().filter(|name| **name == "small").count(), 10, "{first:?}");
    }

    #[test]
    fn work_that_took_longer_than_its_size_let_expect_is_charged() {
        let (bomb, honest) = (who(1, 1), who(2, 1));
        let mut queue = FairQueue::new(100);
        for ticket in 0..3 {
            let _ = queue.push(bomb, ticket, 1_000, "bomb");
            let _ = queue.push(honest, 100 + ticket, 1_000, "honest");
        }
        assert_eq!(queue.pop(), Some("bomb"));
        queue.correct(bomb, 1_000, 3_000_000);

        let next: Vec<_> = (0..3).filter_map(|_| queue.pop()).collect();

        assert_eq!(next, ["honest"; 3]);
    }

    #[test]
    fn a_full_queue_turns_away_the_last_of_the_firm_that_has_most() {
        let mut queue = filled(who(1, 1), 100);
        assert!(!queue.has_room_for(who(1, 2).firm) && queue.has_room_for(who(2, 1).firm));

        assert_eq!(queue.push(who(1, 1), 200, 1_000, 200), Queued::Refused);
        assert_eq!(queue.push(who(2, 1), 201, 1_000, 201), Queued::InPlaceOf(99));

        let all: Vec<_> = std::iter::from_fn(|| queue.pop()).collect();
        assert_eq!(all.len(), 100);
        assert!(all.contains(&201) && !all.contains(&99));
    }

    #[test]
    fn one_that_has_been_let_in_finds_room_and_is_not_turned_away() {
        let mut queue = filled(who(1, 1), 100);

        queue.push_admitted(who(1, 1), 200, 1_000, 200);

        assert_eq!(queue.push(who(2, 1), 201, 1_000, 201), Queued::InPlaceOf(99));
        let all: Vec<_> = std::iter::from_fn(|| queue.pop()).collect();
        assert_eq!(all.len(), 101);
        assert!(all.contains(&200) && all.contains(&201) && !all.contains(&99));
    }

    #[test]
    fn those_who_have_been_let_in_take_nobodys_room() {
        let mut queue = FairQueue::new(1);
        for ticket in 0..10 {
            queue.push_admitted(who(1, 1), ticket, 1_000, ticket);
        }

        assert!(queue.has_room_for(who(2, 1).firm));
        assert_eq!(queue.push(who(2, 1), 99, 1_000, 99), Queued::Waits);
        assert!(queue.remove(who(1, 1), 3) && queue.remove(who(2, 1), 99));
        assert_eq!((queue.len(), std::iter::from_fn(|| queue.pop()).count()), (0, 9));
    }

    #[test]
    fn one_that_has_gone_leaves_no_gap_and_idle_firms_are_forgotten() {
        let mut queue = filled(who(1, 1), 3);

        assert!(queue.remove(who(1, 1), 1));
        assert!(!queue.remove(who(1, 1), 1));

        assert_eq!((queue.pop(), queue.pop(), queue.pop()), (Some(0), Some(2), None));
        let _ = queue.push(who(2, 1), 9, 10_000, 9);
        let _ = queue.pop();
        let _ = queue.push(who(3, 1), 9, 10_000, 9);
        let _ = queue.push(who(3, 1), 9, 10_000, 9);
        let _ = (queue.pop(), queue.pop());
        assert!(queue.firms.len() <= 2, "{:?}", queue.firms.len());
    }
}

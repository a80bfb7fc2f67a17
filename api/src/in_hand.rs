//! Bytes of requests and answers that the service holds at one time: a bound on all of them together, of which no firm
//! takes the last.

use std::collections::HashMap;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use store::FirmId;

use crate::problem::{Kind, Problem};

/// What is held now.
#[derive(Debug)]
pub struct InHand {
    most: u64,
    held: Mutex<HeldBytes>,
}

#[derive(Debug, Default)]
struct HeldBytes {
    all: u64,
    /// Firms that hold anything; those who have not said who they are count as one.
    firms: HashMap<Option<FirmId>, u64>,
}

/// A part of it, held for as long as this lives.
#[derive(Debug)]
pub struct HeldShare {
    in_hand: Arc<InHand>,
    firm: Option<FirmId>,
    bytes: u64,
}

impl InHand {
    /// Room for so many bytes.
    #[must_use]
    pub fn new(most: u64) -> Self {
        Self { most, held: Mutex::default() }
    }

    /// Whether the firm could take so many more now.
    ///
    /// # Errors
    /// `Unavailable` where it could not.
    pub fn expect_room(&self, firm: FirmId, bytes: u64) -> Result<(), Problem> {
        if self.held().has_room(self.most, Some(firm), bytes) { Ok(()) } else { Err(too_much()) }
    }

    /// A share of the firm's; it can grow.
    ///
    /// # Errors
    /// `Unavailable` where there is no room for it.
    pub fn take(self: &Arc<Self>, firm: FirmId, bytes: u64) -> Result<HeldShare, Problem> {
        let mut share = HeldShare { in_hand: Arc::clone(self), firm: Some(firm), bytes: 0 };
        share.grow(bytes)?;
        Ok(share)
    }

    /// A share for what is there already: it counts, and is not refused.
    #[must_use]
    pub fn count(self: &Arc<Self>, firm: Option<FirmId>, bytes: u64) -> HeldShare {
        self.held().add(firm, bytes);
        HeldShare { in_hand: Arc::clone(self), firm, bytes }
    }

    fn held(&self) -> MutexGuard<'_, HeldBytes> {
        self.held.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

impl HeldBytes {
    /// A firm may hold no more than it leaves free: one alone has half, two a third each, and there is always room for one
    /// that has nothing yet.
    fn has_room(&self, most: u64, firm: Option<FirmId>, bytes: u64) -> bool {
        let own = self.firms.get(&firm).copied().unwrap_or_default();
        self.all.saturating_add(own).saturating_add(bytes.saturating_mul(2)) <= most
    }

    fn add(&mut self, firm: Option<FirmId>, bytes: u64) {
        self.all += bytes;
        *self.firms.entry(firm).or_default() += bytes;
    }
}

impl HeldShare {
    /// Takes so many more.
    ///
    /// # Errors
    /// `Unavailable` where there is no room for them; what was held stays held.
    pub fn grow(&mut self, bytes: u64) -> Result<(), Problem> {
        let mut held = self.in_hand.held();
        if !held.has_room(self.in_hand.most, self.firm, bytes) {
            return Err(too_much());
        }
        held.add(self.firm, bytes);
        self.bytes += bytes;
        Ok(())
    }
}

impl Drop for HeldShare {
    fn drop(&mut self) {
        let mut held = self.in_hand.held();
        held.all = held.all.saturating_sub(self.bytes);
        if let Some(own) = held.firms.get_mut(&self.firm) {
            *own = own.saturating_sub(self.bytes);
            if *own == 0 {
                held.firms.remove(&self.firm);
            }
        }
    }
}

fn too_much() -> Problem {
    let detail = "too much is on its way in and out; read your answers, and the same request can be sent again";
    Problem::new(Kind::Unavailable, detail)
}

#[cfg(test)]
mod tests {
    use uuid::Uuid;

    use super::*;

    fn firm(number: u128) -> FirmId {
        FirmId::from_uuid(Uuid::from_u128(number))
    }

    #[test]
    fn one_firm_has_half_and_leaves_room_for_others() {
        let in_hand = Arc::new(InHand::new(1_000));

        let greedy: Vec<_> = (0..20).map_while(|_| in_hand.take(firm(1), 100).ok()).collect();
        let modest: Vec<_> = (0..20).map_while(|_| in_hand.take(firm(2), 100).ok()).collect();

        assert_eq!((greedy.len(), modest.len()), (5, 2));
        assert_eq!(in_hand.take(firm(1), 1).expect_err("full").kind(), Kind::Unavailable);
        assert!(in_hand.take(firm(3), 100).is_ok());
    }

    #[test]
    fn what_is_let_go_is_free_again() {
        let in_hand = Arc::new(InHand::new(1_000));
        let mut share = in_hand.take(firm(1), 100).expect("room");
        share.grow(400).expect("room");
        assert!(in_hand.expect_room(firm(1), 1).is_err());
        assert!(share.grow(1).is_err(), "and what was held stays held");
        assert!(in_hand.expect_room(firm(2), 250).is_ok());

        drop(share);

        assert!(in_hand.expect_room(firm(1), 500).is_ok());
        assert!(in_hand.held().firms.is_empty());
    }

    #[test]
    fn what_is_there_already_counts_and_is_not_refused() {
        let in_hand = Arc::new(InHand::new(1_000));
        let large = in_hand.count(None, 5_000);
        assert!(in_hand.expect_room(firm(1), 1).is_err());
        drop(large);
        assert!(in_hand.expect_room(firm(1), 1).is_ok());
    }
}

//! What is laid ready for what may come later.

use serde::Deserialize;

use crate::survey::FutureType;

/// One thing that may come, and what is laid ready for it.
#[derive(Debug, Clone, Deserialize)]
pub struct Provision {
    /// What may come.
    pub future: FutureType,
    /// Ways kept free for it in the house's board.
    pub ways: u32,
    /// Where a draw-in run goes for it.
    pub draws_in: DrawsIn,
    /// What is laid ready.
    pub provision: String,
    /// Where that comes from.
    pub source: String,
}

/// Where a draw-in run goes from the board.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum DrawsIn {
    /// Into the space under the roof.
    Loft,
    /// To the outside wall towards the street.
    Front,
    /// To the outside wall towards the garden.
    Back,
    /// There is none.
    None,
}

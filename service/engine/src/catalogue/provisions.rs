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
    /// What is laid ready.
    pub provision: String,
    /// Where that comes from.
    pub source: String,
}

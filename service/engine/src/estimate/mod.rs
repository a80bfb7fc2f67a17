//! The estimate: what goes out.

mod answer;

pub use answer::*;

//! Properties.

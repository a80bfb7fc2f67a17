//! A CSV tally.

//! Rebuilds the crate when a migration is added: the macro that embeds them only sees the files there were.

fn main() {
    println!("cargo::rerun-if-changed=../../migrations");
}

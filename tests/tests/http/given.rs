//! What the tests send.

use serde_json::{Value, json};

/// The smallest survey that is priced.
pub const MINIMAL: &str = include_str!("../../../openapi/examples/minimal.json");
/// The demonstration house.
pub const DEMONSTRATION: &str = include_str!("../../../openapi/examples/kestrel-bank.json");
/// A tally as CSV.
pub const TALLY: &str = include_str!("../../../openapi/examples/tally.csv");

/// A survey of one room with sockets.
pub fn kitchen(sockets: i64) -> Value {
    json!({ "survey": { "rooms": [ { "id": "kitchen", "points": [ { "type": "double-socket", "count": sockets } ] } ] } })
}

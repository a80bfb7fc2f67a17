//! How much the service takes on: the settings of queue, rates, keys and connections, with their bounds and defaults.

use std::fmt;
use std::ops::RangeInclusive;
use std::time::Duration;

use clap::Args;

/// How much the service takes on.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Capacity {
    /// Requests that may wait for a core.
    pub queue_size: usize,
    /// Bytes that an answer may have.
    pub answer_max: usize,
    /// Bytes of requests and answers in memory together.
    pub in_hand_max: u64,
    /// In this a reader takes the next piece of an answer.
    pub write_timeout: Duration,
    /// Requests that a key may send in a minute; 0 for no limit.
    pub rate_limit: u32,
    /// How often a key in use is looked up again: a revoked one is refused this much later at most.
    pub key_check: Duration,
    /// How long a known key is let in while the database is away.
    pub key_known: Duration,
    /// Connections to the Postgres server.
    pub pool_size: usize,
    /// After this Postgres gives up a statement.
    pub statement_timeout: Duration,
}

/// The same, as written on the command line or in the environment.
#[derive(Args, Clone, Default)]
pub struct CapacityOptions {
    /// Requests that may wait for a core; further ones are answered 503 [default: 128]
    #[arg(long, env = "QUEUE_SIZE", value_name = "COUNT")]
    pub queue_size: Option<String>,
    /// Bytes that an answer may have; a larger one is refused with 422 [default: 67108864]
    #[arg(long, env = "ANSWER_MAX_BYTES", value_name = "BYTES")]
    pub answer_max_bytes: Option<String>,
    /// Bytes of requests and answers in memory together; further requests are answered 503 [default: 268435456]
    #[arg(long, env = "IN_HAND_MAX_BYTES", value_name = "BYTES")]
    pub in_hand_max_bytes: Option<String>,
    /// Seconds in which a reader must take the next 32 KiB of an answer, or is cut off [default: 10]
    #[arg(long, env = "WRITE_TIMEOUT_S", value_name = "SECONDS")]
    pub write_timeout_s: Option<String>,
    /// Requests that a key may send in a minute, where AUTH=keys; 0 for no limit [default: 1200]
    #[arg(long, env = "RATE_LIMIT", value_name = "COUNT")]
    pub rate_limit: Option<String>,
    /// Seconds after which a key in use is looked up again [default: 30]
    #[arg(long, env = "KEY_CHECK_S", value_name = "SECONDS")]
    pub key_check_s: Option<String>,
    /// Seconds for which a known key is let in while the database is away [default: 600]
    #[arg(long, env = "KEY_KNOWN_S", value_name = "SECONDS")]
    pub key_known_s: Option<String>,
    /// Connections to the Postgres server [default: 16]
    #[arg(long, env = "POOL_SIZE", value_name = "COUNT")]
    pub pool_size: Option<String>,
    /// Milliseconds after which Postgres gives up a statement [default: 3000]
    #[arg(long, env = "STATEMENT_TIMEOUT_MS", value_name = "MILLISECONDS")]
    pub statement_timeout_ms: Option<String>,
}

/// A setting that is a whole number.
struct Number {
    name: &'static str,
    bounds: RangeInclusive<u64>,
    default: u64,
}

const QUEUE_SIZE: Number = Number { name: "QUEUE_SIZE", bounds: 1..=10_000, default: 128 };
const ANSWER_MAX_BYTES: Number =
    Number { name: "ANSWER_MAX_BYTES", bounds: 65_536..=1_073_741_824, default: 67_108_864 };
const IN_HAND_MAX_BYTES: Number =
    Number { name: "IN_HAND_MAX_BYTES", bounds: 1_048_576..=1_099_511_627_776, default: 268_435_456 };
const WRITE_TIMEOUT_S: Number = Number { name: "WRITE_TIMEOUT_S", bounds: 1..=600, default: 10 };
const RATE_LIMIT: Number = Number { name: "RATE_LIMIT", bounds: 0..=1_000_000, default: 1_200 };
const KEY_CHECK_S: Number = Number { name: "KEY_CHECK_S", bounds: 0..=3_600, default: 30 };
const KEY_KNOWN_S: Number = Number { name: "KEY_KNOWN_S", bounds: 0..=86_400, default: 600 };
const POOL_SIZE: Number = Number { name: "POOL_SIZE", bounds: 1..=1_000, default: store::limits::POOL_SIZE as u64 };
/// A request is answered within ten seconds, and may need more than one statement.
const STATEMENT_TIMEOUT_MS: Number = Number { name: "STATEMENT_TIMEOUT_MS", bounds: 100..=8_000, default: 3_000 };

impl CapacityOptions {
    /// Reads and checks them; what is wrong is added to the faults.
    pub fn checked(&self, faults: &mut Vec<String>) -> Capacity {
        Capacity {
            queue_size: QUEUE_SIZE.read(self.queue_size.as_deref(), faults),
            answer_max: ANSWER_MAX_BYTES.read(self.answer_max_bytes.as_deref(), faults),
            in_hand_max: IN_HAND_MAX_BYTES.read(self.in_hand_max_bytes.as_deref(), faults),
            write_timeout: Duration::from_secs(WRITE_TIMEOUT_S.read(self.write_timeout_s.as_deref(), faults)),
            rate_limit: RATE_LIMIT.read(self.rate_limit.as_deref(), faults),
            key_check: Duration::from_secs(KEY_CHECK_S.read(self.key_check_s.as_deref(), faults)),
            key_known: Duration::from_secs(KEY_KNOWN_S.read(self.key_known_s.as_deref(), faults)),
            pool_size: POOL_SIZE.read(self.pool_size.as_deref(), faults),
            statement_timeout: Duration::from_millis(
                STATEMENT_TIMEOUT_MS.read(self.statement_timeout_ms.as_deref(), faults),
            ),
        }
    }
}

impl Default for Capacity {
    fn default() -> Self {
        CapacityOptions::default().checked(&mut Vec::new())
    }
}

/// For the start-up line.
impl fmt::Display for Capacity {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "QUEUE_SIZE={} ANSWER_MAX_BYTES={} IN_HAND_MAX_BYTES={} WRITE_TIMEOUT_S={} RATE_LIMIT={} KEY_CHECK_S={} KEY_KNOWN_S={} POOL_SIZE={} STATEMENT_TIMEOUT_MS={}",
            self.queue_size,
            self.answer_max,
            self.in_hand_max,
            self.write_timeout.as_secs(),
            self.rate_limit,
            self.key_check.as_secs(),
            self.key_known.as_secs(),
            self.pool_size,
            self.statement_timeout.as_millis(),
        )
    }
}

impl Number {
    /// The number that was given, or the default; also where what was given is none, for then nothing is started.
    fn read<T: TryFrom<u64> + Default>(&self, given: Option<&str>, faults: &mut Vec<String>) -> T {
        let given = given.map(str::trim).filter(|text| !text.is_empty());
        let number = match given.map(str::parse) {
            None => self.default,
            Some(Ok(number)) if self.bounds.contains(&number) => number,
            Some(_) => {
                let (name, text) = (self.name, given.unwrap_or_default());
                let (least, most) = (self.bounds.start(), self.bounds.end());
                faults.push(format!("{name}={text} cannot be: give a whole number from {least} to {most}"));
                self.default
            }
        };
        // The bounds fit the type of each setting.
        T::try_from(number).unwrap_or_default()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_number_outside_its_bounds_is_a_fault_that_names_them() {
        for wrong in ["0", "10001", "-1", "many", "1.5"] {
            let mut faults = Vec::new();
            let options = CapacityOptions { queue_size: Some(wrong.to_owned()), ..CapacityOptions::default() };
            let _ = options.checked(&mut faults);
            assert!(faults[0].contains("QUEUE_SIZE") && faults[0].contains("1 to 10000"), "{faults:?}");
        }
    }

    #[test]
    fn what_is_not_given_or_empty_is_the_default() {
        let mut faults = Vec::new();
        let given = CapacityOptions {
            queue_size: Some(" 7 ".to_owned()),
            rate_limit: Some(String::new()),
            ..CapacityOptions::default()
        };

        let capacity = given.checked(&mut faults);

        assert_eq!((capacity.queue_size, capacity.rate_limit), (7, 1_200));
        assert!(faults.is_empty());
    }
}

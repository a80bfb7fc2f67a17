//! How much the service takes on: the settings of queue and rates, with their bounds and defaults.

use std::fmt;
use std::ops::RangeInclusive;

use clap::Args;

/// How much the service takes on.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Capacity {
    /// Requests that may wait for a core.
    pub queue_size: usize,
    /// Requests that a key may send in a minute; 0 for no limit.
    pub rate_limit: u32,
}

/// The same, as written on the command line or in the environment.
#[derive(Args, Clone, Default)]
pub struct CapacityOptions {
    /// Requests that may wait for a core; further ones are answered 503 [default: 128]
    #[arg(long, env = "QUEUE_SIZE", value_name = "COUNT")]
    pub queue_size: Option<String>,
    /// Requests that a key may send in a minute, where AUTH=keys; 0 for no limit [default: 1200]
    #[arg(long, env = "RATE_LIMIT", value_name = "COUNT")]
    pub rate_limit: Option<String>,
}

/// A setting that is a whole number.
struct Number {
    name: &'static str,
    bounds: RangeInclusive<u64>,
    default: u64,
}

const QUEUE_SIZE: Number = Number { name: "QUEUE_SIZE", bounds: 1..=10_000, default: 128 };
const RATE_LIMIT: Number = Number { name: "RATE_LIMIT", bounds: 0..=1_000_000, default: 1_200 };

impl CapacityOptions {
    /// Reads and checks them; what is wrong is added to the faults.
    pub fn checked(&self, faults: &mut Vec<String>) -> Capacity {
        Capacity {
            queue_size: QUEUE_SIZE.read(self.queue_size.as_deref(), faults),
            rate_limit: RATE_LIMIT.read(self.rate_limit.as_deref(), faults),
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
        write!(f, "QUEUE_SIZE={} RATE_LIMIT={}", self.queue_size, self.rate_limit)
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
        let given = CapacityOptions { queue_size: Some(" 7 ".to_owned()), rate_limit: Some(String::new()) };

        let capacity = given.checked(&mut faults);

        assert_eq!((capacity.queue_size, capacity.rate_limit), (7, 1_200));
        assert!(faults.is_empty());
    }
}

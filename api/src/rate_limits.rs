//! How many requests a key may send: an allowance a key, refilled evenly over a minute.

use std::num::NonZeroU32;

use actix_web::http::header::{self, HeaderName, HeaderValue};
use governor::clock::Clock;
use governor::middleware::StateInformationMiddleware;
use governor::{DefaultKeyedRateLimiter, Quota, RateLimiter};
use store::Digest;

use crate::problem::{Kind, Problem};

/// The header that says how much is left (`draft-ietf-httpapi-ratelimit-headers`).
const RATE_LIMIT: HeaderName = HeaderName::from_static("ratelimit");
/// The header that says what there is in all.
const RATE_LIMIT_POLICY: HeaderName = HeaderName::from_static("ratelimit-policy");
/// The window, in seconds.
const WINDOW_S: u32 = 60;

/// The allowances of all keys.
pub struct RateLimits {
    limit: NonZeroU32,
    keys: DefaultKeyedRateLimiter<Digest, StateInformationMiddleware>,
}

/// What a key may still send.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Allowance {
    limit: u32,
    remaining: u32,
}

impl RateLimits {
    /// So many requests a minute for each key.
    #[must_use]
    pub fn per_minute(limit: NonZeroU32) -> Self {
        Self { limit, keys: RateLimiter::keyed(Quota::per_minute(limit)).with_middleware() }
    }

    /// Takes one request off the allowance of that key.
    ///
    /// # Errors
    /// `TooManyRequests` where nothing is left of it.
    pub fn take(&self, key: Digest) -> Result<Allowance, Problem> {
        let limit = self.limit.get();
        match self.keys.check_key(&key) {
            Ok(left) => Ok(Allowance { limit, remaining: left.remaining_burst_capacity() }),
            Err(not_until) => {
                let wait = not_until.wait_time_from(self.keys.clock().now());
                let detail = format!("the key has sent more than {limit} requests a minute");
                let problem = Problem::new(Kind::TooManyRequests, detail)
                    .with_header(header::RETRY_AFTER, HeaderValue::from(wait.as_secs() + 1));
                let [left, policy] = Allowance { limit, remaining: 0 }.headers();
                Err(problem.with_header(left.0, left.1).with_header(policy.0, policy.1))
            }
        }
    }
}

impl Allowance {
    /// As headers of an answer.
    #[must_use]
    pub fn headers(self) -> [(HeaderName, HeaderValue); 2] {
        // Refilled evenly: what is used comes back in its part of the window.
        let reset_s = (u64::from(self.limit - self.remaining) * u64::from(WINDOW_S)).div_ceil(u64::from(self.limit));
        // Digits and letters always make a header.
        let value = |text: String| HeaderValue::from_str(&text).unwrap_or(HeaderValue::from_static(""));
        [
            (RATE_LIMIT, value(format!("\"key\";r={};t={reset_s}", self.remaining))),
            (RATE_LIMIT_POLICY, value(format!("\"key\";q={};w={WINDOW_S}", self.limit))),
        ]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_key_that_has_used_its_allowance_is_refused_and_another_is_not() {
        let limits = RateLimits::per_minute(NonZeroU32::new(3).expect("not zero"));
        let (one, other) = (Digest::of(b"one"), Digest::of(b"other"));

        let left: Vec<u32> =
            (0..3).filter_map(|_| limits.take(one).ok()).map(|allowance| allowance.remaining).collect();

        assert_eq!(left, [2, 1, 0]);
        assert_eq!(limits.take(one).expect_err("used up").kind(), Kind::TooManyRequests);
        assert!(limits.take(other).is_ok());
    }

    #[test]
    fn the_headers_say_what_is_left_and_when_all_of_it_is_back() {
        let [left, policy] = Allowance { limit: 120, remaining: 90 }.headers();

        assert_eq!(left.1, "\"key\";r=90;t=15");
        assert_eq!(policy.1, "\"key\";q=120;w=60");
    }
}

//! Telling callers apart: by a firm's key, or by the address that they call.

use std::time::{Duration, Instant};

use actix_web::http::header::{self, HeaderMap, HeaderValue};
use quick_cache::sync::Cache;
use store::{Digest, FirmId, Store};

use crate::limits;
use crate::problem::{Kind, Problem};

/// How callers are told apart.
#[derive(Debug)]
pub enum Authenticator {
    /// Everybody who reaches this machine's own address is this firm.
    Open(FirmId),
    /// Whoever shows a firm's key is that firm.
    Keys(KnownKeys),
}

/// Whom a request is made for: the firm, and the key that it was sent with, by its digest.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Identity {
    /// The firm.
    pub firm: FirmId,
    /// The key; none where the service takes none.
    pub key: Option<Digest>,
}

impl Authenticator {
    /// Whom a request with these headers is made for.
    ///
    /// # Errors
    /// `Unauthenticated` or `Misdirected` where it may not be made; as the store's calls where the key is looked up.
    pub async fn identify(&self, headers: &HeaderMap, store: &Store) -> Result<Identity, Problem> {
        match self {
            Self::Open(firm) => addressed_to_this_machine(headers).map(|()| Identity { firm: *firm, key: None }),
            Self::Keys(known) => identify_by_key(headers, known, store).await,
        }
    }
}

/// Without keys, a page on the web could reach the service under a name of its own that leads to this machine (DNS
/// rebinding). It cannot forge the `Host` that the browser sends, so only this machine's own names are answered.
fn addressed_to_this_machine(headers: &HeaderMap) -> Result<(), Problem> {
    let host = headers.get(header::HOST).and_then(|host| host.to_str().ok()).unwrap_or_default();
    let name = match host.strip_prefix('[') {
        Some(v6) => v6.split(']').next().unwrap_or_default(),
        None => host.split(':').next().unwrap_or_default(),
    };
    let is_own = name.eq_ignore_ascii_case("localhost")
        || name.parse::<std::net::IpAddr>().is_ok_and(|address| address.is_loopback());
    if is_own {
        return Ok(());
    }
    Err(Problem::new(Kind::Misdirected, "without keys the service is called as localhost or 127.0.0.1 only"))
}

async fn identify_by_key(headers: &HeaderMap, known: &KnownKeys, store: &Store) -> Result<Identity, Problem> {
    let Some(given) = headers.get(header::AUTHORIZATION) else {
        return Err(no_key("send `Authorization: Bearer` with a key", "Bearer realm=\"estimator\""));
    };
    let key = given.to_str().ok().and_then(bearer);
    let Some(key) = key else {
        let challenge = "Bearer realm=\"estimator\", error=\"invalid_request\"";
        return Err(no_key("`Authorization` is not of the form `Bearer KEY`", challenge));
    };
    let digest = Digest::of(key.as_bytes());
    if let Some(firm) = known.find(digest) {
        return Ok(Identity { firm, key: Some(digest) });
    }
    match store.find_key(key).await {
        Ok(Some(firm)) => {
            known.keep(digest, firm);
            Ok(Identity { firm, key: Some(digest) })
        }
        Ok(None) => {
            known.forget(digest);
            let challenge = "Bearer realm=\"estimator\", error=\"invalid_token\"";
            Err(no_key("the key is not known: it is mistyped, revoked, or for another service", challenge))
        }
        Err(error) if error.is_retryable() => match known.despite_outage(digest) {
            Some(firm) => Ok(Identity { firm, key: Some(digest) }),
            None => Err(error.into()),
        },
        Err(error) => Err(error.into()),
    }
}

fn bearer(text: &str) -> Option<&str> {
    let (scheme, key) = text.split_once(' ')?;
    scheme.eq_ignore_ascii_case("bearer").then(|| key.trim())
}

fn no_key(detail: &str, challenge: &'static str) -> Problem {
    Problem::new(Kind::Unauthenticated, detail)
        .with_header(header::WWW_AUTHENTICATE, HeaderValue::from_static(challenge))
}

/// Keys found lately, by their digest: spares a query a request, forgets soon enough for a revocation to bite, and lets
/// known callers in while the database is away.
#[derive(Debug)]
pub struct KnownKeys {
    keys: Cache<Digest, KnownKey>,
    check_every: Duration,
    grace: Duration,
}

#[derive(Debug, Clone, Copy)]
struct KnownKey {
    firm: FirmId,
    /// When it was last found in the database.
    found: Instant,
    /// Until when nobody looks.
    settled_until: Instant,
}

impl KnownKeys {
    /// A known key is looked up again after the first time, and is known for the second while the database is away.
    #[must_use]
    pub fn new(check_every: Duration, grace: Duration) -> Self {
        Self { keys: Cache::new(limits::KEYS_KNOWN_MAX), check_every, grace }
    }

    /// The firm of a key that need not be looked up now.
    fn find(&self, digest: Digest) -> Option<FirmId> {
        let now = Instant::now();
        let known = self.keys.get(&digest)?;
        if now < known.settled_until {
            return Some(known.firm);
        }
        // This request looks; the others of the key do not wait for it.
        self.keys.insert(digest, KnownKey { settled_until: now + limits::KEY_LOOKUP_TIME, ..known });
        None
    }

    fn keep(&self, digest: Digest, firm: FirmId) {
        let found = Instant::now();
        self.keys.insert(digest, KnownKey { firm, found, settled_until: found + self.check_every });
    }

    fn forget(&self, digest: Digest) {
        self.keys.remove(&digest);
    }

    /// The firm of a key that cannot be looked up now, if it was known not long ago.
    fn despite_outage(&self, digest: Digest) -> Option<FirmId> {
        self.keys.get(&digest).filter(|known| known.found.elapsed() < self.grace).map(|known| known.firm)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn host(name: &str) -> HeaderMap {
        let mut headers = HeaderMap::new();
        headers.insert(header::HOST, HeaderValue::from_str(name).expect("a header value in a test"));
        headers
    }

    #[test]
    fn without_keys_only_this_machines_own_names_are_answered() {
        for own in ["localhost", "LOCALHOST:8080", "127.0.0.1:8080", "127.8.8.8", "[::1]:8080"] {
            assert!(addressed_to_this_machine(&host(own)).is_ok(), "{own}");
        }
        for strange in ["evil.example", "localhost.evil.example:8080", "10.0.0.5:8080", "", "[::2]:80"] {
            assert!(addressed_to_this_machine(&host(strange)).is_err(), "{strange}");
        }
        assert!(addressed_to_this_machine(&HeaderMap::new()).is_err());
    }

    #[test]
    fn a_known_key_is_looked_up_by_one_request_and_known_for_its_grace_while_it_cannot_be() {
        let (firm, digest) = (FirmId::from_uuid(uuid::Uuid::nil()), Digest::of(b"key"));
        let known = KnownKeys::new(Duration::ZERO, Duration::from_secs(60));
        assert_eq!((known.find(digest), known.despite_outage(digest)), (None, None));

        known.keep(digest, firm);

        assert_eq!(known.find(digest), None, "it is due");
        assert_eq!(known.find(digest), Some(firm), "somebody is looking");
        assert_eq!(known.despite_outage(digest), Some(firm));
        known.forget(digest);
        assert_eq!(known.despite_outage(digest), None, "it was revoked");
        let strict = KnownKeys::new(Duration::ZERO, Duration::ZERO);
        strict.keep(digest, firm);
        assert_eq!(strict.despite_outage(digest), None);
    }

    #[test]
    fn a_bearer_key_is_read_whatever_the_case_of_its_scheme() {
        assert_eq!(bearer("Bearer est_1"), Some("est_1"));
        assert_eq!(bearer("bearer est_1"), Some("est_1"));
        assert_eq!(bearer("Basic est_1"), None);
        assert_eq!(bearer("est_1"), None);
    }
}

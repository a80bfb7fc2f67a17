//! What can go wrong in the store, by cause. The texts are safe to show: they name no SQL, table, host or other firm.

use std::error::Error as _;

use tokio_postgres::error::SqlState;

/// Why the store could not do what was asked.
///
/// `Display` is for callers; the cause, which may name tables, is in the source chain and is for the log alone.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum StoreError {
    /// The database cannot be reached, is starting or stopping, or is out of room. Worth another try.
    #[error("the database cannot be reached at the moment")]
    Unavailable(#[source] Cause),
    /// Another request, perhaps a twin of this one, holds a row for too long. Worth another try.
    #[error("another request is being worked on; the same request can be sent again")]
    Held(#[source] Cause),
    /// The database is reached but too busy (a slow statement, a full pool). Worth another try.
    #[error("the database is busy; the same request can be sent again")]
    Busy(#[source] Cause),
    /// The settings cannot work: they need a person. The text says what to set.
    #[error("{0}")]
    Misconfigured(String, #[source] Option<Cause>),
    /// What is stored is not what was written: an audit entry or a rate sheet has been changed.
    #[error("what is stored does not match its digest: {0}")]
    Corrupt(String),
    /// The firm is not known.
    #[error("the firm is not known")]
    UnknownFirm,
    /// A fault of this program: the database refused something that should have been right.
    #[error("the database refused the request")]
    Refused(#[source] Cause),
}

/// The underlying fault, for the log.
pub type Cause = Box<dyn std::error::Error + Send + Sync + 'static>;

impl StoreError {
    /// Whether the same call may succeed a little later with nothing changed.
    #[must_use]
    pub fn is_retryable(&self) -> bool {
        match self {
            Self::Unavailable(_) | Self::Held(_) | Self::Busy(_) => true,
            Self::Misconfigured(..) | Self::Corrupt(_) | Self::UnknownFirm | Self::Refused(_) => false,
        }
    }

    pub(crate) fn misconfigured(text: impl Into<String>) -> Self {
        Self::Misconfigured(text.into(), None)
    }
}

impl From<tokio_postgres::Error> for StoreError {
    fn from(error: tokio_postgres::Error) -> Self {
        sort_of(&error)(error.into())
    }
}

impl From<refinery::Error> for StoreError {
    fn from(error: refinery::Error) -> Self {
        use refinery::error::Kind;
        match error.kind() {
            Kind::DivergentVersion(applied, _) => Self::Misconfigured(
                format!(
                    "the database was migrated by another build of the service: its migration {applied} is not the one known \
                     here; use the build that belongs to it, or another database"
                ),
                Some(error.into()),
            ),
            Kind::Connection(_, cause) => match cause.downcast_ref() {
                Some(postgres) => sort_of(postgres)(error.into()),
                None => Self::Refused(error.into()),
            },
            _ => Self::Refused(error.into()),
        }
    }
}

/// Turns the underlying fault into an error of the right sort.
type Sort = fn(Cause) -> StoreError;

/// What sort of error a Postgres fault is.
fn sort_of(error: &tokio_postgres::Error) -> Sort {
    let Some(state) = error.code() else {
        return sort_without_state(error);
    };
    match state {
        &SqlState::LOCK_NOT_AVAILABLE => StoreError::Held,
        &SqlState::QUERY_CANCELED | &SqlState::T_R_SERIALIZATION_FAILURE | &SqlState::T_R_DEADLOCK_DETECTED => {
            StoreError::Busy
        }
        &SqlState::IDLE_IN_TRANSACTION_SESSION_TIMEOUT | &SqlState::READ_ONLY_SQL_TRANSACTION => {
            StoreError::Unavailable
        }
        &SqlState::INSUFFICIENT_PRIVILEGE => |cause| {
            let text = "the database user may not do what the service needs: let it own the database and make roles, or run \
                        `estimator migrate` as such a user first and then grant the role estimator_app to the service's user";
            StoreError::Misconfigured(text.to_owned(), Some(cause))
        },
        &SqlState::INVALID_CATALOG_NAME => |cause| {
            let text = "the database named in DATABASE_URL does not exist on that server: create it first";
            StoreError::Misconfigured(text.to_owned(), Some(cause))
        },
        &SqlState::DATA_CORRUPTED | &SqlState::INDEX_CORRUPTED => {
            |_| StoreError::Corrupt("the database reports damaged data".to_owned())
        }
        state => match state.code().get(..2).unwrap_or_default() {
            // 08 connection, 53 out of memory, disk or connections, 57 stopped by an operator, 58 the disk.
            "08" | "53" | "57" | "58" => StoreError::Unavailable,
            "28" => |cause| {
                let text = "the database refused the user or the password in DATABASE_URL, or that the connection is not encrypted";
                StoreError::Misconfigured(text.to_owned(), Some(cause))
            },
            _ => StoreError::Refused,
        },
    }
}

/// The sort of a fault that Postgres did not name: mostly that the connection broke or never stood.
fn sort_without_state(error: &tokio_postgres::Error) -> Sort {
    let broken = error.is_closed() || error.source().is_some_and(|source| source.is::<std::io::Error>());
    if broken || error.to_string().starts_with("error connecting") {
        StoreError::Unavailable
    } else if error.source().is_some_and(|source| source.to_string().contains("password missing")) {
        |cause| {
            let text = "the database wants a password, and DATABASE_URL gives none";
            StoreError::Misconfigured(text.to_owned(), Some(cause))
        }
    } else {
        StoreError::Refused
    }
}

impl From<deadpool_postgres::PoolError> for StoreError {
    fn from(error: deadpool_postgres::PoolError) -> Self {
        use deadpool_postgres::{HookError, PoolError, TimeoutType};
        match error {
            PoolError::Backend(error) | PoolError::PostCreateHook(HookError::Backend(error)) => error.into(),
            PoolError::Timeout(TimeoutType::Wait) => Self::Busy(error.into()),
            PoolError::Timeout(TimeoutType::Create | TimeoutType::Recycle) => Self::Unavailable(error.into()),
            PoolError::Closed => Self::Unavailable(error.into()),
            PoolError::NoRuntimeSpecified | PoolError::PostCreateHook(_) => Self::Refused(error.into()),
        }
    }
}

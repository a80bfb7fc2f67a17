//! The role that statements run as, and whether row security binds it.

use crate::StoreError;
use crate::database::Store;

/// Judged after the connection has taken the service's role.
const ROLE: &str = "
    SELECT own.rolsuper OR own.rolbypassrls AS unbound, login.rolsuper AS login_is_superuser
    FROM pg_roles AS own, pg_roles AS login
    WHERE own.rolname = current_user AND login.rolname = session_user";

/// What the database says of the role.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Role {
    unbound: bool,
    pub(crate) login_is_superuser: bool,
}

impl Store {
    /// What the database says of the role of this store's connections.
    pub(crate) async fn role(&self) -> Result<Role, StoreError> {
        let client = self.connection().await?;
        let row = client.query_one(ROLE, &[]).await?;
        Ok(Role { unbound: row.try_get("unbound")?, login_is_superuser: row.try_get("login_is_superuser")? })
    }
}

impl Role {
    /// Refuses a role that sees past row security, unless that is allowed.
    pub(crate) fn expect_bound(self, unbound_is_allowed: bool) -> Result<(), StoreError> {
        if !self.unbound {
            return Ok(());
        }
        if !unbound_is_allowed {
            return Err(StoreError::misconfigured(
                "row security does not bind the role estimator_app, so that firms could see each other: run ALTER ROLE \
                 estimator_app NOSUPERUSER NOBYPASSRLS, or allow it with ALLOW_UNBOUND_ROLE=yes",
            ));
        }
        tracing::warn!("row security does not bind the service's role: firms are kept apart by its statements alone");
        Ok(())
    }
}

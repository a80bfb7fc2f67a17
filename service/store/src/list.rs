//! Lists that are read a part at a time.

use tokio_postgres::Row;

use crate::StoreError;

/// Part of a list.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ListPart<T> {
    /// The items of this page.
    pub items: Vec<T>,
    /// Whether more follow after the last of them.
    pub more: bool,
}

/// One row more than wanted is asked for: whether it is there says whether the list goes on.
pub(crate) fn one_more(limit: u32) -> i64 {
    i64::from(limit) + 1
}

impl<T> ListPart<T> {
    /// The part that these rows are.
    pub(crate) fn of_rows(
        rows: &[Row],
        limit: u32,
        item: impl Fn(&Row) -> Result<T, StoreError>,
    ) -> Result<Self, StoreError> {
        // A limit beyond the address space is as good as none.
        let limit = usize::try_from(limit).unwrap_or(usize::MAX);
        let items = rows.iter().take(limit).map(item).collect::<Result<_, _>>()?;
        Ok(Self { items, more: rows.len() > limit })
    }
}

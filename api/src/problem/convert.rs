//! Crates' own errors as problems: the one place where they are given a status.

use actix_web::error::PayloadError;
use actix_web::http::StatusCode;
use engine::document::Unreadable;
use engine::faults::{CellFault, Fault, FaultCode};
use engine::rate_sheet::UnusableSheet;
use engine::work::Stopped;
use store::StoreError;

use super::{Kind, Problem, ProblemEntry};

impl From<Unreadable> for Problem {
    fn from(unreadable: Unreadable) -> Self {
        match unreadable {
            Unreadable::NotJson { line, column, reason } => Self::new(
                Kind::MalformedBody,
                format!("the body is not readable as JSON at line {line}, column {column}: {reason}"),
            ),
            Unreadable::Faults(faults) => Self::invalid(faults.into_iter().map(ProblemEntry::from).collect()),
        }
    }
}

impl From<Vec<CellFault>> for Problem {
    fn from(faults: Vec<CellFault>) -> Self {
        Self::invalid(faults.into_iter().map(ProblemEntry::from).collect())
    }
}

impl From<Vec<Fault>> for Problem {
    fn from(faults: Vec<Fault>) -> Self {
        Self::invalid(faults.into_iter().map(ProblemEntry::from).collect())
    }
}

impl From<CellFault> for ProblemEntry {
    fn from(fault: CellFault) -> Self {
        Self { row: Some(fault.row), column: fault.column, ..Self::bare(None, fault.detail) }
    }
}

/// Work that was called off has nobody left who reads this.
impl From<Stopped> for Problem {
    fn from(stopped: Stopped) -> Self {
        let kind = match stopped {
            Stopped::TooMuchWork(_) => Kind::TooMuchWork,
            Stopped::Cancelled => Kind::Timeout,
        };
        Self::new(kind, stopped.to_string())
    }
}

/// A sheet that cannot be priced with: the firm can mend it, by another version or another sheet.
impl From<UnusableSheet> for Problem {
    fn from(sheet: UnusableSheet) -> Self {
        const NAMED_MAX: usize = 10;
        let fault = |code, what: String| {
            let detail = format!(
                "the rate sheet `{}` cannot be priced with: {what}. Use another sheet or version, or mend it there",
                sheet.sheet
            );
            ProblemEntry::from(Fault::new("/rate_sheet", code, detail))
        };
        let lacks = sheet.lacks(NAMED_MAX).map(|lacks| fault(FaultCode::NotInTable, lacks));
        let beyond = sheet.beyond.iter().take(NAMED_MAX);
        let beyond = beyond.map(|price| fault(FaultCode::OutOfRange, format!("`{}`: {price}", price.pointer())));
        Self::invalid(lacks.into_iter().chain(beyond).collect())
    }
}

impl From<StoreError> for Problem {
    fn from(error: StoreError) -> Self {
        let kind = if error.is_retryable() { Kind::Unavailable } else { Kind::Internal };
        let detail = match kind {
            Kind::Unavailable => error.to_string(),
            _ => "the service failed on this request; the log has the cause".to_owned(),
        };
        Self::new(kind, detail).caused_by(error)
    }
}

impl From<PayloadError> for Problem {
    fn from(error: PayloadError) -> Self {
        match error {
            PayloadError::Overflow => Self::new(Kind::BodyTooLarge, "the body has more bytes than are read"),
            other => Self::new(Kind::MalformedBody, "the body broke off before its end").caused_by(other),
        }
    }
}

impl Problem {
    /// A problem of that kind of which nothing more is to be said.
    #[must_use]
    pub fn of_kind(kind: Kind) -> Self {
        Self::new(kind, kind.row().meaning)
    }

    /// A problem for a bare status that a library has answered with.
    #[must_use]
    pub fn of_status(status: StatusCode) -> Self {
        let kind = Kind::of_status(status);
        let detail = match kind {
            Kind::NotFound => "there is nothing at this address; /openapi.json lists what there is".to_owned(),
            Kind::MethodNotAllowed => "this address does not take that method; `Allow` lists those it takes".to_owned(),
            kind => kind.row().meaning.to_owned(),
        };
        Self::new(kind, detail)
    }
}

#[cfg(test)]
mod tests {
    use engine::rate_sheet::PriceBeyondLimit;

    use super::*;

    #[test]
    fn a_sheet_whose_price_no_sum_can_hold_is_refused_with_the_row_what_was_found_and_the_limit() {
        let unit_price = "2000000000.5".parse().expect("an amount");
        let beyond = vec![PriceBeyondLimit { row: 4, item: "cable-te-2-5".to_owned(), unit_price }];
        let refused = Problem::from(UnusableSheet { sheet: "old".to_owned(), missing: Vec::new(), beyond });

        assert_eq!((refused.kind(), refused.errors.len()), (Kind::Invalid, 1));
        assert_eq!(refused.errors[0].code, Some(FaultCode::OutOfRange), "no row is missing");
        for told in ["`/materials/4/pack_price`", "`cable-te-2-5` comes to 2000000000.50", "1000000000.00 a unit"] {
            assert!(refused.detail().contains(told), "{told}: {}", refused.detail());
        }
    }
}

//! Query parameters: those that an address takes, and no others. A misspelt one is a fault, not a silent default.

use std::collections::BTreeSet;
use std::future::{Ready, ready};
use std::sync::LazyLock;

use actix_web::http::header;
use actix_web::web::Bytes;
use actix_web::{FromRequest, HttpRequest, HttpResponse, dev, web};
use documents::quotation::Detail;
use engine::estimate::Estimate;
use engine::faults::{FaultCode, nearest};
use engine::limits::FAULTS_LISTED_MAX;
use engine::survey::Scope;
use jiff::Timestamp;
use serde::Serialize;
use utoipa::{IntoParams, PartialSchema, ToSchema};

use crate::body::MediaType;
use crate::limits;
use crate::problem::{Problem, ProblemEntry};

/// An address that takes no query parameters.
#[derive(Debug, Clone, Copy)]
pub struct NoQuery;

impl FromRequest for NoQuery {
    type Error = Problem;
    type Future = Ready<Result<Self, Problem>>;

    fn from_request(request: &HttpRequest, _: &mut dev::Payload) -> Self::Future {
        let mut faults = Vec::new();
        let parameters = parameters(request.query_string(), &[], &mut faults);
        ready(if parameters.is_empty() && faults.is_empty() { Ok(Self) } else { Err(Problem::invalid(faults)) })
    }
}

/// What kind of job a tally is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, IntoParams)]
#[into_params(parameter_in = Query)]
pub struct TallyScope {
    /// What kind of job a tally is; a survey says it in `scope`. Left out, it is taken from what is asked.
    #[param(required = false, nullable = false)]
    pub scope: Option<Scope>,
}

impl FromRequest for TallyScope {
    type Error = Problem;
    type Future = Ready<Result<Self, Problem>>;

    fn from_request(request: &HttpRequest, _: &mut dev::Payload) -> Self::Future {
        ready(Self::read(request.query_string()))
    }
}

impl TallyScope {
    fn read(query: &str) -> Result<Self, Problem> {
        let mut faults = Vec::new();
        let parameters = parameters(query, &["scope"], &mut faults);
        let mut scope = None;
        for (_, value) in parameters {
            scope = Scope::from_word(&value);
            if scope.is_none() {
                let words = Scope::ALL.iter().map(|scope| scope.word()).collect::<Vec<_>>().join(", ");
                let detail = format!("`scope` is no kind of job; accepted: {words}");
                faults.push(ProblemEntry::parameter("scope", FaultCode::UnknownValue, detail));
            }
        }
        if faults.is_empty() { Ok(Self { scope }) } else { Err(Problem::invalid(faults)) }
    }

    /// # Errors
    /// Where it stands beside a survey, which says it itself.
    pub fn fits(self, media_type: MediaType) -> Result<(), Problem> {
        if self.scope.is_none() || media_type == MediaType::Csv {
            return Ok(());
        }
        let detail = "`scope` is a parameter for a tally; in a survey give `survey.scope`";
        Err(Problem::invalid(vec![ProblemEntry::parameter("scope", FaultCode::Contradiction, detail)]))
    }

    /// The tally with its kind in its first line.
    #[must_use]
    pub fn written_into(self, tally: Bytes) -> Bytes {
        const BYTE_ORDER_MARK: &[u8] = "\u{feff}".as_bytes();
        let Some(scope) = self.scope else { return tally };
        let line = format!("scope,{scope}\n");
        Bytes::from([line.as_bytes(), tally.strip_prefix(BYTE_ORDER_MARK).unwrap_or(&tally)].concat())
    }
}

/// Which estimates are listed.
#[derive(Debug, Clone, PartialEq, Eq, IntoParams)]
#[into_params(parameter_in = Query)]
pub struct EstimatesWanted {
    /// Only those of this reference, as it was given.
    #[param(max_length = 200, nullable = false, example = "J-1042")]
    pub reference: Option<String>,
    /// Only those made at this time or later: a day, which begins at midnight UTC, or a time.
    #[param(value_type = Option<String>, nullable = false, max_length = 40, example = "2026-11-01")]
    pub from: Option<Timestamp>,
    /// Only those made before this time.
    #[param(value_type = Option<String>, nullable = false, max_length = 40, example = "2026-12-01T00:00:00Z")]
    pub before: Option<Timestamp>,
}

/// Which estimates are listed, and which page of them.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FindingEstimates {
    /// Which.
    pub wanted: EstimatesWanted,
    /// The page.
    pub paging: Paging,
}

impl FromRequest for FindingEstimates {
    type Error = Problem;
    type Future = Ready<Result<Self, Problem>>;

    fn from_request(request: &HttpRequest, _: &mut dev::Payload) -> Self::Future {
        ready(Self::read(request.query_string()))
    }
}

impl FindingEstimates {
    fn read(query: &str) -> Result<Self, Problem> {
        let mut faults = Vec::new();
        let known = ["reference", "from", "before", "limit", "cursor"];
        let wanted = EstimatesWanted { reference: None, from: None, before: None };
        let mut finding = Self { wanted, paging: Paging::FIRST };
        for (name, value) in parameters(query, &known, &mut faults) {
            match name.as_str() {
                "reference" => finding.wanted.reference = Some(value),
                "from" => finding.wanted.from = time(&name, &value, &mut faults),
                "before" => finding.wanted.before = time(&name, &value, &mut faults),
                _ => finding.paging.take(&name, value, &mut faults),
            }
        }
        if faults.is_empty() { Ok(finding) } else { Err(Problem::invalid(faults)) }
    }
}

/// A day or a time.
fn time(name: &str, value: &str, faults: &mut Vec<ProblemEntry>) -> Option<Timestamp> {
    let day = || value.parse::<jiff::civil::Date>().ok()?.to_zoned(jiff::tz::TimeZone::UTC).ok();
    let found = value.parse().ok().or_else(|| day().map(|day| day.timestamp()));
    if found.is_none() {
        let detail = format!("`{name}` is no time; give a day as 2026-11-01 or a time as 2026-11-01T10:00:00Z");
        faults.push(ProblemEntry::parameter(name, FaultCode::WrongForm, detail));
    }
    found
}

/// Which parts of an estimate are wanted; all where none is named.
#[derive(Debug, Clone, PartialEq, Eq, Default, IntoParams)]
#[into_params(parameter_in = Query)]
pub struct FieldsWanted {
    /// Names of parts between commas: exactly these come, and `id`. As JSON only.
    #[param(value_type = Option<String>, nullable = false, max_length = 1000, example = "totals,risk_flags,questions")]
    pub fields: BTreeSet<String>,
}

impl FromRequest for FieldsWanted {
    type Error = Problem;
    type Future = Ready<Result<Self, Problem>>;

    fn from_request(request: &HttpRequest, _: &mut dev::Payload) -> Self::Future {
        ready(Self::read(request.query_string()))
    }
}

/// The parts of an estimate, by the contract.
static PARTS: LazyLock<BTreeSet<String>> = LazyLock::new(|| {
    let schema = serde_json::to_value(Estimate::schema()).unwrap_or_default();
    schema["properties"].as_object().into_iter().flatten().map(|(name, _)| name.clone()).collect()
});

/// The names of the parts that an estimate has.
fn parts() -> impl Iterator<Item = &'static str> {
    PARTS.iter().map(String::as_str)
}

impl FieldsWanted {
    fn read(query: &str) -> Result<Self, Problem> {
        let mut faults = Vec::new();
        let mut fields = BTreeSet::new();
        for (_, value) in parameters(query, &["fields"], &mut faults) {
            for name in value.split(',').map(str::trim) {
                if parts().any(|part| part == name) {
                    fields.insert(name.to_owned());
                } else if faults.len() < FAULTS_LISTED_MAX {
                    let shown: String = name.chars().take(64).collect();
                    let remedy = match nearest(name, parts()) {
                        Some(meant) => format!("did you mean `{meant}`?"),
                        None => format!("use some of {}", parts().collect::<Vec<_>>().join(", ")),
                    };
                    let detail = format!("an estimate has no part `{shown}`; {remedy}");
                    faults.push(ProblemEntry::parameter("fields", FaultCode::UnknownValue, detail));
                }
            }
        }
        if faults.is_empty() { Ok(Self { fields }) } else { Err(Problem::invalid(faults)) }
    }
}

/// How far the price of a quotation is broken down.
#[derive(Debug, Clone, Copy, PartialEq, Eq, IntoParams)]
#[into_params(parameter_in = Query)]
pub struct QuotationDetail {
    /// One price, a price for each room, or one for each kind of work in each room. All show the same total.
    #[param(required = false, inline, default = "by-room")]
    pub detail: Detail,
}

impl FromRequest for QuotationDetail {
    type Error = Problem;
    type Future = Ready<Result<Self, Problem>>;

    fn from_request(request: &HttpRequest, _: &mut dev::Payload) -> Self::Future {
        ready(Self::read(request.query_string()))
    }
}

impl QuotationDetail {
    fn read(query: &str) -> Result<Self, Problem> {
        let mut faults = Vec::new();
        let mut asked = Self { detail: Detail::ByRoom };
        for (_, value) in parameters(query, &["detail"], &mut faults) {
            match Detail::from_word(&value) {
                Some(detail) => asked.detail = detail,
                None => {
                    let words: Vec<&str> = Detail::ALL.iter().map(|detail| detail.word()).collect();
                    let detail = format!("there is no such `detail`; use one of {}", words.join(", "));
                    faults.push(ProblemEntry::parameter("detail", FaultCode::UnknownValue, detail));
                }
            }
        }
        if faults.is_empty() { Ok(asked) } else { Err(Problem::invalid(faults)) }
    }
}

/// Which page of a list.
#[derive(Debug, Clone, PartialEq, Eq, IntoParams)]
#[into_params(parameter_in = Query)]
pub struct Paging {
    /// Items on the page.
    #[param(required = false, minimum = 1, maximum = 200, default = 50)]
    pub limit: u32,
    /// `next_cursor` of the page before; left out for the first page.
    #[param(max_length = 1000, nullable = false)]
    pub cursor: Option<String>,
}

impl FromRequest for Paging {
    type Error = Problem;
    type Future = Ready<Result<Self, Problem>>;

    fn from_request(request: &HttpRequest, _: &mut dev::Payload) -> Self::Future {
        ready(Self::read(request.query_string()))
    }
}

impl Paging {
    const FIRST: Self = Self { limit: limits::PAGE_ITEMS_DEFAULT, cursor: None };

    fn read(query: &str) -> Result<Self, Problem> {
        let mut faults = Vec::new();
        let parameters = parameters(query, &["limit", "cursor"], &mut faults);
        let mut paging = Self::FIRST;
        for (name, value) in parameters {
            paging.take(&name, value, &mut faults);
        }
        if faults.is_empty() { Ok(paging) } else { Err(Problem::invalid(faults)) }
    }

    /// Takes one of its two parameters.
    fn take(&mut self, name: &str, value: String, faults: &mut Vec<ProblemEntry>) {
        if name == "cursor" {
            self.cursor = Some(value);
        } else if let Some(limit) = value.parse().ok().filter(|limit| (1..=limits::PAGE_ITEMS_MAX).contains(limit)) {
            self.limit = limit;
        } else {
            let detail =
                format!("`limit` is no number that is taken; give a whole number from 1 to {}", limits::PAGE_ITEMS_MAX);
            faults.push(ProblemEntry::parameter("limit", FaultCode::OutOfRange, detail));
        }
    }

    /// A page of that list as an answer: what the store has found, the key by which the next page goes on, and each item as
    /// it is told.
    pub fn page<T, E: Serialize + From<T>>(
        list: &str,
        found: store::ListPart<T>,
        key: impl Fn(&T) -> String,
    ) -> HttpResponse {
        let last = found.items.last().filter(|_| found.more);
        let next_cursor = last.map(|item| cursor(list, &key(item)));
        let items: Vec<E> = found.items.into_iter().map(E::from).collect();
        HttpResponse::Ok().insert_header((header::CACHE_CONTROL, "no-store")).json(Page { items, next_cursor })
    }

    /// What the cursor of that list stands for: the key of the last item on the page before.
    ///
    /// # Errors
    /// Where it is not a cursor of that list.
    pub fn after(&self, list: &str) -> Result<Option<String>, Problem> {
        let Some(cursor) = &self.cursor else { return Ok(None) };
        let key = readable(cursor).and_then(|text| text.strip_prefix(&prefix(list)).map(str::to_owned));
        key.map(Some).ok_or_else(wrong_cursor)
    }
}

/// A fault of the parameter `cursor`.
#[must_use]
pub fn wrong_cursor() -> Problem {
    let detail = "`cursor` is none of this list; give `next_cursor` of the page before as it came, or leave it out";
    Problem::invalid(vec![ProblemEntry::parameter("cursor", FaultCode::WrongForm, detail)])
}

/// One page of a list.
#[derive(Debug, Serialize, ToSchema)]
pub struct Page<T> {
    /// The items.
    pub items: Vec<T>,
    /// Where the next page begins; absent on the last page.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(nullable = false, max_length = 1000)]
    pub next_cursor: Option<String>,
}

/// The cursor after the item with that key. Opaque to callers: its form may change.
fn cursor(list: &str, key: &str) -> String {
    hex::encode(format!("{}{key}", prefix(list)))
}

/// The form's version and the list, so that a cursor of another list or an older form is told from a key.
fn prefix(list: &str) -> String {
    format!("1:{list}:")
}

/// The text that a cursor was made of.
fn readable(cursor: &str) -> Option<String> {
    if cursor.len() > limits::CURSOR_CHARACTERS_MAX {
        return None;
    }
    String::from_utf8(hex::decode(cursor).ok()?).ok()
}

/// The parameters that are known; the others, and those given twice, are faults.
fn parameters(query: &str, known: &[&str], faults: &mut Vec<ProblemEntry>) -> Vec<(String, String)> {
    let pairs = web::Query::<Vec<(String, String)>>::from_query(query).map(web::Query::into_inner).unwrap_or_default();
    let mut parameters: Vec<(String, String)> = Vec::new();
    for (name, value) in pairs {
        if !known.contains(&name.as_str()) {
            faults.push(unknown(&name, known));
        } else if parameters.iter().any(|(seen, _)| *seen == name) {
            let detail = format!("`{name}` is given more than once; give it once");
            faults.push(ProblemEntry::parameter(name, FaultCode::Contradiction, detail));
        } else {
            parameters.push((name, value));
        }
    }
    parameters
}

fn unknown(name: &str, known: &[&str]) -> ProblemEntry {
    let shown: String = name.chars().take(64).collect();
    let remedy = match nearest(name, known.iter().copied()) {
        Some(meant) => format!("did you mean `{meant}`?"),
        None if known.is_empty() => "this address takes none".to_owned(),
        None => format!("leave it out, or use one of {}", known.join(", ")),
    };
    let detail = format!("there is no query parameter `{shown}` here; {remedy}");
    ProblemEntry::parameter(shown, FaultCode::UnknownField, detail)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::problem::Kind;

    #[test]
    fn parts_are_named_as_the_contract_has_them_and_days_as_people_write_them() {
        let wanted = FieldsWanted::read("fields=totals,%20questions").expect("read").fields;
        assert_eq!(wanted.into_iter().collect::<Vec<_>>(), ["questions", "totals"]);
        assert_eq!(FieldsWanted::read("").expect("read"), FieldsWanted::default());
        assert!(FieldsWanted::read("fields=total").is_err() && FieldsWanted::read("fields=").is_err());
        let finding = FindingEstimates::read("from=2026-11-01&before=2026-11-02T00:00:00Z&limit=5").expect("read");
        assert!(finding.wanted.from < finding.wanted.before && finding.paging.limit == 5);
        assert!(FindingEstimates::read("from=yesterday").is_err());
    }

    #[test]
    fn a_page_has_fifty_items_unless_the_caller_says_otherwise() {
        assert_eq!(Paging::read("").expect("read").limit, 50);
        assert_eq!(Paging::read("limit=7").expect("read").limit, 7);
    }

    #[test]
    fn a_limit_out_of_range_a_misspelt_and_a_doubled_parameter_are_faults() {
        for wrong in ["limit=0", "limit=201", "limit=-1", "limit=ten", "limt=5", "cursor=a&cursor=b", "limit", "%ff=1"]
        {
            assert_eq!(Paging::read(wrong).expect_err(wrong).kind(), Kind::Invalid, "{wrong}");
        }
    }

    #[test]
    fn a_cursor_leads_back_to_the_key_it_was_made_of() {
        let paging = Paging { limit: 1, cursor: Some(cursor("sheets", "größer:1")) };
        assert_eq!(paging.after("sheets").expect("own cursor").as_deref(), Some("größer:1"));
    }

    #[test]
    fn a_cursor_of_another_list_or_none_at_all_is_refused() {
        for wrong in [cursor("other", "x"), "zz".into(), "abc".into(), "ff".into(), "€€".into(), "00".repeat(600)] {
            let paging = Paging { limit: 1, cursor: Some(wrong.clone()) };
            assert!(paging.after("sheets").is_err(), "{wrong}");
        }
    }
}

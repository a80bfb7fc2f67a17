//! What kind of job it is, as it goes out: what stays, what is made good, the papers.

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::words;
use crate::circuits::CertificateKind;
use crate::money::Money;
use crate::pricing::{self, PricedItem};
use crate::survey::{Nation, Scope};
use crate::take_off::{Item, Job};

/// What kind of job it is.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct JobScope {
    /// The kind.
    pub kind: Scope,
    /// Whether it was taken from what is asked, as the survey does not say.
    pub assumed: bool,
    /// The certificates that the client gets.
    pub certificates: Vec<CertificateDue>,
    /// Whether building control has to be told.
    pub notifiable: Notifiable,
    /// What is there and stays: taken as sound where it was not recorded, and looked at.
    pub stays: Vec<String>,
    /// What stays was recorded as wrong, and is put right first since the work depends on it; its money is in `lines`.
    pub made_good: Vec<MadeGood>,
    /// Times that the crew comes, each of them a day or half of one.
    #[schema(minimum = 0, example = 1)]
    pub visits: u32,
}

/// A certificate.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct CertificateDue {
    /// The kind.
    pub kind: CertificateKind,
    /// The circuits on it, as in `circuits`.
    pub circuits: Vec<String>,
}

/// Whether building control has to be told.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct Notifiable {
    /// Whether it has to be.
    pub required: bool,
    /// The nation whose rule it is.
    pub nation: Nation,
    /// Why, or why not.
    pub because: String,
}

/// Something that is put right because the work depends on it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct MadeGood {
    /// What.
    pub what: String,
    /// Why.
    pub because: String,
    /// Its price before tax, contingency apart.
    pub net: Money,
}

/// What kind of job it is, with its papers.
pub(crate) fn scope(job: Job<'_>, items: &[(&Item, PricedItem)], visits: u32) -> JobScope {
    let installation = job.installation;
    let named =
        |circuits: &[usize]| circuits.iter().map(|circuit| installation.circuits[*circuit].id.clone()).collect();
    let notice = installation.notice(job.site);
    let certificates = installation.certificates(job.site).into_iter();
    JobScope {
        kind: job.site.scope.kind,
        assumed: job.site.scope.assumed,
        certificates: certificates
            .map(|due| CertificateDue { kind: due.kind, circuits: named(&due.circuits) })
            .collect(),
        notifiable: Notifiable {
            required: notice.required,
            nation: notice.nation,
            because: words::scope::notice(notice.because).to_owned(),
        },
        stays: words::scope::stays(job),
        made_good: made_good(job, items),
        visits,
    }
}

/// What was recorded as wrong of what stays.
fn made_good(job: Job<'_>, items: &[(&Item, PricedItem)]) -> Vec<MadeGood> {
    if job.site.scope.rewires() {
        return Vec::new();
    }
    let terms = &job.workbook.sheet.terms;
    let entry = |(item, priced): &(&Item, PricedItem)| {
        let (what, because) = words::scope::made_good(item.what)?;
        let net = pricing::selling(priced.amount().approximate(), terms);
        Some(MadeGood { what, because: because.to_owned(), net })
    };
    items.iter().filter_map(entry).collect()
}

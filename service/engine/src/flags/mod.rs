//! What could lose money, hurt somebody or delay the job: rules as data, with a small typed predicate each.
//!
//! A flag has its severity, kind, action and basis, and whether it is told as a risk, as something that the price holds or as a
//! caution, in `data/risk_flags.csv`; the predicates in this module say where it
//! applies and what was found. No flag without a trigger in the document; no two flags for one cause.

mod context;
mod fabric;
mod house;
mod id;
mod money;
mod raised;
mod rules;
mod supply;
mod wiring;

pub(crate) use context::FlagContext;
pub use id::FlagId;
use raised::FlagCollector;
pub use raised::{CircuitFlag, FlagDetail, RaisedFlag};
pub use rules::{FlagRule, FlagRules, RiskKind, Severity, ToldAs};

use crate::money::Money;
use crate::survey::VatCase;

/// Every flag of a survey, before its price is known.
pub(crate) fn raised(rules: &FlagRules, context: FlagContext<'_>) -> Vec<RaisedFlag> {
    let mut flags = FlagCollector { rules, flags: Vec::new() };
    supply::supply(context, &mut flags);
    supply::checks(context, &mut flags);
    supply::kept(context, &mut flags);
    supply::outside(context, &mut flags);
    fabric::asbestos_and_dust(context, &mut flags);
    fabric::floors(context, &mut flags);
    fabric::ceilings(context, &mut flags);
    fabric::walls(context, &mut flags);
    house::house(context, &mut flags);
    money::people(context, &mut flags);
    money::points(context, &mut flags);
    money::fumes(context, &mut flags);
    wiring::wiring(context, &mut flags);
    money::papers(context, &mut flags);
    // A flag whose question is asked carries what that is worth; its rule works out only what else stands there.
    for flag in &mut flags.flags {
        if let Some(question) = flag.id.question().and_then(|question| context.worth(question)) {
            flag.at_stake = Some(question);
        }
    }
    flags.flags
}

/// Sets what hangs on the measured net price.
pub(crate) fn at_price(flags: &mut [RaisedFlag], net: Money, vat: VatCase) {
    for flag in flags.iter_mut().filter(|flag| flag.id == FlagId::VatEvidenceMissing) {
        flag.at_stake = Some(money::tax_owed(net, vat)).filter(|money| *money != Money::ZERO);
    }
}

//! The price completed once the range has said what contingency it asks for: both methods, the firm's terms, tax.

use super::cross_check::{BothMethods, MethodComparison, cross_check};
use super::vat::{Tax, tax};
use super::{DirectCost, PerPoint, Price, PricedItem, at_point_rates, least_charge};
use crate::circuits::Design;
use crate::context::Context;
use crate::money::Money;
use crate::survey::Method;
use crate::take_off::Item;

/// What a price is completed from.
pub(crate) struct Completing<'a> {
    pub design: &'a Design<'a>,
    pub items: &'a [(&'a Item, PricedItem)],
    /// Materials charged beside those of the items.
    pub sundries: Money,
    pub per_point: &'a PerPoint,
    /// What the range asks for.
    pub contingency: Money,
}

/// The price by the method that was asked for.
pub(crate) struct CompletedPrice {
    pub method: Method,
    pub price: Price,
    pub tax: Tax,
    /// Against the other method.
    pub compared: MethodComparison,
    /// Before tax by measure, whichever method was asked for: what questions and flags are weighed at.
    pub measured_net: Money,
}

/// The price as measured: overhead, contingency, profit and what the firm's terms make of the sum added.
pub(crate) fn measured(direct: DirectCost, contingency: Money, context: Context<'_>) -> Price {
    let terms = &context.workbook.sheet.terms;
    direct.complete(contingency, terms, least_charge(terms, context.visit()))
}

/// Completes the price by both methods, and works the tax out.
pub(crate) fn complete(direct: DirectCost, from: &Completing<'_>) -> CompletedPrice {
    let Completing { design, items, sundries, per_point, contingency } = *from;
    let terms = &design.context.workbook.sheet.terms;
    let request = design.context.request;
    let least = least_charge(terms, design.context.visit());
    let measured = measured(direct, contingency, design.context);
    let at_rates = at_point_rates(per_point, terms, least);
    let method = request.method.unwrap_or(Method::Measured);
    let both = BothMethods { items, sundries, measured: &measured, per_point, at_rates: &at_rates };
    let compared = cross_check(method, &both, terms);
    let measured_net = measured.totals.net;
    let mut price = match method {
        Method::Measured => measured,
        Method::PerPoint => at_rates,
    };
    let asked = request.terms.clone().unwrap_or_default();
    let tax = tax(&mut price, &asked, terms, design.site, &design.installation);
    CompletedPrice { method, price, tax, compared, measured_net }
}

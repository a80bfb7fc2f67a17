//! The working of cables in their conduit or trunking.

use std::borrow::Cow;

use super::answer::EnclosureCheck;
use super::line::{Working, line};
use crate::checks::{Enclosed, JudgedEnclosure};

pub(super) fn enclosure(enclosed: &Enclosed, judged: JudgedEnclosure) -> EnclosureCheck {
    let mut working = Working::new(160);
    for (index, cable) in enclosed.cables.iter().enumerate() {
        if index > 0 {
            line!(working, " + ");
        }
        line!(working, cable.count, " x ", cable.term, " (", cable.line_mm2, " mm2)");
    }
    let JudgedEnclosure { value, limit, verdict } = judged;
    let sign = if value <= limit { "<=" } else { ">" };
    line!(working, " = ", value, ". ", value, " ", sign, " ", limit);
    let clause = Cow::Borrowed(enclosed.space.table.name());
    EnclosureCheck { value, limit, verdict, clause, working: working.written() }
}

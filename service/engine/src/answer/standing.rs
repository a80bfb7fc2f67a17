//! What a price may be called, and what is missing before it may be called more.

use wiring::closed_list;

use super::{Estimate, Severity};

closed_list! {
    /// What a price may be called.
    PriceStanding {
        Budget = "budget": "A likely price with much still open.",
        Estimate = "estimate": "A price from a survey; open questions may still move it.",
        Quotation = "quotation": "A price that a firm can commit to.",
    }
}

/// A price whose p90 is over this many times its p10 is no more than a budget. Common practice, no source.
const WIDTH_OF_A_BUDGET: f64 = 1.5;
/// A question worth more than this share of the net price keeps it from being a quotation. Common practice, no source.
const SHARE_OF_AN_OPEN_QUESTION: f64 = 0.02;

/// What a price may be called.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StandsAs {
    /// The most that it may be called.
    pub standing: PriceStanding,
    /// What to find out before it may be called a quotation: the actions of open stops, then the questions that move
    /// the price, the dearest first.
    pub missing: Vec<String>,
}

impl Estimate {
    /// What the price may be called: a budget while its range is wide or a stop is open that money hangs on; a quotation
    /// where no stop is open and no question moves it by more than two hundredths; else an estimate.
    #[must_use]
    pub fn stands_as(&self) -> StandsAs {
        let stops = || self.risk_flags.iter().filter(|flag| flag.severity == Severity::Stop);
        let worth_asking = self.totals.net.approximate() * SHARE_OF_AN_OPEN_QUESTION;
        let asked = || self.questions.iter().filter(|question| question.worth.approximate() > worth_asking);
        let wide = self.range.p90.approximate() > WIDTH_OF_A_BUDGET * self.range.p10.approximate();
        let standing = if wide || stops().any(|stop| stop.at_stake.is_some()) {
            PriceStanding::Budget
        } else if stops().next().is_none() && asked().next().is_none() {
            PriceStanding::Quotation
        } else {
            PriceStanding::Estimate
        };
        let missing = match standing {
            PriceStanding::Quotation => Vec::new(),
            PriceStanding::Budget | PriceStanding::Estimate => {
                let actions = stops().map(|stop| stop.action.clone().into_owned());
                actions.chain(asked().map(|question| question.ask.clone())).collect()
            }
        };
        StandsAs { standing, missing }
    }
}

//! A quotation: the estimate as an offer that a client can read, as a page from one paper of blocks.
//!
//! In: a kept estimate, what the firm and the client put on their papers, how far the price is to be broken down. Out: bytes.
//! Nothing here works out a price: figures are the estimate's own, at selling prices. Every depth shows the same totals.
//! What a price may be called is the estimate's to say: one with an open stop is headed a budget, whatever is asked for.

mod notices;
mod page;
mod paper;
mod people;
mod prices;
mod sections;
#[cfg(test)]
mod tests;

use engine::estimate::Estimate;
use wiring::closed_list;

pub use people::{ClientDetails, DetailFault, FirmDetails, LOGO_BYTES_MAX, Logo, LogoKind};

closed_list! {
    /// How far the price is broken down.
    Detail {
        LumpSum = "lump-sum": "One price for the work.",
        ByRoom = "by-room": "A price for each room and one for the house as a whole.",
        ByLine = "by-line": "A price for each kind of work in each room.",
    }
}

/// What a quotation is made from.
#[derive(Debug, Clone, Copy)]
pub struct Offered<'a> {
    /// The estimate.
    pub estimate: &'a Estimate,
    /// Who offers.
    pub firm: &'a FirmDetails,
    /// To whom.
    pub client: &'a ClientDetails,
    /// How far the price is broken down.
    pub detail: Detail,
}

impl Offered<'_> {
    /// The quotation as a page that needs nothing beside itself.
    ///
    /// # Errors
    /// Where the firm's mark cannot be printed.
    pub fn html(self) -> Result<String, DetailFault> {
        let logo = self.firm.logo()?;
        Ok(page::html(&sections::paper(self), logo.as_ref()))
    }
}

//! Reading a survey: every fault at once.

use super::{EstimateRequest, rules};
use crate::document::{Contract, Unreadable};

/// The contract of a survey, compiled once.
pub type SurveyContract = Contract<EstimateRequest>;

/// Reads a survey: against the contract first, then against the rules that no schema can say.
///
/// # Errors
/// Every fault at once, with a JSON Pointer each.
pub fn read(contract: &SurveyContract, bytes: &[u8]) -> Result<EstimateRequest, Unreadable> {
    let request = contract.read(bytes)?;
    let faults = rules::faults(&request);
    if faults.is_empty() { Ok(request) } else { Err(Unreadable::Faults(faults)) }
}

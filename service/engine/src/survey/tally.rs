//! A CSV tally.
/// t
#[derive(Debug)]
pub struct TallyFault;
/// t
pub fn read(_b: &[u8]) -> Result<super::EstimateRequest, Vec<TallyFault>> { Err(vec![]) }

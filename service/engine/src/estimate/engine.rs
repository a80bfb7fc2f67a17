//! The engine: the tables and contracts that every estimate needs, built once.

use super::{Estimate, RoutesAnswer, RoutesRequest, SurveyReview, SurveyReviewRequest};
use crate::catalogue::Catalogue;
use crate::circuits;
use crate::context::Context;
use crate::document::{Contract, Unreadable};
use crate::faults::{CellFault, Fault, FaultCode};
use crate::flags::FlagRules;
use crate::limits::FAULTS_LISTED_MAX;
use crate::range::Shapes;
use crate::rate_sheet::sections::{self, Section};
use crate::rate_sheet::{RateSheet, SheetRules, UnusableSheet, Workbook};
use crate::site::Site;
use crate::standards::Standards;
use crate::survey::{self, EstimateRequest, Scope, SurveyContract, VatCase, tally};
use crate::unknowns::AnswerTable;
use crate::work::{Cancellation, Stopped, WorkBudget};

/// Tables and compiled contracts. Build it once and share it; it never changes.
pub struct Engine {
    /// What the trade knows before it sees the house.
    pub catalogue: Catalogue,
    /// The wiring rules' tables.
    pub standards: Standards,
    pub(crate) rules: FlagRules,
    pub(crate) shapes: Shapes,
    pub(crate) answers: AnswerTable,
    surveys: SurveyContract,
    rate_sheets: Contract<RateSheet>,
    sheet_rules: SheetRules,
}

/// What the engine cannot know: who asked when.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Stamp {
    /// Identifier of the estimate.
    pub id: String,
    /// RFC 3339, UTC.
    pub created_at: String,
}

impl Engine {
    /// Reads the tables that are part of the program.
    #[must_use]
    pub fn new() -> Self {
        Self {
            catalogue: Catalogue::built_in(),
            standards: Standards::built_in(),
            rules: FlagRules::built_in(),
            shapes: Shapes::built_in(),
            answers: AnswerTable::built_in(),
            surveys: SurveyContract::new(),
            rate_sheets: Contract::new(),
            sheet_rules: SheetRules::built_in(),
        }
    }

    /// Reads a survey.
    ///
    /// # Errors
    /// Every fault at once, with a JSON Pointer each.
    pub fn read_survey(&self, json: &[u8]) -> Result<EstimateRequest, Unreadable> {
        let request = survey::read(&self.surveys, json)?;
        let faults = self.circuit_faults(&request);
        if faults.is_empty() { Ok(request) } else { Err(Unreadable::Faults(faults)) }
    }

    /// Reads a CSV tally.
    ///
    /// # Errors
    /// Every fault at once, with row and column.
    pub fn read_tally(&self, csv: &[u8]) -> Result<EstimateRequest, Vec<tally::TallyFault>> {
        tally::read(csv)
    }

    /// Reads a CSV tally as a job of that kind.
    ///
    /// # Errors
    /// Every fault at once, with row and column.
    pub fn read_tally_as(&self, csv: &[u8], scope: Option<Scope>) -> Result<EstimateRequest, Vec<tally::TallyFault>> {
        tally::read_as(csv, scope)
    }

    /// Reads a rate sheet that was accepted once: what it must have is left to [`Engine::prepare`].
    ///
    /// # Errors
    /// Every fault at once, with a JSON Pointer each.
    pub fn read_rate_sheet(&self, json: &[u8]) -> Result<RateSheet, Unreadable> {
        self.rate_sheets.read(json)
    }

    /// Reads a rate sheet that is to be kept: it must have all that the engine asks for, and nothing that makes no sense.
    ///
    /// # Errors
    /// Every fault at once, with a JSON Pointer each.
    pub fn accept_rate_sheet(&self, json: &[u8]) -> Result<RateSheet, Unreadable> {
        let sheet = self.rate_sheets.read(json)?;
        let faults = self.rate_sheet_faults(&sheet);
        if faults.is_empty() { Ok(sheet) } else { Err(Unreadable::Faults(faults)) }
    }

    /// Every fault of a rate sheet that was read against its contract: what no schema can say.
    #[must_use]
    pub fn rate_sheet_faults(&self, sheet: &RateSheet) -> Vec<Fault> {
        self.sheet_rules.faults(sheet, &self.catalogue)
    }

    /// A rate sheet with one section replaced by a table in CSV.
    ///
    /// # Errors
    /// Every fault at once, with row and column.
    pub fn accept_section(&self, section: Section, csv: &[u8], sheet: &RateSheet) -> Result<RateSheet, Vec<CellFault>> {
        let contract = |document: &serde_json::Value| self.rate_sheets.faults(document);
        sections::import(section, csv, sheet, contract, |sheet| self.rate_sheet_faults(sheet))
    }

    /// Every fault of a request that was made in code and not read.
    #[must_use]
    pub fn faults(&self, request: &EstimateRequest) -> Vec<Fault> {
        let value = serde_json::to_value(request).unwrap_or_default();
        let faults = self.surveys.faults(&value);
        if faults.is_empty() { self.rule_faults(request) } else { faults }
    }

    /// Every fault of a request that was read against its contract: what no schema can say.
    #[must_use]
    pub fn rule_faults(&self, request: &EstimateRequest) -> Vec<Fault> {
        let faults = survey::rules::faults(request);
        if faults.is_empty() { self.circuit_faults(request) } else { faults }
    }

    /// Every fault of a request that only shows on the rate sheet that prices it: a firm that is not registered for tax
    /// charges none, whatever the request says.
    #[must_use]
    pub fn faults_on(&self, request: &EstimateRequest, workbook: &Workbook) -> Vec<Fault> {
        let sheet = &workbook.sheet;
        let Some(terms) = request.terms.as_ref().filter(|_| sheet.terms.vat == VatCase::NotRegistered) else {
            return Vec::new();
        };
        let cases = terms.vat.iter().map(|case| ("/terms/vat".to_owned(), *case));
        let exceptions = terms.vat_exceptions.iter().enumerate();
        let cases =
            cases.chain(exceptions.map(|(index, one)| (format!("/terms/vat_exceptions/{index}/case"), one.case)));
        let charged = cases.filter(|(_, case)| *case != VatCase::NotRegistered);
        let fault = |(pointer, case)| {
            let detail = format!(
                "it is `{case}`, and by the rate sheet `{}` the firm is not registered for tax and charges none: leave it \
                 out, or use a sheet of a firm that is registered",
                sheet.name
            );
            Fault::new(pointer, FaultCode::Contradiction, detail)
        };
        charged.map(fault).take(FAULTS_LISTED_MAX).collect()
    }

    /// Every fault of a survey to be looked over that was read against its contract.
    #[must_use]
    pub fn review_faults(&self, request: &SurveyReviewRequest) -> Vec<Fault> {
        let faults = request.faults();
        if faults.is_empty() { self.circuit_faults(&request.clone().into_request()) } else { faults }
    }

    /// What a designer has fixed and the survey does not bear, and more circuits than are designed. The survey is sound
    /// otherwise.
    #[must_use]
    fn circuit_faults(&self, request: &EstimateRequest) -> Vec<Fault> {
        let survey = &request.survey;
        if survey.circuits.is_empty() && !circuits::may_be_too_many(survey) {
            return Vec::new();
        }
        let work = WorkBudget::cancelled_by(Cancellation::default());
        let (site, _) = Site::from_survey(survey, &self.catalogue, &work);
        if !work.goes_on() {
            // It is refused where it is worked on, for the same steps.
            return Vec::new();
        }
        let mut faults = circuits::faults(&site, survey, &self.catalogue, &self.standards);
        faults.truncate(FAULTS_LISTED_MAX);
        faults
    }

    /// Makes a rate sheet ready for pricing. A version never changes, so the result may be kept.
    ///
    /// # Errors
    /// Everything that the engine asks for and the sheet lacks, and every price that it cannot reckon with.
    pub fn prepare(&self, sheet: RateSheet, version: u32) -> Result<Workbook, UnusableSheet> {
        Workbook::new(sheet, version, &self.catalogue)
    }

    /// The routes of runs on a drawn site, planned together.
    ///
    /// # Errors
    /// Every fault at once, with a JSON Pointer each.
    pub fn routes(&self, request: &RoutesRequest, workbook: &Workbook) -> Result<RoutesAnswer, Vec<Fault>> {
        self.routes_within(request, workbook, &WorkBudget::unlimited()).unwrap_or_else(endless)
    }

    /// The same, unless it takes more work than it may or nobody waits for it any more.
    ///
    /// # Errors
    /// Why it was stopped; else the routes, or every fault.
    pub fn routes_within(
        &self,
        request: &RoutesRequest,
        workbook: &Workbook,
        work: &WorkBudget,
    ) -> Result<Result<RoutesAnswer, Vec<Fault>>, Stopped> {
        let answer = super::routes_asked::routes(&self.catalogue, request, workbook, work);
        work.finished().map(|()| answer)
    }

    /// Looks a survey over: what it lacks, what could go wrong, what is worth asking. The same request and workbook give
    /// the same review.
    #[must_use]
    pub fn review(&self, request: &SurveyReviewRequest, workbook: &Workbook) -> SurveyReview {
        self.review_within(request, workbook, &WorkBudget::unlimited()).unwrap_or_else(endless)
    }

    /// The same, unless it takes more work than it may or nobody waits for it any more.
    ///
    /// # Errors
    /// Why it was stopped.
    pub fn review_within(
        &self,
        request: &SurveyReviewRequest,
        workbook: &Workbook,
        work: &WorkBudget,
    ) -> Result<SurveyReview, Stopped> {
        let request = request.clone().into_request();
        super::review::review(self, self.context(&request, workbook, work))
    }

    /// What a job is worked out from.
    pub(crate) fn context<'a>(
        &'a self,
        request: &'a EstimateRequest,
        workbook: &'a Workbook,
        work: &'a WorkBudget,
    ) -> Context<'a> {
        Context { catalogue: &self.catalogue, standards: &self.standards, workbook, request, work }
    }

    /// Prices a survey that was read without fault. The same request, workbook and engine version give the same
    /// document, the stamp aside.
    #[must_use]
    pub fn estimate(&self, request: &EstimateRequest, workbook: &Workbook, stamp: Stamp) -> Estimate {
        self.estimate_within(request, workbook, stamp, &WorkBudget::unlimited()).unwrap_or_else(endless)
    }

    /// The same, unless it takes more work than it may or nobody waits for it any more.
    ///
    /// # Errors
    /// Why it was stopped.
    pub fn estimate_within(
        &self,
        request: &EstimateRequest,
        workbook: &Workbook,
        stamp: Stamp,
        work: &WorkBudget,
    ) -> Result<Estimate, Stopped> {
        super::estimate(self, self.context(request, workbook, work), stamp)
    }
}

/// What cannot come: work without an end, of which nobody else holds the cancellation.
fn endless<T>(stopped: Stopped) -> T {
    unreachable!("work without an end was stopped: {stopped}")
}

impl Default for Engine {
    fn default() -> Self {
        Self::new()
    }
}

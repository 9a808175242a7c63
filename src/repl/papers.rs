//! Documents that are written to a file: report, test sheet, handover list,
//! comeback report. What was said and read stays as it is whatever happens.

use super::paper::{self, ReportOrder};
use super::session::{Reply, Session, failed};
use crate::case::past;
use crate::case::walk::{self, Walk};
use crate::plan::walk::Scope;
use crate::sheet::sheet;
use crate::vehicle::PartId;
use crate::words;

/// Seed: the faults behind a test sheet: the same sheet every time.
const SHEET_SEED: u64 = 1;

impl Session {
    /// What is said of a document that was written, or why it was not.
    pub(super) fn put_down(&self, written: Result<String, String>, width: usize) -> Reply {
        match written {
            Ok(said) => self.said(words::wrapped(&said, width, 2)),
            Err(why) => failed(&why, width),
        }
    }

    /// Writes the report.
    pub(super) fn report(&self, order: &ReportOrder) -> Result<String, String> {
        if self.case.entries().is_empty() {
            return Err("nothing is entered yet, so there is nothing to report".to_string());
        }
        let account = self.case.account().map_err(|error| error.to_string())?;
        let steps = self.case.steps().map_err(|error| error.to_string())?;
        let text = words::report(&self.case, &account, &steps, order.paper);
        paper::put(order, &text).map_err(|error| error.to_string())?;
        Ok(format!("Report written to {}.", order.path.display()))
    }

    /// Writes the test sheet of a load, the same whatever was entered.
    pub(super) fn sheet(&self, load: PartId, order: &ReportOrder) -> Result<String, String> {
        let vehicle = self.case.vehicle();
        let made = sheet(self.case.engine(), load, SHEET_SEED).map_err(|error| error.to_string())?;
        let Some(made) = made else {
            return Err(format!(
                "as drawn, no fault makes `{}` dead, so there is no sheet for it",
                vehicle.part(load).name
            ));
        };
        paper::put(order, &words::sheet(vehicle, &made, order.paper)).map_err(|error| error.to_string())?;
        Ok(format!("Test sheet written to {}.", order.path.display()))
    }

    /// Writes what of the handover is left to read.
    pub(super) fn walk_list(&self, scope: Option<Scope>, order: &ReportOrder) -> Result<String, String> {
        let scope = scope.unwrap_or(self.case.standing().walk);
        let walk = Walk { scope, legs: walk::legs(&self.case, scope).map_err(|error| error.to_string())? };
        let tells = walk::tells(&self.case, scope).map_err(|error| error.to_string())?;
        let text = words::walk_sheet(&self.case, &walk, &tells, order.paper);
        paper::put(order, &text).map_err(|error| error.to_string())?;
        Ok(format!("Handover list written to {}.", order.path.display()))
    }

    /// Writes what past cases came to.
    pub(super) fn comeback(&self, order: &ReportOrder) -> Result<String, String> {
        let vehicle = self.case.vehicle();
        let listed =
            self.shelf.as_ref().map(|shelf| shelf.list(vehicle, self.case.engine().trees())).unwrap_or_default();
        let told = past::comebacks(self.case.engine(), &listed).map_err(|error| error.to_string())?;
        if told.is_empty() {
            return Err("no past case of this vehicle holds anything".to_string());
        }
        let enough = self.case.engine().tables().plan.enough;
        paper::put(order, &words::comeback(vehicle, &told, enough, order.paper)).map_err(|error| error.to_string())?;
        Ok(format!("Comeback report written to {}.", order.path.display()))
    }
}

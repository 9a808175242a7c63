//! Documents that are written to a file: report, test sheet, handover list,
//! comeback report. What was said and read stays as it is whatever happens.

use super::paper::{self, ReportOrder};
use super::session::{Refusal, Said, Session};
use crate::case::past;
use crate::case::walk::{self, Walk};
use crate::plan::walk::Scope;
use crate::sheet::sheet;
use crate::vehicle::PartId;
use crate::words;
use crate::words::document::Block;

/// Seed: the faults behind a test sheet: the same sheet every time.
const SHEET_SEED: u64 = 1;

impl Session {
    /// Writes the report.
    pub(super) fn report(&self, order: &ReportOrder) -> Said {
        if self.case.entries().is_empty() {
            return Err(Refusal("nothing is entered yet, so there is nothing to report".to_string()));
        }
        let account = self.case.account()?;
        let steps = self.case.steps()?;
        let text = words::report(&self.case, &account, &steps, order.paper);
        paper::put(order, &text)?;
        Ok(written("Report", order))
    }

    /// Writes the test sheet of a load, the same whatever was entered.
    pub(super) fn sheet(&self, load: PartId, order: &ReportOrder) -> Said {
        let vehicle = self.case.vehicle();
        let made = sheet(self.case.engine(), load, SHEET_SEED)?;
        let Some(made) = made else {
            let name = &vehicle.part(load).name;
            return Err(Refusal(format!("as drawn, no fault makes `{name}` dead, so there is no sheet for it")));
        };
        paper::put(order, &words::sheet(vehicle, &made, order.paper))?;
        Ok(written("Test sheet", order))
    }

    /// Writes what of the handover is left to read.
    pub(super) fn walk_list(&self, scope: Option<Scope>, order: &ReportOrder) -> Said {
        let scope = scope.unwrap_or(self.case.standing().walk);
        let walk = Walk { scope, legs: walk::legs(&self.case, scope)? };
        let tells = walk::tells(&self.case, scope)?;
        let text = words::walk_sheet(&self.case, &walk, &tells, order.paper);
        paper::put(order, &text)?;
        Ok(written("Handover list", order))
    }

    /// Writes what past cases came to.
    pub(super) fn comeback(&self, order: &ReportOrder) -> Said {
        let vehicle = self.case.vehicle();
        let listed =
            self.shelf.as_ref().map(|shelf| shelf.list(vehicle, self.case.engine().trees())).unwrap_or_default();
        let told = past::comebacks(self.case.engine(), &listed)?;
        if told.is_empty() {
            return Err(Refusal("no past case of this vehicle holds anything".to_string()));
        }
        let enough = self.case.engine().tables().plan.enough;
        paper::put(order, &words::comeback(vehicle, &told, enough, order.paper))?;
        Ok(written("Comeback report", order))
    }
}

fn written(what: &str, order: &ReportOrder) -> Vec<Block> {
    vec![Block::Paragraph(format!("{what} written to {}.", order.path.display()))]
}

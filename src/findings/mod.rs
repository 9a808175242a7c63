//! A drawing looked over by what it comes to when it is solved: what does not run
//! though everything is sound, and what drops too much. What can be told from the
//! circuit alone is in `vehicle::check`.

mod running;

use crate::predict::{Predictor, check_drops};
use crate::source::Diagnostic;

/// Every finding about a vehicle that needs solving.
pub fn findings(predictor: &Predictor) -> Vec<Diagnostic> {
    let mut all = running::check_running(predictor);
    all.extend(check_drops(predictor));
    all
}

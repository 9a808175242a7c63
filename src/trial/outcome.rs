//! One case of a trial and how everybody fared.

use super::hidden::Hidden;
use super::played::PlayedCase;

/// One case and how everybody fared.
#[derive(Debug, Clone)]
pub struct CaseOutcome {
    pub seed: u64,
    /// What was wrong; none if no fault drawn was ever noticed.
    pub hidden: Option<Hidden>,
    /// Faults drawn before one was noticed.
    pub unnoticed: usize,
    /// Faults drawn that made the circuit chatter, which is no case for this.
    pub restless: usize,
    /// Wrong drawings drawn that read like a drawn fault, which they then are.
    pub alike: usize,
    /// In the order of [`Options::policies`](super::Options); none where a policy has no way to
    /// follow, as the textbook has none for a load that stays on.
    pub played: Vec<Option<PlayedCase>>,
    /// The tool with what was read at handover; none where nothing was.
    pub informed: Option<PlayedCase>,
}

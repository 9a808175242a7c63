//! How likely each fault is, given everything said, seen and read: Bayesian
//! diagnosis. Candidates get a prior (`singles`) and a likelihood
//! (`likelihood`); where no single fault explains all, proposers bring in more
//! (`pairs`, `undrawn`); Bayes' rule makes a [`Belief`] of them (`weigh`).
//! Beside the faults stand two more explanations: nothing is wrong, and the
//! drawing is not the vehicle.

mod answers;
mod bayes;
mod candidate;
mod departing;
mod elsewhere;
mod engine;
mod estimate;
mod evidence;
mod failure;
mod gaussian;
mod handover;
mod history;
mod likelihood;
mod look_over;
mod loops;
mod memory;
mod models;
mod needs;
mod normal;
mod onset;
mod outlier;
mod pairs;
mod phone;
mod posterior;
mod prior;
mod proposer;
mod segment;
mod shortlist;
mod signs;
mod singles;
mod site;
mod symmetric;
mod undrawn;
mod verdict;
mod weigh;

pub use answers::{Asking, is_news, is_seen};
pub use engine::Engine;
pub use estimate::Estimate;
pub use evidence::{
    Answered, Appearance, Earlier, Evidence, Observation, Past, Reading, Sign, Symptom, appearance_chances,
};
pub use failure::Failure;
pub use gaussian::Joint;
pub use handover::Handover;
pub use history::{Because, Raise};
pub use look_over::LookOver;
pub use loops::{LoopGap, loop_gap};
pub use normal::{Forecast, normal_below};
pub use outlier::Taken;
pub use phone::as_told;
pub use posterior::{Belief, Explanation, PartBelief, Suspect};
pub use segment::{Pair, Segment, Stretch};
pub use signs::chance;
pub use site::Site;
pub use verdict::Contradiction;

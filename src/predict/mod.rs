//! What an instrument shows and what a person sees, under each fault, in each
//! state, with its spread. Knows nothing of what was actually read.

mod blocked;
mod circuits;
mod cut_out;
mod drops;
mod fixed;
mod hypothesis;
mod knowledge;
mod loadings;
mod looks;
mod model;
mod ohms;
mod prediction;
mod probe;
mod quantities;
mod sensitivity;
mod series;
mod spread;
mod supposed;
mod trips;
mod uncertain;
mod uncertainties;
mod view;

pub use cut_out::Tripped;
pub use drops::check_drops;
pub use hypothesis::{Hypothesis, HypothesisKey, Phase, Sized};
pub use knowledge::PartKnowledge;
pub use loadings::Loadings;
pub use model::{Predictor, StateModel};
pub use ohms::fuse_between;
pub use prediction::Prediction;
pub use probe::{Burden, Probe, Scale};
pub use series::UnbranchedWays;
pub use uncertain::Uncertain;
pub use uncertainties::{Quantities, Uncertainties};
pub use view::{View, is_live};

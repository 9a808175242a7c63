//! What an instrument shows and what a person sees, under each fault, in each
//! state, with its spread. Knows nothing of what was actually read.

mod cut_out;
mod drops;
mod hypothesis;
mod known;
mod model;
mod ohms;
mod probe;
mod quantities;
mod sensitivity;
mod series;
mod shown;
mod spread;
mod theta;
mod trips;
mod uncertain;
mod view;

pub use cut_out::Tripped;
pub use drops::check_drops;
pub use hypothesis::{Hypothesis, HypothesisKey, Phase, Sized};
pub use known::Known;
pub use model::{Predictor, StateModel};
pub use probe::{Burden, Probe, Scale};
pub use series::Series;
pub use shown::Shown;
pub use theta::Theta;
pub use uncertain::Uncertain;
pub use view::{View, is_live};

//! Nodal analysis: voltages and currents of a circuit in a state, and what
//! changing a part does to them. Knows indices and laws, never names of parts.
//!
//! With A the incidence matrix (points by branches), G the conductances of the
//! branches and i₀ their current sources, Kirchhoff's current law reads
//!
//!   Y·v = −A·i₀,   Y = A·G·Aᵀ.
//!
//! - `companion`, `curve`, `law`: the branches, piecewise-linear or curved,
//!   as a conductance and a current source in an operating region.
//! - `factor`: Y = LDLᵀ by star-mesh elimination; `entries`: of Y⁻¹.
//! - `newton`: which region each law is in, `orders` of elimination known; `region`, `margins`: how far
//!   from leaving it; `solution`: what comes of it.
//! - `converters`: inputs that draw what their outputs give.
//! - `update`: the same with a few branches changed, without factoring again;
//!   `sensitivity`: a first look at what can matter.
//! - `assembly`: a vehicle in a state as such a network; `dead`: as an
//!   ohmmeter finds it.

mod assembly;
mod between;
mod bridges;
mod companion;
mod converters;
mod curve;
mod dead;
mod entries;
mod error;
mod factor;
mod graph;
mod law;
mod margins;
mod newton;
mod orders;
mod region;
mod sensitivity;
mod solution;
mod update;

pub use assembly::{awake_law, changed_by_hand, network_of, source_law, under_hand};
pub use between::Between;
pub use converters::STANDBY;
pub use curve::{Curve, FILAMENT_EXPONENT, REVERSED_SHARE};
pub use dead::as_an_ohmmeter_finds_it;
pub use error::SolveError;
pub use graph::{Branch, Converter, Network};
pub use law::{ControllingVoltage, FLAT_SLOPE, Law, Region};
pub use newton::solve;
pub use orders::Orders;
pub use region::Margin;
pub use solution::{Convergence, Solution};
pub use update::{Alteration, Altered, IdleDiodes, Outputs, Transfer};

//! Low-rank update of a solved network (Sherman and Morrison 1950; Woodbury,
//! *Inverting modified matrices*, 1950; large-change sensitivity, Hajj 1981).
//!
//! Let k branches with ends A (points by branches) change their conductance by
//! D = diag(Δg) and their current source by Δi. With P = AᵀZA, the transfer
//! resistances between them in the base network, the voltages become
//!
//!   v′ = v + Z·A·s,   s = −Δi − (I + DP)⁻¹D·Aᵀṽ,   ṽ = v − Z·A·Δi:
//!
//! those of the base network with the currents s injected at the ends of what
//! changed (substitution theorem). So any reading under any change costs k
//! columns of Z and a k by k solve, and det(I + DP) > 0 says that the changed
//! network is positive definite as the base is.
//!
//! - `rank_k`: laws leave their regions, each a further changed branch.
//! - `looks`: what a change could do at one place.
//!
//! Opening a bridge is structural: it carries no current, so nothing changes but
//! that its far side floats. So it is with what several changes cut off together:
//! of the branches opened, those that alone would hold the pieces together carry
//! nothing, and stay as they are. Where a change joins a floating island to
//! another, the shunt that held the island's level is taken away with it.

mod alteration;
mod altered;
mod branch_change;
mod idle;
mod islands;
mod looks;
mod pushed;
mod rank_k;
mod transfer;

pub use alteration::Alteration;
pub use altered::Altered;
pub use idle::IdleDiodes;
pub use transfer::{Outputs, Transfer};

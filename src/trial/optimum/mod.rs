//! The best that any choice of tests could do once few places are left.

mod at_hand;
mod choice;
mod endgame;
mod search;

pub use endgame::{Endgame, Optimum, endgame};

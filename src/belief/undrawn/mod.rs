//! The drawing is wrong: paths between any two points that it does not show.
//! Of the tens of thousands of pairs of points a linear first look picks those
//! that fit; they are then solved like faults.

mod bases;
mod field;
mod given;
mod look;
mod memo;
mod pair;
mod proposer;
mod survey;
mod threshold;
mod weak;

pub(super) use memo::UndrawnMemo;
pub(super) use proposer::UndrawnPaths;

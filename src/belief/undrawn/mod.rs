//! The drawing is wrong: paths between any two points that it does not show.
//!
//! A path of R ohms between points a and b, with V volts and Z ohms between them,
//! carries V/(Z + R) and moves a reading by its transfer resistance times that
//! (rank-one update). Of the tens of thousands of pairs of points this linear look
//! picks those that fit, at the size that a reading tells, puts those alike
//! together, and has the best solved like faults. It counts from the vehicle as
//! drawn, or from where a path would have taken it: a source at its limit, a relay
//! the other way, a fuse open.

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

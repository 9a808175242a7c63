//! Two faults at once. Of the thousands squared, only pairs are tried in which
//! each part explains something that the other does not, and pairs of which
//! each hides the other.

mod followers;
mod hidden;
mod pairing;
mod search;
mod separable;
mod superposed;

pub(super) use search::pairs;

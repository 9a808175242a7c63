//! Review of a build: what is good practice where no standard says it.

use super::row::{SHARE, parameters};

parameters! {
    /// Review of a build.
    Reviewing {
        /// Share of its rating that a fuse carries for hours.
        fuse_loaded: f64 where SHARE,
    }
}

//! The vehicle that the command line names.

use halfsplit::files::{Loaded, SAMPLES, load, sample};
use std::error::Error;

/// A vehicle file, a built-in vehicle, or else the first of those.
pub fn open(vehicle: Option<&str>, built_in: Option<&str>) -> Result<Loaded, Box<dyn Error>> {
    match (vehicle, built_in) {
        (Some(path), _) => Ok(load(path)?),
        (None, Some(name)) => {
            let known: Vec<&str> = SAMPLES.iter().map(|(name, _)| *name).collect();
            let found = sample(name);
            Ok(found.ok_or_else(|| format!("no built-in vehicle `{name}`; there are {}", known.join(", ")))??)
        }
        (None, None) => Ok(sample(SAMPLES[0].0).ok_or("this build has no sample")??),
    }
}

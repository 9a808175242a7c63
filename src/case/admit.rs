//! Validation: whether an entry can stand after those before it.

use super::entry::Entry;
use super::error::CaseError;
use super::fold::{Numbered, Standing};

impl Standing {
    /// Whether an entry can stand after those before it.
    ///
    /// # Errors
    /// [`CaseError`] if it speaks of a reading or a complaint that is not there.
    pub(super) fn admits(&self, entry: &Entry) -> Result<(), CaseError> {
        match *entry {
            Entry::Retake { number, measured } => {
                let numbered = self.counting(number)?;
                let fits = numbered.reading.probe.fits(&measured);
                if fits { Ok(()) } else { Err(CaseError::OtherQuantity { number }) }
            }
            Entry::Answer { .. } if self.complaint.is_none() => Err(CaseError::NoComplaint),
            Entry::Strike { number } => self.counting(number).map(|_| ()),
            Entry::Observe { .. } | Entry::Complain { .. } | Entry::Answer { .. } | Entry::Helping { .. } => Ok(()),
            Entry::Set { .. } | Entry::Read { .. } | Entry::Repaired { .. } | Entry::BlackLead { .. } => Ok(()),
            Entry::TakeMeter { .. } | Entry::OutOfReach { .. } | Entry::Unwanted { .. } => Ok(()),
            Entry::Walk { .. } | Entry::Heed { .. } | Entry::Note { .. } => Ok(()),
        }
    }

    fn counting(&self, number: usize) -> Result<&Numbered, CaseError> {
        let mut readings = self.readings.iter();
        let is_it = |reading: &&Numbered| reading.number == number && reading.counts();
        readings.find(is_it).ok_or(CaseError::NoSuchReading { number })
    }
}

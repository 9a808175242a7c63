//! What people tell, in the words of the record.

use super::complaint::Ailment;
use super::world::{Look, Sensation, World};
use crate::belief::{Appearance, Sign};
use crate::network::SolveError;
use crate::plan::Sense;
use crate::vehicle::{PartId, State};
use rand::Rng;

impl From<Look> for Appearance {
    fn from(look: Look) -> Self {
        match look {
            Look::Dead => Self::Dead,
            Look::Weak => Self::Weak,
            Look::Right => Self::Works,
        }
    }
}

/// What is looked for by a sense, and the signs that there is and is not.
fn asked(sense: Sense) -> Option<(Sensation, Sign, Sign)> {
    Some(match sense {
        Sense::Look => return None,
        Sense::Listen => (Sensation::Click, Sign::Clicks, Sign::Silent),
        Sense::Fuse => (Sensation::Break, Sign::LooksBlown, Sign::LooksWhole),
        Sense::Lamp => (Sensation::LampLight, Sign::LampBright, Sign::LampDim),
        Sense::Feel => (Sensation::Warmth, Sign::Hot, Sign::Cool),
        Sense::Source => (Sensation::Output, Sign::Gives, Sign::Idle),
    })
}

impl World {
    /// How a load looks to somebody.
    ///
    /// # Errors
    /// As [`Self::blow`].
    pub fn look(&self, state: &State, load: PartId, random: &mut impl Rng) -> Result<Appearance, SolveError> {
        Ok(self.look_at(state, load, random)?.into())
    }

    /// What somebody tells of a part.
    ///
    /// # Errors
    /// As [`Self::blow`].
    pub fn sense(
        &self,
        state: &State,
        subject: PartId,
        sense: Sense,
        random: &mut impl Rng,
    ) -> Result<Sign, SolveError> {
        let Some((sensation, yes, no)) = asked(sense) else {
            return Ok(Sign::Looks(self.look(state, subject, random)?));
        };
        Ok(if self.tells(state, subject, sensation, random)? { yes } else { no })
    }

    /// What there is to tell of a part for somebody who is not mistaken.
    ///
    /// # Errors
    /// As [`Self::blow`].
    pub fn sense_truly(&self, state: &State, subject: PartId, sense: Sense) -> Result<Sign, SolveError> {
        let Some((sensation, yes, no)) = asked(sense) else {
            return Ok(Sign::Looks(self.look_truly(state, subject)?.into()));
        };
        Ok(if self.is_so(state, subject, sensation)? { yes } else { no })
    }
}

impl From<Ailment> for Sign {
    fn from(ailment: Ailment) -> Self {
        match ailment {
            Ailment::Looks(look) => Self::Looks(look.into()),
            Ailment::StaysOn => Self::StaysOn,
            Ailment::GoesFlat => Self::GoesFlat,
        }
    }
}

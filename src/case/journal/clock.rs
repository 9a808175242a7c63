//! When something was entered: local time with its offset from UTC.

use crate::quantity::{Minutes, SECONDS_A_MINUTE};
use jiff::tz::TimeZone;
use jiff::{Timestamp, ZonedDateTime};
use serde::de::Error as _;
use serde::{Deserialize, Deserializer, Serialize, Serializer};
use std::fmt;

/// How a moment stands in a file: `2026-11-25 10:12:03 +01:00`.
const WRITTEN: &str = "%Y-%m-%d %H:%M:%S %:z";

/// A moment, to the second, as the clock on the wall showed it.
#[derive(Debug, Clone, PartialEq)]
pub struct Moment(ZonedDateTime);

/// Why a text is no moment.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[error("expected a time such as `2026-11-25 10:12:03 +01:00`, but found `{text}`")]
pub struct MomentError {
    /// The text.
    pub text: String,
}

impl Moment {
    /// Now, in the zone of this machine.
    pub fn now() -> Self {
        let now = ZonedDateTime::now();
        // A zone by name could not be read back where it is not known.
        Self(now.timestamp().to_zoned_datetime(TimeZone::fixed(now.offset())))
    }

    /// `2026-11-25 10:12`, for a list.
    pub fn to_the_minute(&self) -> String {
        self.0.strftime("%Y-%m-%d %H:%M").to_string()
    }

    /// `10:12`, where the day is plain.
    pub fn time_of_day(&self) -> String {
        self.0.strftime("%H:%M").to_string()
    }

    /// `2026-11-25-1012`, for the name of a file.
    pub fn as_name(&self) -> String {
        self.0.strftime("%Y-%m-%d-%H%M").to_string()
    }

    /// Some minutes later.
    pub fn after(&self, minutes: Minutes) -> Self {
        let seconds = jiff::SignedDuration::from_secs((SECONDS_A_MINUTE * minutes.0) as i64);
        Self(self.0.checked_add(seconds).unwrap_or_else(|_| self.0.clone()))
    }

    /// The moment itself, wherever the clock hung.
    pub fn timestamp(&self) -> Timestamp {
        self.0.timestamp()
    }
}

impl fmt::Display for Moment {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(out, "{}", self.0.strftime(WRITTEN))
    }
}

impl std::str::FromStr for Moment {
    type Err = MomentError;

    fn from_str(text: &str) -> Result<Self, MomentError> {
        ZonedDateTime::strptime(WRITTEN, text).map(Self).map_err(|_| MomentError { text: text.to_string() })
    }
}

impl Serialize for Moment {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

impl<'de> Deserialize<'de> for Moment {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        String::deserialize(deserializer)?.parse().map_err(D::Error::custom)
    }
}

/// Where the time comes from.
#[derive(Debug, Clone, PartialEq)]
pub enum Clock {
    /// The clock of this machine.
    Wall,
    /// A clock that stands still, so that a session can be repeated.
    Standing(Moment),
}

impl Clock {
    /// The wall clock, unless `HALFSPLIT_CLOCK` holds a moment.
    ///
    /// # Errors
    /// [`MomentError`] if it holds something else.
    pub fn from_environment() -> Result<Self, MomentError> {
        match std::env::var("HALFSPLIT_CLOCK") {
            Ok(text) if !text.is_empty() => Ok(Self::Standing(text.parse()?)),
            _ => Ok(Self::Wall),
        }
    }

    /// What it shows.
    pub fn now(&self) -> Moment {
        match self {
            Self::Wall => Moment::now(),
            Self::Standing(moment) => moment.clone(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_moment_reads_back_as_it_was_written() {
        let text = "2026-11-25 10:12:03 +01:00";
        let moment: Moment = text.parse().unwrap();
        assert_eq!(moment.to_string(), text);
        assert_eq!(moment.as_name(), "2026-11-25-1012");
        assert!("yesterday".parse::<Moment>().is_err());
    }

    #[test]
    fn the_wall_clock_can_be_read_back() {
        let now = Moment::now();
        assert_eq!(now.to_string().parse::<Moment>().unwrap().to_string(), now.to_string());
    }
}

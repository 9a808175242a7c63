//! The folder of cases that belongs to a vehicle.

use super::clock::{Clock, Moment};
use super::disk::DiskFile;
use super::keep::{HANDOVER, Journal, KeepError};
use super::line::{FORMAT, Header, Stamp};
use super::replay::{Replayed, is_too_new, replay};
use crate::complaint::Trees;
use crate::source::nearest;
use crate::vehicle::Vehicle;
use std::fs;
use std::io;
use std::path::{Path, PathBuf};
use thiserror::Error;

/// Ending of a case file.
const ENDING: &str = "ron";
/// Folder of cases beside a vehicle file.
pub const CASES: &str = "cases";

/// What stands for no case at all, and so is no name.
pub const OFF: &str = "off";

/// What a case is opened for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Access {
    /// To go on with.
    Write,
    /// To look at.
    ReadOnly,
}

/// Where cases of a vehicle are, and who writes in them.
#[derive(Debug, Clone)]
pub struct Shelf {
    folder: PathBuf,
    vehicle_file: String,
    by: String,
    clock: Clock,
    ending: &'static str,
}

/// A case taken from the shelf.
pub struct Opened {
    /// Its lines from now on.
    pub journal: Journal,
    /// What it held; `None` if it has just been begun.
    pub replayed: Option<Replayed>,
}

/// A case on the shelf.
#[derive(Debug, Clone)]
pub struct Listed {
    /// What it is called.
    pub name: String,
    /// What it holds, as far as it can be read.
    pub replayed: Replayed,
}

/// Why a case cannot be had.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum ShelfError {
    /// Not fit for the name of a file.
    #[error(
        "`{name}` cannot be the name of a case: use letters, digits, `-` and `_`, at most 60 of them, and not `off`"
    )]
    BadName { name: String },
    /// There is none of that name.
    #[error("no case is called `{name}`{}", .near.as_ref().map(|near| format!("; did you mean `{near}`?")).unwrap_or_default())]
    NoSuch {
        name: String,
        /// The nearest that there is.
        near: Option<String>,
    },
    /// Another program writes in it.
    #[error(
        "case `{name}` is open in another halfsplit{}; go on there, or look at it here with `case {name} read-only` (`--read-only` when starting)",
        who(.last)
    )]
    InUse {
        name: String,
        /// Its newest line.
        last: Option<Stamp>,
    },
    /// It belongs to another vehicle.
    #[error("case `{name}` was begun on {vehicle} ({file}): open that vehicle for it, or choose another name")]
    OtherVehicle {
        name: String,
        /// The vehicle it was begun on.
        vehicle: String,
        file: String,
    },
    /// Some other file.
    #[error("`{file}` is there and is no case: choose another name")]
    NoCase { file: String },
    /// A newer program wrote it.
    #[error(
        "case `{name}` was written by a newer halfsplit: use that one, since this one would lose what it does not know"
    )]
    TooNew { name: String },
    /// The disk refused.
    #[error("`{file}` cannot be opened: {reason}; look at the folder and who may write there")]
    Disk {
        file: String,
        /// What the system says.
        reason: String,
    },
    /// It can be read and not written.
    #[error(
        "case `{name}` cannot be gone on with: {reason}; make room or mend that, or look at it with `case {name} read-only` (`--read-only` when starting)"
    )]
    NotWritable {
        name: String,
        /// What the system says.
        reason: String,
    },
    /// It cannot be written.
    #[error(transparent)]
    Keep(#[from] KeepError),
}

/// Whether nothing was ever kept in a file: it is empty, or its first line was
/// cut off while it was being written.
fn is_unwritten(bytes: &[u8]) -> bool {
    !bytes.contains(&b'\n') && bytes.iter().zip(b"Case(").all(|(a, b)| a == b)
}

fn who(last: &Option<Stamp>) -> String {
    match last {
        Some(stamp) if stamp.by.is_empty() => format!(" (last written {})", stamp.at.to_the_minute()),
        Some(stamp) => format!(" (last written {} by {})", stamp.at.to_the_minute(), stamp.by),
        None => String::new(),
    }
}

impl Shelf {
    /// Cases in `folder`, of the vehicle in `vehicle_file`, written in by `by`.
    pub fn new(folder: PathBuf, vehicle_file: String, by: String, clock: Clock) -> Self {
        Self { folder, vehicle_file, by, clock, ending: ENDING }
    }

    /// The readings at handover, which are kept as a case of their own kind.
    pub fn handovers(&self) -> Self {
        Self { ending: HANDOVER, ..self.clone() }
    }

    /// What the handover of the vehicle is called: as its file.
    pub fn handover_name(&self) -> String {
        let stem = self.vehicle_file.rsplit_once('.').map_or(self.vehicle_file.as_str(), |(stem, _)| stem);
        let fit = |letter: char| if letter.is_alphanumeric() { letter } else { '_' };
        stem.chars().map(fit).take(60).collect()
    }

    /// Whether there is a case of that name.
    pub fn has(&self, name: &str) -> bool {
        self.path(name).exists()
    }

    /// A name for a case that nobody has named: the time, and a number if
    /// that is taken.
    pub fn free_name(&self) -> String {
        let time = self.clock.now().as_name();
        let numbered = (2..).map(|count| format!("{time}-{count}"));
        std::iter::once(time.clone()).chain(numbered).find(|name| !self.has(name)).unwrap_or(time)
    }

    /// The same hand and clock for the cases beside another vehicle file.
    pub fn beside(&self, vehicle_file: &Path) -> Self {
        let folder = vehicle_file.parent().unwrap_or(Path::new("")).join("cases");
        let file = vehicle_file.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default();
        Self { folder, vehicle_file: file, ..self.clone() }
    }

    /// Begins a case, or opens one to go on with or to look at.
    ///
    /// # Errors
    /// [`ShelfError`]; then nothing is open.
    pub fn open(&self, name: &str, access: Access, vehicle: &Vehicle, trees: &Trees) -> Result<Opened, ShelfError> {
        let fits = |c: char| c.is_alphanumeric() || matches!(c, '-' | '_');
        if name.is_empty() || name == OFF || name.chars().count() > 60 || !name.chars().all(fits) {
            return Err(ShelfError::BadName { name: name.to_string() });
        }
        match access {
            Access::Write => self.open_to_write(name, vehicle, trees),
            Access::ReadOnly => self.open_to_look(name, vehicle, trees),
        }
    }

    fn open_to_write(&self, name: &str, vehicle: &Vehicle, trees: &Trees) -> Result<Opened, ShelfError> {
        let path = self.path(name);
        let refused = |error: io::Error| self.refused(name, &error);
        fs::create_dir_all(&self.folder).map_err(refused)?;
        let Some(held) = DiskFile::hold(&path).map_err(refused)? else {
            let last = self.read(name, vehicle, trees).ok().and_then(|replayed| replayed.last);
            return Err(ShelfError::InUse { name: name.to_string(), last });
        };
        let (keeper, by, clock) = (Box::new(held.file), self.by.clone(), self.clock.clone());
        if is_unwritten(&held.bytes) {
            let journal = Journal::begin(keeper, self.shown(name), self.header(name, vehicle), clock, by)?;
            return Ok(Opened { journal, replayed: None });
        }
        let replayed = replay(self.shown(name), &held.bytes, vehicle, trees);
        self.check(name, &replayed, vehicle)?;
        let journal = self.journal(name, vehicle, &replayed).going_on(keeper).map_err(|error| match error {
            KeepError::Refused { reason, .. } => ShelfError::NotWritable { name: name.to_string(), reason },
            KeepError::ReadOnly { .. } => error.into(),
        })?;
        Ok(Opened { journal, replayed: Some(replayed) })
    }

    fn open_to_look(&self, name: &str, vehicle: &Vehicle, trees: &Trees) -> Result<Opened, ShelfError> {
        if !self.has(name) {
            let names = self.names();
            let near = nearest(name, names.iter().map(String::as_str)).map(str::to_string);
            return Err(ShelfError::NoSuch { name: name.to_string(), near });
        }
        let replayed = self.read(name, vehicle, trees).map_err(|error| self.refused(name, &error))?;
        self.check(name, &replayed, vehicle)?;
        Ok(Opened { journal: self.journal(name, vehicle, &replayed), replayed: Some(replayed) })
    }

    /// Every case of this vehicle, oldest first.
    pub fn list(&self, vehicle: &Vehicle, trees: &Trees) -> Vec<Listed> {
        self.listed(self.names(), vehicle, trees)
    }

    /// Those in which something was repaired. The others need not be understood.
    pub fn repaired(&self, vehicle: &Vehicle, trees: &Trees) -> Vec<Listed> {
        let mut names = self.names();
        names.retain(|name| {
            let path = self.path(name);
            path.is_file() && fs::read(path).is_ok_and(|bytes| String::from_utf8_lossy(&bytes).contains("Repaired("))
        });
        self.listed(names, vehicle, trees)
    }

    fn listed(&self, names: Vec<String>, vehicle: &Vehicle, trees: &Trees) -> Vec<Listed> {
        let read = |name: String| self.read(&name, vehicle, trees).ok().map(|replayed| Listed { name, replayed });
        let is_ours = |listed: &Listed| self.check(&listed.name, &listed.replayed, vehicle).is_ok();
        let mut listed: Vec<Listed> = names.into_iter().filter_map(read).filter(is_ours).collect();
        let begun = |listed: &Listed| listed.replayed.header.as_ref().map(|header| header.begun.timestamp());
        listed.sort_by(|a, b| begun(a).cmp(&begun(b)).then_with(|| a.name.cmp(&b.name)));
        listed
    }

    /// Cases of other vehicles, which lie in `folder` or in folders of it.
    pub fn others(&self, folder: &Path, vehicle: &Vehicle, trees: &Trees) -> Vec<Listed> {
        let below = fs::read_dir(folder).into_iter().flatten().flatten().map(|entry| entry.path());
        let mut folders: Vec<PathBuf> =
            below.chain([folder.to_path_buf()]).map(|path| path.join(CASES)).filter(|path| path.is_dir()).collect();
        folders.sort();
        let mut others = Vec::new();
        for folder in folders {
            let shelf = Self { folder, ..self.clone() };
            let read = |name: String| Some(Listed { replayed: shelf.read(&name, vehicle, trees).ok()?, name });
            let is_other =
                |listed: &Listed| listed.replayed.header.as_ref().is_some_and(|header| header.vehicle != vehicle.name);
            others.extend(shelf.names().into_iter().filter_map(read).filter(is_other));
        }
        others
    }

    /// What the clock shows.
    pub fn now(&self) -> Moment {
        self.clock.now()
    }

    fn read(&self, name: &str, vehicle: &Vehicle, trees: &Trees) -> io::Result<Replayed> {
        let path = self.path(name);
        // A device or a folder of that name would never come to an end.
        if !fs::metadata(&path)?.is_file() {
            return Err(io::Error::other("it is no file"));
        }
        Ok(replay(self.shown(name), &fs::read(path)?, vehicle, trees))
    }

    fn names(&self) -> Vec<String> {
        let entries = fs::read_dir(&self.folder).into_iter().flatten().flatten();
        let of_cases =
            entries.map(|entry| entry.path()).filter(|path| path.extension().is_some_and(|end| end == self.ending));
        let mut names: Vec<String> =
            of_cases.filter_map(|path| Some(path.file_stem()?.to_str()?.to_string())).collect();
        names.sort();
        names
    }

    fn check(&self, name: &str, replayed: &Replayed, vehicle: &Vehicle) -> Result<(), ShelfError> {
        let name = name.to_string();
        if is_too_new(replayed) {
            return Err(ShelfError::TooNew { name });
        }
        match &replayed.header {
            None if replayed.last.is_none() => Err(ShelfError::NoCase { file: self.shown(&name) }),
            // A vehicle may be given another name, or its file may be moved.
            Some(header) if header.vehicle != vehicle.name && header.file != self.vehicle_file => {
                Err(ShelfError::OtherVehicle { name, vehicle: header.vehicle.clone(), file: header.file.clone() })
            }
            _ => Ok(()),
        }
    }

    fn journal(&self, name: &str, vehicle: &Vehicle, replayed: &Replayed) -> Journal {
        let header = replayed.header.clone().unwrap_or_else(|| self.header(name, vehicle));
        Journal::to_look_at(header, self.shown(name), self.clock.clone(), self.by.clone(), replayed.next)
    }

    fn header(&self, name: &str, vehicle: &Vehicle) -> Header {
        Header {
            format: FORMAT,
            name: name.to_string(),
            vehicle: vehicle.name.clone(),
            file: self.vehicle_file.clone(),
            begun: self.clock.now(),
            by: self.by.clone(),
        }
    }

    fn path(&self, name: &str) -> PathBuf {
        self.folder.join(format!("{name}.{}", self.ending))
    }

    /// The file as people are told of it: by its folder and its name.
    fn shown(&self, name: &str) -> String {
        format!("cases/{name}.{}", self.ending)
    }

    fn refused(&self, name: &str, error: &io::Error) -> ShelfError {
        ShelfError::Disk { file: self.path(name).display().to_string(), reason: error.to_string() }
    }
}

//! Where the lines of a case go: a file that only grows, on the disk before
//! anybody is told so.

use std::fs::{File, OpenOptions, TryLockError};
use std::io::{self, Read, Seek, SeekFrom, Write};
use std::path::Path;
use std::thread;
use std::time::Duration;

/// Numerical: how often another program's hold is tried.
const PATIENCE: usize = 10;
/// Numerical: the pause between.
const MOMENT: Duration = Duration::from_millis(20);

/// Something that keeps lines.
pub trait Keeper {
    /// Adds a line with its end. After an error nothing of it is there.
    ///
    /// # Errors
    /// As the disk says.
    fn append(&mut self, line: &str) -> io::Result<()>;
}

/// A file, held for this program alone.
pub struct DiskFile {
    file: File,
    /// Whether the last line has no end, since its writing was cut short.
    is_torn: bool,
}

/// A file and all that is in it.
pub struct Held {
    pub file: DiskFile,
    /// Its bytes.
    pub bytes: Vec<u8>,
}

impl DiskFile {
    /// Takes a file that is open for reading and writing.
    pub fn new(file: File) -> Self {
        Self { file, is_torn: false }
    }

    /// Opens a file, made if there is none, and holds it until it is dropped;
    /// `None` if another program holds it.
    ///
    /// # Errors
    /// As the disk says.
    pub fn hold(path: &Path) -> io::Result<Option<Held>> {
        let is_new = !path.exists();
        let mut file = OpenOptions::new().read(true).append(true).create(true).open(path)?;
        if !is_ours(&file)? {
            return Ok(None);
        }
        let mut bytes = Vec::new();
        file.read_to_end(&mut bytes)?;
        if is_new {
            keep_name(path)?;
        }
        let is_torn = bytes.last().is_some_and(|&last| last != b'\n');
        Ok(Some(Held { file: Self { file, is_torn }, bytes }))
    }

    fn write(&mut self, line: &str) -> io::Result<()> {
        let whole = if self.is_torn { format!("\n{line}") } else { line.to_string() };
        self.file.write_all(whole.as_bytes())?;
        self.file.sync_data()
    }
}

impl Keeper for DiskFile {
    fn append(&mut self, line: &str) -> io::Result<()> {
        let before = self.file.seek(SeekFrom::End(0))?;
        let result = self.write(line);
        match &result {
            Ok(()) => self.is_torn = false,
            // Nobody was told of the piece that got there.
            Err(_) => self.is_torn |= self.file.set_len(before).is_err(),
        }
        result
    }
}

/// Whether this program alone holds the file now.
fn is_ours(file: &File) -> io::Result<bool> {
    // A program that has just been ended lets go a moment later.
    for _ in 0..PATIENCE {
        match file.try_lock() {
            Ok(()) => return Ok(true),
            Err(TryLockError::WouldBlock) => thread::sleep(MOMENT),
            // Some network drives know no locks; better kept than refused.
            Err(TryLockError::Error(error)) if error.kind() == io::ErrorKind::Unsupported => return Ok(true),
            Err(TryLockError::Error(error)) => return Err(error),
        }
    }
    Ok(false)
}

/// A new file's name is on the disk only once its folder is.
fn keep_name(path: &Path) -> io::Result<()> {
    match path.parent() {
        Some(folder) if cfg!(unix) => File::open(folder)?.sync_all(),
        _ => Ok(()),
    }
}

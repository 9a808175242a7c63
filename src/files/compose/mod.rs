//! What a file says in short, written out before it is read: the parts of a fused
//! feed, and a vehicle of the same build as another with its differences. The text
//! that is read knows where each stretch of it was written.

mod changes;
mod feed;
mod master;
mod text;

use super::error::{LoadError, read_text};
use super::outline::{Node, VEHICLE, outline};
use super::schema::{FEEDS, MASTER};
use crate::source::{Diagnostic, SourceFile};
use std::sync::Arc;
use text::Text;

/// A file written out; itself if it says nothing in short.
///
/// # Errors
/// [`LoadError::Rejected`] of the file that something is wrong in.
pub fn written_out(file: SourceFile) -> Result<SourceFile, LoadError> {
    // Looking for the words is cheap beside reading a file twice.
    if !file.text.contains(MASTER) && !file.text.contains(FEEDS) {
        return Ok(file);
    }
    let (root, slips, _) = outline(&file.text, VEHICLE);
    let is_sound = slips.is_empty();
    let Some(root) = root.filter(|root| root.field(MASTER).is_some() || is_sound && root.field(FEEDS).is_some()) else {
        return Ok(file);
    };
    if !is_sound {
        // What is missing here may stand in the master.
        return Err(LoadError::Rejected { file: file.clone(), findings: slips });
    }
    let own = Arc::new(file.clone());
    let mut text = Text::default();
    let findings = match root.field(MASTER) {
        Some(named) => {
            let master = read_master(&file, named)?;
            let (master_root, slips, _) = outline(&master.text, VEHICLE);
            let (Some(master_root), true) = (master_root, slips.is_empty()) else {
                return Err(LoadError::Rejected { file: (*master).clone(), findings: slips });
            };
            if let Some(second) = master_root.field(MASTER) {
                let slip = Diagnostic::error(
                    second.span(),
                    "a master has a master of its own",
                    "second one",
                    "name the last of them in each file: differences are of one file only",
                );
                return Err(LoadError::Rejected { file: (*master).clone(), findings: vec![slip] });
            }
            master::merge(&mut text, (&own, &root), (&master, &master_root))
        }
        None => {
            master::copy(&mut text, (&own, &root));
            Vec::new()
        }
    };
    if !findings.is_empty() {
        return Err(LoadError::Rejected { file, findings });
    }
    Ok(SourceFile { path: file.path, text: text.text, pieces: text.pieces })
}

/// The file of the master, which stands beside the one that names it.
fn read_master(file: &SourceFile, named: &Node<'_>) -> Result<Arc<SourceFile>, LoadError> {
    let name = text::unquoted(named.text);
    let path = std::path::Path::new(&file.path).parent().map_or(name.into(), |folder| folder.join(name));
    let reject = |headline: String, help: &str| {
        let slip = Diagnostic::error(named.span(), headline, "this file", help);
        LoadError::Rejected { file: file.clone(), findings: vec![slip] }
    };
    match read_text(&path.to_string_lossy()) {
        Ok((master, slips)) if slips.is_empty() => Ok(Arc::new(master)),
        Ok((master, findings)) => Err(LoadError::Rejected { file: master, findings }),
        Err(error) => Err(reject(
            format!("the master `{name}` cannot be read: {error}"),
            "name a vehicle file that lies in the same folder, such as `master: \"van.ron\"`",
        )),
    }
}

//! What the structures say of themselves: the comments above their keys are the
//! words of the reference, so that there is no second list of them.

/// The structures of a vehicle file, as they stand in the program.
const SOURCES: [&str; 2] = [include_str!("../schema.rs"), include_str!("../part_schema.rs")];

/// What stands above the structure or variant of a word, or above a key in it.
pub fn said_of(word: &str, key: Option<&str>) -> String {
    SOURCES.iter().find_map(|text| found(text, word, key)).unwrap_or_default()
}

fn found(text: &str, word: &str, key: Option<&str>) -> Option<String> {
    let mut comment: Vec<&str> = Vec::new();
    let mut is_inside = false;
    for line in text.lines().map(str::trim) {
        if let Some(said) = line.strip_prefix("///") {
            comment.push(said.trim());
            continue;
        }
        if line.starts_with("#[") {
            continue;
        }
        let words = line.trim_start_matches("pub ");
        match key {
            _ if opens(words, word) => match key {
                None => return Some(comment.join(" ")),
                Some(_) => is_inside = true,
            },
            Some(_) if is_inside && line.starts_with('}') => return None,
            Some(key) if is_inside && words.strip_prefix(key).is_some_and(|rest| rest.starts_with(':')) => {
                return Some(comment.join(" "));
            }
            _ => {}
        }
        comment.clear();
    }
    None
}

/// Whether a line begins the structure or variant of a word.
fn opens(line: &str, word: &str) -> bool {
    let structure = line.strip_prefix("struct ").and_then(|line| line.split(['<', ' ']).next());
    structure.is_some_and(|name| name.strip_suffix("Entry") == Some(word)) || line.strip_suffix(" {") == Some(word)
}

//! A curtain before a lesson: a file that nobody reads at a glance. It keeps no
//! secret from anybody who means to look; it keeps a learner from seeing the
//! answer while finding the file.

use crate::trial::case_seed;
use thiserror::Error;

/// First line of such a file.
pub const MARK: &str = "halfsplit lesson behind a curtain";
/// Seed: what the text is mixed with; written here, so no secret.
const SEED: u64 = 0x6C65_7373_6F6E;
/// Layout: digits in a line.
const LINE: usize = 64;

/// Why a curtain cannot be drawn aside.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
pub enum CurtainError {
    /// Something that is no digit, or a line is missing.
    #[error("the lesson file is cut off or has something in it that does not belong there; ask for it again")]
    Broken,
    /// It was changed.
    #[error("the lesson file was changed since it was made (its check sum does not fit); ask for it again")]
    Changed,
}

/// Whether a text stands behind a curtain.
pub fn is_drawn(text: &str) -> bool {
    text.lines().next().is_some_and(|first| first.trim_end() == MARK)
}

/// A text behind a curtain.
pub fn draw(text: &str) -> String {
    let digits: String = mixed(text.as_bytes()).map(|byte| format!("{byte:02x}")).collect();
    let lines: Vec<&str> =
        (0..digits.len()).step_by(LINE).map(|at| &digits[at..(at + LINE).min(digits.len())]).collect();
    format!("{MARK}\n{:016x}\n{}\n", check_sum(text.as_bytes()), lines.join("\n"))
}

/// The text behind a curtain.
///
/// # Errors
/// [`CurtainError`] if it is not whole.
pub fn aside(text: &str) -> Result<String, CurtainError> {
    let mut lines = text.lines().skip(1).map(str::trim_end);
    let sum = lines.next().and_then(|line| u64::from_str_radix(line, 16).ok()).ok_or(CurtainError::Broken)?;
    let digits: Vec<char> = lines.flat_map(str::chars).collect();
    let byte = |pair: &[char]| match pair {
        [high, low] => Some((high.to_digit(16)? * 16 + low.to_digit(16)?) as u8),
        _ => None,
    };
    let bytes: Vec<u8> = digits.chunks(2).map(byte).collect::<Option<_>>().ok_or(CurtainError::Broken)?;
    let text: Vec<u8> = mixed(&bytes).collect();
    if check_sum(&text) != sum {
        return Err(CurtainError::Changed);
    }
    String::from_utf8(text).map_err(|_| CurtainError::Changed)
}

/// Every byte mixed with its own number; twice gives the first again.
fn mixed(bytes: &[u8]) -> impl Iterator<Item = u8> + '_ {
    bytes.iter().enumerate().map(|(index, byte)| byte ^ (case_seed(SEED, index) as u8))
}

/// FNV-1a, 64 bits (Fowler, Noll, Vo 1991).
fn check_sum(bytes: &[u8]) -> u64 {
    bytes.iter().fold(0xCBF2_9CE4_8422_2325, |sum, &byte| (sum ^ u64::from(byte)).wrapping_mul(0x0000_0100_0000_01B3))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_drawn_comes_back_and_shows_nothing() {
        let text =
            "Lesson(faults: [Fault(part: \"JA.2\", mode: HighResistance, size: 2.2)], title: \"Größe\")\n".repeat(3);
        let behind = draw(&text);
        assert!(is_drawn(&behind) && !behind.contains("JA.2"));
        assert_eq!(aside(&behind), Ok(text));
    }

    #[test]
    fn a_curtain_that_was_touched_is_told() {
        let behind = draw("Lesson()");
        let last = behind.trim_end().len() - 1;
        let other = if behind.as_bytes()[last] == b'0' { "1" } else { "0" };
        let touched = format!("{}{other}\n", &behind[..last]);
        assert_eq!(aside(&touched), Err(CurtainError::Changed));
        assert_eq!(aside(&behind[..last]), Err(CurtainError::Broken));
        assert_eq!(aside(&behind.replace(char::is_numeric, "x")), Err(CurtainError::Broken));
    }

    /// Check sums of the algorithm's authors: of nothing, and of "a".
    #[test]
    fn the_check_sum_is_the_published_one() {
        assert_eq!(check_sum(b""), 0xcbf2_9ce4_8422_2325);
        assert_eq!(check_sum(b"a"), 0xaf63_dc4c_8601_ec8c);
    }
}

//! Plain text: what a user typed, on one line.

/// Text on one line, without control characters: what a user typed may hold any.
pub fn tidy(text: &str) -> String {
    text.split(|letter: char| letter.is_whitespace() || letter.is_control())
        .filter(|word| !word.is_empty())
        .collect::<Vec<_>>()
        .join(" ")
}

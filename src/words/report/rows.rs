//! Rows spread over panels that fit a phone's width and a printed page's height.

use std::ops::Range;

/// `count` rows in as few panels of at most `most` as hold them, as even as can be.
pub fn spread(count: usize, most: usize) -> Vec<Range<usize>> {
    let panels = count.div_ceil(most);
    (0..panels).map(|index| index * count / panels..(index + 1) * count / panels).collect()
}

#[cfg(test)]
mod tests {
    use super::spread;

    #[test]
    fn rows_are_spread_evenly_and_none_is_lost() {
        assert!(spread(0, 15).is_empty());
        assert_eq!(spread(16, 15), [0..8, 8..16]);
        assert_eq!(spread(31, 15), [0..10, 10..20, 20..31]);
    }
}

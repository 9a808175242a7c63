//! Sets of explanations as bits of a word, and a test as the partition that it
//! makes of them.

use halfsplit::vehicle::PlaceId;

/// Some of the explanations, a bit each.
pub type Mask = u64;

/// The numbers of those in a mask.
pub fn members(mask: Mask) -> impl Iterator<Item = usize> {
    let mut left = mask;
    std::iter::from_fn(move || {
        let first = (left != 0).then(|| left.trailing_zeros() as usize);
        left &= left.wrapping_sub(1);
        first
    })
}

/// The first so many explanations.
pub fn all(count: usize) -> Mask {
    if count >= 64 { Mask::MAX } else { (1 << count) - 1 }
}

/// A test as the search sees it: which explanations give the same outcome.
pub struct Choice {
    pub groups: Vec<Mask>,
    /// Minutes with everything open, and for each place not open yet, more.
    pub minutes: f64,
    pub opens: Vec<(PlaceId, f64)>,
}

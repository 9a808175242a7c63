//! Islands that changes join.

/// Islands that changes have made one: each with the lowest it is one with.
#[derive(Debug, Default)]
pub(super) struct MergedIslands(Vec<(usize, usize)>);

impl MergedIslands {
    pub fn lowest(&self, island: usize) -> usize {
        self.0.iter().find(|(lost, _)| *lost == island).map_or(island, |(_, lowest)| *lowest)
    }

    /// Makes two islands one; gives the one that is no more, if they were two.
    pub fn join(&mut self, a: usize, b: usize) -> Option<usize> {
        let (a, b) = (self.lowest(a), self.lowest(b));
        let (left, lost) = (a.min(b), a.max(b));
        if left == lost {
            return None;
        }
        self.0.iter_mut().filter(|(_, lowest)| *lowest == lost).for_each(|(_, lowest)| *lowest = left);
        self.0.push((lost, left));
        Some(lost)
    }
}

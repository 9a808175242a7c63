//! Bridge finding: islands, and branches whose removal cuts something off. A
//! depth-first search with low points (Tarjan, *A note on finding the
//! bridges of a graph*, 1974), by branch and not by neighbour, so
//! that two straps between the same points are no bridges.

/// Islands and bridges of a graph of conducting branches.
#[derive(Debug, Clone)]
pub struct Bridges {
    /// Island of each point.
    island: Vec<u32>,
    /// First point of each island; the reference is the first of the first.
    roots: Vec<usize>,
    entered: Vec<u32>,
    left: Vec<u32>,
    /// For a branch that is a bridge, the point on its far side.
    far_end: Vec<u32>,
}

/// Numerical: no island, no point.
const NONE: u32 = u32::MAX;

/// Branches at each point and where they lead, one point after another.
struct Neighbours {
    starts: Vec<usize>,
    all: Vec<(usize, usize)>,
}

impl Neighbours {
    fn of(points: usize, branches: &[(usize, usize, usize)]) -> Self {
        // Counts first, then where each point's end, then where they start.
        let mut starts = vec![0; points + 1];
        for &(_, from, to) in branches {
            starts[from] += 1;
            starts[to] += 1;
        }
        let mut sum = 0;
        for start in &mut starts {
            sum += *start;
            *start = sum;
        }
        let mut all = vec![(0, 0); sum];
        for &(branch, from, to) in branches.iter().rev() {
            for (point, other) in [(to, from), (from, to)] {
                starts[point] -= 1;
                all[starts[point]] = (branch, other);
            }
        }
        Self { starts, all }
    }

    fn of_point(&self, point: usize) -> &[(usize, usize)] {
        &self.all[self.starts[point]..self.starts[point + 1]]
    }
}

struct Visit {
    point: usize,
    came_by: Option<usize>,
    next: usize,
}

impl Bridges {
    /// Searches from `reference` first. `branches` holds (number, from, to) of
    /// conducting ones; numbers are below `count`.
    pub fn find(points: usize, count: usize, branches: &[(usize, usize, usize)], reference: usize) -> Self {
        let neighbours = Neighbours::of(points, branches);
        let mut found = Self {
            island: vec![NONE; points],
            roots: Vec::new(),
            entered: vec![NONE; points],
            left: vec![0; points],
            far_end: vec![NONE; count],
        };
        let mut low = vec![0; points];
        let mut clock = 0;
        for root in std::iter::once(reference).chain(0..points) {
            if found.island[root] == NONE {
                found.search(root, &neighbours, &mut low, &mut clock);
            }
        }
        found
    }

    fn search(&mut self, root: usize, neighbours: &Neighbours, low: &mut [u32], clock: &mut u32) {
        let island = self.roots.len() as u32;
        self.roots.push(root);
        let mut stack = vec![self.enter(root, None, island, low, clock)];
        while let Some(visit) = stack.last_mut() {
            let point = visit.point;
            if let Some(&(branch, next)) = neighbours.of_point(point).get(visit.next) {
                visit.next += 1;
                if Some(branch) == visit.came_by {
                    continue;
                }
                if self.island[next] == NONE {
                    stack.push(self.enter(next, Some(branch), island, low, clock));
                } else {
                    low[point] = low[point].min(self.entered[next]);
                }
                continue;
            }
            self.left[point] = *clock;
            let came_by = visit.came_by;
            stack.pop();
            if let (Some(parent), Some(branch)) = (stack.last(), came_by) {
                low[parent.point] = low[parent.point].min(low[point]);
                if low[point] > self.entered[parent.point] {
                    self.far_end[branch] = point as u32;
                }
            }
        }
    }

    fn enter(&mut self, point: usize, came_by: Option<usize>, island: u32, low: &mut [u32], clock: &mut u32) -> Visit {
        self.island[point] = island;
        self.entered[point] = *clock;
        low[point] = *clock;
        *clock += 1;
        Visit { point, came_by, next: 0 }
    }

    /// Island of a point; 0 is that of the reference.
    pub fn island(&self, point: usize) -> usize {
        self.island[point] as usize
    }

    /// One point of each island.
    pub fn roots(&self) -> &[usize] {
        &self.roots
    }

    /// Whether removing a branch cuts something off.
    pub fn is_bridge(&self, branch: usize) -> bool {
        self.far_end[branch] != NONE
    }

    /// Whether a point is cut off from the reference when a bridge is removed;
    /// ground, which no branch leads to, never is.
    pub fn is_beyond(&self, branch: usize, point: usize) -> bool {
        let (true, Some(&entered)) = (self.is_bridge(branch), self.entered.get(point)) else { return false };
        let far = self.far_end[branch] as usize;
        self.island[far] == self.island[point] && (self.entered[far]..self.left[far]).contains(&entered)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn two_straps_between_the_same_points_are_no_bridges() {
        let found = Bridges::find(3, 3, &[(0, 0, 1), (1, 0, 1), (2, 1, 2)], 0);
        assert!(!found.is_bridge(0) && !found.is_bridge(1));
        assert!(found.is_bridge(2));
        assert!(found.is_beyond(2, 2) && !found.is_beyond(2, 1));
    }

    #[test]
    fn islands_are_told_apart_and_the_reference_is_in_the_first() {
        let found = Bridges::find(5, 3, &[(0, 0, 1), (1, 2, 3), (2, 3, 4)], 3);
        assert_eq!(found.island(2), 0);
        assert_ne!(found.island(0), found.island(2));
        assert_eq!(found.roots().len(), 2);
    }
}

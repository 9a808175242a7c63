//! The first look at paths between any two points: which might be what is
//! complained of, how many ohms they would have, and how they fit what was
//! read.

use super::bases::Bases;
use super::field::{Span, Spans};
use super::threshold::Threshold;
use super::weak::Given;
use crate::fault::{Size, tie_sizes};
use crate::vehicle::{PartId, PointId};
use std::cell::OnceCell;
use std::cmp::Ordering;

/// Bases that paths lead to, by position.
type Lead = u8;
/// Where a path is not what is complained of.
const NOWHERE: Lead = Lead::MAX;

/// Two points, and where a path of each size between them leads.
pub(super) struct Pair {
    from: PointId,
    to: PointId,
    leads: Box<[Lead]>,
}

/// A path that may be there.
#[derive(Clone, Copy)]
pub(super) struct Path {
    pub from: PointId,
    pub to: PointId,
    pub size: Size,
}

impl Path {
    pub fn key(self) -> (PointId, PointId, u64) {
        (self.from, self.to, self.size.value.to_bits())
    }
}

/// A path with how well it fits what was read.
pub(super) struct Foretold {
    pub path: Path,
    pub base: usize,
    pub fit: f64,
}

impl Foretold {
    /// The best first, of those alike the first: rounding must not choose.
    pub fn by_fit(&self, other: &Self) -> Ordering {
        let fit = |foretold: &Self| foretold.fit as f32;
        fit(other).total_cmp(&fit(self)).then_with(|| self.path.key().cmp(&other.path.key()))
    }
}

/// What paths are looked at with.
pub(super) struct Survey<'b> {
    bases: &'b Bases,
    stretches: Vec<Size>,
    /// ln of the middle of each.
    middles: Vec<f64>,
}

impl<'b> Survey<'b> {
    pub fn of(bases: &'b Bases) -> Self {
        let stretches = tie_sizes();
        let middles = stretches.iter().map(|size| size.value.ln()).collect();
        Self { bases, stretches, middles }
    }

    /// The pairs between which a path might be what is complained of.
    pub fn explaining(&self, ends: &[PointId]) -> Vec<Pair> {
        let sizes: Vec<f64> = self.stretches.iter().map(|size| size.value).collect();
        let mut leads = vec![NOWHERE; sizes.len()];
        let mut pairs = Vec::new();
        for (index, &from) in ends.iter().enumerate() {
            let stand = Stand::at(self.bases, from);
            for &to in &ends[index + 1..] {
                // What makes no difference at the least size makes none at all.
                if !stand.could_matter(to, sizes[0]) {
                    continue;
                }
                stand.lead(to, &sizes, &mut leads);
                if leads.iter().any(|&lead| lead != NOWHERE) {
                    pairs.push(Pair { from, to, leads: leads.clone().into_boxed_slice() });
                }
            }
        }
        pairs
    }

    /// Paths that might be what is complained of, of the sizes worth trying.
    pub fn foretold(&self, pairs: &[Pair]) -> Vec<Foretold> {
        let mut foretold = Vec::new();
        let (mut sizes, mut leads) = (Vec::new(), vec![NOWHERE; self.stretches.len()]);
        let mut misfits = vec![1.0; self.stretches.len()];
        for pairs in pairs.chunk_by(|a, b| a.from == b.from) {
            let stand = Stand::at(self.bases, pairs[0].from);
            for pair in pairs {
                sizes.clear();
                sizes.extend(self.stretches.iter().map(|size| size.value));
                match self.refine(&stand, pair, &mut sizes) {
                    true => stand.lead(pair.to, &sizes, &mut leads),
                    false => leads.copy_from_slice(&pair.leads),
                }
                stand.weigh(pair.to, &sizes, &leads, &mut misfits);
                for (at, stretch) in self.stretches.iter().enumerate().filter(|&(at, _)| leads[at] != NOWHERE) {
                    let size = Size { value: sizes[at], ..*stretch };
                    let path = Path { from: pair.from, to: pair.to, size };
                    foretold.push(Foretold { path, base: usize::from(leads[at]), fit: -misfits[at].ln() });
                }
            }
        }
        foretold
    }

    /// Where a reading tells the size of a path, tries that in place of the
    /// middle of its stretch, which may be far enough from the truth to pass
    /// for a misfit. Readings tell it in the bases that such a path leads to.
    fn refine(&self, stand: &Stand<'_>, pair: &Pair, sizes: &mut [f64]) -> bool {
        let mut is_refined = vec![false; sizes.len()];
        for base in (0..self.bases.all.len()).filter(|&base| pair.leads.contains(&(base as Lead))) {
            let Some(told) = stand.size_told(pair.to, base) else { continue };
            let ln = told.ln();
            for (at, size) in sizes.iter_mut().enumerate() {
                if !is_refined[at] && (ln - self.middles[at]).abs() <= self.stretches[at].width {
                    (*size, is_refined[at]) = (told, true);
                }
            }
        }
        is_refined.contains(&true)
    }
}

/// One end of paths, and what is to be seen from there.
struct Stand<'b> {
    bases: &'b Bases,
    from: PointId,
    /// In each field, once something is asked there.
    spans: Vec<OnceCell<Spans<'b>>>,
}

impl<'b> Stand<'b> {
    fn at(bases: &'b Bases, from: PointId) -> Self {
        Self { bases, from, spans: bases.fields.iter().map(|_| OnceCell::new()).collect() }
    }

    fn span(&self, field: usize, to: PointId) -> Span {
        self.spans[field].get_or_init(|| self.bases.fields[field].spans(self.from)).to(to)
    }

    /// Whether a path of so many ohms or any more could be what is complained
    /// of, or lead to another base.
    fn could_matter(&self, to: PointId, ohms: f64) -> bool {
        let base = &self.bases.all[0];
        let Some(complaint) = &base.complaint else { return true };
        let span = self.span(base.here, to);
        let mut all = std::iter::once(complaint).chain(base.trips.iter().map(|trip| &trip.threshold));
        all.any(|threshold| threshold.between(self.from, to, span).could_be_beyond(ohms))
    }

    /// The base that a path of each size leads to, if from there it might be
    /// what is complained of.
    fn lead(&self, to: PointId, sizes: &[f64], leads: &mut [Lead]) {
        leads.fill(0);
        for (at, base) in (0..).zip(&self.bases.all) {
            if !leads.contains(&at) {
                continue;
            }
            let span = self.span(base.here, to);
            let mut follow = |threshold: &Threshold, is_beyond: bool, then: Lead| {
                let pull = threshold.between(self.from, to, span);
                for (lead, &ohms) in leads.iter_mut().zip(sizes) {
                    if *lead == at && pull.is_beyond(ohms) == is_beyond {
                        *lead = then;
                    }
                }
            };
            base.trips.iter().for_each(|trip| follow(&trip.threshold, true, trip.then as Lead));
            base.complaint.iter().for_each(|complaint| follow(complaint, false, NOWHERE));
        }
    }

    /// The resistance that a path must have for the reading that it moves most.
    fn size_told(&self, to: PointId, base: usize) -> Option<f64> {
        let transfers = self.bases.all[base].reads.iter().map(|read| (read, read.look.transfer(self.from, to)));
        let (read, transfer) = transfers.max_by(|a, b| a.1.abs().total_cmp(&b.1.abs()))?;
        read.size_told(self.span(read.field, to), transfer)
    }

    /// How badly all readings are met by a path of each size, in rough.
    fn weigh(&self, to: PointId, sizes: &[f64], leads: &[Lead], misfits: &mut [f64]) {
        misfits.fill(1.0);
        for (at, base) in (0..).zip(&self.bases.all).filter(|(at, _)| leads.contains(at)) {
            for read in &base.reads {
                let (span, transfer) = (self.span(read.field, to), read.look.transfer(self.from, to));
                for ((misfit, &lead), &ohms) in misfits.iter_mut().zip(leads).zip(sizes) {
                    if lead == at {
                        *misfit *= read.misfit(read.volts_with(span, transfer, ohms));
                    }
                }
            }
        }
    }
}

/// A fuse that a base has opened.
pub(super) fn opened(given: &Given) -> Option<PartId> {
    match given {
        Given::Opened(fuse) => Some(*fuse),
        Given::Nothing | Given::Held(_) => None,
    }
}

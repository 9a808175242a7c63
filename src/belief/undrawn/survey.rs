//! The first look at paths between any two points: which might be what is
//! complained of, how many ohms they would have, and how they fit what was
//! read.

use super::bases::Bases;
use super::field::{PathPort, Spans};
use super::pair::{Foretold, Lead, Leads, NOWHERE, Path, PointPair};
use super::threshold::Threshold;
use crate::fault::{Size, UNDRAWN_PATH_SIZES, undrawn_path_sizes};
use crate::tables::Tables;
use crate::tables::belief::Weighing;
use crate::vehicle::PointId;
use std::cell::OnceCell;

/// Numerical: times as many paths as are wanted, at which the worst are dropped.
const MANY: usize = 2;
/// Numerical: share by which a misfit is worse for certain, whatever the rounding
/// of its logarithm to single precision, which is in parts of itself.
const WORSE: f64 = 1e-6;

/// The best paths so far, and how many there were.
struct Best {
    paths: Vec<Foretold>,
    most: usize,
    count: usize,
    /// The misfit beyond which none is among the best.
    limit: f64,
}

impl Best {
    /// Drops the worst.
    fn prune(&mut self) {
        if self.paths.len() > self.most {
            let (_, worst, _) = self.paths.select_nth_unstable_by(self.most - 1, Foretold::by_fit);
            self.limit = (WORSE * worst.fit.abs() + WORSE - worst.fit).exp();
            self.paths.truncate(self.most);
        }
    }
}

/// What paths are looked at with.
pub(super) struct Survey<'b> {
    figures: &'b Weighing,
    bases: &'b Bases,
    stretches: [Size; UNDRAWN_PATH_SIZES],
    /// The middle of each, Ω, and its ln.
    middles: [f64; UNDRAWN_PATH_SIZES],
    ln_middles: [f64; UNDRAWN_PATH_SIZES],
}

impl<'b> Survey<'b> {
    pub fn of(tables: &'b Tables, bases: &'b Bases) -> Self {
        let stretches = undrawn_path_sizes(&tables.faults);
        let middles = stretches.map(|size| size.value);
        Self { figures: &tables.belief, bases, stretches, middles, ln_middles: middles.map(f64::ln) }
    }

    /// The pairs between which a path might be what is complained of.
    pub fn explaining(&self, ends: &[PointId]) -> Vec<PointPair> {
        let mut pairs = Vec::new();
        for (index, &from) in ends.iter().enumerate() {
            let stand = Stand::at(self.bases, from);
            // What makes no difference at the least size makes none at all.
            for &to in ends[index + 1..].iter().filter(|&&to| stand.could_matter(to, self.middles[0])) {
                let leads = stand.leads(to, &self.middles);
                if leads != [NOWHERE; UNDRAWN_PATH_SIZES] {
                    pairs.push(PointPair { from, to, leads });
                }
            }
        }
        pairs
    }

    /// How many paths might be what is complained of, of the sizes worth
    /// trying, and the best of them, best first.
    pub fn foretold(&self, pairs: &[PointPair], most: usize) -> (usize, Vec<Foretold>) {
        let mut best = Best { paths: Vec::new(), most, count: 0, limit: f64::INFINITY };
        for pairs in pairs.chunk_by(|a, b| a.from == b.from) {
            let stand = Stand::at(self.bases, pairs[0].from);
            pairs.iter().for_each(|pair| self.foretell(&stand, pair, &mut best));
            if best.paths.len() > MANY * most {
                best.prune();
            }
        }
        best.prune();
        best.paths.sort_unstable_by(Foretold::by_fit);
        (best.count, best.paths)
    }

    /// Adds the paths between two points.
    fn foretell(&self, stand: &Stand<'_>, pair: &PointPair, best: &mut Best) {
        let &PointPair { from, to, leads } = pair;
        let sizes = self.refined(stand, to, &leads);
        let leads = if sizes == self.middles { leads } else { stand.leads(to, &sizes) };
        let misfits = stand.misfits(self.figures, to, &sizes, &leads, best.limit);
        for (at, stretch) in self.stretches.iter().enumerate().filter(|&(at, _)| leads[at] != NOWHERE) {
            best.count += 1;
            if misfits[at] <= best.limit {
                let path = Path { from, to, size: Size { value: sizes[at], ..*stretch } };
                best.paths.push(Foretold { path, base: usize::from(leads[at]), fit: -misfits[at].ln() });
            }
        }
    }

    /// Where a reading tells the size of a path, tries that in place of the
    /// middle of its stretch, which may be far enough from the truth to pass
    /// for a misfit. Readings tell it in the bases that such a path leads to.
    fn refined(&self, stand: &Stand<'_>, to: PointId, leads: &Leads) -> [f64; UNDRAWN_PATH_SIZES] {
        let (mut sizes, mut is_refined) = (self.middles, [false; UNDRAWN_PATH_SIZES]);
        for base in (0..self.bases.all.len()).filter(|&base| leads.contains(&(base as Lead))) {
            let Some(told) = stand.size_told(to, base) else { continue };
            let ln = told.ln();
            for at in 0..UNDRAWN_PATH_SIZES {
                if !is_refined[at] && (ln - self.ln_middles[at]).abs() <= self.stretches[at].width {
                    (sizes[at], is_refined[at]) = (told, true);
                }
            }
        }
        sizes
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

    fn span(&self, field: usize, to: PointId) -> PathPort {
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
    fn leads(&self, to: PointId, sizes: &[f64; UNDRAWN_PATH_SIZES]) -> Leads {
        let mut leads = [0; UNDRAWN_PATH_SIZES];
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
        leads
    }

    /// The resistance that a path must have for the reading that it moves most.
    fn size_told(&self, to: PointId, base: usize) -> Option<f64> {
        let transfers = self.bases.all[base].reads.iter().map(|read| (read, read.look.transfer(self.from, to)));
        let (read, transfer) = transfers.max_by(|a, b| a.1.abs().total_cmp(&b.1.abs()))?;
        read.size_told(self.span(read.field, to), transfer)
    }

    /// How badly all readings are met by a path of each size, in rough; no further
    /// than where none is below the limit.
    fn misfits(
        &self,
        figures: &Weighing,
        to: PointId,
        sizes: &[f64; UNDRAWN_PATH_SIZES],
        leads: &Leads,
        limit: f64,
    ) -> [f64; UNDRAWN_PATH_SIZES] {
        let mut misfits = [1.0; UNDRAWN_PATH_SIZES];
        for (at, base) in (0..).zip(&self.bases.all).filter(|(at, _)| leads.contains(at)) {
            for read in &base.reads {
                let (span, transfer) = (self.span(read.field, to), read.look.transfer(self.from, to));
                for ((misfit, &lead), &ohms) in misfits.iter_mut().zip(leads).zip(sizes) {
                    let all = *misfit * read.misfit(figures, read.volts_with(span, transfer, ohms));
                    *misfit = if lead == at { all } else { *misfit };
                }
                // Each further reading only adds.
                if misfits.iter().zip(leads).all(|(&misfit, &lead)| lead != at || misfit > limit) {
                    break;
                }
            }
        }
        misfits
    }
}

//! What a complaint is of: what was named, or what stands for it.

use super::Wrong;
use super::things::{Fitting, Mention, Sought, Things};
use crate::vehicle::trace::way_there_and_back;
use crate::vehicle::{LoadKind, PartId, State, Vehicle};
use std::collections::VecDeque;

/// The vehicle that is spoken of, as it stands.
pub struct Subjects<'a> {
    pub vehicle: &'a Vehicle,
    pub state: &'a State,
    pub things: &'a Things<'a>,
}

/// What mentions come to.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct SpokenOf {
    /// All of them.
    pub parts: Vec<PartId>,
    /// Where one mention may be any of these.
    pub choices: Vec<PartId>,
    pub is_plural: bool,
    /// Whether the choices are of one kind, as a row of lamps is.
    pub is_uniform: bool,
    /// A word that fits none.
    pub strange: Option<String>,
}

impl Subjects<'_> {
    /// Kinds of load that are named.
    pub fn kinds(&self, told: &[&Mention]) -> Vec<LoadKind> {
        let parts = self.of(told, None).parts;
        parts.into_iter().filter_map(|part| self.vehicle.part(part).kind.load().map(|load| load.kind)).collect()
    }

    /// What is named of a sort; of loads, if none is said, else of anything.
    pub fn of(&self, told: &[&Mention], sort: Option<Sought>) -> SpokenOf {
        let mut all = SpokenOf { is_uniform: true, ..SpokenOf::default() };
        for mention in told {
            let named = match sort {
                Some(sort) => self.things.resolve(mention, sort),
                None => {
                    let load = self.things.resolve(mention, Sought::Load);
                    if load.parts.is_empty() { self.things.resolve(mention, Sought::Any) } else { load }
                }
            };
            all.is_uniform &= self.things.are_alike(&named.parts);
            all.take(named, mention.is_plural);
        }
        all
    }

    /// Whether what is named can go wrong so: a battery goes flat, a load does not.
    pub fn suits(&self, told: &[&Mention], wrong: Wrong) -> bool {
        let best = |sort| told.iter().map(|mention| self.things.resolve(mention, sort).score).fold(0.0, f64::max);
        let (load, battery) = (best(Sought::Load), best(Sought::Battery));
        match wrong {
            Wrong::GoesFlat | Wrong::Uncharged => load == 0.0 || battery.max(best(Sought::Source)) >= load - 0.5,
            Wrong::Blows => true,
            _ => battery == 0.0 || load >= battery,
        }
    }

    /// What such a complaint is of.
    pub fn of_wrong(&self, told: &[&Mention], wrong: Option<Wrong>) -> SpokenOf {
        match wrong {
            None => self.of(told, Some(Sought::Any)),
            Some(Wrong::Blows) => {
                let fuse = self.of(told, Some(Sought::Protection));
                if !fuse.parts.is_empty() && fuse.strange.is_none() {
                    return fuse;
                }
                // Of a load, the fuse nearest to it.
                let near = |load: PartId| {
                    let way = way_there_and_back(self.vehicle, self.state, load);
                    way.into_iter().rfind(|&part| self.vehicle.part(part).kind.is_protection())
                };
                self.of(told, Some(Sought::Load)).each(near).or(fuse)
            }
            Some(Wrong::GoesFlat | Wrong::Uncharged) => {
                let battery = self.of(told, Some(Sought::Battery));
                let source = self.of(told, Some(Sought::Source)).each(|source| self.charged_by(source));
                let all: Vec<PartId> =
                    self.vehicle.supplies().filter(|&part| self.vehicle.part(part).kind.is_battery()).collect();
                let choices = if all.len() > 1 { all.clone() } else { Vec::new() };
                let any = SpokenOf { choices, parts: all, ..SpokenOf::default() };
                battery.or(source).or(any)
            }
            Some(Wrong::Dead | Wrong::Weak | Wrong::Sometimes | Wrong::StaysOn | Wrong::Glows) => {
                self.of(told, Some(Sought::Load))
            }
        }
    }

    /// What of a thing that was spoken of before such a complaint is of.
    pub fn of_known(&self, part: PartId, wrong: Option<Wrong>) -> SpokenOf {
        let kind = &self.vehicle.part(part).kind;
        let parts: Vec<PartId> = match wrong {
            Some(Wrong::Blows) if !kind.is_protection() => {
                let way = way_there_and_back(self.vehicle, self.state, part);
                way.into_iter().rev().filter(|&part| self.vehicle.part(part).kind.is_protection()).collect()
            }
            Some(Wrong::GoesFlat | Wrong::Uncharged) => kind.is_battery().then_some(part).into_iter().collect(),
            Some(Wrong::Dead | Wrong::Weak | Wrong::Sometimes | Wrong::StaysOn | Wrong::Glows) => {
                kind.is_load().then_some(part).into_iter().collect()
            }
            Some(Wrong::Blows) | None => vec![part],
        };
        let choices = if parts.len() > 1 { parts.clone() } else { Vec::new() };
        SpokenOf { parts, choices, is_uniform: true, ..SpokenOf::default() }
    }

    /// The battery nearest to what charges it, or to what its charger draws from.
    fn charged_by(&self, source: PartId) -> Option<PartId> {
        let vehicle = self.vehicle;
        let needs = |part: &PartId| {
            vehicle.part(*part).kind.regulated().is_some_and(|of| of.needs.iter().any(|need| need.load == source))
        };
        let source = vehicle.part_ids().find(needs).unwrap_or(source);
        let mut waiting = VecDeque::from([vehicle.part(source).to]);
        let mut seen = vec![vehicle.part(source).from, vehicle.part(source).to];
        while let Some(point) = waiting.pop_front() {
            for part in vehicle.part_ids() {
                let of = vehicle.part(part);
                if of.from != point && of.to != point || part == source {
                    continue;
                }
                if of.kind.is_battery() {
                    return Some(part);
                }
                let other = of.other_end(point);
                if !(of.kind.is_load() || of.kind.is_coil() || of.kind.is_supply() || seen.contains(&other)) {
                    seen.push(other);
                    waiting.push_back(other);
                }
            }
        }
        None
    }
}

impl SpokenOf {
    /// Whether all of the choices are meant.
    pub fn is_whole(&self, is_all: bool) -> bool {
        self.is_uniform && (is_all || self.is_plural)
    }

    fn take(&mut self, named: Fitting, is_plural: bool) {
        if named.parts.len() > 1 {
            self.choices = named.parts.clone();
        }
        self.is_plural |= is_plural;
        self.parts.extend(named.parts.into_iter().filter(|part| !self.parts.contains(part)).collect::<Vec<_>>());
        self.strange = self.strange.take().or(named.strange);
    }

    fn each(self, of: impl Fn(PartId) -> Option<PartId>) -> Self {
        let turned = |parts: Vec<PartId>| {
            let mut turned: Vec<PartId> = parts.into_iter().filter_map(&of).collect();
            turned.sort_unstable();
            turned.dedup();
            turned
        };
        let (parts, choices) = (turned(self.parts), turned(self.choices));
        let choices = if choices.len() > 1 { choices } else { Vec::new() };
        Self { parts, choices, ..self }
    }

    fn or(self, other: Self) -> Self {
        if self.parts.is_empty() { other } else { self }
    }
}

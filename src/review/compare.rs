//! Two revisions of a drawing: parts by name, and what it means for each load.

use super::built::{LoadFigures, load_figures};
use crate::network::SolveError;
use crate::predict::Predictor;
use crate::quantity::{Amps, Metres, Ohms, SquareMillimetres, Volts};
use crate::vehicle::{Part, PartId, PointId, Vehicle};
use std::collections::{BTreeMap, BTreeSet};

/// Layout: volts below which a difference is not told: what rests on its neighbours
/// moves a little with everything.
const LEAST_VOLTS: f64 = 0.01;
/// Layout: the same of a current, as a share of it.
const LEAST_SHARE: f64 = 0.02;

/// Something before and after.
#[derive(Debug, Clone, PartialEq)]
pub struct Revised<T> {
    pub old: T,
    pub new: T,
}

impl<T: PartialEq> Revised<T> {
    fn if_changed(old: T, new: T) -> Option<Self> {
        (old != new).then_some(Self { old, new })
    }
}

/// What is otherwise of a part that both revisions have.
#[derive(Debug, Clone, PartialEq)]
pub enum PartChange {
    /// In trade words.
    Kind(Revised<&'static str>),
    Rating(Revised<Option<Amps>>),
    Length(Revised<Metres>),
    Area(Revised<SquareMillimetres>),
    Resistance(Revised<Ohms>),
    Place(Revised<Option<String>>),
    /// What it met at one end and meets no more, and what it meets there now.
    Meets(Revised<BTreeSet<String>>),
}

/// A part that is otherwise.
#[derive(Debug, Clone, PartialEq)]
pub struct ChangedPart {
    pub name: String,
    pub changes: Vec<PartChange>,
}

/// A load, in figures that no revision's numbering is in.
#[derive(Debug, Clone, PartialEq)]
pub struct RevisedLoad {
    pub protection: Option<String>,
    pub rating: Option<Amps>,
    pub amps: Amps,
    pub drop: Volts,
    pub limit: Volts,
}

impl RevisedLoad {
    fn of(vehicle: &Vehicle, figures: &LoadFigures) -> Self {
        Self {
            protection: figures.protection.map(|part| vehicle.part(part).name.clone()),
            rating: figures.rating,
            amps: figures.amps,
            drop: figures.drop,
            limit: figures.limit,
        }
    }

    /// Whether nobody could tell it from another.
    fn is_like(&self, other: &Self) -> bool {
        let near = |a: Volts, b: Volts| (a - b).abs().0 < LEAST_VOLTS;
        (&self.protection, self.rating) == (&other.protection, other.rating)
            && (self.amps - other.amps).abs() <= self.amps * LEAST_SHARE
            && near(self.drop, other.drop)
            && near(self.limit, other.limit)
    }
}

/// A load that is served otherwise.
#[derive(Debug, Clone, PartialEq)]
pub struct ServedOtherwise {
    pub name: String,
    /// None where it does not run.
    pub figures: Revised<Option<RevisedLoad>>,
}

/// Two revisions held against each other.
#[derive(Debug, Clone, PartialEq)]
pub struct Comparison {
    pub added: Vec<String>,
    pub gone: Vec<String>,
    pub changed: Vec<ChangedPart>,
    /// Loads that are served otherwise.
    pub loads: Vec<ServedOtherwise>,
}

/// Holds two revisions against each other.
///
/// # Errors
/// [`SolveError`] if one of them has no solution.
pub fn compare(old: &Predictor, new: &Predictor) -> Result<Comparison, SolveError> {
    let (before, after) = (by_name(old.vehicle()), by_name(new.vehicle()));
    let only = |these: &BTreeMap<&str, PartId>, those: &BTreeMap<&str, PartId>| -> Vec<String> {
        these.keys().filter(|name| !those.contains_key(*name)).map(|name| name.to_string()).collect()
    };
    let both: BTreeSet<&str> = before.keys().filter(|name| after.contains_key(*name)).copied().collect();
    let changed = both.iter().filter_map(|&name| {
        let parts = Revised { old: before[name], new: after[name] };
        let changes = changes(&Revised { old: old.vehicle(), new: new.vehicle() }, &parts, &both);
        (!changes.is_empty()).then(|| ChangedPart { name: name.to_string(), changes })
    });
    Ok(Comparison {
        added: only(&after, &before),
        gone: only(&before, &after),
        changed: changed.collect(),
        loads: revised_loads(old, new)?,
    })
}

fn by_name(vehicle: &Vehicle) -> BTreeMap<&str, PartId> {
    vehicle.part_ids().map(|id| (vehicle.part(id).name.as_str(), id)).collect()
}

fn changes<V: std::ops::Deref<Target = Vehicle>>(
    vehicles: &Revised<&V>,
    parts: &Revised<PartId>,
    both: &BTreeSet<&str>,
) -> Vec<PartChange> {
    let (old, new) = (vehicles.old.part(parts.old), vehicles.new.part(parts.new));
    let place = |vehicle: &Vehicle, part: &Part| part.place.map(|place| vehicle.place(place).name.clone());
    let mut changes = Vec::new();
    changes.extend(Revised::if_changed(old.kind.words(), new.kind.words()).map(PartChange::Kind));
    changes.extend(Revised::if_changed(old.kind.rating(), new.kind.rating()).map(PartChange::Rating));
    match (old.kind.cable(), new.kind.cable()) {
        (Some(old), Some(new)) => {
            changes.extend(Revised::if_changed(old.length, new.length).map(PartChange::Length));
            changes.extend(Revised::if_changed(old.area, new.area).map(PartChange::Area));
        }
        _ => {
            let ohms = Revised::if_changed(old.resistance.value, new.resistance.value);
            // A rating or another kind brings its own resistance.
            changes.extend(ohms.filter(|_| changes.is_empty()).map(PartChange::Resistance));
        }
    }
    changes.extend(Revised::if_changed(place(vehicles.old, old), place(vehicles.new, new)).map(PartChange::Place));
    for (before, after) in [(old.from, new.from), (old.to, new.to)] {
        let before = meets(vehicles.old, parts.old, before);
        let after = meets(vehicles.new, parts.new, after);
        let only = |these: &BTreeSet<String>, those: &BTreeSet<String>| these.difference(those).cloned().collect();
        let met: Revised<BTreeSet<String>> = Revised { old: only(&before, &after), new: only(&after, &before) };
        // What only one revision has is told as added or gone.
        let has_moved = met.old.iter().chain(&met.new).any(|name| both.contains(name.as_str()));
        changes.extend(has_moved.then_some(PartChange::Meets(met)));
    }
    changes
}

/// The names of the parts that a part meets at a point.
fn meets(vehicle: &Vehicle, part: PartId, point: PointId) -> BTreeSet<String> {
    let others = vehicle.graph.edges(point.node()).map(|edge| *edge.weight()).filter(|&other| other != part);
    others.map(|other| vehicle.part(other).name.clone()).collect()
}

/// The loads that are served otherwise.
fn revised_loads(old: &Predictor, new: &Predictor) -> Result<Vec<ServedOtherwise>, SolveError> {
    let figures = |of: &Predictor| -> Result<BTreeMap<String, RevisedLoad>, SolveError> {
        let vehicle = of.vehicle();
        let named = |one: &LoadFigures| (vehicle.part(one.load).name.clone(), RevisedLoad::of(vehicle, one));
        Ok(load_figures(of)?.iter().map(named).collect())
    };
    let (mut before, mut after) = (figures(old)?, figures(new)?);
    let names: BTreeSet<String> = before.keys().chain(after.keys()).cloned().collect();
    let revised = names.into_iter().filter_map(|name| {
        let figures = Revised { old: before.remove(&name), new: after.remove(&name) };
        match &figures {
            Revised { old: Some(old), new: Some(new) } if old.is_like(new) => None,
            _ => Some(ServedOtherwise { name, figures }),
        }
    });
    Ok(revised.collect())
}

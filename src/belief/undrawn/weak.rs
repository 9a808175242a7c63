//! What gives way to a path that is not drawn: a source at its limit, a relay,
//! a fuse. A linear look does not know that, so it starts anew from there.

use super::super::evidence::Observation;
use super::super::shortlist::Shortlist;
use super::given::{Given, Weak};
use super::threshold::Beyond;
use crate::network::{Law, Region, Solution};
use crate::quantity::Volts;
use crate::tables::belief::Weighing;
use crate::tables::supply::drawn_to_flat;
use crate::vehicle::{PartId, PartKind, Supply, Vehicle};

/// Sources that run and have a limit, weakest first.
pub(super) fn sources(shortlist: &Shortlist<'_>, drawn: &Solution) -> Vec<Weak> {
    let weak = |part: PartId| match drawn.network().branches[part.index()].law {
        Law::Regulated { emf, ohms, limit, .. } if drawn.region(part.index()) == Region::On => {
            let then = Given::Held(vec![(part.index(), Region::Limited)]);
            Some((limit.0, Weak { part, then, emf: emf.0, beyond: Beyond::Above(limit.0 * ohms.0) }))
        }
        _ => None,
    };
    let mut sources: Vec<(f64, Weak)> = shortlist.likelihood.engine.vehicle().part_ids().filter_map(weak).collect();
    sources.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.part.cmp(&b.1.part)));
    sources
        .into_iter()
        .take(shortlist.likelihood.engine.tables().belief.limited_sources)
        .map(|(_, weak)| weak)
        .collect()
}

/// How far the volts of what is complained of must move for somebody to
/// complain of it: those of a load, or of a battery by what is drawn from it.
pub(super) fn least(figures: &Weighing, vehicle: &Vehicle, subject: PartId) -> Option<Volts> {
    let part = vehicle.part(subject);
    match &part.kind {
        PartKind::Load(load) => Some(Volts(figures.noticed * load.rated.0)),
        PartKind::Supply(Supply::Battery(battery)) => {
            let drawn = drawn_to_flat(battery.ampere_hours, figures.flat_within);
            Some(Volts(drawn.0 * part.resistance.value.0))
        }
        _ => None,
    }
}

/// Relays that would make the complaint if they were the other way.
pub(super) fn relays(shortlist: &Shortlist<'_>, drawn: &Solution, complaint: &Observation) -> Vec<Weak> {
    let vehicle = shortlist.likelihood.engine.vehicle();
    let Some(least) = least(&shortlist.likelihood.engine.tables().belief, vehicle, complaint.subject) else {
        return Vec::new();
    };
    let weak = |part: PartId| -> Option<Weak> {
        let contacts = drawn.network().branches.iter().enumerate().filter_map(|(index, branch)| match &branch.law {
            Law::Contact { coil, drop_out, .. } if coil.branch == part.index() => Some((index, coil.volts, *drop_out)),
            _ => None,
        });
        let contacts: Vec<(usize, Volts, Volts)> = contacts.collect();
        let &(_, pull_in, drop_out) = contacts.first()?;
        let other = |&(contact, ..): &(usize, Volts, Volts)| match drawn.region(contact) {
            Region::On => (contact, Region::Off),
            _ => (contact, Region::On),
        };
        let held: Vec<(usize, Region)> = contacts.iter().map(other).collect();
        let subject = complaint.subject.index();
        let moved = drawn.held(&held).ok()?.across(subject).0 - drawn.across(subject).0;
        let is_pulled = drawn.across(part.index()).0.abs() >= drop_out.0;
        let beyond = if is_pulled { Beyond::Below(drop_out.0) } else { Beyond::Above(pull_in.0) };
        let makes_it = moved.abs() > least.0;
        makes_it.then_some(Weak { part, then: Given::Held(held), emf: 0.0, beyond })
    };
    vehicle.part_ids().filter_map(weak).take(shortlist.likelihood.engine.tables().belief.worked_relays).collect()
}

/// Fuses that may be open.
pub(super) fn fuses(shortlist: &Shortlist<'_>, drawn: &Solution) -> Vec<Weak> {
    let weak = |part: PartId| match drawn.network().branches[part.index()].law {
        Law::Fuse { conductance, opens_at } => {
            let beyond = Beyond::Above(opens_at.0 / conductance.0);
            Some(Weak { part, then: Given::Opened(part), emf: 0.0, beyond })
        }
        _ => None,
    };
    shortlist
        .open_fuses(shortlist.likelihood.engine.tables().belief.opened_fuses)
        .into_iter()
        .filter_map(weak)
        .collect()
}

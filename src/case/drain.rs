//! Drain of a battery while everything sleeps: the current by everything known, and
//! how long the capacity lasts at it.

use super::Case;
use crate::belief::{Estimate, Explanation, Reading, Sign, Site};
use crate::meter::rounding_variance;
use crate::plan::Drains;
use crate::quantity::{Amps, HOURS_A_DAY, Ohms, Volts};
use crate::tables::Tables;
use crate::tables::supply::hours_to_flat;
use crate::vehicle::{PartId, PartKind, PointId, Vehicle};

/// The current that a reading across a fuse stands for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FuseAmps {
    pub fuse: PartId,
    /// Without sign; low is nought where the meter would show as much with nothing flowing.
    pub amps: Estimate<Amps>,
}

impl FuseAmps {
    /// Of a reading across a fuse, from tab to tab or with its holder's contacts.
    pub fn of(tables: &Tables, vehicle: &Vehicle, reading: &Reading) -> Option<Self> {
        let figures = &tables.telling;
        let (red, black, volts) = reading.voltage()?;
        let fuse = vehicle.part_ids().find(|&fuse| {
            let between = across(vehicle, fuse);
            vehicle.part(fuse).kind.is_fuse()
                && between.iter().any(|&ends| ends == (red, black) || ends == (black, red))
        })?;
        let part = vehicle.part(fuse);
        let fitted = part.gates.iter().all(|&(control, position)| reading.state.position(control) == position);
        if volts.value.abs() > figures.fuse_is_bad || !fitted {
            return None;
        }
        let is_bare = part.ends() == (red, black) || part.ends() == (black, red);
        let parts = if is_bare { vec![fuse] } else { holder(vehicle, fuse) };
        let ohms: f64 = parts.iter().map(|&part| vehicle.part(part).resistance.value.0).sum();
        let variance: f64 = parts
            .iter()
            .map(|&part| (vehicle.part(part).spread * vehicle.part(part).resistance.value.0 / ohms).powi(2))
            .sum();
        let spread = variance.sqrt();
        // The meter's own zero and the contact of the tips, which show something
        // where nothing flows, and the last digit.
        let offset = reading.meter.meter(&tables.instruments).offset_deviation(volts.value).0;
        let error =
            (offset.powi(2) + tables.instruments.probe_noise.0.powi(2) + rounding_variance(volts.step.0)).sqrt();
        let at = |volts: f64, deviations: f64| Volts(volts.max(0.0)) / Ohms(ohms * (spread * deviations).exp());
        let (size, wide) = (volts.value.abs().0, figures.fuse_deviations);
        let is_known = size > figures.shows_by_itself * error;
        let amps = Estimate {
            low: if is_known { at(size - wide * error, wide) } else { Amps(0.0) },
            middle: at(size, 0.0),
            high: at(size + wide * error, -wide),
        };
        Some(Self { fuse, amps })
    }
}

/// The pairs of points between which a fuse is measured.
fn across(vehicle: &Vehicle, fuse: PartId) -> [(PointId, PointId); 2] {
    let holder = holder(vehicle, fuse);
    let (first, last) = (vehicle.part(holder[0]), vehicle.part(holder[holder.len() - 1]));
    [vehicle.part(fuse).ends(), (first.from, last.to)]
}

/// A fuse with the contacts of its holder, in the order of the current.
fn holder(vehicle: &Vehicle, fuse: PartId) -> Vec<PartId> {
    let (from, to) = vehicle.part(fuse).ends();
    let contact = |fits: &dyn Fn(PartId) -> bool| {
        vehicle.part_ids().find(|&id| vehicle.part(id).kind == PartKind::HolderContact && fits(id))
    };
    let before = contact(&|id| vehicle.part(id).to == from);
    let after = contact(&|id| vehicle.part(id).from == to);
    before.into_iter().chain([fuse]).chain(after).collect()
}

/// What runs out of a battery that goes flat.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Drain {
    pub battery: PartId,
    /// What it gives, by everything known.
    pub amps: Estimate<Amps>,
    /// What it gives when all is sound.
    pub sound: Amps,
    /// Capacity, A·h.
    pub ampere_hours: f64,
}

impl Drain {
    /// Days from full down to the least charge that will do, at a current.
    pub fn days(&self, amps: Amps) -> f64 {
        hours_to_flat(self.ampere_hours, amps) / HOURS_A_DAY
    }
}

/// Belief in what may empty a battery that goes flat.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MayEmpty {
    pub battery: PartId,
    /// Some part takes more out of it than it should.
    pub drain: f64,
    /// The battery is weak by itself.
    pub itself: f64,
    /// Another fault that takes nothing more out of it.
    pub other: f64,
}

impl Case {
    /// What may empty a battery that goes flat, as long as nothing has been read since
    /// somebody said so: by then every part that could is as likely as such parts fail.
    pub fn may_empty(&self) -> Option<MayEmpty> {
        let evidence = &self.standing.evidence;
        let flat = evidence.observations.iter().find(|seen| seen.sign == Sign::GoesFlat)?;
        if !evidence.readings.iter().all(|reading| evidence.is_before_complaint(reading)) {
            return None;
        }
        let (belief, battery) = (&self.assessment.belief, flat.subject);
        let drains = Drains::from(&self.engine, flat).ok()?;
        let is_of_parts = |one: &Explanation| matches!(one.site, Site::Part(_) | Site::Both(..));
        let is_itself = |one: &Explanation| one.site == Site::Part(battery);
        let itself = belief.share(is_itself);
        let drain = belief.share(|one| is_of_parts(one) && !is_itself(one) && drains.by(one));
        Some(MayEmpty { battery, drain, itself, other: belief.share(is_of_parts) - drain - itself })
    }

    /// What runs out of a battery that goes flat, once readings have told and while things are set as
    /// it goes flat.
    pub fn drain(&self) -> Option<Drain> {
        let standing = &self.standing;
        let mut observations = standing.evidence.observations.iter();
        let complaint = observations.find(|seen| seen.sign == Sign::GoesFlat && seen.state == standing.state)?;
        let battery = complaint.subject;
        let vehicle = self.vehicle();
        let ampere_hours = vehicle.part(battery).kind.battery()?.ampere_hours;
        if standing.evidence.readings.is_empty() {
            return None;
        }
        let model = self.predictor().in_state(&standing.state).ok()?;
        let amps = self.assessment.belief.current_of(&self.engine().tables().belief, vehicle, &model, battery)?;
        let sound = model.solution().current(battery.index());
        let is_known = amps.low.0 > 0.0 && amps.high.0 < self.engine().tables().telling.vague * amps.low.0;
        is_known.then_some(Drain { battery, amps, sound, ampere_hours })
    }
}

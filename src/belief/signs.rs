//! How likely what people see, hear and feel is under a hypothesis. Every
//! chance here is common practice, no source, and none is nought or one:
//! people look at the wrong fuse and hear the relay beside.

use super::evidence::{Appearance, Sign, appearance_chances, fails};
use crate::fault::{Fault, Mode, ways};
use crate::network::Altered;
use crate::predict::{Hypothesis, Sized, StateModel};
use crate::quantity::Amps;
use crate::tables::fuse::OPENING_MULTIPLE;
use crate::tables::supply::hours_to_flat;
use crate::vehicle::{Coil, LoadKind, PartId, PartKind, Vehicle};
use std::rc::Rc;

/// Heat at which a small part feels warm, W.
const WARM: f64 = 0.7;
/// Share of its rating that a fuse carries for hours in a warm holder.
const FOR_HOURS: f64 = 0.8;
/// Current that tells a source that gives from one that idles, A.
const GIVES: f64 = 0.05;

/// Chance of a sign of a part in a state under a hypothesis.
pub fn chance(vehicle: &Vehicle, model: &StateModel, hypothesis: &Hypothesis, subject: PartId, sign: Sign) -> f64 {
    let at = Scene { vehicle, model, hypothesis, subject };
    match sign {
        Sign::Looks(appearance) => at.load().map_or(1.0, |kind| at.looks(kind)[appearance.index()]),
        Sign::StaysOn => at.load().map_or(1.0, |kind| 1.0 - at.looks(kind)[Appearance::Dead.index()]),
        Sign::Glows => at.glows(),
        Sign::Sometimes => at.load().map_or(1.0, |kind| at.sometimes(kind)),
        Sign::BlowsFuse => at.blows(),
        Sign::LooksBlown => at.looks_blown(),
        Sign::LooksWhole => 1.0 - at.looks_blown(),
        Sign::GoesFlat => at.goes_flat(),
        Sign::Uncharged => at.uncharged(),
        Sign::Clicks => at.clicks(),
        Sign::Silent => 1.0 - at.clicks(),
        Sign::Gives => at.gives(),
        Sign::Idle => 1.0 - at.gives(),
        Sign::Hot => at.hot(),
        Sign::Cool => 1.0 - at.hot(),
        Sign::Green => at.green(),
    }
}

fn yes(is: bool, then: f64, otherwise: f64) -> f64 {
    if is { then } else { otherwise }
}

/// Current at which light-emitting diodes can be seen, A.
const GLOWS: f64 = 2e-5;

/// What is looked at, and what is supposed.
struct Scene<'a> {
    vehicle: &'a Vehicle,
    model: &'a StateModel,
    hypothesis: &'a Hypothesis,
    subject: PartId,
}

impl Scene<'_> {
    fn load(&self) -> Option<LoadKind> {
        self.vehicle.part(self.subject).kind.load().map(|load| load.kind)
    }

    /// The circuit, as all but the parts in series with a fault see it.
    fn altered(&self) -> Rc<Altered> {
        self.model.under(self.vehicle, &self.model.series().stand_in(self.hypothesis, &[]))
    }

    fn share(&self) -> f64 {
        self.model.performance(self.vehicle, self.hypothesis, self.subject)
    }

    fn looks(&self, kind: LoadKind) -> [f64; 3] {
        appearance_chances(kind, self.share())
    }

    /// A load that is off glows at a little of its voltage; diodes at next to
    /// no current.
    fn glows(&self) -> f64 {
        let share = self.share();
        let amps = self.altered().current(self.subject.index()).0.abs();
        if self.load() == Some(LoadKind::Led) && share < 0.75 && amps > GLOWS {
            return 0.8;
        }
        yes((0.05..0.75).contains(&share), 0.8, if share >= 0.75 { 0.15 } else { 0.02 })
    }

    fn sometimes(&self, kind: LoadKind) -> f64 {
        let alike = self.model.series().stand_in(self.hypothesis, &[]);
        let trips = self.model.trips_at(self.vehicle, &alike, self.subject);
        if trips.is_some_and(|tripped| tripped.hunting.contains(&self.subject)) {
            return 0.85;
        }
        // What does not touch the load makes it fail no more often than a sound one.
        let fails = fails(kind, self.share());
        let fits = |fault: Fault| comes_and_goes(&self.vehicle.part(fault.part).kind, fault.mode);
        let most = self.hypothesis.faults().map(|(fault, _)| fits(fault)).reduce(f64::max);
        most.map_or(0.02, |fits| 0.01 + fails * fits)
    }

    /// At once far above its rating, after a while a little above it.
    fn blows(&self) -> f64 {
        let altered = self.altered();
        let index = self.subject.index();
        let PartKind::Fuse { rating } = self.vehicle.part(self.subject).kind else {
            return yes(altered.is_blown(index), 0.95, 0.01);
        };
        // The middle of a stretch of sizes may spare a fuse that most of it opens.
        let width = self.hypothesis.faults().filter_map(|(_, size)| size).map(|size| size.width).fold(0.0, f64::max);
        let load = altered.current(index).0.abs() / rating.0;
        let above = |step: f64| (load * (step * width).exp() - FOR_HOURS) / (OPENING_MULTIPLE - FOR_HOURS);
        let opens = [-1.0, 0.0, 1.0].map(|step| above(step).clamp(0.0, 1.0)).iter().sum::<f64>() / 3.0;
        yes(altered.is_blown(index), 0.95, 0.01 + 0.6 * opens)
    }

    fn looks_blown(&self) -> f64 {
        let opened = |(fault, _): Sized| fault.part == self.subject && fault.mode == Mode::Open;
        let blown = self.altered().is_blown(self.subject.index()) || self.hypothesis.faults().any(opened);
        yes(blown, 0.82, 0.03)
    }

    fn goes_flat(&self) -> f64 {
        let weak =
            |(fault, _): Sized| fault.part == self.subject && matches!(fault.mode, Mode::LowVoltage | Mode::Resistive);
        if self.hypothesis.faults().any(weak) {
            return 0.5;
        }
        let Some(battery) = self.vehicle.part(self.subject).kind.battery() else { return 0.02 };
        let ampere_hours = battery.ampere_hours;
        // A blown fuse ends the draw; what it drew before may have gone on for hours.
        let drawn = self.altered().current(self.subject.index()).0;
        let hours = hours_to_flat(ampere_hours, Amps(drawn));
        match hours {
            hours if hours < 36.0 => 0.9,
            hours if hours < 100.0 => 0.6,
            hours if hours < 250.0 => 0.15,
            _ => 0.02,
        }
    }

    /// Not charged though it should be.
    fn uncharged(&self) -> f64 {
        let Some(share) = self.model.charge(self.vehicle, self.hypothesis, self.subject) else { return 0.5 };
        let weak = |(fault, _): Sized| fault.part == self.subject;
        yes(share < 0.3 || self.hypothesis.faults().any(weak), 0.9, 0.05)
    }

    fn clicks(&self) -> f64 {
        let Some(Coil { pull_in, .. }) = self.vehicle.part(self.subject).kind.coil() else { return 0.5 };
        let altered = self.altered();
        let index = self.subject.index();
        let pulled = altered.current(index).0.abs() > 1e-4 && altered.across(index).abs() >= pull_in;
        // A welded contact does not move, whatever its coil does.
        let welded = |(fault, _): Sized| {
            let contact = self.vehicle.part(fault.part).kind.contact();
            contact.is_some_and(|contact| contact.coil == self.subject) && fault.mode == Mode::StuckClosed
        };
        match pulled {
            true if self.hypothesis.faults().any(welded) => 0.35,
            pulled => yes(pulled, 0.92, 0.08),
        }
    }

    fn gives(&self) -> f64 {
        yes(self.altered().current(self.subject.index()).0 > GIVES, 0.9, 0.08)
    }

    fn hot(&self) -> f64 {
        let altered = self.model.under(self.vehicle, self.hypothesis);
        let index = self.subject.index();
        let watts = (altered.across(index).0 * altered.current(index).0).abs();
        0.04 + 0.84 / (1.0 + (-2.0 * (watts / WARM).max(1e-6).ln()).exp())
    }

    /// Corrosion shows at what it has eaten.
    fn green(&self) -> f64 {
        let bundle = self.vehicle.part(self.subject).bundle;
        let here =
            |part: PartId| part == self.subject || (bundle.is_some() && self.vehicle.part(part).bundle == bundle);
        let eaten = |(fault, _): Sized| {
            let wet = matches!(fault.mode, Mode::Open | Mode::Resistive | Mode::Together | Mode::Leak | Mode::Bridged);
            wet && ways(self.vehicle, fault).any(here)
        };
        yes(self.hypothesis.faults().any(eaten), 0.55, 0.1)
    }
}

/// How well a fault fits 'works only sometimes'.
fn comes_and_goes(kind: &PartKind, mode: Mode) -> f64 {
    match (kind, mode) {
        (
            PartKind::HolderContact | PartKind::Pin | PartKind::Joint | PartKind::Switch | PartKind::Contact { .. },
            _,
        ) => 0.9,
        (PartKind::Cable { .. } | PartKind::Isolator | PartKind::Breaker { .. } | PartKind::Coil { .. }, _) => 0.5,
        (PartKind::Load { .. }, _) => 0.4,
        (PartKind::Fuse { .. }, Mode::Open) => 0.05,
        _ => 0.3,
    }
}

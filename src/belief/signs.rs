//! Likelihoods of signs: how likely what people see, hear and feel is under a
//! hypothesis, from the solve of the circuit. The chances stand in
//! [`crate::tables::signs`].

use super::evidence::{Appearance, Sign, appearance_chances, fails};
use crate::fault::{FailureMode, Fault, ways};
use crate::network::Altered;
use crate::predict::{Hypothesis, Sized, StateModel};
use crate::quantity::Amps;
use crate::tables::fuse::OPENING_MULTIPLE;
use crate::tables::signs::Signs;
use crate::tables::supply::hours_to_flat;
use crate::vehicle::{Coil, LoadKind, PartId, PartKind, Vehicle};
use std::rc::Rc;

/// Numerical: the middle of a stretch of sizes and its ends, in its widths.
const WITHIN: [f64; 3] = [-1.0, 0.0, 1.0];
/// Numerical: heat of a part without current has a logarithm all the same.
const LEAST_HEAT: f64 = 1e-6;

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
        Sign::Uncharged => {
            at.charged([at.signs().uncharged, at.signs().little_uncharged, at.signs().charged_uncharged])
        }
        Sign::ChargesLittle => {
            at.charged([at.signs().none_charges_little, at.signs().charges_little, at.signs().well_charges_little])
        }
        Sign::Clicks => at.clicks(),
        Sign::Silent => 1.0 - at.clicks(),
        Sign::LampBright => at.lamp_bright(),
        Sign::LampDim => 1.0 - at.lamp_bright(),
        Sign::Gives => at.gives(),
        Sign::Idle => 1.0 - at.gives(),
        Sign::Hot => at.hot(),
        Sign::Cool => 1.0 - at.hot(),
        Sign::Green => at.green(),
        Sign::ComesBack => at.comes_back(),
        Sign::NoBetter => 1.0 - at.comes_back(),
    }
}

fn yes(is: bool, then: f64, otherwise: f64) -> f64 {
    if is { then } else { otherwise }
}

/// What is looked at, and what is supposed.
struct Scene<'a> {
    vehicle: &'a Vehicle,
    model: &'a StateModel,
    hypothesis: &'a Hypothesis,
    subject: PartId,
}

/// Numerical: a sign that says nothing is as likely as its opposite.
const NO_NEWS: f64 = 0.5;

impl Scene<'_> {
    fn signs(&self) -> &Signs {
        &self.model.tables().signs
    }

    fn load(&self) -> Option<LoadKind> {
        let load = self.vehicle.part(self.subject).kind.load()?;
        let is_lamp = self.model.state().has_lamp(self.vehicle, self.subject);
        Some(if is_lamp { LoadKind::Lamp } else { load.kind })
    }

    /// The circuit, as all but the parts in series with a fault see it.
    fn altered(&self) -> Rc<Altered> {
        self.model.under(self.vehicle, &self.model.stand_in(self.vehicle, self.hypothesis, &[]))
    }

    fn share(&self) -> f64 {
        self.model.performance(self.vehicle, self.hypothesis, self.subject)
    }

    fn looks(&self, kind: LoadKind) -> [f64; 3] {
        let running = appearance_chances(self.signs(), kind, self.share());
        let alike = self.model.stand_in(self.vehicle, self.hypothesis, &[]);
        match self.model.may_have_stopped(self.vehicle, &alike, self.subject) {
            false => running,
            // Whether it ever stopped, nobody knows.
            true => {
                let stopped = appearance_chances(self.signs(), kind, 0.0);
                std::array::from_fn(|look| NO_NEWS * running[look] + (1.0 - NO_NEWS) * stopped[look])
            }
        }
    }

    /// A load that is off glows at a little of its voltage; diodes at next to
    /// no current.
    fn glows(&self) -> f64 {
        let (share, signs) = (self.share(), self.signs());
        let amps = self.altered().current(self.subject.index()).abs();
        if self.load() == Some(LoadKind::Led) && share < signs.glow_below && amps > signs.glow_current {
            return signs.glows;
        }
        let otherwise = if share >= signs.glow_below { signs.glows_when_on } else { signs.glows_when_dark };
        yes((signs.glow_from..signs.glow_below).contains(&share), signs.glows, otherwise)
    }

    fn sometimes(&self, kind: LoadKind) -> f64 {
        let signs = self.signs();
        let alike = self.model.stand_in(self.vehicle, self.hypothesis, &[]);
        let trips = self.model.trips_at(self.vehicle, &alike, self.subject);
        if trips.is_some_and(|tripped| tripped.hunting.contains(&self.subject)) {
            return signs.hunts;
        }
        // What does not touch the load makes it fail no more often than a sound one.
        let fails = fails(signs, kind, self.share());
        let fits = |fault: Fault| comes_and_goes(signs, &self.vehicle.part(fault.part).kind, fault.mode);
        let most = self.hypothesis.faults().map(|(fault, _)| fits(fault)).reduce(f64::max);
        most.map_or(signs.sound_sometimes, |fits| signs.faulty_sometimes + fails * fits)
    }

    /// At once far above its rating, after a while a little above it.
    fn blows(&self) -> f64 {
        let (altered, signs) = (self.altered(), self.signs());
        let index = self.subject.index();
        let PartKind::Fuse { rating } = self.vehicle.part(self.subject).kind else {
            return yes(altered.is_blown(index), signs.blows, signs.holds_and_blows);
        };
        // The middle of a stretch of sizes may spare a fuse that most of it opens.
        let width = self.hypothesis.faults().filter_map(|(_, size)| size).map(|size| size.width).fold(0.0, f64::max);
        let load = |amps: Amps| amps.0.abs() / rating.0;
        // What the fault does not move, its size does not either.
        let sound = load(self.model.solution().current(index));
        let more = load(altered.current(index)) - sound;
        let carries = signs.carries_for_hours;
        let above = |step: f64| (sound + more * (step * width).exp() - carries) / (OPENING_MULTIPLE - carries);
        let opens = WITHIN.map(|step| above(step).clamp(0.0, 1.0)).iter().sum::<f64>() / WITHIN.len() as f64;
        yes(altered.is_blown(index), signs.blows, signs.holds_and_blows + signs.blows_in_the_end * opens)
    }

    fn looks_blown(&self) -> f64 {
        let opened = |(fault, _): Sized| fault.part == self.subject && fault.mode == FailureMode::OpenCircuit;
        let blown = self.altered().is_blown(self.subject.index()) || self.hypothesis.faults().any(opened);
        yes(blown, self.signs().looks_blown, self.signs().whole_looks_blown)
    }

    /// A lamp in a fuse's place has all of the voltage where what is behind it is
    /// shorted, and shares it with what runs.
    fn lamp_bright(&self) -> f64 {
        let signs = self.signs();
        if !self.model.state().has_lamp(self.vehicle, self.subject) {
            return NO_NEWS;
        }
        let share = self.altered().across(self.subject.index()).abs().0 / self.vehicle.nominal.0;
        let [dim, bright] = signs.lamp_bright;
        let lit = ((share - dim) / (bright - dim)).clamp(0.0, 1.0);
        signs.lamp_mistaken + (1.0 - 2.0 * signs.lamp_mistaken) * lit
    }

    fn goes_flat(&self) -> f64 {
        let signs = self.signs();
        let weak = |(fault, _): Sized| fault.part == self.subject && fault.mode.weakens_battery();
        if self.hypothesis.faults().any(weak) {
            return signs.weak_goes_flat;
        }
        let Some(battery) = self.vehicle.part(self.subject).kind.battery() else { return signs.sound_goes_flat };
        // A blown fuse ends the draw; what it drew before may have gone on for hours.
        let drawn = self.altered().current(self.subject.index()).0;
        let hours = hours_to_flat(battery.ampere_hours, Amps(drawn));
        match hours {
            hours if hours < signs.overnight_hours => signs.flat_overnight,
            hours if hours < signs.days_hours => signs.flat_in_days,
            hours if hours < signs.weeks_hours => signs.flat_in_weeks,
            _ => signs.sound_goes_flat,
        }
    }

    /// Chance of what is said of one that should be charged: of those that get
    /// nothing worth telling, too little, and enough.
    fn charged(&self, chances: [f64; 3]) -> f64 {
        let Some(share) = self.model.charge(self.vehicle, self.hypothesis, self.subject) else { return NO_NEWS };
        let signs = self.signs();
        let weak = |(fault, _): Sized| fault.part == self.subject;
        match share {
            share if share < signs.charged_from || self.hypothesis.faults().any(weak) => chances[0],
            share if share < signs.well_charged_from => chances[1],
            _ => chances[2],
        }
    }

    fn clicks(&self) -> f64 {
        let Some(Coil { pull_in, .. }) = self.vehicle.part(self.subject).kind.coil() else { return NO_NEWS };
        let (altered, signs) = (self.altered(), self.signs());
        let index = self.subject.index();
        let pulled = altered.current(index).abs() > signs.coil_current && altered.across(index).abs() >= pull_in;
        // A welded contact does not move, whatever its coil does.
        let welded = |(fault, _): Sized| {
            let contact = self.vehicle.part(fault.part).kind.contact();
            contact.is_some_and(|contact| contact.coil == self.subject) && fault.mode == FailureMode::ContactWelded
        };
        match pulled {
            true if self.hypothesis.faults().any(welded) => signs.welded_clicks,
            pulled => yes(pulled, signs.clicks, signs.still_clicks),
        }
    }

    fn gives(&self) -> f64 {
        let signs = self.signs();
        yes(self.altered().current(self.subject.index()) > signs.giving_current, signs.gives, signs.idle_gives)
    }

    fn hot(&self) -> f64 {
        let signs = self.signs();
        let altered = self.model.under(self.vehicle, self.hypothesis);
        let index = self.subject.index();
        let watts = (altered.across(index).0 * altered.current(index).0).abs();
        // The logarithm of no heat at all is kept finite.
        let above = (watts / signs.warm.0).max(LEAST_HEAT).ln();
        signs.cold_feels_hot + signs.feels_hot / (1.0 + (-signs.warm_steepness * above).exp())
    }

    /// What sits loose makes contact again when it is touched; what is beside it
    /// is moved along.
    fn comes_back(&self) -> f64 {
        let (vehicle, signs) = (self.vehicle, self.signs());
        let touched = vehicle.part(self.subject);
        let is_touched = |part: PartId| {
            let other = vehicle.part(part);
            let is_seat =
                matches!(other.kind, PartKind::HolderContact | PartKind::Pin | PartKind::Joint | PartKind::Contact(_));
            let (from, to) = touched.ends();
            let meets = [other.from, other.to].iter().any(|end| *end == from || *end == to);
            let is_its_contact = other.kind.contact().is_some_and(|contact| contact.coil == self.subject);
            part == self.subject
                || (touched.bundle.is_some() && other.bundle == touched.bundle)
                || (is_seat && (meets || is_its_contact))
        };
        let fits = |fault: Fault| match ways(vehicle, fault).any(is_touched) {
            true => comes_and_goes(signs, &vehicle.part(fault.part).kind, fault.mode),
            false => 0.0,
        };
        let most = self.hypothesis.faults().map(|(fault, _)| fits(fault)).fold(0.0, f64::max);
        signs.comes_back * most + signs.comes_back_by_itself
    }

    /// Corrosion shows at what it has eaten.
    fn green(&self) -> f64 {
        let bundle = self.vehicle.part(self.subject).bundle;
        let here =
            |part: PartId| part == self.subject || (bundle.is_some() && self.vehicle.part(part).bundle == bundle);
        let eaten = |(fault, _): Sized| fault.mode.may_be_green() && ways(self.vehicle, fault).any(here);
        yes(self.hypothesis.faults().any(eaten), self.signs().green, self.signs().sound_green)
    }
}

/// How well a fault fits 'works only sometimes'.
pub(super) fn comes_and_goes(signs: &Signs, kind: &PartKind, mode: FailureMode) -> f64 {
    match (kind, mode) {
        (
            PartKind::HolderContact | PartKind::Pin | PartKind::Joint | PartKind::Switch | PartKind::Contact { .. },
            _,
        ) => signs.contact_sometimes,
        (PartKind::Cable { .. } | PartKind::Isolator | PartKind::Breaker { .. } | PartKind::Coil { .. }, _) => {
            signs.conductor_sometimes
        }

        (PartKind::Load { .. }, _) => signs.load_sometimes,
        (PartKind::Fuse { .. }, FailureMode::OpenCircuit) => signs.open_fuse_sometimes,
        // A hairline element, a worn cap.
        (PartKind::Fuse { .. }, FailureMode::HighResistance) => signs.contact_sometimes,
        (
            PartKind::Fuse { .. }
            | PartKind::Shunt
            | PartKind::Diode { .. }
            | PartKind::Chassis
            | PartKind::Supply(_)
            | PartKind::Instrument(_),
            _,
        ) => signs.other_sometimes,
    }
}

//! Looking at other loads, listening to relays, looking at fuses: what needs no
//! instrument is cheap, and what else works is worth as much as what is dead.

use super::advice::{Advice, Sense, Test};
use super::outcome::of_signs;
use super::valuation::Valuation;
use super::value::discrete_bits;
use super::{ladder, phone};
use crate::belief::{Appearance, Observation, Sign, Site, as_told};
use crate::network::SolveError;
use crate::predict::{Hypothesis, StateModel};
use crate::vehicle::trace::settings_for;
use crate::vehicle::{
    Aid, Contact, ContactRest, ControlId, ControlKind, LoadKind, PartId, PartKind, Position, Supply, Vehicle,
};

type Settings = Vec<(ControlId, Position)>;

/// What people can tell of the suspects without an instrument.
pub(super) fn advices(valuation: &Valuation<'_>) -> Result<Vec<Advice>, SolveError> {
    let now = valuation.engine.predictor().in_state(valuation.situation.state)?;
    let mut subjects = valuation.loads(&now);
    subjects.extend(valuation.others(&now));
    let mut advices = Vec::new();
    for (subject, sense) in subjects {
        let is_by_work = matches!(sense, Sense::Listen | Sense::Source);
        let is_at_work = is_by_work && valuation.is_seen_at_work(subject)?;
        if !is_at_work && !valuation.is_known(subject, sense) {
            let settings = valuation.settings(subject, sense);
            advices.extend(settings.map(|settings| valuation.sensed(subject, sense, settings)).transpose()?.flatten());
        }
    }
    advices.extend(lamps_in_place_of_fuses(valuation)?);
    Ok(advices)
}

/// Whether the lamp in the place of a fuse that blows is bright, as things are and with
/// what it feeds unplugged or switched off, one after another.
fn lamps_in_place_of_fuses(valuation: &Valuation<'_>) -> Result<Vec<Advice>, SolveError> {
    let situation = valuation.situation;
    let mut advices = Vec::new();
    for fuse in situation.evidence.blowing() {
        if situation.unwanted.contains(&Test::Sense { subject: fuse, sense: Sense::Lamp }) {
            continue;
        }
        let let_go = valuation.switched_back().map(|setting| vec![setting]);
        for settings in valuation.toggles().into_iter().chain(let_go).chain([Vec::new()]) {
            let state = situation.state.with_all(&settings);
            let is_told = |sign: Sign| matches!(sign, Sign::LampBright | Sign::LampDim);
            let mut seen = situation.evidence.observations.iter();
            let is_seen = seen.any(|seen| seen.subject == fuse && is_told(seen.sign) && seen.state == state);
            if state.has_lamp(valuation.vehicle, fuse) && !is_seen {
                advices.extend(valuation.sensed(fuse, Sense::Lamp, settings)?);
            }
        }
    }
    Ok(advices)
}

/// What a load that was complained of does when it is fed straight, with a lamp in
/// its place, or with a lead across a suspect.
pub(super) fn with_aids(valuation: &Valuation<'_>) -> Result<Vec<Advice>, SolveError> {
    let situation = valuation.situation;
    let mut observations = situation.evidence.observations.iter();
    let complaint = observations.find(|seen| matches!(seen.sign, Sign::Looks(_)) && seen.is_complaint());
    let Some(load) = complaint.map(|seen| seen.subject).filter(|_| !phone::plain_volts_only(situation)) else {
        return Ok(Vec::new());
    };
    let mut advices = Vec::new();
    for aid in valuation.aids(load) {
        let settings = valuation.settings_with(aid, load);
        let state = situation.state.with_all(&settings);
        let is_seen = situation.evidence.observations.iter().any(|seen| seen.subject == load && seen.state == state);
        if !is_seen {
            advices.extend(valuation.sensed(load, Sense::Look, settings)?);
        }
    }
    Ok(advices)
}

/// What telling something of a part now is expected to tell, bits; nothing of
/// a load that should not run in this state.
pub(super) fn worth(valuation: &Valuation<'_>, subject: PartId, sense: Sense) -> Result<f64, SolveError> {
    let settings = valuation.settings(subject, sense).filter(Vec::is_empty);
    let Some(settings) = settings.filter(|_| !valuation.is_known(subject, sense)) else { return Ok(0.0) };
    Ok(valuation.sensed(subject, sense, settings)?.map_or(0.0, |advice| advice.bits))
}

/// Numerical: loads whose imbalances differ by no more share their suspects.
const ROUNDING: f64 = 1e-9;

impl Valuation<'_> {
    /// Loads that share something with the suspects, most telling first.
    fn loads(&self, now: &StateModel) -> Vec<(PartId, Sense)> {
        let vehicle = self.vehicle;
        if self.takes_fuse_after_fuse() {
            return Vec::new();
        }
        let mut shares: Vec<(PartId, f64)> = vehicle
            .loads()
            .filter(|&load| can_be_seen(vehicle, load) && !self.is_known(load, Sense::Look))
            .map(|load| (load, self.imbalance(now, load)))
            .filter(|&(_, imbalance)| imbalance > self.engine.tables().plan.imbalance)
            .collect();
        shares.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
        // Loads that share the same suspects tell the same: one that is easily set.
        let settings = |load: PartId| settings_for(vehicle, self.situation.state, load).len();
        let alike = shares.chunk_by(|a, b| (a.1 - b.1).abs() < ROUNDING).take(self.engine.tables().plan.looks);
        let easiest = alike.filter_map(|alike| {
            alike
                .iter()
                .take(self.engine.tables().plan.looks_alike)
                .map(|(load, _)| *load)
                .min_by_key(|&load| (settings(load), load))
        });
        easiest.map(|load| (load, Sense::Look)).collect()
    }

    /// Whether a fuse keeps blowing and no lamp is in its place: a look at what it feeds
    /// takes fuse after fuse, and what others do says little of a short.
    fn takes_fuse_after_fuse(&self) -> bool {
        self.situation.evidence.blowing().any(|fuse| !self.situation.state.has_lamp(self.vehicle, fuse))
    }

    /// Relays that should be pulled in, suspect fuses, sources that should give.
    fn others(&self, now: &StateModel) -> Vec<(PartId, Sense)> {
        let Self { vehicle, live, sites, .. } = *self;
        let belief = |part: PartId| -> f64 {
            live.iter().filter(|live| sites[live.class] == Site::Part(part)).map(|live| live.share).sum()
        };
        let sense = |part: PartId| match &vehicle.part(part).kind {
            PartKind::Coil(coil) if now.solution().across(part.index()).abs() >= coil.pull_in => Some(Sense::Listen),
            PartKind::Fuse { .. }
                if belief(part) > self.engine.tables().plan.worth_a_look
                    && !self.situation.evidence.blowing().any(|fuse| fuse == part) =>
            {
                Some(Sense::Fuse)
            }
            PartKind::Supply(Supply::Regulated { .. }) if now.carries_current(part) => Some(Sense::Source),
            _ => None,
        };
        vehicle.part_ids().filter_map(|part| sense(part).map(|sense| (part, sense))).collect()
    }

    /// Whether something was seen to run, well or weakly, or to click by way of a relay's
    /// contact or of a source: then the relay has pulled in, and the source gives.
    fn is_seen_at_work(&self, subject: PartId) -> Result<bool, SolveError> {
        let closes = |own: Contact| own.coil == subject && own.rest == ContactRest::Make;
        let is_of_it = |part: PartId| part == subject || self.vehicle.part(part).kind.contact().is_some_and(closes);
        let runs = |sign: Sign| matches!(sign, Sign::Looks(Appearance::Weak | Appearance::Works) | Sign::Clicks);
        for seen in self.situation.evidence.observations.iter().filter(|seen| runs(seen.sign)) {
            let then = self.engine.predictor().in_state(&seen.state)?;
            let feed = then.leads(self.vehicle).feed(self.vehicle, seen.subject);
            if feed.source == Some(subject) || feed.parts().any(is_of_it) {
                return Ok(true);
            }
        }
        Ok(false)
    }

    fn is_known(&self, subject: PartId, sense: Sense) -> bool {
        self.situation.unwanted.contains(&Test::Sense { subject, sense })
            || self.situation.evidence.observations.iter().any(|seen| {
                // A complaint of a load is as good as a look at it.
                seen.subject == subject
                    && !seen.state.has_aids()
                    && (sense == Sense::Look || sense.outcomes().contains(&seen.sign))
            })
    }

    /// How evenly the suspects divide into those the load shares and the others.
    fn imbalance(&self, now: &StateModel, load: PartId) -> f64 {
        let Self { vehicle, live, sites, .. } = *self;
        let way = now.leads(vehicle).there_and_back(vehicle, load);
        let shared: f64 = live
            .iter()
            .filter(|live| matches!(sites[live.class], Site::Part(part) if way.contains(&part)))
            .map(|live| live.share)
            .sum();
        shared.min(1.0 - shared)
    }

    /// What must be set for it; none if that is more than a hand does at once.
    fn settings(&self, subject: PartId, sense: Sense) -> Option<Settings> {
        if sense != Sense::Look {
            return Some(Vec::new());
        }
        let vehicle = self.vehicle;
        let settings = settings_for(vehicle, self.situation.state, subject);
        let by_hand = settings
            .iter()
            .all(|&(control, _)| matches!(vehicle.control(control).kind, ControlKind::Switch | ControlKind::Condition));
        (settings.len() <= self.engine.tables().plan.settings_for_a_look && by_hand).then_some(settings)
    }

    /// The aids that may tell most of a load: its own, and bridges of what is
    /// likeliest and can be reached.
    fn aids(&self, load: PartId) -> Vec<ControlId> {
        let Self { vehicle, situation, .. } = *self;
        let bridges = self.doubted_parts().map(|part| Aid::Bridge { part });
        let bridges = bridges.filter_map(|aid| vehicle.find_aid(aid)).take(self.engine.tables().plan.bridges);
        let own = [vehicle.feed_of(load, true), Some(Aid::Lamp { load })];
        let own = own.into_iter().flatten().filter_map(|aid| vehicle.find_aid(aid));
        let can_reach = |part: PartId| situation.can_reach(vehicle, vehicle.part(part).from);
        let look = Test::Sense { subject: load, sense: Sense::Look };
        let is_open = |aid: Aid| can_reach(aid.part()) && !situation.unwanted.contains(&look);
        own.chain(bridges).filter(|&id| vehicle.aid(id).is_some_and(is_open)).collect()
    }

    /// An aid in the place of all others, with what runs the load then.
    fn settings_with(&self, aid: ControlId, load: PartId) -> Settings {
        let Self { vehicle, situation, .. } = *self;
        let mut settings = situation.state.settings_to(&situation.state.without_aids(), vehicle);
        settings.retain(|&(other, _)| other != aid);
        settings.extend((situation.state.position(aid) == Position::Off).then_some((aid, Position::On)));
        let state = situation.state.with_all(&settings);
        settings.extend(settings_for(vehicle, &state, load));
        settings
    }

    fn sensed(&self, subject: PartId, sense: Sense, settings: Settings) -> Result<Option<Advice>, SolveError> {
        let Self { engine, vehicle, live, sites, situation, .. } = *self;
        let state = situation.state.with_all(&settings);
        let model = engine.predictor().in_state(&state)?;
        // Nor is anything advised that would blow a fuse of a sound vehicle.
        let blows = || !model.under(vehicle, &Hypothesis::Sound).blown().is_empty();
        if sense == Sense::Look && (!model.is_served(vehicle, subject) || (state.has_aids() && blows())) {
            return Ok(None);
        }
        let signs = sense.outcomes();
        let seen = |&sign: &Sign| Observation {
            subject,
            sign,
            state: state.clone(),
            channel: situation.channel,
            symptom: situation.evidence.symptom_of(sign),
        };
        let seen: Vec<Observation> = signs.iter().map(seen).collect();
        let under = |hypothesis: &Hypothesis| -> Vec<f64> {
            seen.iter().map(|seen| as_told(vehicle, &model, hypothesis, seen)).collect()
        };
        let sound = under(&Hypothesis::Sound);
        let touches = |hypothesis: &Hypothesis| sense != Sense::Look || model.could_touch(vehicle, hypothesis, subject);
        let chances =
            ladder::chances(live, |hypothesis| if touches(hypothesis) { under(hypothesis) } else { sound.clone() });
        let test = Test::Sense { subject, sense };
        let effort = situation.effort(vehicle, test, &settings);
        Ok(Some(Advice {
            test,
            bits: discrete_bits(live, &chances, sites.len()),
            settings,
            opens: effort.opens,
            minutes: effort.minutes,
            sound: None,
            outcomes: of_signs(&self.engine.tables().plan, live, sites, signs, &chances),
        }))
    }
}

fn can_be_seen(vehicle: &Vehicle, load: PartId) -> bool {
    let kind = vehicle.part(load).kind.load().map(|load| load.kind);
    // A camera is seen on a screen that may be dead itself.
    !matches!(
        kind,
        Some(LoadKind::Module | LoadKind::Charger | LoadKind::Electronics | LoadKind::Socket | LoadKind::Camera)
    )
}

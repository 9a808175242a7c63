//! What is known: readings, and what people see and say. Each with the state
//! it was taken in.

use crate::complaint::{Channel, QuestionId, TreeId, Wrong};
use crate::meter::MeterKind;
use crate::predict::{Probe, Scale};
use crate::quantity::{Measured, Typed, Volts};
use crate::tables::Tables;
use crate::tables::instruments::Instruments;
use crate::tables::signs::Signs;
use crate::vehicle::{LoadKind, PartId, PointId, State};
use serde::{Deserialize, Serialize};

/// Whether the fault showed while a reading was taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Serialize, Deserialize)]
pub enum Symptom {
    /// It did, or nothing else was said.
    #[default]
    Present,
    /// The thing worked: the reading clears nothing.
    Absent,
    /// One or the other, such as the lowest value while the loom was moved.
    Perhaps,
    /// It came and went: the display wandered between two values, which a bad
    /// contact on the way makes it do.
    Wanders,
}

impl Symptom {
    /// Chance of what was seen, from the chances of it with the fault there and
    /// without.
    pub fn blend(self, there: f64, without: impl FnOnce() -> f64) -> f64 {
        match self {
            Self::Present | Self::Wanders => there,
            Self::Absent => without(),
            Self::Perhaps => 0.5 * (there + without()),
        }
    }
}

/// Something that somebody read.
#[derive(Debug, Clone, PartialEq)]
pub struct Reading {
    /// What was measured.
    pub probe: Probe,
    /// What the display showed.
    pub measured: Measured,
    /// With what.
    pub meter: MeterKind,
    /// How everything stood.
    pub state: State,
    /// Whether the fault showed.
    pub symptom: Symptom,
    /// Who told it.
    pub channel: Channel,
    /// How many readings had been taken before it, or before it was taken again:
    /// supplies drift meanwhile.
    pub moment: usize,
    /// How often it was taken again and found the same.
    pub agreed: usize,
}

impl Reading {
    /// Value on the scale of the probe, and the step of its last digit there.
    pub fn on_scale(&self, instruments: &Instruments) -> (f64, f64) {
        Scale::value_of(instruments, &self.measured)
    }

    /// Whether another reading is of the same and found it the same.
    pub fn is_found_again_in(&self, tables: &Tables, other: &Self) -> bool {
        let is_same = self.probe == other.probe
            && (self.meter, self.symptom, self.channel) == (other.meter, other.symptom, other.channel)
            && self.state == other.state;
        let ((value, one), (again, other)) = (self.on_scale(&tables.instruments), other.on_scale(&tables.instruments));
        // What was said roughly is not found again by what is read off finely.
        let step = one.min(other);
        let [share, digits] = tables.belief.agrees;
        is_same && (value - again).abs() <= (share * value.abs()).max(digits * step)
    }

    /// Red lead, black lead and voltage of a plain voltage.
    pub fn voltage(&self) -> Option<(PointId, PointId, Typed<Volts>)> {
        match (self.probe.plain_voltage(), self.measured) {
            (Some((red, black)), Measured::Volts(volts)) => Some((red, black, volts)),
            _ => None,
        }
    }
}

/// How a load looks.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub enum Appearance {
    /// Does nothing.
    Dead,
    /// Dim, slow.
    Weak,
    /// As it should.
    Works,
}

/// What somebody says of a part.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub enum Sign {
    /// A load looks so in the present state.
    Looks(Appearance),
    /// A load runs or glows though it should be off.
    StaysOn,
    /// A load works only sometimes.
    Sometimes,
    /// A fuse or breaker opens.
    BlowsFuse,
    /// A battery goes flat.
    GoesFlat,
    /// A battery is not charged though it should be.
    Uncharged,
    /// A battery is charged, but with much less than it was.
    ChargesLittle,
    /// A load that is off glows or creeps.
    Glows,
    /// A relay clicks when its coil should pull in.
    Clicks,
    /// It does not.
    Silent,
    /// A fuse looks whole.
    LooksWhole,
    /// A fuse looks blown.
    LooksBlown,
    /// A lamp in the place of a fuse is bright.
    LampBright,
    /// It is dim or out.
    LampDim,
    /// A charging source gives something, by its lamp or display.
    Gives,
    /// It gives nothing.
    Idle,
    /// A part is hot to the hand near it.
    Hot,
    /// It is not.
    Cool,
    /// A plug or joint is green or wet.
    Green,
    /// What had failed came back when a part was re-seated, moved or hit.
    ComesBack,
    /// That changed nothing.
    NoBetter,
}

impl Sign {
    /// A load does what it should.
    pub const WORKS: Self = Self::Looks(Appearance::Works);

    /// Whether it says of a part the opposite of another sign.
    pub fn contradicts(self, other: Self) -> bool {
        use Sign::{
            BlowsFuse, ChargesLittle, Clicks, ComesBack, Cool, Gives, Glows, GoesFlat, Green, Hot, Idle, LampBright,
            LampDim, Looks, LooksBlown, LooksWhole, NoBetter, Silent, Sometimes, StaysOn, Uncharged,
        };
        match self {
            Looks(one) => matches!(other, Looks(another) if one != another),
            Clicks => other == Silent,
            Silent => other == Clicks,
            Gives => other == Idle,
            Idle => other == Gives,
            LampBright => other == LampDim,
            LampDim => other == LampBright,
            LooksBlown | BlowsFuse => other == LooksWhole,
            LooksWhole => matches!(other, LooksBlown | BlowsFuse),
            StaysOn | Glows | Sometimes | GoesFlat | Uncharged | ChargesLittle => false,
            Hot | Cool | Green | ComesBack | NoBetter => false,
        }
    }

    /// What may be told in its place of the same part, itself among it; itself
    /// alone where its opposite has no name.
    pub fn alternatives(self) -> &'static [Self] {
        match self {
            Self::Looks(_) => {
                &[Self::Looks(Appearance::Dead), Self::Looks(Appearance::Weak), Self::Looks(Appearance::Works)]
            }
            Self::Clicks | Self::Silent => &[Self::Clicks, Self::Silent],
            Self::LooksWhole | Self::LooksBlown => &[Self::LooksWhole, Self::LooksBlown],
            Self::Gives | Self::Idle => &[Self::Gives, Self::Idle],
            Self::LampBright | Self::LampDim => &[Self::LampBright, Self::LampDim],
            Self::Hot | Self::Cool => &[Self::Hot, Self::Cool],
            Self::StaysOn => &[Self::StaysOn],
            Self::Glows => &[Self::Glows],
            Self::Sometimes => &[Self::Sometimes],
            Self::BlowsFuse => &[Self::BlowsFuse],
            Self::GoesFlat => &[Self::GoesFlat],
            Self::Uncharged | Self::ChargesLittle => &[Self::Uncharged, Self::ChargesLittle],
            Self::ComesBack | Self::NoBetter => &[Self::ComesBack, Self::NoBetter],
            Self::Green => &[Self::Green],
        }
    }

    /// Whether it is of one moment, and may be otherwise at the next.
    fn is_of_the_moment(self) -> bool {
        match self {
            Self::Looks(_) | Self::StaysOn | Self::Glows | Self::Clicks | Self::Silent => true,
            Self::Gives | Self::Idle | Self::Hot | Self::Cool | Self::LampBright | Self::LampDim => true,
            Self::Sometimes | Self::BlowsFuse | Self::GoesFlat | Self::Uncharged => false,
            Self::LooksWhole | Self::LooksBlown | Self::Green => false,
            Self::ChargesLittle | Self::ComesBack | Self::NoBetter => false,
        }
    }

    /// Whether it says that something is wrong.
    pub fn is_complaint(self) -> bool {
        match self {
            Self::Looks(Appearance::Dead | Appearance::Weak) | Self::StaysOn | Self::Glows | Self::Sometimes => true,
            Self::BlowsFuse | Self::GoesFlat | Self::Uncharged | Self::ChargesLittle => true,
            Self::LooksBlown | Self::Idle => true,
            Self::Looks(Appearance::Works) | Self::Clicks | Self::Silent | Self::LooksWhole | Self::Gives => false,
            Self::Hot | Self::Cool | Self::Green | Self::ComesBack | Self::NoBetter => false,
            Self::LampBright | Self::LampDim => false,
        }
    }
}

/// What somebody saw.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Observation {
    /// Of what.
    pub subject: PartId,
    /// What.
    pub sign: Sign,
    /// How everything stood.
    pub state: State,
    /// Who told it.
    pub channel: Channel,
    /// Whether the fault showed.
    pub symptom: Symptom,
}

impl Observation {
    /// Whether it says that something is wrong.
    pub fn is_complaint(&self) -> bool {
        self.sign.is_complaint()
    }
}

/// What a vehicle's past tells, beside its drawing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub enum Past {
    /// What was read at handover.
    Handover,
    /// What was repaired before.
    History,
}

impl From<Wrong> for Sign {
    fn from(wrong: Wrong) -> Self {
        match wrong {
            Wrong::Dead => Self::Looks(Appearance::Dead),
            Wrong::Weak => Self::Looks(Appearance::Weak),
            Wrong::Sometimes => Self::Sometimes,
            Wrong::StaysOn => Self::StaysOn,
            Wrong::Glows => Self::Glows,
            Wrong::Blows => Self::BlowsFuse,
            Wrong::GoesFlat => Self::GoesFlat,
            Wrong::Uncharged => Self::Uncharged,
        }
    }
}

/// What somebody answered to a question of a complaint tree.
#[derive(Debug, Clone, PartialEq)]
pub struct Answered {
    /// What was complained of.
    pub subject: PartId,
    /// How everything stood when it was.
    pub state: State,
    /// The question.
    pub question: QuestionId,
    /// Position of the answer.
    pub answer: usize,
    /// Who told it.
    pub channel: Channel,
}

/// Everything known.
#[derive(Debug, Clone, Default)]
pub struct Evidence {
    /// What people saw, in the order they said it.
    pub observations: Vec<Observation>,
    /// What was read, in the order it was entered.
    pub readings: Vec<Reading>,
    /// What of the past is left out of account.
    pub unheeded: Vec<Past>,
    /// The tree that the complaint goes with, if one was chosen.
    pub tree: Option<TreeId>,
    /// What was answered, each question once.
    pub answers: Vec<Answered>,
    /// What was known before repairs that cured nothing.
    pub earlier: Option<Earlier>,
    /// How many readings had been taken when the complaint was first made.
    pub complained: Option<usize>,
}

/// What was known before a repair after which the complaint is the same. It
/// still counts: either what was repaired was sound, or something else hid
/// behind it.
#[derive(Debug, Clone, Default)]
pub struct Earlier {
    /// What people saw.
    pub observations: Vec<Observation>,
    /// What was read.
    pub readings: Vec<Reading>,
    /// The parts repaired, as often as they were.
    pub repaired: Vec<PartId>,
}

impl Evidence {
    /// What was read since the last repair, then what was read before it.
    pub fn all_readings(&self) -> impl Iterator<Item = &Reading> {
        self.readings.iter().chain(self.earlier.iter().flat_map(|earlier| &earlier.readings))
    }

    /// Whether nothing has been seen or read.
    pub fn is_empty(&self) -> bool {
        self.all_observations().next().is_none() && self.all_readings().next().is_none()
    }

    /// How many readings have been taken so far.
    pub fn moment(&self) -> usize {
        self.all_readings().map(|reading| reading.moment + 1).max().unwrap_or(0)
    }

    /// Whether anybody complains; otherwise the vehicle is only looked over.
    pub fn has_complaint(&self) -> bool {
        self.all_observations().any(Observation::is_complaint)
    }

    /// Whether a reading was taken before anybody complained.
    pub fn is_before_complaint(&self, reading: &Reading) -> bool {
        self.complained.is_some_and(|complained| reading.moment < complained)
    }

    /// What was seen, in the order it was said.
    pub fn all_observations(&self) -> impl Iterator<Item = &Observation> {
        self.earlier.iter().flat_map(|earlier| &earlier.observations).chain(&self.observations)
    }

    /// Whether something works only sometimes, or came back when it was touched.
    pub fn comes_and_goes(&self) -> bool {
        self.all_observations().any(|seen| matches!(seen.sign, Sign::Sometimes | Sign::ComesBack))
    }

    /// Whether a part was seen with an aid in use: fed straight, unplugged, a lamp in its
    /// place.
    pub fn has_aided(&self, part: PartId) -> bool {
        self.all_observations().any(|seen| seen.subject == part && seen.state.has_aids())
    }

    /// What is complained of, the first of it.
    pub fn complained_of(&self) -> Option<PartId> {
        self.observations.iter().find(|seen| seen.is_complaint()).map(|seen| seen.subject)
    }

    /// The fuses and breakers that are complained of as opening again and again.
    pub fn blowing(&self) -> impl Iterator<Item = PartId> + '_ {
        self.observations.iter().filter(|seen| seen.sign == Sign::BlowsFuse).map(|seen| seen.subject)
    }

    /// Whether somebody looks for what empties a battery at rest.
    pub fn hunts_a_drain(&self) -> bool {
        self.observations.iter().any(|seen| seen.sign == Sign::GoesFlat)
    }

    /// Whether the fault shows in a reading of which nothing is said: of what
    /// comes and goes nobody knows.
    pub fn usual_symptom(&self) -> Symptom {
        if self.comes_and_goes() { Symptom::Perhaps } else { Symptom::Present }
    }

    /// Settles of everything seen whether the fault showed, once all is known.
    pub fn settle_symptoms(&mut self) {
        // What came back when it was touched was there until then.
        let always = self.all_observations().any(|seen| seen.sign == Sign::Sometimes);
        let usual = self.all_observations().scan(always, |comes_and_goes, seen| {
            *comes_and_goes |= seen.sign == Sign::ComesBack;
            let hides = *comes_and_goes && seen.sign.is_of_the_moment();
            Some(if hides { Symptom::Perhaps } else { Symptom::Present })
        });
        let usual: Vec<Symptom> = usual.collect();
        let earlier = self.earlier.iter_mut().flat_map(|earlier| &mut earlier.observations);
        let seen = earlier.chain(&mut self.observations);
        seen.zip(usual).for_each(|(seen, usual)| seen.symptom = usual);
    }

    /// The same of something seen.
    pub fn symptom_of(&self, sign: Sign) -> Symptom {
        if sign.is_of_the_moment() { self.usual_symptom() } else { Symptom::Present }
    }

    /// The parts repaired while the complaint stayed, as often as they were.
    pub fn repaired_in_vain(&self) -> impl Iterator<Item = PartId> {
        self.earlier.iter().flat_map(|earlier| earlier.repaired.iter().copied())
    }
}

/// Chances that a load looks dead, weak and right at a share of the voltage it
/// should have. Electronics cut out early, resistive loads fade. People mistake
/// one for the next now and then.
pub fn appearance_chances(signs: &Signs, kind: LoadKind, share: f64) -> [f64; 3] {
    let (dead_below, weak_below) = match kind {
        LoadKind::Lamp
        | LoadKind::Fan
        | LoadKind::Pump
        | LoadKind::Motor
        | LoadKind::Heater
        | LoadKind::Beacon
        | LoadKind::Compressor
        | LoadKind::Actuator => (signs.filament_dead, signs.filament_weak),
        LoadKind::Valve => (signs.valve_dead, signs.valve_weak),
        LoadKind::Led
        | LoadKind::Fridge
        | LoadKind::Electronics
        | LoadKind::Radio
        | LoadKind::Camera
        | LoadKind::Socket
        | LoadKind::Inverter
        | LoadKind::Charger
        | LoadKind::Module => (signs.electronics_dead, signs.electronics_weak),
    };
    let below = |limit: f64, width: f64| 1.0 / (1.0 + ((share - limit) / width).exp());
    let dead = below(dead_below, signs.dead_width);
    // Where the two limits lie close, their edges overlap: what is dead is not right.
    let right = (1.0 - dead).min(1.0 - below(weak_below, signs.weak_width));
    let weak = 1.0 - dead - right;
    // What is said, for what is: rows dead, weak, right as they truly are.
    let rows = [signs.said_of_dead, signs.said_of_weak, signs.said_of_right];
    let mut said = [0.0; 3];
    for (truth, row) in [dead, weak, right].into_iter().zip(rows) {
        said.iter_mut().zip(row).for_each(|(sum, chance)| *sum += truth * chance);
    }
    said
}

/// Chance that a load at a share of its voltage is not right, beyond that of one
/// that gets all of it.
pub(super) fn fails(signs: &Signs, kind: LoadKind, share: f64) -> f64 {
    let works = |share: f64| appearance_chances(signs, kind, share)[Appearance::Works.index()];
    (1.0 - works(share) / works(1.0)).max(0.0)
}

impl Appearance {
    /// Position in [`appearance_chances`].
    pub fn index(self) -> usize {
        self as usize
    }

    /// All of them.
    pub const ALL: [Self; 3] = [Self::Dead, Self::Weak, Self::Works];
}

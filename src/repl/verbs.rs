//! Vocabulary of the prompt: one row a verb, with its words, what it takes, how
//! what follows is read, and what it does.

use super::command::Command;
use super::takes::Takes;
use crate::belief::{Appearance, Sign};
use crate::vehicle::Position;

/// A verb of the prompt.
#[derive(Debug, PartialEq)]
pub struct Verb {
    /// The word, and others that stand for it.
    words: &'static [&'static str],
    /// What follows it.
    pub takes: Takes,
    /// How what follows is read.
    pub grammar: Grammar,
    /// What it does, for help.
    pub does: &'static str,
}

/// How what follows a verb is read.
#[derive(Debug, PartialEq)]
pub enum Grammar {
    /// Nothing follows.
    Alone(Command),
    /// A sign said of what it takes; alone, it answers an advised look.
    Says(Sign),
    /// Controls to set.
    Sets(Position),
    Complaint,
    Answer,
    Tree,
    Helping,
    Touched,
    Read,
    Retake,
    Strike,
    Repaired,
    OutOfReach,
    Skip,
    Lamp,
    Feed,
    Bridge,
    Disconnect,
    Remove,
    State,
    BlackLead,
    Meter,
    Expect,
    What,
    Trace,
    Profile,
    Part,
    Sketch,
    Save,
    Note,
    Report,
    Sheet,
    Handover,
    History,
    Comeback,
    Case,
    Help,
}

impl Verb {
    /// The word that help and errors use.
    pub fn word(&self) -> &'static str {
        self.words[0]
    }

    /// The word and those that stand for it.
    pub fn words(&self) -> &'static [&'static str] {
        self.words
    }

    /// What it says of its subject, if it says anything.
    pub fn says(&self) -> Option<Sign> {
        match self.grammar {
            Grammar::Says(sign) => Some(sign),
            Grammar::Touched => Some(Sign::ComesBack),
            _ => None,
        }
    }
}

const fn verb(words: &'static [&'static str], takes: Takes, grammar: Grammar, does: &'static str) -> Verb {
    Verb { words, takes, grammar, does }
}

/// Every verb, in the order of a hunt.
pub static VERBS: [Verb; 78] = [
    verb(
        &["complaint"],
        Takes::Complaint,
        Grammar::Complaint,
        "a complaint in people's words: takes the tree that fits, whose questions are asked among the tests",
    ),
    verb(
        &["answer"],
        Takes::Answer,
        Grammar::Answer,
        "answers a question of the tree; the word alone answers the one just asked, `yes` or `no` also a look or a listening, `don't know` leaves it out",
    ),
    verb(
        &["questions"],
        Takes::Nothing,
        Grammar::Alone(Command::Questions),
        "the questions of the complaint at hand, with their answers",
    ),
    verb(&["trees"], Takes::Nothing, Grammar::Alone(Command::Trees), "the classes of complaints there are trees for"),
    verb(
        &["tree"],
        Takes::Class,
        Grammar::Tree,
        "what a tree knows: wordings, setting up, traps, cautions, closing proof",
    ),
    verb(
        &["phone"],
        Takes::Helping,
        Grammar::Helping,
        "helping somebody by phone: one plain instruction at a time; `phone off` at the vehicle, `phone never` what nobody is asked for",
    ),
    verb(
        &["dead"],
        Takes::Load,
        Grammar::Says(Sign::Looks(Appearance::Dead)),
        "a load does nothing; alone, it answers an advised look",
    ),
    verb(
        &["weak", "dim", "slow"],
        Takes::Load,
        Grammar::Says(Sign::Looks(Appearance::Weak)),
        "a load is dim or slow; alone, it answers an advised look",
    ),
    verb(
        &["works"],
        Takes::Load,
        Grammar::Says(Sign::Looks(Appearance::Works)),
        "a load works as it should; alone, it answers an advised look",
    ),
    verb(&["sometimes"], Takes::Load, Grammar::Says(Sign::Sometimes), "a load works only sometimes"),
    verb(&["stays"], Takes::Load, Grammar::Says(Sign::StaysOn), "a load stays on when it should be off"),
    verb(&["blows"], Takes::Fuse, Grammar::Says(Sign::BlowsFuse), "a fuse or breaker opens"),
    verb(&["flat"], Takes::Battery, Grammar::Says(Sign::GoesFlat), "a battery goes flat"),
    verb(
        &["uncharged"],
        Takes::Battery,
        Grammar::Says(Sign::Uncharged),
        "a battery is not charged though it should be in this state",
    ),
    verb(
        &["undercharged"],
        Takes::Battery,
        Grammar::Says(Sign::ChargesLittle),
        "a battery is charged with much less than it was",
    ),
    verb(&["glows"], Takes::Load, Grammar::Says(Sign::Glows), "a load glows or creeps when it should be off"),
    verb(
        &["clicks"],
        Takes::Relay,
        Grammar::Says(Sign::Clicks),
        "a relay clicks as it is switched on; alone, it answers an advised listening",
    ),
    verb(
        &["silent"],
        Takes::Relay,
        Grammar::Says(Sign::Silent),
        "a relay does not click; alone, it answers an advised listening",
    ),
    verb(
        &["whole"],
        Takes::Fuse,
        Grammar::Says(Sign::LooksWhole),
        "a fuse looks whole; alone, it answers an advised look",
    ),
    verb(
        &["blown"],
        Takes::Fuse,
        Grammar::Says(Sign::LooksBlown),
        "a fuse looks blown; alone, it answers an advised look",
    ),
    verb(
        &["bright"],
        Takes::Fuse,
        Grammar::Says(Sign::LampBright),
        "the lamp in a fuse's place is bright; alone, it answers an advised look",
    ),
    verb(
        &["dark"],
        Takes::Fuse,
        Grammar::Says(Sign::LampDim),
        "the lamp in a fuse's place is dim or out; alone, it answers an advised look",
    ),
    verb(
        &["gives"],
        Takes::Source,
        Grammar::Says(Sign::Gives),
        "a charging source gives current, by its lamp or display",
    ),
    verb(&["idle"], Takes::Source, Grammar::Says(Sign::Idle), "a charging source gives nothing"),
    verb(&["hot"], Takes::Part, Grammar::Says(Sign::Hot), "a part is hot to the hand near it"),
    verb(&["cool"], Takes::Part, Grammar::Says(Sign::Cool), "a part that carries its current is cool"),
    verb(&["green"], Takes::Part, Grammar::Says(Sign::Green), "a plug or joint is green or wet"),
    verb(
        &["reseated", "moved", "tapped", "wiggled"],
        Takes::Part,
        Grammar::Touched,
        "what had failed came back when a part was re-seated, moved or hit; `still dead` after the name: it did not",
    ),
    verb(
        &["read"],
        Takes::Points,
        Grammar::Read,
        "enter a reading in V, ohm or A; `read` may be left out, one point reads against the usual black lead, `across PART` from end to end, a value alone answers the advised test; at the end `lamp` for a test lamp across the leads, `working` or `faulty` for what the thing did meanwhile, `min` or `max` while the loom was moved",
    ),
    verb(&["retake"], Takes::NumberAndValue, Grammar::Retake, "a reading taken again: the new value counts"),
    verb(&["strike"], Takes::Number, Grammar::Strike, "strike a reading out"),
    verb(
        &["fixed"],
        Takes::Part,
        Grammar::Repaired,
        "a part is repaired or renewed: what was seen and read before no longer counts",
    ),
    verb(
        &["proof"],
        Takes::Nothing,
        Grammar::Alone(Command::Proof),
        "what shows that the repair holds and nothing else was disturbed; pass or fail",
    ),
    verb(&["cannot", "can't"], Takes::Point, Grammar::OutOfReach, "a point cannot be reached; alone, the advised one"),
    verb(&["skip"], Takes::Nothing, Grammar::Skip, "not this test; take the next best"),
    verb(&["on"], Takes::Switch, Grammar::Sets(Position::On), "switch on"),
    verb(&["off"], Takes::Switch, Grammar::Sets(Position::Off), "switch off"),
    verb(&["pull"], Takes::Fuse, Grammar::Sets(Position::Off), "a fuse is pulled"),
    verb(&["fit"], Takes::Fuse, Grammar::Sets(Position::On), "a fuse is fitted again"),
    verb(
        &["lamp"],
        Takes::Fuse,
        Grammar::Lamp,
        "a test lamp in place of a fuse that blows: it lights instead; with a load, a lamp in its plug in its place",
    ),
    verb(
        &["feed"],
        Takes::Load,
        Grammar::Feed,
        "a load is fed straight from the battery by a fused lead; with `both` at the end its return too. Then say what it does (`works`, `dead`)",
    ),
    verb(
        &["bridge"],
        Takes::Bridged,
        Grammar::Bridge,
        "a lead lies across a switch, a relay contact, a joint or a pin; never round a fuse",
    ),
    verb(
        &["disconnect"],
        Takes::Part,
        Grammar::Disconnect,
        "an end of a part is off its post: where current leaves it, or at the point named after it; the point stays with the post",
    ),
    verb(
        &["remove"],
        Takes::Nothing,
        Grammar::Remove,
        "leads, bridges and lamps are out again, ends on their posts; with a part, those of that part",
    ),
    verb(&["unplug"], Takes::Plug, Grammar::Sets(Position::Off), "a plug is pulled"),
    verb(&["plug"], Takes::Plug, Grammar::Sets(Position::On), "a plug is mated again"),
    verb(
        &["state"],
        Takes::StateName,
        Grammar::State,
        "how everything is set; with a name, set that state (`state rest` puts everything back)",
    ),
    verb(&["black"], Takes::Point, Grammar::BlackLead, "where the black lead goes unless said otherwise"),
    verb(&["meter"], Takes::Meter, Grammar::Meter, "the meter in hand"),
    verb(&["next"], Takes::Nothing, Grammar::Alone(Command::Next), "the next test and what each outcome would mean"),
    verb(&["others"], Takes::Nothing, Grammar::Alone(Command::Others), "other tests worth taking"),
    verb(&["why"], Takes::Nothing, Grammar::Alone(Command::Why), "what each thing seen or read did to the odds"),
    verb(
        &["more", "segment"],
        Takes::Nothing,
        Grammar::Alone(Command::Segment),
        "where the trouble is, how big, what it drops and makes",
    ),
    verb(&["suspects"], Takes::Nothing, Grammar::Alone(Command::Suspects), "suspects with their odds"),
    verb(&["good"], Takes::Nothing, Grammar::Alone(Command::Good), "what is proved good"),
    verb(
        &["readings"],
        Takes::Nothing,
        Grammar::Alone(Command::Readings),
        "readings against what a sound vehicle shows",
    ),
    verb(
        &["what"],
        Takes::Points,
        Grammar::What,
        "what a point should read now, in one line; the name of a point alone asks the same",
    ),
    verb(&["expect"], Takes::Points, Grammar::Expect, "what a point should read now, and why"),
    verb(&["trace"], Takes::Load, Grammar::Trace, "a circuit from supply to return as a table"),
    verb(&["profile"], Takes::Load, Grammar::Profile, "a circuit as a picture of its volts"),
    verb(&["part"], Takes::Part, Grammar::Part, "what is known of a part and where each number came from"),
    verb(&["list"], Takes::Nothing, Grammar::Alone(Command::List), "the names there are"),
    verb(&["warnings"], Takes::Nothing, Grammar::Alone(Command::Warnings), "what looks wrong in the drawing"),
    verb(
        &["sketch"],
        Takes::Circuit,
        Grammar::Sketch,
        "no drawing? One line in current-flow order makes a vehicle of usual parts; alone, it asks a few questions",
    ),
    verb(&["save"], Takes::Drawing, Grammar::Save, "write the drawing of this vehicle into a file of its own"),
    verb(&["note"], Takes::Words, Grammar::Note, "words for the record"),
    verb(&["record"], Takes::Nothing, Grammar::Alone(Command::Record), "everything entered so far"),
    verb(
        &["report"],
        Takes::File,
        Grammar::Report,
        "write the report of this case: a page (`.html`, prints on A4) or Markdown (`.md`); `replace` at the end writes over a file that is no report",
    ),
    verb(
        &["sheet"],
        Takes::LoadAndFile,
        Grammar::Sheet,
        "write the test sheet of a load that is dead, to print and leave in the vehicle: a page (`.html`) or Markdown (`.md`)",
    ),
    verb(
        &["handover"],
        Takes::Handover,
        Grammar::Handover,
        "walk the circuits while all is well and keep what they read with the vehicle; again, the next point; a load takes that one alone, `all` every point, `list FILE` writes the walk to fill in, `off` leaves its readings out of account, `on` counts them again",
    ),
    verb(
        &["history"],
        Takes::OnOrOff,
        Grammar::History,
        "whether what was repaired before raises the odds now: `history off` leaves it out of account, `on` counts it again",
    ),
    verb(
        &["comeback"],
        Takes::File,
        Grammar::Comeback,
        "write what was found, done and proved in every past case of this vehicle, and what was never measured",
    ),
    verb(
        &["case"],
        Takes::CaseName,
        Grammar::Case,
        "begin a case or go on with one, every entry kept on disk; `read-only` after the name to look only, `case off` to stop keeping",
    ),
    verb(&["cases"], Takes::Nothing, Grammar::Alone(Command::Cases), "the cases of this vehicle"),
    verb(&["undo"], Takes::Nothing, Grammar::Alone(Command::Undo), "take the last entry back"),
    verb(&["redo"], Takes::Nothing, Grammar::Alone(Command::Redo), "put in again what was taken back last"),
    verb(&["help", "?"], Takes::Command, Grammar::Help, "this list, or one command with an example"),
    verb(&["leave", "quit", "exit"], Takes::Nothing, Grammar::Alone(Command::Leave), "leave (Ctrl-D does too)"),
];

/// The verb that a word stands for.
pub fn verb_of(word: &str) -> Option<&'static Verb> {
    let lower = word.to_lowercase();
    VERBS.iter().find(|verb| verb.words.contains(&lower.as_str()))
}

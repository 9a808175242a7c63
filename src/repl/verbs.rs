//! The words of the prompt: what they take, what they do, and other words for
//! them.

use crate::belief::{Appearance, Sign};

/// A command as help and completion know it.
#[derive(Debug, PartialEq)]
pub struct Verb {
    /// The word.
    pub word: &'static str,
    /// What follows it.
    pub takes: Takes,
    /// What it does.
    pub does: &'static str,
}

/// What follows a command.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Takes {
    /// Nothing.
    Nothing,
    /// A load.
    Load,
    /// A fuse.
    Fuse,
    /// A battery.
    Battery,
    /// A relay.
    Relay,
    /// A charging source.
    Source,
    /// Switches and the like.
    Switch,
    /// A plug.
    Plug,
    /// A point.
    Point,
    /// Two points, the second may be left out.
    Points,
    /// Any part.
    Part,
    /// A state with a name, may be left out.
    StateName,
    /// A reading's number.
    Number,
    /// A reading's number and its value.
    NumberAndValue,
    /// A kind of meter.
    Meter,
    /// Free words.
    Words,
    /// A file.
    File,
    /// `on` or `off`.
    OnOrOff,
    /// Nothing, `list FILE`, `on` or `off`.
    Handover,
    /// A load and a file.
    LoadAndFile,
    /// A circuit in one line, may be left out.
    Circuit,
    /// A vehicle file.
    Drawing,
    /// A command, may be left out.
    Command,
    /// The name of a case, may be left out.
    CaseName,
    /// A complaint in people's words.
    Complaint,
    /// A question, may be left out, and the word of an answer.
    Answer,
    /// The class of a complaint tree, may be left out.
    Class,
    /// Who looks and reads, may be left out.
    Helping,
}

const fn verb(word: &'static str, takes: Takes, does: &'static str) -> Verb {
    Verb { word, takes, does }
}

/// Every command, in the order of a hunt.
pub const VERBS: [Verb; 67] = [
    verb(
        "complaint",
        Takes::Complaint,
        "a complaint in people's words: takes the tree that fits, whose questions are asked among the tests",
    ),
    verb("answer", Takes::Answer, "answers a question of the tree; the word alone answers the one just asked"),
    verb("questions", Takes::Nothing, "the questions of the complaint at hand, with their answers"),
    verb("trees", Takes::Nothing, "the classes of complaints there are trees for"),
    verb("tree", Takes::Class, "what a tree knows: wordings, setting up, traps, cautions, closing proof"),
    verb(
        "phone",
        Takes::Helping,
        "helping somebody by phone: one plain instruction at a time; `phone off` at the vehicle, `phone never` what nobody is asked for",
    ),
    verb("dead", Takes::Load, "a load does nothing; alone, it answers an advised look"),
    verb("weak", Takes::Load, "a load is dim or slow; alone, it answers an advised look"),
    verb("works", Takes::Load, "a load works as it should; alone, it answers an advised look"),
    verb("sometimes", Takes::Load, "a load works only sometimes"),
    verb("stays", Takes::Load, "a load stays on when it should be off"),
    verb("blows", Takes::Fuse, "a fuse or breaker opens"),
    verb("flat", Takes::Battery, "a battery goes flat"),
    verb("uncharged", Takes::Battery, "a battery is not charged though it should be in this state"),
    verb("glows", Takes::Load, "a load glows or creeps when it should be off"),
    verb("clicks", Takes::Relay, "a relay clicks as it is switched on; alone, it answers an advised listening"),
    verb("silent", Takes::Relay, "a relay does not click; alone, it answers an advised listening"),
    verb("whole", Takes::Fuse, "a fuse looks whole; alone, it answers an advised look"),
    verb("blown", Takes::Fuse, "a fuse looks blown; alone, it answers an advised look"),
    verb("gives", Takes::Source, "a charging source gives current, by its lamp or display"),
    verb("idle", Takes::Source, "a charging source gives nothing"),
    verb("hot", Takes::Part, "a part is hot to the hand near it"),
    verb("cool", Takes::Part, "a part that carries its current is cool"),
    verb("green", Takes::Part, "a plug or joint is green or wet"),
    verb(
        "read",
        Takes::Points,
        "enter a reading in V, ohm or A; `read` may be left out, one point reads against the usual black lead, `across PART` from end to end, a value alone answers the advised test; at the end `lamp` for a test lamp across the leads, `working` or `faulty` for what the thing did meanwhile, `min` or `max` while the loom was moved",
    ),
    verb("retake", Takes::NumberAndValue, "a reading taken again: the new value counts"),
    verb("strike", Takes::Number, "strike a reading out"),
    verb("fixed", Takes::Part, "a part is repaired or renewed: what was seen and read before no longer counts"),
    verb("proof", Takes::Nothing, "what shows that the repair holds and nothing else was disturbed; pass or fail"),
    verb("cannot", Takes::Point, "a point cannot be reached; alone, the advised one"),
    verb("skip", Takes::Nothing, "not this test; take the next best"),
    verb("on", Takes::Switch, "switch on"),
    verb("off", Takes::Switch, "switch off"),
    verb("pull", Takes::Fuse, "a fuse is pulled"),
    verb("fit", Takes::Fuse, "a fuse is fitted again"),
    verb("lamp", Takes::Fuse, "a test lamp in place of a fuse that blows: it lights instead"),
    verb("unplug", Takes::Plug, "a plug is pulled"),
    verb("plug", Takes::Plug, "a plug is mated again"),
    verb(
        "state",
        Takes::StateName,
        "how everything is set; with a name, set that state (`state rest` puts everything back)",
    ),
    verb("black", Takes::Point, "where the black lead goes unless said otherwise"),
    verb("meter", Takes::Meter, "the meter in hand"),
    verb("next", Takes::Nothing, "the next test and what each outcome would mean"),
    verb("others", Takes::Nothing, "other tests worth taking"),
    verb("why", Takes::Nothing, "what each thing seen or read did to the odds"),
    verb("segment", Takes::Nothing, "where the trouble is, how big, what it drops and makes"),
    verb("suspects", Takes::Nothing, "suspects with their odds"),
    verb("good", Takes::Nothing, "what is proved good"),
    verb("readings", Takes::Nothing, "readings against what a sound vehicle shows"),
    verb("expect", Takes::Points, "what a point should read now, and why"),
    verb("trace", Takes::Load, "a circuit from supply to return as a table"),
    verb("profile", Takes::Load, "a circuit as a picture of its volts"),
    verb("part", Takes::Part, "what is known of a part and where each number came from"),
    verb("list", Takes::Nothing, "the names there are"),
    verb(
        "sketch",
        Takes::Circuit,
        "no drawing? One line in current-flow order makes a vehicle of usual parts; alone, it asks a few questions",
    ),
    verb("save", Takes::Drawing, "write the drawing of this vehicle into a file of its own"),
    verb("note", Takes::Words, "words for the record"),
    verb("record", Takes::Nothing, "everything entered so far"),
    verb(
        "report",
        Takes::File,
        "write the report of this case: a page (`.html`, prints on A4) or Markdown (`.md`); `replace` at the end writes over a file that is no report",
    ),
    verb(
        "sheet",
        Takes::LoadAndFile,
        "write the test sheet of a load that is dead, to print and leave in the vehicle: a page (`.html`) or Markdown (`.md`)",
    ),
    verb(
        "handover",
        Takes::Handover,
        "walk the circuits while all is well and keep what they read with the vehicle; again, the next point; a load takes that one alone, `all` every point, `list FILE` writes the walk to fill in, `off` leaves its readings out of account, `on` counts them again",
    ),
    verb(
        "history",
        Takes::OnOrOff,
        "whether what was repaired before raises the odds now: `history off` leaves it out of account, `on` counts it again",
    ),
    verb(
        "comeback",
        Takes::File,
        "write what was found, done and proved in every past case of this vehicle, and what was never measured",
    ),
    verb(
        "case",
        Takes::CaseName,
        "begin a case or go on with one, every entry kept on disk; `read-only` after the name to look only, `case off` to stop keeping",
    ),
    verb("cases", Takes::Nothing, "the cases of this vehicle"),
    verb("undo", Takes::Nothing, "take the last entry back; `redo` puts it in again"),
    verb("help", Takes::Command, "this list, or one command with an example"),
    verb("leave", Takes::Nothing, "leave (Ctrl-D does too)"),
];

/// What a verb says of its subject.
pub const SIGNS: [(&str, Sign); 18] = [
    ("dead", Sign::Looks(Appearance::Dead)),
    ("weak", Sign::Looks(Appearance::Weak)),
    ("works", Sign::Looks(Appearance::Works)),
    ("sometimes", Sign::Sometimes),
    ("stays", Sign::StaysOn),
    ("glows", Sign::Glows),
    ("blows", Sign::BlowsFuse),
    ("blown", Sign::LooksBlown),
    ("whole", Sign::LooksWhole),
    ("flat", Sign::GoesFlat),
    ("uncharged", Sign::Uncharged),
    ("clicks", Sign::Clicks),
    ("silent", Sign::Silent),
    ("gives", Sign::Gives),
    ("idle", Sign::Idle),
    ("hot", Sign::Hot),
    ("cool", Sign::Cool),
    ("green", Sign::Green),
];

/// Words that stand for a command without being listed.
const ALIASES: [(&str, &str); 8] = [
    ("dim", "weak"),
    ("slow", "weak"),
    ("can't", "cannot"),
    ("quit", "leave"),
    ("exit", "leave"),
    ("redo", "redo"),
    ("warnings", "warnings"),
    ("?", "help"),
];

/// The command that a word stands for.
pub fn verb_word(word: &str) -> Option<&'static str> {
    let lower = word.to_lowercase();
    let listed = VERBS.iter().map(|verb| verb.word).find(|known| *known == lower);
    listed.or_else(|| ALIASES.iter().find(|(alias, _)| *alias == lower).map(|(_, word)| *word))
}

/// The listed command of that word.
pub fn listed(word: &str) -> Option<&'static Verb> {
    VERBS.iter().find(|verb| verb.word == word)
}

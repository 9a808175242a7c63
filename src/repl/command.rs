//! What can be typed, and why a line was not understood.

use super::paper::ReportOrder;
use crate::belief::{Appearance, Sign};
use crate::case::Entry;
use crate::case::journal::Access;
use crate::complaint::TreeId;
use crate::quantity::MeasuredError;
use crate::vehicle::{PartId, PointId};
use crate::words::nearest_hint;
use std::path::PathBuf;
use thiserror::Error;

/// A line understood.
#[derive(Debug, Clone, PartialEq)]
pub enum Command {
    /// An entry for the record.
    Enter(Entry),
    /// Take the last entry back.
    Undo,
    /// Put it in again.
    Redo,
    /// The next test.
    Next,
    /// Runners-up.
    Others,
    /// The reasons.
    Why,
    /// The suspects as a table.
    Suspects,
    /// The segment.
    Segment,
    /// What is proved good.
    Good,
    /// Another vehicle, from one line in current-flow order, or by questions.
    Sketch(String),
    /// The drawing into a file.
    Save(PathBuf),
    /// The complaint trees there are.
    Trees,
    /// One of them.
    Tree(TreeId),
    /// The questions of the complaint at hand.
    Questions,
    /// Who looks and reads.
    Helping,
    /// What is never asked by phone.
    NeverByPhone,
    /// The readings.
    Readings,
    /// The proof of the last repair.
    Proof,
    /// What should be read.
    Expect {
        /// Red lead.
        red: PointId,
        /// Black lead.
        black: PointId,
    },
    /// A circuit as a table.
    Trace(PartId),
    /// A circuit as a picture.
    Profile(PartId),
    /// What is known of a part.
    Part(PartId),
    /// How everything stands.
    State,
    /// The entries.
    Record,
    /// A report into a file.
    Report(ReportOrder),
    /// The test sheet of a load into a file.
    Sheet {
        /// The load.
        load: PartId,
        /// Where it goes.
        order: ReportOrder,
    },
    /// Go on the walk at handover, or on with it.
    Handover,
    /// The walk as a list to fill in, into a file.
    Walk(ReportOrder),
    /// The comeback report into a file.
    Comeback(ReportOrder),
    /// Open or begin a case.
    OpenCase {
        /// Its name.
        name: String,
        /// What for.
        access: Access,
    },
    /// Which case is open.
    WhichCase,
    /// Go on without a case.
    CloseCase,
    /// The cases there are.
    Cases,
    /// What there is to name.
    List,
    /// What looks wrong in the drawing.
    Warnings,
    /// Help, on one word or on all.
    Help(Option<&'static Verb>),
    /// Leave.
    Leave,
    /// An empty line or a remark.
    Nothing,
}

/// Why a line was not understood. Nothing has changed.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum CommandError {
    /// The first word is nothing known.
    #[error("`{word}` is no command, point or load{}; `help` lists the commands", nearest_hint(.near.as_deref()))]
    Unknown {
        /// The word.
        word: String,
        /// The nearest known one.
        near: Option<String>,
    },
    /// A name of the wrong kind or none at all.
    #[error("no {what} is called `{word}`{}", nearest_hint(.near.as_deref()))]
    NoSuch {
        /// What was wanted.
        what: &'static str,
        /// The word.
        word: String,
        /// The nearest known one.
        near: Option<String>,
    },
    /// A part where a point was wanted.
    #[error("`{word}` has more than one end: {ends}")]
    WhichEnd {
        /// The part.
        word: String,
        /// Its points.
        ends: String,
    },
    /// Something is missing.
    #[error("`{verb}` needs {what}, such as `{example}`")]
    Missing {
        /// The command.
        verb: &'static str,
        /// What it needs.
        what: &'static str,
        /// An example.
        example: String,
    },
    /// More words than make sense.
    #[error("`{word}` is one word too many")]
    TooMany {
        /// The first that is too many.
        word: String,
    },
    /// Not a reading.
    #[error("{source}")]
    Reading {
        /// Why.
        #[from]
        source: MeasuredError,
    },
    /// A current with more than one name.
    #[error("a current goes through one part, such as `{example} 2.1A`")]
    CurrentOfOnePart {
        /// An example.
        example: String,
    },
    /// A value alone, but the advised test is of something else.
    #[error("the advised test is {advised}; for another one name the points before the value")]
    OtherQuantity {
        /// What is advised.
        advised: String,
    },
    /// Both leads on one point.
    #[error("both leads on `{point}`: that reads nothing")]
    SamePoint {
        /// The point.
        point: String,
    },
    /// A bare value, but no voltage test is advised.
    #[error("a value alone answers the advised test, but none is advised; name the point, such as `{example} 12.31`")]
    NoTestAdvised {
        /// A point.
        example: String,
    },
    /// A bare look, but no look is advised.
    #[error("`{word}` alone answers the advised look, but none is advised; name the load, such as `{word} {example}`")]
    NoLookAdvised {
        /// The word.
        word: String,
        /// A load.
        example: String,
    },
    /// Words that fit no tree.
    #[error("no complaint tree fits these words; `trees` lists them, and a class will do, such as `{example}`")]
    NoTree {
        /// An example.
        example: String,
    },
    /// A complaint of nothing in particular.
    #[error("say of what, by its name or label, such as `{example}`")]
    OfWhat {
        /// An example.
        example: String,
    },
    /// An answer to nothing.
    #[error("no question is asked that has the answer `{word}`; `questions` lists them with their answers")]
    NoAnswer {
        /// The word.
        word: String,
    },
    /// Set with the wrong verb.
    #[error("`{name}` is a {kind}: say `{say}`")]
    WrongVerb {
        /// What was to be set.
        name: String,
        /// What it is.
        kind: &'static str,
        /// How to say it.
        say: String,
    },
    /// A load that should not run in this state anyway.
    #[error(
        "as drawn, `{load}` does not run in this state whatever is switched on; look at `state` and set what is missing"
    )]
    NotServed {
        /// The load.
        load: String,
    },
    /// A load that should be running.
    #[error("as drawn, `{load}` is meant to run in this state; switch it off first, then say that it stays on")]
    MeantToRun {
        /// The load.
        load: String,
    },
    /// No file that a report can go to.
    #[error("{why}")]
    File {
        /// Why.
        why: String,
    },
    /// Not a number of a reading.
    #[error("expected the number of a reading, but found `{word}`; `readings` lists them")]
    NotANumber {
        /// The word.
        word: String,
    },
}

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
        "walk every circuit while all is well and keep what it reads with the vehicle; again, the next point; `list FILE` writes the walk to fill in, `off` leaves its readings out of account, `on` counts them again",
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

//! What can be typed, and why a line was not understood.

use super::paper::ReportOrder;
use crate::case::Entry;
use crate::case::journal::Access;
use crate::complaint::{TreeId, Understood};
use crate::plan::walk::Scope;
use crate::quantity::MeasuredError;
use crate::vehicle::{NoAid, PartId, PointId};
use crate::words::nearest_hint;
use std::path::PathBuf;
use thiserror::Error;

/// A line understood.
#[derive(Debug, Clone, PartialEq)]
pub enum Command {
    /// An entry for the record.
    Enter(Entry),
    /// Several at once, as instruments of a panel are read.
    EnterAll(Vec<Entry>),
    /// What somebody's sentence means.
    Heard {
        hearing: Box<Understood>,
        /// Whether it adds to a complaint that stands.
        adds: bool,
    },
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
    /// The same in one line.
    What {
        /// Red lead.
        red: PointId,
        /// Black lead.
        black: PointId,
    },
    /// What should be read, and why.
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
        load: PartId,
        /// Where it goes.
        order: ReportOrder,
    },
    /// Go on a walk at handover, or on with the one under way.
    Handover(Option<Scope>),
    /// The walk as a list to fill in, into a file.
    Walk(Option<Scope>, ReportOrder),
    /// The comeback report into a file.
    Comeback(ReportOrder),
    /// Open or begin a case.
    OpenCase {
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
    /// Help, on the verb of a word or on all.
    Help(Option<&'static str>),
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
        word: String,
        /// The nearest known one.
        near: Option<String>,
    },
    /// A part's name, and nothing that is known said of it.
    #[error("of `{word}` say what was seen or read; `part {word}` tells what is known of it")]
    SaidNothing { word: String },
    /// `all` of a sign that is not of loads.
    #[error("`all` goes with `works`, `dead` or `weak`; of anything else say which")]
    OnlyLoadsAll,
    /// Nothing runs as things are set.
    #[error("nothing runs as things are set: switch on what should work, or set a state")]
    NothingRuns,
    /// A name of the wrong kind or none at all.
    #[error("no {what} is called `{word}`{}", nearest_hint(.near.as_deref()))]
    NoSuch {
        /// What was wanted.
        what: &'static str,
        word: String,
        /// The nearest known one.
        near: Option<String>,
    },
    /// A part where a point was wanted.
    #[error("`{word}` has more than one end: {ends}")]
    WhichEnd {
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
        #[from]
        source: MeasuredError,
    },
    /// A current with more than one name.
    #[error("a current goes through one part, such as `{example} 2.1A`")]
    CurrentOfOnePart { example: String },
    /// A value alone, but the advised test is of something else.
    #[error("the advised test is {advised}; for another one name the points before the value")]
    OtherQuantity {
        /// What is advised.
        advised: String,
    },
    /// The two ends of what wandered are of different kinds.
    #[error("what wanders needs two values of one kind, such as `4..11ohm` or `4.8 to 11.9 V`")]
    TwoQuantities,
    /// Something else than volts was compared.
    #[error("only volts are compared with another point, such as `0.5 less than`")]
    OnlyVoltsCompare,
    /// A probe at mains voltage.
    #[error(
        "`{name}` has mains voltage: no probe goes there, and no reading from there counts; it is a licensed electrician's. Say what works behind it, such as `dead`, and read its input instead"
    )]
    Mains { name: String },
    /// There are several batteries, or none.
    #[error("there is more than one battery, or none: name the point, such as `{example}`")]
    WhichBattery { example: String },
    /// What an instrument shows, in a unit that it does not have.
    #[error("`{instrument}` shows {shows}; type it in that, such as `{instrument} {example}`")]
    NotItsUnit {
        /// Its name.
        instrument: String,
        /// What it shows.
        shows: &'static str,
        /// A value with its unit.
        example: &'static str,
    },
    /// Both leads on one point.
    #[error("both leads on `{point}`: that reads nothing")]
    SamePoint { point: String },
    /// A bare value, but no test is advised.
    #[error("a value alone answers the advised test, but none is advised; say where it was read, such as `{example}`")]
    NoTestAdvised { example: String },
    /// A bare value, but what is advised is no measurement.
    #[error("the advised test takes no value: {advised}; of a reading say where, such as `{example}`")]
    NoValueAdvised {
        /// What is advised.
        advised: String,
        example: String,
    },
    /// A bare value, but a reading is to be taken again.
    #[error(
        "the advice is to take reading {number} again: `retake {number} VALUE`; of another reading say where, such as `{example}`"
    )]
    RetakeAdvised { number: usize, example: String },
    /// Skipped, but no test is advised.
    #[error("no test is advised that could be skipped; `next` says what to do")]
    NothingToSkip,
    /// Yes or no to nothing.
    #[error("nothing is asked that `{word}` answers; `next` says what to do")]
    NothingAsked { word: String },
    /// Yes or no to a measurement.
    #[error("`{word}` answers no measurement, and one is advised: {advised}; type what it shows, or `skip`")]
    NoYesOrNo {
        word: String,
        /// What is advised.
        advised: String,
    },
    /// Yes or no to what is answered otherwise.
    #[error("`{word}` does not tell which: say {of}")]
    WhichOne {
        word: String,
        /// The words that do.
        of: String,
    },
    /// A bare look, but no look is advised.
    #[error("`{word}` alone answers the advised look, but none is advised; name the load, such as `{word} {example}`")]
    NoLookAdvised { word: String, example: String },
    /// Words that fit no tree.
    #[error("no complaint tree fits these words; `trees` lists them, and a class will do, such as `{example}`")]
    NoTree { example: String },
    /// A complaint of nothing in particular.
    #[error("say of what, by its name or label, such as `{example}`")]
    OfWhat { example: String },
    /// An answer to nothing.
    #[error("no question is asked that has the answer `{word}`; `questions` lists them with their answers")]
    NoAnswer { word: String },
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
    /// A lead or bridge where none may be.
    #[error("not at `{name}`: {why}")]
    NoAid { name: String, why: NoAid },
    /// Nothing that was put in for a test.
    #[error("no lead, bridge or lamp is in, and no end is off its post; `state` shows how everything is set")]
    NothingToRemove,
    /// A load that should not run in this state anyway.
    #[error(
        "as drawn, `{load}` does not run in this state whatever is switched on; look at `state` and set what is missing"
    )]
    NotServed { load: String },
    /// A load that should be running.
    #[error("as drawn, `{load}` is meant to run in this state; switch it off first, then say that it stays on")]
    MeantToRun { load: String },
    /// No file that a report can go to.
    #[error("{why}")]
    File { why: String },
    /// Not a number of a reading.
    #[error("expected the number of a reading, but found `{word}`; `readings` lists them")]
    NotANumber { word: String },
}

impl CommandError {
    /// Whether it is of the words of a line, and not of what they mean.
    pub fn is_of_words(&self) -> bool {
        matches!(
            self,
            Self::Unknown { .. }
                | Self::SaidNothing { .. }
                | Self::NoSuch { .. }
                | Self::TooMany { .. }
                | Self::Reading { .. }
                | Self::NotANumber { .. }
        )
    }
}

//! A lesson at the prompt: the same words as everywhere, and the program shows
//! the display instead of asking for it.

use super::command::{Command, CommandError};
use super::lookup::Lookup;
use super::parse::parse;
use super::session::{Refusal, Reply, Said, Understanding};
use crate::case::Entry;
use crate::plan::Sense;
use crate::quantity::{KILO, MEGA, MILLI};
use crate::source::nearest;
use crate::training::{Act, Attempt, Conclusion, Dial, Function, Leads, Loom, Marks, Yardstick, marks};
use crate::vehicle::{PartId, PlaceId, Role, Vehicle};
use crate::words::document::Block;
use crate::words::{self, training};
use serde_json::json;
use std::rc::Rc;

/// Words of a lesson beside those of every session, with what they do.
const WORDS: [(&str, &str); 15] = [
    (
        "measure FB2.out",
        "the display, red lead there, black where it usually is; two points read between them, `across PART` from end to end; at the end `ohms`, `lamp` or `moved`; `measure PART amps` is a clamp",
    ),
    (
        "dial volts 20",
        "set the instrument: `volts`, `ohms`, `amps`, then a range such as `200mV`, `2`, `20`, `2k`, or none; `dial fuse` renews the fuse of the ammeter",
    ),
    ("look NAME", "see whether a load works, a fuse is whole, a source gives"),
    ("listen NAME", "hear whether a relay clicks"),
    ("feel NAME", "feel near a part whether it is hot"),
    ("move NAME", "move a plug, wire or part, and watch"),
    ("open PLACE", "open a place: time passes"),
    ("replace NAME", "renew a part and pay for it; `fixed NAME` is the same"),
    ("it is NAME", "what is wrong; `it is A and B`, `it is nothing`, `it is not drawn`"),
    ("hint", "help in three steps: where, which kind of test, which test; each costs marks"),
    ("done", "the end: marks and what could have been better"),
    ("on, off, pull, fit, lamp, unplug, plug, state", "set things, as in any session"),
    ("black, meter, note", "as in any session"),
    ("list, trace, part, expect, record", "the drawing and the record, as in any session"),
    ("leave", "leave without marks"),
];

/// Words that carry no meaning in a measurement.
const FILLERS: [&str; 7] = ["red", "black", "lead", "to", "at", "and", "from"];

/// What is said and done at the end of a lesson: keeps it, and tells where.
pub type AtEnd = Box<dyn FnMut(&mut Attempt, &Marks) -> Result<String, String>>;

/// A lesson under way.
pub struct LessonSession {
    attempt: Attempt,
    yardstick: Yardstick,
    at_end: Option<AtEnd>,
    is_over: bool,
}

/// A line of a lesson.
enum LessonLine {
    Acts(Vec<Act>),
    Say(Vec<Block>),
    Done,
    Leave,
    Nothing,
}

impl LessonSession {
    /// Begins.
    pub fn new(attempt: Attempt, yardstick: Yardstick, at_end: Option<AtEnd>) -> Self {
        Self { attempt, yardstick, at_end, is_over: false }
    }

    /// The vehicle.
    pub fn vehicle(&self) -> &Rc<Vehicle> {
        self.attempt.lesson().engine().vehicle()
    }

    /// What is said on opening.
    pub fn greeting(&self) -> Vec<Block> {
        training::opening(self.attempt.lesson())
    }

    /// Handles one line.
    pub fn handle(&mut self, line: &str) -> Reply {
        if self.is_over && !matches!(line.trim(), "leave" | "quit" | "exit" | "") {
            return Reply::refused(Refusal("this lesson is over; `leave`".to_string()));
        }
        let said = match self.understood(line) {
            Ok(LessonLine::Acts(acts)) => self.act(acts),
            Ok(LessonLine::Say(screen)) => Ok(screen),
            Ok(LessonLine::Done) => self.done(),
            Ok(LessonLine::Leave) => return Reply::silent(Understanding::Leave),
            Ok(LessonLine::Nothing) => return Reply::silent(Understanding::Understood),
            Err(why) => Err(why),
        };
        match said {
            Ok(screen) => Reply::said(screen, json!({})),
            Err(why) => Reply::refused(why),
        }
    }

    fn act(&mut self, acts: Vec<Act>) -> Said {
        let mut said = Vec::new();
        for act in acts {
            let opened: Vec<PlaceId> = self.attempt.opened().to_vec();
            let done = self.attempt.act(act)?.clone();
            said.extend(training::told(&self.attempt, &done, &opened));
        }
        Ok(said)
    }

    fn done(&mut self) -> Said {
        let marks = marks(&self.attempt, self.yardstick)?;
        let mut said = training::marked(&self.attempt, &marks);
        said.extend(training::debriefed(&self.attempt)?);
        if let Some(at_end) = &mut self.at_end {
            said.push(Block::Paragraph(at_end(&mut self.attempt, &marks).map_err(Refusal)?));
        }
        self.is_over = true;
        Ok(said)
    }

    fn understood(&self, line: &str) -> Result<LessonLine, Refusal> {
        let case = self.attempt.case();
        let lookup = Lookup::new(case.vehicle());
        let typed = lookup.labels_as_names(line.split_whitespace().collect());
        let Some((&first, rest)) = typed.split_first() else { return Ok(LessonLine::Nothing) };
        match first.to_lowercase().as_str() {
            "measure" | "read" => self.measure(rest, &lookup),
            "dial" => dial(rest),
            "look" => Ok(act(self.look(rest, &lookup)?)),
            "listen" => Ok(act(Act::Sense(lookup.relay(self.one(rest, "listen", "a relay")?)?, Sense::Listen))),
            "feel" => Ok(act(Act::Sense(lookup.part(self.one(rest, "feel", "a part")?)?, Sense::Feel))),
            "move" => Ok(act(Act::Move(lookup.part_or_plug(self.one(rest, "move", "a part")?)?))),
            "open" => Ok(act(Act::Open(self.place(&rest.join(" "))?))),
            "replace" | "fixed" => Ok(act(Act::Replace(lookup.part(self.one(rest, "replace", "a part")?)?))),
            "bridge" => self.bridge(rest, &lookup),
            "it" => Ok(act(Act::Conclude(self.conclusion(rest, &lookup)?))),
            "hint" => Ok(act(Act::Hint)),
            "done" => Ok(LessonLine::Done),
            "help" | "?" => Ok(LessonLine::Say(vec![help()])),
            _ if lookup.point(first).is_ok()
                && rest.iter().all(|word| !word.starts_with(|c: char| c.is_ascii_digit())) =>
            {
                self.measure(&typed, &lookup)
            }
            word => self.shared(line, word),
        }
    }

    /// What is said as in any session.
    fn shared(&self, line: &str, word: &str) -> Result<LessonLine, Refusal> {
        let case = self.attempt.case();
        let lookup = Lookup::new(case.vehicle());
        Ok(match parse(line, case)? {
            Command::Enter(entry) => act(self.acted(entry, word, &lookup)?),
            Command::State => LessonLine::Say(words::state(case)),
            Command::Record => LessonLine::Say(vec![words::record(case)]),
            Command::List => LessonLine::Say(words::known_things(case)),
            Command::Trace(load) => LessonLine::Say(vec![words::trace(case, load)]),
            Command::Part(part) => LessonLine::Say(words::origins(case, part)),
            Command::What { red, black } => LessonLine::Say(vec![words::expectation_alone(case, red, black)]),
            Command::Expect { red, black } => LessonLine::Say(words::expectation(case, red, black)),
            Command::Leave => LessonLine::Leave,
            Command::Nothing => LessonLine::Nothing,
            // What the tool would do for a learner.
            Command::EnterAll(_)
            | Command::Undo
            | Command::Redo
            | Command::Next
            | Command::Others
            | Command::Why
            | Command::Suspects
            | Command::Segment
            | Command::Good
            | Command::Readings
            | Command::Proof
            | Command::Profile(_)
            | Command::Trees
            | Command::Tree(_)
            | Command::Questions
            | Command::Helping
            | Command::NeverByPhone
            // What has to do with files and other vehicles.
            | Command::Sketch(_)
            | Command::Save(_)
            | Command::Report(_)
            | Command::Heard { .. }
            | Command::Sheet { .. }
            | Command::Handover(_)
            | Command::Walk(..)
            | Command::Comeback(_)
            | Command::OpenCase { .. }
            | Command::WhichCase
            | Command::CloseCase
            | Command::Cases
            | Command::Warnings
            | Command::Help(_) => return Err(withheld(word)),
        })
    }

    /// An entry as something done.
    fn acted(&self, entry: Entry, word: &str, lookup: &Lookup<'_>) -> Result<Act, Refusal> {
        Ok(match entry {
            Entry::Set { settings } => Act::Set(settings),
            Entry::BlackLead { point } => Act::Black(point),
            Entry::TakeMeter { kind } => Act::Take(kind),
            Entry::Note { text } => Act::Note(text),
            Entry::Read { .. } => {
                let example = lookup.example_point();
                let why = format!("the instrument reads by itself here: say `measure {example}` without a value");
                return Err(Refusal(why));
            }
            Entry::Observe { .. } => {
                let example = words::example_load(self.vehicle());
                return Err(Refusal(format!("in a lesson you look for yourself, such as `look {example}`")));
            }
            Entry::Complain { .. }
            | Entry::Answer { .. }
            | Entry::Helping { .. }
            | Entry::Retake { .. }
            | Entry::Strike { .. }
            | Entry::Repaired { .. }
            | Entry::OutOfReach { .. }
            | Entry::Unwanted { .. }
            | Entry::Walk { .. }
            | Entry::Heed { .. } => return Err(withheld(word)),
        })
    }

    fn one<'w>(&self, rest: &[&'w str], verb: &'static str, what: &'static str) -> Result<&'w str, Refusal> {
        match rest {
            [word] => Ok(word),
            [_, word, ..] => Err(CommandError::TooMany { word: word.to_string() }.into()),
            [] => {
                let load = words::example_load(self.vehicle());
                Err(CommandError::Missing { verb, what, example: format!("{verb} {load}") }.into())
            }
        }
    }

    /// `measure [POINT [POINT] | across PART | PART] [ohms | amps | volts | lamp] [moved]`.
    fn measure(&self, rest: &[&str], lookup: &Lookup<'_>) -> Result<LessonLine, Refusal> {
        let now = self.attempt.instrument().dial;
        let mut asked = None;
        let mut loom = Loom::Still;
        let mut names: Vec<&str> = Vec::new();
        for &word in rest {
            match word.to_lowercase().as_str() {
                "ohms" => asked = Some(Function::Ohms),
                "amps" => asked = Some(Function::Amps),
                "volts" => asked = Some(Function::Volts),
                "lamp" => asked = Some(Function::Lamp),
                "moved" | "moving" => loom = Loom::Moved,
                filler if FILLERS.contains(&filler) => {}
                _ => names.push(word),
            }
        }
        let vehicle = self.vehicle();
        let wants_part = matches!(asked, Some(Function::Ohms | Function::Amps));
        let leads = match names[..] {
            ["across", name] => {
                let (red, black) = vehicle.part(lookup.part(name)?).ends();
                Leads::Between(red, black)
            }
            [name] if asked == Some(Function::Amps) => Leads::Round(lookup.part(name)?),
            [name] if wants_part && vehicle.find_part(name).is_some() => {
                let (red, black) = vehicle.part(lookup.part(name)?).ends();
                Leads::Between(red, black)
            }
            [red] => Leads::Between(lookup.point(red)?, self.attempt.case().standing().black),
            [red, black] => Leads::Between(lookup.point(red)?, lookup.point(black)?),
            [] => {
                let example = format!("measure {}", lookup.example_point());
                return Err(CommandError::Missing { verb: "measure", what: "a point", example }.into());
            }
            [_, _, word, ..] => return Err(CommandError::TooMany { word: word.to_string() }.into()),
        };
        let function = match (asked, leads) {
            (Some(Function::Amps), Leads::Round(_)) => Function::Clamp,
            (Some(function), _) => function,
            // The lamp and the clamp are put away after use; the dial stays.
            (None, _) if matches!(now.function, Function::Lamp | Function::Clamp) => Function::Volts,
            (None, _) => now.function,
        };
        let turn = (function != now.function).then(|| Act::Turn(Dial::of(function)));
        Ok(LessonLine::Acts(turn.into_iter().chain([Act::Measure(leads, loom)]).collect()))
    }

    fn look(&self, rest: &[&str], lookup: &Lookup<'_>) -> Result<Act, Refusal> {
        let part = lookup.part(self.one(rest, "look", "something to look at")?)?;
        let sense = match self.vehicle().part(part).kind.role() {
            Role::Protection => Sense::Fuse,
            Role::Source => Sense::Source,
            Role::Load | Role::Coil | Role::Switchgear => Sense::Look,
            Role::Connection | Role::Conductor | Role::Rectifier | Role::Display => Sense::Look,
        };
        Ok(Act::Sense(part, sense))
    }

    fn bridge(&self, rest: &[&str], lookup: &Lookup<'_>) -> Result<LessonLine, Refusal> {
        let points: Vec<&str> = rest.iter().copied().filter(|word| !FILLERS.contains(word)).collect();
        match points[..] {
            [from, to] => Ok(act(Act::Bridge(lookup.point(from)?, lookup.point(to)?))),
            [_, _, word, ..] => Err(CommandError::TooMany { word: word.to_string() }.into()),
            _ => {
                let example = format!("bridge {0} {0}", lookup.example_point());
                Err(CommandError::Missing { verb: "bridge", what: "two points", example }.into())
            }
        }
    }

    fn place(&self, word: &str) -> Result<PlaceId, Refusal> {
        let places = &self.vehicle().places;
        let found = places.iter().position(|place| place.name.eq_ignore_ascii_case(word)).map(PlaceId::new);
        let near = || nearest(word, places.iter().map(|place| place.name.as_str())).map(str::to_string);
        let no_such = || CommandError::NoSuch { what: "place", word: word.to_string(), near: near() };
        found.ok_or_else(|| no_such().into())
    }

    fn conclusion(&self, rest: &[&str], lookup: &Lookup<'_>) -> Result<Conclusion, Refusal> {
        let said: Vec<&str> =
            rest.iter().copied().filter(|word| !matches!(*word, "is" | "the" | "and" | "or")).collect();
        match said[..] {
            ["nothing"] => Ok(Conclusion::Nothing),
            ["not", "drawn"] => Ok(Conclusion::Undrawn),
            [] => {
                let example = format!("it is {}", words::example_load(self.vehicle()));
                Err(CommandError::Missing { verb: "it is", what: "what is wrong", example }.into())
            }
            _ => {
                let part = |name: &&str| lookup.part(name.trim_end_matches(','));
                let parts: Vec<PartId> = said.iter().map(part).collect::<Result<_, _>>()?;
                Ok(Conclusion::Parts(parts))
            }
        }
    }
}

fn withheld(word: &str) -> Refusal {
    Refusal(format!("in a lesson you choose the tests yourself: `{word}` waits outside; `hint` helps and costs marks"))
}

fn act(act: Act) -> LessonLine {
    LessonLine::Acts(vec![act])
}

fn help() -> Block {
    Block::Terms(WORDS.map(|(word, does)| (word.to_string(), does.to_string())).to_vec())
}

/// `dial FUNCTION [RANGE]`, `dial fuse`.
fn dial(rest: &[&str]) -> Result<LessonLine, Refusal> {
    let unknown = |word: &str| {
        Refusal(format!(
            "expected `volts`, `ohms` or `amps` and perhaps a range, such as `dial volts 20`, but found `{word}`"
        ))
    };
    let (function, range) = match rest {
        ["fuse"] => return Ok(act(Act::RenewMeterFuse)),
        [function] => (function, None),
        [function, range] => (function, Some(range_of(range).ok_or_else(|| unknown(range))?)),
        [_, _, word, ..] => return Err(CommandError::TooMany { word: word.to_string() }.into()),
        [] => return Err(unknown("nothing")),
    };
    let function = match function.to_lowercase().as_str() {
        "volts" | "volt" | "v" => Function::Volts,
        "ohms" | "ohm" => Function::Ohms,
        "amps" | "amp" | "a" => Function::Amps,
        word => return Err(unknown(word)),
    };
    Ok(act(Act::Turn(Dial { function, range })))
}

/// `200mV`, `20`, `2k`, `20M`.
fn range_of(word: &str) -> Option<f64> {
    let end = word.find(|c: char| !(c.is_ascii_digit() || c == '.')).unwrap_or(word.len());
    let (number, unit) = word.split_at(end);
    let scale = match unit {
        "" | "V" | "v" | "ohm" | "ohms" => 1.0,
        "mV" | "mv" => MILLI,
        "k" | "kohm" => KILO,
        "M" | "Mohm" => MEGA,
        _ => return None,
    };
    // Thousandths in one step, so that 200 mV is the 0.2 of the dial.
    let value: f64 = number.parse().ok()?;
    Some(if scale < 1.0 { value / (1.0 / scale) } else { value * scale })
}

//! One line in, one reply out. Never computes, never prints.

use super::command::Command;
use super::lookup::Lookup;
use super::parse::parse;
use super::takes::Takes;
use super::verbs::{Grammar, VERBS, Verb, verb_of};
use crate::case::journal::{Access, Journal, Shelf};
use crate::case::walk;
use crate::case::{Case, CaseError, Entry, SetAside};
use crate::complaint::Channel;
use crate::predict::Scale;
use crate::sketch::Interview;
use crate::source::{Diagnostic, SourceFile, render};
use crate::words;
use serde_json::{Value, json};
use std::path::Path;

/// What a line came to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Understanding {
    /// It was understood.
    Understood,
    /// It was not; nothing has changed.
    Failed,
    /// It asks to leave.
    Leave,
}

/// The reply to a line.
#[derive(Debug, Clone)]
pub struct Reply {
    /// Text for a person.
    pub text: String,
    /// The same for a program; `None` for an empty line.
    pub machine: Option<Value>,
    /// What the line came to.
    pub outcome: Understanding,
}

/// When a case on disk is begun.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Beginning {
    /// When somebody says so.
    WhenTold,
    /// With the first entry, named by the clock: at the roadside nobody thinks
    /// of a name, and a session lost is a day lost.
    WithFirstEntry,
}

/// A case with the file it came from.
pub struct Session {
    pub(super) case: Case,
    file: SourceFile,
    warnings: Vec<Diagnostic>,
    pub(super) shelf: Option<Shelf>,
    beginning: Beginning,
    /// Whether past cases count.
    pub(super) heeds_history: bool,
    /// The shelf of the vehicle before, while a sketch has no file of its own.
    unfiled: Option<Shelf>,
    /// A sketch that is being asked for.
    pub(super) asking: Option<Interview>,
}

impl Session {
    /// Starts with a case.
    pub fn new(case: Case, file: SourceFile, warnings: Vec<Diagnostic>) -> Self {
        Self {
            case,
            file,
            warnings,
            shelf: None,
            beginning: Beginning::WhenTold,
            heeds_history: false,
            unfiled: None,
            asking: None,
        }
    }

    /// The same for a sketch without a file: its cases get a folder once it is
    /// saved.
    pub fn with_shelf_once_saved(self, shelf: Shelf) -> Self {
        Self { unfiled: Some(shelf), ..self }
    }

    /// Goes on with another vehicle, nothing said of it yet.
    pub(super) fn change_vehicle(&mut self, case: Case, file: SourceFile, warnings: Vec<Diagnostic>) {
        (self.case, self.file, self.warnings) = (case, file, warnings);
        self.unfiled = self.shelf.take().or(self.unfiled.take());
        self.beginning = Beginning::WhenTold;
    }

    /// The text of the vehicle file.
    pub(super) fn drawing(&self) -> &str {
        &self.file.text
    }

    /// The drawing stands in a file of its own now.
    pub(super) fn file_under(&mut self, path: &Path) {
        let shelf = self.unfiled.take().or(self.shelf.take());
        self.shelf = shelf.map(|shelf| shelf.beside(path));
        self.file.path = path.display().to_string();
    }

    /// The same with a folder for cases.
    pub fn with_shelf(self, shelf: Shelf, beginning: Beginning) -> Self {
        Self { shelf: Some(shelf), beginning, ..self }
    }

    /// Helps somebody by phone from here on.
    ///
    /// # Errors
    /// [`CaseError`]; then nothing has changed.
    pub fn help_by_phone(&mut self) -> Result<(), CaseError> {
        self.case.add(Entry::Helping { channel: Channel::ByPhone })
    }

    /// The case.
    pub fn case(&self) -> &Case {
        &self.case
    }

    /// What is said on opening.
    pub fn greeting(&self, width: usize) -> String {
        let vehicle = self.case.vehicle();
        let mut first = format!(
            "{}, {:.0} V: {} loads, {} parts.",
            vehicle.name,
            vehicle.nominal.0,
            vehicle.loads().count(),
            vehicle.parts.len()
        );
        match self.warnings.len() {
            0 => {}
            1 => first += " One thing in the drawing looks wrong (`warnings`).",
            count => first += &format!(" {count} things in the drawing look wrong (`warnings`)."),
        }
        let load = Lookup::new(vehicle).example(Takes::Load);
        let second = format!("Say what is wrong, such as `dead {load}`; `help` lists the commands.");
        format!("{}\n{}", words::wrapped(&first, width, 2), words::wrapped(&second, width, 2))
    }

    /// Handles one line.
    pub fn handle(&mut self, line: &str, width: usize) -> Reply {
        if let Some(asking) = self.asking.take() {
            return self.answer_sketch(asking, line, width);
        }
        if let Some(entry) = self.walked(line) {
            return self.enter(entry, width);
        }
        match parse(line, &self.case) {
            Ok(command) => self.run(command, width),
            Err(error) => failed(&error.to_string(), width),
        }
    }

    /// Opens a case of the shelf, or begins it.
    ///
    /// # Errors
    /// [`CaseError`]; then nothing has changed.
    pub fn open_case(&mut self, name: &str, access: Access) -> Result<Option<SetAside>, CaseError> {
        let Some(shelf) = self.shelf.clone() else { return Err(CaseError::NoShelf) };
        let is_ours = self.case.journal().is_none_or(Journal::is_named_by_clock) && !self.case.entries().is_empty();
        // Entries that go along to a new case stay as they are weighed.
        let is_told = self.history_but(Some(name)) == self.case.engine().history();
        if self.is_handover() || !(is_ours || is_told) {
            self.case = self.afresh(Some(name))?;
        }
        self.case.open(&shelf, name, access)
    }

    /// Whether that case is open here to write in.
    fn writes_in(&self, name: &str) -> bool {
        let writable = self.case.journal().filter(|journal| !journal.is_read_only());
        writable.is_some_and(|journal| journal.header().name == name)
    }

    /// What is said of a case just opened, and how it stands.
    pub fn case_said(&self, set_aside: Option<&SetAside>, width: usize) -> String {
        let Some(set_aside) = set_aside else { return words::case_begun(&self.case, width) };
        let said = [
            words::case_opened(&self.case, width),
            words::set_aside(set_aside, width),
            words::answer(&self.case, width),
        ];
        said.into_iter().filter(|text| !text.is_empty()).collect::<Vec<_>>().join("\n")
    }

    fn run(&mut self, command: Command, width: usize) -> Reply {
        let case = &self.case;
        let text = match command {
            Command::OpenCase { name, .. } if self.writes_in(&name) => words::which_case(case, width),
            Command::OpenCase { name, access } => match self.open_case(&name, access) {
                Ok(set_aside) => self.case_said(set_aside.as_ref(), width),
                Err(error) => return failed(&error.to_string(), width),
            },
            Command::CloseCase => {
                let closed = case.journal().map(|journal| journal.header().name.clone());
                self.beginning = Beginning::WhenTold;
                match self.is_handover().then(|| self.afresh(None)) {
                    Some(Ok(case)) => self.case = case,
                    Some(Err(error)) => return failed(&error.to_string(), width),
                    None => self.case.close(),
                }
                words::case_closed(closed, width)
            }
            Command::Handover(scope) => match self.go_on_walk(scope, width) {
                Ok(said) => said,
                Err(error) => return failed(&error.to_string(), width),
            },
            Command::Walk(scope, order) => return self.put_down(self.walk_list(scope, &order), width),
            Command::Comeback(order) => return self.put_down(self.comeback(&order), width),
            Command::WhichCase => words::which_case(case, width),
            Command::Cases => {
                let listed =
                    self.shelf.as_ref().map(|shelf| shelf.list(case.vehicle(), case.trees())).unwrap_or_default();
                words::cases(case.vehicle(), &listed, case.journal(), width)
            }
            Command::Enter(entry) => return self.enter(entry, width),
            Command::EnterAll(entries) => return self.enter_all(entries, width),
            Command::Undo => {
                let step = self.case.undo();
                return self.stepped(step, "Taken back", width);
            }
            Command::Redo => {
                let step = self.case.redo();
                return self.stepped(step, "Put in again", width);
            }
            Command::Leave => return Reply { text: String::new(), machine: None, outcome: Understanding::Leave },
            Command::Nothing => {
                return Reply { text: String::new(), machine: None, outcome: Understanding::Understood };
            }
            Command::Next => words::next_test(case, width),
            Command::Others => words::runners_up(case, width),
            Command::Why => match case.steps() {
                Ok(steps) => words::reasons(case, &steps, width),
                Err(error) => return failed(&error.to_string(), width),
            },
            Command::Suspects => words::suspects(case, width),
            Command::Segment => words::segment_in_full(case, width),
            Command::Good => words::proved_good(case, width),
            Command::Proof => match case.proof() {
                Ok(proof) => words::proof(case, proof.as_ref(), width),
                Err(error) => return failed(&error.to_string(), width),
            },
            Command::Sketch(line) => return self.begin_sketch(&line, width),
            Command::Save(path) => return self.save_drawing(&path, width),
            Command::Trees => words::trees(case, width),
            Command::Tree(tree) => words::tree(case, tree, width),
            Command::Questions => words::questions(case, width),
            Command::Helping => words::helping(case, width),
            Command::NeverByPhone => words::never_by_phone(width),
            Command::Readings => words::readings(case, width),
            Command::Expect { red, black } => words::expectation(case, red, black, width),
            Command::Trace(load) => words::trace(case, load, width),
            Command::Profile(load) => words::profile(case, load, width),
            Command::Part(part) => words::origins(case, part, width),
            Command::State => words::state(case, width),
            Command::Record => words::record(case, width),
            Command::Report(order) => return self.put_down(self.report(&order), width),
            Command::Sheet { load, order } => return self.put_down(self.sheet(load, &order), width),
            Command::List => words::known_things(case, width),
            Command::Warnings => self.warnings_said(),
            Command::Help(word) => self.help(word.and_then(verb_of), width),
        };
        self.said(text)
    }

    pub(super) fn said(&self, text: String) -> Reply {
        let mut machine = words::machine(&self.case);
        machine["text"] = json!(text);
        Reply { text, machine: Some(machine), outcome: Understanding::Understood }
    }

    /// Enters all of them or none, and answers once.
    fn enter_all(&mut self, mut entries: Vec<Entry>, width: usize) -> Reply {
        let Some(last) = entries.pop() else { return self.said(String::new()) };
        let mut said = Vec::new();
        for entry in entries {
            said.push(words::wrapped(&format!("Entered: {}.", words::entry_said(&self.case, &entry)), width, 2));
            if let Err(error) = self.case.add(entry) {
                return self.take_back(said.len() - 1, &error.to_string(), width);
            }
        }
        let mut reply = self.enter(last, width);
        if reply.outcome == Understanding::Failed {
            return self.take_back(said.len(), &reply.text, width);
        }
        said.push(std::mem::take(&mut reply.text));
        let text = said.join("\n");
        if let Some(machine) = &mut reply.machine {
            machine["text"] = json!(text);
        }
        Reply { text, ..reply }
    }

    /// Takes back what was entered of a line that cannot stand as a whole.
    fn take_back(&mut self, count: usize, why: &str, width: usize) -> Reply {
        for _ in 0..count {
            if let Err(error) = self.case.undo() {
                return failed(&error.to_string(), width);
            }
        }
        failed(why, width)
    }

    fn enter(&mut self, entry: Entry, width: usize) -> Reply {
        let echo = words::entry_said(&self.case, &entry);
        let reply = ReplyTo::of(&entry);
        let expected = match &entry {
            Entry::Read { settings, probe, measured, .. } if self.is_handover() => {
                let state = self.case.standing().state.with_all(settings);
                let band = self.case.sound_band(&state, self.case.standing().meter, *probe);
                Some((band, Scale::value_of(&self.case.engine().tables().instruments, measured).0))
            }
            _ => None,
        };
        if let Err(error) = self.case.add(entry) {
            return failed(&error.to_string(), width);
        }
        let echo = words::wrapped(&format!("Entered: {echo}."), width, 2);
        let proof = self.case.proof().ok().flatten();
        let follows = match reply {
            _ if self.is_handover() => {
                let flag = expected.map(|(band, value)| words::flagged(band, value, width));
                let next = walk::walk(&self.case).map(|walk| words::next_leg(&self.case, &walk, width));
                Some(flag.into_iter().chain(next).collect::<Vec<_>>().join("\n"))
            }
            ReplyTo::Remark => None,
            ReplyTo::Repair => {
                let told = [words::after_repair(width), words::proof(&self.case, proof.as_ref(), width)];
                Some(told.into_iter().chain(words::closing(&self.case, width)).collect::<Vec<_>>().join("\n"))
            }
            ReplyTo::Complaint => {
                Some(format!("{}\n{}", words::begun(&self.case, width), words::answer(&self.case, width)))
            }
            ReplyTo::WhoHelps => {
                Some(format!("{}\n{}", words::helping(&self.case, width), words::next_test(&self.case, width)))
            }
            ReplyTo::Setting => Some(words::next_test(&self.case, width)),
            ReplyTo::Evidence => Some(words::answer(&self.case, width)),
        };
        // A proof under way stands below every answer.
        let stands = proof
            .filter(|_| !matches!(reply, ReplyTo::Remark | ReplyTo::Repair))
            .map(|proof| words::proof_stands(&self.case, &proof, width));
        let said = self.begin_by_itself(width).into_iter().chain([echo]).chain(follows).chain(stands);
        self.said(said.collect::<Vec<_>>().join("\n"))
    }

    /// Begins a case with the first entry, if that is wanted, and says so.
    fn begin_by_itself(&mut self, width: usize) -> Option<String> {
        let shelf = self.shelf.as_ref()?;
        if self.beginning == Beginning::WhenTold || self.case.journal().is_some() {
            return None;
        }
        self.beginning = Beginning::WhenTold;
        match self.case.open(shelf, &shelf.free_name(), Access::Write) {
            Ok(_) => Some(words::case_begun(&self.case, width)),
            Err(error) => Some(words::wrapped(&format!("Nothing is being kept: {error}."), width, 2)),
        }
    }

    fn answered(&self, echo: &str, width: usize) -> Reply {
        self.said(format!("{}\n{}", words::wrapped(echo, width, 2), words::answer(&self.case, width)))
    }

    /// The answer after the record was stepped back or forward.
    fn stepped(&self, step: Result<Entry, CaseError>, lead: &str, width: usize) -> Reply {
        match step {
            Ok(entry) => {
                let echo = words::entry_said(&self.case, &entry);
                self.answered(&format!("{lead}: {echo}."), width)
            }
            Err(error) => failed(&error.to_string(), width),
        }
    }

    fn warnings_said(&self) -> String {
        if self.warnings.is_empty() {
            return "Nothing in the drawing looks wrong.".to_string();
        }
        self.warnings.iter().map(|warning| render(&self.file, warning)).collect::<Vec<_>>().join("\n\n")
    }

    fn help(&self, verb: Option<&Verb>, width: usize) -> String {
        let lookup = Lookup::new(self.case.vehicle());
        let example = |verb: &Verb| match verb.grammar {
            Grammar::Read => format!("{} 12.31", lookup.example_point()),
            _ => format!("{} {}", verb.word(), lookup.example(verb.takes)).trim_end().to_string(),
        };
        let line = |verb: &Verb| {
            let example = example(verb);
            match example.chars().count() {
                0..=21 => words::wrapped(&format!("{example:22} {}", verb.does), width, 23),
                _ => format!("{example}\n{}", words::wrapped(&format!("{:23}{}", "", verb.does), width, 23)),
            }
        };
        match verb {
            Some(verb) => line(verb),
            None => {
                let lines: Vec<String> = VERBS.iter().map(line).collect();
                let (load, switch) = (lookup.example(Takes::Load), lookup.example(Takes::Switch));
                format!(
                    "{}\nAlso: `{load} is dead`, `{switch} on`, `12,3`, `340mV`; capitals make no difference.",
                    lines.join("\n")
                )
            }
        }
    }
}

/// Kinds of entry by what is said after them.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum ReplyTo {
    /// The whole answer.
    Evidence,
    /// How its tree begins, and the answer.
    Complaint,
    /// The next test: a setting says nothing of the fault.
    Setting,
    /// The proof that it takes.
    Repair,
    /// How help is given from here on, and the next test.
    WhoHelps,
    /// Nothing.
    Remark,
}

impl ReplyTo {
    fn of(entry: &Entry) -> Self {
        match entry {
            Entry::Observe { .. } | Entry::Answer { .. } => Self::Evidence,
            Entry::Read { .. } | Entry::Retake { .. } | Entry::Strike { .. } => Self::Evidence,
            // What of the past counts moves the odds too.
            Entry::Walk { .. } | Entry::Heed { .. } => Self::Evidence,
            Entry::Complain { .. } => Self::Complaint,
            Entry::Helping { .. } => Self::WhoHelps,
            Entry::Set { .. } | Entry::OutOfReach { .. } | Entry::Unwanted { .. } => Self::Setting,
            Entry::Repaired { .. } => Self::Repair,
            Entry::BlackLead { .. } | Entry::TakeMeter { .. } | Entry::Note { .. } => Self::Remark,
        }
    }
}

/// The reply to a line that was not understood.
pub fn failed(why: &str, width: usize) -> Reply {
    let mut letters = why.chars();
    let text = letters.next().map(|first| first.to_uppercase().chain(letters).collect::<String>()).unwrap_or_default();
    // A question already ends with its mark.
    let stop = if text.ends_with('?') { "" } else { "." };
    Reply {
        text: words::wrapped(&format!("{text}{stop}"), width, 2),
        machine: Some(json!({ "error": why })),
        outcome: Understanding::Failed,
    }
}

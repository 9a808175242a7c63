//! One line in, one reply out. Never computes, never prints.

use super::command::{Command, CommandError};
use super::lookup::Lookup;
use super::parse::parse;
use super::takes::Takes;
use super::verbs::{Grammar, VERBS, Verb, verb_of};
use crate::case::journal::{Access, Journal, Shelf};
use crate::case::walk;
use crate::case::{Case, CaseError, Entry, SetAside};
use crate::complaint::{Channel, Meaning};
use crate::files::laid_out;
use crate::predict::Scale;
use crate::sketch::Interview;
use crate::source::{Diagnostic, SourceFile, render};
use crate::words;
use crate::words::document::{Block, Terminal, USUAL, on_screen};
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
    /// What a person is shown; nothing for an empty line.
    pub screen: Vec<Block>,
    /// How things stand then, for a program; `None` for an empty line.
    pub machine: Option<Value>,
    /// What the line came to.
    pub outcome: Understanding,
}

impl Reply {
    /// What was understood, with how things stand for a program.
    pub(super) fn said(screen: Vec<Block>, machine: Value) -> Self {
        Self { screen, machine: Some(machine), outcome: Understanding::Understood }
    }

    /// A line that says nothing.
    pub(super) fn silent(outcome: Understanding) -> Self {
        Self { screen: Vec::new(), machine: None, outcome }
    }

    /// A line that was refused.
    pub(super) fn refused(Refusal(why): Refusal) -> Self {
        // A question already ends with its mark.
        let stop = if why.ends_with(['?', '.']) { "" } else { "." };
        Self {
            screen: vec![Block::Paragraph(format!("{}{stop}", words::capital(&why)))],
            machine: Some(json!({ "error": why })),
            outcome: Understanding::Failed,
        }
    }

    /// The screen in plain lines of at most `width` letters.
    pub fn text(&self, width: usize) -> String {
        on_screen(&self.screen, width)
    }

    /// The screen as a terminal shows it.
    pub fn shown(&self, terminal: Terminal) -> String {
        terminal.shown(&self.screen)
    }

    /// All of it for a program, with the screen as text; `None` for an empty line.
    pub fn for_program(&self) -> Option<Value> {
        let mut object = self.machine.clone()?;
        if self.outcome == Understanding::Understood {
            object["text"] = json!(self.text(USUAL));
        }
        Some(object)
    }
}

/// Why a line was refused, in the words of whatever refused it.
#[derive(Debug)]
pub struct Refusal(pub String);

impl<E: std::error::Error> From<E> for Refusal {
    fn from(error: E) -> Self {
        Self(error.to_string())
    }
}

/// What is said to a line, or why it was refused.
pub(super) type Said = Result<Vec<Block>, Refusal>;

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
    /// What a sentence may mean, while it is asked, and whether that adds to what stands.
    pub(super) choices: Vec<(Meaning, bool)>,
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
            choices: Vec::new(),
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

    /// The text of the vehicle file; of two files, with a master, what they come to.
    pub(super) fn drawing(&self) -> String {
        match self.file.sole() {
            Some(file) => file.text.clone(),
            None => laid_out(&self.file.text).unwrap_or_else(|_| self.file.text.clone()),
        }
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
    pub fn greeting(&self) -> Vec<Block> {
        // What is being sketched is no vehicle yet.
        if self.asking.is_some() {
            return Vec::new();
        }
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
        vec![Block::Paragraph(first), Block::Paragraph(second)]
    }

    /// Handles one line.
    pub fn handle(&mut self, line: &str) -> Reply {
        let choice = self.picked(line);
        let said = match (self.asking.take(), choice) {
            (Some(asking), _) => self.answer_sketch(asking, line),
            (None, Some((meaning, adds))) => self.take_meaning(&meaning, adds),
            (None, None) => {
                match self.walked(line).map_or_else(|| parse(line, &self.case), |entry| Ok(Command::Enter(entry))) {
                    Ok(Command::Leave) => return Reply::silent(Understanding::Leave),
                    Ok(Command::Nothing) => return Reply::silent(Understanding::Understood),
                    command => self.heard(line, command),
                }
            }
        };
        match said {
            Ok(screen) => Reply::said(screen, words::machine(&self.case)),
            Err(why) => Reply::refused(why),
        }
    }

    /// Runs a line; what in a complaint tells of danger is answered first, whatever else
    /// is made of it.
    fn heard(&mut self, line: &str, command: Result<Command, CommandError>) -> Said {
        let is_complaint = matches!(command, Ok(Command::Heard { .. }) | Err(_));
        let danger = self.case.trees().danger_in(line).filter(|_| is_complaint).map(words::danger);
        let said = command.map_err(Into::into).and_then(|command| self.run(command));
        match danger {
            None => said,
            Some(first) => {
                Ok(first.into_iter().chain(said.unwrap_or_else(|_| vec![words::after_danger(&self.case)])).collect())
            }
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
    pub fn case_said(&self, set_aside: Option<&SetAside>) -> Vec<Block> {
        let Some(set_aside) = set_aside else { return words::case_begun(&self.case).into_iter().collect() };
        let opened = words::case_opened(&self.case).into_iter();
        opened.chain(words::set_aside(set_aside)).chain(words::answer(&self.case)).collect()
    }

    fn run(&mut self, command: Command) -> Said {
        let case = &self.case;
        Ok(match command {
            Command::OpenCase { name, .. } if self.writes_in(&name) => vec![words::which_case(case)],
            Command::OpenCase { name, access } => {
                let set_aside = self.open_case(&name, access)?;
                self.case_said(set_aside.as_ref())
            }
            Command::CloseCase => {
                let closed = case.journal().map(|journal| journal.header().name.clone());
                self.beginning = Beginning::WhenTold;
                match self.is_handover() {
                    true => self.case = self.afresh(None)?,
                    false => self.case.close(),
                }
                vec![words::case_closed(closed)]
            }
            Command::Handover(scope) => self.go_on_walk(scope)?,
            Command::Walk(scope, order) => self.walk_list(scope, &order)?,
            Command::Comeback(order) => self.comeback(&order)?,
            Command::WhichCase => vec![words::which_case(case)],
            Command::Cases => {
                let listed =
                    self.shelf.as_ref().map(|shelf| shelf.list(case.vehicle(), case.trees())).unwrap_or_default();
                vec![words::cases(case.vehicle(), &listed, case.journal())]
            }
            Command::Enter(entry) => self.enter(entry)?,
            Command::EnterAll(entries) => self.enter_all(entries)?,
            Command::Heard { hearing, adds } => self.take_hearing(*hearing, adds)?,
            Command::Undo => {
                let entry = self.case.undo()?;
                self.stepped(&entry, "Taken back")
            }
            Command::Redo => {
                let entry = self.case.redo()?;
                self.stepped(&entry, "Put in again")
            }
            Command::Leave | Command::Nothing => Vec::new(),
            Command::Next => words::next_test(case),
            Command::Others => vec![words::runners_up(case)],
            Command::Why => words::reasons(case, &case.steps()?),
            Command::Suspects => words::suspects(case),
            Command::Segment => words::segment_in_full(case),
            Command::Good => vec![words::proved_good(case)],
            Command::Proof => words::proof(case, case.proof()?.as_ref()),
            Command::Sketch(line) => self.begin_sketch(&line)?,
            Command::Save(path) => self.save_drawing(&path)?,
            Command::Trees => vec![words::trees(case)],
            Command::Tree(tree) => words::tree(case, tree),
            Command::Questions => words::questions(case),
            Command::Helping => words::helping(case),
            Command::NeverByPhone => words::never_by_phone(),
            Command::Readings => vec![words::readings(case)],
            Command::What { red, black } => vec![words::expectation_alone(case, red, black)],
            Command::Expect { red, black } => words::expectation(case, red, black),
            Command::Trace(load) => vec![words::trace(case, load)],
            Command::Profile(load) => vec![words::profile(case, load)],
            Command::Part(part) => words::origins(case, part),
            Command::State => words::state(case),
            Command::Record => vec![words::record(case)],
            Command::Report(order) => self.report(&order)?,
            Command::Sheet { load, order } => self.sheet(load, &order)?,
            Command::List => words::known_things(case),
            Command::Warnings => vec![self.warnings_said()],
            Command::Help(word) => self.help(word.and_then(verb_of)),
        })
    }

    /// Enters all of them or none, and answers once.
    pub(super) fn enter_all(&mut self, mut entries: Vec<Entry>) -> Said {
        let Some(last) = entries.pop() else { return Ok(Vec::new()) };
        let mut said = Vec::new();
        for entry in entries {
            said.push(entered(&self.case, &entry));
            if let Err(why) = self.case.add(entry) {
                return self.take_back(said.len() - 1, why.into());
            }
        }
        match self.enter(last) {
            Ok(follows) => Ok(said.into_iter().chain(follows).collect()),
            Err(why) => self.take_back(said.len(), why),
        }
    }

    /// Takes back what was entered of a line that cannot stand as a whole.
    fn take_back(&mut self, count: usize, why: Refusal) -> Said {
        for _ in 0..count {
            self.case.undo()?;
        }
        Err(why)
    }

    fn enter(&mut self, entry: Entry) -> Said {
        let echo = entered(&self.case, &entry);
        let reply = ReplyTo::of(&entry);
        let expected = match &entry {
            Entry::Read { settings, probe, measured, .. } if self.is_handover() => {
                let state = self.case.standing().state.with_all(settings);
                let band = self.case.sound_band(&state, self.case.standing().meter, *probe);
                Some((band, Scale::value_of(&self.case.engine().tables().instruments, measured).0))
            }
            _ => None,
        };
        self.case.add(entry)?;
        let proof = self.case.proof().ok().flatten();
        let mut said: Vec<Block> = self.begin_by_itself().into_iter().chain([echo]).collect();
        let case = &self.case;
        match reply {
            _ if self.is_handover() => {
                said.extend(expected.map(|(band, value)| words::flagged(band, value)));
                said.extend(walk::walk(case).into_iter().flat_map(|walk| words::next_leg(case, &walk)));
            }
            ReplyTo::Remark => {}
            ReplyTo::Repair => {
                said.push(words::after_repair());
                said.extend(words::proof(case, proof.as_ref()));
                said.extend(words::closing(case));
            }
            ReplyTo::Complaint => {
                said.extend(words::begun(case));
                said.extend(words::answer(case));
            }
            ReplyTo::WhoHelps => {
                said.extend(words::helping(case));
                said.extend(words::next_test(case));
            }
            ReplyTo::Setting => said.extend(words::next_test(case)),
            ReplyTo::Evidence => said.extend(words::answer(case)),
        }
        // A proof under way stands below every answer.
        let stands = proof.filter(|_| !matches!(reply, ReplyTo::Remark | ReplyTo::Repair));
        said.extend(stands.map(|proof| words::proof_stands(case, &proof)));
        Ok(said)
    }

    /// Begins a case with the first entry, if that is wanted, and says so.
    fn begin_by_itself(&mut self) -> Option<Block> {
        let shelf = self.shelf.as_ref()?;
        if self.beginning == Beginning::WhenTold || self.case.journal().is_some() {
            return None;
        }
        self.beginning = Beginning::WhenTold;
        match self.case.open(shelf, &shelf.free_name(), Access::Write) {
            Ok(_) => words::case_begun(&self.case),
            Err(error) => Some(Block::Paragraph(format!("Nothing is being kept: {error}."))),
        }
    }

    /// The answer after the record was stepped back or forward.
    fn stepped(&self, entry: &Entry, lead: &str) -> Vec<Block> {
        let echo = Block::Paragraph(format!("{lead}: {}.", words::entry_said(&self.case, entry)));
        [echo].into_iter().chain(words::answer(&self.case)).collect()
    }

    fn warnings_said(&self) -> Block {
        if self.warnings.is_empty() {
            return Block::paragraph("Nothing in the drawing looks wrong.");
        }
        let warnings: Vec<String> = self.warnings.iter().map(|warning| render(&self.file, warning)).collect();
        Block::Verbatim(warnings.join("\n\n"))
    }

    fn help(&self, verb: Option<&Verb>) -> Vec<Block> {
        let lookup = Lookup::new(self.case.vehicle());
        let example = |verb: &Verb| match verb.grammar {
            Grammar::Read => format!("{} 12.31", lookup.example_point()),
            _ => format!("{} {}", verb.word(), lookup.example(verb.takes)).trim_end().to_string(),
        };
        let term = |verb: &Verb| (example(verb), verb.does.to_string());
        if let Some(verb) = verb {
            return vec![Block::Terms(vec![term(verb)])];
        }
        let (load, switch) = (lookup.example(Takes::Load), lookup.example(Takes::Switch));
        let also = format!("Also: `{load} is dead`, `{switch} on`, `12,3`, `340mV`; capitals make no difference.");
        vec![Block::Terms(VERBS.iter().map(term).collect()), Block::Paragraph(also)]
    }
}

/// What was entered.
fn entered(case: &Case, entry: &Entry) -> Block {
    Block::Paragraph(format!("Entered: {}.", words::entry_said(case, entry)))
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

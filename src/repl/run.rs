//! Lines from a terminal or a pipe to a session, replies back.

use super::complete::NameCompleter;
use super::lesson::LessonSession;
use super::session::{Reply, Session, Understanding};
use crate::words::document::{Block, NARROWEST, Terminal, USUAL, WIDEST};
use rustyline::error::ReadlineError;
use rustyline::history::FileHistory;
use rustyline::{CompletionType, Config, Editor};
use std::io::{self, BufRead, Write};
use std::path::PathBuf;
use std::rc::Rc;

/// What replies look like.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Form {
    /// Text for a person.
    Text,
    /// One JSON object for each line that says something.
    Machine,
}

/// What a failed line does to a script.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum OnFailure {
    /// Later lines still run.
    GoOn,
    /// It ends there.
    Stop,
}

/// How a run of lines ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ending {
    /// Every line was understood.
    AllUnderstood,
    /// At least one was not.
    SomeFailed,
}

/// Somebody who answers lines.
pub trait Conversation {
    /// What can be typed now, for completion.
    fn names(&self) -> NameCompleter;
    /// What is said on opening.
    fn greeting(&self) -> Vec<Block>;
    /// The reply to a line.
    fn handle(&mut self, line: &str) -> Reply;
    /// Whether lines from a file or a pipe are greeted too.
    fn greets_scripts(&self) -> bool;
}

impl Conversation for Session {
    fn names(&self) -> NameCompleter {
        NameCompleter::of(Rc::clone(self.case().engine().vehicle())).asked(self.case())
    }
    fn greeting(&self) -> Vec<Block> {
        Session::greeting(self)
    }
    fn handle(&mut self, line: &str) -> Reply {
        Session::handle(self, line)
    }
    fn greets_scripts(&self) -> bool {
        false
    }
}

impl Conversation for LessonSession {
    fn names(&self) -> NameCompleter {
        NameCompleter::of(Rc::clone(self.vehicle()))
    }
    fn greeting(&self) -> Vec<Block> {
        LessonSession::greeting(self)
    }
    fn handle(&mut self, line: &str) -> Reply {
        LessonSession::handle(self, line)
    }
    /// Nobody can begin without the complaint.
    fn greets_scripts(&self) -> bool {
        true
    }
}

/// Runs lines that come from a file or a pipe: no prompt, no escape codes.
///
/// # Errors
/// As reading and writing; a reader that has gone away is one of them.
pub fn run_script(
    session: &mut impl Conversation,
    lines: impl BufRead,
    form: Form,
    on_failure: OnFailure,
    out: &mut impl Write,
    complaints: &mut impl Write,
) -> io::Result<Ending> {
    let mut ending = Ending::AllUnderstood;
    if session.greets_scripts() && form == Form::Text {
        writeln!(out, "{}\n", Terminal::plain(USUAL).shown(&session.greeting()))?;
    }
    for (index, bytes) in lines.split(b'\n').enumerate() {
        let line = String::from_utf8_lossy(&bytes?).trim_end_matches('\r').to_string();
        let reply = session.handle(&line);
        match (reply.outcome, form) {
            (Understanding::Failed, Form::Text) => {
                out.flush()?;
                writeln!(complaints, "line {}: {}", index + 1, reply.text(USUAL))?;
            }
            (Understanding::Failed, Form::Machine) => {
                let mut object = reply.for_program().unwrap_or_default();
                object["line"] = serde_json::json!(index + 1);
                writeln!(out, "{object}")?;
            }
            _ => write_reply(out, &reply, form, Terminal::plain(USUAL))?,
        }
        match reply.outcome {
            Understanding::Understood => {}
            Understanding::Leave => break,
            Understanding::Failed => {
                ending = Ending::SomeFailed;
                if on_failure == OnFailure::Stop {
                    break;
                }
            }
        }
    }
    out.flush()?;
    Ok(ending)
}

fn write_reply(out: &mut impl Write, reply: &Reply, form: Form, terminal: Terminal) -> io::Result<()> {
    match form {
        Form::Text if reply.screen.is_empty() => Ok(()),
        Form::Text => writeln!(out, "{}\n", reply.shown(terminal)),
        Form::Machine => reply.for_program().map_or(Ok(()), |object| writeln!(out, "{object}")),
    }
}

/// Runs the prompt on a terminal, of which `look` tells all but how wide it is at the
/// moment; `opening` is said after the greeting.
///
/// # Errors
/// As reading and writing the terminal.
pub fn run_prompt(
    session: &mut impl Conversation,
    form: Form,
    look: Terminal,
    opening: &[Block],
    out: &mut impl Write,
) -> rustyline::Result<()> {
    let config = Config::builder().completion_type(CompletionType::List).auto_add_history(true).build();
    let mut editor: Editor<NameCompleter, FileHistory> = Editor::with_config(config)?;
    let history = history_path();
    if let Some(path) = &history {
        // A first run has no history yet; that is no trouble.
        let _ = editor.load_history(path);
    }
    if form == Form::Text {
        let said = [session.greeting(), opening.to_vec()].concat();
        writeln!(out, "{}", Terminal { width: width(&mut editor), ..look }.shown(&said))?;
    }
    loop {
        // A sketch may have changed the vehicle and its names, a complaint what is asked.
        editor.set_helper(Some(session.names()));
        let typed = match editor.readline("halfsplit> ") {
            Ok(typed) => typed,
            Err(ReadlineError::Interrupted) => continue,
            Err(ReadlineError::Eof) => break,
            Err(error) => return Err(error),
        };
        let terminal = Terminal { width: width(&mut editor), ..look };
        // A paste of several lines arrives as one.
        let lines: Vec<&str> = if typed.is_empty() { vec![""] } else { typed.lines().collect() };
        for line in lines {
            let reply = session.handle(line);
            write_reply(out, &reply, form, terminal)?;
            out.flush()?;
            if reply.outcome == Understanding::Leave {
                save_history(&mut editor, history.as_ref());
                return Ok(());
            }
        }
        save_history(&mut editor, history.as_ref());
    }
    Ok(())
}

fn width(editor: &mut Editor<NameCompleter, FileHistory>) -> usize {
    let columns = editor.dimensions().map_or(USUAL, |(columns, _)| usize::from(columns));
    columns.clamp(NARROWEST, WIDEST)
}

/// History is a convenience: a disk that refuses it stops nobody.
fn save_history(editor: &mut Editor<NameCompleter, FileHistory>, path: Option<&PathBuf>) {
    if let Some(path) = path {
        if let Some(folder) = path.parent() {
            let _ = std::fs::create_dir_all(folder);
        }
        let _ = editor.append_history(path);
    }
}

/// `HALFSPLIT_HISTORY`, or a file in the usual place for state of programs.
fn history_path() -> Option<PathBuf> {
    let set = |name: &str| std::env::var_os(name).filter(|value| !value.is_empty()).map(PathBuf::from);
    set("HALFSPLIT_HISTORY")
        .or_else(|| set("XDG_STATE_HOME").map(|folder| folder.join("halfsplit/history")))
        .or_else(|| set("HOME").map(|folder| folder.join(".local/state/halfsplit/history")))
}

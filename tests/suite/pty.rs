//! The prompt on a real terminal: keys that only a terminal has.

use rexpect::session::{PtySession, spawn_command};
use std::process::Command;

const PROMPT: &str = "halfsplit> ";

fn prompt() -> PtySession {
    let mut command = Command::new(env!("CARGO_BIN_EXE_halfsplit"));
    command.env("HALFSPLIT_HISTORY", std::env::temp_dir().join(format!("halfsplit-history-{}", std::process::id())));
    command.env("TERM", "xterm");
    let mut session = spawn_command(command, Some(20_000)).expect("started");
    session.exp_string(PROMPT).expect("a prompt");
    session
}

#[test]
fn a_line_is_answered_and_ctrl_d_leaves() {
    let mut session = prompt();
    session.send_line("dead fridge").expect("typed");
    session.exp_string("Entered: fridge (vaccine fridge) is dead").expect("an answer");
    session.exp_string(PROMPT).expect("a prompt");
    session.send_control('d').expect("Ctrl-D");
    session.exp_eof().expect("the end");
}

/// A vehicle of one's own at a terminal is kept without being asked.
#[test]
fn the_first_entry_begins_a_case() {
    let folder = std::env::temp_dir().join(format!("halfsplit-pty-{}", std::process::id()));
    std::fs::create_dir_all(&folder).expect("a folder");
    let vehicle = folder.join("board.ron");
    std::fs::write(&vehicle, halfsplit::files::SAMPLES[2].1).expect("a file");
    let mut command = Command::new(env!("CARGO_BIN_EXE_halfsplit"));
    command.arg(&vehicle).args(["--by", "ann"]).env("HALFSPLIT_CLOCK", "2026-11-25 10:12:00 +01:00");
    command.env("HALFSPLIT_HISTORY", "/dev/null").env("TERM", "xterm");
    let mut session = spawn_command(command, Some(20_000)).expect("started");
    session.exp_string(PROMPT).expect("a prompt");
    session.send_line("record").expect("typed");
    session.exp_string(PROMPT).expect("a prompt");
    assert!(!folder.join("cases").exists(), "nothing was entered yet");
    session.send_line("dead lampA").expect("typed");
    session.exp_string("Case 2026-11-25-1012 begun, with one entry so far").expect("it says so");
    session.exp_string(PROMPT).expect("a prompt");
    // Once it has a name, what was entered goes along.
    session.send_line("case lamp").expect("typed");
    session.exp_string("Case lamp begun, with one entry so far").expect("it says so");
    session.send_control('d').expect("Ctrl-D");
    session.exp_eof().expect("the end");
    let text = std::fs::read_to_string(folder.join("cases/lamp.ron")).expect("kept");
    assert!(text.contains("did: Seen(of: \"lampA\", sign: Dead"), "{text}");
    let _ = std::fs::remove_dir_all(&folder);
}

#[test]
fn ctrl_c_drops_the_line_and_stays() {
    let mut session = prompt();
    session.send("dead fri").expect("typed");
    session.send_control('c').expect("Ctrl-C");
    session.exp_string(PROMPT).expect("a prompt");
    session.send_line("record").expect("typed");
    session.exp_string("Nothing entered yet").expect("nothing entered");
    session.send_line("leave").expect("typed");
    session.exp_eof().expect("the end");
}

#[test]
fn tab_completes_a_point() {
    let mut session = prompt();
    session.send("expect FC19.o\t").expect("typed");
    session.send_line("").expect("typed");
    session.exp_string("Red FC19.out, black B2-").expect("an answer");
    session.send_control('d').expect("Ctrl-D");
}

//! Cases on disk: what was answered is kept, whatever happens to the program,
//! the disk or the drawing.

use crate::played::{DEAD, fresh};
use halfsplit::belief::{Appearance, Engine, Past, Sign, Symptom};
use halfsplit::case::journal::{
    Access, Clock, DiskFile, Header, Journal, KeepError, Keeper, Moment, Shelf, ShelfError,
};
use halfsplit::case::{Case, CaseError, Entry};
use halfsplit::complaint::{Channel, Trees, built_in_trees};
use halfsplit::files::{SAMPLES, built_in_tables, parse};
use halfsplit::meter::MeterKind;
use halfsplit::plan::walk::Scope;
use halfsplit::plan::{Sense, Test};
use halfsplit::predict::{Burden, Probe};
use halfsplit::quantity::Measured;
use halfsplit::source::{SourceFile, render};
use halfsplit::vehicle::{Aid, PartId, Position, Vehicle};
use halfsplit::words::answer;
use std::fs::{self, OpenOptions};
use std::io::{self, BufRead, BufReader, Read, Write};
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::rc::Rc;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::Duration;

/// A folder of its own, gone at the end.
struct Folder(PathBuf);

impl Folder {
    fn new() -> Self {
        static COUNT: AtomicUsize = AtomicUsize::new(0);
        let count = COUNT.fetch_add(1, Ordering::Relaxed);
        let path = std::env::temp_dir().join(format!("halfsplit-journal-{}-{count}", std::process::id()));
        fs::create_dir_all(&path).expect("a folder");
        Self(path)
    }

    fn shelf(&self) -> Shelf {
        Shelf::new(self.0.join("cases"), "board.ron".into(), "ann".into(), Clock::Standing(noon()))
    }

    fn case_file(&self, name: &str) -> PathBuf {
        self.0.join("cases").join(format!("{name}.ron"))
    }

    /// The board as a vehicle file.
    fn board(&self) -> PathBuf {
        let path = self.0.join("board.ron");
        fs::write(&path, SAMPLES[2].1).expect("a file");
        path
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.0);
    }
}

fn noon() -> Moment {
    "2026-11-25 12:00:00 +01:00".parse().expect("a moment")
}

fn part(vehicle: &Vehicle, name: &str) -> PartId {
    vehicle.find_part(name).unwrap_or_else(|| panic!("part {name}"))
}

fn read(vehicle: &Vehicle, red: &str, black: &str, volts: &str) -> Entry {
    Entry::Read {
        settings: Vec::new(),
        probe: Probe::voltage(vehicle.find_point(red).expect(red), vehicle.find_point(black).expect(black)),
        measured: volts.parse().expect("volts"),
        symptom: Symptom::Present,
    }
}

/// The board's lamp A, dim, with two readings.
fn dim_lamp(case: &mut Case) {
    let vehicle = case.vehicle().clone();
    let subject = part(&vehicle, "lampA");
    let settings = case.settings_for_sign(subject, DEAD);
    let sign = Sign::Looks(Appearance::Weak);
    case.add(Entry::Observe { settings, subject, sign }).expect("stands");
    case.add(read(&vehicle, "CB.out", "TA4", "3.29")).expect("stands");
    case.add(read(&vehicle, "TA1", "PSU-", "12.90")).expect("stands");
}

/// Every kind of entry. A new kind fails to compile here until it is added.
fn one_of_each(vehicle: &Vehicle) -> Vec<Entry> {
    let lamp = part(vehicle, "lampA");
    let toggle = vehicle.find_control("SA").expect("SA");
    let point = |name: &str| vehicle.find_point(name).expect(name);
    let sign_of = |sign| Entry::Observe { settings: Vec::new(), subject: lamp, sign };
    let every_sign = [
        Sign::Looks(Appearance::Dead),
        Sign::Looks(Appearance::Weak),
        Sign::Looks(Appearance::Works),
        Sign::Sometimes,
        Sign::StaysOn,
        Sign::Glows,
        Sign::Hot,
        Sign::Cool,
        Sign::Green,
        Sign::ComesBack,
        Sign::NoBetter,
    ];
    let fuse = Entry::Observe { settings: Vec::new(), subject: part(vehicle, "FA"), sign: Sign::BlowsFuse };
    let battery = Entry::Observe { settings: Vec::new(), subject: part(vehicle, "PSU"), sign: Sign::GoesFlat };
    let absent = Entry::Read {
        settings: vec![(toggle, Position::On)],
        probe: Probe::voltage(point("TA3"), point("PSU-")),
        measured: "-340.5mV".parse().expect("volts"),
        symptom: Symptom::Absent,
    };
    let of = |probe: Probe, measured: &str| Entry::Read {
        settings: Vec::new(),
        probe,
        measured: measured.parse().expect("a value"),
        symptom: Symptom::Perhaps,
    };
    let (red, black) = (point("TA1"), point("TA4"));
    let probes = [
        of(Probe::Voltage { red, black, burden: Burden::Lamp }, "0.02"),
        of(Probe::Voltage { red, black, burden: Burden::Each(point("PSU-")) }, "0.5"),
        of(Probe::Resistance { red, black }, "4.7k"),
        of(Probe::Resistance { red, black }, "ol"),
        of(Probe::Current { part: lamp }, "48mA"),
        of(Probe::fixed(vehicle, part(vehicle, "BM")).expect("an instrument"), "12.61"),
        of(Probe::fixed(vehicle, part(vehicle, "BA")).expect("an instrument"), "-4.2A"),
    ];
    let said = |name: &str, sign| Entry::Observe { settings: Vec::new(), subject: part(vehicle, name), sign };
    let signs = [
        said("KB.coil", Sign::Clicks),
        said("KB.coil", Sign::Silent),
        said("FA", Sign::LooksWhole),
        said("FA", Sign::LooksBlown),
        said("PSU", Sign::Gives),
        said("PSU", Sign::Idle),
        said("PSU", Sign::Uncharged),
        said("PSU", Sign::ChargesLittle),
    ];
    let wandered = Entry::Read {
        settings: Vec::new(),
        probe: Probe::voltage(red, black),
        measured: Measured::wandering("4.8".parse().expect("volts"), "11.9".parse().expect("volts")).expect("volts"),
        symptom: Symptom::Wanders,
    };
    let unwanted = [Sense::Look, Sense::Listen, Sense::Fuse, Sense::Feel, Sense::Source]
        .map(|sense| Entry::Unwanted { test: Test::Sense { subject: lamp, sense } });
    let aids = [
        Aid::Feed { load: lamp, supply: part(vehicle, "PSU"), both: true },
        Aid::Bridge { part: part(vehicle, "SA") },
        Aid::Off { part: part(vehicle, "WA"), at: point("TA2") },
        Aid::Lamp { load: part(vehicle, "fan") },
    ];
    let every_aid = aids.map(|aid| (vehicle.find_aid(aid).expect("an aid"), Position::On)).to_vec();
    let mut entries = vec![
        Entry::Set { settings: vec![(toggle, Position::On)] },
        Entry::Set { settings: every_aid },
        read(vehicle, "TA1", "PSU-", "12.9"),
        absent,
        Entry::Retake { number: 2, measured: "12,30".parse().expect("volts") },
        Entry::Strike { number: 1 },
        Entry::BlackLead { point: point("TA4") },
        Entry::TakeMeter { kind: MeterKind::Good },
        Entry::TakeMeter { kind: MeterKind::Cheap },
        Entry::OutOfReach { point: point("FA.b") },
        Entry::Unwanted { test: Test::Measure(Probe::voltage(red, black)) },
        Entry::Walk { scope: Scope::Of(lamp) },
        Entry::Walk { scope: Scope::All },
        Entry::Walk { scope: Scope::Short },
        Entry::Heed { past: Past::Handover, counts: false },
        Entry::Heed { past: Past::History, counts: true },
        Entry::Note { text: "cover \"B\" was loose, 5 µm of rust\\dirt".into() },
        fuse,
        battery,
    ];
    entries.extend(every_sign.map(sign_of));
    entries.extend(probes);
    entries.push(wandered);
    entries.extend(signs);
    entries.extend(unwanted);
    entries.extend(asked(vehicle));
    entries.push(Entry::Repaired { part: part(vehicle, "JA.1") });
    for entry in &entries {
        match entry {
            Entry::Observe { .. }
            | Entry::Complain { .. }
            | Entry::Answer { .. }
            | Entry::Helping { .. }
            | Entry::Set { .. }
            | Entry::Read { .. }
            | Entry::Retake { .. }
            | Entry::Strike { .. }
            | Entry::Repaired { .. }
            | Entry::BlackLead { .. }
            | Entry::TakeMeter { .. }
            | Entry::OutOfReach { .. }
            | Entry::Unwanted { .. }
            | Entry::Walk { .. }
            | Entry::Heed { .. }
            | Entry::Note { .. } => {}
        }
    }
    entries
}

/// A complaint with its tree, an answer, one not wanted, and the phone.
fn asked(vehicle: &Vehicle) -> [Entry; 5] {
    let trees = built_in_trees().unwrap_or_else(|error| panic!("{error}"));
    let tree = trees.find("dead").expect("a tree");
    let question = trees.find_question(tree, "onset").expect("a question");
    let other = trees.find_question(tree, "wiggle").expect("a question");
    let (subject, sign) = (part(vehicle, "lampA"), Sign::Looks(Appearance::Dead));
    [
        Entry::Complain { settings: Vec::new(), subject, sign, tree },
        Entry::Answer { question, answer: 1 },
        Entry::Unwanted { test: Test::Ask(other) },
        Entry::Helping { channel: Channel::ByPhone },
        Entry::Helping { channel: Channel::OnSite },
    ]
}

#[test]
fn every_kind_of_entry_comes_back_from_disk() {
    let folder = Folder::new();
    let mut case = fresh("bench_board+panel");
    let vehicle = case.vehicle().clone();
    case.open(&folder.shelf(), "all", Access::Write).expect("begun");
    for entry in one_of_each(&vehicle) {
        case.add(entry.clone()).unwrap_or_else(|error| panic!("{entry:?}: {error}"));
    }
    let entered = case.entries().to_vec();
    drop(case);
    let mut again = fresh("bench_board+panel");
    let set_aside = again.open(&folder.shelf(), "all", Access::Write).expect("opened").expect("was there");
    assert!(set_aside.findings.is_empty(), "{:?}", set_aside.findings);
    assert_eq!(again.entries(), entered);
}

/// Same screen, and what was taken back can still be put in again.
#[test]
fn reopening_goes_on_where_it_was() {
    let folder = Folder::new();
    let mut case = fresh("bench_board");
    case.open(&folder.shelf(), "lamp", Access::Write).expect("begun");
    dim_lamp(&mut case);
    let before_undo = answer(&case);
    case.undo().expect("undone");
    case.undo().expect("undone");
    case.redo().expect("redone");
    let screen = answer(&case);
    drop(case);
    let mut again = fresh("bench_board");
    again.open(&folder.shelf(), "lamp", Access::Write).expect("opened");
    assert_eq!(answer(&again), screen);
    again.redo().expect("redone");
    assert_eq!(answer(&again), before_undo);
    assert_eq!(again.redo(), Err(CaseError::NothingToRedo));
}

#[test]
fn every_line_says_when_and_by_whom_and_names_things() {
    let folder = Folder::new();
    let mut case = fresh("bench_board");
    case.open(&folder.shelf(), "lamp", Access::Write).expect("begun");
    dim_lamp(&mut case);
    let text = fs::read_to_string(folder.case_file("lamp")).expect("a file");
    let lines: Vec<&str> = text.lines().collect();
    assert_eq!(lines.len(), 4, "{text}");
    assert!(
        lines[0].starts_with("Case(format: 1, name: \"lamp\", vehicle: \"Board B1\", file: \"board.ron\""),
        "{text}"
    );
    assert_eq!(
        lines[2],
        "Entry(no: 2, at: \"2026-11-25 12:00:00 +01:00\", by: \"ann\", did: Read(of: Volts(\"CB.out\", \"TA4\"), shows: V(3.29, 0.01)))"
    );
}

/// A file cut at every byte can be opened and gone on with; what is lost is at
/// most the line that was being written.
#[test]
fn a_file_cut_anywhere_opens_and_goes_on() {
    let folder = Folder::new();
    let mut case = fresh("bench_board");
    case.open(&folder.shelf(), "whole", Access::Write).expect("begun");
    dim_lamp(&mut case);
    drop(case);
    let whole = fs::read(folder.case_file("whole")).expect("a file");
    let vehicle = fresh("bench_board").vehicle().clone();
    for length in 0..whole.len() {
        fs::write(folder.case_file("cut"), &whole[..length]).expect("written");
        let opened = folder
            .shelf()
            .open("cut", Access::Write, &vehicle, &Trees::default())
            .unwrap_or_else(|error| panic!("{length}: {error}"));
        let lines = whole[..length].iter().filter(|&&byte| byte == b'\n').count();
        let (entries, findings) = opened.replayed.map_or((0, 0), |of| (of.entries.len(), of.findings.len()));
        assert!(entries + 1 >= lines && entries <= lines, "{length}: {entries} of {lines}");
        assert!(findings <= 1, "{length}");
    }
    fs::write(folder.case_file("cut"), &whole[..whole.len() - 9]).expect("written");
    let mut again = fresh("bench_board");
    let set_aside = again.open(&folder.shelf(), "cut", Access::Write).expect("opened").expect("was there");
    let said = render(&set_aside.file, &set_aside.findings[0]);
    assert!(said.contains("the last line was cut off") && said.contains("cases/cut.ron:4:1"), "{said}");
    again.add(Entry::Note { text: "after".into() }).expect("kept");
    drop(again);
    let mut third = fresh("bench_board");
    third.open(&folder.shelf(), "cut", Access::Write).expect("opened");
    assert_eq!(third.entries().len(), 3);
    assert_eq!(third.entries()[2], Entry::Note { text: "after".into() });
}

#[test]
fn a_damaged_line_in_the_middle_is_explained_and_the_rest_counts() {
    let folder = Folder::new();
    let mut case = fresh("bench_board");
    case.open(&folder.shelf(), "lamp", Access::Write).expect("begun");
    dim_lamp(&mut case);
    drop(case);
    let text = fs::read_to_string(folder.case_file("lamp")).expect("a file");
    for (what, damaged) in [
        ("a word", text.replace("did: Read(of: Volts(\"CB.out\"", "did: Raed(of: Volts(\"CB.out\"").into_bytes()),
        (
            "bytes",
            text.replace("CB.out", "C\u{1}B").into_bytes().into_iter().map(|b| if b == 1 { 0xff } else { b }).collect(),
        ),
        ("Windows ends of line", text.replace("V(3.29", "V(x").replace('\n', "\r\n").into_bytes()),
    ] {
        fs::write(folder.case_file("lamp"), damaged).expect("written");
        let mut again = fresh("bench_board");
        let set_aside = again.open(&folder.shelf(), "lamp", Access::ReadOnly).expect("opened").expect("was there");
        assert_eq!(again.entries().len(), 2, "{what}");
        assert_eq!(set_aside.findings.len(), 1, "{what}");
        let said = render(&set_aside.file, &set_aside.findings[0]);
        assert!(said.contains("cases/lamp.ron:3:"), "{what}: {said}");
    }
}

/// A part was renamed in the drawing: its entries are explained, with line and
/// column, and readings keep their meaning though one is missing.
#[test]
fn entries_survive_an_edited_drawing() {
    let folder = Folder::new();
    let mut case = fresh("bench_board");
    let vehicle = case.vehicle().clone();
    case.open(&folder.shelf(), "lamp", Access::Write).expect("begun");
    dim_lamp(&mut case);
    case.add(read(&vehicle, "JA.1.in", "PSU-", "12.62")).expect("stands");
    case.add(read(&vehicle, "TA2", "PSU-", "12.70")).expect("stands");
    case.add(Entry::Retake { number: 4, measured: "12.71".parse().expect("volts") }).expect("stands");
    drop(case);
    let text = fs::read_to_string(folder.case_file("lamp")).expect("a file");
    let edited = text.replace("\"CB.out\"", "\"CQ.out\"");
    assert_ne!(edited, text);
    fs::write(folder.case_file("lamp"), edited).expect("written");
    let mut again = fresh("bench_board");
    let set_aside = again.open(&folder.shelf(), "lamp", Access::Write).expect("opened").expect("was there");
    assert_eq!(set_aside.findings.len(), 1, "{:?}", set_aside.findings);
    let said = render(&set_aside.file, &set_aside.findings[0]);
    assert!(said.contains("the drawing has no point `CQ.out`") && said.contains("cases/lamp.ron:3:"), "{said}");
    assert_eq!(again.entries().len(), 5);
    // The reading at TA2 is the third of those left.
    assert_eq!(again.entries()[4], Entry::Retake { number: 3, measured: "12.71".parse().expect("volts") });
    again.add(Entry::Strike { number: 3 }).expect("stands");
    drop(again);
    fs::write(
        folder.case_file("lamp"),
        fs::read_to_string(folder.case_file("lamp")).expect("a file").replace("CQ.out", "CB.out"),
    )
    .expect("written");
    let mut mended = fresh("bench_board");
    mended.open(&folder.shelf(), "lamp", Access::Write).expect("opened");
    // Struck out is the reading that was meant, under the number it has now.
    assert_eq!(mended.entries().last(), Some(&Entry::Strike { number: 4 }));
}

/// A disk that takes so many lines and no more.
struct SmallDisk {
    room: usize,
}

impl Keeper for SmallDisk {
    fn append(&mut self, _: &str) -> io::Result<()> {
        self.room = self.room.checked_sub(1).ok_or(io::ErrorKind::StorageFull)?;
        Ok(())
    }
}

fn journal(keeper: impl Keeper + 'static) -> Result<Journal, KeepError> {
    let header = Header {
        format: 1,
        name: "x".into(),
        vehicle: "Board B1".into(),
        file: "board.ron".into(),
        begun: noon(),
        by: String::new(),
    };
    Journal::begin(Box::new(keeper), "cases/x.ron".into(), header, Clock::Standing(noon()), String::new())
}

#[test]
fn what_a_full_disk_refuses_is_not_entered() {
    let mut case = fresh("bench_board");
    case.keep_in(journal(SmallDisk { room: 4 }).expect("begun")).expect("nothing so far");
    dim_lamp(&mut case);
    let (screen, entries) = (answer(&case), case.entries().to_vec());
    let refused = case.add(Entry::Note { text: "one too many".into() }).expect_err("full");
    assert!(refused.to_string().starts_with("not entered, since `cases/x.ron` cannot be written"), "{refused}");
    assert!(case.undo().is_err() && case.redo() == Err(CaseError::NothingToRedo));
    assert_eq!((answer(&case), case.entries().to_vec()), (screen, entries));
}

#[cfg(target_os = "linux")]
#[test]
fn the_full_device_refuses_too() {
    let full = OpenOptions::new().read(true).write(true).open("/dev/full").expect("Linux has it");
    assert!(matches!(journal(DiskFile::new(full)), Err(KeepError::Refused { .. })));
}

fn halfsplit(folder: &Folder, case: &str) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_halfsplit"));
    command.arg(folder.board()).args(["--case", case, "--by", "ann"]).env("HALFSPLIT_HISTORY", "/dev/null");
    command.stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped());
    command
}

/// A limit on the size of files, as a full disk: what was answered is there,
/// what was not is not, and with room again it goes on.
#[cfg(unix)]
#[test]
fn a_disk_that_fills_up_loses_nothing_that_was_answered() {
    let folder = Folder::new();
    let mut limited = Command::new("sh");
    // One or two blocks of 512 or 1024 bytes, as the shell counts.
    let script = "trap '' XFSZ; ulimit -f 2; exec \"$0\" \"$@\"";
    limited.args(["-c", script, env!("CARGO_BIN_EXE_halfsplit")]).arg(folder.board()).args(["--case", "full"]);
    limited.stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped());
    let mut child = limited.spawn().expect("started");
    let mut stdin = child.stdin.take().expect("a pipe");
    let notes: String = (0..60).map(|count| format!("note number {count}\n")).collect();
    stdin.write_all(notes.as_bytes()).expect("written");
    drop(stdin);
    let output = child.wait_with_output().expect("ended");
    let (said, complaints) = (String::from_utf8_lossy(&output.stdout), String::from_utf8_lossy(&output.stderr));
    let answered = said.matches("Entered: note").count();
    assert!(answered > 0 && answered < 60, "{answered}");
    assert!(complaints.contains("cannot be written"), "{complaints}");
    assert_eq!(output.status.code(), Some(1));
    let mut case = fresh("bench_board");
    let set_aside = case.open(&folder.shelf(), "full", Access::Write).expect("opened").expect("was there");
    assert!(set_aside.findings.is_empty(), "{:?}", set_aside.findings);
    assert_eq!(case.entries().len(), answered);
    case.add(Entry::Note { text: "with room".into() }).expect("kept");
}

/// Killed at many moments: every entry that was answered is there.
#[cfg(unix)]
#[test]
fn a_killed_program_loses_nothing_that_was_answered() {
    let folder = Folder::new();
    let notes: String = (0..400).map(|count| format!("note {count}\n")).collect();
    let (mut kept, mut answered_in_all, mut cut_short) = (0, 0, 0);
    for round in 0..200u64 {
        let mut child = halfsplit(&folder, "killed").spawn().expect("started");
        let mut stdin = child.stdin.take().expect("a pipe");
        let feeder = {
            let notes = notes.clone();
            // The pipe breaks when the program is killed.
            std::thread::spawn(move || drop(stdin.write_all(notes.as_bytes())))
        };
        std::thread::sleep(Duration::from_micros(3_000 + (round * 7_919) % 37_000));
        child.kill().expect("killed");
        child.wait().expect("gone");
        feeder.join().expect("fed");
        let mut said = String::new();
        let mut out = child.stdout.take().expect("a pipe");
        out.read_to_string(&mut said).expect("text");
        let answered = said.lines().filter(|line| line.starts_with("Entered: note")).count();
        answered_in_all += answered;
        if !folder.case_file("killed").exists() {
            continue;
        }
        let vehicle = fresh_vehicle();
        let opened = folder.shelf().open("killed", Access::ReadOnly, &vehicle, &Trees::default());
        let now = match opened {
            Ok(opened) => opened.replayed.expect("was there"),
            // Killed before its first line was whole.
            Err(ShelfError::NoCase { .. }) if kept == 0 => continue,
            Err(error) => panic!("round {round}: {error}"),
        };
        cut_short += now.findings.len();
        assert!(now.entries.len() >= kept + answered, "round {round}: {kept} + {answered}, {}", now.entries.len());
        assert!(now.entries.len() <= kept + answered + 1, "round {round}: more than one entry was not answered");
        kept = now.entries.len();
    }
    println!("200 kills, {answered_in_all} entries answered, {kept} kept, {cut_short} lines cut short");
    assert!(answered_in_all > 200, "only {answered_in_all} entries were answered");
}

fn fresh_vehicle() -> Vehicle {
    let file = SourceFile::new("board.ron".into(), SAMPLES[2].1.into());
    parse(file).expect("a sample").vehicle
}

#[test]
fn a_second_program_is_told_and_may_look() {
    let folder = Folder::new();
    let mut first = halfsplit(&folder, "shared").spawn().expect("started");
    let mut stdin = first.stdin.take().expect("a pipe");
    writeln!(stdin, "note mine").expect("written");
    let mut lines = BufReader::new(first.stdout.take().expect("a pipe")).lines();
    assert_eq!(lines.next().expect("a line").expect("text"), "Entered: note: mine.");

    let mut second = halfsplit(&folder, "shared").spawn().expect("started");
    drop(second.stdin.take());
    let output = second.wait_with_output().expect("ended");
    let said = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(2));
    assert!(
        said.contains("case `shared` is open in another halfsplit (last written") && said.contains("by ann"),
        "{said}"
    );

    let mut third = halfsplit(&folder, "shared").arg("--read-only").spawn().expect("started");
    third.stdin.take().expect("a pipe").write_all(b"record\nnote theirs\n").expect("written");
    let output = third.wait_with_output().expect("ended");
    assert!(String::from_utf8_lossy(&output.stdout).contains("note: mine"));
    assert!(String::from_utf8_lossy(&output.stderr).contains("open to look at only"));

    drop(stdin);
    assert!(first.wait().expect("ended").success());
    let mut after = fresh("bench_board");
    after.open(&folder.shelf(), "shared", Access::Write).expect("free again");
    assert_eq!(after.entries().len(), 1);
}

#[test]
fn what_is_no_case_of_this_vehicle_is_not_touched() {
    let folder = Folder::new();
    let shelf = folder.shelf();
    let board = fresh_vehicle();
    shelf.open("lamp", Access::Write, &board, &Trees::default()).map(drop).expect("begun");
    let other = Shelf::new(folder.0.join("cases"), "van.ron".into(), String::new(), Clock::Standing(noon()));
    let van = fresh("clinic_van");
    let refused =
        other.open("lamp", Access::Write, van.vehicle(), &Trees::default()).map(drop).expect_err("another vehicle");
    assert!(matches!(refused, ShelfError::OtherVehicle { .. }), "{refused}");
    assert!(other.list(van.vehicle(), van.trees()).is_empty() && shelf.list(&board, van.trees()).len() == 1);

    fs::write(folder.case_file("notes"), "Tuesday: oil\n").expect("written");
    let refused = shelf.open("notes", Access::Write, &board, &Trees::default()).map(drop).expect_err("no case");
    assert!(matches!(refused, ShelfError::NoCase { .. }), "{refused}");
    assert_eq!(fs::read_to_string(folder.case_file("notes")).expect("a file"), "Tuesday: oil\n");

    let text = fs::read_to_string(folder.case_file("lamp")).expect("a file").replace("format: 1", "format: 2");
    fs::write(folder.case_file("lamp"), text).expect("written");
    let refused = shelf.open("lamp", Access::Write, &board, &Trees::default()).map(drop).expect_err("newer");
    assert!(matches!(refused, ShelfError::TooNew { .. }), "{refused}");
}

/// Entries made before a case had a name go with it, and no other case takes
/// their place unasked.
#[test]
fn entries_without_a_case_are_not_lost_by_opening_one() {
    let folder = Folder::new();
    let mut case = fresh("bench_board");
    case.open(&folder.shelf(), "old", Access::Write).expect("begun");
    drop(case);
    let mut case = fresh("bench_board");
    dim_lamp(&mut case);
    let refused = case.open(&folder.shelf(), "old", Access::Write).map(drop);
    assert_eq!(refused, Err(CaseError::WouldBeLost { name: "old".into() }));
    assert_eq!(case.entries().len(), 3);
    case.open(&folder.shelf(), "new", Access::Write).expect("begun");
    drop(case);
    let mut again = fresh("bench_board");
    again.open(&folder.shelf(), "new", Access::Write).expect("opened");
    assert_eq!(again.entries().len(), 3);
}

/// An entry that the drawing as it is now makes impossible is set aside.
#[test]
fn an_entry_that_cannot_stand_any_more_is_set_aside() {
    let folder = Folder::new();
    let mut case = fresh("bench_board");
    case.open(&folder.shelf(), "lamp", Access::Write).expect("begun");
    dim_lamp(&mut case);
    case.add(Entry::Strike { number: 1 }).expect("stands");
    drop(case);
    let path = folder.case_file("lamp");
    let text = fs::read_to_string(&path).expect("a file");
    let twice: String = text.lines().chain(text.lines().last()).map(|line| format!("{line}\n")).collect();
    fs::write(&path, twice).expect("written");
    let mut again = fresh("bench_board");
    let set_aside = again.open(&folder.shelf(), "lamp", Access::Write).expect("opened").expect("was there");
    assert_eq!((again.entries().len(), set_aside.findings.len()), (4, 1));
    assert!(set_aside.findings[0].headline.contains("there is no reading number 1"));
}

/// What nobody could have entered at the prompt does not get in by a file.
#[test]
fn numbers_that_no_meter_shows_are_set_aside() {
    let folder = Folder::new();
    let mut case = fresh("bench_board");
    case.open(&folder.shelf(), "lamp", Access::Write).expect("begun");
    dim_lamp(&mut case);
    drop(case);
    let path = folder.case_file("lamp");
    let text = fs::read_to_string(&path).expect("a file");
    for wrong in ["NaN", "inf", "-1e300", "1231.0"] {
        let last = "Entry(no: 18446744073709551615, at: \"2026-11-25 12:00:00 +01:00\", by: \"\", did: Retake(of: 9, shows: V(1.0, 0.1)))\n";
        fs::write(&path, text.replace("V(3.29", &format!("V({wrong}")) + last).expect("written");
        let mut again = fresh("bench_board");
        let set_aside = again.open(&folder.shelf(), "lamp", Access::ReadOnly).expect("opened").expect("was there");
        let said: Vec<String> = set_aside.findings.iter().map(|finding| render(&set_aside.file, finding)).collect();
        assert_eq!((again.entries().len(), said.len()), (2, 2), "{wrong}: {said:?}");
        assert!(said[0].contains("no value that a meter shows") && said[0].contains("lamp.ron:3:"), "{}", said[0]);
        assert!(said[1].contains("entry 9 is no reading") && said[1].contains("lamp.ron:5:"), "{}", said[1]);
    }
}

/// Pipes, scripts and samples leave nothing behind unless they are told to.
#[test]
fn a_pipe_keeps_nothing_unasked() {
    let folder = Folder::new();
    let mut command = Command::new(env!("CARGO_BIN_EXE_halfsplit"));
    command.arg(folder.board()).current_dir(&folder.0).env("HALFSPLIT_HISTORY", "/dev/null");
    command.stdin(Stdio::piped()).stdout(Stdio::null());
    let mut child = command.spawn().expect("started");
    child.stdin.take().expect("a pipe").write_all(b"note hello\n").expect("written");
    assert!(child.wait().expect("ended").success());
    assert!(!Path::new(&folder.0.join("cases")).exists());
}

/// A case that takes long to weigh is still only read once: the engine of the
/// first case serves the next.
#[test]
fn cases_follow_one_another_in_one_session() {
    let folder = Folder::new();
    let rates = built_in_tables().unwrap_or_else(|error| panic!("{error}"));
    let mut case = Case::new(Engine::new(Rc::new(fresh_vehicle()), rates)).expect("solvable");
    case.open(&folder.shelf(), "one", Access::Write).expect("begun");
    dim_lamp(&mut case);
    let screen = answer(&case);
    case.open(&folder.shelf(), "two", Access::Write).expect("begun");
    assert!(case.entries().is_empty());
    case.open(&folder.shelf(), "one", Access::Write).expect("opened");
    assert_eq!(answer(&case), screen);
}

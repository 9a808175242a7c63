//! The binary from outside: exit codes, streams, machine form.

use assert_cmd::Command;
use serde_json::Value;

fn halfsplit() -> Command {
    let mut command = Command::cargo_bin("halfsplit").expect("built");
    command.env("HALFSPLIT_HISTORY", "/dev/null").env_remove("NO_COLOR");
    command
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8(bytes.to_vec()).expect("UTF-8")
}

#[test]
fn a_script_that_is_understood_ends_with_0_and_plain_text() {
    let run = halfsplit().write_stdin("dead fridge\nFC1.b 12.9\n").assert().code(0);
    let out = text(&run.get_output().stdout);
    assert!(out.contains("Entered: red FC1.b, black B2-: 12.90 V."), "{out}");
    assert!(!out.contains('\u{1b}') && !out.contains("halfsplit> "), "{out}");
    assert!(run.get_output().stderr.is_empty());
}

#[test]
fn a_line_that_fails_is_named_and_later_lines_still_run() {
    let run = halfsplit().write_stdin("dead frigde\nnote carried on\n").assert().code(1);
    let (out, complaint) = (text(&run.get_output().stdout), text(&run.get_output().stderr));
    assert_eq!(complaint, "line 1: No load is called `frigde`; did you mean `fridge`?\n");
    assert!(out.contains("carried on"), "{out}");
}

#[test]
fn strict_stops_at_the_first_line_that_fails() {
    let run = halfsplit().arg("--strict").write_stdin("dead frigde\nnote carried on\n").assert().code(1);
    assert!(!text(&run.get_output().stdout).contains("carried on"));
}

#[test]
fn bad_arguments_and_unreadable_vehicles_end_with_2() {
    halfsplit().arg("--no-such-thing").assert().code(2);
    halfsplit().args(["--sample", "tractor"]).assert().code(2);
    let run = halfsplit().arg("no/such/file.ron").assert().code(2);
    assert!(text(&run.get_output().stderr).contains("expected a file at `no/such/file.ron`"));
    halfsplit().arg("Cargo.toml").assert().code(2);
}

#[test]
fn a_script_can_come_from_a_file() {
    let folder = std::env::temp_dir().join(format!("halfsplit-{}", std::process::id()));
    std::fs::create_dir_all(&folder).expect("a folder");
    let path = folder.join("script.txt");
    std::fs::write(&path, "dead fridge\r\nleave\r\nnonsense\r\n").expect("a file");
    halfsplit().arg("--script").arg(&path).assert().code(0);
}

#[test]
fn machine_form_is_one_object_per_answer() {
    let run = halfsplit().arg("--machine").write_stdin("dead fridge\n\nnonsense\nFC1.b 12.9\n").assert().code(1);
    let out = text(&run.get_output().stdout);
    let objects: Vec<Value> = out.lines().map(|line| serde_json::from_str(line).expect("JSON")).collect();
    assert_eq!(objects.len(), 3);
    assert_eq!(objects[1]["line"], 3);
    assert!(objects[1]["error"].as_str().expect("an error").contains("nonsense"));
    assert!(objects[0]["text"].as_str().is_some_and(|text| text.contains("Entered: fridge")), "{}", objects[0]);
    let last = &objects[2];
    assert!(last["segment"]["parts"].as_array().is_some_and(|parts| !parts.is_empty()), "{last}");
    assert!(last["parts"][0]["probability"].as_f64().is_some_and(|probability| probability > 0.0));
    assert!(last["next"]["minutes"].as_f64().is_some_and(|minutes| minutes > 0.0));
    assert!(last["next"]["outcomes"].as_array().is_some_and(|outcomes| !outcomes.is_empty()));
}

#[test]
fn a_proof_is_there_for_programs_too() {
    let typed = "dead lampA\nfixed JA.1\nworks lampA\nproof\n";
    let run = halfsplit().args(["--machine", "--sample", "bench_board"]).write_stdin(typed).assert().code(0);
    let out = text(&run.get_output().stdout);
    let objects: Vec<Value> = out.lines().map(|line| serde_json::from_str(line).expect("JSON")).collect();
    assert!(objects[0]["proof"].is_null() && objects[0]["case"].is_null());
    let proof = &objects[3]["proof"];
    assert_eq!((&proof["repaired"], &proof["verdict"]), (&"JA.1".into(), &"unfinished".into()));
    assert_eq!((&proof["checks"][0]["do"], &proof["checks"][0]["outcome"]), (&"look".into(), &"pass".into()));
    let reading = &proof["checks"][1];
    assert_eq!((&reading["outcome"], &reading["limit_source"]), (&"open".into(), &"practice".into()));
    assert!(reading["volts"]["low"].as_f64() < reading["volts"]["high"].as_f64(), "{reading}");
}

#[test]
fn bytes_that_are_no_text_are_an_error_and_no_crash() {
    let mut line = b"dead \xff\xfe\n".to_vec();
    line.extend(b"note after\n");
    let run = halfsplit().write_stdin(line).assert().code(1);
    assert!(text(&run.get_output().stdout).contains("after"));
}

#[test]
fn every_sample_checks_without_errors() {
    for name in ["clinic_van", "sprayer_truck", "bench_board"] {
        let run = halfsplit().args(["--check", "--sample", name]).assert().code(0);
        assert!(text(&run.get_output().stdout).contains("no errors"), "{name}");
    }
}

/// Trees, vehicles and cases, by what their first words say they are.
#[test]
fn check_covers_trees_vehicles_and_cases() {
    let folder = std::env::temp_dir().join(format!("halfsplit-check-{}", std::process::id()));
    std::fs::create_dir_all(folder.join("cases")).expect("a folder");
    let put = |name: &str, text: &str| std::fs::write(folder.join(name), text).expect("written");
    put("board.ron", include_str!("../../samples/bench_board.ron"));
    put("dead.ron", include_str!("../../trees/dead.ron"));
    let board = folder.join("board.ron");
    let lines = "case lamp\ncomplaint the lampA is dead\nanswer onset slowly\n";
    halfsplit().arg(&board).arg("--no-case").write_stdin(lines).assert().code(0);
    let run = halfsplit().arg("check").arg(&folder).assert().code(0);
    let out = text(&run.get_output().stdout);
    assert!(out.contains("board.ron: vehicle, no errors, 0 warnings"), "{out}");
    assert!(out.contains("lamp.ron: case of Board B1, 2 entries, 0 set aside"), "{out}");
    assert!(out.contains("dead.ron: tree `dead`, no errors"), "{out}");
    put("dead.ron", "Tree(class: \"dead\")");
    let run = halfsplit().arg("check").arg(&folder).assert().code(1);
    let out = text(&run.get_output().stdout);
    assert!(out.contains("`Tree` needs `title`, but has none") && out.contains("dead.ron:1:1"), "{out}");
    std::fs::remove_dir_all(&folder).expect("gone");
}

/// From nothing to the first advised test in two lines.
#[test]
fn a_line_is_enough_for_the_first_test() {
    let line = "battery 12 V, fuse 15 A, 6 m cable 2.5, switch, plug, lamp 55 W, chassis";
    let run = halfsplit().args(["--sketch", line]).write_stdin("complaint lamp dead\n").assert().code(0);
    let out = text(&run.get_output().stdout);
    assert!(out.contains("Next: ") && out.contains("complaint `dead`"), "{out}");
    let run = halfsplit().args(["--sketch", "battery 12 V, lmap"]).assert().code(2);
    let complaint = text(&run.get_output().stderr);
    assert!(complaint.contains("did you mean `lamp`?"), "{complaint}");
}

/// A saved sketch is a vehicle file like any other, and is not written over.
#[test]
fn a_sketch_is_saved_once() {
    let folder = std::env::temp_dir().join(format!("halfsplit-sketch-{}", std::process::id()));
    std::fs::create_dir_all(&folder).expect("a folder");
    let file = folder.join("lamp.ron");
    let lines = format!("complaint lamp dead\nsave {0}\nsave {0}\ncase on-the-road\n", file.display());
    let run = halfsplit().args(["--sketch", "fuse 15 A, switch, lamp"]).write_stdin(lines).assert().code(1);
    assert!(text(&run.get_output().stderr).contains("is there already"));
    halfsplit().arg("check").arg(&folder).assert().code(0);
    assert!(folder.join("cases/on-the-road.ron").is_file());
    std::fs::remove_dir_all(&folder).expect("gone");
}

#[test]
fn by_phone_is_one_instruction_at_a_time() {
    let run = halfsplit().arg("--phone").write_stdin("complaint the fridge is dead\n").assert().code(0);
    let out = text(&run.get_output().stdout);
    assert_eq!(out.matches("Say: \"").count(), 1, "{out}");
}

#[test]
fn size_review_and_compare_answer_as_text_and_as_one_object() {
    let object = |arguments: &[&str]| -> Value {
        let run = halfsplit().args(arguments).arg("--machine").assert().code(0);
        serde_json::from_str(&text(&run.get_output().stdout)).expect("one JSON object")
    };
    let sized = object(&["size", "8.5A", "--one-way", "4"]);
    assert_eq!((&sized["cable"]["mm2"], &sized["fuse_amps"]), (&Value::from(1.5), &Value::from(15.0)));
    let out = text(&halfsplit().args(["size", "100W", "--there-and-back", "8"]).assert().code(0).get_output().stdout);
    assert!(out.contains("100 W / 12 V = 8.33 A") && out.contains("33 CFR") && out.contains("Local codes"), "{out}");

    for sample in ["clinic_van", "sprayer_truck", "bench_board"] {
        let review = object(&["review", "--sample", sample, "--cases", "0"]);
        assert!(review["single"][0]["circuits"].as_u64().is_some_and(|circuits| circuits > 1), "{sample}");
        assert!(review["testability"].is_null() && review["proposals"].is_null());
        halfsplit().args(["review", "--sample", sample, "--cases", "0"]).assert().code(0);
    }
    let van = concat!(env!("CARGO_MANIFEST_DIR"), "/samples/clinic_van.ron");
    assert_eq!(object(&["compare", van, van])["changed"], Value::Array(Vec::new()));
}

#[test]
fn what_size_and_review_cannot_do_is_said() {
    for (arguments, said) in [
        (&["size", "8.5", "--one-way", "4"][..], "a number above nothing with its unit"),
        (&["size", "8.5A"], "--one-way"),
        (&["size", "8.5A", "--one-way", "0"], "must be above nothing"),
        (&["size", "900A", "--one-way", "4"], "split the load"),
        (&["size", "8A", "--one-way", "4", "--ambient", "80", "--insulation", "60"], "carries nothing"),
        (&["review", "--use", "frigde"], "did you mean `fridge`?"),
        (&["review", "--proposals", "--cases", "0"], "needs simulated faults"),
        (&["review", "--use", "fridge:140"], "from 0 to 100 %"),
        (&["compare", "no.ron", "nor.ron"], "expected a file at `no.ron`"),
    ] {
        let run = halfsplit().args(arguments).assert().code(2);
        let out = text(&run.get_output().stderr);
        assert!(out.contains(said), "{arguments:?}: {out}");
    }
}

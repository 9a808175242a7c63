//! A vehicle of one's own: made from nothing, looked over, changed, laid out, and a
//! second one of its build. Faults are hunted in both by the stories on
//! `own_vehicle/…`.

use crate::tables::built_in;
use assert_cmd::Command;
use halfsplit::belief::Engine;
use halfsplit::case::Case;
use halfsplit::files::reference::{KeyTakes, kind, kinds};
use halfsplit::files::{LoadError, Loaded, SAMPLES, built_in_tables, laid_out, load, parse};
use halfsplit::findings::findings;
use halfsplit::predict::Predictor;
use halfsplit::repl::{Session, Understanding};
use halfsplit::sketch::{Extra, Own, OwnQuestion, Questionnaire, own_file};
use halfsplit::source::{Severity, SourceFile, render};
use halfsplit::vehicle::Vehicle;
use std::fs;
use std::path::PathBuf;
use std::rc::Rc;
use std::sync::atomic::{AtomicUsize, Ordering};

/// Wider than any line, so that none is broken.
const UNBROKEN: usize = 10_000;

/// A folder of its own, gone when it is done with.
struct Folder(PathBuf);

impl Folder {
    fn new() -> Self {
        static COUNT: AtomicUsize = AtomicUsize::new(0);
        let count = COUNT.fetch_add(1, Ordering::Relaxed);
        let path = std::env::temp_dir().join(format!("halfsplit-own-{}-{count}", std::process::id()));
        fs::create_dir_all(&path).expect("a folder");
        Self(path)
    }

    fn write(&self, name: &str, text: &str) -> String {
        let path = self.0.join(name);
        fs::write(&path, text).expect("written");
        path.to_string_lossy().into_owned()
    }

    fn path(&self, name: &str) -> String {
        self.0.join(name).to_string_lossy().into_owned()
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.0);
    }
}

/// The program with some arguments and lines; its exit status and what it says.
fn program(arguments: &[&str], lines: &str) -> (i32, String) {
    let mut command = Command::cargo_bin("halfsplit").expect("built");
    command.env("HALFSPLIT_HISTORY", "/dev/null").args(arguments).write_stdin(lines.to_string());
    let output = command.output().expect("run");
    let said = [output.stdout, output.stderr].concat();
    (output.status.code().expect("a status"), String::from_utf8(said).expect("UTF-8"))
}

fn read(text: &str) -> Result<Loaded, LoadError> {
    parse(SourceFile::new("own.ron".into(), text.to_string()))
}

fn good(text: &str) -> Loaded {
    read(text).unwrap_or_else(|error| panic!("{error}"))
}

/// What is found in a vehicle, headline by headline.
fn found(loaded: &Loaded) -> Vec<String> {
    let tables = built_in_tables().unwrap_or_else(|error| panic!("{error}"));
    let predictor = Predictor::new(Rc::new(loaded.vehicle.clone()), tables);
    loaded.warnings.iter().cloned().chain(findings(&predictor)).map(|finding| finding.headline).collect()
}

/// What is wrong with a text, headline and help.
fn wrong(text: &str) -> Vec<(String, String)> {
    match read(text) {
        Err(LoadError::Rejected { findings, .. }) => findings.into_iter().map(|of| (of.headline, of.help)).collect(),
        Err(error) => panic!("{error}"),
        Ok(_) => panic!("nothing wrong"),
    }
}

fn session(loaded: Loaded) -> Session {
    let tables = built_in_tables().unwrap_or_else(|error| panic!("{error}"));
    let engine = Engine::new(Rc::new(loaded.vehicle), tables);
    Session::new(Case::new(engine).unwrap_or_else(|error| panic!("{error}")), loaded.file, loaded.warnings)
}

fn told(session: &mut Session, line: &str) -> String {
    let reply = session.handle(line);
    assert_eq!(reply.outcome, Understanding::Understood, "{line}: {}", reply.text(UNBROKEN));
    reply.text(UNBROKEN)
}

/// Every part by what the network makes of it: name, ends, resistance, spread, gates.
fn parts(vehicle: &Vehicle) -> Vec<String> {
    let point = |id| vehicle.point(id).names.join("=");
    let told = |part: &halfsplit::vehicle::Part| {
        let (from, to) = (point(part.from), point(part.to));
        format!("{} {from} {to} {:?} {} {:?}", part.name, part.resistance.value, part.spread, part.gates)
    };
    vehicle.parts.iter().map(told).collect()
}

/// A small vehicle with something in its runs, its relays and its places.
fn small(relays: &str, supplies: &str, runs: &str) -> String {
    format!(
        r#"Vehicle(
    name: "own", nominal: 12, black: "B-",
    places: [ Place(name: "box", minutes: 1), Place(name: "roof", minutes: 5, open: "ladder") ],
    supplies: [ {supplies} ],
    relays: [ {relays} ],
    buses: [ Bus(name: "DB", at: "box"), Bus(name: "NB", at: "box") ],
    runs: [
        Run(name: "main", from: "B+", to: "DB", at: "box", parts: [ Fuse(name: "F0", amps: 60), Cable(name: "W0", metres: 1, mm2: 16) ]),
        Run(name: "negative", from: "NB", to: "B-", at: "box", parts: [ Cable(name: "W0b", metres: 1, mm2: 16) ]),
        {runs}
    ],
)"#
    )
}

const BATTERY: &str = r#"Battery(name: "B", rest: 12.7, at: "box")"#;
const LAMP: &str = r#"Run(name: "lamp", from: "DB", to: "NB", at: "box", parts: [
    Fuse(name: "F1", amps: 10), Switch(name: "S1"), Cable(name: "W1", metres: 4, mm2: 2.5),
    Load(name: "lamp", label: "work lamp", kind: Lamp, watts: 55, at: "roof"), Joint(name: "J1"), Cable(name: "W2", metres: 4, mm2: 2.5) ]),"#;

/// Whatever is answered, the file loads and nothing in it looks wrong.
#[test]
fn what_is_made_loads_without_a_word() {
    let circuits: [&[&str]; 4] = [
        &["lamp"],
        &["fridge 60 W, 4 m", "reading lamp: led 10 W, switch, 3 m", "relay, pump 8 A, 3 m"],
        &["work light: lamp 55 W, plug, 8 m, chassis", "inverter 1000 W, 2 m", "usb socket", "fan", "fan", "radio"],
        &[
            "horn, relay, fuse 20 A, chassis",
            "heater 200 W, 12 m",
            "tracker",
            "\"odd\\name\": lamp",
            "body: lamp",
            "B: lamp",
        ],
    ];
    let extras: [&[Extra]; 5] =
        [&[], &[Extra::Charger], &[Extra::SecondBattery], &[Extra::Trailer], &[Extra::Charger, Extra::Trailer]];
    for battery in ["", "24 V", "lithium 200 Ah", "24 V lithium"] {
        for lines in circuits {
            for extra in extras {
                let mut own = Own::usual(&built_in().sketch);
                own.take_battery(battery).expect("a battery");
                lines.iter().for_each(|line| own.add_circuit(line).unwrap_or_else(|error| panic!("{line}: {error}")));
                own.extras = extra.to_vec();
                let written = own_file(&own, &built_in().sketch);
                let loaded = good(&written.text);
                let findings = found(&loaded);
                assert!(findings.is_empty(), "{battery} {lines:?} {extra:?}: {findings:#?}\n{}", written.text);
                assert!(loaded.vehicle.find_part(&written.load).is_some(), "{}", written.load);
                assert_eq!(laid_out(&written.text).expect("sound"), written.text, "laid out as `format` does");
                // What every circuit is made of.
                assert_eq!(written.supposed.len(), lines.len());
            }
        }
    }
}

/// LoadNames that are spoken for, or given already, are told apart.
#[test]
fn names_of_loads_do_not_meet() {
    let mut own = Own::usual(&built_in().sketch);
    for line in ["lamp", "lamp", "DB: lamp", "nb: fan"] {
        own.add_circuit(line).expect("a circuit");
    }
    let loaded = good(&own_file(&own, &built_in().sketch).text);
    let names: Vec<&str> = loaded.vehicle.loads().map(|id| loaded.vehicle.part(id).name.as_str()).collect();
    assert_eq!(names, ["lamp", "lamp2", "db2", "nb2"]);
}

#[test]
fn questions_go_back_and_forth() {
    let mut asking = Questionnaire::new(&built_in().sketch);
    let mut asked = Vec::new();
    for line in ["Grey van", "100 Ah lithium", "lamp 10 W", "fan"] {
        asked.push(asking.question());
        asking.answer(line).unwrap_or_else(|error| panic!("{line}: {error}"));
    }
    assert_eq!(asked[2..], [Some(OwnQuestion::Circuit(1)), Some(OwnQuestion::Circuit(2))]);
    asking.back();
    assert_eq!((asking.question(), asking.own().circuits.len()), (Some(OwnQuestion::Circuit(2)), 1));
    // What is not understood is asked again, and takes nothing away.
    assert!(asking.answer("gizmo 3 W").is_err() && asking.answer("battery").is_err());
    assert!(asking.answer("lamp 5 W, fan").is_err(), "two loads");
    assert_eq!((asking.question(), asking.own().circuits.len()), (Some(OwnQuestion::Circuit(2)), 1));
    asking.answer("").expect("no more");
    assert_eq!(asking.question(), Some(OwnQuestion::Extras));
    assert!(asking.answer("charger, second battery").is_err());
    asking.answer("traier").expect("a near spelling");
    assert_eq!((asking.question(), &asking.own().extras[..]), (None, &[Extra::Trailer][..]));
    assert!(asking.own().battery.is_lithium);
}

/// By flags and through a pipe; a file that is there stays as it is.
#[test]
fn the_program_makes_a_file_and_overwrites_none() {
    let folder = Folder::new();
    let (path, other) = (folder.path("van.ron"), folder.path("other.ron"));
    let flags =
        ["new", &path, "--name", "Grey van", "--circuit", "fridge 60 W, 4 m", "--circuit", "lamp", "--with", "trailer"];
    let (status, said) = program(&flags, "");
    assert_eq!(status, 0, "{said}");
    let made = fs::read_to_string(&path).expect("made");
    let (status, said) = program(&["new", &other], "Grey van\n\nfridge 60 W, 4 m\nfan\nback\nlamp\n\ntrailer\n");
    assert_eq!(status, 0, "{said}");
    assert_eq!(fs::read_to_string(&other).expect("made"), made, "the same answers make the same file");
    let (status, said) = program(&["new", &path, "--name", "another"], "");
    assert_eq!((status, fs::read_to_string(&path).expect("still there")), (2, made), "{said}");
    assert!(said.contains("is there already"), "{said}");
    for bad in [["--circuit", "gizmo"], ["--with", "winch"], ["--battery", "48 V"]] {
        let path = folder.path("none.ron");
        let (status, said) = program(&["new", &path, bad[0], bad[1]], "");
        assert_eq!(status, 2, "{said}");
        assert!(said.contains(bad[0]) && !PathBuf::from(&path).exists(), "{said}");
    }
    assert_eq!(program(&["new", &folder.path("van.txt"), "--name", "x"], "").0, 2);
    let stopped = folder.path("stopped.ron");
    assert_eq!(program(&["new", &stopped], "x\nstop\n").0, 0);
    assert!(!PathBuf::from(&stopped).exists());
    // It works at once.
    let (status, said) = program(&[&path, "--no-case"], "dead fridge\nwhat fridge+\ntrace tail\n");
    assert_eq!(status, 0, "{said}");
    let (status, said) = program(&["check", &path], "");
    assert!(status == 0 && said.contains("no errors, 0 warnings"), "{said}");
}

/// The vehicle of the story: six circuits made by eight answers, laid down in
/// `tests/data`, and one of the same build with three differences.
#[test]
fn the_vehicle_of_the_stories_is_what_the_answers_make() {
    let answers = include_str!("../data/own_vehicle/answers.txt");
    let folder = Folder::new();
    let path = folder.path("van.ron");
    let (status, said) = program(&["new", &path], answers);
    assert_eq!(status, 0, "{said}");
    let kept = include_str!("../data/own_vehicle/van.ron");
    assert_eq!(fs::read_to_string(&path).expect("made"), kept);
    let data = |name: &str| format!("{}/tests/data/own_vehicle/{name}", env!("CARGO_MANIFEST_DIR"));
    let [first, second] =
        ["van.ron", "van2.ron"].map(|name| load(&data(name)).unwrap_or_else(|error| panic!("{error}")));
    assert!(found(&first).is_empty() && found(&second).is_empty(), "{:?} {:?}", found(&first), found(&second));
    assert!(first.vehicle.parts.len() >= 30 && first.vehicle.loads().count() == 6, "{}", first.vehicle.parts.len());
    let metres =
        |of: &Vehicle, name: &str| of.part(of.find_part(name).expect(name)).kind.cable().expect("a cable").length.0;
    assert_eq!((metres(&first.vehicle, "W1a"), metres(&second.vehicle, "W1a")), (4.0, 6.5));
    assert!(second.vehicle.find_part("radio").is_none() && second.vehicle.find_part("beacon").is_some());
    assert_ne!(first.vehicle.name, second.vehicle.name);
}

/// From nothing to a fault found, through the program alone: answers make a vehicle, a
/// second file makes another of the build, and a script hunts in each. 148 characters
/// typed make the first, and nothing of them is refused.
#[test]
fn from_nothing_to_a_fault_found_in_two_vehicles_of_a_build() {
    let answers = include_str!("../data/own_vehicle/answers.txt");
    assert!(answers.chars().count() <= 160, "{} characters", answers.chars().count());
    let folder = Folder::new();
    let first = folder.path("van.ron");
    let (status, said) = program(&["new", &first], answers);
    assert_eq!(status, 0, "{said}");
    let second = folder.write("van2.ron", include_str!("../data/own_vehicle/van2.ron"));
    let hunts = [
        (&first, "dead fridge\nwhole F1\nF1.b 12.45\nF1.out 0.02\nF1.b F1.out 12.43\n", "Found: F1/out"),
        (&second, "dead fridge\nwhole F1\nF1.out 12.45\nfridge- 12.42\nfridge- NB 12.42\n", "Found: W1b"),
    ];
    for (vehicle, lines, found) in hunts {
        let script = folder.write("hunt.txt", lines);
        let (status, said) = program(&[vehicle, "--no-case", "--strict", "--script", &script], "");
        assert!(status == 0 && said.contains(found), "{said}");
    }
}

/// `what` and the bare name of a point say the same, in one line.
#[test]
fn a_point_alone_says_what_it_should_read() {
    let mut session = session(good(&small("", BATTERY, LAMP)));
    let asked = told(&mut session, "what F1.out");
    assert_eq!(told(&mut session, "f1.out"), asked);
    assert_eq!(asked.trim_end().lines().count(), 1, "{asked}");
    let volts = told(&mut session, "expect F1.out");
    let band = |text: &str| text.split(" V").next().unwrap_or_default().rsplit(' ').next().map(str::to_string);
    assert_eq!(band(&asked[asked.find(": ").expect("a value")..]), band(&volts[volts.find(": ").expect("a value")..]));
    assert!(asked.contains("box"), "{asked}");
    // Against another point, and of one that hangs in the air.
    assert!(told(&mut session, "what lamp+ lamp-").contains("against lamp-"));
    assert!(session.case().entries().is_empty(), "asking enters nothing");
    for line in ["what", "what nowhere", "what F1", "nowhere", "what F1.in F1.out NB"] {
        assert_eq!(session.handle(line).outcome, Understanding::Failed, "{line}");
    }
    let mut van = self::session(good(SAMPLES[0].1));
    let point = van.case().vehicle().point_names().find(|name| name.ends_with(".87")).expect("a relay").to_string();
    assert!(told(&mut van, &point).contains(&point));
}

/// The reference is of what the reader reads: what it says has to be there has to be
/// there, and what it gives as an example loads.
#[test]
fn the_reference_is_of_what_is_read() {
    for word in ["Vehicle", "Fuse", "Battery", "Voltmeter", "Run", "Need", "Sleep", "Feed", "Capped", "Diode"] {
        assert!(kind(word).is_some(), "no {word}");
    }
    for kind in kinds() {
        assert!(!kind.keys.is_empty() && (kind.word == "Vehicle" || !kind.stands_in().is_empty()), "{}", kind.word);
        assert!(kind.example().starts_with(kind.word), "{}", kind.example());
        for key in &kind.keys {
            let has_unit =
                key.takes != KeyTakes::Number || key.bound().is_some() || matches!(key.name, "nominal" | "spread");
            assert!(has_unit, "`{}` of `{}` is a number without bounds", key.name, kind.word);
        }
    }
    let of = |word: &str, key: &str| {
        kind(word).and_then(|kind| kind.keys.iter().find(|of| of.name == key)).expect("a key").clone()
    };
    assert!(of("Fuse", "amps").is_needed && !of("Fuse", "style").is_needed && !of("Battery", "ah").is_needed);
    assert_eq!(of("Fuse", "style").default, Some("Blade"));
    assert!(of("Load", "kind").takes.choices().contains(&"Fridge"));
    assert!(of("Run", "parts").takes.kinds().contains(&"Coil"));
    // Each needed key of a part is missed by the reader, and no other is.
    let fuse = r#"Fuse(name: "F1", amps: 10)"#;
    for (from, to) in [(fuse, r#"Fuse(name: "F1")"#), (fuse, "Fuse(amps: 10)"), ("label: \"work lamp\", ", "")] {
        assert!(read(&small("", BATTERY, &LAMP.replace(from, to))).is_err(), "{to}");
    }
    let (status, said) = program(&["reference"], "");
    assert!(status == 0 && kinds().iter().all(|kind| said.contains(kind.word)), "{said}");
    assert!(said.lines().all(|line| line.chars().count() <= 80), "wider than the screen");
    let (_, said) = program(&["reference", "metres"], "");
    assert!(said.contains("0.01 to 30 m") && said.contains("Cable") && said.contains("Feed"), "{said}");
    assert!(program(&["reference", "Earth"], "").1.contains("Joint"));
    let (status, said) = program(&["reference", "colur"], "");
    assert!(status == 2 && said.contains("`colour`"), "{said}");
    let (_, said) = program(&["reference", "--syntax"], "");
    assert!(
        ["Fuse", "holder_ohms", "Rocker"].iter().all(|word| said.split_whitespace().any(|of| of == *word)),
        "{said}"
    );
}

/// What is left out gets the usual, which is said; what is compulsory lists its
/// choices.
#[test]
fn only_what_is_needed_is_compulsory() {
    let loaded = good(&small("", BATTERY, LAMP));
    assert!(found(&loaded).is_empty(), "{:?}", found(&loaded));
    let mut session = session(loaded);
    let said = told(&mut session, "part B");
    assert!(said.contains("default: chemistry: LeadAcid, ah: 100"), "{said}");
    assert!(told(&mut session, "part J1").contains("default: style: Screw"));
    assert!(told(&mut session, "part S1").contains("default: style: Rocker"));
    assert!(told(&mut session, "list").contains("box"));
    let (headline, help) = wrong(&small("", BATTERY, &LAMP.replace("kind: Lamp, ", ""))).remove(0);
    assert!(headline.contains("`kind`") && help.contains("`Fridge`"), "{headline} {help}");
    let (headline, help) =
        wrong(&small("", BATTERY, &LAMP.replace("name: \"J1\"", "name: \"J1\", style: Bolt"))).remove(0);
    assert!(headline.contains("Bolt") && help.contains("`Splice`"), "{headline} {help}");
    let (headline, help) = wrong(&small("", BATTERY, &LAMP.replace("Joint(name: \"J1\")", "Joint"))).remove(0);
    assert!(headline.contains("Joint") && help.contains("`Joint( … )`"), "{headline} {help}");
    let (headline, help) = wrong(&small("", BATTERY, &LAMP.replace("mm2: 2.5", "awg: 99999999999999"))).remove(0);
    assert!(!headline.contains("something else") && help.contains("halfsplit reference awg"), "{headline} {help}");
}

/// What a file can say of a part's figures, and of how somebody finds it.
#[test]
fn figures_and_marks_of_a_part() {
    let plain = good(&small("", BATTERY, LAMP)).vehicle;
    let marked = LAMP
        .replace(
            r#"name: "F1", amps: 10"#,
            r#"name: "F1", amps: 10, holder_ohms: 0.004, tolerance: 0.5, slot: "7", note: "second row""#,
        )
        .replace(r#"name: "W1", metres"#, r#"name: "W1", colour: "red/white", tolerance: 0, metres"#)
        .replace(r#"Joint(name: "J1")"#, r#"Joint(name: "J1", picture: "j1.jpg", tolerance: 3)"#);
    let battery = BATTERY.replace("rest", "tolerance: 1, rest");
    let text = small("", &battery, &marked).replace("black:", "leads_metres: 3, black:");
    let loaded = good(&text);
    let vehicle = &loaded.vehicle;
    let of = |vehicle: &Vehicle, name: &str| vehicle.part(vehicle.find_part(name).expect(name)).clone();
    assert_eq!(of(vehicle, "F1/in").resistance.value.0, 0.004);
    assert_eq!(of(vehicle, "F1").resistance.value, of(&plain, "F1").resistance.value);
    // Two deviations of ln(resistance) are the tolerance.
    for (name, tolerance) in [("F1", 0.5_f64), ("J1", 3.0), ("B", 1.0), ("W1", 0.0)] {
        assert!((2.0 * of(vehicle, name).spread - (1.0 + tolerance).ln()).abs() < 1e-12, "{name}");
    }
    assert_eq!(of(vehicle, "W2").spread, of(&plain, "W2").spread);
    let mut session = session(loaded);
    let said = told(&mut session, "what F1.out");
    assert!(said.contains("slot 7") && said.contains("second row"), "{said}");
    assert!(told(&mut session, "what W1.out").contains("red/white wire"));
    assert!(told(&mut session, "J1.in").contains("picture j1.jpg"));
    // The same where the next test says where the leads go.
    told(&mut session, "dead lamp");
    let mut said = told(&mut session, "next");
    for _ in 0..12 {
        if said.contains("slot 7") || said.contains("red/white wire") {
            break;
        }
        let line = if said.contains("see whether F1") { "whole F1" } else { "skip" };
        said = told(&mut session, line);
    }
    assert!(said.contains("slot 7") || said.contains("red/white wire"), "never said: {said}");
}

/// What a look-over finds beyond what cannot be drawn at all.
#[test]
fn a_look_over_finds_what_does_nothing_as_drawn() {
    let finds = |text: &str, words: &[&str]| {
        let findings = found(&good(text));
        let hit = findings.iter().any(|finding| words.iter().all(|word| finding.contains(word)));
        assert!(hit, "{words:?} not in {findings:#?}");
    };
    let quiet = |text: &str| {
        let findings = found(&good(text));
        assert!(findings.is_empty(), "{findings:#?}");
    };
    let engine = |text: &str| {
        text.replace("    supplies:", "    controls: [ Control(name: \"engine\", label: \"engine\") ],\n    supplies:")
    };
    let alternator =
        format!(r#"{BATTERY}, Alternator(name: "ALT", volts: 14.2, amps: 60, runs_with: "engine", at: "box")"#);
    finds(&engine(&small("", &alternator, LAMP)), &["`ALT` is joined to nothing"]);
    let feed = r#"Run(name: "alt", from: "ALT+", to: "DB", at: "box", parts: [ Fuse(name: "FA", amps: 60), Cable(name: "WA", metres: 1, mm2: 16) ]),"#;
    let back = r#"Run(name: "alt back", from: "NB", to: "ALT-", at: "box", parts: [ Cable(name: "WAb", metres: 1, mm2: 16) ]),"#;
    finds(&engine(&small("", &alternator, &format!("{LAMP} {feed}"))), &["the negative of `ALT` is joined to nothing"]);
    quiet(&engine(&small("", &alternator, &format!("{LAMP} {feed} {back}"))));
    // Relays.
    let relay = r#"Relay(name: "K1", at: "box")"#;
    finds(&small(relay, BATTERY, LAMP), &["relay `K1` has neither contact nor coil"]);
    let coil = r#"Run(name: "coil", from: "DB", to: "NB", at: "box", parts: [ Fuse(name: "F2", amps: 3), Switch(name: "S2"), Coil(of: "K1"), Cable(name: "W3", metres: 1, mm2: 1) ]),"#;
    finds(&small(relay, BATTERY, &format!("{LAMP} {coil}")), &["relay `K1` has a coil but no contact"]);
    let worked = LAMP.replace(r#"Switch(name: "S1")"#, r#"Contact(of: "K1")"#);
    quiet(&small(relay, BATTERY, &format!("{worked} {coil}")));
    // A relay that never pulls in, and why.
    let weak = coil.replace(
        "W3\", metres: 1, mm2: 1)",
        "W3\", metres: 1, mm2: 1), Load(name: \"bulb\", label: \"bulb in its way\", kind: Lamp, ohms: 400)",
    );
    finds(
        &small(relay, BATTERY, &format!("{worked} {weak}")),
        &["`lamp` does not run as drawn", "relay `K1` does not pull in"],
    );
    // Odd resistances, by themselves.
    finds(&small("", &BATTERY.replace("rest", "ohms: 8, rest"), LAMP), &["battery `B`", "8"]);
    finds(&small("", BATTERY, &LAMP.replace(r#"name: "J1""#, r#"name: "J1", ohms: 3"#)), &["joint `J1`"]);
    finds(&small("", BATTERY, &LAMP.replace("metres: 4, mm2: 2.5)", "metres: 4, mm2: 2.5, ohms: 2)")), &["cable `W1`"]);
    quiet(&small("", BATTERY, &LAMP.replace(r#"name: "J1""#, r#"name: "J1", ohms: 0.01"#)));
    // What always runs.
    let inverter =
        LAMP.replace(r#"Switch(name: "S1"), "#, "").replace("kind: Lamp, watts: 55", "kind: Inverter, watts: 110");
    finds(&small("", BATTERY, &inverter), &["`lamp`", "all the time"]);
    quiet(&small("", BATTERY, &inverter.replace("watts: 110", "watts: 110, rest: Off")));
    quiet(&small("", BATTERY, &inverter.replace("watts: 110", "watts: 12")));
}

/// Cables in bundles and in heat carry less. Bundles by ABYC E-11 (from memory); heat
/// by note 1 of 33 CFR 183.425 table 5 for engine spaces at 50 °C: 0.86 at 105 °C (from
/// memory).
#[test]
fn cables_carry_less_in_bundles_and_in_heat() {
    use halfsplit::quantity::{Celsius, SquareMillimetres};
    use halfsplit::tables::ampacity::{Laying, Surroundings, allowable};
    let around = |together, air| Surroundings { together, air: Celsius(air) };
    let share = |together, air| around(together, air).share();
    assert_eq!([1, 2, 3, 4, 6, 7, 24, 25].map(|count| share(count, 20.0)), [1.0, 0.7, 0.7, 0.6, 0.6, 0.5, 0.5, 0.4]);
    assert!((share(1, 50.0) - 0.86).abs() < 0.005 && share(1, 105.0) == 0.0 && share(1, 200.0) == 0.0);
    assert_eq!(Surroundings::new(Laying::Bundled, Celsius(20.0)).share(), 0.7);
    // Thinner than the table goes: no more for its area than its thinnest.
    assert!(allowable(SquareMillimetres(0.3), around(1, 20.0)).0 < 7.5);
    let warns = |fuse: f64, laying: &str| {
        let runs = LAMP.replace("amps: 10", &format!("amps: {fuse}")).replace("mm2: 2.5", &format!("mm2: 2.5{laying}"));
        found(&good(&small("", BATTERY, &runs))).into_iter().find(|finding| finding.contains("is bigger than cable"))
    };
    assert_eq!(warns(30.0, ""), None);
    let bundled = warns(30.0, ", laying: Bundled").expect("a warning");
    assert!(bundled.contains("3 in a bundle") && bundled.contains("small craft"), "{bundled}");
    assert!(warns(30.0, ", celsius: 80").expect("a warning").contains("80 °C"));
    let folder = Folder::new();
    let path = folder.write(
        "van.ron",
        &small("", BATTERY, &LAMP.replace("amps: 10", "amps: 60").replace("metres: 4", "metres: 28")),
    );
    let (_, said) = program(&["check", &path], "");
    assert!(said.contains("edition of 2012") && said.contains("small craft"), "{said}");
}

const FEED: &str = r#"Feed(name: "lamp", label: "work lamp", kind: Lamp, watts: 55, at: "roof", from: "DB", to: "NB",
    board: "box", fuse: 10, fuse_name: "F1", switch: "S1", metres: 4, mm2: 2.5, colour: "red"),"#;

/// A feed in one line is what it is drawn out.
#[test]
fn a_feed_is_what_it_stands_for() {
    let short = small("", BATTERY, "").replace("    runs: [", &format!("    feeds: [ {FEED} ],\n    runs: ["));
    let drawn = LAMP.replace(r#"Joint(name: "J1"), "#, "").replace("W1", "W_lamp").replace("W2", "W_lamp_back");
    let (short, drawn) = (good(&short), good(&small("", BATTERY, &drawn)));
    assert_eq!(parts(&short.vehicle), parts(&drawn.vehicle));
    assert!(found(&short).is_empty(), "{:?}", found(&short));
    let mut session = session(short);
    assert!(told(&mut session, "what W_lamp.out").contains("red wire"));
    assert!(told(&mut session, "dead lamp").contains("Next:"));
}

/// A drawing kept elsewhere is the file as it was written, or what a file and its
/// master come to.
#[test]
fn a_drawing_is_kept_as_it_is() {
    let folder = Folder::new();
    let text =
        small("", BATTERY, "").replace("    runs: [", &format!("    // short\n    feeds: [ {FEED} ],\n    runs: ["));
    let master = folder.write("van.ron", &text);
    let second = folder.write(
        "second.ron",
        "Vehicle(master: \"van.ron\", name: \"second\", changed: [ Feed(name: \"lamp\", metres: 6) ])",
    );
    let kept = |path: &str, name: &str| {
        let to = folder.path(name);
        let (status, said) = program(&[path, "--no-case"], &format!("save {to}\n"));
        assert_eq!(status, 0, "{said}");
        fs::read_to_string(to).expect("kept")
    };
    assert_eq!(kept(&master, "a.ron"), text);
    let alone = good(&kept(&second, "b.ron"));
    let metres = alone.vehicle.part(alone.vehicle.find_part("W_lamp_back").expect("the cable back")).kind.cable();
    assert_eq!((alone.vehicle.name.as_str(), metres.map(|cable| cable.length.0)), ("second", Some(6.0)));
}

/// What is wrong in a feed is said where it stands, with everything else.
#[test]
fn what_is_wrong_in_a_feed_is_shown_there() {
    let text =
        |feed: &str| small("", BATTERY, "").replace("    runs: [", &format!("    feeds: [ {feed} ],\n    runs: ["));
    let shown = |text: &str| read(text).expect_err("an error").to_string();
    let said = shown(&text(&FEED.replace("mm2: 2.5", "mm: 2.5")));
    assert!(said.contains("`Feed` has no key `mm`") && said.contains("own.ron:8:"), "{said}");
    let said = shown(&text(&FEED.replace("metres: 4", "metres: 400").replace("kind: Lamp", "kind: Lmp")));
    assert!(
        said.contains("`metres` must be between") && said.contains("`Lamp`") && said.contains("2 errors"),
        "{said}"
    );
    let said = shown(&text(&FEED.replace("at: \"roof\"", "at: \"rof\"")));
    assert!(
        said.contains("no place called `rof`") && said.contains("own.ron:7:") && said.contains("1 error to mend"),
        "{said}"
    );
    // One that cannot be read makes no other names unknown.
    let other = r#"Run(name: "x", from: "lamp+", to: "NB", at: "roof", parts: [ Load(name: "x", label: "x", kind: Lamp, watts: 5) ]),"#;
    let broken = text(&FEED.replace("fuse: 10", "fuse: ten")).replace("        \n    ],", &format!("{other}\n    ],"));
    let said = shown(&broken);
    assert!(said.contains("1 error to mend"), "{said}");
    // A warning too.
    let loaded = good(&text(&FEED.replace("fuse: 10", "fuse: 60")));
    let said = render(&loaded.file, &loaded.warnings[0]);
    assert!(said.contains("own.ron:8:") || said.contains("own.ron:7:"), "{said}");
}

const SECOND: &str = r#"// The second van.
Vehicle(
    master: "van.ron",
    name: "second",
    changed: [
        Cable(name: "W1", metres: 6),
        Fuse(name: "F0", amps: 50),  // smaller here
        Battery(name: "B", ah: 120),
    ],
    left_out: [ Joint(name: "J1") ],
    places: [ Place(name: "rear", minutes: 2) ],
    feeds: [ Feed(name: "fan", label: "fan", kind: Fan, watts: 40, at: "rear", from: "DB", to: "NB", board: "box", fuse: 5, metres: 3, mm2: 1.5) ],
)
"#;

/// A second vehicle of a build is the first with its differences.
#[test]
fn a_second_vehicle_is_its_master_with_differences() {
    let folder = Folder::new();
    folder.write("van.ron", &small("", BATTERY, LAMP));
    let path = folder.write("second.ron", SECOND);
    let second = load(&path).unwrap_or_else(|error| panic!("{error}"));
    let by_hand = LAMP.replacen("metres: 4", "metres: 6", 1).replace(r#"Joint(name: "J1"), "#, "")
        + r#"Run(name: "fan", from: "DB", to: "NB", at: "box", parts: [ Fuse(name: "F_fan", amps: 5), Cable(name: "W_fan", metres: 3, mm2: 1.5),
        Load(name: "fan", label: "fan", kind: Fan, watts: 40, at: "rear"), Cable(name: "W_fan_back", metres: 3, mm2: 1.5) ]),"#;
    let drawn = small("", &BATTERY.replace("rest", "ah: 120, rest"), &by_hand)
        .replace("F0\", amps: 60", "F0\", amps: 50")
        .replace("places: [", "places: [ Place(name: \"rear\", minutes: 2), ");
    assert_eq!(parts(&second.vehicle), parts(&good(&drawn).vehicle));
    assert_eq!(second.vehicle.name, "second");
    let told = |text: &str| {
        let path = folder.write("other.ron", text);
        load(&path).expect_err("an error").to_string()
    };
    // Errors name the file that they stand in.
    let said = told(&SECOND.replace("metres: 6", "metres: 6000"));
    assert!(
        said.contains("other.ron:6:") && said.contains("`metres` must be between") && !said.contains("van.ron:"),
        "{said}"
    );
    let said = told(&SECOND.replace("Cable(name: \"W1\"", "Cable(name: \"W11\""));
    assert!(
        said.contains("other.ron:6:")
            && said.contains("`Cable` of that name")
            && said.contains("did you mean `Cable(name: \"W1\")`"),
        "{said}"
    );
    let said = told(&SECOND.replace("J1", "J9"));
    assert!(said.contains("other.ron:10:"), "{said}");
    let said = told(&SECOND.replace("van.ron", "vann.ron"));
    assert!(said.contains("other.ron:3:") && said.contains("vann.ron"), "{said}");
    let said = told(&SECOND.replace("master: \"van.ron\",", ""));
    assert!(said.contains("`master`"), "{said}");
    folder.write("van.ron", &small("", BATTERY, &LAMP.replace("kind: Lamp", "kind: Lampp")));
    let said = load(&path).expect_err("an error").to_string();
    assert!(said.contains("van.ron:") && said.contains("Lampp") && !said.contains("second.ron:1"), "{said}");
    folder.write("van.ron", SECOND);
    assert!(load(&path).expect_err("an error").to_string().contains("a master of its own"));
}

/// Comments of a text, in order.
fn comments(text: &str) -> Vec<&str> {
    text.lines().filter_map(|line| line.find("//").map(|at| line[at..].trim_end())).collect()
}

/// Laying out changes nothing but space, and nothing the second time.
#[test]
fn laying_out_keeps_every_comment_and_the_vehicle() {
    let own = include_str!("../data/own_vehicle/van.ron");
    for (name, text) in SAMPLES.into_iter().chain([("own", own), ("short", SECOND)]) {
        let crumpled: String = text.lines().map(|line| format!("   {}  \n\n\n", line.trim())).collect();
        for text in [text.to_string(), crumpled] {
            let laid = laid_out(&text).expect("sound");
            assert_eq!(laid_out(&laid).expect("sound"), laid, "{name}");
            assert_eq!(comments(&laid), comments(&text), "{name}");
            let bare = |text: &str| text.chars().filter(|c| !c.is_whitespace()).collect::<String>();
            assert_eq!(bare(&laid), bare(&text), "{name}");
            assert!(laid.lines().all(|line| line == line.trim_end()), "{name}");
            if name != "short" {
                assert_eq!(parts(&good(&laid).vehicle), parts(&good(&text).vehicle), "{name}");
            }
        }
    }
    // All on one line is one thing a line.
    let flat = small("", BATTERY, LAMP).replace('\n', " ");
    let laid = laid_out(&flat).expect("sound");
    assert!(laid.lines().count() > 10 && laid.contains("\n    runs: ["), "{laid}");
    assert_eq!(parts(&good(&laid).vehicle), parts(&good(&flat).vehicle));
    assert_eq!(
        laid_out("Vehicle(/* a /* b */ c */ x:1,// d\n)").expect("sound"),
        "Vehicle(/* a /* b */ c */ x: 1,  // d\n)\n"
    );
    assert!(laid_out("Vehicle(runs: [ )").is_err() && laid_out("Vehicle(name: \"x)").is_err());
}

#[test]
fn the_program_lays_files_out() {
    let folder = Folder::new();
    let text = small("", BATTERY, LAMP);
    let path = folder.write("van.ron", &text);
    let (status, said) = program(&["format", "--check", &path], "");
    assert!(status == 1 && said.contains("would change"), "{said}");
    assert_eq!(fs::read_to_string(&path).expect("there"), text);
    assert_eq!(program(&["format", &path], "").0, 0);
    let laid = fs::read_to_string(&path).expect("there");
    assert_eq!(laid, laid_out(&text).expect("sound"));
    assert_eq!(program(&["format", "--check", &path], "").0, 0);
    let broken = folder.write("broken.ron", "Vehicle(runs: [ )");
    assert_eq!(program(&["format", &broken], "").0, 1);
    assert_eq!(fs::read_to_string(&broken).expect("there"), "Vehicle(runs: [ )");
}

/// What a file says wrong is told with the severity that stops it, and no message
/// speaks of anything but the file.
#[test]
fn errors_are_of_the_file() {
    let bad = small("", BATTERY, &LAMP.replace("Switch(name: \"S1\")", "Switch"));
    let Err(LoadError::Rejected { findings, .. }) = read(&bad) else { panic!("read") };
    assert!(findings.iter().all(|finding| finding.severity == Severity::Error && finding.span.is_some()));
    assert!(findings.iter().all(|finding| !finding.help.contains("samples")), "{findings:?}");
}

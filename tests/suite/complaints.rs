//! The usual complaints as sessions, `tests/sessions/complaint_*.txt`, and each
//! complaint tree from people's words to a proved repair, `tree_*.txt`: each has
//! a hidden fault, a story that follows the tool's own tests, and ends at the
//! cause.
//!
//! Before the screen a script has these lines, each as often as needed:
//! - `hidden: PART MODE [SIZE | OTHER [SIZE]]`, a fault of the catalogue, or
//!   `hidden: joined POINT POINT OHMS`, a wire that no drawing shows;
//! - `story: …`, steps apart by `; `. A step is a line as it is typed, where
//!   `?`, `?A` (a clamp), `?mA` (in line) or `?ohm` stands for what the instrument shows. `follow [N]
//!   [faulty]` takes the advised tests, to the end or N of them; `see NAME`
//!   says how a load, relay or fuse looks, sounds or feels. `fixed PART` mends
//!   the hidden fault there, and `prove` does every check of its proof; `asked N`
//!   answers the first N questions of the complaint's tree;
//! - `truly: LINE`, for a story that begins with `sketch LINE`, what the circuit
//!   is really made of;
//! - `ends at: …`, in order, where each hunt must have ended when `fixed` is
//!   typed and at the end of the script: `PART` found; `PART by OTHER`, a
//!   blown fuse with its likeliest cause; `PART with OTHER`, both; `among
//!   PART`, one of a few that no test tells apart; `nothing wrong`; `not as
//!   drawn`.
//!
//! `HALFSPLIT_RECORD=1 cargo test --test suite -- sessions` tells the stories
//! again, readings and screens; wrong ends fail all the same.

use crate::played::{Hidden, Resolve, Simulator};
use crate::sessions::{Folder, PROMPT, headers, scripts, session};
use halfsplit::belief::{Appearance, Sign, Site};
use halfsplit::case::Case;
use halfsplit::case::proof::{self, Verdict, What};
use halfsplit::complaint::{Kind, QuestionId, Supposed};
use halfsplit::fault::{Fault, Mode, class_of};
use halfsplit::files::parse;
use halfsplit::network::{Branch, Convergence, Law, Network, as_an_ohmmeter_finds_it, solve};
use halfsplit::plan::{Next, Sense, Test};
use halfsplit::predict::{Burden, Probe};
use halfsplit::quantity::{Ohms, Volts};
use halfsplit::repl::{Outcome, Session};
use halfsplit::sketch::sketch;
use halfsplit::source::SourceFile;
use halfsplit::vehicle::sides::{Side, sides};
use halfsplit::vehicle::{ControlId, ControlKind, PartId, PartKind, PointId, Position, State, Vehicle};
use std::fs;

/// Advised tests after which a person gives up.
const PATIENCE: usize = 24;
/// Parts that no test tells apart, at most.
const FEW: usize = 5;

/// What an instrument shows, as it is typed.
struct Instrument<'a> {
    truth: &'a Hidden<'a>,
    undrawn: &'a [Branch],
    case: &'a Case,
}

impl Instrument<'_> {
    fn shows(&self, probe: Probe, state: &State) -> String {
        match probe {
            Probe::Voltage { red, black, burden } => self.volts(red, black, burden, state),
            Probe::Resistance { red, black } => self.ohms(red, black, state),
            Probe::Current { part } => {
                let solution = solve(self.network(state)).expect("solvable");
                format!("{:.2}A", solution.current(part.index()).0)
            }
        }
    }

    /// An ammeter in line, to the milliampere.
    fn in_line(&self, part: PartId, state: &State) -> String {
        let solution = solve(self.network(state)).expect("solvable");
        format!("{:.0}mA", solution.current(part.index()).0 * 1e3)
    }

    fn network(&self, state: &State) -> Network {
        let mut network = self.truth.network(state);
        network.branches.extend(self.undrawn.iter().cloned());
        let settling = solve(network.clone()).expect("solvable").convergence();
        assert_ne!(settling, Convergence::Oscillating, "a chattering state has no steady reading: tell of another one");
        network
    }

    /// The meter, and the lamp if there is one, are part of the circuit.
    fn volts(&self, red: PointId, black: PointId, burden: Burden, state: &State) -> String {
        let meter = self.case.standing().meter.meter(&self.case.engine().tables().instruments);
        let mut network = self.network(state);
        let mut bridge = |ohms: Ohms| {
            let law = Law::Resistor(ohms.conductance());
            network.branches.push(Branch { from: red.index(), to: black.index(), law });
        };
        bridge(meter.input);
        if burden == Burden::Lamp {
            bridge(self.case.engine().tables().instruments.lamp * (self.truth.vehicle.nominal.0 / 12.0));
        }
        let volts = Volts(Resolve.volts(&network, red.index(), black.index()));
        // No display shows less than nothing of nothing.
        match (meter.shows(volts).0 + 0.0, meter.step(volts).0) {
            (shown, step) if step < 0.000_5 => format!("{:.1}mV", shown * 1e3),
            (shown, step) if step < 0.005 => format!("{shown:.3}"),
            (shown, step) if step < 0.05 => format!("{shown:.2}"),
            (shown, _) => format!("{shown:.1}"),
        }
    }

    /// An ohmmeter with 0.2 Ω of leads: half a volt behind 100 Ω, compared.
    fn ohms(&self, red: PointId, black: PointId, state: &State) -> String {
        let mut network = as_an_ohmmeter_finds_it(&self.network(state));
        let live = Resolve.volts(&network, red.index(), black.index()).abs();
        assert!(live < 0.05, "an ohmmeter on a live circuit, {live} V");
        let law = Law::Battery { emf: Volts(0.5), ohms: Ohms(100.0), charging: Ohms(100.0) };
        network.branches.push(Branch { from: black.index(), to: red.index(), law });
        let left = Resolve.volts(&network, red.index(), black.index());
        match 0.2 + 100.0 * left / (0.5 - left) {
            none if !(0.0..40e6).contains(&none) => "ol".to_string(),
            ohms if ohms < 399.95 => format!("{ohms:.1}ohm"),
            ohms if ohms < 3999.5 => format!("{:.3}kohm", ohms / 1e3),
            ohms if ohms < 399_950.0 => format!("{:.1}kohm", ohms / 1e3),
            ohms => format!("{:.2}Mohm", ohms / 1e6),
        }
    }
}

/// How the word for a sign is typed.
fn word(sign: Sign) -> &'static str {
    match sign {
        Sign::Looks(Appearance::Dead) => "dead",
        Sign::Looks(Appearance::Weak) => "weak",
        Sign::Looks(Appearance::Works) => "works",
        Sign::Clicks => "clicks",
        Sign::Silent => "silent",
        Sign::LooksWhole => "whole",
        Sign::LooksBlown => "blown",
        Sign::Gives => "gives",
        Sign::Idle => "idle",
        Sign::Hot => "hot",
        Sign::Cool => "cool",
        other => panic!("nobody tells {other:?} by looking"),
    }
}

/// The hidden truth that the headers of a script tell, and what no drawing shows.
fn truth<'a>(vehicle: &'a Vehicle, script: &str) -> (Hidden<'a>, Vec<Branch>) {
    let part = |name: &str| vehicle.find_part(name).unwrap_or_else(|| panic!("no part {name}"));
    let point = |name: &str| vehicle.find_point(name).unwrap_or_else(|| panic!("no point {name}")).index();
    let size = |text: &str| text.parse::<f64>().expect("a size");
    let mut hidden = Hidden { vehicle, faults: Vec::new() };
    let mut undrawn = Vec::new();
    for line in headers(script, "hidden:") {
        match line.split_whitespace().collect::<Vec<_>>()[..] {
            ["nothing"] => {}
            ["joined", from, to, ohms] => {
                let law = Law::Resistor(Ohms(size(ohms)).conductance());
                undrawn.push(Branch { from: point(from), to: point(to), law });
            }
            [name, mode, ref rest @ ..] => {
                let mode: Mode = ron::from_str(mode).expect("a way to fail");
                let other = rest.first().and_then(|name| vehicle.find_part(name)).filter(|_| mode.takes_two());
                let size = rest.last().map_or(0.0, |text| text.parse().unwrap_or(0.0));
                hidden.faults.push((Fault { part: part(name), mode, other }, size));
            }
            _ => panic!("hidden: {line}"),
        }
    }
    (hidden, undrawn)
}

/// What is really there: the sample, or of a sketch what it truly is, in other
/// lengths and sizes than anybody knew.
fn vehicle_of(script: &str) -> Vehicle {
    match headers(script, "truly:").next() {
        Some(line) => {
            let sketch = sketch(line).unwrap_or_else(|error| panic!("{line}: {error}"));
            let file = SourceFile { path: "truly".into(), text: sketch.text };
            parse(file).unwrap_or_else(|error| panic!("{error}")).vehicle
        }
        None => session(script, &Folder::new()).case().vehicle().clone(),
    }
}

/// A script told again.
struct Telling<'a> {
    session: Session,
    truth: Hidden<'a>,
    undrawn: Vec<Branch>,
    /// What was typed.
    typed: Vec<String>,
    /// How each hunt ended.
    ends: Vec<Result<(), String>>,
    /// Proofs that did not come out.
    unproved: Vec<String>,
    /// How each should end.
    wanted: Vec<&'a str>,
}

impl<'a> Telling<'a> {
    fn of(script: &'a str, vehicle: &'a Vehicle) -> Self {
        let (truth, undrawn) = truth(vehicle, script);
        let mut telling = Self {
            session: session(script, &Folder::new()),
            truth,
            undrawn,
            typed: Vec::new(),
            ends: Vec::new(),
            unproved: Vec::new(),
            wanted: headers(script, "ends at:").collect(),
        };
        for step in headers(script, "story:").flat_map(|line| line.split("; ")) {
            telling.step(step.trim());
        }
        telling.end();
        telling
    }

    fn case(&self) -> &Case {
        self.session.case()
    }

    fn instrument<'t>(&'t self, truth: &'t Hidden<'t>) -> Instrument<'t> {
        Instrument { truth, undrawn: &self.undrawn, case: self.case() }
    }

    fn step(&mut self, step: &str) {
        match step.split_whitespace().collect::<Vec<_>>()[..] {
            ["follow", ref how @ ..] => {
                let most = how.first().and_then(|word| word.parse().ok()).unwrap_or(PATIENCE);
                let symptom = how.last().filter(|word| word.parse::<usize>().is_err());
                self.follow(most, symptom.copied());
            }
            ["asked", most] => self.asked(most.parse().expect("a number")),
            ["prove"] => self.prove(),
            ["see", name] => {
                let sign = self.sign_of(name);
                self.say(format!("{} {name}", word(sign)));
            }
            ["fixed", name] => {
                self.end();
                let part = self.truth.vehicle.find_part(name).expect("a part");
                self.truth.faults.retain(|(fault, _)| !fault.involves(part));
                self.say(step.to_string());
            }
            ref words if words.iter().any(|word| word.starts_with('?')) => {
                let line = self.filled(words);
                self.say(line);
            }
            _ => self.say(step.to_string()),
        }
    }

    fn say(&mut self, line: String) {
        let reply = self.session.handle(&line, 80);
        assert_ne!(reply.outcome, Outcome::Failed, "{line}: {}", reply.text);
        self.typed.push(line);
    }

    /// The advised tests, one after the other.
    fn follow(&mut self, most: usize, symptom: Option<&str>) {
        for _ in 0..most {
            let Next::Test(advice) = &self.case().assessment().next else { return };
            let state = self.case().standing().state.with_all(&advice.settings);
            let line = match advice.test {
                Test::Ask(question) => self.answer_to(question),
                Test::Sense { subject, sense } => {
                    word(self.truth.sign(&mut Resolve, &state, subject, sense)).to_string()
                }
                Test::Measure(probe) => {
                    let shown = self.instrument(&self.truth).shows(probe, &state);
                    let end = symptom.map(|word| format!(" {word}")).unwrap_or_default();
                    let lamp = matches!(probe, Probe::Voltage { burden: Burden::Lamp, .. });
                    format!("{shown}{}{end}", if lamp { " lamp" } else { "" })
                }
            };
            self.say(line);
        }
    }

    /// What most people would answer to a question, with the hidden fault there.
    fn answer_to(&self, id: QuestionId) -> String {
        let complaint = self.case().standing().complaint.clone().expect("a complaint");
        let sides = sides(self.truth.vehicle, &complaint.state, complaint.subject);
        let none = |kind| Supposed { kind, side: Side::Elsewhere, class: None };
        let mut supposed: Vec<Supposed> = self
            .truth
            .faults
            .iter()
            .map(|(fault, _)| Supposed {
                kind: Kind::from(fault.mode),
                side: sides[fault.part.index()],
                class: Some(class_of(&self.truth.vehicle.part(fault.part).kind).0),
            })
            .collect();
        if supposed.is_empty() {
            supposed.push(none(if self.undrawn.is_empty() { Kind::Nothing } else { Kind::Undrawn }));
        }
        let question = self.case().trees().question(id);
        let chances = question.chances(&supposed, self.case().standing().told);
        let likeliest = (0..chances.len()).max_by(|&a, &b| chances[a].total_cmp(&chances[b])).expect("answers");
        format!("answer {}", question.answers[likeliest].word)
    }

    /// The first questions of the tree, answered without being asked.
    fn asked(&mut self, most: usize) {
        let tree = self.case().standing().complaint.as_ref().expect("a complaint").tree;
        let questions: Vec<QuestionId> = self.case().trees().questions(tree).take(most).collect();
        for id in questions {
            let answer = self.answer_to(id);
            let name = self.case().trees().question(id).name.clone();
            self.say(answer.replace("answer ", &format!("answer {name} ")));
        }
    }

    /// Every check of the proof, as it is asked for, until it is proved.
    fn prove(&mut self) {
        let checks = self.case().proof().expect("solvable").expect("a repair").checks;
        for check in checks {
            let now = self.case().standing().state.clone();
            let vehicle = self.truth.vehicle;
            let differs = |&id: &ControlId| now.position(id) != check.state.position(id);
            let settings: Vec<_> =
                vehicle.control_ids().filter(differs).map(|id| (id, check.state.position(id))).collect();
            settings.into_iter().for_each(|setting| self.set(setting));
            match check.what {
                What::Shows { subject, .. } => self.step(&format!("see {}", vehicle.part(subject).name)),
                What::Read { probe: Probe::Current { part }, band, .. } => {
                    let at_rest = band.low.abs().max(band.high.abs()) < 0.7;
                    let shown = if at_rest { "?mA" } else { "?A" };
                    self.step(&format!("{} {shown}", vehicle.part(part).name));
                }
                What::Read { probe, .. } => {
                    let (red, black) = probe.points(vehicle);
                    let name = |point| vehicle.point(point).name();
                    self.step(&format!("{} {} ?", name(red), name(black)));
                }
            }
        }
        let proved = |telling: &Self| telling.case().proof().expect("solvable").expect("a repair");
        let rest = State::rest(self.truth.vehicle);
        let left: Vec<_> = proved(self).left.iter().map(|&(id, _)| (id, rest.position(id))).collect();
        left.into_iter().for_each(|setting| self.set(setting));
        let proof = proved(self);
        if proof.verdict() != Verdict::Proved {
            let open = proof.checks.iter().filter(|check| !matches!(check.outcome, proof::Outcome::Passed(_)));
            let open: Vec<_> = open.map(|check| (&check.what, check.outcome)).collect();
            self.unproved.push(format!("{:?}: {open:?}", proof.verdict()));
        }
    }

    fn set(&mut self, (id, position): (ControlId, Position)) {
        let control = self.truth.vehicle.control(id);
        let verb = match (control.kind, position) {
            (_, Position::Lamp) => "lamp",
            (ControlKind::Fuse, Position::Off) => "pull",
            (ControlKind::Fuse, Position::On) => "fit",
            (ControlKind::Plug, Position::Off) => "unplug",
            (ControlKind::Plug, Position::On) => "plug",
            (_, Position::On) => "on",
            (_, Position::Off) => "off",
        };
        self.say(format!("{verb} {}", control.name));
    }

    /// A reading at points of the teller's choice.
    fn filled(&self, words: &[&str]) -> String {
        let vehicle = self.truth.vehicle;
        let point = |name: &str| vehicle.find_point(name).unwrap_or_else(|| panic!("no point {name}"));
        let part = |name: &str| vehicle.find_part(name).unwrap_or_else(|| panic!("no part {name}"));
        let at = words.iter().position(|word| word.starts_with('?')).expect("a question mark");
        let (points, asked, ends) = (&words[..at], words[at], &words[at + 1..]);
        let burden = if ends.contains(&"lamp") { Burden::Lamp } else { Burden::Bare };
        let (red, black) = match *points {
            ["across", name] => vehicle.part(part(name)).ends(),
            [name] if asked != "?" => vehicle.part(part(name)).ends(),
            [red] => (point(red), self.case().standing().black),
            [red, black] => (point(red), point(black)),
            _ => panic!("{words:?}"),
        };
        let probe = match asked {
            "?A" | "?mA" => Probe::Current { part: part(points[0]) },
            "?ohm" => Probe::Resistance { red, black },
            _ => Probe::Voltage { red, black, burden },
        };
        let sound = Hidden { vehicle, faults: Vec::new() };
        let truth = if ends.contains(&"working") { &sound } else { &self.truth };
        let state = &self.case().standing().state;
        let instrument = self.instrument(truth);
        let shown =
            if asked == "?mA" { instrument.in_line(part(points[0]), state) } else { instrument.shows(probe, state) };
        [points, &[shown.as_str()], ends].concat().join(" ")
    }

    /// What a careful person tells of a part in the present state.
    fn sign_of(&self, name: &str) -> Sign {
        let vehicle = self.truth.vehicle;
        let coil = vehicle.find_part(&format!("{name}.coil"));
        let subject = coil.or(vehicle.find_part(name)).unwrap_or_else(|| panic!("no part {name}"));
        let (sense, sign) = match vehicle.part(subject).kind {
            PartKind::Load { .. } => (Sense::Look, Sign::Looks(Appearance::Works)),
            PartKind::Coil { .. } => (Sense::Listen, Sign::Clicks),
            PartKind::Fuse { .. } => (Sense::Fuse, Sign::LooksWhole),
            PartKind::Supply(_) => (Sense::Source, Sign::Gives),
            _ => (Sense::Feel, Sign::Hot),
        };
        let settings = self.case().settings_for_sign(subject, sign);
        let state = self.case().standing().state.with_all(&settings);
        self.truth.sign(&mut Resolve, &state, subject, sense)
    }

    /// A hunt is over: is it where it should be?
    fn end(&mut self) {
        let wanted = self.wanted.get(self.ends.len()).copied().unwrap_or("nothing that is told");
        let end = match is_at(self.case(), wanted) {
            true => Ok(()),
            false => Err(format!("wanted {wanted}, but {}", where_it_is(self.case()))),
        };
        self.ends.push(end);
    }
}

/// Whether a case is where it should end.
fn is_at(case: &Case, wanted: &str) -> bool {
    let vehicle = case.vehicle();
    let assessment = case.assessment();
    let part = |name: &str| vehicle.find_part(name).unwrap_or_else(|| panic!("no part {name}"));
    let found = |site: Site| assessment.next == Next::Found { site };
    let likeliest = |site: Site| assessment.belief.suspects.first().is_some_and(|first| first.site == site);
    match wanted.split_whitespace().collect::<Vec<_>>()[..] {
        ["nothing", "wrong"] => assessment.next == Next::NothingAmiss || likeliest(Site::Nothing),
        ["not", "as", "drawn"] => found(Site::Undrawn) || likeliest(Site::Undrawn),
        [name] => found(Site::Part(part(name))) && cause_at(case, Site::Part(part(name))) == Some(part(name)),
        [fuse, "by", name] => {
            found(Site::Part(part(fuse))) && cause_at(case, Site::Part(part(fuse))) == Some(part(name))
        }
        [first, "with", second] => {
            let (first, second) = (part(first).min(part(second)), part(first).max(part(second)));
            found(Site::Both(first, second))
        }
        ["among", name] => match &assessment.next {
            Next::Inseparable { parts } => parts.len() <= FEW && parts.contains(&part(name)),
            _ => false,
        },
        _ => false,
    }
}

fn cause_at(case: &Case, site: Site) -> Option<PartId> {
    case.assessment().belief.causes_at(site).first().map(|(part, _)| *part)
}

fn where_it_is(case: &Case) -> String {
    let vehicle = case.vehicle();
    let suspects = case.assessment().belief.suspects.iter().take(4);
    let name = |part: PartId| vehicle.part(part).name.clone();
    let said: Vec<String> = suspects
        .map(|suspect| {
            let named = match suspect.site {
                Site::Part(_) | Site::Both(..) => suspect.site.parts().map(name).collect::<Vec<_>>().join(" with "),
                other => format!("{other:?}"),
            };
            let cause = cause_at(case, suspect.site).map(name).unwrap_or_default();
            format!("{named} by {cause} {:.0} %", suspect.probability * 100.0)
        })
        .collect();
    let next = halfsplit::words::next_test(case, 200);
    format!("{}; {}", said.join(", "), next.lines().next().unwrap_or_default())
}

/// The same script with what is typed told again; one without a story as it is.
pub fn told_again(script: &str) -> String {
    if headers(script, "story:").next().is_none() {
        return script.to_string();
    }
    let vehicle = vehicle_of(script);
    let telling = Telling::of(script, &vehicle);
    let head = script.lines().take_while(|line| !line.trim().is_empty()).map(str::to_string);
    let typed = telling.typed.iter().map(|line| format!("{PROMPT}{line}"));
    head.chain([String::new()]).chain(typed).collect::<Vec<_>>().join("\n") + "\n"
}

/// The readings are those of the hidden fault, the tests those that the tool
/// advises, and every hunt ends at the cause, whatever the screens say.
#[test]
fn every_complaint_ends_at_its_cause() {
    let is_recording = std::env::var_os("HALFSPLIT_RECORD").is_some();
    let mut wrong = Vec::new();
    for path in scripts() {
        let name = path.file_stem().expect("a name").to_string_lossy().to_string();
        let script = fs::read_to_string(&path).expect("readable");
        if headers(&script, "story:").next().is_none() {
            continue;
        }
        let vehicle = vehicle_of(&script);
        let telling = Telling::of(&script, &vehicle);
        if telling.ends.len() != telling.wanted.len() {
            wrong.push(format!("{name}: {} hunts, {} ends", telling.ends.len(), telling.wanted.len()));
        }
        wrong.extend(telling.ends.iter().filter_map(|end| end.as_ref().err()).map(|why| format!("{name}: {why}")));
        wrong.extend(telling.unproved.iter().map(|why| format!("{name}: {why}")));
        let typed: Vec<&str> = script.lines().filter_map(|line| line.strip_prefix(PROMPT)).collect();
        if !is_recording && typed != telling.typed {
            wrong.push(format!("{name}: the story is told otherwise now, record it again"));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

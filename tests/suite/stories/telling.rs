//! A story being told: its steps typed into a session, with the hidden fault
//! there to be seen and measured, and what holds all along.

use super::instrument::Instrument;
use crate::played::{Hidden, Resolve, fits_the_phone};
use halfsplit::belief::{Appearance, Sign};
use halfsplit::case::proof::{self, Proof, ProofVerdict, What};
use halfsplit::case::{Case, Entry};
use halfsplit::complaint::{Began, Channel, Kind, QuestionId, Supposed};
use halfsplit::fault::class_of;
use halfsplit::network::Branch;
use halfsplit::plan::{Advice, Next, Sense, Test};
use halfsplit::predict::{Burden, Probe};
use halfsplit::repl::{Session, Understanding};
use halfsplit::vehicle::sides::{Side, sides};
use halfsplit::vehicle::{ControlId, ControlKind, PartKind, PointId, Position, State};
use halfsplit::words::document::on_screen;
use halfsplit::words::next_test;
use serde_json::Value;

/// Advised tests after which a person gives up.
const PATIENCE: usize = 24;
/// Of the screen.
const WIDTH: usize = 80;
/// Questions that enter nothing.
const QUESTIONS: [&str; 17] = [
    "next",
    "others",
    "why",
    "segment",
    "suspects",
    "good",
    "proof",
    "readings",
    "state",
    "record",
    "list",
    "warnings",
    "questions",
    "trees",
    "case",
    "cases",
    "help",
];

/// A story as far as it is told.
pub struct Telling<'a> {
    pub session: Session,
    truth: Hidden<'a>,
    undrawn: Vec<Branch>,
    /// The last answer, its lines put together.
    pub answer: String,
    /// Advised tests taken since the last repair, and their minutes.
    pub followed: (usize, f64),
    /// What the last proof has put back.
    pub put_back: Vec<String>,
    /// Whether tests were followed and nobody has said yet where they ended.
    pub is_open: bool,
    /// What did not hold.
    pub wrong: Vec<String>,
    /// Every record with the answer to it.
    answers: Vec<(String, Vec<Entry>, Value)>,
}

impl<'a> Telling<'a> {
    pub fn new(session: Session, truth: Hidden<'a>, undrawn: Vec<Branch>) -> Self {
        Self {
            session,
            truth,
            undrawn,
            answer: String::new(),
            followed: (0, 0.0),
            put_back: Vec::new(),
            is_open: false,
            wrong: Vec::new(),
            answers: Vec::new(),
        }
    }

    pub fn case(&self) -> &Case {
        self.session.case()
    }

    /// The proof of the last repair.
    pub fn proof(&self) -> Option<Proof> {
        self.case().proof().expect("solvable")
    }

    /// What did not hold, at the end.
    pub fn close(mut self) -> Vec<String> {
        self.has_ended("the end");
        self.wrong
    }

    fn has_ended(&mut self, before: &str) {
        if self.is_open {
            self.wrong.push(format!("nobody says where it ends before {before}"));
        }
    }

    pub fn step(&mut self, step: &str) {
        match step.split_whitespace().collect::<Vec<_>>()[..] {
            ["follow", ref how @ ..] => {
                let most = how.first().and_then(|word| word.parse().ok()).unwrap_or(PATIENCE);
                let symptom = how.last().filter(|word| word.parse::<usize>().is_err());
                self.follow(most, symptom.copied());
            }
            ["asked", most] => self.asked(most.parse().expect("a number")),
            ["prove"] => self.prove(),
            ["look", "round"] => self.look_round(),
            ["see", name] => {
                let sign = self.sign_of(name);
                self.say(format!("{} {name}", word(sign)));
            }
            ["fixed", name] => {
                self.has_ended(step);
                let part = self.truth.vehicle.find_part(name).expect("a part");
                self.truth.faults.retain(|(fault, _)| !fault.involves(part));
                self.followed = (0, 0.0);
                self.say(step.to_string());
            }
            ref words if words.iter().any(|word| word.starts_with('?')) => {
                let line = self.filled(words);
                self.say(line);
            }
            _ => self.say(step.to_string()),
        }
    }

    /// Types a line that is understood, and holds the answer against what holds
    /// of every answer.
    fn say(&mut self, line: String) {
        let entries = self.case().entries().len();
        let reply = self.session.handle(&line);
        assert_ne!(reply.outcome, Understanding::Failed, "{line}: {}", reply.text(WIDTH));
        let text = reply.text(WIDTH);
        let wide = text.lines().find(|line| line.chars().count() > WIDTH);
        self.wrong.extend(wide.map(|wide| format!("{line}: wider than the screen: {wide}")));
        self.answer = text.split_whitespace().collect::<Vec<_>>().join(" ");
        if self.case().entries().len() > entries {
            let missing: Vec<String> = self.due().into_iter().filter(|due| !self.answer.contains(due)).collect();
            self.wrong.extend(missing.iter().map(|due| format!("{line}: not told: {due}")));
        }
        let unfit = self.unfit().into_iter().map(|why| format!("{line}: {why}"));
        self.wrong.extend(unfit.collect::<Vec<_>>());
        let mut machine = reply.machine.unwrap_or_default();
        if let Some(fields) = machine.as_object_mut() {
            fields.retain(|known, _| known != "text" && known != "case");
        }
        let (vehicle, entries) = (self.case().vehicle().name.clone(), self.case().entries().to_vec());
        match self.answers.iter().find(|(of, record, _)| *of == vehicle && *record == entries) {
            Some((.., before)) if *before != machine => {
                self.wrong.push(format!("{line}: the same record, another answer:\n{before}\n{machine}"));
            }
            Some(_) => {}
            None => self.answers.push((vehicle, entries, machine)),
        }
    }

    /// What the tree of a complaint has to be told with the newest entry: how to
    /// set everything up and what to beware of, or how to close it.
    fn due(&self) -> Vec<String> {
        let trees = self.case().trees();
        let tree = self.case().entries().iter().rev().find_map(|entry| match entry {
            Entry::Complain { tree, .. } => Some(trees.tree(*tree)),
            _ => None,
        });
        match (self.case().entries().last(), tree) {
            (Some(Entry::Complain { .. }), Some(tree)) => tree.setup.iter().chain(&tree.cautions).cloned().collect(),
            (Some(Entry::Repaired { .. }), Some(tree)) => tree.proof.clone(),
            _ => Vec::new(),
        }
    }

    fn look_round(&mut self) {
        let entries = self.case().entries().to_vec();
        QUESTIONS.into_iter().for_each(|question| self.say(question.to_string()));
        assert_eq!(self.case().entries(), entries, "a question has entered something");
    }

    /// The advised tests, one after the other.
    fn follow(&mut self, most: usize, symptom: Option<&str>) {
        self.is_open = true;
        for _ in 0..most {
            let advice = match &self.case().assessment().next {
                Next::Test(advice) => advice.as_ref().clone(),
                // Read again, it is what it was.
                &Next::ReadAgain { reading } => {
                    let number = self.case().standing().number_of(reading);
                    let measured = self.case().standing().evidence.readings[reading].measured;
                    self.say(format!("retake {number} {measured}"));
                    continue;
                }
                _ => return,
            };
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
            self.followed.0 += 1;
            self.followed.1 += advice.minutes.0;
            self.say(line);
        }
    }

    /// What must not be advised: a place with a hazard and no caution, what
    /// nobody gets at or wants; and by phone what nobody is to be asked for, or a
    /// meter before eyes and ears.
    fn unfit(&self) -> Vec<String> {
        let case = self.case();
        let (vehicle, standing, assessment) = (case.vehicle(), case.standing(), case.assessment());
        let Next::Test(advice) = &assessment.next else { return Vec::new() };
        let said = on_screen(&next_test(case), WIDTH).split_whitespace().collect::<Vec<_>>().join(" ");
        let places = advice.opens.iter().filter(|&&place| vehicle.cautions.iter().any(|of| of.place == place));
        let cautions = places.map(|&place| format!("Caution, {}:", vehicle.place(place).name));
        let mut wrong: Vec<String> = cautions.filter(|caution| !said.contains(caution)).collect();
        let is_reading = |advice: &Advice| matches!(advice.test, Test::Measure(_));
        if standing.channel == Channel::ByPhone && is_reading(advice) && !assessment.others.iter().all(is_reading) {
            wrong.push("a meter before eyes and ears".to_string());
        }
        for advice in assessment.others.iter().chain([advice.as_ref()]) {
            let reached = match advice.test {
                Test::Measure(Probe::Current { .. }) | Test::Ask(_) | Test::Sense { .. } => Vec::new(),
                Test::Measure(probe) => <[PointId; 2]>::from(probe.points(vehicle)).to_vec(),
            };
            if standing.unwanted.contains(&advice.test) || reached.iter().any(|at| standing.out_of_reach.contains(at)) {
                wrong.push(format!("not to be asked for: {:?}", advice.test));
            }
            if standing.channel == Channel::ByPhone {
                wrong.extend(fits_the_phone(vehicle, advice).err());
            }
        }
        wrong
    }

    fn instrument<'t>(&'t self, truth: &'t Hidden<'t>) -> Instrument<'t> {
        Instrument { truth, undrawn: &self.undrawn, case: self.case() }
    }

    /// What most people would answer to a question, with the hidden fault there.
    fn answer_to(&self, id: QuestionId) -> String {
        let complaint = self.case().standing().complaint.clone().expect("a complaint");
        let sides = sides(self.truth.vehicle, &complaint.state, complaint.subject);
        let none = |kind| Supposed { kind, side: Side::Elsewhere, class: None, began: Began::Before };
        let mut supposed: Vec<Supposed> = self
            .truth
            .faults
            .iter()
            .map(|(fault, _)| Supposed {
                kind: Kind::from(fault.mode),
                side: sides[fault.part.index()],
                class: Some(class_of(&self.truth.vehicle.part(fault.part).kind).0),
                began: Began::Before,
            })
            .collect();
        if supposed.is_empty() {
            supposed.push(none(if self.undrawn.is_empty() { Kind::Nothing } else { Kind::Undrawn }));
        }
        let question = self.case().trees().question(id);
        let chances = question.chances(&supposed, self.case().standing().channel);
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
        let checks = self.proof().expect("a repair").checks;
        for check in checks {
            let now = self.case().standing().state.clone();
            let vehicle = self.truth.vehicle;
            now.settings_to(&check.state, vehicle).into_iter().for_each(|setting| self.set(setting));
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
        let left = self.proof().expect("a repair").left;
        self.put_back = left.iter().map(|&(id, _)| self.truth.vehicle.control(id).name.clone()).collect();
        let rest = State::rest(self.truth.vehicle);
        left.into_iter().for_each(|(id, _)| self.set((id, rest.position(id))));
        let proof = self.proof().expect("a repair");
        if proof.verdict() != ProofVerdict::Proved {
            let open = proof.checks.iter().filter(|check| !matches!(check.outcome, proof::CheckOutcome::Passed(_)));
            let open: Vec<_> = open.map(|check| (&check.what, check.outcome)).collect();
            self.wrong.push(format!("{:?}: {open:?}", proof.verdict()));
        }
    }

    fn set(&mut self, (id, position): (ControlId, Position)) {
        let control = self.truth.vehicle.control(id);
        let verb = match (control.kind, position) {
            // Their names are what is typed.
            (ControlKind::Aid(_), Position::On) => return self.say(control.name.clone()),
            (ControlKind::Aid(aid), _) => {
                return self.say(format!("remove {}", self.truth.vehicle.part(aid.part()).name));
            }
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
        Sign::LampBright => "bright",
        Sign::LampDim => "dark",
        other => panic!("nobody tells {other:?} by looking"),
    }
}

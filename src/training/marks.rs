//! The marks that a teacher would give, each with its reason and its moment: a
//! function of the lesson and the acts.
//!
//! Weights follow what public training standards have assessors mark (safe
//! working, valid tests, a cause clearly identified, proof before release); the
//! numbers are common practice, no source.

use super::act::{Act, ActError, Conclusion, Done, Told, Unsafe, Worth};
use super::attempt::Attempt;
use super::lesson::Lesson;
use super::policy::{Learner, play};
use crate::belief::{Appearance, Sign};
use crate::case::CaseError;
use crate::case::proof::{CheckOutcome, What};
use crate::plan::Sense;
use crate::predict::Probe;
use crate::quantity::Minutes;
use crate::tables::training::Teaching;
use crate::trial::Trouble;
use crate::vehicle::PartId;
use std::rc::Rc;

/// Seed: stream of chance of the yardstick: not the learner's own.
const YARDSTICK: u64 = 0x7961_7264;

/// What marks are given for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Ground {
    /// Working safely.
    Safety,
    /// The complaint seen for oneself.
    Complaint,
    /// A first test that splits well.
    FirstTest,
    /// Readings in a state in which they say something.
    States,
    /// What is wrong, and why that is known.
    Conclusion,
    /// Tests and minutes.
    Economy,
    /// The right part renewed, and no other.
    Repair,
    /// Proof of the repair.
    Proof,
    /// Help asked for.
    Hints,
}

impl Ground {
    /// All of them, in the order of a hunt.
    pub const ALL: [Self; 9] = [
        Self::Safety,
        Self::Complaint,
        Self::FirstTest,
        Self::States,
        Self::Conclusion,
        Self::Economy,
        Self::Repair,
        Self::Proof,
        Self::Hints,
    ];

    /// Marks that can be had.
    pub fn full(self, figures: &Teaching) -> f64 {
        match self {
            Self::Safety => figures.full_safety,
            Self::Complaint => figures.full_complaint,
            Self::FirstTest => figures.full_first_test,
            Self::States => figures.full_states,
            Self::Conclusion => figures.full_conclusion,
            Self::Economy => figures.full_economy,
            Self::Repair => figures.full_repair,
            Self::Proof => figures.full_proof,
            Self::Hints => 0.0,
        }
    }
}

/// Why marks were lost.
#[derive(Debug, Clone, PartialEq)]
pub enum Why {
    /// Something unsafe.
    Unsafe(Unsafe),
    /// The complaint was not looked at before the first reading.
    NotLooked,
    /// The first test told little.
    PoorFirst {
        /// What it was expected to tell, bits.
        bits: f64,
        /// What the best one was.
        best: f64,
    },
    /// No test at all.
    NoTest,
    /// A reading that the state made meaningless.
    Void,
    /// A reading of what was known.
    Known,
    /// Nothing was concluded.
    NoConclusion,
    /// A conclusion that is wrong.
    Wrong,
    /// Part of what is wrong was not found.
    Incomplete,
    /// A conclusion that is right and that nothing read justifies.
    Lucky,
    /// More parts named than could not be told apart.
    Scattered,
    /// More tests than the planner.
    TooManyTests {
        /// The learner's.
        tests: usize,
        /// The planner's.
        planner: usize,
    },
    /// More minutes than the planner.
    TooLong {
        /// The learner's.
        minutes: f64,
        /// The planner's.
        planner: f64,
    },
    /// A sound part was renewed.
    SoundPart(PartId),
    /// What is wrong was not repaired.
    NotRepaired,
    /// The thing complained of was not seen to work afterwards.
    NotSeenWorking,
    /// Nothing was read afterwards.
    NothingRead,
    /// A reading that the proof asks for was not taken.
    NotShown { probe: Probe },
    /// Help.
    Hint,
}

/// Marks lost, and when.
#[derive(Debug, Clone, PartialEq)]
pub struct Reason {
    /// For what they would have been.
    pub ground: Ground,
    /// Why they were lost.
    pub why: Why,
    /// How many.
    pub lost: f64,
    /// The act, from 0; none where something was left undone.
    pub act: Option<usize>,
    /// The moment.
    pub at: Minutes,
}

/// How the planner itself fares.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Yardstick {
    /// Its tests.
    pub tests: usize,
    /// Its minutes up to its conclusion.
    pub minutes: f64,
}

/// How the conclusion stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Judgement {
    /// Right, and what was read justifies it.
    Right,
    /// Right, and nothing read justifies it.
    Lucky,
    /// Wrong, or part of it missing.
    Wrong,
    /// None.
    Missing,
}

/// The marks of an attempt.
#[derive(Debug, Clone, PartialEq)]
pub struct Marks {
    /// All of them, of 100.
    pub total: f64,
    /// Whether that is a pass.
    pub is_pass: bool,
    /// How the conclusion stands.
    pub judgement: Judgement,
    /// Marks that can be had, for each ground.
    pub full: Vec<(Ground, f64)>,
    /// What was lost.
    pub reasons: Vec<Reason>,
    /// Tests and minutes of the learner, up to the last conclusion.
    pub tests: usize,
    /// See [`Self::tests`].
    pub minutes: f64,
    /// Money spent.
    pub cost: f64,
    /// The yardstick.
    pub yardstick: Yardstick,
}

impl Marks {
    /// Marks that can be had for something.
    pub fn full(&self, ground: Ground) -> f64 {
        self.full.iter().find(|(of, _)| *of == ground).map_or(0.0, |(_, full)| *full)
    }

    /// All marks that can be had.
    pub fn most(&self) -> f64 {
        self.full.iter().map(|(_, full)| full).sum()
    }

    /// Marks had for something.
    pub fn got(&self, ground: Ground) -> f64 {
        let lost: f64 = self.reasons.iter().filter(|reason| reason.ground == ground).map(|reason| reason.lost).sum();
        let full = self.full(ground);
        // What was bought for nothing and what was asked for cost beyond.
        match ground {
            Ground::Repair | Ground::Hints => full - lost,
            _ => (full - lost).max(0.0),
        }
    }
}

/// The yardstick of a lesson.
///
/// # Errors
/// [`ActError`] if a state has no solution.
pub fn yardstick(lesson: &Rc<Lesson>) -> Result<Yardstick, ActError> {
    let planner = play(lesson, Learner::Planner, YARDSTICK)?;
    let (tests, minutes) = tally(planner.done());
    Ok(Yardstick { tests, minutes })
}

/// Tests, and minutes up to the last conclusion.
fn tally(done: &[Done]) -> (usize, f64) {
    let end = done.iter().rposition(|one| matches!(one.act, Act::Conclude(_))).unwrap_or(done.len());
    let tests = done[..end].iter().filter(|one| is_test(one)).count();
    let minutes = done[..end].last().map_or(0.0, |last| last.at.0);
    (tests, minutes)
}

fn is_test(done: &Done) -> bool {
    matches!(done.worth, Worth::Telling { .. } | Worth::Void | Worth::Known)
}

/// The marks of an attempt against a yardstick.
///
/// # Errors
/// [`CaseError`] as for the entries of its record.
pub fn marks(attempt: &Attempt, yardstick: Yardstick) -> Result<Marks, CaseError> {
    let mut desk = Desk { attempt, yardstick, reasons: Vec::new() };
    desk.safety();
    desk.complaint();
    desk.tests();
    let judgement = desk.conclusion();
    desk.economy();
    desk.repair(judgement);
    desk.proof(judgement)?;
    desk.hints();
    let (tests, minutes) = tally(attempt.done());
    let figures = &attempt.lesson().engine().tables().training;
    let mut marks = Marks {
        total: 0.0,
        is_pass: false,
        judgement,
        full: Ground::ALL.iter().map(|&ground| (ground, ground.full(figures))).collect(),
        reasons: desk.reasons,
        tests,
        minutes,
        cost: attempt.cost(),
        yardstick,
    };
    let sum: f64 = Ground::ALL.iter().map(|&ground| marks.got(ground)).sum();
    let most = if judgement == Judgement::Right { marks.most() } else { figures.most_if_lucky };
    marks.total = sum.clamp(0.0, most);
    marks.is_pass = judgement == Judgement::Right && marks.total >= figures.pass && marks.got(Ground::Safety) > 0.0;
    Ok(marks)
}

struct Desk<'a> {
    attempt: &'a Attempt,
    yardstick: Yardstick,
    reasons: Vec<Reason>,
}

impl<'a> Desk<'a> {
    fn figures(&self) -> &'a Teaching {
        &self.attempt.lesson().engine().tables().training
    }

    fn lose(&mut self, ground: Ground, why: Why, lost: f64, act: Option<usize>) {
        let at = act.map_or(self.attempt.minutes(), |act| self.attempt.done()[act].at);
        self.reasons.push(Reason { ground, why, lost, act, at });
    }

    fn safety(&mut self) {
        for (act, done) in self.attempt.done().iter().enumerate() {
            if let Some(hazard) = done.hazard {
                self.lose(Ground::Safety, Why::Unsafe(hazard), self.figures().per_unsafe, Some(act));
            }
        }
    }

    /// Whoever takes a reading first has believed the customer.
    fn complaint(&mut self) {
        let lesson = self.attempt.lesson();
        let subject = lesson.hidden.subject;
        if !lesson.vehicle().part(subject).kind.is_load() {
            return;
        }
        let done = self.attempt.done();
        let first = done.iter().position(|one| is_test(one) || matches!(one.act, Act::Replace(_)));
        let looked = done[..first.unwrap_or(done.len())]
            .iter()
            .any(|one| matches!(one.act, Act::Sense(seen, Sense::Look) if seen == subject));
        if !looked {
            self.lose(Ground::Complaint, Why::NotLooked, Ground::Complaint.full(self.figures()), first);
        }
    }

    fn tests(&mut self) {
        let done = self.attempt.done();
        match done.iter().position(is_test) {
            None if self.yardstick.tests > 0 => {
                self.lose(Ground::FirstTest, Why::NoTest, Ground::FirstTest.full(self.figures()), None);
                self.lose(Ground::States, Why::NoTest, Ground::States.full(self.figures()), None);
            }
            None => {}
            Some(first) => {
                let best = done[first].better.as_ref().map_or(0.0, |better| better.bits);
                let bits = match done[first].worth {
                    Worth::Telling { bits } => bits,
                    _ => 0.0,
                };
                if bits < self.figures().as_good * best {
                    let lost = Ground::FirstTest.full(self.figures()) * (1.0 - bits / (self.figures().as_good * best));
                    self.lose(Ground::FirstTest, Why::PoorFirst { bits, best }, lost.round(), Some(first));
                }
            }
        }
        for (act, one) in done.iter().enumerate() {
            match one.worth {
                Worth::Void => self.lose(Ground::States, Why::Void, self.figures().per_void, Some(act)),
                Worth::Known => self.lose(Ground::Economy, Why::Known, self.figures().per_known, Some(act)),
                _ => {}
            }
        }
    }

    fn conclusion(&mut self) -> Judgement {
        let hidden = &self.attempt.lesson().hidden;
        let full = Ground::Conclusion.full(self.figures());
        let mut named: Vec<PartId> = Vec::new();
        let (mut all_justified, mut last) = (true, None);
        let mut says_undrawn = false;
        for (act, done) in self.attempt.done().iter().enumerate() {
            let (Act::Conclude(conclusion), Told::Concluded { is_justified, is_scattered }) = (&done.act, &done.told)
            else {
                continue;
            };
            last = Some(act);
            let is_right = match conclusion {
                Conclusion::Parts(parts) => {
                    named.extend(parts);
                    parts.iter().any(|&part| hidden.is_at(part))
                }
                Conclusion::Nothing => hidden.trouble == Trouble::Nothing,
                Conclusion::Undrawn => {
                    says_undrawn = true;
                    matches!(hidden.trouble, Trouble::Undrawn { .. })
                }
            };
            if !is_right {
                self.lose(Ground::Conclusion, Why::Wrong, self.figures().per_wrong, Some(act));
            } else if *is_scattered {
                self.lose(Ground::Conclusion, Why::Scattered, full - self.figures().unjustified, Some(act));
            }
            all_justified &= !is_right || (*is_justified && !is_scattered);
        }
        let Some(last) = last else {
            self.lose(Ground::Conclusion, Why::NoConclusion, full, None);
            return Judgement::Missing;
        };
        let is_whole = match hidden.trouble {
            Trouble::Undrawn { .. } => says_undrawn,
            _ => hidden.is_named_by(&named),
        };
        if !is_whole {
            let any = named.iter().any(|&part| hidden.is_at(part));
            if any {
                self.lose(Ground::Conclusion, Why::Incomplete, full, Some(last));
            } else {
                self.reasons
                    .iter_mut()
                    .rev()
                    .find(|reason| reason.why == Why::Wrong)
                    .into_iter()
                    .for_each(|reason| reason.lost = full);
            }
            return Judgement::Wrong;
        }
        if !all_justified {
            if !self.reasons.iter().any(|reason| reason.why == Why::Scattered) {
                self.lose(Ground::Conclusion, Why::Lucky, full - self.figures().unjustified, Some(last));
            }
            return Judgement::Lucky;
        }
        Judgement::Right
    }

    fn economy(&mut self) {
        let (tests, minutes) = tally(self.attempt.done());
        let Yardstick { tests: planner, minutes: its, .. } = self.yardstick;
        let over = tests.saturating_sub(planner + self.figures().spare_tests);
        if over > 0 {
            let why = Why::TooManyTests { tests, planner };
            self.lose(Ground::Economy, why, self.figures().per_test_over * over as f64, None);
        }
        let most = self.figures().spare_share * its + self.figures().spare_minutes;
        if minutes > most {
            let lost = Ground::Economy.full(self.figures()) * ((minutes - most) / most).min(1.0);
            self.lose(Ground::Economy, Why::TooLong { minutes, planner: its }, lost.round(), None);
        }
    }

    fn repair(&mut self, judgement: Judgement) {
        let hidden = &self.attempt.lesson().hidden;
        let done = self.attempt.done();
        let in_a_set = |part: PartId, until: usize| {
            done[..until].iter().any(|one| match (&one.act, &one.told) {
                (
                    Act::Conclude(Conclusion::Parts(parts)),
                    Told::Concluded { is_justified: true, is_scattered: false },
                ) => parts.len() > 1 && parts.contains(&part),
                _ => false,
            })
        };
        for (act, one) in done.iter().enumerate() {
            if let Act::Replace(part) = one.act
                && !hidden.is_at(part)
                && !in_a_set(part, act)
            {
                self.lose(Ground::Repair, Why::SoundPart(part), self.figures().per_swap, Some(act));
            }
        }
        let wanted = !matches!(hidden.trouble, Trouble::Nothing | Trouble::Undrawn { .. });
        let is_left = hidden.trouble.faults().any(|(fault, _)| {
            !done.iter().any(
                |one| matches!(one.act, Act::Replace(part) if fault.involves(part) || hidden.blown.contains(&part)),
            )
        });
        if wanted && is_left && judgement != Judgement::Missing {
            self.lose(Ground::Repair, Why::NotRepaired, Ground::Repair.full(self.figures()), None);
        }
    }

    fn proof(&mut self, judgement: Judgement) -> Result<(), CaseError> {
        let (attempt, full) = (self.attempt, Ground::Proof.full(self.figures()));
        let lesson = attempt.lesson();
        let hidden = &lesson.hidden;
        let done = attempt.done();
        let Some(repair) = done.iter().rposition(|one| matches!(one.act, Act::Replace(_))) else {
            let is_nothing_to_do = matches!(hidden.trouble, Trouble::Nothing | Trouble::Undrawn { .. });
            if !(is_nothing_to_do && judgement == Judgement::Right) {
                self.lose(Ground::Proof, Why::NotRepaired, full, None);
            }
            return Ok(());
        };
        let is_load = lesson.vehicle().part(hidden.subject).kind.is_load();
        let good = |sign: Sign| match hidden.sign {
            Sign::StaysOn | Sign::Glows => sign == Sign::Looks(Appearance::Dead),
            _ => sign == Sign::Looks(Appearance::Works),
        };
        let seen = done[repair..].iter().any(|one| match (&one.act, &one.told) {
            (Act::Sense(subject, Sense::Look), Told::Seen(sign)) => *subject == hidden.subject && good(*sign),
            _ => false,
        });
        if is_load && !seen {
            self.lose(Ground::Proof, Why::NotSeenWorking, full / 2.0, None);
        }
        let proof = attempt.case().proof()?;
        let checks = proof.iter().flat_map(|proof| &proof.checks);
        let reads = checks.filter_map(|check| match check.what {
            What::Read { probe, .. } => Some((probe, check.outcome)),
            What::Shows { .. } => None,
        });
        let (open, read): (Vec<_>, Vec<_>) = reads.partition(|(_, outcome)| *outcome == CheckOutcome::Open);
        if read.is_empty() && !open.is_empty() {
            self.lose(Ground::Proof, Why::NothingRead, full / 2.0, None);
        }
        for (probe, _) in open {
            self.lose(Ground::Proof, Why::NotShown { probe }, self.figures().per_unread, None);
        }
        Ok(())
    }

    fn hints(&mut self) {
        for (act, done) in self.attempt.done().iter().enumerate() {
            if done.act == Act::Hint {
                self.lose(Ground::Hints, Why::Hint, self.figures().per_hint, Some(act));
            }
        }
    }
}

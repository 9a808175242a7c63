//! Likelihood of answers to the questions of a complaint tree.
//!
//! P(answers | h) = Π_topics (Π_i P(answer i | h))^(1/n), a geometric mean over the n
//! answers about one topic: turning one matter over tells it once. It goes into
//! prior and weight alike, so that an answer moves the odds and clears nothing. Once
//! a sign of the topic has been seen at a part, that counts in its place.

use super::engine::Engine;
use super::evidence::{Answered, Evidence, Sign};
use super::onset::onsets;
use super::posterior::Explanation;
use super::site::Site;
use crate::complaint::{Began, Channel, Kind, Question, QuestionId, Supposed, Trees};
use crate::fault::class_of;
use crate::odds::LogWeight;
use crate::predict::Hypothesis;
use crate::vehicle::sides::{Side, sides};
use crate::vehicle::{PartId, State, Vehicle};

/// Hears questions about one complaint.
pub struct Hearing<'a> {
    vehicle: &'a Vehicle,
    heard: Vec<Heard<'a>>,
}

/// One answer, ready to be weighed.
struct Heard<'a> {
    question: &'a Question,
    answer: usize,
    channel: Channel,
    /// The side of every part.
    sides: Vec<Side>,
    /// Answers about one matter count as one together, however often it is
    /// turned over.
    share: f64,
}

impl<'a> Hearing<'a> {
    /// Of everything answered.
    pub fn of(vehicle: &'a Vehicle, trees: &'a Trees, evidence: &Evidence) -> Self {
        let is_seen =
            |answered: &Answered| is_seen(evidence, answered.subject, &trees.question(answered.question).topic);
        let topic = |answered: &Answered| (answered.subject, trees.question(answered.question).topic.as_str());
        let heard = evidence.answers.iter().filter(|answered| !is_seen(answered)).map(|answered| {
            let alike = evidence.answers.iter().filter(|other| topic(other) == topic(answered)).count();
            Heard {
                question: trees.question(answered.question),
                answer: answered.answer,
                channel: answered.channel,
                sides: sides(vehicle, &answered.state, answered.subject),
                share: 1.0 / alike as f64,
            }
        });
        Self { vehicle, heard: heard.collect() }
    }

    /// The chance of all that was answered.
    pub fn log_chance(&self, hypothesis: &Hypothesis, site: Site, began: Began) -> LogWeight {
        let of = |heard: &Heard<'_>| {
            let supposed = supposed(self.vehicle, &heard.sides, (hypothesis, site, began));
            LogWeight::of(heard.question.chances(&supposed, heard.channel)[heard.answer]) * heard.share
        };
        self.heard.iter().map(of).sum()
    }
}

/// What could be answered to a question about a complaint.
pub struct Asking<'a> {
    vehicle: &'a Vehicle,
    question: &'a Question,
    sides: Vec<Side>,
    channel: Channel,
}

impl<'a> Asking<'a> {
    /// A question about what is complained of, in the state it was.
    pub fn of(
        vehicle: &'a Vehicle,
        trees: &'a Trees,
        question: QuestionId,
        (subject, state): (PartId, &State),
        channel: Channel,
    ) -> Self {
        Self { vehicle, question: trees.question(question), sides: sides(vehicle, state, subject), channel }
    }

    /// Chance of each answer under an explanation.
    pub fn chances(&self, explanation: &Explanation) -> Vec<f64> {
        let Explanation { hypothesis, site, began, .. } = explanation;
        self.question.chances(&supposed(self.vehicle, &self.sides, (hypothesis, *site, *began)), self.channel)
    }
}

/// Whether what is asked would tell anything of this record: when a fault began only
/// where it may have begun at several times.
pub fn is_news(engine: &Engine, evidence: &Evidence, question: QuestionId) -> bool {
    !engine.trees().question(question).tells_onset() || onsets(engine.tables(), evidence).len() > 1
}

/// Whether what a question is about has been seen, heard or felt at a part of
/// its own since: that says more than what a tree supposes, and would say it a
/// second time.
pub fn is_seen(evidence: &Evidence, subject: PartId, topic: &str) -> bool {
    evidence.all_observations().any(|seen| match seen.sign {
        Sign::Clicks | Sign::Silent => topic == "click",
        Sign::LampBright | Sign::LampDim => topic == "unplugged",
        Sign::Hot | Sign::Cool => topic == "heat",
        Sign::Green => topic == "green",
        Sign::Gives | Sign::Idle => topic == "display",
        // Another load says who shares the trouble.
        Sign::Looks(_) => topic == "shared" && seen.subject != subject,
        Sign::StaysOn | Sign::Glows | Sign::Sometimes | Sign::BlowsFuse => false,
        Sign::ChargesLittle | Sign::ComesBack | Sign::NoBetter => false,
        Sign::GoesFlat | Sign::Uncharged | Sign::LooksWhole | Sign::LooksBlown => false,
    })
}

/// A hypothesis as far as questions tell them apart.
fn supposed(vehicle: &Vehicle, sides: &[Side], (hypothesis, site, began): (&Hypothesis, Site, Began)) -> Vec<Supposed> {
    let faults = hypothesis.faults().map(|(fault, _)| Supposed {
        kind: Kind::from(fault.mode),
        side: sides[fault.part.index()],
        class: Some(class_of(&vehicle.part(fault.part).kind).0),
        began,
    });
    let none = |kind| vec![Supposed { kind, side: Side::Elsewhere, class: None, began }];
    match site {
        Site::Nothing => none(Kind::Nothing),
        Site::Undrawn => none(Kind::Undrawn),
        Site::Part(_) | Site::Both(..) => faults.collect(),
    }
}

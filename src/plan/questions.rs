//! Questions of the complaint's tree as tests: cheap, and worth what their
//! answers tell.

use super::advice::{Advice, Test};
use super::effort::Situation;
use super::outcome::{OutcomeSeen, of_several};
use super::valuation::Valuation;
use super::value::discrete_bits;
use crate::belief::{Asking, Engine, is_news, is_seen};
use crate::complaint::{Channel, QuestionId};

/// Every question of the tree that is still open.
pub(super) fn advices(valuation: &Valuation<'_>) -> Vec<Advice> {
    let Valuation { engine, live, sites, situation, .. } = *valuation;
    let Some(complaint) = situation.complaint else { return Vec::new() };
    let trees = engine.trees();
    let open = trees.questions(complaint.tree).filter(|&question| is_open(engine, situation, question));
    open.map(|id| {
        let question = trees.question(id);
        let about = (complaint.subject, &complaint.state);
        let asking = Asking::of(engine.vehicle(), trees, id, about, situation.channel);
        let chances: Vec<Vec<f64>> = live.iter().map(|live| asking.chances(live.explanation)).collect();
        Advice {
            test: Test::Ask(id),
            settings: Vec::new(),
            opens: Vec::new(),
            minutes: question.minutes,
            bits: discrete_bits(live, &chances, sites.len()),
            sound: None,
            outcomes: of_several(
                &engine.tables().plan,
                live,
                sites,
                (0..question.answers.len()).map(OutcomeSeen::Answer),
                &chances,
            ),
        }
    })
    .collect()
}

/// News, not answered, neither it nor another about the same; not seen either;
/// wanted; and fit for whoever is asked.
fn is_open(engine: &Engine, situation: &Situation<'_>, id: QuestionId) -> bool {
    let trees = engine.trees();
    let question = trees.question(id);
    let mut answers = situation.evidence.answers.iter();
    let answered = answers.any(|answered| trees.question(answered.question).topic == question.topic);
    let subject = situation.complaint.map(|complaint| complaint.subject);
    let seen = subject.is_some_and(|subject| is_seen(situation.evidence, subject, &question.topic));
    let fit = situation.channel == Channel::OnSite || question.plain.is_some();
    let is_news = is_news(engine, situation.evidence, id);
    is_news && !answered && !seen && fit && !situation.unwanted.contains(&Test::Ask(id))
}

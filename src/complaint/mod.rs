//! Complaint trees as values: what people say, what to ask them before a meter
//! comes out, and how likely each answer is under each kind of fault in each
//! position. What an answer does to the belief is worked out in `belief`.

mod danger;
mod ear;
mod hearing;
mod lexicon;
mod library;
mod odds;
mod read;
mod speech;
mod subject;
mod things;

pub use hearing::{Lack, Meaning, Meant, Understood};
pub use lexicon::Lexicon;
pub use library::{built_in_trees, load_dangers, load_lexicon, load_questions, load_tree, trees_with};
pub use odds::Supposed;

use crate::quantity::Minutes;
use crate::tables::rates::PartClass;
use crate::vehicle::sides::Side;
use crate::vehicle::{LoadKind, PartId, State};
use ear::Ear;
use serde::{Deserialize, Serialize};
use std::sync::OnceLock;

/// Number of a tree.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct TreeId(usize);

/// Number of a question.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct QuestionId {
    /// Its tree.
    pub tree: TreeId,
    /// Position in the tree.
    pub number: usize,
}

/// How somebody's words reach the record.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Serialize, Deserialize)]
pub enum Channel {
    /// By the person at the vehicle who keeps the record.
    #[default]
    OnSite,
    /// By somebody without skill, over the phone.
    ByPhone,
}

/// A complaint with the tree that goes with it.
#[derive(Debug, Clone, PartialEq)]
pub struct Complaint {
    /// The tree.
    pub tree: TreeId,
    /// What is complained of.
    pub subject: PartId,
    /// How everything stood when it was.
    pub state: State,
}

/// What is wrong, as a complaint puts it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Deserialize)]
pub enum Wrong {
    /// A load does nothing.
    Dead,
    /// A load is dim or slow.
    Weak,
    /// A load works only sometimes.
    Sometimes,
    /// A load stays on.
    StaysOn,
    /// A load that is off glows.
    Glows,
    /// A fuse or breaker opens.
    Blows,
    /// A battery goes flat.
    GoesFlat,
    /// A battery is not charged.
    Uncharged,
}

/// How much somebody says is wrong.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, Deserialize)]
pub enum Extent {
    /// What is complained of, and nothing is said of anything else.
    #[default]
    One,
    /// More than that.
    Several,
}

/// Ways to fail that people tell alike.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Deserialize)]
pub enum Kind {
    /// No path.
    Open,
    /// Too much resistance.
    Resistive,
    /// A path where none should be: to body metal, to a neighbour, across a load.
    Short,
    /// Conducts when it should not.
    Stuck,
    /// Changed places, or wired to the wrong terminal.
    Crossed,
    /// Draws too much, or does not go to sleep.
    Draws,
    /// Draws too little: part of it is open or worn.
    Worn,
    /// A source gives too little voltage.
    Low,
    /// A fuse of too small a rating.
    Rating,
    /// Nothing is wrong with the wiring.
    Nothing,
    /// Something that the drawing does not show.
    Undrawn,
}

/// When a fault was there, against what was read before anybody complained.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Deserialize)]
pub enum Began {
    /// Before all of that.
    Before,
    /// Some time later.
    Later,
}

/// How likely the answers to a question are under some faults.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Odds {
    /// Ways to fail; any, if none is named.
    #[serde(default)]
    pub kinds: Vec<Kind>,
    /// Where; anywhere, if none is named.
    #[serde(default)]
    pub at: Vec<Side>,
    /// In which kinds of part; in any, if none is named.
    #[serde(default)]
    pub of: Vec<PartClass>,
    /// When they began; at any time, if none is named.
    #[serde(default)]
    pub began: Vec<Began>,
    /// Chance of each answer; together one.
    pub are: Vec<f64>,
}

/// One answer to a question.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Answer {
    /// The word that is typed.
    pub word: String,
    /// What it means.
    pub says: String,
}

/// A question that needs no meter.
#[derive(Debug, Clone, PartialEq)]
pub struct Question {
    /// Its name in the record.
    pub name: String,
    /// To somebody who knows the trade.
    pub ask: String,
    /// To somebody who does not; without it, it is not asked by phone.
    pub plain: Option<String>,
    /// Time it takes.
    pub minutes: Minutes,
    /// Share of answers that can be taken at their word.
    pub trust: f64,
    /// The same by phone.
    pub by_phone: f64,
    /// What it is about: answers about the same are no news to each other.
    pub topic: String,
    /// Its answers.
    pub answers: Vec<Answer>,
    /// How likely each is; the first row that fits a fault counts.
    pub odds: Vec<Odds>,
}

/// What is known of one class of complaints.
#[derive(Debug, Clone, PartialEq)]
pub struct Tree {
    /// Its name, one word.
    pub class: String,
    /// The same in a few words.
    pub title: String,
    /// What such a complaint says is wrong.
    pub wrong: Wrong,
    /// How much that is.
    pub extent: Extent,
    /// The loads it is about; any, if none is named.
    pub loads: Vec<LoadKind>,
    /// How people say it.
    pub said: Vec<String>,
    /// How everything is to be set before anything is asked.
    pub setup: Vec<String>,
    /// What to ask, in the order of effort.
    pub questions: Vec<Question>,
    /// Wrong turns.
    pub traps: Vec<String>,
    /// What can hurt or harm.
    pub cautions: Vec<String>,
    /// What shows that the repair holds.
    pub proof: Vec<String>,
}

/// What comes before every complaint: words that tell of something that can hurt, and
/// what is to be done first.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Danger {
    /// How people say it.
    pub said: Vec<String>,
    /// What sounds like it and is not.
    #[serde(default)]
    pub but: Vec<String>,
    /// What to do first.
    pub first: Vec<String>,
}

/// What goes with every tree.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct OfEvery {
    /// Asked after a tree's own questions.
    pub questions: Vec<Question>,
    /// Understood before a tree is looked for; the first that fits counts.
    pub dangers: Vec<Danger>,
    /// What people's words mean, whatever tree they lead to.
    pub lexicon: Lexicon,
}

/// All trees at hand.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Trees {
    trees: Vec<Tree>,
    dangers: Vec<Danger>,
    lexicon: Lexicon,
    /// Made of them when something is first heard.
    ear: OnceLock<Ear>,
}

impl Trees {
    /// Those trees, and what goes with every one of them.
    pub fn new(mut trees: Vec<Tree>, of_every: OfEvery) -> Self {
        for tree in &mut trees {
            let is_asked = |question: &Question| tree.questions.iter().any(|own| own.name == question.name);
            let more: Vec<Question> =
                of_every.questions.iter().filter(|question| !is_asked(question)).cloned().collect();
            tree.questions.extend(more);
        }
        Self { trees, dangers: of_every.dangers, lexicon: of_every.lexicon, ear: OnceLock::new() }
    }

    /// What people's words mean, whatever tree they lead to.
    pub fn lexicon(&self) -> &Lexicon {
        &self.lexicon
    }

    /// What is listened for.
    fn ear(&self) -> &Ear {
        self.ear.get_or_init(|| {
            let said = |(at, tree): (usize, &Tree)| {
                tree.said.iter().chain([&tree.class]).map(move |said| (at, said.clone())).collect::<Vec<_>>()
            };
            let said: Vec<(usize, String)> = self.trees.iter().enumerate().flat_map(said).collect();
            Ear::new(said.iter().map(|(at, said)| (*at, said.as_str())), self.lexicon.clone())
        })
    }

    /// Every tree with its number.
    pub fn iter(&self) -> impl Iterator<Item = (TreeId, &Tree)> {
        self.trees.iter().enumerate().map(|(index, tree)| (TreeId(index), tree))
    }

    /// A tree.
    pub fn tree(&self, id: TreeId) -> &Tree {
        &self.trees[id.0]
    }

    /// A question.
    pub fn question(&self, id: QuestionId) -> &Question {
        &self.tree(id.tree).questions[id.number]
    }

    /// The tree of a class.
    pub fn find(&self, class: &str) -> Option<TreeId> {
        self.iter().find(|(_, tree)| tree.class.eq_ignore_ascii_case(class)).map(|(id, _)| id)
    }

    /// The question of that name in a tree.
    pub fn find_question(&self, tree: TreeId, name: &str) -> Option<QuestionId> {
        let number = self.tree(tree).questions.iter().position(|question| question.name.eq_ignore_ascii_case(name))?;
        Some(QuestionId { tree, number })
    }

    /// The questions of a tree.
    pub fn questions(&self, tree: TreeId) -> impl Iterator<Item = QuestionId> + use<> {
        (0..self.tree(tree).questions.len()).map(move |number| QuestionId { tree, number })
    }
}

impl Question {
    /// Whether its answers tell when a fault began.
    pub fn tells_onset(&self) -> bool {
        self.odds.iter().any(|odds| !odds.began.is_empty())
    }

    /// The position of an answer, by its word or its number from 1.
    pub fn find_answer(&self, word: &str) -> Option<usize> {
        let by_number = word.parse::<usize>().ok().filter(|number| (1..=self.answers.len()).contains(number));
        by_number
            .map(|number| number - 1)
            .or_else(|| self.answers.iter().position(|answer| answer.word.eq_ignore_ascii_case(word)))
    }
}

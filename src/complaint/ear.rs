//! What is listened for in a sentence: the wordings of trees and signs, and side remarks,
//! each as stems.

use super::lexicon::Lexicon;
use super::speech::{Speller, SpokenWord};
use rustc_hash::FxHashSet;

/// Layout: other words between two of one wording.
const GAP: usize = 3;

/// What a wording is of, by its number.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Listened {
    Tree(usize),
    /// One of the lexicon's signs.
    Sign(usize),
}

/// How people say something.
#[derive(Debug, Clone, PartialEq)]
pub struct Wording {
    pub stems: Vec<String>,
    pub of: Listened,
}

/// All that is listened for.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Ear {
    pub lexicon: Lexicon,
    pub speller: Speller,
    pub wordings: Vec<Wording>,
    /// Stems of a remark, and its number.
    pub remarks: Vec<(Vec<String>, usize)>,
    /// Words of wordings.
    pub ordinary: FxHashSet<String>,
}

impl Ear {
    /// For the wordings of trees, each with the tree's number.
    pub fn new<'t>(of_trees: impl Iterator<Item = (usize, &'t str)>, lexicon: Lexicon) -> Self {
        let mut said: Vec<(&str, Listened)> = of_trees.map(|(tree, said)| (said, Listened::Tree(tree))).collect();
        let signs = lexicon.signs.iter().enumerate();
        said.extend(signs.flat_map(|(at, sign)| sign.said.iter().map(move |said| (said.as_str(), Listened::Sign(at)))));
        let told = lexicon.remarks.iter().enumerate();
        let told = told.flat_map(|(at, remark)| remark.said.iter().map(move |said| (said.as_str(), at)));
        let told: Vec<(&str, usize)> = told.collect();
        let phrases = said.iter().map(|(said, _)| *said).chain(told.iter().map(|(said, _)| *said));
        let speller = Speller::new(&lexicon, phrases);
        let wordings = said.iter().map(|&(said, of)| Wording { stems: speller.phrase(said), of });
        let wordings: Vec<Wording> = wordings.filter(|wording| !wording.stems.is_empty()).collect();
        let remarks = told.iter().map(|&(said, at)| (speller.phrase(said), at));
        let remarks = remarks.filter(|(stems, _)| !stems.is_empty()).collect();
        let ordinary = wordings.iter().flat_map(|wording| wording.stems.iter().cloned()).collect();
        Self { speller, wordings, remarks, ordinary, lexicon }
    }
}

/// Where the stems stand in this order, with few other words between, and how many;
/// nothing is meant by a word that is denied.
pub fn found(stems: &[String], words: &[SpokenWord], content: &[usize]) -> Vec<(Vec<usize>, usize)> {
    let stem = |at: usize| words[content[at]].stem.as_str();
    let clause = |at: usize| words[content[at]].clause;
    let mut all = Vec::new();
    for start in (0..content.len()).filter(|&at| stem(at) == stems[0]) {
        let is_denied = start > 0 && stem(start - 1) == "not" && clause(start - 1) == clause(start);
        if is_denied && !stems.iter().any(|stem| stem == "not") {
            continue;
        }
        let (mut at, mut now) = (vec![content[start]], start);
        for wanted in &stems[1..] {
            let near = now + 1..content.len().min(now + 2 + GAP);
            let next = near.into_iter().find(|&next| stem(next) == wanted && clause(next) == clause(start));
            let Some(next) = next else { break };
            at.push(content[next]);
            now = next;
        }
        if at.len() == stems.len() {
            all.push((at, now - start + 1 - stems.len()));
        }
    }
    all
}

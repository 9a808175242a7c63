//! What somebody's sentence means: of every wording that is in it, word by word and
//! with others between, those that say most; of what it names, the thing beside them.
//! Where two meanings fit about as well, both are given: better a question than a guess.

use super::ear::{Listened, found};
use super::speech::{Speech, SpokenWord};
use super::subject::{self, Subjects};
use super::things::{Mention, Sought, Things, names};
use super::{QuestionId, TreeId, Trees, Wrong};
use crate::vehicle::{PartId, State, Vehicle};
use rustc_hash::FxHashSet;

/// Layout: meanings to choose from.
const CHOICES: usize = 4;

/// What is said of something.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Meant {
    /// A complaint.
    Complaint(TreeId),
    /// A sign: number of the lexicon's.
    Sign(usize),
}

/// One meaning of a sentence.
#[derive(Debug, Clone, PartialEq)]
pub struct Meaning {
    pub what: Meant,
    /// Of what; nothing in particular, where everything is.
    pub subjects: Vec<PartId>,
    /// What is said to work.
    pub works: Vec<PartId>,
    /// Side remarks as answers.
    pub answers: Vec<(QuestionId, usize)>,
    /// Whether it is charged, but with too little.
    pub is_little: bool,
}

/// Why there is no meaning.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Lack {
    /// No wording is in it.
    Wording,
    /// It is not said of what.
    Thing,
    /// Nor what a sign is of: number of the lexicon's.
    Of(usize),
}

/// What a sentence comes to.
#[derive(Debug, Clone, PartialEq)]
pub struct Understood {
    /// The meanings that fit best, alike; the only one is sure.
    pub meanings: Vec<Meaning>,
    pub lack: Lack,
    /// Whether there is but one, and nothing in the sentence speaks against it.
    pub is_sure: bool,
    /// What is named and is not there.
    pub strange: Option<String>,
    /// Words that nothing was made of.
    pub unused: Vec<String>,
    /// Words that were spelt nearly like known ones, and those.
    pub mended: Vec<(String, String)>,
}

/// A wording in a sentence.
#[derive(Debug, Clone)]
struct Match {
    what: Meant,
    at: Vec<usize>,
    weight: f64,
}

/// A class with what speaks for it and what it is said of.
struct Contender {
    what: Meant,
    weight: f64,
    at: Vec<usize>,
    mentions: Vec<usize>,
}

impl Trees {
    /// What a sentence means, of a vehicle as it stands; of what was spoken of before,
    /// where it names nothing.
    pub fn hear(&self, vehicle: &Vehicle, state: &State, before: Option<PartId>, said: &str) -> Understood {
        let ear = self.ear();
        let speech = ear.speller.speech(said, &names(vehicle));
        let things = Things::new(vehicle, &ear.lexicon, &ear.speller, &ear.ordinary);
        let subjects = Subjects { vehicle, state, things: &things };
        let mentions = things.mentions(&speech);
        let content: Vec<usize> = (0..speech.words.len()).filter(|&at| !speech.words[at].is_filler).collect();
        let matches = self.matches(&speech, &content, &mentions, &subjects);
        let mut candidates = self.candidates(&matches, &speech, &mentions);
        let is_works = |what: Meant| matches!(what, Meant::Sign(sign) if ear.lexicon.signs[sign].verb == "works");
        let works_at: Vec<usize> =
            candidates.iter().filter(|one| is_works(one.what)).flat_map(|one| one.at.clone()).collect();
        let complained: Vec<usize> =
            candidates.iter().filter(|one| !is_works(one.what)).flat_map(|one| one.mentions.clone()).collect();
        let works: Vec<usize> =
            candidates.iter().filter(|one| is_works(one.what)).flat_map(|one| one.mentions.clone()).collect();
        let works: Vec<usize> = works.into_iter().filter(|mention| !complained.contains(mention)).collect();
        if candidates.iter().any(|one| !is_works(one.what)) {
            candidates.retain(|one| !is_works(one.what));
        }
        // What is seen of a part goes after what is complained of beside it.
        let is_seen = |one: &Contender| matches!(one.what, Meant::Sign(sign) if ear.lexicon.signs[sign].is_of_fuse());
        let complains = |one: &Contender| matches!(one.what, Meant::Complaint(_)) && !one.mentions.is_empty();
        let complained: Vec<Vec<usize>> =
            candidates.iter().filter(|one| complains(one)).map(|one| one.at.clone()).collect();
        candidates.retain(|one| {
            let is_apart = |other: &Vec<usize>| !other.iter().any(|at| one.at.contains(at));
            !is_seen(one) || !complained.iter().any(is_apart)
        });
        let most = candidates.iter().map(|one| one.weight).fold(0.0, f64::max);
        candidates.retain(|one| one.weight > most - self.ear().lexicon.weights.alike);
        let remarks = self.remarks(&speech, &content);
        let works_parts = subjects.of(&works.iter().map(|&at| &mentions[at]).collect::<Vec<_>>(), None).parts;
        let mut meanings = Vec::new();
        let mut strange = None;
        let before = before.filter(|_| !mentions.iter().any(|mention| mention.has_name));
        let mut is_of_before = false;
        for one in &candidates {
            let told: Vec<&Mention> = one.mentions.iter().map(|&at| &mentions[at]).collect();
            let is_all = told.iter().any(|mention| is_of_all(&speech, mention));
            let is_both = told.iter().any(|mention| is_near(&speech, mention, |word| word.said == "both"))
                || speech.words.iter().any(|word| word.said.starts_with("neither"));
            let wrong = match one.what {
                Meant::Complaint(tree) => Some(self.tree(tree).wrong),
                Meant::Sign(sign) => ear.lexicon.signs[sign].is_of_fuse().then_some(Wrong::Blows),
            };
            let is_works = is_works(one.what);
            let mut named = if is_works { subjects.of(&told, None) } else { subjects.of_wrong(&told, wrong) };
            if let (true, Some(part)) = (named.parts.is_empty(), before) {
                named = subjects.of_known(part, wrong);
                is_of_before |= !named.parts.is_empty();
            }
            named.is_uniform &= !is_both || named.choices.len() < 3;
            strange = strange.or(named.strange.clone());
            let what = self.of_several(one.what, &named, is_all);
            let is_any = self.is_of_anything(what);
            let choices = match () {
                () if named.parts.is_empty() && is_any => vec![Vec::new()],
                () if named.choices.is_empty() || named.is_whole(is_all) && self.is_shared(what) => {
                    vec![named.parts.clone()]
                }
                () => named.choices.iter().map(|&part| vec![part]).collect(),
            };
            for subjects in choices.into_iter().filter(|parts| !parts.is_empty() || is_any) {
                let works = works_parts.iter().copied().filter(|part| !subjects.contains(part)).collect();
                let answers = self.answers(what, &remarks);
                let is_little = wrong == Some(Wrong::Uncharged)
                    && speech.words.iter().any(|word| ear.lexicon.less.contains(&word.stem));
                meanings.push(Meaning { what, subjects, works, answers, is_little });
            }
        }
        meanings.dedup_by(|one, other| (one.what, &one.subjects) == (other.what, &other.subjects));
        meanings.truncate(CHOICES);
        let lack = match candidates.first().map(|one| one.what) {
            None => Lack::Wording,
            Some(Meant::Sign(sign)) if ear.lexicon.signs[sign].is_of_fuse() => Lack::Of(sign),
            Some(_) => Lack::Thing,
        };
        let used = candidates
            .iter()
            .flat_map(|one| one.at.iter().chain(one.mentions.iter().flat_map(|&at| &mentions[at].at)).copied());
        let used = used.chain(works_at).chain(works.iter().flat_map(|&at| mentions[at].at.clone()));
        let answered: Vec<usize> = remarks
            .iter()
            .filter(|(remark, _)| {
                meanings.iter().any(|meaning| !self.answers(meaning.what, &[(*remark, Vec::new())]).is_empty())
            })
            .flat_map(|(_, at)| at.clone())
            .collect();
        let used: FxHashSet<usize> = used.chain(answered).collect();
        let joins = [&ear.lexicon.and, &ear.lexicon.but, &ear.lexicon.when, &ear.lexicon.at];
        let is_join = |word: &SpokenWord| joins.iter().any(|list| list.contains(&word.said)) || word.said.is_empty();
        let unused =
            content.iter().filter(|at| !used.contains(at)).map(|&at| &speech.words[at]).filter(|word| !is_join(word));
        let unused: Vec<&SpokenWord> = unused.collect();
        // Where something works, what is denied and not understood may turn it about.
        let is_denied =
            meanings.iter().any(|meaning| is_works(meaning.what)) && unused.iter().any(|word| word.stem == "not");
        // A thing that is named and plays no part may be what is meant.
        let is_left_out = |mention: &Mention| {
            let is_used = mention.at.iter().any(|at| used.contains(at));
            let named = subjects.of(&[mention], Some(Sought::Load)).parts;
            let is_meant = |part: &PartId| meanings.iter().any(|meaning| meaning.subjects.contains(part));
            mention.has_name && !mention.is_when && !is_used && !named.is_empty() && !named.iter().any(is_meant)
        };
        // A word that is not known may name something else than what was spoken of before.
        let is_other = is_of_before && !(unused.is_empty() && speech.mended.is_empty());
        let is_sure =
            meanings.len() == 1 && strange.is_none() && !is_denied && !is_other && !mentions.iter().any(is_left_out);
        let unused = unused.into_iter().map(|word| word.said.clone()).collect();
        Understood { meanings, is_sure, lack, strange, unused, mended: speech.mended }
    }

    /// The wordings that are in a speech, each longer one before what is part of it.
    fn matches(&self, speech: &Speech, content: &[usize], mentions: &[Mention], subjects: &Subjects<'_>) -> Vec<Match> {
        let is_of_name = |at: &usize| mentions.iter().any(|mention| mention.at.contains(at));
        let mut all: Vec<Match> = Vec::new();
        for wording in &self.ear().wordings {
            let what = match wording.of {
                Listened::Tree(index) => Meant::Complaint(TreeId(index)),
                Listened::Sign(index) => Meant::Sign(index),
            };
            for (at, between) in found(&wording.stems, &speech.words, content) {
                let mut weight = 1.0 + self.ear().lexicon.weights.following * (at.len() - 1) as f64
                    - self.ear().lexicon.weights.between * between as f64;
                let is_name = at.iter().all(is_of_name);
                let is_when = |at: &usize| speech.words[*at].is_when;
                // From what it does into when it does: `keeps going with the switch off`.
                let is_across = at.iter().any(is_when)
                    && !at.iter().all(is_when)
                    && !wording.stems.iter().any(|stem| self.ear().lexicon.when.contains(stem));
                weight *= if is_across { self.ear().lexicon.weights.of_when } else { 1.0 };
                weight *= if is_name { self.ear().lexicon.weights.of_name } else { 1.0 };
                weight *= if at.iter().all(|&at| speech.words[at].is_when)
                    && speech.words.iter().any(|word| !word.is_when && !word.is_filler)
                {
                    self.ear().lexicon.weights.of_when
                } else {
                    1.0
                };
                if let Meant::Sign(sign) = what
                    && self.ear().lexicon.signs[sign].is_of_fuse()
                    && !wording.stems.iter().any(|stem| subjects.things.is_of_part(stem))
                {
                    let told = beside(&at, speech, mentions);
                    let told: Vec<&Mention> = told.into_iter().map(|at| &mentions[at]).collect();
                    if subjects.of(&told, Some(Sought::Protection)).parts.is_empty() {
                        continue;
                    }
                }
                if let Meant::Complaint(tree) = what {
                    let loads = &self.tree(tree).loads;
                    let told: Vec<&Mention> =
                        beside(&at, speech, mentions).into_iter().map(|at| &mentions[at]).collect();
                    let kinds = subjects.kinds(&told);
                    let is_such = loads.is_empty() || kinds.is_empty() || kinds.iter().any(|kind| loads.contains(kind));
                    if !is_such || !subjects.suits(&told, self.tree(tree).wrong) {
                        continue;
                    }
                    weight += if loads.is_empty() || kinds.is_empty() || is_name {
                        0.0
                    } else {
                        self.ear().lexicon.weights.just_such
                    };
                }
                all.push(Match { what, at, weight });
            }
        }
        all.sort_by(|one, other| other.weight.total_cmp(&one.weight));
        let mut kept: Vec<Match> = Vec::new();
        for one in all {
            let touches = |other: &&Match| other.at.iter().any(|at| one.at.contains(at));
            let is_part = kept
                .iter()
                .filter(touches)
                .any(|other| other.what == one.what || other.weight > one.weight + self.ear().lexicon.weights.alike);
            if !is_part {
                kept.push(one);
            }
        }
        if !kept.iter().any(|one| matches!(one.what, Meant::Complaint(_))) {
            kept.extend(self.denied(speech, content, mentions, &kept));
        }
        kept
    }

    /// What is denied in no known wording: what a thing does not do it should do. Of `is not`
    /// so and so nobody knows.
    fn denied(&self, speech: &Speech, content: &[usize], mentions: &[Mention], known: &[Match]) -> Option<Match> {
        let what = Meant::Complaint(self.find(&self.ear().lexicon.denied)?);
        let is_name = |at: usize| mentions.iter().any(|mention| mention.at.contains(&at));
        content.iter().enumerate().find_map(|(number, &at)| {
            let word = &speech.words[at];
            let is_open = word.stem == "not" && !word.is_when && !known.iter().any(|one| one.at.contains(&at));
            let next = content.get(number + 1).copied().filter(|&next| speech.words[next].clause == word.clause);
            let is_said = match next {
                Some(next) if is_name(next) => return None,
                Some(next) => !word.said.starts_with("is") || speech.words[next].said.ends_with("ing"),
                None => true,
            };
            (is_open && is_said).then(|| Match { what, at: [at].into_iter().chain(next).collect(), weight: 1.0 })
        })
    }

    /// Classes by what speaks for them.
    fn candidates(&self, matches: &[Match], speech: &Speech, mentions: &[Mention]) -> Vec<Contender> {
        let mut all: Vec<Contender> = Vec::new();
        for one in matches {
            let told = beside(&one.at, speech, mentions);
            match all.iter_mut().find(|known| known.what == one.what) {
                Some(known) => {
                    known.weight += self.ear().lexicon.weights.repeated * one.weight;
                    known.at.extend(&one.at);
                    if self.is_shared(one.what) {
                        known
                            .mentions
                            .extend(told.iter().filter(|at| !known.mentions.contains(at)).copied().collect::<Vec<_>>());
                    }
                }
                None => all.push(Contender { what: one.what, weight: one.weight, at: one.at.clone(), mentions: told }),
            }
        }
        let is_general = |what: Meant| match what {
            Meant::Complaint(tree) => self.ear().lexicon.general.contains(&self.tree(tree).class),
            Meant::Sign(_) => false,
        };
        let complains = |one: &Contender| {
            matches!(one.what, Meant::Complaint(_))
                && !is_general(one.what)
                && one.weight >= self.ear().lexicon.weights.speaks
        };
        let others: Vec<(Vec<usize>, Vec<usize>)> =
            all.iter().filter(|one| complains(one)).map(|one| (one.mentions.clone(), one.at.clone())).collect();
        for one in all.iter_mut().filter(|one| is_general(one.what)) {
            // Of the very same words either may be meant.
            let yields = |(mentions, at): &(Vec<usize>, Vec<usize>)| {
                let is_of_it = mentions.is_empty() || one.mentions.iter().all(|at| mentions.contains(at));
                is_of_it && !at.iter().all(|at| one.at.contains(at))
            };
            if others.iter().any(yields) {
                one.weight *= self.ear().lexicon.weights.general;
            }
        }
        all
    }

    /// Remarks in a speech, with where they are.
    fn remarks(&self, speech: &Speech, content: &[usize]) -> Vec<(usize, Vec<usize>)> {
        let of = |(stems, remark): &(Vec<String>, usize)| {
            found(stems, &speech.words, content).into_iter().next().map(|(at, _)| (*remark, at))
        };
        self.ear().remarks.iter().filter_map(of).collect()
    }

    /// What remarks answer of the questions of a tree.
    fn answers(&self, what: Meant, remarks: &[(usize, Vec<usize>)]) -> Vec<(QuestionId, usize)> {
        let Meant::Complaint(tree) = what else { return Vec::new() };
        let mut answers: Vec<(QuestionId, usize)> = Vec::new();
        for means in remarks.iter().flat_map(|(remark, _)| &self.ear().lexicon.remarks[*remark].means) {
            let answer = means.split_once(' ').and_then(|(name, word)| {
                let question = self.find_question(tree, name)?;
                Some((question, self.question(question).find_answer(word)?))
            });
            answers.extend(answer.filter(|(question, _)| !answers.iter().any(|(known, _)| known == question)));
        }
        answers
    }

    /// Several that are dead are a complaint of its own.
    fn of_several(&self, what: Meant, named: &subject::SpokenOf, is_all: bool) -> Meant {
        let is_several = named.parts.len() > 1 && (named.choices.is_empty() || named.is_whole(is_all));
        match what {
            Meant::Complaint(tree) if is_several && self.tree(tree).class == "dead" => {
                self.find("several").map_or(what, Meant::Complaint)
            }
            what => what,
        }
    }

    /// Whether it can be of nothing in particular.
    fn is_of_anything(&self, what: Meant) -> bool {
        matches!(what, Meant::Complaint(tree) if self.tree(tree).extent == super::Extent::Several)
    }

    /// Whether what is said of one of a group is said of all.
    fn is_shared(&self, what: Meant) -> bool {
        match what {
            Meant::Complaint(tree) => !matches!(self.tree(tree).class.as_str(), "sneak" | "trailer"),
            Meant::Sign(_) => true,
        }
    }
}

/// Whether a mention has `all`, `both`, `every` before it.
fn is_of_all(speech: &Speech, mention: &Mention) -> bool {
    is_near(speech, mention, |word| matches!(word.stem.as_str(), "all" | "everyth" | "noth"))
}

/// Whether there is such a word beside a mention.
fn is_near(speech: &Speech, mention: &Mention, wanted: impl Fn(&SpokenWord) -> bool) -> bool {
    let near = mention.at[0].saturating_sub(2)..(mention.at[mention.at.len() - 1] + 3).min(speech.words.len());
    speech.words[near].iter().any(wanted)
}

/// The mentions that a wording is said of: those within it, else those told in one
/// breath before it, else after it; first of its own clause, and what is no circumstance.
fn beside(at: &[usize], speech: &Speech, mentions: &[Mention]) -> Vec<usize> {
    let (first, last) = (at[0], at[at.len() - 1]);
    let clause = speech.words[first].clause;
    let start = |mention: &Mention| mention.at[0];
    let end = |mention: &Mention| mention.at[mention.at.len() - 1];
    let is_in = |mention: &Mention| start(mention) <= last && end(mention) >= first;
    // Of `no light` the light is not the subject.
    let is_denied = matches!(speech.words[first].stem.as_str(), "not" | "noth");
    let is_without = |mention: &Mention| {
        let before = speech.words[..mention.at[0]].iter().rev().find(|word| !word.is_filler);
        before.is_some_and(|word| word.stem == "not" && word.clause == mention.clause)
    };
    let is_code = mentions.iter().any(|mention| mention.is_code);
    let numbered =
        || mentions.iter().enumerate().filter(|(_, mention)| mention.has_name && (mention.is_code || !is_code));
    let chosen = [false, true].into_iter().find_map(|of_when| {
        let fits = |mention: &Mention| of_when || !(mention.is_when || is_without(mention));
        let here = |mention: &Mention| fits(mention) && mention.clause == clause;
        let pick = |wanted: &dyn Fn(&Mention) -> bool, is_last: bool| {
            let mut all = numbered().filter(|(_, mention)| wanted(mention)).map(|(index, _)| index);
            if is_last { all.next_back() } else { all.next() }
        };
        let is_only = |mention: &Mention| mention.at.iter().all(|word| at.contains(word));
        pick(&|mention| here(mention) && is_in(mention) && !is_only(mention), false)
            .or_else(|| pick(&|mention| here(mention) && end(mention) < first, true))
            .or_else(|| pick(&|mention| here(mention) && is_in(mention) && !is_denied, false))
            .or_else(|| pick(&|mention| here(mention) && start(mention) > last, false))
            .or_else(|| pick(&|mention| fits(mention) && end(mention) < first, true))
            .or_else(|| pick(&|mention| fits(mention) && start(mention) > last, false))
            .or_else(|| pick(&|mention| fits(mention) && is_in(mention), false))
    });
    let Some(chosen) = chosen else { return Vec::new() };
    let group = mentions[chosen].group;
    numbered().filter(|(_, mention)| mention.group == group).map(|(index, _)| index).collect()
}

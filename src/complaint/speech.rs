//! What somebody says, as words that can be compared: small letters, near spellings
//! mended, stems, one word for many.

use super::lexicon::Lexicon;
use rust_stemmers::{Algorithm, Stemmer};
use rustc_hash::FxHashSet;
use strsim::damerau_levenshtein;

/// Numerical: letters of a word that may be one off, and two.
const LETTERS: (usize, usize) = (4, 7);

/// Numerical: below so many letters a word with another letter is another word.
const SHORT: usize = 6;

/// A word as it counts.
#[derive(Debug, Clone, PartialEq)]
pub struct SpokenWord {
    /// As it was said; nothing where one was said for several.
    pub said: String,
    /// What it counts as.
    pub stem: String,
    /// Its clause.
    pub clause: usize,
    /// Whether it tells when, not what.
    pub is_when: bool,
    /// Whether it says nothing by itself.
    pub is_filler: bool,
    /// Whether more than one is meant.
    pub is_plural: bool,
}

/// What a sentence comes to.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Speech {
    pub words: Vec<SpokenWord>,
    /// What was spelt nearly as known words are, and those.
    pub mended: Vec<(String, String)>,
}

/// The words that are known, ready to be compared.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Speller {
    /// Stems of what is said, and what they stand for; the longest first.
    same: Vec<(Vec<String>, Vec<String>)>,
    fillers: FxHashSet<String>,
    but: FxHashSet<String>,
    when: FxHashSet<String>,
    /// Whole words and stems.
    known: FxHashSet<String>,
}

/// Words in small letters, each with its clause.
fn split(text: &str) -> Vec<(String, usize)> {
    let kept: Vec<char> = text.to_lowercase().chars().filter(|c| !matches!(c, '\'' | '’' | '`')).collect();
    let mut words = Vec::new();
    let (mut word, mut clause) = (String::new(), 0);
    for (at, &c) in kept.iter().enumerate() {
        // `FC1.out` and `F1/in` are one word.
        let is_within = matches!(c, '.' | '/') && kept.get(at + 1).is_some_and(|next| next.is_alphanumeric());
        if c.is_alphanumeric() || c == '_' || is_within && !word.is_empty() {
            word.push(c);
            continue;
        }
        if !word.is_empty() {
            words.push((std::mem::take(&mut word), clause));
        }
        let is_end = kept.get(at + 1).is_none_or(|next| next.is_whitespace());
        clause += usize::from(matches!(c, '.' | ',' | ';' | ':' | '!' | '?' | '(' | ')' | '–' | '-') && is_end);
    }
    if !word.is_empty() {
        words.push((word, clause));
    }
    words
}

impl Speller {
    /// Of a lexicon, and of the phrases that are looked for.
    pub fn new<'p>(lexicon: &Lexicon, phrases: impl Iterator<Item = &'p str>) -> Self {
        let stemmer = Stemmer::create(Algorithm::English);
        let plain = |text: &str| split(text).into_iter().map(|(word, _)| word);
        let stems = |text: &str| plain(text).map(|word| stemmer.stem(&word).into_owned()).collect::<Vec<_>>();
        let set = |words: &[String]| words.iter().flat_map(|word| stems(word)).collect::<FxHashSet<_>>();
        let of = |one: &super::lexicon::Same| {
            let to = stems(&one.word);
            one.also.iter().map(|said| (stems(said), to.clone())).collect::<Vec<_>>()
        };
        let mut same: Vec<_> = lexicon.same.iter().flat_map(of).collect();
        same.sort_by_key(|(from, _)| std::cmp::Reverse(from.len()));
        let said = lexicon.same.iter().flat_map(|one| one.also.iter().chain([&one.word])).map(String::as_str);
        let lists =
            [&lexicon.nouns, &lexicon.sources, &lexicon.battery, &lexicon.parts, &lexicon.sides, &lexicon.fillers];
        let listed = lists.into_iter().flatten().chain(&lexicon.but).chain(&lexicon.when).map(String::as_str);
        let kinds = lexicon.kinds.iter().flat_map(|kind| &kind.words).map(String::as_str);
        let mut known = FxHashSet::default();
        let mut learn = |text: &str| {
            known.extend(plain(text));
            known.extend(stems(text));
        };
        said.chain(listed).chain(kinds).for_each(&mut learn);
        phrases.for_each(&mut learn);
        Self { same, fillers: set(&lexicon.fillers), but: set(&lexicon.but), when: set(&lexicon.when), known }
    }

    /// The stems of a phrase without what says nothing.
    pub fn phrase(&self, text: &str) -> Vec<String> {
        let words = self.heard(text, &FxHashSet::default(), false).words;
        words.into_iter().filter(|word| !word.is_filler).map(|word| word.stem).collect()
    }

    /// What somebody said, where `names` are words too.
    pub fn speech(&self, text: &str, names: &FxHashSet<String>) -> Speech {
        self.heard(text, names, true)
    }

    fn heard(&self, text: &str, names: &FxHashSet<String>, mends: bool) -> Speech {
        let stemmer = Stemmer::create(Algorithm::English);
        let mut mended = Vec::new();
        let mut words = Vec::new();
        for (said, clause) in split(text) {
            let stem = stemmer.stem(&said).into_owned();
            let is_known = !mends || self.is_known(&said, &stem, names);
            let meant = if is_known { None } else { self.nearest(&said, names) };
            let is_plural = said.ends_with('s') && !said.ends_with("ss");
            let stem = match meant {
                Some(meant) => {
                    mended.push((said.clone(), meant.clone()));
                    stemmer.stem(&meant).into_owned()
                }
                None => stem,
            };
            words.push(SpokenWord { said, stem, clause, is_when: false, is_filler: false, is_plural });
        }
        let mut words = self.one_for_many(words);
        self.mark(&mut words);
        Speech { words, mended }
    }

    fn is_known(&self, said: &str, stem: &str, names: &FxHashSet<String>) -> bool {
        let knows = |word: &str| self.known.contains(word) || names.contains(word);
        knows(said) || knows(stem) || said.contains(|c: char| c.is_ascii_digit())
    }

    fn nearest(&self, said: &str, names: &FxHashSet<String>) -> Option<String> {
        let length = said.chars().count();
        let limit = usize::from(length >= LETTERS.0) + usize::from(length >= LETTERS.1);
        let first = said.chars().next();
        let fits = |known: &&String| known.chars().next() == first && known.len() > 3 && limit > 0;
        let letters = |word: &str| {
            let mut letters: Vec<char> = word.chars().collect();
            letters.sort_unstable();
            letters
        };
        // Another letter makes another word of a short one; a missing or a changed place does not.
        let is_other = |known: &str| length < SHORT && known.len() == said.len() && letters(known) != letters(said);
        let near = self.known.iter().chain(names).filter(fits);
        let near = near
            .map(|known| (damerau_levenshtein(said, known), known))
            .filter(|(off, known)| *off <= limit && !is_other(known));
        near.min_by_key(|(off, known)| (*off, known.len().abs_diff(said.len()), known.as_str()))
            .map(|(_, known)| known.clone())
    }

    /// The longest of what is said in many ways first.
    fn one_for_many(&self, words: Vec<SpokenWord>) -> Vec<SpokenWord> {
        let mut out: Vec<SpokenWord> = Vec::new();
        let mut at = 0;
        while at < words.len() {
            let starts = |(from, _): &&(Vec<String>, Vec<String>)| {
                let here = words.get(at..at + from.len());
                here.is_some_and(|here| here.iter().zip(from).all(|(word, stem)| word.stem == *stem))
            };
            let Some((from, to)) = self.same.iter().find(starts) else {
                out.push(words[at].clone());
                at += 1;
                continue;
            };
            let last = &words[at + from.len() - 1];
            let said = words[at..at + from.len()].iter().map(|word| word.said.as_str()).collect::<Vec<_>>().join(" ");
            for (index, stem) in to.iter().enumerate() {
                let said = if index == 0 { said.clone() } else { String::new() };
                out.push(SpokenWord { said, stem: stem.clone(), ..last.clone() });
            }
            at += from.len();
        }
        out
    }

    /// Which words say nothing, which begin a clause, which tell when.
    fn mark(&self, words: &mut [SpokenWord]) {
        let (mut shift, mut is_when, mut clause) = (0, false, 0);
        for word in words {
            if self.but.contains(&word.stem) {
                shift += 1;
            }
            word.clause += shift;
            if word.clause != clause {
                (clause, is_when) = (word.clause, false);
            }
            is_when |= self.when.contains(&word.stem);
            word.is_when = is_when;
            word.is_filler = self.fillers.contains(&word.stem);
        }
    }
}

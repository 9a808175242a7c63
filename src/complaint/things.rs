//! What of a vehicle is named by people's words: labels, kinds, places, sides.

use super::lexicon::{Lexicon, Weights};
use super::speech::{Speech, Speller, SpokenWord};
use crate::vehicle::{ControlKind, Part, PartId, PartKind, Vehicle};
use rustc_hash::FxHashSet;

/// What kind of thing is looked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sought {
    Load,
    Battery,
    Protection,
    /// What charges.
    Source,
    /// Anything with a name.
    Any,
}

impl Sought {
    fn has(self, kind: &PartKind) -> bool {
        match self {
            Self::Load => kind.is_load(),
            Self::Battery => kind.is_battery(),
            Self::Protection => kind.is_protection(),
            Self::Source => {
                kind.is_regulated() || kind.load().is_some_and(|load| load.kind == crate::vehicle::LoadKind::Charger)
            }
            Self::Any => true,
        }
    }
}

/// Words that stand together and name something: positions in the speech.
#[derive(Debug, Clone, PartialEq)]
pub struct Mention {
    /// Their positions.
    pub at: Vec<usize>,
    /// What they are.
    pub stems: Vec<String>,
    /// The words as they were said.
    pub said: Vec<String>,
    /// Whether more than one is meant.
    pub is_plural: bool,
    /// Mentions that are told in one breath have one number.
    pub group: usize,
    pub is_when: bool,
    pub clause: usize,
    /// Whether it says more than a side, or the vehicle has something of that name.
    pub has_name: bool,
    /// Whether it is the name of a part that is no word, such as `ind_l`.
    pub is_code: bool,
}

/// What a mention names.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Fitting {
    /// Those that fit best, alike.
    pub parts: Vec<PartId>,
    /// How well.
    pub score: f64,
    /// A word that fits none of them.
    pub strange: Option<String>,
}

/// A thing with the words it goes by.
struct Thing {
    part: PartId,
    name: String,
    label: Vec<String>,
    /// Whether its label has a remark after a comma.
    has_remark: bool,
    /// What it is numbered as: a fuse, a relay; and its number.
    numbered: Option<(String, String)>,
    kinds: Vec<String>,
    place: Vec<String>,
}

/// The things of a vehicle.
pub struct Things<'v> {
    vehicle: &'v Vehicle,
    things: Vec<Thing>,
    /// Words that name kinds of thing, whether the vehicle has one or not.
    nouns: FxHashSet<String>,
    /// What only one kind of load does, and what that is called.
    does: Vec<(String, String)>,
    /// Parts that a load is complained of by.
    parts: FxHashSet<String>,
    sides: FxHashSet<String>,
    little: FxHashSet<String>,
    at: FxHashSet<String>,
    articles: FxHashSet<String>,
    and: FxHashSet<String>,
    weights: Weights,
    /// Words of sentences, which name something only as a label has them.
    ordinary: FxHashSet<String>,
}

/// A label without what is remarked after a comma.
fn named(label: &str) -> &str {
    label.split(',').next().unwrap_or(label)
}

/// Words of the labels and names of a vehicle.
pub fn names(vehicle: &Vehicle) -> FxHashSet<String> {
    let labels = vehicle.parts.iter().filter_map(|part| part.label.as_deref()).map(named);
    let controls = vehicle.controls.iter().map(|control| control.label.as_str());
    let names = vehicle.parts.iter().map(|part| part.name.as_str());
    let texts = labels.chain(controls).chain(names);
    texts.flat_map(|text| text.split(|c: char| !(c.is_alphanumeric() || c == '_'))).map(str::to_lowercase).collect()
}

/// What a kind of part is called that goes by a number.
fn counted(kind: &PartKind) -> Option<&'static str> {
    match kind {
        PartKind::Fuse { .. } => Some("fuse"),
        PartKind::Breaker { .. } => Some("breaker"),
        kind if kind.is_coil() => Some("relay"),
        kind if kind.is_battery() => Some("battery"),
        _ => None,
    }
}

/// The number at the end of a name.
fn number(name: &str) -> Option<String> {
    let letters = name.trim_end_matches(|last: char| last.is_ascii_digit());
    (letters.len() < name.len()).then(|| name[letters.len()..].to_string())
}

impl<'v> Things<'v> {
    /// Of a vehicle, with the words of a lexicon; `ordinary` are those of complaints.
    pub fn new(vehicle: &'v Vehicle, lexicon: &Lexicon, speller: &Speller, ordinary: &FxHashSet<String>) -> Self {
        let set = |words: &[String]| words.iter().flat_map(|word| speller.phrase(word)).collect::<FxHashSet<_>>();
        let raw = |words: &[String]| words.iter().cloned().collect::<FxHashSet<_>>();
        let kinds = |part: &Part| match &part.kind {
            kind if kind.is_battery() => &lexicon.battery[..],
            kind if kind.is_regulated() => &[],
            kind if kind.load().is_some() => {
                let load = kind.load().map(|load| load.kind);
                let called = lexicon.kinds.iter().find(|called| Some(called.kind) == load);
                called.map(|called| &called.words[..]).unwrap_or_default()
            }
            _ => &[],
        };
        let plug = |part: &Part| {
            let of = |control: &&crate::vehicle::Control| {
                control.kind == ControlKind::Plug && control.name == part.label_name()
            };
            vehicle.controls.iter().find(of).map(|control| control.label.clone())
        };
        let thing = |part: PartId| {
            let of = vehicle.part(part);
            let label = of.label.clone().or_else(|| plug(of));
            let place = of.place.map(|place| speller.phrase(&vehicle.place(place).name));
            Thing {
                part,
                name: of.label_name().to_lowercase(),
                numbered: counted(&of.kind).and_then(|noun| speller.phrase(noun).pop()).zip(number(of.label_name())),
                has_remark: label.as_ref().is_some_and(|label| label.contains(',')),
                label: label.map(|label| speller.phrase(named(&label))).unwrap_or_default(),
                kinds: kinds(of).iter().flat_map(|word| speller.phrase(word)).collect(),
                place: place.unwrap_or_default(),
            }
        };
        let first = |words: &[String]| words.first().and_then(|word| speller.phrase(word).pop());
        let doing = |called: &super::lexicon::Called| {
            let kind = first(&called.words);
            let stems: Vec<String> = called.does.iter().flat_map(|does| speller.phrase(does)).collect();
            stems.into_iter().filter_map(move |does| Some((does, kind.clone()?))).collect::<Vec<_>>()
        };
        let does = lexicon.kinds.iter().flat_map(doing).collect();
        let words_of_kinds: Vec<String> = lexicon.kinds.iter().flat_map(|called| called.words.clone()).collect();
        let nouns = [&words_of_kinds, &lexicon.nouns, &lexicon.sources, &lexicon.battery, &lexicon.parts];
        let sides: FxHashSet<String> = set(&lexicon.sides);
        let nouns: FxHashSet<String> = nouns.into_iter().flat_map(|words| set(words)).collect();
        let things = vehicle.part_ids().map(thing).collect();
        let ordinary = ordinary.difference(&nouns).filter(|word| !sides.contains(*word)).cloned().collect();
        Self {
            vehicle,
            things,
            nouns,
            does,
            parts: set(&lexicon.parts),
            sides,
            little: set(&lexicon.little),
            at: raw(&lexicon.at),
            articles: raw(&lexicon.articles),
            and: raw(&lexicon.and),
            weights: lexicon.weights,
            ordinary,
        }
    }

    fn goes_by_name(&self, word: &SpokenWord) -> bool {
        let is_plain = self.ordinary.contains(&word.stem) || self.sides.contains(&word.stem) || word.is_filler;
        !is_plain && !word.said.is_empty() && self.things.iter().any(|thing| thing.name == word.said)
    }

    /// Whether a word may be of a name: those of complaints only beside its neighbour in
    /// a label.
    fn is_of_name(&self, words: &[SpokenWord], at: usize) -> bool {
        let word = &words[at];
        let beside = |other: Option<&SpokenWord>, is_after: bool| {
            other.is_some_and(|other| {
                let pair = if is_after { [&word.stem, &other.stem] } else { [&other.stem, &word.stem] };
                self.things.iter().any(|thing| thing.label.windows(2).any(|two| [&two[0], &two[1]] == pair))
            })
        };
        // `lamp A` is `lampA`.
        let joined = |other: &SpokenWord| format!("{}{}", other.stem, word.stem);
        let is_rest = |name: String| self.things.iter().any(|thing| thing.name == name);
        if at.checked_sub(1).is_some_and(|at| is_rest(joined(&words[at]))) {
            return true;
        }
        let before = || words[..at].iter().rev().find(|word| !word.is_filler);
        if before().is_some_and(|noun| self.is_numbered(&noun.stem, &word.stem)) {
            return true;
        }
        if self.nouns.contains(&word.stem) || self.sides.contains(&word.stem) || self.goes_by_name(word) {
            return true;
        }
        if self.ordinary.contains(&word.stem) || self.little.contains(&word.stem) {
            return beside(words.get(at + 1), true) || at.checked_sub(1).is_some_and(|at| beside(words.get(at), false));
        }
        !word.is_filler
            && self.things.iter().any(|thing| thing.label.contains(&word.stem) || thing.place.contains(&word.stem))
    }

    /// Whether something of that kind has that number.
    fn is_numbered(&self, noun: &str, number: &str) -> bool {
        let is_it = |of: &(String, String)| of.0 == noun && of.1 == number;
        self.things.iter().any(|thing| thing.numbered.as_ref().is_some_and(is_it))
    }

    /// Whether a word is of what a load is complained of by.
    pub fn is_of_part(&self, stem: &str) -> bool {
        self.parts.contains(stem)
    }

    /// Where nothing is named: what alone does what is told.
    fn doing(&self, speech: &Speech) -> Option<Mention> {
        let kind =
            |word: &SpokenWord| self.does.iter().find(|(does, _)| *does == word.stem).map(|(_, kind)| kind.clone());
        let (at, word, kind) = speech.words.iter().enumerate().find_map(|(at, word)| Some((at, word, kind(word)?)))?;
        Some(Mention {
            at: vec![at],
            stems: vec![kind],
            said: vec![word.said.clone()],
            is_plural: false,
            group: 0,
            is_when: word.is_when,
            clause: word.clause,
            has_name: true,
            is_code: false,
        })
    }

    /// What is named, in the order of the words.
    pub fn mentions(&self, speech: &Speech) -> Vec<Mention> {
        let words = &speech.words;
        let is_article = |at: usize| self.articles.contains(&words[at].said);
        let mut found: Vec<Mention> = Vec::new();
        // Since the last mention: nothing but `and`, nothing but `on the`.
        let (mut joins, mut is_at, mut since) = (false, false, usize::MAX);
        for (at, word) in words.iter().enumerate() {
            if !self.is_of_name(words, at) {
                since = since.saturating_add(usize::from(
                    !(word.is_filler || self.at.contains(&word.stem) || self.and.contains(&word.stem)),
                ));
                is_at |= self.at.contains(&word.stem);
                joins |= self.and.contains(&word.stem);
                continue;
            }
            let is_other = since > 0 || at > 0 && is_article(at - 1) && !joins;
            let group = found.last().map_or(0, |last| last.group + usize::from(is_other));
            let goes_on = found.last().is_some_and(|last| {
                let gap = at - last.at.last().copied().unwrap_or(at);
                let is_side =
                    self.sides.contains(&word.stem) || self.things.iter().any(|thing| thing.place.contains(&word.stem));
                let of = is_at && (is_side || gap <= 3);
                last.clause == word.clause
                    && since == 0
                    && !joins
                    && (gap == 1 || of || gap == 2 && words[at - 1].is_filler && !is_article(at - 1))
            });
            match found.last_mut().filter(|_| goes_on) {
                Some(last) => {
                    last.at.push(at);
                    last.stems.push(word.stem.clone());
                    last.said.push(word.said.clone());
                    last.is_plural |= word.is_plural;
                }
                None => found.push(Mention {
                    at: vec![at],
                    stems: vec![word.stem.clone()],
                    said: vec![word.said.clone()],
                    is_plural: word.is_plural,
                    group,
                    is_when: word.is_when,
                    clause: word.clause,
                    has_name: false,
                    is_code: false,
                }),
            }
            (joins, is_at, since) = (false, false, 0);
        }
        if found.is_empty() {
            return self.doing(speech).into_iter().collect();
        }
        self.shared(found)
    }

    /// `left and right brake lamp`, `valve 3 and 4`: what one of a group says is of the other.
    fn shared(&self, mut found: Vec<Mention>) -> Vec<Mention> {
        let is_bare = |mention: &Mention| mention.stems.iter().all(|stem| self.sides.contains(stem));
        for at in 0..found.len() {
            if !is_bare(&found[at]) {
                continue;
            }
            let group = found[at].group;
            let full = |other: &&Mention| other.group == group && !is_bare(other);
            let whole = found[at + 1..].iter().find(full).or_else(|| found[..at].iter().rev().find(full)).cloned();
            if let Some(whole) = whole {
                let nouns = whole.stems.iter().filter(|stem| !self.sides.contains(*stem) || **stem == "trailer");
                found[at].stems.extend(nouns.cloned());
                found[at].is_plural = false;
                let said = whole.at.iter().zip(&whole.said).map(|(_, said)| said.clone());
                found[at].said.extend(said.map(|_| String::new()));
            }
        }
        let is_name = |mention: &Mention| self.things.iter().any(|thing| mention.said[..] == [thing.name.clone()]);
        let says_more =
            |mention: &Mention| !(is_bare(mention) || mention.stems.iter().all(|stem| self.parts.contains(stem)));
        let any = found.iter().any(says_more);
        let is_odd = |name: &str| name.contains(|c: char| c == '_' || c.is_ascii_digit());
        for mention in &mut found {
            mention.is_code =
                is_name(mention) && mention.said.iter().all(|said| is_odd(said) && said.parse::<u32>().is_err());
            mention.has_name = says_more(mention) || is_name(mention) && (!any || !is_bare(mention));
        }
        found
    }

    /// What a mention names among things of a sort.
    pub fn resolve(&self, mention: &Mention, sort: Sought) -> Fitting {
        let fits = |thing: &&Thing| sort.has(&self.vehicle.part(thing.part).kind);
        let scored = self.things.iter().filter(fits).filter_map(|thing| Some((thing, self.score(mention, thing)?)));
        let scored: Vec<_> = scored.collect();
        // A bare kind is any of it, whatever the labels say.
        let is_bare = |thing: &Thing| {
            mention.stems.iter().all(|stem| *stem == mention.stems[0] && thing.kinds.contains(stem))
                && !mention.said.contains(&thing.name)
        };
        // What is called the same with a remark is a special case of it.
        let is_other = |thing: &Thing| {
            let is_same = |other: &&Thing| other.label == thing.label && !other.has_remark;
            if thing.has_remark && self.things.iter().any(|other| is_same(&other)) { self.weights.remark } else { 0.0 }
        };
        let is_any = scored.iter().any(|(thing, _)| is_bare(thing))
            && !scored.iter().any(|(thing, _)| mention.said.contains(&thing.name));
        let scored: Vec<_> = match is_any {
            true => scored
                .into_iter()
                .filter(|(thing, _)| is_bare(thing))
                .map(|(thing, _)| (thing, (self.weights.kind - is_other(thing), None)))
                .collect(),
            false => scored,
        };
        let most = scored.iter().map(|(_, (score, _))| *score).fold(0.0, f64::max);
        let mut best = Fitting { score: most, ..Fitting::default() };
        let mut names: Vec<&str> = Vec::new();
        for (thing, (_, strange)) in scored.into_iter().filter(|(_, (score, _))| *score > most - self.weights.as_well) {
            // The pins of a plug are one thing.
            if !names.contains(&thing.name.as_str()) {
                names.push(&thing.name);
                best.parts.push(thing.part);
                best.strange = best.strange.or(strange);
            }
        }
        // The only one of its kind may still be another thing than is meant.
        if let [only] = best.parts[..] {
            let thing = &self.things[only.index()];
            let is_called =
                mention.stems.iter().any(|stem| thing.label.contains(stem)) || mention.said.contains(&thing.name);
            let is_kind = self.vehicle.part(only).kind.is_load() && !thing.label.is_empty();
            best.strange = best.strange.or_else(|| (is_kind && !is_called).then(|| mention.said.join(" ")));
        }
        best
    }

    /// How well a thing fits, with a word that does not; none if it cannot be meant.
    fn score(&self, mention: &Mention, thing: &Thing) -> Option<(f64, Option<String>)> {
        let mut score = 0.0;
        let (mut is_named, mut strange) = (false, None);
        if mention.stems.len() > 1 && mention.stems.concat() == thing.name {
            return Some((self.weights.name + self.weights.noun, None));
        }
        let is_numbered = |stem: &String| {
            thing.numbered.as_ref().is_some_and(|(noun, number)| number == stem && mention.stems.contains(noun))
        };
        let mut seen: Vec<&String> = Vec::new();
        for (index, stem) in mention.stems.iter().enumerate() {
            let said = mention.said.get(index).map(String::as_str).unwrap_or_default();
            let is_side = self.sides.contains(stem);
            if seen.contains(&stem) {
                continue;
            }
            seen.push(stem);
            let is_name =
                || mention.stems.iter().zip(&mention.said).any(|(other, said)| other == stem && *said == thing.name);
            if is_name() && (!is_side || mention.stems.len() == 1) || is_numbered(stem) {
                (score, is_named) = (score + self.weights.name, true);
            } else if thing.label.contains(stem) {
                let is_noun = !is_side && !self.little.contains(stem);
                is_named |= is_noun;
                score += if is_noun { self.weights.noun } else { self.weights.side };
                score += if thing.label.last() == Some(stem) { self.weights.head } else { 0.0 };
            } else if thing.kinds.contains(stem) {
                (score, is_named) = (score + self.weights.kind, true);
            } else if thing.place.contains(stem) {
                score += self.weights.place;
            } else if is_side {
                // The other side, or another number, is another thing.
                let is_of_row = |word: &String| word.parse::<u32>().is_ok();
                let others = [
                    ("left", "right"),
                    ("right", "left"),
                    ("upper", "lower"),
                    ("lower", "upper"),
                    ("front", "rear"),
                    ("rear", "front"),
                ];
                let is_other =
                    others.iter().any(|(one, other)| stem == one && thing.label.iter().any(|word| word == other));
                if is_other || is_of_row(stem) && thing.label.iter().any(is_of_row) {
                    return None;
                }
                score -= self.weights.strange_side;
                if stem == "trailer" || is_of_row(stem) {
                    strange = Some(said.to_string());
                }
            } else if !self.parts.contains(stem) {
                score -= self.weights.strange;
                strange = Some(if said.is_empty() { stem.clone() } else { said.to_string() });
            }
        }
        let unsaid = thing.label.iter().filter(|word| !mention.stems.contains(word)).count();
        let remark = if thing.has_remark { self.weights.remark } else { 0.0 };
        (is_named && score > 0.0).then_some((score - self.weights.unsaid * unsaid as f64 - remark, strange))
    }

    /// Whether they are of one kind, or called alike but for their side.
    pub fn are_alike(&self, parts: &[PartId]) -> bool {
        let Some((first, rest)) = parts.split_first() else { return true };
        let kind = |part: PartId| self.vehicle.part(part).kind.load().map(|load| load.kind);
        let head = |part: PartId| self.things[part.index()].label.last();
        rest.iter().all(|&part| kind(part) == kind(*first) || head(part) == head(*first))
    }
}

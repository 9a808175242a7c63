//! What people's words mean, whatever tree they lead to: data, as its file writes it.

use crate::vehicle::LoadKind;
use serde::Deserialize;

/// One word for what is said in many ways.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Same {
    /// The word, or words, it is taken for.
    pub word: String,
    /// The ways.
    pub also: Vec<String>,
}

/// What a kind of load is called.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Called {
    pub kind: LoadKind,
    pub words: Vec<String>,
    /// What nothing else does: said without a name, it is said of such a load.
    #[serde(default)]
    pub does: Vec<String>,
}

/// What something can be said of.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Deserialize)]
pub enum SaidOf {
    #[default]
    Anything,
    /// A fuse or breaker, and nothing else.
    Fuse,
}

/// Words that say what a verb of the prompt says.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Means {
    /// The verb.
    pub verb: String,
    #[serde(default)]
    pub of: SaidOf,
    /// How people say it.
    pub said: Vec<String>,
}

impl Means {
    /// Whether it is said of fuses alone.
    pub fn is_of_fuse(&self) -> bool {
        self.of == SaidOf::Fuse
    }
}

/// A side remark.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Remark {
    /// How people say it.
    pub said: Vec<String>,
    /// The answers it is: name of a question and word of an answer.
    pub means: Vec<String>,
}

/// What words count.
#[derive(Debug, Clone, Copy, Default, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Weights {
    /// Each word of a wording after the first, which counts one.
    pub following: f64,
    /// Each other word between two of a wording.
    pub between: f64,
    /// Share of a wording that is nothing but a name: it says little of what is wrong.
    pub of_name: f64,
    /// Share of a wording in a circumstance.
    pub of_when: f64,
    /// Share of what is general, where something else is said.
    pub general: f64,
    /// A tree about just such loads knows better than one about any.
    pub just_such: f64,
    /// Meanings nearer than this are alike.
    pub alike: f64,
    /// The very name of a thing.
    pub name: f64,
    /// A word of its label.
    pub noun: f64,
    /// Its kind.
    pub kind: f64,
    /// A side, or a number.
    pub side: f64,
    /// Its place.
    pub place: f64,
    /// The last word of its label.
    pub head: f64,
    /// Less for each word of its label that is not said.
    pub unsaid: f64,
    /// Less for a remark in its label.
    pub remark: f64,
    /// Less for a word that is not of it.
    pub strange: f64,
    /// Less for a side that is not of it.
    pub strange_side: f64,
    /// Things nearer than this are meant alike.
    pub as_well: f64,
    /// Share of each further wording for the same.
    pub repeated: f64,
    /// What has to speak for something before what is general yields to it.
    pub speaks: f64,
}

/// All of it.
#[derive(Debug, Clone, Default, PartialEq, Deserialize)]
#[serde(rename = "Lexicon", deny_unknown_fields)]
pub struct Lexicon {
    pub weights: Weights,
    /// One word for many.
    pub same: Vec<Same>,
    pub kinds: Vec<Called>,
    /// Things that a vehicle may have or not.
    pub nouns: Vec<String>,
    /// What charges.
    pub sources: Vec<String>,
    /// What a battery is called.
    pub battery: Vec<String>,
    /// Parts that a load is complained of by.
    pub parts: Vec<String>,
    /// Words that tell one of several alike.
    pub sides: Vec<String>,
    /// Words of labels that name nothing alone.
    pub little: Vec<String>,
    /// Words for a battery that is charged with too little.
    pub less: Vec<String>,
    /// Between two things.
    pub and: Vec<String>,
    /// What begins another name.
    pub articles: Vec<String>,
    /// Between a thing and where it is.
    pub at: Vec<String>,
    /// Words that begin another clause.
    pub but: Vec<String>,
    /// Words after which it is told when, not what.
    pub when: Vec<String>,
    /// Words that say nothing.
    pub fillers: Vec<String>,
    pub signs: Vec<Means>,
    pub remarks: Vec<Remark>,
    /// The class of what is denied in no known wording.
    pub denied: String,
    /// Classes that yield to whatever else is said.
    pub general: Vec<String>,
    /// Yes to what is asked.
    pub yes: Vec<String>,
    /// No to it.
    pub no: Vec<String>,
    /// Neither.
    pub unknown: Vec<String>,
    /// Before a value.
    pub lead: Vec<String>,
}

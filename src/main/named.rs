//! What options of the command line are called.

use clap::builder::{PossibleValue, PossibleValuesParser, TypedValueParser};

/// A name, what help says of it (nothing where the name says it all), and what
/// it stands for.
pub type Named<T> = (&'static str, &'static str, T);

/// Reads one of these names.
pub fn one_of<T: Clone + Send + Sync + 'static>(all: &'static [Named<T>]) -> impl TypedValueParser<Value = T> {
    let shown = |&(name, means, _): &Named<T>| match means {
        "" => PossibleValue::new(name),
        _ => PossibleValue::new(name).help(means),
    };
    let meant = |word: String| all.iter().find(|(name, ..)| *name == word).map(|(.., meant)| meant.clone());
    PossibleValuesParser::new(all.iter().map(shown)).try_map(move |word| meant(word).ok_or("no such name"))
}

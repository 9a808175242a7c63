//! An entry as a list of keys and values.

use crate::files::outline::Node;

/// The values of an entry by key, after unknown and doubled keys have been
/// reported. A misspelt key counts as the one it is nearest to.
pub struct Keyed<'n, 'a> {
    pub node: &'n Node<'a>,
    pub what: &'static str,
    pub found: Vec<(&'static str, &'n Node<'a>)>,
}

impl<'n, 'a> Keyed<'n, 'a> {
    pub fn get(&self, key: &str) -> Option<&'n Node<'a>> {
        self.found.iter().find(|(known, _)| *known == key).map(|&(_, node)| node)
    }

    /// The entries of a list, which may be in pieces where a bracket was lost.
    pub fn list(&self, key: &str) -> Vec<&'n Node<'a>> {
        let pieces = self.found.iter().filter(|(known, _)| *known == key);
        pieces
            .flat_map(|&(_, node)| match node.word {
                Some(_) => std::slice::from_ref(node),
                None => &node.children[..],
            })
            .collect()
    }
}

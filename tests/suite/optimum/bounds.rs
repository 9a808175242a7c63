//! What no policy can beat: bounds on what it takes to tell places apart.

/// Entropy of shares that add up to one, bits. A test of q outcomes tells at
/// most log₂ q of them (Shannon 1948).
pub fn entropy(shares: &[f64]) -> f64 {
    shares.iter().filter(|&&share| share > 0.0).map(|share| -share * share.log2()).sum()
}

/// Mean length of the best code of `outcomes` symbols for these shares: the
/// fewest tests of as many outcomes that can tell them apart (Huffman 1952).
fn huffman_length(shares: &[f64], outcomes: usize) -> f64 {
    let outcomes = outcomes.max(2);
    let mut heap: Vec<f64> = shares.iter().copied().filter(|&share| share > 0.0).collect();
    // Dummies fill the first joining up, so that every later one is full.
    while heap.len() > 1 && !(heap.len() - 1).is_multiple_of(outcomes - 1) {
        heap.push(0.0);
    }
    let mut length = 0.0;
    while heap.len() > 1 {
        heap.sort_by(|a, b| b.total_cmp(a));
        let joined: f64 = heap.split_off(heap.len() - outcomes).into_iter().sum();
        length += joined;
        heap.push(joined);
    }
    length
}

/// Least mean cost of telling these apart with tests of these costs: as many of
/// the cheapest as the mean length of the Huffman code, the last in part
/// (Pattipati and Alexandridis 1990; from memory). None with too few tests.
pub fn huffman_cost(shares: &[f64], outcomes: usize, costs: &[f64]) -> Option<f64> {
    let length = huffman_length(shares, outcomes);
    let mut costs = costs.to_vec();
    costs.sort_by(f64::total_cmp);
    let whole = length.floor() as usize;
    let rest = length - length.floor();
    let last = if rest > 0.0 { rest * costs.get(whole)? } else { 0.0 };
    (costs.len() >= whole).then(|| costs[..whole].iter().sum::<f64>() + last)
}

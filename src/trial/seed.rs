//! Seeds: a generator for each case from the trial's (SplitMix64; Steele, Lea and
//! Flood 2014).

/// The seed of a case: SplitMix64 (Steele, Lea, Flood, 2014) of the trial's.
pub fn case_seed(seed: u64, case: usize) -> u64 {
    let mut mixed = seed.wrapping_add((case as u64).wrapping_add(1).wrapping_mul(0x9E37_79B9_7F4A_7C15));
    mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
    mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
    mixed ^ (mixed >> 31)
}

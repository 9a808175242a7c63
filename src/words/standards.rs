//! What stands behind the limits of a look-over.

use crate::source::Diagnostic;

/// Which standards findings go by, if some do, and what they are made for.
pub fn standards(findings: &[Diagnostic]) -> Option<&'static str> {
    let names = |standard: &str| findings.iter().any(|finding| finding.headline.contains(standard));
    match (names("ISO 10133"), names("33 CFR")) {
        (false, false) => None,
        (true, false) => Some(
            "ISO 10133 is meant in its edition of 2012: drop limits for small craft, 3 % for what matters and 10 % for the rest; no road rule.",
        ),
        (false, true) => Some("33 CFR 183 is US law for small craft: what a conductor may carry; no road rule."),
        (true, true) => Some(
            "ISO 10133 (edition of 2012, drop limits) and 33 CFR 183 (US law, what a conductor may carry) are for small craft; no road rules.",
        ),
    }
}

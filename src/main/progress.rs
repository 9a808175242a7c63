//! Progress bar.

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};
use std::io::{self, IsTerminal};

/// A bar on a terminal, nothing elsewhere.
pub fn progress(cases: u64) -> ProgressBar {
    let bar = ProgressBar::new(cases);
    if !io::stderr().is_terminal() {
        bar.set_draw_target(ProgressDrawTarget::hidden());
    }
    let style = ProgressStyle::with_template("{bar:40} {pos} of {len} cases, {eta} left");
    bar.with_style(style.unwrap_or_else(|_| ProgressStyle::default_bar()))
}

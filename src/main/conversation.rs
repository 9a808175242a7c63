//! Who types: somebody at a prompt, a script or a pipe.

use halfsplit::repl::{Conversation, Ending, Form, OnFailure, run_prompt, run_script};
use halfsplit::words::document::{Block, Terminal, USUAL};
use std::error::Error;
use std::io::{self, BufReader, IsTerminal};

/// Leads a conversation with whoever types, or with the lines of a file or a
/// pipe; `opening` is said at a prompt, `is_plain` where neither colour nor drawn lines
/// are wanted.
pub fn converse(
    session: &mut impl Conversation,
    script: Option<&str>,
    form: Form,
    on_failure: OnFailure,
    is_plain: bool,
    opening: &[Block],
) -> Result<Ending, Box<dyn Error>> {
    let (mut out, mut complaints) = (io::stdout(), io::stderr());
    if let Some(path) = script {
        let file = std::fs::File::open(path).map_err(|error| format!("cannot read `{path}`: {error}"))?;
        return Ok(run_script(session, BufReader::new(file), form, on_failure, &mut out, &mut complaints)?);
    }
    if io::stdin().is_terminal() {
        let look = if is_plain { Terminal::plain(USUAL) } else { look(&out) };
        run_prompt(session, form, look, opening, &mut out)?;
        return Ok(Ending::AllUnderstood);
    }
    Ok(run_script(session, io::stdin().lock(), form, on_failure, &mut out, &mut complaints)?)
}

/// What a terminal can show: colour unless `NO_COLOR`, `TERM=dumb` and the like speak
/// against it, drawn lines where the letters of the locale have them.
fn look(out: &io::Stdout) -> Terminal {
    let is_dumb = std::env::var_os("TERM").is_some_and(|term| term == "dumb");
    let wants_none = std::env::var_os("NO_COLOR").is_some_and(|value| !value.is_empty());
    let is_coloured = anstream::AutoStream::choice(out) != anstream::ColorChoice::Never;
    let named = ["LC_ALL", "LC_CTYPE", "LANG"].into_iter().filter_map(|name| std::env::var(name).ok());
    let locale = named.into_iter().find(|value| !value.is_empty()).unwrap_or_default().to_lowercase();
    let has_letters = locale.contains("utf-8") || locale.contains("utf8");
    Terminal { width: USUAL, is_coloured, draws_lines: has_letters && !is_dumb && !wants_none }
}

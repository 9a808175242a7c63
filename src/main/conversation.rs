//! Who types: somebody at a prompt, a script or a pipe.

use halfsplit::repl::{Conversation, Ending, Form, OnFailure, run_prompt, run_script};
use halfsplit::words::document::Block;
use std::error::Error;
use std::io::{self, BufReader, IsTerminal};

/// Leads a conversation with whoever types, or with the lines of a file or a
/// pipe; `opening` is said at a prompt.
pub fn converse(
    session: &mut impl Conversation,
    script: Option<&str>,
    form: Form,
    on_failure: OnFailure,
    opening: &[Block],
) -> Result<Ending, Box<dyn Error>> {
    let (mut out, mut complaints) = (io::stdout(), io::stderr());
    if let Some(path) = script {
        let file = std::fs::File::open(path).map_err(|error| format!("cannot read `{path}`: {error}"))?;
        return Ok(run_script(session, BufReader::new(file), form, on_failure, &mut out, &mut complaints)?);
    }
    if io::stdin().is_terminal() {
        run_prompt(session, form, opening, &mut out)?;
        return Ok(Ending::AllUnderstood);
    }
    Ok(run_script(session, io::stdin().lock(), form, on_failure, &mut out, &mut complaints)?)
}

//! Marks and the debrief, on the screen and as a page.

use super::{act_said, hazard_said};
use crate::case::CaseError;
use crate::fault::FailureMode;
use crate::quantity::{Ohms, Volts};
use crate::training::{Attempt, DebriefPoint, Ground, Judgement, Marks, Reason, Why, debrief};
use crate::trial::Trouble;
use crate::vehicle::Vehicle;
use crate::words::document::{Block, Document, Layout, Paper};
use crate::words::{names, quantities};

/// Layout: places named after one test.
const NAMED: usize = 4;

/// What marks are given for.
pub fn ground(ground: Ground) -> &'static str {
    match ground {
        Ground::Safety => "safe working",
        Ground::Complaint => "complaint seen",
        Ground::FirstTest => "first test splits well",
        Ground::States => "valid states",
        Ground::Conclusion => "conclusion",
        Ground::Economy => "economy",
        Ground::Repair => "repair",
        Ground::Proof => "proof",
        Ground::Hints => "hints",
    }
}

/// Why marks were lost, as a mistake that many may make.
pub fn mistake(why: &Why) -> &'static str {
    match why {
        Why::Unsafe(_) => "unsafe act",
        Why::NotLooked => "complaint not looked at first",
        Why::PoorFirst { .. } => "first test told little",
        Why::NoTest => "no test taken",
        Why::Void => "reading in a meaningless state",
        Why::Known => "reading of what was known",
        Why::NoConclusion => "no conclusion",
        Why::Wrong => "wrong conclusion",
        Why::Incomplete => "second fault not found",
        Why::Lucky => "conclusion not justified",
        Why::Scattered => "too many parts named",
        Why::TooManyTests { .. } => "too many tests",
        Why::TooLong { .. } => "took too long",
        Why::SoundPart(_) => "sound part renewed",
        Why::NotRepaired => "not repaired",
        Why::NotSeenWorking => "not seen working afterwards",
        Why::NothingRead => "nothing read afterwards",
        Why::NotShown { .. } => "reading that proves it not taken",
        Why::Hint => "hint",
    }
}

fn reason(vehicle: &Vehicle, of: &Reason) -> String {
    match &of.why {
        Why::Unsafe(hazard) => hazard_said(*hazard).to_string(),
        Why::PoorFirst { bits, best } => {
            format!("the first test could tell {bits:.1} bits where another tells {best:.1}")
        }
        Why::Void => {
            "this state made the reading meaningless: what was to be measured did not run, or was live for ohms".into()
        }
        Why::Known => "what this reading could tell was known already".into(),
        Why::Lucky => "right, but nothing read so far justifies it: a guess, even a lucky one, is no pass".into(),
        Why::TooManyTests { tests, planner } => {
            format!("{} where the planner takes {planner}", quantities::counted(*tests, "test"))
        }
        Why::TooLong { minutes, planner } => format!("{minutes:.0} min where the planner takes {planner:.0}"),
        Why::SoundPart(part) => format!("{} was sound", names::short_part(vehicle, *part)),
        Why::NotShown { probe } => {
            format!("the proof asks for {}, which was not read after the repair", names::probe(vehicle, *probe))
        }
        why => mistake(why).to_string(),
    }
}

/// What was really there.
fn truth(attempt: &Attempt) -> String {
    let (hidden, vehicle) = (&attempt.lesson().hidden, attempt.lesson().vehicle());
    let faults: Vec<String> = hidden
        .trouble
        .faults()
        .map(|(fault, size)| {
            let size = match fault.mode {
                _ if size <= 0.0 => String::new(),
                FailureMode::LowVoltage => format!(" of {}", Volts(size)),
                FailureMode::HighDraw | FailureMode::LowDraw | FailureMode::Undersized | FailureMode::WrongRating => {
                    format!(", {size:.1} times")
                }
                FailureMode::OpenCircuit
                | FailureMode::HighResistance
                | FailureMode::ContactWelded
                | FailureMode::ShortAcross
                | FailureMode::ShortToGround
                | FailureMode::StaysAwake
                | FailureMode::WrongTerminal
                | FailureMode::ShortBetweenCircuits
                | FailureMode::Crossed
                | FailureMode::Leakage
                | FailureMode::CommonCause
                | FailureMode::Stuck
                | FailureMode::ReadsOff
                | FailureMode::WrongScale
                | FailureMode::Drifts => format!(" of {}", Ohms(size)),
            };
            format!("{}, {}{size}", names::part(vehicle, fault.part), names::mode(fault.mode))
        })
        .collect();
    match hidden.trouble {
        Trouble::Nothing => "nothing was wrong".into(),
        Trouble::Undrawn { .. } => "a path that the drawing does not show".into(),
        _ => faults.join("; and "),
    }
}

fn verdict(marks: &Marks) -> String {
    let conclusion = match marks.judgement {
        Judgement::Right => "right, and justified",
        Judgement::Lucky => "right, not justified",
        Judgement::Wrong => "wrong",
        Judgement::Missing => "missing",
    };
    let pass = if marks.is_pass { "passed" } else { "not passed" };
    format!("{:.0} of 100 marks, {pass}; conclusion {conclusion}.", marks.total)
}

fn against(marks: &Marks) -> String {
    let yard = &marks.yardstick;
    format!(
        "You: {}, {:.1} min to the conclusion, parts {:.0}. The planner on the same case: {}, {:.1} min.",
        quantities::counted(marks.tests, "test"),
        marks.minutes,
        marks.cost,
        quantities::counted(yard.tests, "test"),
        yard.minutes
    )
}

fn mark_table(marks: &Marks) -> Block {
    let row =
        |of: Ground| vec![ground(of).to_string(), format!("{:.0}", marks.got(of)), format!("{:.0}", marks.full(of))];
    Block::table(&["for", "marks", "of"], Ground::ALL.into_iter().map(row))
}

/// Each reason with its moment.
fn reasons(attempt: &Attempt, marks: &Marks) -> Vec<String> {
    let vehicle = attempt.lesson().vehicle();
    let told = |of: &Reason| {
        let act = of.act.map(|act| format!(", {}", act_said(vehicle, &attempt.done()[act].act))).unwrap_or_default();
        format!("-{:.0} {} at {:.1} min{act}: {}", of.lost, ground(of.ground), of.at.0, reason(vehicle, of))
    };
    marks.reasons.iter().filter(|of| of.lost > 0.0).map(told).collect()
}

/// The marks, each with its reason.
pub fn marked(attempt: &Attempt, marks: &Marks) -> Vec<Block> {
    let lost = reasons(attempt, marks);
    vec![
        Block::Paragraph(verdict(marks)),
        Block::Paragraph(format!("It was: {}.", truth(attempt))),
        mark_table(marks),
        Block::List(lost),
        Block::Paragraph(against(marks)),
    ]
}

fn station(attempt: &Attempt, of: &DebriefPoint) -> (String, Vec<String>) {
    let vehicle = attempt.lesson().vehicle();
    let left: Vec<String> = of
        .left
        .iter()
        .take(NAMED)
        .map(|&(site, chance)| quantities::odds(names::short_site(vehicle, site), chance))
        .collect();
    let more = of.left.len().saturating_sub(NAMED);
    let more = if more > 0 { format!(" and {more} more") } else { String::new() };
    let mut lines = vec![format!("still possible: {}{more}", left.join(", "))];
    lines.extend(of.better.as_ref().map(|better| {
        let set = names::settings_between(vehicle, &better.settings, "with ", ", ");
        format!("better: {set}{}", names::test(attempt.case(), better.test))
    }));
    (act_said(vehicle, &attempt.done()[of.act].act), lines)
}

/// The case told again.
///
/// # Errors
/// [`CaseError`] as for the entries of the record.
pub fn debriefed(attempt: &Attempt) -> Result<Vec<Block>, CaseError> {
    let steps: Vec<(String, Vec<String>)> = debrief(attempt)?.iter().map(|of| station(attempt, of)).collect();
    let mut blocks = match steps.is_empty() {
        true => vec![Block::paragraph("No test was taken.")],
        false => vec![Block::Heading("Test by test".into()), Block::Steps(steps)],
    };
    let remember = &attempt.lesson().brief.remember;
    if !remember.is_empty() {
        blocks.extend([Block::Heading("To remember".into()), Block::Paragraph(remember.clone())]);
    }
    Ok(blocks)
}

/// Marks and debrief as a page.
///
/// # Errors
/// As [`debriefed`].
pub fn page(attempt: &Attempt, marks: &Marks, learner: &str, paper: Paper) -> Result<String, CaseError> {
    let mut blocks = vec![Block::Paragraph(format!("{learner}."))];
    blocks.extend(marked(attempt, marks));
    blocks.extend(debriefed(attempt)?);
    let title = format!("Lesson: {}", attempt.lesson().brief.title);
    Ok(Document { title, layout: Layout::Roomy, blocks }.written(paper))
}

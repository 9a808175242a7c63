//! Answers as JSON, one object a line, for tests and other programs. The keys
//! are described in the README.

use super::names::{self, Length};
use super::segment::other_way;
use crate::belief::{Belief, Estimate, Failure, Segment, Sign, Site};
use crate::case::Case;
use crate::case::proof::{Check, CheckOutcome as Came, Found, Proof, ProofVerdict, What};
use crate::fault::FailureMode;
use crate::plan::{Advice, Next, Outcome, OutcomeSeen, Range, Sense, Test};
use crate::predict::{Burden, Probe, Scale};
use crate::vehicle::Vehicle;
use serde_json::{Value, json};

/// Format: probability from which a suspect is in the machine form.
const LISTED: f64 = 1e-3;

/// The whole answer.
pub fn machine(case: &Case) -> Value {
    let vehicle = case.vehicle();
    let assessment = case.assessment();
    let belief = &assessment.belief;
    let asked = !assessment.next.is_of_no_suspect();
    let parts: Vec<Value> = belief
        .suspects
        .iter()
        .filter(|suspect| asked && suspect.probability > LISTED)
        .map(|suspect| {
            json!({
                "part": site(vehicle, suspect.site),
                "probability": suspect.probability.value(),
                "mode": mode(&belief.modes_at(suspect.site).into_iter().map(|(_, mode)| mode).collect::<Vec<_>>()),
            })
        })
        .collect();
    let contradiction = assessment.contradiction.map(|doubt| {
        json!({
            "reading": case.standing().number_of(doubt.reading),
            "probability": doubt.probability,
            "expected": doubt.expected,
        })
    });
    json!({
        "proof": case.proof().ok().flatten().map(|of| proof(vehicle, &of)),
        "case": case.journal().map(|journal| &journal.header().name),
        "segment": assessment.segment.as_ref().map(|of| segment(vehicle, belief, of)),
        "parts": parts,
        "proved_good": assessment.proved_good.iter().map(|&part| names::short_part(vehicle, part)).collect::<Vec<_>>(),
        "contradiction": contradiction,
        "next": next(case, &assessment.next),
        "others": assessment.others.iter().map(|of| advice(case, of)).collect::<Vec<_>>(),
    })
}

fn proof(vehicle: &Vehicle, of: &Proof) -> Value {
    let checks: Vec<Value> = of.checks.iter().map(|of| check(vehicle, of)).collect();
    json!({
        "repaired": names::short_part(vehicle, of.repaired),
        "verdict": match of.verdict() {
            ProofVerdict::Proved => "proved",
            ProofVerdict::ToPutBack => "to put back",
            ProofVerdict::Unfinished => "unfinished",
            ProofVerdict::NotProved => "not proved",
        },
        "checks": checks,
        "put_back": of.left.iter().map(|&(id, at)| names::setting(vehicle, (id, at.opposite()))).collect::<Vec<_>>(),
        "unshown": of.unshown.iter().map(|&part| names::short_part(vehicle, part)).collect::<Vec<_>>(),
    })
}

fn check(vehicle: &Vehicle, of: &Check) -> Value {
    let mut value = match of.what {
        What::Shows { subject, sign } => {
            let act = match sign {
                Sign::Clicks => "listen",
                Sign::LooksWhole => "look at fuse",
                Sign::Gives => "look at source",
                _ => "look",
            };
            json!({ "do": act, "part": names::short_part(vehicle, subject) })
        }
        What::Read { probe: Probe::Current { part }, band, .. } => {
            json!({ "do": "current", "part": names::short_part(vehicle, part), "amps": range(band) })
        }
        What::Read { probe: Probe::Fixed { instrument, .. }, band, .. } => {
            json!({ "do": "read instrument", "part": names::short_part(vehicle, instrument), "shows": range(band) })
        }
        What::Read { probe, band, limit } => json!({
            "do": "voltage",
            "red": names::leads(vehicle, probe, Length::Short).0,
            "black": names::leads(vehicle, probe, Length::Short).1,
            "volts": range(band),
            "limit_volts": limit.map(|limit| limit.volts.0),
            "limit_source": limit.map(|limit| limit.source),
        }),
    };
    let (came_out, found) = match of.outcome {
        Came::Open => ("open", None),
        Came::Passed(found) => ("pass", Some(found)),
        Came::Doubtful(found) => ("doubt", Some(found)),
        Came::Failed(found) => ("fail", Some(found)),
    };
    value["outcome"] = json!(came_out);
    value["found"] = match found {
        Some(Found::Read { value, .. }) => json!(value),
        Some(Found::Told(sign)) => json!(names::bare_sign(sign)),
        None => Value::Null,
    };
    value["shows"] = json!(of.shows.iter().map(|&part| names::short_part(vehicle, part)).collect::<Vec<_>>());
    value
}

fn site(vehicle: &Vehicle, site: Site) -> Value {
    match site {
        Site::Part(part) => json!(names::short_part(vehicle, part)),
        Site::Both(first, second) => {
            json!([names::short_part(vehicle, first), names::short_part(vehicle, second)])
        }
        Site::Nothing | Site::Undrawn => json!({ "none": names::site(vehicle, site) }),
    }
}

fn segment(vehicle: &Vehicle, belief: &Belief, of: &Segment) -> Value {
    let fence = of
        .stretches
        .first()
        .filter(|_| of.stretches.len() == 1 && of.pairs.is_empty())
        .and_then(|stretch| stretch.fence);
    let sole = match &of.failures[..] {
        [sole] => Some(sole),
        _ => None,
    };
    json!({
        "from": fence.map(|(from, _)| names::short_point(vehicle, from)),
        "to": fence.map(|(_, to)| names::short_point(vehicle, to)),
        "parts": of.parts().map(|(part, _)| names::short_part(vehicle, part)).collect::<Vec<_>>(),
        "held": of.held,
        "mode": mode(&of.failures.iter().map(|failure| failure.mode).collect::<Vec<_>>()),
        "ohms": sole.and_then(Failure::ohms).map(|ohms| estimate(ohms, |ohms| ohms.0)),
        "volts": sole.and_then(|failure| failure.dropped).map(|volts| estimate(volts, |volts| volts.0)),
        "watts": sole.and_then(|failure| failure.heat).map(|watts| estimate(watts, |watts| watts.0)),
        "failures": of.failures.iter().map(|of| failure(vehicle, belief, of)).collect::<Vec<_>>(),
    })
}

/// How it failed: a word, one for each of two, or null where no part has.
fn mode(modes: &[FailureMode]) -> Value {
    match modes {
        [] => Value::Null,
        [mode] => json!(names::mode(*mode)),
        modes => json!(modes.iter().map(|&mode| names::mode(mode)).collect::<Vec<_>>()),
    }
}

fn failure(vehicle: &Vehicle, belief: &Belief, of: &Failure) -> Value {
    json!({
        "part": names::short_part(vehicle, of.part),
        "mode": names::mode(of.mode),
        "with": other_way(belief, of.part, of.mode).map(|other| names::short_part(vehicle, other)),
        "ohms": of.ohms().map(|ohms| estimate(ohms, |ohms| ohms.0)),
        "times": of.times().map(|times| estimate(times, |times| times)),
    })
}

fn estimate<T: Copy>(of: Estimate<T>, number: impl Fn(T) -> f64) -> Value {
    json!({ "low": number(of.low), "middle": number(of.middle), "high": number(of.high) })
}

fn range(of: Range) -> Value {
    let value = |value: f64| match of.scale {
        Scale::LogOhms => Scale::displayed_ohms(value).0,
        Scale::Volts | Scale::Amps => value,
    };
    json!({ "low": value(of.low), "high": value(of.high) })
}

fn probe(vehicle: &Vehicle, probe: Probe) -> Value {
    let named = |what: &str, red, black| json!({ "do": what, "red": names::short_point(vehicle, red), "black": names::short_point(vehicle, black) });
    match probe {
        Probe::Voltage { red, black, burden: Burden::Bare } => named("voltage", red, black),
        Probe::Voltage { red, black, burden: Burden::Lamp } => named("voltage under lamp", red, black),
        Probe::Voltage { red, black, burden: Burden::Each(against) } => {
            let mut compared = named("voltage compared", red, black);
            compared["against"] = json!(names::short_point(vehicle, against));
            compared
        }
        Probe::Resistance { red, black } => named("resistance", red, black),
        Probe::Current { part } => json!({ "do": "current", "part": names::short_part(vehicle, part) }),
        Probe::Fixed { instrument, .. } => {
            json!({ "do": "read instrument", "part": names::short_part(vehicle, instrument) })
        }
    }
}

fn sense(sense: Sense) -> &'static str {
    match sense {
        Sense::Look => "look",
        Sense::Listen => "listen",
        Sense::Fuse => "look at fuse",
        Sense::Lamp => "look at lamp in place of fuse",
        Sense::Feel => "feel",
        Sense::Source => "look at source",
    }
}

fn next(case: &Case, next: &Next) -> Value {
    let vehicle = case.vehicle();
    match next {
        Next::AskComplaint => json!({ "do": "complaint" }),
        Next::NothingAmiss => json!({ "do": "nothing amiss" }),
        Next::ReadAgain { reading } => {
            json!({ "do": "read again", "reading": case.standing().number_of(*reading) })
        }
        Next::Test(of) => advice(case, of),
        Next::Found { site: found } => {
            let failures = case.assessment().segment.iter().flat_map(|segment| &segment.failures);
            let order: Vec<&str> = failures.map(|failure| names::short_part(vehicle, failure.part)).collect();
            json!({ "do": "repair", "part": site(vehicle, *found), "order": order })
        }
        Next::Inseparable { parts } => {
            json!({ "do": "inseparable", "parts": parts.iter().map(|&part| names::short_part(vehicle, part)).collect::<Vec<_>>() })
        }
        Next::NothingWorthwhile => json!({ "do": "nothing" }),
    }
}

fn advice(case: &Case, of: &Advice) -> Value {
    let vehicle = case.vehicle();
    let mut value = match of.test {
        Test::Measure(of) => probe(vehicle, of),
        Test::Ask(id) => {
            let question = case.trees().question(id);
            let answers: Vec<&str> = question.answers.iter().map(|answer| answer.word.as_str()).collect();
            json!({ "do": "ask", "question": question.name, "ask": question.ask, "answers": answers })
        }
        Test::Sense { subject, sense: by } => {
            json!({ "do": sense(by), "part": names::short_part(vehicle, subject) })
        }
    };
    value["set"] = json!(of.settings.iter().map(|&each| names::setting(vehicle, each)).collect::<Vec<_>>());
    value["open"] = json!(of.opens.iter().map(|&place| &vehicle.place(place).name).collect::<Vec<_>>());
    value["minutes"] = json!(of.minutes.0);
    value["bits"] = json!(of.bits);
    value["sound"] = json!(of.sound.map(range));
    value["outcomes"] = json!(of.outcomes.iter().map(|outcome| outcome_said(vehicle, outcome)).collect::<Vec<_>>());
    value
}

fn outcome_said(vehicle: &Vehicle, outcome: &Outcome) -> Value {
    let (reads, sign) = match outcome.seen {
        OutcomeSeen::Reads(reads) => (Some(range(reads)), None),
        OutcomeSeen::Sign(sign) => (None, Some(names::bare_sign(sign))),
        OutcomeSeen::Answer(_) => (None, None),
    };
    let points_to: Vec<Value> = outcome
        .points_to
        .iter()
        .map(|&(at, probability)| json!({ "part": site(vehicle, at), "probability": probability }))
        .collect();
    let mut value =
        json!({ "reads": reads, "sign": sign, "probability": outcome.probability.value(), "points_to": points_to });
    if let OutcomeSeen::Answer(answer) = outcome.seen {
        value["answer"] = json!(answer + 1);
    }
    value
}

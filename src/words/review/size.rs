//! Cable and fuse for a load, with the working line by line.

use crate::quantity::{Amps, PERCENT};
use crate::review::{CableChoice, Demand, Shortfall, TriedSize, WayLength};
use crate::tables::ampacity::{self, Laying, TABLE_AMBIENT};
use crate::tables::conductor::METRIC_TABLE;
use crate::tables::limits::{CRITICAL_DROP, DROP_STANDARD, ORDINARY_DROP, UNPROTECTED_METRES};
use crate::tables::review::Reviewing;
use crate::words::document::Block;
use serde_json::{Value, json};

/// What no table decides.
const DEFERS: &str = "Tables are made for boats and buildings and know nothing of your vehicle. Local codes, the maker's own rules and licensed practice come first.";

/// Cable, fuse and the working.
pub fn size(practice: &Reviewing, of: &CableChoice) -> Vec<Block> {
    let cable = &of.cable;
    let answer = format!("{} mm² and a {} fuse: {}.", cable.area.0, rating(of.fuse), lost(of, cable));
    let mut working = vec![current(of), limit(of), length(of), fuse(practice, of), carries(of)];
    working.extend(of.short.last().map(|short| too_small(of, short)));
    working.push(holds(of));
    working.push(resistance(of, cable));
    vec![
        Block::Paragraph(answer),
        Block::Heading("Working".to_string()),
        Block::Steps(working.into_iter().map(|line| (line, Vec::new())).collect()),
        Block::Heading("Before you fit it".to_string()),
        Block::List(vec![
            format!(
                "The fuse goes where the cable leaves the supply: no more than {UNPROTECTED_METRES} m of bare run from a battery (33 CFR 183.460), and the nearer the better. A short in front of it is stopped by nothing."
            ),
            format!(
                "The figures are for copper whose insulation stands {} °C. Read it off the cable; where it does not say, reckon with 60 °C (`--insulation 60`).",
                of.wanted.insulation.temperature().0
            ),
            "A motor or a lamp takes several times its current at the start: if the fuse opens then, ask the maker of the load, and go up in cable together with the fuse.".to_string(),
            DEFERS.to_string(),
        ]),
    ]
}

/// A rating without decimals that it does not have.
fn rating(amps: Amps) -> String {
    format!("{} A", amps.0)
}

fn lost(of: &CableChoice, tried: &TriedSize) -> String {
    let share = tried.drop / of.wanted.nominal * PERCENT;
    format!("loses {:.2} V of {} V, {share:.1} %", tried.drop.0, of.wanted.nominal.0)
}

fn current(of: &CableChoice) -> String {
    match of.wanted.demand {
        Demand::Amps(amps) => format!("Current: {} A, as given.", amps.0),
        Demand::Watts(watts) => {
            format!("Current: {} W / {} V = {:.2} A.", watts.0, of.wanted.nominal.0, of.amps.0)
        }
    }
}

fn limit(of: &CableChoice) -> String {
    let share = of.wanted.drop;
    let from = match share {
        CRITICAL_DROP => format!("critical: {DROP_STANDARD}"),
        ORDINARY_DROP => format!("not critical: {DROP_STANDARD}"),
        _ => "as given".to_string(),
    };
    format!("May lose: {:.1} % of {} V = {:.2} V ({from}).", share * PERCENT, of.wanted.nominal.0, of.limit.0)
}

fn length(of: &CableChoice) -> String {
    match of.wanted.length {
        WayLength::OneWay(metres) => {
            format!("Wire: {0} m there and {0} m back = {1} m.", metres.0, of.wanted.length.wire().0)
        }
        WayLength::ThereAndBack(metres) => format!("Wire: {} m there and back, as given.", metres.0),
    }
}

fn fuse(practice: &Reviewing, of: &CableChoice) -> String {
    format!(
        "Fuse: no more than {:.0} % of its rating for hours (common practice, no source), so {:.2} A / {} = {:.1} A; the next that is made is {}.",
        practice.fuse_loaded * PERCENT,
        of.amps.0,
        practice.fuse_loaded,
        of.least_rating.0,
        rating(of.fuse)
    )
}

/// What the cable may carry, by which table.
fn carries(of: &CableChoice) -> String {
    let insulation = of.wanted.insulation.temperature().0;
    let laid = match of.wanted.laying {
        Laying::Single => "alone, nothing off".to_string(),
        Laying::Bundled => {
            format!("bundled or in one sheath × {} (ABYC E-11, from memory)", Laying::Bundled.factor())
        }
    };
    let ambient = match of.wanted.ambient {
        TABLE_AMBIENT => "30 °C around it, nothing off".to_string(),
        ambient => format!(
            "{} °C around it × {:.2} = √(({insulation} − {}) / ({insulation} − {})) (fits note 1 of the table, from memory)",
            ambient.0, of.ambient_factor, ambient.0, TABLE_AMBIENT.0
        ),
    };
    format!(
        "Must carry its fuse, {}: {}, {insulation} °C insulation; {ambient}; {laid}.",
        rating(of.fuse),
        ampacity::TABLE
    )
}

fn too_small(of: &CableChoice, short: &TriedSize) -> String {
    let why = match short.shortfall {
        Some(Shortfall::Carries) => format!("carries only {:.1} A", short.carries.0),
        Some(Shortfall::Drops) => lost(of, short),
        Some(Shortfall::Both) => format!("carries only {:.1} A and {}", short.carries.0, lost(of, short)),
        None => String::new(),
    };
    format!("{} mm² is too small: it {why}.", short.area.0)
}

fn holds(of: &CableChoice) -> String {
    let (cable, laid) = (&of.cable, of.wanted.laying.factor());
    format!(
        "{} mm²: {:.1} A by the table × {:.2} × {laid} = {:.1} A, not less than the fuse of {}.",
        cable.area.0,
        cable.by_table.0,
        of.ambient_factor,
        cable.carries.0,
        rating(of.fuse)
    )
}

fn resistance(of: &CableChoice, cable: &TriedSize) -> String {
    format!(
        "With the load on it warms to about {:.0} °C (heat goes with the square of the current); {:.1} mΩ over {} m then ({METRIC_TABLE}, warmed by AC 43.13-1B, p. 11-22). {:.2} A × {:.1} mΩ = {:.2} V.",
        cable.warms_to.0,
        milliohms(cable),
        of.wanted.length.wire().0,
        of.amps.0,
        milliohms(cable),
        cable.drop.0
    )
}

fn milliohms(cable: &TriedSize) -> f64 {
    cable.ohms.0 * crate::quantity::KILO
}

/// The same as values.
pub fn size_machine(of: &CableChoice) -> Value {
    let tried = |tried: &TriedSize| {
        json!({
            "mm2": tried.area.0,
            "table_amps": tried.by_table.0,
            "carries_amps": tried.carries.0,
            "celsius": tried.warms_to.0,
            "ohms": tried.ohms.0,
            "drop_volts": tried.drop.0,
            "too_small": tried.shortfall.map(|shortfall| match shortfall {
                Shortfall::Carries => "carries less than the fuse",
                Shortfall::Drops => "loses too much",
                Shortfall::Both => "carries less than the fuse and loses too much",
            }),
        })
    };
    json!({
        "amps": of.amps.0,
        "wire_metres": of.wanted.length.wire().0,
        "nominal_volts": of.wanted.nominal.0,
        "limit_volts": of.limit.0,
        "ambient_celsius": of.wanted.ambient.0,
        "ambient_factor": of.ambient_factor,
        "laying_factor": of.wanted.laying.factor(),
        "insulation_celsius": of.wanted.insulation.temperature().0,
        "fuse_amps": of.fuse.0,
        "cable": tried(&of.cable),
        "too_small": of.short.iter().map(tried).collect::<Vec<_>>(),
        "tables": [ampacity::TABLE, METRIC_TABLE, DROP_STANDARD],
        "defers": DEFERS,
    })
}

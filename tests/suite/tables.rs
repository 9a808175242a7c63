//! Tables of parameters: one place, one row, a value and its source.

use halfsplit::files::{LoadError, built_in_tables, parse_tables};
use halfsplit::source::{SourceFile, render};
use halfsplit::tables::Tables;
use halfsplit::tables::rates::PartClass;
use halfsplit::tables::row::ParameterTable;
use std::rc::Rc;
use std::sync::LazyLock;

/// The tables of the program, read once for all tests.
pub fn built_in() -> &'static Tables {
    static TABLES: LazyLock<Tables> = LazyLock::new(|| (*built_in_tables().expect("good tables")).clone());
    &TABLES
}

fn read(text: &str) -> Result<Rc<Tables>, LoadError> {
    parse_tables(SourceFile::new("mine.ron".into(), text.into()))
}

fn tables(text: &str) -> Rc<Tables> {
    read(text).unwrap_or_else(|error| panic!("{error}"))
}

/// Headlines of what is wrong with a file, each with its line and column.
#[track_caller]
fn refused(text: &str, expected: &[&str]) {
    let Err(LoadError::Rejected { file, findings }) = read(text) else { panic!("`{text}` is taken") };
    let rendered: Vec<String> = findings.iter().map(|finding| render(&file, finding)).collect();
    for expected in expected {
        assert!(rendered.iter().any(|text| text.contains(expected)), "no `{expected}` in {rendered:#?}");
    }
}

#[test]
fn every_row_of_the_program_has_a_source_and_a_value_that_can_be_read_back() {
    let built_in = built_in_tables().expect("good tables");
    let rows = built_in.rows();
    assert!(rows.len() > 40, "{}", rows.len());
    for row in rows {
        assert!(!row.source.trim().is_empty() && !row.value.is_empty(), "{row:?}");
        if !["Rates", "WorldRates"].contains(&row.table) {
            let again = tables(&format!("{}({}: ({}, \"as before\"))", row.table, row.name, row.value));
            let is_it = |other: &halfsplit::tables::row::Row<'_>| (other.table, &other.name) == (row.table, &row.name);
            let other = again.rows().into_iter().find(is_it).expect("the same row");
            assert_eq!((other.value, other.source), (row.value, "as before"));
        }
    }
}

/// What is tuned says by what, and what half and double of it did there.
#[test]
fn what_is_tuned_says_what_half_and_double_of_it_do() {
    let built_in = built_in_tables().expect("good tables");
    for row in built_in.rows().iter().filter(|row| row.source.starts_with("tuned")) {
        let measured = row.source.contains(" cases") && row.source.matches("with ").count() > 1;
        assert!(measured && row.source.starts_with("tuned on "), "{row:?}");
    }
}

#[test]
fn a_file_gives_some_rows_and_the_others_stay() {
    let built_in = built_in_tables().expect("good tables");
    let one = tables("Weighing(misread: (0.2, \"mine\"))");
    assert_eq!(one.belief.misread, 0.2);
    assert_eq!(one.belief.nothing_wrong, built_in.belief.nothing_wrong);
    assert_eq!((&one.rates, &one.signs), (&built_in.rates, &built_in.signs));
    let several = tables(
        "Tables(\n belief: Weighing(misread: (0.2, \"mine\")),\n \
         rates: Rates(rows: [Rate(part: Fuse, mode: OpenCircuit, each: 0.0, source: \"none blow here\")]),\n)",
    );
    assert_eq!(several.belief, one.belief);
    let of = |tables: &Tables| {
        let rows = tables.rows().into_iter().filter(|row| row.table == "Rates");
        rows.map(|row| (row.name, row.value)).collect::<Vec<_>>()
    };
    let (before, after) = (of(&built_in), of(&several));
    let changed: Vec<_> = before.iter().zip(&after).filter(|(before, after)| before != after).collect();
    assert_eq!(before.len(), after.len());
    assert!(
        matches!(changed[..], [(_, (name, value))] if name == "Fuse OpenCircuit" && value == "(0.0,0.0)"),
        "{changed:?}"
    );
}

#[test]
fn what_is_wrong_with_a_table_is_said_with_its_place() {
    refused("Weighing(\n  misraed: (0.2, \"mine\"),\n)", &["did you mean `misread`?", "mine.ron:2:3"]);
    refused("Weighing(\n  misread: 0.2,\n)", &["a value and its source", "mine.ron:2:12"]);
    refused("Weighing(\n  misread: (0.2, \" \"),\n)", &["`misread` needs a source", "mine.ron:2:18"]);
    refused("Weighing(\n  misread: (0.2),\n)", &["a value and its source"]);
    refused("Weighing(\n  misread: (NaN, \"mine\"),\n)", &["`misread`", "mine.ron:2:13"]);
    refused("Weighing(\n  misread: (0.9, \"mine\"),\n)", &["`misread` must be between"]);
    refused("Weighing(\n  misread: (often, \"mine\"),\n)", &["`misread`", "mine.ron:2:13"]);
    refused(
        "Weighing(\n  misread: (0.2, \"a\"),\n  misread: (0.2, \"a\"),\n)",
        &["`misread` is given twice", "mine.ron:3:3"],
    );
    refused("Tables(\n  beleif: Weighing(misread: (0.2, \"mine\")),\n)", &["did you mean `belief`?", "mine.ron:2:3"]);
    refused("Tables(\n  belief: Signs(),\n)", &["mine.ron:2:11"]);
    refused("Vehicle()", &["`Rates(`"]);
    refused(
        "Rates(\n  rows: [\n    Rate(part: Fuse, mode: OpenCircuit, each: 1.0, source: \"\"),\n  ],\n)",
        &["needs a source", "mine.ron:3:5"],
    );
    refused(
        "Rates(\n  rows: [\n    Rate(part: Fuse, mode: OpenCircuit, each: -1.0, source: \"mine\"),\n  ],\n)",
        &["must not be negative", "mine.ron:3:5"],
    );
}

#[test]
fn a_ladder_that_does_not_rise_has_no_width_and_is_refused() {
    for ratio in ["0.5", "1.0"] {
        let ladder = format!("Ladder(first: 0.002, ratio: {ratio}, count: 19)");
        refused(
            &format!("Faults(\n  resistive: ({ladder}, \"mine\"),\n)"),
            &["`resistive` must rise", "mine.ron:2:15"],
        );
        let steps = format!("Steps(first: 0.03, ratio: {ratio})");
        refused(&format!("Faults(\n  undrawn: ({steps}, \"mine\"),\n)"), &["`undrawn` must rise", "mine.ron:2:13"]);
    }
    let rising = tables("Faults(resistive: (Ladder(first: 0.002, ratio: 1.01, count: 19), \"mine\"))");
    assert_eq!(rising.faults.resistive.ratio, 1.01);
}

#[test]
fn a_stretch_that_ends_where_it_begins_is_refused() {
    for most in ["0.5", "0.4"] {
        let stretch = format!("LogUniform(least: 0.5, most: {most})");
        refused(
            &format!("Workshop(\n  draws_less: ({stretch}, \"mine\"),\n)"),
            &["`draws_less` must have its `least` below its `most`"],
        );
    }
}

/// What the trial draws by is another table than the engine's: of every kind of
/// part that can fail the world has a row too, and most are off by a factor.
#[test]
fn the_world_has_rates_of_its_own() {
    let tables = built_in();
    let rows = |of: Vec<halfsplit::tables::row::Row<'_>>| -> Vec<(String, String)> {
        of.into_iter().map(|row| (row.name, row.value)).collect()
    };
    let (engine, world) = (rows(tables.rates.rows()), rows(tables.world_rates.rows()));
    let names = |of: &[(String, String)]| of.iter().map(|(name, _)| name.clone()).collect::<Vec<_>>();
    assert_eq!(names(&engine), names(&world));
    let other = engine.iter().zip(&world).filter(|((_, a), (_, b))| a != b).count();
    assert!(other * 10 >= engine.len() * 9, "{other} of {} differ", engine.len());
}

/// The kind of part after another; the first after none.
fn next_class(class: Option<PartClass>) -> Option<PartClass> {
    let Some(class) = class else { return Some(PartClass::HolderContact) };
    // No rest of them: a new kind has to find its place here.
    Some(match class {
        PartClass::HolderContact => PartClass::Fuse,
        PartClass::Fuse => PartClass::Breaker,
        PartClass::Breaker => PartClass::Cable,
        PartClass::Cable => PartClass::Joint,
        PartClass::Joint => PartClass::Pin,
        PartClass::Pin => PartClass::Switch,
        PartClass::Switch => PartClass::Isolator,
        PartClass::Isolator => PartClass::Contact,
        PartClass::Contact => PartClass::Coil,
        PartClass::Coil => PartClass::Shunt,
        PartClass::Shunt => PartClass::Diode,
        PartClass::Diode => PartClass::Chassis,
        PartClass::Chassis => PartClass::Load,
        PartClass::Load => PartClass::Battery,
        PartClass::Battery => PartClass::Regulated,
        PartClass::Regulated => PartClass::Instrument,
        PartClass::Instrument => return None,
    })
}

#[test]
fn every_kind_of_part_can_fail() {
    let classes: Vec<PartClass> = std::iter::successors(next_class(None), |&class| next_class(Some(class))).collect();
    assert_eq!(classes.len(), 17);
    for class in classes {
        assert!(built_in().rates.of(class, 1.0).any(|(_, rate)| rate > 0.0), "{class:?} never fails");
    }
}

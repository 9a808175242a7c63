//! Review of a build: cable and fuse for a load against published tables and
//! worked examples.

use crate::tables::built_in;
use halfsplit::quantity::{Amps, Celsius, Metres, SquareMillimetres, Volts, Watts};
use halfsplit::review::{CableChoice, Demand, NoCable, Shortfall, Wanted, WayLength, choose_cable};
use halfsplit::tables::ampacity::{Insulation, Laying, allowable_alone, ambient_factor};
use halfsplit::tables::conductor::{ConductorSize, temperature_factor};
use halfsplit::tables::fuse::RATINGS;
use halfsplit::tables::limits::{CRITICAL_DROP, ORDINARY_DROP};
use proptest::prelude::*;

/// Metres of a foot.
const FOOT: f64 = 0.3048;

/// A cable alone at 20 °C, where the tables of resistance are for.
fn wanted(amps: f64, length: WayLength, nominal: f64, drop: f64) -> Wanted {
    Wanted {
        demand: Demand::Amps(Amps(amps)),
        length,
        nominal: Volts(nominal),
        drop,
        laying: Laying::Single,
        ambient: Celsius(20.0),
        insulation: Insulation::Celsius105,
    }
}

#[track_caller]
fn chosen(wanted: Wanted) -> CableChoice {
    choose_cable(&built_in().review, wanted).expect("a cable")
}

/// FAA AC 43.13-1B, p. 11-26, example 1: 50 ft, 28 V, 20 A for hours, 1 V may be
/// lost, return by structure. Between No. 8 (8.4 mm²) and No. 10 (5.3 mm²), so No. 8.
#[test]
fn the_wire_of_the_aircraft_example() {
    let choice = chosen(wanted(20.0, WayLength::ThereAndBack(Metres(50.0 * FOOT)), 28.0, 1.0 / 28.0));
    let short: Vec<f64> = choice.short.iter().map(|tried| tried.area.0).collect();
    assert_eq!((choice.cable.area.0, short.last()), (10.0, Some(&6.0)));
    assert_eq!(choice.short.last().and_then(|tried| tried.shortfall), Some(Shortfall::Drops));
    assert!(choice.fuse >= Amps(20.0) && choice.fuse <= choice.cable.carries, "{:?}", choice.fuse);
}

/// *Lessons In Electric Circuits* I, chapter 12, "Specific resistance": 25 A at 2300 ft
/// each way, 230 V of which 220 V must arrive. 2/0 (67 mm²) will do, 1/0 (53 mm²) will
/// not.
#[test]
fn the_wire_of_the_textbook_example() {
    let choice = chosen(wanted(25.0, WayLength::OneWay(Metres(2300.0 * FOOT)), 230.0, 10.0 / 230.0));
    assert_eq!(choice.cable.area.0, 70.0);
    assert_eq!(choice.short.last().map(|tried| tried.area.0), Some(50.0));
    // At most 0.2 Ω for each wire.
    assert!(choice.cable.ohms.0 <= 0.4, "{}", choice.cable.ohms);
}

/// 33 CFR 183.425, table 5: corners and middles of it, at the gauges themselves.
#[test]
fn what_a_cable_carries_by_the_regulation() {
    use Insulation::{Celsius60, Celsius75, Celsius80, Celsius90, Celsius105, Celsius125, Celsius200};
    for (gauge, insulation, printed) in [
        (18, Celsius60, 10.0),
        (18, Celsius200, 25.0),
        (14, Celsius80, 25.0),
        (12, Celsius90, 40.0),
        (10, Celsius75, 40.0),
        (8, Celsius75, 65.0),
        (6, Celsius125, 125.0),
        (2, Celsius105, 210.0),
        (0, Celsius60, 195.0),
        (-3, Celsius60, 300.0),
        (-3, Celsius200, 510.0),
    ] {
        let carries = allowable_alone(ConductorSize::Gauge(gauge).area(), insulation).0;
        assert!((carries / printed - 1.0).abs() < 1e-3, "{gauge} {insulation:?}: {carries} against {printed}");
    }
}

/// 33 CFR 183.425, note 1 of table 5 (from memory): what is left in an engine space
/// of 50 °C. Of 200 °C insulation it has 1.00; ours is lower there.
#[test]
fn what_an_engine_space_leaves() {
    let printed = [0.58, 0.75, 0.78, 0.82, 0.86, 0.89];
    for (insulation, printed) in Insulation::ALL.into_iter().zip(printed) {
        assert!((ambient_factor(insulation, Celsius(50.0)) - printed).abs() < 0.007, "{insulation:?}");
    }
    assert!(ambient_factor(Insulation::Celsius200, Celsius(50.0)) < 1.0);
    assert_eq!(ambient_factor(Insulation::Celsius60, Celsius(30.0)), 1.0);
}

/// ISO 10133, annex C (from memory): 0.0164 · A · m / mm². That is a rule for
/// choosing, and what flexible cable may have by IEC 60228 at 20 °C is a sixth to a
/// quarter more.
#[test]
fn the_drop_is_not_taken_for_less_than_the_small_craft_rule_has_it() {
    for (amps, metres) in [(10.0, 10.0), (3.0, 22.0), (40.0, 4.0)] {
        let choice = chosen(wanted(amps, WayLength::ThereAndBack(Metres(metres)), 12.0, ORDINARY_DROP));
        let rule = 0.0164 * amps * metres / choice.cable.area.0;
        let cold = choice.cable.drop.0 / temperature_factor(choice.cable.warms_to);
        assert!((1.15..1.25).contains(&(cold / rule)), "{cold} against {rule}");
    }
}

#[test]
fn watts_are_amperes_at_the_nominal_voltage_and_one_way_is_half_the_wire() {
    let way = |length| wanted(10.0, length, 12.0, CRITICAL_DROP);
    let amps = chosen(way(WayLength::ThereAndBack(Metres(6.0))));
    let watts = Wanted { demand: Demand::Watts(Watts(120.0)), ..way(WayLength::OneWay(Metres(3.0))) };
    assert_eq!(chosen(watts).cable, amps.cable);
}

#[test]
fn what_makes_no_sense_is_refused_and_what_is_too_much_says_so() {
    let refused = |wanted: Wanted| choose_cable(&built_in().review, wanted).expect_err("refused");
    let fine = wanted(10.0, WayLength::OneWay(Metres(3.0)), 12.0, ORDINARY_DROP);
    for wanted in [
        Wanted { demand: Demand::Amps(Amps(0.0)), ..fine },
        Wanted { demand: Demand::Amps(Amps(f64::NAN)), ..fine },
        Wanted { length: WayLength::OneWay(Metres(-1.0)), ..fine },
        Wanted { drop: 0.0, ..fine },
    ] {
        assert_eq!(refused(wanted), NoCable::Nothing);
    }
    let hot = Wanted { ambient: Celsius(60.0), insulation: Insulation::Celsius60, ..fine };
    assert!(matches!(refused(hot), NoCable::TooHot { .. }));
    assert!(matches!(refused(Wanted { demand: Demand::Amps(Amps(450.0)), ..fine }), NoCable::NoFuse { .. }));
    assert!(matches!(refused(Wanted { length: WayLength::OneWay(Metres(5e4)), ..fine }), NoCable::NoSize { .. }));
}

proptest! {
    /// Whatever is wanted: the fuse carries the load, the cable carries the fuse, the
    /// drop is kept, the size below does not do, and no hotter, longer or bundled cable is smaller.
    #[test]
    fn a_fuse_is_never_bigger_than_its_cable_can_carry(
        amps in 0.1..200.0, metres in 0.2..15.0, is_24 in any::<bool>(), critical in any::<bool>(),
        bundled in any::<bool>(), ambient in -20.0..58.0, insulation in prop::sample::select(&Insulation::ALL[..]),
    ) {
        let wanted = Wanted {
            laying: if bundled { Laying::Bundled } else { Laying::Single },
            ambient: Celsius(ambient),
            insulation,
            ..wanted(
                amps,
                WayLength::OneWay(Metres(metres)),
                if is_24 { 24.0 } else { 12.0 },
                if critical { CRITICAL_DROP } else { ORDINARY_DROP },
            )
        };
        let Ok(choice) = choose_cable(&built_in().review, wanted) else { return Ok(()) };
        prop_assert!(choice.fuse.0 > amps && RATINGS.contains(&choice.fuse.0));
        prop_assert!(choice.fuse <= choice.cable.carries && choice.cable.drop <= choice.limit);
        prop_assert!(choice.cable.warms_to.0 <= insulation.temperature().0);
        prop_assert!(choice.short.iter().all(|tried| tried.carries < choice.fuse || tried.drop > choice.limit));
        prop_assert!(choice.short.iter().all(|tried| tried.area.0 < choice.cable.area.0));
        let easier = Wanted { laying: Laying::Single, ambient: Celsius(ambient - 10.0), ..wanted };
        let shorter = Wanted { length: WayLength::OneWay(Metres(metres * 0.7)), ..wanted };
        for better in [easier, shorter] {
            let size = choose_cable(&built_in().review, better).map(|choice| choice.cable.area);
            prop_assert!(size.unwrap_or(SquareMillimetres(f64::MAX)).0 <= choice.cable.area.0);
        }
    }
}

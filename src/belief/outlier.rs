//! What a reading shows that does not show what was to be expected: a misread, or
//! something a little otherwise than drawn.
//!
//! A misread is a mixture of what people do wrong: the neighbouring pin, a probe
//! without contact, a slip of the pen, or anything at all.
//! p(y | misread) = s Σ_k N(y_k; m, v) |dy_k/dy| / n + (1 − s) f(y), with y_k what
//! the display may have shown before the slip k, (m, v) what was to be expected,
//! and f what hangs on no hypothesis.
//!
//! Vehicles depart from their drawings: a cable runs round twice as far, a load was
//! swapped for a larger one. Such a reading is right, and further off:
//! p(y | departs) = N(y; m, k²v) (a contaminated normal; Tukey, *A survey of sampling
//! from contaminated distributions*, 1960).

use super::evidence::Reading;
use super::normal::{Forecast, log_normal};
use crate::complaint::Channel;
use crate::predict::{Hypothesis, Predictor, Probe, Scale, fuse_between};
use crate::tables::Tables;
use crate::tables::belief::Weighing;
use crate::vehicle::{PartId, Vehicle};

/// Density of what is read where nothing is known of it.
#[derive(Debug, Clone, Copy)]
pub struct Anything<'t> {
    /// Shares and deviations.
    pub figures: &'t Weighing,
    /// Supply voltage: what is not what it should be is mostly at supply
    /// voltage or at none.
    pub supply: f64,
    /// ln Ω that an ohmmeter shows of leads joined, and of no path.
    pub log_ohms: (f64, f64),
}

impl<'t> Anything<'t> {
    /// On a vehicle, whose supply stands a little above nominal.
    pub fn on(tables: &'t Tables, vehicle: &Vehicle) -> Self {
        let log_ohms = [0.0, f64::INFINITY].map(|ohms| Scale::of_ohms(&tables.instruments, ohms)).into();
        let figures = &tables.belief;
        Self { figures, supply: vehicle.nominal.0 * figures.misread_supply, log_ohms }
    }

    /// Density at a value of a scale.
    pub fn density(&self, scale: Scale, value: f64) -> f64 {
        let figures = self.figures;
        match scale {
            Scale::Volts => {
                let [any, nought, supply] = figures.misread_volts;
                any * self.flat(value)
                    + nought * normal(value, figures.misread_nought.0)
                    + supply * normal(value - self.supply, figures.misread_at_supply * self.supply)
            }
            // From leads joined to no path, with both ends common.
            Scale::LogOhms => {
                let (least, most) = self.log_ohms;
                let ([any, joined, none], deviation) = (figures.misread_ohms, figures.misread_log_ohms);
                let flat = if (least..=most).contains(&value) { 1.0 / (most - least) } else { figures.misread_beyond };
                any * flat + joined * normal(value - least, deviation) + none * normal(value - most, deviation)
            }
            Scale::Amps => {
                let ([any, none], [wide, narrow]) = (figures.misread_amps, figures.misread_amps_deviation);
                any * normal(value, wide) + none * normal(value, narrow)
            }
        }
    }

    /// Density of a voltage that may be any.
    fn flat(&self, volts: f64) -> f64 {
        let span = self.figures.misread_span * self.supply;
        if volts.abs() <= span / 2.0 { 1.0 / span } else { self.figures.misread_beyond }
    }
}

fn normal(off: f64, deviation: f64) -> f64 {
    log_normal(off, deviation * deviation).exp()
}

/// How likely a reading is as none of what was expected.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OutlierDensity {
    /// ln of chance times density.
    pub ln: f64,
    /// How much of that is a misread's.
    pub misread: f64,
}

/// A reading as a misread.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AsMisread {
    scale: Scale,
    /// ln of the chance that it shows what is drawn.
    pub log_right: f64,
    /// Chance that it shows what departs from the drawing.
    departs: f64,
    /// How many deviations of it then go to one.
    stretch: f64,
    /// Chance of a slip of the pen.
    slip: f64,
    /// Chance times density of any other misread.
    other: f64,
}

impl AsMisread {
    /// Of a reading of a vehicle; `pins` are what neighbouring points show.
    pub fn of(anything: &Anything<'_>, chance: f64, scale: Scale, value: f64, pins: &[f64]) -> Self {
        let figures = anything.figures;
        let at_pins = || {
            let [near, share] = figures.misread_pin_deviation;
            let deviation = near + share * anything.supply;
            pins.iter().map(|pin| normal(value - pin, deviation)).sum::<f64>() / pins.len() as f64
        };
        let other = match scale {
            Scale::Volts if !pins.is_empty() => {
                let [unlike, no_contact, pin] = figures.misread_kinds;
                let [touching, stray] = figures.misread_no_contact;
                let air = 0.5 * (normal(value, touching) + normal(value, stray));
                unlike * anything.density(scale, value) + no_contact * air + pin * at_pins()
            }
            Scale::Volts | Scale::LogOhms | Scale::Amps => anything.density(scale, value),
        };
        let slip = figures.misread_slip;
        let (departs, stretch) = (figures.departs, figures.departs_by);
        let (log_right, departs) = ((1.0 - chance).ln() + (1.0 - departs).ln(), (1.0 - chance) * departs);
        Self { scale, log_right, departs, stretch, slip: chance * slip, other: chance * (1.0 - slip) * other }
    }

    /// The same of something that may show what it does not have: a cracked fuse that
    /// makes contact in the hand shows what a whole one does.
    fn or_shows(self, chance: f64, density: f64) -> Self {
        Self { log_right: (self.log_right.exp() - chance).ln(), other: self.other + chance * density, ..self }
    }

    /// Its density as an outlier, where the rest of the readings lets expect something.
    pub fn density(&self, value: f64, expected: Forecast) -> OutlierDensity {
        let misread = self.density_of_misread(value, expected);
        let variance = self.stretch * self.stretch * expected.variance;
        let all = misread + self.departs * log_normal(value - expected.mean, variance).exp();
        OutlierDensity { ln: all.ln(), misread: misread / all }
    }

    fn density_of_misread(&self, value: f64, expected: Forecast) -> f64 {
        let slips = slips(self.scale, value);
        let slipped =
            slips.map(|(meant, stretch)| log_normal(meant - expected.mean, expected.variance).exp() * stretch);
        self.other + self.slip * slipped.iter().sum::<f64>() / slips.len() as f64
    }
}

/// What may have been meant by a value with the decimal point one place off, the
/// range a thousandfold off or the sign lost; with how many of it go to one
/// of the value.
fn slips(scale: Scale, value: f64) -> [(f64, f64); 5] {
    // Format: decimal places, and thousands from unit to unit.
    let factors = [10.0, 0.1, 1e3, 1e-3];
    let [a, b, c, d] = match scale {
        Scale::Volts | Scale::Amps => factors.map(|factor: f64| (value * factor, factor)),
        Scale::LogOhms => factors.map(|factor| (value + factor.ln(), 1.0)),
    };
    let sign = match scale {
        Scale::Volts | Scale::Amps => (-value, 1.0),
        Scale::LogOhms => (value, 1.0),
    };
    [a, b, c, d, sign]
}

/// Chance that a reading is a misread. The same hand at the same place repeats
/// its mistake often.
pub fn misread_chance(figures: &Weighing, reading: &Reading) -> f64 {
    let once = match reading.channel {
        Channel::ByPhone => figures.misread_by_phone.max(figures.misread),
        Channel::OnSite => figures.misread,
    };
    once * figures.misread_repeated.powi(reading.agreed.min(MOST_AGREED) as i32)
}

/// Numerical: times that a reading is found the same, beyond which it is no surer.
const MOST_AGREED: usize = 8;

/// A reading as it was taken, and as it would be if it was a misread.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Taken {
    /// On the scale of its probe.
    pub value: f64,
    /// What speaks for a misread.
    pub misread: AsMisread,
    /// Whether it was read again and found the same.
    pub is_found_again: bool,
}

impl Taken {
    /// Of readings of a vehicle.
    pub(super) fn of<'r>(predictor: &Predictor, readings: impl Iterator<Item = &'r Reading>) -> Vec<Self> {
        let (tables, vehicle) = (predictor.tables(), predictor.vehicle());
        let anything = Anything::on(tables, vehicle);
        let one = |reading: &Reading| {
            let chance = misread_chance(&tables.belief, reading);
            let value = reading.on_scale(&tables.instruments).0;
            let pins = pins(predictor, reading);
            let misread = AsMisread::of(&anything, chance, reading.probe.scale(), value, &pins);
            let fuse = match reading.probe {
                Probe::Resistance { red, black } => fuse_between(vehicle, red, black),
                Probe::Voltage { .. } | Probe::Current { .. } | Probe::Fixed { .. } => None,
            };
            let beeps = |fuse: PartId| {
                let whole = Scale::of_ohms(&tables.instruments, vehicle.part(fuse).resistance.value.0);
                normal(value - whole, tables.belief.misread_log_ohms)
            };
            let or_beeps = |fuse| misread.or_shows(tables.belief.cracked_beeps, beeps(fuse));
            Self { value, misread: fuse.map_or(misread, or_beeps), is_found_again: reading.agreed > 0 }
        };
        readings.map(one).collect()
    }
}

/// What a voltmeter would show with one lead at a neighbouring point, if all
/// were sound.
fn pins(predictor: &Predictor, reading: &Reading) -> Vec<f64> {
    let vehicle = predictor.vehicle();
    let (Some((red, black)), Ok(model)) = (reading.probe.plain_voltage(), predictor.in_state(&reading.state)) else {
        return Vec::new();
    };
    let sound = model.view(vehicle, &Hypothesis::Sound);
    let beside_red = vehicle.points_beside(red).filter(|&near| near != black).map(|near| sound.volts(near, black));
    let beside_black = vehicle.points_beside(black).filter(|&near| near != red).map(|near| sound.volts(red, near));
    beside_red.chain(beside_black).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::files::built_in_tables;

    /// Whatever is expected, a misread shows something: its density is one in
    /// all, by the trapezoidal rule.
    #[test]
    fn densities_add_to_one() {
        let tables = built_in_tables().expect("tables");
        let anything = Anything { figures: &tables.belief, supply: 12.7, log_ohms: (-1.6, 17.5) };
        let expected = |mean: f64| Forecast { mean, variance: 4.0 };
        for (scale, mean, reach, step) in
            [(Scale::Volts, 11.0, 2e4, 1e-3), (Scale::Amps, 3.0, 1e4, 1e-3), (Scale::LogOhms, 2.0, 40.0, 1e-3)]
        {
            let count = (2.0 * reach / step) as usize;
            let total: f64 = (0..count)
                .map(|index| {
                    let value = -reach + (index as f64 + 0.5) * step;
                    let misread = AsMisread::of(&anything, 1.0, scale, value, &[12.6, 0.02, 6.0]);
                    step * misread.density_of_misread(value, expected(mean))
                })
                .sum();
            // The tail that no meter shows is a little more than nothing.
            let beyond = if scale == Scale::Amps { 0.0 } else { tables.belief.misread_beyond * 2.0 * reach };
            assert!((total - 1.0).abs() < 0.01 + beyond, "{scale:?}: {total}");
        }
    }

    /// What is some deviations off is rather of a vehicle that departs from its drawing;
    /// what is far off, or at none, was misread.
    #[test]
    fn what_departs_is_not_taken_for_a_misread() {
        let tables = built_in_tables().expect("tables");
        let anything = Anything { figures: &tables.belief, supply: 12.7, log_ohms: (-1.6, 17.5) };
        let expected = Forecast { mean: 0.041, variance: 0.008f64.powi(2) };
        let share = |value: f64| {
            let misread = AsMisread::of(&anything, tables.belief.misread, Scale::Volts, value, &[12.6]);
            misread.density(value, expected).misread
        };
        assert!(share(0.088) < 0.1, "{}", share(0.088));
        assert!(share(12.6) > 0.99 && share(0.5) > 0.99, "{} {}", share(12.6), share(0.5));
    }
}

//! `halfsplit size`: cable and fuse for a load.

use clap::{Args, ValueEnum};
use halfsplit::files::{built_in_tables, load_tables};
use halfsplit::quantity::{Amps, Celsius, Metres, PERCENT, Volts, Watts};
use halfsplit::repl::Ending;
use halfsplit::review::{Demand, Wanted, WayLength, choose_cable};
use halfsplit::tables::ampacity::{Insulation, Laying, TABLE_AMBIENT};
use halfsplit::tables::limits::{CRITICAL_DROP, ORDINARY_DROP};
use halfsplit::words::document::{USUAL, on_screen};
use halfsplit::words::{size as said, size_machine};
use std::error::Error;
use std::io::{self, Write};

/// Cable and fuse for a load, with the working.
#[derive(Args)]
#[command(allow_negative_numbers = true)]
pub struct SizeArguments {
    /// What the load takes, such as `8.5A` or `100W`.
    #[arg(value_parser = demand)]
    load: Demand,
    /// Metres from the supply to the load; the wire back is taken to be as long.
    #[arg(long, value_name = "METRES", required_unless_present = "there_and_back")]
    one_way: Option<f64>,
    /// Metres of wire in all, there and back; with body metal for the return, those
    /// of the feed.
    #[arg(long, value_name = "METRES", conflicts_with = "one_way")]
    there_and_back: Option<f64>,
    /// Voltage of the vehicle.
    #[arg(long, value_enum, default_value = "12")]
    volts: Nominal,
    /// Safety hangs on it, or it is sensitive: 3 % may be lost, not 10 %.
    #[arg(long)]
    critical: bool,
    /// Per cent that may be lost, if neither.
    #[arg(long, value_name = "PERCENT", conflicts_with = "critical")]
    drop: Option<f64>,
    /// The cable lies in a bundle, a conduit or a multi-core sheath.
    #[arg(long)]
    bundled: bool,
    /// Temperature around it, °C; engine bays have 50 and more.
    #[arg(long, value_name = "CELSIUS", default_value_t = TABLE_AMBIENT.0)]
    ambient: f64,
    /// Temperature that its insulation stands, °C, as printed on it.
    #[arg(long, value_enum, value_name = "CELSIUS", default_value = "105")]
    insulation: InsulationNamed,
    /// File that gives parameters in other figures.
    #[arg(long, value_name = "FILE")]
    rates: Option<String>,
    /// One JSON object instead of text.
    #[arg(long)]
    machine: bool,
}

/// Voltage of a vehicle, by its number.
#[derive(Debug, Clone, Copy, ValueEnum)]
enum Nominal {
    #[value(name = "12")]
    Twelve,
    #[value(name = "24")]
    TwentyFour,
}

impl Nominal {
    fn volts(self) -> Volts {
        let [twelve, twenty_four] = halfsplit::quantity::NOMINAL;
        match self {
            Self::Twelve => twelve,
            Self::TwentyFour => twenty_four,
        }
    }
}

/// Insulation by its temperature.
#[derive(Debug, Clone, Copy, ValueEnum)]
enum InsulationNamed {
    #[value(name = "60")]
    Celsius60,
    #[value(name = "75")]
    Celsius75,
    #[value(name = "80")]
    Celsius80,
    #[value(name = "90")]
    Celsius90,
    #[value(name = "105")]
    Celsius105,
    #[value(name = "125")]
    Celsius125,
    #[value(name = "200")]
    Celsius200,
}

impl From<InsulationNamed> for Insulation {
    fn from(named: InsulationNamed) -> Self {
        Self::ALL[named as usize]
    }
}

/// A number with its unit.
fn demand(text: &str) -> Result<Demand, String> {
    let text = text.trim();
    let number = |rest: &str| rest.trim().parse::<f64>().ok().filter(|value| value.is_finite() && *value > 0.0);
    let of = |units: [char; 2]| text.strip_suffix(units).and_then(number);
    let amps = of(['A', 'a']).map(|value| Demand::Amps(Amps(value)));
    let watts = || of(['W', 'w']).map(|value| Demand::Watts(Watts(value)));
    amps.or_else(watts).ok_or_else(|| "a number above nothing with its unit, such as `8.5A` or `100W`".to_string())
}

/// Works it out and says it.
pub fn size(arguments: &SizeArguments) -> Result<Ending, Box<dyn Error>> {
    let tables = arguments.rates.as_deref().map_or_else(built_in_tables, load_tables)?;
    let there_and_back = || arguments.there_and_back.map(|metres| WayLength::ThereAndBack(Metres(metres)));
    let length = arguments.one_way.map(|metres| WayLength::OneWay(Metres(metres))).or_else(there_and_back);
    let wanted = Wanted {
        demand: arguments.load,
        length: length.ok_or("how long is it? `--one-way METRES` or `--there-and-back METRES`")?,
        nominal: arguments.volts.volts(),
        drop: match (arguments.critical, arguments.drop) {
            (true, _) => CRITICAL_DROP,
            (false, Some(percent)) if !(0.0..PERCENT).contains(&percent) => {
                return Err("`--drop` goes from above 0 to below 100 %".into());
            }
            (false, Some(percent)) => percent / PERCENT,
            (false, None) => ORDINARY_DROP,
        },
        laying: if arguments.bundled { Laying::Bundled } else { Laying::Single },
        ambient: Celsius(arguments.ambient),
        insulation: arguments.insulation.into(),
    };
    let choice = choose_cable(&tables.review, wanted)?;
    let mut out = io::stdout();
    match arguments.machine {
        true => writeln!(out, "{}", size_machine(&choice))?,
        false => writeln!(out, "{}", on_screen(&said(&tables.review, &choice), USUAL))?,
    }
    Ok(Ending::AllUnderstood)
}

//! Transfers of an altered network: what an ampere between two points does, with
//! what converters then draw.

use super::altered::Altered;
use super::transfer::{Feeding, Outputs, Transfer};
use crate::network::curve::Curve;
use crate::network::graph::{Branch, Converter};
use crate::network::law::Law;
use std::rc::Rc;

impl Altered {
    /// Some branches to watch; at `None` nothing happens.
    pub fn outputs(&self, branches: impl Iterator<Item = Option<usize>>) -> Outputs {
        let volts = self.voltages();
        let (ends, amps): (Vec<(usize, usize)>, Vec<f64>) = branches
            .map(|branch| match branch {
                Some(index) => {
                    let Branch { from, to, .. } = self.network().branches[index];
                    ((from, to), self.current_at(index, volts(from, to)))
                }
                None => ((0, 0), 0.0),
            })
            .unzip();
        let mut from_changes = Vec::with_capacity(self.injections.len() * ends.len());
        for injection in &self.injections {
            let column = self.base.entries(injection.from, injection.to);
            from_changes.extend(ends.iter().map(|&(from, to)| column.across(from, to)));
        }
        let moved = |feeding: &Feeding| ends.iter().map(|&(from, to)| feeding.moved(from, to)).collect();
        let to_converters = self.feeding().iter().map(moved).collect();
        Outputs { ends, amps, from_changes, to_converters }
    }

    /// The converters at work.
    fn feeding(&self) -> &Rc<[Feeding]> {
        let feeding = |converter: &Converter| {
            let Law::Curve(Curve::ConstantPower { watts, times, .. }) = *self.law(converter.input) else { return None };
            let (amps, volts) = (self.current(converter.output).0, self.across(converter.output).0);
            let Branch { from, to, .. } = self.network().branches[converter.output];
            let gain = self.current(converter.input).0 / watts.0 * times / converter.efficiency;
            (amps != 0.0).then(|| Feeding {
                input: converter.input,
                ends: (from, to),
                gain,
                of_volts: -(amps + volts * self.slope(converter.output)),
                // At its limit its own resistance is out of the circuit.
                of_itself: if self.source_conductance(converter.output) > 0.0 { volts } else { 0.0 },
                through: self.bare_transfer(from, to),
                onto: Vec::new(),
            })
        };
        self.feeding.get_or_init(|| {
            let mut all: Vec<Feeding> = self.network().converters.iter().filter_map(feeding).collect();
            for at in 0..all.len() {
                let onto = |one: &Feeding| {
                    let Branch { from, to, .. } = self.network().branches[one.input];
                    -one.gain * all[at].moved(from, to)
                };
                let onto = all.iter().map(onto).collect();
                all[at].onto = onto;
            }
            all.into()
        })
    }

    /// What one ampere between two points does elsewhere, or, read the other way,
    /// what an ampere elsewhere does to the voltage between them: only that way
    /// round where a converter works.
    pub fn transfer(&self, red: usize, black: usize) -> Transfer {
        self.with_converters(self.bare_transfer(red, black), |_| 0.0)
    }

    /// The same for the current of a branch, in volts across it: the input of a
    /// converter draws otherwise at the same voltage.
    pub fn transfer_of_current(&self, branch: usize) -> Transfer {
        let Branch { from, to, .. } = self.network().branches[branch];
        let slope = self.slope(branch);
        let own = |one: &Feeding| if one.input == branch && slope != 0.0 { one.gain / slope } else { 0.0 };
        self.with_converters(self.bare_transfer(from, to), own)
    }

    /// A transfer with what converters then draw, and beside it what a watt at the
    /// output of each does by itself.
    fn with_converters(&self, bare: Transfer, own: impl Fn(&Feeding) -> f64) -> Transfer {
        let feeding = self.feeding();
        let direct = |one: &Feeding| {
            let Branch { from, to, .. } = self.network().branches[one.input];
            own(one) - one.gain * bare.to(from, to)
        };
        let direct: Vec<f64> = feeding.iter().map(direct).collect();
        let mut converted = direct.clone();
        // One may hang on the output of another, as deep as there are any.
        for _ in 1..feeding.len() {
            let through =
                |at: usize| -> f64 { feeding.iter().zip(&converted).map(|(one, by)| one.onto[at] * by).sum() };
            converted = direct.iter().enumerate().map(|(at, direct)| direct + through(at)).collect();
        }
        Transfer { converted, feeding: Rc::clone(feeding), ..bare }
    }

    /// What one ampere between two points does elsewhere while every converter
    /// draws what it does.
    fn bare_transfer(&self, red: usize, black: usize) -> Transfer {
        let base = &self.base;
        let ground = self.network().points;
        let (up, down) = (base.entries(red, ground), base.entries(black, ground));
        let size = self.injections.len();
        let seen: Vec<f64> = self
            .injections
            .iter()
            .map(|injection| {
                (up.at(injection.from) - down.at(injection.from)) - (up.at(injection.to) - down.at(injection.to))
            })
            .collect();
        let columns = self.injections.iter().map(|injection| base.entries(injection.from, injection.to)).collect();
        let weights =
            (0..size).map(|column| (0..size).map(|row| seen[row] * self.coupling[row * size + column]).sum()).collect();
        Transfer { up, down, columns, weights, red, black, feeding: Rc::new([]), converted: Vec::new() }
    }
}

//! What refers to something that may be read later: tied once all is read.

use super::builder::Builder;
use super::draft::DraftPart;
use super::names::{enter, resolve};
use super::part_kinds::no_converter;
use crate::quantity::{Volts, Watts};
use crate::tables::supply::{CHARGER, FOLD_SHARE, INVERTER};
use crate::vehicle::*;
use std::collections::HashMap;

impl Builder<'_, '_> {
    pub fn settle_gates(&mut self) {
        for (part, name, position) in std::mem::take(&mut self.gates) {
            if let Some(control) = resolve(self.reader, "control", name, &self.control_names) {
                self.seeds[part].gates.push((control, position));
            }
        }
    }

    /// Ties what depends on a control but is not gated by it.
    pub fn settle_conditions(&mut self) {
        for (part, name, set) in std::mem::take(&mut self.eased) {
            let control = resolve(self.reader, "control", name, &self.control_names);
            if let (Some(with), Some(source)) = (control, self.seeds[part].kind.regulated_mut()) {
                source.eased = Some(Eased { with, set });
            }
        }
        for (part, name, amps) in std::mem::take(&mut self.sleeps) {
            let control = resolve(self.reader, "control", name, &self.control_names);
            if let (Some(with), Some(load)) = (control, self.seeds[part].kind.load_mut()) {
                load.sleep = Some(Sleep { with, amps });
            }
        }
    }

    pub fn settle_needs(&mut self) {
        let mut loads = HashMap::new();
        for (index, seed) in self.seeds.iter().enumerate().filter(|(_, seed)| seed.kind.is_load()) {
            enter(&mut loads, &seed.name, PartId::new(index));
        }
        for (part, name, volts) in std::mem::take(&mut self.needs) {
            let Some(load) = resolve(self.reader, "load", name, &loads) else {
                continue;
            };
            if let Some(source) = self.seeds[part].kind.regulated_mut() {
                source.needs.push(Need { load, volts });
            }
        }
        for (part, efficiency, idle) in std::mem::take(&mut self.inputs) {
            let needed = |seed: &DraftPart| {
                let mut needs = seed.kind.regulated()?.needs.iter();
                needs.find(|need| need.load.index() == part).map(|need| need.volts)
            };
            let least = self.seeds.iter().find_map(needed);
            let span = self.seeds[part].span;
            match (least, self.seeds[part].kind.load_mut()) {
                (Some(least), Some(load)) => convert(load, least, efficiency, idle),
                _ if efficiency.is_some() || idle.is_some() => {
                    let finding = no_converter(span, &self.seeds[part].name);
                    self.reject(span, finding);
                }
                _ => {}
            }
        }
    }
}

/// Makes a load the input of a converter: whatever its file says it draws, that
/// many watts are what it draws at most usually.
fn convert(load: &mut Load, least: Volts, efficiency: Option<f64>, idle: Option<Watts>) {
    let watts = Watts(load.rated.0 * load.rated.0 / load.behaviour.ohms_at(load.rated).0);
    if !matches!(load.behaviour, LoadBehaviour::ConstantPower { .. }) {
        load.behaviour = LoadBehaviour::ConstantPower { watts, fold: load.rated * FOLD_SHARE };
    }
    load.is_supposed = false;
    let usual = if load.kind == LoadKind::Inverter { INVERTER } else { CHARGER };
    load.converts = Some(Conversion {
        efficiency: efficiency.unwrap_or(usual.efficiency),
        idle: idle.unwrap_or(watts * usual.idle_share),
        least,
    });
}

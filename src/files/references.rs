//! What refers to something that may be read later: tied once all is read.

use super::builder::Builder;
use super::names::{enter, resolve};
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
    }
}

//! Multi-core cables and plugs: one thing with several circuits through it.

use super::builder::Builder;
use super::draft::resistance;
use super::names::{called_twice, enter, resolve};
use super::schema::*;
use crate::quantity::Ohms;
use crate::source::{Diagnostic, Span};
use crate::tables::ampacity::Surroundings;
use crate::tables::conductor::{self, ConductorSize};
use crate::tables::contact::{self, PinStyle, spread};
use crate::vehicle::*;

impl<'a> Builder<'_, 'a> {
    pub fn read_multicores(&mut self, entry: &mut VehicleEntry<'a>) {
        for (value, _) in entry.multicores.take() {
            self.taken.claim(self.reader, value.name);
            for (index, core) in value.cores.iter().enumerate() {
                let name_span = self.reader.span_of(core.name);
                let key = format!("{}.{}", value.name.text, core.name.text).to_lowercase();
                if self.cores.insert(key, (self.multicores.len(), index)).is_some() {
                    let kind = format!("cores of `{}`", value.name.text);
                    self.reader.findings.push(called_twice(&kind, core.name, name_span));
                }
            }
            enter(&mut self.multicore_names, value.name.text, self.multicores.len());
            self.multicores.push(value);
        }
    }

    pub fn core(&mut self, of: Name<'a>, core: Name<'a>) -> Option<(usize, usize)> {
        let known = resolve(self.reader, "multi-core cable", of, &self.multicore_names)?;
        let name = format!("{}.{}", of.text, core.text);
        let span = self.reader.span_of(core);
        let Some(&(multicore, index)) = self.cores.get(&name.to_lowercase()) else {
            if self.reader.is_broken(of.text) {
                return None;
            }
            let cores: Vec<&str> = self.multicores[known].cores.iter().map(|core| core.name.text).collect();
            self.reader.findings.push(Diagnostic::error(
                span,
                format!("multi-core cable `{}` has no core `{}`", of.text, core.text),
                "no such core",
                format!("its cores are `{}`", cores.join("`, `")),
            ));
            return None;
        };
        self.check_used_once(&name, span, "core");
        let size = ConductorSize::Metric(self.multicores[multicore].cores[index].mm2);
        let length = self.multicores[multicore].metres;
        let air = self.multicores[multicore].celsius.unwrap_or(conductor::TABLES_AT);
        let resistance = resistance(None, || conductor::cable(size, length, air));
        let around = Surroundings { together: self.multicores[multicore].cores.len(), air };
        let kind = PartKind::Cable(Cable { length, area: size.area(), around });
        let label = self.multicores[multicore].label.as_ref().map(|label| format!("core {} of {label}", core.text));
        let colour = self.multicores[multicore].cores[index].colour.clone();
        let ends = self.in_and_out(&name, label, kind, resistance, spread::CABLE, Vec::new(), None, span);
        self.mark_last(Markings { colour, ..Markings::default() });
        self.bundle(self.plug_list.len() + multicore);
        Some(ends)
    }

    /// The part just made is one way through a plug or cable: plugs are
    /// numbered first, then cables.
    fn bundle(&mut self, number: usize) {
        if let Some(seed) = self.seeds.last_mut() {
            seed.bundle = Some(BundleId::new(number));
        }
    }

    /// A pin or core carries one wire.
    fn check_used_once(&mut self, name: &str, span: Span, what: &str) {
        if !self.used.insert(name.to_lowercase()) {
            self.reader.findings.push(Diagnostic::error(
                span,
                format!("{what} `{name}` is used twice"),
                "second use",
                format!("a {what} carries one wire: give one of the two another {what}"),
            ));
        }
    }

    pub fn pin(&mut self, of: Name<'a>, pin: Name<'a>, ohms: Option<Ohms>) -> Option<(usize, usize)> {
        let (index, control) = resolve(self.reader, "plug", of, &self.plugs)?;
        let plug = &self.plug_list[index];
        let style = plug.style.unwrap_or(PinStyle::Sealed);
        let label = plug.label.as_ref().map(|label| format!("pin {} of {label}", pin.text));
        let (note, picture) = (plug.note.clone(), plug.picture.clone());
        let place = self.controls[control.index()].place;
        let resistance = resistance(ohms, || contact::pin(style));
        let name = format!("{}.{}", of.text, pin.text);
        let span = self.reader.span_of(pin);
        self.check_used_once(&name, span, "pin");
        let gates = vec![(control, Position::On)];
        let ends = self.in_and_out(&name, label, PartKind::Pin, resistance, spread::CONTACT, gates, place, span);
        self.mark_last(Markings { note, picture, ..Markings::default() });
        self.bundle(index);
        Some(ends)
    }
}

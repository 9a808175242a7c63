//! What is known of a vehicle while it is being put together: names, ends, parts
//! in draft, and what is to be tied to what once all is read.

use super::draft::DraftPart;
use super::names::{ClaimedNames, Declared, Endpoints, enter, report_unknown, resolve};
use super::reader::Reader;
use super::schema::*;
use crate::quantity::{Amps, Volts, Watts};
use crate::source::{Diagnostic, Span};
use crate::vehicle::*;
use std::collections::{HashMap, HashSet};

pub(super) struct Builder<'r, 'a> {
    pub reader: &'r mut Reader<'a>,
    pub taken: ClaimedNames,
    pub nominal: Volts,
    /// Where the black point is named; none without a nominal voltage.
    pub black: Option<Span>,
    pub ends: Endpoints,
    pub seeds: Vec<DraftPart>,
    pub controls: Vec<Control>,
    pub control_names: HashMap<String, Declared<ControlId>>,
    pub relays: HashMap<String, Declared<usize>>,
    pub relay_list: Vec<RelayEntry<'a>>,
    pub relay_places: Vec<Option<PlaceId>>,
    pub plugs: HashMap<String, Declared<(usize, ControlId)>>,
    pub plug_list: Vec<PlugEntry<'a>>,
    /// Place of the parts of the run being read that do not name their own.
    pub run_place: Option<PlaceId>,
    pub multicore_names: HashMap<String, Declared<usize>>,
    /// Lower-case `cable.core` to positions in the lists.
    pub cores: HashMap<String, (usize, usize)>,
    pub multicores: Vec<MulticoreEntry<'a>>,
    /// Cores and pins that a run has already used, lower-case.
    pub used: HashSet<String>,
    pub gates: Vec<(usize, Name<'a>, Position)>,
    /// Contact part and its relay, to be tied to the coil once all are read.
    pub contacts: Vec<(usize, usize)>,
    /// Relay to the part that is its coil.
    pub coils: HashMap<usize, usize>,
    pub needs: Vec<(usize, Name<'a>, Volts)>,
    /// Regulated part, the control that eases it and its voltage then.
    pub eased: Vec<(usize, Name<'a>, Volts)>,
    /// Load part, the control that puts it to sleep and its current then.
    pub sleeps: Vec<(usize, Name<'a>, Amps)>,
    /// Loads that may be the input of a converter, with what the file says of it.
    pub inputs: Vec<(usize, Option<f64>, Option<Watts>)>,
    /// Lower-case unknown names whose likely meanings are doubtful.
    pub doubted: HashSet<String>,
    /// Some run has an end that may belong anywhere.
    pub loose: bool,
    pub places: Vec<Place>,
    pub place_names: HashMap<String, Declared<PlaceId>>,
    pub cautions: Vec<Caution>,
}

impl<'r, 'a> Builder<'r, 'a> {
    pub fn new(reader: &'r mut Reader<'a>, nominal: Volts, black: Option<Span>) -> Self {
        Self {
            reader,
            taken: ClaimedNames::default(),
            nominal,
            black,
            ends: Endpoints::default(),
            seeds: Vec::new(),
            controls: Vec::new(),
            control_names: HashMap::new(),
            relays: HashMap::new(),
            relay_list: Vec::new(),
            relay_places: Vec::new(),
            plugs: HashMap::new(),
            plug_list: Vec::new(),
            run_place: None,
            multicore_names: HashMap::new(),
            cores: HashMap::new(),
            multicores: Vec::new(),
            used: HashSet::new(),
            gates: Vec::new(),
            contacts: Vec::new(),
            coils: HashMap::new(),
            needs: Vec::new(),
            eased: Vec::new(),
            sleeps: Vec::new(),
            inputs: Vec::new(),
            doubted: HashSet::new(),
            loose: false,
            places: Vec::new(),
            place_names: HashMap::new(),
            cautions: Vec::new(),
        }
    }

    /// Reports something about an entry that spoils it.
    pub fn reject(&mut self, entry: Span, finding: Diagnostic) {
        self.reader.spoiled.push(entry);
        self.reader.findings.push(finding);
    }

    pub fn place(&mut self, name: Option<Name<'a>>) -> Option<PlaceId> {
        let name = name?;
        resolve(self.reader, "place", name, &self.place_names)
    }

    pub fn add_control(&mut self, name: &str, control: Control) -> ControlId {
        let id = ControlId::new(self.controls.len());
        self.controls.push(control);
        enter(&mut self.control_names, name, id);
        id
    }

    pub fn push(&mut self, seed: DraftPart) -> usize {
        self.seeds.push(seed);
        self.seeds.len() - 1
    }

    /// Says what tells the part drafted last from its neighbours.
    pub fn mark_last(&mut self, marks: Markings) {
        if let Some(seed) = self.seeds.last_mut() {
            seed.marks = marks;
        }
    }

    pub fn caution(&mut self, hazard: Hazard, place: PlaceId, span: Span) {
        if !self.cautions.iter().any(|known| known.hazard == hazard && known.place == place) {
            self.cautions.push(Caution { hazard, place, text: String::new(), span });
        }
    }

    /// The end of that name, or a finding.
    pub fn end_of(&mut self, name: Name<'a>) -> Option<usize> {
        let found = self.ends.find(name.text);
        if found.is_none() {
            report_unknown(self.reader, "point", name, self.ends.known_names());
        }
        found
    }
}

//! The vehicle solved in its states, and under hypotheses.

use super::circuits::{Circuits, StateNumber};
use super::cut_out::may_trip;
use super::hypothesis::{Hypothesis, Sized};
use super::series::UnbranchedWays;
use super::uncertainties::Uncertainties;
use crate::fault::{FailureMode, alteration, failed_and_crossed, is_out};
use crate::memo::{Memo, Numbers};
use crate::network::{
    Alteration, Altered, Between, Branch, Law, Margin, Orders, Solution, SolveError, changed_by_hand, network_of,
    under_hand,
};
use crate::quantity::{Ohms, Volts};
use crate::tables::Tables;
use crate::vehicle::trace::SupplyLeads;
use crate::vehicle::{PartId, PointId, State, Vehicle};
use std::cell::OnceCell;
use std::rc::Rc;

/// Numerical: current below which a part carries none, A.
pub(super) const LEAST_AMPS: f64 = 1e-7;
/// Numerical: voltage below which nothing flows that anybody could tell, V.
const LEAST_DRIVE: Volts = Volts(1e-6);

/// Predictions for one vehicle.
pub struct Predictor {
    vehicle: Rc<Vehicle>,
    tables: Rc<Tables>,
    states: Memo<State, Rc<StateModel>>,
    numbers: Numbers<State>,
    orders: Orders,
    circuits: Rc<Circuits>,
    series: Rc<UnbranchedWays>,
    theta: Uncertainties,
}

impl Predictor {
    /// For a vehicle, with these tables.
    pub fn new(vehicle: Rc<Vehicle>, tables: Rc<Tables>) -> Self {
        let series = Rc::new(UnbranchedWays::of(&vehicle));
        let memory = &tables.memory;
        Self {
            states: Memo::new(memory.states),
            numbers: Numbers::new(memory.states),
            orders: Orders::default(),
            circuits: Rc::new(Circuits::new(memory)),
            series,
            theta: Uncertainties::of(&tables, &vehicle),
            vehicle,
            tables,
        }
    }

    /// What is uncertain of the vehicle and of the meters.
    pub fn uncertainties(&self) -> &Uncertainties {
        &self.theta
    }

    /// The vehicle.
    pub fn vehicle(&self) -> &Rc<Vehicle> {
        &self.vehicle
    }

    /// The tables that it goes by.
    pub fn tables(&self) -> &Rc<Tables> {
        &self.tables
    }

    /// The unbranched ways.
    pub fn series(&self) -> &UnbranchedWays {
        &self.series
    }

    /// The vehicle solved in a state.
    ///
    /// # Errors
    /// [`SolveError`] if the circuit has no solution.
    pub fn in_state(&self, state: &State) -> Result<Rc<StateModel>, SolveError> {
        self.states.get_or_try(state.clone(), || self.solved(state).map(Rc::new))
    }

    /// Whether something charges a battery in a state when all is sound.
    pub fn charges(&self, state: &State, battery: PartId) -> bool {
        let charge = |model: Rc<StateModel>| model.charge(&self.vehicle, &Hypothesis::Sound, battery);
        self.in_state(state).ok().and_then(charge).is_some()
    }

    fn solved(&self, state: &State) -> Result<StateModel, SolveError> {
        let solution = Rc::new(self.orders.solve(network_of(&self.vehicle, state))?);
        let sound = Rc::new(solution.altered(&Alteration::default())?);
        Ok(StateModel {
            state: state.clone(),
            tables: Rc::clone(&self.tables),
            number: self.numbers.of(state.clone()),
            circuits: Rc::clone(&self.circuits),
            series: Rc::clone(&self.series),
            solution,
            sound,
            dead: OnceCell::new(),
            may_trip: may_trip(&self.vehicle, state),
            has_diodes: self.vehicle.parts.iter().any(|part| part.kind.forward().is_some()),
            steers: OnceCell::new(),
            under_hand: OnceCell::new(),
            guards: Memo::new(self.tables.memory.states),
            leads: OnceCell::new(),
        })
    }
}

/// A vehicle solved in one state, and under faults.
pub struct StateModel {
    pub(super) state: State,
    tables: Rc<Tables>,
    /// Among those of its predictor.
    pub(super) number: StateNumber,
    /// Those of its predictor.
    pub(super) circuits: Rc<Circuits>,
    series: Rc<UnbranchedWays>,
    pub(super) solution: Rc<Solution>,
    sound: Rc<Altered>,
    pub(super) dead: OnceCell<Option<Rc<Solution>>>,
    pub(super) may_trip: Vec<PartId>,
    pub(super) has_diodes: bool,
    steers: OnceCell<Box<[bool]>>,
    /// The parts whose law each control may change.
    under_hand: OnceCell<Vec<Vec<PartId>>>,
    /// The margins on which it hangs how a load is served; none where laws oscillate.
    pub(super) guards: Memo<PartId, Option<Rc<[Margin]>>>,
    leads: OnceCell<SupplyLeads>,
}

impl StateModel {
    /// The tables that it goes by.
    pub fn tables(&self) -> &Tables {
        &self.tables
    }

    /// The unbranched ways.
    pub fn series(&self) -> &UnbranchedWays {
        &self.series
    }

    /// What shows the same in this state wherever nothing is read between its parts
    /// but at these points.
    pub fn stand_in(&self, vehicle: &Vehicle, hypothesis: &Hypothesis, read: &[PointId]) -> Hypothesis {
        match self.state.has_aids() {
            true => self.series.stand_in(hypothesis, &[read, &self.joined(vehicle)].concat()),
            false => self.series.stand_in(hypothesis, read),
        }
    }

    /// The points at which the leads of a test join the circuit: what was an
    /// unbranched way branches there.
    pub fn joined(&self, vehicle: &Vehicle) -> Vec<PointId> {
        let leads = self.state.aids(vehicle).flat_map(|aid| aid.leads(vehicle));
        leads.flat_map(|(from, to)| [from, to]).collect()
    }

    /// What of a hypothesis touches anything in this state.
    pub(super) fn touching(&self, vehicle: &Vehicle, hypothesis: &Hypothesis) -> Hypothesis {
        let is_out = |(fault, _): Sized| is_out(vehicle, &self.state, fault);
        match *hypothesis {
            Hypothesis::Faulty { fault, size } if is_out((fault, size)) => Hypothesis::Sound,
            Hypothesis::Double { first, second } => match (is_out(first), is_out(second)) {
                (true, true) => Hypothesis::Sound,
                (true, false) => Hypothesis::Faulty { fault: second.0, size: second.1 },
                (false, true) => Hypothesis::Faulty { fault: first.0, size: first.1 },
                (false, false) => *hypothesis,
            },
            Hypothesis::Sound | Hypothesis::Faulty { .. } | Hypothesis::UndrawnPath { .. } => *hypothesis,
        }
    }

    /// How everything is set.
    pub fn state(&self) -> &State {
        &self.state
    }

    /// The healthy solve.
    pub fn solution(&self) -> &Solution {
        &self.solution
    }

    /// The vehicle healthy in another state, of which nothing is held.
    ///
    /// # Errors
    /// [`SolveError`] if it has no solution.
    pub fn set_otherwise(&self, vehicle: &Vehicle, state: &State) -> Result<Altered, SolveError> {
        let under_hand = self.under_hand.get_or_init(|| under_hand(vehicle));
        self.solution.altered(&changed_by_hand(vehicle, self.solution.network(), under_hand, (&self.state, state)))
    }

    /// The healthy solve, with a fuse open.
    ///
    /// # Errors
    /// [`SolveError`] if it has no solution.
    pub fn with_open_fuse(&self, fuse: PartId) -> Result<Solution, SolveError> {
        self.solution.with_law(fuse.index(), Law::Open)
    }

    /// The healthy solve, to share.
    pub fn shared_solution(&self) -> Rc<Solution> {
        Rc::clone(&self.solution)
    }

    /// The network under a hypothesis, with whatever tries to run running.
    ///
    /// A change that cannot be solved at all counts as no change: it stands
    /// as a part that makes no difference, which no reading will support.
    pub fn under(&self, vehicle: &Vehicle, hypothesis: &Hypothesis) -> Rc<Altered> {
        if *hypothesis == Hypothesis::Sound {
            return Rc::clone(&self.sound);
        }
        let altered = || self.altered_by(&self.alteration(vehicle, hypothesis));
        self.circuits.altered.get_or((self.number, hypothesis.key()), altered)
    }

    pub(super) fn alteration(&self, vehicle: &Vehicle, hypothesis: &Hypothesis) -> Alteration {
        let change = |sized: Sized| self.change(vehicle, sized);
        if let Hypothesis::UndrawnPath { from, to, size, opened } = *hypothesis {
            let law = Law::Resistor(Ohms(size.value).conductance());
            let replaced = opened.map(|fuse| (fuse.index(), Law::Open)).into_iter().collect();
            return Alteration { replaced, added: vec![Branch { from: from.index(), to: to.index(), law }] };
        }
        match *hypothesis {
            Hypothesis::Double { first, second: (swap, _) } if swap.mode == FailureMode::Crossed => {
                failed_and_crossed(change(first), change((swap, None)), swap)
            }
            _ => hypothesis.faults().map(change).reduce(Alteration::and).unwrap_or_default(),
        }
    }

    /// What a fault changes.
    pub(super) fn change(&self, vehicle: &Vehicle, (fault, size): Sized) -> Alteration {
        let (network, size) = (self.solution.network(), size.map_or(0.0, |size| size.value));
        alteration(&self.tables.faults, vehicle, &self.state, network, fault, size)
    }

    pub(super) fn altered_by(&self, alteration: &Alteration) -> Rc<Altered> {
        self.solution.altered(alteration).map_or_else(|_| Rc::clone(&self.sound), Rc::new)
    }

    /// Whether a fault of series kind can make any difference: a path that
    /// carries nothing can be opened without anybody noticing.
    pub fn carries_current(&self, part: PartId) -> bool {
        self.solution.current(part.index()).0.abs() > LEAST_AMPS
    }

    /// Whether paths that a hypothesis adds move what stands between two points by
    /// more than `least`, or join what hangs in the air.
    pub fn paths_move(
        &self,
        vehicle: &Vehicle,
        hypothesis: &Hypothesis,
        (red, black): (PointId, PointId),
        least: Volts,
    ) -> bool {
        let under = |hypothesis: &Hypothesis| self.under(vehicle, hypothesis).between(red.index(), black.index());
        let moves = || match (under(&Hypothesis::Sound), under(hypothesis)) {
            (Between::Volts(sound), Between::Volts(now)) => (now - sound).abs() > least,
            (sound, now) => sound != now,
        };
        let change = self.alteration(vehicle, hypothesis);
        let counts = |path: &Branch| match self.solution.between(path.from, path.to) {
            Between::Volts(volts) => volts.abs() > LEAST_DRIVE,
            Between::Floating => true,
        };
        change.added.iter().any(counts) && moves()
    }

    /// Volts that a part has, or would have if it were fed.
    pub(super) fn usual_volts(&self, vehicle: &Vehicle, part: PartId) -> Volts {
        Volts(self.solution.across(part.index()).0.abs().max(self.tables.spreads.fed_from * vehicle.nominal.0))
    }

    /// Whether opening a part could move the voltage between two points by more
    /// than `least`, leave one of them hanging in the air, or work a coil or a sense
    /// input.
    pub fn could_move(&self, vehicle: &Vehicle, part: PartId, red: PointId, black: PointId, least: Volts) -> bool {
        self.solution.shift_by_opening(part.index(), red.index(), black.index()) > least
            || self.solution.parts_by_opening(part.index(), red.index(), black.index())
            || self.is_held_by_leaks(red, black)
            || self.steers.get_or_init(|| self.steering(vehicle))[part.index()]
    }

    /// Whether two points are joined by what leaks back through a diode, if by
    /// anything.
    fn is_held_by_leaks(&self, red: PointId, black: PointId) -> bool {
        self.has_diodes && self.solution.between(red.index(), black.index()) == Between::Floating
    }

    /// For each part, whether opening it could work a coil or a sense input.
    fn steering(&self, vehicle: &Vehicle) -> Box<[bool]> {
        let mut steering: Vec<PartId> = Vec::new();
        for id in vehicle.part_ids() {
            let kind = &vehicle.part(id).kind;
            steering.extend(kind.is_coil().then_some(id));
            steering.extend(kind.regulated().iter().flat_map(|source| &source.needs).map(|need| need.load));
        }
        let usual = |&id: &PartId| (id.index(), self.usual_volts(vehicle, id) * self.tables.spreads.lets_go);
        let outputs = self.solution.converter_outputs(self.tables.spreads.noticed);
        let watched: Vec<(usize, Volts)> = steering.iter().map(usual).chain(outputs).collect();
        let carrying: Vec<usize> =
            vehicle.part_ids().filter(|&part| self.carries_current(part)).map(PartId::index).collect();
        let mut steers = vec![false; vehicle.parts.len()];
        // An open coil keeps its volts and lets go all the same.
        steering.iter().for_each(|id| steers[id.index()] = true);
        let moves = self.solution.movers(&carrying, &watched);
        carrying.iter().zip(moves).for_each(|(&part, moves)| steers[part] |= moves);
        steers.into_boxed_slice()
    }

    /// The ways of wire to every point.
    pub fn leads(&self, vehicle: &Vehicle) -> &SupplyLeads {
        self.leads.get_or_init(|| SupplyLeads::of(vehicle, &self.state))
    }

    /// How a load is served, as a share of what it gets when all is sound: 0
    /// dead, 1 as it should be. One at fault itself does less at the same volts.
    pub fn performance(&self, vehicle: &Vehicle, hypothesis: &Hypothesis, load: PartId) -> f64 {
        let own = |(fault, size): Sized| match fault.part == load && !is_out(vehicle, &self.state, fault) {
            true => fault.mode.output(size.map_or(1.0, |size| size.value)),
            false => 1.0,
        };
        let output: f64 = hypothesis.faults().map(own).product();
        if output == 0.0 || self.state.is_off(vehicle, load) {
            return 0.0;
        }
        let hypothesis = &self.stand_in(vehicle, hypothesis, &[]);
        let sound = self.solution.across(load.index()).0.abs();
        let reference = if self.is_served(vehicle, load) { sound } else { rated(vehicle, load) };
        if self.trips_at(vehicle, hypothesis, load).is_some() {
            return 0.0;
        }
        let altered = self.under(vehicle, hypothesis);
        let part = vehicle.part(load);
        match altered.between(part.from.index(), part.to.index()) {
            Between::Volts(volts) => output * volts.0.abs() / reference,
            Between::Floating => 0.0,
        }
    }

    /// Current into a battery as a share of what it gets when all is sound;
    /// none where nothing charges it.
    pub fn charge(&self, vehicle: &Vehicle, hypothesis: &Hypothesis, battery: PartId) -> Option<f64> {
        let sound = -self.solution.current(battery.index()).0;
        let hypothesis = &self.stand_in(vehicle, hypothesis, &[]);
        let into = || -self.under(vehicle, hypothesis).current(battery.index()).0;
        (sound > self.tables.spreads.charging.0).then(|| into() / sound)
    }

    /// Whether a load runs when all is sound.
    pub fn is_served(&self, vehicle: &Vehicle, load: PartId) -> bool {
        let carries = self.carries_current(load);
        carries && self.solution.across(load.index()).0.abs() > self.tables.spreads.runs_from * rated(vehicle, load)
    }
}

/// Voltage a load is made for.
fn rated(vehicle: &Vehicle, load: PartId) -> f64 {
    vehicle.part(load).kind.load().map_or(vehicle.nominal, |load| load.rated).0
}

//! How far voltages may move before any law leaves its piece: so that what a
//! change does can be told to be all that it does, without asking every law.

use super::curve::Curve;
use super::law::{Branch, EDGE, Law, Need, Regime};
use super::solution::{Settling, Solution};
use crate::vehicle::ContactRest;

/// The voltages across a branch at which a law stays on its piece, if all
/// others that it depends on leave it there too.
#[derive(Debug, Clone, Copy)]
pub(super) struct Room {
    /// Whose law.
    pub law: usize,
    /// Whose voltage.
    pub branch: usize,
    /// Ends of that branch.
    pub from: usize,
    pub to: usize,
    /// Lowest voltage, V.
    pub least: f64,
    /// Highest voltage, V.
    pub most: f64,
}

/// What an ampere between two points does to what is near an edge.
#[derive(Debug, Clone, Copy)]
pub(super) struct Reach {
    /// Resistance between the two points, Ω.
    pub ohms: f64,
    /// Lowest and highest current that leave all laws on their pieces, A.
    pub least: f64,
    pub most: f64,
}

const ANY: (f64, f64) = (f64::NEG_INFINITY, f64::INFINITY);
const NO: (f64, f64) = (f64::INFINITY, f64::NEG_INFINITY);

impl Law {
    /// The voltages of its own at which [`Law::regime`] leaves it on a piece, as
    /// far as it depends on them.
    fn own_room(&self, regime: Regime) -> (f64, f64) {
        let below = |edge: f64| (f64::NEG_INFINITY, edge + EDGE);
        let above = |edge: f64| (edge - EDGE, f64::INFINITY);
        match (self, regime) {
            (Self::Fuse { .. }, Regime::Off) => ANY,
            (Self::Fuse { conductance, opens_at }, _) => {
                let most = opens_at.0 / conductance.0;
                (-most, most)
            }
            (Self::Battery { emf, .. }, Regime::Limited) => below(-emf.0),
            (Self::Battery { emf, .. }, _) => above(-emf.0),
            (Self::Regulated { emf, .. }, Regime::Off) => below(-emf.0),
            (Self::Regulated { emf, ohms, limit, .. }, Regime::Limited) => above(limit.0 * ohms.0 - emf.0),
            (Self::Regulated { emf, ohms, limit, .. }, _) => (-emf.0 - EDGE, limit.0 * ohms.0 - emf.0 + EDGE),
            (Self::ConstantCurrent { .. } | Self::Curve(_), Regime::Limited) => below(0.0),
            (Self::ConstantCurrent { knee, .. }, Regime::Off) => (-EDGE, knee.0 + EDGE),
            (Self::ConstantCurrent { knee, .. }, _) => above(knee.0),
            (Self::Curve(curve), _) => curve_room(curve, regime),
            (Self::Diode { forward, .. }, Regime::Off) => below(forward.0),
            (Self::Diode { forward, .. }, _) => above(forward.0),
            (Self::Open | Self::Resistor(_) | Self::Contact { .. }, _) => ANY,
        }
    }
}

fn curve_room(curve: &Curve, regime: Regime) -> (f64, f64) {
    let edge = curve.edge();
    match regime {
        Regime::Along(at) => {
            let (least, most) = at.stays_between();
            match (least > -edge, most < edge) {
                (true, _) => (least.max(edge), most),
                (_, true) if !curve.blocks() => (least, most.min(-edge)),
                _ => NO,
            }
        }
        Regime::Off if curve.blocks() => (-EDGE, edge),
        Regime::Off => (-edge, edge),
        Regime::On | Regime::Limited => NO,
    }
}

/// Voltages of one sign or below a threshold, as it is now.
fn same_side(volts: f64, threshold: f64) -> (f64, f64) {
    match volts {
        _ if volts >= threshold => (threshold, f64::INFINITY),
        _ if volts <= -threshold => (f64::NEG_INFINITY, -threshold),
        // At the threshold itself it would be the other side.
        _ => (-threshold.next_down(), threshold.next_down()),
    }
}

impl Solution {
    /// The rooms of all laws; none is known where they are restless.
    pub(super) fn rooms(&self) -> Option<&[Room]> {
        let all = || {
            let laws = self.piecewise.iter().chain(&self.fuses);
            let mut rooms = Vec::new();
            laws.for_each(|&law| self.add_rooms(law, &mut rooms));
            rooms.into_boxed_slice()
        };
        (self.settling() == Settling::Settled).then(|| &**self.asked.rooms.get_or_init(all))
    }

    fn add_rooms(&self, law: usize, rooms: &mut Vec<Room>) {
        let mut add = |branch: usize, (least, most): (f64, f64)| {
            let Branch { from, to, .. } = self.network.branches[branch];
            rooms.push(Room { law, branch, from, to, least, most });
        };
        let felt = |branch: usize| self.network.branches[branch].law.felt(self.across(branch).0);
        // What has no path through it is felt as nothing, whatever it has.
        let felt_room = |need: &Need| match self.network.branches[need.branch].law {
            Law::Open => ANY,
            _ => same_side(felt(need.branch), need.volts.0),
        };
        let regime = self.regimes[law];
        let own = &self.network.branches[law].law;
        match own {
            Law::Contact { coil, rest, .. } => {
                let is_pulled = (regime == Regime::On) == (*rest == ContactRest::Make);
                // Neither one that holds and would not pull in.
                let agrees = is_pulled == (felt(coil.branch).abs() >= coil.volts.0);
                add(coil.branch, if agrees { felt_room(coil) } else { NO });
            }
            Law::Regulated { needs, .. } => match needs.iter().find(|need| felt(need.branch).abs() < need.volts.0) {
                Some(unmet) => add(unmet.branch, felt_room(unmet)),
                None => {
                    add(law, own.own_room(regime));
                    let lasting = needs.iter().filter(|_| regime != Regime::Off);
                    lasting.for_each(|need| add(need.branch, felt_room(need)));
                }
            },
            _ => add(law, own.own_room(regime)),
        }
    }

    /// How far an ampere between two points reaches; the law of the branch there
    /// is not asked if it is replaced.
    pub(super) fn reach(&self, from: usize, to: usize, replaced: Option<usize>) -> Option<Reach> {
        let rooms = self.rooms()?;
        let key = (from, to, replaced);
        if let Some(known) = self.asked.reaches.borrow().get(&key) {
            return Some(*known);
        }
        let push = self.pushed(from, to);
        let mut reach = Reach { ohms: push[from] - push[to], least: f64::NEG_INFINITY, most: f64::INFINITY };
        for room in rooms.iter().filter(|room| !(replaced == Some(room.law) && room.law == room.branch)) {
            reach.narrow(room, self.voltages[room.from] - self.voltages[room.to], push[room.from] - push[room.to]);
        }
        self.asked.reaches.borrow_mut().insert(key, reach);
        Some(reach)
    }
}

impl Reach {
    /// For a branch at a voltage, which an ampere moves by so much.
    fn narrow(&mut self, room: &Room, volts: f64, moved: f64) {
        let (down, up) = ((room.least - volts) / moved, (room.most - volts) / moved);
        if room.least > room.most {
            (self.least, self.most) = NO;
        } else if moved != 0.0 {
            self.least = self.least.max(down.min(up));
            self.most = self.most.min(down.max(up));
        }
    }

    /// Whether a current leaves all laws on their pieces.
    pub fn bears(&self, amps: f64) -> bool {
        (self.least..=self.most).contains(&amps)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::{Amps, Ohms, Siemens, Volts, Watts};

    fn laws() -> Vec<Law> {
        let volts = Volts;
        vec![
            Law::Battery { emf: volts(12.6), ohms: Ohms(0.01), charging: Ohms(0.05) },
            Law::Regulated { emf: volts(14.2), ohms: Ohms(0.02), limit: Amps(30.0), needs: Vec::new() },
            Law::ConstantCurrent { amps: Amps(2.0), knee: volts(6.0) },
            Law::Curve(Curve::ConstantPower { watts: Watts(60.0), fold: volts(8.0), rated: volts(12.0) }),
            Law::Curve(Curve::Filament { amps: Amps(4.5), rated: volts(12.0) }),
            Law::Diode { forward: volts(0.7), ohms: Ohms(0.02) },
        ]
    }

    /// The piece that a law comes to at a voltage, from rest.
    fn settled(law: &Law, volts: f64) -> Regime {
        (0..9).fold(law.at_rest(), |regime, _| law.regime(volts, regime, |_| 0.0))
    }

    #[test]
    fn a_law_stays_on_its_piece_in_its_room_and_leaves_it_beyond() {
        let grid = || (-320..=320).map(|step| f64::from(step) * 0.0501);
        for law in laws() {
            for at in grid() {
                let regime = settled(&law, at);
                let (least, most) = law.own_room(regime);
                assert!((least..=most).contains(&at), "{law:?} at {at}: {regime:?} has {least} to {most}");
                let near = [least + 1e-9, least - 1e-6, most - 1e-9, most + 1e-6];
                for volts in grid().chain(near.into_iter().filter(|edge| edge.is_finite())) {
                    let stays = law.regime(volts, regime, |_| 0.0) == regime;
                    assert_eq!(stays, (least..=most).contains(&volts), "{law:?} from {at} to {volts}: {regime:?}");
                }
            }
        }
    }

    #[test]
    fn a_fuse_has_room_up_to_its_current() {
        let law = Law::Fuse { conductance: Siemens(200.0), opens_at: Amps(20.0) };
        assert_eq!(law.own_room(Regime::On), (-0.1, 0.1));
        assert_eq!(law.own_room(Regime::Off), ANY);
    }
}

//! Operating regions: the voltages at which a piecewise-linear law stays on its
//! piece.

use super::curve::Curve;
use super::law::{EDGE, Law, Region};

/// The voltages across a branch at which a law keeps its region, if all
/// others that it depends on leave it there too.
#[derive(Debug, Clone, Copy)]
pub struct Margin {
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

/// Numerical: every voltage, V.
pub(super) const ANY: (f64, f64) = (f64::NEG_INFINITY, f64::INFINITY);
/// Numerical: no voltage at all, V.
pub(super) const NO: (f64, f64) = (f64::INFINITY, f64::NEG_INFINITY);

impl Law {
    /// The voltages of its own at which [`Law::region`] leaves it in a region, as
    /// far as it depends on them.
    pub(super) fn own_range(&self, region: Region) -> (f64, f64) {
        let below = |edge: f64| (f64::NEG_INFINITY, edge + EDGE);
        let above = |edge: f64| (edge - EDGE, f64::INFINITY);
        match (self, region) {
            (Self::Fuse { .. }, Region::Off) => ANY,
            (Self::Fuse { conductance, opens_at }, _) => {
                let most = (*opens_at / *conductance).0;
                (-most, most)
            }
            (Self::Battery { emf, .. }, Region::Limited) => below(-emf.0),
            (Self::Battery { emf, .. }, _) => above(-emf.0),
            (Self::Regulated { emf, .. }, Region::Off) => below(-emf.0),
            (Self::Regulated { emf, ohms, limit, .. }, Region::Limited) => above((*limit * *ohms - *emf).0),
            (Self::Regulated { emf, ohms, limit, .. }, _) => (-emf.0 - EDGE, (*limit * *ohms - *emf).0 + EDGE),
            (Self::ConstantCurrent { .. } | Self::Curve(_), Region::Limited) => below(0.0),
            (Self::ConstantCurrent { knee, .. }, Region::Off) => (-EDGE, knee.0 + EDGE),
            (Self::ConstantCurrent { knee, .. }, _) => above(knee.0),
            (Self::Curve(curve), _) => curve_range(curve, region),
            (Self::Diode { forward, .. }, Region::Off) => below(forward.0),
            (Self::Diode { forward, .. }, _) => above(forward.0),
            (Self::Open | Self::Resistor(_) | Self::Contact { .. }, _) => ANY,
        }
    }
}

fn curve_range(curve: &Curve, region: Region) -> (f64, f64) {
    let edge = curve.edge();
    match region {
        Region::Along(at) => {
            let (least, most) = at.stays_between();
            match (least > -edge, most < edge) {
                (true, _) => (least.max(edge), most),
                (_, true) if !curve.blocks() => (least, most.min(-edge)),
                _ => NO,
            }
        }
        Region::Off if curve.blocks() => (-EDGE, edge),
        Region::Off => (-edge, edge),
        Region::On | Region::Limited => NO,
    }
}

/// Voltages of one sign or below a threshold, as it is now.
pub(super) fn same_side(volts: f64, threshold: f64) -> (f64, f64) {
    match volts {
        _ if volts >= threshold => (threshold, f64::INFINITY),
        _ if volts <= -threshold => (f64::NEG_INFINITY, -threshold),
        // At the threshold itself it would be the other side.
        _ => (-threshold.next_down(), threshold.next_down()),
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
            Law::Curve(Curve::ConstantPower { watts: Watts(60.0), fold: volts(8.0), rated: volts(12.0), times: 1.0 }),
            Law::Curve(Curve::Filament { amps: Amps(4.5), rated: volts(12.0) }),
            Law::Diode { forward: volts(0.7), ohms: Ohms(0.02) },
        ]
    }

    /// The region that a law comes to at a voltage, from rest.
    fn converged(law: &Law, volts: f64) -> Region {
        (0..9).fold(law.at_rest(), |region, _| law.region(volts, region, |_| 0.0))
    }

    #[test]
    fn a_law_keeps_its_region_within_its_range_and_leaves_it_beyond() {
        let grid = || (-320..=320).map(|step| f64::from(step) * 0.0501);
        for law in laws() {
            for at in grid() {
                let region = converged(&law, at);
                let (least, most) = law.own_range(region);
                assert!((least..=most).contains(&at), "{law:?} at {at}: {region:?} has {least} to {most}");
                let near = [least + 1e-9, least - 1e-6, most - 1e-9, most + 1e-6];
                for volts in grid().chain(near.into_iter().filter(|edge| edge.is_finite())) {
                    let stays = law.region(volts, region, |_| 0.0) == region;
                    assert_eq!(stays, (least..=most).contains(&volts), "{law:?} from {at} to {volts}: {region:?}");
                }
            }
        }
    }

    #[test]
    fn a_fuse_is_whole_up_to_its_current() {
        let law = Law::Fuse { conductance: Siemens(200.0), opens_at: Amps(20.0) };
        assert_eq!(law.own_range(Region::On), (-0.1, 0.1));
        assert_eq!(law.own_range(Region::Off), ANY);
    }
}

//! What tells a point from its neighbours, where the file says it: the colour of
//! the wire, the slot on the board, where to look.

use crate::predict::Probe;
use crate::vehicle::{Markings, Part, PointId, Vehicle};

/// What shows where the leads of a probe go, one line; none where the file says
/// nothing of it.
pub fn marks(vehicle: &Vehicle, probe: Probe) -> Option<String> {
    let (red, black) = probe.points(vehicle);
    let told: Vec<String> = [red, black]
        .into_iter()
        .enumerate()
        // The black lead lies where it lay before, most of the time.
        .filter(|&(index, point)| index == 0 || point != vehicle.black && point != red)
        .filter_map(|(_, point)| point_marks(vehicle, point))
        .collect();
    (!told.is_empty()).then(|| told.join(" "))
}

/// What the file says of a point and of the parts that meet there.
fn point_marks(vehicle: &Vehicle, id: PointId) -> Option<String> {
    let point = vehicle.point(id);
    let beside = vehicle.graph.edges(id.node()).map(|edge| vehicle.part(*edge.weight()));
    let mut parts: Vec<&Part> = beside.collect();
    parts.sort_by_key(|part| part.span.start);
    let own = said(&point.marks);
    let of_parts = parts.into_iter().map(|part| (part.label_name(), said(&part.marks)));
    let mut named: Vec<String> = Vec::new();
    for (name, words) in of_parts.filter(|(_, words)| !words.is_empty()) {
        let text = format!("{name} {}", words.join(", "));
        if !named.contains(&text) {
            named.push(text);
        }
    }
    let all: Vec<String> = own.into_iter().chain(named).collect();
    (!all.is_empty()).then(|| format!("{}: {}.", point.name(), all.join("; ")))
}

fn said(marks: &Markings) -> Vec<String> {
    let Markings { colour, slot, note, picture } = marks;
    let all = [
        colour.as_ref().map(|colour| format!("{colour} wire")),
        slot.as_ref().map(|slot| format!("slot {slot}")),
        note.clone(),
        picture.as_ref().map(|file| format!("picture {file}")),
    ];
    all.into_iter().flatten().collect()
}

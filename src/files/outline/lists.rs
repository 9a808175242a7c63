//! Which entry belongs in which list.

/// The lists of a vehicle.
pub const SECTIONS: [&str; 12] = [
    "notes",
    "cautions",
    "places",
    "controls",
    "supplies",
    "buses",
    "relays",
    "plugs",
    "multicores",
    "runs",
    "instruments",
    "states",
];

/// The list an entry belongs in, by its first word.
pub fn home(word: &str) -> Option<&'static str> {
    Some(match word {
        "Caution" => "cautions",
        "Place" => "places",
        "Control" => "controls",
        "Battery" | "Alternator" | "Charger" | "Solar" | "Bench" => "supplies",
        "Need" => "needs",
        "Bus" => "buses",
        "Relay" => "relays",
        "Plug" => "plugs",
        "Multicore" => "multicores",
        "Run" => "runs",
        "State" => "states",
        "Voltmeter" | "Ammeter" => "instruments",
        "Fuse" | "Breaker" | "Cable" | "Joint" | "Pin" | "Switch" | "Isolator" | "Contact" | "Coil" | "Shunt"
        | "Diode" | "Chassis" | "Load" | "Capped" => "parts",
        // `Core` stands in runs and in multi-core cables.
        _ => return None,
    })
}

/// The entry that holds a list which is not one of the vehicle's.
pub fn holder(list: &str) -> Option<&'static str> {
    match list {
        "parts" => Some("Run"),
        "cores" => Some("Multicore"),
        "needs" => Some("Charger"),
        _ => None,
    }
}

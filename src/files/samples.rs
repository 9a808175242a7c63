//! The vehicles built into the program.

/// Name and text.
pub const SAMPLES: [(&str, &str); 3] = [
    ("clinic_van", include_str!("../../samples/clinic_van.ron")),
    ("sprayer_truck", include_str!("../../samples/sprayer_truck.ron")),
    ("bench_board", include_str!("../../samples/bench_board.ron")),
];

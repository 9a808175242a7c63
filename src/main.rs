fn main() {
    for path in std::env::args().skip(1) {
        match halfsplit::files::load(&path) {
            Ok(loaded) => {
                for w in &loaded.warnings {
                    println!("{}\n", halfsplit::source::render(&loaded.file, w));
                }
                println!("{}: ok, {} parts {} points {} runs", path, loaded.vehicle.parts.len(), loaded.vehicle.points.len(), loaded.vehicle.runs.len());
            }
            Err(e) => println!("{e}"),
        }
    }
}

//! The instruments of *Tarn Row*, a small maker of lake-level buoys: boards drawn by a program, so that every
//! length in them is known before anything measures it.
//!
//! Three sets come out: `buoy-logger` (sound, four layers, metric, with attributes), `buoy-logger-faults` (the
//! same with planted faults and their truth) and `tide-gauge` (sound, two layers, inch, names only).

mod artwork;
mod drill;
mod faults;
mod footprint;
mod glyph;
mod inch;
mod legend;
mod logger;
mod logger_parts;
mod model;
mod netlist;
mod plane;
mod route;
mod route_grid;
mod tide_gauge;
mod tide_gauge_parts;

use std::path::Path;

/// A file of a set: its path below the target folder, and its text.
pub type Written = (String, String);

/// Every file of the corpus, in order of path.
///
/// # Errors
/// Where a net could not be routed: a fault of the layouts in this program.
pub fn files() -> Result<Vec<Written>, String> {
    let sound = logger::board()?;
    let mut out = logger::files(&sound, "buoy-logger");
    let nets = netlist::ipc_d_356a(&sound, "TARN ROW BUOY LOGGER");
    out.push(("buoy-logger/buoy-logger-nets.ipc".into(), nets.clone()));
    out.push(("buoy-logger-faults/buoy-logger-nets.ipc".into(), nets));
    let (faulty, truth) = faults::plant(sound);
    out.extend(logger::files(&faulty, "buoy-logger-faults"));
    out.push(("buoy-logger-faults/truth.toml".into(), faults::truth_file(&truth)));
    out.extend(tide_gauge::files()?);
    out.push(("order.toml".into(), ORDER.into()));
    out.sort();
    Ok(out)
}

/// Writes every file below a folder and gives their number.
///
/// # Errors
/// Where a file cannot be written, or a layout is at fault.
pub fn write(folder: &Path) -> std::io::Result<usize> {
    let files = files().map_err(std::io::Error::other)?;
    for (path, text) in &files {
        let target = folder.join(path);
        if let Some(parent) = target.parent() {
            std::fs::create_dir_all(parent)?;
        }
        std::fs::write(target, text)?;
    }
    Ok(files.len())
}

const ORDER: &str = "\
# What Tarn Row ordered: the data cannot say it.
thickness_um = 1600
copper_um = 18
finish = \"ENIG\"
mask_colour = \"green\"
class = 2
quantity = 50
";

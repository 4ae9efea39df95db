//! Capability profiles and orders from names, files and requests.

use std::fs;
use std::path::Path;

use landgap_rules::capability::{Capability, FileError, Order, lies_over};

use crate::fault::{Fault, Kind, Outcome};
use crate::intake::sha256;
use crate::wire::report::CapabilityName;

/// The profile used where none is asked for.
pub const USUAL: &str = "standard";

/// How many overlays may lie over one another: house, process, customer, part and order, with room to spare.
const OVERLAYS: usize = 8;

/// Largest capability or order file that is read.
const LARGEST: u64 = 1 << 20;

/// A profile by name, or the file of that path.
pub fn capability(name_or_file: &str) -> Outcome<Capability> {
    if let Some(known) = Capability::named(name_or_file) {
        return Ok(known);
    }
    let path = Path::new(name_or_file);
    if path.exists() {
        return from_file(path, OVERLAYS);
    }
    let names = Capability::names().join(", ");
    Err(Fault::new(
        Kind::BadCapability,
        format!("{name_or_file:?} is neither a profile of this program ({names}) nor a file."),
    ))
}

/// A profile file; an overlay with all it lies over.
fn from_file(path: &Path, depth: usize) -> Outcome<Capability> {
    let bad = |text: String| Fault::new(Kind::BadCapability, text);
    let shown = path.display().to_string();
    let text = read(path, Kind::BadCapability)?;
    let Some(below) = lies_over(&shown, &text).map_err(|e| bad(e.to_string()))? else {
        return capability_text(&shown, &text);
    };
    if depth == 0 {
        return Err(bad(format!(
            "{shown}: more than {OVERLAYS} profiles lie over one another, or they form a circle."
        )));
    }
    let beside = path.parent().unwrap_or_else(|| Path::new(".")).join(&below);
    let ground = match Capability::named(&below) {
        Some(known) => known,
        None if beside.exists() => from_file(&beside, depth - 1)?,
        None => {
            let names = Capability::names().join(", ");
            return Err(bad(format!(
                "{shown}: it lies over {below:?}, which is neither a profile of this program ({names}) nor a file beside it."
            )));
        }
    };
    ground.laid_over(&shown, &text).map_err(|e| bad(e.to_string()))
}

/// A profile of this program by its name alone.
pub fn capability_named(name: &str) -> Outcome<Capability> {
    Capability::named(name).ok_or_else(|| {
        let names = Capability::names().join(", ");
        Fault::new(Kind::BadCapability, format!("There is no profile named {name:?}; this program has {names}."))
    })
}

/// A profile from its text; an overlay may lie over a profile of this program.
pub fn capability_text(shown: &str, text: &str) -> Outcome<Capability> {
    let bad = |e: FileError| Fault::new(Kind::BadCapability, e.to_string());
    match lies_over(shown, text).map_err(bad)? {
        None => Capability::parse(shown, text).map_err(bad),
        Some(below) => capability_named(&below)?.laid_over(shown, text).map_err(bad),
    }
}

/// An order from its text.
pub fn order_text(shown: &str, text: &str) -> Outcome<Order> {
    Order::parse(shown, text).map_err(|e| Fault::new(Kind::BadOrder, e.to_string()))
}

/// The text of a small file, with the fault of what it is for.
pub fn read(path: &Path, kind: Kind) -> Outcome<String> {
    let shown = path.display();
    let length = fs::metadata(path).map_err(|e| Fault::new(kind, format!("{shown}: {e}.")))?.len();
    if length > LARGEST {
        return Err(Fault::new(kind, format!("{shown} is larger than 1 MiB.")));
    }
    fs::read_to_string(path).map_err(|e| Fault::new(kind, format!("{shown}: {e}.")))
}

/// Name and hash of a profile.
#[must_use]
pub fn name_of(capability: &Capability) -> CapabilityName {
    CapabilityName { name: capability.name.clone(), sha256: sha256(capability.text.as_bytes()) }
}

//! Capability profiles and orders from names, files and requests.

use std::fs;
use std::path::Path;

use landgap_rules::capability::{Capability, Order};

use crate::fault::{Fault, Kind, Outcome};
use crate::intake::sha256;
use crate::wire::report::CapabilityName;

/// The profile used where none is asked for.
pub const USUAL: &str = "standard";

/// Largest capability or order file that is read.
const LARGEST: u64 = 1 << 20;

/// A profile by name, or the file of that path.
pub fn capability(name_or_file: &str) -> Outcome<Capability> {
    if let Some(known) = Capability::named(name_or_file) {
        return Ok(known);
    }
    let path = Path::new(name_or_file);
    if path.exists() {
        return capability_text(name_or_file, &read(path, Kind::BadCapability)?);
    }
    let names = Capability::names().join(", ");
    Err(Fault::new(
        Kind::BadCapability,
        format!("{name_or_file:?} is neither a profile of this program ({names}) nor a file."),
    ))
}

/// A profile of this program by its name alone.
pub fn capability_named(name: &str) -> Outcome<Capability> {
    Capability::named(name).ok_or_else(|| {
        let names = Capability::names().join(", ");
        Fault::new(Kind::BadCapability, format!("There is no profile named {name:?}; this program has {names}."))
    })
}

/// A profile from its text.
pub fn capability_text(shown: &str, text: &str) -> Outcome<Capability> {
    Capability::parse(shown, text).map_err(|e| Fault::new(Kind::BadCapability, e.to_string()))
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

//! `landgap capability …`.

use std::fmt::Write;

use landgap_rules::capability::{Capability, Entry, EntryValue};

use super::args::CapabilityAction;
use super::output;
use crate::fault::{Fault, Kind, Outcome};
use crate::profile;
use crate::wire::Um;

/// Runs one action.
pub fn run(action: &CapabilityAction) -> Outcome<u8> {
    match action {
        CapabilityAction::List => list(),
        CapabilityAction::Show { profile } => output::write(&profile::capability(profile)?.text, None).map(|()| 0),
        CapabilityAction::Lint { profile } => lint(profile),
        CapabilityAction::Explain { key, capability } => explain(key, capability),
    }
}

fn list() -> Outcome<u8> {
    let mut out = String::new();
    for capability in Capability::names().into_iter().filter_map(Capability::named) {
        let _ = writeln!(out, "{}  {}", capability.name, capability.values.about);
    }
    output::write(&out, None).map(|()| 0)
}

fn lint(name: &str) -> Outcome<u8> {
    let remarks = profile::capability(name)?.lint();
    let mut out = String::new();
    for remark in &remarks {
        let _ = writeln!(out, "{}, line {}, {}: {}", remark.file, remark.line, remark.key, remark.text);
    }
    if remarks.is_empty() {
        let _ = writeln!(out, "{name}: nothing wrong was found.");
    }
    output::write(&out, None)?;
    Ok(if remarks.is_empty() { 0 } else { Kind::BadCapability.row().exit })
}

fn explain(key: &str, name: &str) -> Outcome<u8> {
    let capability = profile::capability(name)?;
    let entries = capability.entries();
    let found: Vec<&Entry> = entries
        .iter()
        .filter(|e| e.key == key || e.key.strip_prefix(key).is_some_and(|r| r.starts_with('.')))
        .collect();
    if found.is_empty() {
        let mut known: Vec<&str> = entries.iter().filter_map(|e| e.key.split('.').next()).collect();
        known.dedup();
        return Err(Fault::new(
            Kind::Usage,
            format!("{} has no key {key:?}. Its keys begin with: {}.", capability.name, known.join(", ")),
        ));
    }
    let mut out = format!("{} (capability profile)\n", capability.name);
    for entry in found {
        let _ = writeln!(
            out,
            "{}\n  {}\n  set by: {}\n  source: {}",
            entry.key,
            value(&entry.value),
            capability.set_by(&entry.key),
            entry.source.as_deref().unwrap_or("not given")
        );
    }
    output::write(&out, None).map(|()| 0)
}

fn value(value: &EntryValue) -> String {
    match value {
        EntryValue::Least(l) => {
            format!(
                "at least: preferred {} µm, minimum {} µm, special {} µm",
                Um(l.preferred),
                Um(l.minimum),
                Um(l.special)
            )
        }
        // A plain ratio in thousandths: written as micrometres are, which are thousandths too.
        EntryValue::Most(preferred, maximum, special) => {
            format!("at most: preferred {}, maximum {}, special {}", Um(*preferred), Um(*maximum), Um(*special))
        }
        EntryValue::Length(length) => format!("{} µm", Um(*length)),
        EntryValue::Share(share) => format!("{}", Um(*share)),
    }
}

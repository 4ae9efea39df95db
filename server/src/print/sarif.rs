//! Reports as SARIF 2.1.0 (OASIS standard, 27 March 2020): one run a profile.

use serde_json::{Value, json};

use super::{json::pretty, matrix, words};
use crate::fault::Outcome;
use crate::wire::report::{Place, Query};
use crate::wire::{Report, VERSION};

/// The log file.
pub fn print(reports: &[Report]) -> Outcome<String> {
    let runs: Vec<Value> = reports.iter().map(run).collect();
    let log = json!({
        "$schema": "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json",
        "version": "2.1.0",
        "runs": runs,
    });
    Ok(pretty(&log)? + "\n")
}

fn run(report: &Report) -> Value {
    let rules: Vec<Value> = report.ran.iter().map(|r| json!({ "id": r.rule, "name": pascal(&r.rule) })).collect();
    let mut results: Vec<Value> = report.queries.iter().map(|q| result(report, q)).collect();
    results.extend(report.covered.iter().map(|q| suppressed(result(report, q), q)));
    let artifacts: Vec<Value> = report
        .data
        .files
        .iter()
        .map(|f| json!({ "location": { "uri": uri(&f.path) }, "length": f.bytes, "hashes": { "sha-256": f.sha256 } }))
        .collect();
    json!({
        "tool": { "driver": { "name": "landgap", "version": VERSION, "semanticVersion": VERSION, "rules": rules } },
        "automationDetails": { "id": format!("landgap/{}/", matrix::name(report)) },
        "invocations": [{
            "executionSuccessful": report.verdict_is_possible(),
            "toolExecutionNotifications": notifications(report),
        }],
        "columnKind": "unicodeCodePoints",
        "artifacts": artifacts,
        "results": results,
        "properties": { "data": report.data.id, "assumptions": report.assumptions, "cautions": report.cautions },
    })
}

/// What could not run, so that an absent result is not taken for a pass.
fn notifications(report: &Report) -> Vec<Value> {
    let not_run = report.ran.iter().filter_map(|r| r.not_run.as_ref().map(|why| (r, why)));
    not_run
        .map(|(r, why)| {
            json!({
                "descriptor": { "id": "not-run" },
                "associatedRule": { "id": r.rule },
                "level": "note",
                "message": { "text": format!("{} could not run: {why}", r.rule) },
            })
        })
        .collect()
}

fn result(report: &Report, query: &Query) -> Value {
    let level = match query.severity.as_str() {
        "stop" => "error",
        "ask" => "warning",
        _ => "note",
    };
    let numbers = words::measured_required(query.measured_um, query.required_um);
    let text = [query.title.as_str(), &query.what, &query.why, &numbers]
        .iter()
        .filter(|t| !t.is_empty())
        .map(|t| (*t).to_owned())
        .collect::<Vec<_>>()
        .join("\n");
    let mut out = json!({
        "ruleId": query.rule,
        "level": level,
        "message": { "text": text },
        "locations": query.places.first().map_or_else(Vec::new, |p| vec![location(query, p)]),
        "relatedLocations": query.places.iter().skip(1).map(|p| location(query, p)).collect::<Vec<_>>(),
        "partialFingerprints": { "landgap/v1": query.fingerprint },
        "properties": {
            "severity": query.severity, "number": query.number, "count": query.count,
            "measured_um": query.measured_um, "required_um": query.required_um,
        },
    });
    if let Some(index) = report.ran.iter().position(|r| r.rule == query.rule) {
        out["ruleIndex"] = json!(index);
    }
    out
}

/// What an accepted departure covers stays in the log, marked as suppressed from outside.
fn suppressed(mut result: Value, query: &Query) -> Value {
    let why = query.settled_by.as_ref().map_or_else(String::new, words::settled_by);
    result["suppressions"] = json!([{ "kind": "external", "status": "accepted", "justification": why }]);
    result
}

fn location(query: &Query, place: &Place) -> Value {
    let name = place.layer.clone().unwrap_or_else(|| words::layers(query));
    let mut out = json!({
        "logicalLocations": [{ "fullyQualifiedName": format!("{name} @ {}", words::position(place)), "kind": "element" }],
        "properties": { "x_um": place.x_um, "y_um": place.y_um, "layer": name, "nets": place.nets },
    });
    if let Some(source) = place.sources.first() {
        let mut physical = json!({ "artifactLocation": { "uri": uri(&source.file) } });
        if let Some(line) = source.line {
            physical["region"] = json!({ "startLine": line });
        }
        out["physicalLocation"] = physical;
    }
    out
}

/// A relative URI reference: everything but unreserved characters and `/` percent-encoded.
fn uri(path: &str) -> String {
    let mut out = String::new();
    for byte in path.bytes() {
        match byte {
            b'A'..=b'Z' | b'a'..=b'z' | b'0'..=b'9' | b'-' | b'.' | b'_' | b'~' | b'/' => out.push(char::from(byte)),
            _ => out += &format!("%{byte:02X}"),
        }
    }
    out
}

fn pascal(rule: &str) -> String {
    let capital = |word: &str| {
        let mut chars = word.chars();
        chars.next().map_or_else(String::new, |c| c.to_ascii_uppercase().to_string() + chars.as_str())
    };
    rule.split('-').map(capital).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_and_addresses_are_well_formed() {
        assert_eq!(pascal("thin-ring"), "ThinRing");
        assert_eq!(uri("a b/ü.gbr"), "a%20b/%C3%BC.gbr");
    }
}

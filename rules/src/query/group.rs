//! Groups findings into lines of the form and words them.
//!
//! One line holds what one answer settles: same rule, same severity, same case, same kind of layer,
//! same limit, settled by the same agreement. The case names the remedy, so a line has one remedy. Notes need
//! no answer, so all notes of a rule share one line. One place much worse than the rest leaves its line only
//! when that puts it into another severity, which the key already says. Places that look alike are told
//! within their line: a line for each look would make a form of forty lines where one answer settles all.

use landgap_parser::Nm;

use super::agreed::Under;
use super::page::{Answer, Fill, Offer, OptionLine};
use super::{Query, QueryOption, QueryPlace, Severity, fingerprint, words};
use crate::rule::Rule;
use crate::rule::context::Context;
use crate::rule::finding::{Finding, LayerRole};

/// The most readings offered as answers of their own.
const READINGS: usize = 4;

type Key = (Under, Severity, &'static str, Option<LayerRole>, Option<(Nm, String)>);

fn key((under, finding): &(Under, Finding)) -> Key {
    if finding.severity == Severity::Note {
        return (*under, Severity::Note, "", None, None);
    }
    let limit = finding.applied.as_ref().map(|a| (a.levels.required(finding.severity), a.key.clone()));
    (*under, finding.severity, finding.case, Some(finding.role), limit)
}

/// The queries of one rule, gravest first, not yet numbered, each with what settles it and its worst finding.
pub(super) fn queries(
    rule: &'static Rule,
    findings: Vec<(Under, Finding)>,
    context: &Context<'_>,
) -> Vec<(Under, Finding, Query)> {
    let mut keyed: Vec<(Key, Finding)> = findings.into_iter().map(|f| (key(&f), f.1)).collect();
    keyed.sort_by(|a, b| b.0.1.cmp(&a.0.1).then_with(|| a.0.cmp(&b.0)).then_with(|| order(&a.1).cmp(&order(&b.1))));
    let word = |group: &[(Key, Finding)]| {
        let under = group[0].0.0;
        let query = Group::new(rule, under, group.iter().map(|(_, f)| f).collect()).word(context);
        (under, group[0].1.clone(), query)
    };
    keyed.chunk_by(|a, b| a.0 == b.0).map(word).collect()
}

/// Worst first: least margin, then layer and place.
fn order(finding: &Finding) -> impl Ord + use<> {
    let margin = finding.worst().zip(finding.required()).map(|(value, required)| value - required);
    let place = finding.places.first().map(|p| (p.layer, p.at));
    (margin, finding.worst(), place)
}

struct Group<'f> {
    rule: &'static Rule,
    under: Under,
    findings: Vec<&'f Finding>,
    worst: &'f Finding,
    places: Vec<QueryPlace>,
}

impl<'f> Group<'f> {
    fn new(rule: &'static Rule, under: Under, findings: Vec<&'f Finding>) -> Self {
        let places = findings.iter().flat_map(|f| f.places.iter().cloned()).collect();
        Self { rule, under, worst: findings[0], findings, places }
    }

    fn word(&self, context: &Context<'_>) -> Query {
        let fill = self.fill();
        let wording = &context.terms.wording;
        let text = |heading: &str| fill.apply(&wording.sentence(self.rule, heading, self.worst.case));
        let severity = if matches!(self.under, Under::Permission(_)) { Severity::Fix } else { self.worst.severity };
        Query {
            number: 0,
            rule: self.rule.name,
            severity,
            title: self.title(&text("Title")),
            what: self.what(&text("What we see"), context),
            why: text("Why it matters"),
            layers: self.layers(),
            measured: self.worst.worst(),
            required: self.worst.required(),
            uncertainty: self.places.first().and_then(|p| p.uncertainty),
            required_by: self.worst.applied.as_ref().map(|a| required_by(context.capability, a)),
            reasons: self.reasons(&text("How it is measured"), context),
            options: self.options(&fill, severity, context),
            surroundings: Vec::new(),
            settled_by: None,
            fingerprint: fingerprint::of(&self.head(), &self.places),
            places: self.places.clone(),
        }
    }

    fn layers(&self) -> Vec<String> {
        let mut layers: Vec<_> = self.places.iter().filter_map(|p| p.layer).collect();
        layers.sort_unstable();
        layers.dedup();
        layers.into_iter().map(crate::board::LayerRef::name).collect()
    }

    fn fill(&self) -> Fill {
        let mut fill = Fill::default();
        let (measured, required) = (self.worst.worst(), self.worst.required());
        if let Some((measured, required)) = measured.zip(required) {
            fill.set("measured", words::length_below(measured, required));
            fill.set("required", words::length(required));
            fill.set("missing", words::length(required - measured));
        } else if let Some(measured) = measured {
            fill.set("measured", words::length(measured));
        }
        if let Some(applied) = &self.worst.applied {
            fill.set("least", words::length(applied.levels.special));
        }
        let layers = self.layers();
        fill.set("layers", if layers.is_empty() { "the board".to_owned() } else { words::listed(&layers) });
        fill.set("places", words::counted(self.places.len(), "place", "places"));
        fill.set("seen", self.seen());
        fill
    }

    /// Every sentence seen, once; where several things are in doubt, each with its likeliest reading.
    fn seen(&self) -> String {
        let mut said: Vec<String> = Vec::new();
        for finding in &self.findings {
            let reading = finding.readings.first().filter(|_| self.findings.len() > 1);
            let sentence = match reading {
                Some(reading) => format!("{} Likeliest: {}.", finding.seen, reading.trim_end_matches('.')),
                None => finding.seen.clone(),
            };
            if !sentence.is_empty() && !said.contains(&sentence) {
                said.push(sentence);
            }
        }
        said.join(" ")
    }

    fn title(&self, text: &str) -> String {
        let stem = text.trim_end_matches('.');
        match self.places.len() {
            0 | 1 => format!("{stem}."),
            many => format!("{stem} ({many} places)."),
        }
    }

    fn what(&self, text: &str, context: &Context<'_>) -> String {
        let mut parts = vec![text.to_owned()];
        if let Some(worst) = self.places.first() {
            let on = worst.layer.map_or_else(String::new, |l| format!(" on {}", l.name()));
            let word = if self.places.len() > 1 { "The worst of them lies" } else { "It lies" };
            parts.push(format!("{word} at {}{on}.", words::point(worst.at)));
            if let [first, .., last] = worst.nets.as_slice() {
                parts.push(if first == last {
                    format!("Its net is {first}.")
                } else {
                    format!("Its nets are {first} and {last}.")
                });
            }
        }
        parts.extend(self.range());
        parts.extend(self.files(context));
        parts.join(" ")
    }

    fn range(&self) -> Option<String> {
        let values = || self.places.iter().filter_map(|p| p.measured);
        let (least, most) = values().min().zip(values().max())?;
        (self.places.len() > 1 && least != most)
            .then(|| format!("Values run from {} to {}.", words::length(least), words::length(most)))
    }

    /// The files concerned, where a doubt has no place on the board.
    fn files(&self, context: &Context<'_>) -> Option<String> {
        let mut paths: Vec<String> = Vec::new();
        for source in self.findings.iter().flat_map(|f| &f.sources) {
            let Some(file) = context.board.files.get(source.file as usize) else { continue };
            let line = if source.line > 0 { format!(", line {}", source.line) } else { String::new() };
            let path = format!("{}{line}", file.path);
            if !paths.contains(&path) {
                paths.push(path);
            }
        }
        let noun = if paths.len() == 1 { "File" } else { "Files" };
        (!paths.is_empty()).then(|| format!("{noun}: {}.", words::listed(&paths)))
    }

    fn reasons(&self, measured_how: &str, context: &Context<'_>) -> Vec<String> {
        let mut chain = vec![measured_how.to_owned()];
        chain.retain(|text| !text.is_empty());
        if let Some((measured, required)) = self.worst.worst().zip(self.worst.required()) {
            let uncertainty = self.places.first().and_then(|p| p.uncertainty).unwrap_or(0);
            chain.push(format!(
                "Worst value {}, uncertain by {}; with that it still lies below {}. A value at the limit passes.",
                words::length_below(measured, required),
                words::micrometres(uncertainty),
                words::length(required)
            ));
        }
        chain.extend(self.limit_reason(context));
        let mut own: Vec<&String> = Vec::new();
        let told = if self.worst.applied.is_some() { &self.findings[..1] } else { &self.findings[..] };
        for reason in told.iter().flat_map(|f| &f.reasons) {
            if !own.contains(&reason) {
                own.push(reason);
            }
        }
        chain.extend(own.into_iter().cloned());
        chain
    }

    fn limit_reason(&self, context: &Context<'_>) -> Option<String> {
        let applied = self.worst.applied.as_ref()?;
        let levels = applied.levels;
        Some(format!(
            "Limit {} of capability profile {}: preferred {}, minimum {}, special {}. Source: {}.",
            applied.key,
            context.capability.name,
            words::millimetres(levels.preferred),
            words::millimetres(levels.minimum),
            words::millimetres(levels.special),
            applied.source.trim_end_matches('.')
        ))
    }

    fn options(&self, fill: &Fill, severity: Severity, context: &Context<'_>) -> Vec<QueryOption> {
        let mut offers = self.offers(context);
        let mark = offers.iter().position(|o| o.recommended).unwrap_or(0);
        for (index, offer) in offers.iter_mut().enumerate() {
            offer.recommended = index == mark;
        }
        if let Some(unasked) = self.unasked(severity, context) {
            let other = offers.into_iter().nth(mark).filter(|_| severity == Severity::Note);
            offers = vec![unasked];
            offers.extend(other.map(|o| OptionLine { recommended: false, ..o }));
            if severity == Severity::Fix {
                offers.push(statement(
                    "You do not want this done on this order, and say what is to be done instead.",
                    false,
                ));
            }
        }
        let option = |(key, line): (char, OptionLine)| QueryOption {
            key,
            text: fill.apply(&line.text),
            answer: line.answer,
            effect: line.effect.map_or_else(|| context.terms.wording.effect(line.answer), |e| fill.apply(&e)),
            recommended: line.recommended,
        };
        ('A'..='Z').zip(offers).map(option).collect()
    }

    /// What stands first where no answer is needed.
    fn unasked(&self, severity: Severity, context: &Context<'_>) -> Option<OptionLine> {
        match (severity, self.under) {
            (Severity::Fix, Under::Permission(i)) => {
                let permission = context.terms.agreed.permissions.get(i)?;
                let text = format!(
                    "Nothing needs to be answered. Done under standing permission {}: {}",
                    permission.id,
                    words::sentence(&permission.does)
                );
                Some(OptionLine { answer: Answer::Change, ..statement(&text, true) })
            }
            (Severity::Note, _) => {
                let line = statement("Nothing needs to be answered: we go on with the data as they are.", true);
                let effect = Some("Price and delivery stay.".to_owned());
                Some(OptionLine { effect, ..line })
            }
            _ => None,
        }
    }

    /// The answers that settle this line. What cannot be made is not settled by accepting it.
    fn offers(&self, context: &Context<'_>) -> Vec<OptionLine> {
        let lines = context.terms.wording.options(self.rule, self.worst.case);
        let all: Vec<OptionLine> = lines.iter().flat_map(|line| self.offers_of(line)).collect();
        let cannot_be_made = self.worst.severity == Severity::Stop && self.worst.applied.is_some();
        let settles = |o: &&OptionLine| !(cannot_be_made && o.answer == Answer::Acceptance);
        let settling: Vec<OptionLine> = all.iter().filter(settles).cloned().collect();
        if settling.len() < 2 { all } else { settling }
    }

    fn offers_of(&self, line: &OptionLine) -> Vec<OptionLine> {
        let readings: &[String] = &self.worst.readings;
        let alone = self.findings.len() == 1;
        let read = !readings.is_empty();
        let with = |r: &String| OptionLine { text: with_reading(&line.text, r), ..line.clone() };
        match line.offer {
            Offer::EachReading if alone => readings.iter().take(READINGS).map(with).collect(),
            Offer::Always => vec![line.clone()],
            Offer::AllReadings if read && !alone => vec![line.clone()],
            Offer::NoReadings if !read => vec![line.clone()],
            Offer::EachReading | Offer::AllReadings | Offer::NoReadings => Vec::new(),
        }
    }

    /// What the fingerprint knows of the query besides its places.
    fn head(&self) -> String {
        let seen: Vec<&str> =
            self.findings.iter().map(|f| f.seen.as_str()).filter(|_| self.places.is_empty()).collect();
        let role = if self.worst.severity == Severity::Note { "" } else { self.worst.role.word() };
        format!("{}|{role}|{}|{}|{}", self.rule.name, self.worst.severity.word(), self.worst.case, seen.join("|"))
    }
}

fn with_reading(text: &str, reading: &str) -> String {
    words::sentence(&text.replace("{reading}", reading.trim_end_matches('.')))
}

/// Key, profile, file and line of a limit, and where its number comes from.
fn required_by(capability: &crate::capability::Capability, applied: &crate::capability::Applied) -> String {
    let set = capability.set_by_worded(&applied.key);
    format!("{}, capability profile {} ({set}): {}", applied.key, capability.name, applied.source)
}

fn statement(text: &str, recommended: bool) -> OptionLine {
    OptionLine { offer: Offer::Always, recommended, answer: Answer::Statement, text: text.to_owned(), effect: None }
}

//! One line of a part's forms, with its versions and its log.

use serde::{Deserialize, Serialize};

use super::act::{Act, Decision, Reply};
use super::refusal::Refusal;
use super::role::{Actor, Role};
use super::state::State;
use super::table::{Action, may_find};
use super::text::{Event, Found, Policy, Text, TextOption, Version, Weight};

/// One line.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Line {
    /// Stable for the part's life.
    pub number: u32,
    /// The rule that found it; `person` where a person did.
    pub rule: String,
    /// How much it weighs.
    pub severity: Weight,
    /// The query's fingerprint on the data it was found on.
    pub fingerprint: String,
    /// Where it stands.
    pub state: State,
    /// Its versions, oldest first.
    pub versions: Vec<Version>,
    /// The reply that is being judged, or was.
    pub reply: Option<Reply>,
    /// Whether the reply came by telephone.
    pub by_telephone: bool,
    /// What was decided.
    pub decision: Option<Decision>,
    /// What happened, oldest first; only ever added to.
    pub log: Vec<Event>,
}

impl Line {
    /// A line for something that was found.
    ///
    /// # Errors
    /// Some roles find nothing.
    pub fn found(number: u32, found: Found, data_set: &str, by: &Actor, at: i64) -> Result<Self, Refusal> {
        if !may_find(by.role) {
            return Err(Refusal::Content(format!("As {} you cannot add a line.", by.role.word())));
        }
        let version = Version { number: 1, text: found.text, data_set: data_set.to_owned(), sent: None };
        let mut line = Self {
            number,
            rule: found.rule,
            severity: found.severity,
            fingerprint: found.fingerprint,
            state: State::Found,
            versions: vec![version],
            reply: None,
            by_telephone: false,
            decision: None,
            log: Vec::new(),
        };
        line.write(by, at, "found", State::Found, String::new());
        Ok(line)
    }

    /// The version that is being worked on, or was sent last.
    #[must_use]
    pub fn latest(&self) -> Option<&Version> {
        self.versions.last()
    }

    /// Number of the last entry of the log: whoever acts says which one they saw.
    #[must_use]
    pub fn at_event(&self) -> u32 {
        self.log.len() as u32
    }

    /// Does something with the line; `seen` is the entry of the log its actor saw last.
    ///
    /// # Errors
    /// Says why it cannot be done; the line is then as it was.
    pub fn act(&mut self, act: Act, by: &Actor, at: i64, seen: u32, policy: &Policy) -> Result<&Event, Refusal> {
        let action = act.action();
        let row = action.row();
        if !row.by.contains(&by.role) {
            return Err(Refusal::Role(action, by.role));
        }
        if seen != self.at_event() {
            return Err(Refusal::Changed(self.at_event()));
        }
        if !row.from.contains(&self.state) {
            return Err(Refusal::State(action, self.state));
        }
        if row.reason && act.words().trim().is_empty() {
            return Err(Refusal::Reason(action));
        }
        self.allows(&act, by, policy)?;
        let text = self.said(&act);
        let from = self.state;
        self.apply(act, by, at);
        self.state = row.to;
        Ok(self.write(by, at, action.word(), from, text))
    }

    /// What the table alone cannot say.
    fn allows(&self, act: &Act, by: &Actor, policy: &Policy) -> Result<(), Refusal> {
        let content = |what: &str| Err(Refusal::Content(what.to_owned()));
        match act {
            Act::Word { text } | Act::AskAgain { text, .. } => text.fault().map_or(Ok(()), content),
            Act::Send => {
                let needs_check = policy.checked_from.is_some_and(|from| self.severity >= from);
                if needs_check && self.state != State::Checked {
                    return content("A second engineer looks at this line before it is sent.");
                }
                match self.latest().and_then(|v| v.text.fault()) {
                    Some(fault) => content(fault),
                    None => Ok(()),
                }
            }
            Act::Answer { reply } => self.takes_reply(reply, by.role),
            Act::NoteTelephone { reply } => {
                if reply.given_by.as_deref().is_none_or(|n| n.trim().is_empty()) {
                    return content("Say who gave the answer on the telephone.");
                }
                self.takes_reply(reply, Role::Designer)
            }
            Act::JudgeClear { decision, .. } => {
                let chosen = self.reply.as_ref().and_then(|r| r.option);
                if chosen.is_none() && decision.trim().is_empty() {
                    return content("The reply chose no ready answer: say in a sentence what was decided.");
                }
                Ok(())
            }
            Act::Finish { .. } if self.awaits_data() => {
                content("The decision is that new data come: wait for them, and what they show settles the line.")
            }
            Act::AwaitData if !self.awaits_data() => content("The decision is not that new data come."),
            _ => Ok(()),
        }
    }

    fn awaits_data(&self) -> bool {
        self.decision.as_ref().is_some_and(|d| d.new_data)
    }

    fn option(&self, key: char) -> Option<&TextOption> {
        self.latest()?.text.options.iter().find(|o| o.key == key)
    }

    fn takes_reply(&self, reply: &Reply, role: Role) -> Result<(), Refusal> {
        let Some(key) = reply.option else {
            let empty = reply.text.trim().is_empty();
            return if empty {
                Err(Refusal::Content("Choose an answer, or write one.".to_owned()))
            } else if role == Role::Buyer {
                Err(Refusal::Content("An answer in own words is the designer's; forward this line.".to_owned()))
            } else {
                Ok(())
            };
        };
        match self.option(key) {
            None => Err(Refusal::Content(format!("This line has no answer {key}."))),
            Some(o) if role == Role::Buyer && !(o.commercial || o.new_data) => Err(Refusal::Content(format!(
                "Answer {key} is about the board, not about price or delivery: it is the designer's; forward this line."
            ))),
            Some(_) => Ok(()),
        }
    }

    /// The words of the log's entry.
    fn said(&self, act: &Act) -> String {
        match act {
            Act::Answer { reply } | Act::NoteTelephone { reply } => {
                let chosen = reply.option.map(|k| {
                    let text = self.option(k).map_or("", |o| o.text.as_str());
                    format!("{k}: {text}")
                });
                let by = reply.given_by.as_ref().map(|n| format!("given by {n}, by telephone; a copy is to be sent"));
                let own = Some(reply.text.clone()).filter(|t| !t.is_empty());
                [chosen, own, by].into_iter().flatten().collect::<Vec<_>>().join(" — ")
            }
            Act::Word { text } => text.title.clone(),
            _ => act.words().to_owned(),
        }
    }

    fn apply(&mut self, act: Act, by: &Actor, at: i64) {
        match act {
            Act::Word { text } => self.reword(*text),
            Act::AskAgain { text, .. } => {
                self.reword(*text);
                self.reply = None;
                self.decision = None;
                self.by_telephone = false;
            }
            Act::Send => {
                if let Some(version) = self.versions.last_mut() {
                    version.sent = Some(at);
                }
            }
            Act::Answer { reply } => (self.reply, self.by_telephone) = (Some(reply), false),
            Act::NoteTelephone { reply } => (self.reply, self.by_telephone) = (Some(reply), true),
            Act::JudgeClear { decision, new_data } => self.decision = Some(self.decided(decision, new_data, by)),
            Act::Decide { reason } => {
                self.decision = Some(Decision {
                    option: None,
                    text: reason,
                    new_data: false,
                    by: by.name.clone(),
                    by_telephone: false,
                    holds: super::Holds::ThisOrder,
                });
            }
            Act::Reopen { .. } => (self.reply, self.decision, self.by_telephone) = (None, None, false),
            _ => {}
        }
    }

    /// Words over an unsent version; a sent one is followed by the next.
    fn reword(&mut self, text: Text) {
        match self.versions.last_mut() {
            Some(version) if version.sent.is_none() => version.text = text,
            last => {
                let (number, data_set) = last.map_or((1, String::new()), |v| (v.number + 1, v.data_set.clone()));
                self.versions.push(Version { number, text, data_set, sent: None });
            }
        }
    }

    fn decided(&self, decision: String, new_data: bool, by: &Actor) -> Decision {
        let reply = self.reply.clone().unwrap_or_default();
        let chosen = reply.option.and_then(|k| self.option(k));
        let text =
            if decision.trim().is_empty() { chosen.map_or_else(String::new, |o| o.text.clone()) } else { decision };
        Decision {
            option: reply.option,
            text,
            new_data: chosen.map_or(new_data, |o| o.new_data),
            by: reply.given_by.unwrap_or_else(|| self.answered_by().unwrap_or(&by.name).to_owned()),
            by_telephone: self.by_telephone,
            holds: reply.holds,
        }
    }

    fn answered_by(&self) -> Option<&str> {
        self.log.iter().rev().find(|e| e.done == Action::Answer.word()).map(|e| e.by.name.as_str())
    }

    fn write(&mut self, by: &Actor, at: i64, done: &str, from: State, text: String) -> &Event {
        let index = self.log.len();
        self.log.push(Event {
            number: index as u32 + 1,
            at,
            by: by.clone(),
            done: done.to_owned(),
            from,
            to: self.state,
            version: self.latest().map_or(0, |v| v.number),
            text,
        });
        &self.log[index]
    }
}

//! How queries are worded: the rules' own pages, and over them the files of a shop.
//!
//! A shop's file is named after its rule and has the sections of the rule's page it words otherwise:
//! `## Title`, `## What we see`, `## Why it matters`, `## Options`, each also for one case of the fault.
//! `answers.md` words what the kinds of answer do to price, delivery and risk.

use std::collections::BTreeMap;

use super::page::{self, Answer, Fill, OptionLine};
use crate::capability::FileError;
use crate::rule::{Rule, registry};

/// The sections a shop may word.
pub const SECTIONS: [&str; 4] = ["Title", "What we see", "Why it matters", "Options"];

/// Name of the file that words the effects of answers.
pub const ANSWERS: &str = "answers";

const OWN_ANSWERS: &str = include_str!("answers.md");

/// The words queries are asked in.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Wording {
    texts: BTreeMap<String, String>,
}

impl Wording {
    /// Reads a shop's files, each with its name and text.
    ///
    /// # Errors
    /// Says file, line, and what was expected, where a file or section is none of ours.
    pub fn read(files: &[(String, String)]) -> Result<Self, FileError> {
        let mut texts = BTreeMap::new();
        for (name, text) in files {
            let text = text.replace("\r\n", "\n");
            let stem = stem(name);
            match registry().iter().find(|r| r.name == stem) {
                Some(rule) => check_rule(name, &text, rule)?,
                None if stem == ANSWERS => check_answers(name, &text)?,
                None => return Err(fault(name, 1, "", "there is no rule of this name; `landgap wording` lists them")),
            }
            texts.insert(stem.to_owned(), text);
        }
        Ok(Self { texts })
    }

    /// The files as read, by the name of their rule.
    pub fn files(&self) -> impl Iterator<Item = (&str, &str)> {
        self.texts.iter().map(|(name, text)| (name.as_str(), text.as_str()))
    }

    /// A section for a case: the shop's for this case, the page's for it, the shop's common one, the page's.
    #[must_use]
    pub fn section(&self, rule: &Rule, heading: &str, case: &str) -> String {
        let ours = self.texts.get(rule.name).map(String::as_str).unwrap_or_default();
        let special = || [ours, rule.page].into_iter().find_map(|p| page::own_section(p, heading, case));
        let common = || [ours, rule.page].into_iter().find_map(|p| page::own_section(p, heading, ""));
        special().or_else(common).unwrap_or_default()
    }

    /// A section as one paragraph.
    #[must_use]
    pub fn sentence(&self, rule: &Rule, heading: &str, case: &str) -> String {
        page::one_line(&self.section(rule, heading, case))
    }

    /// The option lines for a case.
    #[must_use]
    pub fn options(&self, rule: &Rule, case: &str) -> Vec<OptionLine> {
        page::option_lines(&self.section(rule, "Options", case))
    }

    /// What an answer does to price, delivery and risk.
    #[must_use]
    pub fn effect(&self, answer: Answer) -> String {
        let ours = self.texts.get(ANSWERS).map(String::as_str).unwrap_or_default();
        let text = [ours, OWN_ANSWERS].into_iter().find_map(|p| page::own_section(p, answer.word(), ""));
        page::one_line(&text.unwrap_or_default())
    }

    /// What a shop's file for a rule starts from: the sections of its page that can be worded.
    #[must_use]
    pub fn own(name: &str) -> Option<String> {
        if name == ANSWERS {
            return Some(OWN_ANSWERS.to_owned());
        }
        let rule = registry().iter().find(|r| r.name == name)?;
        let mut out = format!("# {name}\n");
        for (_, heading, case) in headings(rule.page) {
            if !SECTIONS.contains(&heading) {
                continue;
            }
            let text = page::own_section(rule.page, heading, case).unwrap_or_default();
            let case = if case.is_empty() { String::new() } else { format!(" ({case})") };
            out.push_str(&format!("\n## {heading}{case}\n\n{text}\n"));
        }
        Some(out)
    }
}

fn stem(name: &str) -> &str {
    let last = name.rsplit(['/', '\\']).next().unwrap_or(name);
    last.strip_suffix(".md").unwrap_or(last)
}

fn fault(file: &str, line: u32, key: &str, text: &str) -> FileError {
    FileError { file: file.to_owned(), line, column: 1, key: key.to_owned(), text: format!("{text}.") }
}

/// The headings of a page: line, words, case.
fn headings(text: &str) -> impl Iterator<Item = (u32, &str, &str)> {
    (1u32..).zip(text.lines()).filter_map(|(line, text)| {
        let head = text.strip_prefix("## ")?.trim_end();
        Some(match head.strip_suffix(')').and_then(|h| h.split_once(" (")) {
            Some((heading, case)) => (line, heading, case),
            None => (line, head, ""),
        })
    })
}

fn check_rule(file: &str, text: &str, rule: &Rule) -> Result<(), FileError> {
    let cases: Vec<&str> = headings(rule.page).map(|(_, _, case)| case).collect();
    check_head(file, text, rule.name)?;
    for (line, heading, case) in headings(text) {
        if !SECTIONS.contains(&heading) {
            let expected = format!("this section is not worded here; expected one of {}", SECTIONS.join(", "));
            return Err(fault(file, line, heading, &expected));
        }
        if !cases.contains(&case) {
            return Err(fault(file, line, heading, &format!("{} has no case `{case}`", rule.name)));
        }
        let body = page::own_section(text, heading, case).unwrap_or_default();
        check_section(file, line, heading, &body)?;
    }
    Ok(())
}

fn check_answers(file: &str, text: &str) -> Result<(), FileError> {
    check_head(file, text, ANSWERS)?;
    for (line, heading, case) in headings(text) {
        if !case.is_empty() || !Answer::ALL.iter().any(|a| a.word() == heading) {
            let known: Vec<&str> = Answer::ALL.iter().map(|a| a.word()).collect();
            return Err(fault(file, line, heading, &format!("expected one of {}", known.join(", "))));
        }
    }
    Ok(())
}

/// The text before the first section may only be the file's own heading, so that nothing written is lost unseen.
fn check_head(file: &str, text: &str, name: &str) -> Result<(), FileError> {
    let before = (1u32..).zip(text.lines()).take_while(|(_, l)| !l.starts_with("## "));
    for (line, words) in before {
        let is_own = words.trim() == format!("# {name}") || words.trim().is_empty() || name == ANSWERS;
        if !is_own {
            return Err(fault(file, line, "", &format!("expected `# {name}` and then sections that begin with `## `")));
        }
    }
    Ok(())
}

fn check_section(file: &str, line: u32, heading: &str, body: &str) -> Result<(), FileError> {
    if body.is_empty() {
        return Err(fault(file, line, heading, "the section is empty; word it, or leave it out to keep ours"));
    }
    for piece in body.split('{').skip(1) {
        let word = piece.split('}').next().unwrap_or_default();
        if !Fill::WORDS.contains(&word) {
            let known = format!("{{{word}}} is not filled in; known are {}", Fill::WORDS.join(", "));
            return Err(fault(file, line, heading, &known));
        }
    }
    if heading == "Title" && body.ends_with('.') {
        return Err(fault(file, line, heading, "a title gets its full stop when it is filled in; leave it out"));
    }
    if heading == "Options" {
        let lines = page::option_lines(body);
        if lines.len() < 2 || !lines.iter().any(|l| l.recommended) {
            return Err(fault(
                file,
                line,
                heading,
                "expected at least two lines `- TEXT`, one of them `- (recommended) TEXT`",
            ));
        }
    }
    Ok(())
}

//! A rule's page: documentation, wording of its query, and literate examples, all in one text.
//!
//! A page is Markdown. Its sections are headed `## Title`, `## What we see`, `## Why it matters`,
//! `## How it is measured`, `## When it is fine`, `## Limit`, `## Options` and `## Examples`. A section
//! that reads differently in one case of the fault is repeated with the case in brackets:
//! `## Title (over the edge)`. Words in braces are filled in: see [`Fill`].

/// What stands for the words in braces.
#[derive(Clone, Debug, Default)]
pub struct Fill {
    pairs: Vec<(&'static str, String)>,
}

impl Fill {
    /// Every word a page may use in braces.
    pub const WORDS: [&'static str; 8] =
        ["measured", "required", "missing", "places", "layers", "seen", "reading", "least"];

    /// Sets the text for one word.
    pub fn set(&mut self, word: &'static str, text: String) {
        self.pairs.push((word, text));
    }

    /// Fills a text.
    #[must_use]
    pub fn apply(&self, text: &str) -> String {
        self.pairs.iter().fold(text.to_owned(), |done, (word, by)| done.replace(&format!("{{{word}}}"), by))
    }
}

/// A section's text for a case of the fault, or the common one.
#[must_use]
pub fn section(page: &str, heading: &str, case: &str) -> String {
    own_section(page, heading, case).or_else(|| own_section(page, heading, "")).unwrap_or_default()
}

/// A section's text for exactly this case; `""` is the common one.
#[must_use]
pub fn own_section(page: &str, heading: &str, case: &str) -> Option<String> {
    let head = if case.is_empty() { format!("## {heading}") } else { format!("## {heading} ({case})") };
    body(page, &head).map(|lines| lines.join("\n").trim().to_owned())
}

fn body<'a>(page: &'a str, heading: &str) -> Option<Vec<&'a str>> {
    let mut lines = page.lines();
    lines.by_ref().find(|l| l.trim_end() == heading)?;
    Some(lines.take_while(|l| !l.starts_with("## ")).collect())
}

/// A section as one paragraph.
#[must_use]
pub fn sentence(page: &str, heading: &str, case: &str) -> String {
    one_line(&section(page, heading, case))
}

/// A text with every stretch of blanks and line ends as one blank.
#[must_use]
pub fn one_line(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// What kind of answer a line of `## Options` offers.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Offer {
    /// Always offered.
    Always,
    /// Offered once for each possible reading of the data, where one thing is in doubt.
    EachReading,
    /// Offered where several things are in doubt at once.
    AllReadings,
    /// Offered where no reading is known.
    NoReadings,
}

/// What an answer comes to for the work.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Answer {
    /// The customer sends data again.
    NewData,
    /// The shop changes the data or makes the board otherwise.
    Change,
    /// The customer takes the board as drawn, with its risk.
    Acceptance,
    /// The customer says what is meant.
    Statement,
}

impl Answer {
    /// Every kind, in order.
    pub const ALL: [Self; 4] = [Self::NewData, Self::Change, Self::Acceptance, Self::Statement];

    /// The word used on pages and in reports.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::NewData => "new data",
            Self::Change => "change",
            Self::Acceptance => "acceptance",
            Self::Statement => "statement",
        }
    }

    /// The kind a line's own words speak of, where it carries no mark.
    fn of(text: &str) -> Self {
        let begins = |words: &[&str]| words.iter().any(|w| text.starts_with(w));
        if begins(&["You send", "You correct"]) {
            Self::NewData
        } else if begins(&["You accept"]) || text.contains("; you accept ") {
            Self::Acceptance
        } else if begins(&["We "]) {
            Self::Change
        } else {
            Self::Statement
        }
    }
}

/// One line of `## Options`.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct OptionLine {
    /// When it is offered.
    pub offer: Offer,
    /// Whether we would choose it.
    pub recommended: bool,
    /// What it comes to for the work.
    pub answer: Answer,
    /// What will be done.
    pub text: String,
    /// What it does to price, delivery and risk, where the line says so itself after `Effect:`.
    pub effect: Option<String>,
}

/// The option lines of a page: `- TEXT`, `- (recommended) TEXT`, and either after `[each reading]`, `[all readings]`
/// or `[no readings]`. `(new data)`, `(change)`, `(acceptance)` or `(statement)` before the text says what the answer
/// comes to; `Effect:` behind it what it does to price, delivery and risk.
#[must_use]
pub fn options(page: &str, case: &str) -> Vec<OptionLine> {
    option_lines(&section(page, "Options", case))
}

/// The same from a section's text.
#[must_use]
pub fn option_lines(section: &str) -> Vec<OptionLine> {
    let mut items: Vec<String> = Vec::new();
    for line in section.lines() {
        match (line.strip_prefix("- "), items.last_mut()) {
            (Some(item), _) => items.push(item.to_owned()),
            (None, Some(last)) if !line.trim().is_empty() => *last = format!("{last} {}", line.trim()),
            _ => {}
        }
    }
    items.iter().map(|item| option_line(item)).collect()
}

fn option_line(item: &str) -> OptionLine {
    let (offer, mut rest) = [
        ("[each reading] ", Offer::EachReading),
        ("[all readings] ", Offer::AllReadings),
        ("[no readings] ", Offer::NoReadings),
    ]
    .into_iter()
    .find_map(|(mark, offer)| item.strip_prefix(mark).map(|rest| (offer, rest)))
    .unwrap_or((Offer::Always, item));
    let (mut recommended, mut marked) = (false, None);
    while let Some((mark, after)) = rest.strip_prefix('(').and_then(|r| r.split_once(") ")) {
        match Answer::ALL.into_iter().find(|a| a.word() == mark) {
            _ if mark == "recommended" => recommended = true,
            Some(answer) => marked = Some(answer),
            None => break,
        }
        rest = after;
    }
    let (text, effect) = match rest.split_once(" Effect: ") {
        Some((text, effect)) => (text, Some(effect.trim().to_owned())),
        None => (rest, None),
    };
    let text = text.trim().to_owned();
    OptionLine { offer, recommended, answer: marked.unwrap_or_else(|| Answer::of(&text)), text, effect }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn marks_and_effects_of_an_option_are_read() {
        let lines = option_lines(
            "- (recommended) We grow the land.\n- (acceptance) As it is,\n  then. Effect: Delivery stays.\n- You send it again.\n- [no readings] (x) is y.",
        );
        let kinds: Vec<Answer> = lines.iter().map(|l| l.answer).collect();
        assert_eq!(kinds, [Answer::Change, Answer::Acceptance, Answer::NewData, Answer::Statement]);
        assert!(lines[0].recommended && !lines[1].recommended);
        assert_eq!((lines[1].text.as_str(), lines[1].effect.as_deref()), ("As it is, then.", Some("Delivery stays.")));
        assert_eq!((lines[3].offer, lines[3].text.as_str()), (Offer::NoReadings, "(x) is y."));
    }
}

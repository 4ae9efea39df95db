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

/// A section's text for a case of the fault, or the common one; paragraphs joined to one line each.
#[must_use]
pub fn section(page: &str, heading: &str, case: &str) -> String {
    let special = format!("## {heading} ({case})");
    let lines = body(page, &special).or_else(|| body(page, &format!("## {heading}"))).unwrap_or_default();
    lines.join("\n").trim().to_owned()
}

fn body<'a>(page: &'a str, heading: &str) -> Option<Vec<&'a str>> {
    let mut lines = page.lines();
    lines.by_ref().find(|l| l.trim_end() == heading)?;
    Some(lines.take_while(|l| !l.starts_with("## ")).collect())
}

/// A section as one paragraph.
#[must_use]
pub fn sentence(page: &str, heading: &str, case: &str) -> String {
    section(page, heading, case).split_whitespace().collect::<Vec<_>>().join(" ")
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

/// One line of `## Options`.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct OptionLine {
    /// When it is offered.
    pub offer: Offer,
    /// Whether we would choose it.
    pub recommended: bool,
    /// What will be done.
    pub text: String,
}

/// The option lines of a page: `- TEXT`, `- (recommended) TEXT`, and either after `[each reading]`, `[all readings]`
/// or `[no readings]`.
#[must_use]
pub fn options(page: &str, case: &str) -> Vec<OptionLine> {
    let mut found: Vec<OptionLine> = Vec::new();
    for line in section(page, "Options", case).lines() {
        match line.strip_prefix("- ") {
            Some(item) => found.push(option_line(item)),
            None => {
                if let Some(last) = found.last_mut().filter(|_| !line.trim().is_empty()) {
                    last.text = format!("{} {}", last.text, line.trim());
                }
            }
        }
    }
    found
}

fn option_line(item: &str) -> OptionLine {
    let (offer, rest) = [
        ("[each reading] ", Offer::EachReading),
        ("[all readings] ", Offer::AllReadings),
        ("[no readings] ", Offer::NoReadings),
    ]
    .into_iter()
    .find_map(|(mark, offer)| item.strip_prefix(mark).map(|rest| (offer, rest)))
    .unwrap_or((Offer::Always, item));
    let (recommended, text) = rest.strip_prefix("(recommended) ").map_or((false, rest), |text| (true, text));
    OptionLine { offer, recommended, text: text.trim().to_owned() }
}

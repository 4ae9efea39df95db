//! Answers typed into a form's spreadsheet, read back.

use std::io::Cursor;

use calamine::{Data, Reader, Xlsx};
use serde::{Deserialize, Serialize};

use crate::fault::{Fault, Kind, Outcome};
use crate::print::xlsx::{ANSWER, HEADS, HOLDS, LAST, SHEET};

/// Largest spreadsheet that is read.
const LARGEST: usize = 32 << 20;

/// Rows read at most.
const ROWS: usize = 100_000;

/// One answer.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Answered {
    /// The query's number on the form.
    pub number: u32,
    /// Its fingerprint.
    pub fingerprint: String,
    /// Letter of the answer chosen.
    pub answer: Option<String>,
    /// An answer in own words.
    pub text: String,
    /// `this order`, `this part` or `all our parts`.
    pub holds: String,
    /// Who answered.
    pub by: String,
    /// When, as typed.
    pub date: String,
}

/// The answers in a spreadsheet; lines without one are left out.
pub fn read(name: &str, bytes: &[u8]) -> Outcome<Vec<Answered>> {
    let bad = |what: &str| Fault::new(Kind::BadAnswers, format!("{name}: {what}"));
    if bytes.len() > LARGEST {
        return Err(bad("it is larger than 32 MiB."));
    }
    let mut book: Xlsx<_> =
        Xlsx::new(Cursor::new(bytes)).map_err(|e| bad(&format!("it is no XLSX spreadsheet: {e}.")))?;
    let sheet =
        book.worksheet_range(SHEET).map_err(|e| bad(&format!("it has no sheet \"{SHEET}\" as our form has: {e}.")))?;
    let mut rows = sheet.rows();
    let heads: Vec<String> = rows.next().map(|r| r.iter().map(text).collect()).unwrap_or_default();
    let column = |head: &str| {
        heads.iter().position(|h| h == head).ok_or_else(|| {
            bad(&format!("its sheet \"{SHEET}\" has no column \"{head}\"; columns may be moved, but keep their heads."))
        })
    };
    let (number, fingerprint) = (column(HEADS[0])?, column(LAST)?);
    let (answer, own, holds) = (column(ANSWER)?, column(HEADS[15])?, column(HEADS[16])?);
    let (by, date) = (column(HEADS[17])?, column(HEADS[18])?);
    let mut out = Vec::new();
    for (index, row) in (2u32..).zip(rows.take(ROWS)) {
        let cell = |column: usize| row.get(column).map(text).unwrap_or_default();
        let letter = cell(answer).to_uppercase();
        let read = Answered {
            number: cell(number).parse().unwrap_or(0),
            fingerprint: cell(fingerprint),
            answer: (!letter.is_empty()).then_some(letter),
            text: cell(own),
            holds: Some(cell(holds)).filter(|h| !h.is_empty()).unwrap_or_else(|| HOLDS[0].to_owned()),
            by: cell(by),
            date: cell(date),
        };
        if read.answer.is_none() && read.text.is_empty() {
            continue;
        }
        check(&read).map_err(|what| bad(&format!("row {index}: {what}")))?;
        out.push(read);
    }
    Ok(out)
}

fn check(read: &Answered) -> Result<(), String> {
    let letter = |a: &String| a.len() == 1 && a.bytes().all(|b| b.is_ascii_uppercase());
    if read.fingerprint.len() != 32 || !read.fingerprint.bytes().all(|b| b.is_ascii_hexdigit()) {
        Err("the query's fingerprint is missing or was changed; answer in the form as it was sent.".to_owned())
    } else if read.answer.as_ref().is_some_and(|a| !letter(a)) {
        Err("expected one letter as the answer; write anything longer in the column for own words.".to_owned())
    } else if !HOLDS.contains(&read.holds.as_str()) {
        Err(format!("expected one of: {}.", HOLDS.join(", ")))
    } else {
        Ok(())
    }
}

/// A cell as typed; numbers without needless decimals, formulas never worked out by us.
fn text(cell: &Data) -> String {
    match cell {
        Data::Float(n) if n.fract() == 0.0 && n.abs() < 1e15 => format!("{n:.0}"),
        other => other.to_string().trim().to_owned(),
    }
}

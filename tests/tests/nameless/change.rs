//! Sets changed in memory: attributes and names taken away, layers mirrored, moved or left out.

use landgap_rules::check::InputFile;

/// A set under names that say nothing, in an order that says nothing; old names beside the files.
pub fn nameless(files: &[InputFile], keep_attributes: bool) -> Vec<(String, InputFile)> {
    let mut order: Vec<&InputFile> = files.iter().collect();
    order.sort_by_key(|f| (scatter(&f.bytes) ^ scatter(f.path.as_bytes()), &f.path));
    let bytes = |f: &InputFile| if keep_attributes { f.bytes.clone() } else { without_attributes(&f.bytes) };
    let named = (1..).zip(order);
    named.map(|(n, f)| (f.path.clone(), InputFile { path: format!("f{n:02}.bin"), bytes: bytes(f) })).collect()
}

/// FNV-1a, so that the order of names says nothing of the files.
fn scatter(bytes: &[u8]) -> u64 {
    bytes.iter().fold(0xcbf2_9ce4_8422_2325, |h, b| (h ^ u64::from(*b)).wrapping_mul(0x0100_0000_01b3))
}

/// Takes out the attribute commands, in both their forms (Gerber 2021.02, 5 and 5.1.1) and in drill files.
pub fn without_attributes(bytes: &[u8]) -> Vec<u8> {
    const FORMS: [(&[u8], &[u8]); 6] =
        [(b"%TF", b"*%"), (b"%TA", b"*%"), (b"%TO", b"*%"), (b"%TD", b"*%"), (b"G04 #@!", b"*"), (b"; #@!", b"\n")];
    let mut out = Vec::with_capacity(bytes.len());
    let mut rest = bytes;
    while let Some(&first) = rest.first() {
        let form = FORMS.iter().find(|(start, _)| rest.starts_with(start));
        let cut = form.and_then(|(_, end)| Some(rest.windows(end.len()).position(|w| w == *end)? + end.len()));
        match cut {
            Some(length) => rest = &rest[length..],
            None => {
                out.push(first);
                rest = &rest[1..];
            }
        }
    }
    out
}

/// How coordinates are changed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Change {
    /// x becomes −x.
    Mirror,
    /// Moved by so many nanometres.
    Shift(i64, i64),
}

/// Artwork with its coordinates changed; `None` where its format is not one this helper knows.
pub fn artwork(bytes: &[u8], change: Change) -> Option<Vec<u8>> {
    let text = String::from_utf8(bytes.to_vec()).ok()?;
    let step = step_of(&text)?;
    let mut out = String::with_capacity(text.len() + text.len() / 8);
    let mut parameter = false;
    for command in text.split_inclusive(['*', '%']) {
        let trimmed = command.trim_start();
        if parameter || trimmed.starts_with("G04") || trimmed.starts_with("G4 ") || command == "%" {
            out.push_str(command);
        } else {
            coordinates(command, change, step, &mut out);
        }
        if command.ends_with('%') {
            parameter = !parameter;
        }
    }
    Some(out.into_bytes())
}

/// Nanometres to one unit of the last digit.
fn step_of(text: &str) -> Option<f64> {
    let format = text.find("%FS").map(|i| &text[i..])?;
    let digits: Vec<char> = format.chars().skip_while(|c| *c != 'X').skip(1).take(2).collect();
    let decimals = digits.get(1)?.to_digit(10)?;
    let inch = text.contains("MOIN") || (text.contains("G70") && !text.contains("MOMM"));
    let unit = if inch { 25_400_000.0 } else { 1_000_000.0 };
    (!text.contains("%FST")).then(|| unit / 10f64.powi(decimals as i32))
}

/// Copies one command with its X, Y, I and J words changed.
fn coordinates(command: &str, change: Change, step: f64, out: &mut String) {
    let mut rest = command;
    while let Some(letter) = rest.chars().next() {
        rest = &rest[letter.len_utf8()..];
        let length = rest.find(|c: char| !(c.is_ascii_digit() || c == '-' || c == '+')).unwrap_or(rest.len());
        let number = rest[..length].parse::<i64>();
        match (letter, number) {
            ('X' | 'Y' | 'I' | 'J', Ok(number)) => {
                out.push(letter);
                out.push_str(&changed(letter, number, change, step).to_string());
            }
            ('G', Ok(turn @ (2 | 3))) if change == Change::Mirror => {
                out.push_str(if turn == 2 { "G03" } else { "G02" });
            }
            _ => {
                out.push(letter);
                out.push_str(&rest[..length]);
            }
        }
        rest = &rest[length..];
    }
}

fn changed(letter: char, number: i64, change: Change, step: f64) -> i64 {
    match (change, letter) {
        (Change::Mirror, 'X' | 'I') => -number,
        (Change::Shift(x, _), 'X') => number + (x as f64 / step).round() as i64,
        (Change::Shift(_, y), 'Y') => number + (y as f64 / step).round() as i64,
        _ => number,
    }
}

/// A drill program with x turned to −x; numbers keep their digits.
pub fn mirrored_drill(bytes: &[u8]) -> Option<Vec<u8>> {
    let text = String::from_utf8(bytes.to_vec()).ok()?;
    let line = |line: &str| {
        let Some(at) = line.find('X').filter(|_| !line.contains(';') && !line.starts_with('T')) else {
            return line.to_owned();
        };
        let (head, tail) = line.split_at(at + 1);
        match tail.strip_prefix('-') {
            Some(tail) => format!("{head}{tail}"),
            None => format!("{head}-{}", tail.strip_prefix('+').unwrap_or(tail)),
        }
    };
    Some(text.split('\n').map(line).collect::<Vec<_>>().join("\n").into_bytes())
}

//! The attribute dictionary, and the sets that apertures and objects take from it.

use std::collections::BTreeMap;

use super::codes;
use super::command::AttributeKind;
use super::notes::{note, show};
use crate::image::{Attribute, FileAttribute};
use crate::limits::{LimitReached, Limits};
use crate::remark::{Place, Remarks};

/// More attributes at one time than any file needs; each change of the dictionary walks all of them.
const MOST_ENTRIES: usize = 128;

/// What a stored attribute costs beside its text.
const OVERHEAD: u64 = 48;

#[derive(Clone, Copy, Debug)]
struct Entry {
    kind: AttributeKind,
    /// Number of the distinct attribute.
    id: u32,
    in_comment: bool,
}

/// The dictionary and every distinct set made of it.
#[derive(Debug)]
pub struct Attributes {
    entries: BTreeMap<String, Entry>,
    file_names: BTreeMap<String, usize>,
    /// File attributes in order.
    pub file: Vec<FileAttribute>,
    /// Distinct sets; entry 0 is empty.
    pub sets: Vec<Vec<Attribute>>,
    /// Every distinct attribute, by number, and its number.
    distinct: Vec<Attribute>,
    ids: BTreeMap<Attribute, u32>,
    /// Each set as attribute numbers in order of name, and its index.
    members: Vec<Vec<u32>>,
    known: BTreeMap<Vec<u32>, u32>,
    merged: BTreeMap<(u32, u32), u32>,
    /// The sets the dictionary stands for now, if worked out.
    aperture_set: Option<u32>,
    object_set: Option<u32>,
    last: Option<((u32, u32), u32)>,
    bytes: u64,
    allowed: u64,
}

/// Names the standard gives a meaning.
const STANDARD: [&str; 26] = [
    ".Part",
    ".FileFunction",
    ".FilePolarity",
    ".SameCoordinates",
    ".CreationDate",
    ".GenerationSoftware",
    ".ProjectId",
    ".MD5",
    ".AperFunction",
    ".DrillTolerance",
    ".FlashText",
    ".N",
    ".P",
    ".C",
    ".CRot",
    ".CMfr",
    ".CMPN",
    ".CMnt",
    ".CFtp",
    ".CPgN",
    ".CPgD",
    ".CHgt",
    ".CLbN",
    ".CLbD",
    ".CSup",
    ".CVal",
];

impl Attributes {
    /// An empty dictionary whose sets may hold `allowed` bytes.
    pub fn new(allowed: u64) -> Self {
        Self {
            entries: BTreeMap::new(),
            file_names: BTreeMap::new(),
            file: Vec::new(),
            sets: vec![Vec::new()],
            distinct: Vec::new(),
            ids: BTreeMap::new(),
            members: vec![Vec::new()],
            known: BTreeMap::from([(Vec::new(), 0)]),
            merged: BTreeMap::new(),
            aperture_set: Some(0),
            object_set: Some(0),
            last: None,
            bytes: 0,
            allowed,
        }
    }

    /// `TF`, `TA` or `TO` with its name and fields.
    pub fn set(
        &mut self,
        kind: AttributeKind,
        text: &[u8],
        in_comment: bool,
        place: Place,
        remarks: &mut Remarks,
    ) -> Result<(), LimitReached> {
        let text: Vec<u8> = text.iter().copied().filter(|b| !matches!(b, b'\r' | b'\n')).collect();
        let text = if in_comment { text.trim_ascii_end() } else { &text };
        let mut fields = text.split(|b| *b == b',');
        let name = fields.next().unwrap_or_default();
        if !is_name(name) {
            let expected = "a name of letters, digits, . _ and $";
            note(remarks, &codes::ATTRIBUTE_MALFORMED, place, || {
                (format!("the attribute {}", show(text)), expected.into())
            });
            return Ok(());
        }
        let name = String::from_utf8_lossy(name).into_owned();
        if name.starts_with('.') && !STANDARD.contains(&name.as_str()) {
            note(remarks, &codes::ATTRIBUTE_UNKNOWN, place, || {
                (format!("the attribute {name}, which the standard does not know"), String::new())
            });
        }
        let values: Vec<String> = fields.map(|f| unescaped(f, place, remarks)).collect();
        self.tell_kind(kind, &name, place, remarks);
        let attribute = Attribute { name, values };
        match kind {
            AttributeKind::File => self.set_file(attribute, in_comment, place, remarks),
            _ => self.set_entry(attribute, kind, in_comment, place, remarks),
        }
    }

    /// Accounts for something stored.
    fn charge(&mut self, bytes: u64, line: u32) -> Result<(), LimitReached> {
        self.bytes = self.bytes.saturating_add(bytes);
        Limits::check("bytes", self.allowed, self.bytes, line)
    }

    fn tell_kind(&self, kind: AttributeKind, name: &str, place: Place, remarks: &mut Remarks) {
        let is_file = kind == AttributeKind::File;
        let clash = match self.entries.get(name) {
            Some(entry) => entry.kind != kind,
            None => !is_file && self.file_names.contains_key(name),
        };
        if clash {
            note(remarks, &codes::ATTRIBUTE_KIND, place, || {
                (format!("the name {name} used for two kinds of attribute"), String::new())
            });
        }
    }

    fn set_file(
        &mut self,
        new: Attribute,
        in_comment: bool,
        place: Place,
        remarks: &mut Remarks,
    ) -> Result<(), LimitReached> {
        let size = size(&new);
        let made = FileAttribute { name: new.name.clone(), values: new.values, line: place.line, in_comment };
        let Some(earlier) = self.file_names.get(&new.name).and_then(|i| self.file.get_mut(*i)) else {
            self.charge(size.saturating_mul(2), place.line)?;
            self.file_names.insert(new.name, self.file.len());
            self.file.push(made);
            return Ok(());
        };
        if earlier.in_comment && !in_comment {
            *earlier = made;
        } else if earlier.in_comment == in_comment {
            note(remarks, &codes::ATTRIBUTE_TWICE, place, || {
                (format!("the file attribute {} again", made.name), String::new())
            });
        }
        Ok(())
    }

    fn set_entry(
        &mut self,
        new: Attribute,
        kind: AttributeKind,
        in_comment: bool,
        place: Place,
        remarks: &mut Remarks,
    ) -> Result<(), LimitReached> {
        let earlier = self.entries.get(&new.name);
        if in_comment && earlier.is_some_and(|e| !e.in_comment) {
            return Ok(());
        }
        if earlier.is_none() && self.entries.len() >= MOST_ENTRIES {
            note(remarks, &codes::ATTRIBUTE_MANY, place, || {
                (format!("the attribute {}", new.name), format!("{MOST_ENTRIES} at most"))
            });
            return Ok(());
        }
        let name = new.name.clone();
        let id = self.id(new, place.line)?;
        self.entries.insert(name, Entry { kind, id, in_comment });
        self.forget();
        Ok(())
    }

    /// The number of an attribute; equal ones share it.
    fn id(&mut self, attribute: Attribute, line: u32) -> Result<u32, LimitReached> {
        if let Some(id) = self.ids.get(&attribute) {
            return Ok(*id);
        }
        self.charge(size(&attribute).saturating_mul(2), line)?;
        let id = self.distinct.len() as u32;
        self.distinct.push(attribute.clone());
        self.ids.insert(attribute, id);
        Ok(id)
    }

    /// `TD`, of one name or of all.
    pub fn delete(&mut self, name: &[u8]) {
        let name: Vec<u8> = name.iter().copied().filter(|b| !b.is_ascii_whitespace()).collect();
        if name.is_empty() {
            self.entries.clear();
        } else {
            self.entries.remove(String::from_utf8_lossy(&name).as_ref());
        }
        self.forget();
    }

    const fn forget(&mut self) {
        self.aperture_set = None;
        self.object_set = None;
        self.last = None;
    }

    fn collect(&self, kind: AttributeKind) -> Vec<u32> {
        self.entries.values().filter(|e| e.kind == kind).map(|e| e.id).collect()
    }

    /// The set of aperture attributes now in the dictionary.
    pub fn aperture_set(&mut self, line: u32) -> Result<u32, LimitReached> {
        if let Some(set) = self.aperture_set {
            return Ok(set);
        }
        let set = self.collect(AttributeKind::Aperture);
        let index = self.intern(set, line)?;
        self.aperture_set = Some(index);
        Ok(index)
    }

    fn object_only(&mut self, line: u32) -> Result<u32, LimitReached> {
        if let Some(set) = self.object_set {
            return Ok(set);
        }
        let set = self.collect(AttributeKind::Object);
        let index = self.intern(set, line)?;
        self.object_set = Some(index);
        Ok(index)
    }

    /// The set of an object made now with an aperture that has the set `aperture`.
    #[inline]
    pub fn object_set(&mut self, aperture: u32, line: u32) -> Result<u32, LimitReached> {
        let object = self.object_only(line)?;
        if let Some((pair, set)) = self.last
            && pair == (aperture, object)
        {
            return Ok(set);
        }
        let set = self.merge(aperture, object, line)?;
        self.last = Some(((aperture, object), set));
        Ok(set)
    }

    /// Both sets in one; where a name is in both, `first` counts.
    pub fn merge(&mut self, first: u32, second: u32, line: u32) -> Result<u32, LimitReached> {
        if first == second || second == 0 {
            return Ok(first);
        }
        if first == 0 {
            return Ok(second);
        }
        if let Some(set) = self.merged.get(&(first, second)) {
            return Ok(*set);
        }
        let mut both: BTreeMap<&str, u32> = BTreeMap::new();
        for set in [second, first] {
            both.extend(self.members[set as usize].iter().map(|id| (self.distinct[*id as usize].name.as_str(), *id)));
        }
        let index = self.intern(both.into_values().collect(), line)?;
        self.merged.insert((first, second), index);
        Ok(index)
    }

    /// The index of a set; equal ones share it.
    fn intern(&mut self, members: Vec<u32>, line: u32) -> Result<u32, LimitReached> {
        if let Some(index) = self.known.get(&members) {
            return Ok(*index);
        }
        let text: u64 = members.iter().map(|id| size(&self.distinct[*id as usize])).sum();
        self.charge(text.saturating_add(2 * OVERHEAD), line)?;
        let index = self.sets.len() as u32;
        self.sets.push(members.iter().map(|id| self.distinct[*id as usize].clone()).collect());
        self.members.push(members.clone());
        self.known.insert(members, index);
        Ok(index)
    }
}

fn size(attribute: &Attribute) -> u64 {
    let texts = std::iter::once(&attribute.name).chain(&attribute.values);
    texts.fold(0, |sum, t| sum.saturating_add(OVERHEAD).saturating_add(t.len() as u64))
}

fn is_name(name: &[u8]) -> bool {
    let letter = |b: &u8| b.is_ascii_alphabetic() || matches!(b, b'.' | b'_' | b'$' | b'-');
    name.first().is_some_and(letter) && name.len() <= 127 && name.iter().all(|b| letter(b) || b.is_ascii_digit())
}

/// A field with its `\uXXXX` and `\UXXXXXXXX` escapes resolved.
fn unescaped(field: &[u8], place: Place, remarks: &mut Remarks) -> String {
    let text = String::from_utf8_lossy(field);
    if text.contains('\u{FFFD}') && !field.windows(3).any(|w| w == "\u{FFFD}".as_bytes()) {
        note(remarks, &codes::ATTRIBUTE_TEXT, place, || ("text that is not UTF-8".into(), String::new()));
    }
    if !text.contains('\\') {
        return text.into_owned();
    }
    let mut out = String::with_capacity(text.len());
    let mut rest = text.as_ref();
    while let Some(at) = rest.find('\\') {
        out.push_str(&rest[..at]);
        let escape = &rest[at..];
        let (length, character) = escaped(escape).unwrap_or((1, '\\'));
        out.push(character);
        rest = &escape[length..];
    }
    out.push_str(rest);
    out
}

fn escaped(text: &str) -> Option<(usize, char)> {
    let length = match text.as_bytes().get(1)? {
        b'u' => 6,
        b'U' => 10,
        _ => return None,
    };
    let digits = text.get(2..length)?;
    if !digits.bytes().all(|b| b.is_ascii_hexdigit()) {
        return None;
    }
    Some((length, char::from_u32(u32::from_str_radix(digits, 16).ok()?)?))
}

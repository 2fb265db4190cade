//! STEP physical files (ISO 10303-21): a whole-file reader into a flat arena. It knows the exchange structure only,
//! nothing of IFC entities and their attributes.
//!
//! Every instance is checked; nothing is trusted: sizes, nesting and counts are limited, so that any input ends in a
//! value or in an error with its line.
//!
//! Long because one grammar, one reader: splitting it would spread the cursor over files.

use std::collections::BTreeMap;

use crate::step_text::decode;

/// How deep lists and typed values may be nested. IFC itself needs about four.
const MAX_DEPTH: usize = 32;

/// What may be read; larger files are refused before memory is spent on them.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Limits {
    /// Largest file, in bytes.
    pub bytes: usize,
    /// Largest number of instances.
    pub instances: usize,
}

impl Default for Limits {
    /// 256 MiB and 5 million instances: some hundred times an ordinary house.
    fn default() -> Self {
        Self { bytes: 256 << 20, instances: 5_000_000 }
    }
}

/// Why a file is not an exchange structure that can be read.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum StepError {
    /// Larger than the stated limit.
    #[error(
        "the file has {found} {what}, more than the limit of {limit}: split the model by building and import one at a time"
    )]
    TooLarge {
        /// What there is too much of.
        what: &'static str,
        /// How much.
        found: usize,
        /// The limit.
        limit: usize,
    },
    /// Not a STEP physical file.
    #[error(
        "this is not an IFC file in STEP form: it starts with `{start}` where `ISO-10303-21;` is expected (a zipped or XML model must be saved as `.ifc` first)"
    )]
    NotStep {
        /// The first characters, printable.
        start: String,
    },
    /// A syntax error.
    #[error("line {line}: {what}")]
    Syntax {
        /// Line, from 1.
        line: usize,
        /// What is wrong and what was expected.
        what: String,
    },
    /// Two instances with one id.
    #[error("line {line}: instance `#{id}` is defined twice (first on line {first})")]
    Duplicate {
        /// Line of the second.
        line: usize,
        /// The id.
        id: u64,
        /// Line of the first.
        first: usize,
    },
}

/// One parameter in the arena.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Raw {
    /// `$`.
    Null,
    /// `*`.
    Derived,
    /// An integer.
    Int(i64),
    /// A real.
    Real(f64),
    /// A text between apostrophes, still encoded: byte offset and length.
    Text(u32, u32),
    /// `.NAME.`: byte offset and length.
    Enum(u32, u32),
    /// Index of the instance that is referred to.
    Ref(u32),
    /// A reference to an instance that the file lacks.
    Missing,
    /// First item in the arena and number of items.
    List(u32, u32),
    /// A typed value `NAME(value)`: keyword and index of its parameters (a list).
    Typed(u32, u32),
}

/// One instance.
#[derive(Clone, Copy, Debug)]
struct Instance {
    id: u64,
    /// Keyword; [`COMPLEX`] for a complex instance.
    kind: u32,
    /// Byte offset of its `#`.
    at: u32,
    first: u32,
    len: u32,
}

/// Keyword index of complex instances, whose parameters are typed values.
const COMPLEX: u32 = u32::MAX;

/// A file read into memory.
#[derive(Debug)]
pub(crate) struct Step<'a> {
    bytes: &'a [u8],
    instances: Vec<Instance>,
    arena: Vec<Raw>,
    keywords: Vec<&'a [u8]>,
    keyword_of: BTreeMap<&'a [u8], u32>,
    /// Instances of each keyword, in file order.
    by_keyword: Vec<Vec<u32>>,
    /// The schema names of the header.
    pub schemas: Vec<String>,
    /// References to instances that the file lacks.
    pub num_missing: usize,
}

impl<'a> Step<'a> {
    /// Reads a file.
    pub fn read(bytes: &'a [u8], limits: Limits) -> Result<Self, StepError> {
        let limit = limits.bytes.min(u32::MAX as usize / 2);
        if bytes.len() > limit {
            return Err(StepError::TooLarge { what: "bytes", found: bytes.len(), limit });
        }
        Reader::new(bytes, limits.instances).file()
    }

    /// The line of a byte offset, from 1.
    fn line(bytes: &[u8], at: usize) -> usize {
        1 + bytes.iter().take(at).filter(|b| **b == b'\n').count()
    }

    /// Instances of a keyword (capitals), in file order.
    pub fn of_keyword(&self, keyword: &str) -> &[u32] {
        self.keyword_of
            .get(keyword.as_bytes())
            .and_then(|k| self.by_keyword.get(*k as usize))
            .map_or(&[], Vec::as_slice)
    }

    /// Number of instances.
    pub fn len(&self) -> usize {
        self.instances.len()
    }

    /// The id that the file gives an instance.
    pub fn id(&self, index: u32) -> u64 {
        self.instances.get(index as usize).map_or(0, |i| i.id)
    }

    /// The keyword of an instance, empty for a complex one.
    pub fn keyword(&self, index: u32) -> &'a str {
        let kind = self.instances.get(index as usize).map_or(COMPLEX, |i| i.kind);
        self.keyword_text(kind)
    }

    /// A keyword by its index.
    pub fn keyword_text(&self, kind: u32) -> &'a str {
        self.keywords.get(kind as usize).and_then(|k| std::str::from_utf8(k).ok()).unwrap_or("")
    }

    /// The parameter of an instance at an index.
    pub fn parameter(&self, index: u32, parameter: usize) -> Raw {
        match self.instances.get(index as usize) {
            Some(i) if parameter < i.len as usize => {
                self.arena.get(i.first as usize + parameter).copied().unwrap_or(Raw::Null)
            }
            _ => Raw::Null,
        }
    }

    /// The items of a list.
    pub fn items(&self, first: u32, len: u32) -> &[Raw] {
        self.arena.get(first as usize..(first as usize).saturating_add(len as usize)).unwrap_or(&[])
    }

    /// The value inside a typed value.
    pub fn inside(&self, list: u32) -> Raw {
        match self.arena.get(list as usize) {
            Some(Raw::List(first, len)) => self.items(*first, *len).first().copied().unwrap_or(Raw::Null),
            _ => Raw::Null,
        }
    }

    /// A text, decoded.
    pub fn text(&self, at: u32, len: u32) -> String {
        decode(self.slice(at, len))
    }

    /// The name of an enumeration value.
    pub fn enumeration(&self, at: u32, len: u32) -> &'a str {
        std::str::from_utf8(self.slice(at, len)).unwrap_or("")
    }

    fn slice(&self, at: u32, len: u32) -> &'a [u8] {
        self.bytes.get(at as usize..(at as usize).saturating_add(len as usize)).unwrap_or(&[])
    }
}

struct Reader<'a> {
    bytes: &'a [u8],
    at: usize,
    max_instances: usize,
    arena: Vec<Raw>,
    stack: Vec<Raw>,
    /// Ids referred to, until they are resolved: the arena holds an index into this.
    instances: Vec<Instance>,
    keywords: Vec<&'a [u8]>,
    keyword_of: BTreeMap<&'a [u8], u32>,
    references: Vec<(u32, u64)>,
}

impl<'a> Reader<'a> {
    fn new(bytes: &'a [u8], max_instances: usize) -> Self {
        Self {
            bytes,
            at: 0,
            max_instances,
            arena: Vec::new(),
            stack: Vec::new(),
            instances: Vec::new(),
            keywords: Vec::new(),
            keyword_of: BTreeMap::new(),
            references: Vec::new(),
        }
    }

    fn fail<T>(&self, what: impl Into<String>) -> Result<T, StepError> {
        self.fail_at(self.at, what)
    }

    fn fail_at<T>(&self, at: usize, what: impl Into<String>) -> Result<T, StepError> {
        Err(StepError::Syntax { line: Step::line(self.bytes, at), what: what.into() })
    }

    fn peek(&self) -> Option<u8> {
        self.bytes.get(self.at).copied()
    }

    /// What is found here, for messages.
    fn found(&self) -> String {
        match self.bytes.get(self.at..) {
            None | Some([]) => "the end of the file (it is cut off)".to_owned(),
            Some(rest) => {
                let text: String = rest
                    .iter()
                    .take(16)
                    .take_while(|b| !b.is_ascii_control())
                    .map(|b| if b.is_ascii() { *b as char } else { '?' })
                    .collect();
                format!("`{text}`")
            }
        }
    }

    /// Skips white space and comments.
    fn skip(&mut self) -> Result<(), StepError> {
        loop {
            while self.peek().is_some_and(|b| b.is_ascii_whitespace() || b == 0x0b) {
                self.at += 1;
            }
            if self.peek() != Some(b'/') || self.bytes.get(self.at + 1) != Some(&b'*') {
                return Ok(());
            }
            let start = self.at;
            self.at += 2;
            loop {
                match self.bytes.get(self.at..self.at + 2) {
                    Some(b"*/") => break,
                    Some(_) => self.at += 1,
                    None => return self.fail_at(start, "a comment `/*` is not closed"),
                }
            }
            self.at += 2;
        }
    }

    fn expect(&mut self, byte: u8, after: &str) -> Result<(), StepError> {
        self.skip()?;
        if self.peek() == Some(byte) {
            self.at += 1;
            return Ok(());
        }
        self.fail(format!("`{}` expected {after}, found {}", byte as char, self.found()))
    }

    fn word(&mut self) -> &'a [u8] {
        let start = self.at;
        while self.peek().is_some_and(|b| b.is_ascii_alphanumeric() || matches!(b, b'_' | b'-' | b'!')) {
            self.at += 1;
        }
        self.bytes.get(start..self.at).unwrap_or(&[])
    }

    fn intern(&mut self, word: &'a [u8]) -> u32 {
        if let Some(k) = self.keyword_of.get(word) {
            return *k;
        }
        let k = self.keywords.len() as u32;
        self.keywords.push(word);
        self.keyword_of.insert(word, k);
        k
    }

    fn file(mut self) -> Result<Step<'a>, StepError> {
        if self.bytes.starts_with(b"\xef\xbb\xbf") {
            self.at = 3;
        }
        self.skip()?;
        if !self.bytes[self.at.min(self.bytes.len())..].starts_with(b"ISO-10303-21") {
            let start = self.bytes.iter().take(24).map(|b| if b.is_ascii_graphic() { *b as char } else { '.' });
            return Err(StepError::NotStep { start: start.collect() });
        }
        self.word();
        self.expect(b';', "after `ISO-10303-21`")?;
        let schemas = self.header()?;
        loop {
            self.skip()?;
            let at = self.at;
            match self.word() {
                b"DATA" => self.data()?,
                b"END-ISO-10303-21" => break,
                // Anchor, reference and signature sections of edition 3 carry nothing that is used here.
                b"ANCHOR" | b"REFERENCE" | b"SIGNATURE" => self.skip_section()?,
                _ => {
                    self.at = at;
                    return self.fail(format!("`DATA;` or `END-ISO-10303-21;` expected, found {}", self.found()));
                }
            }
        }
        self.finish(schemas)
    }

    fn skip_section(&mut self) -> Result<(), StepError> {
        loop {
            self.skip()?;
            match self.peek() {
                None => return self.fail("`ENDSEC;` expected, found the end of the file (it is cut off)"),
                Some(b'\'') => {
                    self.quoted()?;
                }
                Some(_) => {
                    if self.word() == b"ENDSEC" {
                        return self.expect(b';', "after `ENDSEC`");
                    }
                    if self.peek().is_some_and(|b| !b.is_ascii_alphanumeric() && b != b'\'') {
                        self.at += 1;
                    }
                }
            }
        }
    }

    fn header(&mut self) -> Result<Vec<String>, StepError> {
        self.skip()?;
        if self.word() != b"HEADER" {
            return self.fail("`HEADER;` expected");
        }
        self.expect(b';', "after `HEADER`")?;
        let mut schemas = Vec::new();
        loop {
            self.skip()?;
            let at = self.at;
            let word = self.word();
            if word.is_empty() {
                return self.fail_at(at, format!("a header record expected, found {}", self.found()));
            }
            if word == b"ENDSEC" {
                self.expect(b';', "after `ENDSEC`")?;
                break;
            }
            let (first, len) = self.parameters()?;
            self.expect(b';', "after a header record")?;
            if word == b"FILE_SCHEMA" {
                let mut raws: Vec<Raw> = self.arena.get(first as usize..(first + len) as usize).unwrap_or(&[]).to_vec();
                if let Some(Raw::List(f, n)) = raws.first().copied() {
                    raws = self.arena.get(f as usize..(f + n) as usize).unwrap_or(&[]).to_vec();
                }
                for raw in raws {
                    if let Raw::Text(at, len) = raw {
                        schemas.push(decode(self.bytes.get(at as usize..(at + len) as usize).unwrap_or(&[])));
                    }
                }
            }
        }
        Ok(schemas)
    }

    fn data(&mut self) -> Result<(), StepError> {
        self.skip()?;
        if self.peek() == Some(b'(') {
            // Edition 2 lets a data section carry a name and a schema list.
            self.parameters()?;
        }
        self.expect(b';', "after `DATA`")?;
        loop {
            self.skip()?;
            match self.peek() {
                Some(b'#') => self.instance()?,
                Some(b'E') => {
                    let at = self.at;
                    if self.word() != b"ENDSEC" {
                        return self.fail_at(at, "an instance `#1=…` or `ENDSEC;` expected");
                    }
                    return self.expect(b';', "after `ENDSEC`");
                }
                _ => return self.fail(format!("an instance `#1=…` or `ENDSEC;` expected, found {}", self.found())),
            }
        }
    }

    fn number_id(&mut self) -> Result<u64, StepError> {
        self.at += 1;
        let start = self.at;
        let mut id: u64 = 0;
        while let Some(b) = self.peek().filter(u8::is_ascii_digit) {
            id = match id.checked_mul(10).and_then(|i| i.checked_add(u64::from(b - b'0'))) {
                Some(id) => id,
                None => return self.fail("an instance number is too large"),
            };
            self.at += 1;
        }
        if self.at == start {
            return self.fail(format!("a number expected after `#`, found {}", self.found()));
        }
        Ok(id)
    }

    fn instance(&mut self) -> Result<(), StepError> {
        let at = self.at;
        if self.instances.len() >= self.max_instances {
            return Err(StepError::TooLarge {
                what: "instances or more",
                found: self.instances.len() + 1,
                limit: self.max_instances,
            });
        }
        let id = self.number_id()?;
        self.expect(b'=', &format!("after `#{id}`"))?;
        self.skip()?;
        let (kind, first, len) = if self.peek() == Some(b'(') {
            self.at += 1;
            let base = self.stack.len();
            loop {
                self.skip()?;
                if self.peek() == Some(b')') {
                    self.at += 1;
                    break;
                }
                let typed = self.typed(1)?;
                self.stack.push(typed);
            }
            let (first, len) = self.flush(base);
            (COMPLEX, first, len)
        } else {
            let word = self.word();
            if word.is_empty() {
                return self.fail(format!("an entity name expected after `#{id}=`, found {}", self.found()));
            }
            let kind = self.intern(word);
            let (first, len) = self.parameters()?;
            (kind, first, len)
        };
        self.expect(b';', &format!("at the end of `#{id}`"))?;
        self.instances.push(Instance { id, kind, at: at as u32, first, len });
        Ok(())
    }

    fn flush(&mut self, base: usize) -> (u32, u32) {
        let first = self.arena.len() as u32;
        let len = (self.stack.len() - base) as u32;
        for i in base..self.stack.len() {
            if let Raw::Ref(r) = self.stack[i] {
                // The second half of the reference is its place in the arena, known only now.
                if let Some(slot) = self.references.get_mut(r as usize) {
                    slot.0 = self.arena.len() as u32;
                }
            }
            self.arena.push(self.stack[i]);
        }
        self.stack.truncate(base);
        (first, len)
    }

    fn parameters(&mut self) -> Result<(u32, u32), StepError> {
        self.expect(b'(', "before parameters")?;
        self.list(0)
    }

    /// The items up to `)`; the `(` has been read.
    fn list(&mut self, depth: usize) -> Result<(u32, u32), StepError> {
        if depth > MAX_DEPTH {
            return self.fail(format!("lists are nested more than {MAX_DEPTH} deep"));
        }
        let base = self.stack.len();
        self.skip()?;
        if self.peek() == Some(b')') {
            self.at += 1;
            return Ok(self.flush(base));
        }
        loop {
            let value = self.value(depth)?;
            self.stack.push(value);
            self.skip()?;
            match self.peek() {
                Some(b',') => self.at += 1,
                Some(b')') => {
                    self.at += 1;
                    return Ok(self.flush(base));
                }
                _ => return self.fail(format!("`,` or `)` expected, found {}", self.found())),
            }
        }
    }

    fn typed(&mut self, depth: usize) -> Result<Raw, StepError> {
        let word = self.word();
        if word.is_empty() {
            return self.fail(format!("a value expected, found {}", self.found()));
        }
        let kind = self.intern(word);
        self.expect(b'(', "after a type name")?;
        let (first, len) = self.list(depth + 1)?;
        let index = self.arena.len() as u32;
        self.arena.push(Raw::List(first, len));
        Ok(Raw::Typed(kind, index))
    }

    fn value(&mut self, depth: usize) -> Result<Raw, StepError> {
        self.skip()?;
        match self.peek() {
            Some(b'$') => {
                self.at += 1;
                Ok(Raw::Null)
            }
            Some(b'*') => {
                self.at += 1;
                Ok(Raw::Derived)
            }
            Some(b'#') => {
                let id = self.number_id()?;
                self.references.push((0, id));
                Ok(Raw::Ref((self.references.len() - 1) as u32))
            }
            Some(b'\'') => self.quoted(),
            Some(b'"') => {
                let start = self.at;
                self.at += 1;
                while self.peek().is_some_and(|b| b.is_ascii_hexdigit()) {
                    self.at += 1;
                }
                if self.peek() != Some(b'"') {
                    return self.fail_at(start, "a binary value is not closed or not hexadecimal");
                }
                self.at += 1;
                Ok(Raw::Null)
            }
            Some(b'.') if self.bytes.get(self.at + 1).is_some_and(|b| b.is_ascii_alphabetic() || *b == b'_') => {
                self.at += 1;
                let start = self.at;
                let word = self.word();
                if self.peek() != Some(b'.') {
                    return self.fail(format!("`.` expected after an enumeration value, found {}", self.found()));
                }
                self.at += 1;
                Ok(Raw::Enum(start as u32, word.len() as u32))
            }
            Some(b'(') => {
                self.at += 1;
                let (first, len) = self.list(depth + 1)?;
                Ok(Raw::List(first, len))
            }
            Some(b'+' | b'-' | b'0'..=b'9' | b'.') => self.number(),
            _ => self.typed(depth),
        }
    }

    fn quoted(&mut self) -> Result<Raw, StepError> {
        let open = self.at;
        self.at += 1;
        let start = self.at;
        loop {
            match self.peek() {
                None => return self.fail_at(open, "a text `'` is not closed (the file may be cut off)"),
                Some(b'\'') if self.bytes.get(self.at + 1) == Some(&b'\'') => self.at += 2,
                Some(b'\'') => {
                    self.at += 1;
                    return Ok(Raw::Text(start as u32, (self.at - 1 - start) as u32));
                }
                Some(_) => self.at += 1,
            }
        }
    }

    fn number(&mut self) -> Result<Raw, StepError> {
        let start = self.at;
        while self.peek().is_some_and(|b| b.is_ascii_digit() || matches!(b, b'+' | b'-' | b'.' | b'e' | b'E')) {
            self.at += 1;
        }
        let text = std::str::from_utf8(self.bytes.get(start..self.at).unwrap_or(&[])).unwrap_or("");
        if !text.bytes().any(|b| matches!(b, b'.' | b'e' | b'E')) {
            return match text.parse::<i64>() {
                Ok(i) => Ok(Raw::Int(i)),
                Err(_) => self.fail_at(start, format!("`{text}` is not an integer that can be read")),
            };
        }
        match text.parse::<f64>() {
            Ok(x) if x.is_finite() => Ok(Raw::Real(x)),
            Ok(_) => self.fail_at(start, format!("`{text}` is too large for a number")),
            Err(_) => self.fail_at(start, format!("`{text}` is not a number")),
        }
    }

    fn finish(mut self, schemas: Vec<String>) -> Result<Step<'a>, StepError> {
        let lookup = Lookup::new(&self.instances);
        if let Some((a, b)) = lookup.duplicate {
            let (a, b) = (self.instances[a as usize], self.instances[b as usize]);
            return Err(StepError::Duplicate {
                line: Step::line(self.bytes, b.at as usize),
                id: b.id,
                first: Step::line(self.bytes, a.at as usize),
            });
        }
        let mut num_missing = 0;
        for (slot, id) in &self.references {
            let raw = lookup.get(*id).map_or(Raw::Missing, Raw::Ref);
            num_missing += usize::from(raw == Raw::Missing);
            if let Some(r) = self.arena.get_mut(*slot as usize) {
                *r = raw;
            }
        }
        let mut by_keyword = vec![Vec::new(); self.keywords.len()];
        for (index, instance) in self.instances.iter().enumerate() {
            if let Some(list) = by_keyword.get_mut(instance.kind as usize) {
                list.push(index as u32);
            }
        }
        Ok(Step {
            bytes: self.bytes,
            instances: self.instances,
            arena: self.arena,
            keywords: self.keywords,
            keyword_of: self.keyword_of,
            by_keyword,
            schemas,
            num_missing,
        })
    }
}

/// Instance numbers to indices: a table while the numbers are dense, a sorted list otherwise.
struct Lookup {
    table: Vec<u32>,
    sorted: Vec<(u64, u32)>,
    duplicate: Option<(u32, u32)>,
}

impl Lookup {
    fn new(instances: &[Instance]) -> Self {
        let max = instances.iter().map(|i| i.id).max().unwrap_or(0);
        let mut lookup = Self { table: Vec::new(), sorted: Vec::new(), duplicate: None };
        if max <= 16 * instances.len() as u64 + 1024 {
            lookup.table = vec![u32::MAX; max as usize + 1];
            for (index, i) in instances.iter().enumerate() {
                let slot = &mut lookup.table[i.id as usize];
                if *slot != u32::MAX && lookup.duplicate.is_none() {
                    lookup.duplicate = Some((*slot, index as u32));
                }
                *slot = index as u32;
            }
        } else {
            lookup.sorted = instances.iter().enumerate().map(|(n, i)| (i.id, n as u32)).collect();
            lookup.sorted.sort_unstable();
            lookup.duplicate = lookup.sorted.windows(2).find(|w| w[0].0 == w[1].0).map(|w| (w[0].1, w[1].1));
        }
        lookup
    }

    fn get(&self, id: u64) -> Option<u32> {
        if self.sorted.is_empty() {
            return usize::try_from(id).ok().and_then(|i| self.table.get(i)).copied().filter(|i| *i != u32::MAX);
        }
        self.sorted.binary_search_by_key(&id, |s| s.0).ok().and_then(|n| self.sorted.get(n)).map(|s| s.1)
    }
}

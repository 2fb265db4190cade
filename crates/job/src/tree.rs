//! The text as a tree that remembers where in the text each key and value stands. Built only when something is wrong or
//! old; a good document is read straight into its types.

use serde_json::{Map, Value};
use toml::de::{DeTable, DeValue};

use crate::error::JobError;

/// A value and where it starts.
pub(crate) struct Node {
    /// Byte offset of its first character.
    pub start: usize,
    /// What it is.
    pub kind: Kind,
}

/// A key, where it starts, and its value.
pub(crate) struct Entry {
    /// The key.
    pub key: String,
    /// Byte offset of the key's first character.
    pub start: usize,
    /// The value.
    pub node: Node,
}

/// What a value is.
pub(crate) enum Kind {
    /// Keys with their values.
    Table(Vec<Entry>),
    /// Values in order.
    List(Vec<Node>),
    /// A text.
    Text(String),
    /// A number; none if it is too large.
    Number(Option<f64>),
    /// A whole number.
    Whole(i64),
    /// True or false.
    Truth(bool),
    /// A bare date or time of TOML.
    Date(String),
    /// Nothing, in JSON.
    Null,
}

impl Node {
    /// The value of a key.
    pub fn get(&self, key: &str) -> Option<&Entry> {
        match &self.kind {
            Kind::Table(entries) => entries.iter().find(|e| e.key == key),
            _ => None,
        }
    }

    /// The value at a position.
    pub fn item(&self, index: usize) -> Option<&Node> {
        match &self.kind {
            Kind::List(items) => items.get(index),
            _ => None,
        }
    }

    /// The text, if it is one.
    pub fn text(&self) -> Option<&str> {
        match &self.kind {
            Kind::Text(text) => Some(text),
            _ => None,
        }
    }

    /// Reads TOML.
    ///
    /// # Errors
    /// What the parser says, with its place.
    pub fn of_toml(text: &str) -> Result<Self, JobError> {
        let table = DeTable::parse(text).map_err(|e| toml_error(text, &e))?;
        Ok(toml_node(table.span().start, &DeValue::Table(table.into_inner())))
    }

    /// Reads JSON.
    ///
    /// # Errors
    /// What the parser says, with its place.
    pub fn of_json(text: &str) -> Result<Self, JobError> {
        // The general parser finds what is wrong with the syntax and bounds the nesting, so that the scan need not.
        serde_json::from_str::<Value>(text).map_err(|e| json_error(text, &e))?;
        let mut scan = Scan { text, at: 0 };
        scan.value().ok_or_else(|| JobError::of_text("the text is not JSON"))
    }

    /// The value as JSON, to be migrated.
    ///
    /// # Errors
    /// The offset of a number that JSON cannot hold.
    pub fn to_json(&self) -> Result<Value, usize> {
        Ok(match &self.kind {
            Kind::Table(entries) => {
                let mut map = Map::new();
                for entry in entries {
                    map.insert(entry.key.clone(), entry.node.to_json()?);
                }
                Value::Object(map)
            }
            Kind::List(items) => Value::Array(items.iter().map(Node::to_json).collect::<Result<_, _>>()?),
            Kind::Text(text) | Kind::Date(text) => Value::String(text.clone()),
            Kind::Number(number) => {
                number.and_then(serde_json::Number::from_f64).map(Value::Number).ok_or(self.start)?
            }
            Kind::Whole(number) => Value::from(*number),
            Kind::Truth(truth) => Value::Bool(*truth),
            Kind::Null => Value::Null,
        })
    }
}

/// What the TOML parser says, with its place.
pub(crate) fn toml_error(text: &str, error: &toml::de::Error) -> JobError {
    let problem = format!("this is not TOML: {}", error.message().trim().replace('\n', "; "));
    match error.span() {
        Some(span) => JobError::at(text, span.start, problem),
        None => JobError::of_text(problem),
    }
}

/// What the JSON parser says, with its place.
pub(crate) fn json_error(text: &str, error: &serde_json::Error) -> JobError {
    let message = error.to_string();
    let message = message.split(" at line ").next().unwrap_or(&message);
    let problem = format!("this is not JSON: {message}");
    if error.line() == 0 {
        return JobError::of_text(problem);
    }
    let line_start: usize = text.split_inclusive('\n').take(error.line() - 1).map(str::len).sum();
    // The parser counts columns in bytes and points past the offending one.
    JobError::at(text, line_start + error.column().saturating_sub(1), problem)
}

fn toml_node(start: usize, value: &DeValue<'_>) -> Node {
    let kind = match value {
        DeValue::Table(table) => Kind::Table(
            table
                .iter()
                .map(|(key, value)| Entry {
                    key: key.get_ref().to_string(),
                    start: key.span().start,
                    node: toml_node(value.span().start, value.get_ref()),
                })
                .collect(),
        ),
        DeValue::Array(items) => {
            Kind::List(items.iter().map(|item| toml_node(item.span().start, item.get_ref())).collect())
        }
        DeValue::String(text) => Kind::Text(text.to_string()),
        DeValue::Float(number) => Kind::Number(number.as_str().parse().ok()),
        DeValue::Integer(number) => {
            i64::from_str_radix(number.as_str(), number.radix()).map_or(Kind::Number(None), Kind::Whole)
        }
        DeValue::Boolean(truth) => Kind::Truth(*truth),
        DeValue::Datetime(date) => Kind::Date(date.to_string()),
    };
    Node { start, kind }
}

/// A scan over a text that is known to be JSON nested no deeper than the general parser allows.
struct Scan<'a> {
    text: &'a str,
    at: usize,
}

impl Scan<'_> {
    fn peek(&self) -> Option<u8> {
        self.text.as_bytes().get(self.at).copied()
    }

    fn space(&mut self) {
        while self.peek().is_some_and(|c| c.is_ascii_whitespace()) {
            self.at += 1;
        }
    }

    fn take(&mut self, wanted: u8) -> bool {
        self.space();
        let found = self.peek() == Some(wanted);
        self.at += usize::from(found);
        found
    }

    fn value(&mut self) -> Option<Node> {
        self.space();
        let start = self.at;
        let kind = match self.peek()? {
            b'{' => {
                self.at += 1;
                let mut entries = Vec::new();
                while !self.take(b'}') {
                    self.take(b',');
                    self.space();
                    let start = self.at;
                    let key = self.string()?;
                    self.take(b':');
                    entries.push(Entry { key, start, node: self.value()? });
                }
                Kind::Table(entries)
            }
            b'[' => {
                self.at += 1;
                let mut items = Vec::new();
                while !self.take(b']') {
                    self.take(b',');
                    items.push(self.value()?);
                }
                Kind::List(items)
            }
            b'"' => Kind::Text(self.string()?),
            _ => {
                while self.peek().is_some_and(|c| c.is_ascii_alphanumeric() || matches!(c, b'+' | b'-' | b'.')) {
                    self.at += 1;
                }
                match self.text.get(start..self.at)? {
                    "true" => Kind::Truth(true),
                    "false" => Kind::Truth(false),
                    "null" => Kind::Null,
                    "" => return None,
                    number => number.parse().map_or_else(|_| Kind::Number(number.parse().ok()), Kind::Whole),
                }
            }
        };
        Some(Node { start, kind })
    }

    fn string(&mut self) -> Option<String> {
        let start = self.at;
        if !self.take(b'"') {
            return None;
        }
        loop {
            match self.peek()? {
                b'"' => break,
                b'\\' => self.at += 2,
                _ => self.at += 1,
            }
        }
        self.at += 1;
        serde_json::from_str(self.text.get(start..self.at)?).ok()
    }
}

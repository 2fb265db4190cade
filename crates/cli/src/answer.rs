//! What a command hands back: what to print and how the program ends.

use serde_json::{Value, json};

/// What a command prints on standard output, and its exit code.
#[derive(Debug)]
pub struct Answer {
    /// The text or JSON.
    pub body: String,
    /// How the program ends.
    pub end: End,
}

/// How the program ends.
#[derive(Clone, Debug)]
pub enum End {
    /// Nothing to report.
    Clean,
    /// There are findings that a person should look at.
    Findings,
    /// It could not do what was asked, and the output says why; the sentence goes to standard error.
    Refused(String),
}

impl Answer {
    /// Text as it is, or the value as JSON.
    pub fn new(json: bool, value: impl FnOnce() -> Value, text: impl FnOnce() -> String, end: End) -> Self {
        let body = if json { pretty(&value()) } else { text() };
        Self { body, end }
    }
}

/// The command could not run: what is wrong, where, and what to do.
#[derive(Debug)]
pub struct Failure {
    /// For people.
    pub message: String,
    /// Facts for programs, beside the message.
    pub facts: Value,
}

impl Failure {
    /// A failure with nothing but its message.
    pub fn new(message: impl Into<String>) -> Self {
        Self { message: message.into(), facts: json!({}) }
    }

    /// Adds a fact for programs.
    #[must_use]
    pub fn fact(mut self, key: &str, value: Value) -> Self {
        if let Value::Object(facts) = &mut self.facts {
            facts.insert(key.to_owned(), value);
        }
        self
    }

    /// As JSON: `{"error": {"message": …, facts…}}`.
    pub fn json(&self) -> String {
        let mut error = self.facts.clone();
        if let Value::Object(facts) = &mut error {
            facts.insert("message".to_owned(), json!(self.message));
        }
        pretty(&json!({ "error": error }))
    }
}

impl From<anyhow::Error> for Failure {
    fn from(error: anyhow::Error) -> Self {
        Self::new(format!("{error:#}"))
    }
}

fn pretty(value: &Value) -> String {
    // Values have text keys and finite numbers or null, so that printing them cannot fail.
    format!("{value:#}\n")
}

/// Any data as a JSON value; what JSON cannot hold becomes null.
pub fn value(data: &impl serde::Serialize) -> Value {
    serde_json::to_value(data).unwrap_or(Value::Null)
}

//! Entities and their attributes by position, with every access total: a wrong type reads as absent.

use crate::step::{Raw, Step};

/// One instance of a model.
#[derive(Clone, Copy)]
pub(crate) struct Entity<'m> {
    step: &'m Step<'m>,
    /// Index in the file.
    pub index: u32,
}

/// One attribute value.
#[derive(Clone, Copy)]
pub(crate) struct Value<'m> {
    step: &'m Step<'m>,
    raw: Raw,
}

impl<'m> Entity<'m> {
    /// An instance by its index.
    pub fn new(step: &'m Step<'m>, index: u32) -> Self {
        Self { step, index }
    }

    /// Entity name in capitals, such as `IFCWALL`.
    pub fn keyword(self) -> &'m str {
        self.step.keyword(self.index)
    }

    /// True if the entity is one of these.
    pub fn is(self, keywords: &[&str]) -> bool {
        keywords.contains(&self.keyword())
    }

    /// Instance number in the file, for messages.
    pub fn id(self) -> u64 {
        self.step.id(self.index)
    }

    /// Attribute by its position.
    pub fn at(self, position: usize) -> Value<'m> {
        Value { step: self.step, raw: self.step.parameter(self.index, position) }
    }

    /// Attribute that refers to an instance.
    pub fn entity(self, position: usize) -> Option<Entity<'m>> {
        self.at(position).entity()
    }

    /// Attribute that is a list of references; others in it are skipped.
    pub fn entities(self, position: usize) -> impl Iterator<Item = Entity<'m>> {
        self.at(position).items().filter_map(Value::entity)
    }

    /// Text attribute, trimmed; absent if it is empty.
    pub fn text(self, position: usize) -> Option<String> {
        self.at(position).text().map(|t| t.trim().to_owned()).filter(|t| !t.is_empty())
    }

    /// Number attribute.
    pub fn real(self, position: usize) -> Option<f64> {
        self.at(position).real()
    }

    /// Enumeration attribute.
    pub fn name(self, position: usize) -> &'m str {
        self.at(position).name()
    }

    /// GlobalId of a rooted entity.
    pub fn global_id(self) -> String {
        self.text(0).unwrap_or_else(|| format!("#{}", self.id()))
    }
}

impl<'m> Value<'m> {
    /// The instance referred to.
    pub fn entity(self) -> Option<Entity<'m>> {
        match self.raw {
            Raw::Ref(index) => Some(Entity { step: self.step, index }),
            _ => None,
        }
    }

    /// The items of a list; none if it is not a list. A typed value that wraps a list gives that list.
    pub fn items(self) -> impl Iterator<Item = Value<'m>> {
        let step = self.step;
        let raw = match self.raw {
            Raw::Typed(_, list) => step.inside(list),
            raw => raw,
        };
        let items = match raw {
            Raw::List(first, len) => step.items(first, len),
            _ => &[],
        };
        items.iter().map(move |raw| Value { step, raw: *raw })
    }

    /// A number, plain or typed.
    pub fn real(self) -> Option<f64> {
        match self.raw {
            Raw::Real(x) => Some(x),
            Raw::Int(i) => Some(i as f64),
            Raw::Typed(_, list) => match self.step.inside(list) {
                Raw::Real(x) => Some(x),
                Raw::Int(i) => Some(i as f64),
                _ => None,
            },
            _ => None,
        }
    }

    /// An index, from 1.
    pub fn index(self) -> Option<usize> {
        match self.raw {
            Raw::Int(i) => usize::try_from(i).ok()?.checked_sub(1),
            _ => None,
        }
    }

    /// A text, plain or typed.
    pub fn text(self) -> Option<String> {
        match self.raw {
            Raw::Text(at, len) => Some(self.step.text(at, len)),
            Raw::Typed(_, list) => match self.step.inside(list) {
                Raw::Text(at, len) => Some(self.step.text(at, len)),
                _ => None,
            },
            _ => None,
        }
    }

    /// An enumeration's name, plain or typed; empty if it is none. `.T.` gives `T`.
    pub fn name(self) -> &'m str {
        match self.raw {
            Raw::Enum(at, len) => self.step.enumeration(at, len),
            Raw::Typed(_, list) => match self.step.inside(list) {
                Raw::Enum(at, len) => self.step.enumeration(at, len),
                _ => "",
            },
            _ => "",
        }
    }

    /// The type name of a typed value, empty for others.
    pub fn type_name(self) -> &'m str {
        match self.raw {
            Raw::Typed(kind, _) => self.step.keyword_text(kind),
            _ => "",
        }
    }
}

//! What every reader of shapes shares: the model, a budget of work, and what could not be read.

use std::cell::{Cell, RefCell};
use std::collections::BTreeMap;

use crate::ImportError;
use crate::entity::Entity;
use crate::model::Model;

/// Faces read at most, over the whole import; any other shape counts as ten. It bounds models whose parts repeat each
/// other.
const MAX_WORK: u64 = 4_000_000;

/// How deep mapped items, boolean results and composite curves may nest.
const MAX_DEPTH: usize = 32;

/// Sagitta at which arcs are cut into chords [m]: a twentieth of the thinnest walls, far below a wavelength at 6 GHz.
pub(crate) const SAGITTA: f64 = 0.005;

/// Reads shapes of one model.
pub(crate) struct Geometry<'m> {
    pub model: &'m Model<'m>,
    work: Cell<u64>,
    unknown: RefCell<BTreeMap<String, Vec<String>>>,
}

impl<'m> Geometry<'m> {
    pub fn new(model: &'m Model<'m>) -> Self {
        Self { model, work: Cell::new(0), unknown: RefCell::new(BTreeMap::new()) }
    }

    /// Counts one face.
    pub fn face(&self) -> Result<(), ImportError> {
        self.count(1)
    }

    /// Counts one shape at a nesting depth.
    pub fn step(&self, entity: Entity<'m>, depth: usize) -> Result<(), ImportError> {
        if depth > MAX_DEPTH {
            return Err(ImportError::Cycle { what: "shapes", id: entity.id() });
        }
        self.count(10)
    }

    fn count(&self, work: u64) -> Result<(), ImportError> {
        self.work.set(self.work.get() + work);
        if self.work.get() > MAX_WORK {
            return Err(ImportError::TooMuchGeometry { limit: MAX_WORK });
        }
        Ok(())
    }

    /// Notes a shape that is not read.
    pub fn unread(&self, entity: Entity<'m>) {
        let keyword = entity.keyword().to_owned();
        self.unknown.borrow_mut().entry(keyword).or_default().push(format!("#{}", entity.id()));
    }

    /// Shapes that were not read: entity name and instances.
    pub fn take_unread(&self) -> BTreeMap<String, Vec<String>> {
        self.unknown.take()
    }
}

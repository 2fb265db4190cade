//! Why a model cannot be imported.

use std::fmt::Write as _;

use findings::Cancelled;

use crate::dwelling::Dwelling;
use crate::step::StepError;

/// Why a model cannot be imported: what is wrong, where, and what to do next.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum ImportError {
    /// The file is not a STEP physical file that can be read.
    #[error(transparent)]
    Step(#[from] StepError),
    /// Another schema.
    #[error("the file's schema is `{found}`; IFC2X3 and IFC4 are read: export the model in one of them")]
    Schema {
        /// The schema that the file names.
        found: String,
    },
    /// A unit of an impossible size.
    #[error(
        "the model's {what} unit is {size} SI units, which no building uses: check the unit assignment of the export"
    )]
    Unit {
        /// Which unit.
        what: &'static str,
        /// Its size in SI units.
        size: f64,
    },
    /// Instances that refer to each other in a circle, or chains deeper than any model needs.
    #[error(
        "the {what} that `#{id}` belongs to refer to each other in a circle or nest too deep: export the model again"
    )]
    Cycle {
        /// What refers to itself.
        what: &'static str,
        /// An instance of the circle.
        id: u64,
    },
    /// Parts repeated beyond the limit.
    #[error(
        "the model repeats its parts to more than {limit} faces: export the architecture alone, without terrain and planting"
    )]
    TooMuchGeometry {
        /// The limit.
        limit: u64,
    },
    /// More parts than one import handles.
    #[error(
        "the model has {found} {what}, more than the limit of {limit}: split it by building and import one at a time"
    )]
    TooMany {
        /// Which parts.
        what: &'static str,
        /// How many.
        found: usize,
        /// The limit.
        limit: usize,
    },
    /// No walls.
    #[error(
        "the model has no walls that can be read (it has {num_instances} instances): export the architecture with its walls"
    )]
    NoWalls {
        /// How many instances there are.
        num_instances: usize,
    },
    /// More than one dwelling and none chosen.
    #[error("the model holds {} dwellings; choose one by its label or number:{}", .0.len(), list(.0))]
    ChooseDwelling(Vec<Dwelling>),
    /// No dwelling of that name.
    #[error("there is no dwelling `{wanted}`; the model holds:{}", list(.dwellings))]
    UnknownDwelling {
        /// What was asked for.
        wanted: String,
        /// What there is.
        dwellings: Vec<Dwelling>,
    },
    /// The electrical model cannot be read.
    #[error("in the electrical model: {0}")]
    Electrical(Box<ImportError>),
    /// The one who asked for the import cancelled it.
    #[error(transparent)]
    Cancelled(#[from] Cancelled),
}

fn list(dwellings: &[Dwelling]) -> String {
    let mut text = String::new();
    for d in dwellings {
        let rooms: Vec<String> = d.rooms.iter().map(|r| format!("{} {}", r.id, r.name)).collect();
        let label = d.label.as_ref().map(|l| format!(" ({l})")).unwrap_or_default();
        let _ = write!(text, "\n  {}{label}: {:.1} m², {}", d.number, d.area.value(), rooms.join(", "));
    }
    text
}

//! Why path gain cannot be computed.

use building::OutOfRange;
use findings::Id;

/// What is wrong with the input, where, and what to do.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum PropagationError {
    /// A material has no constants at a carrier.
    #[error("material `{material}` of `{assembly}` cannot be used at {ghz} GHz: {reason}")]
    Material {
        /// The assembly or object that it is in.
        assembly: Id,
        /// The material.
        material: Id,
        /// The frequency, at an edge of the channel \[GHz\].
        ghz: f64,
        /// Why not.
        reason: OutOfRange,
    },
    /// A sheet's resistance is not a positive number.
    #[error(
        "material `{material}` of `{assembly}` is a sheet of {ohm_per_square} Ω per square; give a positive resistance"
    )]
    Sheet {
        /// The assembly or object that it is in.
        assembly: Id,
        /// The material.
        material: Id,
        /// The resistance as given \[Ω per square\].
        ohm_per_square: f64,
    },
    /// A mesh's wires have no thickness or leave no holes.
    #[error(
        "material `{material}` of `{assembly}` is a mesh of wires of {radius} m radius every {pitch} m; give a radius above \
         zero and a pitch of more than two radii"
    )]
    Mesh {
        /// The assembly or object that it is in.
        assembly: Id,
        /// The material.
        material: Id,
        /// The pitch as given \[m\].
        pitch: f64,
        /// The radius as given \[m\].
        radius: f64,
    },
    /// An assembly has too many framing layers.
    #[error("assembly `{assembly}` has {count} framing layers; at most {limit} can be computed")]
    Framing {
        /// The assembly.
        assembly: Id,
        /// How many it has.
        count: usize,
        /// How many are possible.
        limit: usize,
    },
    /// A carrier's centre or width makes no sense.
    #[error("carrier {index}: a centre of {centre} Hz with a width of {width} Hz is not a channel")]
    Carrier {
        /// Its position in the list.
        index: usize,
        /// Its centre \[Hz\].
        centre: f64,
        /// Its width \[Hz\].
        width: f64,
    },
    /// The tolerance of thicknesses is no share.
    #[error("a tolerance of thicknesses of {thickness} is no share of them; give 0 or more and less than 1")]
    Tolerance {
        /// The tolerance.
        thickness: f64,
    },
    /// An index of the resolved home points nowhere.
    #[error("`{element}` refers to assembly number {index}, but there are {count}")]
    Assembly {
        /// The element.
        element: Id,
        /// The index.
        index: usize,
        /// How many assemblies there are.
        count: usize,
    },
    /// A coordinate or size is not a finite number, or a size is not positive.
    #[error("`{element}`: {what} is {value}; give a finite number, not negative for a size")]
    Geometry {
        /// The element.
        element: Id,
        /// What is wrong.
        what: &'static str,
        /// The value.
        value: f64,
    },
    /// A grid has no cell or too many.
    #[error(
        "a grid of {cells} cells of {cell} m is not possible: at least 1 and at most {limit}; choose another cell size"
    )]
    Grid {
        /// How many it would have.
        cells: f64,
        /// Cell size \[m\].
        cell: f64,
        /// The most that is allowed.
        limit: usize,
    },
    /// There is no such storey.
    #[error("there is no storey number {index}; the home has {count}")]
    Storey {
        /// The number asked for.
        index: usize,
        /// How many there are.
        count: usize,
    },
    /// A storey has no rooms to lay a grid over.
    #[error("storey `{storey}` has no room, so that there is nothing to lay a grid over")]
    NoRooms {
        /// The storey.
        storey: Id,
    },
}

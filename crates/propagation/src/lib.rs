//! Path gain through a building.
//!
//! - [`slab`]: transmission and reflection of layered slabs (ITU-R P.2040-4)
//! - [`wall`]: what an assembly passes on average over a channel and its thickness tolerance; studs and joists
//! - [`Scene`]: a home ready for path gain
//! - [`Scene::path`] explains the direct path, [`Scene::maps`] fills [`Grid`]s with it
//! - [`Scene::paths`] finds and explains direct, reflected and diffracted paths, [`Scene::maps_with`] fills grids with them,
//!   [`Scene::maps_again`] brings such maps up to date after an edit
//! - [`antenna`]: dipole, ceiling patch, pattern files, mounting; [`Scene::paths_between`]
//! - [`diffraction`]: coefficients of the uniform theory of diffraction
//! - [`free_space_loss`]: ITU-R P.525
//! - [`models`]: statistical models and the paths side by side; building entry loss
//! - [`reliability`]: shadowing, fading margin, probability of a link and covered share of an area
//!
//! This crate does not know what a radio sends over a path.

pub mod antenna;
mod beam;
mod check;
mod detour;
pub mod diffraction;
mod edge;
mod error;
mod free_space;
mod geometry;
mod grid;
mod map;
pub mod models;
mod path;
mod paths;
mod quadrature;
mod reflected;
pub mod reliability;
mod scene;
mod search;
pub mod slab;
mod surface;
mod table;
pub mod wall;

pub use antenna::Site;
pub use error::PropagationError;
pub use free_space::{MIN_DISTANCE, free_space_loss};
pub use grid::{Grid, MAX_CELLS};
pub use path::Path;
pub use paths::{Interaction, Leg, MAX_REFLECTIONS, PathConfig, Paths, RayPath};
pub use reflected::{MapConfig, MapError, MapMemory, Maps};
pub use scene::Scene;
pub use wall::{Carrier, Tolerance};

//! Quantities with their units, and points in space.
//!
//! Every quantity is a newtype over `f64` in its SI (or trade) base unit, so that a loss can never be added where a
//! level is wanted: `Dbm + Db = Dbm` compiles, `Dbm + Dbm` does not. This crate knows nothing of homes.
//!
//! - [`Metres`], [`SquareMetres`], [`Seconds`], [`Hertz`], [`Watts`], [`WattHours`], [`BitsPerSecond`], [`Degrees`]
//! - [`Db`], [`Dbm`]
//! - [`Money`], [`Currency`], [`Percent`], [`Date`]
//! - [`Point2`], [`Point3`]
//! - [`ParseQuantityError`]: what every parser here returns

mod date;
mod decimal;
mod length;
mod money;
mod parse;
mod percent;
mod point;
mod print;
mod quantity;

pub use date::Date;
pub use money::{Currency, Money};
pub use parse::ParseQuantityError;
pub use percent::Percent;
pub use point::{Point2, Point3};
pub use quantity::{BitsPerSecond, Db, Dbm, Degrees, Hertz, Metres, Seconds, SquareMetres, WattHours, Watts};

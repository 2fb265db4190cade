//! Points in plan and in space.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// A point in plan [m]: x to the right, y up the sheet. Written `[x, y]`.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(from = "[f64; 2]", into = "[f64; 2]")]
#[schemars(with = "[f64; 2]")]
pub struct Point2 {
    /// To the right [m].
    pub x: f64,
    /// Up the sheet [m].
    pub y: f64,
}

impl Point2 {
    /// A point in plan from its coordinates [m].
    #[must_use]
    pub const fn new(x: f64, y: f64) -> Self {
        Self { x, y }
    }

    /// Distance to another point [m].
    #[must_use]
    pub fn distance(self, other: Self) -> f64 {
        (self.x - other.x).hypot(self.y - other.y)
    }

    /// The point at a height.
    #[must_use]
    pub const fn at_height(self, z: f64) -> Point3 {
        Point3 { x: self.x, y: self.y, z }
    }

    /// True if both coordinates are finite.
    #[must_use]
    pub fn is_finite(self) -> bool {
        self.x.is_finite() && self.y.is_finite()
    }
}

impl From<[f64; 2]> for Point2 {
    fn from([x, y]: [f64; 2]) -> Self {
        Self { x, y }
    }
}

impl From<Point2> for [f64; 2] {
    fn from(p: Point2) -> Self {
        [p.x, p.y]
    }
}

/// A point in space [m]: z up from the building's zero level. Written `[x, y, z]`.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(from = "[f64; 3]", into = "[f64; 3]")]
#[schemars(with = "[f64; 3]")]
pub struct Point3 {
    /// To the right [m].
    pub x: f64,
    /// Up the sheet [m].
    pub y: f64,
    /// Up [m].
    pub z: f64,
}

impl Point3 {
    /// A point in space from its coordinates [m].
    #[must_use]
    pub const fn new(x: f64, y: f64, z: f64) -> Self {
        Self { x, y, z }
    }

    /// Straight distance to another point [m].
    #[must_use]
    pub fn distance(self, other: Self) -> f64 {
        ((self.x - other.x).powi(2) + (self.y - other.y).powi(2) + (self.z - other.z).powi(2)).sqrt()
    }

    /// Its place in plan.
    #[must_use]
    pub const fn plan(self) -> Point2 {
        Point2 { x: self.x, y: self.y }
    }

    /// True if all coordinates are finite.
    #[must_use]
    pub fn is_finite(self) -> bool {
        self.x.is_finite() && self.y.is_finite() && self.z.is_finite()
    }
}

impl From<[f64; 3]> for Point3 {
    fn from([x, y, z]: [f64; 3]) -> Self {
        Self { x, y, z }
    }
}

impl From<Point3> for [f64; 3] {
    fn from(p: Point3) -> Self {
        [p.x, p.y, p.z]
    }
}

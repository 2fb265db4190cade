//! Grids of points on a storey.

use building::Resolved;
use findings::Id;
use units::{Metres, Point2, Point3};

use crate::error::PropagationError;
use crate::geometry::bounds;

/// Most cells of one grid; more are refused before anything is allocated.
pub const MAX_CELLS: usize = 4_000_000;

/// Square cells on a storey at one height.
///
/// Cell `(row, column)` has its centre at `origin + ((column + ½) cell, (row + ½) cell)`; row 0 is the lowest `y`.
#[derive(Clone, Debug, PartialEq)]
pub struct Grid {
    storey: Id,
    origin: Point2,
    cell: f64,
    rows: usize,
    columns: usize,
    z: f64,
}

impl Grid {
    /// A grid from its lower left corner, cell size \[m\], numbers of rows and columns, and height above zero level \[m\].
    ///
    /// # Errors
    /// [`PropagationError::Grid`] for no cells, more than [`MAX_CELLS`] or a cell size that is none;
    /// [`PropagationError::Geometry`] for coordinates that are no finite numbers.
    pub fn new(
        storey: Id,
        origin: Point2,
        cell: Metres,
        (rows, columns): (usize, usize),
        z: f64,
    ) -> Result<Self, PropagationError> {
        if !(origin.is_finite() && z.is_finite()) {
            let value = if z.is_finite() { origin.x + origin.y } else { z };
            return Err(PropagationError::Geometry { element: storey, what: "the place of a grid", value });
        }
        let cells = rows as f64 * columns as f64;
        if !(cell.is_finite() && cell.0 > 0.0 && cells >= 1.0 && cells <= MAX_CELLS as f64) {
            return Err(PropagationError::Grid { cells, cell: cell.0, limit: MAX_CELLS });
        }
        Ok(Self { storey, origin, cell: cell.0, rows, columns, z })
    }

    /// A grid over all rooms of a storey, at a height above its finished floor.
    ///
    /// # Errors
    /// As [`Grid::new`]; also if there is no such storey or it has no room.
    pub fn over(
        home: &Resolved,
        storey_idx: usize,
        cell: Metres,
        height_above_floor: Metres,
    ) -> Result<Self, PropagationError> {
        let storey = home
            .storeys
            .get(storey_idx)
            .ok_or(PropagationError::Storey { index: storey_idx, count: home.storeys.len() })?;
        let outlines: Vec<Point2> =
            home.rooms.iter().filter(|r| r.storey == storey_idx).flat_map(|r| r.outline.iter().copied()).collect();
        if outlines.is_empty() {
            return Err(PropagationError::NoRooms { storey: storey.id.clone() });
        }
        let (low, high) = bounds(&outlines);
        // A sliver of a cell beyond the wall is no reason for another row.
        let count = |span: f64| (span / cell.0 - 1e-9).ceil().max(1.0);
        let (rows, columns) = (count(high.y - low.y), count(high.x - low.x));
        if !(cell.is_finite() && cell.0 > 0.0 && rows * columns <= MAX_CELLS as f64) {
            return Err(PropagationError::Grid { cells: rows * columns, cell: cell.0, limit: MAX_CELLS });
        }
        let z = storey.floor_z + height_above_floor.0;
        Self::new(storey.id.clone(), low, cell, (rows as usize, columns as usize), z)
    }

    /// The storey.
    #[must_use]
    pub fn storey(&self) -> &Id {
        &self.storey
    }

    /// Lower left corner \[m\].
    #[must_use]
    pub fn origin(&self) -> Point2 {
        self.origin
    }

    /// Side of a cell \[m\].
    #[must_use]
    pub fn cell(&self) -> f64 {
        self.cell
    }

    /// Number of rows, along y.
    #[must_use]
    pub fn rows(&self) -> usize {
        self.rows
    }

    /// Number of columns, along x.
    #[must_use]
    pub fn columns(&self) -> usize {
        self.columns
    }

    /// Height of the centres above the building's zero level \[m\].
    #[must_use]
    pub fn z(&self) -> f64 {
        self.z
    }

    /// Centre of a cell.
    #[must_use]
    pub fn centre(&self, row: usize, column: usize) -> Point3 {
        Point3 {
            x: self.origin.x + (column as f64 + 0.5) * self.cell,
            y: self.origin.y + (row as f64 + 0.5) * self.cell,
            z: self.z,
        }
    }
}

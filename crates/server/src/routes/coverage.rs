//! Coverage of a design: maps of storeys. Single points are explained in `probe`.

use std::sync::Arc;

use assessment::{CoverageMap, MapRequest, Quantity};
use axum::extract::State;
use findings::Id;
use radio_profile::Band;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use units::{Metres, Point2};

use crate::extract::{JobPath, Json, Query};
use crate::moved::Move;
use crate::problem::Problem;
use crate::state::Shared;
use crate::work::{Asked, Work};

/// Side of the cells of a map that is made while a part is moved: a quarter of the cells, for a look at once [m].
const COARSE: Metres = Metres(0.5);

/// A band, or the best of all.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
pub enum MapBand {
    /// The best for each place.
    #[default]
    #[serde(rename = "any")]
    Any,
    /// 2.4 GHz.
    #[serde(rename = "2.4")]
    Ghz2,
    /// 5 GHz.
    #[serde(rename = "5")]
    Ghz5,
    /// 6 GHz.
    #[serde(rename = "6")]
    Ghz6,
}

impl MapBand {
    /// The band, if it is one.
    pub fn one(self) -> Option<Band> {
        match self {
            MapBand::Any => None,
            MapBand::Ghz2 => Some(Band::Ghz2),
            MapBand::Ghz5 => Some(Band::Ghz5),
            MapBand::Ghz6 => Some(Band::Ghz6),
        }
    }
}

/// Which map to make.
#[derive(Clone, Debug, PartialEq, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct MapQuery {
    /// A kept design of the job by its id, or an option by its hash.
    pub design: String,
    /// The storey.
    pub storey: Id,
    /// The band; the best of all if absent.
    #[serde(default)]
    pub band: MapBand,
    /// What to show; the level if absent.
    #[serde(default = "level")]
    pub quantity: Quantity,
    /// Cells of 0.5 m on the direct and once reflected paths alone, for a look while a part is moved.
    #[serde(default)]
    pub coarse: bool,
    /// A part of the design that is to be thought elsewhere on its storey; nothing is stored. Goes with `to_x` and `to_y`.
    #[serde(default, rename = "move")]
    pub part: Option<Id>,
    /// Where, to the right [m].
    #[serde(default)]
    pub to_x: Option<f64>,
    /// Where, up the sheet [m].
    #[serde(default)]
    pub to_y: Option<f64>,
}

fn level() -> Quantity {
    Quantity::Level
}

/// A quantity over the rooms of a storey, in square cells.
///
/// Cell `(row, column)` has its centre at `origin + ((column + ½) cell, (row + ½) cell)`; row 0 is the lowest `y`.
/// Lists are row by row.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct MapAnswer {
    /// The revision that was computed on.
    pub revision: u64,
    /// The design.
    pub design: String,
    /// The storey.
    pub storey: Id,
    /// The band.
    pub band: MapBand,
    /// What is shown.
    pub quantity: Quantity,
    /// The unit of the values.
    pub unit: String,
    /// Lower left corner of the grid [m].
    pub origin: Point2,
    /// Side of a cell [m].
    pub cell: f64,
    /// Number of rows (along y).
    pub rows: usize,
    /// Number of columns (along x).
    pub columns: usize,
    /// The quantity; null outside all rooms and where it is not defined.
    pub values: Vec<Option<f64>>,
    /// How far the cell is above what the target of its room needs 95 % of the time [dB]; below zero it is not covered.
    /// Null where the room has no target.
    pub margin_db: Vec<Option<f64>>,
    /// Which room the cell is in: its position among the storey's rooms.
    pub room: Vec<Option<u16>>,
    /// Levels at which contours tell most, rising.
    pub levels: Vec<f64>,
    /// What is missing where the map is empty or in part empty.
    pub missing: Vec<String>,
}

impl MapAnswer {
    fn new(revision: u64, query: &MapQuery, map: CoverageMap) -> Self {
        Self {
            revision,
            design: query.design.clone(),
            storey: map.storey,
            band: query.band,
            quantity: map.quantity,
            unit: map.unit,
            origin: map.origin,
            cell: map.cell,
            rows: map.rows,
            columns: map.columns,
            values: map.values,
            margin_db: map.margin_db,
            room: map.room,
            levels: map.levels,
            missing: map.missing,
        }
    }
}

/// Makes a map; `progress` is told of each step and can end it.
pub async fn make_map(
    work: &Work,
    query: MapQuery,
    progress: Arc<dyn findings::Progress + Send>,
) -> Result<MapAnswer, Problem> {
    let moved = Move::asked(query.part.as_ref(), query.to_x, query.to_y)?;
    let (evaluator, design) = (work.evaluator().await?, work.design(&query.design).await?);
    let design = moved.map_or(Ok(design.clone()), |moved| moved.of(&design, evaluator.home()).map(Arc::new))?;
    let request = MapRequest {
        storey: query.storey.clone(),
        band: query.band.one(),
        quantity: query.quantity,
        cell: query.coarse.then_some(COARSE),
    };
    let map = work.run(move || evaluator.map(&design, &request, &*progress)).await??;
    Ok(MapAnswer::new(work.record.revision, &query, map))
}

/// `GET /api/jobs/{id}/map`.
pub async fn map(
    State(app): State<Shared>,
    JobPath(id): JobPath,
    Query(query): Query<MapQuery>,
) -> Result<Json<MapAnswer>, Problem> {
    let work = app.works.of(id).await?;
    // A page that goes away ends the work.
    let (_asked, stop) = Asked::new();
    make_map(&work, query, Arc::new(stop)).await.map(Json)
}

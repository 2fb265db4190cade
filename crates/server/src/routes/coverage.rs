//! Coverage of a design: maps of storeys, and single points explained.

use std::sync::Arc;

use assessment::{CoverageMap, Leg, MapRequest, Probe, Quantity};
use axum::extract::State;
use findings::Id;
use radio_profile::Band;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use units::Point2;

use crate::extract::{JobPath, Json, Query};
use crate::house::RoomTarget;
use crate::problem::{self, Problem};
use crate::state::Shared;
use crate::work::{Asked, Work};

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
    fn one(self) -> Option<Band> {
        match self {
            MapBand::Any => None,
            MapBand::Ghz2 => Some(Band::Ghz2),
            MapBand::Ghz5 => Some(Band::Ghz5),
            MapBand::Ghz6 => Some(Band::Ghz6),
        }
    }
}

/// Which map to make.
#[derive(Clone, Debug, PartialEq, Eq, Deserialize, JsonSchema)]
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
    let (evaluator, design) = (work.evaluator().await?, work.design(&query.design).await?);
    let request = MapRequest { storey: query.storey.clone(), band: query.band.one(), quantity: query.quantity };
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

/// Which point to explain.
#[derive(Clone, Debug, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ProbeQuery {
    /// A kept design of the job by its id, or an option by its hash.
    pub design: String,
    /// The storey.
    pub storey: Id,
    /// To the right [m].
    pub x: f64,
    /// Up the sheet [m].
    pub y: f64,
    /// The band; the best of all if absent.
    #[serde(default)]
    pub band: MapBand,
}

/// What a telephone has at a point, and how its level comes about.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct ProbeAnswer {
    /// What it has.
    pub value: ProbeValue,
    /// The point.
    pub at: Point2,
    /// The storey.
    pub storey: Id,
    /// Height above the storey's floor.
    pub height_m: f64,
    /// The room that it is in.
    pub room: Option<Id>,
    /// The part that serves it.
    pub part: Option<Id>,
    /// The band that it is served in.
    pub band: Option<Band>,
    /// Standard deviation of the level from home to home and place to place.
    pub spread_db: f64,
    /// Distance to the part.
    pub distance_m: Option<f64>,
    /// What is asked for in this room.
    pub target: Option<RoomTarget>,
    /// How far above what the target needs 95 % of the time; below zero it is not covered.
    pub margin_db: Option<f64>,
    /// Whether the target is met with a probability of 95 %.
    pub covered: Option<bool>,
    /// How the level comes about: the values add up to it.
    pub legs: Vec<Leg>,
    /// What fading over a few centimetres takes off the level before rates are read from it.
    pub fading_db: Option<f64>,
    /// What one link must have in hand beside that to hold 95 % of the time.
    pub dependable_db: f64,
    /// What is missing.
    pub missing: Vec<String>,
    /// Where model and allowances come from.
    pub sources: Vec<String>,
}

/// What a telephone has at a point. Rates hold 95 % of the time, alone on the channel.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct ProbeValue {
    /// Local-mean level.
    pub level_dbm: Option<f64>,
    /// What it receives through the router [bit/s].
    pub down_bps: Option<f64>,
    /// What it sends through the router [bit/s].
    pub up_bps: Option<f64>,
    /// Probability that both directions meet the target, from 0 to 1.
    pub probability: Option<f64>,
}

impl From<Probe> for ProbeAnswer {
    fn from(probe: Probe) -> Self {
        Self {
            value: ProbeValue {
                level_dbm: probe.level.map(|l| l.0),
                down_bps: probe.down.map(|r| r.0),
                up_bps: probe.up.map(|r| r.0),
                probability: probe.probability,
            },
            at: probe.at,
            storey: probe.storey,
            height_m: probe.height.0,
            room: probe.room,
            part: probe.part,
            band: probe.band,
            spread_db: probe.spread.0,
            distance_m: probe.distance.map(|d| d.0),
            target: probe.target.map(|t| RoomTarget { down_bps: t.down.0, up_bps: t.up.0 }),
            margin_db: probe.margin.map(|m| m.0),
            covered: probe.covered,
            legs: probe.legs,
            fading_db: probe.fading.map(|f| f.0),
            dependable_db: probe.dependable.0,
            missing: probe.missing,
            sources: probe.sources.into_iter().map(cite).collect(),
        }
    }
}

/// A source in one line.
fn cite(source: findings::Source) -> String {
    if source.from_memory { format!("{} (from memory)", source.cite) } else { source.cite }
}

/// `GET /api/jobs/{id}/probe`.
pub async fn probe(
    State(app): State<Shared>,
    JobPath(id): JobPath,
    Query(query): Query<ProbeQuery>,
) -> Result<Json<ProbeAnswer>, Problem> {
    let at = Point2::new(query.x, query.y);
    if !at.is_finite() {
        return Err(Problem::of_field(problem::UNREADABLE, "x", "x and y must be finite numbers"));
    }
    let work = app.works.of(id).await?;
    let (evaluator, design) = (work.evaluator().await?, work.design(&query.design).await?);
    let probed = work.run(move || evaluator.probe(&design, &query.storey, at, query.band.one())).await??;
    Ok(Json(probed.into()))
}

//! Single points of a design's coverage, explained path by path.

use std::sync::Arc;

use assessment::{Leg, PathCrossing, Probe, ProbePath, Turn, TurnKind};
use axum::extract::State;
use findings::Id;
use radio_profile::Band;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use units::{Point2, Point3};

use super::coverage::MapBand;
use crate::extract::{JobPath, Json, Query};
use crate::house::RoomTarget;
use crate::moved::Move;
use crate::problem::{self, Problem};
use crate::state::Shared;

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
    /// How the level comes about, along the strongest path and with what all others bring: the values add up to it.
    pub legs: Vec<Leg>,
    /// The paths that make up the level, the strongest first, at most twelve.
    pub paths: Vec<PathAnswer>,
    /// The paths beyond those.
    pub others: Option<OtherAnswer>,
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

/// One of the paths that make up a level.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct PathAnswer {
    /// What it alone brings.
    pub level_dbm: f64,
    /// Length of the way.
    pub length_m: f64,
    /// Time of flight.
    pub delay_ns: f64,
    /// The part, where the way turns, and the device [m]; z from the building's zero level.
    pub points: Vec<Point3>,
    /// What turns it, in order.
    pub turns: Vec<TurnAnswer>,
    /// What it passes through, in order.
    pub crossings: Vec<CrossingAnswer>,
}

/// A turn of a path.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct TurnAnswer {
    /// How it turns.
    pub kind: TurnKind,
    /// Where [m].
    pub at: Point3,
    /// The wall, opening, floor or object that turns it.
    pub element: Id,
    /// What that is, for people.
    pub label: String,
    /// Angle of incidence from square of a reflection; angle by which a diffracted way turns.
    pub angle_deg: f64,
    /// What the turn costs.
    pub loss_db: f64,
}

/// Something that a path passes through.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct CrossingAnswer {
    /// Where [m].
    pub at: Point3,
    /// The wall, opening, floor or object.
    pub element: Id,
    /// What it is made of, for people.
    pub label: String,
    /// Angle of incidence from square.
    pub angle_deg: f64,
    /// What it costs.
    pub loss_db: f64,
}

/// The paths that are not told one by one.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct OtherAnswer {
    /// How many.
    pub count: usize,
    /// What they bring together.
    pub level_dbm: f64,
}

impl From<ProbePath> for PathAnswer {
    fn from(path: ProbePath) -> Self {
        let turn = |turn: Turn| TurnAnswer {
            kind: turn.kind,
            at: turn.at,
            element: turn.element,
            label: turn.label,
            angle_deg: turn.angle_deg,
            loss_db: turn.loss.0,
        };
        let crossing = |crossing: PathCrossing| CrossingAnswer {
            at: crossing.at,
            element: crossing.element,
            label: crossing.label,
            angle_deg: crossing.angle_deg,
            loss_db: crossing.loss.0,
        };
        Self {
            level_dbm: path.level.0,
            length_m: path.length.0,
            delay_ns: path.delay_ns,
            points: path.points,
            turns: path.turns.into_iter().map(turn).collect(),
            crossings: path.crossings.into_iter().map(crossing).collect(),
        }
    }
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
            paths: probe.paths.into_iter().map(PathAnswer::from).collect(),
            others: probe.others.map(|o| OtherAnswer { count: o.count, level_dbm: o.level.0 }),
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
    let moved = Move::asked(query.part.as_ref(), query.to_x, query.to_y)?;
    let work = app.works.of(id).await?;
    let (evaluator, design) = (work.evaluator().await?, work.design(&query.design).await?);
    let design = moved.map_or(Ok(design.clone()), |moved| moved.of(&design, evaluator.home()).map(Arc::new))?;
    let probed = work.run(move || evaluator.probe(&design, &query.storey, at, query.band.one())).await??;
    Ok(Json(probed.into()))
}

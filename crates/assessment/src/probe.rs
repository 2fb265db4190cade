//! What a telephone has at one point of a design, and how its level comes about.

use building::Resolved;
use findings::{Id, Source};
use network::Design;
use network::results::Crossing;
use propagation::reliability::Shadowing;
use propagation::{Interaction, RayPath};
use radio_profile::Band;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use units::{BitsPerSecond, Db, Dbm, Metres, Point2, Point3};
use wlan::Direction;

use crate::evaluator::Evaluator;
use crate::gains::{self, CARRIERS};
use crate::home::HELD_HEIGHT;
use crate::map::{Judge, MapError, target_of};

/// The target of the room that a point is in.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct ProbeTarget {
    /// Rate towards the device.
    pub down: BitsPerSecond,
    /// Rate from the device.
    pub up: BitsPerSecond,
}

/// One step on the way from what is radiated to the level.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Leg {
    /// What it is, for people.
    pub label: String,
    /// What it adds; the first one is a level [dBm], the others are gains [dB].
    pub value: f64,
    /// `dBm` or `dB`.
    pub unit: String,
    /// The wall, opening, floor or object that it is due to.
    pub element: Option<Id>,
    /// Who gives the model.
    pub source: Option<String>,
}

/// Paths that a probe tells one by one.
const TOLD: usize = 12;

/// One of the paths that make up a level.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct ProbePath {
    /// What it alone brings.
    pub level: Dbm,
    /// Length of the way.
    pub length: Metres,
    /// Time of flight [ns].
    pub delay_ns: f64,
    /// The part, where the way turns, and the device.
    pub points: Vec<Point3>,
    /// What turns it, in order.
    pub turns: Vec<Turn>,
    /// What it passes through, in order.
    pub crossings: Vec<PathCrossing>,
}

/// How a path turns.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum TurnKind {
    /// In a mirror.
    Reflection,
    /// At an edge.
    Diffraction,
}

/// A turn of a path.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Turn {
    /// How it turns.
    pub kind: TurnKind,
    /// Where [m].
    pub at: Point3,
    /// The wall, opening, floor or object that turns it.
    pub element: Id,
    /// What that is, for people.
    pub label: String,
    /// Angle of incidence from square of a reflection; angle by which a diffracted way turns [°].
    pub angle_deg: f64,
    /// What the turn costs.
    pub loss: Db,
}

/// Something that a path passes through.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct PathCrossing {
    /// Where [m].
    pub at: Point3,
    /// The wall, opening, floor or object.
    pub element: Id,
    /// What it is made of, for people.
    pub label: String,
    /// Angle of incidence from square [°].
    pub angle_deg: f64,
    /// What it costs.
    pub loss: Db,
}

/// The paths that are not told one by one.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct OtherPaths {
    /// How many.
    pub count: usize,
    /// What they bring together.
    pub level: Dbm,
}

/// What a telephone has at a point.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Probe {
    /// The point in plan [m].
    pub at: Point2,
    /// The storey.
    pub storey: Id,
    /// Height above the storey's floor [m].
    pub height: Metres,
    /// The room that it is in.
    pub room: Option<Id>,
    /// The part that serves a telephone there.
    pub part: Option<Id>,
    /// The band that it serves in.
    pub band: Option<Band>,
    /// Distance to the part.
    pub distance: Option<Metres>,
    /// Local-mean level at the telephone.
    pub level: Option<Dbm>,
    /// Standard deviation of the level from home to home and place to place.
    pub spread: Db,
    /// What it receives through the router 95 % of the time, alone on the channel, from any part.
    pub down: Option<BitsPerSecond>,
    /// What it sends, in the same way.
    pub up: Option<BitsPerSecond>,
    /// What is asked for in this room.
    pub target: Option<ProbeTarget>,
    /// Probability that both directions meet the target, from 0 to 1.
    pub probability: Option<f64>,
    /// How far above what the target needs 95 % of the time; below zero it is not covered.
    pub margin: Option<Db>,
    /// True if the target is met with a probability of 95 %.
    pub covered: Option<bool>,
    /// How the level comes about, along the strongest path and with what all others bring: the values add up to it.
    pub legs: Vec<Leg>,
    /// The paths that make up the level, the strongest first, at most twelve.
    pub paths: Vec<ProbePath>,
    /// The paths beyond those.
    pub others: Option<OtherPaths>,
    /// What fading over a few centimetres takes off the level before rates are read from it.
    pub fading: Option<Db>,
    /// What one link must have in hand beside that to hold 95 % of the time.
    pub dependable: Db,
    /// What is missing.
    pub missing: Vec<String>,
    /// Where model and allowances come from.
    pub sources: Vec<Source>,
}

impl Evaluator {
    /// What a telephone has at a point of a storey, in one band or in the best of all.
    ///
    /// # Errors
    /// [`MapError::NoStorey`].
    pub fn probe(&self, design: &Design, storey: &Id, at: Point2, band: Option<Band>) -> Result<Probe, MapError> {
        let home = self.home();
        let storey_idx = self.storey(storey)?;
        let room = home.resolved.rooms.iter().find(|r| r.storey == storey_idx && r.contains(at));
        let target = room.and_then(|room| target_of(self, room));
        let height = target.map_or(HELD_HEIGHT, |t| t.target.height.0);
        let place = at.at_height(home.resolved.storeys[storey_idx].floor_z + height);

        let radios = self.radios(design, band);
        let mut judge = Judge::new(&radios, &[target]);
        let paths: Vec<_> =
            radios.of.iter().map(|(radio, _)| self.gains.paths(&radio.from, place, radio.setting.band)).collect();
        let gains: Vec<Db> = paths.iter().map(|path| path.gain).collect();
        let margin = judge.margin(&gains, 0);
        let shadowing = Shadowing::default();
        let [spread_source, _] = Shadowing::sources();
        let mut probe = Probe {
            at,
            storey: storey.clone(),
            height: Metres(height),
            room: room.map(|r| r.id.clone()),
            part: None,
            band: None,
            distance: None,
            level: None,
            spread: Db(shadowing.sigma_db),
            down: None,
            up: None,
            target: target.map(|t| ProbeTarget { down: t.target.down, up: t.target.up }),
            probability: margin.map(|_| judge.probability(&gains, 0)),
            margin: margin.map(Db),
            covered: margin.map(|m| m >= 0.0),
            legs: Vec::new(),
            paths: Vec::new(),
            others: None,
            fading: None,
            dependable: Db(judge.dependable()),
            missing: radios.missing.clone(),
            sources: gains::sources().into_iter().chain([spread_source]).collect(),
        };
        if room.is_none() {
            probe.missing.push("a room: the point is in a wall or outside".into());
        } else if !home.is_free(place) {
            probe.missing.push("a free place: the point is inside a fixed object, and does not count".into());
        } else if target.is_none() {
            probe.missing.push("a target for this room".into());
        }
        let Some(serving) = judge.serving(&gains) else { return Ok(probe) };
        let ((radio, link), paths) = (&radios.of[serving], &paths[serving]);
        probe.part = Some(radio.placed.id.clone());
        probe.band = Some(radio.setting.band);
        probe.distance = Some(Metres(radio.placed.at.distance(place)));
        probe.level = Some(link.level(paths.gain));
        probe.down = Some(judge.rate(&gains, Direction::Down));
        probe.up = Some(judge.rate(&gains, Direction::Up));
        probe.fading = Some(link.fading);

        let Some(strongest) = paths.paths.first() else { return Ok(probe) };
        let gain = |label: String, value: f64| Leg { label, value, unit: "dB".into(), element: None, source: None };
        let (radiated, antenna) = link.ends();
        let parts = home.catalog.get(&radio.placed.part);
        let name = parts.map_or_else(|| radio.placed.id.to_string(), |part| part.name.clone());
        let walls = format!("ITU-R P.2040-4, walls at {:.0} MHz", CARRIERS[radio.setting.band.index()].centre.mhz());
        probe.legs.push(Leg { unit: "dBm".into(), ..gain(format!("{name} radiates"), radiated.0) });
        probe.legs.push(Leg {
            source: Some("ITU-R P.525".into()),
            ..gain(format!("free space, {:.0} MHz", radio.setting.centre.mhz()), link.shift - strongest.free_space.0)
        });
        let through = |crossing: &Crossing, how: &str| Leg {
            element: Some(crossing.element.clone()),
            source: Some(walls.clone()),
            ..gain(
                format!("{how}{}, {:.0}° from square", made_of(&home.resolved, crossing), crossing.angle_deg),
                -crossing.loss.0,
            )
        };
        if strongest.antenna_gains[0].0 != 0.0 {
            let off = "the part's antenna, off its strongest direction".into();
            probe.legs.push(gain(off, strongest.antenna_gains[0].0));
        }
        for leg in &strongest.legs {
            probe.legs.extend(leg.crossings.iter().map(|crossing| through(crossing, "")));
            match &leg.end {
                Some(Interaction::Reflection(mirror)) => probe.legs.push(through(mirror, "reflected by ")),
                Some(Interaction::Diffraction { element, angle_deg, loss }) => probe.legs.push(Leg {
                    element: Some(element.clone()),
                    source: Some("uniform theory of diffraction".into()),
                    ..gain(format!("round an edge of {element}, {angle_deg:.0}° turned"), -loss.0)
                }),
                None => {}
            }
        }
        let num_others = paths.paths.len() - 1;
        if num_others > 0 {
            let plural = if num_others == 1 { "" } else { "s" };
            let more = paths.gain - strongest.gain;
            probe.legs.push(gain(format!("{num_others} other path{plural}, reflected or diffracted"), more.0));
        }
        probe.legs.push(gain("the telephone's antenna".into(), antenna.0));

        let (told, rest) = paths.paths.split_at(paths.paths.len().min(TOLD));
        probe.paths = told.iter().map(|path| told_path(&home.resolved, path, link.level(path.gain))).collect();
        if !rest.is_empty() {
            let power: f64 = rest.iter().map(|path| 10f64.powf(path.gain.0 / 10.0)).sum();
            probe.others = Some(OtherPaths { count: rest.len(), level: link.level(Db(10.0 * power.log10())) });
        }
        Ok(probe)
    }
}

/// A path for people.
fn told_path(home: &Resolved, path: &RayPath, level: Dbm) -> ProbePath {
    let start = path.legs.first().map(|leg| leg.from);
    let points = start.into_iter().chain(path.legs.iter().map(|leg| leg.to)).collect();
    let turn = |leg: &propagation::Leg| {
        Some(match leg.end.as_ref()? {
            Interaction::Reflection(mirror) => Turn {
                kind: TurnKind::Reflection,
                at: leg.to,
                element: mirror.element.clone(),
                label: made_of(home, mirror),
                angle_deg: mirror.angle_deg,
                loss: mirror.loss,
            },
            Interaction::Diffraction { element, angle_deg, loss } => Turn {
                kind: TurnKind::Diffraction,
                at: leg.to,
                element: element.clone(),
                label: format!("edge of {element}"),
                angle_deg: *angle_deg,
                loss: *loss,
            },
        })
    };
    let crossing = |crossing: &Crossing| PathCrossing {
        at: crossing.at,
        element: crossing.element.clone(),
        label: made_of(home, crossing),
        angle_deg: crossing.angle_deg,
        loss: crossing.loss,
    };
    ProbePath {
        level,
        length: path.length,
        delay_ns: path.delay * 1e9,
        points,
        turns: path.legs.iter().filter_map(turn).collect(),
        crossings: path.legs.iter().flat_map(|leg| &leg.crossings).map(crossing).collect(),
    }
}

/// What something in the way is made of, for people.
fn made_of(home: &Resolved, crossing: &Crossing) -> String {
    let assembly = home.assemblies.iter().find(|a| a.id == crossing.assembly);
    assembly.map_or_else(|| crossing.assembly.to_string(), |a| a.name.clone())
}

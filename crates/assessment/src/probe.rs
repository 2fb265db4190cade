//! What a telephone has at one point of a design, and how its level comes about.

use findings::{Id, Source};
use network::Design;
use propagation::reliability::Shadowing;
use radio_profile::Band;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use units::{BitsPerSecond, Db, Dbm, Metres, Point2};
use wlan::Direction;

use crate::evaluator::{CARRIERS, Evaluator};
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
    /// How the level comes about: the values add up to it.
    pub legs: Vec<Leg>,
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
        let height = target.map_or(HELD_HEIGHT, |t| t.height.0);
        let place = at.at_height(home.resolved.storeys[storey_idx].floor_z + height);

        let radios = self.radios(design, band);
        let mut judge = Judge::new(&radios, &[target]);
        let paths: Vec<_> = radios
            .of
            .iter()
            .map(|(radio, _)| self.scene.path(radio.placed.at, place, radio.setting.band.index()))
            .collect();
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
            target: target.map(|t| ProbeTarget { down: t.down, up: t.up }),
            probability: margin.map(|_| judge.probability(&gains, 0)),
            margin: margin.map(Db),
            covered: margin.map(|m| m >= 0.0),
            legs: Vec::new(),
            fading: None,
            dependable: Db(judge.dependable()),
            missing: radios.missing.clone(),
            sources: vec![Source::standard("ITU-R P.2040-4; ITU-R P.525"), spread_source],
        };
        if room.is_none() {
            probe.missing.push("a room: the point is in a wall or outside".into());
        } else if !home.is_free(place) {
            probe.missing.push("a free place: the point is inside a fixed object, and does not count".into());
        } else if target.is_none() {
            probe.missing.push("a target for this room".into());
        }
        let Some(serving) = judge.serving(&gains) else { return Ok(probe) };
        let ((radio, link), path) = (&radios.of[serving], &paths[serving]);
        probe.part = Some(radio.placed.id.clone());
        probe.band = Some(radio.setting.band);
        probe.distance = Some(path.distance);
        probe.level = Some(link.level(path.gain));
        probe.down = Some(judge.rate(&gains, Direction::Down));
        probe.up = Some(judge.rate(&gains, Direction::Up));
        probe.fading = Some(link.fading);

        let gain = |label: String, value: f64| Leg { label, value, unit: "dB".into(), element: None, source: None };
        let (radiated, antenna) = link.ends();
        let parts = home.catalog.get(&radio.placed.part);
        let name = parts.map_or_else(|| radio.placed.id.to_string(), |part| part.name.clone());
        probe.legs.push(Leg { unit: "dBm".into(), ..gain(format!("{name} radiates"), radiated.0) });
        probe.legs.push(Leg {
            source: Some("ITU-R P.525".into()),
            ..gain(format!("free space, {:.0} MHz", radio.setting.centre.mhz()), link.shift - path.free_space.0)
        });
        for crossing in &path.crossings {
            let assembly = home.resolved.assemblies.iter().find(|a| a.id == crossing.assembly);
            let made_of = assembly.map_or_else(|| crossing.assembly.to_string(), |a| a.name.clone());
            probe.legs.push(Leg {
                element: Some(crossing.element.clone()),
                source: Some(format!(
                    "ITU-R P.2040-4, walls at {:.0} MHz",
                    CARRIERS[radio.setting.band.index()].centre.mhz()
                )),
                ..gain(format!("{made_of}, {:.0}° from square", crossing.angle_deg), -crossing.loss.0)
            });
        }
        probe.legs.push(gain("the telephone's antenna".into(), antenna.0));
        Ok(probe)
    }
}

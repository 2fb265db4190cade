//! What happens when things are switched off: which services fail, which go on by another way.

use findings::Id;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use units::Seconds;

use crate::MINUTES_A_YEAR;
use crate::component::ComponentKind;
use crate::model::Model;
use crate::services::{Alternative, ServiceKind};

/// Something that is switched off.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Off {
    /// A placed part, link, line, circuit, shared way or device, or `mains`.
    pub id: Id,
    /// For the mains and circuits: how long they have been out, so that batteries still carry; for good if absent.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub since: Option<Seconds>,
}

impl Off {
    /// Off for good.
    #[must_use]
    pub fn for_good(id: Id) -> Self {
        Self { id, since: None }
    }

    /// Off for a time.
    #[must_use]
    pub fn since(id: Id, since: Seconds) -> Self {
        Self { id, since: Some(since) }
    }
}

/// How a service fares.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum ServiceState {
    /// It goes on by its usual way.
    Up,
    /// It goes on by another way.
    Alternative,
    /// It is down.
    Down,
    /// Its needs are not known.
    Unknown,
}

/// One service while things are off.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Fared {
    /// The service.
    pub id: Id,
    /// What it is.
    pub kind: ServiceKind,
    /// True if it must stay up.
    pub must_stay_up: bool,
    /// How it fares, all else being up.
    pub state: ServiceState,
    /// The ways by which it goes on.
    pub alternatives: Vec<Alternative>,
    /// Availability before; nothing if unknown.
    pub before: Option<f64>,
    /// Availability if this lasts for good; nothing if unknown.
    pub after: Option<f64>,
    /// Minutes a year that would be lost by it if it lasted for good.
    pub minutes_lost: Option<f64>,
    /// True if it goes on only while the untested far end of a line has power.
    pub if_line_holds: bool,
}

/// What happens when things are off.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct WhatIf {
    /// Named things that no service hangs on.
    pub without_effect: Vec<Id>,
    /// Services in the model's order.
    pub services: Vec<Fared>,
}

impl Model<'_> {
    /// Switches things off.
    #[must_use]
    pub fn what_if(&self, off: &[Off]) -> WhatIf {
        let touches = |off: &Off, component: usize| {
            self.components.get(component).is_some_and(|c| {
                c.id == off.id
                    && match (c.longer_than, off.since) {
                        // A level is down once the outage has gone on for longer than it.
                        (Some(level), Some(since)) => level.0 < since.0,
                        _ => true,
                    }
            })
        };
        let is_down: Vec<bool> = (0..self.components.len()).map(|c| off.iter().any(|o| touches(o, c))).collect();
        let down = |c: usize| is_down.get(c).copied().unwrap_or(false);
        let mains_out = is_down.iter().zip(&self.components).any(|(d, c)| *d && c.kind == ComponentKind::Mains);
        let (before, after) = (self.availabilities(&|_| false), self.availabilities(&down));
        let fared = |(served, (before, after)): (&crate::services::Served, (&Option<f64>, &Option<f64>))| {
            let mut fared = Fared {
                id: served.id.clone(),
                kind: served.kind,
                must_stay_up: served.must_stay_up,
                state: ServiceState::Unknown,
                alternatives: Vec::new(),
                before: *before,
                after: *after,
                minutes_lost: before.zip(*after).map(|(b, a)| (b - a) * MINUTES_A_YEAR),
                if_line_holds: false,
            };
            if let Ok(ways) = &served.ways {
                let up = |c: usize| !down(c);
                let usual = ways.usual.holds(&up);
                if !usual {
                    let going = ways.alternatives.iter().filter(|a| a.1.holds(&up));
                    fared.alternatives = going.map(|a| a.0.clone()).collect();
                }
                fared.state = match (usual, ways.whole.holds(&up)) {
                    (true, _) => ServiceState::Up,
                    (false, true) => ServiceState::Alternative,
                    (false, false) => ServiceState::Down,
                };
                let dead = |c: usize| up(c) && !self.is_untested(c);
                fared.if_line_holds = mains_out && fared.state != ServiceState::Down && !ways.whole.holds(&dead);
            }
            fared
        };
        let used = |id: &Id| self.components.iter().any(|c| &c.id == id);
        WhatIf {
            without_effect: off.iter().filter(|o| !used(&o.id)).map(|o| o.id.clone()).collect(),
            services: self.services.iter().zip(before.iter().zip(&after)).map(fared).collect(),
        }
    }
}

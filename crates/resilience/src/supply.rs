//! The battery supplies of a design: what each carries, in which stages, and for how long each part.

use std::collections::BTreeMap;

use equipment::{Battery, Part};
use findings::Id;
use network::{CellState, Design, Shed, Upkeep};
use units::{Seconds, Watts};

use crate::battery::{Runtime, RuntimeProblem, Stage, runtime, stages};
use crate::load::{DeviceLoad, LoadItem, loads};

/// A battery supply at work.
#[derive(Clone, Debug)]
pub(crate) struct Supply {
    pub id: Id,
    pub battery: Battery,
    pub state: CellState,
    /// What hangs on it when the mains go.
    pub items: Vec<LoadItem>,
    /// Stages of a discharge; the last ends when it is empty.
    pub stages: Result<Vec<Stage>, RuntimeProblem>,
    /// How long it carries what hangs on it, sheddings included.
    pub runtime: Result<Runtime, RuntimeProblem>,
    /// When a part that is switched off earlier goes.
    off_at: BTreeMap<Id, Seconds>,
}

impl Supply {
    /// Of each placed battery supply, in the design's order.
    pub fn all<'a>(
        design: &Design,
        parts: &dyn Fn(&Id) -> Option<&'a Part>,
        device: &dyn Fn(&Id) -> Option<DeviceLoad>,
    ) -> Vec<Supply> {
        let with_battery = design.parts.iter().filter_map(|placed| {
            let battery = parts(&placed.part)?.battery.clone()?;
            Some((placed.id.clone(), battery))
        });
        with_battery
            .map(|(id, battery)| {
                let items = loads(design, &id, parts, device);
                Self::of(id, battery, items, &design.upkeep)
            })
            .collect()
    }

    fn of(id: Id, battery: Battery, items: Vec<LoadItem>, upkeep: &Upkeep) -> Self {
        let state = upkeep.cell_state(&id);
        let off_at = switched_off(&items, upkeep.shedding.iter().filter(|s| s.supply == id));
        let mut times: Vec<Seconds> = off_at.values().copied().collect();
        times.sort_by(Seconds::total_cmp);
        times.dedup();
        let load_from = |time: Option<Seconds>| {
            let is_on = |item: &&LoadItem| match (time, off_at.get(&item.id)) {
                (Some(time), Some(off)) => off.0 > time.0,
                _ => true,
            };
            Watts(items.iter().filter(is_on).map(|item| item.load.0).sum())
        };
        let starts = std::iter::once(None).chain(times.iter().copied().map(Some));
        let ends = times.iter().copied().chain([Seconds(f64::INFINITY)]);
        let plan: Vec<(Watts, Seconds)> = starts.map(load_from).zip(ends).collect();
        let stages = stages(&battery, &plan, &state);
        let first = runtime(&battery, load_from(None), &state);
        let runtime = match (&stages, first) {
            (Ok(stages), Ok(first)) => {
                // The interval of a staged discharge is that of its first load, in proportion.
                let value = stages.last().map_or(Seconds(0.0), |s| s.to);
                let scale = |end: Seconds| if first.value.0 > 0.0 { value * (end.0 / first.value.0) } else { value };
                Ok(Runtime { value, low: scale(first.low), high: scale(first.high) })
            }
            (Err(problem), _) => Err(*problem),
            (_, Err(problem)) => Err(problem),
        };
        Self { id, battery, state, items, stages, runtime, off_at }
    }

    /// How long a part keeps its supply when the mains go; no time if that is unknown.
    pub fn carries(&self, part: &Id) -> Seconds {
        let whole = self.runtime.as_ref().map_or(Seconds(0.0), |r| r.value);
        self.off_at.get(part).map_or(whole, |off| off.min(whole))
    }

    /// What it carries when the mains go.
    pub fn load(&self) -> Watts {
        Watts(self.items.iter().map(|item| item.load.0).sum())
    }
}

/// When each part is switched off: itself, or with the part that feeds it over its data cable. A time that is negative or
/// no number switches nothing off.
fn switched_off<'a>(items: &[LoadItem], sheddings: impl Iterator<Item = &'a Shed>) -> BTreeMap<Id, Seconds> {
    let mut off_at: BTreeMap<Id, Seconds> = BTreeMap::new();
    let mut note = |id: &Id, after: Seconds| {
        let at = off_at.entry(id.clone()).or_insert(after);
        *at = at.min(after);
    };
    for shed in sheddings.filter(|s| s.after.is_finite() && s.after.0 >= 0.0) {
        shed.parts.iter().filter(|p| items.iter().any(|i| i.id == **p)).for_each(|p| note(p, shed.after));
    }
    // Feeders stand before what they feed.
    for item in items {
        let feeder_off = item.over.as_ref().and_then(|over| off_at.get(over)).copied();
        if let Some(after) = feeder_off {
            let at = off_at.entry(item.id.clone()).or_insert(after);
            *at = at.min(after);
        }
    }
    off_at
}

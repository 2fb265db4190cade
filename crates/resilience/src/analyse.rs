//! The full analysis: a row for each service, component, battery supply and cause of outages.

use units::{Seconds, Watts};

use crate::MINUTES_A_YEAR;
use crate::battery::{drawn, recharge, runtime};
use crate::builder::{own_runtime, usual_battery, usual_draw};
use crate::component::{ComponentKind, Law, Take};
use crate::diagram::{CUT_ORDER, Diagram};
use crate::failure::line_failures;
use crate::mains::YEAR;
use crate::model::Model;
use crate::outages::Lengths;
use crate::results::{
    BatteryRow, ComponentRow, CurvePoint, CutSet, Importance, Interval, MainsEffect, OutageRow, OwnBatteryRow,
    ServiceRow, Staying,
};
use crate::services::{Served, Ways};
use crate::supply::Supply;

/// What the model takes for granted.
const ASSUMPTIONS: [&str; 8] = [
    "Failures are independent but for what is modelled as shared: the mains, circuits, lines, battery supplies, ways that cables share.",
    "All figures are of the long run: how often in the mean, not when.",
    "The lengths of outages follow an assumed law; only their means are published.",
    "A battery is full when an outage begins.",
    "A supply whose battery has failed passes the mains through, or is bypassed by hand.",
    "Cables, cords and radio hops without a figure of their own are taken to hold, and shown as single points all the same.",
    "A device's own faults are not counted; an activity counts the device's power.",
    "A line whose far end was not tested with the mains out is taken to go on; the bounds take it as dead too.",
];

impl Model<'_> {
    /// Everything that can be said of the design.
    #[must_use]
    pub fn staying(&self) -> Staying {
        let draws = self.draws();
        Staying {
            design: self.input.design.id.clone(),
            services: self.services.iter().map(|s| self.service_row(s, &draws)).collect(),
            components: self.component_rows(&draws),
            batteries: self.supplies.iter().map(battery_row).collect(),
            own_batteries: self.own_battery_rows(),
            outages: self.outage_rows(),
            findings: self.findings(),
            assumptions: ASSUMPTIONS.map(str::to_owned).to_vec(),
        }
    }

    fn service_row(&self, service: &Served, draws: &[Vec<f64>]) -> ServiceRow {
        let mut row = ServiceRow {
            id: service.id.clone(),
            kind: service.kind,
            device: service.device.clone(),
            must_stay_up: service.must_stay_up,
            availability: None,
            minutes: None,
            usual_minutes: None,
            minutes_if_line_dies: None,
            missing: Vec::new(),
            single_points: Vec::new(),
            cuts: Vec::new(),
            cuts_complete_to: 0,
            importances: Vec::new(),
            alternatives: Vec::new(),
            mains: MainsEffect {
                outlasts: None,
                if_line_holds: false,
                ridden: None,
                ridden_long_tailed: None,
                minutes: None,
                minutes_long_tailed: None,
            },
        };
        let ways = match &service.ways {
            Ok(ways) => ways,
            Err(trouble) => {
                row.missing.push(trouble.to_string());
                return row;
            }
        };
        row.alternatives = ways.alternatives.iter().map(|a| a.0.clone()).collect();
        row.mains = self.mains_effect(&ways.whole);
        let up = self.ups(Take::Nominal);
        let (cuts, complete_to) = self.cut_sets(&ways.whole);
        row.cuts_complete_to = complete_to;
        row.single_points = cuts.iter().filter(|c| c.len() == 1).filter_map(|c| self.member(c[0])).collect();
        let is_known = |c: &usize| self.components.get(*c).is_some_and(|c| c.law != Law::Unknown);
        let minutes_of = |cut: &[usize]| {
            cut.iter().all(is_known).then(|| MINUTES_A_YEAR * cut.iter().map(|c| self.down(*c, &up)).product::<f64>())
        };
        row.cuts = cuts
            .iter()
            .map(|cut| CutSet {
                members: cut.iter().filter_map(|c| self.member(*c)).collect(),
                minutes: minutes_of(cut),
            })
            .collect();
        match self.bounds(service) {
            Err(missing) => row.missing = missing,
            Ok(bounds) => {
                let (availability, minutes) = self.intervals(&ways.whole, bounds, draws);
                row.availability = Some(availability);
                row.minutes = Some(minutes);
                row.usual_minutes = Some((1.0 - ways.usual.probability(&up)) * MINUTES_A_YEAR);
                row.minutes_if_line_dies = self.minutes_if_line_dies(&ways.whole, &up);
                row.importances = self.importances(ways, &up, &cuts);
            }
        }
        row
    }

    /// Minimal cut sets; of those that differ only in how long an outage has gone on, the one with the shortest.
    fn cut_sets(&self, diagram: &Diagram) -> (Vec<Vec<usize>>, usize) {
        let cuts = diagram.cuts(CUT_ORDER);
        let is_implied = |cut: &Vec<usize>| {
            cut.iter().enumerate().any(|(i, member)| {
                let Some((cause, position)) = self.level_of(*member) else { return false };
                let shorter = self.levels.get(cause).into_iter().flatten().take(position);
                shorter.into_iter().any(|level| {
                    let mut other = cut.clone();
                    other[i] = level.1;
                    other.sort_unstable();
                    let order = |set: &Vec<usize>| set.len().cmp(&other.len()).then_with(|| set.cmp(&other));
                    cuts.sets.binary_search_by(order).is_ok()
                })
            })
        };
        let kept = cuts.sets.iter().filter(|cut| !is_implied(cut)).cloned().collect();
        (kept, cuts.complete_to)
    }

    fn importances(&self, ways: &Ways, up: &[f64], cuts: &[Vec<usize>]) -> Vec<Importance> {
        let whole = &ways.whole;
        let now = whole.probability(up);
        let out = 1.0 - now;
        let share = |spared: f64| if out > 0.0 { (spared / out).clamp(0.0, 1.0) } else { 0.0 };
        let at_once: Vec<f64> = cuts.iter().map(|cut| cut.iter().map(|c| self.down(*c, up)).product()).collect();
        let vesely = |member: &dyn Fn(usize) -> bool| {
            let with = cuts.iter().zip(&at_once).filter(|(cut, _)| cut.iter().any(|c| member(*c)));
            share(with.map(|(_, p)| p).sum())
        };
        let mut rows = Vec::new();
        for (component, birnbaum) in whole.birnbaum(up) {
            let Some(of) = self.components.get(component).filter(|_| self.level_of(component).is_none()) else {
                continue;
            };
            let down = 1.0 - up.get(component).copied().unwrap_or(0.0);
            rows.push(Importance {
                id: of.id.clone(),
                kind: of.kind,
                birnbaum,
                criticality: share(birnbaum * down),
                fussell_vesely: vesely(&|c| c == component),
            });
        }
        // All levels of one cause are one thing.
        let used = whole.components();
        for (cause, levels) in self.causes.iter().zip(&self.levels) {
            if levels.iter().any(|l| used.binary_search(&l.1).is_ok()) {
                let with = |state: f64| {
                    let mut up = up.to_vec();
                    levels.iter().filter_map(|l| up.get_mut(l.1).map(|p| *p = state)).count();
                    whole.probability(&up)
                };
                let never = with(1.0);
                rows.push(Importance {
                    id: cause.id.clone(),
                    kind: cause.kind,
                    birnbaum: never - with(0.0),
                    criticality: share(never - now),
                    fussell_vesely: vesely(&|c| levels.iter().any(|l| l.1 == c)),
                });
            }
        }
        rows.sort_by(|a, b| b.criticality.total_cmp(&a.criticality).then_with(|| a.id.cmp(&b.id)));
        rows
    }

    /// With the untested far ends of lines down for good, so that their lines go with the mains.
    fn minutes_if_line_dies(&self, diagram: &Diagram, up: &[f64]) -> Option<f64> {
        let untested: Vec<usize> = diagram.components().into_iter().filter(|c| self.is_untested(*c)).collect();
        (!untested.is_empty()).then(|| {
            let mut up = up.to_vec();
            untested.iter().filter_map(|c| up.get_mut(*c).map(|p| *p = 0.0)).count();
            (1.0 - diagram.probability(&up)) * MINUTES_A_YEAR
        })
    }

    fn mains_effect(&self, diagram: &Diagram) -> MainsEffect {
        let outlasts = self.outlasts(diagram);
        let mains = self.causes.first().and_then(|c| c.known);
        let share = |of: fn(Lengths, Seconds, Seconds) -> f64, lengths: Lengths| {
            let (_, mean) = mains?;
            Some(outlasts.map_or(0.0, |t| of(lengths, mean, t)))
        };
        let ridden = |lengths| {
            // An outage that a service does not outlast at all is not ridden through, however short.
            let gone = outlasts.is_some_and(|t| t.0 <= 0.0);
            share(Lengths::longer_than, lengths).map(|longer| if gone { 0.0 } else { 1.0 - longer })
        };
        let minutes = |lengths| {
            let (time_share, _) = mains?;
            share(Lengths::left_after, lengths).map(|left| time_share * left * MINUTES_A_YEAR)
        };
        let stated = self.facts.lengths;
        let needs_line = diagram.components().into_iter().any(|c| self.is_untested(c));
        MainsEffect {
            outlasts,
            if_line_holds: needs_line,
            ridden: ridden(stated),
            ridden_long_tailed: ridden(Lengths::LONG_TAILED),
            minutes: minutes(stated),
            minutes_long_tailed: minutes(Lengths::LONG_TAILED),
        }
    }

    fn component_rows(&self, draws: &[Vec<f64>]) -> Vec<ComponentRow> {
        let mut rows = Vec::new();
        for (index, component) in self.components.iter().enumerate() {
            let level = self.level_of(index);
            // The first level of a cause stands for all.
            if level.is_some_and(|(_, position)| position > 0) {
                continue;
            }
            let minutes =
                [Take::Nominal, Take::Bad, Take::Good].map(|take| self.down(index, &self.ups(take)) * MINUTES_A_YEAR);
            let mut drawn: Vec<f64> = draws.iter().map(|up| self.down(index, up) * MINUTES_A_YEAR).collect();
            drawn.sort_by(f64::total_cmp);
            let quantile = |q: f64| drawn.get((q * drawn.len() as f64) as usize).copied().unwrap_or(minutes[0]);
            let [value, most, least] = minutes;
            let is_down = |c: usize| match level {
                Some((cause, _)) => self.levels.get(cause).into_iter().flatten().any(|l| l.1 == c),
                None => c == index,
            };
            let (mut takes_down, mut by_alternative) = (Vec::new(), Vec::new());
            for service in &self.services {
                let Ok(ways) = &service.ways else { continue };
                let was_up = ways.usual.holds(&|_| true);
                if !ways.whole.holds(&|c| !is_down(c)) {
                    takes_down.push(service.id.clone());
                } else if was_up && !ways.usual.holds(&|c| !is_down(c)) {
                    by_alternative.push(service.id.clone());
                }
            }
            let is_known = component.law != Law::Unknown;
            rows.push(ComponentRow {
                id: component.id.clone(),
                kind: component.kind,
                minutes: is_known.then(|| Interval::of(value, (quantile(0.05), quantile(0.95)), (least, most))),
                taken_to_hold: matches!(component.law, Law::Held | Law::Untested),
                missing: (!is_known).then(|| component.missing.clone()),
                source: component.source.clone(),
                takes_down,
                by_alternative,
            });
        }
        rows
    }

    fn own_battery_rows(&self) -> Vec<OwnBatteryRow> {
        let with_battery = self.input.household.devices.iter().filter(|d| d.has_battery);
        let row = |device: &household::Device| {
            let stated = device.power.as_ref();
            let (battery, draw) = (stated.and_then(|o| o.battery), stated.and_then(|o| o.draw));
            let is_generic = battery.is_none() || draw.is_none();
            let battery = battery.or_else(|| usual_battery(device.kind));
            let draw = draw.or_else(|| usual_draw(device.kind));
            OwnBatteryRow { device: device.id.clone(), runtime: own_runtime(battery, draw), is_generic }
        };
        with_battery.map(row).collect()
    }

    fn outage_rows(&self) -> Vec<OutageRow> {
        let law = |lengths: Lengths| match lengths {
            Lengths::Exponential => "exponential, assumed".to_owned(),
            Lengths::Lognormal { spread } => format!("lognormal with spread {spread}, assumed"),
        };
        let of_causes = self.causes.iter().map(|cause| {
            let minutes = cause.known.map(|(share, _)| {
                let value = share * MINUTES_A_YEAR;
                let ends = (value / cause.best, (value * cause.worst).min(MINUTES_A_YEAR));
                Interval::of(value, ends, ends)
            });
            OutageRow {
                id: cause.id.clone(),
                kind: cause.kind,
                a_year: cause.known.map(|(share, mean)| if mean.0 > 0.0 { share * YEAR.0 / mean.0 } else { 0.0 }),
                mean: cause.known.map(|k| k.1),
                minutes,
                law: law(cause.lengths(self.facts.lengths)),
                far_end: None,
                source: cause.source.clone(),
            }
        });
        let of_lines = self.input.site.lines.iter().map(|line| {
            let rate = line.failures.clone().unwrap_or_else(|| line_failures(line.kind));
            let component = self.components.iter().find(|c| c.kind == ComponentKind::Line && c.id == line.id);
            let known = rate.mtbf.0 > 0.0 && rate.mttr.0 >= 0.0 && rate.mtbf.is_finite() && rate.mttr.is_finite();
            OutageRow {
                id: line.id.clone(),
                kind: ComponentKind::Line,
                a_year: known.then(|| YEAR.0 / (rate.mtbf + rate.mttr).0),
                mean: known.then_some(rate.mttr),
                minutes: component.and_then(|c| c.availability()).map(|a| {
                    let minutes = |a: f64| (1.0 - a) * MINUTES_A_YEAR;
                    let ends = (minutes(a.high), minutes(a.low));
                    Interval::of(minutes(a.value), ends, ends)
                }),
                law: law(Lengths::Exponential),
                far_end: self.facts.line_backups.iter().find(|b| b.line == line.id).map(|b| b.runtime),
                source: rate.source,
            }
        });
        of_causes.chain(of_lines).collect()
    }
}

/// Points of a runtime curve.
const CURVE_POINTS: u32 = 10;

fn battery_row(supply: &Supply) -> BatteryRow {
    let known = supply.runtime.as_ref().ok();
    let curve = (1..=CURVE_POINTS).filter_map(|i| {
        let load = Watts(supply.battery.max_load.0 * f64::from(i) / f64::from(CURVE_POINTS));
        runtime(&supply.battery, load, &supply.state).ok().map(|r| CurvePoint { load, runtime: r.value })
    });
    BatteryRow {
        id: supply.id.clone(),
        items: supply.items.clone(),
        load: supply.load(),
        drawn: drawn(&supply.battery, supply.load()),
        runtime: known.map(|r| r.value),
        runtime_low: known.map(|r| r.low),
        runtime_high: known.map(|r| r.high),
        stages: supply.stages.as_ref().cloned().unwrap_or_default(),
        curve: curve.collect(),
        recharge: recharge(&supply.battery),
        standby_kwh: supply.battery.own_draw.0 * 8.760,
        problem: supply.runtime.as_ref().err().map(ToString::to_string),
    }
}

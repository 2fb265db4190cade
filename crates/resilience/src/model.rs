//! A design made ready to be asked about: components, services as diagrams, battery supplies.

use findings::Id;
use network::Design;
use units::Seconds;

use crate::MINUTES_A_YEAR;
use crate::builder::{Builder, Trouble};
use crate::component::{Component, ComponentKind, Law, Take};
use crate::diagram::Diagram;
use crate::evaluate::Input;
use crate::facts::Facts;
use crate::mains::Interruption;
use crate::random::Random;
use crate::results::{Interval, Member};
use crate::services::{Levels, Scope, Served, ServiceKind, served};
use crate::supply::Supply;

/// Draws of the uncertain rates for 90 % intervals.
const NUM_DRAWS: usize = 400;
/// Seed of the draws.
const SEED: u64 = 0x5EED_0F7A_1157;

/// A design with all that can fail in it.
///
/// Making it costs the most; each question afterwards is a few passes over diagrams.
pub struct Model<'a> {
    pub(crate) input: Input<'a>,
    pub(crate) facts: &'a Facts,
    pub(crate) components: Vec<Component>,
    pub(crate) causes: Vec<Interruption>,
    pub(crate) levels: Levels,
    pub(crate) services: Vec<Served>,
    pub(crate) supplies: Vec<Supply>,
    pub(crate) router: Option<&'a Id>,
    /// Lines that a part of the design ends, by index.
    pub(crate) lines: Vec<usize>,
}

/// Availability of a service, best figure and bounds.
pub(crate) type Bounds = [f64; 3];

impl<'a> Model<'a> {
    /// Of a design, with what is known beside it.
    #[must_use]
    pub fn new(input: Input<'a>, facts: &'a Facts, scope: Scope) -> Self {
        let mut builder = Builder::new(input, facts);
        let (services, levels) = served(&mut builder, scope);
        let lines = builder.lines_in_use();
        let Builder { components, causes, supplies, router, .. } = builder;
        Self { input, facts, components, causes, levels, services, supplies, router, lines }
    }

    /// The design.
    #[must_use]
    pub fn design(&self) -> &'a Design {
        self.input.design
    }

    /// Probability that each component is up; an unknown one counts as down.
    pub(crate) fn ups(&self, take: Take) -> Vec<f64> {
        self.components.iter().map(|c| c.up(take).unwrap_or(0.0)).collect()
    }

    /// What would have to be known for a diagram's probability.
    pub(crate) fn missing(&self, diagram: &Diagram) -> Vec<String> {
        let mut missing: Vec<String> = Vec::new();
        for component in diagram.components().into_iter().filter_map(|c| self.components.get(c)) {
            if component.law == Law::Unknown && !missing.contains(&component.missing) {
                missing.push(component.missing.clone());
            }
        }
        missing
    }

    /// A service's availability by any way: best figure, all bad, all good.
    ///
    /// # Errors
    /// What would have to be known.
    pub(crate) fn bounds(&self, service: &Served) -> Result<Bounds, Vec<String>> {
        let ways = service.ways.as_ref().map_err(|t: &Trouble| vec![t.to_string()])?;
        let missing = self.missing(&ways.whole);
        if !missing.is_empty() {
            return Err(missing);
        }
        // No component's failure helps a service, so that the ends of all inputs give the ends of the result.
        Ok([Take::Nominal, Take::Bad, Take::Good].map(|take| ways.whole.probability(&self.ups(take))))
    }

    /// Probabilities of all components in each draw of what is uncertain.
    ///
    /// # Model
    /// Each rate is drawn for itself: the logarithm of its downtime is normal on either side of the best figure, the
    /// stated factor being the end of its 90 % interval. All levels of one cause share its draw.
    pub(crate) fn draws(&self) -> Vec<Vec<f64>> {
        let mut random = Random(SEED);
        (0..NUM_DRAWS)
            .map(|_| {
                let normal: Vec<f64> = self.components.iter().map(|_| random.normal()).collect();
                self.ups(Take::Drawn(&normal))
            })
            .collect()
    }

    /// Availability and minutes a year with their 90 % intervals.
    pub(crate) fn intervals(&self, diagram: &Diagram, bounds: Bounds, draws: &[Vec<f64>]) -> (Interval, Interval) {
        let [value, low, high] = bounds;
        let mut drawn = diagram.probabilities_of(draws);
        drawn.sort_by(f64::total_cmp);
        let quantile = |q: f64| {
            let place = (q * drawn.len().saturating_sub(1) as f64).round() as usize;
            drawn.get(place).copied().unwrap_or(value)
        };
        let (five, ninety_five) = (quantile(0.05), quantile(0.95));
        let minutes = |a: f64| (1.0 - a) * MINUTES_A_YEAR;
        let down = Interval::of(minutes(value), (minutes(ninety_five), minutes(five)), (minutes(high), minutes(low)));
        // An availability bears as many digits after the nines as its minutes have.
        let mut up = Interval::of(value, (five, ninety_five), (low, high));
        up.digits = down.digits;
        (up, down)
    }

    /// The cause and the level in it of a component that stands for an outage.
    pub(crate) fn level_of(&self, component: usize) -> Option<(usize, usize)> {
        self.levels.iter().enumerate().find_map(|(cause, levels)| {
            levels.iter().position(|level| level.1 == component).map(|position| (cause, position))
        })
    }

    /// How a component is named in results.
    pub(crate) fn member(&self, component: usize) -> Option<Member> {
        let component = self.components.get(component)?;
        // A level that nothing outlasts is any outage.
        let outlasted = component.longer_than.filter(|t| t.0 > 0.0);
        Some(Member {
            id: component.id.clone(),
            kind: component.kind,
            longer_than_min: outlasted.map(|t| (t.0 / 60.0).ceil().clamp(0.0, f64::from(u32::MAX)) as u32),
        })
    }

    /// Probability that a component is down; of an outage's level, that one is on that has gone on for so long.
    pub(crate) fn down(&self, component: usize, up: &[f64]) -> f64 {
        let of = |c: usize| up.get(c).copied().unwrap_or(0.0);
        match self.level_of(component) {
            Some((cause, position)) => {
                let levels = self.levels.get(cause).into_iter().flatten().skip(position);
                1.0 - levels.map(|level| of(level.1)).product::<f64>()
            }
            None => 1.0 - of(component),
        }
    }

    /// How long a service goes on in an outage of the mains, all else being up; no end if the mains do not matter.
    pub(crate) fn outlasts(&self, diagram: &Diagram) -> Option<Seconds> {
        let mains = self.levels.first()?;
        mains.iter().enumerate().find_map(|(i, level)| {
            let is_down = |c: usize| mains.iter().take(i + 1).any(|l| l.1 == c);
            (!diagram.holds(&|c| !is_down(c))).then_some(Seconds(level.0))
        })
    }

    /// The service with an id, of a kind.
    pub(crate) fn service(&self, kind: ServiceKind, id: &Id) -> Option<&Served> {
        self.services.iter().find(|s| s.kind == kind && &s.id == id)
    }

    /// Minutes a year in which a device's connection, an activity or `internet` is down: best figure, least and most.
    /// Nothing if it is unknown or there is no such service. A planner's objective.
    #[must_use]
    pub fn minutes_down(&self, kind: ServiceKind, id: &Id) -> Option<[f64; 3]> {
        let [value, low, high] = self.bounds(self.service(kind, id)?).ok()?;
        Some([value, high, low].map(|a| (1.0 - a) * MINUTES_A_YEAR))
    }

    /// Minutes a year of the worst connection that must stay up; of the router's connection where none must. Nothing if
    /// one of them is unknown. A planner's objective.
    #[must_use]
    pub fn worst_minutes(&self) -> Option<f64> {
        let must = |s: &&Served| s.must_stay_up && s.kind == ServiceKind::Connection;
        let mut chosen: Vec<&Served> = self.services.iter().filter(must).collect();
        if chosen.is_empty() {
            chosen = self.services.iter().filter(|s| s.kind == ServiceKind::Internet).collect();
        }
        let minutes = chosen.into_iter().map(|s| self.bounds(s).ok().map(|b| (1.0 - b[0]) * MINUTES_A_YEAR));
        minutes.collect::<Option<Vec<f64>>>()?.into_iter().max_by(f64::total_cmp)
    }

    /// How long everything that must stay up goes on with the mains out, batteries new and lines holding: the shortest of
    /// its connections. Nothing if no such connection is known. A planner's constraint.
    #[must_use]
    pub fn protected_runtime(&self) -> Option<Seconds> {
        let must = self.services.iter().filter(|s| s.must_stay_up && s.kind == ServiceKind::Connection);
        let times =
            must.map(|s| s.ways.as_ref().ok().map(|w| self.outlasts(&w.whole).unwrap_or(Seconds(f64::INFINITY))));
        times.collect::<Option<Vec<Seconds>>>()?.into_iter().min_by(Seconds::total_cmp)
    }

    /// True if every connection that must stay up is down at most so many minutes a year and goes on for so long with the
    /// mains out; nothing if that is unknown. A planner's constraint.
    #[must_use]
    pub fn keeps(&self, most_minutes: Option<f64>, least_runtime: Option<Seconds>) -> Option<bool> {
        let minutes = most_minutes.map_or(Some(true), |most| self.worst_minutes().map(|m| m <= most))?;
        let runtime = least_runtime.map_or(Some(true), |least| self.protected_runtime().map(|t| t.0 >= least.0))?;
        Some(minutes && runtime)
    }

    /// True if a component is the untested far end of a line.
    pub(crate) fn is_untested(&self, component: usize) -> bool {
        self.components.get(component).is_some_and(|c| c.kind == ComponentKind::LineBackup)
    }
}

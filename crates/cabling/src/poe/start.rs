//! In which order powered ports start, so that the rush of each fits the supply.

use findings::Id;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use units::{Seconds, Watts};

use super::feed::MOST_PORT_VOLTS;

/// Time from one start to the next [s]: the port's limit on the rush holds for at most 75 ms and the device waits 80 ms before
/// it takes its full power (IEEE 802.3-2022 33.2.7 and 145.2.8, from memory); rounded up.
const STEP: f64 = 0.2;

/// Most that a port passes while a device fills its store [W]: 450 mA for classes up to 4 and 600 mA above, at the highest voltage
/// (IEEE 802.3-2022, from memory); nothing above class 8.
#[must_use]
pub fn inrush(class: u8) -> Option<Watts> {
    match class {
        0..=4 => Some(Watts(0.45 * MOST_PORT_VOLTS)),
        5..=8 => Some(Watts(0.6 * MOST_PORT_VOLTS)),
        _ => None,
    }
}

/// A powered device that is to start.
#[derive(Clone, Debug, PartialEq)]
pub struct Starter {
    /// The placed part.
    pub part: Id,
    /// Most that it takes while it starts.
    pub rush: Watts,
    /// Most that it takes from then on, at the port.
    pub draw: Watts,
}

/// Devices that start at one moment.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct StartStep {
    /// When, counted from the first.
    pub after: Seconds,
    /// The parts that start.
    pub parts: Vec<Id>,
    /// Highest power of all ports in this step.
    pub peak: Watts,
}

/// How the devices of a supply start.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct StartOrder {
    /// Steps in order; one if all may start together.
    pub steps: Vec<StartStep>,
    /// Power if all started together.
    pub together: Watts,
    /// True if every step fits the supply.
    pub fits: bool,
}

/// An order of starts that fits a budget, if there is one.
///
/// # Model
/// While a device starts it takes its rush, from then on its draw. Those whose rush is most above their draw start first, since then
/// least is running beside them: no order has a lower highest power when one starts at a time. As many as fit start together.
///
/// # Units
/// W; s.
#[must_use]
pub fn start_order(starters: &[Starter], budget: Watts) -> StartOrder {
    let mut order: Vec<&Starter> = starters.iter().collect();
    order.sort_by(|a, b| (b.rush - b.draw).total_cmp(&(a.rush - a.draw)).then_with(|| a.part.cmp(&b.part)));
    let together = Watts(starters.iter().map(|s| s.rush.value().max(s.draw.value())).sum());
    let mut steps: Vec<StartStep> = Vec::new();
    let mut fits = budget.value().is_finite();
    let (mut running, mut next) = (0.0, 0);
    while let Some(first) = order.get(next) {
        let mut parts = vec![first.part.clone()];
        let mut peak = running + first.rush.value().max(first.draw.value());
        let mut draw = first.draw.value();
        next += 1;
        while let Some(more) = order.get(next) {
            let with = peak + more.rush.value().max(more.draw.value());
            if with > budget.value() {
                break;
            }
            peak = with;
            draw += more.draw.value();
            parts.push(more.part.clone());
            next += 1;
        }
        // Written so that NaN does not fit.
        fits &= peak <= budget.value();
        running += draw;
        steps.push(StartStep { after: Seconds(STEP * steps.len() as f64), parts, peak: Watts(peak) });
    }
    StartOrder { steps, together, fits }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn starter(name: &str, rush: f64, draw: f64) -> Starter {
        Starter { part: Id::from_label(name), rush: Watts(rush), draw: Watts(draw) }
    }

    #[test]
    fn all_start_together_where_that_fits() {
        let order = start_order(&[starter("a", 25.0, 10.0), starter("b", 25.0, 10.0)], Watts(50.0));
        assert_eq!((order.steps.len(), order.fits), (1, true));
        assert_eq!(order.together, Watts(50.0));
    }

    #[test]
    fn a_tight_supply_starts_them_one_after_the_other() {
        let order = start_order(&[starter("a", 25.0, 10.0), starter("b", 25.0, 10.0)], Watts(40.0));
        assert_eq!((order.steps.len(), order.fits), (2, true));
        assert_eq!(order.steps[1].peak, Watts(35.0));
        assert!(order.steps[1].after > order.steps[0].after);
        assert!(!start_order(&[starter("a", 25.0, 10.0), starter("b", 25.0, 10.0)], Watts(30.0)).fits);
        assert!(!start_order(&[starter("a", 25.0, 10.0)], Watts(f64::NAN)).fits);
        assert!(start_order(&[], Watts(0.0)).steps.is_empty());
    }

    #[test]
    fn no_order_of_three_has_a_lower_peak() {
        let all = [starter("a", 30.0, 28.0), starter("b", 25.0, 5.0), starter("c", 34.0, 20.0)];
        let peak = |order: [usize; 3]| {
            let mut running = 0.0;
            let mut most: f64 = 0.0;
            for i in order {
                most = most.max(running + all[i].rush.value());
                running += all[i].draw.value();
            }
            most
        };
        let best = [[0, 1, 2], [0, 2, 1], [1, 0, 2], [1, 2, 0], [2, 0, 1], [2, 1, 0]]
            .into_iter()
            .map(peak)
            .fold(f64::INFINITY, f64::min);
        let ours = start_order(&all, Watts(best));
        assert!(ours.fits, "{ours:?} against {best}");
    }
}

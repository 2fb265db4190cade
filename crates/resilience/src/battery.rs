//! How long a battery supply carries a load: Peukert's law, energy, temperature, age, stages and recharge.

use equipment::{Battery, Chemistry};
use network::CellState;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use units::{Seconds, WattHours, Watts};

/// Power factor of small mains adapters without correction (generic figure, from memory; 0.5 to 0.7 are seen).
pub const POWER_FACTOR: f64 = 0.6;

/// Share of its capacity at which a battery counts as used up (IEEE Std 485 and 1188: replacement at 80 %; from memory).
pub const END_OF_LIFE: f64 = 0.8;

/// Peukert's exponent of valve-regulated lead-acid cells: usual, least and most (generic figure; 1.1 to 1.3 is published).
const PEUKERT_LEAD_ACID: [f64; 3] = [1.2, 1.1, 1.3];
/// The same of lithium cells, whose capacity hardly minds the rate (generic figure, from memory).
const PEUKERT_LITHIUM: [f64; 3] = [1.03, 1.0, 1.06];

/// Years to the end of life at 25 °C (common practice, no source: three to five years of lead-acid; lithium twice that).
const LIFE_LEAD_ACID: f64 = 4.0;
const LIFE_LITHIUM: f64 = 8.0;
/// Warming that halves the life of lead-acid cells [K] (common practice, no source).
const HALVING: f64 = 10.0;

/// Capacity needed at a temperature over that at 25 °C, lead-acid: °C and factor (IEEE Std 485-2020, Table 1, from
/// memory; its ends are given as −3.9 and 51.7 °C, beyond the factors at hand they are kept).
const LEAD_ACID_FACTORS: [(f64, f64); 10] = [
    (-3.9, 1.52),
    (-1.1, 1.43),
    (4.4, 1.30),
    (10.0, 1.19),
    (15.6, 1.11),
    (20.0, 1.06),
    (25.0, 1.00),
    (32.2, 0.94),
    (37.8, 0.91),
    (51.7, 0.91),
];
/// The same of lithium cells (generic figure, from memory). Below 0 °C they must not be charged.
const LITHIUM_FACTORS: [(f64, f64); 4] = [(-20.0, 1.45), (0.0, 1.12), (25.0, 1.0), (55.0, 1.0)];

/// Why a runtime cannot be given.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum RuntimeProblem {
    /// The load is above what the supply bears.
    #[error("the load of {load:.0} W is above the {most:.0} W that it bears")]
    Overload {
        /// The load [W].
        load: f64,
        /// What it bears [W].
        most: f64,
    },
    /// The apparent power is above what the supply bears.
    #[error("the load of about {load:.0} VA is above the {most:.0} VA that it bears")]
    ApparentOverload {
        /// The load [VA].
        load: f64,
        /// What it bears [VA].
        most: f64,
    },
    /// The temperature is outside what is known of the cells.
    #[error("{temperature_c} °C is outside {least} to {most} °C, for which figures of the cells are at hand")]
    Temperature {
        /// The temperature [°C].
        temperature_c: f64,
        /// Lowest [°C].
        least: f64,
        /// Highest [°C].
        most: f64,
    },
    /// A figure of the battery or its load makes no sense.
    #[error("its {0} makes no sense")]
    Senseless(&'static str),
}

/// A runtime with the interval that its inputs bear.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Runtime {
    /// Best figure, at the stated age and temperature.
    pub value: Seconds,
    /// At the end of life, with the exponent at its worse end.
    pub low: Seconds,
    /// With the exponent at its better end.
    pub high: Seconds,
}

/// Time by Peukert's law in its form with hours: `t = H (E / (P H))^k`, capped at `E / P`.
///
/// # Model
/// `H` is the rated discharge time, `E` the energy that the cells give in it, `P` the power drawn. At a constant cell
/// voltage this is the law for currents, `t = H (C / (I H))^k`.
///
/// # Validity
/// Discharges faster than the rated one. Slower ones would gain energy by the formula; they are capped at what is printed.
/// Nothing for figures that are negative or not finite, for a power of 0, or for an exponent below 1.
///
/// # Example
/// ```
/// use units::{WattHours, Watts};
/// // 12 V, 100 Ah at 20 h, exponent 1.2: 10 A last 8.7 h, not 10 h.
/// let time = resilience::peukert(WattHours(1200.0), 20.0, 1.2, Watts(120.0)).unwrap();
/// assert!((time.0 / 3600.0 - 8.7055).abs() < 1e-4);
/// ```
///
/// # References
/// W. Peukert, Elektrotechnische Zeitschrift, 1897 (from memory).
#[must_use]
pub fn peukert(energy: WattHours, rated_hours: f64, exponent: f64, drawn: Watts) -> Option<Seconds> {
    let fine = energy.is_finite()
        && energy.0 >= 0.0
        && rated_hours.is_finite()
        && rated_hours > 0.0
        && exponent.is_finite()
        && exponent >= 1.0
        && drawn.is_finite()
        && drawn.0 > 0.0;
    fine.then(|| {
        let ideal = energy.0 / drawn.0;
        Seconds((rated_hours * libm::pow(ideal / rated_hours, exponent)).min(ideal) * 3600.0)
    })
}

/// Share of the rated capacity that cells have at a temperature and an age.
///
/// # Model
/// Temperature: the reciprocal of the sizing factor, straight between its points. Age: falls evenly to
/// [`END_OF_LIFE`] at the end of life and on beyond it; life of lead-acid halves with each 10 K above 25 °C.
///
/// # Errors
/// [`RuntimeProblem::Temperature`] outside −3.9 to 51.7 °C (lead-acid) or −20 to 55 °C (lithium);
/// [`RuntimeProblem::Senseless`] for an age that is negative or not finite.
pub fn capacity_share(chemistry: Chemistry, temperature_c: f64, age_years: f64) -> Result<f64, RuntimeProblem> {
    if !(age_years.is_finite() && age_years >= 0.0) {
        return Err(RuntimeProblem::Senseless("age"));
    }
    let factors: &[(f64, f64)] = match chemistry {
        Chemistry::LeadAcid => &LEAD_ACID_FACTORS,
        Chemistry::Lithium => &LITHIUM_FACTORS,
    };
    let ends = factors.first().zip(factors.last());
    let segment = factors.windows(2).find(|w| temperature_c >= w[0].0 && temperature_c <= w[1].0);
    let Some(&[(t0, f0), (t1, f1)]) = segment else {
        let (least, most) = ends.map_or((0.0, 0.0), |(a, b)| (a.0, b.0));
        return Err(RuntimeProblem::Temperature { temperature_c, least, most });
    };
    let factor = f0 + (f1 - f0) * (temperature_c - t0) / (t1 - t0);
    let life = match chemistry {
        Chemistry::LeadAcid => LIFE_LEAD_ACID * libm::exp2(-(temperature_c - 25.0).max(0.0) / HALVING),
        Chemistry::Lithium => LIFE_LITHIUM,
    };
    Ok((1.0 - (1.0 - END_OF_LIFE) * age_years / life).max(0.0) / factor)
}

/// What is drawn from the cells for a load: load / efficiency + own draw. The own draw is the loss of standing by.
#[must_use]
pub fn drawn(battery: &Battery, load: Watts) -> Watts {
    Watts(load.0 / battery.efficiency) + battery.own_draw.max(Watts(0.0))
}

/// Time that a battery carries a load when new, at 25 °C.
///
/// Nothing if the load is above what the supply bears, or if a figure makes no sense. More is said by [`runtime`].
#[must_use]
pub fn battery_runtime(battery: &Battery, load: Watts) -> Option<Seconds> {
    runtime(battery, load, &CellState::default()).ok().map(|r| r.value)
}

/// Time that a battery carries a load, its cells being in a given state.
///
/// # Model
/// Where the cells are known: [`peukert`] on the printed energy times [`capacity_share`], times the share that the supply
/// uses. Else the usable energy over what is [`drawn`].
///
/// # Errors
/// [`RuntimeProblem`]. A battery of 0 Wh is no error: it lasts no time.
pub fn runtime(battery: &Battery, load: Watts, state: &CellState) -> Result<Runtime, RuntimeProblem> {
    check(battery, load, state)?;
    let value = lasts(battery, load, state, |exponents| exponents[0], None)?;
    let high = lasts(battery, load, state, |exponents| exponents[1], None)?;
    let low = lasts(battery, load, state, |exponents| exponents[2], Some(END_OF_LIFE))?;
    Ok(Runtime { value, low: low.min(value), high: high.max(value) })
}

fn check(battery: &Battery, load: Watts, state: &CellState) -> Result<(), RuntimeProblem> {
    let senseless = |what| Err(RuntimeProblem::Senseless(what));
    if !(battery.efficiency > 0.0 && battery.efficiency <= 1.0) {
        return senseless("efficiency");
    }
    if !(battery.energy.is_finite() && battery.energy.0 >= 0.0) {
        return senseless("energy");
    }
    if !battery.own_draw.is_finite() {
        return senseless("own draw");
    }
    if !(load.is_finite() && load.0 >= 0.0) {
        return senseless("load");
    }
    let bears = |load: f64, most: f64| load <= most;
    if !bears(load.0, battery.max_load.0) {
        return Err(RuntimeProblem::Overload { load: load.0, most: battery.max_load.0 });
    }
    if let Some(most) = battery.rated_va {
        let factor = state.power_factor.unwrap_or(POWER_FACTOR);
        if !(factor > 0.0 && factor <= 1.0) {
            return senseless("power factor");
        }
        if !bears(load.0 / factor, most) {
            return Err(RuntimeProblem::ApparentOverload { load: load.0 / factor, most });
        }
    }
    Ok(())
}

/// Runtime with one of the chemistry's exponents, the capacity capped where it is to be that of the end of life.
fn lasts(
    battery: &Battery,
    load: Watts,
    state: &CellState,
    pick: fn(&[f64; 3]) -> f64,
    most_capacity: Option<f64>,
) -> Result<Seconds, RuntimeProblem> {
    let drawn = drawn(battery, load);
    if drawn.0.is_nan() || drawn.0 <= 0.0 {
        return Err(RuntimeProblem::Senseless("load and own draw of nothing"));
    }
    let cap = |share: f64| most_capacity.map_or(share, |most| share.min(most));
    let Some(cells) = &battery.cells else {
        // Of what nothing is known neither temperature nor age is reckoned, only the end of life.
        return Ok(Seconds(battery.energy.0 * cap(1.0) / drawn.0 * 3600.0));
    };
    let (usual, share) = match cells.chemistry {
        Chemistry::LeadAcid => (&PEUKERT_LEAD_ACID, cells.used_share),
        Chemistry::Lithium => (&PEUKERT_LITHIUM, cells.used_share),
    };
    if !(share > 0.0 && share <= 1.0) {
        return Err(RuntimeProblem::Senseless("used share"));
    }
    let exponent = cells.peukert.unwrap_or_else(|| pick(usual));
    let capacity = capacity_share(cells.chemistry, state.temperature_c, state.age_years)?;
    let energy = WattHours(cells.printed.0 * cap(capacity));
    peukert(energy, cells.rated_hours, exponent, drawn)
        .map(|t| t * share)
        .ok_or(RuntimeProblem::Senseless("printed energy, rated hours or exponent"))
}

/// One stage of a discharge: what is switched off before it is off.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Stage {
    /// When it begins, after the mains went.
    pub from: Seconds,
    /// When it ends.
    pub to: Seconds,
    /// The load in it.
    pub load: Watts,
}

/// The stages of a discharge in which loads are switched off one after the other.
///
/// # Model
/// Each stage uses up the share `time / runtime at its load` of the battery; the last ends when all is used.
/// `loads` are the loads with the time at which the next smaller one begins; the last one's time is not used.
///
/// # Errors
/// As [`runtime`], for the first load that cannot be carried.
pub fn stages(battery: &Battery, loads: &[(Watts, Seconds)], state: &CellState) -> Result<Vec<Stage>, RuntimeProblem> {
    let (mut left, mut from) = (1.0, Seconds(0.0));
    let mut stages = Vec::new();
    for (i, &(load, until)) in loads.iter().enumerate() {
        let whole = runtime(battery, load, state)?.value;
        let end = from + whole * left;
        let is_last = i + 1 == loads.len() || until.0.is_nan() || end.0 <= until.0;
        let to = if is_last { end } else { until.max(from) };
        if to.0 > from.0 {
            stages.push(Stage { from, to, load });
        }
        if is_last {
            break;
        }
        left -= (to - from).0 / whole.0;
        from = to;
    }
    Ok(stages)
}

/// Share of the energy put into lead-acid cells that comes out again; of lithium cells (generic figures, from memory).
const CHARGED_LEAD_ACID: f64 = 0.8;
const CHARGED_LITHIUM: f64 = 0.95;

/// Time to charge an empty battery; nothing if its charger's power is unknown or makes no sense.
#[must_use]
pub fn recharge(battery: &Battery) -> Option<Seconds> {
    let charger = battery.charger.filter(|c| c.is_finite() && c.0 > 0.0)?;
    let (energy, kept) = match &battery.cells {
        Some(cells) => (
            cells.printed.0 * cells.used_share,
            if cells.chemistry == Chemistry::LeadAcid { CHARGED_LEAD_ACID } else { CHARGED_LITHIUM },
        ),
        None => (battery.energy.0, CHARGED_LEAD_ACID),
    };
    (energy.is_finite() && energy >= 0.0).then(|| Seconds(energy / kept / charger.0 * 3600.0))
}

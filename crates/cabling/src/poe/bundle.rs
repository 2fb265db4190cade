//! How warm powered cables get in a bundle.

use std::f64::consts::PI;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use units::Metres;

use crate::conductor::{COPPER_PER_KELVIN, Wire, resistance_per_metre};

/// Highest rise that is planned for [K] (TSB-184-A).
pub const MOST_RISE_K: f64 = 15.0;
/// Most cables in one bundle (TSB-184-A: 24 recommended).
pub const MOST_CABLES: usize = 24;

/// How well heat moves through a bundle, across cables, insulation and the air between [W/(m·K)].
///
/// Fitted to one published point: a bundle of 100 cables of category 5e (24 AWG, 5.2 mm) rises by 7.2 K with 600 mA on each of
/// four pairs. The other points of that measurement are then reproduced, not fitted; see the crate's README.
const THROUGH_BUNDLE: f64 = 0.14;
/// Share of a bundle's section that is cable (generic figure: cables pulled by hand, not laid).
const PACKED: f64 = 0.75;
/// Emissivity of plastic jackets, pipes and painted walls (textbook value).
const EMISSIVITY: f64 = 0.9;
/// Stefan–Boltzmann constant [W/(m²·K⁴)].
const STEFAN_BOLTZMANN: f64 = 5.670_374_419e-8;
/// Natural convection from a level cylinder in air [W/(m²·K^1.25·m^-0.25)] (textbook, laminar).
const CONVECTION: f64 = 1.32;
/// Conductivity of air [W/(m·K)] at 30 °C (textbook).
const AIR: f64 = 0.026;
/// Conductivity of mineral wool [W/(m·K)] (EN ISO 10456, from memory).
const WOOL: f64 = 0.04;
/// Share of a pipe that cables fill at most: the pipe around a bundle is taken to be filled like that.
const PIPE_FILL: f64 = 0.4;
/// Highest temperature that is followed [°C]; beyond it nothing is said.
const HOTTEST: f64 = 120.0;
/// Halvings of an interval: enough for all digits.
const HALVINGS: u32 = 60;

/// What surrounds a bundle.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(tag = "kind", rename_all = "kebab-case", deny_unknown_fields)]
pub enum Surrounding {
    /// Open air.
    Air,
    /// A pipe or closed channel in air.
    Pipe,
    /// Insulating wool on all sides, of a thickness.
    Insulation {
        /// How thick it is around the bundle.
        thickness: Metres,
    },
}

/// A cable in a bundle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Member {
    /// Outer diameter.
    pub diameter: Metres,
    /// Its conductors.
    pub wire: Wire,
    /// How many of its pairs carry current.
    pub pairs: u32,
    /// Current in each of those pairs [A], shared by its two conductors.
    pub amps_each: f64,
}

/// How much warmer than its surroundings the middle of a bundle gets.
///
/// # Model
/// Each conductor turns `(I / 2)² r` into heat, with r at the bundle's own temperature. The heat passes through the bundle as through
/// a rod that is heated evenly, `q / (4π k)`, then leaves its surface: by free convection and radiation into air; through an air gap
/// and a pipe's wall into air; or through insulation into air. The bundle is long, straight and level; ends, ties and
/// neighbours are left out.
///
/// # Units
/// °C; result in K.
///
/// # Validity
/// 1 cable to any number, ambient of −40 to 80 °C; nothing where a number cannot be used or where more than 120 °C would be
/// reached. Against a published measurement of 100 cables (categories 5e, 6 and 6A at 0.6 to 1.6 A a pair) it is off by −3 to +13 %.
///
/// # Example
/// ```
/// use cabling::conductor::Wire;
/// use cabling::poe::bundle::{Member, Surrounding, rise};
/// use units::Metres;
/// let cable = Member { diameter: Metres(0.0052), wire: Wire::copper(24), pairs: 4, amps_each: 0.6 };
/// let warm = rise(&[cable; 100], Surrounding::Air, 20.0).unwrap();
/// assert!((warm - 7.2).abs() < 0.2);
/// ```
///
/// # References
/// TSB-184-A (limits); contribution to TIA TR-42 and IEEE 802.3at on current and temperature (measurement).
#[must_use]
pub fn rise(members: &[Member], surrounding: Surrounding, ambient: f64) -> Option<f64> {
    if members.is_empty() || !(-40.0..=80.0).contains(&ambient) {
        return None;
    }
    let mut heat_at_20 = 0.0;
    let mut squares = 0.0;
    for member in members {
        let diameter = member.diameter.value();
        let usable = diameter.is_finite() && diameter > 0.0 && member.amps_each.is_finite() && member.amps_each >= 0.0;
        if !usable || member.pairs > 4 {
            return None;
        }
        let [_, ohm] = resistance_per_metre(member.wire, 20.0)?;
        let each_wire = member.amps_each / 2.0;
        heat_at_20 += f64::from(2 * member.pairs) * each_wire * each_wire * ohm;
        squares += diameter * diameter;
    }
    let diameter = (squares / PACKED).sqrt();
    if let Surrounding::Insulation { thickness } = surrounding
        && !(thickness.is_finite() && thickness.value() >= 0.0)
    {
        return None;
    }
    let middle = |celsius: f64| {
        let heat = heat_at_20 * (1.0 + COPPER_PER_KELVIN * (celsius - 20.0));
        let through = heat / (4.0 * PI * THROUGH_BUNDLE);
        ambient + through + outside(heat, diameter, surrounding, ambient)
    };
    if middle(HOTTEST) > HOTTEST {
        return None;
    }
    Some(root(ambient, HOTTEST, |celsius| celsius - middle(celsius)) - ambient)
}

/// How much warmer a bundle's surface is than the air far away, for heat in W/m.
fn outside(heat: f64, diameter: f64, surrounding: Surrounding, ambient: f64) -> f64 {
    match surrounding {
        Surrounding::Air => into_air(heat, diameter, ambient),
        Surrounding::Pipe => {
            let pipe = diameter / PIPE_FILL.sqrt();
            let wall = ambient + into_air(heat, pipe, ambient);
            // Seen from the bundle, the wall takes back part of what it radiates.
            let exchange = EMISSIVITY / (1.0 + (1.0 / EMISSIVITY - 1.0) * diameter / pipe);
            let still_air = 2.0 * AIR / (diameter * (pipe / diameter).ln());
            let leaves = |rise: f64| (radiation(wall, rise) / EMISSIVITY * exchange + still_air) * PI * diameter * rise;
            wall - ambient + root(0.0, 500.0, |rise| leaves(rise) - heat)
        }
        Surrounding::Insulation { thickness } => {
            let outer = diameter + 2.0 * thickness.value();
            into_air(heat, outer, ambient) + heat * (outer / diameter).ln() / (2.0 * PI * WOOL)
        }
    }
}

/// How much warmer than the air a level cylinder gets.
fn into_air(heat: f64, diameter: f64, ambient: f64) -> f64 {
    let leaves = |rise: f64| {
        let convection = CONVECTION * (rise / diameter).powf(0.25);
        (convection + radiation(ambient, rise)) * PI * diameter * rise
    };
    root(0.0, 500.0, |rise| leaves(rise) - heat)
}

/// Heat radiated for each square metre and kelvin.
fn radiation(ambient: f64, rise: f64) -> f64 {
    let (cold, warm) = (ambient + 273.15, ambient + 273.15 + rise);
    EMISSIVITY * STEFAN_BOLTZMANN * (cold * cold + warm * warm) * (cold + warm)
}

/// Where a rising function passes zero.
fn root(mut low: f64, mut high: f64, f: impl Fn(f64) -> f64) -> f64 {
    for _ in 0..HALVINGS {
        let middle = f64::midpoint(low, high);
        if f(middle) < 0.0 {
            low = middle;
        } else {
            high = middle;
        }
    }
    f64::midpoint(low, high)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cable(gauge: u8, mm: f64, amps: f64) -> Member {
        Member { diameter: Metres(mm / 1000.0), wire: Wire::copper(gauge), pairs: 4, amps_each: amps }
    }

    #[test]
    fn more_current_more_cables_and_worse_surroundings_are_warmer() {
        let thin = cable(24, 5.2, 0.6);
        let at = |count: usize, surrounding| rise(&vec![thin; count], surrounding, 25.0).unwrap();
        assert!(at(2, Surrounding::Air) > at(1, Surrounding::Air));
        assert!(at(24, Surrounding::Pipe) > at(24, Surrounding::Air));
        let wool = Surrounding::Insulation { thickness: Metres(0.1) };
        assert!(at(24, wool) > at(24, Surrounding::Pipe));
        assert!(rise(&[cable(24, 5.2, 0.0)], Surrounding::Air, 25.0).unwrap() < 1e-6);
    }

    #[test]
    fn what_cannot_be_used_is_nothing() {
        let fine = cable(24, 5.2, 0.6);
        assert_eq!(rise(&[], Surrounding::Air, 25.0), None);
        assert_eq!(rise(&[fine], Surrounding::Air, f64::NAN), None);
        assert_eq!(rise(&[Member { amps_each: f64::NAN, ..fine }], Surrounding::Air, 25.0), None);
        assert_eq!(rise(&[Member { diameter: Metres(0.0), ..fine }], Surrounding::Air, 25.0), None);
        let wool = Surrounding::Insulation { thickness: Metres(f64::NAN) };
        assert_eq!(rise(&[fine], wool, 25.0), None);
        // Far beyond any rating: nothing is said instead of a number.
        assert_eq!(rise(&[cable(28, 3.0, 5.0); 50], Surrounding::Air, 60.0), None);
    }
}

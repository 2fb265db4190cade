//! Battery supplies.

use units::{WattHours, Watts};

use super::{SPREAD, part};
use crate::part::{Battery, Part, PartKind};

/// Battery supplies, smallest first.
///
/// Energies are usable ones when new: of a small lead-acid battery about 60 % of the printed volt-ampere-hours at a
/// discharge within an hour or two (generic figure).
pub(super) fn parts() -> Vec<Part> {
    let supply = |id: &str, name: &str, energy: f64, max_load: f64, efficiency: f64, own_draw: f64| Part {
        battery: Some(Battery {
            energy: WattHours(energy),
            max_load: Watts(max_load),
            efficiency,
            own_draw: Watts(own_draw),
        }),
        ..part(id, name, PartKind::BatterySupply).draws(own_draw).fails_every(BATTERY_MTBF, SPREAD)
    };
    vec![
        // Three lithium cells of 2.2 Ah: 24 Wh printed.
        supply("battery-dc-12v", "Small battery supply, 12 V direct current", 22.0, 24.0, 0.92, 0.5),
        // One block of 12 V 7 Ah: 84 Wh printed.
        supply("battery-ac-400va", "Line-interactive battery supply, 400 VA, lead-acid", 50.0, 240.0, 0.80, 6.0),
        // Two blocks of 12 V 7 Ah: 168 Wh printed.
        supply("battery-ac-900va", "Line-interactive battery supply, 900 VA, lead-acid", 100.0, 540.0, 0.83, 9.0),
    ]
}

/// Mean time between failures of a battery supply, ageing of the battery included [h] (generic figure: batteries are
/// replaced after three to five years).
const BATTERY_MTBF: f64 = 40_000.0;

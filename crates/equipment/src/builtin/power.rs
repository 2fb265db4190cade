//! Battery supplies.

use units::{WattHours, Watts};

use super::{SPREAD, part};
use crate::part::{Battery, Cells, Chemistry, Part, PartKind, SupplyOutput};

/// Battery supplies, smallest first.
///
/// Energies are usable ones when new: of a small lead-acid battery about 60 % of the printed volt-ampere-hours at a
/// discharge within an hour or two (generic figure). Chargers bring back 90 % in eight hours (generic figure).
pub(super) fn parts() -> Vec<Part> {
    let supply = |id: &str, name: &str, battery: Battery| {
        let own_draw = battery.own_draw.0;
        Part {
            battery: Some(battery),
            ..part(id, name, PartKind::BatterySupply).draws(own_draw).fails_every(BATTERY_MTBF, SPREAD)
        }
    };
    let lead_acid = |printed: f64| Cells {
        chemistry: Chemistry::LeadAcid,
        printed: WattHours(printed),
        rated_hours: 20.0,
        peukert: None,
        used_share: 1.0,
    };
    vec![
        supply(
            "battery-dc-12v",
            "Small battery supply, 12 V direct current",
            Battery {
                energy: WattHours(22.0),
                max_load: Watts(24.0),
                efficiency: 0.92,
                own_draw: Watts(0.5),
                // Three lithium cells of 2.2 Ah.
                cells: Some(Cells {
                    chemistry: Chemistry::Lithium,
                    printed: WattHours(24.0),
                    rated_hours: 5.0,
                    peukert: None,
                    used_share: 0.92,
                }),
                output: SupplyOutput::Direct,
                rated_va: None,
                charger: Some(Watts(6.0)),
            },
        ),
        supply(
            "battery-ac-400va",
            "Line-interactive battery supply, 400 VA, lead-acid",
            Battery {
                energy: WattHours(50.0),
                max_load: Watts(240.0),
                efficiency: 0.80,
                own_draw: Watts(6.0),
                // One block of 12 V 7 Ah.
                cells: Some(lead_acid(84.0)),
                output: SupplyOutput::Alternating,
                rated_va: Some(400.0),
                charger: Some(Watts(11.0)),
            },
        ),
        supply(
            "battery-ac-900va",
            "Line-interactive battery supply, 900 VA, lead-acid",
            Battery {
                energy: WattHours(100.0),
                max_load: Watts(540.0),
                efficiency: 0.83,
                own_draw: Watts(9.0),
                // Two blocks of 12 V 7 Ah.
                cells: Some(lead_acid(168.0)),
                output: SupplyOutput::Alternating,
                rated_va: Some(900.0),
                charger: Some(Watts(22.0)),
            },
        ),
    ]
}

/// Mean time between failures of a battery supply, ageing of the battery included [h] (generic figure: batteries are
/// replaced after three to five years).
const BATTERY_MTBF: f64 = 40_000.0;

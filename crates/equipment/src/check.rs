//! What makes a part's figures unusable. Lists every problem; changes nothing.

use findings::Id;
use units::Watts;

use crate::cable::CableCore;
use crate::part::Part;
use crate::poe::poe_class_watts;

/// Why a part cannot be used.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("part `{part}`, `{field}`: {message}")]
pub struct PartProblem {
    /// The part.
    pub part: Id,
    /// The field, from the part's root, such as `poe.class`.
    pub field: String,
    /// What is wrong, with the value, and what is accepted.
    pub message: String,
}

/// Collects problems of one part.
struct Check<'a> {
    part: &'a Part,
    problems: Vec<PartProblem>,
}

impl Check<'_> {
    fn fail(&mut self, field: &str, message: String) {
        self.problems.push(PartProblem { part: self.part.id.clone(), field: field.to_owned(), message });
    }

    /// The value must be finite and within both ends.
    fn within(&mut self, field: &str, value: f64, low: f64, high: f64, unit: &str) {
        if !(value >= low && value <= high) {
            self.fail(field, format!("`{value} {unit}` is outside {low} to {high} {unit}; correct the figure"));
        }
    }
}

/// Highest number of ports that a part may claim; far above any equipment of a home.
const MOST_PORTS: u32 = 1024;
/// Highest power that a part of a home network may claim [W].
const MOST_WATTS: f64 = 10_000.0;

/// Every problem of a part's figures; none if it can be used.
///
/// Bounds are sanity limits ("common practice, no source"), wide enough for any equipment of a home; PoE figures are
/// held against their class in IEEE 802.3.
#[must_use]
pub fn check_part(part: &Part) -> Vec<PartProblem> {
    let mut check = Check { part, problems: Vec::new() };
    if part.name.trim().is_empty() {
        check.fail("name", "it is empty; write what the part is".into());
    }
    ports(&mut check);
    power(&mut check);
    failure(&mut check);
    radio(&mut check);
    cable(&mut check);
    check.problems
}

fn ports(check: &mut Check) {
    let ports = &check.part.ports;
    for (field, rate_field, count, rate) in [
        ("ports.uplink", "ports.uplink_rate", ports.uplink, ports.uplink_rate),
        ("ports.lan", "ports.lan_rate", ports.lan, ports.lan_rate),
    ] {
        if count > MOST_PORTS {
            check.fail(field, format!("`{count}` ports are more than {MOST_PORTS}; correct the count"));
        }
        check.within(rate_field, rate.value(), 0.0, 1e12, "bit/s");
        if count > 0 && rate.value() == 0.0 {
            check.fail(rate_field, format!("it is absent although there are {count} ports; state their rate"));
        }
    }
    if ports.fibre > MOST_PORTS {
        check.fail("ports.fibre", format!("`{}` ports are more than {MOST_PORTS}; correct the count", ports.fibre));
    }
    check.within("ports.fibre_rate", ports.fibre_rate.value(), 0.0, 1e12, "bit/s");
    if ports.fibre > 0 && ports.fibre_rate.value() == 0.0 {
        let message = format!("it is absent although there are {} ports; state their rate", ports.fibre);
        check.fail("ports.fibre_rate", message);
    }
    if let Some(rate) = check.part.shapes_line {
        check.within("shapes_line", rate.value(), 0.0, 1e12, "bit/s");
    }
}

fn power(check: &mut Check) {
    let part = check.part;
    check.within("draw", part.draw.value(), 0.0, MOST_WATTS, "W");
    if let Some(poe) = &part.poe {
        match poe_class_watts(poe.class) {
            None => check.fail("poe.class", format!("class `{}` does not exist; classes are 0 to 8", poe.class)),
            Some((limit, _)) => check.within("poe.worst_draw", poe.worst_draw.value(), 0.0, limit.value(), "W"),
        }
    }
    if let Some(supply) = &part.poe_supply {
        if poe_class_watts(supply.class).is_none() {
            check.fail("poe_supply.class", format!("class `{}` does not exist; classes are 0 to 8", supply.class));
        }
        check.within("poe_supply.budget", supply.budget.value(), 0.0, MOST_WATTS, "W");
        let ports = part.ports.uplink.saturating_add(part.ports.lan);
        if supply.ports > ports {
            check.fail("poe_supply.ports", format!("`{}` ports give power, but the part has {ports}", supply.ports));
        }
    }
    if let Some(battery) = &part.battery {
        check.within("battery.energy", battery.energy.value(), 0.0, 1e6, "Wh");
        check.within("battery.max_load", battery.max_load.value(), 0.0, MOST_WATTS, "W");
        check.within("battery.own_draw", battery.own_draw.value(), 0.0, MOST_WATTS, "W");
        if !(battery.efficiency > 0.0 && battery.efficiency <= 1.0) {
            check.fail(
                "battery.efficiency",
                format!("`{}` is not above 0 and at most 1; 0.85 means 85 %", battery.efficiency),
            );
        }
        if let Some(cells) = &battery.cells {
            check.within("battery.cells.printed", cells.printed.value(), 0.0, 1e6, "Wh");
            check.within("battery.cells.rated_hours", cells.rated_hours, 0.05, 1000.0, "h");
            check.within("battery.cells.peukert", cells.peukert.unwrap_or(1.0), 1.0, 2.0, "1");
            check.within("battery.cells.used_share", cells.used_share, 0.0, 1.0, "1");
        }
        check.within("battery.rated_va", battery.rated_va.unwrap_or(0.0), 0.0, MOST_WATTS, "VA");
        check.within("battery.charger", battery.charger.map_or(0.0, Watts::value), 0.0, MOST_WATTS, "W");
    }
}

fn cable(check: &mut Check) {
    let Some(cable) = &check.part.cable else { return };
    check.within("cable.outer_diameter", cable.outer_diameter.value(), 0.0005, 0.1, "m");
    if let Some(length) = cable.piece_length {
        check.within("cable.piece_length", length.value(), 0.05, 100.0, "m");
    }
    match cable.core {
        CableCore::TwistedPairs { gauge_awg, .. } => {
            if !(18..=32).contains(&gauge_awg) {
                let message = format!("gauge `{gauge_awg}` is outside 18 to 32; correct the figure");
                check.fail("cable.core.gauge_awg", message);
            }
        }
        CableCore::Fibre { fibres, .. } => {
            if !(1..=288).contains(&fibres) {
                check.fail("cable.core.fibres", format!("`{fibres}` fibres are outside 1 to 288; correct the count"));
            }
        }
    }
}

fn failure(check: &mut Check) {
    if let Some(failure) = &check.part.failure {
        for (field, value) in [("failure.mtbf", failure.mtbf.value()), ("failure.mttr", failure.mttr.value())] {
            if !(value.is_finite() && value > 0.0) {
                check.fail(field, format!("`{value} s` is not a positive time"));
            }
        }
        if !(failure.factor.is_finite() && failure.factor >= 1.0) {
            check.fail("failure.factor", format!("`{}` is not a finite factor of 1 or more", failure.factor));
        }
    }
}

fn radio(check: &mut Check) {
    let Some(radio) = &check.part.radio else {
        if check.part.dedicated_uplink_radio {
            check.fail("dedicated_uplink_radio", "the part has no radio; remove this or describe the radio".into());
        }
        return;
    };
    for problem in radio.problems() {
        check.fail("radio", problem);
    }
}

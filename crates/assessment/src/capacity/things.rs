//! Small things beside Wi-Fi: whether each reaches its hub, and which channel their network should use.

use findings::{Finding, Id, Rule, Severity, Source};
use household::ThingRadio;
use propagation::reliability::Shadowing;
use radio_profile::Band;
use wlan::{LowPowerEnd, LowPowerRadio};

use crate::capacity::data::ThingLink;
use crate::gains::Gains;
use crate::home::Home;
use crate::telephone::fading_margin;

/// Share of homes in which a link must hold: the share that coverage asks for.
const RELIABLE: f64 = 0.95;

/// A thing that does not reach its hub.
pub(crate) const THING_OUT_OF_REACH: Rule = Rule {
    id: "things.out-of-reach",
    severity: Severity::Risk,
    summary: "A small thing does not reach its hub dependably by itself",
    limit: "95 % probability that both directions have what their receivers need",
    cite: || Source::model("link budget of IEEE 802.15.4 or Bluetooth Low Energy over the computed path gain"),
};

/// The link of each thing to its hub; things or hubs without a place are passed over, as the household's check names them.
pub(crate) fn links(home: &Home, gains: &Gains) -> Vec<ThingLink> {
    let device = |id: &Id| home.household.devices.iter().find(|d| &d.id == id);
    let mut links = Vec::new();
    for network in &home.household.thing_networks {
        let radio = match network.radio {
            ThingRadio::Ieee802154 => LowPowerRadio::Ieee802154,
            ThingRadio::BluetoothLe => LowPowerRadio::Ble1M,
        };
        let Some(hub) = device(&network.hub).and_then(|d| home.device_place(d)) else { continue };
        for thing in &network.devices {
            let Some(at) = device(thing).and_then(|d| home.device_place(d)) else { continue };
            let gain = gains.at_carrier(hub, at, Band::Ghz2);
            let margin = wlan::low_power_margin(&LowPowerEnd::hub(radio), &LowPowerEnd::battery(radio), gain);
            let in_hand = margin - fading_margin(radio.width());
            links.push(ThingLink {
                network: network.id.clone(),
                radio: network.radio,
                device: thing.clone(),
                gain,
                margin,
                reliability: below(in_hand.0 / Shadowing::default().sigma_db),
            });
        }
    }
    links
}

/// Share of a standard normal distribution below a value.
fn below(z: f64) -> f64 {
    0.5 * libm::erfc(-z / std::f64::consts::SQRT_2)
}

/// Things that do not reach their hubs.
pub(crate) fn findings(links: &[ThingLink]) -> Vec<Finding> {
    let lost = links.iter().filter(|link| link.reliability < RELIABLE);
    lost.map(|link| {
        let message = format!(
            "`{}` reaches the hub of `{}` with a probability of {:.0} %",
            link.device,
            link.network,
            link.reliability * 100.0
        );
        let finding = Finding::of(&THING_OUT_OF_REACH, vec![link.device.clone(), link.network.clone()], message);
        finding.against(link.reliability * 100.0, RELIABLE * 100.0, "%").remedy(
            "put a mains-fed thing of the network between them, which passes messages on, or move the hub",
            vec![],
        )
    })
    .collect()
}

//! Gateways, wireless routers, access points and radio nodes.
//!
//! Powers are what such parts can put out; what they may put out is the regulator's and is applied elsewhere. An
//! antenna's gain is its mean over the directions in use (below a ceiling part, around a standing one).

use radio_profile::{AntennaPattern, Band, BandRadio, Generation, MultiLink, RadioProfile};
use units::{Db, Dbm, Hertz};

use super::{BOX_MTBF, GIGABIT, GIGABIT_2_5, SIMPLE_MTBF, SPREAD, part};
use crate::part::{Part, PartKind};

/// Parts with radios.
pub(super) fn parts() -> Vec<Part> {
    let mut all = standing();
    all.extend(access_points());
    all.extend(nodes());
    all
}

/// One band: streams, width [MHz], power summed over its chains [dBm], gain [dBi].
fn band(band: Band, streams: u8, width_mhz: f64, power: f64, gain: f64) -> BandRadio {
    // Noise figure of a consumer receiver front end, switch and filter included (generic figure): a little worse in
    // the higher bands.
    let noise_figure = match band {
        Band::Ghz2 => 6.0,
        Band::Ghz5 => 7.0,
        Band::Ghz6 => 8.0,
    };
    BandRadio {
        band,
        streams,
        max_width: Hertz::from_mhz(width_mhz),
        tx_power: Dbm(power),
        antenna_gain: Db(gain),
        noise_figure: Db(noise_figure),
    }
}

fn radio(generation: Generation, bands: Vec<BandRadio>) -> Option<RadioProfile> {
    // An access point of 802.11be with several bands works in all of them at once; only one carried about may not
    // (IEEE 802.11be-2024, 35.3, from memory).
    let is_multi_link = generation == Generation::Be && bands.len() > 1;
    let multi_link = if is_multi_link { MultiLink::Simultaneous } else { MultiLink::None };
    Some(RadioProfile { generation, bands, concurrent: true, pattern: AntennaPattern::Even, multi_link })
}

/// Boxes that stand on furniture: rod or inner antennas.
fn standing() -> Vec<Part> {
    let dual_ax =
        || radio(Generation::Ax, vec![band(Band::Ghz2, 2, 40.0, 20.0, 2.0), band(Band::Ghz5, 2, 160.0, 21.0, 3.0)]);
    let mut gateway = part("gateway-ax", "Provider's gateway, 802.11ax dual band, 4 LAN ports", PartKind::Gateway)
        .ports(1, GIGABIT, 4, GIGABIT)
        .draws(13.0)
        .fails_every(BOX_MTBF, SPREAD);
    gateway.radio = dual_ax();
    let mut router_ax = part("router-ax", "Wireless router, 802.11ax dual band, 4 LAN ports", PartKind::WirelessRouter)
        .ports(1, GIGABIT, 4, GIGABIT)
        .draws(9.0)
        .shapes(0.6e9)
        .fails_every(BOX_MTBF, SPREAD)
        .with_segments();
    router_ax.radio = dual_ax();
    let mut router_be = part("router-be", "Wireless router, 802.11be tri-band, 4 LAN ports", PartKind::WirelessRouter)
        .ports(1, GIGABIT_2_5, 4, GIGABIT_2_5)
        .draws(16.0)
        .shapes(2e9)
        .fails_every(BOX_MTBF, SPREAD)
        .with_segments();
    router_be.radio = radio(
        Generation::Be,
        vec![
            band(Band::Ghz2, 2, 40.0, 20.0, 2.0),
            band(Band::Ghz5, 2, 160.0, 22.0, 3.0),
            band(Band::Ghz6, 2, 320.0, 22.0, 3.0),
        ],
    );
    vec![gateway, router_ax, router_be]
}

/// Access points fed over their cable.
fn access_points() -> Vec<Part> {
    let point = |id: &str, name: &str, rate: f64, class: u8, typical: f64, worst: f64, profile| Part {
        radio: profile,
        ..part(id, name, PartKind::AccessPoint)
            .ports(1, rate, 0, 0.0)
            .draws(typical)
            .powered(class, worst)
            .fails_every(SIMPLE_MTBF, SPREAD)
            .with_segments()
            .mountable()
    };
    let ax = |streams, power| {
        radio(Generation::Ax, vec![band(Band::Ghz2, 2, 40.0, 20.0, 3.0), band(Band::Ghz5, streams, 160.0, power, 4.0)])
    };
    let be = |streams, power| {
        radio(
            Generation::Be,
            vec![
                band(Band::Ghz2, 2, 40.0, 20.0, 3.0),
                band(Band::Ghz5, streams, 160.0, power, 4.0),
                band(Band::Ghz6, streams, 320.0, power, 4.0),
            ],
        )
    };
    let mut wall = point(
        "ap-ax-wall-plate",
        "Wall-plate access point, 802.11ax dual band 2x2, 2 LAN ports",
        GIGABIT,
        3,
        6.0,
        11.0,
        radio(Generation::Ax, vec![band(Band::Ghz2, 2, 40.0, 18.0, 2.0), band(Band::Ghz5, 2, 80.0, 20.0, 3.0)]),
    );
    wall.ports.lan = 2;
    wall.ports.lan_rate = wall.ports.uplink_rate;
    vec![
        point("ap-ax-2x2-ceiling", "Ceiling access point, 802.11ax dual band 2x2", GIGABIT, 3, 7.0, 12.0, ax(2, 21.0)),
        point(
            "ap-ax-4x4-ceiling",
            "Ceiling access point, 802.11ax dual band, 4x4 at 5 GHz",
            GIGABIT_2_5,
            4,
            11.0,
            18.0,
            ax(4, 23.0),
        ),
        point(
            "ap-be-2x2-ceiling",
            "Ceiling access point, 802.11be tri-band 2x2",
            GIGABIT_2_5,
            4,
            13.0,
            21.0,
            be(2, 22.0),
        ),
        point(
            "ap-be-4x4-ceiling",
            "Ceiling access point, 802.11be tri-band 4x4",
            GIGABIT_2_5,
            5,
            20.0,
            33.0,
            be(4, 23.0),
        ),
        wall,
    ]
}

/// Access points that can use a radio as their uplink; they stand and plug into the mains.
fn nodes() -> Vec<Part> {
    let mut dual = part("node-ax-dual", "Radio node, 802.11ax dual band, shared uplink", PartKind::RadioNode)
        .ports(1, GIGABIT, 1, GIGABIT)
        .draws(8.0)
        .fails_every(BOX_MTBF, SPREAD)
        .with_segments();
    dual.radio =
        radio(Generation::Ax, vec![band(Band::Ghz2, 2, 40.0, 20.0, 2.0), band(Band::Ghz5, 2, 160.0, 21.0, 3.0)]);
    let mut tri =
        part("node-be-tri", "Radio node, 802.11be tri-band, one radio kept for the uplink", PartKind::RadioNode)
            .ports(1, GIGABIT_2_5, 1, GIGABIT)
            .draws(14.0)
            .fails_every(BOX_MTBF, SPREAD)
            .with_segments();
    tri.dedicated_uplink_radio = true;
    tri.radio = radio(
        Generation::Be,
        vec![
            band(Band::Ghz2, 2, 40.0, 20.0, 2.0),
            band(Band::Ghz5, 2, 160.0, 22.0, 3.0),
            band(Band::Ghz6, 2, 320.0, 22.0, 3.0),
        ],
    );
    vec![dual, tri]
}

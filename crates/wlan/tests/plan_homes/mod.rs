//! Homes for the tests of plans: access points, couplings and neighbours from a seed.

#![allow(dead_code, reason = "each test file uses a part")]

use findings::Id;
use network::{Design, Family, Mounting, PlacedPart, RadioSetting};
use radio_profile::{AntennaPattern, Band, BandRadio, Generation, RadioProfile};
use site::{Neighbour, Site};
use units::{Db, Dbm, Hertz, Point3};
use wlan::ApInput;

pub fn site(country: &str) -> Site {
    Site::default_for(country, "2026-11-25".parse().unwrap())
}

pub fn id(n: usize) -> Id {
    Id::from_label(&format!("ap-{n}"))
}

/// 802.11ax, 23 dBm (2.4 GHz: 20 dBm) and 3 dBi, 80 MHz in 5 GHz and 160 MHz in 6 GHz.
pub fn ap() -> RadioProfile {
    let radio = |band, streams, mhz, power| BandRadio {
        band,
        streams,
        max_width: Hertz::from_mhz(mhz),
        tx_power: Dbm(power),
        antenna_gain: Db(3.0),
        noise_figure: Db(6.0),
    };
    let bands =
        vec![radio(Band::Ghz2, 2, 40.0, 20.0), radio(Band::Ghz5, 4, 80.0, 23.0), radio(Band::Ghz6, 4, 160.0, 23.0)];
    RadioProfile {
        generation: Generation::Ax,
        bands,
        concurrent: true,
        multi_link: radio_profile::MultiLink::None,
        pattern: AntennaPattern::Even,
    }
}

pub fn inputs(radio: &RadioProfile, num: usize) -> Vec<ApInput<'_>> {
    (0..num).map(|n| ApInput { part: id(n), radio }).collect()
}

/// A number from 0 to 1 (SplitMix64).
pub fn random(state: &mut u64) -> f64 {
    *state = state.wrapping_add(0x9e37_79b9_7f4a_7c15);
    let mut z = *state;
    z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    ((z ^ (z >> 31)) >> 11) as f64 / (1u64 << 53) as f64
}

/// Path gains of access points at random in a home of 16 × 12 m and three floors: 40 dB at 1 m, 30 dB a decade, 15 dB a floor, 6 dB of spread.
pub fn gains(seed: u64, num: usize) -> Vec<Vec<f64>> {
    let mut state = seed;
    let places: Vec<[f64; 3]> = (0..num)
        .map(|_| [16.0 * random(&mut state), 12.0 * random(&mut state), (3.0 * random(&mut state)).floor()])
        .collect();
    let mut gain = vec![vec![0.0; num]; num];
    for i in 0..num {
        for j in 0..i {
            let [dx, dy, floors] = [0, 1, 2].map(|k| (places[i][k] - places[j][k]).abs());
            let distance = (dx * dx + dy * dy + 9.0 * floors * floors).sqrt().max(1.0);
            let spread: f64 = (0..12).map(|_| random(&mut state)).sum::<f64>() - 6.0;
            gain[i][j] = -(40.0 + 30.0 * distance.log10() + 15.0 * floors + 6.0 * spread);
            gain[j][i] = gain[i][j];
        }
    }
    gain
}

pub fn neighbour(n: usize, centre: f64, width: f64, level: f64, load: Option<f64>) -> Neighbour {
    let (centre, width) = (Hertz::from_mhz(centre), Hertz::from_mhz(width));
    Neighbour { id: id(900 + n), centre, width, level: Dbm(level), transmitter: None, load }
}

/// Neighbours in 2.4 GHz.
pub fn add_neighbours(site: &mut Site, seed: u64, num: usize) {
    let mut state = seed ^ 0x55;
    for n in 0..num {
        let centre = [2412.0, 2437.0, 2462.0, 2422.0][(4.0 * random(&mut state)) as usize];
        let level = -60.0 - 40.0 * random(&mut state);
        let load = random(&mut state);
        site.neighbours.push(neighbour(n, centre, 20.0, level, (load > 0.2).then_some(load)));
    }
}

/// Neighbours of 20 and 80 MHz in 5 GHz.
pub fn add_neighbours_5(site: &mut Site, seed: u64, num: usize) {
    let mut state = seed ^ 0xaa;
    for n in 0..num {
        let wide = random(&mut state) > 0.5;
        let all = wlan::channels(Band::Ghz5, if wide { 80 } else { 20 });
        let channel = all[(all.len() as f64 * random(&mut state)) as usize];
        let level = -60.0 - 40.0 * random(&mut state);
        let load = random(&mut state);
        let (centre, width) = (channel.centre().mhz(), channel.width().mhz());
        site.neighbours.push(neighbour(50 + n, centre, width, level, (load > 0.2).then_some(load)));
    }
}

pub fn set(n: usize, band: Band, centre: f64, width: f64, eirp: f64) -> RadioSetting {
    RadioSetting { part: id(n), band, centre: Hertz::from_mhz(centre), width: Hertz::from_mhz(width), eirp: Dbm(eirp) }
}

pub fn design(radios: &[RadioSetting]) -> Design {
    let mut parts: Vec<PlacedPart> = Vec::new();
    for setting in radios {
        if parts.iter().all(|p| p.id != setting.part) {
            parts.push(PlacedPart {
                id: setting.part.clone(),
                part: Id::from_label("ap"),
                room: Id::from_label("hall"),
                at: Point3 { x: 0.0, y: 0.0, z: 2.4 },
                mounting: Mounting::Ceiling,
                aim: None,
                kept: false,
            });
        }
    }
    Design {
        id: Id::from_label("d1"),
        name: "test".into(),
        family: Family::WiredBackhaul,
        parts,
        links: vec![],
        radios: radios.to_vec(),
        segments: vec![],
        feeds: vec![],
        line_queue: network::LineQueue::Plain,
        upkeep: network::Upkeep::default(),
    }
}

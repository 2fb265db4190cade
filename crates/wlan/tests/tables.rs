//! Rates, sensitivities and channels against the tables in `data`; where each is from stands in `data/SOURCE.md`.

use std::collections::BTreeSet;

use radio_profile::{Band, Generation};
use units::Hertz;
use wlan::{GuardInterval, ResourceUnit, all_channels, data_rate, resource_unit_rate, sensitivity};

fn rows(name: &str) -> Vec<csv::StringRecord> {
    let path = format!("{}/tests/data/{name}", env!("CARGO_MANIFEST_DIR"));
    csv::Reader::from_path(path).unwrap().records().map(Result::unwrap).collect()
}

fn interval(micros: &str) -> GuardInterval {
    match micros {
        "0.4" => GuardInterval::Ns400,
        "0.8" => GuardInterval::Ns800,
        "1.6" => GuardInterval::Ns1600,
        "3.2" => GuardInterval::Ns3200,
        other => panic!("{other}"),
    }
}

#[test]
fn every_row_of_the_rate_table_follows_from_the_formula() {
    let rows = rows("phy_rates.csv");
    assert_eq!(rows.len(), 3832);
    for row in &rows {
        let (streams, mcs, gi) = (row[3].parse().unwrap(), row[4].parse().unwrap(), interval(&row[7]));
        let width = Hertz::from_mhz(row[1].parse().unwrap());
        let rate = match &row[0] {
            "HT(n)" => data_rate(Generation::N, width, streams, mcs, gi),
            "VHT(ac)" => data_rate(Generation::Ac, width, streams, mcs, gi),
            "HE(ax)" => data_rate(Generation::Ax, width, streams, mcs, gi),
            "EHT(be)" => data_rate(Generation::Be, width, streams, mcs, gi),
            unit => {
                let unit = match unit {
                    "HE-RU26" => ResourceUnit::Ru26,
                    "HE-RU52" => ResourceUnit::Ru52,
                    "HE-RU106" => ResourceUnit::Ru106,
                    "HE-RU242" => ResourceUnit::Ru242,
                    "HE-RU484" => ResourceUnit::Ru484,
                    "HE-RU996" => ResourceUnit::Ru996,
                    "HE-RU1992" => ResourceUnit::Ru2x996,
                    other => panic!("{other}"),
                };
                resource_unit_rate(unit, streams, mcs, gi)
            }
        };
        let expected: f64 = row[8].parse().unwrap();
        let rate = rate.unwrap_or_else(|e| panic!("{row:?}: {e}")).mbps();
        // The table is rounded to four decimals.
        assert!((rate - expected).abs() <= 0.5001e-4, "{row:?}: {rate}");
    }
}

/// What the table leaves out, the formula must refuse: as many combinations exist here as rows there.
#[test]
fn no_combination_exists_beside_the_table() {
    let rows = rows("phy_rates.csv");
    let names = [
        (Generation::N, "HT(n)"),
        (Generation::Ac, "VHT(ac)"),
        (Generation::Ax, "HE(ax)"),
        (Generation::Be, "EHT(be)"),
    ];
    for (generation, name) in names {
        let listed: BTreeSet<_> = rows
            .iter()
            .filter(|r| &r[0] == name)
            .map(|r| (r[1].to_owned(), r[3].to_owned(), r[4].to_owned(), r[7].to_owned()))
            .collect();
        let mut made = BTreeSet::new();
        for mhz in [10, 20, 40, 80, 160, 320, 640] {
            for streams in 0..=9 {
                for mcs in 0..=15 {
                    for gi in ["0.4", "0.8", "1.6", "3.2"] {
                        if data_rate(generation, Hertz::from_mhz(f64::from(mhz)), streams, mcs, interval(gi)).is_ok() {
                            made.insert((mhz.to_string(), streams.to_string(), mcs.to_string(), gi.to_owned()));
                        }
                    }
                }
            }
        }
        assert_eq!(made, listed, "{name}");
    }
}

#[test]
fn every_sensitivity_is_the_standards() {
    let rows = rows("rx_min_sensitivity.csv");
    assert_eq!(rows.len(), 14);
    for row in &rows {
        for (column, mhz) in [(3, 20.0), (4, 40.0), (5, 80.0), (6, 160.0), (7, 320.0)] {
            let level = sensitivity(row[0].parse().unwrap(), Hertz::from_mhz(mhz)).unwrap();
            assert_eq!(level.0, row[column].parse::<f64>().unwrap(), "{row:?}");
        }
    }
    assert_eq!(sensitivity(14, Hertz::from_mhz(20.0)), None);
    assert_eq!(sensitivity(0, Hertz::from_mhz(30.0)), None);
}

#[test]
fn every_channel_is_in_the_list_and_no_other() {
    let rows = rows("wifi_channels.csv");
    let key = |c: &wlan::Channel| {
        let (low, high) = c.edges_mhz();
        (c.band.label().to_owned(), c.number, c.width_mhz, c.centre_mhz, low as u16, high as u16)
    };
    let listed: BTreeSet<_> = rows
        .iter()
        .map(|r| {
            let n = |i: usize| r[i].parse::<f64>().unwrap() as u16;
            (r[0].to_owned(), n(1), n(2), n(3), n(4), n(5))
        })
        .collect();
    // The list has no 40 MHz channels in 2.4 GHz: IEEE 802.11-2020 Annex E, operating classes 83 and 84, has nine centres.
    let (wide, made): (Vec<_>, Vec<_>) =
        all_channels().into_iter().partition(|c| c.band == Band::Ghz2 && c.width_mhz == 40);
    assert_eq!(wide.len(), 9);
    assert_eq!(made.iter().map(key).collect::<BTreeSet<_>>(), listed);
    assert_eq!(made.len(), rows.len());
    for row in &rows {
        let mhz = |i: usize| Hertz::from_mhz(row[i].parse().unwrap());
        let band = Band::ALL.into_iter().find(|b| b.label() == &row[0]).unwrap();
        let channel = wlan::channel_at(band, mhz(3), mhz(2)).unwrap();
        assert_eq!(channel.touches_radar_bands(), row[6].starts_with("DFS"), "{row:?}");
        assert_eq!(channel.preferred_scanning(), &row[6] == "PSC", "{row:?}");
    }
}

//! A stated default where nobody was asked: the service of a country, and its mains.

use findings::{Id, Source, SourceKind};
use units::{BitsPerSecond, Currency, Date, Seconds};

use crate::{Handover, Line, LineKind, Mains, Site, UnitSystem};

/// Interval of the mains' figures, where the source gives a range.
#[derive(Clone, Debug, PartialEq)]
pub struct MainsRange {
    /// Interruption a customer and year (SAIDI), low and high.
    pub saidi: (Seconds, Seconds),
    /// Interruptions a customer and year (SAIFI), low and high, if known.
    pub saifi: Option<(f64, f64)>,
    /// Where they come from.
    pub source: Source,
}

/// Published reliability of a country's mains; unknown where no figure was at hand.
///
/// Only the United States have figures that were compared with their source. They are national means; a home can be far off.
#[must_use]
pub fn default_mains(country: &str) -> Mains {
    match country {
        "US" => Mains {
            saidi: Some(Seconds(5.6 * 3600.0)),
            saifi: Some(1.4),
            source: Some(Source::new(
                SourceKind::Dataset,
                "U.S. Energy Information Administration, 2022 means of all events: 5.6 h and 1.4 interruptions a customer",
            )),
        },
        _ => Mains::default(),
    }
}

/// The range that a country's mains lie in, where only a range or a range as well is published.
///
/// United States: regional means of 2022 and 2023, with and without major events. Elsewhere in the European Union and in Great Britain: the range of
/// national means without exceptional events in the regulators' benchmarking, from memory.
#[must_use]
pub fn mains_range(country: &str) -> Option<MainsRange> {
    let minutes = |low: f64, high: f64| (Seconds(low * 60.0), Seconds(high * 60.0));
    if country == "US" {
        return Some(MainsRange {
            saidi: minutes(89.9, 480.5),
            saifi: Some((1.0, 1.4)),
            source: Source::new(
                SourceKind::Dataset,
                "U.S. Energy Information Administration, Electric Power Annual, Table 11.3, regions' means 2022 and 2023",
            ),
        });
    }
    let europe = [
        "AT", "BE", "BG", "HR", "CY", "CZ", "DK", "EE", "FI", "FR", "DE", "GR", "HU", "IE", "IT", "LV", "LT", "LU",
        "MT", "NL", "PL", "PT", "RO", "SK", "SI", "ES", "SE", "GB",
    ];
    europe.contains(&country).then(|| MainsRange {
        saidi: minutes(10.0, 400.0),
        saifi: Some((0.1, 4.0)),
        source: Source::new(
            SourceKind::Publication,
            "Council of European Energy Regulators, benchmarking report on continuity of supply, range of national means",
        )
        .from_memory(),
    })
}

impl Site {
    /// A site with an assumed service: fibre with 500 Mbit/s down and 100 Mbit/s up handed over as plain Ethernet, no neighbours known.
    ///
    /// Whoever uses it must say so: see [`Site::default_assumptions`]. Currency, units and language follow the country where they are obvious,
    /// else US dollars, metres and English.
    #[must_use]
    pub fn default_for(country: &str, date: Date) -> Site {
        let code = match country {
            "AT" | "BE" | "HR" | "CY" | "EE" | "FI" | "FR" | "DE" | "GR" | "IE" | "IT" | "LV" | "LT" | "LU" | "MT"
            | "NL" | "PT" | "SK" | "SI" | "ES" => "EUR",
            "GB" => "GBP",
            "CA" => "CAD",
            "JP" => "JPY",
            "CH" => "CHF",
            "AU" => "AUD",
            "PL" => "PLN",
            "SE" => "SEK",
            "NO" => "NOK",
            "DK" => "DKK",
            _ => "USD",
        };
        Site {
            country: country.to_owned(),
            code_region: None,
            currency: currency(code),
            units: if matches!(country, "US" | "CA") { UnitSystem::FeetInches } else { UnitSystem::Metric },
            language: "en".into(),
            date,
            lines: vec![Line {
                id: Id::from_label("line-1"),
                kind: LineKind::Fibre,
                down: BitsPerSecond::from_mbps(500.0),
                up: BitsPerSecond::from_mbps(100.0),
                handover: Handover::Ethernet,
                ipv6_prefix_length: None,
                carrier_nat: None,
                fixed_box: None,
                failures: None,
            }],
            mains: default_mains(country),
            neighbours: Vec::new(),
        }
    }

    /// What [`Site::default_for`] assumed, in plain sentences.
    #[must_use]
    pub fn default_assumptions() -> Vec<String> {
        vec![
            "The line is assumed: fibre, 500 Mbit/s down and 100 Mbit/s up, handed over as Ethernet (generic figure)."
                .into(),
            "No neighbour's network is known; none is reckoned with.".into(),
        ]
    }
}

fn currency(code: &str) -> Currency {
    // Every code above is three capital letters, so that the first parse succeeds; the fallbacks keep this total without a panic.
    let mut tries = [code, "USD"].into_iter();
    loop {
        match tries.next().map(str::parse::<Currency>) {
            Some(Ok(currency)) => return currency,
            Some(Err(_)) => {}
            None => unreachable!("`USD` is a currency code"),
        }
    }
}

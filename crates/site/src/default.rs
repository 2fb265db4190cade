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

/// Mains of one country as published: minutes a customer and year, interruptions a customer and year, and the ranges of both.
struct Published {
    country: &'static str,
    saidi: f64,
    saifi: f64,
    /// Lowest and highest minutes, and what makes them so.
    saidi_range: (f64, f64),
    saifi_range: (f64, f64),
    kind: SourceKind,
    cite: &'static str,
    /// What the range is of.
    range_cite: &'static str,
    from_memory: bool,
}

/// National means, by country. What is marked as from memory was not compared with its source.
///
/// Low-voltage customers throughout; European figures count unplanned interruptions over three minutes without
/// exceptional events, so that the upper ends of the ranges add those events and planned work where a figure was at hand.
const PUBLISHED: [Published; 6] = [
    Published {
        country: "DE",
        saidi: 13.7,
        saifi: 0.34,
        // 2022 was the low end; the high end adds 4.3 min of force majeure and about 5 min of planned work in 2023.
        saidi_range: (11.8, 23.0),
        saifi_range: (0.25, 0.5),
        kind: SourceKind::Publication,
        cite: "VDE FNN, fault and availability statistics 2023 (press release of 15 October 2024): 13.7 min and 0.34 interruptions a customer, without force majeure and planned work",
        range_cite: "VDE FNN, fault and availability statistics 2023: from 11.8 min in 2022 to 2023 with force majeure (4.3 min) and planned work (about 5 min)",
        from_memory: false,
    },
    Published {
        country: "NL",
        saidi: 21.0,
        saifi: 0.25,
        saidi_range: (20.0, 33.0),
        saifi_range: (0.2, 0.4),
        kind: SourceKind::Publication,
        cite: "Netbeheer Nederland, fault figures of 2016 and 2017 as the press gave them: 21 min a customer in 2016; one interruption in four years",
        range_cite: "Netbeheer Nederland as the press gave it: 20 min in a usual year, 33 min in 2015 with the outage of March",
        from_memory: false,
    },
    Published {
        country: "GB",
        saidi: 53.0,
        saifi: 0.6,
        saidi_range: (35.0, 90.0),
        saifi_range: (0.45, 0.8),
        kind: SourceKind::Publication,
        cite: "Council of European Energy Regulators, 6th benchmarking report (2016), annex A, 2014 without exceptional events; interruptions: Ofgem, electricity distribution annual reports",
        range_cite: "Ofgem, annual reports of the price control RIIO-ED1, and the Council of European Energy Regulators with exceptional events",
        from_memory: true,
    },
    Published {
        country: "FR",
        saidi: 50.2,
        saifi: 0.9,
        saidi_range: (50.0, 120.0),
        saifi_range: (0.7, 1.4),
        kind: SourceKind::Publication,
        cite: "Council of European Energy Regulators, 6th benchmarking report (2016), annex A, 2014 without exceptional events; interruptions: distributor's figure",
        range_cite: "notice of 11 October 2007 on supply by departments: 1.1 to 1.4 long interruptions a customer in 2004 to 2006; minutes of years with storms",
        from_memory: true,
    },
    Published {
        country: "JP",
        saidi: 27.0,
        saifi: 0.17,
        saidi_range: (10.0, 225.0),
        saifi_range: (0.1, 0.31),
        kind: SourceKind::Publication,
        cite: "Organization for Cross-regional Coordination of Transmission Operators, report on the quality of electricity supply, fiscal year 2020",
        range_cite: "Organization for Cross-regional Coordination of Transmission Operators, reports on fiscal years 2018 (typhoons) to 2021",
        from_memory: true,
    },
    Published {
        country: "US",
        saidi: 336.0,
        saifi: 1.4,
        saidi_range: (89.9, 480.5),
        saifi_range: (1.0, 1.4),
        kind: SourceKind::Dataset,
        cite: "U.S. Energy Information Administration, 2022 means of all events: 5.6 h and 1.4 interruptions a customer",
        range_cite: "U.S. Energy Information Administration, Electric Power Annual, Table 11.3, regions' means 2022 and 2023",
        from_memory: false,
    },
];

fn published(country: &str) -> Option<&'static Published> {
    PUBLISHED.iter().find(|p| p.country == country)
}

impl Published {
    fn source(&self, cite: &str) -> Source {
        let source = Source::new(self.kind, cite);
        if self.from_memory { source.from_memory() } else { source }
    }
}

/// Published reliability of a country's mains; unknown where no figure was at hand.
///
/// They are national means; a home can be far off.
#[must_use]
pub fn default_mains(country: &str) -> Mains {
    published(country).map_or_else(Mains::default, |p| Mains {
        saidi: Some(Seconds(p.saidi * 60.0)),
        saifi: Some(p.saifi),
        source: Some(p.source(p.cite)),
    })
}

/// The range that a country's mains lie in, where only a range or a range as well is published.
///
/// Countries with figures of their own: years and regions, with exceptional events where those are known. Elsewhere in
/// the European Union: the range of national means without exceptional events in the regulators' benchmarking, from memory.
#[must_use]
pub fn mains_range(country: &str) -> Option<MainsRange> {
    let minutes = |low: f64, high: f64| (Seconds(low * 60.0), Seconds(high * 60.0));
    if let Some(p) = published(country) {
        return Some(MainsRange {
            saidi: minutes(p.saidi_range.0, p.saidi_range.1),
            saifi: Some(p.saifi_range),
            source: p.source(p.range_cite),
        });
    }
    let europe = [
        "AT", "BE", "BG", "HR", "CY", "CZ", "DK", "EE", "FI", "GR", "HU", "IE", "IT", "LV", "LT", "LU", "MT", "PL",
        "PT", "RO", "SK", "SI", "ES", "SE",
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

/// What a line of a kind usually does to packets, where nobody has measured it.
#[derive(Clone, Debug, PartialEq)]
pub struct UsualDelay {
    /// One-way delay to the provider's edge with nothing else on the line.
    pub idle: Seconds,
    /// Wait in the full queue on the way in.
    pub queue_down: Seconds,
    /// Wait in the full queue on the way out.
    pub queue_up: Seconds,
    /// Where they come from.
    pub source: Source,
}

/// Delays of a kind of line: generic figures, from memory. A home can be far off, so that what was measured should be stated in the line.
///
/// The full queue is the delay that a large transfer adds with a plain queue: measurements of access lines found 50 ms to some seconds, more on the
/// slower way out. Satellites are taken as low ones; by a geostationary one the idle delay is at least 240 ms.
#[must_use]
pub fn usual_delay(kind: LineKind) -> UsualDelay {
    let (idle, down, up) = match kind {
        LineKind::Fibre => (0.004, 0.06, 0.12),
        LineKind::Coax => (0.010, 0.10, 0.30),
        LineKind::Dsl => (0.012, 0.15, 0.40),
        LineKind::FixedWireless => (0.015, 0.20, 0.30),
        LineKind::Satellite => (0.030, 0.20, 0.30),
        LineKind::Mobile => (0.025, 0.25, 0.40),
    };
    UsualDelay {
        idle: Seconds(idle),
        queue_down: Seconds(down),
        queue_up: Seconds(up),
        source: Source::new(SourceKind::GenericFigure, "generic figure of its kind of line").from_memory(),
    }
}

impl Line {
    /// Its delays: as stated, else the usual ones of its kind. A stated queue holds both ways. A stated value that is not a number of 0 or more is
    /// not used.
    ///
    /// # Example
    /// ```
    /// let site = site::Site::default_for("DE", "2026-11-25".parse().unwrap());
    /// assert_eq!(site.lines[0].delays(), site::usual_delay(site::LineKind::Fibre));
    /// ```
    #[must_use]
    pub fn delays(&self) -> UsualDelay {
        let sound = |time: &Seconds| time.0.is_finite() && time.0 >= 0.0;
        let mut delays = usual_delay(self.kind);
        let stated = (self.delay.filter(sound), self.queue.filter(sound));
        if let Some(idle) = stated.0 {
            delays.idle = idle;
        }
        if let Some(queue) = stated.1 {
            (delays.queue_down, delays.queue_up) = (queue, queue);
        }
        match stated {
            (Some(_), Some(_)) => delays.source = Source::new(SourceKind::Stated, "stated of the line"),
            (None, None) => {}
            _ => delays.source.cite += "; in part stated of the line",
        }
        delays
    }
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
            failovers: Vec::new(),
            lines: vec![Line {
                id: Id::from_label("line-1"),
                kind: LineKind::Fibre,
                down: BitsPerSecond::from_mbps(500.0),
                up: BitsPerSecond::from_mbps(100.0),
                handover: Handover::Ethernet,
                ipv6_prefix_length: None,
                carrier_nat: None,
                fixed_box: None,
                delay: None,
                queue: None,
                failures: None,
                far_end_runtime: None,
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
            "Its delay and the depth of its queue are generic figures of fibre: 4 ms when idle, 60 ms down and 120 ms up when full."
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

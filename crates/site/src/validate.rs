//! What is wrong with a site as data.

use findings::{Edit, Finding, Id, Rule, Severity, Source};
use serde_json::json;

use crate::{Site, Transmitter, country_name, nearest_country};

/// Farther off than this no transmitter is heard [m].
const FARTHEST: f64 = 10_000.0;

fn iso() -> Source {
    Source::standard("ISO 3166-1, alpha-2 codes")
}

/// The country is none.
pub const UNKNOWN_COUNTRY: Rule = Rule {
    id: "site.unknown-country",
    severity: Severity::Fails,
    summary: "The country is not a code of ISO 3166-1",
    limit: "two capital letters of a country",
    cite: iso,
};

/// A number cannot be.
pub const IMPOSSIBLE_VALUE: Rule = Rule {
    id: "site.impossible-value",
    severity: Severity::Fails,
    summary: "A number of the site is negative, not finite, or outside what can be",
    limit: "rates above 0, prefix length 0 to 128, load 0 to 1, frequencies 2.4 to 7.125 GHz, levels -120 to 0 dBm, \
            radiated powers -20 to 40 dBm, places within 10 km",
    cite: Source::common_practice,
};

/// Two things share an id.
pub const DUPLICATE_ID: Rule = Rule {
    id: "site.duplicate-id",
    severity: Severity::Fails,
    summary: "Two lines, other ways to the internet or neighbours have the same id",
    limit: "each id once",
    cite: Source::common_practice,
};

/// No line into the home.
pub const NO_LINE: Rule = Rule {
    id: "site.no-line",
    severity: Severity::Note,
    summary: "No line into the home is given",
    limit: "",
    cite: Source::common_practice,
};

/// Every rule of this crate.
pub const RULES: &[Rule] = &[UNKNOWN_COUNTRY, IMPOSSIBLE_VALUE, DUPLICATE_ID, NO_LINE];

/// Everything that is wrong with a site.
#[must_use]
pub fn validate(site: &Site) -> Vec<Finding> {
    let mut findings = Vec::new();
    let subject = Id::from_label("site");
    if country_name(&site.country).is_none() {
        findings.push(unknown_country(&site.country, &subject));
    }
    let mut bad = |id: &Id, ok: bool, what: &str, value: f64, expect: &str| {
        if !ok {
            let message = format!("{what} of `{id}` is {value}; give {expect}");
            findings.push(Finding::of(&IMPOSSIBLE_VALUE, vec![id.clone()], message));
        }
    };
    let above_zero = |v: f64| v.is_finite() && v > 0.0;
    for line in site.lines.iter().chain(site.failovers.iter().map(|f| &f.line)) {
        for (what, rate) in [("rate towards the home", line.down), ("rate from the home", line.up)] {
            let ok = above_zero(rate.0) && rate.0 <= 1e12;
            bad(&line.id, ok, what, rate.0, "bits per second above 0, at most 1e12");
        }
        if let Some(length) = line.ipv6_prefix_length {
            bad(&line.id, length <= 128, "length of the IPv6 prefix", f64::from(length), "0 to 128");
        }
        for (what, time) in [("delay", line.delay), ("queue", line.queue)] {
            if let Some(time) = time {
                bad(&line.id, (0.0..=60.0).contains(&time.0), what, time.0, "seconds, 0 to 60");
            }
        }
        if let Some(time) = line.far_end_runtime {
            let ok = time.0.is_finite() && time.0 >= 0.0;
            bad(&line.id, ok, "runtime of the line's far end", time.0, "seconds, 0 or more");
        }
        if let Some(rate) = &line.failures {
            bad(&line.id, above_zero(rate.mtbf.0), "mean time between failures", rate.mtbf.0, "seconds above 0");
            let ok = rate.mttr.0.is_finite() && rate.mttr.0 >= 0.0;
            bad(&line.id, ok, "mean time to repair", rate.mttr.0, "seconds, 0 or more");
        }
    }
    if let Some(saidi) = site.mains.saidi {
        let ok = (0.0..=365.0 * 86_400.0).contains(&saidi.0);
        bad(&subject, ok, "interruption of the mains a year", saidi.0, "seconds, 0 to a year");
    }
    if let Some(saifi) = site.mains.saifi {
        bad(&subject, (0.0..=10_000.0).contains(&saifi), "interruptions of the mains a year", saifi, "0 to 10000");
    }
    for neighbour in &site.neighbours {
        let (id, ghz) = (&neighbour.id, neighbour.centre.ghz());
        bad(id, (2.4..=7.125).contains(&ghz), "centre frequency [GHz]", ghz, "2.4 to 7.125");
        let mhz = neighbour.width.mhz();
        bad(id, (1.0..=320.0).contains(&mhz), "channel width [MHz]", mhz, "1 to 320");
        bad(id, (-120.0..=0.0).contains(&neighbour.level.0), "level [dBm]", neighbour.level.0, "-120 to 0");
        if let Some(Transmitter { at, eirp }) = neighbour.transmitter {
            bad(id, (-20.0..=40.0).contains(&eirp.0), "radiated power [dBm]", eirp.0, "-20 to 40");
            for value in [at.x, at.y, at.z] {
                bad(id, value.abs() <= FARTHEST, "place of its transmitter [m]", value, "-10000 to 10000");
            }
        }
        if let Some(load) = neighbour.load {
            bad(id, (0.0..=1.0).contains(&load), "load", load, "0 to 1");
        }
    }
    let ways = site.lines.iter().chain(site.failovers.iter().map(|f| &f.line)).map(|l| &l.id);
    let ids = ways.chain(site.neighbours.iter().map(|n| &n.id));
    let mut sorted: Vec<&Id> = ids.collect();
    sorted.sort();
    sorted.dedup_by(|later, first| {
        let same = later == first;
        if same {
            let message = format!("`{first}` names two lines, other ways to the internet or neighbours; rename one");
            findings.push(Finding::of(&DUPLICATE_ID, vec![first.clone()], message));
        }
        same
    });
    if site.lines.is_empty() {
        findings.push(Finding::of(
            &NO_LINE,
            vec![subject],
            "no line into the home is given; nothing can be said of it",
        ));
    }
    findings
}

fn unknown_country(written: &str, subject: &Id) -> Finding {
    let shown: String = written.chars().take(40).collect();
    let nearest = nearest_country(written);
    let hint = match nearest {
        Some(code) => format!("the nearest is `{code}` ({})", country_name(code).unwrap_or(code)),
        None => "write two capital letters, for example `DE`".to_owned(),
    };
    let finding = Finding::of(
        &UNKNOWN_COUNTRY,
        vec![subject.clone()],
        format!("`{shown}` is not a country of ISO 3166-1; {hint}"),
    );
    match nearest {
        Some(code) => {
            finding.remedy(format!("set the country to `{code}`"), vec![Edit::set("site/country", json!(code))])
        }
        None => finding,
    }
}

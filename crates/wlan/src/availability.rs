//! Which channels a country has, where radar has priority and what must stay indoors: parsed from an open data set. No power limits.

use std::sync::OnceLock;

use crate::Channel;

const TABLE: &str = include_str!("../data/regdb.txt");

/// Which body's radar rules hold.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DfsRegion {
    /// 47 CFR 15.407(h) and those that follow it.
    Fcc,
    /// EN 301 893 and those that follow it.
    Etsi,
    /// The rules of Japan.
    Japan,
    /// The data set does not say.
    Unset,
}

#[derive(Clone, Copy, Debug)]
struct Range {
    low: f64,
    high: f64,
    widest: f64,
    joins: bool,
    dfs: bool,
    indoor: bool,
    client_only: bool,
    no_ofdm: bool,
}

#[derive(Debug)]
struct Country {
    code: &'static str,
    region: DfsRegion,
    ranges: Vec<Range>,
}

/// What a country says of a channel.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Availability {
    /// Radar has priority on some of it.
    pub radar: bool,
    /// Only indoors.
    pub indoor_only: bool,
    /// Only clients under an access point's control may start to send, in the data set's careful reading.
    pub client_only: bool,
    /// Whose radar rules hold.
    pub region: DfsRegion,
}

fn countries() -> &'static [Country] {
    static COUNTRIES: OnceLock<Vec<Country>> = OnceLock::new();
    COUNTRIES.get_or_init(|| TABLE.lines().filter(|l| !l.starts_with('#')).filter_map(country).collect())
}

fn country(line: &'static str) -> Option<Country> {
    let mut words = line.split(' ');
    let code = words.next()?;
    let region = match words.next()? {
        "FCC" => DfsRegion::Fcc,
        "ETSI" => DfsRegion::Etsi,
        "JP" => DfsRegion::Japan,
        _ => DfsRegion::Unset,
    };
    Some(Country { code, region, ranges: words.map(range).collect::<Option<_>>()? })
}

fn range(word: &str) -> Option<Range> {
    let (edges, rest) = word.split_once('/')?;
    let (low, high) = edges.split_once('-')?;
    let flags_at = rest.find(|c: char| c.is_ascii_alphabetic()).unwrap_or(rest.len());
    let (widest, flags) = rest.split_at(flags_at);
    Some(Range {
        low: low.parse().ok()?,
        high: high.parse().ok()?,
        widest: widest.parse().ok()?,
        joins: flags.contains('a'),
        dfs: flags.contains('d'),
        indoor: flags.contains('i'),
        client_only: flags.contains('n'),
        no_ofdm: flags.contains('o'),
    })
}

/// True if the data set has the country.
pub(crate) fn is_listed(country: &str) -> bool {
    countries().iter().any(|c| c.code == country)
}

/// What a country says of a channel; nothing if the country is not listed or the channel is not allowed there.
///
/// A channel must lie in one range, or in a run of ranges that join, and be no wider than the range's widest channel; ranges that join
/// count as one for that.
#[must_use]
pub fn availability(country: &str, channel: &Channel) -> Option<Availability> {
    let country = countries().iter().find(|c| c.code == country)?;
    let (low, high) = channel.edges_mhz();
    let usable = |r: &&Range| !r.no_ofdm || channel.width_mhz == 22;
    let whole = country
        .ranges
        .iter()
        .filter(usable)
        .find(|r| r.low <= low && high <= r.high && (high - low <= r.widest || r.joins));
    let used: Vec<&Range> = match whole {
        Some(range) if high - low <= range.widest => vec![range],
        // Wider than the range's own limit, or over its edge: only ranges that join carry it, as far as they do.
        _ => {
            let run: Vec<&Range> =
                country.ranges.iter().filter(|r| r.joins && r.low < high && low < r.high).filter(usable).collect();
            let (first, last) = (run.first()?, run.last()?);
            let adjacent = run.windows(2).all(|w| w.first().zip(w.get(1)).is_some_and(|(a, b)| a.high == b.low));
            if first.low > low || last.high < high || !adjacent || high - low > joined_span(country, first) {
                return None;
            }
            run
        }
    };
    Some(Availability {
        radar: used.iter().any(|r| r.dfs),
        indoor_only: used.iter().any(|r| r.indoor),
        client_only: used.iter().any(|r| r.client_only),
        region: country.region,
    })
}

/// Width of the run of joining ranges that a range belongs to [MHz].
fn joined_span(country: &Country, of: &Range) -> f64 {
    let (mut low, mut high) = (of.low, of.high);
    // Ranges are sorted; two passes reach both ends of the run.
    for r in country.ranges.iter().filter(|r| r.joins) {
        if r.low == high {
            high = r.high;
        }
    }
    for r in country.ranges.iter().rev().filter(|r| r.joins) {
        if r.high == low {
            low = r.low;
        }
    }
    high - low
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_line_of_the_table_is_read() {
        let lines = TABLE.lines().filter(|l| !l.starts_with('#')).count();
        assert_eq!(countries().len(), lines);
        assert_eq!(lines, 181);
        assert!(countries().iter().all(|c| c.ranges.windows(2).all(|w| w[0].low <= w[1].low)));
    }
}

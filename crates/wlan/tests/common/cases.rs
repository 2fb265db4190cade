//! Runs of the packet simulator, in the form of `tests/data/mac/cases.json`: read, made into input of the model, and set beside its answer.

use radio_profile::{Band, Generation};
use serde_json::Value;
use units::{Db, Dbm, Hertz, Seconds};
use wlan::contention::{
    Access, Channel, ContentionError, Frame, Hearing, PREAMBLE_MARGIN, Path, Phy, Protection, Radio, Shares, Speaker,
    Station, hearing, needed_sinr, saturated_among,
};
use wlan::{GuardInterval, Mode};

/// A run that cannot be read: which one, which key, and why.
#[derive(Clone, Debug, PartialEq)]
pub struct CaseError {
    pub case: String,
    pub key: String,
    pub problem: String,
}

impl std::fmt::Display for CaseError {
    fn fmt(&self, f: &mut std::fmt::Formatter) -> std::fmt::Result {
        write!(f, "case {}: `{}`: {}", self.case, self.key, self.problem)
    }
}

/// One run.
#[derive(Clone, Debug)]
pub struct Case {
    /// Position in the file and label.
    pub name: String,
    pub std: String,
    pub channel: String,
    pub downlink: bool,
    pub n_ap: usize,
    pub n_sta_per_ap: usize,
    pub mode: String,
    pub slow_mode: String,
    /// Slow stations of each access point, the first ones.
    pub n_slow: usize,
    pub nss: u8,
    pub gi_ns: u64,
    pub rts: bool,
    pub max_ampdu_bytes: u32,
    pub max_amsdu_bytes: u32,
    pub mpdu_buffer: u32,
    pub txop_limit_us: f64,
    pub udp_payload_bytes: u32,
    pub distance_m: f64,
    pub ap_separation_m: f64,
    /// Absent where the run is still to be made.
    pub aggregate_mbps: Option<f64>,
    /// By access point and station; empty if absent.
    pub per_station_mbps: Vec<f64>,
    /// Length of a beacon, if the run has it.
    pub beacon_us: Option<f64>,
    /// Rate of the RTS, if the run has it.
    pub rts_mbps: Option<f64>,
}

/// Reads values of one run, with an error that names run and key.
struct Keys<'a> {
    name: &'a str,
    value: &'a Value,
}

impl Keys<'_> {
    fn error<T>(&self, key: &str, problem: impl Into<String>) -> Result<T, CaseError> {
        Err(CaseError { case: self.name.to_owned(), key: key.to_owned(), problem: problem.into() })
    }

    fn given(&self, key: &str) -> Option<&Value> {
        self.value.get(key).filter(|v| !v.is_null())
    }

    fn text(&self, key: &str, default: Option<&str>) -> Result<String, CaseError> {
        match (self.given(key), default) {
            (Some(Value::String(text)), _) => Ok(text.clone()),
            (None, Some(default)) => Ok(default.to_owned()),
            (None, None) => self.error(key, "is missing"),
            (Some(other), _) => self.error(key, format!("{other} is not a text")),
        }
    }

    fn number(&self, key: &str, default: Option<f64>, least: f64, most: f64) -> Result<f64, CaseError> {
        let value = match (self.given(key), default) {
            (Some(v), _) => match v.as_f64() {
                Some(number) => number,
                None => return self.error(key, format!("{v} is not a number")),
            },
            (None, Some(default)) => return Ok(default),
            (None, None) => return self.error(key, "is missing"),
        };
        if (least..=most).contains(&value) {
            Ok(value)
        } else {
            self.error(key, format!("{value} is not from {least} to {most}"))
        }
    }

    fn whole(&self, key: &str, default: Option<f64>, least: f64, most: f64) -> Result<u32, CaseError> {
        let value = self.number(key, default, least, most)?;
        if value.fract() == 0.0 { Ok(value as u32) } else { self.error(key, format!("{value} is not a whole number")) }
    }

    fn yes(&self, key: &str) -> Result<bool, CaseError> {
        match self.given(key) {
            None => Ok(false),
            Some(Value::Bool(yes)) => Ok(*yes),
            Some(other) => self.error(key, format!("{other} is neither true nor false")),
        }
    }
}

/// All runs of a file, or the first thing that is wrong in it.
pub fn read(text: &str) -> Result<Vec<Case>, CaseError> {
    let whole = |problem: String| CaseError { case: "-".to_owned(), key: "cases".to_owned(), problem };
    let file: Value = serde_json::from_str(text).map_err(|e| whole(e.to_string()))?;
    let list = file.get("cases").and_then(Value::as_array).or_else(|| file.as_array());
    let list = list.ok_or_else(|| whole("is missing or no list".to_owned()))?;
    list.iter().enumerate().map(|(i, value)| case(i, value)).collect()
}

fn case(index: usize, value: &Value) -> Result<Case, CaseError> {
    let label = value.get("label").and_then(Value::as_str).unwrap_or("without label");
    let name = format!("{index} ({label})");
    let keys = Keys { name: &name, value };
    if !value.is_object() {
        return keys.error("", "is no object");
    }
    let downlink = match keys.text("dir", None)?.as_str() {
        "dl" => true,
        "ul" => false,
        other => return keys.error("dir", format!("`{other}` is neither dl nor ul")),
    };
    let n_ap = keys.whole("n_ap", Some(1.0), 1.0, 16.0)? as usize;
    let n_sta_per_ap = keys.whole("n_sta_per_ap", None, 1.0, 1000.0)? as usize;
    let n_slow = keys.whole("n_slow", Some(0.0), 0.0, n_sta_per_ap as f64)? as usize;
    let slow_mode = keys.text("slow_mode", Some(""))?;
    if n_slow > 0 && slow_mode.is_empty() {
        return keys.error("slow_mode", "is missing, but `n_slow` is not 0");
    }
    let per_station_mbps = match keys.given("per_station_mbps") {
        None => Vec::new(),
        Some(list) => {
            let rates: Option<Vec<f64>> = list.as_array().and_then(|l| l.iter().map(Value::as_f64).collect());
            match rates {
                Some(rates) if rates.len() == n_ap * n_sta_per_ap => rates,
                Some(rates) => {
                    let problem = format!("{} rates for {} stations", rates.len(), n_ap * n_sta_per_ap);
                    return keys.error("per_station_mbps", problem);
                }
                None => return keys.error("per_station_mbps", "is no list of numbers"),
            }
        }
    };
    let aggregate_mbps = match keys.given("aggregate_mbps") {
        None => None,
        Some(_) => Some(keys.number("aggregate_mbps", None, 0.0, 1e6)?),
    };
    let airtime = value.get("airtime").and_then(Value::as_object);
    let frame = |kind: &str| airtime.and_then(|a| a.iter().find(|(k, _)| k.starts_with(kind)));
    let rts_mbps = frame("rts|").and_then(|(k, _)| k.split('|').nth(1)).and_then(mbps);
    Ok(Case {
        std: keys.text("std", None)?,
        channel: keys.text("channel", None)?,
        downlink,
        n_ap,
        n_sta_per_ap,
        mode: keys.text("mode", None)?,
        slow_mode,
        n_slow,
        nss: keys.whole("nss", Some(1.0), 1.0, 8.0)? as u8,
        gi_ns: u64::from(keys.whole("gi_ns", Some(800.0), 400.0, 3200.0)?),
        rts: keys.yes("rts")?,
        max_ampdu_bytes: keys.whole("max_ampdu_bytes", Some(0.0), 0.0, 2e7)?,
        max_amsdu_bytes: keys.whole("max_amsdu_bytes", Some(0.0), 0.0, 11_454.0)?,
        mpdu_buffer: keys.whole("mpdu_buffer", Some(0.0), 0.0, 1024.0)?,
        txop_limit_us: keys.number("txop_limit_us", Some(0.0), 0.0, 1e6)?,
        udp_payload_bytes: keys.whole("udp_payload_bytes", Some(1472.0), 1.0, 11_400.0)?,
        distance_m: keys.number("distance_m", Some(2.0), 0.0, 1e5)?,
        ap_separation_m: keys.number("ap_separation_m", Some(5.0), 0.0, 1e5)?,
        aggregate_mbps,
        per_station_mbps,
        beacon_us: frame("beacon").and_then(|(_, v)| v.get("mean_us")).and_then(Value::as_f64),
        rts_mbps,
        name: name.clone(),
    })
}

/// The runs of `tests/data/mac/cases.json`.
pub fn cases() -> Vec<Case> {
    read(include_str!("../data/mac/cases.json")).unwrap()
}

/// The runs of `tests/data/mac/more_cases.json`: several access points, partial hearing, other modes.
pub fn more_cases() -> Vec<Case> {
    read(include_str!("../data/mac/more_cases.json")).unwrap()
}

/// Rate of a mode of the older PHYs: `OfdmRate6Mbps`, `ErpOfdmRate54Mbps`, `DsssRate5_5Mbps`.
fn mbps(mode: &str) -> Option<f64> {
    let rate = mode.split_once("Rate")?.1.strip_suffix("Mbps")?;
    rate.replace('_', ".").parse().ok()
}

/// Frequencies of a run's channel.
#[derive(Clone, Copy, Debug)]
struct Tuned {
    band: Band,
    centre: f64,
    width: f64,
    primary: f64,
}

impl Case {
    fn error<T>(&self, key: &str, problem: impl Into<String>) -> Result<T, CaseError> {
        Err(CaseError { case: self.name.clone(), key: key.to_owned(), problem: problem.into() })
    }

    /// `{number, width, band, primary 20 MHz}`, or a bare `std` width where number and width are 0.
    fn tuned(&self) -> Result<Tuned, CaseError> {
        let inner = self.channel.trim().strip_prefix('{').and_then(|c| c.strip_suffix('}'));
        let fields: Vec<&str> = inner.unwrap_or("").split(',').map(str::trim).collect();
        let [number, width, band, primary] = fields[..] else {
            return self.error("channel", format!("`{}` is not {{number, width, band, primary}}", self.channel));
        };
        let whole = |text: &str| match text.parse::<u32>() {
            Ok(value) if value <= 400 => Ok(f64::from(value)),
            _ => self.error("channel", format!("`{text}` is not a number from 0 to 400")),
        };
        let (number, width, primary) = (whole(number)?, whole(width)?, whole(primary)?);
        let (band, base) = match band {
            "BAND_2_4GHZ" => (Band::Ghz2, 2407.0),
            "BAND_5GHZ" => (Band::Ghz5, 5000.0),
            "BAND_6GHZ" => (Band::Ghz6, 5950.0),
            other => {
                return self.error("channel", format!("band `{other}` is none of BAND_2_4GHZ, BAND_5GHZ, BAND_6GHZ"));
            }
        };
        let named: f64 = self.std.trim_start_matches(|c: char| c.is_ascii_alphabetic()).parse().unwrap_or(0.0);
        let width = if width > 0.0 {
            width
        } else if named > 0.0 {
            named
        } else {
            20.0
        };
        if ![20.0, 22.0, 40.0, 80.0, 160.0, 320.0].contains(&width) {
            return self.error("channel", format!("a width of {width} MHz"));
        }
        let centre = base + 5.0 * number;
        let count = (width / 20.0).floor();
        if primary >= count {
            return self.error("channel", format!("primary {primary} of {count} parts of 20 MHz"));
        }
        Ok(Tuned { band, centre, width, primary: centre - 10.0 * (count - 1.0) + 20.0 * primary })
    }

    fn family(&self) -> &str {
        self.std.trim_end_matches(|c: char| c.is_ascii_digit())
    }

    fn phy(&self, key: &str, mode: &str, tuned: &Tuned) -> Result<Phy, CaseError> {
        let unknown = || self.error(key, format!("`{mode}` is no mode of {}", self.std));
        if let Some(rate) = mbps(mode) {
            return match mode.split_once("Rate").map(|(kind, _)| kind) {
                Some("Dsss") => Ok(Phy::Dsss { mbps: rate, short_preamble: false }),
                Some("Ofdm" | "ErpOfdm") => Ok(Phy::Ofdm { mbps: rate }),
                _ => unknown(),
            };
        }
        let number = |prefix: &str| mode.strip_prefix(prefix).and_then(|m| m.parse::<u8>().ok());
        let (generation, mcs, streams, most) = if let Some(mcs) = number("HtMcs") {
            // HT counts on over the streams: 8 to 15 have two.
            (Generation::N, mcs % 8, mcs / 8 + 1, if mcs < 32 { 7 } else { 0 })
        } else if let Some(mcs) = number("VhtMcs") {
            (Generation::Ac, mcs, self.nss, 9)
        } else if let Some(mcs) = number("HeMcs") {
            (Generation::Ax, mcs, self.nss, 11)
        } else if let Some(mcs) = number("EhtMcs") {
            (Generation::Be, mcs, self.nss, 13)
        } else {
            return unknown();
        };
        let latest = match self.family() {
            "n" => Some(Generation::N),
            "ac" => Some(Generation::Ac),
            "ax" => Some(Generation::Ax),
            "be" => Some(Generation::Be),
            _ => None,
        };
        if mcs > most || latest.is_none_or(|l| generation > l) {
            return unknown();
        }
        let gi = match self.gi_ns {
            400 if generation <= Generation::Ac => GuardInterval::Ns400,
            800 => GuardInterval::Ns800,
            1600 if generation >= Generation::Ax => GuardInterval::Ns1600,
            3200 if generation >= Generation::Ax => GuardInterval::Ns3200,
            other => return self.error("gi_ns", format!("{mode} has no guard interval of {other} ns")),
        };
        let width = Hertz::from_mhz(if generation == Generation::N { tuned.width.min(40.0) } else { tuned.width });
        Ok(Phy::High(Mode { generation, width, streams, mcs, gi }))
    }

    fn frame(&self, key: &str, mode: &str, tuned: &Tuned) -> Result<Frame, CaseError> {
        let phy = self.phy(key, mode, tuned)?;
        let mut frame = Frame::new(phy, tuned.band);
        // Stations of 802.11n and later send QoS frames at any rate.
        frame.mac_headers = if matches!(self.family(), "a" | "b" | "g") { 28 } else { 30 };
        let datagram = self.udp_payload_bytes + frame.upper_headers;
        // Subframes of an A-MSDU: 14 octets of header, all but the last one padded to 4 octets (IEEE 802.11-2020, 9.3.2.2.2).
        let padded = (14 + datagram).next_multiple_of(4);
        let joined = (self.max_amsdu_bytes + padded - (14 + datagram)) / padded;
        if joined >= 2 && matches!(phy, Phy::High(_)) {
            frame.payload = joined * self.udp_payload_bytes;
            frame.upper_headers = joined * padded - (padded - (14 + datagram)) - frame.payload;
        } else {
            frame.payload = self.udp_payload_bytes;
        }
        match self.max_ampdu_bytes {
            0 => frame.mpdus_max = Some(1),
            octets => frame.ampdu_max = Some(octets),
        }
        if self.mpdu_buffer > 0 {
            frame.block_ack_window = Some(self.mpdu_buffer);
        }
        // The simulator's HE training field is 8 µs whatever the guard interval.
        frame.training_field = Some(Seconds(8e-6));
        if self.rts {
            frame.protection = Protection::RtsCts { mbps: self.rts_rate() };
        }
        if self.txop_limit_us > 0.0 {
            // A PPDU must end within the TXOP, with its answer (10.23.2.9).
            let exchange = frame.exchange().or_else(|e| self.error(key, e.to_string()))?;
            let around = exchange.success.0 - frame.data().map_or(0.0, |d| d.1.0);
            frame.ppdu_max = Seconds((self.txop_limit_us * 1e-6 - around).clamp(1e-3, 5.484e-3));
        }
        Ok(frame)
    }

    /// Rate of control frames in the scenario: the lowest rate for 802.11a, b and g, 24 Mbit/s later.
    fn rts_rate(&self) -> f64 {
        self.rts_mbps.unwrap_or(match self.family() {
            "a" | "g" => 6.0,
            "b" => 1.0,
            _ => 24.0,
        })
    }
}

/// The model's input for a run.
pub struct Setting {
    pub channel: Channel,
    pub stations: Vec<Station>,
    pub hearing: Hearing,
}

/// Transmit power and loss at 1 m of all runs; loss grows with the third power of distance. Noise figure 7 dB.
const POWER_DBM: f64 = 16.0;
const LOSS_AT_METRE: f64 = 46.7;

pub fn setting(case: &Case) -> Result<Setting, CaseError> {
    let tuned = case.tuned()?;
    let (channel, access) = match (case.family(), tuned.band) {
        ("a", Band::Ghz5) => (Channel::ofdm(), Access::DCF_OFDM),
        ("b", Band::Ghz2) => (Channel::dsss(), Access::DCF_DSSS),
        ("g", Band::Ghz2) => (Channel::erp(), Access::DCF_OFDM),
        ("n" | "ax" | "be", Band::Ghz2) => (Channel::erp(), Access::BEST_EFFORT),
        ("n" | "ac" | "ax" | "be", Band::Ghz5) | ("ax" | "be", Band::Ghz6) => (Channel::ofdm(), Access::BEST_EFFORT),
        ("a" | "b" | "g" | "n" | "ac", _) => {
            return case.error("channel", format!("{} is not used in that band", case.std));
        }
        _ => return case.error("std", format!("`{}` is none of a, b, g, n, ac, ax, be with a width", case.std)),
    };
    // Lengths of beacons in the runs at hand; what the cell announces sets them.
    let beacon_us = case.beacon_us.unwrap_or(match (case.family(), tuned.band) {
        ("a", _) => 100.0,
        ("b", _) => 632.0,
        ("ac" | "ax" | "be" | "n", Band::Ghz5 | Band::Ghz6) => 284.0,
        _ => 1400.0,
    });
    let channel = channel.with_beacons(Seconds(102.4e-3 / case.n_ap as f64), Seconds(beacon_us * 1e-6));
    let access = Access { txop_limit: Seconds(case.txop_limit_us * 1e-6), ..access };
    let positions = positions(case);
    let access_point = |a: usize| a;
    let client = |a: usize, i: usize| case.n_ap + a * case.n_sta_per_ap + i;
    let slow = (case.n_slow > 0).then(|| case.frame("slow_mode", &case.slow_mode, &tuned)).transpose()?;
    let mut fast = case.frame("mode", &case.mode, &tuned)?;
    let mut slow = slow;
    if let (true, Some(slow)) = (case.downlink, &mut slow) {
        // An access point's queue takes packets of all stations alike, so that none gets more: aggregates are as long as the shorter ones.
        let mpdus = |f: &Frame| f.data().map(|d| d.0).or_else(|e| case.error("mode", e.to_string()));
        let least = mpdus(&fast)?.min(mpdus(slow)?);
        fast.mpdus_max = Some(least);
        slow.mpdus_max = Some(least);
    }
    let (mut stations, mut senders) = (Vec::new(), Vec::new());
    for a in 0..case.n_ap {
        let (mut exchanges, mut paths) = (Vec::new(), Vec::new());
        for i in 0..case.n_sta_per_ap {
            let frame = slow.as_ref().filter(|_| i < case.n_slow).unwrap_or(&fast);
            let exchange = frame.exchange().or_else(|e| case.error("mode", e.to_string()))?;
            let data = needed_sinr(frame.phy).unwrap_or(Db(0.0));
            let control = match frame.phy {
                Phy::Dsss { .. } => Phy::Dsss { mbps: case.rts_rate(), short_preamble: false },
                _ => Phy::Ofdm { mbps: case.rts_rate() },
            };
            let first = if case.rts { needed_sinr(control).unwrap_or(data) } else { data };
            let to = if case.downlink { client(a, i) } else { access_point(a) };
            let path = Path { to, first, data };
            if case.downlink {
                exchanges.push(exchange);
                paths.push(path);
            } else {
                stations.push(Station { access, exchanges: vec![exchange] });
                senders.push(Speaker { radio: client(a, i), paths: vec![path] });
            }
        }
        if case.downlink {
            stations.push(Station { access, exchanges });
            senders.push(Speaker { radio: access_point(a), paths });
        }
    }
    let mhz = |f: f64| Hertz::from_mhz(f);
    let radio =
        Radio { centre: mhz(tuned.centre), width: mhz(tuned.width), primary: mhz(tuned.primary), noise: Dbm(-94.0) };
    let level = |a: &(f64, f64), b: &(f64, f64)| {
        let distance = (a.0 - b.0).hypot(a.1 - b.1).max(1.0);
        Dbm(POWER_DBM - LOSS_AT_METRE - 30.0 * distance.log10())
    };
    let levels: Vec<Vec<Dbm>> = positions.iter().map(|a| positions.iter().map(|b| level(a, b)).collect()).collect();
    let mut hearing = hearing(&vec![radio; positions.len()], &levels, &senders)
        .or_else(|e| case.error("distance_m", e.to_string()))?;
    forget_earlier(&mut hearing, &positions, &levels, &senders);
    Ok(Setting { channel, stations, hearing })
}

/// A peculiarity of the simulator (`InterferenceHelper::AppendEvent` and `CalculatePayloadPer` of ns-3.44): of frames in one slot, a frame is decoded as
/// if alone if the other's first symbol was there before it, be it by a nanosecond; only the preamble must be 4 dB above. Who is first follows from the
/// ways of the last answer to both senders, and of their frames to the receiver. So the answer to a run is given for receivers of that kind.
fn forget_earlier(hearing: &mut Hearing, positions: &[(f64, f64)], levels: &[Vec<Dbm>], senders: &[Speaker]) {
    let way = |a: usize, b: usize| (positions[a].0 - positions[b].0).hypot(positions[a].1 - positions[b].1);
    let last: Vec<usize> = senders.iter().flat_map(|s| s.paths.iter().map(|p| p.to)).collect();
    for (s, rows) in senders.iter().zip(&mut hearing.survives) {
        for (path, row) in s.paths.iter().zip(rows) {
            for (o, survival) in senders.iter().zip(row) {
                let margin = levels[s.radio][path.to].0 - levels[o.radio][path.to].0;
                if o.radio == s.radio || o.radio == path.to || margin < PREAMBLE_MARGIN.0 {
                    continue;
                }
                let earlier = |x: &&usize| {
                    way(**x, o.radio) + way(o.radio, path.to) <= way(**x, s.radio) + way(s.radio, path.to) + 0.15
                };
                let share = last.iter().filter(earlier).count() as f64 / last.len() as f64;
                survival.together = survival.together.max(share);
            }
        }
    }
}

/// Access points in a row, then each one's stations, evenly on a circle about it [m].
fn positions(case: &Case) -> Vec<(f64, f64)> {
    let at = |a: usize| case.ap_separation_m * a as f64;
    let mut all: Vec<(f64, f64)> = (0..case.n_ap).map(|a| (at(a), 0.0)).collect();
    for a in 0..case.n_ap {
        for i in 0..case.n_sta_per_ap {
            let angle = std::f64::consts::TAU * i as f64 / case.n_sta_per_ap as f64;
            all.push((at(a) + case.distance_m * angle.cos(), case.distance_m * angle.sin()));
        }
    }
    all
}

/// A figure of a run beside the model's.
pub struct Beside {
    pub name: &'static str,
    pub simulated_mbps: Option<f64>,
    pub predicted_mbps: f64,
}

impl Beside {
    /// Relative error.
    pub fn error(&self) -> Option<f64> {
        self.simulated_mbps.filter(|s| *s > 0.0).map(|s| self.predicted_mbps / s - 1.0)
    }
}

/// The aggregate, and the mean of each class of stations with the same parameters if there are two.
pub fn beside(case: &Case, shares: &Shares) -> Vec<Beside> {
    let each: Vec<f64> = shares.stations.iter().flat_map(|s| s.by_exchange.iter().map(|b| b.mbps())).collect();
    let mean = |of: &[f64], slow: bool| {
        let chosen = of.iter().enumerate().filter(|(i, _)| (i % case.n_sta_per_ap < case.n_slow) == slow);
        let (sum, count) = chosen.fold((0.0, 0.0), |(s, c), (_, v)| (s + v, c + 1.0));
        if count > 0.0 { Some(sum / count) } else { None }
    };
    let mut all = vec![Beside {
        name: "aggregate",
        simulated_mbps: case.aggregate_mbps,
        predicted_mbps: shares.aggregate().mbps(),
    }];
    if case.n_slow > 0 && case.n_slow < case.n_sta_per_ap {
        for (name, slow) in [("slow", true), ("fast", false)] {
            let predicted_mbps = mean(&each, slow).unwrap_or(0.0);
            all.push(Beside { name, simulated_mbps: mean(&case.per_station_mbps, slow), predicted_mbps });
        }
    }
    all
}

/// The model's answer to a run.
pub fn predict(case: &Case) -> Result<Shares, CaseError> {
    let s = setting(case)?;
    saturated_among(&s.channel, &s.stations, &s.hearing)
        .or_else(|e: ContentionError| case.error("stations", e.to_string()))
}

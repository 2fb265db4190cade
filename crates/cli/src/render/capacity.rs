//! The busy hour of a design, channel by channel and activity by activity.

use assessment::Capacity;
use household::ActivityKind;
use network::LineQueue;
use traffic::hour::{ActivityHour, Bottleneck, Carrier, Spread};
use units::{BitsPerSecond, Seconds};

use super::design::band_name;
use super::number;
use super::table::{Align, Table};
use super::text::Page;

const LEFT: Align = Align::Left;
const RIGHT: Align = Align::Right;

/// Whether a figure is in these tables already.
pub fn tells(id: &str) -> bool {
    let of_activities = ["goodput.", "delay", "met", "call-rating", "recording."];
    of_activities.iter().any(|known| id == *known || (known.ends_with('.') && id.starts_with(known)))
}

/// Everything that a design carries in the busy hour.
pub fn pages(page: &mut Page, capacity: &Capacity) {
    let hour = &capacity.hour;
    let when = hour.hour.map_or_else(String::new, |from| format!(", {from}:00 to {}:00", (from + 1) % 24));
    page.heading(&format!("Busy hour{when}"));
    page.paragraph(&format!(
        "From {} sampled evenings. Two numbers are the median evening and one evening of twenty, which is no better.",
        hour.evenings
    ));
    match &hour.bottleneck {
        Some(full) => page.paragraph(&format!("Full first: {}.", bottleneck(full))),
        None => page.paragraph("Nothing is done that could fill anything."),
    }
    channels(page, capacity);
    activities(page, capacity);
    uplinks_and_line(page, capacity);
    recordings(page, capacity);
    radio_plan(page, capacity);
    joins(page, capacity);
    things(page, capacity);
}

fn print(page: &mut Page, table: &Table) {
    if !table.is_empty() {
        table.lines(page.width()).iter().for_each(|line| page.line(line));
    }
}

fn percent(share: f64) -> String {
    number::plain(share * 100.0, None, None, "%", site::UnitSystem::Metric)
}

/// A delay; what is far below anything that people notice is not told in digits.
fn wait(seconds: f64) -> String {
    if seconds < 1e-4 { "<0.1 ms".to_owned() } else { number::duration(seconds) }
}

fn spread(spread: &Spread, write: impl Fn(f64) -> String) -> String {
    let (median, poor) = (write(spread.median), write(spread.poor));
    if median == poor { median } else { format!("{median}; {poor}") }
}

/// What is full, in words, and how full.
fn bottleneck(full: &Bottleneck) -> String {
    let what = place(full);
    if full.load.is_finite() {
        format!("{what}, {} in use in one evening of twenty; {} should be", percent(full.load), percent(full.limit))
    } else {
        what
    }
}

/// What is full, in words.
fn place(full: &Bottleneck) -> String {
    let band = full.band.map_or_else(String::new, |b| format!(" in {}", band_name(b)));
    match full.carrier {
        Carrier::Link => format!("the link of {}{band}", full.subject),
        Carrier::Channel => format!("the channel of {}{band}", full.subject),
        Carrier::RadioUplink => format!("the radio uplink of {}{band}", full.subject),
        Carrier::Cable => format!("the cable to {}", full.subject),
        Carrier::LineDown => format!("the line {} towards the home", full.subject),
        Carrier::LineUp => format!("the line {} from the home", full.subject),
        Carrier::Delay => format!("waiting at {}{band}", full.subject),
    }
}

fn channels(page: &mut Page, capacity: &Capacity) {
    page.subheading("Channels, shares of their time");
    let columns = [
        ("part", LEFT),
        ("band", RIGHT),
        ("own", RIGHT),
        ("collisions", RIGHT),
        ("beacons", RIGHT),
        ("neighbours", RIGHT),
        ("busy", RIGHT),
        ("limit", RIGHT),
    ];
    let mut table = Table::new(&columns);
    for channel in &capacity.hour.channels {
        table.row([
            channel.part.to_string(),
            band_name(channel.band).to_owned(),
            spread(&channel.own, percent),
            spread(&channel.collided, percent),
            percent(channel.beacons),
            percent(channel.neighbours),
            spread(&channel.busy, percent),
            percent(channel.limit),
        ]);
    }
    print(page, &table);
}

fn both(down: BitsPerSecond, up: BitsPerSecond) -> String {
    format!("{} / {}", number::rate(down.0), number::rate(up.0))
}

/// Rates both ways in Mbit/s, without the unit; a way that is not there is a dash.
fn mbps(down: Option<f64>, up: Option<f64>) -> String {
    let one = |rate: Option<f64>| rate.map_or_else(|| "–".to_owned(), |r| number::significant(r / 1e6));
    format!("{} / {}", one(down), one(up))
}

fn activities(page: &mut Page, capacity: &Capacity) {
    page.subheading("What is done");
    page.paragraph("Rates in Mbit/s towards the device / from it; what it gets, and waits, in one evening of twenty.");
    let columns = [
        ("what", LEFT),
        ("needs", RIGHT),
        ("gets", RIGHT),
        ("delay", RIGHT),
        ("call", RIGHT),
        ("met", RIGHT),
        ("held back by", LEFT),
    ];
    let mut table = Table::new(&columns);
    let needed = |rate: BitsPerSecond| (rate.0 > 0.0).then_some(rate.0);
    for done in &capacity.hour.activities {
        let what = if done.id == done.device { done.id.to_string() } else { format!("{} on {}", done.id, done.device) };
        table.row([
            what,
            mbps(needed(done.needs_down), needed(done.needs_up)),
            mbps(done.down.map(|s| s.poor), done.up.map(|s| s.poor)),
            done.delay.map_or_else(String::new, |s| wait(s.poor)),
            call(done),
            done.met.map_or_else(|| "never done".to_owned(), percent),
            done.held_back_by.as_ref().map_or_else(String::new, place),
        ]);
    }
    print(page, &table);
}

/// The rating of a call: ITU-T G.107's R.
fn call(done: &ActivityHour) -> String {
    let is_call = matches!(done.kind, ActivityKind::VideoCall | ActivityKind::VoiceCall);
    done.rating.filter(|_| is_call).map_or_else(String::new, |r| format!("R {:.0}", r.poor))
}

fn uplinks_and_line(page: &mut Page, capacity: &Capacity) {
    if !capacity.hour.uplinks.is_empty() {
        page.subheading("Ways between parts, towards the far part / from it");
        let mut table =
            Table::new(&[("to", LEFT), ("from", LEFT), ("carries", RIGHT), ("in use down", RIGHT), ("up", RIGHT)]);
        for way in &capacity.hour.uplinks {
            table.row([
                way.part.to_string(),
                way.parent.to_string(),
                both(way.rate_down, way.rate_up),
                spread(&way.down, percent),
                spread(&way.up, percent),
            ]);
        }
        print(page, &table);
    }
    let Some(line) = &capacity.hour.line else { return };
    page.subheading(&format!("The line `{}`", line.line));
    let mut table = Table::new(&[
        ("way", LEFT),
        ("rate", RIGHT),
        ("in use", RIGHT),
        ("waits, plain", RIGHT),
        ("waits, fair", RIGHT),
        ("suffices", RIGHT),
    ]);
    let enough = |rate: Option<BitsPerSecond>| rate.map_or_else(|| "none".to_owned(), |r| number::rate(r.0));
    table.row([
        "to the home".to_owned(),
        number::rate(line.rate_down.0),
        spread(&line.down, percent),
        spread(&line.wait_plain_down, wait),
        spread(&line.wait_fair_down, wait),
        enough(line.suffices.down),
    ]);
    table.row([
        "from the home".to_owned(),
        number::rate(line.rate_up.0),
        spread(&line.up, percent),
        spread(&line.wait_plain, wait),
        spread(&line.wait_fair, wait),
        enough(line.suffices.up),
    ]);
    print(page, &table);
    page.item(&match line.queue {
        LineQueue::Plain => "The design has a plain queue before the line.".to_owned(),
        LineQueue::Fair { share } => {
            format!("The design has a fair queue that controls delay, at {} of the line's rate.", percent(share))
        }
    });
}

fn recordings(page: &mut Page, capacity: &Capacity) {
    if capacity.hour.recordings.is_empty() {
        return;
    }
    page.subheading("Recordings");
    let mut table = Table::new(&[
        ("camera", LEFT),
        ("kept on", LEFT),
        ("a day", RIGHT),
        ("wanted", RIGHT),
        ("needs", RIGHT),
        ("has", RIGHT),
        ("keeps", RIGHT),
    ]);
    let unknown = || "unknown".to_owned();
    let octets = |octets: f64| format!("{:.0} GB", octets / 1e9);
    let time = |time: &Seconds| number::duration(time.0);
    for recording in &capacity.hour.recordings {
        let store = recording.store.as_ref();
        table.row([
            format!("{} × {}", recording.cameras, recording.device),
            store.map_or_else(|| "over the line".to_owned(), ToString::to_string),
            octets(recording.octets_a_day),
            time(&recording.wanted),
            octets(recording.needed_octets),
            recording.has_octets.map_or_else(unknown, octets),
            recording.keeps.as_ref().map_or_else(unknown, time),
        ]);
    }
    print(page, &table);
}

fn radio_plan(page: &mut Page, capacity: &Capacity) {
    let plan = &capacity.radio_plan;
    if plan.radios.is_empty() {
        return;
    }
    page.subheading("Channels and powers");
    let mut table = Table::new(&[
        ("part", LEFT),
        ("band", RIGHT),
        ("channel", RIGHT),
        ("width", RIGHT),
        ("radiates", RIGHT),
        ("allowed", RIGHT),
        ("when radar is heard", LEFT),
    ]);
    let dbm = |level: units::Dbm| format!("{:.0} dBm", level.0);
    for radio in &plan.radios {
        let fallback = match (&radio.fallback, radio.radar) {
            (Some(to), _) => {
                let silence = number::duration(to.silence.0);
                match to.channel {
                    Some(channel) => format!("channel {channel}, silent for {silence}"),
                    None => format!("no channel, silent for {silence}"),
                }
            }
            (None, true) => "no channel is named".to_owned(),
            (None, false) => "not on radar's channels".to_owned(),
        };
        table.row([
            radio.part.to_string(),
            band_name(radio.band).to_owned(),
            radio.channel.map_or_else(|| "none".to_owned(), |c| c.to_string()),
            format!("{:.0} MHz", radio.width.mhz()),
            dbm(radio.eirp),
            radio.eirp_limit.map_or_else(|| "unknown".to_owned(), dbm),
            fallback,
        ]);
    }
    print(page, &table);
    if let Some(advice) = &plan.thing_channel_advice {
        page.item(&format!("Small things: {advice}"));
    }
}

fn joins(page: &mut Page, capacity: &Capacity) {
    let several = capacity.joins.iter().any(|join| join.next.is_some());
    if !several {
        return;
    }
    page.subheading("Which access point devices join");
    let mut table = Table::new(&[
        ("device", LEFT),
        ("joins", LEFT),
        ("band", RIGHT),
        ("level", RIGHT),
        ("airtime", RIGHT),
        ("next", LEFT),
        ("ahead by", RIGHT),
        ("stays on next", RIGHT),
    ]);
    for join in &capacity.joins {
        table.row([
            join.device.to_string(),
            join.part.as_ref().map_or_else(|| "none".to_owned(), ToString::to_string),
            join.band.map_or_else(String::new, |b| band_name(b).to_owned()),
            join.level.map_or_else(String::new, |l| format!("{:.0} dBm", l.0)),
            join.airtime.map_or_else(String::new, |a| percent(a.poor)),
            join.next.as_ref().map_or_else(String::new, ToString::to_string),
            join.margin.map_or_else(String::new, |m| format!("{:.0} dB", m.0)),
            join.stays.map_or_else(String::new, percent),
        ]);
    }
    print(page, &table);
}

fn things(page: &mut Page, capacity: &Capacity) {
    if capacity.things.is_empty() {
        return;
    }
    page.subheading("Small things and their hubs");
    let mut table =
        Table::new(&[("network", LEFT), ("device", LEFT), ("path", RIGHT), ("in hand", RIGHT), ("reliable", RIGHT)]);
    for thing in &capacity.things {
        table.row([
            thing.network.to_string(),
            thing.device.to_string(),
            format!("{:.0} dB", thing.gain.0),
            format!("{:.0} dB", thing.margin.0),
            percent(thing.reliability),
        ]);
    }
    print(page, &table);
}

//! The busy hour over sampled evenings: what goes in, and the door. The parts are in `evening_*`.

use findings::{Cancelled, Figure, Finding, Id, Progress};
use household::Household;
use network::results::LinkRate;
use network::{LineQueue, RadioSetting};
use radio_profile::Generation;
use rayon::prelude::*;
use site::Site;

use crate::evening_gather::gather;
use crate::evening_moment::{Evening, Worker};
use crate::evening_network::Table;
use crate::hour::BusyHour;
use crate::{Load, Uplink, WiredLink};

/// Evenings that are enough for a verdict.
pub const EVENINGS: u32 = 1000;
/// Most evenings that are sampled.
pub const EVENINGS_MAX: u32 = 100_000;
/// Evenings that are sampled in any case.
const EVENINGS_LEAST: u32 = 20;
/// Evenings times things that may run, at most: keeps the work of a home of thousands of devices bounded.
const WORK: u64 = 200_000;
/// Evenings between two reports of progress.
const BLOCK: u32 = 100;

/// A wireless device's link: what it carries alone, and how.
#[derive(Clone, Debug, PartialEq)]
pub struct AirLink {
    /// Rates alone on the channel.
    pub rate: LinkRate,
    /// How frames are sent to the device. Absent: the mode of the radio's generation and width whose rate is nearest.
    pub down: Option<wlan::Mode>,
    /// How the device sends.
    pub up: Option<wlan::Mode>,
}

/// What an own radio does beside its setting.
#[derive(Clone, Debug, PartialEq)]
pub struct OwnRadio {
    /// Newest generation that it speaks.
    pub generation: Generation,
    /// Share of time of its beacons.
    pub beacons: f64,
}

/// What the evenings of a design are computed from. A part without an uplink is the router, or is taken to sit at it.
#[derive(Clone, Copy, Debug)]
pub struct HourInput<'a> {
    /// The design: what the figures are figures of, and where edits go.
    pub subject: &'a Id,
    /// Devices and what is done with them.
    pub household: &'a Household,
    /// The line and the neighbours.
    pub site: &'a Site,
    /// The link of each wireless device.
    pub links: &'a [AirLink],
    /// How each wired device is joined. A device with both is wired.
    pub wired: &'a [WiredLink],
    /// What each radio is set to.
    pub radios: &'a [RadioSetting],
    /// The same radios, in the same order; 802.11ax without beacons where the list ends early.
    pub own: &'a [OwnRadio],
    /// Radios that hear each other, as places in `radios`; all that share spectrum do if absent.
    pub hears: Option<&'a [(usize, usize)]>,
    /// How parts are joined.
    pub uplinks: &'a [Uplink],
    /// The design's queue before the line.
    pub line_queue: LineQueue,
    /// True if RTS and CTS come before data.
    pub rts: bool,
    /// Seed of the sampling.
    pub seed: u64,
    /// Evenings to sample, 20 to 100,000; fewer are where there are thousands of devices. See [`EVENINGS`].
    pub evenings: u32,
}

/// What the evenings come to.
#[derive(Clone, Debug, PartialEq)]
pub struct HourOutcome {
    /// All of it as data.
    pub hour: BusyHour,
    /// `headroom` of the design; `airtime.*` and `uplink-load.*` of parts; `line-load.*` and `tier.*` of the line; `goodput.*`, `delay`, `met` and
    /// `call-rating` of activities; `recording.days` of cameras.
    pub figures: Vec<Figure>,
    /// What is wrong.
    pub findings: Vec<Finding>,
    /// Every resource with demand, in a fixed order: channels, uplinks, line. Mean and 95th percentile are over evenings.
    pub loads: Vec<Load>,
}

/// The busy hour of a home, over sampled evenings.
///
/// # Model
/// The busy hour is the hour of the day with the highest expected demand. An evening is eight moments of it. What runs is held for an exponentially
/// distributed time, with a mean by kind, and drawn anew, so that each activity runs its share of the time; one person does one thing at a time of those
/// that hold the attention. At each moment
/// - every activity asks for its rates, on channels, hops, cables and the line; flows share lines and cables by max-min fairness, channels by
///   `wlan::contention::Carrier` with neighbours and beacons taken off;
/// - a greedy one has so many octets as its rate comes to over the time that it runs, and sends them sooner where it can: it is met sending with the
///   share of time that it takes alone, and at its mere rate otherwise;
/// - then, if a greedy one sends, greedy flows take what is left: offers are limited by line and cables, then by what channels carry, then what is
///   freed is given to the others, and channels are computed once more.
///
/// Loads, headroom and the service that suffices are of what activities need; goodput, delay, loss and quality are with greedy flows taking all they can.
/// The value of an evening is the hour's mean for loads, the worst moment for what an activity gets and waits. A packet waits for the channel, at radio
/// hops of their own, before the line (plain: M/G/1 below saturation, the full queue when filled; fair: see [`crate::line`]), and on the line.
///
/// # Figures
/// - `headroom`: factor by which all demand can grow until a rate that is needed is missed in more than one evening of twenty, or a channel, cable or
///   line is loaded beyond its limit in as many, whichever is less. Needs alone: `low` in the worst evening, `high` in the median one.
/// - `airtime.*`, `uplink-load.*`, `line-load.*`: 95th percentile of evenings, `low` the median, `high` everything at once.
///
/// # Errors
/// [`Cancelled`] if the work is no longer wanted.
pub fn busy_hour(input: &HourInput, progress: &dyn Progress) -> Result<HourOutcome, Cancelled> {
    let table = Table::new(input);
    let evenings = evenings(input.evenings, table.units.len());
    let mut sampled: Vec<Evening> = Vec::with_capacity(evenings as usize);
    let mut done = 0;
    // Each evening depends on its number alone, so that neither the number of threads nor their order matters.
    let num_workers = u32::try_from(rayon::current_num_threads()).unwrap_or(1).clamp(1, BLOCK);
    let mut workers: Vec<Worker> = (0..num_workers).map(|_| Worker::new(&table)).collect();
    while done < evenings {
        progress.step("evenings", u64::from(done), u64::from(evenings))?;
        let block = done..evenings.min(done + BLOCK);
        let each = (block.end - block.start).div_ceil(num_workers);
        let part = workers.par_iter_mut().zip(0..num_workers).map(|(worker, n)| {
            let own = (block.start + n * each).min(block.end)..(block.start + (n + 1) * each).min(block.end);
            own.map(|number| worker.evening(input.seed, number)).collect::<Vec<Evening>>()
        });
        sampled.extend(part.collect::<Vec<_>>().into_iter().flatten());
        done = block.end;
    }
    progress.step("evenings", u64::from(evenings), u64::from(evenings))?;
    Ok(gather(input, &table, &sampled))
}

/// As many as asked for, within bounds.
fn evenings(asked: u32, units: usize) -> u32 {
    let affordable = u32::try_from(WORK / (units.max(1) as u64)).unwrap_or(EVENINGS_MAX);
    asked.min(EVENINGS_MAX).min(affordable).max(EVENINGS_LEAST)
}

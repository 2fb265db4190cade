//! What a design carries: links, channels and the busy hour brought together. Each engine owns its limits.

pub(crate) mod data;
mod joins;
mod radios;
mod things;

use findings::{Cancelled, Figure, Finding, Id, Progress, Rule};
use household::Attachment;
use network::results::LinkRate;
use network::{Design, SegmentPurpose};
use radio_profile::Band;
use site::Site;
use traffic::{AirLink, EVENINGS, HourInput, HourOutcome, OwnRadio};
use units::{Db, Point3};
use wlan::{AirContext, BasicRate, BeaconSource, Heard, Searching};

use crate::coverage::frequency_shift;
use crate::evaluator::Evaluator;
use crate::gains::CARRIERS;
use crate::home::Home;
use crate::links::{self, Reached, SetRadio};
use crate::stays::Served;
use crate::{neighbours, wires};
use data::Capacity;

/// Seed of the sampled evenings: the same for every design, so that designs are compared on the same evenings.
const SEED: u64 = 1;

/// The rules that cross path gains and small things.
pub(crate) const RULES: &[Rule] = &[things::THING_OUT_OF_REACH];

/// What was computed of a design's radios and traffic.
pub(crate) struct Carried {
    pub capacity: Capacity,
    pub links: Vec<LinkRate>,
    /// Which parts serve each wireless device.
    pub served: Served,
    pub figures: Vec<Figure>,
    pub findings: Vec<Finding>,
}

/// Everything that has to do with carrying.
pub(crate) fn carried(
    evaluator: &Evaluator,
    design: &Design,
    radios: &[SetRadio],
    progress: &dyn Progress,
) -> Result<Carried, Cancelled> {
    let (home, gains) = (evaluator.home(), &evaluator.gains);
    let reached = links::reached(home, gains, design, radios);
    let places: Vec<Point3> = radios.iter().map(|radio| radio.placed.at).collect();
    let heard = neighbours::heard(&home.site, gains, &places);
    let mut figures = neighbours::figures(&heard);
    let profile = |id: &Id| {
        design.part(id).and_then(|placed| home.catalog.get(&placed.part)).and_then(|part| part.radio.as_ref())
    };
    let coupling = |a: &Id, b: &Id, band: Band| {
        let (a, b) = (design.part(a)?, design.part(b)?);
        Some(gains.at_carrier(a.at, b.at, band))
    };
    let heard_at = |id: &Id| {
        let at = design.part(id)?.at;
        Some(neighbours::heard(&home.site, gains, &[at]).into_owned())
    };
    let mut findings = wlan::check_heard(design, &heard, &heard_at, &profile);
    findings.extend(wlan::check_overlaps(design, &coupling));
    let air = AirContext { site: &heard, heard_at: &heard_at, coupling: &coupling, radio: &profile };
    findings.extend(wlan::check_air(design, &air));
    findings.extend(cells(evaluator, design, radios, progress)?);
    let own = own_radios(home, design, &mut findings);
    let hour = busy_hour(evaluator, design, radios, &reached, &heard, &own, progress)?;
    findings.extend(reached.iter().filter_map(|r| r.stuck.clone()));
    let things = things::links(home, gains);
    findings.extend(things::findings(&things));
    let (radio_plan, thing_channel) = radios::radio_plan(home, gains, design, radios, &heard, &hour.hour);
    findings.extend(thing_channel);
    figures.extend(hour.figures);
    findings.extend(hour.findings);
    let links = reached.iter().filter_map(|r| r.link()).map(|l| l.rate.clone()).collect();
    let served = Served::of(&reached);
    let joins = joins::joins(&reached, &hour.hour);
    let capacity = Capacity { hour: hour.hour, radio_plan, joins, things };
    Ok(Carried { capacity, links, served, figures, findings })
}

fn busy_hour(
    evaluator: &Evaluator,
    design: &Design,
    radios: &[SetRadio],
    reached: &[Reached],
    heard: &Site,
    own: &[OwnRadio],
    progress: &dyn Progress,
) -> Result<HourOutcome, Cancelled> {
    let (home, gains) = (evaluator.home(), &evaluator.gains);
    let air: Vec<AirLink> = reached
        .iter()
        .filter_map(|r| r.link())
        .map(|link| AirLink { rate: link.rate.clone(), down: link.down, up: link.up })
        .collect();
    let radio_uplinks = links::uplinks(home, gains, design, radios);
    let uplinks = wires::part_uplinks(home, design, &radio_uplinks);
    let hears = hearing(evaluator, design);
    traffic::busy_hour(
        &HourInput {
            subject: &design.id,
            household: &home.household,
            site: heard,
            links: &air,
            wired: &wires::wired_devices(home, design, &uplinks),
            radios: &design.radios,
            own,
            hears: Some(&hears),
            uplinks: &uplinks,
            line_queue: design.line_queue,
            rts: false,
            seed: SEED,
            evenings: EVENINGS,
        },
        progress,
    )
}

/// How the cells of the design's access points lie over the served floor, band by band.
fn cells(
    evaluator: &Evaluator,
    design: &Design,
    radios: &[SetRadio],
    progress: &dyn Progress,
) -> Result<Vec<Finding>, Cancelled> {
    let sites: Vec<propagation::Site> = radios.iter().map(|r| r.from.clone()).collect();
    let gains = evaluator.gains.of_sites(evaluator.field(), &sites, progress)?;
    let mut findings = Vec::new();
    for band in Band::ALL {
        let here: Vec<_> = radios.iter().zip(&gains).filter(|(r, _)| r.setting.band == band).collect();
        let Some((_, phone)) = links::telephone(band) else { continue };
        let num = here.first().map_or(0, |(_, gain)| gain[band.index()].len());
        let carrier = CARRIERS[band.index()].centre;
        let at_cell = |cell: usize| {
            here.iter().map(move |(radio, gain)| {
                let setting = radio.setting;
                let gain = Db(f64::from(gain[band.index()][cell]) + frequency_shift(carrier, setting.centre));
                let level = setting.eirp + gain + phone.antenna_gain;
                Heard { ap: setting.part.clone(), centre: setting.centre, width: setting.width, level }
            })
        };
        let places: Vec<Vec<Heard>> = (0..num).map(|cell| at_cell(cell).collect()).collect();
        if let Some(cells) = wlan::cells(&places, links::GOOD_LEVEL) {
            findings.extend(wlan::check_cells(design, band, &cells));
        }
    }
    Ok(findings)
}

/// Own radios that hold back for each other, as places in the design's list.
fn hearing(evaluator: &Evaluator, design: &Design) -> Vec<(usize, usize)> {
    let mut pairs = Vec::new();
    for (i, a) in design.radios.iter().enumerate() {
        for (j, b) in design.radios.iter().enumerate().skip(i + 1) {
            let (Some(from), Some(to)) = (design.part(&a.part), design.part(&b.part)) else { continue };
            if a.band != b.band || a.part == b.part {
                continue;
            }
            let level = a.eirp.max(b.eirp) + evaluator.gains.at_carrier(from.at, to.at, a.band);
            if level.0 >= wlan::HOLD_BACK_LEVEL.0 {
                pairs.push((i, j));
            }
        }
    }
    pairs
}

/// Names that each access point announces: one for each segment that has wireless devices or guests, one without segments.
fn networks(home: &Home, design: &Design) -> u32 {
    let wireless = |id: &Id| {
        let device = home.household.devices.iter().find(|d| &d.id == id);
        device.is_some_and(|d| matches!(d.attachment, Attachment::Wireless | Attachment::Either))
    };
    let announced = design.segments.iter().filter(|segment| match segment.purpose {
        SegmentPurpose::Home | SegmentPurpose::Guests => true,
        SegmentPurpose::Management => false,
        _ => segment.devices.iter().any(wireless),
    });
    u32::try_from(announced.count()).unwrap_or(u32::MAX).max(1)
}

/// What each own radio does beside its setting, and what is wrong with its beacons.
fn own_radios(home: &Home, design: &Design, findings: &mut Vec<Finding>) -> Vec<OwnRadio> {
    let networks = networks(home, design);
    let mut own = Vec::new();
    for setting in &design.radios {
        let profile = design.part(&setting.part).and_then(|p| home.catalog.get(&p.part)).and_then(|p| p.radio.as_ref());
        let generation = profile.map_or(radio_profile::Generation::Ax, |p| p.generation);
        let source = BeaconSource {
            id: setting.part.clone(),
            networks,
            octets: wlan::beacon_octets(generation, setting.band, wlan::NAME_OCTETS),
            rate: BasicRate::usual(setting.band),
            is_own: true,
        };
        let sources = std::slice::from_ref(&source);
        let searching = Searching::default();
        let load = wlan::management_load(sources, setting.band, &searching);
        own.push(OwnRadio { generation, beacons: load.map_or(0.0, |load| load.total) });
        if let Ok(Some(finding)) = wlan::check_beacons(sources, setting.band, setting.centre, &searching) {
            findings.push(finding);
        }
    }
    own
}

impl Evaluator {
    /// What a design carries in the busy hour, and what its radios are set to.
    ///
    /// # Errors
    /// [`Cancelled`] if the work is no longer wanted.
    pub fn capacity(&self, design: &Design, progress: &dyn Progress) -> Result<Capacity, Cancelled> {
        let radios = links::set_radios(self.home(), design);
        carried(self, design, &radios, progress).map(|carried| carried.capacity)
    }
}

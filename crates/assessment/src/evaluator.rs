//! Runs the engines on a design.

use std::sync::Arc;

use building::MountPoint;
use cabling::WireSheet;
use findings::{Cancelled, Figure, Finding, Id, Progress};
use network::results::{Caution, LinkRate};
use network::wiring::Wiring;
use network::{Design, RadioSetting};
use radio_profile::{Band, BandRadio, Generation, RadioProfile};
use units::{BitsPerSecond, Db, Point3};

use crate::capacity::{self, data::Capacity};
use crate::coverage::{Cover, Coverage, Field};
use crate::enclosed;
use crate::gains::Gains;
use crate::home::{Home, NotComputable};
use crate::links::{self, SetRadio, Uplink};
use crate::telephone::TelephoneLink;
use crate::{built, neighbours, stays};

/// Side of the cells that designs are assessed on [m].
pub(crate) const CELL: f64 = 0.25;

/// What the engines say of a design.
#[derive(Clone, Debug)]
pub struct Assessment {
    /// Every figure.
    pub figures: Vec<Figure>,
    /// Every finding, worst first.
    pub findings: Vec<Finding>,
    /// The link of each wireless device.
    pub links: Vec<LinkRate>,
    /// What it carries in the busy hour.
    pub capacity: Capacity,
    /// How its fixed cables run.
    pub wiring: Wiring,
    /// What its cables, ports, supplies and panels bear.
    pub wires: WireSheet,
    /// Take-off, labour and price.
    pub quote: cost::Quote,
    /// What the work needs care with.
    pub cautions: Vec<Caution>,
    /// What is covered.
    pub coverage: Coverage,
}

/// Runs the engines on designs of one home, keeping what does not change from one to the next.
pub struct Evaluator {
    home: Arc<Home>,
    pub(crate) gains: Gains,
    field: Field,
}

impl Evaluator {
    /// Prepares a home.
    ///
    /// # Errors
    /// [`NotComputable`] if a material is used outside its range of frequencies, or nothing is served.
    pub fn new(home: Arc<Home>) -> Result<Self, NotComputable> {
        let gains = Gains::new(&home.resolved)?;
        let field = Field::new(&home, CELL)?;
        Ok(Self { home, gains, field })
    }

    /// The home after an edit: what the edit did not touch is not computed again.
    ///
    /// # Errors
    /// As [`Evaluator::new`].
    pub fn after_edit(&self, home: Arc<Home>) -> Result<Self, NotComputable> {
        let gains = self.gains.after_edit(&home.resolved)?;
        let field = Field::new(&home, CELL)?;
        Ok(Self { home, gains, field })
    }

    /// The cells that designs are judged on.
    pub(crate) fn field(&self) -> &Field {
        &self.field
    }

    /// The home.
    #[must_use]
    pub fn home(&self) -> &Home {
        &self.home
    }

    /// Path gains from candidate places to the cells of a field [dB], `[place][band][cell]`, on fewer paths than those
    /// that designs are judged on: direct and once reflected.
    #[must_use]
    pub fn compared_gains(&self, field: &Field, places: &[Point3]) -> Vec<Vec<Vec<f32>>> {
        self.gains.compared(field, places)
    }

    /// Path gain between two places at a setting's channel.
    #[must_use]
    pub fn path_gain(&self, from: Point3, to: Point3, setting: &RadioSetting) -> Db {
        self.gains.between(&from.into(), to, setting)
    }

    /// Channels and powers of parts with radios in their places; those joined by radio share a channel.
    ///
    /// # Errors
    /// A sentence that says which rule or table is missing.
    pub fn channel_plan(
        &self,
        parts: &[(Id, Point3, &RadioProfile)],
        joined: &[wlan::Joined],
    ) -> Result<Vec<RadioSetting>, String> {
        let inputs: Vec<wlan::ApInput> =
            parts.iter().map(|(part, _, radio)| wlan::ApInput { part: part.clone(), radio }).collect();
        let coupling = |a: usize, b: usize, band: Band| self.gains.at_carrier(parts[a].1, parts[b].1, band);
        let places: Vec<Point3> = parts.iter().map(|part| part.1).collect();
        let site = neighbours::heard(&self.home.site, &self.gains, &places);
        wlan::plan_channels(&inputs, joined, &coupling, &site).map(|plan| plan.settings).map_err(|e| e.to_string())
    }

    /// Least path gain at which a telephone meets each served room's target from a radio, at the carrier of its band
    /// and 95 % of the time as far as fading goes [dB], by served room of a field; infinite where it cannot.
    ///
    /// `uplink` is what the radio's own way to the router carries each way and whether it shares the channel; none for
    /// a router or a cabled access point.
    #[must_use]
    pub fn needed_gain(
        &self,
        field: &Field,
        radio: (Generation, &BandRadio),
        setting: &RadioSetting,
        uplink: Option<(BitsPerSecond, BitsPerSecond, bool)>,
    ) -> Vec<f64> {
        let uplink = match uplink {
            None => Uplink::Free,
            Some((down, up, true)) => Uplink::Shared { down, up },
            Some((down, up, false)) => Uplink::Dedicated { down, up },
        };
        self.needed(field, radio, setting, uplink)
    }

    /// What a radio uplink between two places carries each way, 95 % of the time.
    #[must_use]
    pub fn radio_uplink(
        &self,
        near: (Point3, Generation, &BandRadio),
        far: (Point3, Generation, &BandRadio),
        setting: &RadioSetting,
    ) -> Option<(BitsPerSecond, BitsPerSecond)> {
        let placed = network::PlacedPart {
            id: setting.part.clone(),
            part: setting.part.clone(),
            room: setting.part.clone(),
            at: near.0,
            mounting: network::Mounting::Shelf,
            aim: None,
            kept: false,
        };
        let near =
            SetRadio { placed: &placed, from: placed.at.into(), site: 0, generation: near.1, radio: near.2, setting };
        links::radio_uplink(&self.home, &self.gains, &near, far)
    }

    /// Candidate places for parts, in a fixed order.
    #[must_use]
    pub fn mount_points(&self, spacing: f64) -> Vec<MountPoint> {
        self.home.resolved.mount_points(spacing)
    }

    fn needed(
        &self,
        field: &Field,
        (generation, radio): (Generation, &BandRadio),
        setting: &RadioSetting,
        uplink: Uplink,
    ) -> Vec<f64> {
        match TelephoneLink::new(&self.home.site.country, (generation, radio), setting, uplink) {
            Ok(link) => field.served.iter().map(|s| link.needed_gain(s.down, s.up, s.is_outdoors)).collect(),
            Err(_) => vec![f64::INFINITY; field.served.len()],
        }
    }

    fn coverage(&self, design: &Design, radios: &[SetRadio], progress: &dyn Progress) -> Result<Coverage, Cancelled> {
        let uplinks = links::uplinks(&self.home, &self.gains, design, radios);
        let sites: Vec<propagation::Site> = radios.iter().map(|r| r.from.clone()).collect();
        let gains = self.gains.of_sites(&self.field, &sites, progress)?;
        let covers: Vec<Cover> = radios
            .iter()
            .zip(&gains)
            .map(|(radio, gain)| Cover {
                site: radio.site,
                band: radio.setting.band,
                gain: &gain[radio.setting.band.index()],
                needed: self.needed(
                    &self.field,
                    (radio.generation, radio.radio),
                    radio.setting,
                    uplinks.get(&radio.placed.id).copied().unwrap_or(Uplink::Free),
                ),
            })
            .collect();
        Ok(Coverage::of(&self.field, &covers))
    }

    /// Everything that the engines say of a design.
    ///
    /// # Errors
    /// [`Cancelled`] if the work is no longer wanted.
    pub fn assess(&self, design: &Design, progress: &dyn Progress) -> Result<Assessment, Cancelled> {
        let home = &*self.home;
        progress.step("coverage", 0, 4)?;
        let radios = links::set_radios(home, design);
        let coverage = self.coverage(design, &radios, progress)?;
        let mut figures = coverage.figures(&design.id);
        let mut findings = coverage.findings(home);
        findings.extend(enclosed::findings(home, design));

        progress.step("busy hour", 1, 4)?;
        let carried = capacity::carried(self, design, &radios, progress)?;
        figures.extend(carried.figures);
        findings.extend(carried.findings);

        progress.step("cables and price", 2, 4)?;
        let wired = self.wired(design);
        findings.extend(wired.findings);
        let (quote, cautions) = built::quoted(home, design, &wired.wiring);
        figures.extend(quote.figures.iter().cloned());
        findings.extend(quote.findings.iter().cloned());

        progress.step("staying up", 3, 4)?;
        let scope = resilience::Scope::Protected;
        let stays = stays::asked(home, design, &carried.served, &wired.wiring, scope, |model| model.outcome());
        figures.extend(stays.figures);
        findings.extend(stays.findings);
        findings.sort_by(|a, b| {
            a.severity.cmp(&b.severity).then_with(|| a.rule.cmp(&b.rule)).then_with(|| a.subjects.cmp(&b.subjects))
        });
        Ok(Assessment {
            figures,
            findings,
            links: carried.links,
            capacity: carried.capacity,
            wiring: wired.wiring,
            wires: wired.wires,
            quote,
            cautions,
            coverage,
        })
    }
}

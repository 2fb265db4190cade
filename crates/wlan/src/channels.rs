//! The channels of 802.11 in 2.4, 5 and 6 GHz by width. Which of them a country allows: see `regulation`.

use radio_profile::Band;
use units::Hertz;

/// A channel.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Channel {
    /// Its band.
    pub band: Band,
    /// Number of its centre frequency.
    pub number: u16,
    /// Width [MHz]; 22 for the DSSS-only channel 14.
    pub width_mhz: u16,
    /// Centre [MHz].
    pub centre_mhz: u16,
}

impl Channel {
    /// Centre frequency.
    #[must_use]
    pub fn centre(&self) -> Hertz {
        Hertz::from_mhz(f64::from(self.centre_mhz))
    }

    /// Width.
    #[must_use]
    pub fn width(&self) -> Hertz {
        Hertz::from_mhz(f64::from(self.width_mhz))
    }

    /// Lowest and highest frequency [MHz].
    #[must_use]
    pub fn edges_mhz(&self) -> (f64, f64) {
        let half = f64::from(self.width_mhz) / 2.0;
        (f64::from(self.centre_mhz) - half, f64::from(self.centre_mhz) + half)
    }

    /// True if it touches 5250 to 5350 or 5470 to 5725 MHz, where radar has priority in every region that allows these bands at all
    /// (ECC/DEC/(04)08; 47 CFR 15.407(h)).
    #[must_use]
    pub fn touches_radar_bands(&self) -> bool {
        let (low, high) = self.edges_mhz();
        (low < 5350.0 && high > 5250.0) || (low < 5725.0 && high > 5470.0)
    }

    /// True for a preferred scanning channel of 6 GHz: 5, 21, … 229 (IEEE 802.11ax-2021, 26.17.2.3.3).
    #[must_use]
    pub fn preferred_scanning(&self) -> bool {
        self.band == Band::Ghz6 && self.width_mhz == 20 && self.number % 16 == 5
    }

    /// True if the two share spectrum.
    #[must_use]
    pub fn overlaps(&self, other: &Channel) -> bool {
        let ((a, b), (c, d)) = (self.edges_mhz(), other.edges_mhz());
        a < d && c < b
    }
}

/// Every channel of a band with a width, lowest first.
///
/// # Model
/// Centre `2407 + 5n` MHz in 2.4 GHz (14: 2484), `5000 + 5n` in 5 GHz, `5950 + 5n` in 6 GHz (operating class 136, number 2: 5935): IEEE 802.11-2020
/// 19.3.15 and Annex E, 802.11ax-2021 27.3.23. 40 MHz in 2.4 GHz is counted by its centre, 3 to 11 (operating classes 83 and 84).
#[must_use]
pub fn channels(band: Band, width_mhz: u16) -> Vec<Channel> {
    let make = |number: u16| {
        let centre_mhz = match band {
            Band::Ghz2 if number == 14 => 2484,
            Band::Ghz2 => 2407 + 5 * number,
            Band::Ghz5 => 5000 + 5 * number,
            Band::Ghz6 if number == 2 => 5935,
            Band::Ghz6 => 5950 + 5 * number,
        };
        Channel { band, number, width_mhz, centre_mhz }
    };
    let numbers: Vec<u16> = match (band, width_mhz) {
        (Band::Ghz2, 20) => (1..=13).collect(),
        (Band::Ghz2, 22) => vec![14],
        (Band::Ghz2, 40) => (3..=11).collect(),
        // Three runs of adjacent 20 MHz channels; wider ones are pairs of pairs counted from each run's start.
        (Band::Ghz5, 20 | 40 | 80 | 160) => {
            let runs: [(u16, u16); 3] = [(36, 64), (100, 144), (149, 177)];
            runs.iter().flat_map(|run| bonded(run.0, run.1, width_mhz)).collect()
        }
        (Band::Ghz6, 20) => std::iter::once(2).chain(bonded(1, 233, 20)).collect(),
        (Band::Ghz6, 40 | 80 | 160) => bonded(1, 233, width_mhz),
        // 320 MHz-1 starts at every second 160 MHz channel, 320 MHz-2 one later.
        (Band::Ghz6, 320) => (0..6).map(|i| 31 + 32 * i).collect(),
        _ => Vec::new(),
    };
    numbers.into_iter().map(make).collect()
}

/// Centre numbers of the channels of a width within a run of 20 MHz channels `first..=last`.
fn bonded(first: u16, last: u16, width_mhz: u16) -> Vec<u16> {
    let step = width_mhz / 5;
    let num = ((last - first) / 4 + 1) / (width_mhz / 20);
    (0..num).map(|i| first + step / 2 + step * i - 2).collect()
}

/// Every channel of every band and width, by band, then width, then frequency.
#[must_use]
pub fn all_channels() -> Vec<Channel> {
    let widths: [(Band, &[u16]); 3] =
        [(Band::Ghz2, &[20, 22, 40]), (Band::Ghz5, &[20, 40, 80, 160]), (Band::Ghz6, &[20, 40, 80, 160, 320])];
    widths.iter().flat_map(|(band, widths)| widths.iter().flat_map(|w| channels(*band, *w))).collect()
}

/// The channel with a centre and width, if there is one.
#[must_use]
pub fn channel_at(band: Band, centre: Hertz, width: Hertz) -> Option<Channel> {
    let close = |a: Hertz, b: Hertz| (a.0 - b.0).abs() < 1.0;
    let width_mhz = [20, 22, 40, 80, 160, 320].into_iter().find(|w| close(width, Hertz::from_mhz(f64::from(*w))))?;
    channels(band, width_mhz).into_iter().find(|c| close(c.centre(), centre))
}

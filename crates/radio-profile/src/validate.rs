//! What is wrong with a radio profile as data. Not whether a country allows it.

use crate::{Band, Generation, MultiLink, RadioProfile};

impl RadioProfile {
    /// Every problem of the profile, each in one sentence that says what to write instead; empty if it is sound.
    ///
    /// # Validity
    /// Streams 1 to 8 (802.11n: 4), widths 20 MHz to what the generation has, power -20 to 40 dBm, antenna gain -20 to 30 dBi, noise figure 0 to
    /// 30 dB: beyond these a figure is a slip of the pen (generic figure).
    #[must_use]
    pub fn problems(&self) -> Vec<String> {
        let mut problems = Vec::new();
        if self.bands.is_empty() {
            problems.push("the radio has no bands; give at least one of `2.4`, `5` and `6`".to_owned());
        }
        if self.multi_link != MultiLink::None {
            if self.generation != Generation::Be {
                problems.push(format!("multi-link needs 802.11be; {:?} has none: give `none`", self.generation));
            }
            if self.bands.len() < 2 {
                problems.push(format!("multi-link needs two bands; the radio has {}", self.bands.len()));
            }
        }
        for (idx, radio) in self.bands.iter().enumerate() {
            let name = format!("band {}", radio.band.label());
            if self.bands.iter().take(idx).any(|b| b.band == radio.band) {
                problems.push(format!("{name} is given twice; keep one"));
            }
            let most = if self.generation == Generation::N { 4 } else { 8 };
            if radio.streams == 0 || radio.streams > most {
                problems.push(format!("{name} has {} streams; give 1 to {most}", radio.streams));
            }
            let widest = match (radio.band, self.generation) {
                (Band::Ghz2, _) | (_, Generation::N) => 40.0,
                (Band::Ghz6, Generation::Be) => 320.0,
                _ => 160.0,
            };
            let mhz = radio.max_width.mhz();
            if ![20.0, 40.0, 80.0, 160.0, 320.0].iter().any(|w| (w - mhz).abs() < 1e-6) || mhz > widest {
                problems.push(format!(
                    "{name} has a widest channel of {mhz} MHz; give 20 MHz times a power of two up to {widest} MHz"
                ));
            }
            if radio.band == Band::Ghz6 && self.generation < Generation::Ax {
                problems.push(format!("{name} needs 802.11ax or 802.11be; {:?} does not exist there", self.generation));
            }
            let mut within = |what: &str, value: f64, low: f64, high: f64, unit: &str| {
                if !(low..=high).contains(&value) {
                    problems.push(format!("{name}: {what} is {value} {unit}; give {low} to {high} {unit}"));
                }
            };
            within("power", radio.tx_power.0, -20.0, 40.0, "dBm");
            within("antenna gain", radio.antenna_gain.0, -20.0, 30.0, "dBi");
            within("noise figure", radio.noise_figure.0, 0.0, 30.0, "dB");
        }
        problems
    }
}

#[cfg(test)]
mod tests {
    use units::{Dbm, Hertz};

    use crate::generic::{self, ClientClass};
    use crate::{Generation, MultiLink};

    #[test]
    fn multi_link_needs_802_11be_and_two_bands() {
        let mut radio = generic::client(ClientClass::Laptop, Generation::Be);
        assert_eq!(radio.multi_link, MultiLink::SingleRadio);
        assert!(radio.problems().is_empty());
        radio.bands.truncate(1);
        radio.generation = Generation::Ax;
        let problems = radio.problems();
        assert_eq!(problems.len(), 2, "{problems:?}");
        assert!(problems[0].contains("802.11be") && problems[1].contains("the radio has 1"));
    }

    #[test]
    fn problems_name_the_band_and_the_value() {
        let mut radio = generic::phone();
        radio.bands[0].streams = 0;
        radio.bands[1].max_width = Hertz::from_mhz(90.0);
        radio.bands[2].tx_power = Dbm(f64::NAN);
        let problems = radio.problems();
        assert_eq!(problems.len(), 3, "{problems:?}");
        assert!(problems[0].contains("band 2.4 has 0 streams"));
        assert!(problems[1].contains("90 MHz"));
        assert!(problems[2].contains("NaN"));
        radio.bands.clear();
        assert!(radio.problems()[0].contains("no bands"));
    }
}

//! Generic radios of client devices. Typical values of a class of device, of no product.

use findings::Source;
use units::{Db, Dbm, Hertz};

use crate::{AntennaPattern, Band, BandRadio, Generation, MultiLink, RadioProfile};

/// Where the figures of this file come from: a generic figure, conducted power of phones 12 to 15 dBm and noise figures of 5 to 10 dB being the
/// values that the trade reckons with.
#[must_use]
pub fn source() -> Source {
    Source::new(
        findings::SourceKind::GenericFigure,
        "generic figure: small hand-held radios radiate 12 to 15 dBm, larger ones 15 to 18 dBm; receivers' noise figures are 5 to 10 dB",
    )
}

/// A class of device that brings a radio.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum ClientClass {
    /// A phone: small antennas, and a hand that costs 3 dB.
    Phone,
    /// A tablet: as a phone, with antennas 1 dB better.
    Tablet,
    /// A portable computer.
    Laptop,
    /// A television or a box at it, with antennas behind a panel.
    Television,
    /// A game console.
    Console,
    /// A camera or doorbell: one stream.
    Camera,
    /// A small thing: one stream, little power, a small antenna.
    Thing,
}

impl ClientClass {
    /// All classes.
    pub const ALL: [ClientClass; 7] = [
        ClientClass::Phone,
        ClientClass::Tablet,
        ClientClass::Laptop,
        ClientClass::Television,
        ClientClass::Console,
        ClientClass::Camera,
        ClientClass::Thing,
    ];

    /// Whether it has a radio above 2.4 GHz: those of one stream got one with 802.11ac.
    const fn has_upper_bands(self, generation: Generation) -> bool {
        !matches!((self, generation), (ClientClass::Camera | ClientClass::Thing, Generation::N))
    }

    /// Conducted power in 2.4, 5 and 6 GHz [dBm], antenna gain [dBi], noise figure [dB], streams.
    const fn figures(self) -> ([f64; 3], f64, f64, u8) {
        match self {
            ClientClass::Phone => ([15.0, 14.0, 12.0], -3.0, 7.0, 2),
            ClientClass::Tablet => ([15.0, 15.0, 13.0], -2.0, 7.0, 2),
            ClientClass::Laptop => ([17.0, 16.0, 15.0], 0.0, 6.0, 2),
            ClientClass::Television => ([15.0, 15.0, 13.0], -2.0, 7.0, 2),
            ClientClass::Console => ([16.0, 16.0, 14.0], -1.0, 7.0, 2),
            ClientClass::Camera => ([15.0, 14.0, 12.0], 0.0, 7.0, 1),
            ClientClass::Thing => ([12.0, 11.0, 10.0], -3.0, 8.0, 1),
        }
    }

    /// Widest channel above 2.4 GHz [MHz]: what the class has of what the generation allows.
    const fn widest(self, generation: Generation, band: Band) -> f64 {
        match (self, generation, band) {
            (_, _, Band::Ghz2) | (ClientClass::Thing, _, _) => 20.0,
            (_, Generation::N, _) => 40.0,
            (ClientClass::Laptop, Generation::Be, Band::Ghz6) => 320.0,
            (ClientClass::Laptop, Generation::Ax | Generation::Be, _)
            | (ClientClass::Phone | ClientClass::Console, Generation::Be, _) => 160.0,
            _ => 80.0,
        }
    }
}

/// The generic radio of a class of device by the newest generation that it speaks.
///
/// # Model
/// Power, antenna and noise figure are of the class, whatever the generation. 802.11n and ac have 2.4 and 5 GHz (a camera or thing of 802.11n 2.4 GHz
/// alone), ax and be 6 GHz as well; widths are what the class usually has of what its generation allows. With 802.11be, devices of several
/// streams listen in all their bands and exchange frames in one at a time ([`MultiLink::SingleRadio`]): two full radios at once are rare in clients.
/// Sources: [`source`].
#[must_use]
pub fn client(class: ClientClass, generation: Generation) -> RadioProfile {
    let (power, gain, noise_figure, streams) = class.figures();
    let has = |band: Band| match band {
        Band::Ghz2 => true,
        Band::Ghz5 => class.has_upper_bands(generation),
        Band::Ghz6 => generation >= Generation::Ax && class.has_upper_bands(generation),
    };
    let radio = |(band, power): (Band, f64)| BandRadio {
        band,
        streams,
        max_width: Hertz::from_mhz(class.widest(generation, band)),
        tx_power: Dbm(power),
        antenna_gain: Db(gain),
        noise_figure: Db(noise_figure),
    };
    let is_multi_link = generation == Generation::Be && streams > 1;
    RadioProfile {
        generation,
        bands: Band::ALL.into_iter().zip(power).filter(|(band, _)| has(*band)).map(radio).collect(),
        concurrent: false,
        pattern: AntennaPattern::Even,
        multi_link: if is_multi_link { MultiLink::SingleRadio } else { MultiLink::None },
    }
}

/// As [`client`], without 6 GHz.
fn without_6_ghz(class: ClientClass, generation: Generation) -> RadioProfile {
    let mut radio = client(class, generation);
    radio.bands.retain(|b| b.band != Band::Ghz6);
    radio
}

/// A phone: 802.11ax, two streams, 80 MHz, 15 dBm in 2.4 GHz falling to 12 dBm in 6 GHz; small antennas and a hand cost 3 dB.
#[must_use]
pub fn phone() -> RadioProfile {
    client(ClientClass::Phone, Generation::Ax)
}

/// A tablet: as a phone, with antennas 1 dB better and no 6 GHz.
#[must_use]
pub fn tablet() -> RadioProfile {
    without_6_ghz(ClientClass::Tablet, Generation::Ax)
}

/// A portable computer: 802.11ax, two streams, 160 MHz, 16 dBm.
#[must_use]
pub fn laptop() -> RadioProfile {
    client(ClientClass::Laptop, Generation::Ax)
}

/// A television or a box at it: 802.11ac, two streams, 80 MHz; its antennas sit behind a panel.
#[must_use]
pub fn television() -> RadioProfile {
    client(ClientClass::Television, Generation::Ac)
}

/// A game console: 802.11ax, two streams, 80 MHz, 16 dBm.
#[must_use]
pub fn console() -> RadioProfile {
    without_6_ghz(ClientClass::Console, Generation::Ax)
}

/// A camera or doorbell: 802.11n, one stream, 2.4 GHz only, 15 dBm.
#[must_use]
pub fn camera() -> RadioProfile {
    client(ClientClass::Camera, Generation::N)
}

/// A small thing: 802.11n, one stream, 2.4 GHz only, 12 dBm, a small antenna.
#[must_use]
pub fn thing() -> RadioProfile {
    client(ClientClass::Thing, Generation::N)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_generic_radio_is_valid() {
        let all = [phone(), tablet(), laptop(), television(), console(), camera(), thing()];
        for radio in all {
            assert_eq!(radio.problems(), Vec::<String>::new(), "{radio:?}");
        }
        for class in ClientClass::ALL {
            for generation in [Generation::N, Generation::Ac, Generation::Ax, Generation::Be] {
                let radio = client(class, generation);
                assert_eq!(radio.problems(), Vec::<String>::new(), "{radio:?}");
                assert!(radio.band(Band::Ghz2).is_some());
            }
        }
    }

    #[test]
    fn a_newer_generation_of_a_class_does_no_less() {
        for class in ClientClass::ALL {
            let all = [Generation::N, Generation::Ac, Generation::Ax, Generation::Be].map(|g| client(class, g));
            for pair in all.windows(2) {
                for old in &pair[0].bands {
                    let new = pair[1].band(old.band).unwrap();
                    assert!(new.max_width >= old.max_width && new.streams == old.streams, "{class:?}");
                }
            }
        }
    }

    #[test]
    fn the_radio_of_a_class_reads_as_before() {
        let band = |r: RadioProfile, b: Band| {
            let r = r.band(b).unwrap().clone();
            (r.streams, r.max_width.mhz(), r.tx_power.0, r.antenna_gain.0, r.noise_figure.0)
        };
        assert_eq!(band(phone(), Band::Ghz6), (2, 80.0, 12.0, -3.0, 7.0));
        assert_eq!(band(laptop(), Band::Ghz5), (2, 160.0, 16.0, 0.0, 6.0));
        assert_eq!(band(console(), Band::Ghz5), (2, 80.0, 16.0, -1.0, 7.0));
        assert_eq!(band(television(), Band::Ghz2), (2, 20.0, 15.0, -2.0, 7.0));
        assert_eq!(band(thing(), Band::Ghz2), (1, 20.0, 12.0, -3.0, 8.0));
        assert_eq!(tablet().bands.len() + camera().bands.len(), 3);
    }

    #[test]
    fn a_phone_radiates_less_than_a_laptop() {
        for band in Band::ALL {
            let eirp = |r: RadioProfile| r.band(band).map(|b| (b.tx_power + b.antenna_gain).0);
            assert!(eirp(phone()) < eirp(laptop()));
        }
    }
}

//! Generic radios of client devices. Typical values of a class of device, of no product.

use findings::Source;
use units::{Db, Dbm, Hertz};

use crate::{AntennaPattern, Band, BandRadio, Generation, RadioProfile};

/// Where the figures of this file come from: a generic figure, conducted power of phones 12 to 15 dBm and noise figures of 5 to 10 dB being the
/// values that the trade reckons with.
#[must_use]
pub fn source() -> Source {
    Source::new(
        findings::SourceKind::GenericFigure,
        "generic figure: small hand-held radios radiate 12 to 15 dBm, larger ones 15 to 18 dBm; receivers' noise figures are 5 to 10 dB",
    )
}

/// One band: (band, streams, width [MHz], conducted power [dBm], antenna gain [dBi]).
type Row = (Band, u8, f64, f64, f64);

fn profile(generation: Generation, noise_figure: f64, rows: &[Row]) -> RadioProfile {
    let band = |row: &Row| BandRadio {
        band: row.0,
        streams: row.1,
        max_width: Hertz::from_mhz(row.2),
        tx_power: Dbm(row.3),
        antenna_gain: Db(row.4),
        noise_figure: Db(noise_figure),
    };
    RadioProfile {
        generation,
        bands: rows.iter().map(band).collect(),
        concurrent: false,
        pattern: AntennaPattern::Even,
    }
}

/// A phone: 802.11ax, two streams, 80 MHz, 15 dBm in 2.4 GHz falling to 12 dBm in 6 GHz; small antennas and a hand cost 3 dB.
#[must_use]
pub fn phone() -> RadioProfile {
    profile(
        Generation::Ax,
        7.0,
        &[(Band::Ghz2, 2, 20.0, 15.0, -3.0), (Band::Ghz5, 2, 80.0, 14.0, -3.0), (Band::Ghz6, 2, 80.0, 12.0, -3.0)],
    )
}

/// A tablet: as a phone, with antennas 1 dB better and no 6 GHz.
#[must_use]
pub fn tablet() -> RadioProfile {
    profile(Generation::Ax, 7.0, &[(Band::Ghz2, 2, 20.0, 15.0, -2.0), (Band::Ghz5, 2, 80.0, 15.0, -2.0)])
}

/// A portable computer: 802.11ax, two streams, 160 MHz, 16 dBm.
#[must_use]
pub fn laptop() -> RadioProfile {
    profile(
        Generation::Ax,
        6.0,
        &[(Band::Ghz2, 2, 20.0, 17.0, 0.0), (Band::Ghz5, 2, 160.0, 16.0, 0.0), (Band::Ghz6, 2, 160.0, 15.0, 0.0)],
    )
}

/// A television or a box at it: 802.11ac, two streams, 80 MHz; its antennas sit behind a panel.
#[must_use]
pub fn television() -> RadioProfile {
    profile(Generation::Ac, 7.0, &[(Band::Ghz2, 2, 20.0, 15.0, -2.0), (Band::Ghz5, 2, 80.0, 15.0, -2.0)])
}

/// A game console: 802.11ax, two streams, 80 MHz, 16 dBm.
#[must_use]
pub fn console() -> RadioProfile {
    profile(Generation::Ax, 7.0, &[(Band::Ghz2, 2, 20.0, 16.0, -1.0), (Band::Ghz5, 2, 80.0, 16.0, -1.0)])
}

/// A camera or doorbell: 802.11n, one stream, 2.4 GHz only, 15 dBm.
#[must_use]
pub fn camera() -> RadioProfile {
    profile(Generation::N, 7.0, &[(Band::Ghz2, 1, 20.0, 15.0, 0.0)])
}

/// A small thing: 802.11n, one stream, 2.4 GHz only, 12 dBm, a small antenna.
#[must_use]
pub fn thing() -> RadioProfile {
    profile(Generation::N, 8.0, &[(Band::Ghz2, 1, 20.0, 12.0, -3.0)])
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
    }

    #[test]
    fn a_phone_radiates_less_than_a_laptop() {
        for band in Band::ALL {
            let eirp = |r: RadioProfile| r.band(band).map(|b| (b.tx_power + b.antenna_gain).0);
            assert!(eirp(phone()) < eirp(laptop()));
        }
    }
}

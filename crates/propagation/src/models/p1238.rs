//! ITU-R P.1238: indoor basic transmission loss, the older form with floors and the newer one without.

use findings::Source;
use units::{Db, Hertz, Metres};

use super::{FARTHEST, Link, Loss, LossModel, ModelError, Validity, near_a_row};

/// What a dwelling is built of, as the Recommendation's footnotes tell two columns apart.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Dwelling {
    /// Concrete walls and floors.
    Apartment,
    /// Wooden walls and floors.
    House,
}

/// `20 log₁₀ f + N log₁₀ d + Lf(n) − 28` with the residential column, f in MHz, d in metres.
///
/// # Model
/// ITU-R P.1238 up to its tenth edition, section 3.1, Tables 2 to 4.
///
/// | band | N | Lf(n) | deviation |
/// | --- | --- | --- | --- |
/// | 1.8–2 GHz | 28 | 4 n | 8 dB (from memory) |
/// | 2.4 GHz | 28 (from memory) | 10 dB apartment, 5 dB house (from memory) for one floor | not given |
/// | 5.2 GHz | 30 apartment, 28 house | 13 dB apartment, 7 dB house (from memory) for one floor | 8 dB (from memory) |
///
/// # Validity
/// Each row within a tenth of its band; 1 m or more; at 2.4 and 5.2 GHz at most one floor.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct P1238SiteSpecific(pub Dwelling);

struct Band {
    low_ghz: f64,
    high_ghz: f64,
    /// Power loss coefficient: apartment, house.
    n: [f64; 2],
    /// Loss of a floor \[dB\]: apartment, house.
    floor: [f64; 2],
    most_floors: Option<usize>,
    deviation: Option<f64>,
    from_memory: bool,
}

const BANDS: [Band; 3] = [
    Band {
        low_ghz: 1.8,
        high_ghz: 2.0,
        n: [28.0, 28.0],
        floor: [4.0, 4.0],
        most_floors: None,
        deviation: Some(8.0),
        from_memory: false,
    },
    Band {
        low_ghz: 2.4,
        high_ghz: 2.4,
        n: [28.0, 28.0],
        floor: [10.0, 5.0],
        most_floors: Some(1),
        deviation: None,
        from_memory: true,
    },
    Band {
        low_ghz: 5.2,
        high_ghz: 5.2,
        n: [30.0, 28.0],
        floor: [13.0, 7.0],
        most_floors: Some(1),
        deviation: Some(8.0),
        from_memory: true,
    },
];

impl Band {
    /// How far off a frequency is, as a ratio: 1 within the band.
    fn off(&self, ghz: f64) -> f64 {
        (self.low_ghz / ghz).max(ghz / self.high_ghz).max(1.0)
    }

    /// The band that a frequency is nearest to.
    fn nearest(ghz: f64) -> &'static Self {
        let [first, rest @ ..] = &BANDS;
        rest.iter().fold(first, |best, band| if band.off(ghz) < best.off(ghz) { band } else { best })
    }
}

impl LossModel for P1238SiteSpecific {
    fn name(&self) -> &'static str {
        match self.0 {
            Dwelling::Apartment => "ITU-R P.1238 with floors, apartment",
            Dwelling::House => "ITU-R P.1238 with floors, house",
        }
    }

    fn validity(&self, link: &Link) -> Validity {
        let band = Band::nearest(link.frequency.ghz());
        Validity {
            frequency: near_a_row(band.low_ghz, band.high_ghz),
            distance: [Metres(1.0), Metres(FARTHEST)],
            most_floors: band.most_floors,
        }
    }

    fn loss(&self, link: &Link) -> Result<Loss, ModelError> {
        self.validity(link).check(self.name(), link)?;
        let band = Band::nearest(link.frequency.ghz());
        let column = usize::from(self.0 == Dwelling::House);
        let distance = link.distance().0.log10();
        let median =
            20.0 * link.frequency.mhz().log10() + band.n[column] * distance + band.floor[column] * link.floors as f64
                - 28.0;
        let source = Source::standard("ITU-R P.1238-10, section 3.1, Tables 2 to 4, residential");
        let source = if band.from_memory { source.from_memory() } else { source };
        Ok(Loss { median: Db(median), spread: band.deviation.map(Db), source })
    }
}

/// Where the coefficients of the newer form were measured.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Space {
    /// Offices (P.1238-13); what stands in for homes, since no row for homes is known here.
    Office,
    /// Corridors (P.1238-11).
    Corridor,
    /// Factories and halls (P.1238-11).
    Industrial,
}

/// `10 α log₁₀ d + β + 10 γ log₁₀ f`, f in GHz, d in metres; a row for a clear line and one for any other.
///
/// # Model
/// ITU-R P.1238-11 and later, Table 2. On one floor: floors are not in it.
///
/// # Validity
/// The range of each row (for example office without sight 0.3 to 255 GHz and 4 to 30 m); no floors.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct P1238SiteGeneral(pub Space);

/// A row: α, β, γ, σ \[dB\], frequencies \[GHz\], distances \[m\].
struct Row {
    alpha: f64,
    beta: f64,
    gamma: f64,
    sigma: f64,
    ghz: [f64; 2],
    metres: [f64; 2],
}

/// Rows of a space: a clear line, then any other.
fn rows(space: Space) -> [Row; 2] {
    let row =
        |alpha, beta, gamma, sigma, max_ghz, metres| Row { alpha, beta, gamma, sigma, ghz: [0.3, max_ghz], metres };
    match space {
        Space::Office => {
            [row(1.47, 34.17, 2.08, 3.68, 294.0, [2.0, 27.0]), row(2.39, 30.13, 2.40, 5.01, 255.0, [4.0, 30.0])]
        }
        Space::Corridor => [
            row(1.63, 28.12, 2.25, 4.07, 83.5, [2.0, 160.0]),
            Row { ghz: [0.625, 83.5], ..row(2.77, 29.27, 2.48, 7.63, 83.5, [4.0, 94.0]) },
        ],
        Space::Industrial => [
            Row { ghz: [0.625, 70.28], ..row(2.31, 24.52, 2.06, 2.69, 70.28, [2.0, 101.0]) },
            Row { ghz: [0.625, 70.28], ..row(3.79, 21.01, 1.34, 9.05, 70.28, [5.0, 108.0]) },
        ],
    }
}

impl P1238SiteGeneral {
    fn row(self, link: &Link) -> Row {
        let [clear, other] = rows(self.0);
        if link.is_clear() { clear } else { other }
    }
}

impl LossModel for P1238SiteGeneral {
    fn name(&self) -> &'static str {
        match self.0 {
            Space::Office => "ITU-R P.1238 site-general, office",
            Space::Corridor => "ITU-R P.1238 site-general, corridor",
            Space::Industrial => "ITU-R P.1238 site-general, industrial",
        }
    }

    fn validity(&self, link: &Link) -> Validity {
        let row = self.row(link);
        Validity { frequency: row.ghz.map(Hertz::from_ghz), distance: row.metres.map(Metres), most_floors: Some(0) }
    }

    fn loss(&self, link: &Link) -> Result<Loss, ModelError> {
        self.validity(link).check(self.name(), link)?;
        let row = self.row(link);
        let median =
            10.0 * row.alpha * link.distance().0.log10() + row.beta + 10.0 * row.gamma * link.frequency.ghz().log10();
        let cite = match self.0 {
            Space::Office => "ITU-R P.1238-13, Table 2, as open simulators carry it",
            _ => "ITU-R P.1238-11, Table 2, as open simulators carry it",
        };
        Ok(Loss { median: Db(median), spread: Some(Db(row.sigma)), source: Source::standard(cite) })
    }
}

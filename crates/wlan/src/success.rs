//! Chance that a frame arrives at a ratio of signal to noise. Levels, fading and the choice of a mode are not here.

use radio_profile::Band;
use units::{Db, Dbm, Hertz};

use crate::rates::modulation;

/// Constellation of an OFDM subcarrier.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Constellation {
    /// 1 bit a subcarrier.
    Bpsk,
    /// 2 bit.
    Qpsk,
    /// 4 bit.
    Qam16,
    /// 6 bit.
    Qam64,
    /// 8 bit.
    Qam256,
    /// 10 bit.
    Qam1024,
    /// 12 bit.
    Qam4096,
}

impl Constellation {
    /// Coded bits a subcarrier.
    #[must_use]
    pub const fn bits(self) -> u32 {
        match self {
            Constellation::Bpsk => 1,
            Constellation::Qpsk => 2,
            Constellation::Qam16 => 4,
            Constellation::Qam64 => 6,
            Constellation::Qam256 => 8,
            Constellation::Qam1024 => 10,
            Constellation::Qam4096 => 12,
        }
    }

    const fn of_bits(bits: u32) -> Option<Self> {
        Some(match bits {
            1 => Constellation::Bpsk,
            2 => Constellation::Qpsk,
            4 => Constellation::Qam16,
            6 => Constellation::Qam64,
            8 => Constellation::Qam256,
            10 => Constellation::Qam1024,
            12 => Constellation::Qam4096,
            _ => return None,
        })
    }

    /// Bit error rate before decoding, with Gray labels and a coherent receiver.
    ///
    /// BPSK `Q(√(2 E/N))`; else with M points `4 (1 - 1/√M) / log2 M · Q(√(3 E / ((M - 1) N)))`, the nearest neighbours alone (J. G. Proakis,
    /// Digital Communications, 4th edition, 5.2.9; the same in Pei and Henderson).
    fn bit_error_rate(self, snr: f64) -> f64 {
        let (weight, argument) = match self {
            Constellation::Bpsk => (1.0, 2.0 * snr),
            _ => {
                let bits = f64::from(self.bits());
                let points = bits.exp2();
                (4.0 * (1.0 - 1.0 / points.sqrt()) / bits, 3.0 * snr / (points - 1.0))
            }
        };
        weight * 0.5 * libm::erfc((argument / 2.0).sqrt())
    }
}

/// Rate of the convolutional code.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum CodeRate {
    /// 1/2.
    Half,
    /// 2/3.
    TwoThirds,
    /// 3/4.
    ThreeQuarters,
    /// 5/6.
    FiveSixths,
}

impl CodeRate {
    const fn of(numerator: u32, denominator: u32) -> Option<Self> {
        Some(match (numerator, denominator) {
            (1, 2) => CodeRate::Half,
            (2, 3) => CodeRate::TwoThirds,
            (3, 4) => CodeRate::ThreeQuarters,
            (5, 6) => CodeRate::FiveSixths,
            _ => return None,
        })
    }

    /// Free distance, step between distances, information bits of a puncturing period, and the bit errors `c_d` of all wrong paths by distance.
    ///
    /// Code of constraint length 7 with generators 133 and 171, punctured as in IEEE 802.11-2020, 17.3.5.6 and 19.3.11.6. The weights are counted
    /// from the code's trellis (`tests/success.rs` counts them again). D. Haccoun, G. Bégin, IEEE Trans. Commun. 37(11), 1989, whom Miller and ns-3
    /// follow, have the same but for the higher terms of punctured codes, there up to 0.3 % larger.
    const fn spectrum(self) -> (i32, i32, f64, &'static [f64]) {
        match self {
            CodeRate::Half => (
                10,
                2,
                1.0,
                &[36.0, 211.0, 1404.0, 11_633.0, 77_433.0, 502_690.0, 3_322_763.0, 21_292_910.0, 134_365_911.0],
            ),
            CodeRate::TwoThirds => (
                6,
                1,
                2.0,
                &[3.0, 70.0, 285.0, 1276.0, 6160.0, 27_128.0, 117_019.0, 498_835.0, 2_103_480.0, 8_781_268.0],
            ),
            CodeRate::ThreeQuarters => (
                5,
                1,
                3.0,
                &[
                    42.0,
                    201.0,
                    1492.0,
                    10_469.0,
                    62_935.0,
                    379_546.0,
                    2_252_394.0,
                    13_064_540.0,
                    75_080_308.0,
                    427_474_864.0,
                ],
            ),
            CodeRate::FiveSixths => (
                4,
                1,
                5.0,
                &[
                    92.0,
                    528.0,
                    8694.0,
                    79_453.0,
                    791_795.0,
                    7_369_828.0,
                    67_809_347.0,
                    609_896_348.0,
                    5_416_272_113.0,
                    47_544_404_956.0,
                ],
            ),
        }
    }

    /// Upper bound of the bit error rate after decoding: `1/k · Σ c_d ½ (4 p (1 - p))^(d/2)`, at most 1.
    fn decoded_error_rate(self, before: f64) -> f64 {
        let (free, step, period, weights) = self.spectrum();
        let bhattacharyya = (4.0 * before * (1.0 - before)).sqrt();
        let mut power = bhattacharyya.powi(free);
        let mut sum = 0.0;
        for weight in weights {
            sum += weight * power;
            power *= bhattacharyya.powi(step);
        }
        (0.5 * sum / period).min(1.0)
    }
}

/// Rate of an 802.11b frame.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum DsssRate {
    /// 1 Mbit/s, DBPSK.
    Mbps1,
    /// 2 Mbit/s, DQPSK.
    Mbps2,
    /// 5.5 Mbit/s, CCK.
    Mbps5_5,
    /// 11 Mbit/s, CCK.
    Mbps11,
}

/// How the bits of a frame are sent.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Modulation {
    /// OFDM with the convolutional code: 802.11a and all later.
    Ofdm(Constellation, CodeRate),
    /// 802.11b, over a bandwidth of 22 MHz.
    Dsss(DsssRate),
}

impl Modulation {
    /// That of an MCS 0 to 13 of one stream.
    #[must_use]
    pub const fn of_mcs(mcs: u8) -> Option<Self> {
        let Some((bits, numerator, denominator)) = modulation(mcs) else { return None };
        match (Constellation::of_bits(bits), CodeRate::of(numerator, denominator)) {
            (Some(constellation), Some(rate)) => Some(Modulation::Ofdm(constellation, rate)),
            _ => None,
        }
    }

    /// That of a rate of 802.11b (1, 2, 5.5, 11 Mbit/s) or 802.11a/g (6, 9, 12, 18, 24, 36, 48, 54 Mbit/s; IEEE 802.11-2020, Table 17-4).
    #[must_use]
    pub fn of_legacy_rate(mbps: f64) -> Option<Self> {
        use CodeRate::{Half, ThreeQuarters, TwoThirds};
        use Constellation::{Bpsk, Qam16, Qam64, Qpsk};
        let all = [
            (1.0, Modulation::Dsss(DsssRate::Mbps1)),
            (2.0, Modulation::Dsss(DsssRate::Mbps2)),
            (5.5, Modulation::Dsss(DsssRate::Mbps5_5)),
            (11.0, Modulation::Dsss(DsssRate::Mbps11)),
            (6.0, Modulation::Ofdm(Bpsk, Half)),
            (9.0, Modulation::Ofdm(Bpsk, ThreeQuarters)),
            (12.0, Modulation::Ofdm(Qpsk, Half)),
            (18.0, Modulation::Ofdm(Qpsk, ThreeQuarters)),
            (24.0, Modulation::Ofdm(Qam16, Half)),
            (36.0, Modulation::Ofdm(Qam16, ThreeQuarters)),
            (48.0, Modulation::Ofdm(Qam64, TwoThirds)),
            (54.0, Modulation::Ofdm(Qam64, ThreeQuarters)),
        ];
        all.into_iter().find(|(rate, _)| (rate - mbps).abs() < 1e-9).map(|(_, modulation)| modulation)
    }

    /// Whether a band has it: 802.11b only in 2.4 GHz.
    #[must_use]
    pub fn exists_in(self, band: Band) -> bool {
        band == Band::Ghz2 || !matches!(self, Modulation::Dsss(_))
    }
}

/// Chance that a frame arrives.
///
/// # Model
/// OFDM: bit errors of the constellation, the union bound with the code's distance spectrum for a hard-decision Viterbi decoder, bits independent:
/// `(1 - p)^(8 L)`. DBPSK `½ exp(-E/N)`, DQPSK by the asymptotic form of its bit error rate, CCK as 8 biorthogonal signals (5.5 Mbit/s) or two such
/// sets that are told apart independently (11 Mbit/s). `snr` is signal over noise and interference in the channel, per subcarrier with OFDM, in
/// 22 MHz with DSSS.
///
/// # Validity
/// White Gaussian noise, no fading, an ideal receiver: see [`implementation_loss`](crate::implementation_loss) for a real one. LDPC gains 1 to 2 dB
/// over this code and is left out. The bound is loose where more than every second frame of usual length is lost. A ratio that is not a number
/// gives 0; a frame of no octets always arrives.
///
/// # Example
/// ```
/// use units::Db;
/// use wlan::{Modulation, success};
/// let bpsk = Modulation::of_legacy_rate(6.0).unwrap();
/// assert!((success(bpsk, Db(4.0), 2000) - 0.885).abs() < 0.001);
/// ```
///
/// # References
/// L. E. Miller, Validation of 802.11a/UWB coexistence simulation, NIST, 2003; G. Pei, T. R. Henderson, Validation of OFDM error rate model in ns-3,
/// Boeing, 2010; G. Pei, T. R. Henderson, Validation of ns-3 802.11b PHY model, Boeing, 2009; M. B. Pursley, T. C. Royster, IEEE Trans. Commun.
/// 57(2), 2009, equations 17 and 18.
#[must_use]
pub fn success(modulation: Modulation, snr: Db, octets: u32) -> f64 {
    if octets == 0 {
        return 1.0;
    }
    let ratio = snr.ratio();
    if ratio.is_nan() {
        return 0.0;
    }
    let bits = 8.0 * f64::from(octets);
    // (1 - p)^n without losing small p.
    let all_right = |wrong: f64, num: f64| (num * (-wrong).ln_1p()).exp();
    match modulation {
        Modulation::Ofdm(constellation, rate) => {
            all_right(rate.decoded_error_rate(constellation.bit_error_rate(ratio)), bits)
        }
        Modulation::Dsss(rate) => {
            // Energy of a symbol over noise density: 22 MHz of noise against 1 or 1.375 million symbols a second.
            let symbol = |symbols_a_second: f64| ratio * 22e6 / symbols_a_second;
            match rate {
                DsssRate::Mbps1 => all_right(0.5 * (-symbol(1e6)).exp(), bits),
                DsssRate::Mbps2 => all_right(dqpsk_error_rate(symbol(1e6) / 2.0), bits),
                DsssRate::Mbps5_5 => all_right(biorthogonal_error_rate(symbol(1.375e6) / 2.0), bits / 4.0),
                DsssRate::Mbps11 => all_right(biorthogonal_error_rate(symbol(1.375e6) / 4.0), 2.0 * bits / 8.0),
            }
        }
    }
}

/// Bit error rate of differential QPSK by energy of a bit over noise density, at most ½.
fn dqpsk_error_rate(x: f64) -> f64 {
    let root = 2.0f64.sqrt();
    ((root + 1.0) / (8.0 * std::f64::consts::PI * root).sqrt() / x.sqrt() * (-(2.0 - root) * x).exp()).min(0.5)
}

/// Chance that one of 16 biorthogonal signals is taken for another, by half its energy over noise density.
///
/// One minus `∫ (2 Φ(x + β) - 1)^7 φ(x) dx` from -β, `β = √(2 e)`, written so that small values keep their digits.
fn biorthogonal_error_rate(half_energy: f64) -> f64 {
    let beta = (2.0 * half_energy).sqrt();
    if !beta.is_finite() {
        return 0.0;
    }
    let root = std::f64::consts::SQRT_2;
    let density = |x: f64| (-x * x / 2.0).exp() / (2.0 * std::f64::consts::PI).sqrt();
    let wrong = |x: f64| -(7.0 * (-libm::erfc((x + beta) / root)).ln_1p()).exp_m1() * density(x);
    // Simpson's rule; the integrand is smooth over one unit and below 1e-18 beyond 9.
    let (low, high, num) = ((-beta).max(-9.0), 9.0, 400);
    let step = (high - low) / f64::from(num);
    let mut sum = wrong(low) + wrong(high);
    for i in 1..num {
        sum += wrong(low + f64::from(i) * step) * if i % 2 == 1 { 4.0 } else { 2.0 };
    }
    (sum * step / 3.0 + 0.5 * libm::erfc(beta / root)).clamp(0.0, 1.0)
}

/// The least ratio at which a share of frames arrives; nothing if the share is not strictly between 0 and 1 or the frame has no octets.
///
/// The inverse of [`success`], to 1e-9 dB.
#[must_use]
pub fn snr_for(modulation: Modulation, octets: u32, share: f64) -> Option<Db> {
    if !(share > 0.0 && share < 1.0) || octets == 0 {
        return None;
    }
    let (mut low, mut high) = (-40.0, 60.0);
    while high - low > 1e-9 {
        let middle = 0.5 * (low + high);
        if success(modulation, Db(middle), octets) < share { low = middle } else { high = middle }
    }
    Some(Db(high))
}

/// Noise of a receiver: `k T B` at 290 K and its noise figure.
///
/// # Example
/// ```
/// use units::{Db, Hertz};
/// let noise = wlan::noise(Hertz::from_mhz(20.0), Db(7.0));
/// assert!((noise.0 + 93.97).abs() < 0.01);
/// ```
#[must_use]
pub fn noise(width: Hertz, noise_figure: Db) -> Dbm {
    // Boltzmann's constant (SI, exact) times 290 K times 1000, in mW/Hz.
    Dbm(10.0 * (1.380_649e-23 * 290.0 * 1e3 * width.0).log10()) + noise_figure
}

/// Signal over the sum of noise and interferers, as powers in the same width.
///
/// # Validity
/// Interference that looks like noise to the decoder, spread evenly over the width, for the whole frame.
#[must_use]
pub fn sinr(level: Dbm, noise: Dbm, interferers: &[Dbm]) -> Db {
    (level - noise) - noise_rise(noise, interferers)
}

/// By how much interferers lift the noise floor: `(N + Σ I) / N`.
#[must_use]
pub fn noise_rise(noise: Dbm, interferers: &[Dbm]) -> Db {
    let sum: f64 = interferers.iter().map(|i| (*i - noise).ratio()).sum();
    Db::from_ratio(1.0 + sum)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn without_signal_one_of_sixteen_guesses_is_right() {
        assert!((biorthogonal_error_rate(0.0) - 15.0 / 16.0).abs() < 1e-9);
        assert!(biorthogonal_error_rate(f64::INFINITY) == 0.0);
    }

    #[test]
    fn two_interferers_as_strong_as_the_noise_cost_4_77_db() {
        let n = Dbm(-94.0);
        assert!((sinr(Dbm(-70.0), n, &[n, n]).0 - (24.0 - 4.7712)).abs() < 1e-3);
        assert_eq!(sinr(Dbm(-70.0), n, &[]), Db(24.0));
    }

    #[test]
    fn what_is_not_a_number_does_not_arrive() {
        let any = Modulation::of_legacy_rate(6.0).unwrap();
        assert_eq!(success(any, Db(f64::NAN), 100), 0.0);
        assert_eq!(success(any, Db(f64::NAN), 0), 1.0);
        assert_eq!(snr_for(any, 100, f64::NAN), None);
        assert_eq!(snr_for(any, 0, 0.5), None);
        assert_eq!(Modulation::of_mcs(14), None);
        assert_eq!(Modulation::of_legacy_rate(7.0), None);
    }
}

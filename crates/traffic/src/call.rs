//! How a call sounds: the E-model of ITU-T G.107, and codecs of G.113. Where delay and loss come from is not here.
//!
//! - [`EModel`], [`EModel::rating`]: the rating R of a connection
//! - [`opinion`]: the mean opinion score that follows
//! - [`Codec`], [`CODECS`]: what codecs take off
//!
//! Pictures have no such model that needs nothing but delay and loss; a call with pictures is judged by its sound, whose delay is the same.

/// A connection as ITU-T G.107 describes it. The defaults are those of its Table 3.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct EModel {
    /// Send loudness rating, SLR [dB].
    pub send_loudness: f64,
    /// Receive loudness rating, RLR [dB].
    pub receive_loudness: f64,
    /// Sidetone masking rating, STMR [dB].
    pub sidetone: f64,
    /// Listener sidetone rating, LSTR [dB].
    pub listener_sidetone: f64,
    /// D-value of the telephone at the send side, Ds.
    pub send_d: f64,
    /// Talker echo loudness rating, TELR [dB].
    pub talker_echo: f64,
    /// Weighted echo path loss, WEPL [dB].
    pub echo_path_loss: f64,
    /// Mean one-way delay of the echo path, T [ms].
    pub delay_ms: f64,
    /// Round-trip delay in a four-wire loop, Tr [ms].
    pub round_trip_ms: f64,
    /// Absolute delay from end to end, Ta [ms].
    pub absolute_ms: f64,
    /// Quantisation distortion units, qdu.
    pub quantisation: f64,
    /// The codec.
    pub codec: Codec,
    /// Share of packets lost, 0 to 1 (Ppl / 100).
    pub loss: f64,
    /// Burst ratio, BurstR: 1 for losses at random.
    pub burst_ratio: f64,
    /// Circuit noise referred to 0 dBr point, Nc [dBm0p].
    pub circuit_noise: f64,
    /// Noise floor at the receive side, Nfor [dBmp].
    pub noise_floor: f64,
    /// Room noise at the send side, Ps [dB(A)].
    pub send_room_noise: f64,
    /// Room noise at the receive side, Pr [dB(A)].
    pub receive_room_noise: f64,
    /// What users put up with for an advantage, A.
    pub advantage: f64,
    /// Sensitivity to delay, sT.
    pub delay_sensitivity: f64,
    /// Least delay that is noticed, mT [ms].
    pub least_delay_ms: f64,
}

impl Default for EModel {
    fn default() -> Self {
        Self {
            send_loudness: 8.0,
            receive_loudness: 2.0,
            sidetone: 15.0,
            listener_sidetone: 18.0,
            send_d: 3.0,
            talker_echo: 65.0,
            echo_path_loss: 110.0,
            delay_ms: 0.0,
            round_trip_ms: 0.0,
            absolute_ms: 0.0,
            quantisation: 1.0,
            codec: Codec::G711,
            loss: 0.0,
            burst_ratio: 1.0,
            circuit_noise: -70.0,
            noise_floor: -64.0,
            send_room_noise: 35.0,
            receive_room_noise: 35.0,
            advantage: 0.0,
            delay_sensitivity: 1.0,
            least_delay_ms: 100.0,
        }
    }
}

/// What a codec takes off by itself, and how it bears lost packets.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Codec {
    /// Its name.
    pub name: &'static str,
    /// Equipment impairment factor, Ie.
    pub impairment: f64,
    /// Packet-loss robustness factor, Bpl.
    pub robustness: f64,
}

impl Codec {
    /// G.711 that plays silence for a lost packet.
    pub const G711: Self = Self { name: "G.711", impairment: 0.0, robustness: 4.3 };
    /// G.711 that conceals lost packets (its Appendix I).
    pub const G711_CONCEALED: Self =
        Self { name: "G.711 with concealment of losses", impairment: 0.0, robustness: 25.1 };
    /// G.729 Annex A with voice activity detection.
    pub const G729A: Self = Self { name: "G.729 Annex A", impairment: 11.0, robustness: 19.0 };
    /// G.723.1 at 6.3 kbit/s with voice activity detection.
    pub const G723: Self = Self { name: "G.723.1 at 6.3 kbit/s", impairment: 15.0, robustness: 16.1 };
    /// GSM enhanced full rate.
    pub const GSM_EFR: Self = Self { name: "GSM enhanced full rate", impairment: 5.0, robustness: 10.0 };
}

/// Codecs with their factors: ITU-T G.113 (11/2007), Appendix I, from memory. Robustness holds for losses at random.
pub const CODECS: &[Codec] = &[Codec::G711, Codec::G711_CONCEALED, Codec::G729A, Codec::G723, Codec::GSM_EFR];

/// Parts of the rating that stay as they are while delay and loss change.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Still {
    noise: f64,
    signal: f64,
    with_voice: f64,
}

/// Longest delay that is told from longer ones [ms].
const DELAY_MAX_MS: f64 = 60_000.0;

/// A delay that is not a number is the longest.
fn delay(value: f64) -> f64 {
    if value.is_nan() { DELAY_MAX_MS } else { value.clamp(0.0, DELAY_MAX_MS) }
}

impl EModel {
    /// All default, but for one delay each way from mouth to ear (T = Ta, Tr = 2 T), a share of packets lost or too late, and a codec.
    #[must_use]
    pub fn of_call(one_way_seconds: f64, loss: f64, codec: Codec) -> Self {
        let delay_ms = 1e3 * one_way_seconds;
        Self { delay_ms, round_trip_ms: 2.0 * delay_ms, absolute_ms: delay_ms, loss, codec, ..Self::default() }
    }

    /// The rating R: `Ro - Is - Id - Ie,eff + A`. 90 and more: very satisfied; 80: satisfied; 70: some dissatisfied; 60: many; 50: nearly all
    /// (ITU-T G.109, Table 1). It can fall below 0.
    ///
    /// # Model
    /// The full model with all its parts, the default ones as well.
    ///
    /// # Validity
    /// Delays are held to 0 to 60 s, the loss to 0 to 1; what is not a number counts as the worst.
    ///
    /// # Example
    /// ```
    /// assert!((traffic::call::EModel::default().rating() - 93.2).abs() < 0.01);
    /// ```
    ///
    /// # References
    /// ITU-T G.107 (06/2015), clause 7, equations 7-1 to 7-30.
    #[must_use]
    pub fn rating(&self) -> f64 {
        self.rating_with(&self.still())
    }

    /// What neither delay nor loss changes.
    pub(crate) fn still(&self) -> Still {
        let noise = self.noise();
        let signal = 15.0 - 1.5 * (self.send_loudness + noise);
        Still { noise, signal, with_voice: self.with_voice(signal, noise) }
    }

    /// The rating, of a connection whose still parts are known.
    pub(crate) fn rating_with(&self, still: &Still) -> f64 {
        let sidetone = self.sidetone_impairment();
        let delayed = self.delayed(still.signal, still.noise, sidetone);
        let rating = still.signal - still.with_voice - sidetone - delayed - self.lost() + self.advantage;
        if rating.is_nan() { 0.0 } else { rating }
    }

    /// No: all noises at the 0 dBr point [dBm0p].
    fn noise(&self) -> f64 {
        let overall = self.send_loudness + self.receive_loudness;
        let power = |db: f64| 10f64.powf(db / 10.0);
        let send = self.send_room_noise - self.send_loudness - self.send_d - 100.0
            + 0.004 * (self.send_room_noise - overall - self.send_d - 14.0).powi(2);
        let heard = self.receive_room_noise + 10.0 * (1.0 + power(10.0 - self.listener_sidetone)).log10();
        let receive = self.receive_loudness - 121.0 + heard + 0.008 * (heard - 35.0).powi(2);
        let floor = self.noise_floor + self.receive_loudness;
        10.0 * (power(self.circuit_noise) + power(send) + power(receive) + power(floor)).log10()
    }

    /// STMRo: sidetone with the echo that comes at once.
    fn sidetone_with_echo(&self) -> f64 {
        let power = |db: f64| 10f64.powf(-db / 10.0);
        -10.0 * (power(self.sidetone) + (-delay(self.delay_ms) / 4.0).exp() * power(self.talker_echo)).log10()
    }

    fn sidetone_impairment(&self) -> f64 {
        let s = self.sidetone_with_echo();
        let bend = |value: f64, power: f64| (1.0 + value.abs().powf(power)).powf(1.0 / power);
        // The odd powers keep the sign.
        let odd = |value: f64, power: f64| (1.0 + value.signum() * value.abs().powf(power)).max(0.0).powf(1.0 / power);
        12.0 * bend((s - 13.0) / 6.0, 8.0) - 28.0 * odd((s + 1.0) / 19.4, 35.0) - 13.0 * odd((s - 3.0) / 33.0, 13.0)
            + 29.0
    }

    /// Of Is, what comes with the voice: too loud, quantisation. Sidetone is apart, since echo changes it.
    fn with_voice(&self, signal: f64, noise: f64) -> f64 {
        let overall = self.send_loudness + self.receive_loudness;
        let x = (overall + 0.2 * (64.0 + noise - self.receive_loudness)) / 8.0;
        let too_loud = 20.0 * ((1.0 + x.powi(8)).powf(1.0 / 8.0) - x);
        let q = 37.0 - 15.0 * self.quantisation.max(f64::MIN_POSITIVE).log10();
        let g = 1.07 + 0.258 * q + 0.0602 * q * q;
        let y = (signal - 100.0) / 15.0 + 46.0 / 8.4 - g / 9.0;
        let z = 46.0 / 30.0 - g / 40.0;
        let quantised = 15.0 * (1.0 + 10f64.powf(y) + 10f64.powf(z)).log10();
        too_loud + quantised
    }

    /// Id: talker echo, listener echo, delay itself.
    fn delayed(&self, signal: f64, noise: f64, sidetone: f64) -> f64 {
        let t = delay(self.delay_ms);
        let mut echo =
            self.talker_echo - 40.0 * ((1.0 + t / 10.0) / (1.0 + t / 150.0)).log10() + 6.0 * (-0.3 * t * t).exp();
        if self.sidetone < 9.0 {
            echo += sidetone / 2.0;
        }
        let without = -1.5 * (noise - self.receive_loudness);
        let half = (without - (80.0 + 2.5 * (echo - 14.0))) / 2.0;
        let mut talker = (half + (half * half + 100.0).sqrt() - 1.0) * (1.0 - (-t).exp());
        if self.sidetone > 20.0 {
            talker = talker.hypot(sidetone);
        }
        let listened = 10.5 * (self.echo_path_loss + 7.0) * (delay(self.round_trip_ms) + 1.0).powf(-0.25);
        let half = (signal - listened) / 2.0;
        let listener = half + (half * half + 169.0).sqrt();
        talker + listener + self.too_late()
    }

    fn too_late(&self) -> f64 {
        let x = (delay(self.absolute_ms) / self.least_delay_ms).log2();
        if x.is_nan() || x <= 0.0 {
            return 0.0;
        }
        let power = 6.0 * self.delay_sensitivity;
        let bend = |x: f64| (1.0 + x.powf(power)).powf(1.0 / power);
        25.0 * (bend(x) - 3.0 * bend(x / 3.0) + 2.0)
    }

    /// Ie,eff: codec and lost packets.
    fn lost(&self) -> f64 {
        let percent = if self.loss.is_nan() { 100.0 } else { 100.0 * self.loss.clamp(0.0, 1.0) };
        let Codec { impairment, robustness, .. } = self.codec;
        if percent > 0.0 {
            impairment + (95.0 - impairment) * percent / (percent / self.burst_ratio + robustness)
        } else {
            impairment
        }
    }
}

/// Mean opinion score of a rating, 1 to 4.5.
///
/// # Model
/// `1 + 0.035 R + R (R - 60) (100 - R) · 7·10⁻⁶`, 1 below 0, 4.5 above 100 (ITU-T G.107, Annex B); held at 1 where the cubic dips below.
#[must_use]
pub fn opinion(rating: f64) -> f64 {
    if rating >= 100.0 {
        4.5
    } else if rating > 0.0 {
        (1.0 + 0.035 * rating + rating * (rating - 60.0) * (100.0 - rating) * 7e-6).max(1.0)
    } else {
        1.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn scores_of_ratings() {
        for (rating, score) in [(50.0, 2.575), (60.0, 3.1), (70.0, 3.597), (80.0, 4.024), (90.0, 4.339), (93.2, 4.41)] {
            assert!((opinion(rating) - score).abs() < 0.001, "{rating}: {}", opinion(rating));
        }
        assert_eq!((opinion(-5.0), opinion(120.0), opinion(f64::NAN), opinion(3.0)), (1.0, 4.5, 1.0, 1.0));
    }

    /// From 10 ms on: below, the model takes an echo that comes at once for sidetone, which can please.
    #[test]
    fn worse_is_never_better() {
        let rating = |ms: f64, loss: f64| EModel::of_call(ms / 1e3, loss, Codec::G711_CONCEALED).rating();
        for step in 0..400 {
            let ms = 10.0 + f64::from(step) * 2.0;
            assert!(rating(ms + 2.0, 0.0) <= rating(ms, 0.0) + 1e-9, "{ms}");
            let loss = f64::from(step) / 400.0;
            assert!(rating(50.0, loss + 0.0025) < rating(50.0, loss));
        }
    }

    #[test]
    fn what_is_not_a_number_is_the_worst() {
        let worst = EModel::of_call(f64::NAN, f64::NAN, Codec::G711).rating();
        assert!(worst.is_finite() && worst <= EModel::of_call(60.0, 1.0, Codec::G711).rating());
        assert!(EModel::of_call(f64::INFINITY, 2.0, Codec::G711).rating().is_finite());
        assert!((EModel::of_call(-1.0, -1.0, Codec::G711).rating() - EModel::default().rating()).abs() < 1e-12);
    }

    /// Losses in bursts hurt more.
    #[test]
    fn bursts() {
        let model = EModel::of_call(0.05, 0.02, Codec::G711_CONCEALED);
        assert!(EModel { burst_ratio: 2.0, ..model }.rating() < model.rating());
    }
}

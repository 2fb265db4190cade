//! Who hears whom: from levels, channels and the standard's thresholds to who holds back and whose frames survive an overlap. Who gets how much is not here.

use units::{Db, Dbm, Hertz};

use super::{ContentionError, Phy};
use crate::rates::sensitivity;

/// Start of a valid OFDM preamble on the primary 20 MHz: -82 dBm (IEEE 802.11-2020, 17.3.10.6, 19.3.19.5, 21.3.18.5.2; wider PPDUs have the same level in
/// each 20 MHz).
pub const PREAMBLE_DETECTION: Dbm = Dbm(-82.0);
/// Any signal on the primary 20 MHz: 20 dB above the least sensitivity, -62 dBm (17.3.10.6).
pub const ENERGY_DETECTION: Dbm = Dbm(-62.0);
/// A valid signal on a secondary channel during PIFS before a wide PPDU: -72 dBm in 20 MHz (21.3.18.5.3; clause number and value from memory).
pub const SECONDARY_DETECTION: Dbm = Dbm(-72.0);
/// A preamble is found, and one of several at once is followed, if it is this far above the rest (common in receivers' models; the packet simulator ns-3
/// has 4 dB).
pub const PREAMBLE_MARGIN: Db = Db(4.0);
/// Power that leaks into the neighbouring 20 MHz, to the power in 20 MHz of the band: mean of the mask of 17.3.9.3 from 10 to 30 MHz
/// (-20 dBr at 11, -28 at 20, -40 at 30 MHz).
const LEAK_NEXT: f64 = -24.0;
/// The same one channel further: the mask's floor.
const LEAK_FAR: f64 = -40.0;

/// How a radio is tuned, and its noise.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Radio {
    /// Centre of the whole channel.
    pub centre: Hertz,
    /// Width of the whole channel.
    pub width: Hertz,
    /// Centre of the primary 20 MHz.
    pub primary: Hertz,
    /// Noise in 20 MHz: -101 dBm and the noise figure.
    pub noise: Dbm,
}

/// Where an exchange goes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Path {
    /// Index of the radio that receives.
    pub to: usize,
    /// What the first frame needs above noise and interference; see [`needed_sinr`].
    pub first: Db,
    /// What the data needs: the same without protection.
    pub data: Db,
}

/// A station's radio and the receivers of its exchanges, in the order of [`super::Station::exchanges`].
#[derive(Clone, Debug, PartialEq)]
pub struct Speaker {
    /// Index of its radio.
    pub radio: usize,
    /// One for each exchange.
    pub paths: Vec<Path>,
}

/// How a listener is aware of a sender.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Sense {
    /// Not at all: hidden.
    Nothing,
    /// Only on a secondary channel: it sends narrower, or not, but its backoff runs on (PIFS check before a wide PPDU, 10.23.2.5).
    Secondary,
    /// By its preamble, and so only if it is listening when the frame begins.
    Preamble,
    /// At any time.
    Energy,
}

impl Sense {
    /// True if the listener's backoff stands still while the sender is on the air.
    #[must_use]
    pub fn holds_back(self) -> bool {
        self >= Self::Preamble
    }
}

/// Chances of a frame to arrive although another is on the air.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Survival {
    /// Both begin in the same slot: the receiver must find this one's preamble and decode the frame.
    pub together: f64,
    /// The other begins later: the frame must be decoded.
    pub later: f64,
    /// The other began earlier: as well, the receiver must not have followed that one (no receiver changes over to a later, stronger frame here).
    pub earlier: f64,
    /// Both are on the air during the data of a protected exchange; 1 without protection.
    pub data: f64,
}

impl Survival {
    /// Nothing arrives.
    pub const LOST: Self = Self { together: 0.0, later: 0.0, earlier: 0.0, data: 0.0 };
    /// Neither notices the other.
    pub const UNHARMED: Self = Self { together: 1.0, later: 1.0, earlier: 1.0, data: 1.0 };
}

/// Who hears whom, of the stations that contend.
#[derive(Clone, Debug, PartialEq)]
pub struct Hearing {
    /// `[listener][sender]`: how a station is aware of another's frames.
    pub senses: Vec<Vec<Sense>>,
    /// `[listener][sender][exchange]`: how a station is aware of the answers to another's exchanges.
    pub answers: Vec<Vec<Vec<Sense>>>,
    /// `[sender][exchange][other]`: what becomes of a frame if another station sends.
    pub survives: Vec<Vec<Vec<Survival>>>,
    /// Share of bystanders of a collision of two that make out one of its frames; see [`super::Channel::heard`], whose value is used if absent.
    pub heard: Option<f64>,
}

impl Hearing {
    /// All hear all, and whatever overlaps is lost: what [`super::saturated`] takes. `exchanges`: how many each station has.
    #[must_use]
    pub fn complete(exchanges: &[usize]) -> Self {
        let n = exchanges.len();
        Self {
            senses: vec![vec![Sense::Energy; n]; n],
            answers: vec![exchanges.iter().map(|e| vec![Sense::Energy; *e]).collect(); n],
            survives: exchanges.iter().map(|e| vec![vec![Survival::LOST; n]; *e]).collect(),
            heard: None,
        }
    }

    /// True if every station holds back for every other and for the answers to it.
    #[must_use]
    pub fn is_complete(&self) -> bool {
        let senses = self
            .senses
            .iter()
            .enumerate()
            .all(|(i, row)| row.iter().enumerate().all(|(j, s)| i == j || s.holds_back()));
        let answers = self.answers.iter().enumerate().all(|(i, row)| {
            row.iter().enumerate().all(|(j, exchanges)| i == j || exchanges.iter().all(|s| s.holds_back()))
        });
        senses && answers
    }

    /// Number of stations.
    #[must_use]
    pub fn len(&self) -> usize {
        self.senses.len()
    }

    /// True if there are no stations.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.senses.is_empty()
    }

    pub(super) fn check(&self, exchanges: &[usize]) -> Result<(), ContentionError> {
        let n = exchanges.len();
        let shape = |ok: bool, what| if ok { Ok(()) } else { Err(ContentionError::Hearing(what)) };
        shape(
            self.senses.len() == n && self.senses.iter().all(|r| r.len() == n),
            "senses: one row and column a station",
        )?;
        let answers = self.answers.len() == n
            && self.answers.iter().all(|r| r.len() == n && r.iter().zip(exchanges).all(|(e, count)| e.len() == *count));
        shape(answers, "answers: one row and column a station, with its exchanges")?;
        let survives = self.survives.len() == n
            && self
                .survives
                .iter()
                .zip(exchanges)
                .all(|(e, count)| e.len() == *count && e.iter().all(|r| r.len() == n));
        shape(survives, "survives: one row a station and exchange, one column a station")?;
        let chances = self.survives.iter().flatten().flatten().flat_map(|s| [s.together, s.later, s.earlier, s.data]);
        shape(chances.chain(self.heard).all(|c| (0.0..=1.0).contains(&c)), "chances: 0 to 1")
    }
}

/// What a frame needs above noise and interference to arrive nine times in ten.
///
/// # Model
/// OFDM: where the success of 2,000 octets crosses 0.9 in the error-rate tables of the packet simulator ns-3 (additive noise, convolutional code), to 0.5 dB:
/// 4 to 22.5 dB. Later generations have the same modulations and codes as MCS 0 to 6, and from there the steps of the standard's least sensitivities.
/// DSSS and CCK -1, 2, 5 and 8 dB (from memory: 9 to 10 dB for a bit, less the processing gain). Nothing for a rate that does not exist.
/// Streams and antennas do not enter.
#[must_use]
pub fn needed_sinr(phy: Phy) -> Option<Db> {
    const OFDM: [(f64, f64); 8] =
        [(6.0, 4.0), (9.0, 7.0), (12.0, 7.0), (18.0, 10.0), (24.0, 13.5), (36.0, 17.0), (48.0, 21.5), (54.0, 22.5)];
    /// OFDM rates with the modulation and code of MCS 0 to 6 [Mbit/s].
    const LIKE: [f64; 7] = [6.0, 12.0, 18.0, 24.0, 36.0, 48.0, 54.0];
    let of = |table: &[(f64, f64)], mbps: f64| table.iter().find(|(r, _)| (r - mbps).abs() < 1e-9).map(|(_, l)| Db(*l));
    match phy {
        Phy::Dsss { mbps, .. } => of(&[(1.0, -1.0), (2.0, 2.0), (5.5, 5.0), (11.0, 8.0)], mbps),
        Phy::Ofdm { mbps } => of(&OFDM, mbps),
        Phy::High(mode) => match LIKE.get(usize::from(mode.mcs)) {
            Some(mbps) => of(&OFDM, *mbps),
            None => {
                let level = |mcs| sensitivity(mcs, Hertz::from_mhz(20.0));
                Some(Db(of(&OFDM, 54.0)?.0 + level(mode.mcs)?.0 - level(6)?.0))
            }
        },
    }
}

fn milliwatts(dbm: f64) -> f64 {
    10_f64.powf(dbm / 10.0)
}

fn decibels(ratio: f64) -> f64 {
    10.0 * ratio.log10()
}

/// Centres of the 20 MHz parts of a channel [Hz]; the channel itself if it is no wider.
fn parts(radio: &Radio) -> impl Iterator<Item = f64> {
    let count = (radio.width.0 / 20e6 + 1e-6).floor().clamp(1.0, 16.0);
    let first = radio.centre.0 - 10e6 * (count - 1.0);
    (0..count as usize).map(move |i| first + 20e6 * i as f64)
}

/// Power of a sender in 20 MHz about a frequency, to its whole power [dB].
fn share_at(sender: &Radio, frequency: f64) -> f64 {
    let width = sender.width.0.max(20e6);
    let density = decibels(20e6 / width);
    let beyond = (frequency - sender.centre.0).abs() - 0.5 * width;
    let overlap = (0.5 - beyond / 20e6).clamp(0.0, 1.0);
    let inside = if overlap > 1e-9 { decibels(overlap) } else { f64::NEG_INFINITY };
    let leak = if beyond < 30e6 { LEAK_NEXT } else { LEAK_FAR };
    density + inside.max(leak)
}

fn sense(listener: &Radio, sender: &Radio, level: Dbm) -> Sense {
    let at = |frequency: f64| level.0 + share_at(sender, frequency);
    let aligned = |frequency: f64| parts(sender).any(|p| (p - frequency).abs() < 1e6);
    let primary = at(listener.primary.0);
    if primary >= ENERGY_DETECTION.0 {
        return Sense::Energy;
    }
    let found = |level: f64| level >= PREAMBLE_DETECTION.0 && level - listener.noise.0 >= PREAMBLE_MARGIN.0;
    if aligned(listener.primary.0) && found(primary) {
        return Sense::Preamble;
    }
    let secondary = parts(listener)
        .filter(|p| (p - listener.primary.0).abs() > 1e6)
        .any(|p| at(p) >= ENERGY_DETECTION.0 || (aligned(p) && at(p) >= SECONDARY_DETECTION.0));
    if secondary { Sense::Secondary } else { Sense::Nothing }
}

/// Least ratio of wanted to interfering power and noise over the 20 MHz parts of the wanted signal [dB].
fn ratio(receiver: &Radio, wanted: (&Radio, Dbm), other: (&Radio, Dbm)) -> f64 {
    parts(wanted.0)
        .map(|p| {
            let interference = milliwatts(other.1.0 + share_at(other.0, p)) + milliwatts(receiver.noise.0);
            wanted.1.0 + share_at(wanted.0, p) - decibels(interference)
        })
        .fold(f64::INFINITY, f64::min)
}

/// Who holds back for whom, and whose frames survive an overlap, from levels.
///
/// # Model
/// A listener holds back for a sender with [`ENERGY_DETECTION`] or a preamble at [`PREAMBLE_DETECTION`] in its primary 20 MHz; the power of a wider or shifted
/// channel is spread evenly over its width and leaks into neighbouring channels. A frame survives if wanted power over interference and noise is what it
/// needs in each 20 MHz of its width; and if it begins in the same slot as the other, if its preamble is 4 dB above; and if the other was first, if
/// the receiver could not hear that one. Of three frames at once, each other one is judged alone. A radio that sends receives nothing. Own frames need no level.
///
/// # Units
/// `levels[from][to]` [dBm]: whole power of a radio's signal at another.
///
/// # Errors
/// [`ContentionError::Hearing`]: no square of levels, an index beyond the radios, NaN, a width or centre that is not positive.
///
/// # References
/// IEEE 802.11-2020 clauses 17.3.9.3, 17.3.10.6, 19.3.19.5, 21.3.18.5.
pub fn hearing(radios: &[Radio], levels: &[Vec<Dbm>], senders: &[Speaker]) -> Result<Hearing, ContentionError> {
    let fail = |what| Err(ContentionError::Hearing(what));
    if levels.len() != radios.len() || levels.iter().any(|r| r.len() != radios.len()) {
        return fail("levels: one row and column a radio");
    }
    let tuned = |r: &Radio| {
        let positive = |h: Hertz| h.0.is_finite() && h.0 > 0.0;
        positive(r.centre) && positive(r.width) && positive(r.primary) && r.noise.0.is_finite()
    };
    if !radios.iter().all(tuned) {
        return fail("radios: centre, width and primary are positive, noise is a number");
    }
    if levels
        .iter()
        .enumerate()
        .any(|(i, row)| row.iter().enumerate().any(|(j, l)| i != j && (l.0.is_nan() || l.0 >= 100.0)))
    {
        return fail("levels: numbers below 100 dBm, or minus infinity");
    }
    let radio = |index: usize| radios.get(index);
    let level = |from: usize, to: usize| {
        levels.get(from).and_then(|row| row.get(to)).copied().unwrap_or(Dbm(f64::NEG_INFINITY))
    };
    let aware = |listener: usize, from: usize| match (radio(listener), radio(from)) {
        (Some(_), Some(_)) if listener == from => Sense::Energy,
        (Some(l), Some(s)) => sense(l, s, level(from, listener)),
        _ => Sense::Nothing,
    };
    for sender in senders {
        let numbers = sender.paths.iter().all(|p| radio(p.to).is_some() && p.first.is_finite() && p.data.is_finite());
        if radio(sender.radio).is_none() || !numbers {
            return fail("senders: radio and receivers are indices of radios, needs are numbers");
        }
    }
    let survival = |from: usize, path: &Path, other: usize| -> Survival {
        let (Some(receiver), Some(wanted), Some(interferer)) = (radio(path.to), radio(from), radio(other)) else {
            return Survival::LOST;
        };
        if other == path.to || other == from {
            return Survival::LOST;
        }
        let margin = ratio(receiver, (wanted, level(from, path.to)), (interferer, level(other, path.to)));
        let yes = |ok: bool| f64::from(u8::from(ok));
        let decoded = margin >= path.first.0;
        Survival {
            together: yes(decoded && margin >= PREAMBLE_MARGIN.0),
            later: yes(decoded),
            earlier: yes(decoded && margin >= PREAMBLE_MARGIN.0 && !aware(path.to, other).holds_back()),
            data: yes(margin >= path.data.0 || path.data == path.first),
        }
    };
    let senses = senders.iter().map(|l| senders.iter().map(|s| aware(l.radio, s.radio)).collect()).collect();
    let answers = senders
        .iter()
        .map(|l| senders.iter().map(|s| s.paths.iter().map(|p| aware(l.radio, p.to)).collect()).collect())
        .collect();
    let survives = senders
        .iter()
        .map(|s| s.paths.iter().map(|p| senders.iter().map(|o| survival(s.radio, p, o.radio)).collect()).collect())
        .collect();
    Ok(Hearing { senses, answers, survives, heard: bystanders(radios, senders, &level) })
}

/// Share of bystanders that make out one of two frames that begin at once, over all pairs of senders and third ones; absent for fewer than three, and not
/// counted beyond the first 64 senders.
fn bystanders(radios: &[Radio], senders: &[Speaker], level: &impl Fn(usize, usize) -> Dbm) -> Option<f64> {
    let few = senders.get(..senders.len().min(64))?;
    let (mut heard, mut all) = (0_u32, 0_u32);
    for (i, a) in few.iter().enumerate() {
        for (j, b) in few.iter().enumerate().skip(i + 1) {
            for (_, third) in few.iter().enumerate().filter(|(k, _)| *k != i && *k != j) {
                let Some(radio) = radios.get(third.radio) else { continue };
                let (one, other) = (level(a.radio, third.radio).0, level(b.radio, third.radio).0);
                let best = one.max(other);
                let rest = milliwatts(one.min(other)) + milliwatts(radio.noise.0);
                all += 1;
                heard += u32::from(best >= PREAMBLE_DETECTION.0 && best - decibels(rest) >= PREAMBLE_MARGIN.0);
            }
        }
    }
    if all > 0 { Some(f64::from(heard) / f64::from(all)) } else { None }
}

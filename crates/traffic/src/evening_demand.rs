//! Who does what at the sampled moments of an evening. What it takes of the network is not here.

use household::ActivityKind;

/// Moments of the busy hour that are looked at: one for each 7.5 minutes, about as long as the shortest session of a person.
pub(crate) const MOMENTS: usize = 8;
/// Time between them [s].
const STEP: f64 = 3600.0 / MOMENTS as f64;
/// Mean time of a camera's recording that something moving sets off [s]. Common practice, no source.
pub(crate) const RECORDING_SECONDS: f64 = 30.0;

/// Mean time that an activity goes on [s]. Common practice, no source.
pub(crate) const fn mean_seconds(kind: ActivityKind) -> f64 {
    match kind {
        ActivityKind::VideoCall | ActivityKind::Audio => 1800.0,
        ActivityKind::VoiceCall => 300.0,
        ActivityKind::Video | ActivityKind::Game => 2700.0,
        ActivityKind::Browsing | ActivityKind::Download | ActivityKind::Upload => 600.0,
        ActivityKind::RemoteWork => 3600.0,
        ActivityKind::Telemetry => 10.0,
    }
}

/// Seeded numbers: SplitMix64 (G. L. Steele, D. Lea, C. H. Flood, OOPSLA 2014).
#[derive(Clone, Debug)]
pub(crate) struct Random(u64);

impl Random {
    /// The numbers of one evening, whatever evenings were sampled before.
    pub fn of_evening(seed: u64, evening: u64) -> Self {
        let mut first = Self(seed);
        let mixed = first.next() ^ evening.wrapping_mul(0xd134_2543_de82_ef95);
        Self(Self(mixed).next())
    }

    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let z = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        let z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// Uniform in [0, 1).
    pub fn uniform(&mut self) -> f64 {
        (self.next() >> 11) as f64 / (1u64 << 53) as f64
    }

    /// Exponential with mean 1.
    fn exponential(&mut self) -> f64 {
        -(1.0 - self.uniform()).ln()
    }
}

/// A device that does something or not, by itself.
#[derive(Clone, Debug)]
struct Single {
    unit: usize,
    share: f64,
    /// Probability that nothing is drawn anew from one moment to the next.
    stays: f64,
}

/// A person, who does one of several things, or none.
#[derive(Clone, Debug, Default)]
struct Person {
    /// What they may do: unit, share of time, rate of ending [1/s].
    does: Vec<(usize, f64, f64)>,
    /// Rate of ending doing nothing [1/s].
    idle: f64,
    /// Chance of each when something new is begun, summed up; the rest is nothing.
    begins: Vec<f64>,
}

/// All that may run, and how it comes and goes.
///
/// # Model
/// What runs is held for an exponentially distributed time and is then drawn anew, so that at every moment each thing runs with its stated share.
/// A device by itself draws between running and not; a person between the things that hold the attention and none of them.
#[derive(Clone, Debug, Default)]
pub(crate) struct Demand {
    units: usize,
    singles: Vec<Single>,
    people: Vec<Person>,
}

impl Demand {
    /// With so many units.
    pub fn new(units: usize) -> Self {
        Self { units, ..Self::default() }
    }

    pub fn single(&mut self, unit: usize, share: f64, seconds: f64) {
        self.singles.push(Single { unit, share, stays: (-STEP / seconds).exp() });
    }

    /// A person with what they do: unit, share, mean time. Shares sum to 1 at most.
    pub fn person(&mut self, does: &[(usize, f64, f64)]) {
        let does: Vec<(usize, f64, f64)> = does.iter().map(|(unit, share, s)| (*unit, *share, 1.0 / s)).collect();
        let shares: f64 = does.iter().map(|d| d.1).sum();
        let ends: f64 = does.iter().map(|d| d.1 * d.2).sum();
        // Nothing lasts as long as the things do on average.
        let idle = if shares > 0.0 { ends / shares } else { 1.0 / STEP };
        let all = ends + (1.0 - shares).max(0.0) * idle;
        let mut sum = 0.0;
        let begins = does.iter().map(|(_, share, rate)| {
            sum += share * rate / all;
            sum
        });
        let begins = begins.collect();
        self.people.push(Person { does, idle, begins });
    }

    /// Calls `moment` with what runs at each moment of an evening.
    pub fn evening(&self, random: &mut Random, on: &mut Vec<bool>, mut moment: impl FnMut(&[bool])) {
        on.clear();
        on.resize(self.units, false);
        let set = |on: &mut Vec<bool>, unit: usize, value: bool| {
            if let Some(slot) = on.get_mut(unit) {
                *slot = value;
            }
        };
        for single in &self.singles {
            let runs = random.uniform() < single.share;
            set(on, single.unit, runs);
        }
        // For each person what is done, and until when.
        let mut doing: Vec<(Option<usize>, f64)> = Vec::with_capacity(self.people.len());
        for person in &self.people {
            let mut left = random.uniform();
            let first = person.does.iter().position(|(_, share, _)| {
                left -= share;
                left < 0.0
            });
            let until = random.exponential() / person.rate(first);
            doing.push((first, until));
        }
        for step in 0..MOMENTS {
            let now = step as f64 * STEP;
            if step > 0 {
                for single in &self.singles {
                    let (drawn, runs) = (random.uniform() >= single.stays, random.uniform() < single.share);
                    if drawn {
                        set(on, single.unit, runs);
                    }
                }
            }
            for (person, (does, until)) in self.people.iter().zip(&mut doing) {
                if let Some((unit, ..)) = does.and_then(|d| person.does.get(d)) {
                    set(on, *unit, false);
                }
                while *until < now {
                    let next = random.uniform();
                    *does = person.begins.iter().position(|sum| next < *sum);
                    *until += random.exponential() / person.rate(*does);
                }
                if let Some((unit, ..)) = does.and_then(|d| person.does.get(d)) {
                    set(on, *unit, true);
                }
            }
            moment(on);
        }
    }
}

impl Person {
    fn rate(&self, does: Option<usize>) -> f64 {
        does.and_then(|d| self.does.get(d)).map_or(self.idle, |d| d.2)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Shares of moments in which each unit runs, and in which more than one of the first `person` do.
    fn shares(demand: &Demand, person: usize) -> (Vec<f64>, f64) {
        let mut counts = vec![0.0; demand.units];
        let (mut both, mut total) = (0.0, 0.0);
        let mut on = Vec::new();
        for evening in 0..20_000 {
            demand.evening(&mut Random::of_evening(7, evening), &mut on, |on| {
                total += 1.0;
                for (count, on) in counts.iter_mut().zip(on) {
                    *count += f64::from(u8::from(*on));
                }
                both += f64::from(u8::from(on.iter().take(person).filter(|o| **o).count() > 1));
            });
        }
        (counts.iter().map(|c| c / total).collect(), both / total)
    }

    /// At every moment the stated share runs, whatever the times; three standard errors of 20,000 independent evenings are 0.011.
    #[test]
    fn each_thing_runs_its_share() {
        let mut demand = Demand::new(5);
        demand.person(&[(0, 0.3, 1800.0), (1, 0.2, 300.0), (2, 0.4, 3600.0)]);
        demand.single(3, 0.15, 600.0);
        demand.single(4, 1.0, 30.0);
        let (shares, both) = shares(&demand, 3);
        for (share, expected) in shares.iter().zip([0.3, 0.2, 0.4, 0.15, 1.0]) {
            assert!((share - expected).abs() < 0.011, "{share} is not {expected}");
        }
        assert_eq!(both, 0.0, "one person does one thing at a time");
    }

    /// A session goes on: drawn at rate 1/T and begun again with its share, the chance that it still runs after a step is `e + (1 - e) p`.
    #[test]
    fn sessions_last() {
        let mut demand = Demand::new(1);
        demand.single(0, 0.2, 600.0);
        let (mut pairs, mut kept, mut on) = (0.0, 0.0, Vec::new());
        for evening in 0..20_000 {
            let mut before = false;
            demand.evening(&mut Random::of_evening(1, evening), &mut on, |on| {
                if before {
                    pairs += 1.0;
                    kept += f64::from(u8::from(on[0]));
                }
                before = on[0];
            });
        }
        let e = (-450.0f64 / 600.0).exp();
        assert!((kept / pairs - (e + (1.0 - e) * 0.2)).abs() < 0.011, "{}", kept / pairs);
    }
}

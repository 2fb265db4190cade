//! One round of contention: from the end of a busy period to the next transmission. It does not know what comes before or after.

/// Two transmissions that start within this time cannot hear each other in time [s]: below the least propagation and detection delays of any PHY
/// (aCCATime of IEEE 802.11-2020 is some microseconds), above the rounding of times.
const SAME_INSTANT: f64 = 0.1e-6;
/// A round is followed until its chance of being still idle is below this.
const SURVIVAL: f64 = 1e-11;
/// Most instants that a round is followed.
const INSTANTS: usize = 50_000;

/// Stations of one kind in the same position.
#[derive(Clone, Debug)]
pub(super) struct Group<'a> {
    pub kind: usize,
    /// How many; a mean, so that it need not be whole.
    pub size: f64,
    /// From the end of the busy period to the first slot boundary [s].
    pub start: f64,
    /// Chance to transmit at each slot boundary from the start, given silence so far; one beyond the end.
    pub hazards: &'a [f64],
    /// True if its backoff was drawn at the end of the last busy period, false if it counts on.
    pub fresh: bool,
    /// True if that was after a failure.
    pub lost: bool,
    /// Share of its transmissions that are block ack requests.
    pub recovery: f64,
}

/// Lengths on the air of what each kind sends first, as shares by the index of distinct lengths (ascending).
#[derive(Clone, Debug)]
pub(super) struct Lengths {
    /// Share of data exchanges no longer than each length, by kind.
    pub data: Vec<Vec<f64>>,
    /// The same for block ack requests.
    pub recovery: Vec<Vec<f64>>,
    /// Number of distinct lengths.
    pub count: usize,
}

impl Lengths {
    /// Share of a group's transmissions that are no longer than a length.
    fn up_to(&self, group: &Group, length: usize) -> f64 {
        let at = |table: &[Vec<f64>]| table.get(group.kind).and_then(|t| t.get(length)).copied().unwrap_or(1.0);
        (1.0 - group.recovery) * at(&self.data) + group.recovery * at(&self.recovery)
    }
}

/// What a group did in the round, as expected numbers.
#[derive(Clone, Debug, Default)]
pub(super) struct Deeds {
    pub attempts: f64,
    /// With those that others' frames overlapped in vain.
    pub successes: f64,
    /// Chance that the round ends with its success; of several at once, each has its part.
    pub ends: f64,
    /// By group, expected others that were on the air in those ends: (with success, in vain).
    pub beside: Vec<(f64, f64)>,
    /// Chance that the others have been silent up to before each own slot boundary.
    pub silent: Vec<f64>,
}

/// A group's members at one instant: so many for certain and one more with a chance, each transmitting with a chance.
#[derive(Clone, Copy)]
struct Members {
    whole: f64,
    /// Chance that one more is there.
    part: f64,
    /// Chance of each to transmit.
    chance: f64,
}

impl Members {
    /// Chance that none of them transmits a frame of which a share counts.
    fn silent(&self, share: f64) -> f64 {
        let h = self.chance * share;
        (1.0 - h).powf(self.whole) * (1.0 - self.part * h)
    }

    /// Expected transmissions of frames that count, given none of those with the `barred` share, for each unit of the chance of that.
    fn odds(&self, share: f64, barred: f64) -> f64 {
        let h = self.chance * share;
        let b = self.chance * barred;
        self.whole * h / (1.0 - b) + self.part * h / (1.0 - self.part * b)
    }
}

/// How a round ends, as probabilities and expected numbers.
#[derive(Clone, Debug)]
pub(super) struct Outcome {
    pub deeds: Vec<Deeds>,
    /// Chance that it ends in a collision whose longest frame has each length.
    pub collision: Vec<f64>,
    /// Expected participants by group, for each such length: (all, those whose frame is the longest).
    pub participants: Vec<Vec<(f64, f64)>>,
    /// Expected time from its beginning to the transmission [s].
    pub idle: f64,
}

/// Follows a round instant by instant.
///
/// At each instant the groups whose slot boundaries fall on it may transmit: nobody (the round goes on), one station (success) or several (collision).
///
/// `overlaps`: what survives others in the same slot; nothing if empty.
pub(super) fn follow(groups: &[Group], lengths: &Lengths, slot: f64, overlaps: &[Vec<Overlap>]) -> Outcome {
    let beside = if overlaps.is_empty() { Vec::new() } else { vec![(0.0, 0.0); groups.len()] };
    let mut out = Outcome {
        deeds: vec![Deeds { beside, ..Deeds::default() }; groups.len()],
        collision: vec![0.0; lengths.count],
        participants: vec![vec![(0.0, 0.0); groups.len()]; lengths.count],
        idle: 0.0,
    };
    let shares: Vec<Vec<f64>> =
        groups.iter().map(|g| (0..lengths.count).map(|l| lengths.up_to(g, l)).collect()).collect();
    let mut index: Vec<usize> = vec![0; groups.len()];
    // Chance that all others than one member of the group have been silent so far.
    let mut others = vec![1.0; groups.len()];
    let mut survival = 1.0;
    // Chance that the member of a broken number is there: falls with each slot in which it would have transmitted.
    let mut parts: Vec<f64> = groups.iter().map(|g| g.size.fract()).collect();
    let mut here: Vec<(usize, Members)> = Vec::with_capacity(groups.len());
    for _ in 0..INSTANTS {
        let time = |g: usize, index: &[usize]| match (groups.get(g), index.get(g)) {
            (Some(group), Some(k)) if group.size > 0.0 => group.start + slot * *k as f64,
            _ => f64::INFINITY,
        };
        let now = (0..groups.len()).map(|g| time(g, &index)).fold(f64::INFINITY, f64::min);
        if !now.is_finite() {
            break;
        }
        here.clear();
        for (g, group) in groups.iter().enumerate() {
            if time(g, &index) > now + SAME_INSTANT {
                continue;
            }
            out.deeds[g].silent.push(others[g]);
            let chance = group.hazards.get(index[g]).copied().unwrap_or(1.0);
            let chance = chance.clamp(0.0, 1.0 - 1e-12);
            here.push((g, Members { whole: group.size.floor(), part: parts[g], chance }));
            index[g] += 1;
        }
        let quiet: f64 = here.iter().map(|(_, m)| m.silent(1.0)).product();
        let without = (!overlaps.is_empty()).then(|| (out.collision.clone(), out.participants.clone()));
        let mut alone = vec![0.0; lengths.count];
        for &(g, members) in &here {
            let success = survival * quiet * members.odds(1.0, 1.0);
            out.deeds[g].attempts += survival * (members.whole + members.part) * members.chance;
            out.deeds[g].successes += success;
            out.deeds[g].ends += success;
            let mut below = 0.0;
            for (l, lone) in alone.iter_mut().enumerate() {
                let exact = shares[g][l] - below;
                below = shares[g][l];
                *lone += success * exact;
                out.participants[l][g].0 -= success * exact;
                out.participants[l][g].1 -= success * exact;
            }
        }
        out.idle += survival * (1.0 - quiet) * now;
        // No frame longer than each length, and by differences: the longest frame is exactly that long.
        let mut before = survival * quiet;
        let mut before_each: Vec<f64> = vec![0.0; here.len()];
        for l in 0..lengths.count {
            let none_longer: f64 = survival * here.iter().map(|(g, m)| m.silent(1.0 - shares[*g][l])).product::<f64>();
            out.collision[l] += (none_longer - before - alone[l]).max(0.0);
            before = none_longer;
            for (&(g, members), earlier) in here.iter().zip(&mut before_each) {
                let share = shares[g][l];
                let below = if l == 0 { 0.0 } else { shares[g][l - 1] };
                let scale = members.odds(1.0, 1.0 - share) * none_longer;
                let all = scale * share;
                out.participants[l][g].0 += all - *earlier;
                out.participants[l][g].1 += scale * (share - below);
                *earlier = all;
            }
        }
        if let Some((collision, participants)) = without {
            let before: f64 = collision.iter().sum();
            let collided = out.collision.iter().sum::<f64>() - before;
            let survived = captured(groups, &here, survival, quiet, overlaps, &mut out.deeds);
            let kept = if collided > 0.0 { (1.0 - survived / collided).clamp(0.0, 1.0) } else { 0.0 };
            for (now, old) in out.collision.iter_mut().zip(&collision) {
                *now = old + kept * (*now - old);
            }
            for (now, old) in out.participants.iter_mut().flatten().zip(participants.iter().flatten()) {
                *now = (old.0 + kept * (now.0 - old.0), old.1 + kept * (now.1 - old.1));
            }
        }
        for (g, other) in others.iter_mut().enumerate() {
            // Without the member that looks on: one of the whole ones, or the one that may be there.
            let own = here
                .iter()
                .find(|(h, _)| *h == g)
                .map_or(1.0, |(_, m)| if m.whole >= 1.0 { 1.0 - m.chance } else { 1.0 - m.part * m.chance });
            *other *= (quiet / own).min(1.0);
        }
        for &(g, m) in &here {
            parts[g] = m.part * (1.0 - m.chance) / (1.0 - m.part * m.chance);
        }
        survival *= quiet;
        if survival < SURVIVAL {
            break;
        }
    }
    out
}

/// What becomes of a frame if one of another kind begins in the same slot, as means over pairs of stations.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Overlap {
    /// Chance that it arrives.
    pub one: f64,
    /// Chance that both arrive.
    pub both: f64,
}

/// Adds what arrives at one instant although others begin with it; returns the chance that the round ends so.
///
/// A frame arrives if it survives each of the others, taken one by one. Of two that both arrive, each has half of the end.
fn captured(
    groups: &[Group],
    here: &[(usize, Members)],
    survival: f64,
    quiet: f64,
    overlaps: &[Vec<Overlap>],
    deeds: &mut [Deeds],
) -> f64 {
    let overlap = |g: usize, o: usize| {
        let kind = |i: usize| groups.get(i).map_or(usize::MAX, |group| group.kind);
        overlaps.get(kind(g)).and_then(|row| row.get(kind(o))).copied().unwrap_or_default()
    };
    let mut total = 0.0;
    for &(g, members) in here {
        let thinned: f64 = here.iter().map(|&(o, m)| m.silent(1.0 - overlap(g, o).one)).product();
        let arrives = survival * thinned * members.odds(1.0, 1.0 - overlap(g, g).one);
        let extra = (arrives - survival * quiet * members.odds(1.0, 1.0)).max(0.0);
        // Expected others that transmit.
        let others = |o: usize, m: &Members| (m.whole + m.part - if o == g { 1.0 } else { 0.0 }).max(0.0) * m.chance;
        let all: f64 = here.iter().map(|(o, m)| others(*o, m) * overlap(g, *o).one).sum();
        let (true, Some(deed)) = (extra > 0.0 && all > 0.0, deeds.get_mut(g)) else { continue };
        let both: f64 = here.iter().map(|(o, m)| others(*o, m) * overlap(g, *o).both).sum::<f64>() / all;
        deed.successes += extra;
        deed.ends += extra * (1.0 - 0.5 * both);
        total += extra * (1.0 - 0.5 * both);
        for (o, m) in here {
            let Overlap { one, both } = overlap(g, *o);
            let part = extra * others(*o, m) / all;
            if let Some(beside) = deed.beside.get_mut(*o) {
                beside.0 += 0.5 * part * both;
                beside.1 += part * (one - both).max(0.0);
            }
        }
    }
    total
}

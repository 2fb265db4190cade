//! Which spools the cables are cut from. A cable has no splice, so each is cut from one spool.

use std::cmp::Reverse;
use std::collections::{BTreeSet, BinaryHeap};

use findings::Id;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use units::Metres;

/// A spool and what is cut from it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Spool {
    /// Cable on it when it is new.
    pub length: Metres,
    /// Links whose cables are cut from it, longest first.
    pub links: Vec<Id>,
    /// What is left on it.
    pub left: Metres,
}

/// Spools of one kind of cable.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Spools {
    /// The equipment part that the cable is.
    pub cable: Id,
    /// Most cables of this kind that are pulled together, each from a spool of its own.
    pub open: u32,
    /// Spools, longest first.
    pub spools: Vec<Spool>,
    /// Cable cut from them.
    pub cut: Metres,
    /// Cable on all of them together when they are new.
    pub bought: Metres,
    /// What is left on all of them together.
    pub left: Metres,
    /// No choice of spools holds the cables with less than this on them; equal to `bought` where that is proved least.
    pub bound: Metres,
}

/// Why cables cannot be cut from spools.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum NotCut {
    /// A cable is longer than any spool.
    #[error("a spool of `{cable}` with at least {metres} m for cable `{link}`")]
    TooLong {
        /// The kind of cable.
        cable: Id,
        /// The longest cable.
        link: Id,
        /// Its length in whole metres, rounded up.
        metres: u64,
    },
    /// A length is not a number of metres that cable can have.
    #[error("a believable length of cable `{0}`")]
    Length(Id),
}

/// Choices of spools that are looked at, in order of what is on them; more than any home needs.
const MOST_CHOICES: usize = 20_000;
/// Steps of the search piece by piece for one choice of spools.
const MOST_STEPS: u64 = 5_000;
/// Steps of one round of the search spool by spool for one choice of spools.
const MOST_COMPLETIONS: u64 = 100_000;
/// Steps over all choices.
const MOST_STEPS_IN_ALL: u64 = 1_000_000;
/// Most pieces that are searched spool by spool; a home has fewer.
const MOST_PIECES: usize = 200;
/// Longest piece or spool that is believed [cm]; 1000 of them still add up without overflow.
const LONGEST: f64 = 1e8;

/// The spools that hold the cables with the least cable bought, then the fewest spools.
///
/// # Model
/// Bin packing with bins of several sizes. Choices of spools are taken by rising length in all, then by their number;
/// the first into which the cables fit, with at least `open` spools in use, is the best. Whether they fit is found by
/// branch and bound: piece by piece, longest first, onto each spool with another rest, then spool by spool, each filled
/// with the longest piece left and every set of others that leaves no more on it than is to spare in all. Lengths are
/// whole centimetres, rounded up for cables and down for spools.
///
/// # Validity
/// Exact where the search ends within its steps, as it nearly always does at the size of homes; otherwise `bound` stays
/// below `bought`.
///
/// # Errors
/// [`NotCut`] if a cable is longer than every spool, or a length cannot be.
pub fn spools(cable: &Id, pieces: &[(Id, Metres)], sizes: &[Metres], open: u32) -> Result<Spools, NotCut> {
    let mut cut: Vec<(u64, &Id)> = Vec::with_capacity(pieces.len());
    for (link, length) in pieces {
        // A micrometre forgives that 15 × 1.1 is a little above 16.5.
        let cm = (length.value() * 100.0 - 1e-4).ceil();
        if !(cm > 0.0 && cm <= LONGEST) {
            return Err(NotCut::Length(link.clone()));
        }
        cut.push((cm as u64, link));
    }
    // The longest first; by link where they are equal, so that the answer does not depend on the order given.
    cut.sort_by(|a, b| b.0.cmp(&a.0).then_with(|| a.1.cmp(b.1)));
    let sizes: BTreeSet<u64> = sizes
        .iter()
        .map(|s| (s.value() * 100.0 + 1e-4).floor())
        .filter(|cm| *cm >= 1.0 && *cm <= LONGEST)
        .map(|cm| cm as u64)
        .collect();
    let sizes: Vec<u64> = sizes.into_iter().collect();
    let longest = sizes.last().copied().unwrap_or(0);
    if let Some((cm, link)) = cut.first().filter(|(cm, _)| *cm > longest) {
        return Err(NotCut::TooLong { cable: cable.clone(), link: (*link).clone(), metres: cm.div_ceil(100) });
    }
    let lengths: Vec<u64> = cut.iter().map(|c| c.0).collect();
    let open = (open.max(1) as usize).min(lengths.len());
    let found = search(&lengths, &sizes, open);
    let metres = |cm: u64| Metres(cm as f64 / 100.0);
    let total: u64 = lengths.iter().sum();
    let bought: u64 = found.bins.iter().map(|b| b.size).sum();
    let mut spools: Vec<Spool> = found
        .bins
        .iter()
        .map(|bin| Spool {
            length: metres(bin.size),
            links: bin.pieces.iter().filter_map(|&i| cut.get(i)).map(|c| c.1.clone()).collect(),
            left: metres(bin.left),
        })
        .collect();
    spools.sort_by(|a, b| b.length.value().total_cmp(&a.length.value()).then_with(|| a.links.cmp(&b.links)));
    Ok(Spools {
        cable: cable.clone(),
        open: u32::try_from(open).unwrap_or(u32::MAX),
        spools,
        cut: metres(total),
        bought: metres(bought),
        left: metres(bought - total),
        bound: metres(found.bound),
    })
}

/// A spool while it is filled.
#[derive(Clone, Debug)]
struct Bin {
    size: u64,
    left: u64,
    pieces: Vec<usize>,
}

impl Bin {
    fn new(size: u64) -> Self {
        Self { size, left: size, pieces: Vec::new() }
    }
}

struct Found {
    bins: Vec<Bin>,
    bound: u64,
}

/// A choice of spools in the queue: its length in all, its number, how many of each size, and the last size added.
type Choice = (u64, usize, Vec<u32>, usize);

fn search(pieces: &[u64], sizes: &[u64], open: usize) -> Found {
    let total: u64 = pieces.iter().sum();
    let simple = simple(pieces, sizes, open);
    let simple_total: u64 = simple.iter().map(|b| b.size).sum();
    let mut queue: BinaryHeap<Reverse<Choice>> = BinaryHeap::new();
    queue.push(Reverse((0, 0, vec![0; sizes.len()], 0)));
    let (mut choices, mut steps) = (0, 0);
    // The first choice that could not be ruled out: nothing below it holds the cables.
    let mut bound = None;
    while let Some(Reverse((length, number, counts, last))) = queue.pop() {
        if length > simple_total || (length == simple_total && number >= simple.len()) {
            break;
        }
        choices += 1;
        if choices > MOST_CHOICES || steps > MOST_STEPS_IN_ALL {
            return Found { bins: simple, bound: bound.unwrap_or(length.max(total)) };
        }
        if length >= total && number >= open && number <= pieces.len() {
            let bins: Vec<Bin> = sizes
                .iter()
                .zip(&counts)
                .flat_map(|(size, count)| std::iter::repeat_n(Bin::new(*size), *count as usize))
                .collect();
            if large_fit(pieces, &bins) {
                match fit(pieces, bins, length - total, &mut steps) {
                    Ok(Some(bins)) => return Found { bound: bound.unwrap_or(length), bins },
                    Ok(None) => {}
                    Err(Unknown) => bound = bound.or(Some(length)),
                }
            }
        }
        for (i, size) in sizes.iter().enumerate().skip(last) {
            let mut more = counts.clone();
            if let Some(count) = more.get_mut(i) {
                *count += 1;
            }
            queue.push(Reverse((length + size, number + 1, more, i)));
        }
    }
    Found { bound: bound.unwrap_or(simple_total), bins: simple }
}

/// Best fit, longest piece first; a new spool is the shortest that takes the piece, or the longest; the better of both.
fn simple(pieces: &[u64], sizes: &[u64], open: usize) -> Vec<Bin> {
    let fill = |long: bool| {
        let mut bins: Vec<Bin> = Vec::new();
        for (i, piece) in pieces.iter().enumerate() {
            // Enough spools must come into use while there are pieces for them.
            let must_open = bins.len() < open && pieces.len() - i <= open - bins.len();
            let best = bins.iter_mut().filter(|b| b.left >= *piece && !must_open).min_by_key(|b| b.left);
            if let Some(bin) = best {
                bin.left -= piece;
                bin.pieces.push(i);
                continue;
            }
            let new = if long { sizes.last() } else { sizes.iter().find(|s| *s >= piece) };
            let mut bin = Bin::new(new.copied().unwrap_or(*piece).max(*piece));
            bin.left -= piece;
            bin.pieces.push(i);
            bins.push(bin);
        }
        // What is cut from a spool may fit on a shorter one.
        for bin in &mut bins {
            let cut = bin.size - bin.left;
            if let Some(size) = sizes.iter().find(|s| **s >= cut) {
                (bin.size, bin.left) = (*size, size - cut);
            }
        }
        bins
    };
    let key = |bins: &[Bin]| (bins.iter().map(|b| b.size).sum::<u64>(), bins.len());
    let (short, long) = (fill(false), fill(true));
    if key(&long) < key(&short) { long } else { short }
}

/// True unless the pieces too long for the shorter spools are already too much for the longer ones, in length or number.
fn large_fit(pieces: &[u64], bins: &[Bin]) -> bool {
    bins.iter().all(|shorter| {
        let (mut needed, mut halves) = (0, 0);
        for piece in pieces.iter().filter(|p| **p > shorter.size) {
            needed += piece;
            halves += 1;
        }
        let longer = bins.iter().filter(|b| b.size > shorter.size);
        // Each longer spool takes at most so many of the pieces that do not fit the shorter one.
        let (mut room, mut places) = (0, 0);
        for bin in longer {
            room += bin.size;
            places += bin.size / (shorter.size + 1);
        }
        needed <= room && halves <= places
    })
}

/// The search gave up.
struct Unknown;

#[derive(Clone, Copy, PartialEq, Eq)]
enum Fits {
    Yes,
    No,
    Unknown,
}

/// The pieces in given spools, if they fit: piece by piece, which soon finds a dealing where there are many, then spool
/// by spool, which soon proves that there is none where little is to spare.
fn fit(pieces: &[u64], bins: Vec<Bin>, spare: u64, steps: &mut u64) -> Result<Option<Vec<Bin>>, Unknown> {
    let mut fill = Fill { pieces, bins, steps: 0 };
    let found = fill.place(0, spare);
    *steps += fill.steps;
    match found {
        Fits::Yes => return Ok(Some(fill.bins)),
        Fits::No => return Ok(None),
        Fits::Unknown if pieces.len() > MOST_PIECES => return Err(Unknown),
        Fits::Unknown => {}
    }
    // Spools that are all about equally full are looked for first; the last round leaves nothing out.
    let fair = spare / (fill.bins.len() as u64).max(1);
    for most_left in [fair.saturating_mul(2).min(spare), fair.saturating_mul(6).min(spare), spare] {
        let mut complete = Complete {
            pieces,
            placed: vec![false; pieces.len()],
            empty: fill.bins.iter().map(|b| Bin::new(b.size)).collect(),
            full: Vec::new(),
            most_left,
            steps: 0,
        };
        let found = complete.next(spare);
        *steps += complete.steps;
        match found {
            Fits::Yes => return Ok(Some(complete.full)),
            Fits::No if most_left == spare => return Ok(None),
            Fits::No | Fits::Unknown => {}
        }
    }
    Err(Unknown)
}

/// The search piece by piece: the longest left goes on each spool with another rest.
struct Fill<'a> {
    pieces: &'a [u64],
    bins: Vec<Bin>,
    steps: u64,
}

impl Fill<'_> {
    /// Places the pieces from one on; `spare` is what may be left on all spools together.
    fn place(&mut self, from: usize, spare: u64) -> Fits {
        let Some(&piece) = self.pieces.get(from) else { return Fits::Yes };
        self.steps += 1;
        if self.steps > MOST_STEPS {
            return Fits::Unknown;
        }
        let left = self.pieces.len() - from;
        let empty = self.bins.iter().filter(|b| b.pieces.is_empty()).count();
        let shortest = self.pieces.last().copied().unwrap_or(0);
        let lost: u64 = self.bins.iter().map(|b| b.left).filter(|rest| *rest < shortest).sum();
        if empty > left || lost > spare {
            return Fits::No;
        }
        // Spools with the least rest first: best fit; those with the same rest are alike.
        let mut order: Vec<usize> = (0..self.bins.len()).collect();
        order.sort_by_key(|&i| self.bins.get(i).map(|b| (b.left, b.pieces.is_empty())));
        let mut tried = None;
        let mut unknown = false;
        for i in order {
            let Some(bin) = self.bins.get_mut(i) else { continue };
            let kind = (bin.left, bin.pieces.is_empty());
            if bin.left < piece || tried == Some(kind) || (!kind.1 && empty == left) {
                continue;
            }
            tried = Some(kind);
            bin.left -= piece;
            bin.pieces.push(from);
            match self.place(from + 1, spare) {
                Fits::Yes => return Fits::Yes,
                Fits::No => {}
                Fits::Unknown => unknown = true,
            }
            if let Some(bin) = self.bins.get_mut(i) {
                bin.left += piece;
                bin.pieces.pop();
            }
            if unknown {
                return Fits::Unknown;
            }
        }
        Fits::No
    }
}

/// The search spool by spool: each takes the longest piece left and a set of others, the fullest first.
struct Complete<'a> {
    pieces: &'a [u64],
    placed: Vec<bool>,
    empty: Vec<Bin>,
    full: Vec<Bin>,
    /// What may be left on one spool.
    most_left: u64,
    steps: u64,
}

impl Complete<'_> {
    /// Fills the spools that are still empty; `spare` is what may be left on all of them together.
    fn next(&mut self, spare: u64) -> Fits {
        let Some(first) = self.placed.iter().position(|placed| !placed) else {
            return if self.empty.is_empty() { Fits::Yes } else { Fits::No };
        };
        let piece = self.pieces.get(first).copied().unwrap_or(0);
        let mut tried = None;
        for i in 0..self.empty.len() {
            // Spools of one size stand together.
            let Some(size) = self.empty.get(i).map(|b| b.size).filter(|s| *s >= piece && tried != Some(*s)) else {
                continue;
            };
            tried = Some(size);
            let mut bin = self.empty.remove(i);
            bin.left -= piece;
            bin.pieces.push(first);
            self.mark(first, true);
            let left = (first + 1..self.pieces.len()).filter(|&p| !self.is_placed(p)).map(|p| self.length(p)).sum();
            let found = self.fill(first + 1, &mut bin, left, spare);
            if found != Fits::No {
                return found;
            }
            self.mark(first, false);
            self.empty.insert(i, Bin::new(size));
        }
        Fits::No
    }

    /// Chooses more pieces for a spool, from one on; `left` is what those together are long.
    fn fill(&mut self, from: usize, bin: &mut Bin, left: u64, spare: u64) -> Fits {
        self.steps += 1;
        if self.steps > MOST_COMPLETIONS {
            return Fits::Unknown;
        }
        if bin.left > spare.min(self.most_left).saturating_add(left) {
            return Fits::No;
        }
        let Some(piece) = (from..self.pieces.len()).find(|&p| !self.is_placed(p)) else {
            return self.close(bin, spare);
        };
        let length = self.length(piece);
        if length <= bin.left {
            bin.left -= length;
            bin.pieces.push(piece);
            self.mark(piece, true);
            let found = self.fill(piece + 1, bin, left - length, spare);
            if found != Fits::No {
                return found;
            }
            self.mark(piece, false);
            bin.pieces.pop();
            bin.left += length;
        }
        // Without it: nor any other of its length, for they are alike.
        let (mut next, mut rest) = (piece, left);
        while next < self.pieces.len() && self.length(next) == length {
            if !self.is_placed(next) {
                rest -= length;
            }
            next += 1;
        }
        self.fill(next, bin, rest, spare)
    }

    /// Leaves a spool as it is and goes on to the next.
    fn close(&mut self, bin: &Bin, spare: u64) -> Fits {
        if bin.left > spare.min(self.most_left) {
            return Fits::No;
        }
        self.full.push(bin.clone());
        let found = self.next(spare - bin.left);
        if found == Fits::No {
            self.full.pop();
        }
        found
    }

    fn length(&self, piece: usize) -> u64 {
        self.pieces.get(piece).copied().unwrap_or(0)
    }

    fn is_placed(&self, piece: usize) -> bool {
        self.placed.get(piece).copied().unwrap_or(true)
    }

    fn mark(&mut self, piece: usize, placed: bool) {
        if let Some(mark) = self.placed.get_mut(piece) {
            *mark = placed;
        }
    }
}

//! Which access point a device joins: rules by hand, the chance of staying on a worse one against drawn levels, and order.

use findings::Id;
use proptest::prelude::*;
use radio_profile::Band;
use units::{Db, Dbm};
use wlan::{BasicRate, Candidate, Habits, associate, check_stuck, stuck_chance};

fn id(text: &str) -> Id {
    text.parse().unwrap()
}

fn candidate(ap: &str, band: Band, level: f64) -> Candidate {
    Candidate { ap: id(ap), band, level: Dbm(level), basic_rate: None }
}

/// One level for each access point, all in 5 GHz.
fn levels(levels: &[f64]) -> Vec<Candidate> {
    levels.iter().enumerate().map(|(i, l)| candidate(&format!("ap-{i}"), Band::Ghz5, *l)).collect()
}

const SIGMA: Db = Db(4.0);

#[test]
fn a_device_prefers_a_good_level_in_a_higher_band() {
    let habits = Habits::default();
    let at = |level: f64| {
        let both = [candidate("ap-0", Band::Ghz2, -56.0), candidate("ap-0", Band::Ghz5, level)];
        associate(&both, None, &habits, SIGMA).unwrap().band
    };
    assert_eq!(at(-64.0), Band::Ghz5);
    assert_eq!(at(-72.0), Band::Ghz2);
}

#[test]
fn a_device_stays_until_its_level_is_poor_and_another_much_better() {
    let on = |present: f64, other: f64| {
        let joined = associate(&levels(&[present, other]), Some(&id("ap-0")), &Habits::default(), SIGMA).unwrap();
        (joined.ap == id("ap-0"), joined.is_stuck)
    };
    // Above the roaming level it stays even beside a far better one.
    assert_eq!(on(-69.0, -45.0), (true, true));
    // Below it, and the other has the bonus of a good level.
    assert_eq!(on(-72.0, -60.0), (false, false));
    // Below it, and the other is no 8 dB better.
    assert_eq!(on(-78.0, -71.0), (true, true));
    assert_eq!(on(-60.0, -70.5), (true, false));
    // What it cannot hear any more it leaves.
    assert_eq!(on(-90.0, -75.0), (false, false));
}

#[test]
fn margin_and_next_are_by_access_point() {
    let all = [
        candidate("ap-0", Band::Ghz5, -60.0),
        candidate("ap-0", Band::Ghz2, -50.0),
        candidate("ap-1", Band::Ghz5, -66.0),
    ];
    let joined = associate(&all, None, &Habits::default(), SIGMA).unwrap();
    assert_eq!((joined.ap, joined.band, joined.next), (id("ap-0"), Band::Ghz5, Some((id("ap-1"), Band::Ghz5))));
    assert!((joined.margin.unwrap().0 - 6.0).abs() < 1e-9);
    assert!(joined.stuck > 0.5, "coming from the other at -66 dBm it stays there: {}", joined.stuck);
}

#[test]
fn a_minimum_rate_shuts_out_who_is_far() {
    let mut far = candidate("ap-0", Band::Ghz5, -77.0);
    assert!(associate(&[far.clone()], None, &Habits::default(), SIGMA).is_some());
    // 24 Mbit/s needs -74 dBm.
    far.basic_rate = Some(BasicRate::new(24.0, Band::Ghz5).unwrap());
    assert_eq!(associate(&[far], None, &Habits::default(), SIGMA), None);
}

#[test]
fn a_sticky_device_is_found_with_what_a_minimum_rate_does() {
    let device = id("phone");
    let check = |near: f64, far: f64| check_stuck(&device, &levels(&[near, far]), &Habits::default(), SIGMA);
    // The far one is above the roaming level: the device never looks.
    let finding = check(-50.0, -64.0).unwrap();
    assert_eq!((finding.rule.as_str(), finding.subjects[1].as_str()), ("wlan.may-stick", "ap-1"));
    assert!(finding.measured.unwrap().value > 80.0);
    // A minimum rate does nothing about that.
    assert_eq!(finding.remedies.len(), 1, "{:?}", finding.remedies);
    // Nothing to find where the other is as good, where it is left behind, or where there is none.
    assert_eq!(check(-62.0, -64.0), None);
    assert_eq!(check(-50.0, -78.0), None);
    assert_eq!(check(-50.0, -90.0), None);
    // A device that holds out for 20 dB is helped by 24 Mbit/s, which ends at -74 dBm.
    let habits = Habits { better_by: Db(20.0), ..Habits::default() };
    let all: Vec<Candidate> = levels(&[-71.0, -77.0]);
    let finding = check_stuck(&device, &all, &habits, SIGMA).unwrap();
    assert!(finding.remedies[0].text.contains("Mbit/s"), "{:?}", finding.remedies);
}

#[test]
fn bad_levels_are_no_candidates() {
    let habits = Habits::default();
    assert_eq!(associate(&[], None, &habits, SIGMA), None);
    assert_eq!(associate(&levels(&[f64::NAN, f64::NEG_INFINITY]), Some(&id("ap-0")), &habits, SIGMA), None);
    let joined = associate(&levels(&[f64::NAN, -60.0]), Some(&id("ap-0")), &habits, Db(f64::NAN)).unwrap();
    assert_eq!((joined.ap, joined.next, joined.stuck), (id("ap-1"), None, 0.0));
    assert_eq!(stuck_chance(&levels(&[-60.0, -50.0]), &id("elsewhere"), &habits, SIGMA), 0.0);
    assert_eq!(stuck_chance(&levels(&[-60.0, -50.0]), &id("ap-0"), &habits, Db(-1.0)), 0.0);
    assert_eq!(stuck_chance(&levels(&[-60.0, -50.0]), &id("ap-0"), &habits, Db(0.0)), 1.0);
}

/// Normal draws by the sum of twelve uniform ones, from a linear congruential generator.
struct Draws(u64);

impl Draws {
    fn uniform(&mut self) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1u64 << 53) as f64
    }

    fn normal(&mut self) -> f64 {
        (-2.0 * (1.0 - self.uniform()).ln()).sqrt() * (2.0 * std::f64::consts::PI * self.uniform()).cos()
    }
}

#[test]
fn the_chance_of_staying_on_a_worse_one_is_that_of_drawn_levels() {
    // No bonus, so that drawn levels are compared as they are.
    let habits = Habits { band_bonus: [Db(0.0); 3], ..Habits::default() };
    let mut draws = Draws(7);
    for (case, sigma) in [
        (&[-68.0, -62.0][..], 4.0),
        (&[-72.0, -70.0], 4.0),
        (&[-74.0, -60.0], 6.0),
        (&[-71.0, -66.0, -75.0], 5.0),
        (&[-60.0, -72.0], 3.0),
    ] {
        let num = 200_000;
        let mut stuck = 0;
        for _ in 0..num {
            let drawn: Vec<f64> = case.iter().map(|l| l + sigma * draws.normal()).collect();
            let best = drawn[1..].iter().copied().fold(f64::NEG_INFINITY, f64::max);
            let moves = drawn[0] < -82.0 || (drawn[0] < -70.0 && best >= drawn[0] + 8.0);
            stuck += i32::from(best > drawn[0] && !moves);
        }
        let expected = f64::from(stuck) / f64::from(num);
        let got = stuck_chance(&levels(case), &id("ap-0"), &habits, Db(sigma));
        // Four standard errors of the drawn share.
        assert!((got - expected).abs() < 4.0 * (0.25 / f64::from(num)).sqrt(), "{case:?}: {got} against {expected}");
    }
}

proptest! {
    #[test]
    fn the_order_of_candidates_does_not_matter(
        heard in prop::collection::vec((0u8..4, 0usize..3, -95.0..-30.0f64), 0..8), turn in 0usize..8, present in prop::option::of(0u8..4),
    ) {
        let mut all: Vec<Candidate> =
            heard.iter().map(|(ap, band, level)| candidate(&format!("ap-{ap}"), Band::ALL[*band], level.round())).collect();
        let now = present.map(|p| id(&format!("ap-{p}")));
        let habits = Habits::default();
        let first = associate(&all, now.as_ref(), &habits, SIGMA);
        let by = turn % all.len().max(1);
        all.rotate_left(by);
        prop_assert_eq!(&first, &associate(&all, now.as_ref(), &habits, SIGMA));
        all.reverse();
        prop_assert_eq!(&first, &associate(&all, now.as_ref(), &habits, SIGMA));
        if let Some(joined) = first {
            prop_assert!((0.0..=1.0).contains(&joined.stuck));
        }
    }

    #[test]
    fn readier_devices_are_stuck_less(present in -85.0..-40.0f64, other in -85.0..-40.0f64, sigma in 0.5..8.0f64, by in 0.0..15.0f64) {
        let all = levels(&[present.max(-81.0), other.max(-81.0)]);
        let at = |roam_below: f64, better_by: f64| {
            let habits = Habits { roam_below: Dbm(roam_below), better_by: Db(better_by), ..Habits::default() };
            stuck_chance(&all, &id("ap-0"), &habits, Db(sigma))
        };
        prop_assert!(at(-65.0, by) <= at(-75.0, by) + 1e-6);
        prop_assert!(at(-70.0, by) <= at(-70.0, by + 3.0) + 1e-6);
        // One that always looks and takes any better one is never stuck.
        prop_assert!(at(100.0, 0.0) < 1e-6);
    }

    #[test]
    fn no_figure_is_too_absurd(
        heard in prop::collection::vec((0u8..3, prop::num::f64::ANY), 0..5), sigma in prop::num::f64::ANY, bonus in prop::num::f64::ANY,
        threshold in prop::num::f64::ANY, by in prop::num::f64::ANY,
    ) {
        let all: Vec<Candidate> =
            heard.iter().map(|(ap, level)| candidate(&format!("ap-{ap}"), Band::Ghz6, *level)).chain(levels(&[-60.0, -50.0])).collect();
        let habits = Habits { band_bonus: [Db(bonus); 3], roam_below: Dbm(threshold), better_by: Db(by), ..Habits::default() };
        let joined = associate(&all, Some(&id("ap-0")), &habits, Db(sigma)).unwrap();
        prop_assert!((0.0..=1.0).contains(&joined.stuck), "{joined:?}");
        let found = check_stuck(&id("phone"), &all, &habits, Db(sigma));
        prop_assert!(found.is_none_or(|f| !f.message.contains("NaN")));
    }
}

//! Time of a channel plan by number of access points, with powers fixed and free.

#[path = "../tests/plan_homes/mod.rs"]
mod plan_homes;

use plan_homes::{ap, gains, inputs, site};
use radio_profile::{Band, generic};
use units::Db;
use wlan::{PowerChoice, plan_radios};

fn main() {
    divan::main();
}

fn plan(num: usize, power: Option<&PowerChoice>) -> u64 {
    let radio = ap();
    let mut air = site("DE");
    plan_homes::add_neighbours(&mut air, 1, 6);
    plan_homes::add_neighbours_5(&mut air, 1, 10);
    let gain = gains(9, num);
    let plan = plan_radios(&inputs(&radio, num), &[], &|i, j, _| Db(gain[i][j]), &air, power).unwrap();
    plan.bands.iter().map(|b| b.nodes).sum()
}

#[divan::bench(args = [1, 2, 4, 6, 8, 50])]
fn highest_power(num: usize) -> u64 {
    plan(num, None)
}

#[divan::bench(args = [1, 2, 4, 6, 8])]
fn power_chosen(num: usize) -> u64 {
    let (client, least) = (generic::phone(), |_: usize, _: Band| None);
    plan(num, Some(&PowerChoice { client: &client, allowance: PowerChoice::ALLOWANCE, least: &least }))
}

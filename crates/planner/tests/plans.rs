//! Plans of whole homes through the one door.

mod common;

use common::{LIGHT, home};
use findings::NoProgress;
use planner::{Config, plan};

#[test]
fn a_home_gets_options_of_several_families() {
    let job = home(12.0, 9.3, 2, false, &LIGHT);
    let plan = plan(&job, &Config::default(), &NoProgress).expect("a plan");
    for o in &plan.options {
        let f = |id: &str| o.figures.iter().find(|f| f.id == id).and_then(|f| f.value);
        println!(
            "{} {:16} cov {:?} 2.4 {:?} 5 {:?} 6 {:?} head {:?} out {:?} price {:?} gap {:?}",
            o.id,
            o.family.name(),
            f("coverage"),
            f("coverage.2.4"),
            f("coverage.5"),
            f("coverage.6"),
            f("headroom"),
            f("outage.minutes"),
            f("price"),
            o.gap.as_ref().map(|g| (g.found, g.bound))
        );
        for x in &o.findings {
            println!("    {:?} {} {}", x.severity, x.rule, x.message);
        }
    }
    for e in &plan.excluded {
        println!("excluded {}: {}", e.family, e.reason);
    }
    let mut families: Vec<_> = plan.options.iter().map(|o| o.family).collect();
    families.dedup();
    assert!(plan.options.len() >= 5, "{} options", plan.options.len());
}

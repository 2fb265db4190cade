//! Time and memory of a whole plan of the two-dwelling house, against the stated limits of 10 s and 500 MB.

use std::time::Instant;

use findings::NoProgress;
use job::Job;
use planner::{Config, plan};
use site::Site;

/// Runs; the median is printed.
const RUNS: usize = 5;

fn main() {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/../../demo/two-dwelling-house/");
    let read = |name: &str| std::fs::read(format!("{folder}{name}")).expect("the demo house is there");
    let (architecture, electrical) = (read("architecture.ifc"), read("electrical.ifc"));
    let options = ifc::Options { dwelling: Some("A".into()), ..ifc::Options::default() };
    let import = ifc::read(&architecture, Some(&electrical), &options, &NoProgress).expect("the house imports");
    let job = Job {
        format: job::FORMAT.to_owned(),
        name: "bench".into(),
        notes: vec![],
        site: Site::default_for("US", "2026-11-25".parse().expect("a date")),
        household: None,
        equipment: job::Equipment::default(),
        building: import.building,
        terms: None,
        designs: vec![],
    };
    let mut seconds: Vec<f64> = (0..RUNS)
        .map(|_| {
            let started = Instant::now();
            let plan = plan(&job, &Config::default(), &NoProgress).expect("a plan");
            assert!(plan.options.len() >= 5, "{} options", plan.options.len());
            started.elapsed().as_secs_f64()
        })
        .collect();
    seconds.sort_by(f64::total_cmp);
    let median = seconds[RUNS / 2];
    say("plan", median, 10.0, "s");
    if let Some(peak) = peak_megabytes() {
        say("plan-memory", peak, 500.0, "MB");
    }
}

#[expect(clippy::print_stdout, reason = "a bench prints its figures")]
fn say(name: &str, ours: f64, limit: f64, unit: &str) {
    println!("BENCH {name} ours={ours:.3} {unit} limit={limit} {unit} ratio={:.3}", ours / limit);
}

/// Largest resident size of this process so far, where the system tells.
fn peak_megabytes() -> Option<f64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find_map(|l| l.strip_prefix("VmHWM:"))?;
    line.trim().trim_end_matches(" kB").trim().parse::<f64>().ok().map(|kb| kb / 1024.0)
}

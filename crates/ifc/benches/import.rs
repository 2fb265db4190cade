//! Time of the import on the real house; the aim is under one second for both models.

use ifc::{Options, read};

/// Longest that both models may take [s].
const LIMIT_SECONDS: f64 = 1.0;

/// Runs; the median is printed.
const RUNS: usize = 11;

fn main() {
    divan::main();
    let (architecture, electrical) = (load("architecture.ifc"), load("electrical.ifc"));
    let options = Options { dwelling: Some("A".to_owned()), ..Options::default() };
    let mut seconds: Vec<f64> = (0..RUNS)
        .map(|_| {
            let started = std::time::Instant::now();
            let import = read(&architecture, Some(&electrical), &options, &findings::NoProgress);
            assert_eq!(import.map(|i| i.building.rooms.len()).ok(), Some(10), "dwelling A has ten rooms");
            started.elapsed().as_secs_f64()
        })
        .collect();
    seconds.sort_by(f64::total_cmp);
    say(seconds[RUNS / 2]);
}

#[expect(clippy::print_stdout, reason = "a bench prints its figures")]
fn say(median: f64) {
    println!("BENCH ifc-import ours={median:.3} s limit={LIMIT_SECONDS} s ratio={:.3}", median / LIMIT_SECONDS);
}

fn load(name: &str) -> Vec<u8> {
    std::fs::read(format!("{}/../../demo/two-dwelling-house/{name}", env!("CARGO_MANIFEST_DIR"))).unwrap_or_default()
}

#[divan::bench]
fn both_models(bencher: divan::Bencher<'_, '_>) {
    let (architecture, electrical) = (load("architecture.ifc"), load("electrical.ifc"));
    let options = Options { dwelling: Some("A".to_owned()), ..Options::default() };
    bencher.bench(|| read(&architecture, Some(&electrical), &options, &findings::NoProgress));
}

#[divan::bench]
fn architecture_alone(bencher: divan::Bencher<'_, '_>) {
    let architecture = load("architecture.ifc");
    let options = Options { dwelling: Some("A".to_owned()), ..Options::default() };
    bencher.bench(|| read(&architecture, None, &options, &findings::NoProgress));
}

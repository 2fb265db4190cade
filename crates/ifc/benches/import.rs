//! Time of the import on the real house; the aim is under one second for both models.

use ifc::{Options, read};

fn main() {
    divan::main();
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

//! Rebuilds the program when the page that it carries was built anew.

fn main() {
    println!("cargo::rerun-if-changed=../../web/dist");
    println!("cargo::rerun-if-changed=build.rs");
}

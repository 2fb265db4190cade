//! Builds again when a migration is added: the macro that takes them in cannot say so itself.

fn main() {
    println!("cargo:rerun-if-changed=migrations");
}

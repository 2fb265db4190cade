//! Prints an import as JSON: `cargo run --example report -- ARCHITECTURE.ifc [ELECTRICAL.ifc] [DWELLING]`.
#![expect(clippy::print_stdout, reason = "an example prints")]

use ifc::{Options, read};

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let mut arguments = std::env::args().skip(1);
    let architecture = std::fs::read(arguments.next().ok_or("name the architect's model")?)?;
    let mut electrical = None;
    let mut options = Options::default();
    for argument in arguments {
        if argument.ends_with(".ifc") {
            electrical = Some(std::fs::read(argument)?);
        } else {
            options.dwelling = Some(argument);
        }
    }
    let import = read(&architecture, electrical.as_deref(), &options, &findings::NoProgress)?;
    println!("{}", serde_json::to_string_pretty(&import)?);
    Ok(())
}

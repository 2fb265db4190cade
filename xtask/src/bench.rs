//! The verb `bench`: runs the benches and gathers what they say of themselves into one table.
//!
//! A bench prints one line per figure: `BENCH name ours=<value unit> limit=<value unit> ratio=<x>`, with `peer=` in the
//! place of `limit=` where another program's figure from the same run is the measure. Everything else it prints (the
//! table of a bench library, say) passes through.

use anyhow::{Result, bail};

use crate::steps;
use crate::workspace::{Workspace, cargo};

/// One line of the closing table.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Row {
    name: String,
    ours: String,
    /// The limit or the peer's figure, with the word which of the two it is.
    measure: String,
    ratio: String,
}

/// Runs the bench called `name`, or those of the crate called `name`, or all.
pub fn run(workspace: &Workspace, name: Option<&str>) -> Result<bool> {
    let mut chosen = Vec::new();
    for member in &workspace.members {
        for bench in &member.benches {
            if name.is_none_or(|name| name == bench || name == member.name) {
                chosen.push((member.name.as_str(), bench.as_str()));
            }
        }
    }
    if chosen.is_empty() {
        let known: Vec<&str> =
            workspace.members.iter().flat_map(|member| &member.benches).map(String::as_str).collect();
        bail!("there is no bench `{}`; there are: {}", name.unwrap_or("at all"), known.join(", "));
    }
    let mut rows = Vec::new();
    let mut troubles = Vec::new();
    for (package, bench) in chosen {
        let num_before = rows.len();
        let mut command = cargo();
        command.args(["bench", "--package", package, "--bench", bench]).current_dir(&workspace.root);
        let mut unread = Vec::new();
        let status = steps::run_and_look(&mut command, |line| match read_line(line) {
            Some(Ok(row)) => rows.push(row),
            Some(Err(error)) => unread.push(error),
            None => {}
        })?;
        troubles.extend(unread.into_iter().map(|error| format!("{package}/{bench}: {error}")));
        if !status.success() {
            troubles.push(format!("{package}/{bench}: ended with {status}"));
        } else if rows.len() == num_before {
            troubles.push(format!("{package}/{bench}: printed no line `BENCH name ours=… limit=… ratio=…`"));
        }
    }
    println!();
    print!("{}", table(&rows));
    for trouble in &troubles {
        println!("bench: {trouble}");
    }
    Ok(troubles.is_empty())
}

/// Reads a bench's line; `None` for any other line.
fn read_line(line: &str) -> Option<Result<Row, String>> {
    let rest = line.trim().strip_prefix("BENCH ")?;
    Some(
        read_fields(rest)
            .ok_or_else(|| format!("cannot read `{line}`; it should be BENCH name ours=… limit=… ratio=…")),
    )
}

fn read_fields(rest: &str) -> Option<Row> {
    let (name, rest) = rest.split_once(" ours=")?;
    let (rest, ratio) = rest.split_once(" ratio=")?;
    let split =
        |word: &str| rest.split_once(&format!(" {word}=")).map(|(ours, other)| (ours, format!("{word} {other}")));
    let (ours, measure) = split("limit").or_else(|| split("peer"))?;
    ratio.trim().parse::<f64>().ok().filter(|ratio| ratio.is_finite())?;
    Some(Row { name: name.trim().to_owned(), ours: ours.to_owned(), measure, ratio: ratio.trim().to_owned() })
}

fn table(rows: &[Row]) -> String {
    let head =
        Row { name: "bench".into(), ours: "ours".into(), measure: "limit or peer".into(), ratio: "ratio".into() };
    let lines: Vec<&Row> = std::iter::once(&head).chain(rows).collect();
    let width = |field: fn(&Row) -> &str| lines.iter().map(|row| field(row).chars().count()).max().unwrap_or(0);
    let (name, ours, measure) = (width(|row| &row.name), width(|row| &row.ours), width(|row| &row.measure));
    let ratio = width(|row| &row.ratio);
    let mut text = String::new();
    for row in lines {
        let line = format!("{:name$}  {:>ours$}  {:>measure$}  {:>ratio$}", row.name, row.ours, row.measure, row.ratio);
        text.push_str(line.trim_end());
        text.push('\n');
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn reads_the_agreed_line() {
        let row = read_line("BENCH ifc-import ours=212 ms limit=1000 ms ratio=0.21").unwrap().unwrap();
        assert_eq!(row.name, "ifc-import");
        assert_eq!((row.ours.as_str(), row.measure.as_str(), row.ratio.as_str()), ("212 ms", "limit 1000 ms", "0.21"));
        let row = read_line("BENCH direct map ours=1.2e6 cells/s peer=9.0e5 cells/s ratio=1.33").unwrap().unwrap();
        assert_eq!((row.name.as_str(), row.measure.as_str()), ("direct map", "peer 9.0e5 cells/s"));
    }

    #[test]
    fn a_broken_line_is_an_error_and_another_line_is_nothing() {
        assert!(read_line("BENCH x ours=1 ms ratio=2").unwrap().is_err());
        assert!(read_line("BENCH x ours=1 ms limit=2 ms ratio=NaN").unwrap().is_err());
        assert!(read_line("Timer precision: 20 ns").is_none());
    }

    #[test]
    fn the_table_lines_up() {
        let row = read_line("BENCH plan ours=3.1 s limit=10 s ratio=0.31").unwrap().unwrap();
        assert_eq!(table(&[row]), "bench   ours  limit or peer  ratio\nplan   3.1 s     limit 10 s   0.31\n");
    }
}

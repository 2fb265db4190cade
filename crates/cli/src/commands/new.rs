//! `wallplate new`: a job of a home without a model, from eight answers.

mod answers;
mod ask;

use std::io::{self, IsTerminal};
use std::path::Path;

use building::Resolved;
use building::parametric::Problem;
use findings::Severity;
use job::fresh::{self, Made, NewHome};
use serde_json::{Value, json};
use units::{Date, SquareMetres};

use super::write_job;
use crate::answer::{Answer, End, Failure, value};
use crate::args::New;
use crate::render::number;
use crate::render::table::{Align, Table};
use crate::render::text::{Page, count};
use crate::{clock, files};

/// Asks or reads the answers, makes the home and writes the job; code 2 with nothing written if it cannot be made.
pub fn run(args: &New, json: bool) -> Result<Answer, Failure> {
    let encoding = files::encoding_of(&args.output)?;
    files::expect_writable(&args.output, args.force)?;
    let date: Date = match args.date {
        Some(date) => date,
        None => clock::today()?,
    };
    let mut home = start(args)?;
    flags(&mut home, args).map_err(Failure::new)?;
    let may_ask = !args.yes && args.answers.is_none() && io::stdin().is_terminal() && io::stderr().is_terminal();
    let asking = |error: io::Error| Failure::new(format!("cannot ask: {error}; give the answers as flags, with --yes"));
    if may_ask {
        ask::all(&mut home, args, &mut io::stdin().lock(), &mut io::stderr().lock()).map_err(asking)?;
    }
    let made = loop {
        match fresh::make(&home, date) {
            Ok(made) => break made,
            Err(problems) => {
                let asked = may_ask
                    && ask::again(&problems, &mut home, &mut io::stdin().lock(), &mut io::stderr().lock())
                        .map_err(asking)?;
                if !asked {
                    return Err(refused(&problems));
                }
            }
        }
    };
    let findings = job::validate(&made.job);
    let fails: Vec<_> = findings.iter().filter(|f| f.severity <= Severity::Fails).collect();
    if let Some(first) = fails.first() {
        let message = format!("the home that was made cannot be computed on ({}); nothing was written", first.message);
        return Err(Failure::new(message).fact("findings", value(&fails)));
    }
    write_job(&made.job, encoding, &args.output, args.force)?;
    let resolved = Resolved::new(&made.job.building)
        .map_err(|found| Failure::new(found.first().map_or_else(String::new, |f| f.message.clone())))?;
    let as_json = || {
        json!({
            "job": args.output.display().to_string(),
            "name": made.job.name,
            "seed": home.seed,
            "floor_area_m2": home.floor_area_m2,
            "rooms": rooms_json(&resolved),
            "notes": made.notes,
            "findings": value(&findings),
        })
    };
    Ok(Answer::new(json, as_json, || text(args, &made, &resolved), End::Clean))
}

/// The answers before any flag: those of a file, or what is usual for the floor area that a flag names.
fn start(args: &New) -> Result<NewHome, Failure> {
    if let Some(path) = &args.answers {
        return read_answers(path);
    }
    let mut home = NewHome::default();
    if let Some(attached) = &args.attached {
        home.attached =
            answers::word(attached, &answers::ATTACHED).map_err(|e| Failure::new(format!("--attached: {e}")))?;
    }
    let area = match &args.floor_area {
        Some(text) => answers::area(text).map_err(|e| Failure::new(format!("--floor-area: {e}")))?,
        None => home.floor_area_m2,
    };
    Ok(NewHome::usual(area, home.attached))
}

/// Answers as JSON, which name every key that is not known.
fn read_answers(path: &Path) -> Result<NewHome, Failure> {
    let (text, name) = files::read_json(path)?;
    serde_json::from_str(&text).map_err(|error| {
        Failure::new(format!("{name}: these are no answers for a new home: {error}"))
            .fact("file", json!(name))
            .fact("line", json!(error.line()))
            .fact("column", json!(error.column()))
    })
}

/// Takes over what flags say; the error names the flag and what is accepted.
fn flags(home: &mut NewHome, args: &New) -> Result<(), String> {
    fn put<T>(
        flag: &str,
        text: Option<&String>,
        to: &mut T,
        read: impl Fn(&str) -> Result<T, answers::Misread>,
    ) -> Result<(), String> {
        if let Some(text) = text {
            *to = read(text).map_err(|misread| format!("--{flag}: {misread}"))?;
        }
        Ok(())
    }
    let seed =
        |text: &str| text.trim().parse::<u64>().map_err(|_| format!("`{text}` is not a whole number of 0 or more"));
    put("name", args.name.as_ref(), &mut home.name, |t| Ok(t.to_owned()))?;
    put("country", args.country.as_ref(), &mut home.country, answers::country)?;
    put("floor-area", args.floor_area.as_ref(), &mut home.floor_area_m2, answers::area)?;
    put("storeys", args.storeys.as_ref(), &mut home.storeys, answers::whole)?;
    put("basement", args.basement.as_ref(), &mut home.basement, answers::yes)?;
    put("attic", args.attic.as_ref(), &mut home.attic, answers::yes)?;
    put("construction", args.construction.as_ref(), &mut home.construction, |t| {
        answers::word(t, &answers::CONSTRUCTIONS)
    })?;
    put("attached", args.attached.as_ref(), &mut home.attached, |t| answers::word(t, &answers::ATTACHED))?;
    put("bedrooms", args.bedrooms.as_ref(), &mut home.rooms.bedrooms, answers::whole)?;
    put("bathrooms", args.bathrooms.as_ref(), &mut home.rooms.bathrooms, answers::whole)?;
    put("offices", args.offices.as_ref(), &mut home.rooms.offices, answers::whole)?;
    put("utility", args.utility.as_ref(), &mut home.rooms.utility, answers::yes)?;
    put("open-kitchen", args.open_kitchen.as_ref(), &mut home.rooms.open_kitchen, answers::yes)?;
    put("people", args.people.as_ref(), &mut home.people, answers::whole)?;
    put("may-drill", args.may_drill.as_ref(), &mut home.may_drill, answers::yes)?;
    put("seed", args.seed.as_ref(), &mut home.seed, seed)?;
    if let Some(text) = &args.line {
        answers::line(text, home).map_err(|misread| format!("--line: {misread}"))?;
    }
    Ok(())
}

fn refused(problems: &[Problem]) -> Failure {
    let mut message = format!("this home cannot be made; nothing was written. {}:", count(problems.len(), "problem"));
    for problem in problems {
        message.push_str(&format!("\n  {}: {}\n    hint: {}", problem.path, problem.message, problem.hint));
    }
    Failure::new(message).fact("problems", value(&problems))
}

fn rooms_json(home: &Resolved) -> Value {
    let room = |r: &building::ResolvedRoom| {
        json!({
            "id": r.id,
            "name": r.name,
            "storey": home.storeys.get(r.storey).map(|s| s.id.clone()),
            "use": value(&r.usage),
            "area": r.area,
        })
    };
    home.rooms.iter().map(room).collect()
}

fn text(args: &New, made: &Made, home: &Resolved) -> String {
    let (job, units) = (&made.job, made.job.site.units);
    let mut page = Page::new();
    let area: f64 = home.rooms.iter().map(|r| r.area).sum();
    page.heading(&format!("{}: made as {}", job.name, args.output.display()));
    page.paragraph(&format!(
        "{}, {} of {}, {}, {}.",
        count(job.building.storeys.len(), "storey"),
        count(home.rooms.len(), "room"),
        number::area(SquareMetres(area), units),
        count(job.building.walls.len(), "wall"),
        count(job.building.outlets.len(), "outlet"),
    ));
    page.gap();
    let mut table = Table::new(&[("storey", Align::Left), ("room", Align::Left), ("area", Align::Right)]);
    for room in &home.rooms {
        let storey = home.storeys.get(room.storey).map_or_else(String::new, |s| s.name.clone());
        table.row([storey, room.name.clone(), number::area(SquareMetres(room.area), units)]);
    }
    table.lines(page.width()).iter().for_each(|line| page.line(line));
    page.heading("Assumed, since nobody was asked");
    made.notes.iter().for_each(|note| page.item(note));
    page.gap();
    page.paragraph(&format!("Next: wallplate plan {}", args.output.display()));
    page.finish()
}

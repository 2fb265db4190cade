//! What validation says of jobs that cannot be.

mod common;

use common::{FULL, full};
use findings::Finding;
use household::OverCable;
use job::{Encoding, Job, RULES, parse, validate};
use network::{Feed, FeedSource, Link, Medium};
use units::{BitsPerSecond, Seconds, Watts};

fn check(rule: &str, words: &[&str], change: impl Fn(&mut Job)) -> Finding {
    let mut job = full();
    change(&mut job);
    let findings = validate(&job);
    let fits = |f: &&Finding| f.rule == rule && words.iter().all(|word| f.message.contains(word));
    findings.iter().find(fits).unwrap_or_else(|| panic!("{rule} {words:?}: {findings:#?}")).clone()
}

fn id(text: &str) -> findings::Id {
    text.parse().unwrap()
}

#[test]
fn references_to_nothing_are_found() {
    let unknown = "job.unknown-reference";
    check(unknown, &["designs (d1).parts (router)", "`cellar`"], |j| j.designs[0].parts[1].room = id("cellar"));
    check(unknown, &["links (l1)", "`modem`"], |j| j.designs[0].links[0].from = id("modem"));
    check(unknown, &["links (l2)", "`deks`", "did you mean `desk`?"], |j| j.designs[0].links[1].to = id("deks"));
    check(unknown, &["radios (ap)"], |j| j.designs[0].radios[0].part = id("ap"));
    check(unknown, &["segments (home)", "`fax`"], |j| j.designs[0].segments[0].devices.push(id("fax")));
    check(unknown, &["feeds (ont)", "the outlet `socket-9`", "socket-1"], |j| {
        j.designs[0].feeds[0].source = FeedSource::Mains { outlet: Some(id("socket-9")) };
    });
    check(unknown, &["feeds (router)", "`ups-2`"], |j| {
        j.designs[0].feeds[1].source = FeedSource::Battery { part: id("ups-2") };
    });
    check("household.unknown-reference", &["`garret`"], |j| {
        j.household.as_mut().unwrap().devices[0].room = id("garret");
    });
}

#[test]
fn what_is_said_of_staying_up_is_checked() {
    let (unknown, upkeep) = ("job.unknown-reference", "job.upkeep");
    check(unknown, &["site.failovers (telephone)", "`fax`"], |j| j.site.failovers[0].devices.push(id("fax")));
    check("site.duplicate-id", &["`line-1`"], |j| j.site.failovers[0].line.id = id("line-1"));
    check("site.impossible-value", &["`telephone`"], |j| j.site.failovers[0].line.up = BitsPerSecond(-1.0));
    check(unknown, &["devices (desk).power", "the outlet `socket-9`"], |j| {
        let power = &mut j.household.as_mut().unwrap().devices[0].power;
        power.as_mut().unwrap().outlet = Some(id("socket-9"));
    });
    check("household.out-of-range", &["power.draw"], |j| {
        let power = &mut j.household.as_mut().unwrap().devices[0].power;
        power.as_mut().unwrap().draw = Some(Watts(-1.0));
    });
    let over_cable = |j: &mut Job, class, watts| {
        let power = &mut j.household.as_mut().unwrap().devices[0].power;
        power.as_mut().unwrap().over_cable = Some(OverCable { class, worst_draw: Watts(watts) });
    };
    check(upkeep, &["devices (desk).power.over_cable", "class is 9"], |j| over_cable(j, 9, 5.0));
    check(upkeep, &["worst_draw is 20; it must lie between 0 and 12.95"], |j| over_cable(j, 3, 20.0));
    check(unknown, &["upkeep.roles", "`hub`"], |j| j.designs[0].upkeep.roles[0].host = id("hub"));
    check(unknown, &["upkeep.roles", "`fax`"], |j| j.designs[0].upkeep.roles[0].devices = vec![id("fax")]);
    check(unknown, &["upkeep.shedding (up)", "did you mean `ups`?"], |j| {
        j.designs[0].upkeep.shedding[0].supply = id("up");
    });
    check(upkeep, &["upkeep.shedding (ont)", "`ont` is no battery supply"], |j| {
        j.designs[0].upkeep.shedding[0].supply = id("ont");
    });
    check(upkeep, &["`ont` is not fed by `ups`"], |j| j.designs[0].upkeep.shedding[0].parts.push(id("ont")));
    check(upkeep, &["after is -1 s; it must be 0 or more"], |j| {
        j.designs[0].upkeep.shedding[0].after = Seconds(-1.0);
    });
    check("job.duplicate-id", &["upkeep.cells"], |j| {
        let again = j.designs[0].upkeep.cells[0].clone();
        j.designs[0].upkeep.cells.push(again);
    });
    check(upkeep, &["temperature_c is 300 °C; it must lie between -40 and 85"], |j| {
        j.designs[0].upkeep.cells[0].state.temperature_c = 300.0;
    });
    check(upkeep, &["power_factor is 0; it must lie above 0 and be at most 1"], |j| {
        j.designs[0].upkeep.cells[0].state.power_factor = Some(0.0);
    });
    check(unknown, &["upkeep.failures (modem)"], |j| j.designs[0].upkeep.failures[0].id = id("modem"));
    check(upkeep, &["mtbf is 0 s; it must be above 0"], |j| {
        j.designs[0].upkeep.failures[0].failure.mtbf = Seconds(0.0);
    });
    check(upkeep, &["factor is 0.5"], |j| j.designs[0].upkeep.failures[0].failure.factor = 0.5);
    check("job.not-finite", &["mttr"], |j| j.designs[0].upkeep.failures[0].failure.mttr = Seconds(f64::NAN));
}

#[test]
fn unknown_parts_are_found_with_a_remedy_that_mends_them() {
    let broken = |j: &mut Job| j.designs[0].parts[1].part = id("own-ruter");
    let finding = check("job.unknown-part", &["did you mean `own-router`?"], broken);
    // The nearest is looked for among the job's own parts and the built-in ones.
    let mut job = full();
    broken(&mut job);
    let (mended, _) = job::apply(&job, &finding.remedies[0].edits[0]).unwrap();
    assert_eq!(mended, full());
    check("job.unknown-part", &["site.lines (line-1).fixed_box"], |j| j.site.lines[0].fixed_box = Some(id("zzz")));
    check("job.unknown-part", &["household.kept (old-switch)"], |j| {
        j.household.as_mut().unwrap().kept[0].part = id("q")
    });
    check("job.unknown-part", &["links (l2)"], |j| {
        j.designs[0].links[1].medium = Medium::Cable { part: id("string") };
    });
}

#[test]
fn doubled_ids_and_settings_are_found() {
    let doubled = "job.duplicate-id";
    check(doubled, &["designs: the id `d1`"], |j| j.designs.push(j.designs[0].clone()));
    check(doubled, &["parts", "`ont`"], |j| j.designs[0].parts[1].id = id("ont"));
    check(doubled, &["links", "`l1`"], |j| j.designs[0].links[1].id = id("l1"));
    check(doubled, &["feeds", "`ont`"], |j| j.designs[0].feeds[1].part = id("ont"));
    check(doubled, &["the 5 GHz radio is set more than once"], |j| {
        let radio = j.designs[0].radios[0].clone();
        j.designs[0].radios.push(radio);
    });
    check(doubled, &["a device of the household has the same id"], |j| j.designs[0].parts[0].id = id("desk"));
}

#[test]
fn circles_are_found_and_named() {
    let link =
        |name: &str, from: &str, to: &str| Link { id: id(name), from: id(from), to: id(to), medium: Medium::Cord };
    check("job.circle", &["links", "ont > router > ont"], |j| j.designs[0].links.push(link("l3", "router", "ont")));
    check("job.circle", &["links", "router > router"], |j| j.designs[0].links.push(link("l3", "router", "router")));
    check("job.circle", &["feeds", "power comes round"], |j| {
        j.designs[0].feeds = vec![
            Feed { part: id("ont"), source: FeedSource::Poe { part: id("router") } },
            Feed { part: id("router"), source: FeedSource::Battery { part: id("ont") } },
        ];
    });
    // Two ways to one place are no circle.
    let mut job = full();
    job.designs[0].links.push(link("l3", "ont", "desk"));
    assert_eq!(validate(&job), vec![]);
}

#[test]
fn figures_of_own_parts_and_settings_of_radios_are_judged() {
    check("job.part-figures", &["own-router", "draw"], |j| j.equipment.parts[0].draw = units::Watts(-1.0));
    let finding = check("job.out-of-range", &["centre"], |j| j.designs[0].radios[0].centre = units::Hertz(1e9));
    assert_eq!(finding.limit.unwrap().value, 2.4e9);
    check("job.out-of-range", &["width"], |j| j.designs[0].radios[0].width = units::Hertz(0.0));
    check("job.out-of-range", &["eirp"], |j| j.designs[0].radios[0].eirp = units::Dbm(90.0));
}

#[test]
fn terms_are_judged() {
    let change = |j: &mut Job, change: fn(&mut equipment::Terms)| change(j.terms.as_mut().expect("terms"));
    check("job.terms", &["`margin`", "96 %"], |j| change(j, |t| t.margin = units::Percent::new(96)));
    check("job.terms", &["`stock.cord-cat6`", "-3"], |j| {
        change(j, |t| {
            t.stock.insert(id("cord-cat6"), -3.0);
        })
    });
    check("job.unknown-part", &["terms.stock", "did you mean `cord-cat6`?"], |j| {
        change(j, |t| {
            t.stock.insert(id("cord-cat66"), 1.0);
        });
    });
}

#[test]
fn findings_of_the_home_site_and_household_are_joined() {
    let text = FULL
        .replace("country = \"US\"", "country = \"XX\"")
        .replace("count = 3", "count = 0")
        .replace("height = 2.4", "height = 2.4e9");
    let rules: Vec<String> = validate(&parse(&text, Encoding::Toml).unwrap()).into_iter().map(|f| f.rule).collect();
    for start in ["site.unknown-country", "household.out-of-range", "building."] {
        assert!(rules.iter().any(|rule| rule.starts_with(start)), "{start} in {rules:?}");
    }
}

#[test]
fn rooms_found_from_walls_can_be_named() {
    let mut job = full();
    job.building.rooms.clear();
    let found = building::Resolved::new(&job.building).unwrap().rooms[0].id.clone();
    let household = job.household.as_mut().unwrap();
    household.people[0].rooms = vec![found.clone()];
    household.devices.iter_mut().for_each(|d| d.room = found.clone());
    household.kept[0].room = Some(found.clone());
    job.designs[0].parts.iter_mut().for_each(|p| p.room = found.clone());
    assert!(validate(&job).iter().all(|f| f.severity > findings::Severity::Fails));
}

#[test]
fn rules_are_told_apart() {
    let mut ids: Vec<&str> = RULES.iter().map(|r| r.id).collect();
    ids.sort_unstable();
    ids.dedup();
    assert_eq!(ids.len(), RULES.len());
    assert!(ids.iter().all(|id| id.starts_with("job.")));
}

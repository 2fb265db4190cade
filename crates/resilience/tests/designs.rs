//! Designs through the engine's one door.

mod home;

use findings::Id;
use home::{Home, design, full, id, laptop, on_battery, site};
use household::{Household, OwnPower};
use network::{Design, FeedSource, Role, RoleKind, Shed};
use resilience::{
    Change, ChangeKind, ComponentKind, Facts, LineBackup, Off, Outcome, Reach, ServiceKind, ServiceState, SharedWay,
    Staying,
};
use site::{Failover, Line, LineKind, Site};
use units::{BitsPerSecond, Seconds, WattHours, Watts};

fn run(design: &Design, household: &Household, site: &Site) -> Outcome {
    let mut home = Home::new(design.clone(), household.clone());
    home.site = site.clone();
    home.evaluate()
}

fn minutes(outcome: &Outcome, subject: &str) -> f64 {
    let figure = outcome.figures.iter().find(|f| f.id == "outage.minutes" && f.subject.as_str() == subject);
    figure.and_then(|f| f.value).expect("a known figure")
}

const BATTERY: &str = "battery";

fn from_battery() -> FeedSource {
    on_battery(BATTERY)
}

#[test]
fn a_computer_on_the_router_shares_one_part_fewer_than_behind_a_switch() {
    // Common practice, no source.
    let direct =
        design(&[("ont", "ont-1g"), ("router", "router-ax")], &[("ont", "router"), ("router", "laptop")], vec![]);
    let behind = design(
        &[("ont", "ont-1g"), ("router", "router-ax"), ("switch", "switch-8")],
        &[("ont", "router"), ("router", "switch"), ("switch", "laptop")],
        vec![],
    );
    let (direct, behind) = (run(&direct, &laptop(), &site()), run(&behind, &laptop(), &site()));
    assert_eq!(direct.services[0].single_points.len() + 1, behind.services[0].single_points.len());
    assert!(minutes(&direct, "laptop") < minutes(&behind, "laptop"));
}

#[test]
fn a_battery_on_the_router_alone_keeps_no_internet() {
    // Common practice, no source: the router on a battery and the line termination on the mains keep no service.
    let parts = [("ont", "ont-1g"), ("router", "router-ax"), (BATTERY, "battery-ac-900va")];
    let links = [("ont", "router"), ("router", "laptop")];
    let none = design(&parts[..2], &links, vec![]);
    let half = design(&parts, &links, vec![("router", from_battery())]);
    let whole = design(&parts, &links, vec![("router", from_battery()), ("ont", from_battery())]);
    let [none, half, whole] = [none, half, whole].map(|d| run(&d, &laptop(), &site()));
    assert!((minutes(&half, "laptop") - minutes(&none, "laptop")).abs() < 1e-6);
    assert!(minutes(&whole, "laptop") < minutes(&none, "laptop"));
    let rules = |o: &Outcome| o.findings.iter().map(|f| f.rule.clone()).collect::<Vec<_>>();
    assert!(rules(&half).contains(&"resilience.battery-gap".to_owned()));
    assert!(!rules(&whole).contains(&"resilience.battery-gap".to_owned()));
    // Mains outages: 336 min a year in the mean; with none ridden through they are all in the figure.
    assert!(minutes(&none, "laptop") > 336.0);
}

#[test]
fn what_is_missing_is_named() {
    let design =
        design(&[("ont", "ont-1g"), ("router", "router-ax")], &[("ont", "router"), ("router", "laptop")], vec![]);
    // Spain: a country of whose mains only a range is at hand.
    let site = Site::default_for("ES", "2026-11-25".parse().expect("a date"));
    let outcome = run(&design, &laptop(), &site);
    let figure = outcome.figures.iter().find(|f| f.id == "outage.minutes").expect("the figure is there");
    assert_eq!(figure.value, None);
    assert!(figure.missing.iter().any(|m| m.contains("site.mains")), "{:?}", figure.missing);
}

#[test]
fn loops_and_unknown_parts_give_unknown_figures() {
    let links = design(&[("a", "switch-5"), ("router", "router-ax")], &[("a", "router"), ("router", "a")], vec![]);
    let feeds = design(
        &[("router", "router-ax"), ("a", "switch-8-poe")],
        &[("a", "router")],
        vec![("a", FeedSource::Poe { part: id("router") }), ("router", FeedSource::Poe { part: id("a") })],
    );
    let unknown = design(&[("router", "router-ax"), ("x", "no-such-part")], &[("x", "router")], vec![]);
    for design in [links, feeds, unknown] {
        let outcome = run(&design, &laptop(), &site());
        let internet = |f: &&findings::Figure| f.id == "outage.minutes" && f.subject.as_str() == "internet";
        let figure = outcome.figures.iter().find(internet).expect("the figure is there");
        assert!(figure.value.is_none() && !figure.missing.is_empty(), "{figure:?}");
    }
}

#[test]
fn intervals_hold_the_value() {
    let design =
        design(&[("ont", "ont-1g"), ("router", "router-ax")], &[("ont", "router"), ("router", "laptop")], vec![]);
    for figure in run(&design, &laptop(), &site()).figures {
        let (low, value, high) = (figure.low.unwrap(), figure.value.unwrap(), figure.high.unwrap());
        assert!(low <= value && value <= high && low < high, "{figure:?}");
    }
}

fn rules(staying: &Staying) -> Vec<&str> {
    staying.findings.iter().map(|f| f.rule.as_str()).collect()
}

fn state(home: &Home, off: &[Off], kind: ServiceKind, service: &str) -> ServiceState {
    let what_if = home.ask(|m| m.what_if(off));
    what_if.services.iter().find(|s| s.kind == kind && s.id == id(service)).map(|s| s.state).expect("the service")
}

fn whole_path(feeds: Vec<(&str, FeedSource)>) -> Home {
    let parts = [("ont", "ont-1g"), ("router", "router-ax"), (BATTERY, "battery-ac-900va")];
    Home::new(design(&parts, &[("ont", "router"), ("router", "laptop")], feeds), laptop())
}

#[test]
fn a_battery_on_the_whole_path_keeps_a_laptop_at_work_for_an_hour() {
    // Common practice, no source: if the far end of the line has power.
    let hour = [Off::since(id("mains"), Seconds(3600.0))];
    let mut home = whole_path(vec![("router", from_battery()), ("ont", from_battery())]);
    assert_eq!(state(&home, &hour, ServiceKind::Activity, "work"), ServiceState::Up);
    let what_if = home.ask(|m| m.what_if(&hour));
    assert!(what_if.services.iter().all(|s| s.if_line_holds), "nobody has tested the line");
    assert!(rules(&home.staying()).contains(&"resilience.line-backup-unknown"));
    assert_eq!(state(&home, &[Off::for_good(id("mains"))], ServiceKind::Activity, "work"), ServiceState::Down);
    // Tested: the line goes on for eight hours, or for ten minutes.
    let tested = |runtime: f64| LineBackup {
        line: id("line-1"),
        runtime: Seconds(runtime),
        source: findings::Source::new(findings::SourceKind::Measured, "tested"),
    };
    home.facts.line_backups = vec![tested(8.0 * 3600.0)];
    assert_eq!(state(&home, &hour, ServiceKind::Activity, "work"), ServiceState::Up);
    assert!(!rules(&home.staying()).contains(&"resilience.line-backup-unknown"));
    home.facts.line_backups = vec![tested(600.0)];
    assert_eq!(state(&home, &hour, ServiceKind::Activity, "work"), ServiceState::Down);
    // The router alone on the battery: no internet from the first minute.
    let half = whole_path(vec![("router", from_battery())]);
    let minute = [Off::since(id("mains"), Seconds(60.0))];
    assert_eq!(state(&half, &minute, ServiceKind::Internet, "internet"), ServiceState::Down);
}

#[test]
fn an_untested_line_is_in_the_bounds_and_named() {
    let home = whole_path(vec![("router", from_battery()), ("ont", from_battery())]);
    let staying = home.staying();
    let row = staying.services.iter().find(|s| s.id == id("laptop")).expect("the laptop's connection");
    let minutes = row.minutes.expect("known");
    let dies = row.minutes_if_line_dies.expect("the line matters");
    assert!(dies > minutes.value && dies <= minutes.most);
    assert!(row.cuts.iter().any(|c| c.members.iter().any(|m| m.kind == ComponentKind::LineBackup)));
    // The outage that outlasts the battery is a cut by itself, any outage only with the line's far end.
    let by_mains: Vec<_> = row.single_points.iter().filter(|m| m.kind == ComponentKind::Mains).collect();
    assert!(by_mains.len() == 1 && by_mains[0].longer_than_min.is_some(), "{by_mains:?}");
    assert!(staying.outages.iter().any(|o| o.kind == ComponentKind::Line && o.far_end.is_none()));
    // Riding through: the share of outages that the battery outlasts, by both laws.
    let mains = &row.mains;
    let (ridden, long_tailed) = (mains.ridden.expect("known"), mains.ridden_long_tailed.expect("known"));
    let mean = 336.0 * 60.0 / 1.4;
    let runtime = mains.outlasts.expect("a battery ends").0;
    assert!((ridden - (1.0 - (-runtime / mean).exp())).abs() < 1e-9);
    assert!(long_tailed > 0.0 && long_tailed < 1.0 && (long_tailed - ridden).abs() > 1e-3);
}

#[test]
fn other_ways_are_taken_and_named() {
    let mut home = full();
    home.facts.reach = vec![Reach { device: id("laptop"), by: id("ap-2"), rate_share: 0.4 }];
    let off = [Off::for_good(id("ap-1"))];
    assert_eq!(state(&home, &off, ServiceKind::Connection, "laptop"), ServiceState::Alternative);
    let what_if = home.ask(|m| m.what_if(&off));
    let work = what_if.services.iter().find(|s| s.id == id("work")).expect("the work");
    assert_eq!(work.alternatives[0].rate_share, Some(0.4));
    assert!(work.minutes_lost.expect("known") > 0.0);
    // Work within the home needs no line.
    let line = [Off::for_good(id("line-1"))];
    assert_eq!(state(&home, &line, ServiceKind::Activity, "backup"), ServiceState::Up);
    assert_eq!(state(&home, &line, ServiceKind::Activity, "work"), ServiceState::Down);
    // A telephone's mobile connection stands in for the line, and for the router.
    let down = BitsPerSecond(home.site.lines[0].down.0 / 10.0);
    let mobile = Line { id: id("mobile"), kind: LineKind::Mobile, down, ..home.site.lines[0].clone() };
    home.site.failovers = vec![Failover { line: mobile, devices: vec![id("laptop")] }];
    assert_eq!(state(&home, &line, ServiceKind::Activity, "work"), ServiceState::Alternative);
    assert_eq!(state(&home, &line, ServiceKind::Activity, "desk"), ServiceState::Down);
    assert_eq!(state(&home, &[Off::for_good(id("router"))], ServiceKind::Activity, "work"), ServiceState::Alternative);
    let staying = home.staying();
    let row = staying.services.iter().find(|s| s.id == id("work")).expect("the work");
    let by = row.alternatives.iter().find(|a| a.by == id("mobile")).expect("the mobile connection");
    assert!((by.rate_share.expect("both rates are known") - 0.1).abs() < 1e-12);
    assert!(row.usual_minutes.expect("known") > row.minutes.expect("known").value);
    assert!(row.single_points.iter().all(|m| m.id != id("router")), "{:?}", row.single_points);
}

#[test]
fn two_lines_through_one_conduit_go_together() {
    let mut home = full();
    home.site.lines.push(Line { id: id("line-2"), kind: LineKind::Coax, ..home.site.lines[0].clone() });
    assert!(rules(&home.staying()).contains(&"resilience.line-unused"));
    home.design.parts.push(home::placed("modem", "modem-cable"));
    home.design.links.push(network::Link {
        id: id("second"),
        from: id("modem"),
        to: id("router"),
        medium: network::Medium::Cord,
    });
    let apart = home.staying();
    assert!(!rules(&apart).contains(&"resilience.shared-by-lines"), "{:?}", rules(&apart));
    home.facts.shared_ways = vec![SharedWay { id: id("duct"), links: vec![], lines: vec![id("line-1"), id("line-2")] }];
    let staying = home.staying();
    let shared = staying.findings.iter().find(|f| f.rule == "resilience.shared-by-lines").expect("the finding");
    assert_eq!(shared.subjects, [id("duct")]);
    let duct = staying.components.iter().find(|c| c.id == id("duct")).expect("the duct");
    assert!(duct.takes_down.contains(&id("work")) && duct.taken_to_hold);
    assert_eq!(state(&home, &[Off::for_good(id("line-1"))], ServiceKind::Internet, "internet"), ServiceState::Up);
}

#[test]
fn a_breaker_takes_what_is_on_its_circuit() {
    let mut home = full();
    home.facts.circuits = vec![resilience::OutletCircuit { outlet: id("outlet-shed"), circuit: id("circuit-2") }];
    let staying = home.staying();
    let circuit = staying.components.iter().find(|c| c.id == id("circuit-2")).expect("the circuit");
    assert_eq!(circuit.takes_down, [id("camera")]);
    assert!(circuit.source.from_memory);
}

#[test]
fn a_role_that_a_device_has_is_a_weak_point_of_what_needs_it() {
    let mut home = full();
    let role = |host: &str| Role { kind: RoleKind::Names, host: id(host), devices: vec![id("laptop")] };
    home.design.upkeep.roles = vec![role("desktop")];
    let off = [Off::for_good(id("desktop"))];
    assert_eq!(state(&home, &off, ServiceKind::Activity, "work"), ServiceState::Down);
    assert_eq!(state(&home, &off, ServiceKind::Activity, "watch"), ServiceState::Up);
    // It goes with the mains, on which its host is; what needs no names stays.
    let out = [Off::since(id("mains"), Seconds(60.0))];
    assert_eq!(state(&home, &out, ServiceKind::Connection, "laptop"), ServiceState::Down);
    // Either of two hosts is enough.
    home.design.upkeep.roles.push(role("router"));
    assert_eq!(state(&home, &off, ServiceKind::Activity, "work"), ServiceState::Up);
    assert_ne!(state(&home, &out, ServiceKind::Connection, "laptop"), ServiceState::Down);
    // Over another way to the internet names come with it.
    home.design.upkeep.roles.pop();
    let mobile = Line { id: id("mobile"), kind: LineKind::Mobile, ..home.site.lines[0].clone() };
    home.site.failovers = vec![Failover { line: mobile, devices: vec![] }];
    assert_eq!(state(&home, &off, ServiceKind::Activity, "work"), ServiceState::Alternative);
    // What has no radio for it cannot join, unless it is named.
    let line = [Off::for_good(id("line-1"))];
    assert_eq!(state(&home, &line, ServiceKind::Activity, "watch"), ServiceState::Alternative);
    for attachment in [household::Attachment::Wired, household::Attachment::ThingNetwork] {
        home.household.devices[3].attachment = attachment;
        assert_eq!(state(&home, &line, ServiceKind::Activity, "watch"), ServiceState::Down);
    }
}

#[test]
fn what_a_device_is_powered_from_is_as_stated() {
    let mut home = full();
    let runtime = |home: &Home| home.staying().own_batteries[0].runtime.expect("known");
    let generic = runtime(&home);
    home.household.devices[0].power =
        Some(OwnPower { draw: Some(Watts(10.0)), battery: Some(WattHours(60.0)), ..OwnPower::default() });
    let stated = runtime(&home);
    assert!((stated.0 - 6.0 * 3600.0).abs() < 1.0 && stated != generic, "{stated:?}, generic {generic:?}");
    // The television's breaker takes the television and nothing else.
    home.household.devices[3].power = Some(OwnPower { outlet: Some(id("outlet-tv")), ..OwnPower::default() });
    home.facts.circuits = vec![resilience::OutletCircuit { outlet: id("outlet-tv"), circuit: id("circuit-3") }];
    let staying = home.staying();
    let circuit = staying.components.iter().find(|c| c.id == id("circuit-3")).expect("the circuit");
    assert_eq!(circuit.takes_down, [id("watch")]);
}

#[test]
fn a_figure_of_ones_own_replaces_the_generic_one() {
    let mut home = full();
    let minutes = |home: &Home| {
        let staying = home.staying();
        let row = staying.services.iter().find(|s| s.id == id("work")).expect("the work");
        row.minutes.expect("known").value
    };
    let before = minutes(&home);
    let own = findings::Source::new(findings::SourceKind::Stated, "the workshop's own book");
    let failure = equipment::Failure { mtbf: Seconds(1e12), mttr: Seconds(0.0), factor: 1.0, source: own.clone() };
    home.design.upkeep.failures = vec![network::KnownFailure { id: id("router"), failure }];
    let (after, staying) = (minutes(&home), home.staying());
    let router = staying.components.iter().find(|c| c.id == id("router")).expect("the router");
    assert_eq!(router.source, own);
    assert!(after < before, "{after} of {before}");
}

#[test]
fn what_is_shed_spares_what_stays() {
    let mut home = full();
    let before = home.ask(|m| m.protected_runtime()).expect("known");
    home.design.upkeep.shedding = vec![Shed { supply: id("ups"), after: Seconds(600.0), parts: vec![id("ap-2")] }];
    let staying = home.staying();
    let ups = &staying.batteries[0];
    assert_eq!(ups.stages.len(), 2);
    assert_eq!(ups.stages[0].to, Seconds(600.0));
    assert!(ups.stages[1].load.0 < ups.stages[0].load.0);
    assert!(home.ask(|m| m.protected_runtime()).expect("known").0 > before.0);
    // After a quarter of an hour the laptop is on the first access point only.
    let later = [Off::since(id("mains"), Seconds(900.0)), Off::for_good(id("ap-1"))];
    assert_eq!(state(&home, &later, ServiceKind::Connection, "laptop"), ServiceState::Down);
    let sooner = [Off::since(id("mains"), Seconds(300.0)), Off::for_good(id("ap-1"))];
    assert_eq!(state(&home, &sooner, ServiceKind::Connection, "laptop"), ServiceState::Alternative);
}

#[test]
fn changes_are_ranked_by_what_they_save_of_the_work() {
    let parts = [("ont", "ont-1g"), ("router", "router-ax"), ("switch", "switch-8")];
    let links = [("ont", "router"), ("router", "switch"), ("switch", "laptop")];
    let home = Home::new(design(&parts, &links, vec![]), laptop());
    let change = |name: &str, kind, price| Change { id: id(name), kind, price };
    let feeds = vec![id("ont"), id("router"), id("switch")];
    let changes = [
        change("battery", ChangeKind::Battery { supply: id("battery-ac-900va"), feeds }, Some(150.0)),
        change("patch", ChangeKind::Patch { device: id("laptop"), into: id("router") }, Some(5.0)),
        change("spare", ChangeKind::Spare { part: id("router"), mttr: Seconds(3600.0) }, Some(100.0)),
        change("half", ChangeKind::Battery { supply: id("battery-ac-900va"), feeds: vec![id("router")] }, Some(150.0)),
        change("unpriced", ChangeKind::Spare { part: id("ont"), mttr: Seconds(3600.0) }, None),
        change("nonsense", ChangeKind::Spare { part: id("nothing"), mttr: Seconds(3600.0) }, Some(1.0)),
        change(
            "line",
            ChangeKind::SecondLine {
                line: Line { id: id("line-2"), kind: LineKind::Coax, ..home.site.lines[0].clone() },
                termination: id("modem-cable"),
            },
            Some(600.0),
        ),
    ];
    let ranked = home.ask(|m| m.rank(&changes));
    let of = |name: &str| ranked.iter().find(|r| r.id == id(name)).expect("the change");
    assert_eq!(ranked[0].id, id("patch"), "{ranked:?}");
    // A battery on the router alone saves nothing: the supply is one more thing, and the path is down all the same.
    assert!(of("half").work_minutes.expect("known").abs() < 1e-6);
    assert!(of("battery").work_minutes.expect("known") > 10.0);
    assert!(of("line").work_minutes.expect("known") > 100.0, "{:?}", of("line"));
    assert!(of("nonsense").problem.is_some());
    assert!(of("unpriced").work_minutes.is_some() && of("unpriced").work_minutes_per_unit.is_none());
    let suggested = home.ask(|m| m.suggested(&[id("battery-ac-900va")], Seconds(3600.0)));
    for name in ["battery-battery-ac-900va", "patch-laptop", "spare-router", "spare-ont", "spare-switch"] {
        assert!(suggested.iter().any(|c| c.id == id(name)), "{name}: {suggested:?}");
    }
}

#[test]
fn a_planner_can_ask_for_objective_and_constraint() {
    let home = full();
    let worst = home.ask(|m| m.worst_minutes()).expect("known");
    let runtime = home.ask(|m| m.protected_runtime()).expect("known");
    assert!(worst > 0.0 && runtime.0 > 600.0);
    assert_eq!(home.ask(|m| m.keeps(Some(worst + 1.0), Some(runtime))), Some(true));
    assert_eq!(home.ask(|m| m.keeps(Some(worst - 1.0), None)), Some(false));
    let laptop = home.ask(|m| m.minutes_down(ServiceKind::Connection, &id("laptop"))).expect("known");
    assert!(laptop[1] <= laptop[0] && laptop[0] <= laptop[2]);
    assert!(laptop[0] <= worst);
}

#[test]
fn remedies_are_edits_of_the_design() {
    let half = whole_path(vec![("router", from_battery())]);
    let outcome = half.evaluate();
    let gap = outcome.findings.iter().find(|f| f.rule == "resilience.battery-gap").expect("the finding");
    let edit = &gap.remedies[0].edits[0];
    let feeds: Vec<network::Feed> = serde_json::from_value(edit.value.clone().expect("a value")).expect("feeds");
    let mut mended = half.design.clone();
    assert_eq!(edit.path, "designs/d/feeds");
    mended.feeds = feeds;
    let after = run(&mended, &laptop(), &site());
    assert!(!after.findings.iter().any(|f| f.rule == "resilience.battery-gap"));
    assert!(minutes(&after, "laptop") < minutes(&outcome, "laptop"));
}

#[test]
fn results_survive_their_text() {
    let staying = full().staying();
    // 50 Wh at 15 W, generic figures of a laptop.
    let own = &staying.own_batteries[0];
    assert!(own.device == id("laptop") && own.is_generic && own.runtime == Some(Seconds(12_000.0)));
    let text = serde_json::to_string(&staying).expect("JSON");
    let back: Staying = serde_json::from_str(&text).expect("the same");
    assert_eq!(back, staying);
    let facts: Facts = serde_json::from_str("{}").expect("all may be left out");
    assert_eq!(facts, Facts::default());
    // The same on every run, to the bit.
    assert_eq!(serde_json::to_string(&full().staying()).expect("JSON"), text);
    let unused: Vec<Id> = full().ask(|m| m.what_if(&[Off::for_good(id("nothing"))])).without_effect;
    assert_eq!(unused, [id("nothing")]);
}

//! Every demo home, with an outlet in each room.

mod common;

use building::Resolved;
use cabling::{RouteTerms, route};
use common::{input, star};
use household::Household;
use job::Encoding;

const HOMES: [(&str, &str); 11] = [
    ("barn-conversion", include_str!("../../../demo/barn-conversion/job.toml")),
    ("bungalow-with-alarms", include_str!("../../../demo/bungalow-with-alarms/job.toml")),
    ("cottage", include_str!("../../../demo/cottage/job.toml")),
    ("flat-with-party-wall", include_str!("../../../demo/flat-with-party-wall/job.toml")),
    ("semi-detached-garden-office", include_str!("../../../demo/semi-detached-garden-office/job.toml")),
    ("split-level", include_str!("../../../demo/split-level/job.toml")),
    ("studio", include_str!("../../../demo/studio/job.toml")),
    ("three-generation-terrace", include_str!("../../../demo/three-generation-terrace/job.toml")),
    ("top-floor-rental", include_str!("../../../demo/top-floor-rental/job.toml")),
    ("two-storey", include_str!("../../../demo/two-storey/job.toml")),
    ("two-storey-basement", include_str!("../../../demo/two-storey-basement/job.toml")),
];

#[test]
fn an_outlet_in_each_room_of_every_demo_home_is_reached() {
    for (name, text) in HOMES {
        let job = job::parse(text, Encoding::Toml).unwrap_or_else(|e| panic!("{name}: {e}"));
        let home = Resolved::new(&job.building).unwrap_or_else(|f| panic!("{name}: {f:?}"));
        let design = star(&home, home.rooms.len());
        let routing = route(&home, &RouteTerms::for_site(&job.site), &input(&design, &Household::default()));
        let gap = routing.wiring.gap.as_ref().unwrap_or_else(|| panic!("{name}: nothing is laid"));
        let said: Vec<&str> = routing.findings.iter().map(|f| f.message.as_str()).collect();
        assert!(gap.found - gap.bound < 0.05 * gap.found, "{name}: {gap:?}");
        assert_eq!(routing.wiring.routes.len(), design.links.len(), "{name}: {said:?}");
        // With the household's own wish, what is not reached without drilling is said.
        let household = job.household.unwrap_or_default();
        let own = route(&home, &RouteTerms::for_site(&job.site), &input(&design, &household));
        let unreached = own.findings.iter().filter(|f| f.rule == "cabling.unreachable").count();
        assert_eq!(own.wiring.routes.len() + unreached, design.links.len(), "{name}");
    }
}

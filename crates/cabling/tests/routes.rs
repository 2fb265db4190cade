//! Routes in whole homes.

mod common;

use building::parametric::Construction;
use building::{Building, ExistingCable, NoGoReason, NoGoZone, Resolved, RoomUse};
use cabling::{Memory, Prepared, RouteTerms, Routing, route};
use common::{id, input, link, resolved, star, three_storeys};
use household::Household;
use network::Design;
use network::wiring::{HoleKind, Way};
use units::{Metres, Point2, Point3};

fn routed(home: &Resolved, design: &Design) -> Routing {
    route(home, &RouteTerms::default(), &input(design, &Household::default()))
}

fn rules(routing: &Routing) -> Vec<&str> {
    routing.findings.iter().map(|f| f.rule.as_str()).collect()
}

#[test]
fn forty_drops_in_three_storeys_are_routed_within_a_hundredth_of_the_least() {
    for construction in [Construction::TimberFrame, Construction::MasonryCavity, Construction::Concrete] {
        let home = resolved(&three_storeys(construction));
        let design = star(&home, 40);
        let routing = routed(&home, &design);
        let w = &routing.wiring;
        let gap = w.gap.as_ref().expect("a gap");
        assert_eq!(w.routes.len(), 40, "{construction:?}: {:?}", routing.findings);
        assert!(gap.bound <= gap.found && gap.found - gap.bound < 0.01 * gap.found, "{construction:?}: {gap:?}");
        eprintln!(
            "{construction:?}: {gap:?}, {} places, {} ways, {} holes",
            w.graph_places,
            w.graph_ways,
            w.holes.len()
        );
    }
}

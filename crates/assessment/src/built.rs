//! How a design is built: cables through the building, what they bear, and what all of it costs.

use cabling::WireSheet;
use cabling::pathways::Effort;
use cabling::routes::{Memory, Prepared, RouteInput, RouteTerms};
use cost::Quote;
use findings::Finding;
use network::Design;
use network::results::Caution;
use network::wiring::Wiring;

use crate::evaluator::Evaluator;
use crate::home::Home;
use crate::{buildings, wires};

/// How the cables of a design run and what they bear.
#[derive(Clone, Debug)]
pub struct Wired {
    /// How fixed cables run.
    pub wiring: Wiring,
    /// What each cable, port, supply, bundle and panel bears.
    pub wires: WireSheet,
    /// What is wrong with either.
    pub findings: Vec<Finding>,
}

impl Evaluator {
    /// Routes of a design's cables, and what its wires bear.
    #[must_use]
    pub fn wired(&self, design: &Design) -> Wired {
        let home = self.home();
        let terms = RouteTerms::for_site(&home.site);
        let prepared = Prepared::new(&home.resolved, &terms);
        let input = RouteInput { design, household: &home.household, effort: Effort::default() };
        let routing = prepared.route(&input, &Memory::default());
        let bears = wires::bears(home, design, &routing.wiring);
        let mut findings = routing.findings;
        findings.extend(bears.findings);
        findings.extend(buildings::between_buildings(home, design));
        Wired { wiring: routing.wiring, wires: bears.sheet, findings }
    }

    /// Take-off, work and price of a design, and what the work needs care with.
    #[must_use]
    pub fn quote(&self, design: &Design) -> (Quote, Vec<Caution>) {
        quoted(self.home(), design, &self.wired(design).wiring)
    }
}

/// Take-off, work and price by the routes of the cables.
pub(crate) fn quoted(home: &Home, design: &Design, wiring: &Wiring) -> (Quote, Vec<Caution>) {
    let input = cost::Input {
        design,
        wiring,
        resolved: &home.resolved,
        catalog: &home.catalog,
        prices: &home.prices,
        household: &home.household,
        site: &home.site,
        terms: &home.terms,
    };
    let quote = cost::evaluate(&input);
    let cautions = cost::cautions(&input, &quote);
    (quote, cautions)
}

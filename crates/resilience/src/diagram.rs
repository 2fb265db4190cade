//! A structure as a binary decision diagram: probability, importances and minimal cut sets without approximation.

use std::collections::BTreeMap;

use biodivine_lib_bdd::{Bdd, BddPartialValuation, BddVariable, BddVariableSet, op_function};

use crate::structure::{Structure, TooComplex};

/// Largest diagram that is built [nodes]. Home networks need some hundred; the limit keeps a hostile one from filling
/// the memory.
pub const MAX_NODES: usize = 200_000;

/// Most minimal cut sets that are kept of one node of a diagram; beyond it their order is lowered.
const MAX_CUTS: usize = 20_000;

/// Highest order of cut sets that are listed.
pub const CUT_ORDER: usize = 3;

/// One decision: a component, and where to go if it is down or up.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Node {
    component: usize,
    down: usize,
    up: usize,
}

/// A structure, ready to be asked about.
///
/// # Model
/// Ordered and reduced: each node asks for one component, in rising order of the components' numbers; two equal nodes
/// are one. Nodes stand after those that they lead to; 0 is "the service is down", 1 "it is up".
///
/// # References
/// R. E. Bryant, "Graph-based algorithms for Boolean function manipulation", IEEE Transactions on Computers, 1986;
/// A. Rauzy, "New algorithms for fault trees analysis", Reliability Engineering and System Safety, 1993.
#[derive(Clone, Debug, PartialEq)]
pub struct Diagram {
    nodes: Vec<Node>,
    root: usize,
}

/// Minimal cut sets: components that together bring the service down, none of which can be left out.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Cuts {
    /// The sets, fewest components first, then by component.
    pub sets: Vec<Vec<usize>>,
    /// Up to how many components all sets are listed.
    pub complete_to: usize,
}

impl Diagram {
    /// The diagram of a structure.
    ///
    /// # Errors
    /// [`TooComplex`] if it would need more than [`MAX_NODES`] nodes.
    ///
    /// # Example
    /// ```
    /// use resilience::{Diagram, Structure::{All, Any, Part}};
    /// let diagram = Diagram::of(&All(vec![Part(0), Any(vec![Part(1), Part(2)])])).unwrap();
    /// assert!((diagram.probability(&[0.9, 0.5, 0.5]) - 0.9 * 0.75).abs() < 1e-15);
    /// assert_eq!(diagram.cuts(3).sets, [vec![0], vec![1, 2]]);
    /// ```
    pub fn of(structure: &Structure) -> Result<Self, TooComplex> {
        Maker::over(structure.components())?.diagram(structure)
    }

    /// Copies the reachable nodes, so that later passes are plain loops.
    fn taken_from(bdd: &Bdd, components: &[usize]) -> Self {
        let terminal = Node { component: usize::MAX, down: 0, up: 0 };
        let mut nodes = vec![terminal, Node { down: 1, up: 1, ..terminal }];
        let mut at = vec![None; bdd.size().max(2)];
        at[0] = Some(0);
        at[1] = Some(1);
        let mut stack = vec![bdd.root_pointer()];
        while let Some(&pointer) = stack.last() {
            let index = pointer.to_index();
            if at.get(index).copied().flatten().is_some() {
                stack.pop();
                continue;
            }
            let (low, high) = (bdd.low_link_of(pointer), bdd.high_link_of(pointer));
            let known = |p: usize| at.get(p).copied().flatten();
            match (known(low.to_index()), known(high.to_index())) {
                (Some(down), Some(up)) => {
                    let component = components.get(bdd.var_of(pointer).to_index()).copied().unwrap_or(usize::MAX);
                    nodes.push(Node { component, down, up });
                    if let Some(place) = at.get_mut(index) {
                        *place = Some(nodes.len() - 1);
                    }
                    stack.pop();
                }
                (down, up) => {
                    if down.is_none() {
                        stack.push(low);
                    }
                    if up.is_none() {
                        stack.push(high);
                    }
                }
            }
        }
        let root = at.get(bdd.root_pointer().to_index()).copied().flatten().unwrap_or(0);
        Self { nodes, root }
    }

    /// How many decisions it has.
    #[must_use]
    pub fn num_nodes(&self) -> usize {
        self.nodes.len() - 2
    }

    /// The components that matter, rising. Those of the structure that change nothing are left out.
    #[must_use]
    pub fn components(&self) -> Vec<usize> {
        let mut all: Vec<usize> = self.nodes.iter().skip(2).map(|n| n.component).collect();
        all.sort_unstable();
        all.dedup();
        all
    }

    /// Probability that the service is up; a component without a probability counts as down.
    #[must_use]
    pub fn probability(&self, up: &[f64]) -> f64 {
        self.probabilities(up).get(self.root).copied().unwrap_or(0.0)
    }

    /// Probabilities for several states of what is known, in order.
    pub(crate) fn probabilities_of(&self, ups: &[Vec<f64>]) -> Vec<f64> {
        let mut values = Vec::with_capacity(self.nodes.len());
        let one = |up: &Vec<f64>| {
            self.fill(up, &mut values);
            values.get(self.root).copied().unwrap_or(0.0)
        };
        ups.iter().map(one).collect()
    }

    fn probabilities(&self, up: &[f64]) -> Vec<f64> {
        let mut values = Vec::with_capacity(self.nodes.len());
        self.fill(up, &mut values);
        values
    }

    fn fill(&self, up: &[f64], values: &mut Vec<f64>) {
        values.clear();
        values.extend([0.0, 1.0]);
        for node in self.nodes.iter().skip(2) {
            let p = up.get(node.component).copied().unwrap_or(0.0);
            let value = p * values[node.up] + (1.0 - p) * values[node.down];
            values.push(value);
        }
    }

    /// Birnbaum importance of each component that matters: the service's probability with it up, less that with it down.
    ///
    /// # Model
    /// One pass upwards for the probability of each node, one downwards for that of reaching it; a component's importance
    /// is the sum over its nodes of reach × (value if up − value if down).
    ///
    /// # References
    /// Z. W. Birnbaum, "On the importance of different components in a multicomponent system", 1969 (from memory).
    #[must_use]
    pub fn birnbaum(&self, up: &[f64]) -> Vec<(usize, f64)> {
        let values = self.probabilities(up);
        let mut reach = vec![0.0; self.nodes.len()];
        if let Some(root) = reach.get_mut(self.root) {
            *root = 1.0;
        }
        let components = self.components();
        let mut importance = vec![0.0; components.len()];
        for (index, node) in self.nodes.iter().enumerate().skip(2).rev() {
            let p = up.get(node.component).copied().unwrap_or(0.0);
            let here = reach[index];
            reach[node.up] += here * p;
            reach[node.down] += here * (1.0 - p);
            if let Ok(place) = components.binary_search(&node.component) {
                importance[place] += here * (values[node.up] - values[node.down]);
            }
        }
        components.into_iter().zip(importance).collect()
    }

    /// True if the service is up with the given components up.
    #[must_use]
    pub fn holds(&self, is_up: &dyn Fn(usize) -> bool) -> bool {
        let mut at = self.root;
        while at > 1 {
            let Some(node) = self.nodes.get(at) else { return false };
            at = if is_up(node.component) { node.up } else { node.down };
        }
        at == 1
    }

    /// All minimal cut sets of up to `order` components, which [`CUT_ORDER`] caps.
    ///
    /// # Model
    /// From the nodes upwards: what cuts the branch where the component is up, and the component with what cuts the
    /// branch where it is down and is no cut without it. Exact, because no component's failure helps a service.
    #[must_use]
    pub fn cuts(&self, order: usize) -> Cuts {
        let mut order = order.min(CUT_ORDER);
        loop {
            match self.cuts_of(order) {
                Some(mut sets) => {
                    sets.sort_by(|a, b| a.len().cmp(&b.len()).then_with(|| a.cmp(b)));
                    return Cuts { sets, complete_to: order };
                }
                None if order > 1 => order -= 1,
                None => return Cuts::default(),
            }
        }
    }

    fn cuts_of(&self, order: usize) -> Option<Vec<Vec<usize>>> {
        // Of a service that is down already the empty set is a cut; one that is up for good has none.
        let mut cuts: Vec<Vec<Short>> = vec![vec![EMPTY], Vec::new()];
        for node in self.nodes.iter().skip(2) {
            let (if_down, if_up) = (&cuts[node.down], &cuts[node.up]);
            // The component stands before all that the branches ask for, so that in this order the sets are sorted.
            let mut here = Vec::with_capacity(if_down.len() + if_up.len());
            let new = if_down.iter().filter(|set| length(set) < order && !contains_one_of(set, if_up));
            here.extend(new.map(|set| [node.component, set[0], set[1]]));
            here.extend_from_slice(if_up);
            if here.len() > MAX_CUTS {
                return None;
            }
            cuts.push(here);
        }
        let sets = cuts.into_iter().nth(self.root)?;
        Some(sets.iter().map(|set| set[..length(set)].to_vec()).collect())
    }
}

/// A set of up to [`CUT_ORDER`] components, rising, the rest filled with [`NONE`].
type Short = [usize; CUT_ORDER];
const NONE: usize = usize::MAX;
const EMPTY: Short = [NONE; CUT_ORDER];

fn length(set: &Short) -> usize {
    set.iter().take_while(|c| **c != NONE).count()
}

/// True if one of the sorted sets is part of this set of at most two: all its parts are looked up.
fn contains_one_of(set: &Short, sets: &[Short]) -> bool {
    let [first, second, _] = *set;
    let parts = [EMPTY, [first, NONE, NONE], [second, NONE, NONE], [first, second, NONE]];
    parts.iter().any(|part| sets.binary_search(part).is_ok())
}

/// Makes diagrams of structures over one set of components, each branch once.
pub(crate) struct Maker {
    set: BddVariableSet,
    variables: Vec<BddVariable>,
    components: Vec<usize>,
    made: BTreeMap<Structure, Bdd>,
}

impl Maker {
    /// Over these components, which rise.
    pub fn over(components: Vec<usize>) -> Result<Self, TooComplex> {
        // The library numbers variables in 16 bits and keeps the last numbers for itself.
        let num = u16::try_from(components.len()).ok().filter(|n| *n < u16::MAX - 1).ok_or(TooComplex)?;
        let set = BddVariableSet::new_anonymous(num);
        let variables = set.variables();
        Ok(Self { set, variables, components, made: BTreeMap::new() })
    }

    /// The diagram of a structure of them.
    pub fn diagram(&mut self, structure: &Structure) -> Result<Diagram, TooComplex> {
        let bdd = self.build(structure)?;
        Ok(Diagram::taken_from(&bdd, &self.components))
    }

    fn variable(&self, component: usize) -> Option<BddVariable> {
        let position = self.components.binary_search(&component).ok()?;
        self.variables.get(position).copied()
    }

    fn build(&mut self, structure: &Structure) -> Result<Bdd, TooComplex> {
        if let Some(made) = self.made.get(structure) {
            return Ok(made.clone());
        }
        let made = match structure {
            Structure::Part(_) => self.joined(std::slice::from_ref(structure), true),
            Structure::All(parts) => self.joined(parts, true),
            Structure::Any(parts) => self.joined(parts, false),
        }?;
        self.made.insert(structure.clone(), made.clone());
        Ok(made)
    }

    /// All, or any, of several: plain components at once, which costs one pass, then the rest one after the other.
    fn joined(&mut self, parts: &[Structure], all: bool) -> Result<Bdd, TooComplex> {
        let mut plain = BddPartialValuation::empty();
        for part in parts {
            if let Structure::Part(component) = part {
                plain.set_value(self.variable(*component).ok_or(TooComplex)?, true);
            }
        }
        let mut whole =
            if all { self.set.mk_conjunctive_clause(&plain) } else { self.set.mk_disjunctive_clause(&plain) };
        for part in parts.iter().rev().filter(|p| !matches!(p, Structure::Part(_))) {
            let part = self.build(part)?;
            let next = if all {
                Bdd::binary_op_with_limit(MAX_NODES, &part, &whole, op_function::and)
            } else {
                Bdd::binary_op_with_limit(MAX_NODES, &part, &whole, op_function::or)
            };
            whole = next.ok_or(TooComplex)?;
        }
        Ok(whole)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Structure::{All, Any, Part};

    #[test]
    fn what_is_certain_has_no_nodes() {
        assert_eq!(Diagram::of(&All(vec![])).map(|d| d.probability(&[])), Ok(1.0));
        assert_eq!(Diagram::of(&Any(vec![])).map(|d| d.probability(&[])), Ok(0.0));
        assert!(Diagram::of(&All(vec![])).is_ok_and(|d| d.cuts(3).sets.is_empty()));
        assert_eq!(Diagram::of(&Any(vec![])).map(|d| d.cuts(3).sets), Ok(vec![Vec::<usize>::new()]));
    }

    #[test]
    fn two_of_three_has_three_cuts_of_two() {
        let pair = |a, b| All(vec![Part(a), Part(b)]);
        let two = Diagram::of(&Any(vec![pair(0, 1), pair(1, 2), pair(0, 2)]));
        assert_eq!(two.map(|d| d.cuts(3).sets), Ok(vec![vec![0, 1], vec![0, 2], vec![1, 2]]));
    }
}

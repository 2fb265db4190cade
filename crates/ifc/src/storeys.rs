//! Storeys with their elevations.

use crate::ImportError;
use crate::entity::Entity;
use crate::geometry::Geometry;
use crate::report::Collector;

/// A storey of the model.
#[derive(Clone, Debug)]
pub(crate) struct Level {
    /// Its instance; none if the model has no storeys.
    pub entity: Option<u32>,
    pub id: String,
    pub global_id: Option<String>,
    pub name: String,
    /// Finished floor in the model's coordinates [m].
    pub z: f64,
}

impl<'m> Geometry<'m> {
    /// Storeys by rising elevation; one if the model has none.
    pub fn levels(&self, report: &mut Collector) -> Result<Vec<Level>, ImportError> {
        let mut levels = Vec::new();
        for e in self.model.all(&["IFCBUILDINGSTOREY"]) {
            let placed = self.model.placement(e)?.origin[2];
            let name = e.text(2).or_else(|| e.text(7)).unwrap_or_else(|| format!("Storey {}", levels.len() + 1));
            // Elevation is relative to the building; the placement is what the geometry follows.
            let base = self.model.above(e.index, &["IFCBUILDING"]).map(|b| self.model.placement(b)).transpose()?;
            let stated = e.real(9).map(|z| z * self.model.metre + base.map_or(0., |b| b.origin[2]));
            let z = if e.entity(5).is_some() { placed } else { stated.unwrap_or(placed) };
            if stated.is_some_and(|s| (s - z).abs() > 0.01) {
                report.guessed(
                    "storeys whose stated elevation and placement differ",
                    "the placement is taken, since the walls follow it",
                    name.clone(),
                );
            }
            let (id, global_id) = (String::new(), Some(e.global_id()));
            levels.push(Level { entity: Some(e.index), id, global_id, name, z });
        }
        if levels.is_empty() {
            report.guess("one storey", "the model has no storeys; the walls' feet give its floor");
            let name = "Storey 1".to_owned();
            levels.push(Level { entity: None, id: String::new(), global_id: None, name, z: 0. });
        }
        levels.sort_by(|a, b| a.z.total_cmp(&b.z));
        for i in 0..levels.len() {
            let wanted = findings::Id::from_label(&levels[i].name).as_str().to_owned();
            levels[i].id = unique(&wanted, |id| levels.iter().any(|l| l.id == id));
        }
        Ok(levels)
    }

    /// The storey that holds an element: by its relation, else by its height [m].
    pub fn level_of(&self, element: Entity<'m>, foot: f64, levels: &[Level]) -> usize {
        let contained = self.model.above(element.index, &["IFCBUILDINGSTOREY"]).map(|s| s.index);
        let found = contained.and_then(|s| levels.iter().position(|l| l.entity == Some(s)));
        found.unwrap_or_else(|| level_at(foot, levels))
    }
}

/// The highest storey whose floor is not above a height, half a metre allowed [m].
pub(crate) fn level_at(z: f64, levels: &[Level]) -> usize {
    levels.iter().rposition(|l| l.z <= z + 0.5).unwrap_or(0)
}

/// A name that is not taken, with a number after it if need be.
pub(crate) fn unique(wanted: &str, is_taken: impl Fn(&str) -> bool) -> String {
    if !is_taken(wanted) {
        return wanted.to_owned();
    }
    let stem: String = wanted.chars().take(56).collect();
    (2..).map(|n| format!("{stem}-{n}")).find(|id| !is_taken(id)).unwrap_or_else(|| wanted.to_owned())
}

//! From an imported home to a whole job: a stated default household and service, and notes that say how it came about.

use building::Resolved;
use household::default_household;
use job::{Equipment, FORMAT, GUESSED, Job};
use site::Site;

use crate::Import;

/// Where a home was imported from.
#[derive(Clone, Copy, Debug)]
pub struct Origin<'a> {
    /// Name of the architect's model, with its ending.
    pub architecture: &'a str,
    /// Name of the electrical model.
    pub electrical: Option<&'a str>,
    /// The dwelling that was chosen.
    pub dwelling: Option<&'a str>,
}

impl Import {
    /// The job of the home, and what was assumed because nobody was asked, in plain sentences.
    ///
    /// The household is the stated default one, and so is the service of the site that is given; each says so.
    #[must_use]
    pub fn to_job(&self, origin: Origin<'_>, site: Site) -> (Job, Vec<String>) {
        let mut rooms: Vec<_> = self.building.rooms.iter().map(|r| (r.id.clone(), r.usage, r.name.clone())).collect();
        if rooms.is_empty()
            && let Ok(resolved) = Resolved::new(&self.building)
        {
            rooms = resolved.rooms.iter().map(|r| (r.id.clone(), r.usage, r.name.clone())).collect();
        }
        let household = default_household(&rooms);
        let country = site::country_name(&site.country).unwrap_or_default();
        let mut notes = vec![format!(
            "The site was not asked; {country}, prices in {} and the date {} were assumed.",
            site.currency, site.date
        )];
        notes.extend(Site::default_assumptions());
        let mut assumptions = notes.clone();
        assumptions.extend(household.assumptions.iter().cloned());
        let mut from = format!("Imported from {}", origin.architecture);
        if let Some(electrical) = origin.electrical {
            from.push_str(&format!(" with {electrical}"));
        }
        if let Some(dwelling) = origin.dwelling {
            from.push_str(&format!(", dwelling {dwelling}"));
        }
        let mut all_notes = vec![format!("{from}.")];
        all_notes.extend(self.report.guessed.iter().map(|entry| format!("{GUESSED}{}.", entry.sentence())));
        all_notes.extend(notes);
        let stem = origin.architecture.rsplit_once('.').map_or(origin.architecture, |(stem, _)| stem);
        let stem = if stem.is_empty() { "home" } else { stem };
        let job = Job {
            format: FORMAT.to_owned(),
            name: origin.dwelling.map_or_else(|| stem.to_owned(), |dwelling| format!("{stem}, dwelling {dwelling}")),
            notes: all_notes,
            site,
            household: Some(household),
            equipment: Equipment::default(),
            terms: None,
            building: self.building.clone(),
            designs: Vec::new(),
        };
        (job, assumptions)
    }
}

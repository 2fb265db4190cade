//! `wallplate show`: what is in a job.

mod home;
mod people;

use building::Resolved;
use equipment::Catalog;
use job::Job;
use serde_json::{Value, json};

use super::load;
use crate::answer::{Answer, End, Failure, value};
use crate::args::{Section, Show};
use crate::render::table::Table;
use crate::render::text::Page;

/// Shows one section, or all in brief. A job that cannot be computed on is shown as far as it goes.
pub fn run(args: &Show, json: bool) -> Result<Answer, Failure> {
    let job = load(&args.job)?;
    let resolved = Resolved::new(&job.building).ok();
    let shown = Shown { job: &job, resolved: resolved.as_ref() };
    Ok(Answer::new(json, || shown.json(args.section), || shown.text(args.section), End::Clean))
}

/// A job and what could be derived from it.
struct Shown<'a> {
    job: &'a Job,
    resolved: Option<&'a Resolved>,
}

impl Shown<'_> {
    fn text(&self, section: Section) -> String {
        let mut page = Page::new();
        if self.resolved.is_none() {
            page.paragraph("This job cannot be computed on; `wallplate check` says why. It is shown as it is written.");
        }
        match section {
            Section::Overview => home::overview(self, &mut page),
            Section::Storeys => home::storeys(self, &mut page),
            Section::Rooms => home::rooms(self, &mut page),
            Section::Walls => home::walls(self, &mut page),
            Section::Openings => home::openings(self, &mut page),
            Section::Slabs => home::slabs(self, &mut page),
            Section::Outlets => home::outlets(self, &mut page),
            Section::Objects => home::objects(self, &mut page),
            Section::Assemblies => home::assemblies(self, &mut page),
            Section::Materials => home::materials(self, &mut page),
            Section::Household => people::household(self, &mut page),
            Section::Site => people::site(self, &mut page),
            Section::Equipment => people::equipment(self, &mut page),
            Section::Designs => people::designs(self, &mut page),
            Section::Notes => people::notes(self, &mut page),
        }
        page.finish()
    }

    fn json(&self, section: Section) -> Value {
        let building = &self.job.building;
        match section {
            Section::Overview => json!({
                "name": self.job.name,
                "storeys": building.storeys.len(),
                "rooms": self.rooms_json(),
                "walls": building.walls.len(),
                "openings": building.openings.len(),
                "slabs": building.slabs.len(),
                "outlets": building.outlets.len(),
                "designs": self.job.designs.len(),
                "notes": self.job.notes,
            }),
            Section::Storeys => json!({"storeys": value(&building.storeys)}),
            Section::Rooms => json!({"rooms": self.rooms_json()}),
            Section::Walls => json!({"walls": value(&building.walls)}),
            Section::Openings => json!({"openings": value(&building.openings)}),
            Section::Slabs => json!({"slabs": value(&building.slabs)}),
            Section::Outlets => {
                json!({"outlets": value(&building.outlets), "demarcation": value(&building.demarcation)})
            }
            Section::Objects => json!({"fixed_objects": value(&building.fixed_objects)}),
            Section::Assemblies => json!({"assemblies": value(&home::used_assemblies(building))}),
            Section::Materials => json!({"materials": value(&home::used_materials(building))}),
            Section::Household => {
                json!({"household": value(&self.household().0), "stated_default": self.household().1})
            }
            Section::Site => json!({"site": value(&self.job.site)}),
            Section::Equipment => json!({"parts": value(&self.parts())}),
            Section::Designs => json!({"designs": value(&self.job.designs)}),
            Section::Notes => json!({"notes": self.job.notes}),
        }
    }

    /// Rooms as derived, or as written.
    fn rooms_json(&self) -> Value {
        let Some(resolved) = self.resolved else { return value(&self.job.building.rooms) };
        let room = |r: &building::ResolvedRoom| {
            json!({
                "id": r.id,
                "name": r.name,
                "storey": resolved.storeys.get(r.storey).map(|s| s.id.clone()),
                "use": value(&r.usage),
                "area": r.area,
                "stated_area": self.stated_area(&r.id),
            })
        };
        resolved.rooms.iter().map(room).collect()
    }

    /// The floor area that the model states for a room.
    fn stated_area(&self, room: &findings::Id) -> Option<units::SquareMetres> {
        self.job.building.rooms.iter().find(|r| &r.id == room).and_then(|r| r.stated_area)
    }

    /// The household, and true if it is the stated default because the job has none.
    fn household(&self) -> (household::Household, bool) {
        match (&self.job.household, self.resolved) {
            (Some(household), _) => (household.clone(), false),
            (None, resolved) => {
                let rooms: Vec<_> = resolved
                    .map(|r| r.rooms.iter().map(|r| (r.id.clone(), r.usage, r.name.clone())).collect())
                    .unwrap_or_default();
                (household::default_household(&rooms), true)
            }
        }
    }

    /// Every part that a design can use.
    fn parts(&self) -> Vec<equipment::Part> {
        let catalog = Catalog::with(&self.job.equipment.parts).unwrap_or_default();
        catalog.iter().cloned().collect()
    }
}

/// The word that a value has in a job document.
fn word(data: &impl serde::Serialize) -> String {
    match value(data) {
        Value::String(word) => word,
        other => other.to_string(),
    }
}

fn put(page: &mut Page, table: &Table, empty: &str) {
    if table.is_empty() {
        page.paragraph(empty);
        return;
    }
    table.lines(page.width()).iter().for_each(|line| page.line(line));
}

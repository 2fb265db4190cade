//! What a plan assumed because the job does not say it.

use assessment::Home;
use job::Job;

/// What was assumed for a home: by the program now, and by whoever made the job, which its notes tell.
///
/// Notes on guesses ([`job::GUESSED`]) are counted, not repeated: an import can have hundreds.
#[must_use]
pub fn assumptions(job: &Job, home: &Home) -> Vec<String> {
    let mut assumptions = home.assumptions.clone();
    let (guesses, notes): (Vec<&String>, Vec<&String>) = job.notes.iter().partition(|n| n.starts_with(job::GUESSED));
    for note in notes {
        if !assumptions.contains(note) {
            assumptions.push(note.clone());
        }
    }
    match guesses.len() {
        0 => {}
        1 => assumptions.push("One thing of the model was guessed by a rule; the job's notes say which.".to_owned()),
        num => assumptions.push(format!("Things of the model were guessed by {num} rules; the job's notes list them.")),
    }
    assumptions
}

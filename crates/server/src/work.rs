//! Work that takes time: off the threads that answer, so many at once as there are cores, kept by job and revision.

mod plan;

use std::collections::BTreeMap;
use std::num::NonZero;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::thread::available_parallelism;

use assessment::{Evaluator, Home};
use findings::{Cancelled, Progress};
use job::Job;
use store::{JobId, Record, Store};
use tokio::sync::{OnceCell, Semaphore};

use crate::house::{self, House};
use crate::problem::{self, Problem};
pub use plan::Report;

/// Jobs whose results are kept; each holds maps of every place that was looked at, some tens of megabytes.
const KEPT: usize = 6;

/// What is being computed or was.
pub struct Works {
    store: Store,
    shelf: Mutex<Shelf>,
    threads: Threads,
}

/// How much is computed at once: long work leaves room for what a person waits for while it runs.
#[derive(Clone)]
pub(crate) struct Threads {
    short: Arc<Semaphore>,
    long: Arc<Semaphore>,
}

#[derive(Default)]
struct Shelf {
    /// The jobs whose results are kept, the one used last at the end.
    kept: Vec<Arc<Work>>,
    /// What was kept of jobs before their last edits: what those did not touch is taken over.
    before: BTreeMap<JobId, Arc<Work>>,
    /// The newest revision of each job that anyone was told of; what is older is not shown any more.
    revisions: BTreeMap<JobId, u64>,
}

/// A job at a revision, and what was computed of it.
pub struct Work {
    /// The job's record.
    pub record: Record,
    /// Its document.
    pub job: Arc<Job>,
    threads: Threads,
    /// The home with its engines before the last edits, until there is one of its own.
    known: Mutex<Option<Arc<Evaluator>>>,
    house: OnceCell<Result<Arc<House>, Problem>>,
    evaluator: OnceCell<Result<Arc<Evaluator>, Problem>>,
    plan: plan::Planning,
}

impl Works {
    /// Nothing computed yet.
    pub fn new(store: Store) -> Self {
        let num_cores = available_parallelism().map_or(2, NonZero::get);
        let semaphore = || Arc::new(Semaphore::new(num_cores));
        Self { store, shelf: Mutex::default(), threads: Threads { short: semaphore(), long: semaphore() } }
    }

    fn shelf(&self) -> MutexGuard<'_, Shelf> {
        self.shelf.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// The job as it is now.
    pub async fn of(&self, id: JobId) -> Result<Arc<Work>, Problem> {
        if let Some(work) = self.shelf().take_up(id) {
            return Ok(work);
        }
        let (record, job) = self.store.get(id).await?;
        let before = self.shelf().before.get(&id).cloned();
        let work = Arc::new(Work::new(record, job, self.threads.clone(), before.as_deref()));
        Ok(self.shelf().put(work))
    }

    /// Notes that a job has a new revision: what is computed for older ones is not wanted any more.
    pub fn expect(&self, id: JobId, revision: u64) {
        let mut shelf = self.shelf();
        let newest = shelf.revisions.entry(id).or_default();
        *newest = revision.max(*newest);
        let newest = *newest;
        let is_old = |work: &Arc<Work>| work.record.id == id && work.record.revision < newest;
        if let Some(at) = shelf.kept.iter().position(is_old) {
            let old = shelf.kept.remove(at);
            old.plan.supersede();
            shelf.before.insert(id, old);
            if shelf.before.len() > KEPT {
                shelf.before.pop_first();
            }
        }
    }

    /// Runs work on a thread of its own once one is free.
    pub async fn run<T: Send + 'static>(&self, work: impl FnOnce() -> T + Send + 'static) -> Result<T, Problem> {
        run(&self.threads.short, work).await
    }

    /// As [`Self::run`], for work of more than a second or so.
    pub async fn run_long<T: Send + 'static>(&self, work: impl FnOnce() -> T + Send + 'static) -> Result<T, Problem> {
        run(&self.threads.long, work).await
    }
}

impl Shelf {
    fn take_up(&mut self, id: JobId) -> Option<Arc<Work>> {
        let at = self.kept.iter().position(|work| work.record.id == id)?;
        let work = self.kept.remove(at);
        self.kept.push(work.clone());
        Some(work)
    }

    /// Keeps what was read, unless somebody else kept the same or an edit has overtaken it.
    fn put(&mut self, work: Arc<Work>) -> Arc<Work> {
        let (id, revision) = (work.record.id, work.record.revision);
        if let Some(other) = self.take_up(id) {
            if other.record.revision >= revision {
                return other;
            }
            other.plan.supersede();
            self.kept.retain(|work| work.record.id != id);
        }
        if self.revisions.get(&id).is_none_or(|newest| revision >= *newest) {
            self.before.remove(&id);
            self.kept.push(work.clone());
            if self.kept.len() > KEPT {
                self.kept.remove(0);
            }
        }
        work
    }
}

/// Held by who asks for something; the work ends when it is dropped.
pub struct Asked(Arc<AtomicBool>);

/// Ends work that nobody asks for any more.
#[derive(Clone)]
pub struct Stop(Arc<AtomicBool>);

impl Asked {
    /// Something is asked for.
    pub fn new() -> (Self, Stop) {
        let is_over = Arc::new(AtomicBool::new(false));
        (Self(is_over.clone()), Stop(is_over))
    }
}

impl Drop for Asked {
    fn drop(&mut self) {
        self.0.store(true, Ordering::SeqCst);
    }
}

impl Progress for Stop {
    fn step(&self, _: &str, _: u64, _: u64) -> Result<(), Cancelled> {
        if self.0.load(Ordering::SeqCst) { Err(Cancelled) } else { Ok(()) }
    }
}

/// Runs work on a thread of its own once one is free.
async fn run<T: Send + 'static>(
    threads: &Arc<Semaphore>,
    work: impl FnOnce() -> T + Send + 'static,
) -> Result<T, Problem> {
    let permit = threads.clone().acquire_owned().await.map_err(|e| Problem::internal(&e))?;
    let running = tokio::task::spawn_blocking(move || {
        let result = work();
        drop(permit);
        result
    });
    running.await.map_err(|error| Problem::internal(&format!("computing failed: {error}")))
}

impl Work {
    /// Nothing computed yet, but what an earlier revision of the same home knows.
    fn new(record: Record, job: Job, threads: Threads, before: Option<&Work>) -> Self {
        let known = before.and_then(Work::latest_evaluator);
        let before = before.filter(|before| is_same_home(&before.job, &job));
        let evaluator = before.and_then(|before| before.evaluator.get().cloned());
        Self {
            known: Mutex::new(known),
            record,
            job: Arc::new(job),
            threads,
            house: OnceCell::new(),
            evaluator: OnceCell::new_with(evaluator),
            plan: before.map(|before| before.plan.finished()).unwrap_or_default(),
        }
    }

    /// Runs work on a thread of its own once one is free.
    pub async fn run<T: Send + 'static>(&self, work: impl FnOnce() -> T + Send + 'static) -> Result<T, Problem> {
        run(&self.threads.short, work).await
    }

    fn known(&self) -> MutexGuard<'_, Option<Arc<Evaluator>>> {
        self.known.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// The home with its engines, of this revision or the last one before that had any.
    fn latest_evaluator(&self) -> Option<Arc<Evaluator>> {
        let own = self.evaluator.get().and_then(|own| own.as_ref().ok().cloned());
        own.or_else(|| self.known().clone())
    }

    /// The home as drawn.
    pub async fn house(&self) -> Result<Arc<House>, Problem> {
        let draw = async || {
            let (job, revision) = (self.job.clone(), self.record.revision);
            let drawn = self.run(move || house::draw(&job, revision)).await?;
            drawn.map(Arc::new).map_err(|findings| Problem::of_findings(&findings))
        };
        self.house.get_or_init(draw).await.clone()
    }

    /// The home with its engines.
    pub async fn evaluator(&self) -> Result<Arc<Evaluator>, Problem> {
        let prepare = async || {
            let (job, known) = (self.job.clone(), self.known().take());
            let prepare = move || {
                let home = Arc::new(Home::new(&job)?);
                match known {
                    Some(known) => known.after_edit(home),
                    None => Evaluator::new(home),
                }
            };
            let prepared = self.run(prepare).await?;
            prepared.map(Arc::new).map_err(Problem::from)
        };
        self.evaluator.get_or_init(prepare).await.clone()
    }

    /// A design of the job: one that it keeps, by its id, or an option of its plan, by its hash.
    pub async fn design(&self, id: &str) -> Result<Arc<network::Design>, Problem> {
        if let Some(kept) = self.job.designs.iter().find(|d| d.id.as_str() == id) {
            return Ok(Arc::new(kept.clone()));
        }
        let plan = self.plan().await?;
        plan.options
            .iter()
            .find(|o| o.id.as_str() == id)
            .map(|o| Arc::new(o.design.clone()))
            .ok_or_else(|| no_design(id))
    }
}

/// Whether two jobs differ in the designs that they keep at most: what is computed of the home, and the plan for it, does
/// not look at those.
fn is_same_home(a: &Job, b: &Job) -> bool {
    let Job { format, name, notes, site, household, equipment, terms, building, designs: _ } = a;
    (format, name, notes, site, household, equipment, terms, building)
        == (&b.format, &b.name, &b.notes, &b.site, &b.household, &b.equipment, &b.terms, &b.building)
}

/// The refusal of a design that the job does not have.
pub fn no_design(id: &str) -> Problem {
    let id: String = id.chars().take(80).collect();
    let message =
        format!("there is no design or option `{id}` of this job as it is now; plan again and name one of those");
    Problem::of_field(problem::MISSING, "design", message)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[tokio::test]
    async fn work_that_panics_is_a_problem_and_gives_its_thread_back() {
        let threads = Arc::new(Semaphore::new(1));
        for _ in 0..3 {
            let failed = run(&threads, || -> u32 { panic!("secret detail") }).await.unwrap_err();
            assert!(failed.is(problem::INTERNAL) && !failed.detail.contains("secret"), "{failed:?}");
        }
        assert_eq!(run(&threads, || 7).await.unwrap(), 7);
    }
}

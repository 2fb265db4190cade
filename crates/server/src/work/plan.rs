//! Planning a job: once for all who ask, told of its progress, ended when nobody wants it any more.

use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::{Arc, Mutex, PoisonError};

use findings::{Cancelled, Progress};
use network::results::Plan;
use planner::{Config, PlanError};
use tokio::sync::watch;

use super::Work;
use crate::problem::{self, Problem};

/// How far planning has come.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Report {
    /// What is being done.
    pub step: String,
    /// Steps of it that are finished.
    pub done: u64,
    /// All its steps.
    pub total: u64,
}

/// Where planning stands.
#[derive(Clone, Debug)]
enum Stage {
    Running(Report),
    Finished(Result<Arc<Plan>, Problem>),
    /// Nobody wanted it any more, or the job was edited.
    Dropped,
}

/// The planning of one job at one revision.
#[derive(Default)]
pub(super) struct Planning {
    run: Mutex<Option<Run>>,
    is_superseded: Arc<AtomicBool>,
}

#[derive(Clone)]
struct Run {
    stage: watch::Receiver<Stage>,
    num_wanting: Arc<AtomicUsize>,
}

/// Somebody who waits for a plan. When the last one is dropped, planning ends.
pub struct Wanted(Arc<AtomicUsize>);

impl Wanted {
    fn new(count: &Arc<AtomicUsize>) -> Self {
        count.fetch_add(1, Ordering::SeqCst);
        Self(count.clone())
    }
}

impl Drop for Wanted {
    fn drop(&mut self) {
        self.0.fetch_sub(1, Ordering::SeqCst);
    }
}

impl Planning {
    /// Ends it: the job was edited.
    pub(super) fn supersede(&self) {
        self.is_superseded.store(true, Ordering::SeqCst);
    }

    /// The same plan for a revision that changed nothing of what it was made of; not begun where it is not finished.
    pub(super) fn finished(&self) -> Self {
        let run = self.run.lock().unwrap_or_else(PoisonError::into_inner).clone();
        let is_finished = |run: &Run| matches!(*run.stage.borrow(), Stage::Finished(Ok(_)));
        Self { run: Mutex::new(run.filter(is_finished)), is_superseded: Arc::default() }
    }
}

/// Tells the planner whether to go on, and everybody else how far it has come.
struct Reporter {
    stage: watch::Sender<Stage>,
    num_wanting: Arc<AtomicUsize>,
    is_superseded: Arc<AtomicBool>,
}

impl Progress for Reporter {
    fn step(&self, work: &str, done: u64, total: u64) -> Result<(), Cancelled> {
        if self.num_wanting.load(Ordering::SeqCst) == 0 || self.is_superseded.load(Ordering::SeqCst) {
            return Err(Cancelled);
        }
        self.stage.send_replace(Stage::Running(Report { step: work.to_owned(), done, total }));
        Ok(())
    }
}

impl Work {
    /// The plan, computed if it is not known yet.
    pub async fn plan(&self) -> Result<Arc<Plan>, Problem> {
        self.plan_reported(|_| ()).await
    }

    /// The plan; `report` is told of each step as far as it can follow.
    ///
    /// # Errors
    /// What keeps the job from being planned; [`problem::SUPERSEDED`] if the job was edited meanwhile.
    pub async fn plan_reported(&self, mut report: impl FnMut(&Report)) -> Result<Arc<Plan>, Problem> {
        loop {
            let evaluator = self.evaluator().await?;
            let (mut stage, wanted) = self.join(&evaluator);
            loop {
                let now = stage.borrow_and_update().clone();
                match now {
                    Stage::Running(so_far) => report(&so_far),
                    Stage::Finished(result) => return result,
                    Stage::Dropped => break,
                }
                if stage.changed().await.is_err() && !matches!(*stage.borrow(), Stage::Finished(_)) {
                    return Err(Problem::internal(&"planning ended without a result"));
                }
            }
            drop(wanted);
            if self.plan.is_superseded.load(Ordering::SeqCst) {
                return Err(Problem::new(problem::SUPERSEDED, "The job was edited while it was planned; ask again."));
            }
            // It was ended because those who asked before went away; this one still wants it.
        }
    }

    /// Joins the planning that runs, or starts it.
    fn join(&self, evaluator: &Arc<assessment::Evaluator>) -> (watch::Receiver<Stage>, Wanted) {
        let mut run = self.plan.run.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(run) = run.as_ref() {
            let wanted = Wanted::new(&run.num_wanting);
            if !matches!(*run.stage.borrow(), Stage::Dropped) {
                return (run.stage.clone(), wanted);
            }
        }
        let (sender, stage) = watch::channel(Stage::Running(Report::default()));
        let num_wanting = Arc::new(AtomicUsize::new(0));
        let wanted = Wanted::new(&num_wanting);
        *run = Some(Run { stage: stage.clone(), num_wanting: num_wanting.clone() });
        let reporter = Reporter { stage: sender, num_wanting, is_superseded: self.plan.is_superseded.clone() };
        let (threads, job, evaluator) = (self.threads.long.clone(), self.job.clone(), evaluator.clone());
        tokio::spawn(async move {
            let reporter = Arc::new(reporter);
            let inner = reporter.clone();
            let compute = move || {
                let mut plan = planner::plan_with(&evaluator, &Config::default(), &*inner)?;
                plan.assumptions = planner::assumptions(&job, evaluator.home());
                Ok(plan)
            };
            let stage = match super::run(&threads, compute).await {
                Ok(Ok(plan)) => Stage::Finished(Ok(Arc::new(plan))),
                Ok(Err(PlanError::Cancelled)) => Stage::Dropped,
                Ok(Err(error)) => Stage::Finished(Err(error.into())),
                Err(problem) => Stage::Finished(Err(problem)),
            };
            reporter.stage.send_replace(stage);
        });
        (stage, wanted)
    }
}

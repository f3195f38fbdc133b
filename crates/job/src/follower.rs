//! Works out, on a thread of its own, what follows from a plan while something on it is dragged: always the newest step that
//! is wanted. A step that another overtook before it was begun is not worked out at all. Sizes that follow the flow are held at
//! first, and chosen anew once the hand pauses or lets go.

use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use std::time::Duration;

use design::Memory;
use land::Land;
use plan::{Edit, Plan};

use crate::Worked;

/// One step of a drag: the plan as it stands, the land under it, and what is being done to it.
pub struct Step {
    /// Grows with each step.
    pub number: u64,
    /// The plan as it stands.
    pub plan: Arc<Plan>,
    /// What is being done to it.
    pub edit: Edit,
    /// The land of the plan.
    pub land: Land,
    /// What follows from the plan without it: sizes are held while something is dragged.
    pub at_rest: Arc<Worked>,
}

impl Step {
    /// Works out what follows from the plan with the edit. Routing water anew costs more than a frame: the edit does not lead it.
    pub fn work_out(&self, memory: &mut Memory, threads: usize) -> Worked {
        let (plan, land) = self.result();
        Worked::on(plan, land, memory, threads)
    }

    /// The same with the sizes from before the edit where they do.
    fn holding_sizes(&self, memory: &mut Memory, threads: usize) -> Worked {
        let (plan, land) = self.result();
        let design = design::work_out_holding(&plan, &land, memory, &self.at_rest.design);
        Worked::with(plan, land, design, threads)
    }

    fn result(&self) -> (Plan, Land) {
        let plan = self.plan.with(&self.edit);
        let land = self.land.corrected_by(&plan.survey);
        (plan, land)
    }
}

/// What follows from one step.
pub type Followed = (u64, Arc<Worked>);

/// So long the hand pauses before sizes are chosen anew (judgement: longer than between two steps of a drag).
const PAUSE: Duration = Duration::from_millis(120);

/// The thread, as it is spoken to; dropped, it ends.
pub struct Follower(Arc<Shared>);

struct Shared {
    slot: Mutex<Slot>,
    /// Rung when something is wanted, done, or nothing is wanted any more.
    bell: Condvar,
    wake: Box<dyn Fn() + Send + Sync>,
}

#[derive(Default)]
struct Slot {
    wanted: Option<Step>,
    /// Number of the step that is being worked out.
    at_work: Option<u64>,
    done: Option<Followed>,
    /// True while somebody waits for the step at work.
    is_waited_for: bool,
    ended: bool,
}

impl Shared {
    fn slot(&self) -> MutexGuard<'_, Slot> {
        self.slot.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

impl Follower {
    /// Starts the thread; `wake` is called whenever a step is worked out, in so many threads.
    pub fn start(wake: Box<dyn Fn() + Send + Sync>, threads: usize) -> Self {
        let shared = Arc::new(Shared { slot: Mutex::default(), bell: Condvar::new(), wake });
        let worker = shared.clone();
        std::thread::spawn(move || worker.follow(threads));
        Self(shared)
    }

    /// Wants a step worked out, in place of any that is wanted and not begun.
    pub fn want(&self, step: Step) {
        self.0.slot().wanted = Some(step);
        self.0.bell.notify_all();
    }

    /// The newest step that is worked out, once.
    pub fn take(&self) -> Option<Followed> {
        self.0.slot().done.take()
    }

    /// Waits for a step that is wanted or at work; `None` where it is neither, or another was worked out after it.
    pub fn wait_for(&self, number: u64) -> Option<Followed> {
        let mut slot = self.0.slot();
        let is_coming = |slot: &Slot| {
            slot.at_work == Some(number) || slot.wanted.as_ref().is_some_and(|step| step.number == number)
        };
        slot.is_waited_for = true;
        self.0.bell.notify_all();
        while is_coming(&slot) && !slot.ended {
            slot = self.0.bell.wait(slot).unwrap_or_else(PoisonError::into_inner);
        }
        slot.is_waited_for = false;
        slot.done.take().filter(|(done, _)| *done == number)
    }

    /// Wants nothing any more; what is at work comes to nothing.
    pub fn forget(&self) {
        let mut slot = self.0.slot();
        slot.wanted = None;
        slot.done = None;
        slot.at_work = None;
    }
}

impl Shared {
    fn follow(&self, threads: usize) {
        // Should a step die, nobody waits for it or for another.
        let _ending = Ending(self);
        let mut memory = Memory::with_threads(threads);
        while let Some(step) = self.next() {
            let mut worked = step.holding_sizes(&mut memory, threads);
            if worked.design.holds_sizes {
                self.show(step.number, worked, false);
                if !self.pauses(step.number) {
                    continue;
                }
                worked = step.work_out(&mut memory, threads);
            }
            self.show(step.number, worked, true);
        }
    }

    /// Shows what was worked out, unless it was forgotten meanwhile; more comes of the step unless `is_last`.
    fn show(&self, number: u64, worked: Worked, is_last: bool) {
        let mut slot = self.slot();
        if slot.at_work == Some(number) {
            slot.done = Some((number, Arc::new(worked)));
        }
        if is_last {
            slot.at_work = None;
        }
        drop(slot);
        self.bell.notify_all();
        (self.wake)();
    }

    /// Waits whether the hand pauses; false if another step is wanted, or none any more.
    fn pauses(&self, number: u64) -> bool {
        let is_still = |slot: &mut Slot| {
            slot.at_work == Some(number) && slot.wanted.is_none() && !slot.is_waited_for && !slot.ended
        };
        let (slot, _) =
            self.bell.wait_timeout_while(self.slot(), PAUSE, is_still).unwrap_or_else(PoisonError::into_inner);
        slot.at_work == Some(number) && slot.wanted.is_none() && !slot.ended
    }

    /// Waits for the next step; `None` once the other side is gone.
    fn next(&self) -> Option<Step> {
        let mut slot = self.slot();
        while !slot.ended {
            if let Some(step) = slot.wanted.take() {
                slot.at_work = Some(step.number);
                return Some(step);
            }
            slot = self.bell.wait(slot).unwrap_or_else(PoisonError::into_inner);
        }
        None
    }
}

struct Ending<'a>(&'a Shared);

impl Drop for Ending<'_> {
    fn drop(&mut self) {
        self.0.slot().ended = true;
        self.0.bell.notify_all();
    }
}

impl Drop for Follower {
    fn drop(&mut self) {
        drop(Ending(&self.0));
    }
}

impl std::fmt::Debug for Follower {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("Follower")
    }
}

//! What the findings offer, tried beside the window: never while something is dragged, and the finding that is looked at
//! first. The window shows what is known so far.

use std::collections::BTreeMap;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::Duration;

use checks::{Finding, Tried};
use egui::Context;

use crate::jobs::Job;
use job::Progress;
use job::{Session, Worked};

/// What is known of one state of the plan so far.
#[derive(Default)]
struct Known {
    tried: Mutex<BTreeMap<String, Tried>>,
    /// Key of the finding that is looked at.
    wanted: Mutex<Option<String>>,
    /// True while something is dragged: the drag has the processor to itself.
    resting: AtomicBool,
}

impl Known {
    /// Waits while something is dragged; false when nobody wants the trials any more.
    fn may_go_on(&self, progress: &Progress, done: f64) -> bool {
        while progress.tell(done) {
            if !self.resting.load(Ordering::Relaxed) {
                return true;
            }
            std::thread::sleep(REST);
        }
        false
    }
}

/// How long trials rest before they look again whether something is dragged.
const REST: Duration = Duration::from_millis(30);

/// Trials of one state of the plan; dropped, they are stopped.
pub struct Trying {
    stamp: u64,
    known: Arc<Known>,
    /// What was known of the state before, shown greyed until the present one is known, so that nothing jumps.
    former: BTreeMap<String, Tried>,
    _job: Job<()>,
}

fn held<T>(lock: &Mutex<T>) -> MutexGuard<'_, T> {
    lock.lock().unwrap_or_else(PoisonError::into_inner)
}

impl Trying {
    fn start(session: &Session, former: BTreeMap<String, Tried>, ctx: &Context) -> Self {
        let (plan, land) = (session.plan().clone(), session.land().clone());
        let known = Arc::new(Known::default());
        let (told, waker) = (known.clone(), ctx.clone());
        let work = move |progress: &Progress| {
            let worked = Worked::of(plan, &land);
            each(&worked, &told, progress, &waker);
        };
        Self { stamp: session.stamp(), known, former, _job: Job::start(ctx, work) }
    }

    /// Follows the plan: what was tried on a former state of it is dropped, and the present one is tried once nothing is
    /// dragged; what is being tried rests meanwhile.
    pub fn follow(trying: &mut Option<Self>, session: &Session, ctx: &Context) {
        if let Some(trying) = trying {
            trying.known.resting.store(session.in_gesture(), Ordering::Relaxed);
        }
        if session.in_gesture() || trying.as_ref().is_some_and(|trying| trying.stamp == session.stamp()) {
            return;
        }
        let former = trying.as_ref().map(Self::all).unwrap_or_default();
        *trying = Some(Self::start(session, former, ctx));
    }

    /// A finding with what came of trying what it offers, where that is known of the plan as it stands.
    pub fn known(trying: Option<&Self>, session: &Session, finding: &Finding) -> Finding {
        let trying = trying.filter(|trying| trying.stamp == session.stamp());
        finding.with_tried(trying.and_then(|trying| trying.of(&finding.key)))
    }

    /// What came of trying what a finding offers, once that is known.
    pub fn of(&self, key: &str) -> Option<Tried> {
        held(&self.known.tried).get(key).cloned()
    }

    /// What was known before the plan changed.
    pub fn former(&self, key: &str) -> Option<&Tried> {
        self.former.get(key)
    }

    /// Everything known so far, with what was known before of what is not.
    fn all(&self) -> BTreeMap<String, Tried> {
        let mut all = self.former.clone();
        all.extend(held(&self.known.tried).iter().map(|(key, tried)| (key.clone(), tried.clone())));
        all
    }

    /// Has a finding tried before the others.
    pub fn want(&self, key: &str) {
        *held(&self.known.wanted) = Some(key.to_string());
    }
}

/// Tries one finding after the other, the one that is wanted first.
fn each(worked: &Worked, known: &Known, progress: &Progress, ctx: &Context) {
    let mut left: Vec<&Finding> = worked.findings.iter().rev().collect();
    let count = left.len().max(1) as f64;
    let next = || {
        let done = 1.0 - left.len() as f64 / count;
        if !known.may_go_on(progress, done) {
            return None;
        }
        let wanted = held(&known.wanted).take();
        match wanted.and_then(|key| left.iter().position(|finding| finding.key == key)) {
            Some(i) => Some(left.remove(i)),
            None => left.pop(),
        }
    };
    let told = |finding: &Finding, tried: Tried| {
        held(&known.tried).insert(finding.key.clone(), tried);
        ctx.request_repaint();
    };
    worked.try_each(next, told);
}

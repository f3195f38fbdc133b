//! The first layouts that are proposed: those found so far, what they were looked for on, and the one that is looked at.

use std::cmp::Ordering;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use job::proposing::AsDrawn;
use job::{Session, Worked};
use measure::Units;
use plan::{Joins, Line, LineId, Plan};
use propose::{LeftOut, Proposal, Told};

/// How far the search is.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub enum Search {
    /// Nobody asked yet.
    #[default]
    NotAsked,
    /// It is under way.
    Going,
    /// It came to its end.
    Done,
    /// It ended early, or found nothing, and why.
    Ended(String),
}

/// What came in and was not yet taken up.
#[derive(Debug, Default)]
struct Arrived {
    found: Vec<Arc<Proposal>>,
    left_out: Vec<LeftOut>,
    drawn: Option<AsDrawn>,
}

/// Where proposals arrive as they are found beside the window.
#[derive(Debug, Clone, Default)]
pub struct Tray(Arc<Mutex<Arrived>>);

impl Tray {
    fn held(&self) -> MutexGuard<'_, Arrived> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Puts in what is drawn already.
    pub fn put_drawn(&self, drawn: Option<AsDrawn>) {
        self.held().drawn = drawn;
    }

    /// Puts a proposal in, or takes one out again.
    pub fn put(&self, told: &Told) {
        match told {
            Told::Layout(proposal) => self.held().found.push(Arc::new((*proposal).clone())),
            Told::LeftOut(left_out) => self.held().left_out.push((*left_out).clone()),
            Told::Step(_) => {}
        }
    }
}

/// All of it.
#[derive(Debug, Clone, Default)]
pub struct Proposals {
    /// Those that were found, the cheapest first.
    found: Vec<Arc<Proposal>>,
    /// Those that are not worth a look, and why.
    left_out: Vec<LeftOut>,
    /// What is drawn, in the same measure; `None` where nothing is.
    drawn: Option<Arc<AsDrawn>>,
    search: Search,
    tray: Tray,
    /// The plan that they were looked for on.
    of: Option<Arc<Worked>>,
    /// Name of the one that is looked at.
    looked_at: Option<String>,
    /// The line of it whose profile is shown; the main one for `None`.
    pub line: Option<LineId>,
    /// True until the one that is looked at has come into sight: its card, and its lines on the map.
    pub to_sight: [bool; 2],
    /// Revision of the plan that was last held against theirs, and whether it is another plan.
    held: (u64, bool),
}

/// The same where they are the very same layouts, looked at in the same way.
impl PartialEq for Proposals {
    fn eq(&self, other: &Self) -> bool {
        let seen = |all: &Self| (all.held.1, all.drawn.as_ref().map(Arc::as_ptr), all.line);
        let same = |(one, other): (&Arc<Proposal>, &Arc<Proposal>)| Arc::ptr_eq(one, other);
        (&self.search, &self.looked_at, seen(self)) == (&other.search, &other.looked_at, seen(other))
            && self.found.len() == other.found.len()
            && self.found.iter().zip(&other.found).all(same)
    }
}

impl Proposals {
    /// Begins anew for a plan.
    pub fn begin(&mut self, of: Arc<Worked>, revision: u64) {
        *self = Self { search: Search::Going, of: Some(of), held: (revision, false), ..Self::default() };
    }

    /// Where they arrive.
    pub fn tray(&self) -> Tray {
        self.tray.clone()
    }

    /// Takes up what arrived, and looks whether the plan is still the one they are for and in which units it is shown.
    pub fn follow(&mut self, session: &Session) {
        if self.search == Search::Going {
            self.take_up();
        }
        let revision = session.history().revision();
        if self.held.0 != revision
            && let Some(of) = &self.of
        {
            self.held = (revision, !is_same(&of.plan, session.plan()));
        }
        if self.held.1 {
            self.looked_at = None;
        }
        let units = session.plan().title.units;
        for proposal in self.found.iter_mut().filter(|proposal| proposal.plan.title.units != units) {
            Arc::make_mut(proposal).plan.title.units = units;
        }
    }

    fn take_up(&mut self) {
        let Arrived { found, left_out, drawn } = std::mem::take(&mut *self.tray.held());
        self.drawn = drawn.map(Arc::new).or(self.drawn.take());
        // One that was bettered takes the place of itself.
        let is_new = |own: &Arc<Proposal>| found.iter().all(|other| other.name != own.name);
        self.found.retain(is_new);
        self.found.extend(found);
        self.left_out.extend(left_out);
        let is_left_out = |own: &Arc<Proposal>| self.left_out.iter().any(|other| other.name == own.name);
        self.found.retain(|own| !is_left_out(own));
        self.sort();
    }

    fn sort(&mut self) {
        let cost = |proposal: &Proposal| (proposal.estimate.total(), proposal.estimate.length_m());
        self.found.sort_by(|one, other| cost(one).partial_cmp(&cost(other)).unwrap_or(Ordering::Equal));
    }

    /// Ends with all that are worth a look, or with why there are none.
    pub fn end(&mut self, found: Result<Vec<Proposal>, String>) {
        self.take_up();
        match found {
            Ok(found) => {
                self.found = found.into_iter().map(Arc::new).collect();
                self.sort();
                self.search = Search::Done;
            }
            Err(why) => self.search = Search::Ended(why),
        }
    }

    /// Gives the search up; what was found stays.
    pub fn give_up(&mut self, why: &str) {
        if self.search == Search::Going {
            self.search = Search::Ended(why.into());
        }
    }

    /// Those that were found, the cheapest first.
    pub fn found(&self) -> &[Arc<Proposal>] {
        &self.found
    }

    /// Those that are not worth a look, and why.
    pub fn left_out(&self) -> &[LeftOut] {
        &self.left_out
    }

    /// The units in which reasons are told, where the plan is shown in others by now.
    pub fn told_in(&self, plan: &Plan) -> Option<Units> {
        let told_in = self.of.as_ref().map(|of| of.plan.title.units);
        told_in.filter(|units| units.is_metric() != plan.title.units.is_metric())
    }

    /// What is drawn, in the same measure.
    pub fn drawn(&self) -> Option<&AsDrawn> {
        self.drawn.as_deref()
    }

    /// How far the search is.
    pub const fn search(&self) -> &Search {
        &self.search
    }

    /// True where the plan is no longer the one they are for.
    pub const fn is_stale(&self) -> bool {
        self.held.1
    }

    /// True where money can be told of them: without any price they are told apart by their pipe.
    pub fn is_priced(&self) -> bool {
        self.found.iter().any(|proposal| proposal.estimate.total() > 0.0)
    }

    /// The line whose profile is shown of a proposal: the one that was chosen, else the longest that others lead to.
    pub fn line_of(&self, proposal: &Proposal) -> Option<LineId> {
        let lines = &proposal.plan.lines;
        let new = || lines.iter().filter(|(_, line)| !line.kind.is_old());
        let weight = |(id, line): &(&LineId, &Line)| {
            (new().any(|(_, other)| other.joins == Joins::Line(**id)), line.length_m())
        };
        let longest = new().max_by(|one, other| weight(one).partial_cmp(&weight(other)).unwrap_or(Ordering::Equal));
        self.line.filter(|id| lines.contains_key(id)).or(longest.map(|(id, _)| *id))
    }

    /// Looks at one, by its name, or at none.
    pub fn look_at(&mut self, name: Option<&str>) {
        (self.looked_at, self.line, self.to_sight) = (name.map(str::to_string), None, [name.is_some(); 2]);
    }

    /// The one whose lines are drawn, where a plan is not the one they are for.
    pub fn taken(&self, plan: &Plan) -> Option<&Arc<Proposal>> {
        self.found.iter().find(|proposal| self.is_stale() && proposal.plan.lines == plan.lines)
    }

    /// One by its name.
    pub fn named(&self, name: &str) -> Option<&Arc<Proposal>> {
        self.found.iter().find(|proposal| proposal.name == name)
    }

    /// The one that is looked at.
    pub fn looked_at(&self) -> Option<&Arc<Proposal>> {
        self.named(self.looked_at.as_ref()?)
    }
}

/// True where layouts for one plan are layouts for the other: units of display and numbers of new things tell nothing.
fn is_same(one: &Plan, other: &Plan) -> bool {
    let mut other = other.clone();
    (other.title, other.next_id) = (one.title.clone(), one.next_id);
    *one == other
}

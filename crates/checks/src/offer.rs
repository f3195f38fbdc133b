//! Changes that may clear a finding. A rule offers them; none is told before it was tried.

use std::fmt;
use std::sync::Arc;

use measure::{Said, Units};
use plan::{Brief, Change, Edit, Landmark, LandmarkId, Line, LineId, Outlet, OutletId};

use crate::Site;

/// A change that may clear a finding. Its label says what is done, beginning with a verb, in the figures by which it is
/// done: "Raise O1 by 0.52 ft".
pub(crate) enum Offer<'s> {
    /// One change.
    One(Edit),
    /// The first of several that does it, from the smallest up.
    First(Vec<Edit>),
    /// A change by an amount: of the amounts in print the least that does it is looked for.
    Least(Least<'s>),
}

/// A change by an amount in print.
pub(crate) struct Least<'s> {
    /// Likely amount, metres.
    pub likely_m: f64,
    /// Greatest amount that is tried, metres.
    pub most_m: f64,
    /// How the amount is printed.
    pub said: fn(Units, f64) -> Said,
    /// The change for an amount as it is printed.
    pub edit: Box<EditBy<'s>>,
}

/// The change for an amount.
type EditBy<'s> = dyn Fn(&Said) -> Option<Edit> + 's;

/// Nothing is moved up or down by more than this, metres (own choice).
const MOST_M: f64 = 10.0;

impl<'s> Offer<'s> {
    /// A change under its own words; none where the plan has no edit for it.
    pub fn one(label: impl Into<String>, edit: Option<Edit>) -> Option<Self> {
        edit.map(|edit| Self::One(Edit { label: label.into(), ..edit }))
    }

    /// One line changed; none where the change leaves it as it is.
    pub fn line(site: &Site, id: LineId, label: impl Into<String>, change: impl FnOnce(&mut Line)) -> Option<Self> {
        let before = site.plan.lines.get(&id)?;
        let mut line = before.clone();
        change(&mut line);
        (line != *before).then(|| Self::One(plan::set_line(label, id, line)))
    }

    /// An outlet changed; none where the change leaves it as it is.
    pub fn outlet(
        site: &Site,
        id: OutletId,
        label: impl Into<String>,
        change: impl FnOnce(&mut Outlet),
    ) -> Option<Self> {
        let before = site.plan.outlets.get(&id)?;
        let mut outlet = before.clone();
        change(&mut outlet);
        let edit = (outlet != *before).then(|| plan::set_outlet(site.plan, id, outlet));
        Self::one(label, edit)
    }

    /// A mark on the land changed; none where the change leaves it as it is.
    pub fn mark(
        site: &Site,
        id: LandmarkId,
        label: impl Into<String>,
        change: impl FnOnce(&mut Landmark),
    ) -> Option<Self> {
        let before = site.plan.landmarks.get(&id)?;
        let mut mark = before.clone();
        change(&mut mark);
        let edit = (mark != *before).then(|| plan::set_landmark(id, mark));
        Self::one(label, edit)
    }

    /// The brief changed; none where the change leaves it as it is.
    pub fn brief(site: &Site, label: impl Into<String>, change: impl FnOnce(&mut Brief)) -> Option<Self> {
        let mut brief = site.plan.brief.clone();
        change(&mut brief);
        let edit = (brief != site.plan.brief).then(|| plan::set_brief(brief));
        Self::one(label, edit)
    }

    /// Several lines changed; none where all stay as they are.
    pub fn lines(
        site: &Site,
        ids: impl IntoIterator<Item = LineId>,
        label: impl Into<String>,
        change: impl Fn(LineId, &mut Line),
    ) -> Option<Self> {
        let changed = |id: LineId| {
            let before = site.plan.lines.get(&id)?;
            let mut line = before.clone();
            change(id, &mut line);
            (line != *before).then_some(Change::Line(id, Some(line)))
        };
        let changes: Vec<Change> = ids.into_iter().filter_map(changed).collect();
        (!changes.is_empty()).then(|| Self::One(Edit { label: label.into(), changes }))
    }

    /// The same with one thing more done to a line.
    pub fn and(self, what: String, site: &'s Site, id: LineId, change: impl Fn(&mut Line) + 's) -> Self {
        let with = move |edit: Edit| {
            let mut changes = edit.changes;
            let is_of = |one: &Change| matches!(one, Change::Line(of, Some(_)) if *of == id);
            if !changes.iter().any(is_of) {
                changes.push(Change::Line(id, Some(site.plan.lines.get(&id)?.clone())));
            }
            for one in &mut changes {
                match one {
                    Change::Line(of, Some(line)) if *of == id => change(line),
                    _ => {}
                }
            }
            Some(Edit { label: format!("{} and {what}", edit.label), changes })
        };
        match self {
            Self::One(edit) => Self::First(with(edit).into_iter().collect()),
            Self::First(edits) => Self::First(edits.into_iter().filter_map(with).collect()),
            Self::Least(least) => {
                let inner = least.edit;
                Self::Least(Least { edit: Box::new(move |said| with(inner(said)?)), ..least })
            }
        }
    }

    /// A change of level by the least amount that does it, looked for from a likely one, metres.
    pub fn least(likely_m: f64, edit: impl Fn(&Said) -> Option<Edit> + 's) -> Self {
        let likely_m = likely_m.max(0.0);
        Self::Least(Least { likely_m, most_m: MOST_M, said: Units::said_up, edit: Box::new(edit) })
    }
}

type Offers = dyn for<'s> Fn(&'s Site<'_>) -> Vec<Offer<'s>> + Send + Sync;

/// What a finding offers: made from the plan only when somebody looks. Findings are the same whatever they offer.
#[derive(Clone, Default)]
pub(crate) struct Ways(Vec<Arc<Offers>>);

impl Ways {
    /// Offers more.
    pub fn add(&mut self, offers: impl for<'s> Fn(&'s Site<'_>) -> Vec<Offer<'s>> + Send + Sync + 'static) {
        self.0.push(Arc::new(offers));
    }

    /// Takes over what another finding offers.
    pub fn join(&mut self, other: &Self) {
        self.0.extend(other.0.iter().cloned());
    }

    /// True where nothing is offered.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// Everything offered, what a rule likes best first.
    pub fn offers<'s>(&self, site: &'s Site) -> Vec<Offer<'s>> {
        self.0.iter().flat_map(|offers| offers(site)).collect()
    }
}

impl PartialEq for Ways {
    fn eq(&self, _: &Self) -> bool {
        true
    }
}

impl fmt::Debug for Ways {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} ways", self.0.len())
    }
}

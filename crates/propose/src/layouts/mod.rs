//! First layouts: a handful that differ in kind, each a full plan.

mod candidates;
mod depths;
mod draw;
mod front;
mod grid;
mod lattice;
mod mending;
mod outlets;
mod patches;
mod proposal;
mod reasons;
mod site;
mod swales;
mod toe;
mod wet;

use std::ops::ControlFlow;

use land::Land;
use plan::{Change, Joins, Line, Outlet, Plan};

use candidates::{Candidates, Way};
use outlets::Offered;
use site::Site;

use crate::threads::each;

pub use front::LeftOut;
pub use grid::usual as usual_grid;
pub use proposal::Proposal;
pub use wet::{Wet, WetLand};

/// Kinds of layout, the cheapest first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kind {
    /// Laterals along swales.
    Swales,
    /// The same, and branches into wet areas and hollows.
    WetAreas,
    /// Laterals along swales, and lines along the toes of slopes above wet land.
    Interceptor,
    /// Parallel laterals over the whole field.
    Grid,
}

impl Kind {
    /// Its name for a person.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Swales => "swales",
            Self::WetAreas => "swales and wet areas",
            Self::Interceptor => "interceptor",
            Self::Grid => "grid",
        }
    }
}

/// Why no layout is proposed.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum NoLayout {
    /// No boundary.
    #[error("the plan has no field boundary; draw it first")]
    NoField,
    /// No ground.
    #[error("no ground was read within the field; bring a survey or a grid in first")]
    NoGround,
    /// Nowhere for water to go.
    #[error(
        "the plan has no outlet, and no ditch or low ground beside the field was found to which its wet land can fall; \
         place one where water can leave the field"
    )]
    NoOutlet,
    /// Water leaves the field, but pipe cannot come out there: where, and what it would take.
    #[error("the plan has no outlet, and {0}")]
    Shallow(String),
    /// No pipe can be brought from wet land to the outlets.
    #[error("no line was found from the wet land down to {0}")]
    OutOfReach(String),
    /// Lines are in the ground already.
    #[error("{0} lines are laid or dug already; a first layout would take them out of the plan")]
    Laid(usize),
    /// Nothing to do.
    #[error("no wet land was found that a line could serve")]
    NothingWet,
    /// It was given up.
    #[error("stopped before a layout was found")]
    Stopped,
}

/// What is told while layouts are looked for.
#[derive(Debug)]
pub enum Told<'a> {
    /// What is begun.
    Step(&'static str),
    /// A layout that was found; it takes the place of one of its name that was told before.
    Layout(&'a Proposal),
    /// A layout, told before, that is not handed out.
    LeftOut(&'a LeftOut),
}

/// Who is told, and says whether to go on.
pub type Teller<'a> = &'a mut dyn FnMut(Told) -> ControlFlow<()>;

/// What a square meter of wet land may cost, as a multiple of what it costs by a grid over it: swale lines take the water of all
/// land above them, so they are worth more ([judgement]).
const WORTH: [f64; 2] = [3.0, 12.0];

/// Looks for layouts of a plan on its land, led by its ditches already, in so many threads; each is told as soon as it is found, and
/// again when it is bettered. The answer is the same with any number of threads.
pub fn propose(plan: &Plan, land: &Land, threads: usize, tell: Teller) -> Result<Vec<Proposal>, NoLayout> {
    let laid = plan.record.laid.len();
    if laid > 0 {
        return Err(NoLayout::Laid(laid));
    }
    let (bare, cleared) = cleared(plan);
    step(tell, "wet land")?;
    let site = Site::of(&bare, land)?;
    if site.wet.places.is_empty() {
        return Err(NoLayout::NothingWet);
    }
    let offered = if plan.outlets.is_empty() { outlets::offered(&site) } else { Vec::new() };
    let with_outlets = outlets::with(&bare, &offered);
    if with_outlets.outlets.is_empty() {
        return Err(outlets::why_none(&site));
    }
    let site = site.on(&with_outlets);
    let asked = Asked { plan, site: &site, cleared, offered, threads };
    let worth_per_m2 = WORTH[WORTH.len() - 1] * asked.grid_per_m2();
    let found = asked.all(tell)?;
    let (found, idle) = front::kept(found, asked.grid_per_m2());
    tell_left_out(&idle, tell)?;
    let mut mended = Vec::new();
    for proposal in found {
        let before = (proposal.edit.clone(), proposal.stays.len());
        let better = mending::mended(&asked, proposal, worth_per_m2, tell)?;
        if before != (better.edit.clone(), better.stays.len()) {
            told(tell, &better)?;
        }
        mended.push(better);
    }
    let (kept, idle) = front::kept(mended, asked.grid_per_m2());
    tell_left_out(&idle, tell)?;
    match kept.is_empty() {
        true if plan.outlets.is_empty() => Err(outlets::why_none(asked.site)),
        true => Err(NoLayout::OutOfReach(out_of_reach(asked.site))),
        false => Ok(kept),
    }
}

/// "O1 (0.60 ft below the ground there) that keeps enough soil over it ...": what the outlets are like to which nothing falls.
fn out_of_reach(site: &Site) -> String {
    let units = site.plan.title.units;
    let lies = |outlet: &Outlet| match site.ground.elevation(outlet.at) {
        None => format!("{} (off the ground that was read)", outlet.name),
        Some(ground_m) => {
            let side = if outlet.invert_m > ground_m { "above" } else { "below" };
            format!("{} ({} {side} the ground there)", outlet.name, units.depth((outlet.invert_m - ground_m).abs()))
        }
    };
    let outlets: Vec<String> = site.plan.outlets.values().map(lies).collect();
    format!(
        "{} that keeps enough soil over it and no trench deeper than the machine's reach of {}; lower the outlet, or place it elsewhere",
        measure::listed(&outlets),
        units.depth(site.plan.criteria.machine_reach_m)
    )
}

fn step(tell: Teller, name: &'static str) -> Result<(), NoLayout> {
    if tell(Told::Step(name)).is_break() { Err(NoLayout::Stopped) } else { Ok(()) }
}

fn told(tell: Teller, proposal: &Proposal) -> Result<(), NoLayout> {
    if tell(Told::Layout(proposal)).is_break() { Err(NoLayout::Stopped) } else { Ok(()) }
}

fn tell_left_out(idle: &[LeftOut], tell: Teller) -> Result<(), NoLayout> {
    let goes_on = idle.iter().all(|one| tell(Told::LeftOut(one)).is_continue());
    if goes_on { Ok(()) } else { Err(NoLayout::Stopped) }
}

/// What every layout is made from.
pub(crate) struct Asked<'a> {
    plan: &'a Plan,
    site: &'a Site<'a>,
    /// Takes the lines out that give way.
    cleared: Vec<Change>,
    /// Outlets that a layout places where the plan has none.
    offered: Vec<Offered>,
    threads: usize,
}

impl Asked<'_> {
    /// A layout of every kind and worth, each told as it is found.
    fn all(&self, tell: Teller) -> Result<Vec<Proposal>, NoLayout> {
        step(tell, "what could be dug")?;
        let outlets = self.ways_out();
        let mut all: Vec<Proposal> = Vec::new();
        for kind in [Kind::Swales, Kind::WetAreas, Kind::Interceptor] {
            step(tell, kind.word())?;
            // Without a toe it is a layout of another kind.
            if kind == Kind::Interceptor && toe::toes(self.site).is_empty() {
                continue;
            }
            let mut go_on = || tell(Told::Step(kind.word())).is_continue();
            let found =
                Candidates::of(self.site, &outlets, kind, self.threads, &mut go_on).ok_or(NoLayout::Stopped)?;
            step(tell, kind.word())?;
            for chosen in each(self.threads, &WORTH, |worth| self.chosen(&found, &outlets, *worth, kind)) {
                step(tell, kind.word())?;
                add(chosen, &mut all, tell)?;
            }
        }
        step(tell, Kind::Grid.word())?;
        add(grid::grid(self, &outlets), &mut all, tell)?;
        Ok(all)
    }

    /// The outlets that may be used; one that must be made costs its end.
    fn ways_out(&self) -> Vec<Way<'_>> {
        let cost = |id| {
            let is_made = self.offered.iter().any(|place| place.id == id);
            if is_made { outlets::END_M * self.site.digging.usual_per_m() } else { 0.0 }
        };
        self.site.plan.outlets.iter().map(|(id, outlet)| Way { outlet, cost: cost(*id) }).collect()
    }
}

/// Adds a layout unless another has the same lines, and tells it.
fn add(proposal: Option<Proposal>, all: &mut Vec<Proposal>, tell: Teller) -> Result<(), NoLayout> {
    let Some(mut proposal) = proposal else { return Ok(()) };
    if all.iter().any(|other| other.plan.lines == proposal.plan.lines) {
        return Ok(());
    }
    let same = all.iter().filter(|other| other.kind == proposal.kind).count();
    if same > 0 {
        proposal.name = format!("{} {}", proposal.name, same + 1);
    }
    told(tell, &proposal)?;
    all.push(proposal);
    Ok(())
}

/// The plan without its new lines, and the changes that make it so; old tile stays and joins nothing that is gone.
fn cleared(plan: &Plan) -> (Plan, Vec<Change>) {
    let is_new = |line: &Line| !line.kind.is_old();
    let gone = plan.lines.iter().filter(|(_, line)| is_new(line)).map(|(id, _)| Change::Line(*id, None));
    let is_loose = |line: &Line| {
        matches!(line.joins, Joins::Line(other) if plan.lines.get(&other).is_none_or(is_new)) && !is_new(line)
    };
    let loose = plan.lines.iter().filter(|(_, line)| is_loose(line));
    let loosened = loose.map(|(id, line)| Change::Line(*id, Some(Line { joins: Joins::Nothing, ..line.clone() })));
    let changes: Vec<Change> = loosened.chain(gone).collect();
    let edit = plan::Edit { label: String::new(), changes: changes.clone() };
    (plan.with(&edit), changes)
}

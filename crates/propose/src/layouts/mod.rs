//! First layouts: a handful that differ in kind, each a full plan.

mod candidates;
mod draw;
mod grid;
mod lattice;
mod patches;
mod proposal;
mod site;
mod swales;
mod wet;

use std::ops::ControlFlow;

use land::Land;
use plan::{Change, Joins, Line, Plan};

use candidates::{Candidates, Way};

pub use grid::usual as usual_grid;
pub use proposal::{Bound, Proposal, depth_range_m};
pub use site::{Digging, Level, Site};
pub use wet::{Wet, WetLand};

/// Kinds of layout, the cheapest first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kind {
    /// Laterals along swales.
    Swales,
    /// The same, and branches into wet areas and hollows.
    WetAreas,
    /// Parallel laterals over the whole field.
    Grid,
}

impl Kind {
    /// Its name for a person.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Swales => "swales",
            Self::WetAreas => "swales and wet areas",
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
    #[error("the plan has no outlet; place one where water can leave the field")]
    NoOutlet,
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
    /// A layout that was found.
    Layout(&'a Proposal),
}

/// Who is told, and says whether to go on.
pub type Teller<'a> = &'a mut dyn FnMut(Told) -> ControlFlow<()>;

/// What a square meter of wet land may cost, as a multiple of what it costs by a grid over it: swale lines take the water of all
/// land above them, so they are worth more ([judgement]).
const WORTH: [f64; 2] = [3.0, 12.0];

/// Looks for layouts of a plan on its land, led by its ditches already, in so many threads; each is told as soon as it is found. The
/// answer is the same with any number of threads.
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
    if plan.outlets.is_empty() {
        return Err(NoLayout::NoOutlet);
    }
    let asked = Asked { plan, site: &site, cleared, threads };
    step(tell, "what could be dug")?;
    let outlets: Vec<Way> = plan.outlets.values().map(|outlet| Way { outlet, cost: 0.0 }).collect();
    let mut proposals: Vec<Proposal> = Vec::new();
    let add = |tell: Teller, proposal: Option<Proposal>, all: &mut Vec<Proposal>| -> Result<(), NoLayout> {
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
    };
    for (kind, with_patches) in [(Kind::Swales, false), (Kind::WetAreas, true)] {
        step(tell, kind.word())?;
        let found = Candidates::of(&site, &outlets, with_patches);
        for worth in WORTH {
            add(tell, asked.chosen(&found, worth, kind), &mut proposals)?;
        }
    }
    step(tell, Kind::Grid.word())?;
    add(tell, grid::grid(&asked, &outlets), &mut proposals)?;
    if proposals.is_empty() { Err(NoLayout::NothingWet) } else { Ok(proposals) }
}

fn step(tell: Teller, name: &'static str) -> Result<(), NoLayout> {
    if tell(Told::Step(name)).is_break() { Err(NoLayout::Stopped) } else { Ok(()) }
}

fn told(tell: Teller, proposal: &Proposal) -> Result<(), NoLayout> {
    if tell(Told::Layout(proposal)).is_break() { Err(NoLayout::Stopped) } else { Ok(()) }
}

/// What every layout is made from.
pub(crate) struct Asked<'a> {
    plan: &'a Plan,
    site: &'a Site<'a>,
    /// Takes the lines out that give way.
    cleared: Vec<Change>,
    threads: usize,
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

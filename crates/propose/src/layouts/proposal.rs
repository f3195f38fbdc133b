//! A layout as it is proposed: a full plan with what it costs, what it serves and why it runs where it runs.

use std::collections::BTreeMap;

use checks::{Finding, Severity};
use design::{Design, LineDesign, Memory};
use plan::{Change, Edit, Joins, Line, LineId, OutletId, Pattern, Plan};
use takeoff::{Estimate, Totals};

use super::candidates::{Candidates, Way};
use super::draw::{self, Drawn};
use super::{Asked, Kind, depths, reasons, toe};
use crate::network::{Ask, Choice, Stopped};

/// A layout that is proposed.
#[derive(Debug, Clone)]
pub struct Proposal {
    /// Its name among all that are proposed.
    pub name: String,
    /// What kind of layout it is.
    pub kind: Kind,
    /// Takes it in place of the lines of the plan; one undo step.
    pub edit: Edit,
    /// The plan with it.
    pub plan: Plan,
    /// Its levels and sizes.
    pub design: Design,
    /// What was found in it.
    pub findings: Vec<Finding>,
    /// How much of it.
    pub totals: Totals,
    /// What it costs.
    pub estimate: Estimate,
    /// Wet land of the field, square metres.
    pub wet_m2: f64,
    /// Wet land that it serves, square metres.
    pub served_m2: f64,
    /// Wet land of which no trench within the machine's reach was found to lead to an outlet, square metres.
    pub out_of_reach_m2: f64,
    /// Least and greatest depth of its inverts, metres.
    pub depth_m: Option<(f64, f64)>,
    /// How near it comes to the least that any layout of its kind can cost; `None` for a kind without a bound.
    pub bound: Option<Bound>,
    /// Where its mains lead, and what others must agree to.
    pub why: Vec<String>,
    /// Why each line runs where it runs.
    pub why_lines: BTreeMap<LineId, String>,
    /// Why what is to fix stays, by the key of the finding.
    pub stays: BTreeMap<String, String>,
}

/// Costs in cost weights, wet land that is left wet counted at what it is worth.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bound {
    /// No layout along the same links costs less.
    pub least: f64,
    /// What this one costs as it is worked out.
    pub worked: f64,
}

impl Bound {
    /// How far the layout may be from the least, as a share of what it costs.
    pub fn gap(&self) -> f64 {
        if self.worked > 0.0 { (1.0 - self.least / self.worked).max(0.0) } else { 0.0 }
    }
}

impl Proposal {
    /// What it costs in cost weights: the same measure with prices and without.
    pub fn weight(&self) -> f64 {
        self.design.cost.dug + self.design.cost.pipe
    }

    /// What it costs in cost weights, wet land that is left wet counted.
    pub fn cost(&self, worth_per_m2: f64) -> f64 {
        self.weight() + (self.wet_m2 - self.served_m2) * worth_per_m2
    }

    /// Findings that block digging.
    pub fn to_fix(&self) -> usize {
        self.count(Severity::Block)
    }

    /// Findings of a weight that nobody accepted.
    pub fn count(&self, severity: Severity) -> usize {
        self.findings.iter().filter(|f| f.severity == severity && f.accepted.is_none()).count()
    }
}

impl Asked<'_> {
    /// The layout that a network of candidates gives where wet land is worth so many times what a grid over it costs; `go_on` is
    /// asked while the network is chosen.
    pub fn chosen(
        &self,
        (found, outlets): (&Candidates, &[Way]),
        worth: f64,
        kind: Kind,
        go_on: Ask,
    ) -> Result<Option<Proposal>, Stopped> {
        let worth_per_m2 = worth * self.grid_per_m2();
        let mut network = found.network(worth_per_m2);
        let choice = depths::diggable(self.site, (found, outlets), &mut network, go_on)?;
        let missed = network.cost(&choice) - dug(found, &choice);
        let least = found.least_network(self.site, worth_per_m2).floor(go_on)?;
        let lines = draw::lines(found, &choice);
        let Some(mut proposal) = self.worked_out(&lines, kind, worth_per_m2) else { return Ok(None) };
        // Without a line along a toe it is a layout of another kind.
        let is_of_kind = |line: &Line| line.pattern == Pattern::Interceptor;
        if kind == Kind::Interceptor && !proposal.plan.lines.values().any(is_of_kind) {
            return Ok(None);
        }
        let worked = proposal.weight() + missed;
        proposal.out_of_reach_m2 = found.out_of_reach_m2(&network, go_on)?;
        proposal.bound = Some(Bound { least: least.min(worked), worked });
        Ok(Some(proposal))
    }

    /// What a square meter costs by a grid at the usual depth and the computed spacing, in cost weights.
    pub fn grid_per_m2(&self) -> f64 {
        let depth_m = self.plan.criteria.target_depth_m;
        let spacing_m = 2.0 * self.site.soils.served_m(self.site.field.middle(), depth_m);
        self.site.digging.usual_per_m() / spacing_m.max(1.0)
    }

    /// A layout worked out from lines as they were traced, with those that run side by side as one or not: whichever has less to fix,
    /// and of two alike costs less with the wet land that it leaves.
    fn worked_out(&self, lines: &[Drawn], kind: Kind, worth_per_m2: f64) -> Option<Proposal> {
        let [one, other] = [true, false].map(|joins| self.changes(lines.to_vec(), joins));
        let value = |proposal: &Proposal| (proposal.to_fix(), proposal.cost(worth_per_m2));
        let tried = if one == other { vec![one] } else { vec![one, other] };
        let worked = tried.into_iter().filter_map(|changes| self.proposed(changes, kind));
        worked.min_by(|x, y| {
            let (x, y) = (value(x), value(y));
            x.0.cmp(&y.0).then(x.1.total_cmp(&y.1))
        })
    }

    /// The changes that draw lines in place of those that give way, and the outlets they need; where it is said, lines that run side by
    /// side are drawn as one.
    pub fn changes(&self, lines: Vec<Drawn>, joins: bool) -> Vec<Change> {
        let plan = self.site.plan;
        let outlet_pipe_m = plan.outlets.values().map(|outlet| outlet.outlet_pipe_m).fold(0.0, f64::max);
        let settling = draw::Settling {
            outlet_pipe_m,
            shortest_m: self.plan.criteria.shortest_line_m,
            joins,
            is_open: &|a, b| self.site.is_open(a, b),
        };
        let lines = settling.settled(lines);
        let outlets: Vec<OutletId> = plan.outlets.keys().copied().collect();
        let named = draw::named(plan, &lines, &outlets, plan.next_id);
        let is_used = |id: OutletId| named.iter().any(|(_, line)| line.joins == Joins::Outlet(id));
        let placed = self.offered.iter().filter(|place| is_used(place.id));
        let placed: Vec<Change> = placed.map(|place| Change::Outlet(place.id, Some(place.outlet.clone()))).collect();
        let drawn = named.into_iter().map(|(id, line)| Change::Line(id, Some(self.with_seepage(line))));
        self.cleared.iter().cloned().chain(placed).chain(drawn).collect()
    }

    /// A line with what seeps to it where it is an interceptor.
    fn with_seepage(&self, line: Line) -> Line {
        let seeps = (line.pattern == Pattern::Interceptor).then(|| toe::seepage_m3s(self.site, self.plan, &line));
        match seeps.flatten() {
            Some(seepage_m3s) => Line { seepage_m3s, ..line },
            None => line,
        }
    }

    /// A layout from the changes that draw it; `None` where the plan refuses them, or has no new line then.
    pub fn proposed(&self, changes: Vec<Change>, kind: Kind) -> Option<Proposal> {
        self.judged(changes, kind, &mut Memory::with_threads(self.threads), self.threads)
    }

    /// The same with what was remembered of a plan much like it, in so many threads.
    pub fn judged(&self, changes: Vec<Change>, kind: Kind, memory: &mut Memory, threads: usize) -> Option<Proposal> {
        let edit = Edit { label: format!("Take the layout \"{}\"", kind.word()), changes };
        let mut plan = self.plan.clone();
        plan.apply(&edit).ok()?;
        if plan.lines.values().all(|line| line.kind.is_old()) {
            return None;
        }
        let land = self.site.land;
        let design = design::work_out_again(&plan, land, memory);
        let findings = checks::punch_list_of(&checks::Site::new(&plan, &design, land).with_threads(threads));
        let totals = takeoff::totals(&plan, &design);
        let estimate = takeoff::estimate(&plan, &design);
        let served_m2 = self.site.wet.served_m2(&plan, &design, land);
        let depth_m = depth_range_m(&plan, &design);
        Some(Proposal {
            name: kind.word().into(),
            kind,
            edit,
            design,
            findings,
            totals,
            estimate,
            wet_m2: self.site.wet.area_m2(),
            served_m2,
            out_of_reach_m2: 0.0,
            depth_m,
            bound: None,
            why: self.why(&plan),
            why_lines: reasons::of(self.site, &plan),
            stays: BTreeMap::new(),
            plan,
        })
    }

    /// What should be known of where the lines lead: outlets that are made or that others must agree to, and the length of what leads
    /// there.
    fn why(&self, plan: &Plan) -> Vec<String> {
        let mains = plan.lines.values().filter(|line| !line.kind.is_old());
        let told = mains.filter_map(|line| {
            let Joins::Outlet(id) = line.joins else { return None };
            let outlet = plan.outlets.get(&id)?;
            let length = plan.title.units.length(line.length_m());
            let asks = outlet.owner != plan::Owner::Own && !outlet.consent;
            let consent = if asks { ", which needs its owner's consent in writing" } else { "" };
            let leads = format!("{} runs {length} to {}{consent}.", line.name, outlet.name);
            let made = self.offered.iter().find(|place| place.id == id).map(|place| place.why.clone());
            Some(std::iter::once(leads).chain(made))
        });
        told.flatten().collect()
    }
}

/// What the links of a choice cost.
fn dug(found: &Candidates, choice: &Choice) -> f64 {
    choice.down.iter().flatten().map(|link| found.links[*link].cost).sum()
}

/// Least and greatest depth of the inverts of new lines, metres; the outlet pipe, that comes out of the ground, left out.
fn depth_range_m(plan: &Plan, design: &Design) -> Option<(f64, f64)> {
    let new = plan.lines.iter().filter(|(_, line)| !line.kind.is_old());
    let worked: Vec<&LineDesign> = new.filter_map(|(id, _)| design.lines.get(id)).collect();
    let least = worked.iter().filter_map(|line| Some(line.shallowest_from(line.outlet_pipe_m)?.value_m));
    let greatest = worked.iter().filter_map(|line| Some(line.deepest()?.value_m));
    least.reduce(f64::min).zip(greatest.reduce(f64::max))
}

//! Old tile found in the trench: the five choices side by side, each worked out as the plan would be with it.

use std::panic::resume_unwind;
use std::sync::atomic::{AtomicUsize, Ordering};

use checks::{Finding, Severity, Site};
use design::{Design, Memory};
use land::Land;
use plan::{Additions, Decision, Edit, Find, LineId, Photo, Plan, Signature};
use record::{Brings, Choice, Fit, Room, Spared, Trench};
use takeoff::Estimate;

use crate::Worked;
use crate::ground::threads;

/// A find with its choices.
#[derive(Debug)]
pub struct Weighing {
    /// The find.
    pub find: Find,
    /// The line in whose trench it lies.
    pub line: LineId,
    /// Its station there, metres.
    pub station_m: f64,
    /// How its level stands to the new pipe as planned.
    pub fit: Option<Fit>,
    /// The water it brings.
    pub brings: Brings,
    /// Uphill area of the terrain there, square metres: a first estimate of the land above.
    pub terrain_m2: Option<f64>,
    /// The planned pipe that it may spare.
    pub spared: Option<Spared>,
    /// The choices, in the order they are told.
    pub choices: Vec<Weighed>,
}

/// What one choice does.
#[derive(Debug)]
pub struct Weighed {
    /// The choice.
    pub choice: Choice,
    /// Largest pipe laid below, metres, where it lays larger pipe.
    pub larger_m: Option<f64>,
    /// The whole of it: the find in the record, the plan, the decision.
    pub edit: Edit,
    /// How the old line would enter.
    pub fit: Option<Fit>,
    /// The fullest pipe from there down to the outlet as the plan stands.
    pub before: Option<Room>,
    /// The same with the choice: at least and at most, where the land above is not known.
    pub after: (Option<Room>, Option<Room>),
    /// New pipe that it takes more, metres; below 0 less.
    pub more_m: f64,
    /// What it costs more; below 0 less.
    pub more_money: f64,
    /// The same in words, with its sign.
    pub money: String,
    /// Findings that come.
    pub comes: Vec<Finding>,
    /// Findings that go.
    pub goes: Vec<Finding>,
    /// What must be asked and done first.
    pub asked: Vec<String>,
}

/// A plan worked out as far as the choices are compared.
struct State {
    plan: Plan,
    design: Design,
    findings: Vec<Finding>,
    estimate: Estimate,
}

impl State {
    fn of(plan: Plan, worked: &Worked, memory: &mut Memory) -> Self {
        let design = design::work_out_again(&plan, &worked.land, memory);
        let findings = checks::punch_list_of(&Site::new(&plan, &design, &worked.land));
        let estimate = takeoff::estimate(&plan, &design);
        Self { plan, design, findings, estimate }
    }
}

/// Weighs the choices on a find. `signed` is who decides, when and why; `keep` leaves every planned line as it is. The error
/// says why the find cannot be weighed.
pub fn weigh(
    worked: &Worked,
    find: &Find,
    photos: &[Photo],
    signed: &Signature,
    keep: bool,
) -> Result<Weighing, String> {
    let recorded = recorded(&worked.plan, find, photos, signed);
    let mut plan = worked.plan.clone();
    if let Some(edit) = &recorded {
        plan.apply(edit).map_err(|error| error.to_string())?;
    }
    let trench =
        Trench::of(&plan, &worked.land, find).ok_or("found no planned line there, expected a find in a trench")?;
    let trench = if keep { trench.sparing_nothing() } else { trench };
    // What working the plan out as it stands leaves is used for every choice.
    let mut memory = Memory::default();
    let now = State::of(plan.clone(), worked, &mut memory);
    let one = |what: Decision| {
        let made = record::made(&trench, what, signed).map_err(|error| error.to_string())?;
        let with = |edit: &Edit| State::of(plan.with(edit), worked, &mut memory.clone());
        let then = with(&made);
        let larger = what.brings_water().then(|| record::larger_below(&trench, &then.plan, &then.design)).flatten();
        let mut choices = vec![weighed(&trench, (what, None), &made, (&now, &then))];
        if let Some((below, size_m)) = larger {
            let changes = [made.changes, below.changes].concat();
            let label = format!("{}, {} below", made.label, plan.title.units.pipe(size_m));
            let edit = Edit { label, changes };
            choices.push(weighed(&trench, (what, Some(size_m)), &edit, (&now, &with(&edit))));
        }
        Ok::<_, String>(choices)
    };
    let before = recorded.map_or_else(Vec::new, |edit| edit.changes);
    let mut choices = side_by_side(one)?;
    for weighed in &mut choices {
        weighed.edit.changes = [&before[..], &weighed.edit.changes].concat();
    }
    Ok(Weighing {
        find: find.clone(),
        line: trench.on.line,
        station_m: trench.on.station_m,
        fit: trench.fit(&now.design),
        brings: trench.brings(),
        terrain_m2: terrain_of(&plan, &worked.land, find),
        spared: trench.spared,
        choices,
    })
}

/// Works the decisions out, as many at once as there are threads, each taking the next; in their order.
fn side_by_side(one: impl Fn(Decision) -> Result<Vec<Weighed>, String> + Sync) -> Result<Vec<Weighed>, String> {
    let next = AtomicUsize::new(0);
    let work = || {
        let mut done: Vec<(usize, Result<Vec<Weighed>, String>)> = Vec::new();
        loop {
            let i = next.fetch_add(1, Ordering::Relaxed);
            let Some((what, _)) = Decision::ALL.get(i) else { return done };
            done.push((i, one(*what)));
        }
    };
    let mut done = std::thread::scope(|scope| {
        let others: Vec<_> = (1..threads()).map(|_| scope.spawn(work)).collect();
        let mut all = work();
        // A choice that panics is a fault of the program, told as it would be without threads.
        let rest = others.into_iter().map(|other| other.join().unwrap_or_else(|panic| resume_unwind(panic)));
        all.extend(rest.flatten());
        all
    });
    done.sort_by_key(|(i, _)| *i);
    let parts = done.into_iter().map(|(_, part)| part).collect::<Result<Vec<_>, _>>()?;
    Ok(parts.into_iter().flatten().collect())
}

/// What brings the find and its photos into the record, and strikes a former entry of the same place and day that it corrects;
/// `None` where the record has them.
pub fn recorded(plan: &Plan, find: &Find, photos: &[Photo], signed: &Signature) -> Option<Edit> {
    let additions = Additions { finds: vec![find.clone()], photos: photos.to_vec(), ..Additions::default() };
    let mut edit = plan::add_to_record(plan, additions, signed)?;
    let with = plan.with(&edit);
    let is_former = |other: &&Find| find.key != other.key && base(&find.key) == base(&other.key);
    let former = with.record.finds().find(|other| is_former(other) && other.spot == find.spot);
    if let Some(strike) = former.and_then(|other| plan::strike(&with, &other.key, signed)) {
        edit.changes.extend(strike.changes);
    }
    Some(edit)
}

/// What the key of a form's find is made of: day, line and station, without the number behind them.
fn base(key: &str) -> Option<[&str; 3]> {
    let mut parts = key.strip_prefix("found-")?.split('-');
    Some([parts.next()?, parts.next()?, parts.next()?])
}

fn weighed(
    trench: &Trench,
    (what, larger_m): (Decision, Option<f64>),
    edit: &Edit,
    (now, then): (&State, &State),
) -> Weighed {
    let brings = trench.brings().design_m3s;
    // Where its land is known the design has its water already.
    let counted = brings.0 == brings.1 || !what.brings_water();
    let (least, most) = if counted { (0.0, 0.0) } else { brings };
    let after = |more_m3s: f64| trench.room(&then.plan, &then.design, more_m3s);
    let gap = cost_gap(&now.estimate, &then.estimate);
    let weightless = |before: &State, after: &State| {
        checks::comes(&before.findings, &after.findings, Severity::Note).cloned().collect::<Vec<_>>()
    };
    Weighed {
        choice: Choice { what, larger_below: larger_m.is_some() },
        larger_m,
        edit: edit.clone(),
        fit: trench.fit(&then.design),
        before: trench.room(&now.plan, &now.design, 0.0),
        after: (after(least), after(most)),
        more_m: then.estimate.length_m() - now.estimate.length_m(),
        more_money: gap.0,
        money: gap.1,
        comes: weightless(now, then),
        goes: weightless(then, now),
        asked: record::asked(trench, what, &then.design),
    }
}

/// How much more one estimate is than another, and in words with its sign.
fn cost_gap(now: &Estimate, then: &Estimate) -> (f64, String) {
    let gap = then.total() - now.total();
    (gap, measure::signed(gap, then.about(gap.abs()).trim_start_matches("about ")))
}

/// The area that the terrain drains to a find, square metres: a first estimate of the land above it.
pub fn terrain_of(plan: &Plan, land: &Land, find: &Find) -> Option<f64> {
    /// Cells around it in which the way of the water is looked for.
    const AROUND: usize = 2;
    let (grid, water) = land.grid().zip(land.water.as_ref())?;
    let on = record::trench_of(plan, &find.spot)?;
    water.uphill_area_m2(grid, water.wettest_near(grid, on.at, AROUND)?)
}

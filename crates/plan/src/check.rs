//! What must always hold of a plan; the door through which every edit and every file goes.

use std::collections::{BTreeMap, BTreeSet};

use measure::{Point, extent};

use crate::backdrop;
use crate::bounds::{self, Bound, Count};
use crate::criteria::{Limit, Quantity};
use crate::record_check;
use crate::{
    Alternative, Brief, Correction, CostWeights, Criteria, Envelope, Exposed, Hold, Joins, LIMITS, Landmark,
    LandmarkId, LandmarkKind, LeadsTo, Line, LineId, LineKind, MarkValue, Outlet, OutletId, Outline, Plan, PriceList,
    Remedy, Served, Signature, SoilLayer, StructureKind, SurveyBook, TITLE_ENTRIES, Title, Watercourse,
    WatercourseId, is_date,
};

/// Why a plan or an edit was refused: where, what was found, what was expected.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{place}: found {found}, expected {expected}")]
pub struct PlanError {
    /// The part of the plan.
    pub place: String,
    /// What stands there.
    pub found: String,
    /// What could stand there.
    pub expected: String,
}

pub(crate) fn refuse(
    place: impl Into<String>,
    found: impl ToString,
    expected: impl Into<String>,
) -> Result<(), PlanError> {
    Err(PlanError { place: place.into(), found: found.to_string(), expected: expected.into() })
}

impl Plan {
    /// Holds the whole plan against its invariants and names the first that is broken.
    pub fn validate(&self) -> Result<(), PlanError> {
        if let Some(field) = &self.field {
            for ring in field.rings() {
                points("the field's boundary", ring, 3, bounds::CORNERS)?;
                across("the field's boundary", ring)?;
            }
        }
        title(&self.title)?;
        self.counts_hold()?;
        criteria(&self.criteria)?;
        self.layout_holds()?;
        self.ids_differ()?;
        survey(&self.survey)?;
        record_check::record(&self.record)?;
        self.watercourses.iter().try_for_each(|(id, watercourse)| self.watercourse_holds(*id, watercourse))?;
        self.landmarks.iter().try_for_each(|(id, landmark)| self.landmark_holds(*id, landmark))?;
        self.alternatives.iter().try_for_each(|alternative| self.alternative_holds(alternative))?;
        once("layout", self.alternatives.iter().map(|alternative| alternative.name.as_str()))?;
        once("revision", self.revisions.iter().map(|revision| revision.letter.as_str()))?;
        once("benchmark", self.survey.benchmarks.iter().map(|benchmark| benchmark.name.as_str()))?;
        self.ledger_holds()?;
        self.backdrop.iter().try_for_each(backdrop::hold)?;
        brief(&self.brief)?;
        cost_weights(&self.cost_weights)?;
        price_list(&self.price_list)?;
        self.rolls_hold()?;
        self.places_hold()
    }

    /// The pipe does not come in more rolls than anyone lays out one by one.
    fn rolls_hold(&self) -> Result<(), PlanError> {
        let pipe_m: f64 = self.lines.values().map(Line::length_m).sum();
        for (i, row) in self.price_list.rows.iter().enumerate() {
            let rolls = row.pack_m.map_or(0.0, |pack_m| (pipe_m / pack_m).ceil());
            within(&format!("row {} of the price list", i + 1), bounds::ALL_ROLLS.what, rolls, bounds::ALL_ROLLS)?;
        }
        Ok(())
    }

    /// Everything that is drawn lies in one region: one job.
    fn places_hold(&self) -> Result<(), PlanError> {
        let Some(middle) = self.middle() else { return Ok(()) };
        let outlets = self.outlets.values().map(|outlet| (format!("outlet {}", outlet.name), &outlet.at));
        let lines =
            self.lines.values().filter_map(|line| Some((format!("line {}", line.name), line.points.first()?)));
        let watercourses = self
            .watercourses
            .values()
            .filter_map(|own| Some((format!("{} {}", own.kind.word(), own.name), own.points.first()?)));
        let marks = self
            .landmarks
            .values()
            .filter_map(|mark| Some((format!("{} {}", mark.kind.word(), mark.name), mark.outline.points().first()?)));
        let benchmarks = self.survey.benchmarks.iter().map(|mark| (format!("benchmark {}", mark.name), &mark.at));
        for (place, at) in outlets.chain(lines).chain(watercourses).chain(marks).chain(benchmarks) {
            within(&place, bounds::APART.what, measure::distance(middle, *at), bounds::APART)?;
        }
        Ok(())
    }

    /// Where the plan lies: the first corner of the field, else the first place that is drawn.
    fn middle(&self) -> Option<Point> {
        let field = self.field.as_ref().and_then(|field| field.ring.first());
        let outlet = || self.outlets.values().map(|outlet| &outlet.at).next();
        let line = || self.lines.values().find_map(|line| line.points.first());
        field.or_else(outlet).or_else(line).copied()
    }

    /// Outlets and lines hold, each by itself and all together.
    fn layout_holds(&self) -> Result<(), PlanError> {
        self.outlets.iter().try_for_each(|(id, outlet)| self.outlet_holds(*id, outlet))?;
        self.lines.iter().try_for_each(|(id, line)| self.line_holds(*id, line))?;
        count("the plan", self.outlets.len(), bounds::OUTLETS)?;
        count("the plan", self.lines.len(), bounds::LINES)?;
        count("the plan", self.lines.values().map(|line| line.points.len()).sum(), bounds::ALL_BENDS)?;
        let pipe_m = self.lines.values().map(Line::length_m).sum();
        within("the plan", bounds::ALL_PIPE.what, pipe_m, bounds::ALL_PIPE)?;
        let stakes = self.lines.values().map(|line| (line.length_m() / self.criteria.staking_m).ceil()).sum();
        within("the plan", bounds::ALL_STAKES.what, stakes, bounds::ALL_STAKES)
    }

    /// No list of the plan is longer than anyone makes it.
    fn counts_hold(&self) -> Result<(), PlanError> {
        count("the plan", self.watercourses.len(), bounds::WATERCOURSES)?;
        count("the plan", self.landmarks.len(), bounds::MARKS)?;
        count("the plan", self.alternatives.len(), bounds::LAYOUTS)?;
        let lists = [
            ("the accepted findings", self.acceptances.len()),
            ("the log of limits", self.limit_log.len()),
            ("the revisions", self.revisions.len()),
            ("the price list", self.price_list.rows.len() + self.price_list.rates.len()),
            ("the cost weights", self.cost_weights.digging.len() + self.cost_weights.pipe.len()),
            ("the survey", self.survey.files.len() + self.survey.batches.len()),
            ("the benchmarks", self.survey.benchmarks.len() + self.survey.loops.len()),
            ("the survey's corrections", self.survey.corrections.len()),
        ];
        lists.into_iter().try_for_each(|(place, found)| count(place, found, bounds::ENTRIES))?;
        text("the brief", &self.brief.rough_backfill)
    }

    /// No two things of the plan have one id: findings that were left know by it what they are about.
    fn ids_differ(&self) -> Result<(), PlanError> {
        let outlets = self.outlets.iter().map(|(id, outlet)| (id.0, format!("outlet {}", outlet.name)));
        let lines = self.lines.iter().map(|(id, line)| (id.0, format!("line {}", line.name)));
        let watercourses =
            self.watercourses.iter().map(|(id, own)| (id.0, format!("{} {}", own.kind.word(), own.name)));
        let marks = self.landmarks.iter().map(|(id, mark)| (id.0, format!("{} {}", mark.kind.word(), mark.name)));
        let mut taken: BTreeMap<u32, String> = BTreeMap::new();
        for (id, place) in outlets.chain(lines).chain(watercourses).chain(marks) {
            if let Some(other) = taken.insert(id, place.clone()) {
                return refuse(place, format!("id {id}, which {other} has"), "an id of its own");
            }
        }
        Ok(())
    }

    fn landmark_holds(&self, id: LandmarkId, landmark: &Landmark) -> Result<(), PlanError> {
        let place = format!("{} {}", landmark.kind.word(), landmark.name);
        self.id_holds(&place, id.0)?;
        let (at, along, around) = landmark.kind.outlines();
        let (may_be, least) = match landmark.outline {
            Outline::At(_) => (at, 1),
            Outline::Along(_) => (along, 2),
            Outline::Around(_) => (around, 3),
        };
        points(&place, landmark.outline.points(), least, bounds::BENDS)?;
        across(&place, landmark.outline.points())?;
        name(&place, &landmark.name)?;
        text(&place, &landmark.note)?;
        if !may_be {
            let expected = match (at, along, around) {
                (true, false, false) => "a single place",
                (false, true, false) => "a course",
                (false, false, true) => "an area",
                (false, true, true) => "a course or an area",
                _ => "a place, a course or an area",
            };
            return refuse(place, "an outline of another kind", expected);
        }
        mark_fields_hold(&place, &landmark.kind)
    }

    /// A layout that was put aside is a sound layout by itself.
    fn alternative_holds(&self, alternative: &Alternative) -> Result<(), PlanError> {
        let named =
            |error: PlanError| PlanError { place: format!("layout {}, {}", alternative.name, error.place), ..error };
        let (outlets, lines) = (alternative.outlets.clone(), alternative.lines.clone());
        let criteria = self.criteria.clone();
        let alone = Plan { outlets, lines, criteria, next_id: self.next_id, ..Plan::new("", self.title.units) };
        alone.layout_holds().map_err(named)?;
        brief(&alternative.brief).map_err(named)
    }

    /// Whatever was signed has a name, a day and a reason.
    fn ledger_holds(&self) -> Result<(), PlanError> {
        for acceptance in &self.acceptances {
            points(
                &format!("the accepted finding: {}", acceptance.title),
                &[acceptance.subject.at],
                1,
                bounds::BENDS,
            )?;
            signature(&format!("the accepted finding: {}", acceptance.title), &acceptance.signed)?;
        }
        for change in &self.limit_log {
            signature(&format!("the change of limit {}", change.limit), &change.signed)?;
        }
        self.revisions.iter().try_for_each(|r| signature(&format!("revision {}", r.letter), &r.signed))
    }

    fn outlet_holds(&self, id: OutletId, outlet: &Outlet) -> Result<(), PlanError> {
        let place = format!("outlet {}", outlet.name);
        self.id_holds(&place, id.0)?;
        points(&place, &[outlet.at], 1, bounds::BENDS)?;
        name(&place, &outlet.name)?;
        name(&place, &outlet.photo)?;
        let levels = [Some(outlet.invert_m), outlet.channel_bottom_m, outlet.low_water_m, outlet.flood_m];
        levels.into_iter().flatten().try_for_each(|level_m| level(&place, level_m))?;
        within(&place, "outlet pipe", outlet.outlet_pipe_m, bounds::OUTLET_PIPE)?;
        within(&place, "overhang", outlet.overhang_m, bounds::OVERHANG)?;
        within(&place, "slope of the bank", outlet.bank_run.unwrap_or(1.0), bounds::BANK_RUN)?;
        within(&place, "direction of the channel", outlet.channel_deg.unwrap_or(0.0), bounds::DIRECTION)?;
        if let LeadsTo::Pipe(pipe) = outlet.leads_to {
            within(&place, "size of the receiving pipe", pipe.size_m.unwrap_or(0.3), bounds::RECEIVING)?;
            within(&place, "free capacity of the receiving pipe", pipe.free_m3s.unwrap_or(0.0), bounds::FLOW)?;
            pipe.invert_m.map_or(Ok(()), |level_m| level(&place, level_m))?;
        }
        Ok(())
    }

    fn line_holds(&self, id: LineId, line: &Line) -> Result<(), PlanError> {
        let place = format!("line {}", line.name);
        self.id_holds(&place, id.0)?;
        points(&place, &line.points, 2, bounds::BENDS)?;
        name(&place, &line.name)?;
        if line.length_m() < bounds::LENGTH.least {
            return refuse(place, "all points in one place", "a line with some length");
        }
        within(&place, "length", line.length_m(), bounds::LENGTH)?;
        within(&place, "size", line.size_m, bounds::PIPE)?;
        let known = match line.joins {
            Joins::Nothing => true,
            Joins::Outlet(outlet) => self.outlets.contains_key(&outlet),
            Joins::Line(other) => other != id && self.lines.contains_key(&other),
        };
        if !known {
            return refuse(place, format!("{:?}", line.joins), "a joint with another line or an outlet of the plan");
        }
        pins(&place, line)?;
        laying(&place, line)
    }

    fn watercourse_holds(&self, id: WatercourseId, watercourse: &Watercourse) -> Result<(), PlanError> {
        let place = format!("{} {}", watercourse.kind.word(), watercourse.name);
        self.id_holds(&place, id.0)?;
        name(&place, &watercourse.name)?;
        points(&place, &watercourse.points, 2, bounds::BENDS)?;
        across(&place, &watercourse.points)
    }

    fn id_holds(&self, place: &str, id: u32) -> Result<(), PlanError> {
        if id >= self.next_id {
            return refuse(place, format!("id {id}"), "an id below the plan's next one");
        }
        Ok(())
    }
}

/// Names that tell things apart are each there once.
pub(crate) fn once<'a>(what: &str, names: impl Iterator<Item = &'a str>) -> Result<(), PlanError> {
    let mut taken = BTreeSet::new();
    for name in names {
        if !taken.insert(name) {
            return refuse(format!("{what} {name}"), format!("a second {what} of that name"), "a name of its own");
        }
    }
    Ok(())
}

fn points(place: &str, points: &[Point], least: usize, most: Count) -> Result<(), PlanError> {
    if points.len() < least {
        let expected = format!("{least} {} or more", if least == 1 { "point" } else { "points" });
        return refuse(place, measure::how_many(points.len(), "point"), expected);
    }
    count(place, points.len(), most)?;
    match points.iter().find(|p| !(bounds::COORDINATE.holds(p.x) && bounds::COORDINATE.holds(p.y))) {
        Some(p) => refuse(place, format!("({}, {})", p.x, p.y), "coordinates within 100,000 km"),
        None => Ok(()),
    }
}

/// A thing is not wider than a job.
fn across(place: &str, points: &[Point]) -> Result<(), PlanError> {
    let Some((low, high)) = extent(points.iter().copied()) else { return Ok(()) };
    within(place, bounds::ACROSS.what, (high.x - low.x).max(high.y - low.y), bounds::ACROSS)
}

pub(crate) fn count(place: &str, found: usize, most: Count) -> Result<(), PlanError> {
    if found <= most.most {
        return Ok(());
    }
    refuse(place, format!("{found} {}", most.what), format!("at most {}", most.most))
}

/// Names in the title are short, and a ticket ends on a day.
fn title(title: &Title) -> Result<(), PlanError> {
    name("the title", &title.name)?;
    TITLE_ENTRIES.iter().try_for_each(|entry| name("the title block", (entry.of)(&title.block)))?;
    title.block.ticket_until.iter().try_for_each(|day| date("the title block".into(), day))
}

pub(crate) fn name(place: &str, name: &str) -> Result<(), PlanError> {
    count(&shortened(place), name.chars().count(), bounds::NAME)
}

pub(crate) fn text(place: &str, text: &str) -> Result<(), PlanError> {
    count(&shortened(place), text.chars().count(), bounds::TEXT)
}

/// A place that is named by what is far too long.
fn shortened(place: &str) -> String {
    const LETTERS: usize = 60;
    if place.chars().count() <= LETTERS { place.into() } else { place.chars().take(LETTERS).chain(['…']).collect() }
}

pub(crate) fn level(place: &str, level_m: f64) -> Result<(), PlanError> {
    within(place, "level", level_m, bounds::LEVEL)
}

/// The job's limits, each in the range of what it is a number of.
fn criteria(criteria: &Criteria) -> Result<(), PlanError> {
    let (place, roughness) = ("the job's limits", &criteria.roughness);
    let all =
        [roughness.corrugated_to_8_in, roughness.corrugated_to_12_in, roughness.corrugated_larger, roughness.smooth];
    all.into_iter().try_for_each(|n| within(place, "roughness", n, bounds::ROUGHNESS))?;
    within(place, bounds::STAKING.what, criteria.staking_m, bounds::STAKING)?;
    let holds =
        |limit: &Limit| within(&format!("limit {}", limit.name), "", (limit.value)(criteria), bound_of(limit));
    LIMITS.iter().try_for_each(holds)
}

const fn bound_of(limit: &Limit) -> Bound {
    match limit.quantity {
        Quantity::Length => bounds::LIMIT_LENGTH,
        Quantity::Depth => bounds::LIMIT_DEPTH,
        Quantity::Speed => bounds::LIMIT_SPEED,
        Quantity::Grade => bounds::LIMIT_GRADE,
        Quantity::Angle => bounds::LIMIT_ANGLE,
        Quantity::Area => bounds::AREA,
        Quantity::Conductivity => bounds::CONDUCTIVITY,
        Quantity::Share | Quantity::Number => bounds::LIMIT_NUMBER,
    }
}

fn survey(book: &SurveyBook) -> Result<(), PlanError> {
    for benchmark in &book.benchmarks {
        let place = format!("benchmark {}", benchmark.name);
        name(&place, &benchmark.name)?;
        points(&place, &[benchmark.at], 1, bounds::BENDS)?;
        level(&place, benchmark.level_m)?;
    }
    for run in &book.loops {
        let place = format!("level loop {}", run.name);
        [run.known_m, run.carried_m].into_iter().try_for_each(|level_m| level(&place, level_m))?;
        within(&place, "length", run.length_m, bounds::LOOP)?;
    }
    let taken =
        book.batches.iter().filter_map(|(name, facts)| Some((format!("batch {name}"), facts.date.as_deref()?)));
    taken
        .chain(book.earthwork.as_deref().map(|day| ("earthwork".into(), day)))
        .try_for_each(|(place, day)| date(place, day))?;
    book.corrections.iter().enumerate().try_for_each(|(i, correction)| correction_holds(i + 1, correction))
}

/// A correction moves levels by a sensible amount and says who, when and why.
fn correction_holds(number: usize, correction: &Correction) -> Result<(), PlanError> {
    let place = format!("survey correction {number}");
    if let Remedy::Shift { by_m, .. }
    | Remedy::ShiftLidar { by_m }
    | Remedy::Raise { by_m, .. }
    | Remedy::Keep { off_m: by_m, .. } = correction.what
    {
        level(&place, by_m)?;
    }
    signature(&place, &correction.signed)
}

fn signature(place: &str, signed: &Signature) -> Result<(), PlanError> {
    for (what, text) in [("name", &signed.by), ("reason", &signed.because)] {
        if text.trim().is_empty() || text.len() > 500 {
            return refuse(place, format!("no {what} that can be kept"), "a name and a reason of 1 to 500 letters");
        }
    }
    date(place.into(), &signed.on)
}

/// What stands in the fields of a mark means something.
fn mark_fields_hold(place: &str, kind: &LandmarkKind) -> Result<(), PlanError> {
    kind.row().fields.iter().try_for_each(|field| mark_field_holds(place, &field.value, kind))
}

fn mark_field_holds(place: &str, value: &MarkValue, kind: &LandmarkKind) -> Result<(), PlanError> {
    let lies =
        |bound: Bound, number: Option<f64>| number.map_or(Ok(()), |number| within(place, bound.what, number, bound));
    match value {
        MarkValue::Length(bound, member) | MarkValue::Direction(bound, member) => {
            lies(*bound, member.get(kind).copied())
        }
        MarkValue::KnownLength(bound, member) | MarkValue::KnownNumber(bound, member) => {
            lies(*bound, member.get(kind).copied().flatten())
        }
        MarkValue::Day(member) => {
            let day = member.get(kind).and_then(Option::as_deref);
            day.map_or(Ok(()), |day| date(place.into(), day))
        }
        MarkValue::Layers(member) => member.get(kind).map_or(Ok(()), |layers| layers_hold(place, layers)),
        MarkValue::Exposed(member) => {
            let exposed = member.get(kind).and_then(Option::as_ref);
            exposed.map_or(Ok(()), |exposed| exposed_holds(place, exposed))
        }
        MarkValue::Text(_) | MarkValue::YesNo(_) | MarkValue::Choice(_) => Ok(()),
    }
}

fn exposed_holds(place: &str, exposed: &Exposed) -> Result<(), PlanError> {
    if exposed.by.trim().is_empty() || exposed.by.len() > 500 {
        return refuse(place, "nobody's name with the levels that were exposed", "a name of 1 to 500 letters");
    }
    date(place.into(), &exposed.on)?;
    for level_m in [exposed.top_m, exposed.bottom_m] {
        level(place, level_m)?;
    }
    if exposed.bottom_m >= exposed.top_m {
        return refuse(place, "an exposed underside that is not below the top", "a top above the underside");
    }
    Ok(())
}

fn layers_hold(place: &str, layers: &[SoilLayer]) -> Result<(), PlanError> {
    if layers.windows(2).any(|pair| pair[1].to_m <= pair[0].to_m) {
        return refuse(place, "layers out of order", "layers from the surface down");
    }
    for layer in layers {
        within(place, "depth of a layer", layer.to_m, bounds::DEPTH)?;
        for (what, share) in [
            ("share of sand", layer.sand),
            ("share of clay", layer.clay),
            ("share of organic matter", layer.organic),
            ("drainable porosity", layer.porosity),
        ] {
            within(place, what, share.unwrap_or(0.0), bounds::SHARE)?;
        }
        let mineral = layer.sand.unwrap_or(0.0) + layer.clay.unwrap_or(0.0);
        if mineral > 1.0 + 1e-9 {
            return refuse(place, "sand and clay of more than the whole", "shares that make 1 at most");
        }
        within(place, "conductivity", layer.conductivity_ms.unwrap_or(0.0), bounds::CONDUCTIVITY)?;
    }
    Ok(())
}

/// Prices are numbers; packs have a length and machines get on.
fn price_list(list: &PriceList) -> Result<(), PlanError> {
    for (i, row) in list.rows.iter().enumerate() {
        let place = format!("row {} of the price list", i + 1);
        within(&place, "price", row.price, bounds::PRICE)?;
        let sizes = [row.size_m, row.branch_m];
        sizes.into_iter().flatten().try_for_each(|size_m| within(&place, "size", size_m, bounds::FITTING))?;
        within(&place, "length of a roll", row.pack_m.unwrap_or(1.0), bounds::ROLL)?;
    }
    for rate in &list.rates {
        within("the price list", "depth", rate.from_m, bounds::DEPTH)?;
        within("the price list", "meters an hour", rate.per_hour_m, bounds::PACE)?;
    }
    if list.rates.windows(2).any(|pair| pair[1].from_m <= pair[0].from_m) {
        return refuse("the price list", "depths of digging out of order", "depths that rise");
    }
    if !crate::is_currency(&list.currency) {
        return refuse("the price list", format!("the currency '{}'", list.currency), "a sign or code such as EUR");
    }
    within("the price list", "hardness", list.hardness, bounds::HARDNESS)?;
    within("the price list", "waste", list.waste, bounds::SHARE)?;
    within("the price list", "contingency", list.contingency, bounds::CONTINGENCY)?;
    within("the price list", "width torn up", list.disturbed_m, bounds::DEPTH)
}

pub(crate) fn date(place: String, day: &str) -> Result<(), PlanError> {
    if is_date(day) { Ok(()) } else { refuse(place, format!("the date '{day}'"), "a date as YYYY-MM-DD") }
}

/// Numbers a person typed for a line lie where they mean something.
fn laying(place: &str, line: &Line) -> Result<(), PlanError> {
    let counts = [
        line.pins.len(),
        line.reaches.len(),
        line.passes.len(),
        line.structures.len(),
        line.stretches.len(),
        line.hubs.len(),
    ];
    counts.into_iter().try_for_each(|found| count(place, found, bounds::ON_A_LINE))?;
    line.passes.iter().try_for_each(|pass| name(place, &pass.what))?;
    let length_m = line.length_m() + 1e-6;
    let stations = (line.reaches.iter().flat_map(|reach| [reach.from_m, reach.to_m]))
        .chain(line.passes.iter().map(|pass| pass.station_m))
        .chain(line.structures.iter().map(|structure| structure.station_m));
    stations.into_iter().try_for_each(|station_m| station(place, "station", station_m, length_m))?;
    if line.reaches.iter().any(|reach| reach.to_m <= reach.from_m)
        || line.reaches.windows(2).any(|pair| pair[1].from_m < pair[0].to_m - 1e-6)
    {
        return refuse(place, "reaches that overlap or have no length", "reaches one after the other");
    }
    let inside = |from_m: f64, to_m: f64| from_m >= 0.0 && to_m > from_m && to_m <= length_m;
    if line.stretches.iter().any(|stretch| !inside(stretch.from_m, stretch.to_m))
        || line.stretches.windows(2).any(|pair| pair[1].from_m < pair[0].to_m - 1e-6)
    {
        return refuse(place, "stretches of pipe that overlap or leave the line", "stretches one after the other");
    }
    line.stretches
        .iter()
        .filter_map(|laid| laid.size_m)
        .try_for_each(|size_m| within(place, "size", size_m, bounds::PIPE))?;
    for hub in &line.hubs {
        station(place, "station of a hub", hub.station_m, length_m)?;
        level(place, hub.level_m)?;
        within(place, "offset of a hub", hub.left_m.abs(), bounds::HUB_OFFSET)?;
    }
    let bed = [line.bed.settlement_m, line.bed.maker_depth_m];
    bed.into_iter().flatten().try_for_each(|depth_m| within(place, "depth", depth_m, bounds::DEPTH))?;
    if let Envelope::Granular(thick_m) = line.bed.envelope {
        within(place, "thickness of the envelope", thick_m, bounds::ENVELOPE)?;
    }
    for reach in &line.reaches {
        match reach.hold {
            Hold::Grade(grade) => within(place, "grade of a reach", grade, bounds::GRADE)?,
            Hold::Depth(depth_m) => within(place, "depth of a reach", depth_m, bounds::DUG)?,
            Hold::IntoLayer(into_m) => within(place, "way into the tight layer", into_m, bounds::INTO_LAYER)?,
        }
    }
    for pass in &line.passes {
        level(place, pass.level_m)?;
        within(place, "clear distance", pass.clear_m, bounds::DUG)?;
    }
    for structure in &line.structures {
        if let StructureKind::JunctionBox(facts) = structure.kind {
            within(place, "depth of a lid", facts.lid_depth_m, bounds::DEPTH)?;
            facts.out_invert_m.map_or(Ok(()), |level_m| level(place, level_m))?;
        }
    }
    let catching = line.structures.iter().filter_map(|structure| structure.kind.catching());
    for catching in catching {
        within(place, "area of an inlet", catching.area_m2, bounds::AREA)?;
        within(place, "coefficient of an inlet", catching.coefficient_ms.unwrap_or(0.0), bounds::WETNESS)?;
        within(place, "riser of an inlet", catching.riser_m.unwrap_or(0.1), bounds::RISER)?;
    }
    match line.served {
        Served::Width(width_m) => within(place, "width of the strip", width_m, bounds::STRIP)?,
        Served::Area(area_m2) => within(place, "area", area_m2, bounds::AREA)?,
        Served::Strip | Served::Catchment | Served::Carrier => {}
    }
    if let LineKind::OldTile(old) = line.kind {
        within(place, "area above the old tile", old.upstream_m2.unwrap_or(0.0), bounds::AREA)?;
        within(place, "way that the old tile may lie aside", old.aside_m.unwrap_or(0.0), bounds::SERVED)?;
    }
    within(place, "roughness", line.roughness_n.unwrap_or(0.015), bounds::ROUGHNESS)?;
    within(place, "seepage", line.seepage_m3s, bounds::FLOW)?;
    within(place, "drop at the joint", line.drop_m.unwrap_or(0.0), bounds::DUG)
}

fn brief(brief: &Brief) -> Result<(), PlanError> {
    within("the brief", "drainage coefficient", brief.coefficient_ms(), bounds::WETNESS)?;
    within("the brief", "ripping depth", brief.rip_after_m.unwrap_or(0.0), bounds::RIPPED)?;
    within("the brief", "wanted water table", brief.water_table_m, bounds::RIPPED)?;
    within("the brief", "served distance", brief.served_m, bounds::SERVED)
}

/// Weights are numbers, and digging gets no cheaper with depth: only then is there one best grade line.
fn cost_weights(weights: &CostWeights) -> Result<(), PlanError> {
    let place = "the cost weights";
    let (digging, pipe) = (&weights.digging, &weights.pipe);
    let numbers = (digging.iter().flat_map(|band| [band.from_m, band.per_m2]))
        .chain(pipe.iter().flat_map(|pipe| [pipe.size_m, pipe.per_m]))
        .chain([weights.missing_depth_per_m2, weights.missing_rise_per_m]);
    numbers.into_iter().try_for_each(|number| within(place, "price or depth", number, bounds::WEIGHT))?;
    within(place, "margin", weights.margin, bounds::MARGIN)?;
    if digging.windows(2).any(|pair| pair[1].from_m <= pair[0].from_m || pair[1].per_m2 < pair[0].per_m2) {
        return refuse(place, "digging that gets cheaper with depth", "depths and weights of digging that rise");
    }
    if pipe.windows(2).any(|pair| pair[1].size_m <= pair[0].size_m) {
        return refuse(place, "sizes of pipe out of order", "sizes of pipe that rise");
    }
    Ok(())
}

pub(crate) fn within(place: &str, what: &str, number: f64, bound: Bound) -> Result<(), PlanError> {
    if bound.holds(number) {
        return Ok(());
    }
    refuse(place, format!("{what} {number}").trim_start(), bound.words())
}

/// A station on a line of some length, metres.
fn station(place: &str, what: &str, station_m: f64, length_m: f64) -> Result<(), PlanError> {
    if (0.0..=length_m).contains(&station_m) {
        return Ok(());
    }
    refuse(place, format!("{what} {station_m}"), format!("a station on the line, 0 to {length_m} m"))
}

fn pins(place: &str, line: &Line) -> Result<(), PlanError> {
    for pin in &line.pins {
        level(place, pin.invert_m)?;
        if !(0.0..=line.length_m() + 1e-6).contains(&pin.station_m) {
            return refuse(place, format!("locked level at {} m", pin.station_m), "a station on the line");
        }
    }
    if line.pins.windows(2).any(|pair| pair[1].station_m <= pair[0].station_m) {
        return refuse(place, "locked levels out of order", "rising stations, each once");
    }
    Ok(())
}

//! What must always hold of a plan; the door through which every edit and every file goes.

use std::collections::{BTreeMap, BTreeSet};

use measure::Point;

use crate::{
    Alternative, Brief, Correction, Envelope, Exposed, Hold, Joins, LIMITS, Landmark, LandmarkId, LandmarkKind,
    LeadsTo, Line, LineId, LineKind, Outlet, OutletId, Outline, Pit, Plan, PriceList, Prices, Remedy, Rows, Served,
    Signature, SurveyBook, Watercourse, WatercourseId, is_date,
};

/// Coordinates and levels beyond this many metres are no place on earth.
const FARTHEST_M: f64 = 1e8;
/// Levels outside ±12 km are no ground.
const HIGHEST_M: f64 = 12_000.0;
/// Largest area a line drains, square metres: a thousand square kilometres.
const LARGEST_M2: f64 = 1e9;
/// Most water that can be asked to leave, m/s: a metre a day.
const WETTEST_MS: f64 = 1.0 / 86_400.0;
/// Points a single line or ring may have.
const MOST_POINTS: usize = 100_000;

/// Why a plan or an edit was refused: where, what was found, what was expected.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{place}: found {found}, expected {expected}")]
pub struct PlanError {
    /// The part of the plan.
    pub place: String,
    /// What stands there.
    pub found: String,
    /// What could stand there.
    pub expected: &'static str,
}

fn refuse(place: impl Into<String>, found: impl ToString, expected: &'static str) -> Result<(), PlanError> {
    Err(PlanError { place: place.into(), found: found.to_string(), expected })
}

impl Plan {
    /// Holds the whole plan against its invariants and names the first that is broken.
    pub fn validate(&self) -> Result<(), PlanError> {
        if let Some(field) = &self.field {
            for ring in field.rings() {
                points("the field's boundary", ring, 3)?;
            }
        }
        self.layout_holds()?;
        self.ids_differ()?;
        survey(&self.survey)?;
        self.watercourses.iter().try_for_each(|(id, watercourse)| self.watercourse_holds(*id, watercourse))?;
        self.landmarks.iter().try_for_each(|(id, landmark)| self.landmark_holds(*id, landmark))?;
        self.alternatives.iter().try_for_each(|alternative| self.alternative_holds(alternative))?;
        once("layout", self.alternatives.iter().map(|alternative| alternative.name.as_str()))?;
        once("revision", self.revisions.iter().map(|revision| revision.letter.as_str()))?;
        once("benchmark", self.survey.benchmarks.iter().map(|benchmark| benchmark.name.as_str()))?;
        self.ledger_holds()?;
        brief(&self.brief)?;
        prices(&self.prices)?;
        price_list(&self.price_list)?;
        let roughness = &self.criteria.roughness;
        let all = [
            roughness.corrugated_to_8_in,
            roughness.corrugated_to_12_in,
            roughness.corrugated_larger,
            roughness.smooth,
        ];
        all.into_iter().try_for_each(|n| within("the job's limits", "roughness", n, (0.005, 0.1)))?;
        within("the job's limits", "way from stake to stake, metres,", self.criteria.staking_m, (1.0, 300.0))?;
        for limit in LIMITS {
            let value = (limit.value)(&self.criteria);
            if !(0.0..=1e6).contains(&value) {
                return refuse(format!("limit {}", limit.name), value, "a number from 0 to 1,000,000");
            }
        }
        Ok(())
    }

    /// Outlets and lines hold, each by itself and by a name of its own: by names a crew tells them apart.
    fn layout_holds(&self) -> Result<(), PlanError> {
        self.outlets.iter().try_for_each(|(id, outlet)| self.outlet_holds(*id, outlet))?;
        self.lines.iter().try_for_each(|(id, line)| self.line_holds(*id, line))?;
        once("outlet", self.outlets.values().map(|outlet| outlet.name.as_str()))?;
        once("line", self.lines.values().map(|line| line.name.as_str()))
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
        points(&place, landmark.outline.points(), least)?;
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
        landmark_figures(&place, &landmark.kind)
    }

    /// A layout that was put aside is a sound layout by itself.
    fn alternative_holds(&self, alternative: &Alternative) -> Result<(), PlanError> {
        let named =
            |error: PlanError| PlanError { place: format!("layout {}, {}", alternative.name, error.place), ..error };
        let (outlets, lines) = (alternative.outlets.clone(), alternative.lines.clone());
        let alone = Plan { outlets, lines, next_id: self.next_id, ..Plan::new("", self.title.units) };
        alone.layout_holds().map_err(named)?;
        brief(&alternative.brief).map_err(named)
    }

    /// Whatever was signed has a name, a day and a reason.
    fn ledger_holds(&self) -> Result<(), PlanError> {
        for waiver in &self.waivers {
            points(&format!("the finding left: {}", waiver.title), &[waiver.subject.at], 1)?;
            signature(&format!("the finding left: {}", waiver.title), &waiver.signed)?;
        }
        for change in &self.limit_log {
            signature(&format!("the change of limit {}", change.limit), &change.signed)?;
        }
        self.revisions.iter().try_for_each(|r| signature(&format!("revision {}", r.letter), &r.signed))
    }

    fn outlet_holds(&self, id: OutletId, outlet: &Outlet) -> Result<(), PlanError> {
        let place = format!("outlet {}", outlet.name);
        self.id_holds(&place, id.0)?;
        points(&place, &[outlet.at], 1)?;
        let levels = [Some(outlet.invert_m), outlet.channel_bottom_m, outlet.low_water_m, outlet.flood_m];
        levels.into_iter().flatten().try_for_each(|level_m| level(&place, level_m))?;
        if !(0.0..=1000.0).contains(&outlet.outlet_pipe_m) {
            return refuse(place, outlet.outlet_pipe_m, "an outlet pipe of 0 to 1000 m");
        }
        within(&place, "overhang", outlet.overhang_m, (0.0, 1000.0))?;
        within(&place, "slope of the bank", outlet.bank_run.unwrap_or(1.0), (0.0, 1000.0))?;
        within(&place, "direction of the channel", outlet.channel_deg.unwrap_or(0.0), (0.0, 360.0))?;
        if let LeadsTo::Pipe(pipe) = outlet.leads_to {
            within(&place, "size of the receiving pipe", pipe.size_m.unwrap_or(0.3), (0.02, 10.0))?;
            within(&place, "free capacity of the receiving pipe", pipe.free_m3s.unwrap_or(0.0), (0.0, 1_000.0))?;
            pipe.invert_m.map_or(Ok(()), |level_m| level(&place, level_m))?;
        }
        Ok(())
    }

    fn line_holds(&self, id: LineId, line: &Line) -> Result<(), PlanError> {
        let place = format!("line {}", line.name);
        self.id_holds(&place, id.0)?;
        points(&place, &line.points, 2)?;
        if line.length_m() < 1e-3 {
            return refuse(place, "all points in one place", "a line with some length");
        }
        if !(0.02..=2.0).contains(&line.size_m) {
            return refuse(place, format!("size {} m", line.size_m), "a pipe of 0.02 to 2 m");
        }
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
        points(&place, &watercourse.points, 2)
    }

    fn id_holds(&self, place: &str, id: u32) -> Result<(), PlanError> {
        if id >= self.next_id {
            return refuse(place, format!("id {id}"), "an id below the plan's next one");
        }
        Ok(())
    }
}

/// Names that tell things apart are each there once.
fn once<'a>(what: &str, names: impl Iterator<Item = &'a str>) -> Result<(), PlanError> {
    let mut taken = BTreeSet::new();
    for name in names {
        if !taken.insert(name) {
            return refuse(format!("{what} {name}"), format!("a second {what} of that name"), "a name of its own");
        }
    }
    Ok(())
}

fn points(place: &str, points: &[Point], least: usize) -> Result<(), PlanError> {
    if points.len() < least || points.len() > MOST_POINTS {
        return refuse(place, format!("{} points", points.len()), "2 to 100,000 points (3 or more for a boundary)");
    }
    match points.iter().find(|p| !(p.x.abs() <= FARTHEST_M && p.y.abs() <= FARTHEST_M)) {
        Some(p) => refuse(place, format!("({}, {})", p.x, p.y), "coordinates within 100,000 km"),
        None => Ok(()),
    }
}

fn level(place: &str, level_m: f64) -> Result<(), PlanError> {
    if level_m.abs() <= HIGHEST_M {
        return Ok(());
    }
    refuse(place, format!("level {level_m} m"), "a level within 12,000 m of zero")
}

fn survey(book: &SurveyBook) -> Result<(), PlanError> {
    for benchmark in &book.benchmarks {
        let place = format!("benchmark {}", benchmark.name);
        points(&place, &[benchmark.at], 1)?;
        level(&place, benchmark.level_m)?;
    }
    for run in &book.loops {
        let place = format!("level loop {}", run.name);
        [run.known_m, run.carried_m].into_iter().try_for_each(|level_m| level(&place, level_m))?;
        if !(0.0..=FARTHEST_M).contains(&run.length_m) {
            return refuse(place, format!("length {} m", run.length_m), "a length from 0 to 100,000 km");
        }
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

/// Figures of a mark lie where they mean something.
fn landmark_figures(place: &str, kind: &LandmarkKind) -> Result<(), PlanError> {
    let lengths: Vec<Option<f64>> = match kind {
        LandmarkKind::Utility(utility) => {
            utility.valid_until.as_deref().map_or(Ok(()), |day| date(place.into(), day))?;
            utility.exposed.as_ref().map_or(Ok(()), |exposed| exposed_holds(place, exposed))?;
            vec![utility.depth_m, utility.size_m, utility.clear_m]
        }
        LandmarkKind::Wetland { setback_m, determined } => {
            determined.as_deref().map_or(Ok(()), |day| date(place.into(), day))?;
            vec![*setback_m]
        }
        LandmarkKind::Well { keep_off_m } | LandmarkKind::Septic { keep_off_m } => vec![*keep_off_m],
        LandmarkKind::Road { width_m, .. } => vec![Some(*width_m)],
        LandmarkKind::Irrigation { depth_m, size_m } => vec![*depth_m, *size_m],
        LandmarkKind::Footing { depth_m } => vec![Some(*depth_m)],
        LandmarkKind::OverheadLine { kilovolts } => vec![*kilovolts],
        LandmarkKind::Rows(rows) => return rows_hold(place, rows),
        LandmarkKind::Pit(pit) => return pit_holds(place, pit),
        _ => Vec::new(),
    };
    lengths.into_iter().flatten().try_for_each(|length| within(place, "figure", length, (0.0, 10_000.0)))
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

fn rows_hold(place: &str, rows: &Rows) -> Result<(), PlanError> {
    within(place, "direction of the rows", rows.bearing_deg, (0.0, 360.0))?;
    within(place, "spacing of the rows", rows.spacing_m, (0.3, 100.0))?;
    let depths = [rows.post_depth_m, rows.anchor_depth_m];
    depths.into_iter().flatten().try_for_each(|depth_m| within(place, "depth", depth_m, (0.0, 30.0)))
}

fn pit_holds(place: &str, pit: &Pit) -> Result<(), PlanError> {
    if pit.layers.windows(2).any(|pair| pair[1].to_m <= pair[0].to_m) {
        return refuse(place, "layers out of order", "layers from the surface down");
    }
    for layer in &pit.layers {
        within(place, "depth of a layer", layer.to_m, (0.0, 100.0))?;
        within(place, "share of clay", layer.clay.unwrap_or(0.0), (0.0, 1.0))?;
        within(place, "conductivity", layer.conductivity_ms.unwrap_or(0.0), (0.0, 1.0))?;
    }
    let depths = [pit.mottles_m, pit.tight_m];
    depths.into_iter().flatten().try_for_each(|depth_m| within(place, "depth", depth_m, (0.0, 100.0)))?;
    within(place, "pH", pit.ph.unwrap_or(7.0), (0.0, 14.0))
}

/// Prices are numbers; packs have a length and machines get on.
fn price_list(list: &PriceList) -> Result<(), PlanError> {
    for (i, row) in list.rows.iter().enumerate() {
        let place = format!("row {} of the price list", i + 1);
        within(&place, "price", row.price, (0.0, 1e7))?;
        let sizes = [row.size_m, row.branch_m];
        sizes.into_iter().flatten().try_for_each(|size_m| within(&place, "size", size_m, (0.01, 5.0)))?;
        within(&place, "length of a roll", row.pack_m.unwrap_or(1.0), (0.1, 10_000.0))?;
    }
    for rate in &list.rates {
        within("the price list", "depth", rate.from_m, (0.0, 100.0))?;
        within("the price list", "metres an hour", rate.per_hour_m, (0.1, 10_000.0))?;
    }
    if list.rates.windows(2).any(|pair| pair[1].from_m <= pair[0].from_m) {
        return refuse("the price list", "depths of digging out of order", "depths that rise");
    }
    if !crate::is_currency(&list.currency) {
        return refuse("the price list", format!("the currency '{}'", list.currency), "a sign or code such as EUR");
    }
    within("the price list", "hardness", list.hardness, (0.1, 100.0))?;
    within("the price list", "waste", list.waste, (0.0, 1.0))?;
    within("the price list", "reserve", list.reserve, (0.0, 2.0))?;
    within("the price list", "width torn up", list.disturbed_m, (0.0, 100.0))
}

fn date(place: String, day: &str) -> Result<(), PlanError> {
    if is_date(day) { Ok(()) } else { refuse(place, format!("the date '{day}'"), "a date as YYYY-MM-DD") }
}

/// Numbers a person typed for a line lie where they mean something.
fn laying(place: &str, line: &Line) -> Result<(), PlanError> {
    let length_m = line.length_m() + 1e-6;
    let stations = (line.reaches.iter().flat_map(|reach| [reach.from_m, reach.to_m]))
        .chain(line.passes.iter().map(|pass| pass.station_m))
        .chain(line.structures.iter().map(|structure| structure.station_m));
    stations.into_iter().try_for_each(|station_m| within(place, "station", station_m, (0.0, length_m)))?;
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
    for hub in &line.hubs {
        within(place, "station of a hub", hub.station_m, (0.0, length_m))?;
        level(place, hub.level_m)?;
        within(place, "offset of a hub", hub.left_m.abs(), (0.0, 100.0))?;
    }
    let bed = [line.bed.settlement_m, line.bed.maker_depth_m];
    bed.into_iter().flatten().try_for_each(|depth_m| within(place, "depth", depth_m, (0.0, 100.0)))?;
    if let Envelope::Granular(thick_m) = line.bed.envelope {
        within(place, "thickness of the envelope", thick_m, (0.0, 5.0))?;
    }
    for reach in &line.reaches {
        match reach.hold {
            Hold::Grade(grade) => within(place, "grade of a reach", grade, (-1.0, 1.0))?,
            Hold::Depth(depth_m) => within(place, "depth of a reach", depth_m, (0.0, 30.0))?,
            Hold::IntoLayer(into_m) => within(place, "way into the tight layer", into_m, (-30.0, 30.0))?,
        }
    }
    for pass in &line.passes {
        level(place, pass.level_m)?;
        within(place, "clear distance", pass.clear_m, (0.0, 30.0))?;
    }
    let catching = line.structures.iter().filter_map(|structure| structure.kind.catching());
    for catching in catching {
        within(place, "area of an inlet", catching.area_m2, (0.0, LARGEST_M2))?;
        within(place, "coefficient of an inlet", catching.coefficient_ms.unwrap_or(0.0), (0.0, WETTEST_MS))?;
    }
    match line.served {
        Served::Width(width_m) => within(place, "width of the strip", width_m, (0.0, 10_000.0))?,
        Served::Area(area_m2) => within(place, "area", area_m2, (0.0, LARGEST_M2))?,
        Served::Strip | Served::Catchment | Served::Carrier => {}
    }
    if let LineKind::OldTile(old) = line.kind {
        within(place, "area above the old tile", old.upstream_m2.unwrap_or(0.0), (0.0, LARGEST_M2))?;
    }
    within(place, "roughness", line.roughness_n.unwrap_or(0.015), (0.005, 0.1))?;
    within(place, "seepage", line.seepage_m3s, (0.0, 1_000.0))?;
    within(place, "drop at the joint", line.drop_m.unwrap_or(0.0), (0.0, 30.0))
}

fn brief(brief: &Brief) -> Result<(), PlanError> {
    within("the brief", "drainage coefficient", brief.coefficient_ms(), (0.0, WETTEST_MS))?;
    within("the brief", "ripping depth", brief.rip_after_m.unwrap_or(0.0), (0.0, 10.0))?;
    within("the brief", "wanted water table", brief.water_table_m, (0.0, 10.0))?;
    within("the brief", "served distance", brief.served_m, (0.0, 1_000.0))
}

/// Prices are numbers, and digging gets no cheaper with depth: only then is there one best grade line.
fn prices(prices: &Prices) -> Result<(), PlanError> {
    let place = "the prices";
    let (digging, pipe) = (&prices.digging, &prices.pipe);
    let numbers = (digging.iter().flat_map(|band| [band.from_m, band.per_m2]))
        .chain(pipe.iter().flat_map(|pipe| [pipe.size_m, pipe.per_m]))
        .chain([prices.missing_depth_per_m2, prices.missing_rise_per_m]);
    numbers.into_iter().try_for_each(|number| within(place, "price or depth", number, (0.0, 1e6)))?;
    within(place, "margin", prices.margin, (0.0, 10.0))?;
    if digging.windows(2).any(|pair| pair[1].from_m <= pair[0].from_m || pair[1].per_m2 < pair[0].per_m2) {
        return refuse(place, "digging that gets cheaper with depth", "depths and prices of digging that rise");
    }
    if pipe.windows(2).any(|pair| pair[1].size_m <= pair[0].size_m) {
        return refuse(place, "sizes of pipe out of order", "sizes of pipe that rise");
    }
    Ok(())
}

fn within(place: &str, what: &str, number: f64, (least, most): (f64, f64)) -> Result<(), PlanError> {
    if (least..=most).contains(&number) {
        return Ok(());
    }
    refuse(place, format!("{what} {number}"), "a number that a field can have")
}

fn pins(place: &str, line: &Line) -> Result<(), PlanError> {
    for pin in &line.pins {
        level(place, pin.invert_m)?;
        if !(0.0..=line.length_m() + 1e-6).contains(&pin.station_m) {
            return refuse(place, format!("fixed level at {} m", pin.station_m), "a station on the line");
        }
    }
    if line.pins.windows(2).any(|pair| pair[1].station_m <= pair[0].station_m) {
        return refuse(place, "fixed levels out of order", "rising stations, each once");
    }
    Ok(())
}

//! Everything that sheets tell a crew beside the rows: by it a revision is known again, and what changed is named.

use checks::Finding;
use design::Design;
use measure::{Point, Units, capital};
use plan::{Benchmark, Fact, FactKind, Landmark, LineId, Outlet, Passed, Plan, Reference, Told, Utility};
use takeoff::{CutSheet, SetUp, Stake};
use terrain::Stretch;

use crate::notices::{Listed, cut_sheet, listed, stretch_words};

/// Everything that the sheets of a plan tell. `set_ups` are those of the laser, where one is used.
pub fn told(plan: &Plan, design: &Design, findings: &[Finding], reference: &Reference, set_ups: &[SetUp]) -> Told {
    let listed = listed(plan, design, findings);
    let sheets: Vec<CutSheet> =
        plan.lines.keys().filter_map(|id| cut_sheet(plan, design, &listed, *id, set_ups)).collect();
    let tell = Tell { plan, design, reference, units: plan.title.units };
    let mut facts = tell.terms();
    facts.extend(plan.survey.benchmarks.iter().flat_map(|mark| tell.benchmark(mark)));
    facts.extend(plan.outlets.iter().flat_map(|(id, outlet)| tell.outlet(*id, outlet)));
    facts.extend(tell.land());
    facts.extend(plan.landmarks.values().flat_map(|mark| tell.mark(mark)));
    facts.extend(tell.courses());
    facts.extend(sheets.iter().flat_map(|sheet| tell.line(sheet)));
    facts.extend(listed.iter().map(|listed| tell.finding(listed)));
    let lines = sheets.iter().map(|sheet| (sheet.line, digest(&rows_text(plan, sheet)))).collect();
    Told { lines, facts }
}

struct Tell<'a> {
    plan: &'a Plan,
    design: &'a Design,
    reference: &'a Reference,
    units: Units,
}

fn fact(kind: FactKind, about: impl Into<String>, says: impl Into<String>) -> Fact {
    Fact { about: as_first_told(about.into()), says: as_first_told(says.into()), level_m: None, kind }
}

/// A text as sheets of any version told it: revisions that were issued hold the signs and the spelling of their day.
fn as_first_told(says: String) -> String {
    let says = FIRST_WORDS.into_iter().fold(says.replace('−', "-"), |says, (now, first)| says.replace(now, first));
    begun(says, FIRST_ACCEPTED)
}

/// The same text in today's words.
fn as_told_today(says: String) -> String {
    let (now, first) = FIRST_ACCEPTED;
    let says = begun(says, (first, now));
    FIRST_WORDS.into_iter().fold(says, |says, (now, first)| says.replace(first, now))
}

/// A text that begins otherwise.
fn begun(says: String, (from, to): (&str, &str)) -> String {
    says.strip_prefix(from).map(|rest| format!("{to}{rest}")).unwrap_or(says)
}

/// What is told otherwise today, and how it was told first.
const FIRST_WORDS: [(&str, &str); 4] = [
    ("meters", "metres"),
    ("armored", "armoured"),
    ("telephone or fiber", "telephone or fibre"),
    ("neighbor's", "neighbour's"),
];

/// How a text about an accepted finding begins today, and how it began first.
const FIRST_ACCEPTED: (&str, &str) = ("accepted: ", "left: ");

fn words(about: impl Into<String>, says: impl Into<String>) -> Fact {
    fact(FactKind::Words, about, says)
}

fn figures(about: impl Into<String>, says: impl Into<String>) -> Fact {
    fact(FactKind::Figures, about, says)
}

impl Tell<'_> {
    fn level(&self, about: String, level_m: f64) -> Fact {
        let unit_m = self.units.length_unit().metres();
        // As printed; micrometres, which a file holds exactly.
        let printed_m = measure::round_half_up(level_m / unit_m, 3) * unit_m;
        let level = Some((printed_m * 1e6).round() / 1e6);
        Fact { level_m: level, ..fact(FactKind::Level, about, self.units.level(level_m)) }
    }

    /// A course or area by its corners as they are set out, to a hundredth of the unit.
    fn place<'p>(&self, about: impl Into<String>, points: impl IntoIterator<Item = &'p Point>) -> Fact {
        let across = self.reference.across;
        let corner = |p: &Point| format!("{} {};", across.figure(p.x, 2), across.figure(p.y, 2));
        fact(FactKind::Place, about, digest(&points.into_iter().map(corner).collect::<String>()))
    }

    /// Name, units, datum, coordinate system, and the limits that sheets print.
    fn terms(&self) -> Vec<Fact> {
        let (criteria, units) = (&self.plan.criteria, self.units);
        vec![
            words("Name of the job", self.plan.title.name.clone()),
            words(UNITS, units.length_unit().words()),
            words("Datum", self.reference.datum.clone()),
            words("Coordinate system", self.reference.plane()),
            figures("Width of the trench", units.pipe(criteria.trench_width_m)),
            figures("Bedding", units.amount(criteria.bedding_m)),
            figures("Least cover of the job", units.depth(criteria.least_cover_m)),
            figures("Depth from which a trench is protected", units.depth(criteria.protected_trench_m)),
            figures("Depth from which a ladder stands in the trench", units.depth(criteria.ladder_trench_m)),
            figures("Way to dig by hand at a utility", units.length(criteria.hand_dig_m)),
        ]
    }

    fn benchmark(&self, mark: &Benchmark) -> Vec<Fact> {
        let mut facts = vec![
            self.level(format!("Benchmark {}", mark.name), mark.level_m),
            self.place(format!("Place of benchmark {}", mark.name), [&mark.at]),
        ];
        if !mark.datum.is_empty() {
            facts.push(words(format!("Datum of benchmark {}", mark.name), mark.datum.clone()));
        }
        facts
    }

    fn outlet(&self, id: plan::OutletId, outlet: &Outlet) -> Vec<Fact> {
        let name = &outlet.name;
        let level_m = self.design.outlet_invert_m(id, outlet);
        let others = [
            ("Channel bottom", outlet.channel_bottom_m),
            ("Low water", outlet.low_water_m),
            ("Flood", outlet.flood_m),
        ];
        let others = others.into_iter().filter_map(|(what, level_m)| Some((what, level_m?)));
        let others = others.map(|(what, level_m)| self.level(format!("{what} at outlet {name}"), level_m));
        let pipe =
            format!("{} of solid pipe, {}", self.units.length(outlet.outlet_pipe_m), outlet_words(outlet).join(", "));
        let mut facts = vec![self.level(format!("Outlet {name}"), level_m)];
        facts.extend(others);
        facts.push(self.place(format!("Place of outlet {name}"), [&outlet.at]));
        facts.push(figures(format!("Making of outlet {name}"), pipe));
        facts
    }

    /// Boundary and water.
    fn land(&self) -> Vec<Fact> {
        let rings = self.plan.field.iter().map(|field| self.place("Boundary", field.rings().flatten()));
        let water = self.plan.watercourses.values();
        rings.chain(water.map(|water| self.place(format!("{COURSE}{}", water.name), &water.points))).collect()
    }

    /// A mark on the land with its place; of what is a danger how deep or high it is, and its ticket.
    fn mark(&self, mark: &Landmark) -> Vec<Fact> {
        let (units, called) = (self.units, mark.called());
        let depth =
            |depth_m: Option<f64>| depth_m.map_or("depth unknown".into(), |m| format!("{} down", units.depth(m)));
        let says = match &mark.kind.row().passed {
            Passed::Buried { depth_m, .. } => {
                let where_it_lies = match mark.kind.exposed() {
                    Some(exposed) => exposed.words(units),
                    None => depth(depth_m.get(&mark.kind).copied().flatten()),
                };
                let ticket = mark.kind.utility().map(ticket);
                Some([Some(where_it_lies), ticket].into_iter().flatten().collect::<Vec<_>>().join(", "))
            }
            Passed::Overhead(_) => Some("overhead".into()),
            Passed::Named(_) | Passed::Untold => None,
        };
        let place = self.place(format!("Place of {called}"), mark.outline.points());
        says.map(|says| figures(capital(&called), says)).into_iter().chain([place]).collect()
    }

    /// Where every line lies, old tile too, and what old tile is.
    fn courses(&self) -> Vec<Fact> {
        let course = |line: &plan::Line| {
            let old =
                line.kind.is_old().then(|| figures(format!("Old tile {}", line.name), self.units.pipe(line.size_m)));
            old.into_iter().chain([self.place(format!("{COURSE}{}", line.name), &line.points)]).collect::<Vec<_>>()
        };
        self.plan.lines.values().flat_map(course).collect()
    }

    /// Pipe, the point stations count from, depths that ask for something, and the planes of the laser.
    fn line(&self, sheet: &CutSheet) -> Vec<Fact> {
        let (name, units) = (&sheet.name, self.units);
        let parts = |parts: &[Stretch]| {
            let words = parts.iter().map(|part| stretch_words((part.from_m, part.to_m), units));
            words.collect::<Vec<_>>().join(", ")
        };
        let deep = [("Protected trench", &sheet.deep.protected), ("Trench with a ladder", &sheet.deep.ladder)];
        let deep = deep.into_iter().filter(|(_, stretches)| !stretches.is_empty());
        let mut facts = vec![
            figures(format!("Pipe of {name}"), sheet.pipe.clone()),
            figures(format!("Stations of {name}"), sheet.zero.clone()),
        ];
        facts.extend(deep.map(|(what, stretches)| figures(format!("{what} of {name}"), parts(stretches))));
        let planes = takeoff::planes_words(sheet, units);
        facts.extend(planes.map(|planes| figures(format!("{ROD}{name}"), one_plane(&planes, sheet, units))));
        facts
    }

    fn finding(&self, listed: &Listed) -> Fact {
        let place = listed.place(self.plan, self.reference.across);
        let finding = listed.finding;
        let accepted = finding.accepted.as_ref().map(|acceptance| &acceptance.signed);
        let accepted = accepted.map(|signed| format!(": {}. {}, {}", signed.because, signed.by, signed.on));
        let says = format!(
            "{}{}{}",
            listed.severity_words(),
            finding.amount.as_ref().map(|amount| format!(", {amount}")).unwrap_or_default(),
            accepted.unwrap_or_default()
        );
        match listed.no_dig {
            true => words(format!("DO NOT DIG on {place} ({})", finding.title), says),
            false => words(format!("Finding \"{}\" at {place}", finding.title), says),
        }
    }
}

/// The planes of a line in words, in short where one serves all of it.
fn one_plane(planes: &str, sheet: &CutSheet, units: Units) -> String {
    let ends = sheet.rows.first().zip(sheet.rows.last());
    let whole = ends.map(|(low, high)| format!(" from {}", stretch_words((low.station_m, high.station_m), units)));
    whole.and_then(|whole| planes.strip_suffix(&whole)).unwrap_or(planes).to_string()
}

/// How an outlet is built, as the plan sheet says it.
pub(crate) fn outlet_words(outlet: &Outlet) -> [&'static str; 4] {
    let word = |value: bool, yes, no| if value { yes } else { no };
    [
        word(outlet.rigid, "rigid", "NOT RIGID"),
        word(outlet.guard, "guard", "NO GUARD"),
        word(outlet.armoured, "armored", "bare"),
        word(outlet.consent, "in writing", "NOT ON FILE"),
    ]
}

/// What the rows of a sheet tell.
fn rows_text(plan: &Plan, sheet: &CutSheet) -> String {
    let units = plan.title.units;
    let row = |row: &takeoff::Row| {
        let dig = row.to_trench_bottom_m.map(|dig_m| units.number(dig_m, 2)).unwrap_or_default();
        let station = measure::station(row.station_m, units);
        let from = match row.stake {
            Some(Stake::Hub(hub)) => format!("hub {} {}", units.level(hub.level_m), units.number(hub.left_m, 2)),
            Some(Stake::Ground(level_m)) => format!("ground {}", units.level(level_m)),
            None => String::new(),
        };
        // A moved instrument is told for itself.
        let here: Vec<&str> = row.here.iter().map(String::as_str).filter(|text| !takeoff::is_move(text)).collect();
        let ahead: Vec<&str> = row.ahead.iter().map(|ahead| ahead.words.as_str()).collect();
        let invert = units.level(row.invert_m);
        format!("|{station} {from} {invert} {dig} {} {}", here.join(","), ahead.join(","))
    };
    let rows: String = sheet.rows.iter().map(row).collect();
    as_first_told(format!("{} {}{rows}", sheet.name, units.amount(sheet.below_invert_m)))
}

/// A digest of a text: the same at any time and on any machine (FNV-1a, 64 bit).
pub(crate) fn digest(text: &str) -> String {
    let hash = text
        .bytes()
        .fold(0xcbf2_9ce4_8422_2325_u64, |hash, byte| (hash ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3));
    format!("{hash:016x}")
}

/// The locate ticket of a utility.
pub(crate) fn ticket(utility: &Utility) -> String {
    match (utility.ticket.trim(), &utility.valid_until) {
        ("", _) => "no ticket".into(),
        (ticket, None) => format!("ticket {ticket}"),
        (ticket, Some(until)) => format!("ticket {ticket} until {until}"),
    }
}

/// How a fact of a plane of the laser begins.
const ROD: &str = "Rod plane of ";

/// True for a fact of a plane of the laser.
pub(crate) fn is_rod(fact: &Fact) -> bool {
    fact.kind == FactKind::Figures && fact.about.starts_with(ROD)
}

/// How a fact of where something runs begins.
const COURSE: &str = "Course of ";

/// What the fact of the units is about.
const UNITS: &str = "Units";

/// What was told otherwise then than now, each by name.
pub(crate) fn changes(plan: &Plan, then: &plan::Revision, now: &Told) -> Vec<String> {
    let units = plan.title.units;
    if then.facts.is_empty() {
        return vec![format!("not known, revision {} was issued by an older version of the program", then.letter)];
    }
    let unit = |facts: &[Fact]| facts.iter().find(|fact| fact.about == UNITS).map(|fact| fact.says.clone());
    let same_units = unit(&then.facts) == unit(&now.facts);
    let mut told: Vec<String> =
        if same_units { rows_changed(plan, then, now).into_iter().collect() } else { Vec::new() };
    let pairs = paired(&then.facts, &now.facts);
    let heads = heads(plan, then, now, &pairs);
    // What is new or gone as a whole is told once.
    let is_part = |about: &str| {
        !about.starts_with(COURSE)
            && heads.iter().any(|head| [" of ", " at "].iter().any(|of| about.ends_with(&format!("{of}{head}"))))
    };
    let told_once = pairs.into_iter().filter(|(then, now)| match (then, now) {
        (Some(fact), None) | (None, Some(fact)) => !is_part(&fact.about),
        _ => true,
    });
    told.extend(told_once.filter_map(|(then, now)| change(then, now, units, same_units)));
    told.into_iter().map(as_told_today).collect()
}

/// What is new or gone, as other facts name it: lines, benchmarks, outlets, dangers.
fn heads(plan: &Plan, then: &plan::Revision, now: &Told, pairs: &[Pair]) -> Vec<String> {
    let lines = now.lines.keys().filter(|id| !then.lines.contains_key(id));
    let lines = lines.filter_map(|id| plan.lines.get(id)).map(|line| line.name.clone());
    let alone = pairs.iter().filter_map(|pair| match pair {
        (Some(fact), None) | (None, Some(fact)) => Some(&fact.about),
        _ => None,
    });
    let lower = |about: &String| {
        let mut signs = about.chars();
        signs.next().map(|first| first.to_lowercase().chain(signs).collect::<String>()).unwrap_or_default()
    };
    let of_line = alone.clone().filter_map(|about| about.strip_prefix(COURSE).map(str::to_string));
    lines.chain(of_line).chain(alone.map(lower)).collect()
}

/// A fact then and now about the same.
type Pair<'f> = (Option<&'f Fact>, Option<&'f Fact>);

/// Names of the lines whose rows are not what they were, those that are gone too.
fn rows_changed(plan: &Plan, then: &plan::Revision, now: &Told) -> Option<String> {
    let ids: std::collections::BTreeSet<LineId> = then.lines.keys().chain(now.lines.keys()).copied().collect();
    let differs = ids.into_iter().filter(|id| then.lines.get(id) != now.lines.get(id));
    let name = |id: LineId| plan.lines.get(&id).map_or("a line that is gone", |line| line.name.as_str());
    let names: Vec<&str> = differs.map(name).collect();
    (!names.is_empty()).then(|| format!("rows of {}", names.join(", ")))
}

/// Facts then and now about the same, in the order of today, what is gone last; of several with one name the first goes
/// with the first.
fn paired<'f>(then: &'f [Fact], now: &'f [Fact]) -> Vec<Pair<'f>> {
    let mut left: Vec<Option<&Fact>> = then.iter().map(Some).collect();
    let mut pairs: Vec<Pair> = now
        .iter()
        .map(|fact| {
            let old = left.iter_mut().find(|old| old.is_some_and(|old| old.about == fact.about));
            (old.and_then(Option::take), Some(fact))
        })
        .collect();
    pairs.extend(left.into_iter().flatten().map(|gone| (Some(gone), None)));
    pairs
}

/// A change in words; figures that were written in other units are not held against each other.
fn change(then: Option<&Fact>, now: Option<&Fact>, units: Units, same_units: bool) -> Option<String> {
    let about = &then.or(now)?.about;
    let kind = now.or(then)?.kind;
    let figures = kind == FactKind::Figures;
    if figures && !same_units {
        return None;
    }
    match (then, now) {
        (Some(then), Some(now)) if then == now => None,
        (Some(then), Some(now)) => match (kind, then.level_m.zip(now.level_m)) {
            (FactKind::Level, Some((before_m, after_m))) => moved(about, after_m - before_m, units),
            (FactKind::Figures, _) => Some(format!("{about} was {}, is {}", then.says, now.says)),
            (FactKind::Place, _) => Some(format!("{about} is not what it was")),
            _ => Some(format!("{about}: '{}' became '{}'", then.says, now.says)),
        },
        (None, Some(now)) if figures => Some(format!("{about} is new: {}", now.says)),
        (Some(then), None) if figures => Some(format!("{about} is gone, was {}", then.says)),
        (None, Some(now)) if kind == FactKind::Level => Some(format!("{about} is new, at {}", now.says)),
        (None, _) => Some(format!("{about} is new")),
        (Some(_), None) => Some(format!("{about} is gone")),
    }
}

/// A level that moved; where only its unit changed it did not.
fn moved(about: &str, up_m: f64, units: Units) -> Option<String> {
    let way = if up_m > 0.0 { "up" } else { "down" };
    (up_m != 0.0).then(|| format!("{about} moved {} {} {way}", units.level(up_m.abs()), units.sign()))
}

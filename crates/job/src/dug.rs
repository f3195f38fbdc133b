//! Shots brought into the record, and the record held against the design in words and for machines.

use exchange::{Columns, FileError, ReadOptions, StationShot};
use measure::Units;
use plan::{DugShot, FieldNote, LineId, Plan, ShotOn, Signature, Spot, Taken};
use record::{Dug, DugLine, NOT_THE_INSPECTOR};
use serde_json::{Value, json};
use terrain::{RawShot, Surface};

use crate::Worked;
use crate::entering::{in_force, key_of};
use crate::ground::plane;

/// Reads shots from a table: line, station and level; or number, north, east, level and code, as the head names the columns
/// and in that order without one. What a row or its code says they were held on goes before `held`. Each has a key made of
/// what it says, so that the same file brought in twice is there once. Answers what should be told of the file too.
pub fn read_shots(
    bytes: &[u8],
    plan: &Plan,
    taken: &Taken,
    held: ShotOn,
) -> Result<(Vec<DugShot>, Vec<String>), FileError> {
    if let Some(rows) = exchange::read_station_shots(bytes, plan.title.units)? {
        let shots: Result<Vec<DugShot>, FileError> =
            rows.iter().map(|row| of_station(row, plan, taken, held)).collect();
        return Ok((shots?, Vec::new()));
    }
    let (options, mut notes) = options(bytes, plan)?;
    let file = exchange::read_points(bytes, &options)?;
    notes.extend(file.notes);
    let Surface::Shots(rows) = file.surface else { return Ok((Vec::new(), notes)) };
    Ok((rows.iter().map(|row| of_place(row, taken, held)).collect(), notes))
}

/// How a table of places is read: on the plane of the plan, levels in the plan's unit unless the table says otherwise.
fn options(bytes: &[u8], plan: &Plan) -> Result<(ReadOptions, Vec<String>), FileError> {
    let (guess, plane) = (exchange::guess_columns(bytes)?, plane(plan));
    let width = guess.rows.first().map_or(0, Vec::len);
    let ordered = Columns { name: Some(0), y: 1, x: 2, z: 3, code: Some(4), ..guess.columns };
    let bare = Columns { name: None, y: 0, x: 1, z: 2, code: None, ..ordered };
    let columns = (!guess.sure).then_some(if width > 3 { ordered } else { bare });
    let note = "The columns are not named: they were read as number, north, east, level and code.";
    let notes = columns.iter().map(|_| note.to_string()).collect();
    let options = ReadOptions {
        horizontal_unit: guess.horizontal_unit.or(Some(plane.unit())),
        vertical_unit: guess.vertical_unit.or(Some(plan.title.units.length_unit())),
        crs: Some(plane).filter(|crs| !crs.is_local()),
        columns,
        sparse: true,
        ..ReadOptions::default()
    };
    Ok((options, notes))
}

fn of_station(row: &StationShot, plan: &Plan, taken: &Taken, held: ShotOn) -> Result<DugShot, FileError> {
    let wrong = |column: &str, found: String, expected: String| FileError::Malformed {
        place: format!("line {}, column {column}", row.row),
        found,
        expected,
    };
    let line = plan.line_named(&row.line);
    let line =
        line.ok_or_else(|| wrong("line", format!("'{}'", row.line), "the name of a line of the plan".into()))?;
    let (length_m, units) = (plan.lines[&line].length_m(), plan.title.units);
    if row.station_m > length_m + units.length_unit().metres() {
        let found = measure::station(row.station_m, units);
        return Err(wrong("station", found, format!("a station up to {}", measure::station(length_m, units))));
    }
    let spot = Spot::Station { line, station_m: row.station_m };
    Ok(shot(spot, row.held.unwrap_or(held), row.level_m, row.note.clone(), taken))
}

fn of_place(row: &RawShot, taken: &Taken, held: ShotOn) -> DugShot {
    let code = row.code.as_deref().unwrap_or("");
    let told = code.split_whitespace().find_map(ShotOn::read);
    let name = row.name.as_ref().map(|name| format!("shot {name}"));
    let note = name.into_iter().chain([code.to_string()].into_iter().filter(|code| !code.is_empty()));
    let note = note.collect::<Vec<_>>().join(", ");
    shot(Spot::Place(row.at), told.unwrap_or(held), row.level_m, note, taken)
}

/// A shot without a receiver, with a key made of what it says.
pub fn shot(spot: Spot, on: ShotOn, level_m: f64, note: String, taken: &Taken) -> DugShot {
    let place = match spot {
        Spot::Station { line, station_m } => format!("{} {station_m}", line.0),
        Spot::Place(at) => format!("{} {}", at.x, at.y),
    };
    let key = key_of("shot", &format!("{place}\n{}\n{level_m}\n{note}\n{}", on.word(), taken.at));
    let taken = taken.clone();
    DugShot { key, taken, spot, on, level_m, scatter_m: None, fix: None, note, struck: None }
}

/// Who takes shots, on which day and by the sheets in force; what the signature lacks is told.
pub fn taken_by(plan: &Plan, signature: &Signature) -> Result<Taken, String> {
    let (by, on) = (signature.by.trim(), signature.on.trim());
    match (by.is_empty(), plan::is_date(on)) {
        (true, _) => Err("Enter your name: who took a shot is kept.".into()),
        (_, false) => Err("Enter the day, as YYYY-MM-DD.".into()),
        _ => Ok(Taken { by: by.into(), at: on.into(), revision: in_force(plan) }),
    }
}

/// A shot as a person types it: each figure as it was typed.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct TypedShot {
    /// The line; `None` before one is chosen.
    pub line: Option<LineId>,
    /// The station.
    pub station: String,
    /// What it was held on.
    pub held: ShotOn,
    /// True where a rod was read, not a level.
    pub by_rod: bool,
    /// The level.
    pub level: String,
    /// Height of the instrument's plane.
    pub instrument: String,
    /// What was read on the rod.
    pub rod: String,
    /// What is said of it.
    pub note: String,
}

impl TypedShot {
    /// The shot; what is missing or wrong is told. Typed again it is another one: the pipe may have been relaid to where it
    /// lay before.
    pub fn shot(&self, plan: &Plan, taken: &Taken) -> Result<DugShot, String> {
        let units = plan.title.units;
        let line = self.line.and_then(|id| Some((id, plan.lines.get(&id)?)));
        let (id, line) = line.ok_or("Choose the line.")?;
        let end = measure::station(line.length_m(), units);
        let station_m = measure::parse_station(&self.station, units);
        let station_m = station_m.filter(|at_m| (0.0..=line.length_m() + 0.5).contains(at_m));
        let station_m = station_m.ok_or_else(|| format!("Enter a station from 0+00 to {end}."))?;
        let read = |what: &str, text: &str| {
            measure::parse_length(text, units)
                .map_err(|_| format!("Enter {what}, such as {} {}.", sample(units), units.sign()))
        };
        let level_m = match self.by_rod {
            true => read("the height of the instrument", &self.instrument)? - read("the rod reading", &self.rod)?,
            false => read("the level", &self.level)?,
        };
        let shot = shot(Spot::Station { line: id, station_m }, self.held, level_m, self.note.trim().into(), taken);
        let key = format!("{}-{}", shot.key, plan.record.shots.len() + 1);
        Ok(DugShot { key, ..shot })
    }

    /// Ready for the next stake up the line; what was read is empty again.
    pub fn next(&mut self, plan: &Plan) {
        let (units, staking_m) = (plan.title.units, plan.criteria.staking_m);
        let length_m = self.line.and_then(|id| plan.lines.get(&id)).map_or(0.0, plan::Line::length_m);
        let here_m = measure::parse_station(&self.station, units).unwrap_or(0.0);
        let stakes = (here_m / staking_m + 1e-6).floor() + 1.0;
        self.station = measure::station((stakes * staking_m).min(length_m), units);
        for text in [&mut self.level, &mut self.rod, &mut self.note] {
            text.clear();
        }
    }
}

/// A level as it may be typed.
fn sample(units: Units) -> &'static str {
    if units.is_metric() { "125.46" } else { "412.93" }
}

/// The comparison as lines of text, line by line.
pub fn text_lines(worked: &Worked) -> Vec<String> {
    let (plan, dug) = (&worked.plan, worked.dug());
    let mut text = Vec::new();
    for (id, line) in by_name(worked) {
        text.extend(line_text(plan, id, line));
        text.push(String::new());
    }
    if dug.lines.is_empty() {
        text.push("Nothing was shot yet.".into());
    }
    if !dug.astray.is_empty() {
        let reach = plan.title.units.length(plan.criteria.shot_reach_m);
        text.push(format!(
            "{} no new line within {reach}: {}. Are north and east swapped?",
            if dug.astray.len() == 1 {
                "One shot belongs to".into()
            } else {
                format!("{} shots belong to", dug.astray.len())
            },
            dug.astray.iter().map(|key| called(plan, key)).collect::<Vec<_>>().join("; ")
        ));
    }
    text.push(NOT_THE_INSPECTOR.into());
    text
}

/// Lines as dug, in the order of their names.
pub fn by_name(worked: &Worked) -> Vec<(LineId, &DugLine)> {
    let name = |id: &LineId| worked.plan.lines.get(id).map(|line| line.name.as_str());
    let mut lines: Vec<(LineId, &DugLine)> = worked.dug().lines.iter().map(|(id, line)| (*id, line)).collect();
    lines.sort_by_key(|(id, _)| (name(id).map(str::len), name(id)));
    lines
}

/// A shot as it is called: what was said of it, else its key.
fn called(plan: &Plan, key: &str) -> String {
    let shot = plan.record.shots.iter().find(|shot| shot.key == key);
    shot.map(|shot| &shot.note).filter(|note| !note.is_empty()).map_or(key, String::as_str).to_string()
}

fn line_text(plan: &Plan, id: LineId, line: &DugLine) -> Vec<String> {
    let units = plan.title.units;
    let name = plan.lines.get(&id).map_or("", |line| line.name.as_str());
    let heads = ["station", "held on", "invert", "plan", "over plan", "off course", "from stake", "grade below"];
    let mut text = vec![format!("{name} as dug, {}", units.sign()), row(heads.map(String::from))];
    text.extend((0..line.shots.len()).map(|i| row(cells(line, i, units))));
    text.extend(line.verdicts.iter().map(|verdict| format!("  {}: {}", verdict.place(units), verdict.words(units))));
    text
}

fn row(cells: [String; 8]) -> String {
    let [station, on, rest @ ..] = cells;
    let rest: String = rest.iter().map(|cell| format!("{cell:>12}")).collect();
    format!("  {station:<8} {on:<13}{rest}").trim_end().to_string()
}

/// A shot as it stands in a row: station, what it was held on, invert, plan, over the plan, off the course, past the
/// nearest stake, grade from it down to the next shot.
pub fn cells(line: &DugLine, index: usize, units: Units) -> [String; 8] {
    let shot = &line.shots[index];
    let told = |figure: Option<String>| figure.unwrap_or("–".into());
    [
        measure::station(shot.station_m, units),
        shot.on.word().into(),
        units.level(shot.invert_m),
        told(shot.plan_m.map(|plan_m| units.level(plan_m))),
        told(shot.over_plan_m().map(|over_m| signed(over_m, units))),
        told(shot.left_m.map(|left_m| aside(left_m, units))),
        signed(shot.past_stake_m(), units),
        told(line.grade_below(index).map(|grade| units.grade(grade))),
    ]
}

/// An amount with its sign: "+0.02", "−0.33".
pub fn signed(amount_m: f64, units: Units) -> String {
    let places = if units.is_metric() { 3 } else { 2 };
    measure::signed(amount_m, &units.number(amount_m.abs(), places))
}

/// How far off the course, looking upstream: "0.4 L".
fn aside(left_m: f64, units: Units) -> String {
    let side = if left_m < 0.0 { "R" } else { "L" };
    format!("{} {side}", units.number(left_m.abs(), 2))
}

/// A note as it is told: "L2: no 6 in to be had. Agreed by A. Marsh; R. Wren, 2031-04-02".
pub fn note_words(plan: &Plan, note: &FieldNote) -> String {
    let line = note.spot.and_then(|spot| record::station_of(plan, &spot, plan.criteria.shot_reach_m));
    let name =
        line.and_then(|on| plan.lines.get(&on.line)).map(|line| format!("{}: ", line.name)).unwrap_or_default();
    let agreed = if note.agreed_by.is_empty() { String::new() } else { format!(" Agreed by {};", note.agreed_by) };
    format!("{name}{}.{agreed} {}, {}", note.says.trim_end_matches('.'), note.taken.by, note.taken.at)
}

/// The same for machines: metres, the unit in each key.
pub fn as_json(worked: &Worked) -> Value {
    let (plan, dug) = (&worked.plan, worked.dug());
    let units = plan.title.units;
    let lines = by_name(worked).into_iter().map(|(id, line)| {
        json!({
            "line": plan.lines.get(&id).map(|line| &line.name),
            "shots": (0..line.shots.len()).map(|i| shot_json(line, i)).collect::<Vec<_>>(),
            "dips": line.dips.iter().map(|dip| json!({
                "lowest_station_m": dip.lowest_m, "from_station_m": dip.lip_m, "to_station_m": dip.end_m,
                "water_depth_m": dip.depth_m, "water_length_m": dip.length_m(), "share_of_diameter": dip.share(),
                "backfilled": dip.backfilled,
            })).collect::<Vec<_>>(),
            "stretches": line.verdicts.iter().map(|verdict| json!({
                "from_station_m": verdict.from_m, "to_station_m": verdict.to_m, "backfilled": verdict.backfilled,
                "within_limits": verdict.is_within(), "words": verdict.words(units),
            })).collect::<Vec<_>>(),
        })
    });
    json!({
        "lines": lines.collect::<Vec<_>>(),
        "shots_on_no_line": dug.astray,
        "note": NOT_THE_INSPECTOR,
        "caution": plan::CAUTION,
    })
}

fn shot_json(line: &DugLine, index: usize) -> Value {
    let shot: &Dug = &line.shots[index];
    json!({
        "key": shot.key, "replaces": shot.replaces, "held_on": shot.on.word(),
        "station_m": shot.station_m, "x_m": shot.at.x, "y_m": shot.at.y,
        "invert_m": shot.invert_m, "plan_invert_m": shot.plan_m, "over_plan_m": shot.over_plan_m(),
        "left_of_course_m": shot.left_m, "past_stake_m": shot.past_stake_m(), "scatter_m": shot.scatter_m,
        "cover_m": shot.cover_m(), "grade_below": line.grade_below(index), "backfilled": shot.backfilled,
    })
}

#[cfg(test)]
mod tests {
    use measure::FOOT_M;
    use plan::{Line, LineKind};

    use super::*;

    fn plan() -> Plan {
        let mut plan = Plan::new("Shots", Units::Feet);
        let points = vec![measure::Point::new(0.0, 0.0), measure::Point::new(0.0, 400.0 * FOOT_M)];
        plan.lines.insert(LineId(1), Line::new("L 2, \"upper\"", LineKind::Lateral, points));
        plan
    }

    fn read(text: &str) -> Result<(Vec<DugShot>, Vec<String>), FileError> {
        let taken = Taken { by: "R. Wren".into(), at: "2031-04-02".into(), revision: "B".into() };
        read_shots(text.as_bytes(), &plan(), &taken, ShotOn::Top)
    }

    #[test]
    fn tables_without_a_head_are_number_north_east_level_code() {
        let (shots, notes) = read("7,100.0,0.5,412.93,L2 INV\n8,150.0,0.0,413.50,\n9,200,0,413.8,gnd").unwrap();
        let place = |shot: &DugShot| match shot.spot {
            Spot::Place(at) => (at.x / FOOT_M, at.y / FOOT_M),
            Spot::Station { .. } => panic!("a place"),
        };
        assert!(shots.iter().map(place).eq([(0.5, 100.0), (0.0, 150.0), (0.0, 200.0)]), "{shots:?}");
        assert_eq!(
            shots.iter().map(|shot| shot.on).collect::<Vec<_>>(),
            [ShotOn::Invert, ShotOn::Top, ShotOn::Ground]
        );
        assert_eq!(shots[0].note, "shot 7, L2 INV");
        assert!((shots[0].level_m - 412.93 * FOOT_M).abs() < 1e-9);
        assert!(notes[0].contains("not named"), "{notes:?}");
    }

    #[test]
    fn tables_by_station_name_a_line_with_quotes() {
        let text = "line,station,level,held,note\n\"L 2, \"\"upper\"\"\",1+50,413.50,inv,\"said \"\"deep\"\"\"\n";
        let (shots, _) = read(text).unwrap();
        assert_eq!(shots[0].spot, Spot::Station { line: LineId(1), station_m: 150.0 * FOOT_M });
        assert_eq!((shots[0].on, shots[0].note.as_str()), (ShotOn::Invert, "said \"deep\""));
        let (again, _) = read(text).unwrap();
        assert_eq!(again[0].key, shots[0].key);
    }

    #[test]
    fn what_cannot_be_read_is_told_with_its_place() {
        for (text, told) in [
            ("line,station,level\nL9,1+00,412\n", "line 2, column line: found 'L9'"),
            (
                "line,station,level\n\"L 2, \"\"upper\"\"\",9+00,412\n",
                "column station: found 9+00, expected a station up to 4+00",
            ),
            ("line,station,level\n\"L 2, \"\"upper\"\"\",1+00,\n", "column level"),
            ("line,station,level,held\n\"L 2, \"\"upper\"\"\",1+00,412,rod\n", "expected invert, top"),
            ("", "the table: found no row"),
        ] {
            let error = read(text).unwrap_err().to_string();
            assert!(error.contains(told), "{error}");
        }
    }
}

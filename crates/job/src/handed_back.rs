//! What a field page handed back, held against the plan: what is new, what is there already, what is refused and why, and
//! where two say different things of one place. Both of those are kept: who digs there decides which one is struck.
//!
//! A file belongs to the plan when the state that the page was made from is an issue of the plan, by its [`sheets::mark`], or
//! the plan as it is now. Where that state is neither, it was a draft that has changed: it belongs when the page names the
//! plan's first issue, or when neither was ever issued and both have one name. Everything else is another plan's.

use std::fs;
use std::path::Path;

use exchange::{Entry, FileError, Handed, HandedBack, MOST_FIELD_BYTES};
use measure::{Point, Units, distance};
use plan::{Additions, DugShot, Edit, Find, Plan, Record, ShotOn, Signature, Spot};

use crate::Worked;

/// A shot or a find is made no farther above or below ground and planned invert, metres (30 ft; judgement).
const FARTHEST_M: f64 = 30.0 * measure::FOOT_M;
/// An entry is made no farther from the lines of its plan, metres (judgement: beyond it is another farm).
const FIELD_M: f64 = 1_000.0;
/// A line that has moved so far where an entry was made is not the one that was dug, metres (3 ft; judgement).
const MOVED_M: f64 = 3.0 * measure::FOOT_M;
/// Entries so near each other are of one place, metres: shots 1 ft, finds 3 ft (judgement).
const ONE_SHOT_M: f64 = measure::FOOT_M;
const ONE_FIND_M: f64 = 3.0 * measure::FOOT_M;
/// Levels of one place that differ by more say different things, metres (0.02 ft, as a rod is read; judgement).
const SAME_LEVEL_M: f64 = 0.02 * measure::FOOT_M;

/// What a file would bring, before it is brought in.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Preview {
    /// What must be told of the file: by which sheets it was made, where those are not the ones in force.
    pub told: Vec<String>,
    /// What is new, an entry a line.
    pub new: Vec<String>,
    /// How many entries the plan has already.
    pub known: usize,
    /// What is not taken, and why.
    pub refused: Vec<String>,
    /// Where two entries say different things of one place; both are kept.
    pub conflicts: Vec<String>,
    /// The new entries.
    pub additions: Additions,
    /// Who made them.
    pub signed: Signature,
}

impl Preview {
    /// The edit that brings it in; `None` where nothing is new.
    pub fn taking(&self, plan: &Plan) -> Option<Edit> {
        plan::add_to_record(plan, self.additions.clone(), &self.signed)
    }

    /// "3 shots and 1 find are new; 2 are there already; 1 is refused".
    pub fn words(&self) -> String {
        let is = |count: usize| if count == 1 { "is" } else { "are" };
        let new = format!("{} {} new", self.additions.words(), is(self.new.len().max(1)));
        let known = (self.known > 0).then(|| format!("{} {} there already", self.known, is(self.known)));
        let count = self.refused.len();
        let refused = (count > 0).then(|| format!("{count} {} refused", is(count)));
        std::iter::once(new).chain(known).chain(refused).collect::<Vec<_>>().join("; ")
    }

    /// All of it, a thing a line.
    pub fn lines(&self) -> Vec<String> {
        let headed = |head: &str, all: &[String]| all.iter().map(|one| format!("{head}{one}")).collect::<Vec<_>>();
        [
            headed("", &self.told),
            headed("new: ", &self.new),
            headed("REFUSED: ", &self.refused),
            headed("CONFLICT: ", &self.conflicts),
        ]
        .concat()
    }
}

/// True for a file that says of itself that a field page handed it back; none that is larger than those are is read for it.
pub fn is_one(path: &Path) -> bool {
    let is_small = fs::metadata(path).is_ok_and(|there| there.is_file() && there.len() <= MOST_FIELD_BYTES as u64);
    is_small && exchange::read_bytes(path).is_ok_and(|bytes| exchange::is_handed_back(&bytes))
}

/// Holds a file against a plan. `worked` is what follows from the plan, whose record may be older.
pub fn look(worked: &Worked, plan: &Plan, file: HandedBack) -> Result<Preview, FileError> {
    let mut preview = Preview { told: belongs(worked, plan, &file)?, refused: file.refused, ..Preview::default() };
    preview.signed = signed(&file.entries);
    let looking = Looking { worked, plan, units: plan.title.units };
    for handed in file.entries {
        let place = handed.place.clone();
        if let Err(why) = looking.take(handed, &mut preview) {
            preview.refused.push(format!("{place}: {why}"));
        }
    }
    Ok(preview)
}

/// What must be told of where a file comes from; refused where it is another plan's.
fn belongs(worked: &Worked, plan: &Plan, file: &HandedBack) -> Result<Vec<String>, FileError> {
    let mark = |revision: &plan::Revision| sheets::mark(&revision.lines, &revision.facts);
    let issued = plan.revisions.iter().find(|revision| !file.mark.is_empty() && mark(revision) == file.mark);
    let last = plan.revisions.last();
    if let (Some(issued), Some(last)) = (issued, last) {
        let older = issued.letter != last.letter;
        let words = format!("Made by revision {}; revision {} is in force since.", issued.letter, last.letter);
        return Ok(older.then_some(words).into_iter().collect());
    }
    let told = worked.told();
    if file.mark == sheets::mark(&told.lines, &told.facts) {
        return Ok(vec!["Made by a draft, not by issued sheets.".into()]);
    }
    let first = plan.revisions.first().map(mark).unwrap_or_default();
    if file.first == first && (!first.is_empty() || file.plan == measure::plain(&plan.title.name)) {
        return Ok(vec!["Made by a draft that has changed since: look at each place before you believe it.".into()]);
    }
    let found = match file.revision.as_str() {
        "" => format!("a draft of '{}'", file.plan),
        letter => format!("revision {letter} of '{}'", file.plan),
    };
    let expected = format!("a page of this plan, '{}', as it is or as it was issued", plan.title.name);
    Err(FileError::Malformed { place: "the plan that the page was made from".into(), found, expected })
}

/// Who made the entries, and the last day of them.
fn signed(entries: &[Handed]) -> Signature {
    let mut names: Vec<&str> = entries.iter().map(|handed| handed.entry.taken().by.as_str()).collect();
    names.sort_unstable();
    names.dedup();
    let more = names.len().saturating_sub(3);
    let more = if more > 0 { format!(" and {more} more") } else { String::new() };
    let days = entries.iter().filter_map(|handed| handed.entry.taken().at.get(..10)).filter(|day| plan::is_date(day));
    Signature {
        by: format!("{}{more}", names.iter().take(3).copied().collect::<Vec<_>>().join(", ")),
        on: days.max().unwrap_or_default().into(),
        because: "handed back from the field page".into(),
    }
}

struct Looking<'a> {
    worked: &'a Worked,
    plan: &'a Plan,
    units: Units,
}

impl Looking<'_> {
    /// Takes an entry into a preview; answers why where it is refused.
    fn take(&self, handed: Handed, preview: &mut Preview) -> Result<(), String> {
        let (spot, moved) = self.spot(&handed)?;
        let entry = handed.entry.moved(spot);
        self.level_is_near(&entry, handed.at)?;
        is_sound(&entry)?;
        if let Some(is_same) = known(&self.plan.record, &preview.additions, &entry) {
            if !is_same {
                return Err(format!("the key {} is that of another entry that says otherwise", entry.key()));
            }
            preview.known += 1;
            return Ok(());
        }
        let words = self.words(&entry);
        preview.conflicts.extend(self.conflict(&entry, handed.at, &preview.additions));
        preview.new.push(format!("{words}{}", moved.unwrap_or_default()));
        match entry {
            Entry::Shot(shot) => preview.additions.shots.push(shot),
            Entry::Find(find) => preview.additions.finds.push(find),
            Entry::Note(note) => preview.additions.notes.push(note),
        }
        Ok(())
    }

    /// Where an entry is kept: at its station while the line still runs there, else at its place, which is told.
    fn spot(&self, handed: &Handed) -> Result<(Spot, Option<String>), String> {
        let lines = self.plan.lines.values().map(|line| measure::nearest_on(&line.points, handed.at));
        let off_m = lines.flatten().map(|(_, _, off_m)| off_m).fold(f64::INFINITY, f64::min);
        if off_m > FIELD_M && !self.plan.lines.is_empty() {
            let [off, limit] = [off_m, FIELD_M].map(|way_m| self.units.length(way_m));
            return Err(format!("found a place {off} from every line, expected one within {limit}"));
        }
        let Some(Spot::Station { line: id, station_m }) = handed.entry.spot() else {
            return Ok((Spot::Place(handed.at), None));
        };
        let line = self.plan.lines.get(&id).filter(|line| measure::plain(&line.name) == handed.line.as_str());
        let Some(line) = line else {
            return Err(format!("found line {} (number {}), expected a line of this plan", handed.line, id.0));
        };
        match measure::point_at(&line.points, station_m) {
            Some(at) if station_m >= 0.0 && distance(at, handed.at) <= MOVED_M => {
                Ok((Spot::Station { line: id, station_m }, None))
            }
            _ => {
                let station = measure::station(station_m, self.units);
                let told = format!(" [{} does not run there at {station} any more: kept at its place]", line.name);
                Ok((Spot::Place(handed.at), Some(told)))
            }
        }
    }

    /// Refuses a level that is far off the ground and the planned invert: a slip of the pen or of the unit.
    fn level_is_near(&self, entry: &Entry, at: Point) -> Result<(), String> {
        let level_m = match entry {
            Entry::Shot(shot) => Some(shot.level_m),
            Entry::Find(find) => find.invert_m,
            Entry::Note(_) => None,
        };
        let planned = entry.spot().and_then(|spot| match spot {
            Spot::Station { line, station_m } => self.worked.design.lines.get(&line)?.at(station_m)?.invert_m,
            Spot::Place(_) => None,
        });
        let ground = self.worked.land.ground.as_deref().and_then(|ground| ground.elevation(at));
        let (Some(level_m), Some(near_m)) = (level_m, planned.or(ground)) else { return Ok(()) };
        if (level_m - near_m).abs() <= FARTHEST_M {
            return Ok(());
        }
        let [found, near] = [level_m, near_m].map(|level_m| self.units.level(level_m));
        Err(format!("found the level {found}, expected one within {} of {near} there", self.units.depth(FARTHEST_M)))
    }

    /// "Shot of the invert, L2 1+25, 413.52. A. Marsh, 2031-05-02 09:14".
    fn words(&self, entry: &Entry) -> String {
        let (what, level_m, says) = match entry {
            Entry::Shot(shot) => (shot_words(shot.on), Some(shot.level_m), shot.note.as_str()),
            Entry::Find(find) => ("Found tile", find.invert_m, find.note.as_str()),
            Entry::Note(note) => ("Note", None, note.says.as_str()),
        };
        let level = level_m.map(|level_m| format!(", {}", self.units.level(level_m))).unwrap_or_default();
        let says = if says.is_empty() { String::new() } else { format!(": {says}") };
        let taken = entry.taken();
        format!("{what}, {}{level}{says}. {}, {}", self.place(entry.spot()), taken.by, taken.at.replace('T', " "))
    }

    fn place(&self, spot: Option<Spot>) -> String {
        match spot {
            Some(Spot::Station { line, station_m }) => {
                let name = self.plan.lines.get(&line).map_or("", |line| &line.name);
                format!("{name} {}", measure::station(station_m, self.units))
            }
            _ => "beside the lines".into(),
        }
    }

    /// What another says of the place of an entry, in the record or before it in the file; the first of those that differ.
    fn conflict(&self, entry: &Entry, at: Point, additions: &Additions) -> Option<String> {
        let place = |spot: &Spot| record::place_of(self.plan, spot);
        let near = |spot: &Spot, reach_m: f64| place(spot).is_some_and(|other| distance(other, at) <= reach_m);
        match entry {
            Entry::Shot(shot) => {
                let mut others = self.plan.record.shots().chain(&additions.shots);
                let differs = |other: &&DugShot| {
                    other.on == shot.on
                        && near(&other.spot, ONE_SHOT_M)
                        && (other.level_m - shot.level_m).abs() > SAME_LEVEL_M
                };
                others.find(differs).map(|other| self.both(entry, &Entry::Shot(other.clone())))
            }
            Entry::Find(find) => {
                let mut others = self.plan.record.finds().chain(&additions.finds);
                let is_one = |other: &&Find| near(&other.spot, ONE_FIND_M) && !same_tile(other, find);
                others.find(is_one).map(|other| self.both(entry, &Entry::Find(other.clone())))
            }
            Entry::Note(_) => None,
        }
    }

    fn both(&self, one: &Entry, other: &Entry) -> String {
        format!("{} / {}. Both are kept: look, and strike the one that is wrong", self.words(other), self.words(one))
    }
}

const fn shot_words(on: ShotOn) -> &'static str {
    match on {
        ShotOn::Invert => "Shot of the invert",
        ShotOn::Top => "Shot of the top of the pipe",
        ShotOn::TrenchBottom => "Shot of the trench bottom",
        ShotOn::Ground => "Shot of the ground",
    }
}

/// True for finds that say the same of the tile.
fn same_tile(one: &Find, other: &Find) -> bool {
    let same_level = match (one.invert_m, other.invert_m) {
        (Some(one_m), Some(other_m)) => (one_m - other_m).abs() <= SAME_LEVEL_M,
        (one, other) => one == other,
    };
    let said = |find: &Find| (find.size_m, find.material, find.falls_deg, find.running, find.condition);
    same_level && said(one) == said(other)
}

/// Refuses an entry that no record may hold.
fn is_sound(entry: &Entry) -> Result<(), String> {
    let mut record = Record::default();
    match entry.clone() {
        Entry::Shot(shot) => record.shots.push(shot),
        Entry::Find(find) => record.finds.push(find),
        Entry::Note(note) => record.notes.push(note),
    }
    let mut alone = Plan::new("", Units::Metric);
    let edit = Edit::one("", plan::Change::Record(record));
    alone.apply(&edit).map(|_| ()).map_err(|error| error.to_string())
}

/// Whether an entry's key is there already, in the record or before it in the file, and whether it says the same there. Where
/// it lies does not count: that hangs on where its line runs now.
fn known(record: &Record, additions: &Additions, entry: &Entry) -> Option<bool> {
    let key = entry.key();
    let is_there = record.keys().any(|known| known == key);
    let shots = record.shots.iter().chain(&additions.shots).filter(|shot| shot.key == key);
    let finds = record.finds.iter().chain(&additions.finds).filter(|find| find.key == key);
    let notes = record.notes.iter().chain(&additions.notes).filter(|note| note.key == key);
    let (shots, finds) = (shots.cloned().map(Entry::Shot), finds.cloned().map(Entry::Find));
    let other = shots.chain(finds).chain(notes.cloned().map(Entry::Note)).next();
    match (is_there, other) {
        (_, Some(other)) => Some(other.taken() == entry.taken() && says(&other) == says(entry)),
        (true, None) => Some(false),
        (false, None) => None,
    }
}

/// What an entry says, without where and what became of it since.
fn says(entry: &Entry) -> Entry {
    let nowhere = Spot::Place(Point::new(0.0, 0.0));
    match entry.clone().moved(nowhere) {
        Entry::Shot(shot) => Entry::Shot(DugShot { struck: None, ..shot }),
        Entry::Find(find) => {
            Entry::Find(Find { struck: None, decided: None, upstream_m2: None, from_beyond: false, ..find })
        }
        note @ Entry::Note(_) => note,
    }
}

//! Keys: by what a finding is known, whatever else is found, and easily typed.
//!
//! `1@L3:45.7m` is check 1 on line L3 at 45.7 m from its downstream end; `26@O1` check 26 at outlet O1; `64@L1:36.6m/G1` check
//! 64 where L1 meets mark G1; `19` check 19, which finds one thing in a plan. Stations in keys are metres whatever the
//! units of the plan, so that a key stays when the units change. Names keep their letters, figures, `_` and `-`; anything
//! else becomes `-`. Where two things of a kind would be called the same, each has the number of its id behind it:
//! `L1.7`. Where a check finds two things at one place of one thing, they are counted along it: `.2`, `.3`.

use std::collections::{BTreeMap, BTreeSet};

use measure::Units;
use plan::{LandmarkId, LineId};

use crate::{Finding, Site};

/// What a key names beside the line, outlet or mark that its finding is about.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct Handle {
    /// Station, metres from the line's downstream end, where a line may have several.
    pub station_m: Option<f64>,
    /// Another line.
    pub line: Option<LineId>,
    /// A mark that the finding is not about.
    pub mark: Option<LandmarkId>,
    /// Further words.
    pub words: Vec<String>,
    /// True where a check finds one thing in a plan, wherever that is.
    pub is_plans: bool,
}

/// What the things of a plan are called in keys, by the numbers of their ids.
struct Names(BTreeMap<u32, String>);

impl Names {
    fn of<'a>(things: impl Iterator<Item = (u32, &'a str, String)>) -> Self {
        let called: Vec<(u32, String)> = things
            .map(|(id, name, kind)| (id, Some(word(name)).filter(|name| !name.is_empty()).unwrap_or(word(&kind))))
            .collect();
        let mut once = BTreeSet::new();
        let twice: BTreeSet<&str> =
            called.iter().map(|(_, name)| name.as_str()).filter(|name| !once.insert(*name)).collect();
        let full = |(id, name): &(u32, String)| {
            let name = if twice.contains(name.as_str()) { format!("{name}.{id}") } else { name.clone() };
            (*id, name)
        };
        Self(called.iter().map(full).collect())
    }

    fn get(&self, id: u32) -> &str {
        self.0.get(&id).map_or("", String::as_str)
    }
}

/// A name as it stands in a key: letters, figures, `_` and `-`.
fn word(name: &str) -> String {
    let plain = |c: char| if c.is_alphanumeric() || c == '_' { c } else { '-' };
    let parts = name.chars().map(plain).collect::<String>();
    parts.split('-').filter(|part| !part.is_empty()).collect::<Vec<_>>().join("-")
}

/// Gives every finding its key.
pub(crate) fn name_all(site: &Site, found: &mut [Finding]) {
    let plan = site.plan;
    let lines = Names::of(plan.lines.iter().map(|(id, line)| (id.0, line.name.as_str(), line.kind.word().into())));
    let outlets = Names::of(plan.outlets.iter().map(|(id, outlet)| (id.0, outlet.name.as_str(), "outlet".into())));
    let marks = Names::of(plan.landmarks.iter().map(|(id, mark)| (id.0, mark.name.as_str(), mark.word())));
    for finding in found.iter_mut() {
        let handle = &finding.handle;
        let mut key = finding.check.to_string();
        let mut add = |word: &str| {
            if !word.is_empty() {
                key.push(if key.contains('@') { '/' } else { '@' });
                key.push_str(word);
            }
        };
        if let Some(line) = finding.line.filter(|_| !handle.is_plans).map(|id| lines.get(id.0)) {
            match handle.station_m {
                Some(station_m) => add(&format!("{line}:{}m", measure::fixed(station_m, 1))),
                None => add(line),
            }
        }
        finding.outlet.iter().for_each(|id| add(outlets.get(id.0)));
        finding.landmark.or(handle.mark).iter().for_each(|id| add(marks.get(id.0)));
        handle.line.iter().for_each(|id| add(lines.get(id.0)));
        handle.words.iter().for_each(|text| add(&word(text)));
        finding.key = key;
    }
    tell_apart(found);
}

/// Counts findings that would have one key, by their place.
fn tell_apart(found: &mut [Finding]) {
    let mut by_key: Vec<usize> = (0..found.len()).collect();
    by_key.sort_unstable_by(|x, y| found[*x].key.cmp(&found[*y].key));
    let equal = by_key.chunk_by(|x, y| found[*x].key == found[*y].key).filter(|equal| equal.len() > 1);
    for mut equal in equal.map(<[usize]>::to_vec).collect::<Vec<_>>() {
        let place = |i: &usize| (found[*i].from_m.unwrap_or(0.0), found[*i].at);
        equal.sort_by(|x, y| {
            let ((x_m, x_at), (y_m, y_at)) = (place(x), place(y));
            let by_place = x_m.total_cmp(&y_m).then(x_at.x.total_cmp(&y_at.x)).then(x_at.y.total_cmp(&y_at.y));
            by_place.then(found[*x].title.cmp(&found[*y].title))
        });
        for (count, i) in (1..).zip(equal).skip(1) {
            found[i].key = format!("{}.{count}", found[i].key);
        }
    }
}

/// The finding of a key; a station may be typed as it stands on the plan: `1@L3:1+50` for `1@L3:45.7m`.
pub fn by_key<'a>(list: &'a [Finding], key: &str, units: Units) -> Option<&'a Finding> {
    let typed = key.trim();
    list.iter().find(|finding| finding.key == typed).or_else(|| {
        let (head, rest) = typed.split_once(':')?;
        let (place, tail) = rest.split_once('/').map_or((rest, String::new()), |(m, tail)| (m, format!("/{tail}")));
        let station_m = measure::parse_station(place, units)?;
        let is_it = |finding: &&Finding| {
            let whole = finding.handle.station_m.map(|m| (m, format!(":{}m", measure::fixed(m, 1))));
            // Stations on a plan are told to a tenth.
            let near_m = units.length_unit().metres() * 0.051;
            whole.is_some_and(|(m, own)| {
                (m - station_m).abs() <= near_m && finding.key == format!("{head}{own}{tail}")
            })
        };
        list.iter().find(is_it)
    })
}

#[cfg(test)]
mod tests {
    use plan::{Joins, LandmarkKind, Utility};

    use super::*;
    use crate::job::{Job, LATERAL, MAIN, along};

    fn keys(job: &Job) -> Vec<String> {
        job.list().into_iter().map(|finding| finding.key).collect()
    }

    /// A main that rises from 100 ft up and has no cap, an outlet in the water: line and station, line, outlet.
    #[test]
    fn a_key_names_check_thing_and_place() {
        let mut job = Job::new();
        let m1 = job.main(300.0);
        job.pin(m1, 100.0, 101.0).pin(m1, 200.0, 100.5);
        job.change(m1, |line| line.capped = false);
        let outlet = job.plan.lines[&m1].joins;
        job.change_outlet(outlet, |outlet| outlet.low_water_m = Some(outlet.invert_m));
        assert_eq!(keys(&job), ["1@M1:30.5m", "26@O1", "55@M1"]);
        job.plan.title.units = Units::Metric;
        assert_eq!(keys(&job), ["1@M1:30.5m", "26@O1", "55@M1"]);
    }

    #[test]
    fn a_station_may_be_typed_as_on_the_plan() {
        let mut job = Job::new();
        let m1 = job.main(300.0);
        job.pin(m1, 100.0, 101.0).pin(m1, 200.0, 100.5);
        let list = job.list();
        let found = |key: &str, units| by_key(&list, key, units).map(|finding| finding.check);
        assert_eq!(found("1@M1:30.5m", Units::Feet), Some(1));
        assert_eq!(found("1@M1:1+00", Units::Feet), Some(1));
        assert_eq!(found("1@M1:0+30.5", Units::Metric), Some(1));
        assert_eq!((found("1@M1:1+01", Units::Feet), found("2@M1:1+00", Units::Feet)), (None, None));
    }

    /// What is found goes and comes; the keys of the others stay. Nothing in a key needs quotes in a shell.
    #[test]
    fn odd_names_and_equal_names_make_keys_of_their_own() {
        let mut job = Job::new();
        let outlet = job.outlet("ditch, north (old)", (0.0, 0.0), 100.0);
        let main = job.line("Main $1 'a'", MAIN, &[(0.0, 0.0), (300.0, 0.0)], outlet);
        let one = job.line("L 1", LATERAL, &[(100.0, 0.0), (100.0, 90.0)], Joins::Line(main));
        let two = job.line("L-1", LATERAL, &[(200.0, 0.0), (200.0, 90.0)], Joins::Line(main));
        for id in [main, one, two] {
            job.change(id, |line| line.capped = false);
        }
        job.change_outlet(outlet, |outlet| outlet.guard = false);
        let all = keys(&job);
        for wanted in ["33@ditch-north-old", "55@Main-1-a", "55@L-1.3", "55@L-1.4"] {
            assert!(all.contains(&wanted.to_string()), "{wanted} of {all:?}");
        }
        job.change(one, |line| line.capped = true);
        assert!(keys(&job).contains(&"55@L-1.4".to_string()));
        let safe = |key: &String| key.chars().all(|c| c.is_alphanumeric() || "@:/._-".contains(c));
        assert!(all.iter().all(safe), "{all:?}");
    }

    /// Two gas lines without a name that cross at one place.
    #[test]
    fn marks_without_a_name_are_told_apart() {
        let mut job = Job::new();
        job.main(300.0);
        for _ in 0..2 {
            let carries = plan::Carries::Gas;
            let kind = LandmarkKind::Utility(Utility { carries, ..Utility::default() });
            job.mark("", kind, along(&[(120.0, -50.0), (120.0, 50.0)]));
        }
        let all = keys(&job);
        assert!(all.contains(&"64@M1:36.6m/gas-line.3".to_string()), "{all:?}");
        assert!(all.contains(&"64@M1:36.6m/gas-line.4".to_string()), "{all:?}");
    }
}

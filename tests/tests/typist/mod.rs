//! Remedies carried out by somebody who has only the words: what they say is read with the parsers of the entry fields.

use measure::{Units, parse_coefficient, parse_grade, parse_length, parse_pipe_size, parse_station};
use plan::{
    Change, Edit, Envelope, Hold, Joins, Line, LineId, OutletId, Plan, SizeBy, Stretch, Structure, StructureKind,
};

/// The edit that the words of a remedy ask for; `None` for words that tell no figure, or not how it is entered.
pub fn typed(plan: &Plan, words: &str) -> Option<Edit> {
    let typist = Typist { plan, units: plan.title.units };
    let (verb, rest) = words.split_once(' ')?;
    match verb {
        "Raise" => typist.moved(rest, 1.0),
        "Lower" => typist.moved(rest, -1.0),
        "Unlock" => typist.unlocked(rest),
        "Lock" => {
            let (name, level) = rest.strip_prefix("the invert of ")?.split_once(" at ")?;
            let (id, outlet) = typist.outlet(name)?;
            let invert_m = typist.length(level)?;
            Some(plan::set_outlet(plan, id, plan::Outlet { invert_m, invert_free: false, ..outlet }))
        }
        "Release" => typist.released(rest),
        "Lay" => typist.laid(rest),
        "Hold" => typist.held(rest),
        "Let" => typist.let_go(rest),
        "Use" => typist.used(rest),
        "Trim" => typist.trimmed(rest),
        "Delete" => plan::remove_line(plan, typist.line(rest)?.0),
        "Put" => typist.put(rest),
        "Make" => {
            let (length, name) = rest.strip_prefix("the last ")?.split_once(" at ")?;
            let (id, outlet) = typist.outlet(name.strip_suffix(" solid and rigid")?)?;
            let outlet_pipe_m = typist.length(length)?;
            Some(plan::set_outlet(plan, id, plan::Outlet { rigid: true, outlet_pipe_m, ..outlet }))
        }
        "Hire" | "Dig" => {
            let figure = |prefix| rest.strip_prefix(prefix).and_then(|figure| typist.length(figure));
            let machine_reach_m = figure("a machine that digs to ").unwrap_or(plan.criteria.machine_reach_m);
            let trench_width_m = figure("a trench no wider than ").unwrap_or(plan.criteria.trench_width_m);
            let criteria = plan::Criteria { machine_reach_m, trench_width_m, ..plan.criteria.clone() };
            Some(plan::set_criteria(criteria))
        }
        "Rip" => {
            let rip_after_m = Some(typist.length(rest.strip_prefix("no deeper than ")?)?);
            Some(plan::set_brief(plan::Brief { rip_after_m, ..plan.brief.clone() }))
        }
        _ => None,
    }
}

struct Typist<'a> {
    plan: &'a Plan,
    units: Units,
}

impl Typist<'_> {
    fn line(&self, name: &str) -> Option<(LineId, Line)> {
        let id = self.plan.line_named(name)?;
        Some((id, self.plan.lines[&id].clone()))
    }

    fn outlet(&self, name: &str) -> Option<(OutletId, plan::Outlet)> {
        let (id, outlet) = self.plan.outlets.iter().find(|(_, outlet)| outlet.name == name)?;
        Some((*id, outlet.clone()))
    }

    fn length(&self, text: &str) -> Option<f64> {
        parse_length(text, self.units).ok()
    }

    /// "1+20 to 1+85"; a station past the upper end is the upper end.
    fn stretch(&self, text: &str, line: &Line) -> Option<(f64, f64)> {
        let (from, to) = text.split_once(" to ")?;
        let station = |text| parse_station(text, self.units).map(|m| m.min(line.length_m()));
        Some((station(from)?, station(to)?))
    }

    /// "the level at 1+50 of L3 by 0.38 ft", "the 3 levels locked from 0+50 to 2+00 of M1 by 0.10 ft", "O1 by 0.81 ft".
    fn moved(&self, rest: &str, sign: f64) -> Option<Edit> {
        let (which, by) = rest.rsplit_once(" by ")?;
        let by_m = sign * self.length(by)?;
        if let Some((id, outlet)) = self.outlet(which) {
            let invert_m = outlet.invert_m + by_m;
            return Some(plan::set_outlet(self.plan, id, plan::Outlet { invert_m, ..outlet }));
        }
        let (place, name) = which.rsplit_once(" of ")?;
        let (id, mut line) = self.line(name)?;
        let (from_m, to_m) = match place.strip_prefix("the level at ") {
            Some(at) => (parse_station(at, self.units)?, parse_station(at, self.units)?),
            None => self.stretch(place.split_once(" locked from ")?.1, &line)?,
        };
        // A locked level is at a station when it is within an inch of it.
        let inch_m = measure::INCH_M;
        let there = |pin: &&mut plan::Pin| pin.station_m > from_m - inch_m && pin.station_m < to_m + inch_m;
        line.pins.iter_mut().filter(there).for_each(|pin| pin.invert_m += by_m);
        Some(plan::set_line("typed", id, line))
    }

    fn unlocked(&self, rest: &str) -> Option<Edit> {
        let (what, name) = rest.rsplit_once(" of ")?;
        let (id, line) = self.line(name)?;
        match what.strip_prefix("the level at ") {
            Some(at) => plan::set_pin(self.plan, id, parse_station(at, self.units)?, None),
            None => Some(plan::set_line("typed", id, Line { pins: Vec::new(), ..line })),
        }
    }

    fn released(&self, rest: &str) -> Option<Edit> {
        let (what, name) = rest.rsplit_once(" of ")?;
        let (id, line) = self.line(name)?;
        plan::set_reach(self.plan, id, self.stretch(what.split_once(" held from ")?.1, &line)?, None)
    }

    /// "solid heavy pipe with clay plugs from 0+20 to 0+85 and from 1+00 to 1+20 of L2 and from … of M1".
    fn laid(&self, rest: &str) -> Option<Edit> {
        let (what, places) = rest.split_once(" from ")?;
        let (solid, heavy, plugged) = (what.contains("solid"), what.contains("heavy"), what.contains("clay plugs"));
        let mut changes = Vec::new();
        let mut open: Vec<&str> = Vec::new();
        for part in places.split(" and from ").flat_map(|part| part.split(", from ")) {
            let (stretch, of) = part.split_once(" of ").map_or((part, None), |(stretch, name)| (stretch, Some(name)));
            open.push(stretch);
            let Some(name) = of else { continue };
            let (id, mut line) = self.line(name)?;
            for stretch in open.drain(..) {
                let (from_m, to_m) = self.stretch(stretch, &line)?;
                let pipe = Stretch { from_m, to_m, solid, heavy, plugged, ..Stretch::default() };
                line = line.with_stretch_added(pipe);
            }
            changes.push(Change::Line(id, Some(line)));
        }
        Some(Edit { label: "typed".into(), changes })
    }

    /// "0.51 % from 0+20 to 1+00 of L2".
    fn held(&self, rest: &str) -> Option<Edit> {
        let (grade, place) = rest.split_once(" from ")?;
        let (stretch, name) = place.rsplit_once(" of ")?;
        let (id, line) = self.line(name)?;
        plan::set_reach(self.plan, id, self.stretch(stretch, &line)?, Some(Hold::Grade(parse_grade(grade).ok()?)))
    }

    fn let_go(&self, rest: &str) -> Option<Edit> {
        if let Some((name, place)) = rest.split_once(" follow the ground at ") {
            let (id, line) = self.line(name)?;
            let (depth, stretch) = place.split_once(" from ")?;
            let hold = Some(Hold::Depth(self.length(depth)?));
            return plan::set_reach(self.plan, id, self.stretch(stretch, &line)?, hold);
        }
        if let Some(name) = rest.strip_prefix("the program choose the invert of ") {
            let (id, outlet) = self.outlet(name)?;
            return Some(plan::set_outlet(self.plan, id, plan::Outlet { invert_free: true, ..outlet }));
        }
        if let Some((much, name)) =
            rest.strip_prefix("no more than ").and_then(|rest| rest.split_once(" hang in the air at "))
        {
            let (id, outlet) = self.outlet(name)?;
            let overhang_m = self.length(much)?;
            return Some(plan::set_outlet(self.plan, id, plan::Outlet { overhang_m, ..outlet }));
        }
        if let Some(name) = rest.split_once(" start at the center of ").map(|(name, _)| name) {
            let (id, line) = self.line(name)?;
            let lowest = line.pins.first().filter(|pin| pin.station_m < measure::INCH_M)?.station_m;
            return plan::set_pin(self.plan, id, lowest, None);
        }
        None
    }

    /// "8 in for L1 and M1", "20 ft of solid pipe at O1", "smooth-wall pipe for L2".
    fn used(&self, rest: &str) -> Option<Edit> {
        if let Some(coefficient) = rest.strip_prefix("a drainage coefficient of ") {
            let coefficient_ms = Some(parse_coefficient(coefficient, self.units).ok()?);
            return Some(plan::set_brief(plan::Brief { coefficient_ms, ..self.plan.brief.clone() }));
        }
        if let Some((length, name)) = rest.split_once(" of solid pipe at ") {
            let (id, outlet) = self.outlet(name)?;
            let outlet_pipe_m = self.length(length)?;
            return Some(plan::set_outlet(self.plan, id, plan::Outlet { outlet_pipe_m, ..outlet }));
        }
        let round = |what| rest.split_once(what).and_then(|(thick, names)| Some((self.length(thick)?, names)));
        if let Some((thick_m, names)) = round(" of envelope round ").or_else(|| round(" of sand or gravel round ")) {
            return self.each(names, |line| line.bed.envelope = Envelope::Granular(thick_m));
        }
        let (size, names) = rest.split_once(" for ")?;
        let size_m = parse_pipe_size(size).ok()?;
        self.each(names, |line| (line.size_m, line.size_by) = (size_m, SizeBy::Hand))
    }

    /// "L1, L2 and M1", each changed.
    fn each(&self, names: &str, change: impl Fn(&mut Line)) -> Option<Edit> {
        let names = names.split(", ").flat_map(|names| names.split(" and "));
        let changed = |name| {
            let (id, mut line) = self.line(name)?;
            change(&mut line);
            Some(Change::Line(id, Some(line)))
        };
        let changes = names.map(changed).collect::<Option<Vec<_>>>()?;
        Some(Edit { label: "typed".into(), changes })
    }

    /// "a silt trap on M1 at 3+00, 4+50 and 7+25".
    fn put(&self, rest: &str) -> Option<Edit> {
        let (what, place) = rest.strip_prefix("a ")?.split_once(" on ")?;
        let kinds = [StructureKind::Breather, StructureKind::ReliefWell, StructureKind::SiltTrap];
        let kind = kinds.into_iter().find(|kind| kind.word() == what)?;
        let (name, stations) = place.split_once(" at ")?;
        let (id, mut line) = self.line(name)?;
        for station in stations.split(", ").flat_map(|part| part.split(" and ")) {
            let station_m = parse_station(station, self.units)?.min(line.length_m());
            line = line.with_structure(Structure { station_m, kind });
        }
        Some(plan::set_line("typed", id, line))
    }

    /// "L5 back to 2+61.8" of a line of one leg: its upper end is drawn back along it.
    fn trimmed(&self, rest: &str) -> Option<Edit> {
        let (name, to) = rest.split_once(" back to ")?;
        let (id, line) = self.line(name)?;
        let feeds = |other: &Line| other.joins == Joins::Line(id);
        if line.points.len() != 2 || self.plan.lines.values().any(feeds) {
            return None;
        }
        let end = measure::point_at(&line.points, parse_station(to, self.units)?)?;
        plan::move_point(self.plan, id, 1, end)
    }
}

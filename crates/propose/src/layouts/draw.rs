//! From links that are dug to lines as a person draws them: a main, submains and laterals, smooth, with joints that flow in.

use measure::{Point, along, apart_deg, bearing, crossings, distance, nearest_on, part_of, path_length, point_at};
use plan::{Joins, Line, LineId, LineKind, OutletId, Pattern, Plan, SizeBy};

use super::candidates::{Along, Candidates};
use crate::network::Choice;

/// Farthest that a line may be moved off its links to be smooth, metres: well within what a line may lie off a flow line ([judgement]).
const SMOOTH_M: f64 = 1.5;
/// Sharpest bend that is drawn, degrees: tubing that is plowed in takes no sharper one ([CPS606, memory] allows 45).
const BEND_DEG: f64 = 40.0;
/// Corners are cut so far to either side, metres ([judgement]).
const CORNER_M: f64 = 6.0;
/// The most of a piece that is cut off at a corner, as a share: less than half, for its other end may be cut too (own choice).
const MOST_CUT: f64 = 0.45;
/// Widest angle between the flow of a branch and of its main, degrees: square and no more ([judgement]).
const JOINT_DEG: f64 = 88.0;
/// The foot of a branch is moved down its main no farther than that, metres ([judgement]).
const FOOT_M: f64 = 15.0;
/// A line that runs no farther beside another than this down to its end is drawn as one with it, metres; one that gathers by itself no
/// farther than the second ([judgement]).
const BESIDE_M: f64 = 20.0;
const BESIDE_GATHERS_M: f64 = 12.0;
/// It must do so for this length, metres ([judgement]), and is looked at so often, metres (own choice).
const LEAST_BESIDE_M: f64 = 30.0;
const LOOK_M: f64 = 5.0;
/// A lateral goes on as a submain, or the other way round, for a piece of no more than this, metres ([judgement]).
const PIECE_M: f64 = 30.0;
/// Places nearer to each other are one, metres.
const SAME_M: f64 = 0.05;
/// Times that a line is cut where it meets another on its way to its end (own choice).
const MOST_CROSSINGS: usize = 3;
/// Feet of two branches are no nearer to each other along a main, metres ([judgement]).
const FEET_APART_M: f64 = 1.5;

/// A line before it has a name.
#[derive(Debug, Clone, PartialEq)]
pub struct Drawn {
    /// Its points, downstream end first.
    pub points: Vec<Point>,
    /// Where it drains to.
    pub into: Into,
    /// How it was laid out.
    pub pattern: Pattern,
    /// True where it runs along a swale, a toe or through a wet patch: a lateral, whatever joins it.
    pub gathers: bool,
}

/// Where a line that was drawn drains to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Into {
    /// An outlet, by its number among those that may be used.
    Outlet(usize),
    /// A line that was drawn before.
    Line(usize),
}

/// Draws the lines of a choice, each after the one it joins.
pub fn lines(found: &Candidates, choice: &Choice) -> Vec<Drawn> {
    let mut tracing = Tracing::of(found, choice);
    for outlet in 0..found.outlets {
        tracing.from(outlet + 1, Into::Outlet(outlet));
    }
    tracing.drawn
}

/// Lines traced up from the outlets.
struct Tracing<'a> {
    found: &'a Candidates,
    /// Links that drain to each place.
    feeders: Vec<Vec<usize>>,
    /// Length of all that drains through each place, metres.
    behind_m: Vec<f64>,
    drawn: Vec<Drawn>,
}

impl<'a> Tracing<'a> {
    fn of(found: &'a Candidates, choice: &Choice) -> Self {
        let mut feeders = vec![Vec::new(); found.places.len()];
        for link in choice.down.iter().flatten() {
            feeders[found.links[*link].to].push(*link);
        }
        let mut tracing = Self { found, feeders, behind_m: vec![0.0; found.places.len()], drawn: Vec::new() };
        tracing.measure(0);
        tracing
    }

    /// Length of a link with all that drains through it, metres.
    fn through_m(&self, link: usize) -> f64 {
        self.behind_m[self.found.links[link].from] + path_length(&self.found.courses[link].path)
    }

    fn measure(&mut self, root: usize) {
        let mut order = vec![root];
        let mut next = 0;
        while let Some(place) = order.get(next).copied() {
            next += 1;
            order.extend(self.feeders[place].iter().map(|link| self.found.links[*link].from));
        }
        for place in order.into_iter().rev() {
            self.behind_m[place] = self.feeders[place].iter().map(|link| self.through_m(*link)).sum();
        }
    }

    /// Traces the lines that drain to a place, one after the other; the first goes on as far as it can.
    fn from(&mut self, place: usize, into: Into) {
        let mut waiting: Vec<(usize, Into)> = Vec::new();
        let mut first: Option<usize> = None;
        for link in self.ranked(place, None) {
            // What comes to an outlet beside its main joins that main.
            let into = first.filter(|_| matches!(into, Into::Outlet(_))).map_or(into, Into::Line);
            let number = self.drawn.len();
            first = first.or(Some(number));
            waiting.extend(self.trace(link, into).into_iter().map(|link| (link, Into::Line(number))));
        }
        let mut next = 0;
        while let Some((link, into)) = waiting.get(next).copied() {
            next += 1;
            let number = self.drawn.len();
            let more = self.trace(link, into);
            waiting.extend(more.into_iter().map(|link| (link, Into::Line(number))));
        }
    }

    /// Links into a place, the one first by which a line that came by another goes on.
    fn ranked(&self, place: usize, before: Option<usize>) -> Vec<usize> {
        let along = |link: usize| self.found.courses[link].along;
        let mut links = self.feeders[place].clone();
        links.sort_by(|x, y| {
            let goes_on = |link: usize| before.is_some_and(|before| along(link) == along(before));
            goes_on(*y).cmp(&goes_on(*x)).then(self.through_m(*y).total_cmp(&self.through_m(*x))).then(x.cmp(y))
        });
        links
    }

    /// Traces one line from a link up; answers the links that join it on the way.
    fn trace(&mut self, mut link: usize, into: Into) -> Vec<usize> {
        let up = |link: usize| self.found.courses[link].path.iter().rev().copied();
        let mut points: Vec<Point> = up(link).collect();
        let mut joining = Vec::new();
        loop {
            let ranked = self.ranked(self.found.links[link].from, Some(link));
            let Some((next, others)) = ranked.split_first() else { break };
            // Up a swale goes a lateral of its own: a main lies beside the channel and not in it.
            if self.found.courses[*next].along != self.found.courses[link].along {
                joining.extend(ranked);
                break;
            }
            joining.extend(others);
            points.extend(up(*next).skip(1));
            link = *next;
        }
        points.dedup_by(|x, y| distance(*x, *y) < 0.01);
        let along = self.found.courses[link].along;
        let pattern = if along == Along::Toe { Pattern::Interceptor } else { Pattern::Targeted };
        self.drawn.push(Drawn { points, into, pattern, gathers: along != Along::Open });
        joining
    }
}

/// Makes lines fit to be dug: smooth, without crossings, with joints that flow in and clear of the outlet pipe; nowhere but where
/// pipe may run straight from place to place.
pub struct Settling<'a> {
    /// Length of the rigid pipe at an outlet, metres.
    pub outlet_pipe_m: f64,
    /// Shorter lines are not dug, metres.
    pub shortest_m: f64,
    /// Whether lines that run side by side down to their ends are drawn as one.
    pub joins: bool,
    /// Tells where pipe may run straight.
    pub is_open: &'a dyn Fn(Point, Point) -> bool,
}

impl Settling<'_> {
    /// Settles lines, each after the one it joins.
    pub fn settled(&self, mut lines: Vec<Drawn>) -> Vec<Drawn> {
        let mut done: Vec<Drawn> = Vec::new();
        let mut number_of: Vec<usize> = Vec::new();
        let joined: Vec<Into> = lines.iter().map(|line| line.into).collect();
        for (number, line) in lines.iter_mut().enumerate() {
            if let Into::Line(other) = line.into {
                line.into = Into::Line(number_of[other]);
            }
            let mut settled = Drawn { points: smooth(line, self.is_open), ..line.clone() };
            if self.joins {
                join_beside(&done, &mut settled, self.is_open);
            }
            self.lead_in(&done, &mut settled);
            number_of.push(done.len());
            // A short piece at an outlet stays where others lead to it.
            let leads_out = matches!(settled.into, Into::Outlet(_)) && joined.contains(&Into::Line(number));
            if leads_out || path_length(&settled.points) >= self.shortest_m {
                done.push(settled);
            } else if let Into::Line(other) = settled.into {
                // Too short to be dug: what would join it joins what it would join.
                number_of.pop();
                number_of.push(other);
            }
        }
        strung(done)
    }

    /// Leads the end of a line into what it joins, without crossing another.
    fn lead_in(&self, done: &[Drawn], line: &mut Drawn) {
        join_nearest(done, line);
        for _ in 0..MOST_CROSSINGS {
            cut_at_crossing(done, line);
            set_foot(done, line, self.outlet_pipe_m, self.is_open);
            if met(done, line).next().is_none() {
                return;
            }
        }
    }
}

/// Lines with those that only go on where another ends drawn as one with it, under the kind of the longer; a main stays by itself.
fn strung(lines: Vec<Drawn>) -> Vec<Drawn> {
    let mut strung: Vec<Drawn> = Vec::new();
    let mut number_of: Vec<usize> = Vec::new();
    for mut line in lines {
        if let Into::Line(other) = line.into {
            line.into = Into::Line(number_of[other]);
        }
        match line.into {
            Into::Line(other) if goes_on(&strung[other], &line) => {
                let below = &mut strung[other];
                let is_longer = path_length(&line.points) > path_length(&below.points);
                below.gathers = if is_longer { line.gathers } else { below.gathers };
                below.points.extend(line.points.into_iter().skip(1));
                number_of.push(other);
            }
            _ => {
                number_of.push(strung.len());
                strung.push(line);
            }
        }
    }
    strung
}

/// True where a line goes on from the upper end of another, with no bend there that pipe does not take.
fn goes_on(below: &Drawn, line: &Drawn) -> bool {
    let (Some(end), [.., before, last]) = (line.points.get(..2), &below.points[..]) else { return false };
    let is_main = matches!(below.into, Into::Outlet(_));
    let is_short = path_length(&line.points).min(path_length(&below.points)) <= PIECE_M;
    !is_main
        && (below.gathers == line.gathers || is_short)
        && below.pattern == line.pattern
        && distance(*last, end[0]) < SAME_M
        && turn_deg(&[*before, *last, end[1]]) <= BEND_DEG
}

/// Where the line that a line joins was cut off, another lies nearer by now: it joins that one.
fn join_nearest(done: &[Drawn], line: &mut Drawn) {
    let (Into::Line(number), Some(end)) = (line.into, line.points.first().copied()) else { return };
    let away = |other: &Drawn| nearest_on(&other.points, end).map_or(f64::INFINITY, |met| met.2);
    let nearest = (0..done.len()).min_by(|x, y| away(&done[*x]).total_cmp(&away(&done[*y])));
    if let Some(other) = nearest.filter(|other| away(&done[number]) > away(&done[*other]) + FOOT_M) {
        line.into = Into::Line(other);
    }
}

/// Ends a line where it comes to run beside another that flows the same way, if it does so down to its end.
fn join_beside(done: &[Drawn], line: &mut Drawn, is_open: &dyn Fn(Point, Point) -> bool) {
    let length_m = path_length(&line.points);
    let beside_m = if line.gathers { BESIDE_GATHERS_M } else { BESIDE_M };
    let beside = |number: usize| {
        let other = &done[number].points;
        let foot = |at_m: f64| {
            point_at(&line.points, at_m).and_then(|at| nearest_on(other, at)).filter(|met| met.2 <= beside_m)
        };
        let looks = (0..=(length_m / LOOK_M) as usize).map(|look| look as f64 * LOOK_M);
        let mut below_m = f64::NEG_INFINITY;
        let along = looks.map_while(|at_m| {
            let (foot_m, ..) = foot(at_m)?;
            // It flows the same way: the foot goes up as the line does.
            (foot_m >= std::mem::replace(&mut below_m, foot_m)).then_some(at_m)
        });
        along.last().map(|at_m| (at_m, number))
    };
    let longest = (0..done.len()).filter_map(beside).max_by(|x, y| x.0.total_cmp(&y.0).then(y.1.cmp(&x.1)));
    let Some((at_m, number)) = longest.filter(|(at_m, _)| *at_m >= LEAST_BESIDE_M) else { return };
    // It comes in at a slant: from as far up again as the other lies beside.
    let Some((_, foot, away_m)) = point_at(&line.points, at_m).and_then(|at| nearest_on(&done[number].points, at))
    else {
        return;
    };
    let mut upper = part_of(&line.points, (at_m + away_m).min(length_m), length_m);
    let Some(start) = upper.first().copied() else { return };
    if is_open(foot, start) {
        upper.insert(0, foot);
        upper.dedup_by(|x, y| distance(*x, *y) < 0.01);
        line.points = upper;
        line.into = Into::Line(number);
    }
}

/// The points of a line as smooth as they may be, its piece to an outlet left as it is.
fn smooth(line: &Drawn, is_open: &dyn Fn(Point, Point) -> bool) -> Vec<Point> {
    let from = usize::from(matches!(line.into, Into::Outlet(_)));
    let may_lie = |points: &Vec<Point>| points.windows(2).skip(from).all(|pair| is_open(pair[0], pair[1]));
    let thin = terrain::simplify(&line.points, SMOOTH_M);
    [eased(&thin), thin, eased(&line.points)].into_iter().find(may_lie).unwrap_or_else(|| line.points.clone())
}

/// A line with its sharp corners cut, so that no bend is sharper than pipe takes.
pub fn eased(points: &[Point]) -> Vec<Point> {
    let Some((first, last)) = points.first().zip(points.last()) else { return Vec::new() };
    let mut eased = vec![*first];
    for three in points.windows(3) {
        let (before_m, after_m) = (distance(three[0], three[1]), distance(three[1], three[2]));
        if turn_deg(three) <= BEND_DEG {
            eased.push(three[1]);
            continue;
        }
        let cut = |toward: Point, length_m: f64| along(three[1], toward, (CORNER_M / length_m).min(MOST_CUT));
        let (a, c) = (cut(three[0], before_m), cut(three[2], after_m));
        eased.push(a);
        if turn_deg(three) > 2.0 * BEND_DEG {
            // Half-way round, a little inside the corner.
            let middle = along(a, c, 0.5);
            eased.push(along(middle, three[1], 0.3));
        }
        eased.push(c);
    }
    eased.push(*last);
    eased
}

/// By how much a line turns at the middle of three points, degrees.
fn turn_deg(three: &[Point]) -> f64 {
    apart_deg(bearing(three[1], three[2]), bearing(three[0], three[1]))
}

/// Stations at which a line meets others on its way to its end, with their numbers.
fn met<'a>(done: &'a [Drawn], line: &'a Drawn) -> impl Iterator<Item = (f64, usize)> + 'a {
    let length_m = path_length(&line.points);
    let foot_m = move |number: usize| if line.into == Into::Line(number) { 1.0 } else { 0.01 };
    let met = done.iter().enumerate().flat_map(|(number, other)| {
        crossings(&line.points, &other.points).into_iter().map(move |(at_m, _)| (at_m, number))
    });
    met.filter(move |(at_m, number)| *at_m > foot_m(*number) && *at_m < length_m - 1e-6)
}

/// Lets a line end where it first meets another on its way down.
fn cut_at_crossing(done: &[Drawn], line: &mut Drawn) {
    let length_m = path_length(&line.points);
    if let Some((at_m, number)) = met(done, line).max_by(|x, y| x.0.total_cmp(&y.0)) {
        line.points = part_of(&line.points, at_m, length_m);
        line.into = Into::Line(number);
    }
}

/// Sets the downstream end of a branch on its main: clear of the outlet pipe and of other feet, and so that it flows in.
fn set_foot(done: &[Drawn], line: &mut Drawn, outlet_pipe_m: f64, is_open: &dyn Fn(Point, Point) -> bool) {
    let Into::Line(number) = line.into else { return };
    let main = &done[number];
    let Some((station_m, ..)) = line.points.first().and_then(|end| nearest_on(&main.points, *end)) else { return };
    let least_m = if matches!(main.into, Into::Outlet(_)) { outlet_pipe_m + FEET_APART_M } else { FEET_APART_M };
    let feet: Vec<f64> = done
        .iter()
        .filter(|other| other.into == line.into)
        .filter_map(|other| Some(nearest_on(&main.points, *other.points.first()?)?.0))
        .collect();
    let length_m = path_length(&main.points);
    let is_clear = |at_m: &f64| {
        let in_line = length_m - at_m < 0.01;
        *at_m >= least_m.min(length_m) && (in_line || feet.iter().all(|foot_m| (foot_m - at_m).abs() >= FEET_APART_M))
    };
    let down = (0..=FOOT_M as usize).map(|off| station_m - off as f64);
    // Farther up only where nothing nearer is open: a branch that came to an outlet off the field joins its main inside.
    let up = (1..=length_m as usize).map(|off| (station_m + off as f64).min(length_m));
    let next = line.points.get(1).copied();
    let may_lie =
        |at_m: &f64| point_at(&main.points, *at_m).zip(next).is_some_and(|(foot, next)| is_open(foot, next));
    let places: Vec<f64> = down.chain(up).filter(is_clear).filter(may_lie).collect();
    let flows_in = |at_m: &f64| joint_deg(&main.points, *at_m, &line.points).is_some_and(|deg| deg <= JOINT_DEG);
    let near = |at_m: &f64| (at_m - station_m).abs() <= FOOT_M;
    let best = places.iter().copied().find(|at_m| near(at_m) && flows_in(at_m)).or(places.first().copied());
    if let Some(foot) = best.and_then(|at_m| point_at(&main.points, at_m)) {
        line.points[0] = foot;
    }
}

/// Angle between the flow of a branch set on its main at a station and that of the main, degrees.
fn joint_deg(main: &[Point], station_m: f64, branch: &[Point]) -> Option<f64> {
    let (foot, next) = (point_at(main, station_m)?, *branch.get(1)?);
    let length_m = path_length(main);
    let (below, above) =
        (point_at(main, (station_m - 1.0).max(0.0))?, point_at(main, (station_m + 1.0).min(length_m))?);
    Some(apart_deg(bearing(next, foot), bearing(above, below)))
}

/// Lines of a plan from lines that were drawn; outlets by their number among those that may be used.
pub fn named(plan: &Plan, drawn: &[Drawn], outlets: &[OutletId], first_id: u32) -> Vec<(LineId, Line)> {
    let is_joined = |number: usize| drawn.iter().any(|other| other.into == Into::Line(number));
    let kind = |(number, line): (usize, &Drawn)| match line.into {
        Into::Outlet(_) => LineKind::Main,
        Into::Line(_) if is_joined(number) && !line.gathers => LineKind::Submain,
        Into::Line(_) => LineKind::Lateral,
    };
    let kinds: Vec<LineKind> = drawn.iter().enumerate().map(kind).collect();
    let mut names: Vec<_> = [LineKind::Main, LineKind::Submain, LineKind::Lateral]
        .into_iter()
        .map(|kind| (kind, plan.free_names(kind.stem())))
        .collect();
    let mut lines = Vec::new();
    for ((id, line), kind) in (first_id..).zip(drawn).zip(kinds) {
        let of_kind = names.iter_mut().find(|(other, _)| *other == kind);
        let name = of_kind.and_then(|(_, names)| names.next()).unwrap_or_default();
        let joins = match line.into {
            Into::Outlet(number) => Joins::Outlet(outlets[number]),
            Into::Line(number) => Joins::Line(LineId(first_id + number as u32)),
        };
        let bare = plan.new_line(&name, kind, line.points.clone());
        lines.push((LineId(id), Line { joins, pattern: line.pattern, size_by: SizeBy::usual(kind), ..bare }));
    }
    lines
}

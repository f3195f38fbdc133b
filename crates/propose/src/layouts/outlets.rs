//! Where water could leave a field whose plan has no outlet: places along ditches and creeks, ranked by fall, freeboard and length.

use measure::{LengthUnit, Point, along, closed, distance, fixed, nearest_on, path_length, point_at, toward};
use plan::{Change, Edit, LandmarkKind, Outlet, OutletId, Owner, Plan, WatercourseKind};

use super::wet::holds;
use super::{NoLayout, Site};

/// A channel is looked at so often, metres (own choice).
const LOOK_M: f64 = 10.0;
/// How far from the boundary an outlet may lie, metres: others' land is crossed the short way ([judgement]).
const OFF_M: f64 = 30.0;
/// Outlets that are offered lie no nearer to each other, metres ([judgement]).
const APART_M: f64 = 40.0;
/// Outlets that are offered (own choice).
const MOST_PLACES: usize = 3;
/// Wet places that an outlet is held against (own choice).
const MOST_WET: usize = 200;
/// The bottom of a channel is the lowest ground so far to either side of its line, metres ([judgement]).
const BANK_M: f64 = 3.0;
/// A place on a channel is moved so many metres toward the field at most where the ground ends (own choice).
const MOST_STEPS: u32 = 6;
/// Of two outlets the one that more of the wet land can fall to comes first, where that differs by so much ([judgement]).
const SHARE: f64 = 0.05;
/// Then the one that ends higher over the bottom, where that differs by so much, metres ([judgement]).
const FREEBOARD_M: f64 = 0.05;
/// Directions about an outlet in which its pipe may come to it (own choice).
const LOOKS_AROUND: u32 = 16;
/// A road so near beside an outlet may be its authority's ditch, metres ([judgement]).
const ROADSIDE_M: f64 = 15.0;
/// What the end of a main costs, as a length of usual trench, metres: rigid pipe, guard, a bank made good ([judgement]).
pub const END_M: f64 = 20.0;

/// An outlet that a layout would place, with its reason.
#[derive(Debug, Clone, PartialEq)]
pub struct Offered {
    /// Under which it would be placed.
    pub id: OutletId,
    /// The outlet.
    pub outlet: Outlet,
    /// Why there, and what must be asked.
    pub why: String,
}

/// A line along which water leaves.
struct Channel {
    called: String,
    points: Vec<Point>,
}

/// A place on a channel, and how well water falls to it.
struct Spot<'a> {
    channel: &'a Channel,
    at: Point,
    invert_m: f64,
    freeboard_m: f64,
    /// Share of the wet land that can fall to it.
    share: f64,
    /// How far that land lies on average, metres.
    length_m: f64,
}

/// The outlets that a plan without one could have, the best first.
pub fn offered(site: &Site) -> Vec<Offered> {
    let channels = channels(site);
    let mut spots: Vec<Spot> = near(site, &channels).filter_map(|(channel, at)| spot(site, channel, at)).collect();
    let rank = |spot: &Spot| {
        (
            (spot.share / SHARE).round() as i64,
            (spot.freeboard_m / FREEBOARD_M).round() as i64,
            (-spot.length_m).round() as i64,
        )
    };
    spots.sort_by(|x, y| rank(y).cmp(&rank(x)).then(x.at.x.total_cmp(&y.at.x)).then(x.at.y.total_cmp(&y.at.y)));
    let mut kept: Vec<Spot> = Vec::new();
    for spot in spots {
        let is_apart = kept.iter().all(|other| distance(other.at, spot.at) >= APART_M);
        if is_apart && kept.len() < MOST_PLACES {
            kept.push(spot);
        }
    }
    let ids = (site.plan.next_id..).map(OutletId);
    let named = ids.zip(site.plan.free_names("O")).zip(&kept);
    let offered = |((id, name), spot): ((OutletId, String), &Spot)| Offered {
        id,
        why: why(site, &name, spot),
        outlet: outlet(site, name, spot),
    };
    named.map(offered).collect()
}

/// A plan with the outlets that are offered.
pub fn with(plan: &Plan, offered: &[Offered]) -> Plan {
    let places = offered.iter().map(|place| Change::Outlet(place.id, Some(place.outlet.clone())));
    plan.with(&Edit { label: String::new(), changes: places.collect() })
}

/// Along which water leaves: the ditches of the plan, and low ground.
fn channels(site: &Site) -> Vec<Channel> {
    ditches(site).chain(creeks(site)).collect()
}

/// The ditches of the plan.
fn ditches<'a>(site: &'a Site) -> impl Iterator<Item = Channel> + 'a {
    let open = site.plan.watercourses.values().filter(|course| course.kind == WatercourseKind::Ditch);
    open.map(|course| Channel { called: format!("ditch {}", course.name), points: course.points.clone() })
}

/// Swales where they run off the field or along its boundary: what takes the water there is no part of the plan.
fn creeks<'a>(site: &'a Site) -> impl Iterator<Item = Channel> + 'a {
    let limits = &site.plan.criteria;
    let large = site
        .land
        .swales
        .iter()
        .filter(|swale| swale.area_m2.iter().copied().fold(0.0, f64::max) >= limits.swale_area_m2);
    let is_beside = |at: &Point| !holds(site.field, *at) || site.off_edge_m(*at) <= limits.channel_near_m;
    let parts = large.flat_map(move |swale| {
        let parts = swale.points.chunk_by(move |x, y| is_beside(x) == is_beside(y));
        parts.filter(move |part| part.len() > 1 && is_beside(&part[0]))
    });
    parts.map(|part| Channel { called: "low ground that leads off the field".into(), points: part.to_vec() })
}

/// The places on channels that lie near enough to the field, on its ground.
fn near<'a>(site: &'a Site, channels: &'a [Channel]) -> impl Iterator<Item = (&'a Channel, Point)> + 'a {
    let places = |channel: &'a Channel| {
        let count = (path_length(&channel.points) / LOOK_M).floor() as usize;
        let places = (0..=count).filter_map(move |look| point_at(&channel.points, look as f64 * LOOK_M));
        places.map(move |at| (channel, at))
    };
    let near = channels.iter().flat_map(places);
    let near = near.filter(|(_, at)| site.off_edge_m(*at) <= OFF_M || holds(site.field, *at));
    near.filter_map(|(channel, at)| Some((channel, on_ground(site, at)?)))
}

/// The place, or the nearest to it on the way to the field where ground is known: what was read may end at the channel.
fn on_ground(site: &Site, at: Point) -> Option<Point> {
    let side = site.nearest_edge(at)?;
    let away_m = distance(at, side).max(f64::MIN_POSITIVE);
    let places = (0..=MOST_STEPS).map(|step| along(at, side, (f64::from(step) / away_m).min(1.0)));
    places.into_iter().find(|place| site.ground.elevation(*place).is_some())
}

fn spot<'a>(site: &Site, channel: &'a Channel, at: Point) -> Option<Spot<'a>> {
    let limits = &site.plan.criteria;
    let bottom_m = bottom_m(site, at)?;
    let wanted_m = limits.outlet_wanted_m.max(limits.outlet_least_m);
    // As much freeboard as takes no wet land away; else the least there may be.
    let tried = [wanted_m, (wanted_m + limits.outlet_least_m) / 2.0, limits.outlet_least_m];
    let reach = |freeboard_m: f64| falls(site, at, bottom_m + freeboard_m);
    let most = reach(limits.outlet_least_m).0;
    let fits = |freeboard_m: &f64| {
        reach(*freeboard_m).0 >= most - SHARE
            && comes_out(site, at, bottom_m + freeboard_m, site.plan.starts().outlet_pipe_m)
    };
    let freeboard_m = tried.into_iter().find(fits)?;
    let (share, length_m) = reach(freeboard_m);
    (share > 0.0).then_some(Spot { channel, at, invert_m: bottom_m + freeboard_m, freeboard_m, share, length_m })
}

/// True where pipe with the least soil over it can come out of the ground about a place at a level, its last rigid part not counted.
fn comes_out(site: &Site, at: Point, invert_m: f64, outlet_pipe_m: f64) -> bool {
    let around =
        (0..LOOKS_AROUND).map(|look| toward(at, f64::from(look) * 360.0 / f64::from(LOOKS_AROUND), outlet_pipe_m));
    let toward_field =
        around.filter(|place| holds(site.field, *place) || site.off_edge_m(*place) < site.off_edge_m(at));
    let mut levels = toward_field.filter_map(|place| site.start(place));
    levels.any(|level| level.highest_m - site.plan.criteria.even_grade * outlet_pipe_m >= invert_m)
}

/// Why a plan without an outlet gets none: nothing leads off the field, or no channel there is deep enough.
pub fn why_none(site: &Site) -> NoLayout {
    shallow(site).map_or(NoLayout::NoOutlet, NoLayout::Shallow)
}

/// "low ground that leads off the field at 3340, 2210 is not cut deep enough ...": of places where no pipe comes out, the one to which
/// most of the wet land could fall; `None` where nothing leads off the field.
fn shallow(site: &Site) -> Option<String> {
    let channels = channels(site);
    let found = near(site, &channels).filter_map(|(channel, at)| {
        let (share, length_m) = falls(site, at, site.start(at)?.wanted_m);
        Some((share, length_m, channel, at)).filter(|_| share > 0.0)
    });
    let (share, _, channel, at) =
        found.min_by(|x, y| y.0.total_cmp(&x.0).then(x.1.total_cmp(&y.1)).then(x.3.x.total_cmp(&y.3.x)))?;
    let depth_m = site.ground.elevation(at)? - site.start(at)?.wanted_m;
    let across = site.plan.ground.as_ref().map_or(LengthUnit::Metre, |ground| ground.horizontal_unit);
    let (east, north) = (across.figure(at.x, 0), across.figure(at.y, 0));
    let (depth, share) = (site.plan.title.units.depth(depth_m), fixed(100.0 * share, 0));
    Some(format!(
        "{} at {east}, {north} is not cut deep enough, as the ground shows it, for pipe to come out. {share} % of the wet land lies \
         high enough to fall to {depth} below the ground there: place an outlet there if a ditch or tile takes water so low",
        channel.called
    ))
}

/// Share of the wet land that can fall to a level at the even grade from the depth it is usually dug to, and how far it lies.
fn falls(site: &Site, at: Point, invert_m: f64) -> (f64, f64) {
    let every = (site.wet.places.len() / MOST_WET).max(1);
    let looked: Vec<Point> = site.wet.places.iter().step_by(every).map(|wet| wet.at).collect();
    let fits = |from: &&Point| {
        let level_m = site.start(**from).map(|level| level.wanted_m);
        level_m.is_some_and(|level_m| level_m - site.plan.criteria.even_grade * distance(**from, at) >= invert_m)
    };
    let far: Vec<f64> = looked.iter().filter(fits).map(|from| distance(*from, at)).collect();
    let count = far.len().max(1) as f64;
    (far.len() as f64 / looked.len().max(1) as f64, far.iter().sum::<f64>() / count)
}

/// The lowest ground about a place on a channel, metres.
fn bottom_m(site: &Site, at: Point) -> Option<f64> {
    let off = [-BANK_M, -BANK_M / 2.0, 0.0, BANK_M / 2.0, BANK_M];
    let around = off.iter().flat_map(|x| off.iter().map(move |y| Point::new(at.x + x, at.y + y)));
    around.filter_map(|at| site.ground.elevation(at)).reduce(f64::min)
}

/// The outlet at a spot: its channel is nobody's but the owner's where it runs well inside the field.
fn outlet(site: &Site, name: String, spot: &Spot) -> Outlet {
    let is_own = holds(site.field, spot.at) && site.off_edge_m(spot.at) > site.plan.criteria.channel_near_m;
    Outlet {
        owner: if is_own { Owner::Own } else { Owner::Unknown },
        outlet_pipe_m: site.plan.starts().outlet_pipe_m,
        ..Outlet::new(&name, spot.at, spot.invert_m)
    }
}

/// "O1 lies at ditch D1: 92 % of the wet land can fall to it over 310 ft on average, 1.00 ft over the bottom ..."
fn why(site: &Site, name: &str, spot: &Spot) -> String {
    let units = site.plan.title.units;
    let share = fixed(100.0 * spot.share, 0);
    let (length, freeboard) = (units.length(spot.length_m), units.depth(spot.freeboard_m));
    let roadside =
        beside_road(site, spot.at).map(|road| format!(" It lies beside {road}: ask the road's authority too."));
    format!(
        "{name} would lie at {}: {share} % of the wet land can fall to it, from {length} away on average, and it ends {freeboard} over \
         the bottom as the ground shows it. Shoot the bottom and the water there before you dig.{}",
        spot.channel.called,
        roadside.unwrap_or_default()
    )
}

/// The road that an outlet lies beside.
fn beside_road(site: &Site, at: Point) -> Option<String> {
    let roads = site.plan.landmarks.values().filter(|mark| matches!(mark.kind, LandmarkKind::Road { .. }));
    let mut near = roads.filter(|mark| {
        let path = mark.outline.path();
        nearest_on(&closed(&path), at).is_some_and(|(_, _, away_m)| away_m <= ROADSIDE_M)
    });
    near.next().map(plan::Landmark::called)
}

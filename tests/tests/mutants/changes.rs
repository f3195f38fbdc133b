//! The changes that make mistakes: each touches one thing.

use design::Design;
use measure::{FOOT_M, INCH_M, Point, Units};
use plan::{
    Bed, BoxFacts, Catching, Cause, Envelope, Hold, Joins, Landmark, LandmarkKind, LeadsTo, Line, LineId, LineKind,
    Material, OldTile, Outline, Owner, Pattern, Pin, Pit, Plan, Reach, Rows, SelfCleaning, Served, SizeBy, Slots,
    SoilLayer, Stretch, Structure, StructureKind, Texture, Utility, Wall,
};

use super::{Dice, drawn};

type Change = fn(&mut Plan, &mut Dice, &Design);

const CHANGES: [Change; 23] = [
    units,
    pin,
    pin,
    pin,
    pins_freed,
    outlet,
    outlet_water,
    outlet_fittings,
    size,
    size,
    reach,
    stretch,
    limit,
    limit,
    brief,
    mark,
    mark,
    mark,
    structure,
    line_kept,
    line_drawn,
    bent,
    old_tile,
];

/// Makes one change.
pub fn change(plan: &mut Plan, dice: &mut Dice, design: &Design) {
    dice.one(&CHANGES)(plan, dice, design);
}

/// Some line that is new.
fn some(plan: &Plan, dice: &mut Dice) -> Option<LineId> {
    let new: Vec<LineId> = plan.lines.iter().filter(|(_, line)| !line.kind.is_old()).map(|(id, _)| *id).collect();
    (!new.is_empty()).then(|| dice.one(&new))
}

fn with(plan: &mut Plan, dice: &mut Dice, change: impl FnOnce(&mut Line, &mut Dice)) {
    if let Some(line) = some(plan, dice).and_then(|id| plan.lines.get_mut(&id)) {
        change(line, dice);
    }
}

/// A stretch of a line, from a tenth to the whole.
fn stretch_of(line: &Line, dice: &mut Dice) -> (f64, f64) {
    let length_m = line.length_m();
    let from_m = if dice.once_in(3) { 0.0 } else { dice.between(0.0, 0.8) * length_m };
    (from_m, (from_m + dice.between(0.1, 0.9) * length_m).min(length_m))
}

fn units(plan: &mut Plan, dice: &mut Dice, _: &Design) {
    plan.title.units = dice.one(&[Units::Feet, Units::Metric, Units::SurveyFeet]);
}

/// A level locked above or below where the pipe lay.
fn pin(plan: &mut Plan, dice: &mut Dice, design: &Design) {
    let Some(id) = some(plan, dice) else { return };
    let Some(worked) = design.lines.get(&id) else { return };
    let station = dice.one(&worked.stations);
    let Some(invert_m) = station.invert_m else { return };
    let invert_m = invert_m + dice.between(-0.4, 0.4);
    let line = plan.lines.get_mut(&id).unwrap();
    line.pins.retain(|pin| (pin.station_m - station.station_m).abs() > 0.5);
    line.pins.push(Pin { station_m: station.station_m, invert_m, straight: dice.once_in(2) });
    line.pins.sort_by(|a, b| a.station_m.total_cmp(&b.station_m));
}

fn pins_freed(plan: &mut Plan, dice: &mut Dice, _: &Design) {
    with(plan, dice, |line, _| line.pins.clear());
}

fn outlet(plan: &mut Plan, dice: &mut Dice, _: &Design) {
    for outlet in plan.outlets.values_mut() {
        outlet.invert_m += dice.between(-0.5, 0.5);
        outlet.invert_free = dice.once_in(6);
    }
}

fn outlet_water(plan: &mut Plan, dice: &mut Dice, _: &Design) {
    for outlet in plan.outlets.values_mut() {
        let below = |dice: &mut Dice| Some(outlet.invert_m - dice.between(-0.1, 0.7));
        (outlet.low_water_m, outlet.channel_bottom_m) = (below(dice), below(dice));
        outlet.flood_m = Some(outlet.invert_m + dice.between(-0.2, 0.9));
        outlet.leads_to = dice.one(&[
            LeadsTo::Channel,
            LeadsTo::Channel,
            LeadsTo::Pump(plan::Pump::default()),
            LeadsTo::Pipe(plan::Receiving {
                size_m: Some(4.0 * INCH_M),
                invert_m: Some(outlet.invert_m - 0.02),
                free_m3s: Some(0.001),
            }),
        ]);
    }
}

fn outlet_fittings(plan: &mut Plan, dice: &mut Dice, _: &Design) {
    for outlet in plan.outlets.values_mut() {
        outlet.owner = dice.one(&[Owner::Own, Owner::Other, Owner::Unknown]);
        (outlet.guard, outlet.rigid) = (dice.once_in(2), dice.once_in(2));
        outlet.outlet_pipe_m = dice.between(0.5, 9.0);
        outlet.overhang_m = dice.between(0.0, 3.0);
        outlet.bank_run = Some(dice.between(0.5, 3.0));
        outlet.channel_deg = Some(dice.between(0.0, 360.0));
        outlet.outside_bend = dice.once_in(2);
    }
}

fn size(plan: &mut Plan, dice: &mut Dice, _: &Design) {
    with(plan, dice, |line, dice| {
        line.size_m = dice.one(&[2.0, 3.0, 4.0, 5.0, 8.0, 12.0]) * INCH_M;
        line.size_by = dice.one(&[SizeBy::Hand, SizeBy::Hand, SizeBy::Flow]);
        line.wall = dice.one(&[Wall::Corrugated, Wall::Smooth]);
        line.roughness_n = dice.once_in(4).then(|| dice.between(0.008, 0.03));
        line.seepage_m3s = if dice.once_in(3) { dice.between(0.0, 0.02) } else { 0.0 };
    });
}

fn reach(plan: &mut Plan, dice: &mut Dice, _: &Design) {
    with(plan, dice, |line, dice| {
        let (from_m, to_m) = stretch_of(line, dice);
        let hold = if dice.once_in(2) {
            Hold::Grade(dice.between(0.0002, 0.02))
        } else {
            Hold::Depth(dice.between(0.4, 1.8))
        };
        line.reaches = vec![Reach { from_m, to_m, hold }];
    });
}

fn stretch(plan: &mut Plan, dice: &mut Dice, _: &Design) {
    with(plan, dice, |line, dice| {
        let (from_m, to_m) = stretch_of(line, dice);
        let must_be_solid = dice.once_in(2);
        let solid = !must_be_solid || dice.once_in(3);
        let pipe = Stretch { from_m, to_m, solid, heavy: dice.once_in(3), must_be_solid, ..Stretch::default() };
        *line = line.with_stretch(pipe);
    });
}

/// A limit of the job, up to half as much again or two thirds of it.
fn limit(plan: &mut Plan, dice: &mut Dice, _: &Design) {
    let limit = &plan::LIMITS[dice.below(plan::LIMITS.len())];
    let value = (limit.value)(&plan.criteria) * dice.between(0.66, 1.5);
    (limit.set)(&mut plan.criteria, value);
}

fn brief(plan: &mut Plan, dice: &mut Dice, _: &Design) {
    let (yes, brief) = (dice.once_in(2), &mut plan.brief);
    match dice.below(9) {
        0 => brief.coefficient_ms = Some(dice.between(5.0, 40.0) / 1000.0 / 86_400.0),
        1 => brief.texture = Some(dice.one(&[Texture::Sand, Texture::SiltLoam, Texture::Silt, Texture::Loam])),
        2 => brief.self_cleaning = dice.one(&[SelfCleaning::Ignore, SelfCleaning::Require]),
        3 => (brief.uk_vineyard_guide, brief.deep_root_guide) = (yes, !yes),
        4 => brief.rip_after_m = Some(dice.between(0.4, 1.2)),
        5 => (brief.iron, brief.root_risk) = (yes, dice.once_in(2)),
        6 => brief.rough_backfill = "stones".into(),
        7 => brief.water_table_m = dice.between(0.2, 1.2),
        _ => brief.asked = plan::Asked::default(),
    }
}

/// A mark on the land at or across a line.
fn mark(plan: &mut Plan, dice: &mut Dice, design: &Design) {
    let Some(worked) = some(plan, dice).and_then(|id| design.lines.get(&id)) else { return };
    let (at, far_m) = (dice.one(&worked.stations).at, dice.between(0.0, 12.0));
    let at = Point::new(at.x + far_m, at.y + dice.between(-8.0, 8.0));
    let (dx, dy) = (dice.between(3.0, 30.0), dice.between(-30.0, 30.0));
    let mut kind = dice.one(&LandmarkKind::all());
    detail(&mut kind, dice);
    let outline = match kind.outlines() {
        (true, ..) => Outline::At(at),
        (_, true, _) => Outline::Along(vec![Point::new(at.x - dx, at.y - dy), Point::new(at.x + dx, at.y + dy)]),
        _ => {
            let corner = |x, y| Point::new(at.x + x, at.y + y);
            Outline::Around(vec![corner(-dx, -12.0), corner(dx, -12.0), corner(dx, 12.0), corner(-dx, 12.0)])
        }
    };
    let name = format!("K{}", plan.next_id);
    let (_, edit) = plan::add_landmark(plan, Landmark { name, kind, outline, note: String::new() });
    plan.apply(&edit).unwrap();
}

/// What is known of a mark.
fn detail(kind: &mut LandmarkKind, dice: &mut Dice) {
    let known = !dice.once_in(3);
    match kind {
        LandmarkKind::Utility(utility) => {
            *utility = Utility {
                carries: dice.one(&plan::Carries::ALL).0,
                depth_m: known.then(|| dice.between(0.2, 1.6)),
                size_m: dice.once_in(2).then(|| dice.between(0.02, 0.4)),
                clear_m: dice.once_in(3).then(|| dice.between(0.1, 1.0)),
                ticket: if known { "12-345".into() } else { String::new() },
                ..Utility::default()
            };
        }
        LandmarkKind::OverheadLine { kilovolts } => *kilovolts = known.then(|| dice.between(10.0, 200.0)),
        LandmarkKind::Wetland { setback_m, .. } => *setback_m = known.then(|| dice.between(5.0, 60.0)),
        LandmarkKind::Well { keep_off_m } | LandmarkKind::Septic { keep_off_m } => {
            *keep_off_m = known.then(|| dice.between(3.0, 40.0));
        }
        LandmarkKind::Trees { species, thirsty } => {
            (*species, *thirsty) = (if known { "willow".into() } else { String::new() }, known);
        }
        LandmarkKind::Road { width_m, public, .. } => (*width_m, *public) = (dice.between(3.0, 9.0), known),
        LandmarkKind::Irrigation { depth_m, size_m } => {
            (*depth_m, *size_m) = (known.then(|| dice.between(0.3, 1.2)), Some(0.11));
        }
        LandmarkKind::Rows(rows) => {
            let (spacing_m, bearing_deg) = (dice.between(1.8, 6.0), dice.between(0.0, 180.0));
            let post_depth_m = known.then(|| dice.between(0.5, 1.2));
            *rows = Rows { bearing_deg, spacing_m, post_depth_m, anchor_depth_m: Some(1.1) };
        }
        LandmarkKind::Pit(pit) => *pit = dug(dice),
        LandmarkKind::WetArea { cause, leave } => {
            (*cause, *leave) = (known.then(|| dice.one(&Cause::ALL).0), dice.once_in(5));
        }
        LandmarkKind::Footing { depth_m } => *depth_m = dice.between(0.4, 1.5),
        LandmarkKind::Easement { .. }
        | LandmarkKind::Hedge
        | LandmarkKind::Spring
        | LandmarkKind::Bank
        | LandmarkKind::Store
        | LandmarkKind::Neighbour { .. }
        | LandmarkKind::SiteFlag { .. } => {}
    }
}

fn dug(dice: &mut Dice) -> Pit {
    let layer = |to_m, dice: &mut Dice| SoilLayer {
        texture: dice.one(&[Texture::Sand, Texture::SiltLoam, Texture::Loam, Texture::Silt]),
        clay: dice.once_in(2).then(|| dice.between(0.05, 0.5)),
        conductivity_ms: dice.once_in(2).then(|| dice.between(1e-8, 2e-5)),
        ..SoilLayer::of(to_m, Texture::Loam)
    };
    Pit {
        layers: vec![layer(0.6, dice), layer(1.8, dice)],
        mottles_m: Some(dice.between(0.2, 1.0)),
        tight_m: dice.once_in(2).then(|| dice.between(0.4, 1.5)),
        iron: dice.once_in(3),
        ph: Some(dice.between(4.0, 8.0)),
    }
}

fn structure(plan: &mut Plan, dice: &mut Dice, _: &Design) {
    with(plan, dice, |line, dice| {
        let station_m = dice.between(0.0, 1.0) * line.length_m();
        let catching =
            Catching { riser_m: dice.once_in(2).then_some(0.1), ..Catching::of(dice.between(500.0, 30_000.0)) };
        let facts = BoxFacts { lid_depth_m: dice.between(0.0, 0.8), out_invert_m: dice.once_in(2).then_some(30.4) };
        let kind = dice.one(&[
            StructureKind::Breather,
            StructureKind::ReliefWell,
            StructureKind::SiltTrap,
            StructureKind::OpenInlet(catching),
            StructureKind::BlindInlet(catching),
            StructureKind::OpenInlet(Catching::of(0.0)),
            StructureKind::JunctionBox(facts),
        ]);
        *line = line.with_structure(Structure { station_m, kind });
    });
}

/// How a line is kept: its cap, what it drains, what it is laid in.
fn line_kept(plan: &mut Plan, dice: &mut Dice, _: &Design) {
    with(plan, dice, |line, dice| {
        line.capped = dice.once_in(2);
        line.pattern = dice.one(&[Pattern::Targeted, Pattern::Parallel, Pattern::Interceptor]);
        line.served =
            dice.one(&[Served::Strip, Served::Catchment, Served::Carrier, Served::Area(2e4), Served::Width(0.0)]);
        line.drop_m = dice.once_in(3).then(|| dice.between(0.0, 0.6));
        line.bed = Bed {
            material: dice.one(&Material::ALL).0,
            slots: dice.one(&[Slots::Ordinary, Slots::Narrow]),
            envelope: dice.one(&[Envelope::None, Envelope::Sock, Envelope::Granular(0.05)]),
            organic: dice.once_in(3),
            maker_depth_m: dice.once_in(3).then(|| dice.between(0.8, 3.0)),
            ..Bed::default()
        };
    });
}

/// Another line: across, beside one that is there, a stub, one that joins nothing.
fn line_drawn(plan: &mut Plan, dice: &mut Dice, _: &Design) {
    let Some(id) = some(plan, dice) else { return };
    let beside = plan.lines[&id].clone();
    let (a, b) = (beside.points[0], beside.points[beside.points.len() - 1]);
    let (off_m, share) = (dice.between(-4.0, 4.0), dice.between(0.0, 1.0));
    let on = measure::along(a, b, share);
    let (points, joins) = match dice.below(4) {
        0 => ([(a.x + off_m, a.y), (b.x + off_m, b.y)], beside.joins),
        1 => ([(on.x, on.y), (on.x + 3.0, on.y + off_m)], Joins::Line(id)),
        2 => ([(on.x - 25.0, on.y + off_m), (on.x + 25.0, on.y - off_m)], Joins::Nothing),
        _ => ([(on.x, on.y), (on.x + 30.0, on.y + 10.0 * off_m)], Joins::Line(id)),
    };
    let name = plan.free_name("X");
    drawn(plan, &name, LineKind::Lateral, &points, joins);
}

/// A bend or an end moved aside, or its line taken away.
fn bent(plan: &mut Plan, dice: &mut Dice, _: &Design) {
    let Some(id) = some(plan, dice) else { return };
    let at = dice.one(&plan.lines[&id].points.iter().copied().enumerate().collect::<Vec<_>>());
    let to = Point::new(at.1.x + dice.between(-15.0, 15.0), at.1.y + dice.between(-15.0, 15.0));
    let edit = match dice.below(4) {
        0 => plan::remove_line(plan, id),
        1 => plan::insert_point(plan, id, at.0.max(1), to),
        2 => plan::join(plan, id, Joins::Nothing),
        _ => plan::move_point(plan, id, at.0, to),
    };
    if let Some(edit) = edit {
        let _ = plan.apply(&edit);
    }
}

/// Old tile across a line, of which more or less is known.
fn old_tile(plan: &mut Plan, dice: &mut Dice, design: &Design) {
    let Some(id) = some(plan, dice) else { return };
    let Some(worked) = design.lines.get(&id) else { return };
    let station = dice.one(&worked.stations);
    let (at, dx) = (station.at, dice.between(-20.0, 20.0));
    let old = OldTile {
        evidence: dice.one(&[plan::Evidence::Seen, plan::Evidence::Suspected]),
        material: dice.one(&Material::ALL).0,
        condition: dice.one(&[plan::Condition::Unknown, plan::Condition::Good, plan::Condition::Poor]),
        upstream_m2: dice.once_in(2).then(|| dice.between(2e3, 2e5)),
        decision: dice.once_in(2).then(|| dice.one(&plan::Decision::ALL).0),
        runs: dice.once_in(2).then(|| dice.once_in(2)),
        from_beyond: dice.once_in(4),
        ..OldTile::default()
    };
    let name = plan.free_name("T");
    let across = [(at.x - dx, at.y - 25.0), (at.x + dx, at.y + 25.0)];
    let joins = if dice.once_in(3) { Joins::Line(id) } else { Joins::Nothing };
    let old = drawn(plan, &name, LineKind::OldTile(old), &across, joins);
    if let (Some(invert_m), Some(line)) = (station.invert_m, plan.lines.get_mut(&old)) {
        let invert_m = invert_m + dice.between(-0.4, 0.6);
        line.pins.push(Pin { station_m: 25.0 * FOOT_M, invert_m, straight: false });
    }
}

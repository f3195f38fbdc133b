//! Levels, sizes and water on the card: of one line, and of the whole job.

use design::LineDesign;
use egui::{CollapsingHeader, RichText, Ui};
use measure::Units;
use plan::{
    BoxFacts, Catching, Criteria, Crop, DigWeight, Hold, Line, LineId, LineKind, OutletId, Pass, Plan, SelfCleaning,
    Served, Side, SizeBy, Structure, StructureKind, Texture, Wall,
};

use super::{choice, figure, known_field, length_field, listed, table, text_field, title};
use crate::theme::{bold, plain};
use crate::view::View;
use crate::wish::Wish;
use job::Session;
use job::{grading, leeway};

/// Rows about the pipe of a line: who chose its size, its wall and its roughness.
pub fn pipe_rows(ui: &mut Ui, session: &Session, id: LineId, next: &mut Line) {
    let derived = session.worked();
    let units = derived.plan.title.units;
    let Some(worked) = derived.design.lines.get(&id) else { return };
    if next.kind.is_old() {
        if let Some(size_m) = text_field(ui, "Size", units.pipe(worked.size_m), |text| {
            measure::parse_pipe_size(text).map_err(|error| error.to_string())
        }) {
            (next.size_m, next.size_by) = (size_m, SizeBy::Hand);
        }
        return;
    }
    size_row(ui, &derived.plan, worked, next);
    choice(ui, "Inside wall", &mut next.wall, &Wall::ALL);
    let shown = format!("{:.3}", worked.pipe_at(0.0).n);
    if let Some(n) = text_field(ui, "Roughness n", shown, |text| match text.trim() {
        "" => Ok(None),
        text => text.parse().map(Some).map_err(|_| format!("'{text}' is no number such as 0.015")),
    }) {
        next.roughness_n = n;
    }
}

/// A size that a person can choose for a line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Sizing {
    /// This one, metres.
    Fixed(f64),
    /// What the flow asks.
    Flow(SizeBy),
}

impl Sizing {
    /// What the flow may ask, with its words.
    pub(super) const BY_FLOW: [(Self, &'static str); 2] = [
        (Self::Flow(SizeBy::FlowInSteps), "stepping up with its flow"),
        (Self::Flow(SizeBy::Flow), "by its flow, one size"),
    ];

    pub(super) fn of(line: &Line) -> Self {
        if line.size_by.is_flow() { Self::Flow(line.size_by) } else { Self::Fixed(line.size_m) }
    }

    pub(super) fn give(self, line: &mut Line) {
        match self {
            Self::Fixed(size_m) => (line.size_m, line.size_by) = (size_m, SizeBy::Hand),
            Self::Flow(by) => line.size_by = by,
        }
    }
}

/// The sizes of stock with their words.
pub(super) fn stock(plan: &Plan) -> Vec<(f64, String)> {
    plan.cost_weights.pipe.iter().map(|pipe| (pipe.size_m, plan.title.units.pipe(pipe.size_m))).collect()
}

/// The size of a new line, from stock, or as its flow asks.
fn size_row(ui: &mut Ui, plan: &Plan, worked: &LineDesign, next: &mut Line) {
    let (units, mut stock, now) = (plan.title.units, stock(plan), Sizing::of(next));
    if let Sizing::Fixed(size_m) = now
        && stock.iter().all(|(one, _)| *one != size_m)
    {
        // One that is not in stock any more stands in the list all the same.
        stock.push((size_m, units.pipe(size_m)));
    }
    // What the flow asks is known of a line that is sized by it.
    let asked = |sizing: Sizing, words: &str| match sizing == now {
        true => format!("{}, {words}", worked.size_words(units)),
        false => words.to_string(),
    };
    let by_flow = Sizing::BY_FLOW.map(|(sizing, words)| (sizing, asked(sizing, words)));
    let sizes = stock.into_iter().map(|(size_m, word)| (Sizing::Fixed(size_m), word));
    let all: Vec<(Sizing, String)> = by_flow.into_iter().chain(sizes).collect();
    let words: Vec<(Sizing, &str)> = all.iter().map(|(sizing, word)| (*sizing, word.as_str())).collect();
    let mut chosen = now;
    listed(ui, "Size", &mut chosen, &words);
    chosen.give(next);
}

/// What flows into a line and how full it is, with the land it drains.
pub fn water(ui: &mut Ui, session: &Session, id: LineId, next: &mut Line) {
    let derived = session.worked();
    let (plan, units) = (&derived.plan, derived.plan.title.units);
    let Some(worked) = derived.design.lines.get(&id) else { return };
    ui.add_space(4.0);
    ui.label(RichText::new("Water (estimate)").font(bold(13.0)));
    for text in grading::water(plan, worked).into_iter().chain(grading::fullness(plan, worked)) {
        ui.label(RichText::new(text).font(plain(12.5)));
    }
    if let Some(range) = worked.old_capacity {
        let (least, most) = (units.flow(range.least_m3s), units.flow(range.most_m3s));
        ui.label(RichText::new(format!("It carries somewhere between {least} and {most}.")).font(plain(12.5)));
    }
    if worked.backed_up_m() > 0.0 {
        let length = units.length(worked.backed_up_m());
        ui.label(RichText::new(format!("Backed up over {length}.")).font(plain(12.5)));
    }
    table(ui, "water", |ui| match &mut next.kind {
        LineKind::OldTile(old) => {
            if let Some(area) = area_field(ui, "Land above it", old.upstream_m2, units) {
                old.upstream_m2 = area;
            }
        }
        _ => served_rows(ui, next, session.plan()),
    });
}

fn served_rows(ui: &mut Ui, next: &mut Line, plan: &Plan) {
    let units = plan.title.units;
    let words = [
        (Served::Strip, "land nearest to it"),
        (Served::Catchment, "what the ground sheds to it"),
        (Served::Width(2.0 * plan.brief.served_m), "strip of a set width"),
        (Served::Area(4_000.0), "area by hand"),
        (Served::Carrier, "none: it only carries"),
    ];
    let same = |one: &Served, other: &Served| std::mem::discriminant(one) == std::mem::discriminant(other);
    let label = ui.label(RichText::new("It drains").color(ui.visuals().weak_text_color()));
    let chosen = words.iter().find(|(served, _)| same(served, &next.served)).map_or("", |(_, word)| word);
    let shown = egui::ComboBox::from_id_salt("served").selected_text(chosen).show_ui(ui, |ui| {
        for (served, word) in words {
            let is_chosen = same(&served, &next.served);
            if ui.selectable_label(is_chosen, word).clicked() && !is_chosen {
                next.served = served;
            }
        }
    });
    shown.response.labelled_by(label.id);
    ui.end_row();
    match next.served {
        Served::Width(width_m) => {
            if let Some(width_m) = length_field(ui, "Width in all", width_m, units) {
                next.served = Served::Width(width_m);
            }
        }
        Served::Area(area_m2) => {
            if let Some(Some(area_m2)) = area_field(ui, "Area", Some(area_m2), units) {
                next.served = Served::Area(area_m2);
            }
        }
        _ => {}
    }
    let shown = if next.seepage_m3s > 0.0 { units.flow(next.seepage_m3s) } else { String::new() };
    if let Some(flow_m3s) = text_field(ui, "Seepage", shown, |text| match text.trim() {
        "" => Ok(0.0),
        text => measure::parse_flow(text, units).map_err(|error| error.to_string()),
    }) {
        next.seepage_m3s = flow_m3s;
    }
    if let Some(drop_m) = known_field(ui, "Enters above the center", next.drop_m, units) {
        next.drop_m = drop_m;
    }
}

fn area_field(ui: &mut Ui, name: &str, area_m2: Option<f64>, units: Units) -> Option<Option<f64>> {
    let shown = area_m2.map(|area_m2| units.area(area_m2)).unwrap_or_default();
    text_field(ui, name, shown, |text| match text.trim() {
        "" => Ok(None),
        text => measure::parse_area(text, units).map(Some).map_err(|error| error.to_string()),
    })
}

/// The reaches of a line: each with its grade, which may be held, or told to follow the ground.
pub fn reaches(ui: &mut Ui, session: &Session, id: LineId, wishes: &mut Vec<Wish>) {
    let derived = session.worked();
    let (plan, units) = (session.plan(), derived.plan.title.units);
    let (Some(line), Some(worked)) = (derived.plan.lines.get(&id), derived.design.lines.get(&id)) else { return };
    ui.label(RichText::new("Reaches").font(bold(13.0)));
    let held_at = |from_m: f64, to_m: f64| {
        line.reaches.iter().find(|held| held.from_m < to_m - 1e-3 && held.to_m > from_m + 1e-3)
    };
    table(ui, "reaches", |ui| {
        for reach in &worked.reaches {
            let (from_m, to_m) = (worked.stations[reach.from].station_m, worked.stations[reach.to].station_m);
            let name = format!("{} to {}", measure::station(from_m, units), measure::station(to_m, units));
            let read = |text: &str| measure::parse_grade(text).map_err(|error| error.to_string());
            if let Some(grade) = text_field(ui, &name, units.grade(reach.grade), read) {
                wishes.extend(plan::set_reach(plan, id, (from_m, to_m), Some(Hold::Grade(grade))).map(Wish::Edit));
            }
            if let Some(held) = held_at(from_m, to_m) {
                let what = match held.hold {
                    Hold::Grade(grade) => format!("kept at {}", units.grade(grade)),
                    Hold::Depth(depth_m) => format!("follows the ground at {}", units.depth(depth_m)),
                    Hold::IntoLayer(into_m) => format!("{} into the tight layer", units.depth(into_m)),
                };
                ui.label(RichText::new(what).font(plain(12.0)));
                if ui.button("Release this reach").clicked() {
                    wishes.extend(plan::set_reach(plan, id, (held.from_m, held.to_m), None).map(Wish::Edit));
                }
                ui.end_row();
            }
        }
        let read = |text: &str| measure::parse_length(text, units).map_err(|error| error.to_string());
        if let Some(depth_m) = text_field(ui, "Follow the ground at", String::new(), read) {
            let whole = (0.0, worked.length_m);
            wishes.extend(plan::set_reach(plan, id, whole, Some(Hold::Depth(depth_m))).map(Wish::Edit));
        }
        // Without a pit nobody knows where the layer lies.
        let is_known = worked.stations.first().and_then(|station| plan.pit_near(station.at)?.tight_m).is_some();
        if is_known && let Some(into_m) = text_field(ui, "Hold into the tight layer", String::new(), read) {
            let whole = (0.0, worked.length_m);
            wishes.extend(plan::set_reach(plan, id, whole, Some(Hold::IntoLayer(into_m))).map(Wish::Edit));
        }
    });
}

/// One grade for a line from end to end: what is possible, and a click for the flattest, the steepest or one that is typed.
pub fn even(ui: &mut Ui, session: &Session, id: LineId, wishes: &mut Vec<Wish>) {
    let derived = session.worked();
    CollapsingHeader::new("One grade from end to end").show(ui, |ui| {
        // What is possible is many plans worked out: not while one is dragged about.
        let Some(worked) = derived.design.lines.get(&id).filter(|_| !session.in_gesture()) else {
            return;
        };
        if let Some(why) = derived.not_to_be_kept() {
            note(ui, &why);
            return;
        }
        let (plan, tried) = (&derived.plan, derived.even_grades(id));
        leeway::even(plan, id, worked, &tried).iter().for_each(|text| note(ui, text));
        let Ok(found) = tried.as_ref() else { return };
        let units = plan.title.units;
        let mut keep = |text: &str| match leeway::chosen(plan, id, &tried, text) {
            Ok((_, edit)) => wishes.push(Wish::Edit(edit)),
            Err(error) => wishes.push(Wish::Say(error)),
        };
        ui.horizontal_wrapped(|ui| {
            if ui.button(format!("Flattest: {}", units.grade(found.from))).clicked() {
                keep("flattest");
            }
            if ui.button(format!("Steepest: {}", units.grade(found.to))).clicked() {
                keep("steepest");
            }
        });
        let read = |text: &str| leeway::chosen(plan, id, &tried, text);
        let typed = table(ui, "even", |ui| text_field(ui, "One grade of", String::new(), read));
        wishes.extend(typed.map(|(_, edit)| Wish::Edit(edit)));
    });
}

/// What inverts an outlet may have while every limit holds.
pub fn inverts(ui: &mut Ui, session: &Session, id: OutletId) {
    CollapsingHeader::new("Inverts that work").show(ui, |ui| {
        if session.in_gesture() {
            return;
        }
        let derived = session.worked();
        let tried = derived.outlet_inverts(id);
        leeway::inverts(&derived.plan, id, &tried).iter().for_each(|text| note(ui, text));
    });
}

/// Inlets, breathers, relief wells and silt traps of a line: what stands there, and a way to set more.
pub fn structures(ui: &mut Ui, session: &Session, id: LineId, wishes: &mut Vec<Wish>) {
    let derived = session.worked();
    let (plan, units) = (&derived.plan, derived.plan.title.units);
    let Some(line) = plan.lines.get(&id) else { return };
    let mut next = line.clone();
    let catching = Catching::of(0.0);
    let kinds = [
        StructureKind::Breather,
        StructureKind::ReliefWell,
        StructureKind::SiltTrap,
        StructureKind::BlindInlet(catching),
        StructureKind::OpenInlet(catching),
        StructureKind::JunctionBox(BoxFacts::default()),
        StructureKind::Drop,
    ];
    CollapsingHeader::new(format!("Vents, traps, inlets and boxes: {}", line.structures.len())).show(ui, |ui| {
        let mut gone = None;
        table(ui, "structures", |ui| {
            for (k, structure) in line.structures.iter().enumerate() {
                let name = format!("{} at {}", structure.kind.word(), measure::station(structure.station_m, units));
                if let StructureKind::BlindInlet(of) | StructureKind::OpenInlet(of) = &mut next.structures[k].kind
                    && let Some(Some(area_m2)) =
                        area_field(ui, &format!("Land of the {name}"), Some(of.area_m2), units)
                {
                    of.area_m2 = area_m2;
                }
                more_of(ui, &name, structure, &mut next.structures[k], units);
                ui.label(&name);
                if ui.button(format!("Take the {name} away")).clicked() {
                    gone = Some(k);
                }
                ui.end_row();
            }
            for kind in kinds {
                let name = format!("Set a {} at", kind.word()).replace(" a open", " an open");
                let read = |text: &str| {
                    let station_m =
                        measure::parse_station(text, units).filter(|m| (0.0..=line.length_m()).contains(m));
                    station_m.ok_or_else(|| "a station of the line such as 1+50".to_string())
                };
                if let Some(station_m) = text_field(ui, &name, String::new(), read) {
                    next = next.with_structure(Structure { station_m, kind });
                }
            }
        });
        gone.map(|k| next.structures.remove(k));
    });
    if next.structures != line.structures {
        wishes.push(Wish::Edit(plan::set_line(format!("Change what stands on {}", line.name), id, next)));
    }
}

/// What else is known of an inlet or a box.
fn more_of(ui: &mut Ui, name: &str, now: &Structure, next: &mut Structure, units: Units) {
    match (now.kind, &mut next.kind) {
        (StructureKind::OpenInlet(now), StructureKind::OpenInlet(next)) => {
            let shown = now.coefficient_ms.map(|ms| units.coefficient(ms)).unwrap_or_default();
            let read = |text: &str| match text.trim() {
                "" => Ok(None),
                text => measure::parse_coefficient(text, units).map(Some).map_err(|error| error.to_string()),
            };
            if let Some(coefficient_ms) = text_field(ui, &format!("Drainage coefficient of the {name}"), shown, read)
            {
                next.coefficient_ms = coefficient_ms;
            }
            if let Some(riser_m) = super::known_field(ui, &format!("Riser of the {name}"), now.riser_m, units) {
                next.riser_m = riser_m;
            }
            ui.checkbox(&mut next.throttled, "orifice");
            ui.checkbox(&mut next.trapped, "sediment trap");
            ui.end_row();
        }
        (StructureKind::JunctionBox(now), StructureKind::JunctionBox(next)) => {
            if let Some(depth_m) = length_field(ui, &format!("Lid of the {name} down"), now.lid_depth_m, units) {
                next.lid_depth_m = depth_m;
            }
            if let Some(level_m) = super::known_field(ui, &format!("The {name} lets out at"), now.out_invert_m, units)
            {
                next.out_invert_m = level_m;
            }
        }
        _ => {}
    }
}

/// Things in the ground that a line clears, each on the side that was chosen.
pub fn passes(ui: &mut Ui, session: &Session, id: LineId, wishes: &mut Vec<Wish>) {
    let derived = session.worked();
    let (plan, units) = (&derived.plan, derived.plan.title.units);
    let Some(line) = plan.lines.get(&id) else { return };
    let mut next = line.clone();
    CollapsingHeader::new(format!("Passed over or under: {}", line.passes.len())).show(ui, |ui| {
        note(ui, "Something in the ground at a station, and the level of its top or underside: 1+50 over 98.40");
        let mut gone = None;
        table(ui, "passes", |ui| {
            for (k, pass) in line.passes.iter().enumerate() {
                let side = if pass.side == Side::Over { "over" } else { "under" };
                let station = measure::station(pass.station_m, units);
                ui.label(format!("{station} {side} {}", figure(pass.level_m, units)));
                if ui.button(format!("Forget {station}")).clicked() {
                    gone = Some(k);
                }
                ui.end_row();
            }
            if let Some(pass) = text_field(ui, "Pass", String::new(), |text| read_pass(text, units, line.length_m()))
            {
                next.passes.push(pass);
                next.passes.sort_by(|x, y| x.station_m.total_cmp(&y.station_m));
            }
        });
        gone.map(|k| next.passes.remove(k));
    });
    if next.passes != line.passes {
        wishes.push(Wish::Edit(plan::set_line(format!("Change what {} passes", line.name), id, next)));
    }
}

/// Clear distance to what a line passes, metres: 1 ft ([judgement; state law] may ask more).
const CLEAR_M: f64 = measure::FOOT_M;

fn read_pass(text: &str, units: Units, length_m: f64) -> Result<Pass, String> {
    let unread =
        || format!("'{}' is not read; expected a station, over or under, and a level: 1+50 over 98.40", text.trim());
    let (station, rest) = text.trim().split_once(char::is_whitespace).ok_or_else(unread)?;
    let (side, level) = rest.trim().split_once(char::is_whitespace).ok_or_else(unread)?;
    let side = match side {
        "over" => Side::Over,
        "under" => Side::Under,
        _ => return Err(unread()),
    };
    let station_m =
        measure::parse_station(station, units).filter(|m| (0.0..=length_m).contains(m)).ok_or_else(unread)?;
    let level_m = measure::parse_length(level, units).map_err(|error| error.to_string())?;
    Ok(Pass { station_m, what: String::new(), side, level_m, clear_m: CLEAR_M })
}

/// The card of the stage: what the grade lines came to, the brief, the limits and the cost weights.
pub fn stage(ui: &mut Ui, session: &Session, view: &mut View, wishes: &mut Vec<Wish>) {
    let (derived, palette) = (session.worked(), view.palette());
    title(ui, "Grade lines");
    ui.label(grading::breaks(&derived.design));
    let told = [grading::flat(&derived.plan, &derived.design), grading::untried(&derived.plan, &derived.design)];
    told.into_iter().flatten().for_each(|text| drop(ui.label(text)));
    for (k, clash) in derived.design.clashes.iter().enumerate() {
        ui.colored_label(palette.to_fix, grading::clash(&derived.plan, clash));
        // Trying takes longer than a frame of a drag has.
        if !session.in_gesture() {
            let ways = derived.ways().get(k).map_or(&[][..], Vec::as_slice);
            ui.label(grading::way_out(&derived.plan, ways));
        }
    }
    ui.label(
        RichText::new("Pull a station in the profile to lock its level there; everything else follows.")
            .font(plain(12.0)),
    );
    let why_not = derived.not_to_be_kept();
    let locking = ui.add_enabled(why_not.is_none(), egui::Button::new("Lock every level as it is"));
    if locking.on_disabled_hover_text(why_not.unwrap_or_default()).clicked() {
        let derived = session.at_rest();
        wishes.push(Wish::Edit(grading::lock_edit(&derived.plan, &derived.design)));
    }
    super::certainty::section(ui, session, view, wishes);
    CollapsingHeader::new("The brief").default_open(true).show(ui, |ui| brief(ui, session, wishes));
    CollapsingHeader::new("The job's limits").default_open(true).show(ui, |ui| limits(ui, session, wishes));
    CollapsingHeader::new("Cost weights").show(ui, |ui| cost_weights(ui, session, wishes));
}

fn brief(ui: &mut Ui, session: &Session, wishes: &mut Vec<Wish>) {
    let plan = session.plan();
    let (now, units) = (&plan.brief, plan.title.units);
    let mut next = now.clone();
    table(ui, "brief", |ui| {
        listed(ui, "Crop", &mut next.crop, &Crop::ALL);
        let shown = units.coefficient(now.coefficient_ms());
        if let Some(coefficient_ms) = text_field(ui, "Drainage coefficient", shown, |text| match text.trim() {
            "" => Ok(None),
            text => measure::parse_coefficient(text, units).map(Some).map_err(|error| error.to_string()),
        }) {
            next.coefficient_ms = coefficient_ms;
        }
        let unknown = [(None, "not known")].into_iter();
        let textures: Vec<_> = unknown.chain(Texture::ALL.map(|(texture, word)| (Some(texture), word))).collect();
        listed(ui, "Soil at the pipe", &mut next.texture, &textures);
        listed(
            ui,
            "Self-cleaning grade",
            &mut next.self_cleaning,
            &[(SelfCleaning::Prefer, "prefer"), (SelfCleaning::Require, "require"), (SelfCleaning::Ignore, "ignore")],
        );
        if let Some(served_m) = length_field(ui, "Drains aside, at least", now.served_m, units) {
            next.served_m = served_m;
        }
    });
    ui.checkbox(&mut next.poor_surface, "Rain stands on the surface");
    ui.checkbox(&mut next.even_inflow, "Count flow as growing evenly along a line");
    ui.checkbox(&mut next.uk_vineyard_guide, "Check lines against the UK vineyard guide");
    egui::CollapsingHeader::new("More of the brief").show(ui, |ui| more_of_the_brief(ui, now, &mut next, units));
    if next != *now {
        wishes.push(Wish::Edit(plan::set_brief(next)));
    }
}

/// What the grower was asked beside the crop.
fn more_of_the_brief(ui: &mut Ui, now: &plan::Brief, next: &mut plan::Brief, units: Units) {
    table(ui, "more brief", |ui| {
        if let Some(table_m) = length_field(ui, "Water table wanted at", now.water_table_m, units) {
            next.water_table_m = table_m;
        }
        if let Some(rip_m) = super::known_field(ui, "Ripped after laying to", now.rip_after_m, units) {
            next.rip_after_m = rip_m;
        }
        if let Some(what) = text_field(ui, "Rough backfill", now.rough_backfill.clone(), |t| Ok(t.trim().to_string()))
        {
            next.rough_backfill = what;
        }
    });
    ui.label("The grower was asked for the farm's own");
    ui.horizontal_wrapped(|ui| {
        ui.checkbox(&mut next.asked.wells, "wells");
        ui.checkbox(&mut next.asked.septic, "septic");
        ui.checkbox(&mut next.asked.pumps, "power to pumps");
        ui.checkbox(&mut next.asked.irrigation, "irrigation");
    });
    ui.checkbox(&mut next.iron, "Iron was seen");
    ui.checkbox(&mut next.root_risk, "Roots are a risk");
    ui.checkbox(&mut next.blinding, "Soft soil over the pipe first");
    ui.checkbox(&mut next.run_on_settled, "Outside water is led round or counted");
    ui.checkbox(&mut next.deep_root_guide, "Check depth against the guide for deep roots");
    ui.checkbox(&mut next.interceptor_into_layer, "Interceptors lie in the tight layer");
}

fn limits(ui: &mut Ui, session: &Session, wishes: &mut Vec<Wish>) {
    let criteria = &session.plan().criteria;
    let units = session.plan().title.units;
    let mut next = criteria.clone();
    type Limit = (&'static str, fn(&mut Criteria) -> &mut f64);
    let lengths: [Limit; 6] = [
        ("Wanted depth of the invert", |c| &mut c.target_depth_m),
        ("Least cover", |c| &mut c.least_cover_m),
        ("Machine reaches", |c| &mut c.machine_reach_m),
        ("Protected trench from", |c| &mut c.protected_trench_m),
        ("Trench width", |c| &mut c.trench_width_m),
        ("Bedding", |c| &mut c.bedding_m),
    ];
    let names = if units.is_metric() {
        ["n, corrugated, 200 mm", "n, corrugated, 300 mm"]
    } else {
        ["n, corrugated, 8 in", "n, corrugated, 12 in"]
    };
    let roughness: [Limit; 4] = [
        (names[0], |c| &mut c.roughness.corrugated_to_8_in),
        (names[1], |c| &mut c.roughness.corrugated_to_12_in),
        ("n, larger corrugated", |c| &mut c.roughness.corrugated_larger),
        ("n, smooth inside", |c| &mut c.roughness.smooth),
    ];
    table(ui, "limits", |ui| {
        for (name, limit) in lengths {
            let value_m = *limit(&mut next);
            if let Some(value_m) = length_field(ui, name, value_m, units) {
                *limit(&mut next) = value_m;
            }
        }
        let read = |text: &str| measure::parse_grade(text).map_err(|error| error.to_string());
        if let Some(grade) = text_field(ui, "Steepest grade", units.grade(criteria.steepest_grade), read) {
            next.steepest_grade = grade;
        }
        for (name, limit) in roughness {
            let value = *limit(&mut next);
            let read = |text: &str| text.trim().parse().map_err(|_| format!("'{text}' is no number such as 0.015"));
            if let Some(value) = text_field(ui, name, format!("{value:.3}"), read) {
                *limit(&mut next) = value;
            }
        }
    });
    note(ui, "n from ASAE EP480 and USDA handbooks, source not verified; published values run from 0.015 to 0.022.");
    if next != *criteria {
        wishes.push(Wish::Edit(plan::set_criteria(next)));
    }
}

fn cost_weights(ui: &mut Ui, session: &Session, wishes: &mut Vec<Wish>) {
    let (now, units) = (&session.plan().cost_weights, session.plan().title.units);
    let (unit_m, sign) = (units.length_unit().metres(), units.sign());
    let mut next = now.clone();
    note(ui, "Start values are invented, in no currency: put your own in. Only their proportion counts.");
    let read = |text: &str| {
        let number = text.trim().parse::<f64>().ok().filter(|number| *number >= 0.0 && number.is_finite());
        number.ok_or_else(|| format!("'{text}' is no weight, a number of 0 or more"))
    };
    table(ui, "prices", |ui| {
        for (k, band) in now.digging.iter().enumerate() {
            let DigWeight { from_m, per_m2 } = *band;
            let name = format!("Digging below {}, per {sign}²", figure(from_m, units));
            if let Some(price) = text_field(ui, &name, shown(per_m2 * unit_m * unit_m), read) {
                next.digging[k].per_m2 = price / unit_m / unit_m;
            }
        }
        let missing = shown(now.missing_depth_per_m2 * unit_m * unit_m);
        if let Some(price) = text_field(ui, &format!("Depth missing, per {sign}²"), missing, read) {
            next.missing_depth_per_m2 = price / unit_m / unit_m;
        }
        let missing = shown(now.missing_rise_per_m * unit_m);
        if let Some(price) =
            text_field(ui, &format!("Rise missing to the self-cleaning grade, per {sign}"), missing, read)
        {
            next.missing_rise_per_m = price / unit_m;
        }
        for (k, pipe) in now.pipe.iter().enumerate() {
            let name = format!("{} pipe, per {sign}", units.pipe(pipe.size_m));
            if let Some(price) = text_field(ui, &name, shown(pipe.per_m * unit_m), read) {
                next.pipe[k].per_m = price / unit_m;
            }
        }
        if let Some(margin) = text_field(ui, "Extra cost allowed for fewer breaks", units.grade(now.margin), |text| {
            measure::parse_grade(text).map_err(|error| error.to_string())
        }) {
            next.margin = margin.max(0.0);
        }
    });
    if next != *now {
        wishes.push(Wish::Edit(plan::set_cost_weights(next)));
    }
}

/// A remark that wraps to the card's width.
fn note(ui: &mut Ui, text: &str) {
    ui.add(egui::Label::new(RichText::new(text).font(plain(12.0))).wrap());
}

fn shown(price: f64) -> String {
    format!("{:.3}", price).trim_end_matches('0').trim_end_matches('.').to_string()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_passed_is_read() {
        let pass = read_pass(" 1+50  under 98.40 ", Units::Feet, 100.0).unwrap();
        assert_eq!((pass.side, pass.clear_m), (Side::Under, CLEAR_M));
        assert!((pass.station_m - 150.0 * CLEAR_M).abs() < 1e-9 && (pass.level_m - 98.4 * CLEAR_M).abs() < 1e-9);
        for text in ["", "1+50", "1+50 beside 98", "9+99 over 98", "1+50 over deep"] {
            assert!(read_pass(text, Units::Feet, 100.0).is_err(), "{text}");
        }
    }
}

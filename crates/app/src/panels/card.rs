//! The card at the right: what is chosen or what the stage is about, and under it the punch list.

mod backdrop;
mod bed;
mod certainty;
mod currency;
mod dig;
mod drying;
mod dug;
mod grading;
mod landmark;
pub mod lesson;
mod old_tile;
mod parallel;
mod places;
mod price_rows;
mod proposals;
mod punch;
mod receiver;
mod record;
mod several;
mod spacing;
mod title_block;
mod watercourse;

use checks::Finding;
use egui::{Frame, Grid, Margin, Panel, RichText, Ui, vec2};
use measure::Units;
use plan::{Line, LineId, LineKind, ObjectId, OldTile, OutletId, Pattern};

use super::Sight;
pub(super) use super::field::text_field;
use super::{menu, next, room, scrolling, typed};
use crate::canvas::severity_mark;
use crate::command::{Command, ToolKind};
use crate::signing;
use crate::theme::{Palette, bold, plain};
use crate::tools::Tool;
use crate::view::{Selection, Stage, View};
use crate::wish::Wish;
use job::Session;

/// Shows the card.
pub fn show(ui: &mut Ui, sight: &mut Sight, wishes: &mut Vec<Wish>) {
    let frame = Frame::new().inner_margin(Margin::symmetric(14, 10));
    // Before a class nothing but the lesson stands here.
    if sight.view.stage == Stage::Lesson {
        return lesson::show(ui, sight, frame, wishes);
    }
    let (usual, ctx) = (sight.view.panels.card.unwrap_or(364.0), ui.ctx());
    let sizes = room(ctx, 280.0, 0.42)..=room(ctx, 520.0, 0.51);
    let panel = Panel::right("card").frame(frame).resizable(true);
    let shown = panel.default_size(room(ctx, usual, 0.42)).size_range(sizes).show(ui, |ui| {
        // The panel keeps the width that it was given.
        let rect = ui.available_rect_before_wrap();
        let mut inside = ui.new_child(egui::UiBuilder::new().max_rect(rect));
        inside.shrink_clip_rect(rect);
        ui.allocate_rect(rect, egui::Sense::hover());
        // Each card starts at its top.
        let of = (sight.view.chosen(), sight.view.stage, sight.view.finding.map(|(check, _)| check));
        let scroll = scrolling(ui.ctx()).id_salt(format!("{of:?}")).auto_shrink([false, false]);
        scroll.show(&mut inside, |ui| {
            super::measuring::card(ui, sight);
            next::show(ui, sight, wishes);
            typed::show(ui, sight, wishes);
            looked_at(ui, sight, wishes);
            subject(ui, sight, wishes);
            ui.add_space(8.0);
            ui.separator();
            punch::show(ui, sight, wishes);
        });
    });
    sight.view.panels.card = Some(shown.response.rect.width());
}

/// The finding that is looked at, with its fix, over the card of what it is about.
fn looked_at(ui: &mut Ui, sight: &mut Sight, wishes: &mut Vec<Wish>) {
    let Some((check, at)) = sight.view.finding else { return };
    let list = &sight.session.worked().findings;
    let place = list.iter().position(|finding| finding.check == check && finding.at == at);
    let Some((i, finding)) = place.map(|i| (i, sight.known(&list[i]))) else { return };
    ui.push_id("looked at", |ui| finding_row(ui, sight, i, &finding, wishes));
    ui.separator();
}

/// Each subject has fields of its own, so that text left in one never shows in another.
fn subject(ui: &mut Ui, sight: &mut Sight, wishes: &mut Vec<Wish>) {
    let object = match sight.view.selection {
        Selection::Object(id) => Some(id),
        Selection::Bend(id, _) => Some(ObjectId::Line(id)),
        Selection::Nothing | Selection::Field | Selection::Lines => None,
    };
    ui.push_id(object, |ui| subject_of(ui, sight, object, wishes));
}

fn subject_of(ui: &mut Ui, sight: &mut Sight, object: Option<ObjectId>, wishes: &mut Vec<Wish>) {
    let session = sight.session;
    match object.filter(|id| session.worked().plan.holds(*id)) {
        // At the trench a chosen line is the one that is shot.
        Some(ObjectId::Line(_)) if sight.view.stage == Stage::Record => dug::card(ui, sight, wishes),
        Some(ObjectId::Line(id)) => line_card(ui, session, sight.view, id, wishes),
        Some(ObjectId::Outlet(id)) => outlet_card(ui, session, id, wishes),
        Some(ObjectId::Watercourse(id)) => watercourse::card(ui, session, id, wishes),
        Some(ObjectId::Landmark(id)) => landmark::card(ui, session, id, wishes),
        None if sight.view.selection == Selection::Lines => several::card(ui, session, sight.view, wishes),
        None if sight.view.selection == Selection::Field => field_card(ui, session, wishes),
        None => match sight.view.stage {
            Stage::Ground => ground_card(ui, sight, wishes),
            Stage::Lines => lines_card(ui, sight, wishes),
            Stage::Grade => grading::stage(ui, session, sight.view, wishes),
            Stage::Dig => dig::card(ui, session, sight.view, wishes),
            Stage::Record => record_stage(ui, sight, wishes),
            // It has a card of its own.
            Stage::Lesson => {}
        },
    }
}

/// The stage Record: what a wet spot tells where one was asked of, what was dug, what came after.
fn record_stage(ui: &mut Ui, sight: &mut Sight, wishes: &mut Vec<Wish>) {
    let session = sight.session;
    if sight.view.wet_spot.is_some() {
        record::wet_spot(ui, session, sight.view, wishes);
        ui.separator();
    }
    dug::card(ui, sight, wishes);
    record::card(ui, session, sight.view, wishes);
}

fn title(ui: &mut Ui, text: impl Into<String>) {
    ui.label(RichText::new(text).font(bold(17.0)));
}

/// A row of a table: name left, figure right.
fn row(ui: &mut Ui, name: &str, figure: impl Into<String>) {
    ui.label(RichText::new(name).color(ui.visuals().weak_text_color()));
    ui.scope(|ui| {
        // As wide as the panel leaves it: a table does not make the panel wider.
        ui.set_max_width((ui.clip_rect().right() - ui.cursor().left() - 14.0).max(80.0));
        ui.add(egui::Label::new(figure.into()).wrap());
    });
    ui.end_row();
}

fn table<R>(ui: &mut Ui, name: &str, rows: impl FnOnce(&mut Ui) -> R) -> R {
    Grid::new(name).num_columns(2).spacing(vec2(16.0, 4.0)).show(ui, rows).inner
}

/// A length or level in a field, with its unit.
fn figure(value_m: f64, units: Units) -> String {
    format!("{} {}", units.level(value_m), units.sign())
}

fn length_field(ui: &mut Ui, name: &str, value_m: f64, units: Units) -> Option<f64> {
    text_field(ui, name, figure(value_m, units), |text| {
        measure::parse_length(text, units).map_err(|error| error.to_string())
    })
}

/// A level that may be unknown: an empty field.
fn known_field(ui: &mut Ui, name: &str, value_m: Option<f64>, units: Units) -> Option<Option<f64>> {
    let shown = value_m.map(|value_m| figure(value_m, units)).unwrap_or_default();
    text_field(ui, name, shown, |text| match text.trim() {
        "" => Ok(None),
        text => measure::parse_length(text, units).map(Some).map_err(|error| error.to_string()),
    })
}

fn line_card(ui: &mut Ui, session: &Session, view: &mut View, id: LineId, wishes: &mut Vec<Wish>) {
    let selection = view.selection;
    let derived = session.worked();
    let line = &derived.plan.lines[&id];
    let units = derived.plan.title.units;
    title(ui, format!("{}   {}", line.name, line.kind.word()));
    let mut next = line.clone();
    table(ui, "line", |ui| {
        if let Some(name) = text_field(ui, "Name", line.name.clone(), name_of) {
            next.name = name;
        }
        kind_row(ui, &mut next);
        if !line.kind.is_old() {
            let patterns = [
                (Pattern::Targeted, "up low ground"),
                (Pattern::Parallel, "one of a grid"),
                (Pattern::Interceptor, "interceptor"),
            ];
            listed(ui, "Laid out", &mut next.pattern, &patterns);
        }
        grading::pipe_rows(ui, session, id, &mut next);
        figures(ui, session, id, line, units);
    });
    if let LineKind::OldTile(old) = &mut next.kind {
        old_tile::rows(ui, old, units);
    } else {
        ui.checkbox(&mut next.capped, "Upper end has its cap");
    }
    grading::water(ui, session, id, &mut next);
    if !line.kind.is_old() {
        bed::rows(ui, session, view, id, &mut next, wishes);
    }
    if next != *line {
        wishes.push(Wish::Edit(plan::set_line(format!("Change {}", line.name), id, next)));
    }
    places::of_line(ui, session, selection, id, wishes);
    line_buttons(ui, session, selection, id, wishes);
    if !line.kind.is_old() {
        grading::reaches(ui, session, id, wishes);
        grading::even(ui, session, id, wishes);
        grading::structures(ui, session, id, wishes);
        grading::passes(ui, session, id, wishes);
        spacing::section(ui, session, Some(id));
    }
    pins(ui, session, id, units, wishes);
}

fn name_of(text: &str) -> Result<String, String> {
    let text = text.trim();
    if text.is_empty() || text.len() > 60 { Err("a name of 1 to 60 letters".into()) } else { Ok(text.into()) }
}

fn kind_row(ui: &mut Ui, line: &mut Line) {
    let label = ui.label(RichText::new("Kind").color(ui.visuals().weak_text_color()));
    let shown = egui::ComboBox::from_id_salt("kind").selected_text(line.kind.word()).show_ui(ui, |ui| {
        for kind in [LineKind::Main, LineKind::Submain, LineKind::Lateral, LineKind::OldTile(OldTile::default())] {
            if ui.selectable_label(line.kind.word() == kind.word(), kind.word()).clicked()
                && line.kind.word() != kind.word()
            {
                line.kind = kind;
            }
        }
    });
    shown.response.labelled_by(label.id);
    ui.end_row();
}

fn figures(ui: &mut Ui, session: &Session, id: LineId, line: &Line, units: Units) {
    let derived = session.worked();
    let joins = derived.plan.name_of(line.joins).unwrap_or("nothing");
    let station = derived.design.joints.iter().find(|joint| joint.branch == id).map(|joint| joint.station_m);
    let at = station.map(|station_m| format!(" at {}", measure::station(station_m, units))).unwrap_or_default();
    row(ui, "Joins", format!("{joins}{at}"));
    row(ui, "Length", units.length(line.length_m()));
    let Some(worked) = derived.design.lines.get(&id) else { return };
    let changes = job::grading::changes(worked, units);
    if !changes.is_empty() {
        row(ui, "Pipe changes", changes.join("; "));
    }
    if let Some(grade) = worked.mean_grade() {
        row(ui, "Grade, mean", units.grade(grade));
        row(ui, "Flattest allowed", units.grade(worked.least_grade));
    }
    if let Some((least, deepest)) = worked.least_cover().zip(worked.deepest()) {
        row(ui, "Least cover", units.depth(least.value_m));
        row(ui, "Deepest invert", units.depth(deepest.value_m));
    }
}

/// Letters of options that stand beside each other, two more for each option; longer ones do not fit the card's width.
const MOST_BESIDE: usize = 26;

/// One of several: side by side where they are short, else from a list that opens.
fn choice<T: PartialEq + Copy>(ui: &mut Ui, name: &str, value: &mut T, words: &[(T, &str)]) {
    if words.iter().map(|(_, word)| word.len() + 2).sum::<usize>() > MOST_BESIDE {
        return listed(ui, name, value, words);
    }
    ui.label(RichText::new(name).color(ui.visuals().weak_text_color()));
    ui.horizontal(|ui| {
        for (option, word) in words {
            ui.selectable_value(value, *option, *word);
        }
    });
    ui.end_row();
}

/// One of several, from a list that opens.
fn listed<T: PartialEq + Copy>(ui: &mut Ui, name: &str, value: &mut T, words: &[(T, &str)]) {
    let label = ui.label(RichText::new(name).color(ui.visuals().weak_text_color()));
    let chosen = words.iter().find(|(one, _)| one == value).map_or("", |(_, word)| word);
    let shown = egui::ComboBox::from_id_salt(name).selected_text(chosen).wrap().show_ui(ui, |ui| {
        for (one, word) in words {
            ui.selectable_value(value, *one, *word);
        }
    });
    shown.response.labelled_by(label.id);
    ui.end_row();
}

fn line_buttons(ui: &mut Ui, session: &Session, selection: Selection, id: LineId, wishes: &mut Vec<Wish>) {
    ui.horizontal_wrapped(|ui| {
        if ui.button("Branch a lateral off it").clicked() {
            wishes.push(Wish::Take(ToolKind::Line(LineKind::Lateral)));
            wishes.push(Wish::Say("Click on the line where the branch starts.".into()));
        }
        if ui.button("Reverse").clicked() {
            wishes.push(Wish::Run(Command::Reverse));
        }
        if let Selection::Bend(_, index) = selection
            && ui.button(format!("Delete bend {}", index + 1)).clicked()
        {
            wishes.push(Wish::Run(Command::Delete));
        }
        ui.menu_button("More", |ui| {
            let middle =
                session.plan().lines.get(&id).and_then(|line| measure::point_at(&line.points, line.length_m() / 2.0));
            let at = middle.map(|at| (at, "Split at its middle"));
            for (words, wish) in at.map(|at| menu::line_verbs(session.plan(), id, at)).unwrap_or_default() {
                if ui.button(words).clicked() {
                    wishes.push(wish);
                    ui.close();
                }
            }
        });
        if ui.button("Delete line").clicked() {
            wishes.extend(plan::remove_line(session.plan(), id).map(Wish::Edit));
            wishes.push(Wish::Select(Selection::Nothing));
        }
    });
}

/// Locked levels, each with a way to change and to unlock it, and a way to lock another.
fn pins(ui: &mut Ui, session: &Session, id: LineId, units: Units, wishes: &mut Vec<Wish>) {
    let line = &session.worked().plan.lines[&id];
    let [heading, take_away, another] = match line.kind.is_old() {
        true => ["Levels measured", "Remove", "Level measured at station"],
        false => ["Locked levels", "Unlock", "Lock the level at station"],
    };
    ui.label(RichText::new(heading).font(bold(13.0)));
    let plan = session.plan();
    table(ui, "pins", |ui| {
        for pin in &line.pins {
            let station = measure::station(pin.station_m, units);
            if let Some(invert_m) = length_field(ui, &format!("Invert at {station}"), pin.invert_m, units) {
                wishes.extend(plan::set_pin(plan, id, pin.station_m, Some((invert_m, pin.straight))).map(Wish::Edit));
            }
            ui.label("");
            if ui.button(format!("{take_away} {station}")).clicked() {
                wishes.extend(plan::set_pin(plan, id, pin.station_m, None).map(Wish::Edit));
            }
            ui.end_row();
        }
        let read =
            |text: &str| measure::parse_station(text, units).ok_or_else(|| "a station such as 1+50".to_string());
        if let Some(station_m) = text_field(ui, another, String::new(), read) {
            let now = session.worked().design.lines.get(&id).and_then(|worked| worked.at(station_m)?.invert_m);
            let invert_m =
                now.or(session.ground().and_then(|ground| ground.elevation(line.points[0]))).unwrap_or(0.0);
            wishes.extend(plan::set_pin(plan, id, station_m, Some((invert_m, true))).map(Wish::Edit));
        }
    });
}

fn outlet_card(ui: &mut Ui, session: &Session, id: OutletId, wishes: &mut Vec<Wish>) {
    let plan = &session.worked().plan;
    let outlet = &plan.outlets[&id];
    let units = plan.title.units;
    let mut next = outlet.clone();
    title(ui, format!("{}   outlet", outlet.name));
    table(ui, "outlet", |ui| {
        if let Some(name) = text_field(ui, "Name", outlet.name.clone(), name_of) {
            next.name = name;
        }
        if let Some(level_m) = length_field(ui, "Invert", outlet.invert_m, units) {
            next.invert_m = level_m;
        }
        if let Some(level_m) = known_field(ui, "Channel bottom", outlet.channel_bottom_m, units) {
            next.channel_bottom_m = level_m;
        }
        if let Some(level_m) = known_field(ui, "Low water", outlet.low_water_m, units) {
            next.low_water_m = level_m;
        }
        if let Some(level_m) = known_field(ui, "Flood level", outlet.flood_m, units) {
            next.flood_m = level_m;
        }
        if let Some(length_m) = length_field(ui, "Solid outlet pipe", outlet.outlet_pipe_m, units) {
            next.outlet_pipe_m = length_m;
        }
    });
    places::of_outlet(ui, session, id, wishes);
    ui.checkbox(&mut next.invert_free, "The invert may be chosen, as long as it keeps its height over the water");
    if let Some(invert_m) = plan_invert(session, id).filter(|_| outlet.invert_free) {
        ui.label(format!("Chosen: {}", figure(invert_m, units)));
    }
    ui.checkbox(&mut next.consent, "The channel's owner agreed in writing");
    grading::inverts(ui, session, id);
    bed::outlet(ui, outlet, &mut next, units);
    if next != *outlet {
        wishes.push(Wish::Edit(plan::set_outlet(session.plan(), id, next)));
    }
    if ui.button("Delete outlet").clicked() {
        wishes.extend(plan::remove_outlet(session.plan(), id).map(Wish::Edit));
        wishes.push(Wish::Select(Selection::Nothing));
    }
}

/// The boundary: its size and its corners.
fn field_card(ui: &mut Ui, session: &Session, wishes: &mut Vec<Wish>) {
    let plan = &session.worked().plan;
    let Some(field) = &plan.field else { return };
    let units = plan.title.units;
    title(ui, "Field");
    table(ui, "field", |ui| {
        row(ui, "Area", units.area(field.area_m2()));
        row(ui, "Perimeter", units.length(measure::path_length(&measure::closed(&field.ring))));
        row(ui, "Corners", field.ring.len().to_string());
        if !field.holes.is_empty() {
            row(ui, "Areas left out", field.holes.len().to_string());
        }
    });
    places::of_field(ui, session, field, wishes);
    if ui.button("Delete boundary").clicked() {
        wishes.push(Wish::Run(Command::Delete));
    }
}

/// The invert that was found for an outlet.
fn plan_invert(session: &Session, id: OutletId) -> Option<f64> {
    session.worked().design.outlet_inverts_m.get(&id).copied()
}

fn ground_card(ui: &mut Ui, sight: &mut Sight, wishes: &mut Vec<Wish>) {
    title(ui, "Ground");
    let units = sight.session.plan().title.units;
    let land = sight.session.land();
    let Some(grid) = land.grid() else {
        ui.label("Open a terrain file to start: GeoTIFF, ASCII grid, or survey points as CSV or TXT.");
        if ui.button("Open ground…").clicked() {
            wishes.push(Wish::Run(Command::OpenGround));
        }
        return;
    };
    let plane = job::ground::plane(sight.session.plan());
    table(ui, "ground", |ui| {
        row(ui, "Cells", format!("{} × {} of {}", grid.cols(), grid.rows(), units.depth(grid.cell_m().0)));
        row(ui, "Coordinate system", format!("{}, {}", plane.name(), plane.unit().words()));
        row(ui, "Relief", units.depth(land.relief_m()));
        row(ui, &format!("Swales from {} up", units.area(land::SWALE_AREA_M2)), land.swales.len().to_string());
        row(ui, "Closed depressions", land.depressions.len().to_string());
        if let Some(interval_m) = known_field(ui, "Contours every", sight.view.interval_m, units) {
            wishes.push(Wish::Interval(interval_m.map(|interval_m| interval_m.max(0.01))));
        }
        let drawn = sight.session.contours().filter(|_| sight.view.interval_m.is_none());
        if let Some(contours) = drawn {
            let every = format!("{} {}", drawing::level_words(contours.interval_m, units), units.sign());
            row(ui, "", format!("{every}, as it fits the zoom"));
        }
    });
    super::layers::tint(ui, sight);
    backdrop::section(ui, sight, wishes);
    for note in land.notes() {
        ui.label(RichText::new(note).font(plain(12.0)));
    }
    if ui.button("Open other ground…").clicked() {
        wishes.push(Wish::Run(Command::OpenGround));
    }
    landmark::list(ui, sight.session, sight.view, wishes);
    super::survey::show(ui, sight, wishes);
}

fn lines_card(ui: &mut Ui, sight: &mut Sight, wishes: &mut Vec<Wish>) {
    title(ui, sight.tool.kind().name());
    ui.label(sight.tool.hint());
    if matches!(sight.tool, Tool::Parallel(_)) {
        parallel::rows(ui, sight, wishes);
    }
    proposals::section(ui, sight.session, sight.view, wishes);
    spacing::section(ui, sight.session, None);
    super::found::card(ui, sight, wishes);
}

fn finding_row(ui: &mut Ui, sight: &mut Sight, i: usize, finding: &Finding, wishes: &mut Vec<Wish>) {
    let palette = sight.view.palette();
    ui.add_space(6.0);
    ui.horizontal_top(|ui| {
        let (rect, _) = ui.allocate_exact_size(vec2(24.0, 24.0), egui::Sense::hover());
        severity_mark(ui.painter(), palette, rect.center(), 10.0, finding.severity, &(i + 1).to_string());
        ui.vertical(|ui| {
            ui.spacing_mut().item_spacing.y = 3.0;
            let heading = egui::Button::new(RichText::new(&finding.title).font(bold(14.0))).frame(false).wrap();
            let show = ui.add(heading).on_hover_text("Go there on map and profile");
            ui.label(RichText::new(&finding.message).font(plain(13.0)));
            source(ui, palette, finding);
            ways_out(ui, sight, finding, wishes);
            accepting(ui, sight, finding, wishes);
            if show.clicked() {
                wishes.push(Wish::Look(finding.check, finding.at));
            }
        });
    });
}

/// The source of a finding in a line; a click writes it out, with how it is known.
fn source(ui: &mut Ui, palette: &Palette, finding: &Finding) {
    let told = format!("Check {}, {}: {}", finding.check, finding.severity.word(), plan::in_words(finding.source));
    let soft = |text: String| RichText::new(text).font(plain(11.5)).color(palette.soft_ink);
    let whole = plan::written_out(finding.source);
    if whole.is_empty() {
        ui.label(soft(told));
        return;
    }
    let id = ui.scope_id().with("source");
    let mut open = ui.data(|data| data.get_temp(id)).unwrap_or(false);
    let heading = ui.add(egui::Button::new(soft(told)).frame(false).wrap()).on_hover_text("Its source written out");
    if heading.clicked() {
        open = !open;
        ui.data_mut(|data| data.insert_temp(id, open));
    }
    if open {
        ui.label(soft(whole));
    }
}

/// The remedies that were tried, a look at each first, what is done in the field, and accepting it.
fn ways_out(ui: &mut Ui, sight: &mut Sight, finding: &Finding, wishes: &mut Vec<Wish>) {
    let former = sight.trying.and_then(|trying| trying.former(&finding.key)).cloned();
    let known = finding.tried.is_some();
    let tried = finding.tried.clone().or(former);
    for remedy in tried.iter().flat_map(|tried| &tried.remedies) {
        ui.add_enabled_ui(known, |ui| remedy_row(ui, (remedy, known), wishes));
    }
    // Once something is shown, nothing under the pointer moves when the answer is there.
    let words = match (known, &tried) {
        (_, Some(tried)) if !tried.remedies.is_empty() => finding.advice.clone(),
        (false, _) => format!("trying what clears it… {}", finding.advice),
        (true, _) => finding.way_out(),
    };
    if !words.trim().is_empty() {
        ui.label(RichText::new(words.trim()).font(plain(13.0)));
    }
    let key = (finding.check, finding.at);
    if finding.accepted.is_none()
        && sight.view.accepting != Some(key)
        && ui.small_button("Accept it, because …").clicked()
    {
        sight.view.accepting = Some(key);
        sight.view.signature.because.clear();
    }
}

/// A remedy, and a look at it first; one that cleared the finding before the plan changed is being tried anew.
fn remedy_row(ui: &mut Ui, (remedy, known): (&plan::Edit, bool), wishes: &mut Vec<Wish>) {
    ui.horizontal_wrapped(|ui| {
        if ui.add(egui::Button::new(&remedy.label).wrap()).clicked() {
            wishes.push(Wish::Edit(remedy.clone()));
        }
        if !plan::wants_signature(remedy) && ui.small_button(if known { "See it first" } else { "trying…" }).clicked()
        {
            wishes.push(Wish::See(remedy.clone()));
        }
    });
}

/// Who accepted a finding and why, or the fields to accept it.
fn accepting(ui: &mut Ui, sight: &mut Sight, finding: &Finding, wishes: &mut Vec<Wish>) {
    if let Some(acceptance) = &finding.accepted {
        let signed = &acceptance.signed;
        ui.label(
            RichText::new(format!("Accepted: {}. {}, {}", signed.because, signed.by, signed.on)).font(plain(12.5)),
        );
        if ui.small_button("Reopen it").clicked() {
            wishes.push(Wish::Edit(plan::reopen(sight.session.plan(), acceptance)));
        }
        return;
    }
    if sight.view.accepting != Some((finding.check, finding.at)) {
        return;
    }
    super::survey::signature(ui, &mut sight.view.signature);
    let missing = signing::missing_reason(&sight.view.signature);
    missing.iter().for_each(|text| drop(ui.label(RichText::new(*text).font(plain(12.0)))));
    ui.horizontal(|ui| {
        if ui.add_enabled(missing.is_none(), egui::Button::new("Accept it")).clicked() {
            wishes.push(Wish::Edit(plan::accept(sight.session.plan(), finding.acceptance(&sight.view.signature))));
            sight.view.accepting = None;
        }
        if ui.button("Cancel").clicked() {
            sight.view.accepting = None;
        }
    });
}

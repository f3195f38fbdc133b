//! The card at the right: what is chosen or what the stage is about, and under it the punch list.

mod bed;
mod dig;
mod grading;
mod landmark;
mod watercourse;

use checks::Finding;
use egui::{Frame, Grid, Margin, Panel, RichText, ScrollArea, Ui, vec2};
use measure::Units;
use plan::{Condition, Evidence, Line, LineId, LineKind, Material, OldTile, OutletId, Pattern};

use crate::canvas::severity_mark;
use crate::command::Command;
use crate::desk::Desk;
use crate::theme::{bold, plain};
use crate::tools::Tool;
use crate::trying;
use crate::view::{Selection, Stage, Tint};
use crate::wish::Wish;

/// Shows the card.
pub fn show(ui: &mut Ui, desk: &mut Desk, wishes: &mut Vec<Wish>) {
    let frame = Frame::new().fill(desk.view.palette().panel).inner_margin(Margin::symmetric(14, 10));
    Panel::right("card").frame(frame).resizable(true).default_size(364.0).size_range(280.0..=520.0).show(ui, |ui| {
        ScrollArea::vertical().auto_shrink([false, false]).show(ui, |ui| {
            subject(ui, desk, wishes);
            ui.add_space(8.0);
            ui.separator();
            punch_list(ui, desk, wishes);
        });
    });
}

/// Each subject has fields of its own, so that text left in one never shows in another.
fn subject(ui: &mut Ui, desk: &mut Desk, wishes: &mut Vec<Wish>) {
    let other = match desk.view.selection {
        Selection::Outlet(id) => Some(id.0),
        Selection::Watercourse(id) => Some(id.0),
        Selection::Landmark(id) => Some(id.0),
        _ => None,
    };
    ui.push_id((desk.view.selection.line().map(|id| id.0), other), |ui| subject_of(ui, desk, wishes));
}

fn subject_of(ui: &mut Ui, desk: &mut Desk, wishes: &mut Vec<Wish>) {
    let lines = &desk.session.derived().plan.lines;
    match desk.view.selection {
        Selection::Line(id) | Selection::Bend(id, _) if lines.contains_key(&id) => line_card(ui, desk, id, wishes),
        Selection::Outlet(id) if desk.session.derived().plan.outlets.contains_key(&id) => {
            outlet_card(ui, desk, id, wishes)
        }
        Selection::Watercourse(id) if desk.session.derived().plan.watercourses.contains_key(&id) => {
            watercourse::card(ui, desk, id, wishes)
        }
        Selection::Landmark(id) if desk.session.derived().plan.landmarks.contains_key(&id) => {
            landmark::card(ui, desk, id, wishes)
        }
        _ => match desk.view.stage {
            Stage::Ground => ground_card(ui, desk, wishes),
            Stage::Lines => lines_card(ui, desk),
            Stage::Grade => grading::stage(ui, desk, wishes),
            Stage::Dig => dig::card(ui, desk, wishes),
        },
    }
}

fn title(ui: &mut Ui, text: impl Into<String>) {
    ui.label(RichText::new(text).font(bold(17.0)));
}

/// A row of a table: name left, figure right.
fn row(ui: &mut Ui, name: &str, figure: impl Into<String>) {
    ui.label(RichText::new(name).color(ui.visuals().weak_text_color()));
    ui.label(figure.into());
    ui.end_row();
}

fn table<R>(ui: &mut Ui, name: &str, rows: impl FnOnce(&mut Ui) -> R) -> R {
    Grid::new(name).num_columns(2).spacing(vec2(16.0, 4.0)).show(ui, rows).inner
}

/// A text field that is read when it is left; what cannot be read stays, with the reason under it.
pub(super) fn text_field<T>(
    ui: &mut Ui,
    name: &str,
    shown: String,
    read: impl Fn(&str) -> Result<T, String>,
) -> Option<T> {
    let id = ui.scope_id().with(("field", name));
    let mut text = ui.data(|data| data.get_temp::<String>(id)).unwrap_or_else(|| shown.clone());
    let label = ui.label(RichText::new(name).color(ui.visuals().weak_text_color()));
    let field = ui.add(egui::TextEdit::singleline(&mut text).desired_width(130.0)).labelled_by(label.id);
    let typed = text != shown;
    if typed {
        ui.data_mut(|data| data.insert_temp(id, text.clone()));
    }
    let value = (typed && !field.has_focus()).then(|| read(&text));
    if !typed || value.as_ref().is_some_and(Result::is_ok) {
        ui.data_mut(|data| data.remove_temp::<String>(id));
    }
    ui.end_row();
    match value? {
        Ok(value) => Some(value),
        Err(reason) => {
            ui.label("");
            ui.colored_label(ui.visuals().error_fg_color, reason);
            ui.end_row();
            None
        }
    }
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

fn line_card(ui: &mut Ui, desk: &Desk, id: LineId, wishes: &mut Vec<Wish>) {
    let derived = desk.session.derived();
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
        grading::pipe_rows(ui, desk, id, &mut next);
        figures(ui, desk, id, line, units);
    });
    if let LineKind::OldTile(old) = &mut next.kind {
        old_tile_rows(ui, old);
        bed::old_tile(ui, old);
    } else {
        ui.checkbox(&mut next.capped, "Upper end has its cap");
    }
    grading::water(ui, desk, id, &mut next);
    if !line.kind.is_old() {
        bed::rows(ui, desk, id, &mut next, wishes);
    }
    if next != *line {
        wishes.push(Wish::Edit(plan::set_line(format!("Change {}", line.name), id, next)));
    }
    line_buttons(ui, desk, id, wishes);
    if !line.kind.is_old() {
        grading::reaches(ui, desk, id, wishes);
        grading::even(ui, desk, id, wishes);
        grading::structures(ui, desk, id, wishes);
        grading::passes(ui, desk, id, wishes);
    }
    pins(ui, desk, id, units, wishes);
}

fn name_of(text: &str) -> Result<String, String> {
    let text = text.trim();
    if text.is_empty() || text.len() > 60 { Err("a name of 1 to 60 letters".into()) } else { Ok(text.into()) }
}

fn kind_row(ui: &mut Ui, line: &mut Line) {
    ui.label(RichText::new("Kind").color(ui.visuals().weak_text_color()));
    egui::ComboBox::from_id_salt("kind").selected_text(line.kind.word()).show_ui(ui, |ui| {
        for kind in [LineKind::Main, LineKind::Submain, LineKind::Lateral, LineKind::OldTile(OldTile::default())] {
            if ui.selectable_label(line.kind.word() == kind.word(), kind.word()).clicked()
                && line.kind.word() != kind.word()
            {
                line.kind = kind;
            }
        }
    });
    ui.end_row();
}

fn figures(ui: &mut Ui, desk: &Desk, id: LineId, line: &Line, units: Units) {
    let derived = desk.session.derived();
    let joins = derived.plan.name_of(line.joins).unwrap_or("nothing");
    let station = derived.design.joints.iter().find(|joint| joint.branch == id).map(|joint| joint.station_m);
    let at = station.map(|station_m| format!(" at {}", measure::station(station_m, units))).unwrap_or_default();
    row(ui, "Joins", format!("{joins}{at}"));
    row(ui, "Length", units.length(line.length_m()));
    let Some(worked) = derived.design.lines.get(&id) else { return };
    if let Some(grade) = worked.mean_grade() {
        row(ui, "Grade, mean", units.grade(grade));
        row(ui, "Flattest allowed", units.grade(worked.least_grade));
    }
    if let Some((least, deepest)) = worked.least_cover().zip(worked.deepest()) {
        row(ui, "Least cover", units.depth(least.value_m));
        row(ui, "Deepest invert", units.depth(deepest.value_m));
    }
}

fn old_tile_rows(ui: &mut Ui, old: &mut OldTile) {
    table(ui, "old tile", |ui| {
        choice(
            ui,
            "Evidence",
            &mut old.evidence,
            &[(Evidence::Suspected, "suspected"), (Evidence::Seen, "seen"), (Evidence::Proved, "proved")],
        );
        choice(ui, "Material", &mut old.material, &Material::ALL);
        choice(
            ui,
            "Condition",
            &mut old.condition,
            &[
                (Condition::Unknown, "unknown"),
                (Condition::Good, "good"),
                (Condition::Fair, "fair"),
                (Condition::Poor, "poor"),
            ],
        );
    });
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
    let shown = egui::ComboBox::from_id_salt(name).selected_text(chosen).show_ui(ui, |ui| {
        for (one, word) in words {
            ui.selectable_value(value, *one, *word);
        }
    });
    shown.response.labelled_by(label.id);
    ui.end_row();
}

fn line_buttons(ui: &mut Ui, desk: &Desk, id: LineId, wishes: &mut Vec<Wish>) {
    ui.horizontal_wrapped(|ui| {
        if ui.button("Branch a lateral off it").clicked() {
            wishes.push(Wish::Take(Tool::line(LineKind::Lateral)));
            wishes.push(Wish::Say("Click on the line where the branch starts.".into()));
        }
        if ui.button("Reverse").clicked() {
            wishes.push(Wish::Run(Command::Reverse));
        }
        if let Selection::Bend(_, index) = desk.view.selection
            && ui.button(format!("Delete bend {}", index + 1)).clicked()
        {
            wishes.push(Wish::Run(Command::Delete));
        }
        if ui.button("Delete line").clicked() {
            wishes.extend(plan::remove_line(desk.session.plan(), id).map(Wish::Edit));
            wishes.push(Wish::Select(Selection::Nothing));
        }
    });
}

/// Levels fixed by hand, each with a way to change and to free it, and a way to fix another.
fn pins(ui: &mut Ui, desk: &Desk, id: LineId, units: Units, wishes: &mut Vec<Wish>) {
    let line = &desk.session.derived().plan.lines[&id];
    let word = if line.kind.is_old() { "Levels measured" } else { "Levels fixed by hand" };
    ui.label(RichText::new(word).font(bold(13.0)));
    let plan = desk.session.plan();
    table(ui, "pins", |ui| {
        for pin in &line.pins {
            let station = measure::station(pin.station_m, units);
            if let Some(invert_m) = length_field(ui, &format!("Invert at {station}"), pin.invert_m, units) {
                wishes.extend(plan::set_pin(plan, id, pin.station_m, Some((invert_m, pin.straight))).map(Wish::Edit));
            }
            ui.label("");
            if ui.button(format!("Free {station}")).clicked() {
                wishes.extend(plan::set_pin(plan, id, pin.station_m, None).map(Wish::Edit));
            }
            ui.end_row();
        }
        let read =
            |text: &str| measure::parse_station(text, units).ok_or_else(|| "a station such as 1+50".to_string());
        if let Some(station_m) = text_field(ui, "Fix at station", String::new(), read) {
            let now = desk.session.derived().design.lines.get(&id).and_then(|worked| worked.at(station_m)?.invert_m);
            let invert_m =
                now.or(desk.session.ground().and_then(|ground| ground.elevation(line.points[0]))).unwrap_or(0.0);
            wishes.extend(plan::set_pin(plan, id, station_m, Some((invert_m, true))).map(Wish::Edit));
        }
    });
}

fn outlet_card(ui: &mut Ui, desk: &Desk, id: OutletId, wishes: &mut Vec<Wish>) {
    let plan = &desk.session.derived().plan;
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
    ui.checkbox(&mut next.invert_free, "The invert may be chosen, as long as it keeps its height over the water");
    if let Some(invert_m) = plan_invert(desk, id).filter(|_| outlet.invert_free) {
        ui.label(format!("Chosen: {}", figure(invert_m, units)));
    }
    ui.checkbox(&mut next.consent, "The channel's owner agreed in writing");
    grading::inverts(ui, desk, id);
    bed::outlet(ui, outlet, &mut next, units);
    if next != *outlet {
        wishes.push(Wish::Edit(plan::set_outlet(desk.session.plan(), id, next)));
    }
    if ui.button("Delete outlet").clicked() {
        wishes.extend(plan::remove_outlet(desk.session.plan(), id).map(Wish::Edit));
        wishes.push(Wish::Select(Selection::Nothing));
    }
}

/// The invert that was found for an outlet.
fn plan_invert(desk: &Desk, id: OutletId) -> Option<f64> {
    desk.session.derived().design.outlet_inverts_m.get(&id).copied()
}

fn ground_card(ui: &mut Ui, desk: &mut Desk, wishes: &mut Vec<Wish>) {
    title(ui, "Ground");
    let units = desk.session.plan().title.units;
    let land = desk.session.land().clone();
    let Some(grid) = land.grid() else {
        ui.label("Open a terrain file to start: GeoTIFF, ASCII grid, or survey points as CSV or TXT.");
        if ui.button("Open ground…").clicked() {
            wishes.push(Wish::Run(Command::OpenGround));
        }
        return;
    };
    let plane = job::ground::plane(desk.session.plan());
    table(ui, "ground", |ui| {
        row(ui, "Cells", format!("{} × {} of {}", grid.cols(), grid.rows(), units.depth(grid.cell_m().0)));
        row(ui, "Coordinate system", format!("{}, {}", plane.name(), plane.unit().words()));
        row(ui, "Relief", units.depth(land.relief_m()));
        row(ui, "Swales from an acre up", land.swales.len().to_string());
        row(ui, "Closed depressions", land.depressions.len().to_string());
        let interval_m = desk.session.contours().map_or(1.0, |contours| contours.interval_m);
        if let Some(interval_m) = length_field(ui, "Contours every", interval_m, units) {
            wishes.push(Wish::Interval(Some(interval_m.max(0.01))));
        }
    });
    ui.checkbox(&mut desk.view.layers.relief, "Shaded relief");
    ui.horizontal(|ui| {
        let label = ui.label("Tint by");
        let chosen =
            Tint::ALL.into_iter().find(|(tint, _)| *tint == desk.view.layers.tint).map_or("", |(_, word)| word);
        let choice = egui::ComboBox::from_id_salt("tint").selected_text(chosen).show_ui(ui, |ui| {
            for (tint, word) in Tint::ALL {
                ui.selectable_value(&mut desk.view.layers.tint, tint, word);
            }
        });
        choice.response.labelled_by(label.id);
    });
    ui.checkbox(&mut desk.view.layers.contours, "Contours");
    ui.checkbox(&mut desk.view.layers.water, "Where water gathers");
    for note in land.notes() {
        ui.label(RichText::new(note).font(plain(12.0)));
    }
    if ui.button("Open other ground…").clicked() {
        wishes.push(Wish::Run(Command::OpenGround));
    }
    landmark::list(ui, desk, wishes);
    super::survey::show(ui, desk, wishes);
}

fn lines_card(ui: &mut Ui, desk: &mut Desk) {
    title(ui, desk.tool.name());
    ui.label(desk.tool.hint());
    ui.checkbox(&mut desk.view.layers.labels, "Names, sizes and grades on the map");
}

fn punch_list(ui: &mut Ui, desk: &mut Desk, wishes: &mut Vec<Wish>) {
    let findings: Vec<Finding> =
        desk.session.derived().findings.iter().map(|finding| trying::known(desk, finding)).collect();
    title(ui, "Punch list");
    ui.label(RichText::new(job::words::counted(&findings)).font(plain(13.0)).color(desk.view.palette().soft_ink));
    if findings.is_empty() {
        ui.label("Nothing found. That is no promise: walk the lines before you dig.");
    }
    for (i, finding) in findings.iter().enumerate() {
        ui.push_id(i, |ui| finding_row(ui, desk, i, finding, wishes));
    }
}

fn finding_row(ui: &mut Ui, desk: &mut Desk, i: usize, finding: &Finding, wishes: &mut Vec<Wish>) {
    let palette = desk.view.palette();
    ui.add_space(6.0);
    ui.horizontal_top(|ui| {
        let (rect, _) = ui.allocate_exact_size(vec2(24.0, 24.0), egui::Sense::hover());
        severity_mark(ui.painter(), palette, rect.center(), 10.0, finding.severity, &(i + 1).to_string());
        ui.vertical(|ui| {
            ui.spacing_mut().item_spacing.y = 3.0;
            let heading = egui::Button::new(RichText::new(&finding.title).font(bold(14.0))).frame(false).wrap();
            let show = ui.add(heading).on_hover_text("Go there on map and profile");
            ui.label(RichText::new(&finding.message).font(plain(13.0)));
            let source = format!("Rule {} {}, {}", finding.check, finding.severity.word(), finding.source);
            let source = RichText::new(source).font(plain(11.5)).color(palette.soft_ink);
            let (marks, told) = (ui.label(source), plan::written_out(finding.source));
            if !told.is_empty() {
                marks.on_hover_text(told);
            }
            ways_out(ui, desk, finding, wishes);
            leaving(ui, desk, finding, wishes);
            if show.clicked() {
                wishes.push(Wish::Look(finding.check, finding.at));
            }
        });
    });
}

/// The remedies that were tried, a look at each first, what is done in the field, and leaving it as it is.
fn ways_out(ui: &mut Ui, desk: &mut Desk, finding: &Finding, wishes: &mut Vec<Wish>) {
    let former = desk.trying.as_ref().and_then(|trying| trying.former(&finding.key)).cloned();
    let known = finding.tried.is_some();
    let tried = finding.tried.clone().or(former);
    for remedy in tried.iter().flat_map(|tried| &tried.remedies) {
        ui.add_enabled_ui(known, |ui| remedy_row(ui, desk, (remedy, known), wishes));
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
    if finding.left.is_none() && desk.view.leaving != Some(key) && ui.small_button("Leave it, because …").clicked()
    {
        desk.view.leaving = Some(key);
        desk.signature.because.clear();
    }
}

/// A remedy, and a look at it first; one that cleared the finding before the plan changed is being tried anew.
fn remedy_row(ui: &mut Ui, desk: &mut Desk, (remedy, known): (&plan::Edit, bool), wishes: &mut Vec<Wish>) {
    ui.horizontal_wrapped(|ui| {
        if ui.add(egui::Button::new(&remedy.label).wrap()).clicked() {
            wishes.push(Wish::Edit(remedy.clone()));
        }
        if !plan::wants_signature(remedy) && ui.small_button(if known { "See it first" } else { "trying…" }).clicked()
        {
            let ask = super::dialog::FixAsk::of(remedy.clone(), desk);
            desk.dialog = Some(super::dialog::Dialog::Fix(Box::new(ask)));
        }
    });
}

/// Who left a finding and why, or the fields to leave it.
fn leaving(ui: &mut Ui, desk: &mut Desk, finding: &Finding, wishes: &mut Vec<Wish>) {
    if let Some(waiver) = &finding.left {
        let left = &waiver.signed;
        ui.label(
            RichText::new(format!("Left as it is: {}. {}, {}", left.because, left.by, left.on)).font(plain(12.5)),
        );
        if ui.small_button("Take it up again").clicked() {
            wishes.push(Wish::Edit(plan::take_up(desk.session.plan(), waiver)));
        }
        return;
    }
    if desk.view.leaving != Some((finding.check, finding.at)) {
        return;
    }
    super::survey::signature(ui, &mut desk.signature);
    let missing = crate::apply::missing_reason(&desk.signature);
    missing.iter().for_each(|text| drop(ui.label(RichText::new(*text).font(plain(12.0)))));
    ui.horizontal(|ui| {
        if ui.add_enabled(missing.is_none(), egui::Button::new("Leave it")).clicked() {
            wishes.push(Wish::Edit(plan::leave(desk.session.plan(), finding.waiver(&desk.signature))));
            desk.view.leaving = None;
        }
        if ui.button("Cancel").clicked() {
            desk.view.leaving = None;
        }
    });
}

//! The Record stage: shots of what was laid, what is said of each stretch, and what was laid otherwise than planned.

use egui::{Button, ComboBox, RichText, TextEdit, Ui, vec2};
use plan::{Additions, FieldNote, LaidStretch, LineId, NoteOn, Plan, ShotOn, Spot};
use record::{DugLine, NOT_THE_INSPECTOR, Verdict};

use super::super::field;
use super::{Sight, table, title};
use crate::command::{COMMANDS, Command};
use crate::panels::survey::signature;
use crate::signing;
use crate::theme::{Palette, bold, plain};
use crate::view::{Selection, View};
use crate::wish::Wish;
use job::Session;
use job::dug::{self, TypedShot};

/// Height of what is pressed beside the trench, points: gloves and sun.
pub(super) const LARGE: f32 = 48.0;

/// Shows the card.
pub fn card(ui: &mut Ui, sight: &mut Sight, wishes: &mut Vec<Wish>) {
    let (session, palette) = (sight.session, sight.view.palette());
    title(ui, "What is really down there");
    signature(ui, &mut sight.view.signature);
    ui.separator();
    // A receiver that is listened to has its button first.
    if sight.receiving.is_some() {
        super::receiver::show(ui, sight, wishes);
        ui.separator();
        entry(ui, session, sight.view, wishes);
    } else {
        entry(ui, session, sight.view, wishes);
        super::receiver::show(ui, sight, wishes);
    }
    ui.separator();
    for (id, line) in dug::by_name(session.worked()) {
        ui.push_id(id.0, |ui| as_dug(ui, sight, (id, line), wishes));
    }
    astray(ui, session, palette);
    ui.label(RichText::new(NOT_THE_INSPECTOR).font(plain(12.5)).color(palette.soft_ink));
    regrade(ui, session, sight.view, wishes);
    ui.separator();
    otherwise(ui, session, sight.view, wishes);
}

/// What is not dug yet, worked out anew on what is down: seen before it is made.
fn regrade(ui: &mut Ui, session: &Session, view: &mut View, wishes: &mut Vec<Wish>) {
    if session.at_rest().dug().lines.is_empty() {
        return;
    }
    ui.checkbox(&mut view.unlock_above, "Unlock the levels locked above the last shots");
    let button = ui.button("Regrade what is not dug…").on_hover_text("See it first; then issue the sheets anew");
    if button.clicked() {
        let edit = job::regrade::edit(session.at_rest(), view.unlock_above);
        wishes.push(edit.map_or(Wish::Say("Nothing to regrade: the plan has all that is down.".into()), Wish::See));
    }
}

/// The shot that is typed, with the one large button.
fn entry(ui: &mut Ui, session: &Session, view: &mut View, wishes: &mut Vec<Wish>) {
    let plan = session.plan();
    choose_line(ui, plan, view, wishes);
    let form = &mut view.shot;
    table(ui, "shot", |ui| fields(ui, form));
    ui.horizontal_wrapped(|ui| {
        ui.label("Held on");
        for (on, word) in ShotOn::ALL {
            ui.selectable_value(&mut form.held, on, word);
        }
    });
    ui.checkbox(&mut form.by_rod, "Rod reading from an instrument");
    let shot = dug::taken_by(plan, &view.signature).and_then(|taken| view.shot.shot(plan, &taken));
    let button = Button::new(RichText::new("Take this shot").font(bold(18.0)));
    let size = vec2(ui.available_width(), LARGE);
    let pressed = ui.add_enabled_ui(shot.is_ok(), |ui| ui.add_sized(size, button)).inner.clicked();
    match shot {
        Ok(shot) if pressed => {
            let additions = Additions { shots: vec![shot], ..Additions::default() };
            wishes.extend(plan::add_to_record(plan, additions, &view.signature).map(Wish::Edit));
            view.shot.next(plan);
        }
        Ok(_) => {}
        Err(why) => drop(ui.label(RichText::new(why).font(plain(13.0)))),
    }
    commands(ui, session, view, wishes);
}

/// What is brought in from files, and the photos.
fn commands(ui: &mut Ui, session: &Session, view: &View, wishes: &mut Vec<Wish>) {
    ui.horizontal_wrapped(|ui| {
        for command in [Command::ReadShots, Command::AddPhoto, Command::LookAtPhotos] {
            let Some(entry) = COMMANDS.iter().find(|entry| entry.command == command) else { continue };
            let button = ui.add_enabled(command.is_enabled(session, view), Button::new(entry.label));
            if button.on_hover_text(entry.tip).clicked() {
                wishes.push(Wish::Run(command));
            }
        }
    });
}

/// The line that is shot: the chosen one, or one of the list.
fn choose_line(ui: &mut Ui, plan: &Plan, view: &mut View, wishes: &mut Vec<Wish>) {
    let is_new = |id: &LineId| plan.lines.get(id).is_some_and(|line| !line.kind.is_old());
    let chosen = view.selection.line().or(view.shot.line).filter(is_new);
    view.shot.line = chosen.or_else(|| plan.lines.keys().copied().find(is_new));
    let name = |id: LineId| plan.lines.get(&id).map_or("", |line| line.name.as_str());
    let shown = view.shot.line.map_or("none drawn", name);
    ui.horizontal(|ui| {
        let label = ui.label("Line");
        let list = ComboBox::from_id_salt("shot line").selected_text(RichText::new(shown).font(bold(16.0)));
        let list = list.show_ui(ui, |ui| {
            for id in plan.lines.keys().copied().filter(is_new) {
                if ui.selectable_label(view.shot.line == Some(id), name(id)).clicked() {
                    wishes.push(Wish::Select(Selection::of(id)));
                }
            }
        });
        list.response.labelled_by(label.id);
    });
}

fn fields(ui: &mut Ui, form: &mut TypedShot) {
    let mut field = |name: &str, text: &mut String, hint: &str| {
        let label = ui.label(RichText::new(name).font(plain(15.0)));
        let edit = TextEdit::singleline(text).hint_text(hint).desired_width(150.0).font(bold(18.0));
        ui.add(edit).labelled_by(label.id);
        ui.end_row();
    };
    field("Station", &mut form.station, "1+50");
    if form.by_rod {
        field("Instrument height", &mut form.instrument, "plane of the laser");
        field("Rod reading", &mut form.rod, "on the pipe");
    } else {
        field("Level", &mut form.level, "");
    }
    field("Note", &mut form.note, "");
}

/// One line as dug: what is said of each stretch, and its shots.
fn as_dug(ui: &mut Ui, sight: &Sight, (id, line): (LineId, &DugLine), wishes: &mut Vec<Wish>) {
    let plan = &sight.session.worked().plan;
    let name = plan.lines.get(&id).map_or("", |line| line.name.as_str());
    if ui.add(Button::new(RichText::new(format!("{name} as dug")).font(bold(15.0))).frame(false)).clicked() {
        wishes.push(Wish::Select(Selection::of(id)));
    }
    for verdict in &line.verdicts {
        said(ui, sight, (id, verdict), wishes);
    }
    let shots = measure::how_many(line.shots.len(), "shot");
    egui::CollapsingHeader::new(shots).id_salt("shots").show(ui, |ui| list(ui, sight, line, wishes));
}

/// What is said of a stretch, in letters that are read at arm's length.
fn said(ui: &mut Ui, sight: &Sight, (id, verdict): (LineId, &Verdict), wishes: &mut Vec<Wish>) {
    let (palette, units) = (sight.view.palette(), sight.session.plan().title.units);
    let colour = if verdict.is_within() { palette.ink } else { palette.to_fix };
    let filled = if verdict.backfilled { ", trench filled" } else { "" };
    ui.label(RichText::new(format!("{}{filled}", verdict.place(units))).font(bold(14.0)));
    ui.colored_label(colour, RichText::new(verdict.words(units)).font(bold(16.0)));
    let is_signed = dug::taken_by(sight.session.plan(), &sight.view.signature);
    let fill = Button::new(format!("Trench filled {}", verdict.place(units)));
    if !verdict.backfilled && verdict.to_m > verdict.from_m && ui.add_enabled(is_signed.is_ok(), fill).clicked() {
        let on = sight.view.signature.on.trim().to_string();
        let stretch_m = (verdict.from_m, verdict.to_m);
        let laid = LaidStretch { line: id, stretch_m, on, size_m: None, wall: None, solid: None, backfilled: true };
        let additions = Additions { laid: vec![laid], ..Additions::default() };
        let edit = plan::add_to_record(sight.session.plan(), additions, &sight.view.signature);
        wishes.extend(edit.map(Wish::Edit));
    }
}

/// The shots of a line, the uppermost first, as on a sheet that is dug from below.
fn list(ui: &mut Ui, sight: &Sight, line: &DugLine, wishes: &mut Vec<Wish>) {
    let (plan, units) = (sight.session.plan(), sight.session.plan().title.units);
    let missing = signing::missing_reason(&sight.view.signature);
    egui::Grid::new("shots").num_columns(5).striped(true).spacing(vec2(12.0, 4.0)).show(ui, |ui| {
        for head in ["Station", "Invert", "Plan", "Over plan", ""] {
            ui.label(RichText::new(head).font(plain(12.5)));
        }
        ui.end_row();
        for (i, shot) in line.shots.iter().enumerate() {
            let [station, on, invert, planned, over, ..] = dug::cells(line, i, units);
            let is_off = shot.is_off(&plan.criteria);
            let told = format!("held on the {on}{}", if shot.replaces.is_empty() { "" } else { "; relaid" });
            ui.label(RichText::new(&station).font(bold(14.0))).on_hover_text(told);
            ui.label(invert);
            ui.label(planned);
            let over = RichText::new(over).font(bold(14.0));
            ui.label(if is_off { over.color(sight.view.palette().to_fix) } else { over });
            let strike = ui.add_enabled(missing.is_none(), Button::new("Strike").small());
            let strike = strike
                .on_hover_text(format!("Strike the shot at {station}: it stays in the record and counts no more"));
            if strike.on_disabled_hover_text(missing.unwrap_or_default()).clicked() {
                wishes.extend(plan::strike(plan, &shot.key, &sight.view.signature).map(Wish::Edit));
            }
            ui.end_row();
        }
    });
}

fn astray(ui: &mut Ui, session: &Session, palette: &Palette) {
    let (count, plan) = (session.worked().dug().astray.len(), session.plan());
    if count > 0 {
        let reach = plan.title.units.length(plan.criteria.shot_reach_m);
        let told = format!("{} lie on no new line within {reach}.", measure::how_many(count, "shot"));
        ui.colored_label(palette.to_decide, told);
    }
}

/// What was laid otherwise than planned: why, and who agreed.
fn otherwise(ui: &mut Ui, session: &Session, view: &mut View, wishes: &mut Vec<Wish>) {
    title(ui, "Changed against the plan");
    let plan = session.plan();
    for note in plan.record.notes.iter().filter(|note| note.on == NoteOn::Changed) {
        ui.label(RichText::new(dug::note_words(plan, note)).font(plain(13.5)));
    }
    let (says, agreed_by) = &mut view.otherwise;
    table(ui, "otherwise", |ui| {
        for (name, text) in [("What and why", says), ("Who agreed", agreed_by)] {
            let label = ui.label(name);
            field::add(ui, TextEdit::singleline(text).desired_width(190.0)).labelled_by(label.id);
            ui.end_row();
        }
    });
    let note = changed(plan, view);
    let place = view.shot.line.and_then(|id| plan.lines.get(&id)).map_or("", |line| line.name.as_str());
    let button = ui.add_enabled(note.is_ok(), Button::new(format!("Write it down for {place}")));
    match note {
        Ok(note) if button.clicked() => {
            let additions = Additions { notes: vec![note], ..Additions::default() };
            wishes.extend(plan::add_to_record(plan, additions, &view.signature).map(Wish::Edit));
            view.otherwise = Default::default();
        }
        Ok(_) => {}
        Err(why) if view.otherwise != Default::default() => drop(ui.label(RichText::new(why).font(plain(12.5)))),
        Err(_) => {}
    }
}

fn changed(plan: &Plan, view: &View) -> Result<FieldNote, String> {
    let (says, agreed_by) = (view.otherwise.0.trim(), view.otherwise.1.trim());
    let taken = dug::taken_by(plan, &view.signature)?;
    let line = view.shot.line.ok_or("Choose the line.")?;
    if says.is_empty() || agreed_by.is_empty() {
        return Err("Enter what was changed and why, and who agreed.".into());
    }
    let key = job::entering::key_of("note", &format!("{}\n{says}\n{agreed_by}\n{}", line.0, taken.at));
    let station_m = measure::parse_station(&view.shot.station, plan.title.units).unwrap_or(0.0);
    let spot = Some(Spot::Station { line, station_m });
    Ok(FieldNote { key, taken, on: NoteOn::Changed, spot, says: says.into(), agreed_by: agreed_by.into() })
}

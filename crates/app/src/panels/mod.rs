//! What stands round the map: one function a panel.

pub mod card;
pub mod changed;
pub mod dialog;
pub mod limits;
pub mod map;
pub mod part;
pub mod profile;
mod section;
pub mod survey;
pub mod unit;

use egui::{Context, Frame, Key, Margin, Panel, RichText, Ui, vec2};
use measure::{Point, bearing, distance};
use plan::{LineKind, OldTile, WatercourseKind};

use crate::command::{COMMANDS, Menu};
use crate::desk::Desk;
use crate::theme::{bold, plain};
use crate::tools::{Boundary, FollowDrop, PlaceOutlet, Section, Tool};
use crate::view::{Selection, Stage};
use crate::wish::Wish;
use job::Progress;
use job::ground;

fn frame(desk: &Desk, x: i8, y: i8) -> Frame {
    Frame::new().fill(desk.view.palette().panel).inner_margin(Margin::symmetric(x, y))
}

/// Title, menus, undo and redo, units.
pub fn head(ui: &mut Ui, desk: &Desk, wishes: &mut Vec<Wish>) {
    Panel::top("head").frame(frame(desk, 14, 7)).show(ui, |ui| {
        ui.horizontal(|ui| {
            ui.label(RichText::new(&desk.session.plan().title.name).font(bold(17.0)));
            let state = if desk.session.history().is_unsaved() { "not saved" } else { "saved" };
            let state = if desk.session.path().is_none() && state == "saved" { "demo" } else { state };
            ui.label(RichText::new(state).font(plain(12.0)).color(desk.view.palette().soft_ink));
            ui.add_space(12.0);
            for (menu, name) in
                [(Menu::Plan, "Plan"), (Menu::Edit, "Edit"), (Menu::View, "View"), (Menu::Help, "Help")]
            {
                ui.menu_button(name, |ui| menu_rows(ui, desk, menu, wishes));
            }
            ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| quick(ui, desk, wishes));
        });
    });
}

fn menu_rows(ui: &mut Ui, desk: &Desk, menu: Menu, wishes: &mut Vec<Wish>) {
    ui.set_min_width(240.0);
    for entry in COMMANDS.iter().filter(|entry| entry.menu == menu) {
        let keys = entry.keys.first().map(|key| ui.ctx().format_shortcut(key)).unwrap_or_default();
        let button = egui::Button::new(entry.label).shortcut_text(keys);
        let enabled = entry.command.is_enabled(&desk.session, &desk.view);
        if ui.add_enabled(enabled, button).on_hover_text(entry.tip).clicked() {
            wishes.push(Wish::Run(entry.command));
            ui.close();
        }
    }
}

fn quick(ui: &mut Ui, desk: &Desk, wishes: &mut Vec<Wish>) {
    use crate::command::Command;
    let units = if desk.session.plan().title.units.is_metric() { "metres" } else { "feet" };
    let theme = if desk.view.dark { "dark" } else { "light" };
    let buttons = [
        (Command::Theme, theme, "Light or dark paper".to_string()),
        (Command::Units, units, "Feet or metres".to_string()),
        (Command::Redo, "Redo", label("Do again", desk.session.history().redo_label())),
        (Command::Undo, "Undo", label("Take back", desk.session.history().undo_label())),
    ];
    for (command, text, tip) in buttons {
        let enabled = command.is_enabled(&desk.session, &desk.view);
        if ui.add_enabled(enabled, egui::Button::new(text)).on_hover_text(tip).clicked() {
            wishes.push(Wish::Run(command));
        }
    }
}

fn label(verb: &str, what: Option<&str>) -> String {
    what.map_or(verb.to_string(), |what| format!("{verb}: {what}"))
}

/// The tools that draw, with their keys.
pub fn drawing_tools() -> [(Tool, Key, &'static str); 11] {
    [
        (Tool::default(), Key::V, "Choose and move what is drawn"),
        (Tool::Boundary(Boundary::default()), Key::B, "Draw the field's boundary"),
        (Tool::Outlet(PlaceOutlet::default()), Key::O, "Place an outlet at a ditch or creek"),
        (Tool::line(LineKind::Main), Key::M, "Draw a main from the outlet up"),
        (Tool::line(LineKind::Submain), Key::S, "Draw a submain off the main"),
        (Tool::line(LineKind::Lateral), Key::L, "Draw a lateral off a main, up a swale"),
        (Tool::line(LineKind::OldTile(OldTile::default())), Key::T, "Draw old tile, suspected or seen"),
        (Tool::watercourse(WatercourseKind::Ditch), Key::D, "Draw a ditch that the ground file does not show"),
        (Tool::watercourse(WatercourseKind::Culvert), Key::C, "Draw a culvert under a bank"),
        (Tool::Section(Section::default()), Key::P, "See the profile of the ground along a line"),
        (Tool::Drop(FollowDrop), Key::W, "Follow a drop of rain, and see what drains to a place"),
    ]
}

/// Takes a tool by its key.
pub fn tool_keys(ctx: &Context) -> Vec<Wish> {
    let pressed = |key| ctx.input(|input| input.modifiers.is_none() && input.key_pressed(key));
    drawing_tools().into_iter().filter(|(_, key, _)| pressed(*key)).map(|(tool, _, _)| Wish::Take(tool)).collect()
}

/// Stages and tools down the left side.
pub fn bench(ui: &mut Ui, desk: &Desk, wishes: &mut Vec<Wish>) {
    Panel::left("bench").frame(frame(desk, 10, 8)).resizable(false).exact_size(132.0).show(ui, |ui| {
        ui.label(RichText::new("Stage").font(plain(12.0)).color(desk.view.palette().soft_ink));
        for (i, stage) in Stage::ALL.into_iter().enumerate() {
            let text = RichText::new(format!("{}  {}", i + 1, stage.name())).font(bold(14.0));
            let chosen = desk.view.stage == stage;
            if wide(ui, chosen, text).on_hover_text(stage.purpose()).clicked() {
                wishes.push(Wish::Go(stage));
            }
        }
        ui.add_space(14.0);
        ui.label(RichText::new("Tool").font(plain(12.0)).color(desk.view.palette().soft_ink));
        for (tool, key, tip) in drawing_tools() {
            let chosen = desk.tool.name() == tool.name();
            let tip = format!("{tip} ({})", key.name());
            if wide(ui, chosen, RichText::new(tool.name())).on_hover_text(tip).clicked() {
                wishes.push(Wish::Take(tool));
            }
        }
    });
}

fn wide(ui: &mut Ui, chosen: bool, text: RichText) -> egui::Response {
    let width = ui.available_width();
    ui.add(egui::Button::selectable(chosen, text).min_size(vec2(width, 26.0)))
}

/// Position, ground, slope and uphill area at the pointer; length, fall and grade while drawing; the cautions.
pub fn readout(ui: &mut Ui, desk: &mut Desk) {
    Panel::bottom("readout").frame(frame(desk, 14, 5)).show(ui, |ui| {
        let soft = desk.view.palette().soft_ink;
        ui.horizontal(|ui| {
            if let Some(work) = &desk.work {
                let at_work = work.shown();
                progress(ui, at_work);
                if ui.button("Cancel").clicked() {
                    desk.work = None;
                    desk.offer_recovery();
                }
            } else {
                ui.label(RichText::new(pointer_text(desk)).font(plain(13.0)));
            }
            ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
                let pipe = desk.session.plan().title.units.length(desk.session.derived().totals.pipe_m);
                ui.label(RichText::new(format!("pipe {pipe}, estimate")).font(bold(13.0)));
                ui.label(RichText::new(job::words::counted(&desk.session.derived().findings)).font(plain(13.0)));
                if let Some(told) = &desk.told {
                    ui.add(egui::Label::new(RichText::new(told).font(plain(12.0)).color(soft)).truncate());
                }
            });
        });
        ui.label(RichText::new(plan::CAUTION_SHORT).font(plain(11.5)).color(soft));
    });
}

/// What is being done, the step at work and how much of it is done.
fn progress(ui: &mut Ui, (name, progress): (&str, &Progress)) {
    let (step, share) = progress.shown();
    ui.spinner();
    ui.label(if step.is_empty() { name.to_string() } else { format!("{name}: {step}") });
    if let Some(share) = share {
        let percent = format!("{:.0} %", share * 100.0);
        ui.add(egui::ProgressBar::new(share).desired_width(140.0).text(percent));
    }
    // The work tells how far it is; somebody must look.
    ui.ctx().request_repaint_after(std::time::Duration::from_millis(100));
}

fn pointer_text(desk: &Desk) -> String {
    let path = desk.tool.sketch().path;
    if let [.., from, to] = path[..] {
        return segment_text(desk, from, to, measure::path_length(&path));
    }
    let Some(at) = desk.view.pointer else { return desk.tool.hint().to_string() };
    let (units, across) = (desk.session.plan().title.units, ground::plane(desk.session.plan()).unit());
    let mut text = format!("E {}  N {} {}", across.figure(at.x, 0), across.figure(at.y, 0), across.sign());
    let land = desk.session.land();
    let Some(ground) = land.ground.as_deref() else { return text };
    if let Some(level_m) = ground.elevation(at) {
        text.push_str(&format!("   ground {} {}", units.number(level_m, 2), units.sign()));
    }
    if let Some(slope) = ground.slope(at) {
        text.push_str(&format!("   slope {} {}", units.grade(slope.ratio), compass(slope.aspect_deg)));
    }
    let water = land.water.as_deref();
    if let Some(area_m2) = water.and_then(|water| water.uphill_area_m2(ground.grid(), at)) {
        text.push_str(&format!("   {} drain to here", units.area(area_m2)));
    }
    text
}

fn segment_text(desk: &Desk, from: Point, to: Point, whole_m: f64) -> String {
    let units = desk.session.plan().title.units;
    let length_m = distance(from, to);
    let mut text = format!("{} {}", units.length(length_m), compass(bearing(from, to)));
    let level = |at| desk.session.ground().and_then(|ground| ground.elevation(at));
    if let (Some(low), Some(high)) = (level(from), level(to)) {
        let grade = if length_m > 0.0 { (high - low) / length_m } else { 0.0 };
        text.push_str(&format!("   ground rises {}   grade {}", units.depth(high - low), units.grade(grade)));
    }
    format!("{text}   whole line {}", units.length(whole_m))
}

/// The compass direction of a bearing.
fn compass(degrees: f64) -> &'static str {
    const NAMES: [&str; 8] =
        ["north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west"];
    NAMES[((degrees / 45.0).round() as usize) % 8]
}

/// The profile of the chosen line under the map; a station pulled there is fixed.
pub fn profile_strip(ui: &mut Ui, desk: &mut Desk, wishes: &mut Vec<Wish>) {
    Panel::bottom("profile")
        .frame(frame(desk, 12, 6))
        .resizable(true)
        .default_size(220.0)
        .size_range(120.0..=480.0)
        .show(ui, |ui| {
            if desk.view.section.len() > 1 {
                desk.view.station_m = section::show(ui, desk);
                return;
            }
            let lines = &desk.session.derived().plan.lines;
            let shown = desk
                .view
                .selection
                .line()
                .filter(|id| lines.contains_key(id))
                .or_else(|| lines.keys().next().copied());
            let Some(id) = shown else {
                ui.label("The profile of a line stands here once one is drawn.");
                return;
            };
            profile::heading(ui, &desk.session, id, desk.view.palette());
            let size = ui.available_size();
            let answer = profile::chart(ui, &desk.session, &desk.view, id, size);
            if let Some((station_m, invert_m, done)) = answer.pulled {
                let edit = plan::set_pin(desk.session.plan(), id, station_m, Some((invert_m, false)));
                wishes.extend(edit.map(|edit| if done { Wish::Edit(edit) } else { Wish::Gesture(Some(edit)) }));
                if desk.view.selection == Selection::Nothing {
                    wishes.push(Wish::Select(Selection::Line(id)));
                }
            }
            desk.view.station_m = answer.hovered_m.or(desk.view.station_m.filter(|_| desk.view.finding.is_some()));
        });
}

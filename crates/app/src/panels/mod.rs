//! What stands round the map: one function a panel.

mod aim;
mod board;
mod browse;
pub mod card;
pub mod changed;
pub mod dialog;
mod field;
pub mod find;
pub mod found;
pub mod handed_back;
mod keys;
mod layers;
pub mod limits;
mod line_list;
pub mod map;
mod measuring;
mod menu;
mod next;
pub mod outlet_level;
pub mod part;
pub mod preview;
pub mod profile;
mod proposed;
mod rows;
mod section;
pub mod survey;
pub mod system;
pub mod tasks;
mod typed;
pub mod unit;

use std::collections::BTreeMap;
use std::path::PathBuf;

use egui::{Context, Frame, Margin, Panel, RichText, ScrollArea, Ui, vec2};

use measure::{Point, bearing, distance};
use plan::{Line, LineId};

use crate::command::{COMMANDS, Command, Entry, Menu, tools};
use crate::jobs::Shown;
use crate::receiving::Receiving;
use crate::theme::{bold, plain};
use crate::tools::{Sketch, Tool};
use crate::trying::Trying;
use crate::view::{Selection, Stage, View};
use crate::weighing::Weigher;
use crate::wish::Wish;
use checks::Finding;
use job::Session;
use job::ground;
use job::on_file::OnFile;

/// What the panels see. They change the view and the tool in hand; whatever else they want, they ask for.
pub struct Sight<'a> {
    /// The plan and what follows from it.
    pub session: &'a Session,
    /// What is looked at.
    pub view: &'a mut View,
    /// The tool in hand.
    pub tool: &'a mut Tool,
    /// What the findings offer, as far as it is tried.
    pub trying: Option<&'a Trying>,
    /// The choices on old tile, as they are weighed.
    pub weigher: Option<&'a Weigher>,
    /// The receiver that is listened to.
    pub receiving: Option<&'a Receiving>,
    /// The file under the open plan.
    pub file: &'a OnFile,
    /// Plan files that were open, the last one first.
    pub recent: &'a [PathBuf],
    /// True where the last plan is opened at the start.
    pub open_last: bool,
    /// The last thing told.
    pub told: Option<&'a str>,
    /// Tasks beside the window.
    pub jobs: Vec<Shown<'a>>,
    /// Why the ground shown is not laid with the plan's corrections, where that was given up.
    pub former_ground: Option<&'a str>,
}

impl Sight<'_> {
    /// A finding with what came of trying what it offers, where that is known of the plan as it stands.
    pub fn known(&self, finding: &Finding) -> Finding {
        Trying::known(self.trying, self.session, finding)
    }
}

/// Not filled: the window is cleared in the colour of the panels, and would be filled twice.
fn frame(x: i8, y: i8) -> Frame {
    Frame::new().inner_margin(Margin::symmetric(x, y))
}

/// At most so much of the window's width and height for a panel: in a small window, or with large type, the map keeps its room.
pub fn room(ctx: &Context, usual: f32, share: f32) -> f32 {
    usual.min(ctx.content_rect().width() * share)
}

/// The same of the height that head and foot leave, which take up to so many points.
pub fn room_up(ctx: &Context, usual: f32, share: f32) -> f32 {
    const HEAD_AND_FOOT: f32 = 210.0;
    usual.min((ctx.content_rect().height() - HEAD_AND_FOOT).max(0.0) * share)
}

/// Under this width head and foot take a row more rather than cut what they say, points.
const NARROW: f32 = 820.0;

/// What does not fit is scrolled to: up and down, and sideways too where the window is narrow or type is large.
fn scrolling(ctx: &Context) -> ScrollArea {
    ScrollArea::new([ctx.content_rect().width() < NARROW, true])
}

/// Title, menus, undo and redo, units.
pub fn head(ui: &mut Ui, sight: &mut Sight, wishes: &mut Vec<Wish>) {
    Panel::top("head").frame(frame(14, 7)).show(ui, |ui| {
        if ui.available_width() < NARROW {
            ui.horizontal_wrapped(|ui| {
                names_and_menus(ui, sight, wishes);
                quick(ui, sight, wishes);
            });
            return;
        }
        ui.horizontal(|ui| {
            names_and_menus(ui, sight, wishes);
            ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| quick(ui, sight, wishes));
        });
    });
}

/// The plan by its name, and the menus.
fn names_and_menus(ui: &mut Ui, sight: &mut Sight, wishes: &mut Vec<Wish>) {
    let name = RichText::new(&sight.session.plan().title.name).font(bold(17.0));
    ui.label(name);
    let state = if sight.session.history().is_unsaved() { "not saved" } else { "saved" };
    let state = match sight.session.path() {
        None if job::demo::is_one(sight.session.plan()) && state == "saved" => "demo",
        None if state == "saved" => "new",
        _ => state,
    };
    ui.label(RichText::new(state).font(plain(12.0)).color(sight.view.palette().soft_ink));
    ui.add_space(12.0);
    for (menu, name) in [(Menu::Plan, "Plan"), (Menu::Edit, "Edit"), (Menu::View, "View"), (Menu::Help, "Help")] {
        ui.menu_button(name, |ui| menu_rows(ui, sight, menu, wishes));
    }
    layers::menu(ui, sight);
}

/// Plans that were open, and whether the last one is opened at the start.
fn recent_rows(ui: &mut Ui, sight: &Sight, wishes: &mut Vec<Wish>) {
    ui.separator();
    for path in sight.recent.iter().filter(|path| sight.session.path() != Some(path)) {
        let name = path.file_name().unwrap_or(path.as_os_str()).to_string_lossy();
        if ui.button(format!("Open {name}")).on_hover_text(path.display().to_string()).clicked() {
            wishes.push(Wish::Drop(path.clone()));
            ui.close();
        }
    }
    let mut open_last = sight.open_last;
    if ui.checkbox(&mut open_last, "Open the last plan at the start").changed() {
        wishes.push(Wish::OpenLast(open_last));
    }
}

fn menu_rows(ui: &mut Ui, sight: &Sight, menu: Menu, wishes: &mut Vec<Wish>) {
    ui.set_min_width(240.0);
    for entry in COMMANDS.iter().filter(|entry| entry.menu == menu) {
        let keys = entry.keys.first().map(|key| ui.ctx().format_shortcut(key)).unwrap_or_default();
        let button = egui::Button::new(words(entry, sight.session)).shortcut_text(keys);
        let enabled = entry.command.is_enabled(sight.session, sight.view);
        if ui.add_enabled(enabled, button).on_hover_text(entry.tip).clicked() {
            wishes.push(Wish::Run(entry.command));
            ui.close();
        }
    }
    if menu == Menu::Plan {
        recent_rows(ui, sight, wishes);
    }
}

/// What a menu says for a command: Undo and Redo name what they are about.
fn words(entry: &Entry, session: &Session) -> String {
    let what = match entry.command {
        Command::Undo => session.history().undo_label(),
        Command::Redo => session.history().redo_label(),
        _ => None,
    };
    label(entry.label, what)
}

fn quick(ui: &mut Ui, sight: &Sight, wishes: &mut Vec<Wish>) {
    let units = if sight.session.plan().title.units.is_metric() { "meters" } else { "feet" };
    let theme = if sight.view.dark { "dark" } else { "light" };
    let buttons = [
        (Command::Theme, theme, "Light or dark paper".to_string()),
        (Command::Units, units, "Feet or meters".to_string()),
        (Command::Redo, "Redo", label("Redo the last edit", sight.session.history().redo_label())),
        (Command::Undo, "Undo", label("Undo the last edit", sight.session.history().undo_label())),
    ];
    for (command, text, tip) in buttons {
        let enabled = command.is_enabled(sight.session, sight.view);
        if ui.add_enabled(enabled, egui::Button::new(text)).on_hover_text(tip).clicked() {
            wishes.push(Wish::Run(command));
        }
    }
}

fn label(verb: &str, what: Option<&str>) -> String {
    what.map_or(verb.to_string(), |what| format!("{verb}: {what}"))
}

/// Takes a tool by its key.
pub fn tool_keys(ctx: &Context) -> Vec<Wish> {
    let pressed = |key| ctx.input(|input| input.modifiers.is_none() && input.key_pressed(key));
    tools().into_iter().filter(|(_, key, _)| pressed(*key)).map(|(tool, _, _)| Wish::Take(tool)).collect()
}

/// Stages and tools down the left side.
pub fn bench(ui: &mut Ui, sight: &Sight, wishes: &mut Vec<Wish>) {
    Panel::left("bench").frame(frame(10, 8)).resizable(false).exact_size(132.0).show(ui, |ui| {
        tasks::show(ui, &sight.jobs, sight.view.palette(), wishes);
        // What a low window has no room for scrolls; the tasks stay in sight.
        ScrollArea::vertical().auto_shrink([false, false]).show(ui, |ui| stages_and_tools(ui, sight, wishes));
    });
}

fn stages_and_tools(ui: &mut Ui, sight: &Sight, wishes: &mut Vec<Wish>) {
    ui.label(RichText::new("Stage").font(plain(12.0)).color(sight.view.palette().soft_ink));
    for (i, stage) in Stage::ALL.into_iter().enumerate() {
        let text = RichText::new(format!("{}  {}", i + 1, stage.name())).font(bold(14.0));
        let chosen = sight.view.stage == stage;
        if wide(ui, chosen, text).on_hover_text(stage.purpose()).clicked() {
            wishes.push(Wish::Go(stage));
        }
    }
    if sight.view.stage == Stage::Lesson {
        ui.add_space(14.0);
        card::lesson::list(ui, sight, wishes);
    }
    ui.add_space(14.0);
    ui.label(RichText::new("Tool").font(plain(12.0)).color(sight.view.palette().soft_ink));
    for (tool, key, tip) in tools() {
        let chosen = sight.tool.kind().name() == tool.name();
        let tip = format!("{tip} ({})", key.name());
        if wide(ui, chosen, RichText::new(tool.name())).on_hover_text(tip).clicked() {
            wishes.push(Wish::Take(tool));
        }
    }
}

fn wide(ui: &mut Ui, chosen: bool, text: RichText) -> egui::Response {
    let width = ui.available_width();
    ui.add(egui::Button::selectable(chosen, text).min_size(vec2(width, 26.0)))
}

/// Position, ground, slope and uphill area at the pointer; length, fall and grade while drawing; the cautions.
pub fn readout(ui: &mut Ui, sight: &Sight) {
    Panel::bottom("readout").frame(frame(14, 5)).show(ui, |ui| {
        let soft = sight.view.palette().soft_ink;
        if ui.available_width() < NARROW {
            wrapped_readout(ui, sight);
            return;
        }
        ui.horizontal(|ui| {
            ui.scope(|ui| {
                // The counts at the right keep their room.
                ui.set_max_width(ui.available_width() * 0.62);
                ui.add(egui::Label::new(RichText::new(pointer_text(sight)).font(plain(13.0))).truncate());
            });
            ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
                ui.label(RichText::new(pipe_text(sight)).font(bold(13.0)));
                ui.label(RichText::new(job::words::counted(&sight.session.worked().findings)).font(plain(13.0)));
                if let Some(told) = sight.told {
                    ui.add(egui::Label::new(RichText::new(told).font(plain(12.0)).color(soft)).truncate());
                }
            });
        });
        ui.label(RichText::new(plan::CAUTION_SHORT).font(plain(11.5)).color(soft));
    });
}

/// The same in as many lines as it takes.
fn wrapped_readout(ui: &mut Ui, sight: &Sight) {
    let counted = job::words::counted(&sight.session.worked().findings);
    let said = [pointer_text(sight), pipe_text(sight), counted, sight.told.unwrap_or_default().to_string()];
    ui.horizontal_wrapped(|ui| {
        for text in said.iter().filter(|text| !text.is_empty()) {
            ui.label(RichText::new(text).font(plain(13.0)));
        }
    });
    ui.label(RichText::new(plan::CAUTION_SHORT).font(plain(11.5)).color(sight.view.palette().soft_ink));
}

fn pipe_text(sight: &Sight) -> String {
    let pipe = sight.session.plan().title.units.length(sight.session.worked().totals.pipe_m);
    format!("pipe {pipe}, estimate")
}

fn pointer_text(sight: &Sight) -> String {
    if let Some(measured) = measuring::line(sight) {
        return measured;
    }
    let path = sight.tool.sketch().path;
    if let [.., from, to] = path[..] {
        let area = area_text(sight.session.plan().title.units, &sight.tool.sketch());
        return format!("{}{area}", segment_text(sight, from, to, measure::path_length(&path)));
    }
    let Some(at) = sight.view.pointer else { return sight.tool.hint().to_string() };
    let (units, across) = (sight.session.plan().title.units, ground::plane(sight.session.plan()).unit());
    let mut text =
        measure::true_minus(&format!("E {}  N {} {}", across.figure(at.x, 0), across.figure(at.y, 0), across.sign()));
    let land = sight.session.land();
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

/// The area that a ring in hand would hold.
fn area_text(units: measure::Units, sketch: &Sketch) -> String {
    let is_ring = sketch.closed && sketch.path.len() > 2;
    if is_ring { format!("   area {}", units.area(measure::ring_m2(&sketch.path).abs())) } else { String::new() }
}

fn segment_text(sight: &Sight, from: Point, to: Point, whole_m: f64) -> String {
    let units = sight.session.plan().title.units;
    let length_m = distance(from, to);
    let mut text = format!("{} {}", units.length(length_m), compass(bearing(from, to)));
    let level = |at| sight.session.ground().and_then(|ground| ground.elevation(at));
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

/// The profile of the chosen line under the map; a station pulled there is locked.
pub fn profile_strip(ui: &mut Ui, sight: &mut Sight, wishes: &mut Vec<Wish>) {
    if sight.view.stage == Stage::Lesson && board::is_shown(sight.view.lesson.topic) {
        return board::strip(ui, sight);
    }
    let (usual, ctx) = (sight.view.panels.profile.unwrap_or(220.0), ui.ctx());
    let sizes = room_up(ctx, 120.0, 0.35)..=room_up(ctx, 480.0, 0.75);
    let panel = Panel::bottom("profile").frame(frame(12, 6)).resizable(true);
    let shown = panel.default_size(room_up(ctx, usual, 0.4)).size_range(sizes).show(ui, |ui| {
        // With little to show it keeps its height all the same: the map above does not jump once a line is there.
        ui.set_min_height(ui.available_height());
        if sight.view.section.len() > 1 {
            let words = ("Section", "the ground alone, from the first click");
            sight.view.station_m = section::show(ui, sight.session, sight.view.palette(), &sight.view.section, words);
            return;
        }
        let drawn = sight.tool.sketch().path;
        if matches!(sight.tool, Tool::Line(_)) && drawn.len() > 1 {
            let words =
                (sight.tool.kind().name(), "the ground under the line that is being drawn, from its lower end");
            sight.view.station_m = section::show(ui, sight.session, sight.view.palette(), &drawn, words);
            return;
        }
        if sight.view.line_list.open {
            return line_list::show(ui, sight, wishes);
        }
        if sight.view.selection.line().is_none() && sight.view.proposed().is_some() {
            return proposed::show(ui, sight.view);
        }
        let lines = &sight.session.worked().plan.lines;
        let is_at_stage = sight.view.stage == Stage::Grade;
        let gone_to = sight.view.sure.gone_to.filter(|_| is_at_stage && sight.view.selection == Selection::Nothing);
        let shown = sight.view.selection.line().or(gone_to.map(|(id, _)| id));
        let Some(id) = shown.filter(|id| lines.contains_key(id)).or_else(|| first(lines)) else {
            ui.label("The profile of a line stands here once one is drawn.");
            return;
        };
        ui.horizontal(|ui| {
            let all = ui.small_button("All lines").on_hover_text("The list of lines in place of the profile");
            sight.view.line_list.open = all.clicked();
            profile::heading(ui, sight.session.worked().into(), id, sight.view.station_m, sight.view.palette());
        });
        let size = ui.available_size();
        let answer = profile::chart(ui, sight.session.worked().into(), sight.view, id, size);
        if let Some((station_m, level_m, done)) = answer.pulled {
            let highest_m = highest_invert_m(sight.session, id, station_m).unwrap_or(f64::INFINITY);
            let invert_m = level_m.min(highest_m);
            let edit = plan::set_pin(sight.session.plan(), id, station_m, Some((invert_m, false)));
            wishes.extend(edit.map(|edit| if done { Wish::Edit(edit) } else { Wish::Gesture(Some(edit)) }));
            if sight.view.selection == Selection::Nothing {
                wishes.push(Wish::Select(Selection::of(id)));
            }
            if level_m > highest_m {
                wishes.push(Wish::Say(HELD_AT_GROUND.into()));
            }
        }
        let found_m = sight.view.station_m.filter(|_| sight.view.finding.is_some());
        sight.view.station_m = answer.hovered_m.or(gone_to.map(|(_, station_m)| station_m)).or(found_m);
    });
    sight.view.panels.profile = Some(shown.response.rect.height());
}

/// The line whose profile stands there where none is chosen: the first that is new.
fn first(lines: &BTreeMap<LineId, Line>) -> Option<LineId> {
    lines.iter().min_by_key(|(id, line)| (line.kind.is_old(), **id)).map(|(id, _)| *id)
}

/// What is told where a pipe is pulled higher than the ground.
const HELD_AT_GROUND: &str = "The pipe is held at the ground: above it nothing covers it, and no water comes to it.";

/// The invert at which the top of the pipe meets the ground at a station, metres.
fn highest_invert_m(session: &Session, id: LineId, station_m: f64) -> Option<f64> {
    let worked = session.worked().design.lines.get(&id)?;
    Some(worked.ground.level(station_m)? - worked.pipe_at(station_m).top_above_invert_m())
}

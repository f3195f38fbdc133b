//! The window: the order in which a frame is made.

use crate::apply;
use crate::command::COMMANDS;
use crate::desk::{Desk, Habits};
use crate::pace::Pace;
use crate::panels;
use crate::panels::dialog::Dialog;
use crate::saving;
use crate::theme;
use crate::tools::Touch;
use crate::trying::Trying;
use crate::weighing::Weigher;
use crate::wish::Wish;
use eframe::UserEvent;
use egui::{RequestRepaintInfo, mutex::Mutex};
use job::Session;
use job::files;
use job::settings::{self, Settings};
use land::Land;
use measure::Units;
use plan::Plan;
use std::path::Path;
use std::sync::Arc;
use std::time::{Duration, Instant};
use winit::event_loop::EventLoop;

impl Desk {
    /// One frame.
    pub fn show(&mut self, ui: &mut egui::Ui) {
        self.dress(ui.ctx());
        self.dialog = self.dialog.take().or_else(|| self.waiting.pop_front());
        self.follow_gesture(ui.ctx());
        apply::poll(self, ui.ctx());
        apply::relay(self, ui.ctx());
        apply::follow_contours(self, ui.ctx());
        apply::follow_backdrop(self, ui.ctx());
        apply::listen(self);
        apply::follow_rain(self, ui.ctx());
        apply::follow_proposals(self);
        let waker = ui.ctx().clone();
        self.file.follow(self.session.path(), move || waker.request_repaint());
        self.weigher.iter_mut().for_each(Weigher::poll);
        Trying::follow(&mut self.trying, &self.session, ui.ctx());
        let mut wishes = self.keys(ui.ctx());
        wishes.extend(dropped(ui.ctx()));
        // What is dragged is not met by itself, and the rest stays where it is.
        if !self.session.in_gesture() {
            self.snaps.refresh(&self.session);
        }
        let station_m = self.view.station_m;
        self.panels(ui, &mut wishes);
        // What is asked for, and a station that is pointed at in the profile, is seen everywhere in the next frame.
        if self.view.station_m != station_m || wishes.iter().any(|wish| !matches!(wish, Wish::Gesture(_))) {
            ui.ctx().request_repaint();
        }
        for wish in wishes {
            apply::carry_out(self, wish, ui.ctx());
        }
        self.typing = ui.ctx().text_edit_focused();
        self.remember(ui.ctx());
        self.keep(ui.ctx());
        self.closing(ui.ctx());
    }

    /// Shows the newest step of a drag that is worked out beside the window by now.
    fn follow_gesture(&mut self, ctx: &egui::Context) {
        if self.habits.beside && !self.session.is_followed() {
            let waker = ctx.clone();
            self.session.follow_beside(move || waker.request_repaint());
        }
        self.session.take_up();
    }

    /// Everything that is seen; what is asked for there joins the wishes.
    fn panels(&mut self, ui: &mut egui::Ui, wishes: &mut Vec<Wish>) {
        let (mut sight, dialog, map) = self.sight();
        panels::map::follow_pointer(ui, &mut sight, map.0, wishes);
        panels::head(ui, &mut sight, wishes);
        panels::changed::banner(ui, &mut sight, dialog.as_ref(), wishes);
        panels::outlet_level::banner(ui, &mut sight, wishes);
        panels::tasks::former_ground(ui, &sight, wishes);
        panels::readout(ui, &sight);
        panels::bench(ui, &sight, wishes);
        panels::card::show(ui, &mut sight, wishes);
        panels::profile_strip(ui, &mut sight, wishes);
        panels::map::show(ui, &mut sight, map, wishes);
        panels::dialog::show(ui.ctx(), dialog, &mut sight, wishes);
    }

    /// Puts the theme on when it changed.
    fn dress(&mut self, ctx: &egui::Context) {
        if self.dressed.is_none() {
            theme::install_fonts(ctx);
        }
        if self.dressed != Some(self.view.dark) {
            theme::apply(ctx, self.view.palette());
            self.dressed = Some(self.view.dark);
        }
    }

    /// Keys of commands and of the tool in hand; text fields keep their own.
    fn keys(&mut self, ctx: &egui::Context) -> Vec<Wish> {
        if self.typing || ctx.text_edit_focused() || self.dialog.is_some() {
            return Vec::new();
        }
        let pressed = |shortcut: &egui::KeyboardShortcut| ctx.input_mut(|input| input.consume_shortcut(shortcut));
        // Keys with Shift first, or the shorter ones would take theirs.
        let mut keys: Vec<_> =
            COMMANDS.iter().flat_map(|entry| entry.keys.iter().map(|key| (key, entry.command))).collect();
        keys.sort_by_key(|(key, _)| !key.modifiers.shift);
        let commands = keys.into_iter().filter(|(key, _)| pressed(key)).map(|(_, command)| command);
        let mut wishes: Vec<Wish> =
            commands.filter(|command| command.is_enabled(&self.session, &self.view)).map(Wish::Run).collect();
        let on_map = [
            (egui::Key::Enter, Touch::Enter),
            (egui::Key::Escape, Touch::Escape),
            (egui::Key::Backspace, Touch::Backspace),
        ];
        // Enter on a button presses that button, and ends nothing on the map.
        let elsewhere = ctx.memory(|memory| memory.focused()).is_some_and(|id| id != panels::map::id());
        let (mut sight, _, (snaps, _)) = self.sight();
        for (key, touch) in on_map {
            let heard = touch == Touch::Escape || !elsewhere;
            if heard && ctx.input(|input| input.key_pressed(key)) {
                wishes.extend(panels::map::touch(&mut sight, snaps, touch, ctx));
            }
        }
        wishes.extend(panels::tool_keys(ctx));
        wishes
    }

    /// Asks before unsaved work is left.
    fn closing(&mut self, ctx: &egui::Context) {
        if ctx.input(|input| input.viewport().close_requested())
            && !self.may_close
            && self.session.history().is_unsaved()
        {
            ctx.send_viewport_cmd(egui::ViewportCommand::CancelClose);
            self.ask(Dialog::Unsaved { then: None });
        }
    }
}

/// What was dropped on the window.
fn dropped(ctx: &egui::Context) -> Option<Wish> {
    let files = ctx.input(|input| input.raw.dropped_files.clone());
    files.first().map(|file| Wish::Drop(file.path().to_path_buf()))
}

/// The desk in a real window.
struct Window {
    desk: Desk,
    pace: Pace,
}

impl eframe::App for Window {
    fn ui(&mut self, ui: &mut egui::Ui, _frame: &mut eframe::Frame) {
        self.pace.shows();
        self.desk.show(ui);
    }

    fn raw_input_hook(&mut self, _ctx: &egui::Context, input: &mut egui::RawInput) {
        if self.desk.view.pointer.is_some() {
            panels::map::notches(&mut input.events);
        }
        self.pace.takes_in(&input.events);
    }

    /// What the panels would be filled with.
    fn clear_color(&self, _visuals: &egui::Visuals) -> [f32; 4] {
        self.desk.view.palette().panel.to_normalized_gamma_f32()
    }
}

/// The picture beside the window's name.
fn icon() -> egui::IconData {
    let png = include_bytes!("../../../assets/desktop/drainwright.png");
    eframe::icon_data::from_png_bytes(png).unwrap_or_default()
}

/// What the window hears where a frame is asked for.
fn request(info: RequestRepaintInfo) -> UserEvent {
    // A day is longer than anybody waits, and an instant may not hold the longest there is.
    let when = Instant::now() + info.delay.min(Duration::from_secs(86_400));
    UserEvent::RequestRepaint {
        viewport_id: info.viewport_id,
        when,
        cumulative_pass_nr: info.current_cumulative_pass_nr,
    }
}

/// Opens the window; an error when there is no display to open it on. A plan is opened beside it.
pub fn run(plan: Option<&Path>) -> Result<(), String> {
    let (unsaved, slot) = files::unsaved_slot().unzip();
    let place = settings::place();
    let remembered = place.as_deref().map(Settings::read).unwrap_or_default();
    let habits = Habits { native_dialogs: true, unsaved, beside: true, settings: place, opener: None };
    let last = remembered.recent.first().filter(|path| remembered.open_last && path.exists()).cloned();
    let plan = plan.map(Path::to_path_buf).or(last);
    let session = match plan {
        Some(_) => Session::new(Plan::new(files::UNNAMED, Units::Feet), None, Land::without_ground()),
        None => files::demo_session(job::demo::first_plan()).map_err(|error| error.to_string())?,
    };
    let mut desk = Desk::new(session, habits);
    desk.keeping.slot = slot;
    desk.recall(&remembered);
    let viewport = egui::ViewportBuilder::default()
        .with_title("Drainwright")
        .with_app_id("drainwright")
        .with_icon(icon())
        .with_inner_size([1280.0, 860.0])
        .with_min_inner_size([640.0, 480.0]);
    let viewport = match remembered.window {
        Some(place) => viewport.with_inner_size([place.width, place.height]).with_position([place.left, place.top]),
        None => viewport,
    };
    let zoom = remembered.zoom.filter(|zoom| (0.5..=4.0).contains(zoom));
    (desk.settings, desk.settings_written) = (remembered.clone(), remembered);
    // Nothing is drawn in gradients, and dithering is work for every pixel where the processor draws.
    let options = eframe::NativeOptions { viewport, dithering: false, ..eframe::NativeOptions::default() };
    let events = EventLoop::with_user_event().build().map_err(|error| error.to_string())?;
    let (pace, frames) = (Pace::default(), Arc::new(Mutex::new(events.create_proxy())));
    let begin = move |window: &eframe::CreationContext| {
        pace.pass_on(&window.egui_ctx, move |info| drop(frames.lock().send_event(request(info))));
        zoom.iter().for_each(|zoom| window.egui_ctx.set_zoom_factor(*zoom));
        match plan {
            Some(path) => saving::open(&mut desk, &path, &window.egui_ctx),
            None => desk.offer_recovery(&window.egui_ctx),
        }
        Ok(Box::new(Window { desk, pace }) as Box<dyn eframe::App>)
    };
    let mut window = eframe::create_native("Drainwright", options, Box::new(begin), &events);
    events.run_app(&mut window).map_err(|error| error.to_string())
}

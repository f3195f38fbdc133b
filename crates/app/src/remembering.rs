//! What is remembered from one start to the next: noted as it changes, written beside the window.

use std::path::Path;

use egui::Context;
use job::settings::{Settings, WindowPlace};

use crate::desk::Desk;
use crate::view::Layers;

impl Desk {
    /// Notes how the window looks and the plan's file, and writes what changed once nothing is dragged any more.
    pub fn remember(&mut self, ctx: &Context) {
        self.settings.dark = self.view.dark;
        self.settings.layers = self.view.layers.remembered();
        self.settings.legend = self.view.legend;
        self.settings.panels = self.view.panels;
        self.settings.zoom = Some(ctx.zoom_factor()).filter(|zoom| *zoom != 1.0);
        let open = self.session.path().filter(|path| self.settings.recent.first().map(|p| p.as_path()) != Some(path));
        if let Some(path) = open.map(Path::to_path_buf) {
            self.settings.opened(&path);
        }
        let closes = ctx.input(|input| input.viewport().close_requested());
        if closes {
            self.settings.window = window(ctx).or(self.settings.window);
        }
        if closes || !ctx.input(|input| input.pointer.any_down()) {
            self.write_settings(closes);
        }
    }

    /// Looks as it did at the last start.
    pub fn recall(&mut self, settings: &Settings) {
        self.view.dark = settings.dark;
        self.view.layers = Layers::recalled(&settings.layers);
        self.view.legend = settings.legend;
        self.view.panels = settings.panels;
    }

    /// Nobody is told, for nothing hangs on what is remembered; only a window that closes waits for it, or the program would
    /// end first.
    fn write_settings(&mut self, closes: bool) {
        let Some(path) = self.habits.settings.clone().filter(|_| self.settings != self.settings_written) else {
            return;
        };
        let settings = self.settings.clone();
        self.settings_written = settings.clone();
        let write = move || drop(settings.write(&path));
        match self.habits.beside && !closes {
            true => drop(std::thread::spawn(write)),
            false => write(),
        }
    }
}

fn window(ctx: &Context) -> Option<WindowPlace> {
    let (outer, inner) = ctx.input(|input| (input.viewport().outer_rect, input.viewport().inner_rect));
    let (outer, inner) = outer.zip(inner)?;
    // A window is opened before its type is made larger.
    let (outer, inner) = (outer * ctx.zoom_factor(), inner * ctx.zoom_factor());
    Some(WindowPlace { left: outer.min.x, top: outer.min.y, width: inner.width(), height: inner.height() })
}

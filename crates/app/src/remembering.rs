//! What is remembered from one start to the next: noted as it changes, written beside the window.

use std::path::Path;

use egui::Context;
use job::settings::WindowPlace;

use crate::desk::Desk;

impl Desk {
    /// Notes the theme and the plan's file, and writes what changed.
    pub fn remember(&mut self, ctx: &Context) {
        self.settings.dark = self.view.dark;
        self.settings.zoom = Some(ctx.zoom_factor()).filter(|zoom| *zoom != 1.0);
        let open = self.session.path().filter(|path| self.settings.recent.first().map(|p| p.as_path()) != Some(path));
        if let Some(path) = open.map(Path::to_path_buf) {
            self.settings.opened(&path);
        }
        if ctx.input(|input| input.viewport().close_requested()) {
            self.settings.window = window(ctx).or(self.settings.window);
        }
        self.write_settings();
    }

    /// Nothing waits for it, and nobody is told: nothing hangs on what is remembered.
    fn write_settings(&mut self) {
        let Some(path) = self.habits.settings.clone().filter(|_| self.settings != self.settings_written) else {
            return;
        };
        let settings = self.settings.clone();
        self.settings_written = settings.clone();
        let write = move || drop(settings.write(&path));
        match self.habits.beside {
            true => drop(std::thread::spawn(write)),
            false => write(),
        }
    }
}

fn window(ctx: &Context) -> Option<WindowPlace> {
    let (outer, inner) = ctx.input(|input| (input.viewport().outer_rect, input.viewport().inner_rect));
    let (outer, inner) = outer.zip(inner)?;
    Some(WindowPlace { left: outer.min.x, top: outer.min.y, width: inner.width(), height: inner.height() })
}

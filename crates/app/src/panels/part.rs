//! The question which part of a large grid is wanted.

use std::path::PathBuf;

use egui::{RichText, Ui};
use exchange::{FileError, GridHead, ReadOptions};
use measure::thousands;

use super::dialog::{Dialog, title};
use super::unit::UnitAsk;
use crate::wish::Wish;
use job::Session;

/// Margin round the boundary that is offered, metres: swales that lead in from beyond the fence stay in sight (own choice).
const MARGIN_M: f64 = 100.0;
/// Longest side of the part in the middle that is offered, cells (own choice: a large field of 1 m cells).
const MIDDLE_CELLS: usize = 2_000;

/// A grid of which a part is to be chosen.
#[derive(Debug, Clone, PartialEq)]
pub struct PartAsk {
    path: PathBuf,
    options: ReadOptions,
    head: GridHead,
    limit: u64,
    /// West, south, east and north edge as typed.
    edges: [String; 4],
    margin: String,
    trouble: Option<String>,
}

impl PartAsk {
    /// The question about a file that has more cells than `limit`.
    pub fn of(path: PathBuf, options: ReadOptions, limit: u64) -> Result<Self, FileError> {
        let looked = exchange::look_at_grid(&path, &options)?;
        let head = looked.ok_or_else(|| FileError::Unclear {
            found: "no grid".into(),
            expected: "a grid to choose a part of".into(),
        })?;
        let edges = written(middle(&head));
        Ok(Self { path, options, head, limit, edges, margin: String::new(), trouble: None })
    }

    /// What is asked: first the unit, where that of a local grid is not known.
    pub fn asked(self) -> Dialog {
        match self.head.unit_is_known {
            true => Dialog::Part(self.into()),
            false => Dialog::Unit(UnitAsk::new(self.path, self.options).into()),
        }
    }

    /// The question as it is put over a plan: the part round its boundary is offered where it has one.
    pub fn for_plan(mut self, session: &Session) -> Self {
        self.margin = session.plan().title.units.length(MARGIN_M);
        if session.plan().field.is_some() {
            self.take_boundary(session);
        }
        self
    }

    fn take_boundary(&mut self, session: &Session) {
        let units = session.plan().title.units;
        let ring = session.plan().field.iter().flat_map(|field| field.ring.iter().copied()).collect::<Vec<_>>();
        let plane = job::ground::plane(session.plan());
        let of = Some(&plane).filter(|plane| session.ground().is_some() && !plane.is_local());
        let margin = measure::parse_length(&self.margin, units).map_err(|error| error.to_string());
        let edges =
            margin.and_then(|margin_m| self.head.around(&ring, of, margin_m).map_err(|error| error.to_string()));
        self.take(edges);
    }

    fn take(&mut self, edges: Result<[f64; 4], String>) {
        match edges {
            Ok(edges) => (self.edges, self.trouble) = (written(edges), None),
            Err(error) => self.trouble = Some(error),
        }
    }

    /// The edges as typed.
    fn read(&self) -> Result<[f64; 4], String> {
        let mut edges = [0.0; 4];
        for (edge, text) in edges.iter_mut().zip(&self.edges) {
            *edge = text.trim().parse().map_err(|_| format!("'{text}' is not a coordinate of the file"))?;
        }
        let [west, south, east, north] = edges;
        if west < east && south < north {
            Ok(edges)
        } else {
            Err("West lies east of east, or south north of north.".into())
        }
    }

    /// Columns and rows between the edges, about.
    fn cells(&self, [west, south, east, north]: [f64; 4]) -> (f64, f64) {
        let [w, s, e, n] = self.head.extent;
        let part = |low: f64, high: f64, from: f64, to: f64, count: usize| {
            ((high.min(to) - low.max(from)) / (to - from) * count as f64).max(0.0).ceil()
        };
        (part(west, east, w, e, self.head.cols), part(south, north, s, n, self.head.rows))
    }
}

/// The middle of a grid, of a size that is quickly worked on.
fn middle(head: &GridHead) -> [f64; 4] {
    let [west, south, east, north] = head.extent;
    let half = |low: f64, high: f64, count: usize| (high - low) / 2.0 * (MIDDLE_CELLS as f64 / count as f64).min(1.0);
    let (x, y) = (half(west, east, head.cols), half(south, north, head.rows));
    let (across, up) = ((west + east) / 2.0, (south + north) / 2.0);
    [across - x, up - y, across + x, up + y]
}

fn written(edges: [f64; 4]) -> [String; 4] {
    edges.map(|edge| ((edge * 1e6).round() / 1e6).to_string())
}

/// Shows the question.
pub fn show(ui: &mut Ui, session: &Session, wishes: &mut Vec<Wish>, mut ask: Box<PartAsk>) -> Option<Dialog> {
    title(ui, "A large grid: which part of it?");
    let GridHead { cols, rows, .. } = ask.head;
    let [west, south, east, north] = written(ask.head.extent);
    let name = ask.path.file_name().unwrap_or_default().to_string_lossy().into_owned();
    ui.label(format!(
        "{name} has {} × {} cells; up to {} million are worked on at once.",
        thousands(cols as f64, 0),
        thousands(rows as f64, 0),
        ask.limit / 1_000_000
    ));
    ui.label(RichText::new(format!("It reaches from {west}, {south} to {east}, {north}.")).small().weak());
    ui.add_space(6.0);
    offers(ui, session, &mut ask);
    ui.add_space(6.0);
    egui::Grid::new("edges").num_columns(4).show(ui, |ui| {
        for (k, name) in ["West", "South", "East", "North"].into_iter().enumerate() {
            let label = ui.label(name);
            ui.add_sized([150.0, 26.0], egui::TextEdit::singleline(&mut ask.edges[k])).labelled_by(label.id);
            if k == 1 {
                ui.end_row();
            }
        }
    });
    let edges = ask.read();
    let fits = told(ui, &ask, &edges);
    ui.add_space(6.0);
    let buttons = ui.horizontal(|ui| {
        let read = ui.add_enabled(fits, egui::Button::new("Read this part")).clicked();
        (read, ui.button("Cancel").clicked())
    });
    let (read, cancel) = buttons.inner;
    if let (true, Ok(edges)) = (read, edges) {
        let options = ReadOptions { crop_to: Some(edges), ..ask.options };
        wishes.push(Wish::ReadGround(ask.path, options));
        return None;
    }
    (!cancel).then_some(Dialog::Part(ask))
}

/// Buttons that fill in the edges.
fn offers(ui: &mut Ui, session: &Session, ask: &mut PartAsk) {
    let has_field = session.plan().field.is_some();
    ui.horizontal(|ui| {
        if ui.add_enabled(has_field, egui::Button::new("Round the boundary")).clicked() {
            ask.take_boundary(session);
        }
        let label = ui.label("with a margin of");
        ui.add_enabled(has_field, egui::TextEdit::singleline(&mut ask.margin).desired_width(80.0))
            .labelled_by(label.id);
        if ui.button("The middle").clicked() {
            ask.take(Ok(middle(&ask.head)));
        }
    });
    if !has_field {
        ui.label(
            RichText::new("The plan has no boundary yet; with one, the part round it is offered.").small().weak(),
        );
    }
}

/// Tells how large the part is; whether it can be read.
fn told(ui: &mut Ui, ask: &PartAsk, edges: &Result<[f64; 4], String>) -> bool {
    let wrong = ui.visuals().error_fg_color;
    if let Some(trouble) = ask.trouble.as_ref().or(edges.as_ref().err()) {
        ui.colored_label(wrong, trouble);
    }
    let Ok(edges) = edges else { return false };
    let (cols, rows) = ask.cells(*edges);
    let size = format!("{} × {} cells", thousands(cols, 0), thousands(rows, 0));
    let fits = cols * rows <= ask.limit as f64;
    match (cols * rows > 0.0, fits) {
        (true, true) => ui.label(size),
        (true, false) => ui.colored_label(wrong, format!("{size}: still too many")),
        (false, _) => ui.colored_label(wrong, "This rectangle lies beside the grid."),
    };
    fits && cols * rows > 0.0
}

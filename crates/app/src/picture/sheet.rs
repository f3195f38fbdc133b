//! The sheet: title, map, punch list, a profile of every line, totals and cautions.

use checks::Finding;
use egui::{Rect, RichText, Ui, Vec2, pos2, vec2};
use plan::LineId;

use super::Sheet;
use crate::canvas::{self, Caches, Camera, Lens, Pen, severity_mark};
use crate::panels::profile;
use crate::theme::{self, Palette, bold, plain};
use crate::view::{Layers, View};
use job::Session;
use job::ground;

const MARGIN: f32 = 22.0;
const HEAD: f32 = 56.0;
const PROFILE: f32 = 196.0;
/// Between a finding and the one under it, and between the two columns.
const UNDER_FINDING: f32 = 10.0;
const BETWEEN: f32 = 24.0;
/// From a finding's mark to its text.
const BESIDE_MARK: f32 = 30.0;
const FOOT: f32 = 76.0;
/// Findings written out; the rest is counted.
const MOST_FINDINGS: usize = 12;

fn map_height(sheet: Sheet) -> f32 {
    (sheet.width - 2.0 * MARGIN) * 0.58
}

/// A sheet being drawn; drawn more than once while sizes settle.
pub struct Paper<'a> {
    session: &'a Session,
    sheet: Sheet,
    view: View,
    caches: Caches,
}

impl<'a> Paper<'a> {
    /// A sheet of a session.
    pub fn new(session: &'a Session, sheet: Sheet) -> Self {
        let view = View { dark: sheet.dark, layers: Layers::default(), ..View::default() };
        Self { session, sheet, view, caches: Caches::default() }
    }

    fn palette(&self) -> &'static Palette {
        self.view.palette()
    }

    /// Height of the whole sheet, points.
    pub fn height(&self, ui: &Ui) -> f32 {
        let profiles = self.session.plan().lines.len().div_ceil(2) as f32 * PROFILE;
        let findings: f32 = self.rows(ui).iter().sum();
        MARGIN + HEAD + map_height(self.sheet) + 40.0 + findings + 34.0 + profiles + FOOT + MARGIN
    }

    /// The findings that are written out.
    fn written(&self) -> &[Finding] {
        let findings = self.session.worked().tried();
        &findings[..findings.len().min(MOST_FINDINGS)]
    }

    /// Width of a column of findings, points.
    fn column(&self) -> f32 {
        (self.sheet.width - 2.0 * MARGIN - BETWEEN) / 2.0
    }

    /// Heights of the rows of the punch list, points: as the longer of the two findings in each asks.
    fn rows(&self, ui: &Ui) -> Vec<f32> {
        let tall = |text: String, font| {
            let wrap = self.column() - BESIDE_MARK;
            ui.painter().layout(text, font, self.palette().ink, wrap).size().y
        };
        let height = |finding: &Finding| tall("Finding".into(), bold(13.0)) + tall(finding.text(), plain(12.0));
        let row = |pair: &[Finding]| pair.iter().map(height).fold(0.0, f32::max) + 2.0 + UNDER_FINDING;
        let rows: Vec<f32> = self.written().chunks(2).map(row).collect();
        if rows.is_empty() { vec![tall("Nothing found.".into(), plain(13.0)) + UNDER_FINDING] } else { rows }
    }

    /// Draws everything.
    pub fn show(&mut self, ui: &mut Ui) {
        theme::apply(ui.ctx(), self.palette());
        let whole = ui.ctx().content_rect();
        ui.painter().rect_filled(whole, 0.0, self.palette().panel);
        let inner = whole.shrink(MARGIN);
        self.head(ui, inner);
        let map =
            Rect::from_min_size(inner.left_top() + vec2(0.0, HEAD), vec2(inner.width(), map_height(self.sheet)));
        self.map(ui, map);
        let below = self.findings(ui, Rect::from_min_max(pos2(map.left(), map.bottom() + 12.0), inner.max));
        self.profiles(ui, Rect::from_min_max(pos2(map.left(), below), inner.max));
        self.foot(ui, Rect::from_min_max(pos2(inner.left(), inner.bottom() - FOOT), inner.max));
    }

    fn head(&self, ui: &Ui, rect: Rect) {
        let worked = self.session.worked();
        let units = worked.plan.title.units;
        let palette = self.palette();
        ui.painter().text(rect.left_top(), egui::Align2::LEFT_TOP, &worked.plan.title.name, bold(24.0), palette.ink);
        let mut facts = format!("{} of new pipe", units.length(worked.totals.pipe_m));
        if let Some(area_m2) = worked.totals.field_area_m2 {
            facts = format!("{}  ·  {facts}", units.area(area_m2));
        }
        if let Some(contours) = self.session.contours() {
            facts = format!("{facts}  ·  contours every {}", units.depth(contours.interval_m));
        }
        let at = rect.left_top() + vec2(0.0, 31.0);
        ui.painter().text(at, egui::Align2::LEFT_TOP, facts, plain(14.0), palette.soft_ink);
        let counted = job::words::counted(&worked.findings);
        ui.painter().text(
            rect.right_top() + vec2(0.0, 6.0),
            egui::Align2::RIGHT_TOP,
            counted,
            bold(15.0),
            palette.ink,
        );
        let unit = ground::plane(&worked.plan).unit().words();
        let words = |ground: &plan::GroundRef| format!("{}, {unit}  ·  {}", ground.crs, datum(&ground.datum));
        let ground = worked.plan.ground.as_ref().map(words);
        let at = rect.right_top() + vec2(0.0, 31.0);
        ui.painter().text(at, egui::Align2::RIGHT_TOP, ground.unwrap_or_default(), plain(12.0), palette.soft_ink);
    }

    fn map(&mut self, ui: &Ui, rect: Rect) {
        let (low, high) = self.session.frame();
        self.view.camera = Camera::fit(low, high, rect.size());
        let painter = ui.painter().with_clip_rect(rect);
        let lens = Lens { camera: self.view.camera, rect };
        let pen =
            Pen { painter: &painter, lens, palette: self.view.palette(), session: self.session, view: &self.view };
        canvas::paint(&pen, &mut self.caches);
        ui.painter().rect_stroke(rect, 0.0, egui::Stroke::new(1.0, self.palette().edge), egui::StrokeKind::Inside);
    }

    /// Writes the punch list in two columns; where it ends.
    fn findings(&self, ui: &mut Ui, rect: Rect) -> f32 {
        let palette = self.palette();
        let (findings, rows) = (self.written(), self.rows(ui));
        ui.painter().text(rect.left_top(), egui::Align2::LEFT_TOP, "Punch list", bold(16.0), palette.ink);
        let top = rect.top() + 28.0;
        if findings.is_empty() {
            ui.painter().text(
                pos2(rect.left(), top),
                egui::Align2::LEFT_TOP,
                "Nothing found.",
                plain(13.0),
                palette.soft_ink,
            );
            return top + rows.iter().sum::<f32>();
        }
        let mut below = top;
        for (row, pair) in findings.chunks(2).enumerate() {
            for (side, finding) in pair.iter().enumerate() {
                let corner = pos2(rect.left() + side as f32 * (self.column() + BETWEEN), below);
                let number = (2 * row + side + 1).to_string();
                severity_mark(ui.painter(), palette, corner + vec2(12.0, 11.0), 10.0, finding.severity, &number);
                let size = vec2(self.column() - BESIDE_MARK, rows[row]);
                let text = Rect::from_min_size(corner + vec2(BESIDE_MARK, 0.0), size);
                ui.scope_builder(egui::UiBuilder::new().max_rect(text), |ui| {
                    ui.spacing_mut().item_spacing.y = 2.0;
                    ui.add(egui::Label::new(RichText::new(&finding.title).font(bold(13.0))).truncate());
                    ui.label(RichText::new(finding.text()).font(plain(12.0)).color(palette.soft_ink));
                });
            }
            below += rows[row];
        }
        let more = self.session.worked().findings.len() - findings.len();
        if more > 0 {
            let more = format!("and {more} more");
            ui.painter().text(rect.right_top(), egui::Align2::RIGHT_TOP, more, plain(13.0), palette.soft_ink);
        }
        below
    }

    fn profiles(&self, ui: &mut Ui, rect: Rect) {
        ui.painter().text(
            rect.left_top(),
            egui::Align2::LEFT_TOP,
            "Profiles, from the downstream end up",
            bold(16.0),
            self.palette().ink,
        );
        let size = vec2((rect.width() - 24.0) / 2.0, PROFILE - 16.0);
        for (i, id) in self.order().into_iter().enumerate() {
            let corner =
                pos2(rect.left() + (i % 2) as f32 * (size.x + 24.0), rect.top() + 26.0 + (i / 2) as f32 * PROFILE);
            self.profile(ui, id, Rect::from_min_size(corner, size));
        }
    }

    /// Mains first, then by name, as a person looks for them.
    fn order(&self) -> Vec<LineId> {
        let lines = &self.session.worked().plan.lines;
        let mut order: Vec<LineId> = lines.keys().copied().collect();
        let rank = |id: &LineId| match lines[id].kind {
            plan::LineKind::Main => 0,
            plan::LineKind::Submain => 1,
            plan::LineKind::Lateral => 2,
            plan::LineKind::OldTile(_) => 3,
        };
        order.sort_by(|a, b| rank(a).cmp(&rank(b)).then_with(|| lines[a].name.cmp(&lines[b].name)));
        order
    }

    fn profile(&self, ui: &mut Ui, id: LineId, rect: Rect) {
        ui.scope_builder(egui::UiBuilder::new().max_rect(rect), |ui| {
            ui.push_id(id.0, |ui| {
                profile::heading(ui, self.session.worked().into(), id, None, self.palette());
                profile::chart(
                    ui,
                    self.session.worked().into(),
                    &self.view,
                    id,
                    Vec2::new(rect.width(), rect.height() - 22.0),
                );
            });
        });
    }

    fn foot(&self, ui: &mut Ui, rect: Rect) {
        ui.scope_builder(egui::UiBuilder::new().max_rect(rect), |ui| {
            ui.label(RichText::new(plan::CAUTION).font(plain(11.5)).color(self.palette().soft_ink));
        });
    }
}

fn datum(datum: &str) -> String {
    if datum.is_empty() { "datum not stated".into() } else { format!("datum {datum}") }
}

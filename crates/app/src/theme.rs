//! The look: the only file with colours and fonts.

use std::sync::Arc;

use checks::Severity;
use drawing::{MarkSort, Pipe, Role};
use egui::{Color32, FontData, FontDefinitions, FontFamily, FontId, Stroke, TextStyle};
use plan::LineKind;

use crate::layers::Tint;

/// Bold text.
pub const BOLD: &str = "bold";

/// Colours of one theme. Fills and lines under ink may be pale; text colours keep 4.5:1 against paper and panel.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Palette {
    /// True for the dark theme.
    pub dark: bool,
    /// The map's paper.
    pub paper: Color32,
    /// Everything round the map.
    pub panel: Color32,
    /// Edges of panels and cards.
    pub edge: Color32,
    /// Text and the strongest lines.
    pub ink: Color32,
    /// Text of less weight.
    pub soft_ink: Color32,
    /// Contours.
    pub contour: Color32,
    /// Index contours.
    pub index_contour: Color32,
    /// Levels written on contours: darker than the lines, so that they can be read.
    pub contour_ink: Color32,
    /// Swales and low ground.
    pub water: Color32,
    /// Mains and submains.
    pub main: Color32,
    /// Laterals.
    pub lateral: Color32,
    /// Old tile.
    pub old_tile: Color32,
    /// Blocks digging.
    pub to_fix: Color32,
    /// Needs a decision.
    pub to_decide: Color32,
    /// The one thing to do next; a fill, never a text colour.
    pub next: Color32,
    /// Where the pipe may lie.
    pub band: Color32,
}

const fn hex(rgb: u32) -> Color32 {
    Color32::from_rgb((rgb >> 16) as u8, (rgb >> 8) as u8, rgb as u8)
}

/// Paper in daylight.
pub const LIGHT: Palette = Palette {
    dark: false,
    paper: hex(0xFBF8F1),
    panel: hex(0xF2EDE0),
    edge: hex(0xCFC6AF),
    ink: hex(0x1F2A33),
    soft_ink: hex(0x56616B),
    contour: hex(0xB9986A),
    index_contour: hex(0x85612F),
    contour_ink: hex(0x6E4E22),
    water: hex(0x23699F),
    main: hex(0x10273B),
    lateral: hex(0x1D6C8C),
    old_tile: hex(0x8C4A2F),
    to_fix: hex(0xA8201A),
    to_decide: hex(0x8F5300),
    next: hex(0xD98E04),
    band: hex(0xDFE7E8),
};

/// The same at night.
pub const DARK: Palette = Palette {
    dark: true,
    paper: hex(0x12181D),
    panel: hex(0x1A2228),
    edge: hex(0x3A454D),
    ink: hex(0xECE6D8),
    soft_ink: hex(0xA3ADB5),
    contour: hex(0x6E5D42),
    index_contour: hex(0xA98C5C),
    contour_ink: hex(0xCDB383),
    water: hex(0x62B5EA),
    main: hex(0xF6EFDF),
    lateral: hex(0x7CCBE8),
    old_tile: hex(0xE09A72),
    to_fix: hex(0xFF8A80),
    to_decide: hex(0xFFC04D),
    next: hex(0xE8B64A),
    band: hex(0x1F2D34),
};

/// How a line is drawn: told apart by weight and dash as well as colour.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LineLook {
    /// Its colour.
    pub colour: Color32,
    /// Its width, points.
    pub width: f32,
    /// Dash and gap, points; `None` for a full line.
    pub dash: Option<(f32, f32)>,
}

/// A sign at a place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Sign {
    /// None.
    Nothing,
    /// A disc.
    Disc,
    /// A square.
    Square,
    /// A square on its corner.
    Diamond,
    /// An upright triangle.
    Triangle,
}

/// How things of a role are drawn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Look {
    /// Colour of its line, its sign, its filling.
    pub colour: Color32,
    /// Width of its line, points.
    pub width: f32,
    /// Dash and gap, points; a dash of nothing is a dot; `None` for a full line.
    pub dash: Option<(f32, f32)>,
    /// Its sign and the radius of that, points.
    pub sign: (Sign, f32),
    /// Colour and font of its words.
    pub words: (Color32, f32, bool),
    /// What has more of it lies over what has less, whatever order they come in.
    pub lift: u8,
}

impl Look {
    /// Colour and font of its words.
    pub fn words(&self) -> (Color32, FontId) {
        let (colour, size, heavy) = self.words;
        (colour, if heavy { bold(size) } else { plain(size) })
    }
}

impl Palette {
    /// How a line of that kind is drawn.
    pub fn line(&self, kind: LineKind) -> LineLook {
        self.pipe(Pipe::of(kind))
    }

    /// How such a pipe is drawn.
    pub fn pipe(&self, pipe: Pipe) -> LineLook {
        let full = |colour, width| LineLook { colour, width, dash: None };
        let old = |dash| LineLook { colour: self.old_tile, width: 2.6, dash: Some(dash) };
        match pipe {
            Pipe::Main => full(self.main, 5.0),
            Pipe::Submain => full(self.main, 3.6),
            Pipe::Lateral => full(self.lateral, 2.8),
            Pipe::SeenTile => old((11.0, 5.0)),
            Pipe::SuspectedTile => old((3.0, 5.0)),
        }
    }

    /// How things of a role are drawn in a profile.
    pub fn look(&self, role: Role) -> Look {
        let line = |colour, width, lift| Look {
            colour,
            width,
            dash: None,
            sign: (Sign::Nothing, 0.0),
            words: (self.ink, 12.0, true),
            lift,
        };
        let broken = |colour, width, dash, lift| Look { dash: Some(dash), ..line(colour, width, lift) };
        let sign = |pipe, sign, lift| Look { sign, ..line(self.pipe(pipe).colour, 0.0, lift) };
        let words = |colour, size, bold| Look { words: (colour, size, bold), ..line(colour, 0.0, 20) };
        match role {
            Role::Band => line(self.band, 0.0, 0),
            Role::CoverLimit => broken(self.faint(self.soft_ink, 0.7), 1.0, (5.0, 8.0), 0),
            Role::GroundName => Look { lift: 1, ..words(self.contour_ink, 12.0, true) },
            Role::Ground => line(self.index_contour, 2.2, 2),
            Role::NoGround => {
                Look { words: (self.to_fix, 12.0, true), ..line(self.faint(self.soft_ink, 0.15), 0.0, 3) }
            }
            Role::NoDig => line(self.faint(self.to_fix, 0.3), 0.0, 3),
            Role::Protected => line(self.faint(self.to_decide, 0.4), 0.0, 3),
            Role::Mark(sort) => Look { words: (self.ink, 12.0, false), ..self.mark(sort, 4) },
            Role::Line(pipe) => {
                let look = self.pipe(pipe);
                Look { words: (self.ink, 12.0, false), dash: look.dash, ..line(look.colour, look.width, 4) }
            }
            Role::PipeTop(pipe) => line(self.faint(self.pipe(pipe).colour, 0.55), 1.0, 5),
            Role::Invert(pipe) => line(self.pipe(pipe).colour, 3.0, 6),
            Role::WaterLevel => broken(self.faint(self.water, 0.9), 1.6, (0.0, 4.0), 7),
            Role::GradeBreak(pipe) => sign(pipe, (Sign::Triangle, 6.0), 8),
            Role::Bend(pipe) => sign(pipe, (Sign::Disc, 3.2), 9),
            Role::Enters(pipe) => sign(pipe, (Sign::Diamond, 5.5), 10),
            Role::Pin(pipe) => sign(pipe, (Sign::Square, 5.0), 11),
            Role::Fault(severity) => line(self.severity(severity), 5.0, 12),
            Role::Reach(pipe) => words(self.pipe(pipe).colour, 12.0, false),
            Role::AdverseReach => words(self.to_fix, 12.0, false),
            Role::ReachEnd | Role::Joint => Look { sign: (Sign::Disc, 3.2), ..line(self.ink, 1.0, 12) },
        }
    }

    /// How a mark on the land is drawn.
    fn mark(&self, sort: MarkSort, lift: u8) -> Look {
        let (colour, dash) = match sort {
            MarkSort::Utility | MarkSort::Overhead => (self.to_fix, Some((10.0, 3.0))),
            MarkSort::Irrigation | MarkSort::Spring => (self.water, Some((10.0, 3.0))),
            MarkSort::Wet => (self.water, Some((7.0, 4.0))),
            MarkSort::Road | MarkSort::Footing => (self.soft_ink, None),
            MarkSort::Rows | MarkSort::Easement => (self.soft_ink, Some((3.0, 4.0))),
            MarkSort::Other => (self.soft_ink, Some((6.0, 3.0))),
        };
        let width = if dash.is_some() { 2.0 } else { 4.0 };
        Look { colour, width, dash, sign: (Sign::Disc, 6.0), words: (self.ink, 12.0, false), lift }
    }

    /// Colour of a survey batch; batches are told apart by shape too.
    pub fn batch(&self, batch: usize) -> Color32 {
        [self.ink, self.lateral, self.old_tile, self.contour_ink, self.water][batch % 5]
    }

    /// Colour of a severity.
    pub fn severity(&self, severity: Severity) -> Color32 {
        match severity {
            Severity::Block => self.to_fix,
            Severity::Decide => self.to_decide,
            Severity::Note => self.soft_ink,
        }
    }

    /// The relief at a shade from 1 (dark) to 255 (lit): paper, darker or lighter.
    pub fn relief(&self, shade: u8) -> Color32 {
        let lit = (shade as f32 / 255.0).clamp(0.0, 1.0);
        let (low, high) = if self.dark { (hex(0x0A0E11), hex(0x2A333A)) } else { (hex(0xC9BFA6), hex(0xFFFDF8)) };
        low.lerp_to_gamma(high, lit)
    }

    /// A colour seen through: for tints over the map.
    pub fn faint(&self, colour: Color32, share: f32) -> Color32 {
        colour.gamma_multiply(share)
    }

    /// Colour of a class of a tint, 1 the least of `of`: slope in the hue of the contours, depth in that of water.
    pub fn tint(&self, tint: Tint, class: usize, of: usize) -> Color32 {
        let hue = if tint == Tint::Depth { self.water } else { self.index_contour };
        self.faint(hue, 0.06 + 0.5 * class as f32 / of.max(1) as f32)
    }

    /// The other end of the scale from ink, for text on ink-coloured fills.
    pub fn on_ink(&self) -> Color32 {
        self.paper
    }

    /// Text on the fill of the one thing to do next.
    pub fn on_next(&self) -> Color32 {
        hex(0x1F2A33)
    }
}

/// Text in the plain face.
pub fn plain(size: f32) -> FontId {
    FontId::new(size, FontFamily::Proportional)
}

/// Text in the bold face.
pub fn bold(size: f32) -> FontId {
    FontId::new(size, FontFamily::Name(BOLD.into()))
}

/// Installs the fonts; once a context.
pub fn install_fonts(ctx: &egui::Context) {
    let mut fonts = FontDefinitions::empty();
    let faces: [(&str, &'static [u8]); 2] = [
        ("regular", include_bytes!("../../../assets/fonts/B612-Regular.otf")),
        (BOLD, include_bytes!("../../../assets/fonts/B612-Bold.otf")),
    ];
    for (name, bytes) in faces {
        fonts.font_data.insert(name.into(), Arc::new(FontData::from_static(bytes)));
    }
    for family in [FontFamily::Proportional, FontFamily::Monospace] {
        fonts.families.insert(family, vec!["regular".into()]);
    }
    fonts.families.insert(FontFamily::Name(BOLD.into()), vec![BOLD.into(), "regular".into()]);
    ctx.set_fonts(fonts);
}

/// Applies a palette to all widgets.
pub fn apply(ctx: &egui::Context, palette: &Palette) {
    let theme = if palette.dark { egui::Theme::Dark } else { egui::Theme::Light };
    ctx.set_theme(theme);
    ctx.style_mut_of(theme, |style| {
        for (text, size) in [
            (TextStyle::Small, 12.0),
            (TextStyle::Body, 14.0),
            (TextStyle::Button, 14.0),
            (TextStyle::Monospace, 13.0),
        ] {
            style.text_styles.insert(text, plain(size));
        }
        style.text_styles.insert(TextStyle::Heading, bold(17.0));
        style.spacing.button_padding = egui::vec2(9.0, 5.0);
        style.spacing.item_spacing = egui::vec2(8.0, 6.0);
        style.spacing.interact_size.y = 26.0;
        paint_widgets(&mut style.visuals, palette);
    });
}

fn paint_widgets(visuals: &mut egui::Visuals, palette: &Palette) {
    visuals.dark_mode = palette.dark;
    visuals.panel_fill = palette.panel;
    visuals.window_fill = palette.panel;
    visuals.window_stroke = Stroke::new(1.0, palette.edge);
    visuals.extreme_bg_color = palette.paper;
    visuals.faint_bg_color = palette.band;
    visuals.override_text_color = Some(palette.ink);
    visuals.weak_text_color = Some(palette.soft_ink);
    visuals.hyperlink_color = palette.water;
    visuals.warn_fg_color = palette.to_decide;
    visuals.error_fg_color = palette.to_fix;
    visuals.selection.bg_fill = palette.faint(palette.water, 0.35);
    visuals.selection.stroke = Stroke::new(1.5, palette.ink);
    let widgets = &mut visuals.widgets;
    let states = [
        &mut widgets.noninteractive,
        &mut widgets.inactive,
        &mut widgets.hovered,
        &mut widgets.active,
        &mut widgets.open,
    ];
    for state in states {
        state.fg_stroke = Stroke::new(1.2, palette.ink);
        state.bg_stroke = Stroke::new(1.0, palette.edge);
        state.corner_radius = 3.0.into();
        state.weak_bg_fill = palette.paper;
        state.bg_fill = palette.paper;
    }
    visuals.widgets.noninteractive.bg_fill = palette.panel;
    visuals.widgets.hovered.bg_stroke = Stroke::new(1.5, palette.ink);
    visuals.widgets.active.bg_stroke = Stroke::new(2.0, palette.ink);
    visuals.widgets.active.weak_bg_fill = palette.band;
    visuals.widgets.hovered.weak_bg_fill = palette.band;
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Relative luminance and contrast as WCAG 2.1 defines them.
    fn contrast(a: Color32, b: Color32) -> f32 {
        let channel = |v: u8| {
            let v = v as f32 / 255.0;
            if v <= 0.04045 { v / 12.92 } else { ((v + 0.055) / 1.055).powf(2.4) }
        };
        let luminance = |c: Color32| 0.2126 * channel(c.r()) + 0.7152 * channel(c.g()) + 0.0722 * channel(c.b());
        let (a, b) = (luminance(a), luminance(b));
        (a.max(b) + 0.05) / (a.min(b) + 0.05)
    }

    #[test]
    fn every_text_colour_can_be_read_on_paper_panel_and_band() {
        for palette in [LIGHT, DARK] {
            let texts = [
                palette.ink,
                palette.soft_ink,
                palette.contour_ink,
                palette.water,
                palette.lateral,
                palette.old_tile,
                palette.to_fix,
                palette.to_decide,
            ];
            for text in texts {
                for ground in [palette.paper, palette.panel, palette.band] {
                    assert!(contrast(text, ground) >= 4.5, "{text:?} on {ground:?}: {}", contrast(text, ground));
                }
            }
            assert!(contrast(palette.on_next(), palette.next) >= 4.5);
        }
    }

    /// A role that were drawn in nothing would be missed by nobody.
    #[test]
    fn every_role_has_a_look_that_is_seen() {
        for palette in [LIGHT, DARK] {
            for role in Role::all() {
                let look = palette.look(role);
                assert!(look.colour.a() > 0 && look.colour != palette.paper, "{role:?}");
                assert!(contrast(look.words.0, palette.paper) >= 4.5, "{role:?}");
            }
        }
    }
}

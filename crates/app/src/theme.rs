//! The look: the only file with colours and fonts.

use std::sync::Arc;

use checks::Severity;
use drawing::{MarkSort, Marking, Pipe, Role, Taught};
use egui::{Color32, FontData, FontDefinitions, FontFamily, FontId, Stroke, TextStyle};

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
    /// What is proposed and not yet drawn.
    pub proposed: Color32,
    /// The one thing to do next; a fill, never a text colour.
    pub next: Color32,
    /// Where the pipe may lie.
    pub band: Color32,
    /// Soil that holds its field capacity.
    pub soil: Color32,
    /// Soil that is full of water.
    pub full_soil: Color32,
    /// Soil that lets no water through.
    pub tight_soil: Color32,
    /// Leaves.
    pub leaf: Color32,
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
    proposed: hex(0x6B3FA0),
    next: hex(0xD98E04),
    band: hex(0xDFE7E8),
    soil: hex(0xE9DFC6),
    full_soil: hex(0xB4C3C6),
    tight_soil: hex(0xCDBFA0),
    leaf: hex(0x77904E),
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
    proposed: hex(0xC7A6F7),
    next: hex(0xE8B64A),
    band: hex(0x1F2D34),
    soil: hex(0x3A3326),
    full_soil: hex(0x24404F),
    tight_soil: hex(0x2B2419),
    leaf: hex(0x6E8A48),
};

/// A sign at a place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Sign {
    /// None.
    Nothing,
    /// A disc.
    Disc,
    /// A disc with a rim of paper so wide, points.
    Rimmed(f32),
    /// A circle so thick, points.
    Circle(f32),
    /// A circle on paper so thick, points.
    Open(f32),
    /// The same with a dot in it.
    Dotted,
    /// A bar across the end of a line.
    Bar,
    /// A short slanting stroke, as rain falls.
    Streak,
    /// A square.
    Square,
    /// A square on its corner.
    Diamond,
    /// An upright triangle.
    Triangle,
    /// A wedge, wide toward the lower end of a line.
    Wedge,
    /// A square on its corner with a hole, as outlets have it.
    Outlet,
    /// An upright triangle with a dot, as on maps.
    Benchmark,
    /// A circle on paper with cross hairs.
    Target,
    /// The mark of a batch of the survey.
    Batch(u8),
    /// The mark of a severity, with its number.
    Severity(Severity),
}

/// What stands along a path.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Trim {
    /// Nothing.
    Plain,
    /// Ticks across it, as on a ditch's banks.
    Ticks,
    /// Wing walls at both ends.
    Flares,
    /// Arrow heads toward where it begins, in place of the path.
    Arrows,
}

/// How a path shows that it is chosen.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Choice {
    /// It never is.
    Never,
    /// A strip so wide under it, points.
    Strip(f32),
    /// A line so wide, points.
    Wider(f32),
}

/// How things of a role are drawn: lines are told apart by weight and dash as well as colour.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Look {
    /// Colour of its line, its sign, its tint.
    pub colour: Color32,
    /// Width of its line, points.
    pub width: f32,
    /// Dash and gap in turn, points; a dash of nothing is a dot; empty for a full line.
    pub dash: &'static [f32],
    /// A line under it, and one on it: width, points, and colour.
    pub under: Option<(f32, Color32)>,
    /// The one on it.
    pub over: Option<(f32, Color32)>,
    /// How it shows that it is chosen.
    pub chosen: Choice,
    /// The filling of an area.
    pub fill: Color32,
    /// A code letter, and the color of its marks on the ground.
    pub code: Option<(&'static str, Option<Color32>)>,
    /// What stands along it.
    pub trim: Trim,
    /// Its sign and the radius of that, points.
    pub sign: (Sign, f32),
    /// Colour, size in points and weight of its words.
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
    /// How things of a role are drawn.
    pub fn look(&self, role: Role) -> Look {
        match role {
            Role::Line(pipe) => self.pipe(pipe),
            // The pale line in it keeps it from being taken for a ditch.
            Role::Solid(pipe) => Look { trim: Trim::Ticks, over: Some((1.0, self.paper)), ..self.pipe(pipe) },
            Role::OutletPipe(pipe) => {
                let look = self.pipe(pipe);
                Look { lift: look.lift, ..self.full(self.paper, look.width - 2.4) }
            }
            Role::Flow(pipe) => Look { trim: Trim::Arrows, under: None, ..self.pipe(pipe) },
            Role::CappedEnd(pipe) => self.end(pipe, Sign::Bar),
            Role::OpenEnd(pipe) => self.end(pipe, Sign::Open(1.6)),
            Role::Reducer(pipe) => {
                let look = self.sign(self.pipe(pipe).colour, Sign::Wedge, 8.0);
                Look { lift: self.pipe(pipe).lift + 1, ..look }
            }
            Role::Mark(sort) => Look { code: self.code(role), ..self.mark(sort) },
            Role::Taught(what) => self.taught(what),
            Role::Doubt => {
                let edge = self.broken(self.faint(self.old_tile, 0.5), 1.0, &[2.0, 4.0]);
                Look { fill: self.faint(self.old_tile, 0.1), ..edge }
            }
            Role::Protected => self.full(self.faint(self.to_decide, 0.4), 9.0),
            Role::NoDig => self.broken(self.faint(self.to_fix, 0.3), 9.0, &[8.0, 4.0]),
            Role::Joint | Role::ReachEnd => self.sign(self.ink, Sign::Disc, 3.2),
            Role::Outlet => Look { words: (self.ink, 13.0, true), ..self.sign(self.main, Sign::Outlet, 9.0) },
            Role::Stretch(severity) => {
                // Told apart by dash too: full, long, short.
                let dash: &[f32] = match severity {
                    Severity::Block => &[],
                    Severity::Decide => &[14.0, 4.0],
                    Severity::Note => &[4.0, 4.0],
                };
                Look { under: Some((9.0, self.paper)), ..self.broken(self.severity(severity), 6.0, dash) }
            }
            Role::Finding(severity) => {
                let look = self.sign(self.severity(severity), Sign::Severity(severity), 10.0);
                Look { words: (look.colour, 13.0, true), ..look }
            }
            Role::Boundary => {
                Look { chosen: Choice::Wider(3.0), ..self.broken(self.ink, 1.8, &[16.0, 5.0, 2.5, 5.0]) }
            }
            Role::Contour => self.full(self.contour, 0.8),
            Role::IndexContour => {
                Look { words: (self.contour_ink, 11.0, false), ..self.full(self.index_contour, 1.5) }
            }
            Role::HoleEdge => self.full(self.faint(self.to_decide, 0.8), 1.4),
            Role::BreakLine => self.full(self.faint(self.ink, 0.55), 1.0),
            Role::Swale => self.full(self.faint(self.water, 0.62), 2.2),
            Role::Depression => self.full(self.faint(self.water, 0.24), 0.0),
            Role::Ditch => Look { trim: Trim::Ticks, chosen: Choice::Strip(11.0), ..self.full(self.water, 2.2) },
            Role::Culvert => {
                let (over, chosen) = (Some((3.0, self.paper)), Choice::Strip(11.0));
                Look { trim: Trim::Flares, over, chosen, ..self.full(self.water, 6.4) }
            }
            Role::FlowPathLand => self.full(self.faint(self.next, 0.3), 0.0),
            Role::FlowPath => self.on_paper(4.6, self.broken(self.water, 2.6, &[7.0, 4.0])),
            Role::FlowPathFoot => {
                Look { words: (self.ink, 13.0, true), ..self.sign(self.water, Sign::Rimmed(2.0), 6.0) }
            }
            Role::ProposedMain => self.proposed(5.0, &[16.0, 6.0]),
            Role::ProposedLateral => self.proposed(3.0, &[9.0, 5.0]),
            Role::Section => self.on_paper(4.2, self.broken(self.ink, 1.8, &[2.0, 3.0])),
            Role::SectionStart => self.sign(self.ink, Sign::Rimmed(1.5), 4.5),
            Role::Shot(batch) => self.sign(self.batch(batch.into()), Sign::Batch(batch), 4.0),
            Role::SmallShot(batch) => self.sign(self.batch(batch.into()), Sign::Batch(batch), 2.0),
            Role::Outlier => {
                let look = self.sign(self.to_decide, Sign::Circle(2.0), 15.0);
                Look { words: (self.to_decide, 12.0, true), ..look }
            }
            Role::Benchmark => Look { code: self.code(role), ..self.sign(self.ink, Sign::Benchmark, 9.0) },
            Role::WantedShot => Look { words: (self.ink, 13.0, true), ..self.sign(self.ink, Sign::Target, 4.5) },
            Role::RainDrop => self.sign(self.faint(self.water, 0.7), Sign::Streak, 8.0),
            Role::RunningDrop => self.sign(self.faint(self.water, 0.9), Sign::Disc, 1.7),
            Role::Pond => self.full(self.faint(self.water, 0.5), 0.0),
            Role::Running(class) => self.full(self.faint(self.water, 0.85), 1.4 + 1.3 * f32::from(class)),
            Role::Guess => self.full(self.faint(self.next, 0.7), 9.0),
            Role::PipeWater => self.sign(self.water, Sign::Open(1.4), 2.5),
            Role::Band
            | Role::CoverLimit
            | Role::Ground
            | Role::GroundName
            | Role::NoGround
            | Role::Invert(_)
            | Role::PipeTop(_)
            | Role::WaterLevel
            | Role::OutletWater
            | Role::GradeBreak(_)
            | Role::Bend(_)
            | Role::Pin(_)
            | Role::Enters(_)
            | Role::Fault(_)
            | Role::Reach(_)
            | Role::AdverseReach
            | Role::AsDug
            | Role::DugShot
            | Role::OffShot => self.in_profile(role),
        }
    }

    /// How what stands in a profile alone is drawn, from the ground up.
    fn in_profile(&self, role: Role) -> Look {
        let lifted = |lift, look| Look { lift, ..look };
        let words = |colour, look| Look { words: (colour, 12.0, false), ..look };
        let sign = |pipe, sign, radius| self.sign(self.pipe(pipe).colour, sign, radius);
        match role {
            Role::CoverLimit => self.broken(self.faint(self.soft_ink, 0.7), 1.0, &[5.0, 8.0]),
            Role::GroundName => lifted(1, self.full(self.contour_ink, 0.0)),
            Role::Ground => lifted(2, self.full(self.index_contour, 2.2)),
            Role::NoGround => {
                let look = self.full(self.faint(self.soft_ink, 0.15), 0.0);
                lifted(3, Look { words: (self.to_fix, 12.0, true), ..look })
            }
            Role::PipeTop(pipe) => lifted(5, self.full(self.faint(self.pipe(pipe).colour, 0.55), 1.0)),
            Role::Invert(pipe) => lifted(6, self.full(self.pipe(pipe).colour, 3.0)),
            Role::WaterLevel => lifted(7, self.broken(self.faint(self.water, 0.9), 1.6, &[0.0, 4.0])),
            Role::OutletWater => lifted(7, self.broken(self.water, 1.4, &[10.0, 4.0])),
            Role::GradeBreak(pipe) => lifted(8, sign(pipe, Sign::Triangle, 6.0)),
            Role::Bend(pipe) => lifted(9, sign(pipe, Sign::Disc, 3.2)),
            Role::Enters(pipe) => lifted(10, sign(pipe, Sign::Diamond, 5.5)),
            Role::Pin(pipe) => lifted(11, sign(pipe, Sign::Square, 5.0)),
            Role::Fault(severity) => lifted(12, self.full(self.severity(severity), 5.0)),
            Role::Reach(pipe) => lifted(13, words(self.ink, self.full(self.pipe(pipe).colour, 0.0))),
            Role::AsDug => lifted(14, self.broken(self.ink, 2.0, &[3.0])),
            Role::DugShot => lifted(15, self.sign(self.ink, Sign::Disc, 4.0)),
            Role::OffShot => {
                let look = self.sign(self.to_fix, Sign::Square, 6.0);
                lifted(15, Look { words: (self.to_fix, 13.0, true), ..look })
            }
            Role::AdverseReach => lifted(13, words(self.to_fix, self.full(self.to_fix, 0.0))),
            // The band the pipe may lie in; all others have their row above.
            _ => self.full(self.band, 0.0),
        }
    }

    fn full(&self, colour: Color32, width: f32) -> Look {
        Look {
            colour,
            width,
            dash: &[],
            under: None,
            over: None,
            chosen: Choice::Never,
            fill: Color32::TRANSPARENT,
            code: None,
            trim: Trim::Plain,
            sign: (Sign::Nothing, 0.0),
            words: (self.ink, 12.0, true),
            lift: 0,
        }
    }

    fn broken(&self, colour: Color32, width: f32, dash: &'static [f32]) -> Look {
        Look { dash, ..self.full(colour, width) }
    }

    fn sign(&self, colour: Color32, sign: Sign, radius: f32) -> Look {
        Look { sign: (sign, radius), ..self.full(colour, 0.0) }
    }

    fn on_paper(&self, width: f32, look: Look) -> Look {
        Look { under: Some((width, self.faint(self.paper, 0.85))), ..look }
    }

    /// How a line is drawn that is only proposed; it lies over what is drawn.
    fn proposed(&self, width: f32, dash: &'static [f32]) -> Look {
        let words = (self.proposed, 12.0, true);
        Look { words, lift: 9, ..self.on_paper(width + 3.0, self.broken(self.proposed, width, dash)) }
    }

    /// How a line of pipe is drawn; new pipe lies over old.
    fn pipe(&self, pipe: Pipe) -> Look {
        let look = match pipe {
            Pipe::Main => self.full(self.main, 5.0),
            Pipe::Submain => self.full(self.main, 3.6),
            Pipe::Lateral => self.full(self.lateral, 2.8),
            Pipe::ProvedTile => self.broken(self.old_tile, 2.8, &[18.0, 4.0, 3.0, 4.0]),
            Pipe::SeenTile => self.broken(self.old_tile, 2.6, &[11.0, 5.0]),
            Pipe::SuspectedTile => self.broken(self.old_tile, 2.6, &[3.0, 5.0]),
        };
        let under = Some((look.width + 3.0, self.faint(self.paper, 0.9)));
        Look {
            under,
            chosen: Choice::Strip(look.width + 8.0),
            words: (look.colour, 13.0, true),
            lift: if pipe.is_old() { 3 } else { 4 },
            ..look
        }
    }

    /// How the upper end of a line is drawn.
    fn end(&self, pipe: Pipe, sign: Sign) -> Look {
        let look = self.pipe(pipe);
        Look { lift: look.lift, ..self.sign(look.colour, sign, look.width * 0.5 + 3.0) }
    }

    /// How a mark on the land is drawn.
    fn mark(&self, sort: MarkSort) -> Look {
        let look = match sort {
            MarkSort::Utility(_) | MarkSort::Irrigation => self.broken(self.ink, 1.8, &[10.0, 3.0]),
            MarkSort::Overhead => self.broken(self.ink, 1.4, &[22.0, 6.0]),
            MarkSort::Spring => self.broken(self.water, 2.0, &[10.0, 3.0]),
            MarkSort::Wet => Look { fill: self.faint(self.water, 0.25), ..self.broken(self.water, 2.0, &[7.0, 4.0]) },
            MarkSort::Road => self.full(self.soft_ink, 4.0),
            MarkSort::Footing => Look { over: Some((3.0, self.paper)), ..self.full(self.soft_ink, 6.4) },
            MarkSort::Rows => self.broken(self.soft_ink, 2.0, &[3.0, 4.0]),
            MarkSort::Easement => self.broken(self.soft_ink, 2.0, &[14.0, 4.0, 3.0, 4.0]),
            MarkSort::Other => self.broken(self.soft_ink, 2.0, &[6.0, 3.0]),
        };
        Look {
            chosen: Choice::Strip(10.0),
            sign: (Sign::Dotted, 6.0),
            words: (self.ink, 12.0, false),
            lift: 4,
            ..look
        }
    }

    /// How a thing on a drawing for a class is drawn.
    fn taught(&self, what: Taught) -> Look {
        let area = |colour| Look { fill: colour, ..self.full(colour, 0.0) };
        let said = |look| Look { words: (self.ink, 14.0, false), ..look };
        match what {
            Taught::HeldWater => area(self.soil),
            Taught::FullSoil => area(self.full_soil),
            Taught::TightSoil => area(self.tight_soil),
            Taught::AirPore => self.sign(self.water, Sign::Open(1.0), 2.6),
            Taught::WaterPore => self.sign(self.faint(self.water, 0.85), Sign::Disc, 2.6),
            Taught::FormerTable => said(self.broken(self.water, 1.6, &[6.0, 5.0])),
            Taught::WaterTable => self.full(self.water, 3.2),
            Taught::Root => self.full(self.contour_ink, 1.3),
            Taught::Stem => self.full(self.contour_ink, 3.0),
            Taught::Leaves => self.sign(self.leaf, Sign::Disc, 10.0),
            Taught::RootDepth => said(self.broken(self.to_decide, 2.2, &[10.0, 6.0])),
            Taught::Drain => self.sign(self.lateral, Sign::Open(3.2), 8.0),
            Taught::Bore => area(self.band),
            Taught::Running => area(self.water),
            Taught::Standing => area(self.faint(self.water, 0.7)),
            Taught::Wall => self.full(self.ink, 2.0),
            Taught::SiltLine => self.broken(self.to_decide, 2.6, &[9.0, 5.0]),
            Taught::Words => said(self.full(self.ink, 0.0)),
        }
    }

    /// A color of the code for marking utilities, the same on light and dark paper: it stands beside its letter in ink.
    pub const fn marking(&self, marking: Marking) -> Color32 {
        hex(match marking {
            Marking::Red => 0xC8102E,
            Marking::Yellow => 0xFFD100,
            Marking::Orange => 0xFF8200,
            Marking::Blue => 0x0057B8,
            Marking::Green => 0x00843D,
            Marking::Purple => 0x8031A7,
            Marking::Pink => 0xF59BBB,
        })
    }

    fn code(&self, role: Role) -> Option<(&'static str, Option<Color32>)> {
        role.code().map(|(letter, marking)| (letter, marking.map(|marking| self.marking(marking))))
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

    /// Colour of a class of a tint, 1 the least of `of`: slope in the hue of the contours, depth and days wet in that of water.
    pub fn tint(&self, tint: Tint, class: usize, of: usize) -> Color32 {
        let hue = if matches!(tint, Tint::Depth | Tint::DaysWet) { self.water } else { self.index_contour };
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

/// A grey of print, 0 for black, on paper that is white in every theme.
pub fn printed(grey: u8) -> Color32 {
    Color32::from_gray(grey)
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
                palette.proposed,
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
                // Pipe at an outlet is paper on its line.
                let is_paper = look.colour == palette.paper && !matches!(role, Role::OutletPipe(_));
                assert!(look.colour.a() > 0 && !is_paper, "{role:?}");
                assert!(contrast(look.words.0, palette.paper) >= 4.5, "{role:?}");
            }
        }
    }
}

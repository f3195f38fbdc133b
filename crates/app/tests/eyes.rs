//! The map as people see it whose eyes lack one of three pigments: whatever is not told apart by shape, dash or weight is
//! told apart by its color, and what is drawn stands out from the paper.
//!
//! Simulated by the matrices of G. M. Machado, M. M. Oliveira and L. A. F. Fernandes, "A Physiologically-based Model for
//! Simulation of Color Vision Deficiency", IEEE Transactions on Visualization and Computer Graphics 15 (6), 2009, for a
//! severity of 1.0, on linear RGB. Differences are CIE 1976 ΔE*ab under D65; 2.3 is a just noticeable one (M. Mahy,
//! L. Van Eycken, A. Oosterlinck, 1994).

use std::collections::BTreeSet;

use app::picture::{self, Sheet};
use app::theme::{DARK, LIGHT, Look, Palette, Sign};
use drawing::{Form, Item, Role, Scene, legend};
use egui::Color32;
use measure::Point;

const PROTANOPIA: [[f64; 3]; 3] =
    [[0.152286, 1.052583, -0.204868], [0.114503, 0.786281, 0.099216], [-0.003882, -0.048116, 1.051998]];
const DEUTERANOPIA: [[f64; 3]; 3] =
    [[0.367322, 0.860646, -0.227968], [0.280085, 0.672501, 0.047413], [-0.011820, 0.042940, 0.968881]];
const TRITANOPIA: [[f64; 3]; 3] =
    [[1.255528, -0.076749, -0.178779], [-0.078411, 0.930809, 0.147602], [0.004733, 0.691367, 0.303900]];
const FULL: [[f64; 3]; 3] = [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]];

const EYES: [(&str, [[f64; 3]; 3]); 4] =
    [("full", FULL), ("protanopia", PROTANOPIA), ("deuteranopia", DEUTERANOPIA), ("tritanopia", TRITANOPIA)];

/// Four times what is just noticed.
const APART: f64 = 9.2;
/// Lines that differ by so much in width are told apart by weight, screen points: a third of a lateral's.
const WEIGHT: f32 = 1.0;

fn linear(channel: u8) -> f64 {
    let value = f64::from(channel) / 255.0;
    if value <= 0.04045 { value / 12.92 } else { ((value + 0.055) / 1.055).powf(2.4) }
}

/// CIE L*a*b* of a color as an eye sees it.
fn lab(color: Color32, eye: &[[f64; 3]; 3]) -> [f64; 3] {
    let rgb = [color.r(), color.g(), color.b()].map(linear);
    let times = |matrix: &[[f64; 3]; 3], from: [f64; 3]| {
        matrix.map(|row| row.iter().zip(from).map(|(m, v)| m * v).sum::<f64>())
    };
    let seen = times(eye, rgb).map(|value| value.clamp(0.0, 1.0));
    // sRGB to XYZ over the white of D65 (IEC 61966-2-1).
    let to_xyz = [[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]];
    let [x, y, z] = times(&to_xyz, seen);
    let f = |t: f64| if t > 216.0 / 24389.0 { t.cbrt() } else { (24389.0 / 27.0 * t + 16.0) / 116.0 };
    let [fx, fy, fz] = [f(x / 0.9505), f(y), f(z / 1.089)];
    [116.0 * fy - 16.0, 500.0 * (fx - fy), 200.0 * (fy - fz)]
}

fn difference(a: Color32, b: Color32, eye: &[[f64; 3]; 3]) -> f64 {
    let (a, b) = (lab(a, eye), lab(b, eye));
    a.iter().zip(b).map(|(a, b)| (a - b) * (a - b)).sum::<f64>().sqrt()
}

#[test]
fn the_sums_are_those_of_the_standards() {
    // White is white to every eye but for rounding; black to white is 100; red and green of like lightness come near to each
    // other without their pigments.
    for (name, eye) in &EYES {
        assert!((lab(Color32::WHITE, eye)[0] - 100.0).abs() < 0.2, "{name}");
        assert!((difference(Color32::BLACK, Color32::WHITE, eye) - 100.0).abs() < 0.5, "{name}");
    }
    let (red, green) = (Color32::from_rgb(200, 60, 60), Color32::from_rgb(106, 120, 30));
    assert!(difference(red, green, &FULL) > 60.0);
    assert!(difference(red, green, &DEUTERANOPIA) < 25.0);
}

/// A color seen through, on paper.
fn on_paper(color: Color32, palette: &Palette) -> Color32 {
    let left = 1.0 - f32::from(color.a()) / 255.0;
    let mix = |over: u8, under: u8| (f32::from(over) + f32::from(under) * left).round().min(255.0) as u8;
    let paper = palette.paper;
    Color32::from_rgb(mix(color.r(), paper.r()), mix(color.g(), paper.g()), mix(color.b(), paper.b()))
}

/// What a role is called in the legend, as a line or an area, else as a sign.
fn word(role: Role, look: &Look) -> Option<&'static str> {
    let at = Point::new(0.0, 0.0);
    let is_sign = look.sign.0 != Sign::Nothing && !matches!(role, Role::Mark(_));
    let form = if is_sign { Form::Sign(at, at) } else { Form::Words(at) };
    legend(&Scene { time_s: None, items: vec![Item::new(role, form)] }).first().map(|key| key.word)
}

/// True where two looks differ in something that is no color.
fn told_by_shape(one: &Look, other: &Look) -> bool {
    let is_sign = |look: &Look| look.sign.0 != Sign::Nothing && look.width == 0.0;
    let is_area = |look: &Look| look.width == 0.0 && !is_sign(look);
    let is_filled = |look: &Look| look.fill != Color32::TRANSPARENT;
    let shape = |look: &Look| {
        (is_sign(look), is_area(look), is_filled(look), look.trim, look.over.is_some(), look.dash.to_vec())
    };
    let letter = |look: &Look| look.code.map(|(letter, _)| letter);
    let signs = is_sign(one) && one.sign.0 != other.sign.0;
    shape(one) != shape(other) || letter(one) != letter(other) || signs || (one.width - other.width).abs() >= WEIGHT
}

#[test]
fn what_is_not_told_apart_by_shape_is_told_apart_by_color() {
    for palette in [LIGHT, DARK] {
        let named = Role::all().into_iter().filter_map(|role| {
            let look = palette.look(role);
            Some((role, word(role, &look)?, look))
        });
        // Paper on its line is told by the line.
        let drawn: Vec<(Role, &str, Look)> =
            named.filter(|(role, ..)| !matches!(role, Role::OutletPipe(_))).collect();
        assert!(drawn.len() > 40);
        let mut alike = Vec::new();
        for (i, (role, word, look)) in drawn.iter().enumerate() {
            let others = drawn[i + 1..].iter().filter(|(_, other, _)| other != word);
            for (other, _, others_look) in others.filter(|(.., other)| !told_by_shape(look, other)) {
                let [a, b] = [look, others_look].map(|look| on_paper(look.colour, &palette));
                for (name, eye) in &EYES {
                    let apart = difference(a, b, eye);
                    let theme = if palette.dark { "dark" } else { "light" };
                    if apart < APART {
                        alike.push(format!("{role:?} and {other:?}, {name}, {theme}: {apart:.1}"));
                    }
                }
            }
        }
        assert!(alike.is_empty(), "{alike:#?}");
    }
}

fn pixels(dark: bool) -> Vec<Color32> {
    let session = job::files::demo_session(job::demo::first_plan()).expect("the demo field");
    let bytes = picture::draw(&session, Sheet { width: 700.0, dark }).expect("a picture");
    let mut reader = png::Decoder::new(std::io::Cursor::new(bytes)).read_info().expect("a PNG");
    let mut samples = vec![0; reader.output_buffer_size().expect("a size")];
    let info = reader.next_frame(&mut samples).expect("pixels");
    let step = info.color_type.samples();
    samples[..info.buffer_size()].chunks_exact(step).map(|p| Color32::from_rgb(p[0], p[1], p[2])).collect()
}

/// In the demo map as it is drawn: lines, findings and water stand out from the paper and the relief on it, to every eye.
#[test]
fn what_is_drawn_stands_out_from_the_ground() {
    for palette in [LIGHT, DARK] {
        let drawn: BTreeSet<[u8; 4]> = pixels(palette.dark).iter().map(Color32::to_array).collect();
        let reliefs: Vec<Color32> = (1..=255).map(|shade| palette.relief(shade)).collect();
        let reliefs: Vec<Color32> = reliefs.into_iter().filter(|relief| drawn.contains(&relief.to_array())).collect();
        assert!(reliefs.len() > 20, "the relief is in the picture: {}", reliefs.len());
        let colors = [
            ("main", palette.main),
            ("lateral", palette.lateral),
            ("old tile", palette.old_tile),
            ("ink", palette.ink),
            ("to fix", palette.to_fix),
        ];
        for (what, color) in colors {
            assert!(drawn.contains(&color.to_array()), "{what} is in the picture");
            for (name, eye) in &EYES {
                let ground = reliefs.iter().chain([&palette.paper]);
                let least = ground.map(|ground| difference(color, *ground, eye)).fold(f64::INFINITY, f64::min);
                assert!(least >= 3.0 * APART, "{what}, {name}: {least:.1}");
            }
        }
    }
}

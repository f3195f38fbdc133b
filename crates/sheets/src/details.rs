//! Details to scale from the plan's own figures: outlets, a section of the trench, joints, what stands on lines; and what
//! pipe and envelope are to be.

use std::collections::BTreeSet;

use design::{Joint, LineDesign, Pipe};
use measure::Units;
use plan::{Envelope, Joins, Line, LineId, Outlet, OutletId, SOURCES, Slots, Structure, StructureKind};
use takeoff::PipeUse;

use crate::book::Making;
use crate::flow::{Column, Flow};
use crate::labels::Rect;
use crate::page::{Align, Page, Part, Stroke};
use crate::sketch::{Mark, Sketch};

/// Least width and height of a detail, millimetres: two by two stand on the smallest sheet that lies.
const CELL: (f64, f64) = (122.0, 68.0);
/// Most joints and most structures that are drawn: one for each pair of sizes, one of each kind.
const MOST: usize = 6;
/// What is said on every page of details.
const CAUTION: &str = "Drawn to scale from the plan's figures, where a scale is given. Not for structural design: walls, loads and bedding \
     under roads are an engineer's.";

const WALL: Stroke = Stroke::black(0.35);
const GROUND: Stroke = Stroke::black(0.6);

impl Making<'_> {
    /// The details, and the specification of pipe and envelope.
    pub(crate) fn details(&self) -> Vec<Page> {
        let outlets = self.work.plan.outlets.iter().filter_map(|(id, outlet)| self.outlet_sketch(*id, outlet));
        let sketches: Vec<Sketch> = outlets
            .chain(self.trench_sketch())
            .chain(self.joint_sketches())
            .chain(self.change_sketches())
            .chain(self.structure_sketches())
            .collect();
        let (_, (_, _, w, h)) = self.page(self.work.paper.lying_mm(), "Details");
        let most = (((w / CELL.0) as usize).max(1), (((h - 6.0) / CELL.1) as usize).max(1));
        let pages = sketches.chunks(most.0 * most.1);
        let mut pages: Vec<Page> =
            pages.map(|some| self.details_page(some, grid(some.len(), most, (w, h - 6.0)))).collect();
        pages.extend(self.pipe_specification());
        pages
    }

    fn details_page(&self, sketches: &[Sketch], (columns, rows): (usize, usize)) -> Page {
        let (mut page, (x, y, w, h)) = self.page(self.work.paper.lying_mm(), "Details");
        let cell = (w / columns as f64, (h - 6.0) / rows as f64);
        for (i, sketch) in sketches.iter().enumerate() {
            let at = (x + cell.0 * (i % columns) as f64, y + cell.1 * (i / columns) as f64);
            self.detail(&mut page, (at.0, at.1, cell.0 - 4.0, cell.1 - 3.0), sketch);
        }
        let size_pt = self.fitting_pt(CAUTION, (8.0, 7.0), true, w);
        page.text((x, y + h - 1.5), size_pt, true, Align::Left, CAUTION);
        page
    }

    /// A detail with its title, its scale in words and its notes.
    fn detail(&self, page: &mut Page, (x, y, w, h): Rect, sketch: &Sketch) {
        const NOTE: f64 = 3.4;
        let units = self.work.plan.title.units;
        let notes_mm = |count: usize| NOTE * count as f64 + 1.0;
        let wrapped = |notes: &[String]| {
            notes.iter().flat_map(|note| self.ink.wrap(note, 7.5, false, w - 4.0)).collect::<Vec<_>>()
        };
        // Words that find no room in the drawing are said below it, for which a line is kept.
        let mut notes = wrapped(&sketch.notes);
        let room = (w, h - 10.0 - notes_mm(notes.len() + 1));
        let scale = sketch.scale(room, units);
        let first = page.items.len();
        page.rect((x, y, w, h), Some(Stroke::grey(0.2, 150)), None);
        page.text((x + 2.0, y + 4.5), 9.0, true, Align::Left, self.cut_short(&sketch.title, 9.0, true, w - 4.0));
        let words = crate::scale::words(scale, units);
        page.text((x + 2.0, y + 8.5), 7.5, false, Align::Left, words);
        let (items, left_out) = sketch.drawn(&self.ink, (x, y + 10.0, w, room.1), scale);
        page.items.extend(items);
        if !left_out.is_empty() {
            notes.extend(wrapped(&[left_out.join("; ")]).into_iter().take(1));
        }
        for (k, note) in notes.iter().enumerate() {
            let y_mm = y + h - notes_mm(notes.len()) + NOTE * (k as f64 + 0.8);
            page.text((x + 2.0, y_mm), 7.5, false, Align::Left, note.clone());
        }
        page.part_since(first, Part::Figure(format!("Detail to scale: {}", sketch.title)));
    }

    /// The end of a line at an open outlet: bank, waters, the rigid pipe with its guard.
    fn outlet_sketch(&self, id: OutletId, outlet: &Outlet) -> Option<Sketch> {
        let plan = self.work.plan;
        let (line, _) = plan.lines.iter().find(|(_, line)| line.joins == Joins::Outlet(id))?;
        let worked = self.work.design.lines.get(line).filter(|_| outlet.is_open())?;
        let invert_m = self.work.design.outlet_invert_m(id, outlet);
        Some(
            OutletEnd { outlet, worked, invert_m, units: plan.title.units, usual_run: plan.criteria.bank_run }
                .sketch(),
        )
    }

    /// The trench where it is deepest.
    fn trench_sketch(&self) -> Option<Sketch> {
        let (plan, units, criteria) = (self.work.plan, self.work.plan.title.units, &self.work.plan.criteria);
        let new = plan.lines.iter().filter(|(_, line)| !line.kind.is_old());
        let deepest = new.filter_map(|(id, line)| {
            let worked = self.work.design.lines.get(id)?;
            Some((line, worked, worked.deepest_trench(criteria.bedding_m)?))
        });
        let (line, worked, deepest) = deepest.max_by(|one, other| one.2.value_m.total_cmp(&other.2.value_m))?;
        let pipe = worked.pipe_at(deepest.station_m);
        let (depth_m, half_m) = (deepest.value_m, criteria.trench_width_m / 2.0);
        let invert_m = -depth_m + criteria.bedding_m + pipe.wall_m();
        let mut sketch = Sketch {
            title: format!("Trench where it is deepest: {} at {}", line.name, self.station(deepest.station_m)),
            ..Sketch::default()
        };
        sketch.rect((-half_m, -depth_m), (2.0 * half_m, depth_m), None, Some(244));
        if criteria.bedding_m > 0.0 {
            sketch.rect((-half_m, -depth_m), (2.0 * half_m, criteria.bedding_m), Some(Stroke::black(0.2)), Some(200));
            sketch.says(
                (half_m, -depth_m + criteria.bedding_m / 2.0),
                format!("bedding {}", units.depth(criteria.bedding_m)),
            );
        }
        envelope(&mut sketch, line, pipe, invert_m, half_m);
        pipe_across(&mut sketch, pipe, (0.0, invert_m));
        for x in [-half_m, half_m] {
            sketch.line(&[(x, 0.0), (x, -depth_m)], WALL);
        }
        sketch.line(&[(-half_m, -depth_m), (half_m, -depth_m)], WALL);
        sketch.line(&[(-half_m * 2.2, 0.0), (-half_m, 0.0)], GROUND);
        sketch.line(&[(half_m, 0.0), (half_m * 2.2, 0.0)], GROUND);
        for (limit_m, what) in
            [(criteria.ladder_trench_m, "ladder or ramp"), (criteria.protected_trench_m, "protected")]
        {
            if limit_m <= depth_m + design::ON_LIMIT_M {
                sketch
                    .line(&[(-half_m * 1.3, -limit_m), (half_m * 1.9, -limit_m)], Stroke::dashed(0.25, &[2.0, 1.0]));
                sketch.says((half_m * 1.9, -limit_m), format!("{}: {what} below", units.depth(limit_m)));
            } else {
                sketch.notes.push(format!("Trench {} or deeper ({what}): none.", units.depth(limit_m)));
            }
        }
        let top_m = invert_m + pipe.top_above_invert_m();
        sketch.marks.push(Mark::Up(-half_m * 2.0, (-depth_m, 0.0), format!("trench {}", units.depth(depth_m))));
        sketch.marks.push(Mark::Up(half_m * 1.45, (top_m, 0.0), format!("cover {}", units.depth(-top_m))));
        sketch.marks.push(Mark::Across(
            0.12 * depth_m,
            (-half_m, half_m),
            format!("width {}", units.depth(2.0 * half_m)),
        ));
        sketch.says((pipe.outside_m() / 2.0, invert_m), pipe_words(pipe, units));
        sketch.notes.extend(self.fill_words(line));
        Some(sketch)
    }

    /// What the trench is filled with, as far as it is asked for.
    fn fill_words(&self, line: &Line) -> Option<String> {
        let fills = [
            (line.bed.permeable_backfill, "permeable backfill over the pipe"),
            (self.work.plan.brief.blinding, "blinding over the pipe"),
        ];
        let words: Vec<&str> = fills.iter().filter(|(asked, _)| *asked).map(|(_, words)| *words).collect();
        (!words.is_empty()).then(|| format!("Asked for: {}.", words.join(", ")))
    }

    /// A joint for each pair of sizes, across the main.
    fn joint_sketches(&self) -> Vec<Sketch> {
        let mut seen = BTreeSet::new();
        let new = self.work.design.joints.iter().filter(|joint| !joint.in_line);
        let sketches = new.filter_map(|joint| {
            let pair = self.pipes_of(joint)?;
            let micro = |pipe: &Pipe| (pipe.size_m * 1e6) as i64;
            seen.insert((micro(pair.0), micro(pair.1))).then(|| self.joint_sketch(joint, pair)).flatten()
        });
        sketches.take(MOST).collect()
    }

    /// The pipe of the main at a joint and that of the branch.
    fn pipes_of(&self, joint: &Joint) -> Option<(&Pipe, &Pipe)> {
        let (main, branch) = (self.work.design.lines.get(&joint.main)?, self.work.design.lines.get(&joint.branch)?);
        Some((main.pipe_at(joint.station_m), branch.pipe_at(0.0)))
    }

    fn joint_sketch(&self, joint: &Joint, (main, branch): (&Pipe, &Pipe)) -> Option<Sketch> {
        let units = self.work.plan.title.units;
        let (main_m, branch_m) = joint.main_invert_m.zip(joint.branch_invert_m)?;
        let name = |id: &LineId| self.work.plan.lines.get(id).map_or("", |line| line.name.as_str());
        let (main_name, branch_name) = (name(&joint.main), name(&joint.branch));
        let over_m = branch_m - main_m;
        let mut sketch = Sketch {
            title: format!("{branch_name} joins {main_name} at {}", self.station(joint.station_m)),
            ..Sketch::default()
        };
        let (reach_m, wall_m) = (main.outside_m() * 2.2, main.outside_m() / 2.0);
        pipe_along(&mut sketch, branch, (-reach_m, -wall_m * 0.98), over_m);
        pipe_across(&mut sketch, main, (0.0, 0.0));
        let level = |what: &str, level_m: f64| format!("{what} invert {}", units.level(level_m));
        sketch.line(&[(0.0, 0.0), (reach_m, 0.0)], Stroke::dashed(0.15, &[1.0, 1.0]));
        sketch.line(&[(-reach_m, over_m), (reach_m, over_m)], Stroke::dashed(0.15, &[1.0, 1.0]));
        sketch.says((reach_m, 0.0), level(main_name, main_m));
        sketch.says((-reach_m, over_m), level(branch_name, branch_m));
        let side = if over_m < 0.0 { "UNDER" } else { "over" };
        let drop = format!("{} {side} it", units.amount(over_m.abs()));
        sketch.marks.push(Mark::Up(reach_m * 0.8, (over_m.min(0.0), over_m.max(0.0)), drop));
        sketch.says((0.0, main.outside_m()), pipe_words(main, units));
        sketch.says((-reach_m, over_m + branch.outside_m()), pipe_words(branch, units));
        sketch.notes.push(format!(
            "Meets the flow of {main_name} at {:.0}°. Other joints of these sizes alike, by their own levels.",
            joint.angle_deg
        ));
        Some(sketch)
    }

    /// Every change of size, along its line.
    fn change_sketches(&self) -> Vec<Sketch> {
        let lines = self.work.plan.lines.iter().filter(|(_, line)| !line.kind.is_old());
        let worked = lines.filter_map(|(id, _)| Some((*id, self.work.design.lines.get(id)?)));
        let sizes = |[below, above]: &[Pipe; 2]| below.size_m != above.size_m;
        let all = worked.flat_map(|(id, worked)| {
            let changes = worked.changes().into_iter().filter(sizes);
            changes.filter_map(move |pair| self.change_sketch(id, worked, &pair))
        });
        all.take(MOST).collect()
    }

    /// A change of size: x runs up the line from it, levels over the lower invert.
    fn change_sketch(&self, id: LineId, worked: &LineDesign, [below, above]: &[Pipe; 2]) -> Option<Sketch> {
        let (units, station_m) = (self.work.plan.title.units, above.from_m);
        let at = worked.at(station_m)?;
        let (low_m, high_m) = (at.invert_m?, at.invert_above_m()?);
        let (step_m, half_m) = (high_m - low_m, below.size_m * 0.6);
        let reach_m = below.outside_m() * 3.0;
        let [lower, upper] = [below, above].map(|pipe| units.pipe(pipe.size_m));
        let name = |id: LineId| self.work.plan.lines.get(&id).map_or("", |line| line.name.as_str());
        let mut sketch = Sketch {
            title: format!("Reducer {lower} to {upper} on {} at {}", name(id), self.station(station_m)),
            ..Sketch::default()
        };
        pipe_along(&mut sketch, below, (-reach_m, -half_m), 0.0);
        pipe_along(&mut sketch, above, (half_m, reach_m), step_m);
        sketch.line(&[(-half_m, -below.wall_m()), (half_m, step_m - above.wall_m())], WALL);
        sketch.line(&[(-half_m, below.top_above_invert_m()), (half_m, step_m + above.top_above_invert_m())], WALL);
        sketch.says((-reach_m, 0.0), format!("invert {}", units.level(low_m)));
        sketch.says((reach_m, step_m), format!("invert {}", units.level(high_m)));
        sketch.says((-reach_m, below.top_above_invert_m()), pipe_words(below, units));
        sketch.says((reach_m, step_m + above.top_above_invert_m()), pipe_words(above, units));
        let way = if step_m < 0.0 { "down" } else { "up" };
        let what = match step_m == 0.0 {
            true => "Inverts level".to_string(),
            false => format!("Crowns level, the invert {} {way}", units.amount(step_m.abs())),
        };
        let here = |joint: &&Joint| joint.main == id && (joint.station_m - station_m).abs() < 0.01;
        let tee = self.work.design.joints.iter().find(here);
        let tee = tee.map(|joint| format!(" It follows the joint of {}, in {lower}.", name(joint.branch)));
        sketch.notes.push(format!("{what}. Water runs to the left.{}", tee.unwrap_or_default()));
        Some(sketch)
    }

    /// One of each kind of what stands on lines and reaches up.
    fn structure_sketches(&self) -> Vec<Sketch> {
        let mut seen = BTreeSet::new();
        let lines =
            self.work.plan.lines.iter().filter_map(|(id, line)| Some((line, self.work.design.lines.get(id)?)));
        let all = lines.flat_map(|(line, worked)| line.structures.iter().map(move |s| (line, worked, s)));
        let sketches = all.filter_map(|(line, worked, structure)| {
            let upright = !matches!(structure.kind, StructureKind::Drop | StructureKind::JunctionBox(_));
            (upright && seen.insert(structure.kind.word()))
                .then(|| self.structure_sketch(line, worked, structure))
                .flatten()
        });
        sketches.take(MOST).collect()
    }

    fn structure_sketch(&self, line: &Line, worked: &LineDesign, structure: &Structure) -> Option<Sketch> {
        let (units, station_m) = (self.work.plan.title.units, structure.station_m);
        let (at, pipe) = (worked.at(station_m)?, worked.pipe_at(station_m));
        let (ground_m, invert_m) = at.ground_m.zip(at.invert_m)?;
        let (depth_m, word) = (ground_m - invert_m, structure.kind.word());
        let riser_m = structure.kind.catching().and_then(|catching| catching.riser_m).unwrap_or(pipe.size_m);
        let is_stone = matches!(structure.kind, StructureKind::BlindInlet(_));
        let half_m = if is_stone { self.work.plan.criteria.trench_width_m / 2.0 } else { riser_m / 2.0 };
        let mut sketch = Sketch {
            title: format!("{} on {} at {}", first_large(word), line.name, self.station(station_m)),
            ..Sketch::default()
        };
        let reach_m = depth_m.max(half_m * 3.0) * 0.6;
        let fill = if is_stone { 215 } else { 250 };
        sketch.rect(
            (-half_m, pipe.top_above_invert_m()),
            (2.0 * half_m, depth_m - pipe.top_above_invert_m()),
            Some(WALL),
            Some(fill),
        );
        pipe_along(&mut sketch, pipe, (-reach_m, reach_m), 0.0);
        sketch.line(&[(-reach_m, depth_m), (-half_m, depth_m)], GROUND);
        sketch.line(&[(half_m, depth_m), (reach_m, depth_m)], GROUND);
        sketch.says((reach_m, depth_m), format!("ground {}", units.level(ground_m)));
        sketch.says((reach_m, 0.0), format!("invert {}", units.level(invert_m)));
        sketch.marks.push(Mark::Up(-reach_m * 0.8, (0.0, depth_m), units.depth(depth_m)));
        let inside = if is_stone { "stone to the surface".into() } else { format!("{word} {}", units.pipe(riser_m)) };
        sketch.says((half_m, depth_m * 0.6), inside);
        sketch.notes.push("What stands over the ground is not in the plan: as its maker has it.".into());
        Some(sketch)
    }

    /// What pipe and envelope are to be, by use, with the standards that the register has.
    fn pipe_specification(&self) -> Vec<Page> {
        let uses = takeoff::pipe(self.work.plan, self.work.design);
        if uses.is_empty() {
            return Vec::new();
        }
        let mut flow = Flow::new(self, self.work.paper.standing_mm(), "Pipe and envelope");
        let columns: [Column; 5] = [
            ("Pipe", 0.24, Align::Left),
            ("Length", 0.13, Align::Right),
            ("Wall, material", 0.19, Align::Left),
            ("Envelope, openings", 0.22, Align::Left),
            ("On", 0.22, Align::Left),
        ];
        flow.table(&columns, &uses.iter().map(|of| self.pipe_row(of)).collect::<Vec<_>>(), 9.0);
        flow.heading("By which standard");
        for (what, mark) in [
            ("Corrugated polyethylene pipe is laid by", "ASTM F449"),
            ("Cover, grade and outlets are held against", "CPS606"),
            ("Construction is held against", "444"),
        ] {
            let source = SOURCES.iter().find(|source| source.mark == mark);
            source.iter().for_each(|source| flow.paragraph(&format!("{what} {}.", source.line()), 9.0, false));
        }
        flow.paragraph(
            "The maker's own figures for depth, stiffness and bedding go before this table. Sizes are inside diameters. Not for \
             structural design.",
            9.0,
            true,
        );
        flow.finish()
    }

    fn pipe_row(&self, of: &PipeUse) -> Vec<String> {
        let (plan, units) = (self.work.plan, self.work.plan.title.units);
        let lines: BTreeSet<LineId> = of.pieces.iter().map(|piece| piece.line).collect();
        let lines: Vec<&Line> = lines.iter().filter_map(|id| plan.lines.get(id)).collect();
        let each = |words: &dyn Fn(&Line) -> String| {
            let mut all: Vec<String> = lines.iter().map(|line| words(line)).collect();
            all.sort();
            all.dedup();
            all.join("; ")
        };
        let mut walls: Vec<&str> = of.pieces.iter().map(|piece| piece.wall.word()).collect();
        walls.sort_unstable();
        walls.dedup();
        let material = each(&|line| match line.bed.material {
            plan::Material::Unknown => "material not entered".into(),
            material => material.word().into(),
        });
        let openings = match of.goods {
            plan::Goods::Perforated => each(&|line| format!("{}, {}", envelope_words(line, units), slots_word(line))),
            _ => "no openings".into(),
        };
        vec![
            format!("{} {}", units.pipe(of.size_m), of.goods.word()),
            units.length(of.length_m()),
            format!("{}, {material}", walls.join("; ")),
            openings,
            names_in_short(&lines),
        ]
    }
}

/// The end of a line at an open outlet: x runs up the line from the pipe's end, levels over its invert.
struct OutletEnd<'a> {
    outlet: &'a Outlet,
    worked: &'a LineDesign,
    invert_m: f64,
    units: Units,
    /// Run by rise of a bank that was not measured.
    usual_run: f64,
}

/// How far the channel's bottom and the ground behind the bank are drawn, metres (own choice).
const CHANNEL_M: f64 = 0.6;
const BEHIND_M: f64 = 0.3;
/// How high over the invert the bank is drawn at most, metres: the pipe is what the detail is about (own choice).
const BANK_UP_M: f64 = 0.5;
/// Longest way up the line in which the bank is looked for, metres (own choice).
const BANK_M: f64 = 12.0;

impl OutletEnd<'_> {
    fn run(&self) -> f64 {
        self.outlet.bank_run.unwrap_or(self.usual_run)
    }

    /// Where the bank is at a height over the invert.
    fn bank_at(&self, up_m: f64) -> f64 {
        self.outlet.overhang_m + self.run() * up_m
    }

    fn ground_over_m(&self, x: f64) -> Option<f64> {
        self.worked.ground.level(x.max(0.0)).map(|level_m| level_m - self.invert_m)
    }

    /// Where the bank comes up to the ground, or a usual height where that is not known.
    fn bank_top(&self) -> (f64, f64) {
        let places = (0..=(BANK_M / 0.05) as usize).map(|i| self.outlet.overhang_m + 0.05 * i as f64);
        let top =
            places.filter_map(|x| Some((x, self.ground_over_m(x)?))).find(|(x, up_m)| self.bank_at(*up_m) <= *x);
        top.filter(|(_, up_m)| *up_m > 0.0).unwrap_or((self.bank_at(1.0), 1.0))
    }

    fn sketch(&self) -> Sketch {
        let (outlet, units) = (self.outlet, self.units);
        let pipe = self.worked.pipe_at(0.0);
        let below = |level_m: f64| level_m - self.invert_m;
        let known = [outlet.channel_bottom_m, outlet.low_water_m].into_iter().flatten().map(below);
        let bottom_m = outlet.channel_bottom_m.map(below).unwrap_or(known.fold(0.0, f64::min) - 0.3);
        let whole = self.bank_top();
        let is_cut = whole.1 > BANK_UP_M;
        let top = if is_cut { (self.bank_at(BANK_UP_M), BANK_UP_M) } else { whole };
        let behind = top.0 + BEHIND_M;
        let left = self.bank_at(bottom_m) - CHANNEL_M;
        let mut sketch = Sketch { title: format!("Outlet {}", outlet.name), ..Sketch::default() };
        let mut bank = vec![(left, bottom_m), (self.bank_at(bottom_m), bottom_m), top];
        if is_cut {
            sketch.notes.push(format!("The bank goes on up to {} over the invert.", units.depth(whole.1)));
        } else {
            bank.push((behind, self.ground_over_m(behind).unwrap_or(top.1)));
        }
        pipe_along(&mut sketch, pipe, (0.0, behind), 0.0);
        sketch.line(&bank, GROUND);
        self.waters(&mut sketch, left, bottom_m);
        self.guard(&mut sketch, pipe);
        sketch.says((0.0, 0.0), format!("invert {}", units.level(self.invert_m)));
        sketch.says(
            (behind, 0.0),
            format!("{}, {}", pipe_words(pipe, units), if outlet.rigid { "rigid" } else { "NOT RIGID" }),
        );
        if outlet.overhang_m > 0.0 {
            let up_m = pipe.outside_m() * 1.6;
            sketch.marks.push(Mark::Across(
                up_m,
                (0.0, outlet.overhang_m),
                format!("free {}", units.depth(outlet.overhang_m)),
            ));
        }
        let armor = if outlet.armoured { "bank armored" } else { "bank bare" };
        sketch.notes.push(format!("Rigid solid pipe {} in all, {armor}.", units.length(outlet.outlet_pipe_m)));
        if outlet.bank_run.is_none() {
            sketch
                .notes
                .push(format!("Slope of the bank not measured, drawn {} to 1.", measure::trimmed(self.run(), 0, 1)));
        }
        if outlet.channel_bottom_m.is_none() {
            sketch.notes.push("Bottom of the channel not measured.".into());
        }
        sketch
    }

    /// Bottom and waters of the channel, and how high the invert stands over them.
    fn waters(&self, sketch: &mut Sketch, left: f64, bottom_m: f64) {
        let (outlet, units) = (self.outlet, self.units);
        let stroke = Stroke::dashed(0.35, &[2.0, 0.6]);
        for (what, level_m) in [("low water", outlet.low_water_m), ("flood", outlet.flood_m)] {
            let Some(level_m) = level_m else {
                sketch.notes.extend((what == "low water").then(|| "Low water not measured.".to_string()));
                continue;
            };
            let up_m = level_m - self.invert_m;
            sketch.line(&[(left, up_m), (self.bank_at(up_m), up_m)], stroke.clone());
            sketch.says((left, up_m), format!("{what} {}", units.level(level_m)));
        }
        if let Some(low_m) = outlet.low_water_m.map(|level_m| level_m - self.invert_m) {
            let words = format!("freeboard {}", units.depth(-low_m));
            sketch.marks.push(Mark::Up(left + CHANNEL_M * 0.75, (low_m, 0.0), words));
        }
        if let Some(level_m) = outlet.channel_bottom_m {
            // At the foot of the bank: at the left it could be read as that of the low water.
            sketch.says((self.bank_at(bottom_m), bottom_m), format!("bottom {}", units.level(level_m)));
            let words = format!("{} over the bottom", units.depth(-bottom_m));
            sketch.marks.push(Mark::Up(left + CHANNEL_M * 0.3, (bottom_m, 0.0), words));
        }
        sketch.line(&[(left, 0.0), (0.0, 0.0)], Stroke::dashed(0.15, &[1.0, 1.0]));
    }

    /// Bars over the pipe's end.
    fn guard(&self, sketch: &mut Sketch, pipe: &Pipe) {
        let (low_m, high_m) = (-pipe.wall_m(), pipe.top_above_invert_m());
        if self.outlet.guard {
            for k in 0..3 {
                let x = -0.015 * f64::from(k);
                sketch.line(&[(x, low_m), (x, high_m)], Stroke::black(0.5));
            }
        }
        let words = if self.outlet.guard { "animal guard" } else { "NO ANIMAL GUARD" };
        sketch.says((0.0, high_m), words);
    }
}

/// Columns and rows for so many details, at most so many of each, in which they are largest.
fn grid(count: usize, most: (usize, usize), (w, h): (f64, f64)) -> (usize, usize) {
    let rows = |columns: usize| count.div_ceil(columns).max(1);
    let fits = (1..=most.0).filter(|columns| rows(*columns) <= most.1);
    let room = |columns: usize| (w / columns as f64 / CELL.0).min(h / rows(columns) as f64 / CELL.1);
    let best = fits.max_by(|one, other| room(*one).total_cmp(&room(*other))).unwrap_or(most.0);
    (best, rows(best))
}

/// A pipe seen from its end, its invert at a place.
fn pipe_across(sketch: &mut Sketch, pipe: &Pipe, (x, invert_m): (f64, f64)) {
    let outside = (pipe.outside_m() / 2.0, invert_m + (pipe.top_above_invert_m() - pipe.wall_m()) / 2.0);
    sketch.ring((x, outside.1), outside.0, Some(WALL), Some(235));
    sketch.ring((x, invert_m + pipe.size_m / 2.0), pipe.size_m / 2.0, Some(Stroke::black(0.2)), Some(255));
}

/// A pipe seen from its side, from an x to another, its invert at a level.
fn pipe_along(sketch: &mut Sketch, pipe: &Pipe, (from, to): (f64, f64), invert_m: f64) {
    sketch.rect((from, invert_m - pipe.wall_m()), (to - from, pipe.outside_m()), Some(WALL), Some(235));
    sketch.rect((from, invert_m), (to - from, pipe.size_m), Some(Stroke::black(0.15)), Some(255));
}

/// What is round the pipe of a line.
fn envelope(sketch: &mut Sketch, line: &Line, pipe: &Pipe, invert_m: f64, half_m: f64) {
    let Envelope::Granular(thick_m) = line.bed.envelope else { return };
    let wide_m = (pipe.outside_m() / 2.0 + thick_m).min(half_m);
    let low_m = invert_m - pipe.wall_m() - thick_m;
    sketch.rect(
        (-wide_m, low_m),
        (2.0 * wide_m, pipe.outside_m() + 2.0 * thick_m),
        Some(Stroke::black(0.15)),
        Some(215),
    );
}

fn pipe_words(pipe: &Pipe, units: Units) -> String {
    format!("{} {}", units.pipe(pipe.size_m), pipe.wall.word())
}

fn envelope_words(line: &Line, units: Units) -> String {
    match line.bed.envelope {
        Envelope::None => "no envelope".into(),
        Envelope::Sock => "knitted sock".into(),
        Envelope::Granular(thick_m) => format!("sand or gravel {} all round", units.pipe(thick_m)),
    }
}

const fn slots_word(line: &Line) -> &'static str {
    match line.bed.slots {
        Slots::Ordinary => "ordinary openings",
        Slots::Narrow => "narrow openings",
    }
}

/// The names of some lines; of many the first ones and how many more there are.
fn names_in_short(lines: &[&Line]) -> String {
    const MOST_NAMES: usize = 8;
    let names: Vec<&str> = lines.iter().take(MOST_NAMES).map(|line| line.name.as_str()).collect();
    let more = lines.len().saturating_sub(MOST_NAMES);
    let more = if more > 0 { format!(" and {more} more") } else { String::new() };
    format!("{}{more}", names.join(", "))
}

fn first_large(word: &str) -> String {
    let mut signs = word.chars();
    signs.next().map(|first| first.to_uppercase().chain(signs).collect()).unwrap_or_default()
}

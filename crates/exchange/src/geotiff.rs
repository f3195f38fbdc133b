//! GeoTIFF elevation grids.

use measure::Point;
use plan::Placing;
use terrain::Window;

use crate::frame::{Frame, Settled};
use crate::geokeys::{GeoKeys, read_keys, read_scaling};
use crate::ground::{Ask, Beside, Stated};
use crate::samples::{Samples, Scaling, Tally};
use crate::source::Source;
use crate::tiff_file::{TiffFile, tag};
use crate::tiff_layout::Layout;
use crate::tiff_window::Pieces;
use crate::watch::Effort;
use crate::world_file::world_file;
use crate::{FileError, GroundFile, ReadOptions};

/// Reads a GeoTIFF.
pub fn read_geotiff(bytes: &[u8], options: &ReadOptions) -> Result<GroundFile, FileError> {
    read(&bytes, &Beside::default(), options, &Effort::PLAIN)
}

pub(crate) fn read(
    source: &dyn Source,
    beside: &Beside,
    options: &ReadOptions,
    effort: &Effort,
) -> Result<GroundFile, FileError> {
    let (page, scaling, settled) = open(source, beside, options)?;
    let scaling = Scaling { unit_m: settled.vertical_m, ..scaling };
    read_levels(&page, settled, &scaling, options, effort)
}

/// What the grid is, without its levels.
pub(crate) fn look(source: &dyn Source, beside: &Beside, options: &ReadOptions) -> Result<Settled, FileError> {
    open(source, beside, options).map(|(_, _, settled)| settled)
}

/// Everything but the levels.
fn open<'a>(
    source: &'a dyn Source,
    beside: &Beside,
    options: &ReadOptions,
) -> Result<(Page<'a>, Scaling, Settled), FileError> {
    let file = TiffFile::open(source)?;
    let layout = Layout::read(&file, 0)?;
    let mut stated = Stated::default();
    check_is_ground(&file, &layout, &mut stated)?;
    let keys = read_keys(&file, &mut stated)?;
    let place = place(&file, &keys, beside, &mut stated)?;
    let scaling = read_scaling(&file, &mut stated)?;
    stated.take_prj(beside);
    let frame = place.frame(&layout, &mut stated);
    let settled = Settled::of(frame, stated, options)?;
    Ok((Page { file, layout, place }, scaling, settled))
}

/// Refuses pictures and tells what is left aside.
fn check_is_ground(file: &TiffFile, layout: &Layout, stated: &mut Stated) -> Result<(), FileError> {
    let photometric = file.one(0, tag::PHOTOMETRIC, 1)?;
    if photometric > 1 {
        return Err(FileError::unsupported("a color picture", "elevations, one number a cell"));
    }
    if layout.bits == 1 {
        return Err(FileError::unsupported("cells of one bit", "elevations, one number a cell"));
    }
    if layout.bits == 8 {
        stated.note("the cells hold whole numbers of 8 bits: is this a picture of the ground, not its levels?");
    }
    if layout.samples > 1 {
        stated.note(format!("the file has {} bands; the first is taken as the elevation", layout.samples));
    }
    Ok(())
}

/// How cells lie on the ground: place of the outer corner of the first cell, and signed steps per column and row.
#[derive(Debug, Clone, Copy)]
struct Place {
    x: f64,
    y: f64,
    step_x: f64,
    step_y: f64,
}

impl Place {
    /// The grid as it lies, with its first row to the north and its first column to the west.
    fn frame(&self, layout: &Layout, stated: &mut Stated) -> Frame {
        let (cols, rows) = (layout.width, layout.height);
        let (mut west, mut north) = (self.x, self.y);
        if self.step_y > 0.0 {
            stated.note("the first row of the file is the south edge; the grid was turned over");
            north += self.step_y * rows as f64;
        }
        if self.step_x < 0.0 {
            stated.note("the first column of the file is the east edge; the grid was mirrored");
            west += self.step_x * cols as f64;
        }
        Frame { size: (cols, rows), corner: (west, north), cell: (self.step_x.abs(), self.step_y.abs()) }
    }

    /// The cells of the file that are those of a window of the frame.
    fn stored(&self, window: Window, layout: &Layout) -> Window {
        let Window { mut col, mut row, cols, rows } = window;
        if self.step_y > 0.0 {
            row = layout.height - row - rows;
        }
        if self.step_x < 0.0 {
            col = layout.width - col - cols;
        }
        Window { col, row, cols, rows }
    }

    /// Turns stored levels as the frame has them.
    fn turn(&self, cols: usize, levels: &mut [f32]) {
        let rows = levels.len() / cols;
        if self.step_y > 0.0 {
            for row in 0..rows / 2 {
                let (upper, lower) = levels.split_at_mut((rows - 1 - row) * cols);
                upper[row * cols..(row + 1) * cols].swap_with_slice(&mut lower[..cols]);
            }
        }
        if self.step_x < 0.0 {
            levels.chunks_exact_mut(cols).for_each(<[f32]>::reverse);
        }
    }
}

fn place(file: &TiffFile, keys: &GeoKeys, beside: &Beside, stated: &mut Stated) -> Result<Place, FileError> {
    let mut place = stored_place(file, stated)?;
    if place.is_none() {
        place = world_place(beside, stated)?;
    } else if let Some(place) = place.as_mut() {
        if keys.is_point() {
            place.x -= place.step_x / 2.0;
            place.y -= place.step_y / 2.0;
        }
        tell_other_world(place, beside, stated);
    }
    let place = place.unwrap_or_else(|| {
        stated.ask(Ask::Place, "the file does not say where it lies: it is placed at 0, 0 with cells of 1");
        Place { x: 0.0, y: 0.0, step_x: 1.0, step_y: -1.0 }
    });
    let sound = [place.x, place.y, place.step_x, place.step_y].iter().all(|v| v.is_finite());
    if !sound || place.step_x == 0.0 || place.step_y == 0.0 {
        let found = format!("cells of {} × {} at ({}, {})", place.step_x, place.step_y, place.x, place.y);
        return Err(FileError::malformed(
            format!("tag {}", tag::PIXEL_SCALE),
            found,
            "finite numbers and a cell above 0",
        ));
    }
    Ok(place)
}

/// The place by the file's own tags.
fn stored_place(file: &TiffFile, stated: &mut Stated) -> Result<Option<Place>, FileError> {
    let scale = file.doubles(0, tag::PIXEL_SCALE)?;
    let ties = file.doubles(0, tag::TIE_POINTS)?.unwrap_or_default();
    if let Some(m) = file.doubles(0, tag::TRANSFORMATION)? {
        let place = transformed(&m)?;
        let contradicts = |scale: &Vec<f64>| {
            scale.first() != Some(&place.step_x.abs()) || scale.get(1) != Some(&place.step_y.abs())
        };
        if scale.as_ref().is_some_and(contradicts) {
            let found =
                format!("cells of {} × {} beside others in tag {}", place.step_x, place.step_y, tag::PIXEL_SCALE);
            return Err(FileError::malformed(
                format!("tag {}", tag::TRANSFORMATION),
                found,
                "one place for the grid",
            ));
        }
        return Ok(Some(place));
    }
    let Some(scale) = scale else {
        return match ties.len() {
            0 => Ok(None),
            _ => Err(FileError::unsupported("ground control points", "a grid with a cell size")),
        };
    };
    let [width, height, ..] = scale[..] else {
        let found = format!("{} numbers for the cell size", scale.len());
        return Err(FileError::malformed(format!("tag {}", tag::PIXEL_SCALE), found, "three numbers"));
    };
    // A positive height steps to the south (GeoTIFF 1.1, section B.6).
    let steps = (width, -height);
    if ties.is_empty() {
        stated.ask(Ask::Place, "the file gives its cell size but not its place: it is placed at 0, 0");
        return Ok(Some(Place { x: 0.0, y: 0.0, step_x: steps.0, step_y: steps.1 }));
    }
    tied(&ties, steps).map(Some)
}

/// The place by tie points, which must all agree with the cell size.
fn tied(ties: &[f64], (step_x, step_y): (f64, f64)) -> Result<Place, FileError> {
    let place = format!("tag {}", tag::TIE_POINTS);
    let corner = |tie: &[f64]| (tie[3] - tie[0] * step_x, tie[4] - tie[1] * step_y);
    let mut corners = ties.chunks_exact(6).map(corner);
    let (x, y) = corners.next().ok_or_else(|| {
        FileError::malformed(place.clone(), format!("{} numbers", ties.len()), "six numbers a tie point")
    })?;
    let within = 0.01 * step_x.abs().min(step_y.abs());
    if corners.any(|(other_x, other_y)| (other_x - x).abs() > within || (other_y - y).abs() > within) {
        return Err(FileError::malformed(place, "tie points that contradict each other", "one place for the grid"));
    }
    Ok(Place { x, y, step_x, step_y })
}

/// The place by a 4 × 4 matrix; turned grids are refused.
fn transformed(m: &[f64]) -> Result<Place, FileError> {
    let place = format!("tag {}", tag::TRANSFORMATION);
    if m.len() != 16 {
        return Err(FileError::malformed(place, format!("{} numbers", m.len()), "sixteen numbers"));
    }
    if m[1] != 0.0 || m[4] != 0.0 {
        return Err(turned(&format!("tag {}", tag::TRANSFORMATION)));
    }
    Ok(Place { x: m[3], y: m[7], step_x: m[0], step_y: m[5] })
}

fn turned(place: &str) -> FileError {
    let found = format!("a turned or sheared grid ({place})");
    FileError::unsupported(found, "a grid along the coordinate axes; resample it to one")
}

/// The six numbers of a world file, as it has them.
fn numbers(world: Placing) -> [f64; 6] {
    let Placing { first, along_row, to_next_row } = world;
    [along_row.x, along_row.y, to_next_row.x, to_next_row.y, first.x, first.y]
}

/// Where the pixels of a picture lie by its own tags, in the numbers of its system.
pub(crate) fn picture_place(
    file: &TiffFile,
    is_point: bool,
    stated: &mut Stated,
) -> Result<Option<Placing>, FileError> {
    let Some(Place { x, y, step_x, step_y }) = stored_place(file, stated)? else { return Ok(None) };
    let half = if is_point { 0.0 } else { 0.5 };
    let first = Point::new(x + half * step_x, y + half * step_y);
    let placing = Placing { first, along_row: Point::new(step_x, 0.0), to_next_row: Point::new(0.0, step_y) };
    let is_sound = first.is_finite() && placing.pixel_m2() > 0.0 && placing.pixel_m2().is_finite();
    Ok(Some(placing).filter(|_| is_sound && !stated.asks.contains(&Ask::Place)))
}

/// The place by a world file: six lines, the last two the centre of the first cell.
fn world_place(beside: &Beside, stated: &mut Stated) -> Result<Option<Place>, FileError> {
    let Some(text) = &beside.world else { return Ok(None) };
    let [step_x, turn_a, turn_b, step_y, x, y] = numbers(world_file(text)?);
    if turn_a != 0.0 || turn_b != 0.0 {
        return Err(turned("the world file"));
    }
    stated.note("the place of the grid was read from the world file beside it");
    Ok(Some(Place { x: x - step_x / 2.0, y: y - step_y / 2.0, step_x, step_y }))
}

/// Tells of a world file that says otherwise than the file itself, which counts.
fn tell_other_world(place: &Place, beside: &Beside, stated: &mut Stated) {
    let Some(Ok([step_x, turn_a, turn_b, step_y, x, y])) =
        beside.world.as_deref().map(|text| world_file(text).map(numbers))
    else {
        return;
    };
    let centre = (place.x + place.step_x / 2.0, place.y + place.step_y / 2.0);
    let within = place.step_x.abs().min(place.step_y.abs());
    let near = |a: f64, b: f64, most: f64| (a - b).abs() <= most;
    let agrees = near(turn_a, 0.0, 1e-9) && near(turn_b, 0.0, 1e-9)
        && near(step_x, place.step_x, 1e-3 * within) && near(step_y, place.step_y, 1e-3 * within)
        // Some world files count from the corner of a cell, not its centre.
        && near(x, centre.0, 0.51 * within) && near(y, centre.1, 0.51 * within);
    if !agrees {
        let how = if turn_a != 0.0 || turn_b != 0.0 { "turns the grid" } else { "puts it elsewhere" };
        stated.note(format!("the world file beside the grid {how}; the place that the grid itself states was taken"));
    }
}

/// The page that holds the levels.
struct Page<'a> {
    file: TiffFile<'a>,
    layout: Layout,
    place: Place,
}

/// The levels of the first band in the window, missing ones as `NaN`.
fn read_levels(
    page: &Page,
    mut settled: Settled,
    scaling: &Scaling,
    options: &ReadOptions,
    effort: &Effort,
) -> Result<GroundFile, FileError> {
    let window = page.place.stored(settled.window, &page.layout);
    let pieces = Pieces::find(&page.file, &page.layout, window)?;
    if pieces.are_empty() {
        return Err(FileError::malformed("the grid", "no stored cells", "at least one cell with a level"));
    }
    // What the mask hides is missing before the levels are read.
    let mut levels = vec![0.0; window.cols * window.rows];
    let masked = read_mask(page, window, &mut levels, &mut settled.stated, effort)?;
    let empty = |levels: &mut [f32]| {
        levels.fill(f32::NAN);
        Tally::default()
    };
    let taken = |samples: Samples, levels: &mut [f32]| {
        if masked {
            samples.unmasked_levels(scaling, levels)
        } else {
            samples.levels(scaling, levels)
        }
        Tally::of(levels)
    };
    let tally = pieces.read(&mut levels, effort, taken, empty)?;
    page.place.turn(window.cols, &mut levels);
    settled.finish(levels, tally, options)
}

/// Takes out the cells that a mask page of the file marks as not valid, and tells of other pages. Whether there was one.
fn read_mask(
    page: &Page,
    window: Window,
    levels: &mut [f32],
    stated: &mut Stated,
    effort: &Effort,
) -> Result<bool, FileError> {
    let mut masked = false;
    for number in 1..page.file.pages.len() {
        let kind = page.file.one(number, tag::SUBFILE, 0)?;
        if kind == 0 {
            stated.note(format!("page {} of the file is not read", number + 1));
        }
        if kind != 4 {
            continue;
        }
        let mask = Layout::read(&page.file, number)?;
        if (mask.width, mask.height) != (page.layout.width, page.layout.height) {
            stated.note("the file has a mask of another size than the grid, which is not applied");
            continue;
        }
        let hide = |levels: &mut [f32]| {
            levels.fill(f32::NAN);
            Tally::hidden(levels.len() as u64)
        };
        let apply = |samples: Samples, levels: &mut [f32]| Tally::hidden(samples.mask(levels));
        let tally = Pieces::find(&page.file, &mask, window)?.read(levels, effort, apply, hide)?;
        stated.note(format!("the file's own mask marks {} cells as missing", tally.hidden));
        masked = true;
    }
    Ok(masked)
}

//! Pipe by size, wall and kind: the pieces of every line, measured along the slope.

use design::{Design, LineDesign, Pipe, PipeKind};
use plan::{Goods, LineId, Plan, Wall};

/// Places this near are one, metres.
const SAME_M: f64 = 1e-6;
/// Sizes this near are one, metres.
pub(crate) const SAME_SIZE_M: f64 = 1e-4;

/// A part of a line in pipe of one kind, without a joint in it.
#[derive(Debug, Clone, PartialEq)]
pub struct Piece {
    /// Which line it is of.
    pub line: LineId,
    /// Lower station, metres.
    pub from_m: f64,
    /// Upper station, metres.
    pub to_m: f64,
    /// Nominal inside diameter, metres.
    pub size_m: f64,
    /// Its wall.
    pub wall: Wall,
    /// Its length along the slope, metres.
    pub length_m: f64,
}

/// All pipe of one kind and size.
#[derive(Debug, Clone, PartialEq)]
pub struct PipeUse {
    /// Its kind.
    pub goods: Goods,
    /// Nominal inside diameter, metres.
    pub size_m: f64,
    /// Its pieces by line and station.
    pub pieces: Vec<Piece>,
}

impl PipeUse {
    /// Length of all pieces, metres.
    pub fn length_m(&self) -> f64 {
        self.pieces.iter().map(|piece| piece.length_m).sum()
    }
}

/// Pipe of all new lines: perforated, solid, heavy, outlet sticks, each by rising size.
pub fn pipe(plan: &Plan, design: &Design) -> Vec<PipeUse> {
    let mut uses: Vec<PipeUse> = Vec::new();
    for (id, _) in plan.lines.iter().filter(|(_, line)| !line.kind.is_old()) {
        let Some(worked) = design.lines.get(id) else { continue };
        for (goods, piece) in pieces(*id, worked) {
            let is_same = |u: &&mut PipeUse| u.goods == goods && (u.size_m - piece.size_m).abs() < SAME_SIZE_M;
            match uses.iter_mut().find(is_same) {
                Some(known) => known.pieces.push(piece),
                None => uses.push(PipeUse { goods, size_m: piece.size_m, pieces: vec![piece] }),
            }
        }
    }
    uses.sort_by(|x, y| x.goods.cmp(&y.goods).then(x.size_m.total_cmp(&y.size_m)));
    uses
}

/// The parts of a line from its downstream end up: each in pipe of one kind, size and wall.
pub fn pieces(id: LineId, worked: &LineDesign) -> Vec<(Goods, Piece)> {
    let piece = |pipe: &Pipe| {
        let length_m = slope_length_m(worked, pipe.from_m, pipe.to_m);
        let Pipe { from_m, to_m, size_m, wall, .. } = *pipe;
        (goods(pipe.kind), Piece { line: id, from_m, to_m, size_m, wall, length_m })
    };
    worked.pipe.iter().filter(|pipe| pipe.to_m > pipe.from_m + SAME_M).map(piece).collect()
}

const fn goods(kind: PipeKind) -> Goods {
    match kind {
        PipeKind::Perforated => Goods::Perforated,
        PipeKind::Solid => Goods::Solid,
        PipeKind::Heavy => Goods::Heavy,
        PipeKind::OutletStick => Goods::OutletStick,
    }
}

/// Length of a part of a line along the slope of the pipe, metres; on the plan where levels are not known.
pub fn slope_length_m(worked: &LineDesign, from_m: f64, to_m: f64) -> f64 {
    let inner = worked.stations.iter().filter(|s| s.station_m > from_m && s.station_m < to_m).copied();
    let ends = [worked.at(from_m), worked.at(to_m)];
    let mut stations: Vec<_> = inner.chain(ends.into_iter().flatten()).collect();
    stations.sort_by(|x, y| x.station_m.total_cmp(&y.station_m));
    let piece = |pair: &[design::Station]| {
        let rise_m = pair[1].invert_m.zip(pair[0].invert_above_m()).map_or(0.0, |(high, low)| high - low);
        (pair[1].station_m - pair[0].station_m).hypot(rise_m)
    };
    stations.windows(2).map(piece).sum()
}

//! A plan that has everything a plan can have. It need not make sense to a drainer.
//!
//! Every struct is written out with all its members and every choice is listed in `every!`, so that a new one does not
//! compile until it is here.

use std::collections::BTreeMap;

use measure::{LengthUnit, Point, Units};
use plan::{
    Acceptance, Alternative, Asked, Backdrop, BatchFacts, Bed, Benchmark, BoxFacts, Brief, Carries, Catching, Cause,
    Clues, Condition, Confidence, Correction, CostWeights, Criteria, Crop, Decided, Decision, DigRate, DigWeight,
    DugShot, Envelope, Evidence, Exposed, Fact, FactKind, Field, FieldNote, Find, Fix, FixQuality, Gathered, Goods,
    GroundRef, Hold, Hub, Joins, LaidStretch, Landmark, LandmarkId, LandmarkKind, LeadsTo, LevelLoop, LimitChange,
    Line, LineId, LineKind, LogEntry, Material, NoteOn, OldTile, OpenFinding, Outlet, OutletFlow, OutletId, Outline,
    Owner, Pass, Pattern, Photo, Pin, PipeWeight, Pit, Placing, Plan, PriceList, PriceRow, Probe, Pump, Reach,
    Receiving, Record, Remedy, Revision, Rows, Running, SelfCleaning, Served, ShotName, ShotOn, Side, Signature,
    SizeBy, Slots, SoilLayer, Spot, Stretch, Structure, StructureKind, Subject, SurveyBook, SurveyFile, Taken,
    Texture, Title, TitleBlock, Utility, Wall, Watercourse, WatercourseId, WatercourseKind,
};

const HERE: Point = Point::new(1.0, 2.0);

/// One of every choice.
macro_rules! every {
    ($kind:ident: $($choice:pat => $one:expr),+ $(,)?) => {{
        // A choice that is not listed does not compile.
        let _ = |one: &$kind| match one { $($choice => ()),+ };
        vec![$($one),+]
    }};
    ($kind:ident: $($choice:ident),+ $(,)?) => { every!($kind: $($kind::$choice => $kind::$choice),+) };
}

/// The choice at a place of a list that begins anew at its end.
fn turn<T: Clone>(all: Vec<T>, i: usize) -> T {
    all[i % all.len()].clone()
}

fn text() -> String {
    "a".into()
}

fn crops() -> Vec<Crop> {
    every!(Crop: FieldCrops, Fruit, Vegetables)
}

fn textures() -> Vec<Texture> {
    every!(Texture: Gravel, Sand, LoamySand, SandyLoam, Loam, SiltLoam, Silt, SandyClayLoam, SandyClay, SiltyClayLoam,
        ClayLoam, SiltyClay, Clay)
}

fn self_cleanings() -> Vec<SelfCleaning> {
    every!(SelfCleaning: Ignore, Prefer, Require)
}

fn materials() -> Vec<Material> {
    every!(Material: Unknown, Clay, Concrete, Plastic, Metal)
}

fn length_units() -> Vec<LengthUnit> {
    every!(LengthUnit: Metre, Foot, SurveyFoot)
}

fn units() -> Vec<Units> {
    every!(Units: Metric, Feet, SurveyFeet)
}

/// The plan, as a layout put aside shows the choices of its brief, and as a plan in each unit of display.
pub fn everything() -> Vec<Plan> {
    units().into_iter().map(plan).collect()
}

fn plan(units: Units) -> Plan {
    Plan {
        title: Title { name: text(), units, as_of: Some(text()), block: title_block() },
        ground: Some(GroundRef {
            file: text(),
            crs: text(),
            horizontal_unit: units.length_unit(),
            vertical_unit: units.length_unit(),
            datum: text(),
            columns: Some([0, 1, 2]),
            level_attribute: Some(text()),
            part: Some([0.5; 4]),
            brought_from: Some(text()),
        }),
        backdrop: Some(Backdrop {
            file: text(),
            placing: Some(Placing { first: HERE, along_row: HERE, to_next_row: HERE }),
            strength: 0.5,
            shown: true,
        }),
        field: Some(Field { ring: vec![HERE], holes: vec![vec![HERE]] }),
        outlets: outlets(),
        lines: lines(),
        watercourses: watercourses(),
        landmarks: landmarks(),
        // Every limit is written, whatever it is.
        criteria: Criteria::default(),
        limit_log: vec![LimitChange { limit: text(), from: 0.5, to: 0.5, signed: signed() }],
        brief: brief(0),
        cost_weights: CostWeights {
            digging: vec![DigWeight { from_m: 0.5, per_m2: 0.5 }],
            pipe: vec![PipeWeight { size_m: 0.5, per_m: 0.5 }],
            missing_depth_per_m2: 0.5,
            missing_rise_per_m: 0.5,
            margin: 0.5,
        },
        price_list: price_list(),
        acceptances: vec![Acceptance {
            subject: subject(),
            title: text(),
            weight: 1,
            excess: Some(0.5),
            gathered: vec![Gathered { line: Some(1), stretch_m: (0.5, 0.5), at: HERE }],
            signed: signed(),
        }],
        revisions: vec![revision()],
        alternatives: (0..textures().len()).map(alternative).collect(),
        survey: survey(),
        record: record(),
        next_id: 1,
        // What a program does not know is no part of what it writes.
        unknown: Vec::new(),
    }
}

fn title_block() -> TitleBlock {
    TitleBlock {
        owner: text(),
        parcel: text(),
        county: text(),
        planner: text(),
        checker: text(),
        ticket: text(),
        ticket_until: Some(text()),
    }
}

fn signed() -> Signature {
    Signature { by: text(), on: text(), because: text() }
}

fn subject() -> Subject {
    Subject { check: 1, of: Some(1), mark: Some(1), at: HERE, stretch_m: Some((0.5, 0.5)) }
}

fn brief(i: usize) -> Brief {
    Brief {
        metric: true,
        crop: turn(crops(), i),
        coefficient_ms: Some(0.5),
        poor_surface: true,
        texture: Some(turn(textures(), i)),
        self_cleaning: turn(self_cleanings(), i),
        served_m: 0.5,
        uk_vineyard_guide: true,
        even_inflow: true,
        deep_root_guide: true,
        water_table_m: 0.5,
        rip_after_m: Some(0.5),
        iron: true,
        root_risk: true,
        rough_backfill: text(),
        blinding: true,
        run_on_settled: true,
        asked: Asked { wells: true, septic: true, pumps: true, irrigation: true },
        interceptor_into_layer: true,
    }
}

fn alternative(i: usize) -> Alternative {
    Alternative { name: text(), outlets: outlets(), lines: lines(), brief: brief(i) }
}

fn revision() -> Revision {
    let kinds = every!(FactKind: Words, Figures, Level, Place);
    let fact = |kind| Fact { about: text(), says: text(), level_m: Some(0.5), kind };
    Revision {
        letter: text(),
        lines: BTreeMap::from([(LineId(1), text())]),
        facts: kinds.into_iter().map(fact).collect(),
        changed: vec![text()],
        open: vec![OpenFinding { subject: subject(), title: text(), place: text(), no_dig: true }],
        signed: signed(),
    }
}

fn price_list() -> PriceList {
    let goods = every!(Goods: Perforated, Solid, Heavy, OutletStick, Tee, Wye, Reducer, Coupler, Cap, Elbow, Adapter,
        Guard, Riser, Orifice, Breather, ReliefWell, SiltTrap, JunctionBox, Drop, Sock, Stone, MachineHour, Mobilisation,
        Restoration, TrenchProtection);
    let row = |goods| PriceRow { goods, size_m: Some(0.5), branch_m: Some(0.5), price: 0.5, pack_m: Some(0.5) };
    PriceList {
        source: text(),
        currency: text(),
        rows: goods.into_iter().map(row).collect(),
        rates: vec![DigRate { from_m: 0.5, per_hour_m: 0.5 }],
        hardness: 0.5,
        waste: 0.5,
        contingency: 0.5,
        disturbed_m: 0.5,
    }
}

fn outlets() -> BTreeMap<OutletId, Outlet> {
    let leads_to = || {
        every!(LeadsTo:
            LeadsTo::Channel => LeadsTo::Channel,
            LeadsTo::Pipe(_) => LeadsTo::Pipe(Receiving { size_m: Some(0.5), invert_m: Some(0.5), free_m3s: Some(0.5) }),
            LeadsTo::Pump(_) => LeadsTo::Pump(Pump { storage: true, switch: true, power: true }),
        )
    };
    let owners = || every!(Owner: Unknown, Own, Other);
    let outlet = |i: usize| Outlet {
        name: text(),
        at: HERE,
        invert_m: 0.5,
        channel_bottom_m: Some(0.5),
        low_water_m: Some(0.5),
        flood_m: Some(0.5),
        invert_free: true,
        outlet_pipe_m: 0.5,
        consent: true,
        owner: turn(owners(), i),
        leads_to: turn(leads_to(), i),
        rigid: true,
        outlet_pipe_material: turn(materials(), i),
        overhang_m: 0.5,
        guard: true,
        armoured: true,
        bank_run: Some(0.5),
        channel_deg: Some(0.5),
        outside_bend: true,
        photo: text(),
        backwater_accepted: true,
    };
    (0..materials().len()).map(|i| (OutletId(i as u32), outlet(i))).collect()
}

/// Lines enough for every choice in one; every second is old tile.
fn lines() -> BTreeMap<LineId, Line> {
    (0..12).map(|i| (LineId(i as u32), line(i))).collect()
}

fn line(i: usize) -> Line {
    let kinds = every!(LineKind:
        LineKind::Main => LineKind::Main,
        LineKind::Submain => LineKind::Submain,
        LineKind::Lateral => LineKind::Lateral,
        LineKind::OldTile(_) => LineKind::OldTile(old_tile(i)),
    );
    let served = every!(Served:
        Served::Strip => Served::Strip,
        Served::Catchment => Served::Catchment,
        Served::Width(_) => Served::Width(0.5),
        Served::Area(_) => Served::Area(0.5),
        Served::Carrier => Served::Carrier,
    );
    let joins = every!(Joins:
        Joins::Nothing => Joins::Nothing,
        Joins::Outlet(_) => Joins::Outlet(OutletId(1)),
        Joins::Line(_) => Joins::Line(LineId(1)),
    );
    Line {
        name: text(),
        // Every second one is old tile, so that all its choices are there.
        kind: if i.is_multiple_of(2) { LineKind::OldTile(old_tile(i / 2)) } else { turn(kinds, i / 2) },
        size_m: 0.5,
        size_by: turn(every!(SizeBy: Hand, Flow, FlowInSteps), i),
        wall: turn(every!(Wall: Corrugated, Smooth, Rigid), i),
        roughness_n: Some(0.5),
        served: turn(served, i),
        seepage_m3s: 0.5,
        drop_m: Some(0.5),
        reaches: reaches(),
        passes: passes(),
        structures: structures(),
        stretches: vec![Stretch {
            from_m: 0.5,
            to_m: 0.5,
            size_m: Some(0.5),
            wall: Some(turn(every!(Wall: Corrugated, Smooth, Rigid), i)),
            inverts_level: true,
            solid: true,
            heavy: true,
            must_be_solid: true,
            plugged: true,
        }],
        bed: bed(i),
        hubs: vec![Hub { station_m: 0.5, level_m: 0.5, left_m: 0.5 }],
        points: vec![HERE],
        joins: turn(joins, i),
        pins: vec![Pin { station_m: 0.5, invert_m: 0.5, straight: true }],
        capped: true,
        pattern: turn(every!(Pattern: Targeted, Parallel, Interceptor), i),
        crosses_apart: vec![LineId(1)],
    }
}

fn old_tile(i: usize) -> OldTile {
    OldTile {
        evidence: turn(every!(Evidence: Suspected, Seen, Proved), i),
        material: turn(materials(), i),
        condition: turn(every!(Condition: Unknown, Good, Fair, Poor), i),
        upstream_m2: Some(0.5),
        decision: Some(turn(every!(Decision: Join, Bridge, Replace, Bypass, Plug), i)),
        runs: Some(true),
        from_beyond: true,
        clues: Clues { photo: true, outlet: true, wet_streak: true, memory: true, probe: true, trench: true },
        aside_m: Some(0.5),
        confidence: Some(turn(every!(Confidence: Low, Fair, High), i)),
    }
}

fn reaches() -> Vec<Reach> {
    let holds = every!(Hold:
        Hold::Grade(_) => Hold::Grade(0.5),
        Hold::Depth(_) => Hold::Depth(0.5),
        Hold::IntoLayer(_) => Hold::IntoLayer(0.5),
    );
    holds.into_iter().map(|hold| Reach { from_m: 0.5, to_m: 0.5, hold }).collect()
}

fn passes() -> Vec<Pass> {
    let sides = every!(Side: Over, Under);
    let pass = |side| Pass { station_m: 0.5, what: text(), side, level_m: 0.5, clear_m: 0.5 };
    sides.into_iter().map(pass).collect()
}

fn structures() -> Vec<Structure> {
    let catching =
        Catching { area_m2: 0.5, coefficient_ms: Some(0.5), riser_m: Some(0.5), throttled: true, trapped: true };
    let kinds = every!(StructureKind:
        StructureKind::BlindInlet(_) => StructureKind::BlindInlet(catching),
        StructureKind::OpenInlet(_) => StructureKind::OpenInlet(catching),
        StructureKind::Breather => StructureKind::Breather,
        StructureKind::ReliefWell => StructureKind::ReliefWell,
        StructureKind::SiltTrap => StructureKind::SiltTrap,
        StructureKind::JunctionBox(_) =>
            StructureKind::JunctionBox(BoxFacts { lid_depth_m: 0.5, out_invert_m: Some(0.5) }),
        StructureKind::Drop => StructureKind::Drop,
    );
    kinds.into_iter().map(|kind| Structure { station_m: 0.5, kind }).collect()
}

fn bed(i: usize) -> Bed {
    let envelopes = every!(Envelope:
        Envelope::None => Envelope::None,
        Envelope::Sock => Envelope::Sock,
        Envelope::Granular(_) => Envelope::Granular(0.5),
    );
    Bed {
        material: turn(materials(), i),
        slots: turn(every!(Slots: Ordinary, Narrow), i),
        envelope: turn(envelopes, i),
        permeable_backfill: true,
        anchored: true,
        rated_for_load: true,
        organic: true,
        settlement_m: Some(0.5),
        maker_depth_m: Some(0.5),
        engineered: true,
    }
}

fn watercourses() -> BTreeMap<WatercourseId, Watercourse> {
    let kinds = every!(WatercourseKind: Ditch, Culvert);
    let watercourse = |kind| Watercourse { name: text(), kind, points: vec![HERE] };
    (0..).map(WatercourseId).zip(kinds.into_iter().map(watercourse)).collect()
}

fn landmarks() -> BTreeMap<LandmarkId, Landmark> {
    let outlines = every!(Outline:
        Outline::At(_) => Outline::At(HERE),
        Outline::Along(_) => Outline::Along(vec![HERE]),
        Outline::Around(_) => Outline::Around(vec![HERE]),
    );
    let landmark = |(i, kind)| Landmark { name: text(), kind, outline: turn(outlines.clone(), i), note: text() };
    let all = utilities().into_iter().chain(wet_areas()).chain(marks());
    (0..).map(LandmarkId).zip(all.enumerate().map(landmark)).collect()
}

fn utilities() -> Vec<LandmarkKind> {
    let carries = every!(Carries: Gas, Oil, Power, Telecom, Water, Sewer, Reclaimed, Unknown);
    let utility = |carries| {
        LandmarkKind::Utility(Utility {
            carries,
            depth_m: Some(0.5),
            size_m: Some(0.5),
            clear_m: Some(0.5),
            ticket: text(),
            valid_until: Some(text()),
            exposed: Some(Exposed { by: text(), on: text(), top_m: 0.5, bottom_m: 0.5 }),
        })
    };
    carries.into_iter().map(utility).collect()
}

fn wet_areas() -> Vec<LandmarkKind> {
    let causes = every!(Cause: Perched, WaterTable, SideFlow, Spring, RunOn, Backwater, BrokenTile, Unknown);
    causes.into_iter().map(|cause| LandmarkKind::WetArea { cause: Some(cause), leave: true }).collect()
}

fn pit() -> Pit {
    let layer = |texture| SoilLayer {
        to_m: 0.5,
        texture,
        sand: Some(0.5),
        clay: Some(0.5),
        organic: Some(0.5),
        porosity: Some(0.5),
        conductivity_ms: Some(0.5),
    };
    Pit {
        layers: textures().into_iter().map(layer).collect(),
        mottles_m: Some(0.5),
        tight_m: Some(0.5),
        iron: true,
        ph: Some(0.5),
    }
}

fn marks() -> Vec<LandmarkKind> {
    use LandmarkKind as Kind;
    let rows = Rows { bearing_deg: 0.5, spacing_m: 0.5, post_depth_m: Some(0.5), anchor_depth_m: Some(0.5) };
    every!(Kind:
        Kind::Utility(_) => Kind::Utility(Utility::default()),
        Kind::OverheadLine { .. } => Kind::OverheadLine { kilovolts: Some(0.5) },
        Kind::Easement { .. } => Kind::Easement { holder: text() },
        Kind::Wetland { .. } => Kind::Wetland { setback_m: Some(0.5), determined: Some(text()) },
        Kind::Well { .. } => Kind::Well { keep_off_m: Some(0.5) },
        Kind::Septic { .. } => Kind::Septic { keep_off_m: Some(0.5) },
        Kind::Trees { .. } => Kind::Trees { species: text(), thirsty: true },
        Kind::Hedge => Kind::Hedge,
        Kind::Road { .. } => Kind::Road { width_m: 0.5, public: true, permission: true },
        Kind::Irrigation { .. } => Kind::Irrigation { depth_m: Some(0.5), size_m: Some(0.5) },
        Kind::Rows(_) => Kind::Rows(rows.clone()),
        Kind::Pit(_) => Kind::Pit(pit()),
        Kind::WetArea { .. } => Kind::WetArea { cause: None, leave: true },
        Kind::Spring => Kind::Spring,
        Kind::Bank => Kind::Bank,
        Kind::Footing { .. } => Kind::Footing { depth_m: 0.5 },
        Kind::Store => Kind::Store,
        Kind::Neighbour { .. } => Kind::Neighbour { agreed: true },
        Kind::SiteFlag { .. } => Kind::SiteFlag { decision: text() },
    )
}

fn survey() -> SurveyBook {
    let file = |vertical_unit| SurveyFile { file: text(), batch: text(), vertical_unit };
    SurveyBook {
        files: length_units().into_iter().map(file).collect(),
        batches: BTreeMap::from([(text(), BatchFacts { datum: text(), date: Some(text()) })]),
        benchmarks: vec![Benchmark { name: text(), at: HERE, level_m: 0.5, datum: text() }],
        loops: vec![LevelLoop { name: text(), known_m: 0.5, carried_m: 0.5, length_m: 0.5 }],
        earthwork: Some(text()),
        corrections: remedies().into_iter().map(|what| Correction { what, signed: signed() }).collect(),
    }
}

fn remedies() -> Vec<Remedy> {
    let shot = || ShotName { batch: text(), shot: text() };
    let convert =
        |i| Remedy::Convert { batch: text(), read: turn(length_units(), i), written: turn(length_units(), i) };
    let mut all = every!(Remedy:
        Remedy::Convert { .. } => convert(0),
        Remedy::Shift { .. } => Remedy::Shift { batch: text(), by_m: 0.5 },
        Remedy::ShiftLidar { .. } => Remedy::ShiftLidar { by_m: 0.5 },
        Remedy::Datum { .. } => Remedy::Datum { batch: text(), datum: text() },
        Remedy::Raise { .. } => Remedy::Raise { shot: shot(), by_m: 0.5 },
        Remedy::LeaveOut { .. } => Remedy::LeaveOut { shot: shot() },
        Remedy::LeaveOutBatch { .. } => Remedy::LeaveOutBatch { batch: text() },
        Remedy::Keep { .. } => Remedy::Keep { batch: text(), off_m: 0.5 },
    );
    all.extend((1..length_units().len()).map(convert));
    all
}

fn taken() -> Taken {
    Taken { by: text(), at: text(), revision: text() }
}

fn record() -> Record {
    let note =
        |on| FieldNote { key: text(), taken: taken(), on, spot: Some(spots(0)), says: text(), agreed_by: text() };
    let laid = |wall| LaidStretch {
        line: LineId(1),
        stretch_m: (0.5, 0.5),
        on: text(),
        size_m: Some(0.5),
        wall: Some(wall),
        solid: Some(true),
        backfilled: true,
    };
    Record {
        shots: (0..4).map(shot).collect(),
        finds: (0..5).map(find).collect(),
        probes: vec![Probe {
            key: text(),
            taken: taken(),
            spot: spots(0),
            line: Some(LineId(1)),
            met: true,
            note: text(),
        }],
        photos: vec![Photo {
            file: text(),
            sha256: text(),
            spot: Some(spots(1)),
            looks_deg: Some(0.5),
            at: text(),
            caption: text(),
            of: text(),
        }],
        notes: every!(NoteOn: Digging, Changed, Repair, Care).into_iter().map(note).collect(),
        flows: vec![OutletFlow {
            key: text(),
            taken: taken(),
            outlet: OutletId(1),
            running: running(0),
            cloudy: true,
            note: text(),
        }],
        laid: every!(Wall: Corrugated, Smooth, Rigid).into_iter().map(laid).collect(),
        finished: Some(text()),
        signed: Some(signed()),
        log: vec![LogEntry { says: text(), content: text(), signed: signed(), chain: text() }],
    }
}

fn spots(i: usize) -> Spot {
    let all = every!(Spot:
        Spot::Station { .. } => Spot::Station { line: LineId(1), station_m: 0.5 },
        Spot::Place(_) => Spot::Place(HERE),
    );
    turn(all, i)
}

fn running(i: usize) -> Running {
    let all = every!(Running:
        Running::Flow(_) => Running::Flow(0.5),
        Running::Unknown => Running::Unknown,
        Running::Dry => Running::Dry,
        Running::Runs => Running::Runs,
    );
    turn(all, i)
}

fn shot(i: usize) -> DugShot {
    let fix = Fix {
        quality: turn(every!(FixQuality: Fixed, Float, Differential, Single), i),
        age_s: Some(0.5),
        antenna_m: 0.5,
        geoid_m: Some(0.5),
        shift_m: 0.5,
        checked_on: text(),
        missed_m: (0.5, 0.5),
    };
    DugShot {
        key: text(),
        taken: taken(),
        spot: spots(i),
        on: turn(every!(ShotOn: Invert, Top, TrenchBottom, Ground), i),
        level_m: 0.5,
        scatter_m: Some(0.5),
        fix: Some(fix),
        note: text(),
        struck: Some(signed()),
    }
}

fn find(i: usize) -> Find {
    let decided = Decided {
        what: turn(every!(Decision: Join, Bridge, Replace, Bypass, Plug), i),
        line: Some(LineId(1)),
        signed: signed(),
    };
    Find {
        key: text(),
        taken: taken(),
        spot: spots(i),
        invert_m: Some(0.5),
        size_m: Some(0.5),
        material: turn(materials(), i),
        falls_deg: Some(0.5),
        running: running(i),
        silt_m: Some(0.5),
        condition: turn(every!(Condition: Unknown, Good, Fair, Poor), i),
        upstream_m2: Some(0.5),
        from_beyond: true,
        decided: Some(decided),
        note: text(),
        struck: Some(signed()),
    }
}

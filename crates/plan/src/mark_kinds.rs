//! The kinds of marks on the land: a row for each, with its words, its outlines and its fields. The card, the reading of
//! files, the checks of figures and the sheets read the rows; a kind without a row does not compile.

use crate::bounds::{self, Bound};
use crate::{
    Carries, Cause, Exposed, FEET_STARTS, LandmarkKind as Kind, LandmarkKind, Pit, Rows, SoilLayer, Utility,
};

/// What holds for all marks of a kind.
#[derive(Debug)]
pub struct MarkKind {
    /// The word for it.
    pub word: &'static str,
    /// Other words under which files name it, in small letters.
    pub other_words: &'static [&'static str],
    /// Outlines it may have: a place, a course, an area.
    pub outlines: (bool, bool, bool),
    /// What somebody who digs is told where a line passes one.
    pub passed: Passed,
    /// One with its usual figures.
    pub usual: fn() -> LandmarkKind,
    /// What is asked of it, in the order of its card.
    pub fields: &'static [MarkField],
}

/// What somebody who digs is told where a line passes a mark.
#[derive(Debug)]
pub enum Passed {
    /// It lies in the ground and is dug free by hand.
    Buried {
        /// Depth of its top below ground, metres.
        depth_m: Member<Option<f64>>,
        /// Its outside diameter, metres.
        size_m: Member<Option<f64>>,
    },
    /// It hangs over the machine; the words for it before its name.
    Overhead(&'static str),
    /// That it is there, in these words before its name.
    Named(&'static str),
    /// Nothing.
    Untold,
}

/// A field of a kind.
#[derive(Debug)]
pub struct MarkField {
    /// Its name in files; a length may also stand under the name with `_m`, in metres.
    pub name: &'static str,
    /// What it is called on a card.
    pub label: &'static str,
    /// What stands in it.
    pub value: MarkValue,
}

/// What stands in a field, how far it may go, and where it is kept.
#[derive(Debug)]
pub enum MarkValue {
    /// A length, metres.
    Length(Bound, Member<f64>),
    /// A length that may be unknown, metres.
    KnownLength(Bound, Member<Option<f64>>),
    /// A direction, degrees from north.
    Direction(Bound, Member<f64>),
    /// A number that may be unknown.
    KnownNumber(Bound, Member<Option<f64>>),
    /// A text.
    Text(Member<String>),
    /// A day that may be unknown, `YYYY-MM-DD`.
    Day(Member<Option<String>>),
    /// Yes or no.
    YesNo(Member<bool>),
    /// One of a list.
    Choice(Choice),
    /// The layers of a soil pit.
    Layers(Member<Vec<SoilLayer>>),
    /// Where a utility was found when it was dug free by hand.
    Exposed(Member<Option<Exposed>>),
}

/// Where the value of a field is kept in its kind.
#[derive(Debug)]
pub struct Member<T: 'static> {
    seen: fn(&LandmarkKind) -> Option<&T>,
    kept: fn(&mut LandmarkKind) -> Option<&mut T>,
}

impl<T> Member<T> {
    /// The value; `None` for a mark of another kind.
    pub fn get<'a>(&self, kind: &'a LandmarkKind) -> Option<&'a T> {
        (self.seen)(kind)
    }

    /// The value to be changed; `None` for a mark of another kind.
    pub fn get_mut<'a>(&self, kind: &'a mut LandmarkKind) -> Option<&'a mut T> {
        (self.kept)(kind)
    }

    /// Sets the value; leaves a mark of another kind as it is.
    pub fn set(&self, kind: &mut LandmarkKind, value: T) {
        if let Some(kept) = self.get_mut(kind) {
            *kept = value;
        }
    }
}

/// A field that is one of a list, told by its number in it.
#[derive(Debug)]
pub struct Choice {
    /// The words of the list.
    pub words: fn() -> Vec<&'static str>,
    /// The one that a word in a file names.
    pub named: fn(&str) -> Option<usize>,
    /// The one that is chosen; `None` for a mark of another kind.
    pub get: fn(&LandmarkKind) -> Option<usize>,
    /// Chooses one.
    pub set: fn(&mut LandmarkKind, usize),
}

impl Choice {
    /// The words by which a file may choose.
    pub fn file_words(&self) -> Vec<&'static str> {
        (self.words)().into_iter().filter(|word| (self.named)(word).is_some()).collect()
    }
}

macro_rules! member {
    ($pattern:pat => $value:ident) => {
        Member {
            seen: |kind| if let $pattern = kind { Some($value) } else { None },
            kept: |kind| if let $pattern = kind { Some($value) } else { None },
        }
    };
}

macro_rules! choice {
    ($list:expr, $named:expr, $pattern:pat => $value:ident) => {
        MarkValue::Choice(Choice {
            words: || $list.iter().map(|(_, word)| *word).collect(),
            named: $named,
            get: |kind| if let $pattern = kind { $list.iter().position(|(one, _)| one == $value) } else { None },
            set: |kind, place| {
                if let ($pattern, Some((one, _))) = (kind, $list.get(place)) {
                    *$value = *one;
                }
            },
        })
    };
}

const fn field(name: &'static str, label: &'static str, value: MarkValue) -> MarkField {
    MarkField { name, label, value }
}

const fn known(name: &'static str, label: &'static str, bound: Bound, member: Member<Option<f64>>) -> MarkField {
    field(name, label, MarkValue::KnownLength(bound, member))
}

const PLACE: (bool, bool, bool) = (true, false, false);
const COURSE: (bool, bool, bool) = (false, true, false);
const AREA: (bool, bool, bool) = (false, false, true);
const COURSE_OR_AREA: (bool, bool, bool) = (false, true, true);
const ANY: (bool, bool, bool) = (true, true, true);

/// Causes of a wet area, before them that nobody asked.
const CAUSES: [(Option<Cause>, &str); Cause::ALL.len() + 1] = {
    let mut all = [(None, "not asked yet"); Cause::ALL.len() + 1];
    let mut i = 0;
    while i < Cause::ALL.len() {
        all[i + 1] = (Some(Cause::ALL[i].0), Cause::ALL[i].1);
        i += 1;
    }
    all
};

fn cause_named(text: &str) -> Option<usize> {
    CAUSES.iter().position(|(cause, word)| cause.is_some() && *word == text)
}

fn carries_named(text: &str) -> Option<usize> {
    let carries = Carries::named(&text.to_lowercase());
    Carries::ALL.iter().position(|(one, _)| *one == carries)
}

const UTILITY_DEPTH: Member<Option<f64>> = member!(Kind::Utility(Utility { depth_m, .. }) => depth_m);
const UTILITY_SIZE: Member<Option<f64>> = member!(Kind::Utility(Utility { size_m, .. }) => size_m);

static UTILITY: MarkKind = MarkKind {
    word: "buried utility",
    other_words: &["gas", "utility", "cable", "fibre", "fiber"],
    outlines: COURSE,
    passed: Passed::Buried { depth_m: UTILITY_DEPTH, size_m: UTILITY_SIZE },
    usual: || Kind::Utility(Utility::default()),
    fields: &[
        field(
            "carries",
            "Carries",
            choice!(Carries::ALL, carries_named, Kind::Utility(Utility { carries, .. }) => carries),
        ),
        known("depth", "Depth of its top", bounds::MARK, UTILITY_DEPTH),
        known("size", "Outside diameter", bounds::MARK, UTILITY_SIZE),
        known(
            "clear",
            "Owner asks to clear",
            bounds::MARK,
            member!(Kind::Utility(Utility { clear_m, .. }) => clear_m),
        ),
        field("ticket", "Locate ticket", MarkValue::Text(member!(Kind::Utility(Utility { ticket, .. }) => ticket))),
        field(
            "valid_until",
            "Ticket holds until",
            MarkValue::Day(member!(Kind::Utility(Utility { valid_until, .. }) => valid_until)),
        ),
        field(
            "exposed",
            "Exposed by hand",
            MarkValue::Exposed(member!(Kind::Utility(Utility { exposed, .. }) => exposed)),
        ),
    ],
};

static OVERHEAD_LINE: MarkKind = MarkKind {
    word: "overhead power line",
    other_words: &["power line", "overhead line"],
    outlines: COURSE,
    passed: Passed::Overhead("POWER LINE OVERHEAD"),
    usual: || Kind::OverheadLine { kilovolts: None },
    fields: &[field(
        "kilovolts",
        "Kilovolts",
        MarkValue::KnownNumber(bounds::MARK, member!(Kind::OverheadLine { kilovolts } => kilovolts)),
    )],
};

static EASEMENT: MarkKind = MarkKind {
    word: "easement",
    other_words: &[],
    outlines: COURSE_OR_AREA,
    passed: Passed::Named("easement"),
    usual: || Kind::Easement { holder: String::new() },
    fields: &[field("holder", "Holder", MarkValue::Text(member!(Kind::Easement { holder } => holder)))],
};

static WETLAND: MarkKind = MarkKind {
    word: "wetland",
    other_words: &[],
    outlines: AREA,
    passed: Passed::Named("wetland"),
    usual: || Kind::Wetland { setback_m: None, determined: None },
    fields: &[
        known("setback", "Setback", bounds::MARK, member!(Kind::Wetland { setback_m, .. } => setback_m)),
        field("determined", "Determined on", MarkValue::Day(member!(Kind::Wetland { determined, .. } => determined))),
    ],
};

static WELL: MarkKind = MarkKind {
    word: "well",
    other_words: &[],
    outlines: PLACE,
    passed: Passed::Untold,
    usual: || Kind::Well { keep_off_m: None },
    fields: &[known(
        "keep_off",
        "Distance by local rule",
        bounds::MARK,
        member!(Kind::Well { keep_off_m } => keep_off_m),
    )],
};

static SEPTIC: MarkKind = MarkKind {
    word: "septic",
    other_words: &[],
    outlines: ANY,
    passed: Passed::Untold,
    usual: || Kind::Septic { keep_off_m: None },
    fields: &[known(
        "keep_off",
        "Distance by local rule",
        bounds::MARK,
        member!(Kind::Septic { keep_off_m } => keep_off_m),
    )],
};

static TREES: MarkKind = MarkKind {
    word: "trees",
    other_words: &["tree"],
    outlines: ANY,
    passed: Passed::Untold,
    usual: || Kind::Trees { species: String::new(), thirsty: false },
    fields: &[
        field("species", "Species", MarkValue::Text(member!(Kind::Trees { species, .. } => species))),
        field(
            "thirsty",
            "A kind that seeks water (willow, poplar, elm, soft maple)",
            MarkValue::YesNo(member!(Kind::Trees { thirsty, .. } => thirsty)),
        ),
    ],
};

static HEDGE: MarkKind = MarkKind {
    word: "hedge",
    other_words: &[],
    outlines: COURSE_OR_AREA,
    passed: Passed::Untold,
    usual: || Kind::Hedge,
    fields: &[],
};

static ROAD: MarkKind = MarkKind {
    word: "road or lane",
    other_words: &["road", "lane", "track"],
    outlines: COURSE_OR_AREA,
    passed: Passed::Named("road or lane"),
    usual: || Kind::Road { width_m: FEET_STARTS.road_width_m, public: false, permission: false },
    fields: &[
        field("width", "Width", MarkValue::Length(bounds::MARK, member!(Kind::Road { width_m, .. } => width_m))),
        field("public", "Public road", MarkValue::YesNo(member!(Kind::Road { public, .. } => public))),
        field(
            "permission",
            "The road authority agreed",
            MarkValue::YesNo(member!(Kind::Road { permission, .. } => permission)),
        ),
    ],
};

const IRRIGATION_DEPTH: Member<Option<f64>> = member!(Kind::Irrigation { depth_m, .. } => depth_m);
const IRRIGATION_SIZE: Member<Option<f64>> = member!(Kind::Irrigation { size_m, .. } => size_m);

static IRRIGATION: MarkKind = MarkKind {
    word: "irrigation main",
    other_words: &["irrigation"],
    outlines: COURSE,
    passed: Passed::Buried { depth_m: IRRIGATION_DEPTH, size_m: IRRIGATION_SIZE },
    usual: || Kind::Irrigation { depth_m: None, size_m: None },
    fields: &[
        known("depth", "Depth of its top", bounds::MARK, IRRIGATION_DEPTH),
        known("size", "Outside diameter", bounds::MARK, IRRIGATION_SIZE),
    ],
};

static ROWS: MarkKind = MarkKind {
    word: "rows",
    other_words: &["vines"],
    outlines: AREA,
    passed: Passed::Named("end-post line of"),
    usual: || Kind::Rows(Rows::default()),
    fields: &[
        field(
            "bearing",
            "Direction from north",
            MarkValue::Direction(
                Bound { what: "direction of the rows", ..bounds::DIRECTION },
                member!(Kind::Rows(Rows { bearing_deg, .. }) => bearing_deg),
            ),
        ),
        field(
            "spacing",
            "Row to row",
            MarkValue::Length(bounds::ROWS, member!(Kind::Rows(Rows { spacing_m, .. }) => spacing_m)),
        ),
        known(
            "post_depth",
            "Posts go down",
            bounds::DUG,
            member!(Kind::Rows(Rows { post_depth_m, .. }) => post_depth_m),
        ),
        known(
            "anchor_depth",
            "Anchors go down",
            bounds::DUG,
            member!(Kind::Rows(Rows { anchor_depth_m, .. }) => anchor_depth_m),
        ),
    ],
};

static PIT: MarkKind = MarkKind {
    word: "soil pit",
    other_words: &["pit"],
    outlines: PLACE,
    passed: Passed::Untold,
    usual: || Kind::Pit(Pit::default()),
    fields: &[
        field("layers", "Layer", MarkValue::Layers(member!(Kind::Pit(Pit { layers, .. }) => layers))),
        known("mottles", "Mottles from", bounds::DEPTH, member!(Kind::Pit(Pit { mottles_m, .. }) => mottles_m)),
        known("tight", "Tight layer from", bounds::DEPTH, member!(Kind::Pit(Pit { tight_m, .. }) => tight_m)),
        field("ph", "pH", MarkValue::KnownNumber(bounds::PH, member!(Kind::Pit(Pit { ph, .. }) => ph))),
        field("iron", "Iron seen", MarkValue::YesNo(member!(Kind::Pit(Pit { iron, .. }) => iron))),
    ],
};

static WET_AREA: MarkKind = MarkKind {
    word: "wet area",
    other_words: &["wet"],
    outlines: AREA,
    passed: Passed::Untold,
    usual: || Kind::WetArea { cause: None, leave: false },
    fields: &[
        field("cause", "Why it is wet", choice!(CAUSES, cause_named, Kind::WetArea { cause, .. } => cause)),
        field("leave", "Leave it as it is", MarkValue::YesNo(member!(Kind::WetArea { leave, .. } => leave))),
    ],
};

static SPRING: MarkKind = MarkKind {
    word: "spring",
    other_words: &[],
    outlines: PLACE,
    passed: Passed::Untold,
    usual: || Kind::Spring,
    fields: &[],
};

static BANK: MarkKind = MarkKind {
    word: "dam or levee",
    other_words: &["dam", "levee", "bank"],
    outlines: COURSE_OR_AREA,
    passed: Passed::Named("dam or levee"),
    usual: || Kind::Bank,
    fields: &[],
};

static FOOTING: MarkKind = MarkKind {
    word: "footing or wall",
    other_words: &["wall", "footing"],
    outlines: COURSE_OR_AREA,
    passed: Passed::Untold,
    usual: || Kind::Footing { depth_m: FEET_STARTS.footing_depth_m },
    fields: &[field(
        "depth",
        "Depth of its underside",
        MarkValue::Length(bounds::MARK, member!(Kind::Footing { depth_m } => depth_m)),
    )],
};

static STORE: MarkKind = MarkKind {
    word: "store or yard",
    other_words: &["store", "yard"],
    outlines: ANY,
    passed: Passed::Untold,
    usual: || Kind::Store,
    fields: &[],
};

static NEIGHBOUR: MarkKind = MarkKind {
    word: "neighbor's side",
    other_words: &["neighbour's side", "neighbour", "neighbor"],
    outlines: COURSE,
    passed: Passed::Untold,
    usual: || Kind::Neighbour { agreed: false },
    fields: &[field(
        "agreed",
        "The neighbor agreed",
        MarkValue::YesNo(member!(Kind::Neighbour { agreed } => agreed)),
    )],
};

static SITE_FLAG: MarkKind = MarkKind {
    word: "site flag",
    other_words: &[],
    outlines: ANY,
    passed: Passed::Untold,
    usual: || Kind::SiteFlag { decision: String::new() },
    fields: &[field(
        "decision",
        "What was decided",
        MarkValue::Text(member!(Kind::SiteFlag { decision } => decision)),
    )],
};

macro_rules! rows {
    ($($pattern:pat => $row:ident,)+) => {
        /// Every kind, in the order of the trade's list.
        pub static MARK_KINDS: &[&MarkKind] = &[$(&$row,)+];

        impl LandmarkKind {
            /// What holds for all marks of its kind.
            pub fn row(&self) -> &'static MarkKind {
                match self {
                    $($pattern => &$row,)+
                }
            }
        }
    };
}

rows! {
    Kind::Utility(_) => UTILITY,
    Kind::OverheadLine { .. } => OVERHEAD_LINE,
    Kind::Easement { .. } => EASEMENT,
    Kind::Wetland { .. } => WETLAND,
    Kind::Well { .. } => WELL,
    Kind::Septic { .. } => SEPTIC,
    Kind::Trees { .. } => TREES,
    Kind::Hedge => HEDGE,
    Kind::Road { .. } => ROAD,
    Kind::Irrigation { .. } => IRRIGATION,
    Kind::Rows(_) => ROWS,
    Kind::Pit(_) => PIT,
    Kind::WetArea { .. } => WET_AREA,
    Kind::Spring => SPRING,
    Kind::Bank => BANK,
    Kind::Footing { .. } => FOOTING,
    Kind::Store => STORE,
    Kind::Neighbour { .. } => NEIGHBOUR,
    Kind::SiteFlag { .. } => SITE_FLAG,
}

impl LandmarkKind {
    /// One of every kind with its usual figures, for menus; in the order of the trade's list.
    pub fn all() -> Vec<Self> {
        MARK_KINDS.iter().map(|row| (row.usual)()).collect()
    }

    /// The word for it.
    pub fn word(&self) -> &'static str {
        self.row().word
    }

    /// Outlines it may have: a place, a course, an area.
    pub fn outlines(&self) -> (bool, bool, bool) {
        self.row().outlines
    }

    /// Depth of the top and outside diameter of what is buried, metres, as far as they are known; `None` for all else.
    pub fn buried(&self) -> Option<(Option<f64>, Option<f64>)> {
        let Passed::Buried { depth_m, size_m } = &self.row().passed else { return None };
        Some((*depth_m.get(self)?, *size_m.get(self)?))
    }
}

#[cfg(test)]
mod tests {
    use measure::{Point, Units};

    use super::*;
    use crate::{Landmark, Outline, Plan, PlanError, Texture, add_landmark};

    /// Every kind with a field of it.
    fn fields() -> impl Iterator<Item = (LandmarkKind, &'static MarkField)> {
        MARK_KINDS.iter().flat_map(|row| row.fields.iter().map(|field| ((row.usual)(), field)))
    }

    /// Sets a value and asks whether it is there and was not before.
    fn is_kept<T: PartialEq + Clone>(member: &Member<T>, kind: &mut LandmarkKind, value: T) -> bool {
        let was = member.get(kind).cloned();
        member.set(kind, value.clone());
        was.is_some_and(|was| was != value) && member.get(kind) == Some(&value)
    }

    /// Adds a mark to an empty plan.
    fn entered(kind: LandmarkKind) -> Result<(), PlanError> {
        let p = Point::new;
        let outline = match kind.outlines() {
            (true, ..) => Outline::At(p(5.0, 5.0)),
            (_, true, _) => Outline::Along(vec![p(0.0, 0.0), p(9.0, 0.0)]),
            (_, _, is_area) => {
                assert!(is_area, "{}: no outline", kind.word());
                Outline::Around(vec![p(0.0, 0.0), p(9.0, 0.0), p(9.0, 9.0)])
            }
        };
        let mut plan = Plan::new("Sketch", Units::Metric);
        let mark = Landmark { name: "K1".into(), kind, outline, note: String::new() };
        let edit = add_landmark(&plan, mark).1;
        plan.apply(&edit).map(drop)
    }

    #[test]
    fn every_kind_has_its_row_and_words_of_its_own() {
        let mut words: Vec<&str> = Vec::new();
        for row in MARK_KINDS {
            let usual = (row.usual)();
            assert!(std::ptr::eq(usual.row(), *row), "{}: its usual mark is a {}", row.word, usual.word());
            entered(usual).unwrap();
            words.extend([row.word].iter().chain(row.other_words).copied());
            let mut names: Vec<&str> = row.fields.iter().map(|field| field.name).collect();
            names.sort_unstable();
            names.dedup();
            assert_eq!(names.len(), row.fields.len(), "{}: two fields of a name", row.word);
        }
        assert!(words.iter().all(|word| word.to_lowercase() == *word), "files are read in small letters");
        let count = words.len();
        words.sort_unstable();
        words.dedup();
        assert_eq!(words.len(), count, "a word names two kinds");
    }

    #[test]
    fn every_field_is_set_and_read_back() {
        for (mut kind, field) in fields() {
            let layer = SoilLayer::of(0.9, Texture::Loam);
            let exposed = Exposed { by: "R. Sund".into(), on: "2031-04-01".into(), top_m: 9.0, bottom_m: 8.0 };
            let is_kept = match &field.value {
                MarkValue::Length(_, member) | MarkValue::Direction(_, member) => is_kept(member, &mut kind, 2.5),
                MarkValue::KnownLength(_, member) | MarkValue::KnownNumber(_, member) => {
                    is_kept(member, &mut kind, Some(2.5))
                }
                MarkValue::Text(member) => is_kept(member, &mut kind, "said".into()),
                MarkValue::Day(member) => is_kept(member, &mut kind, Some("2031-04-01".into())),
                MarkValue::YesNo(member) => is_kept(member, &mut kind, true),
                MarkValue::Layers(member) => is_kept(member, &mut kind, vec![layer]),
                MarkValue::Exposed(member) => is_kept(member, &mut kind, Some(exposed)),
                MarkValue::Choice(choice) => (0..(choice.words)().len()).all(|one| {
                    (choice.set)(&mut kind, one);
                    (choice.get)(&kind) == Some(one)
                }),
            };
            assert!(is_kept, "{} of {}", field.name, kind.word());
            entered(kind).unwrap();
        }
    }

    #[test]
    fn a_field_of_one_kind_leaves_the_others_alone() {
        for (own, field) in fields() {
            for mut other in LandmarkKind::all().into_iter().filter(|other| other.word() != own.word()) {
                let before = other.clone();
                if let MarkValue::KnownLength(_, member) = &field.value {
                    member.set(&mut other, Some(7.0));
                    assert_eq!(member.get(&other), None, "{} of {}", field.name, own.word());
                }
                if let MarkValue::Choice(choice) = &field.value {
                    (choice.set)(&mut other, 1);
                    assert_eq!((choice.get)(&other), None, "{} of {}", field.name, own.word());
                }
                assert_eq!(other, before);
            }
        }
    }

    #[test]
    fn what_lies_outside_the_range_of_a_field_is_refused() {
        for (kind, field) in fields() {
            let with = |number: f64| {
                let mut kind = kind.clone();
                match &field.value {
                    MarkValue::Length(_, member) | MarkValue::Direction(_, member) => member.set(&mut kind, number),
                    MarkValue::KnownLength(_, member) | MarkValue::KnownNumber(_, member) => {
                        member.set(&mut kind, Some(number));
                    }
                    _ => {}
                }
                entered(kind)
            };
            let (MarkValue::Length(bound, _)
            | MarkValue::Direction(bound, _)
            | MarkValue::KnownLength(bound, _)
            | MarkValue::KnownNumber(bound, _)) = &field.value
            else {
                continue;
            };
            let place = format!("{} of {}", field.name, kind.word());
            assert!(with(bound.least).is_ok() && with(bound.most).is_ok(), "{place}");
            for number in [bound.least - 0.01, bound.most + 0.01, f64::NAN] {
                let error = with(number).expect_err(&place);
                assert_eq!(error.expected, bound.words(), "{place}");
                assert!(error.found.starts_with(bound.what), "{place}: {error}");
            }
        }
    }

    #[test]
    fn a_day_that_is_none_is_refused() {
        let days = fields().filter_map(|(mut kind, field)| {
            let MarkValue::Day(member) = &field.value else { return None };
            member.set(&mut kind, Some("1.4.2031".into()));
            Some(entered(kind).unwrap_err().expected)
        });
        assert_eq!(days.collect::<Vec<_>>(), ["a date as YYYY-MM-DD"; 2]);
    }

    #[test]
    fn files_choose_by_the_words_of_what_is_known() {
        let words = |name: &str| {
            let found = fields().find(|(_, field)| field.name == name).unwrap().1;
            let MarkValue::Choice(choice) = &found.value else { panic!("no choice") };
            choice.file_words()
        };
        assert_eq!(words("cause"), Cause::ALL.map(|(_, word)| word));
        assert_eq!(words("carries"), Carries::ALL.map(|(_, word)| word));
    }
}

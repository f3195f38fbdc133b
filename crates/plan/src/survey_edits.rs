//! Edits of the survey book, one function a gesture, and the words of its log.

use measure::{LengthUnit, Units};

use crate::{Change, Correction, Edit, Plan, Remedy, ShotName, Signature, SurveyBook};

/// Sets what is known of the survey.
pub fn set_survey(label: impl Into<String>, book: SurveyBook) -> Edit {
    Edit::one(label, Change::Survey(book))
}

/// Corrects the survey: the remedies are added to the log, each with the signature.
pub fn correct(plan: &Plan, remedies: Vec<Remedy>, signed: &Signature) -> Edit {
    let units = plan.title.units;
    let label = match &remedies[..] {
        [first, rest @ ..] if !rest.is_empty() => format!("{} and {} more", first.words(units), rest.len()),
        [only] => only.words(units),
        _ => "Correct the survey".into(),
    };
    let mut book = plan.survey.clone();
    book.corrections.extend(remedies.into_iter().map(|what| Correction { what, signed: signed.clone() }));
    set_survey(label, book)
}

/// Signs the corrections of an edit that are not signed yet; a reason that is there stays where none is given.
pub fn sign(edit: &Edit, signed: &Signature) -> Edit {
    let mut edit = edit.clone();
    let books = edit.changes.iter_mut().filter_map(|change| match change {
        Change::Survey(book) => Some(book),
        _ => None,
    });
    for correction in books.flat_map(|book| &mut book.corrections).filter(|c| c.signed.by.is_empty()) {
        let because = Some(&signed.because).filter(|because| !because.trim().is_empty());
        let because = because.unwrap_or(&correction.signed.because).clone();
        correction.signed = Signature { because, ..signed.clone() };
    }
    edit
}

/// True for an edit with a correction that nobody has signed.
pub fn wants_signature(edit: &Edit) -> bool {
    edit.changes.iter().any(|change| match change {
        Change::Survey(book) => book.corrections.iter().any(|correction| correction.signed.by.is_empty()),
        _ => false,
    })
}

impl Remedy {
    /// What is done, in the words of a button, an undo menu and the log.
    pub fn words(&self, units: Units) -> String {
        let by = |by_m: &f64| signed_level(*by_m, units);
        match self {
            Self::Convert { batch, written, .. } => format!("Read batch {batch} as {}", short_unit(*written)),
            Self::Shift { batch, by_m } => format!("Shift batch {batch} by {}", by(by_m)),
            Self::ShiftLidar { by_m } => format!("Shift the lidar by {}", by(by_m)),
            Self::Datum { batch, datum } => format!("Take batch {batch} as brought to {datum}"),
            Self::Raise { shot, by_m } => format!("Correct {shot} by {}", by(by_m)),
            Self::LeaveOut { shot } => format!("Leave out {shot}"),
            Self::LeaveOutBatch { batch } => format!("Leave out batch {batch}"),
            Self::Keep { batch, off_m } => format!("Keep batch {batch} as it is, {} off", by(off_m)),
        }
    }

    /// The batch it is about; `None` for the lidar.
    pub fn batch(&self) -> Option<&str> {
        match self {
            Self::Convert { batch, .. }
            | Self::Shift { batch, .. }
            | Self::Datum { batch, .. }
            | Self::LeaveOutBatch { batch }
            | Self::Keep { batch, .. } => Some(batch),
            Self::Raise { shot, .. } | Self::LeaveOut { shot } => Some(&shot.batch),
            Self::ShiftLidar { .. } => None,
        }
    }
}

impl Correction {
    /// The entry as the log prints it.
    pub fn words(&self, units: Units) -> String {
        let Signature { by, on, because } = &self.signed;
        format!("{on}  {by}: {}, because {because}", self.what.words(units))
    }
}

impl std::fmt::Display for ShotName {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{} of batch {}", self.shot, self.batch)
    }
}

/// A difference of level with its sign: `−0.31 ft`, `+0.100 m`; none where nothing is left of it.
pub fn signed_level(by_m: f64, units: Units) -> String {
    measure::signed(by_m, &units.amount(by_m.abs()))
}

/// Metres or feet, without telling the two feet apart where nobody would.
fn short_unit(unit: LengthUnit) -> &'static str {
    match unit {
        LengthUnit::Metre => "meters",
        LengthUnit::Foot => "feet",
        LengthUnit::SurveyFoot => "US survey feet",
    }
}

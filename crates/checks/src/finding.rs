//! A finding: what is wrong, where, by how much, and what may clear it.

use measure::Point;
use plan::{Acceptance, Edit, Gathered, LandmarkId, LineId, ObjectId, OutletId, Signature, Subject};

use crate::key::Handle;
use crate::offer::{Offer, Ways};
use crate::{Site, Tried};

/// How much a finding weighs; the heaviest first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Severity {
    /// Blocks digging until it is fixed, or accepted by name with a reason.
    Block,
    /// Needs a decision.
    Decide,
    /// Worth knowing.
    Note,
}

impl Severity {
    /// The word on the punch list.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Block => "to fix",
            Self::Decide => "to decide",
            Self::Note => "note",
        }
    }

    /// The name in files for programs.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Block => "block",
            Self::Decide => "decide",
            Self::Note => "note",
        }
    }
}

/// One of the places of a finding that gathers several.
#[derive(Debug, Clone, PartialEq)]
pub struct Place {
    /// The line it is on, where it is on one.
    pub line: Option<LineId>,
    /// Lower station, metres from that line's downstream end.
    pub from_m: f64,
    /// Upper station, metres.
    pub to_m: f64,
    /// Where it is worst.
    pub at: Point,
    /// The place in words: "L2 from 1+20 to 1+85, 5.40 ft".
    pub text: String,
}

impl Place {
    pub(crate) fn gathered(&self) -> Gathered {
        Gathered { line: self.line.map(|id| id.0), stretch_m: (self.from_m, self.to_m), at: self.at }
    }
}

/// One line of the punch list.
#[derive(Debug, Clone, PartialEq)]
pub struct Finding {
    /// By which it is known for good: number of the check, what it is about, and where: "1@L3:45.7m".
    pub key: String,
    /// Number of the check; numbers stay for good.
    pub check: u16,
    /// Short name of the check, for reports and filters.
    pub slug: &'static str,
    /// Short heading, "L3 runs uphill toward the outlet".
    pub title: String,
    /// How much it weighs.
    pub severity: Severity,
    /// The line it is about.
    pub line: Option<LineId>,
    /// The outlet it is about.
    pub outlet: Option<OutletId>,
    /// The mark on the land it is about.
    pub landmark: Option<LandmarkId>,
    /// Lower station of the stretch on that line, metres.
    pub from_m: Option<f64>,
    /// Upper station of the stretch on that line, metres.
    pub to_m: Option<f64>,
    /// Where to look.
    pub at: Point,
    /// What is wrong, in plain sentences with the figures in the plan's units.
    pub message: String,
    /// What is done in the field and entered, after which it is gone; empty where there is nothing of the kind.
    pub advice: String,
    /// Short label for the map: "runs uphill 0.7 ft".
    pub amount: Option<String>,
    /// Where the rule and its limit come from.
    pub source: &'static str,
    /// All places of a finding that gathers several.
    pub places: Vec<Place>,
    /// Other checks that found the same place: number and short name.
    pub also: Vec<(u16, &'static str)>,
    /// The keys of what was found at the same place and is not shown by itself.
    pub hides: Vec<String>,
    /// What may clear it.
    pub(crate) ways: Ways,
    /// Of what its key is made.
    pub(crate) handle: Handle,
    /// What came of trying the ways; `None` before they were tried.
    pub tried: Option<Tried>,
    /// By how much the worst value misses its limit, as a share of the limit; `None` where there is no number.
    pub excess: Option<f64>,
    /// The entry that leaves it as it is, while that holds.
    pub accepted: Option<Acceptance>,
}

/// A check: what it looks for and what the manual says about it.
#[derive(Debug, Clone, Copy)]
pub struct Rule {
    /// Its number; numbers stay for good.
    pub number: u16,
    /// Its short name.
    pub slug: &'static str,
    /// Its heading in the manual.
    pub title: &'static str,
    /// What, why, threshold, source and how well it is known.
    pub manual: &'static str,
    /// Marks of its sources, rows of [`plan::SOURCES`].
    pub source: &'static str,
    /// Looks for it.
    pub find: fn(&Site) -> Vec<Finding>,
}

impl Finding {
    /// A finding of a rule at a place.
    pub(crate) fn new(rule: &Rule, severity: Severity, at: Point, title: String, message: String) -> Self {
        Self {
            key: String::new(),
            check: rule.number,
            slug: rule.slug,
            title,
            severity,
            line: None,
            outlet: None,
            landmark: None,
            from_m: None,
            to_m: None,
            at,
            message,
            advice: String::new(),
            amount: None,
            source: rule.source,
            places: Vec::new(),
            also: Vec::new(),
            hides: Vec::new(),
            ways: Ways::default(),
            handle: Handle::default(),
            tried: None,
            excess: None,
            accepted: None,
        }
    }

    /// The thing of the plan that it is about: the line before the outlet, and both before a mark that troubles them.
    pub fn about(&self) -> Option<ObjectId> {
        let line = self.line.map(ObjectId::Line);
        line.or(self.outlet.map(ObjectId::Outlet)).or(self.landmark.map(ObjectId::Landmark))
    }

    /// What it is about, so that it is known again.
    pub fn subject(&self) -> Subject {
        let of = self.about().map(ObjectId::number);
        let mark = self.landmark.map(|id| id.0);
        Subject { check: self.check, of, mark, at: self.at, stretch_m: self.from_m.zip(self.to_m) }
    }

    /// The entry that leaves it as it is.
    pub fn acceptance(&self, signed: &Signature) -> Acceptance {
        Acceptance {
            subject: self.subject(),
            title: self.title.clone(),
            weight: self.severity as u8,
            excess: self.excess,
            gathered: self.places.iter().map(Place::gathered).collect(),
            signed: signed.clone(),
        }
    }

    /// True where it says that ground or levels which the plan names were not read: nothing worked out so is kept.
    pub fn tells_lesser_ground(&self) -> bool {
        self.check == crate::rules::LESSER_GROUND
    }

    /// True while it keeps the crew from digging.
    pub fn blocks(&self) -> bool {
        self.severity == Severity::Block && self.accepted.is_none()
    }

    /// The stretches of a line that it is about, stations in metres; for a point both are the same. `None` where it says
    /// nothing of that line, no stretch where it is about the line as a whole.
    pub fn stretches_on(&self, line: LineId) -> Option<Vec<(f64, f64)>> {
        let gathered = self.places.iter().filter(|place| place.line == Some(line));
        let gathered: Vec<(f64, f64)> = gathered.map(|place| (place.from_m, place.to_m)).collect();
        match gathered.is_empty() {
            false => Some(gathered),
            true if self.line == Some(line) => Some(self.from_m.zip(self.to_m).into_iter().collect()),
            true => None,
        }
    }

    /// The finding with what came of trying what it offers; `None` before that is known.
    pub fn with_tried(&self, tried: Option<Tried>) -> Self {
        Self { tried, ..self.clone() }
    }

    /// The first edit that clears it, once the ways were tried; its label is the text of the button.
    pub fn fix(&self) -> Option<&Edit> {
        self.tried.as_ref()?.remedies.first()
    }

    /// What is wrong and what is known to clear it, as it stands on paper.
    pub fn text(&self) -> String {
        let parts = [self.message.clone(), self.way_out()];
        parts.into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>().join(" ")
    }

    /// What is known to clear it: remedies that were tried, and what is done in the field.
    pub fn way_out(&self) -> String {
        let tried = self.tried.as_ref().map(|tried| tried.words(&self.ways, &self.advice)).unwrap_or_default();
        [tried, self.advice.clone()].into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>().join(" ")
    }

    /// Says which stretch of which line it is about, one of several the line may have; for a point both stations are the
    /// same.
    pub(crate) fn on(self, line: LineId, from_m: f64, to_m: f64) -> Self {
        Self { line: Some(line), from_m: Some(from_m), to_m: Some(to_m), ..self }.keyed_at(from_m)
    }

    /// The same where the check finds no more than one thing on a line: its key stays while its place moves.
    pub(crate) fn once_on(self, line: LineId, from_m: f64, to_m: f64) -> Self {
        Self { line: Some(line), from_m: Some(from_m), to_m: Some(to_m), ..self }
    }

    /// The same where the check finds no more than one thing in a plan, here on a line: neither is in its key.
    pub(crate) fn at_line(mut self, line: LineId, from_m: f64, to_m: f64) -> Self {
        self.handle.is_plans = true;
        self.once_on(line, from_m, to_m)
    }

    /// Names a station in its key that stays while the ends of its stretch move with the levels.
    pub(crate) fn keyed_at(mut self, station_m: f64) -> Self {
        self.handle.station_m = Some(station_m);
        self
    }

    /// Names another line in its key.
    pub(crate) fn keyed_with(mut self, line: LineId) -> Self {
        self.handle.line = Some(line);
        self
    }

    /// Names a mark in its key that it is not about.
    pub(crate) fn keyed_by(mut self, mark: LandmarkId) -> Self {
        self.handle.mark = Some(mark);
        self
    }

    /// Adds a word to its key: the name of a batch, a loop, one of two things that a check finds.
    pub(crate) fn keyed(mut self, word: impl Into<String>) -> Self {
        self.handle.words.push(word.into());
        self
    }

    /// Says which outlet it is about.
    pub(crate) fn of_outlet(self, outlet: OutletId) -> Self {
        Self { outlet: Some(outlet), ..self }
    }

    /// Says which mark on the land it is about.
    pub(crate) fn of_landmark(self, landmark: LandmarkId) -> Self {
        Self { landmark: Some(landmark), ..self }
    }

    /// Says by how much a value misses its limit.
    pub(crate) fn misses(self, value: f64, limit: f64) -> Self {
        let excess = ((value - limit) / limit).abs();
        Self { excess: Some(excess).filter(|excess| excess.is_finite()), ..self }
    }

    /// Adds the label for the map.
    pub(crate) fn amount(self, amount: String) -> Self {
        Self { amount: Some(amount), ..self }
    }

    /// Adds the list of places.
    pub(crate) fn gathers(self, places: Vec<Place>) -> Self {
        Self { places, ..self }
    }

    /// Says what is done in the field and entered.
    pub(crate) fn advises(self, advice: impl Into<String>) -> Self {
        Self { advice: advice.into(), ..self }
    }

    /// Offers changes that may clear it; they are made and tried only when somebody looks at it.
    pub(crate) fn offers(
        mut self,
        offers: impl for<'s> Fn(&'s Site<'_>) -> Vec<Offer<'s>> + Send + Sync + 'static,
    ) -> Self {
        self.ways.add(offers);
        self
    }
}

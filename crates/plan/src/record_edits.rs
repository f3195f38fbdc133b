//! Edits of the record. Entries are added; one that was mistaken is struck by name. Once the record is signed, everything
//! that is added or struck stands in its log too, each entry of which is chained to the one before it.

use sha2::{Digest, Sha256};

use crate::{
    Change, Decided, DugShot, Edit, FieldNote, Find, LaidStretch, LogEntry, OutletFlow, Photo, Plan, Probe, Record,
    Signature,
};

/// What is added to a record at once: from a field page, a file, the window.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Additions {
    /// Levels shot on what was laid.
    pub shots: Vec<DugShot>,
    /// Old tile that was found.
    pub finds: Vec<Find>,
    /// Where old lines were looked for.
    pub probes: Vec<Probe>,
    /// Photos.
    pub photos: Vec<Photo>,
    /// Notes.
    pub notes: Vec<FieldNote>,
    /// Water seen at outlets.
    pub flows: Vec<OutletFlow>,
    /// What was laid.
    pub laid: Vec<LaidStretch>,
}

impl Additions {
    /// The same without what the record has already: entries by their keys, photos by file and checksum.
    #[must_use]
    pub fn not_in(mut self, record: &Record) -> Self {
        let is_new = |key: &str| !record.keys().any(|known| known == key);
        self.shots.retain(|shot| is_new(&shot.key));
        self.finds.retain(|find| is_new(&find.key));
        self.probes.retain(|probe| is_new(&probe.key));
        self.notes.retain(|note| is_new(&note.key));
        self.flows.retain(|flow| is_new(&flow.key));
        self.photos
            .retain(|photo| !record.photos.iter().any(|own| own.file == photo.file && own.sha256 == photo.sha256));
        self.laid.retain(|laid| !record.laid.contains(laid));
        self
    }

    /// How many entries there are.
    pub fn count(&self) -> usize {
        let (own, told) =
            (self.shots.len() + self.finds.len() + self.photos.len(), self.notes.len() + self.flows.len());
        own + told + self.probes.len() + self.laid.len()
    }

    /// "3 shots, 1 find and 2 notes".
    pub fn words(&self) -> String {
        let parts = [
            (self.shots.len(), "shot"),
            (self.finds.len(), "find"),
            (self.probes.len(), "probe"),
            (self.photos.len(), "photo"),
            (self.notes.len(), "note"),
            (self.flows.len(), "flow"),
            (self.laid.len(), "stretch laid"),
        ];
        let told = parts.into_iter().filter(|(count, _)| *count > 0);
        let told: Vec<String> = told.map(|(count, what)| measure::how_many(count, what)).collect();
        if told.is_empty() { "nothing".into() } else { measure::listed(&told) }
    }
}

/// Adds to the record what it does not have yet; `None` where it has all of it. `signed` stands in the log of a record that
/// was signed.
pub fn add_to_record(plan: &Plan, additions: Additions, signed: &Signature) -> Option<Edit> {
    let new = additions.not_in(&plan.record);
    if new.count() == 0 {
        return None;
    }
    let words = format!("Record {}", new.words());
    let mut record = plan.record.clone();
    let content = (&new.shots, &new.finds, &new.probes, &new.photos, &new.notes, &new.flows, &new.laid);
    let content = serde_json::to_string(&content).unwrap_or_default();
    record.shots.extend(new.shots);
    record.finds.extend(new.finds);
    record.probes.extend(new.probes);
    record.photos.extend(new.photos);
    record.notes.extend(new.notes);
    record.flows.extend(new.flows);
    record.laid.extend(new.laid);
    Some(logged(record, words, &content, signed))
}

/// Strikes a shot or a find: it stays in the record and counts no more. `None` where none of that key stands.
pub fn strike(plan: &Plan, key: &str, signed: &Signature) -> Option<Edit> {
    let mut record = plan.record.clone();
    let shot = record.shots.iter_mut().find(|shot| shot.key == key).map(|shot| &mut shot.struck);
    let struck = shot.or(record.finds.iter_mut().find(|find| find.key == key).map(|find| &mut find.struck))?;
    if struck.is_some() {
        return None;
    }
    *struck = Some(signed.clone());
    Some(logged(record, format!("Strike {key}"), key, signed))
}

/// Writes down what was decided of a find. `None` where there is none of that key.
pub fn decide(plan: &Plan, key: &str, decided: Decided) -> Option<Edit> {
    let mut record = plan.record.clone();
    let find = record.finds.iter_mut().find(|find| find.key == key)?;
    let (words, signed) = (format!("Find {key}: {}", decided.what.word()), decided.signed.clone());
    find.decided = Some(decided);
    Some(logged(record, words, key, &signed))
}

/// Signs the record as it stands; from then on every change is an addition with its entry in the log.
pub fn sign_record(plan: &Plan, signed: &Signature) -> Edit {
    let record = Record { signed: Some(signed.clone()), ..plan.record.clone() };
    logged(record, "Sign the record".into(), "", signed)
}

/// Writes down the day on which the digging was finished.
pub fn finish_digging(plan: &Plan, day: &str, signed: &Signature) -> Edit {
    let record = Record { finished: Some(day.into()), ..plan.record.clone() };
    logged(record, format!("Digging finished {day}"), day, signed)
}

/// The edit that sets a record, with its entry in the log where the record is signed.
fn logged(mut record: Record, words: String, content: &str, signed: &Signature) -> Edit {
    if record.signed.is_some() {
        let before = record.log.last().map_or("", |entry| entry.chain.as_str());
        let chain = chained(before, &words, content, signed);
        record.log.push(LogEntry { says: words.clone(), content: content.into(), signed: signed.clone(), chain });
    }
    Edit::one(words, Change::Record(record))
}

/// SHA-256 of the chain before an entry and of everything in it, each part with its length, hexadecimal.
fn chained(before: &str, says: &str, content: &str, signed: &Signature) -> String {
    let mut digest = Sha256::new();
    for part in [before, says, content, &signed.by, &signed.on, &signed.because] {
        digest.update((part.len() as u64).to_le_bytes());
        digest.update(part.as_bytes());
    }
    digest.finalize().iter().map(|byte| format!("{byte:02x}")).collect()
}

impl Record {
    /// The first entry of the log, counted from 0, that is not what was chained; `None` where all are.
    pub fn broken_link(&self) -> Option<usize> {
        let befores = std::iter::once("").chain(self.log.iter().map(|entry| entry.chain.as_str()));
        let sound = |(entry, before): (&LogEntry, &str)| {
            entry.chain == chained(before, &entry.says, &entry.content, &entry.signed)
        };
        self.log.iter().zip(befores).position(|pair| !sound(pair))
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "tests may stop the test")]
mod tests {
    use measure::{Point, Units};

    use super::*;
    use crate::{NoteOn, Spot, Taken};

    fn signed(because: &str) -> Signature {
        Signature { by: "R. Wren".into(), on: "2031-04-02".into(), because: because.into() }
    }

    fn note(key: &str) -> FieldNote {
        let taken = Taken { by: "R. Wren".into(), at: "2031-04-02T09:30".into(), revision: "A".into() };
        let spot = Some(Spot::Place(Point::new(1.0, 2.0)));
        FieldNote { key: key.into(), taken, on: NoteOn::Digging, spot, says: "rock".into(), agreed_by: String::new() }
    }

    fn notes(keys: &[&str]) -> Additions {
        Additions { notes: keys.iter().map(|key| note(key)).collect(), ..Additions::default() }
    }

    #[test]
    fn what_is_there_already_is_not_added_twice() {
        let mut plan = Plan::new("Record", Units::Metric);
        let edit = add_to_record(&plan, notes(&["a", "b"]), &signed("")).unwrap();
        assert_eq!(edit.label, "Record 2 notes");
        plan.apply(&edit).unwrap();
        assert_eq!(add_to_record(&plan, notes(&["a", "b"]), &signed("")), None);
        plan.apply(&add_to_record(&plan, notes(&["b", "c"]), &signed("")).unwrap()).unwrap();
        assert_eq!(plan.record.keys().collect::<Vec<_>>(), ["a", "b", "c"]);
        assert!(plan.record.log.is_empty());
    }

    #[test]
    fn a_signed_record_keeps_a_chained_log_of_what_comes_after() {
        let mut plan = Plan::new("Record", Units::Metric);
        plan.apply(&sign_record(&plan, &signed("as dug"))).unwrap();
        plan.apply(&add_to_record(&plan, notes(&["a"]), &signed("found later")).unwrap()).unwrap();
        plan.apply(&add_to_record(&plan, notes(&["b"]), &signed("a repair")).unwrap()).unwrap();
        assert_eq!(plan.record.log.len(), 3);
        assert_eq!(plan.record.broken_link(), None);
        for entry in 0..3 {
            let mut forged = plan.record.clone();
            forged.log[entry].signed.because.push('!');
            assert_eq!(forged.broken_link(), Some(entry));
            let mut shorter = plan.record.clone();
            shorter.log.remove(entry);
            assert_eq!(shorter.broken_link(), Some(entry).filter(|entry| *entry < 2));
        }
    }

    #[test]
    fn a_key_given_twice_or_unsound_is_refused() {
        let mut plan = Plan::new("Record", Units::Metric);
        for keys in [&["a", "a"][..], &[""], &["a b"], &["<script>"]] {
            let edit = add_to_record(&plan, notes(keys), &signed("")).unwrap();
            assert!(plan.apply(&edit).is_err(), "{keys:?}");
        }
    }
}

//! Dates of files and who is at work, for sentences; nothing that is worked out hangs on them.

use std::path::Path;
use std::time::SystemTime;

use jiff::{Timestamp, tz::TimeZone};

/// When a file was last written.
pub fn written(path: &Path) -> Option<SystemTime> {
    path.metadata().ok()?.modified().ok()
}

/// A moment in the clock of the place: `13:02` today, `2031-04-02 13:02` on another day.
pub fn words(at: SystemTime) -> String {
    told(at, Timestamp::now(), &TimeZone::system())
}

fn told(at: SystemTime, now: Timestamp, zone: &TimeZone) -> String {
    let Ok(at) = Timestamp::try_from(at) else { return "an unknown date".into() };
    let (at, now) = (zone.to_datetime(at), zone.to_datetime(now));
    let pattern = if at.date() == now.date() { "%H:%M" } else { "%Y-%m-%d %H:%M" };
    at.strftime(pattern).to_string()
}

/// When a file was last written, in words.
pub fn written_words(path: &Path) -> String {
    written(path).map_or("an unknown date".into(), words)
}

/// This program as others are told of it: what it does, its process and its machine, since when.
pub fn who(what: &str) -> String {
    let host = gethostname::gethostname().to_string_lossy().into_owned();
    let since = TimeZone::system().to_datetime(Timestamp::now()).strftime("%Y-%m-%d %H:%M").to_string();
    format!("{what} (process {} on {host}, since {since})", std::process::id())
}

/// This moment as it is noted beside a shot, in the clock of the place: `2031-04-02T13:02`.
pub fn noted() -> String {
    TimeZone::system().to_datetime(Timestamp::now()).strftime("%Y-%m-%dT%H:%M").to_string()
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::time::Duration;

    #[test]
    fn the_day_is_told_where_it_is_not_today() {
        let zone = TimeZone::fixed(jiff::tz::offset(-5));
        let at = |seconds: u64| SystemTime::UNIX_EPOCH + Duration::from_secs(seconds);
        let now = Timestamp::try_from(at(1_900_000_000)).unwrap();
        assert_eq!(told(at(1_900_000_000), now, &zone), "12:46");
        assert_eq!(told(at(1_900_000_000 - 86_400), now, &zone), "2030-03-16 12:46");
    }
}

//! File systems that cannot be written: read-only, and full to the last byte. Mounting needs leave; without it this part is left
//! out and says so.

use std::path::Path;
use std::process::Command;

use crate::Tally;
use crate::bench::{Bench, files, how, told};

/// Every command that writes on either.
pub fn run(bench: &Bench, _: usize) -> Tally {
    let mut tally = Tally::default();
    on_full(bench, &mut tally);
    on_read_only(bench, &mut tally);
    tally
}

fn mounted(at: &Path, options: &str) -> bool {
    let mount = Command::new("mount").args(["-t", "tmpfs", "-o", options, "stress"]).arg(at).output();
    mount.is_ok_and(|output| output.status.success())
}

fn fill(bench: &Bench, at: &Path) {
    for (name, bytes) in bench.before() {
        let path = at.join(name);
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(path, bytes).unwrap();
    }
}

fn unmount(at: &Path) {
    let _ = Command::new("umount").arg(at).output();
}

/// A file system of a few pages that are taken up but for `left` bytes.
fn on_full(bench: &Bench, tally: &mut Tally) {
    for left in [0, 4096, 16_384] {
        for writing in &bench.writing {
            let folder = tempfile::tempdir().unwrap();
            if !mounted(folder.path(), "size=1m") {
                return tally.see("full disk left out: mounting is not allowed");
            }
            fill(bench, folder.path());
            let used: usize = files(folder.path()).values().map(|bytes| bytes.len().next_multiple_of(4096)).sum();
            let ballast = vec![0_u8; (1 << 20) - used - left];
            let _ = std::fs::write(folder.path().join("ballast"), ballast);
            try_one(bench, folder.path(), writing, "full disk", tally);
            unmount(folder.path());
        }
    }
}

fn on_read_only(bench: &Bench, tally: &mut Tally) {
    for writing in &bench.writing {
        let folder = tempfile::tempdir().unwrap();
        if !mounted(folder.path(), "size=4m") {
            return tally.see("read-only disk left out: mounting is not allowed");
        }
        fill(bench, folder.path());
        let remount = Command::new("mount").args(["-o", "remount,ro"]).arg(folder.path()).output();
        if remount.is_ok_and(|output| output.status.success()) {
            try_one(bench, folder.path(), writing, "read-only disk", tally);
        }
        unmount(folder.path());
    }
}

fn try_one(bench: &Bench, at: &Path, writing: &crate::bench::Writing, wall: &str, tally: &mut Tally) {
    let output = bench.run(at, &writing.words);
    tally.trials += 1;
    let what = format!("{wall}: {}", writing.words.join(" "));
    Bench::bad_end(&output).into_iter().for_each(|bad| tally.fail(format!("{what}: {bad}")));
    bench.harm(at, writing).into_iter().for_each(|harm| tally.fail(format!("{what}: {harm}")));
    tally.see(format!("{wall}, {}", how(output.status)));
    let is_refused = output.status.code() == Some(2);
    if wall.starts_with("read-only") && !is_refused {
        tally.fail(format!("{what}: {} {}", how(output.status), told(&output)));
    }
}

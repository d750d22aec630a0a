//! What the casebook costs with 1000, 10 000 and 100 000 cases of a shop: the program itself, with everything it reads.
//!
//! A third run is what counts: the first writes the short form of the cases, and files that are a few seconds old are
//! read again. `AFTERCAST_CASES=1000,5000` tries other sizes.

#![allow(
    clippy::print_stdout,
    clippy::unwrap_used,
    reason = "a bench prints its figures, and ends where it fails"
)]

use aftercast::casebook::{Case, shipped, to_yaml};
use aftercast::inference::Random;
use aftercast::rules::RuleBase;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

/// Runs that are timed; the middle one is told.
const RUNS: usize = 7;

fn main() {
    let sizes = std::env::var("AFTERCAST_CASES").unwrap_or_else(|_| "1000,10000,100000".to_owned());
    println!("cases    command                      time     memory");
    for size in sizes.split(',').map(|s| s.trim().parse::<usize>().unwrap()) {
        let dir = tempfile::tempdir().unwrap();
        let shop = dir.path().join("shop");
        std::fs::create_dir(&shop).unwrap();
        let mut mixer = Mixer::new(5);
        (0..size).for_each(|number| mixer.write(&shop, number));
        let (time, memory) = run(&shop, &["list"]);
        tell(size, "first call", time, memory);
        std::thread::sleep(Duration::from_secs(3));
        for arguments in [
            &["list"][..],
            &["list", "--format", "json"],
            &["search", "whte", "powdre", "in", "the", "hole"],
            &["like", "called-it-gas"],
            &["like", "--signs", "round holes", "--alloy", "sterling"],
            &["show", "case-17"],
            &["teach"],
        ] {
            run(&shop, arguments);
            let mut runs: Vec<(Duration, u64)> = (0..RUNS).map(|_| run(&shop, arguments)).collect();
            runs.sort();
            let memory = runs.iter().map(|r| r.1).max().unwrap();
            tell(size, &arguments.join(" "), runs[RUNS / 2].0, memory);
        }
        mixer.write(&shop, size);
        let (time, memory) = run(&shop, &["like", "called-it-gas"]);
        tell(size, "like, after one more case", time, memory);
    }
}

fn tell(size: usize, what: &str, time: Duration, memory: u64) {
    let what: String = what.chars().take(26).collect();
    println!("{size:<8} {what:<26} {:>7.3} s {:>6.1} MB", time.as_secs_f64(), memory as f64 / 1024.0);
}

/// Cases mixed from the shipped ones: the words of one, the findings of another, the sheet of a third.
struct Mixer {
    rules: RuleBase,
    cases: Vec<Case>,
    chance: Random,
}

impl Mixer {
    fn new(seed: u64) -> Self {
        let rules = aftercast::rules::shipped(&aftercast::sheet::catalogue()).rules;
        let cases = shipped(&rules).cases;
        Self { rules, cases, chance: Random::new(seed) }
    }

    fn one(&mut self) -> &Case {
        &self.cases[self.chance.below(self.cases.len())]
    }

    fn write(&mut self, shop: &Path, number: usize) {
        let mut case = self.one().clone();
        case.id = format!("case-{number}");
        case.observations.clone_from(&self.one().observations);
        case.sheet = self.one().sheet.clone();
        std::fs::write(shop.join(format!("{}.yaml", case.id)), to_yaml(&self.rules, &case)).unwrap();
    }
}

/// Time from start to end, and the most memory that was seen to be taken, in kB; 0 where that cannot be seen.
fn run(shop: &Path, arguments: &[&str]) -> (Duration, u64) {
    let begun = Instant::now();
    let mut child = Command::new(env!("CARGO_BIN_EXE_aftercast"))
        .arg("casebook")
        .args(arguments)
        .arg("--casebook")
        .arg(shop)
        .stdout(Stdio::null())
        .spawn()
        .unwrap();
    let status = format!("/proc/{}/status", child.id());
    let mut memory = 0;
    loop {
        if let Some(code) = child.try_wait().unwrap() {
            assert!(code.success(), "{arguments:?}");
            return (begun.elapsed(), memory);
        }
        // The highest mark only goes up, so that the last look before the end is near the truth.
        let text = std::fs::read_to_string(&status).unwrap_or_default();
        let peak =
            text.lines().find_map(|l| l.strip_prefix("VmHWM:")).and_then(|l| l.split_whitespace().next());
        memory = peak.and_then(|kb| kb.parse().ok()).unwrap_or(memory).max(memory);
        std::thread::sleep(Duration::from_micros(500));
    }
}

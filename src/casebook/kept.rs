//! The short form of a shop's cases, kept beside them so that a hundred thousand are not read again at every call.
//!
//! The kept file is only a shortcut. At every call name, time of change and size of every case are looked up and
//! compared with those the short form was made from; what differs is read again, and what is gone is forgotten. A file
//! that cannot be read is reported each time. A kept file that does not fit the rules or is damaged is made anew.

use super::index::{Packed, Packer, Part};
use super::read::{CasebookError, ReadCases, from_texts, is_case, is_shipped};
use super::store::replace_with;
use crate::document::{Code, Diagnostic, Diagnostics, Severity, Sources};
use crate::rules::RuleBase;
use serde::{Deserialize, Serialize};
use std::collections::HashMap;
use std::fs::{DirEntry, File};
use std::hash::{DefaultHasher, Hash as _, Hasher as _};
use std::io::{ErrorKind, Read as _, Seek as _, SeekFrom};
use std::path::Path;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::{Duration, SystemTime, UNIX_EPOCH};

/// The kept file's name: hidden, and no case.
const NAME: &str = ".index";
/// Raised when the form of the kept file changes.
const FORM: u64 = 3;
/// How many files are read at once.
const BATCH: usize = 1000;
/// From how many files on looking them up is shared between threads.
const MANY: usize = 2000;
/// A case is read no further than this; the reader refuses less.
const LONGEST: u64 = 16 << 20;
/// A file that was changed so shortly before may change again without another time or size: clocks of file systems
/// tick as slowly as every two seconds.
const SETTLED: Duration = Duration::from_secs(2);

/// A folder's cases in short.
#[derive(Debug, Default)]
pub struct Own {
    /// The cases, by id.
    pub cases: Packed,
    /// What is wrong with files, with their texts for showing places.
    pub broken: Vec<(Sources, Diagnostics)>,
}

/// By what a file is known to be the same.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
struct Stamp {
    /// The file's name without `.yaml`.
    id: String,
    /// Time of the last change in nanoseconds; 0 when it is not known or too young to count.
    nanos: u64,
    size: u64,
}

impl Stamp {
    /// True when an equal stamp later says that the file is the same.
    fn counts(&self) -> bool {
        self.nanos != 0
    }

    /// A number that hardly any other stamp has. The sum of these says whether any file of a folder has changed.
    fn mark(&self) -> u64 {
        let mut hasher = DefaultHasher::new();
        (&self.id, self.nanos, self.size).hash(&mut hasher);
        hasher.finish()
    }
}

fn sum<'s>(stamps: impl IntoIterator<Item = &'s Stamp>) -> u64 {
    stamps.into_iter().fold(0, |sum, s| sum.wrapping_add(s.mark()))
}

/// What stands where in the kept file: of each section its length and its checksum.
#[derive(Debug, Serialize, Deserialize)]
struct Head {
    form: u64,
    rules: u64,
    /// Of the stamps of all files.
    sum: u64,
    /// Files that are no cases.
    broken: Vec<Stamp>,
    sections: [(u64, u64); 4],
}

/// The sections in their order. The stamps of the cases come last; they are only looked at when something has changed.
const PARTS: [Option<Part>; 4] = [Some(Part::Rows), Some(Part::Marks), Some(Part::Words), None];

/// What is known of the files that the short form was made from.
#[derive(Debug, Default)]
struct Stamps {
    /// Of the cases, in their order.
    good: Vec<Stamp>,
    /// Of files that are no cases.
    broken: Vec<Stamp>,
}

/// The kept file, open.
struct Kept {
    file: File,
    head: Head,
    /// Where the sections begin.
    start: u64,
}

impl Kept {
    /// `None` when there is none for these rules.
    fn open(root: &Path, rules: u64) -> Option<Self> {
        let mut file = File::open(root.join(NAME)).ok()?;
        let mut length = [0_u8; 8];
        file.read_exact(&mut length).ok()?;
        let length = u64::from_le_bytes(length);
        let mut head = Vec::new();
        (&file).take(length).read_to_end(&mut head).ok()?;
        let head: Head = postcard::from_bytes(&head).ok()?;
        (head.form == FORM && head.rules == rules).then_some(Self { file, head, start: 8 + length })
    }

    fn section(&mut self, part: Option<Part>) -> Option<Vec<u8>> {
        let at = PARTS.iter().position(|p| *p == part)?;
        let before: u64 = self.head.sections[..at].iter().map(|(length, _)| length).sum();
        let (length, check) = self.head.sections[at];
        self.file.seek(SeekFrom::Start(self.start + before)).ok()?;
        let mut bytes = Vec::new();
        (&self.file).take(length).read_to_end(&mut bytes).ok()?;
        (bytes.len() as u64 == length && checksum(&bytes) == check).then_some(bytes)
    }

    fn stamps(&mut self) -> Option<Vec<Stamp>> {
        postcard::from_bytes(&self.section(None)?).ok()
    }

    fn parts(&mut self, parts: &[Part]) -> Option<Packed> {
        parts.iter().try_fold(Packed::default(), |packed, part| {
            let bytes = self.section(Some(*part))?;
            packed.with(*part, bytes)
        })
    }

    fn write(root: &Path, rules: u64, packed: &Packed, stamps: &Stamps) {
        let sections = PARTS.map(|part| match part {
            Some(part) => packed.to_bytes(part),
            None => postcard::to_stdvec(&stamps.good).unwrap_or_default(),
        });
        let head = Head {
            form: FORM,
            rules,
            sum: sum(stamps.good.iter().chain(&stamps.broken)),
            broken: stamps.broken.clone(),
            sections: sections.each_ref().map(|s| (s.len() as u64, checksum(s))),
        };
        let Ok(head) = postcard::to_stdvec(&head) else { return };
        let length = (head.len() as u64).to_le_bytes();
        let mut pieces: Vec<&[u8]> = vec![&length, &head];
        pieces.extend(sections.iter().map(Vec::as_slice));
        // A folder that cannot be written to is read again next time: slower, and not wrong.
        let _ = replace_with(&root.join(NAME), &pieces);
    }
}

fn checksum(bytes: &[u8]) -> u64 {
    let mut hasher = DefaultHasher::new();
    hasher.write(bytes);
    hasher.finish()
}

/// The cases of a folder in short. Of the short form only the rows and the part that is asked for are sure to be
/// there.
///
/// # Errors
/// [`CasebookError`] when the folder cannot be read.
pub fn own(rules: &RuleBase, root: &Path, part: Part) -> Result<Own, CasebookError> {
    let print = fingerprint(rules);
    let seen = stamps_of(root)?;
    let mut kept = Kept::open(root, print);
    let settled = seen.iter().all(Stamp::counts);
    if let Some(kept) = kept.as_mut().filter(|k| settled && k.head.sum == sum(&seen)) {
        let parts = if part == Part::Rows { &[Part::Rows][..] } else { &[Part::Rows, part] };
        if let Some(cases) = kept.parts(parts) {
            let broken = read_files(rules, root, &kept.head.broken).1;
            return Ok(Own { cases, broken });
        }
    }
    let old = kept.as_mut().and_then(|k| {
        let whole = k.parts(&[Part::Rows, Part::Marks, Part::Words])?;
        Some((whole, k.stamps()?)).filter(|(whole, stamps)| whole.len() == stamps.len())
    });
    let (cases, stamps, broken) = renewed(rules, root, seen, old.unwrap_or_default());
    Kept::write(root, print, &cases, &stamps);
    Ok(Own { cases, broken })
}

/// The short form of the files that are there, as much of it as possible from an older one.
fn renewed(
    rules: &RuleBase,
    root: &Path,
    mut seen: Vec<Stamp>,
    (old, old_stamps): (Packed, Vec<Stamp>),
) -> (Packed, Stamps, Vec<(Sources, Diagnostics)>) {
    seen.sort_unstable_by(|a, b| a.id.cmp(&b.id));
    let of_old: HashMap<&str, usize> =
        old_stamps.iter().enumerate().map(|(at, s)| (s.id.as_str(), at)).collect();
    let unchanged =
        |s: &Stamp| of_old.get(s.id.as_str()).copied().filter(|at| s.counts() && old_stamps[*at] == *s);
    let fresh: Vec<Stamp> = seen.iter().filter(|s| unchanged(s).is_none()).cloned().collect();
    let (batches, broken) = read_files(rules, root, &fresh);
    // The place of every case in the whole, which is in the order of ids.
    let mut places: Vec<Vec<Option<u32>>> = vec![vec![None; old.len()]];
    places.extend(batches.iter().map(|(_, ids)| vec![None; ids.len()]));
    let mut of_fresh: HashMap<&str, (usize, usize)> = HashMap::new();
    for (batch, (_, ids)) in batches.iter().enumerate() {
        of_fresh.extend(ids.iter().enumerate().map(|(at, id)| (id.as_str(), (batch + 1, at))));
    }
    let mut stamps = Stamps::default();
    for stamp in seen {
        let found = unchanged(&stamp).map(|at| (0, at)).or(of_fresh.get(stamp.id.as_str()).copied());
        match found {
            Some((part, at)) => {
                places[part][at] = u32::try_from(stamps.good.len()).ok();
                stamps.good.push(stamp);
            }
            None => stamps.broken.push(stamp),
        }
    }
    let parts = std::iter::once(&old).chain(batches.iter().map(|(packed, _)| packed));
    let parts: Vec<(&Packed, &[Option<u32>])> = parts.zip(places.iter().map(Vec::as_slice)).collect();
    (Packed::merged(&parts), stamps, broken)
}

/// The case files of a folder with what is known of them without reading them, in no order.
fn stamps_of(root: &Path) -> Result<Vec<Stamp>, CasebookError> {
    let now = SystemTime::now();
    let unreadable = |source| CasebookError { path: root.to_path_buf(), source };
    let mut files: Vec<DirEntry> = Vec::new();
    for entry in std::fs::read_dir(root).map_err(unreadable)? {
        let entry = entry.map_err(unreadable)?;
        if is_case(Path::new(&entry.file_name())) && !entry.file_type().is_ok_and(|t| t.is_dir()) {
            files.push(entry);
        }
    }
    let share = if files.len() < MANY { files.len() } else { files.len().div_ceil(threads()) };
    let stamps = |files: &[DirEntry]| files.iter().map(|f| stamp(f, now)).collect::<Vec<Stamp>>();
    Ok(std::thread::scope(|scope| {
        let workers: Vec<_> =
            files.chunks(share.max(1)).map(|files| scope.spawn(move || stamps(files))).collect();
        workers.into_iter().flat_map(|w| w.join().unwrap_or_default()).collect()
    }))
}

fn threads() -> usize {
    std::thread::available_parallelism().map_or(1, usize::from).min(8)
}

fn stamp(file: &DirEntry, now: SystemTime) -> Stamp {
    let name = file.file_name().to_string_lossy().into_owned();
    let id = name.strip_suffix(".yaml").unwrap_or(&name).to_owned();
    let link = file.file_type().is_ok_and(|t| t.is_symlink());
    let known = if link { std::fs::metadata(file.path()) } else { file.metadata() };
    // Behind a link to nowhere there is nothing that could change.
    let Ok(known) = known else { return Stamp { id, nanos: 1, size: 0 } };
    let settled = |t: &SystemTime| now.duration_since(*t).unwrap_or_else(|e| e.duration()) > SETTLED;
    let changed = known.modified().ok().filter(settled);
    let since = changed.and_then(|t| t.duration_since(UNIX_EPOCH).ok());
    Stamp { id, nanos: since.map_or(0, |d| u64::try_from(d.as_nanos()).unwrap_or(0)), size: known.len() }
}

/// Cases in short with their ids.
type Batch = (Packed, Vec<String>);

/// Reads files, in batches, so that a hundred thousand texts are never in memory at once. What cannot be read stands
/// in the second list.
fn read_files(rules: &RuleBase, root: &Path, files: &[Stamp]) -> (Vec<Batch>, Vec<(Sources, Diagnostics)>) {
    let batches: Vec<&[Stamp]> = files.chunks(BATCH).collect();
    let next = AtomicUsize::new(0);
    let work = || {
        let mut done = Vec::new();
        loop {
            let at = next.fetch_add(1, Ordering::Relaxed);
            let Some(batch) = batches.get(at) else { return done };
            let (read, more) = read_batch(rules, root, batch);
            let mut packer = Packer::new(rules);
            read.cases.iter().for_each(|case| packer.add(case));
            let ids = read.cases.into_iter().map(|c| c.id).collect();
            let mut broken = Vec::new();
            if !more.is_empty() {
                broken.push((Sources::default(), more));
            }
            if !read.problems.is_empty() {
                broken.push((read.sources, read.problems));
            }
            done.push((at, (packer.finish(), ids), broken));
        }
    };
    let mut done = std::thread::scope(|scope| {
        let workers: Vec<_> = (1..threads().min(batches.len())).map(|_| scope.spawn(work)).collect();
        let mut done = work();
        done.extend(workers.into_iter().flat_map(|w| w.join().unwrap_or_default()));
        done
    });
    done.sort_by_key(|(at, _, _)| *at);
    let mut found = (Vec::new(), Vec::new());
    for (_, batch, broken) in done {
        found.0.push(batch);
        found.1.extend(broken);
    }
    found
}

/// Reads a batch; files that give no text are reported apart.
fn read_batch(rules: &RuleBase, root: &Path, files: &[Stamp]) -> (ReadCases, Diagnostics) {
    let mut texts: Vec<(String, Vec<u8>)> = Vec::with_capacity(files.len());
    let mut problems = Diagnostics::default();
    let mut problem = |code: Code, message: String, help: &str| {
        let help = Some(help.to_owned());
        let (severity, span, label, also) = (Severity::Error, None, String::new(), None);
        problems.push(Diagnostic { code, severity, message, span, label, also, help });
    };
    for file in files {
        if is_shipped(&file.id) {
            let message = format!("a shipped case is called `{}` too; this one is left out", file.id);
            problem(Code::DuplicateId, message, "give the file and its id another name");
            continue;
        }
        let name = format!("{}.yaml", file.id);
        // A name that is no text was changed to be one, and there is no file of the changed name.
        let odd = name.contains('\u{fffd}');
        match text(&root.join(&name)) {
            Ok(text) => texts.push((name, text)),
            // Taken away since the folder was listed.
            Err(error) if error.kind() == ErrorKind::NotFound && file.size > 0 && !odd => {}
            Err(error) => problem(
                Code::Unreadable,
                format!("cannot read {}: {error}", root.join(&name).display()),
                "the other cases are not touched by this",
            ),
        }
    }
    (from_texts(rules, &prefix(root), texts), problems)
}

/// The bytes of a regular file; anything else, such as a pipe, could keep the program waiting.
fn text(path: &Path) -> std::io::Result<Vec<u8>> {
    if !std::fs::metadata(path)?.is_file() {
        return Err(std::io::Error::other("it is no regular file"));
    }
    let mut bytes = Vec::new();
    File::open(path)?.take(LONGEST).read_to_end(&mut bytes)?;
    Ok(bytes)
}

fn prefix(root: &Path) -> String {
    format!("{}/", root.display().to_string().trim_end_matches('/'))
}

/// One case of a folder, read afresh.
///
/// # Errors
/// [`CasebookError`] when its file cannot be read.
pub fn one(rules: &RuleBase, root: &Path, id: &str) -> Result<ReadCases, CasebookError> {
    let name = format!("{id}.yaml");
    let path = root.join(&name);
    let bytes = text(&path).map_err(|source| CasebookError { path, source })?;
    Ok(from_texts(rules, &prefix(root), vec![(name, bytes)]))
}

/// A number that changes with anything in the program and its rules that the short form rests on.
fn fingerprint(rules: &RuleBase) -> u64 {
    let mut hasher = DefaultHasher::new();
    env!("CARGO_PKG_VERSION").hash(&mut hasher);
    for defect in &rules.defects {
        (&defect.id, &defect.title, &defect.synonyms).hash(&mut hasher);
    }
    rules.signs.iter().for_each(|sign| (&sign.id, &sign.title).hash(&mut hasher));
    rules.causes.iter().for_each(|cause| (&cause.id, &cause.title).hash(&mut hasher));
    rules.remedies.iter().for_each(|remedy| remedy.id.hash(&mut hasher));
    rules.families.iter().for_each(|family| (&family.id, &family.title).hash(&mut hasher));
    rules.alloys.iter().for_each(|alloy| (&alloy.id, &alloy.title).hash(&mut hasher));
    hasher.finish()
}

#[cfg(test)]
mod tests {
    use super::super::index::Index;
    use super::*;
    use crate::casebook::{Case, shipped, to_yaml};
    use std::path::PathBuf;

    /// A shop's folder.
    struct Shop {
        rules: RuleBase,
        dir: tempfile::TempDir,
    }

    const WHOLE: [Part; 3] = [Part::Rows, Part::Marks, Part::Words];

    impl Shop {
        fn new() -> Self {
            let rules = crate::rules::shipped(&crate::sheet::catalogue()).rules;
            Self { rules, dir: tempfile::tempdir().unwrap() }
        }

        fn path(&self, id: &str) -> PathBuf {
            self.dir.path().join(format!("{id}.yaml"))
        }

        fn write(&self, id: &str, title: &str, like: &Case) {
            let case = Case { id: id.to_owned(), title: title.to_owned(), ..like.clone() };
            std::fs::write(self.path(id), to_yaml(&self.rules, &case)).unwrap();
        }

        /// Makes every file look as if it had been written an hour ago.
        fn age(&self) {
            for entry in std::fs::read_dir(self.dir.path()).unwrap() {
                let file = File::options().write(true).open(entry.unwrap().path()).unwrap();
                file.set_modified(SystemTime::now() - Duration::from_secs(3600)).unwrap();
            }
        }

        fn own(&self, part: Part) -> Own {
            own(&self.rules, self.dir.path(), part).unwrap()
        }

        fn index(&self, part: Part) -> Index {
            let mut index = Index::new(&self.rules);
            index.put(self.own(part).cases, true);
            index
        }

        /// What the files say when nothing is kept.
        fn afresh(&self) -> Packed {
            let seen = stamps_of(self.dir.path()).unwrap();
            renewed(&self.rules, self.dir.path(), seen, Default::default()).0
        }

        /// The kept form says what the files say, in every part.
        fn agrees(&self) {
            let afresh = self.afresh();
            for part in WHOLE {
                assert_eq!(self.own(part).cases.to_bytes(part), afresh.to_bytes(part), "{part:?}");
                assert_eq!(self.own(part).cases.to_bytes(Part::Rows), afresh.to_bytes(Part::Rows));
            }
        }

        fn ids(&self) -> Vec<String> {
            self.index(Part::Rows).entries().map(|e| e.id.to_owned()).collect()
        }
    }

    #[test]
    fn what_is_kept_says_what_the_files_say() {
        let shop = Shop::new();
        let cases = shipped(&shop.rules).cases;
        for (at, case) in cases.iter().enumerate().take(20) {
            shop.write(&format!("own-{at}"), &case.title, case);
        }
        shop.agrees();
        shop.age();
        shop.agrees();
        // A changed file is read again, a removed one is gone, a new one is there, a broken one is reported each time.
        shop.write("own-3", "Something about xylophones", &cases[3]);
        std::fs::remove_file(shop.path("own-4")).unwrap();
        shop.write("own-100", "A new one", &cases[30]);
        shop.write("a-first-one", "Another new one", &cases[31]);
        std::fs::write(shop.path("broken"), "[").unwrap();
        for aged in [false, true] {
            if aged {
                shop.age();
            }
            for _ in 0..2 {
                shop.agrees();
                assert_eq!(shop.own(Part::Rows).broken.len(), 1);
                assert_eq!(shop.ids().len(), 21);
                assert_eq!(shop.index(Part::Words).search("xylophone").len(), 1);
            }
        }
        let ids = shop.ids();
        assert!(ids.is_sorted() && !ids.contains(&"own-4".to_owned()), "{ids:?}");
    }

    #[test]
    fn a_change_within_one_tick_of_the_clock_is_seen() {
        let shop = Shop::new();
        let case = &shipped(&shop.rules).cases[0];
        shop.write("one", "first", case);
        assert_eq!(shop.index(Part::Rows).entry(0).title, "first");
        let written = std::fs::metadata(shop.path("one")).unwrap().modified().unwrap();
        shop.write("one", "later", case);
        // Same size, same time.
        let file = File::options().write(true).open(shop.path("one")).unwrap();
        file.set_modified(written).unwrap();
        assert_eq!(shop.index(Part::Rows).entry(0).title, "later");
    }

    #[test]
    fn rubbish_in_the_kept_file_is_no_harm() {
        let shop = Shop::new();
        for (at, case) in shipped(&shop.rules).cases.iter().enumerate().take(5) {
            shop.write(&format!("own-{at}"), &case.title, case);
        }
        shop.age();
        shop.agrees();
        let path = shop.dir.path().join(NAME);
        let good = std::fs::read(&path).unwrap();
        // Any byte wrong, and cut off anywhere.
        for at in (0..good.len()).step_by(good.len() / 37) {
            let mut bad = good.clone();
            bad[at] ^= 0x55;
            std::fs::write(&path, &bad).unwrap();
            assert_eq!(shop.ids().len(), 5, "byte {at}");
            std::fs::write(&path, &good[..at]).unwrap();
            assert_eq!(shop.index(Part::Words).search("the").len(), 5, "cut at {at}");
        }
        std::fs::write(&path, b"rubbish").unwrap();
        shop.agrees();
    }

    #[test]
    #[cfg(unix)]
    fn what_is_no_file_is_reported_and_the_rest_works() {
        let shop = Shop::new();
        shop.write("own", "Mine", &shipped(&shop.rules).cases[0]);
        std::os::unix::fs::symlink("nowhere", shop.path("link")).unwrap();
        std::fs::create_dir(shop.path("folder")).unwrap();
        shop.write("called-it-gas", "Taken", &shipped(&shop.rules).cases[0]);
        for _ in 0..2 {
            assert_eq!(shop.ids(), ["own"]);
            let own = shop.own(Part::Rows);
            let said: Vec<&str> =
                own.broken.iter().flat_map(|(_, p)| p.iter()).map(|p| p.message.as_str()).collect();
            assert_eq!(said.len(), 2, "{said:?}");
            assert!(said[0].contains("shipped case") && said[1].contains("link.yaml"), "{said:?}");
        }
    }
}

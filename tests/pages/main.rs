//! The pages in a real browser and before a real validator: the handbook, the report of a diagnosis, the report of a
//! check. What is not installed here is said on the screen, and its test does nothing; `.ci/run` fetches what it can.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test ends by panicking")]

mod browser;
#[path = "../common/mod.rs"]
mod common;
mod reports;

use browser::{Browser, SCREENS};
use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::process::Command;

/// A page of each kind that the book has, and a case of the shop's own beside them.
const BOOK: [&str; 11] = [
    "index.html",
    "defect-shrinkage-porosity.html",
    "defect-fins.html",
    "causes.html",
    "cause-flask-too-hot.html",
    "signs.html",
    "remedies.html",
    "cautions.html",
    "cases.html",
    "case-hot-flask-signet.html",
    "case-hostile.html",
];

/// What a shop may have written, by accident or not.
const HOSTILE: &str = "id: hostile\ntitle: \"<img src=x onerror=alert(1)> & </title><script>alert(2)</script>\"\n\
    status: open\norigin: shop\n\
    story: \"'\\\"><svg onload=alert(3)> </script> {{ 7*7 }} {% if %} <!-- \\u001b[2J \\u202e averylongwordwithoutanyspaceinitthatgoeson\
    andonandonandonandonandonandonandonandonandonandon\"\nseen: {}\n";

/// Says past the test runner's catching of output that something was not looked at.
fn skip(why: &str) {
    let _ = writeln!(std::io::stderr(), "SKIPPED: {why}");
}

fn browser() -> Option<Browser> {
    let browser = Browser::start();
    if browser.is_none() {
        skip("no Chromium here, so the pages were not opened in a browser");
    }
    browser
}

/// A checking tool that `.ci/run` fetched.
fn tool(inside: &str) -> Option<PathBuf> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("target/page-tools/node_modules").join(inside);
    if !path.exists() {
        skip(&format!("{inside} is not here; .ci/run fetches it where there is npm"));
        return None;
    }
    Some(path)
}

fn aftercast(folder: &Path, arguments: &[&str]) -> String {
    let output = Command::new(env!("CARGO_BIN_EXE_aftercast"))
        .args(arguments)
        .current_dir(folder)
        .env("NO_COLOR", "1")
        .env_remove("AFTERCAST_RULES")
        .env_remove("AFTERCAST_CASEBOOK")
        .output()
        .unwrap();
    assert!(output.stderr.is_empty(), "{}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8(output.stdout).unwrap()
}

/// The book with a hostile case in it, and both reports.
struct Pages {
    folder: tempfile::TempDir,
}

impl Pages {
    fn make() -> Self {
        let folder = tempfile::tempdir().unwrap();
        std::fs::create_dir(folder.path().join("shop")).unwrap();
        std::fs::write(folder.path().join("shop/hostile.yaml"), HOSTILE).unwrap();
        aftercast(folder.path(), &["casebook", "book", "book", "--casebook", "shop"]);
        reports::write(folder.path());
        Self { folder }
    }

    fn book(&self, name: &str) -> PathBuf {
        self.folder.path().join("book").join(name)
    }

    /// All that the browser looks at.
    fn all(&self) -> Vec<PathBuf> {
        let reports = reports::ALL.iter().map(|r| self.folder.path().join(r.file));
        BOOK.iter().map(|name| self.book(name)).chain(reports).collect()
    }
}

fn name(path: &Path) -> String {
    path.file_name().unwrap().to_string_lossy().into_owned()
}

/// The validator reads every page of the book and its style, and both reports.
#[test]
fn every_page_is_valid() {
    let Some(jar) = tool("vnu-jar/build/dist/vnu.jar") else { return };
    if !Command::new("java").arg("-version").output().is_ok_and(|o| o.status.success()) {
        skip("no Java here, so the pages were not validated");
        return;
    }
    let pages = Pages::make();
    let check = |files: &[PathBuf]| {
        let mut java = Command::new("java");
        java.arg("-jar").arg(&jar).args([
            "--format",
            "json",
            "--stdout",
            "--also-check-css",
            "--also-check-svg",
        ]);
        let output = java.args(files).output().unwrap();
        let said: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
        said["messages"].as_array().unwrap().clone()
    };
    let drawings = Path::new(env!("CARGO_MANIFEST_DIR")).join("src/casebook/drawings");
    let folders = [pages.folder.path().to_path_buf(), pages.book(""), drawings];
    let known = |p: &PathBuf| p.extension().is_some_and(|e| e == "html" || e == "css" || e == "svg");
    let files = folders.iter().flat_map(|f| std::fs::read_dir(f).unwrap()).map(|e| e.unwrap().path());
    let files: Vec<PathBuf> = files.filter(known).collect();
    assert!(files.len() > 200, "{files:?}");
    let said = check(&files);
    assert!(said.is_empty(), "{} messages, the first: {:#}", said.len(), said[0]);
    // A validator that lets this pass would let anything pass.
    let wrong = pages.folder.path().join("wrong.html");
    std::fs::write(&wrong, "<!doctype html><html lang=en><title>x</title><p><b>wrong</p>").unwrap();
    assert_eq!(check(&[wrong]).len(), 2, "an open b at the end of p, and at the end of the page");
}

/// Axe finds nothing on any page, on a wide screen and on a phone, with the search's hits and a case's answer open.
#[test]
fn every_page_is_accessible() {
    let Some(axe) = tool("axe-core/axe.min.js") else { return };
    let Some(mut browser) = browser() else { return };
    let axe = std::fs::read_to_string(axe).unwrap();
    let pages = Pages::make();
    let mut found = Vec::new();
    for screen in &SCREENS[..2] {
        for path in pages.all() {
            browser.open(&path, *screen);
            browser.run(OPEN_ALL);
            found.extend(
                violations(&mut browser, &axe)
                    .into_iter()
                    .map(|v| format!("{} {}: {v}", name(&path), screen.name)),
            );
        }
    }
    assert!(found.is_empty(), "{} violations:\n{}", found.len(), found.join("\n"));
    // A check that lets this pass would let anything pass.
    browser.run("document.body.insertAdjacentHTML('beforeend', '<img src=\"data:,\">')");
    assert!(violations(&mut browser, &axe).iter().any(|v| v.starts_with("image-alt")));
}

/// Shows what is folded away or comes only when something is typed.
const OPEN_ALL: &str = "document.querySelectorAll('details').forEach(d => d.open = true); \
    { const box = document.getElementById('words'); if (box) { box.value = 'pores'; box.dispatchEvent(new Event('input')); } }";

fn violations(browser: &mut Browser, axe: &str) -> Vec<String> {
    browser.run(&format!("{axe}; 1"));
    let found = browser.run(
        "axe.run(document, {resultTypes: ['violations']}).then(r => r.violations.flatMap(v => \
         v.nodes.map(n => v.id + ': ' + v.help + ': ' + n.html.slice(0, 200) + ' ' + (n.failureSummary || ''))))",
    );
    found.as_array().unwrap().iter().map(|v| v.as_str().unwrap().to_owned()).collect()
}

/// What sticks out of the page, out of its drawing or over another text, by name.
const AMISS: &str = r"(() => {
    const amiss = [];
    const page = document.documentElement;
    const print = matchMedia('print').matches;
    if (page.scrollWidth > page.clientWidth) { amiss.push('the page is wider than its window'); }
    const seen = r => r.width > 0 && r.height > 0;
    for (const e of document.body.querySelectorAll('*')) {
        const r = e.getBoundingClientRect();
        const scrolled = e.closest('.wide');
        let hidden = e;
        while (hidden && getComputedStyle(hidden).position !== 'absolute') { hidden = hidden.parentElement; }
        if (seen(r) && !e.closest('svg') && !(scrolled && !print) && !hidden
            && (r.right > page.clientWidth + 1 || r.left < -1)) {
            amiss.push('sticks out: ' + e.outerHTML.slice(0, 120));
        }
        const s = getComputedStyle(e);
        if (print && /auto|scroll/.test(s.overflowX) && e.scrollWidth > e.clientWidth + 1) {
            amiss.push('cut off in print: ' + e.outerHTML.slice(0, 120));
        }
        if (seen(r) && e.childElementCount === 0 && e.textContent.trim() && !e.closest('svg') && s.display !== 'inline'
            && e.scrollWidth > e.clientWidth + 1 && s.overflowX === 'hidden') {
            amiss.push('cut off: ' + e.outerHTML.slice(0, 120));
        }
    }
    for (const svg of document.querySelectorAll('svg')) {
        const edge = svg.getBoundingClientRect();
        const texts = [...svg.querySelectorAll('text')].map(t => [t.textContent, t.getBoundingClientRect()]);
        texts.forEach(([words, r], at) => {
            if (r.left < edge.left - 1 || r.right > edge.right + 1 || r.top < edge.top - 1 || r.bottom > edge.bottom + 1) {
                amiss.push('out of its drawing: ' + words);
            }
            for (const [other, o] of texts.slice(at + 1)) {
                if (r.left < o.right - 1 && o.left < r.right - 1 && r.top < o.bottom - 3 && o.top < r.bottom - 3) {
                    amiss.push('over each other: ' + words + ' / ' + other);
                }
            }
        });
        for (const [words, r] of texts) {
            const boxes = [...svg.querySelectorAll('rect.knot')].map(b => b.getBoundingClientRect());
            const box = boxes.find(b => r.left > b.left && r.left < b.right && r.top > b.top - 1 && r.top < b.bottom);
            if (box && (r.right > box.right - 2 || r.bottom > box.bottom)) { amiss.push('out of its box: ' + words); }
        }
    }
    for (const h of document.querySelectorAll('h2')) {
        const next = h.nextElementSibling;
        if (!next || /^H[12]$/.test(next.tagName) || !(next.textContent.trim() || next.querySelector('svg'))) {
            amiss.push('nothing under: ' + h.textContent);
        }
    }
    return amiss;
})()";

/// No complaint of the browser, no request to the outside, nothing out of its place on desk, phone and paper.
#[test]
fn every_page_is_quiet_and_keeps_its_place() {
    let Some(mut browser) = browser() else { return };
    let pages = Pages::make();
    let mut wrong = Vec::new();
    for screen in SCREENS {
        for path in pages.all() {
            browser.open(&path, screen);
            let before = browser.trouble();
            browser.run(OPEN_ALL);
            let amiss = browser.run(AMISS);
            let amiss = amiss.as_array().unwrap().iter().map(|a| a.as_str().unwrap().to_owned());
            let all = before.into_iter().chain(amiss).chain(browser.trouble());
            wrong.extend(all.map(|w| format!("{} {}: {w}", name(&path), screen.name)));
        }
    }
    assert!(wrong.is_empty(), "{} things amiss:\n{}", wrong.len(), wrong.join("\n"));
    // Eyes that see nothing here see nothing anywhere.
    browser.open(&pages.book("index.html"), SCREENS[1]);
    let far = "document.body.insertAdjacentHTML('beforeend', '<h2>empty</h2><h2>full</h2><div style=\"width: 3000px\">far</div>\
               <svg width=\"40\" height=\"20\"><text y=\"15\">much too long</text><text y=\"16\">over it</text></svg>'); \
               console.log('loud'); fetch('http://127.0.0.1:9/away').catch(() => 0)";
    browser.run(far);
    let amiss = browser.run(AMISS).to_string();
    for sign in ["wider than", "nothing under: empty", "sticks out", "out of its drawing", "over each other"]
    {
        assert!(amiss.contains(sign), "{sign}: {amiss}");
    }
    let trouble = browser.trouble().join("\n");
    assert!(trouble.contains("loud") && trouble.contains("asks for http://127.0.0.1:9/away"), "{trouble}");
}

/// The search works from a file, by the keyboard, and its hits lead to pages; without scripts there is no dead box,
/// and everything else can be read and reached.
#[test]
fn the_search_works_from_a_file() {
    use serde_json::json;
    let Some(mut browser) = browser() else { return };
    let pages = Pages::make();
    browser.open(&pages.book("index.html"), SCREENS[0]);
    let hits = |browser: &mut Browser, words: &str| -> Vec<(String, String)> {
        browser
            .run("document.getElementById('words').value = ''; document.getElementById('words').focus(); 1");
        browser.ask("Input.insertText", json!({"text": words}));
        let all = browser.run("[...document.querySelectorAll('#hits a')].map(a => [a.textContent, a.href])");
        let one =
            |h: &serde_json::Value| (h[0].as_str().unwrap().to_owned(), h[1].as_str().unwrap().to_owned());
        all.as_array().unwrap().iter().map(one).collect()
    };
    for (words, file) in [
        ("misrun", "defect-misrun.html"),
        ("flask too hot", "cause-flask-too-hot.html"),
        ("round pores", "signs.html#pores-round-smooth"),
        ("HOT TEA", "defect-hot-tear.html"),
        ("alert", "case-hostile.html"),
    ] {
        let found = hits(&mut browser, words);
        assert!(found.iter().any(|(_, to)| to.ends_with(file)), "{words}: {found:?}");
        for (_, to) in found {
            let to = to.trim_start_matches("file://").split('#').next().unwrap().to_owned();
            assert!(Path::new(&to).exists(), "{to}");
        }
    }
    assert!(hits(&mut browser, "zzzz").is_empty());
    assert!(browser.words().contains("Nothing found"));
    assert_eq!(browser.trouble(), Vec::<String>::new());

    browser.ask("Emulation.setScriptExecutionDisabled", json!({"value": true}));
    browser.open(&pages.book("index.html"), SCREENS[0]);
    assert_eq!(browser.run("document.getElementById('search').getBoundingClientRect().height"), 0);
    let words = browser.words();
    assert!(words.contains("The search needs scripts") && words.contains("Shrinkage porosity"), "{words}");
    // The answer of a case opens without a script.
    browser.open(&pages.book("case-hot-flask-signet.html"), SCREENS[0]);
    browser.run("document.querySelector('summary').click()");
    assert!(browser.words().contains("Lesson"));
}

/// What a shop wrote is shown as it was written, and does nothing.
#[test]
fn hostile_text_stays_text_in_the_book() {
    let Some(mut browser) = browser() else { return };
    let pages = Pages::make();
    for file in ["case-hostile.html", "cases.html", "index.html"] {
        // A script that ran would open a dialog, at which the browser's answer ends in a panic.
        browser.open(&pages.book(file), SCREENS[0]);
        browser.run(&OPEN_ALL.replace("'pores'", "'alert'"));
        let words = browser.words();
        assert!(
            words.contains("<img src=x onerror=alert(1)> & </title><script>alert(2)</script>"),
            "{file}: {words}"
        );
        assert_eq!(
            browser.run(
                "document.querySelectorAll('main img, main script:not([src]), [onload], [onerror]').length"
            ),
            0
        );
        assert_eq!(browser.trouble(), Vec::<String>::new(), "{file}");
    }
    browser.open(&pages.book("case-hostile.html"), SCREENS[0]);
    let words = browser.words();
    assert!(words.contains("'\"><svg onload=alert(3)> </script> {{ 7*7 }} {% if %} <!-- "), "{words}");
    assert!(!words.contains('\u{1b}') && !words.contains('\u{202e}'));
}

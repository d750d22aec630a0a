//! Chromium, spoken to over its debugging pipe: no network port, no driver, and it ends when the pipe closes.

use serde_json::{Value, json};
use std::io::{BufRead as _, BufReader, Write as _};
use std::path::Path;
use std::process::{Child, ChildStdin, Command, Stdio};
use std::sync::mpsc::{Receiver, channel};
use std::time::Duration;

/// Longest wait for one answer: a busy machine may take its time to start a browser.
const PATIENCE: Duration = Duration::from_secs(60);

/// What a page is looked at on.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Screen {
    pub(crate) name: &'static str,
    pub(crate) width: u32,
    pub(crate) print: bool,
}

/// A window on a desk, a small phone, and the text width of an A4 page (210 mm less 12 mm at each side).
pub(crate) const SCREENS: [Screen; 3] = [
    Screen { name: "desktop", width: 1200, print: false },
    Screen { name: "phone", width: 360, print: false },
    Screen { name: "print", width: 703, print: true },
];

/// One browser with one page.
pub(crate) struct Browser {
    child: Child,
    to: ChildStdin,
    from: Receiver<Value>,
    session: String,
    last: u64,
    trouble: Vec<String>,
    _profile: tempfile::TempDir,
}

impl Browser {
    /// Starts Chromium; `None` where there is none.
    pub(crate) fn start() -> Option<Self> {
        let name = ["chromium", "chromium-browser", "google-chrome"]
            .into_iter()
            .find(|b| Command::new(b).arg("--version").output().is_ok_and(|o| o.status.success()))?;
        let profile = tempfile::tempdir().unwrap();
        // The pipe's two ends are the file descriptors 3 and 4, which the shell makes of its own input and output.
        let mut child = Command::new("sh")
            .args(["-c", "exec \"$@\" 3<&0 4>&1 0</dev/null 1>&2", "sh", name])
            .args([
                "--headless",
                "--remote-debugging-pipe",
                "--no-sandbox",
                "--disable-gpu",
                "--no-first-run",
            ])
            .args(["--disable-background-networking", "--disable-component-update", "--disable-sync"])
            .args(["--hide-scrollbars", "--disable-quic"])
            .arg(format!("--user-data-dir={}", profile.path().display()))
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        let to = child.stdin.take().unwrap();
        let mut answers = BufReader::new(child.stdout.take().unwrap());
        let (send, from) = channel();
        std::thread::spawn(move || {
            let mut bytes = Vec::new();
            while answers.read_until(0, &mut bytes).is_ok_and(|n| n > 0) {
                bytes.pop();
                let Ok(message) = serde_json::from_slice(&bytes) else { break };
                if send.send(message).is_err() {
                    break;
                }
                bytes.clear();
            }
        });
        let mut browser =
            Self { child, to, from, session: String::new(), last: 0, trouble: Vec::new(), _profile: profile };
        let target = browser.ask("Target.createTarget", json!({"url": "about:blank"}));
        let attached = json!({"targetId": target["targetId"], "flatten": true});
        browser.session =
            browser.ask("Target.attachToTarget", attached)["sessionId"].as_str().unwrap().to_owned();
        for part in ["Page", "Runtime", "Log", "Network"] {
            browser.ask(&format!("{part}.enable"), json!({}));
        }
        Some(browser)
    }

    /// One command and its answer; what is reported meanwhile is kept as trouble where it is trouble.
    pub(crate) fn ask(&mut self, method: &str, parameters: Value) -> Value {
        self.last += 1;
        let mut message = json!({"id": self.last, "method": method, "params": parameters});
        if !self.session.is_empty() {
            message["sessionId"] = self.session.clone().into();
        }
        self.to.write_all(format!("{message}\0").as_bytes()).unwrap();
        loop {
            let answer = self.next(method);
            if answer["id"] == self.last {
                assert!(answer["error"].is_null(), "{method}: {}", answer["error"]);
                return answer["result"].clone();
            }
        }
    }

    fn next(&mut self, waiting_for: &str) -> Value {
        let message = self.from.recv_timeout(PATIENCE).unwrap_or_else(|e| panic!("{waiting_for}: {e}"));
        let said = &message["params"];
        match message["method"].as_str().unwrap_or_default() {
            "Runtime.consoleAPICalled" => self.trouble.push(format!("console: {}", said["args"])),
            "Runtime.exceptionThrown" => {
                self.trouble.push(format!("exception: {}", said["exceptionDetails"]))
            }
            "Log.entryAdded" => self.trouble.push(format!("log: {}", said["entry"]["text"])),
            "Page.javascriptDialogOpening" => panic!("a dialog opened: {said}"),
            "Network.requestWillBeSent" => {
                let url = said["request"]["url"].as_str().unwrap_or_default();
                if !url.starts_with("file://") && !url.starts_with("data:") {
                    self.trouble.push(format!("asks for {url}"));
                }
            }
            _ => {}
        }
        message
    }

    /// Opens a file; what the browser complains of, and any request to the outside, is waiting in [`Self::trouble`].
    pub(crate) fn open(&mut self, path: &Path, screen: Screen) {
        let size = json!({"width": screen.width, "height": 900, "deviceScaleFactor": 1, "mobile": false});
        self.ask("Emulation.setDeviceMetricsOverride", size);
        let media = json!({"media": if screen.print { "print" } else { "screen" }});
        self.ask("Emulation.setEmulatedMedia", media);
        self.trouble.clear();
        let to = json!({"url": format!("file://{}", path.display())});
        let went = self.ask("Page.navigate", to);
        assert!(went["errorText"].is_null(), "{}: {went}", path.display());
        while self.next("load")["method"] != "Page.loadEventFired" {}
    }

    /// What the browser complained of since the page was opened.
    pub(crate) fn trouble(&mut self) -> Vec<String> {
        // The answer to a command comes after all that was reported before it.
        self.run("1");
        std::mem::take(&mut self.trouble)
    }

    /// Runs a script in the page, as its owner and not under its policy, and waits for its value.
    pub(crate) fn run(&mut self, script: &str) -> Value {
        let given = json!({"expression": script, "returnByValue": true, "awaitPromise": true});
        let answer = self.ask("Runtime.evaluate", given);
        assert!(answer["exceptionDetails"].is_null(), "{answer}");
        answer["result"]["value"].clone()
    }

    /// All that can be read on the page, spaces folded.
    pub(crate) fn words(&mut self) -> String {
        self.run("document.body.innerText.replace(/\\s+/g, ' ')").as_str().unwrap().to_owned()
    }

    /// How many sheets of A4 the page takes in print.
    pub(crate) fn sheets(&mut self) -> usize {
        let a4 = json!({"paperWidth": 8.27, "paperHeight": 11.69, "preferCSSPageSize": true});
        let pdf = decode(self.ask("Page.printToPDF", a4)["data"].as_str().unwrap());
        // A page object says so in clear text; the tree above them is called Pages.
        let mark: &[u8] = b"/Type /Page\n";
        pdf.windows(mark.len()).filter(|w| *w == mark).count()
    }
}

impl Drop for Browser {
    fn drop(&mut self) {
        // The browser's children end with it; a browser that is gone already is no trouble.
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// The bytes of a Base64 text.
fn decode(text: &str) -> Vec<u8> {
    let mut bytes = Vec::with_capacity(text.len() / 4 * 3);
    let (mut held, mut bits) = (0_u32, 0);
    for letter in text.bytes() {
        let six = match letter {
            b'A'..=b'Z' => letter - b'A',
            b'a'..=b'z' => letter - b'a' + 26,
            b'0'..=b'9' => letter - b'0' + 52,
            b'+' => 62,
            b'/' => 63,
            _ => continue,
        };
        held = (held << 6 | u32::from(six)) & 0xffff;
        bits += 6;
        if bits >= 8 {
            bits -= 8;
            bytes.push(u8::try_from(held >> bits & 0xff).unwrap());
        }
    }
    bytes
}

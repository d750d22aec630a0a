//! What several tests read answers with.

use serde_json::Value;

/// A chance of an answer as screens and pages should show it: worked out here and not by the program.
pub(crate) fn percent(chance: &Value) -> String {
    let percent = 100.0 * chance.as_f64().unwrap();
    if percent < 0.5 {
        "under 1 %".to_owned()
    } else if percent > 99.5 {
        "over 99 %".to_owned()
    } else {
        format!("{percent:.0} %")
    }
}

//! What an alloy may be called on a sheet: as the trade calls it, in any order.

use crate::rules;
use aftercast::rules::names::{AlloyName, read_alloy};
use aftercast::sheet::read_sheet;

#[test]
fn names_of_the_trade_are_read() {
    let id = |name: AlloyName| match name {
        AlloyName::Alloy(key) => rules().alloy(key).id.clone(),
        AlloyName::Family(key) => rules().family(key).id.clone(),
        AlloyName::Metal(metal) => metal.word().to_owned(),
    };
    // What each says, and whether something had to be chosen.
    for (phrase, alloy, chosen) in [
        ("14k white gold", "gold-14k-white-nickel", true),
        ("14 karat white gold", "gold-14k-white-nickel", true),
        ("14kw", "gold-14k-white-nickel", true),
        ("14k palladium white gold", "gold-14k-white-palladium", false),
        ("18k yellow gold", "gold-18k-yellow", false),
        ("yellow gold 18 ct", "gold-18k-yellow", false),
        ("18k red gold", "gold-18k-red", false),
        ("10k yellow gold", "gold-10k-yellow", false),
        ("14 carat pink gold", "gold-14k-red", false),
        ("750 rose gold", "gold-18k-rose", false),
        ("585", "gold-14k-yellow", false),
        ("925 silver", "sterling-925", false),
        ("Sterling 925", "sterling-925", false),
        ("950 pd", "palladium-950", false),
        ("pt950 ru", "platinum-950-ruthenium", false),
        ("950 platinum", "pt", true),
        ("platinum 950", "pt", true),
        ("pt950", "pt", true),
        ("9ct rose gold", "au-red", true),
        ("9k white gold", "gold-10k-white-nickel", true),
        ("21k gold", "gold-22k-yellow", true),
        ("14k green gold", "au-14y", true),
    ] {
        let read = read_alloy(rules(), phrase).unwrap_or_else(|| panic!("{phrase}"));
        assert_eq!((id(read.name).as_str(), read.choice.is_some()), (alloy, chosen), "{phrase}");
        // A choice is a warning on a sheet, with what was chosen.
        let sheet = read_sheet(rules(), "sheet", format!("alloy: \"{phrase}\"\n").as_bytes());
        assert_eq!(
            (sheet.problems.errors(), sheet.problems.warnings()),
            (0, usize::from(chosen)),
            "{phrase}"
        );
        assert!(sheet.sheet.alloy.is_some());
    }
    for phrase in ["", "unobtainium", "14k purple gold", "18k stainless", "640", "rings"] {
        assert_eq!(read_alloy(rules(), phrase), None, "{phrase}");
    }
}

//! Free words: lines as casters write them, each with what must be found, denied, only asked back, and not found.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test")]

use aftercast::rules::names::AlloyName;
use aftercast::rules::words::{Understood, Words};
use aftercast::rules::{Finding, RuleBase, shipped};
use aftercast::sheet::catalogue;
use proptest::prelude::*;
use std::process::Command;
use std::sync::LazyLock;
use std::time::{Duration, Instant};

static RULES: LazyLock<RuleBase> = LazyLock::new(|| shipped(&catalogue()).rules);
static WORDS: LazyLock<Words<'static>> = LazyLock::new(|| Words::new(&RULES));

fn id(finding: Finding) -> &'static str {
    match finding {
        Finding::Defect(k) => &RULES.defect(k).id,
        Finding::Sign(k) => &RULES.sign(k).id,
    }
}

/// One line and what is required of it.
struct Line {
    text: &'static str,
    /// Stated to be there, softly or surely.
    found: &'static [&'static str],
    /// Stated not to be there.
    denied: &'static [&'static str],
    /// Not to be stated to be there.
    never: &'static [&'static str],
}

const fn line(
    text: &'static str,
    found: &'static [&'static str],
    denied: &'static [&'static str],
    never: &'static [&'static str],
) -> Line {
    Line { text, found, denied, never }
}

fn ids(understood: &Understood, denied: bool) -> Vec<&'static str> {
    understood.stated.iter().filter(|s| s.denied == denied).map(|s| id(s.finding)).collect()
}

/// Every id named in the table must exist, and every line must give what it must.
/// What a line names as the alloy, by id.
fn alloys(understood: &Understood) -> Vec<String> {
    understood
        .alloys
        .iter()
        .map(|(name, _)| match name {
            AlloyName::Alloy(k) => RULES.alloy(*k).id.clone(),
            AlloyName::Family(k) => RULES.family(*k).id.clone(),
            AlloyName::Metal(m) => m.word().to_owned(),
        })
        .collect()
}

#[test]
fn casters_lines_are_understood() {
    let known = |i: &&str| RULES.find_defect(i).is_some() || RULES.find_sign(i).is_some();
    let mut faults = Vec::new();
    for line in LINES {
        let understood = WORDS.understand(line.text);
        let (found, denied) = (ids(&understood, false), ids(&understood, true));
        let mut wrong = Vec::new();
        for all in [line.found, line.denied, line.never] {
            wrong.extend(all.iter().filter(|i| !known(i)).map(|i| format!("no such id: {i}")));
        }
        wrong.extend(line.found.iter().filter(|i| !found.contains(i)).map(|i| format!("not found: {i}")));
        wrong.extend(line.denied.iter().filter(|i| !denied.contains(i)).map(|i| format!("not denied: {i}")));
        wrong.extend(
            line.never.iter().filter(|i| found.contains(i)).map(|i| format!("found though not said: {i}")),
        );
        if !wrong.is_empty() {
            faults.push(format!(
                "{}\n  {}\n  got {found:?}, denied {denied:?}\n  perhaps {:?}\n  left {:?}",
                line.text,
                wrong.join("; "),
                understood
                    .perhaps
                    .iter()
                    .map(|p| (id(p.finding), p.doubt, p.words.as_str()))
                    .collect::<Vec<_>>(),
                understood.not_understood
            ));
        }
    }
    assert!(faults.is_empty(), "{} of {} lines\n{}", faults.len(), LINES.len(), faults.join("\n"));
}

#[rustfmt::skip]
const LINES: &[Line] = &[
    // Holes.
    line("small round holes after polishing, only on the thick rings", &["pores-round-smooth", "found-on-polishing", "pores-in-heavy-section"], &[], &["shrinkage-porosity", "pores-angular-branched"]),
    line("small round holes after polishing, not on the thin ones", &["pores-round-smooth", "found-on-polishing", "pores-in-heavy-section"], &[], &["thin-parts-missing"]),
    line("Tiny pinholes all over the ring once I polished it, sterling", &["pores-many-small-all-over", "found-on-polishing"], &[], &["pores-only-certain-places"]),
    line("looks great out of the flask but when i start buffing little pits appear everywhere", &["found-on-polishing"], &[], &["open-at-devesting", "gas-porosity"]),
    line("porosty in the heavy part of the signet, jagged not round", &["hole-seen", "pores-in-heavy-section"], &[], &["pores-round-smooth", "oval-or-bent"]),
    line("got a big hole right where the sprue joins", &["hole-where-gate-joins"], &[], &["pores-round-smooth"]),
    line("Spongy patch at the shoulder, always in the same spot on every ring", &["pores-angular-branched", "same-place-every-copy"], &[], &["random-place-each-copy"]),
    line("pin-holes, no cracks", &["gas-porosity"], &["crack-or-break"], &["crack-or-break"]),
    line("holes full of white powder when I poke them with a needle", &["void-holds-white-powder"], &[], &["white-deposit-in-chamber", "powder-lumpy"]),
    line("no holes, but the surface is like sandpaper", &["rough-all-over"], &["hole-seen"], &["hole-seen"]),
    line("button swelled up, it is full of holes", &["button-domed", "hole-seen"], &[], &["button-dished"]),
    line("sawed it in half, button is a sponge inside", &["button-sponge-inside"], &[], &["button-sound-inside"]),
    line("few big flat bubbles under the top face", &["few-large-flattened-bubbles"], &[], &["pores-many-small-all-over"]),
    line("dents in the thick part like the surface got sucked in", &["sink-dent"], &[], &["fins"]),
    line("subsurface porosity, different spot every time", &["pores-just-under-skin", "random-place-each-copy"], &[], &["same-place-every-copy"]),
    line("the holes have shiny walls and they are round", &["bright-pore-walls"], &[], &["pores-angular-branched"]),
    line("Porosity is not in the same place every time", &["hole-seen"], &["same-place-every-copy"], &["same-place-every-copy"]),
    line("maybe shrinkage", &["shrinkage-porosity"], &[], &["shrinkage-cavity"]),
    line("is this gas porosity or shrinkage?", &["gas-porosity", "shrinkage-porosity"], &[], &["fins"]),
    line("pits only near the sprue", &["holes-near-gate"], &[], &["pores-at-gate-cut"]),
    // Missing metal.
    line("prongs didn't fill, ends are rounded and shiny", &["thin-parts-missing", "rounded-smooth-thin-ends"], &[], &["cold-shut"]),
    line("the filigree did not fill out", &["misrun"], &[], &["fins"]),
    line("non-fill at the top of the tree, edges look melted", &["misrun", "rounded-smooth-thin-ends"], &[], &["pores-round-smooth"]),
    line("incomplete cast, no button left in the cup", &["no-or-tiny-button", "metal-missing"], &[], &["button-dished"]),
    line("It filled fine, no missing prongs, no fins either", &[], &["metal-missing", "fins"], &["metal-missing", "fins", "misrun"]),
    line("a seam across the band with rounded edges, like two streams that did not join", &["seam-rounded-lips", "cold-shut"], &[], &["misrun"]),
    line("claws are missing, heavy parts are ok", &["thin-parts-missing"], &[], &["pores-in-heavy-section"]),
    line("metal ran back out of the flask after the vacuum went off", &["metal-ran-back"], &[], &["run-out"]),
    line("lettering blurred, milgrain lost", &["detail-soft"], &[], &["misrun"]),
    line("wont fill thin wires", &["misrun"], &[], &["fins"]),
    // Extra metal.
    line("little balls of metal in the corners and beads on the underside", &["metal-spheres", "spheres-on-undersides"], &[], &["fins"]),
    line("thin flashing between the pieces, investment cracked", &["fins"], &[], &["hot-tear"]),
    line("no fins", &[], &["fins"], &["fins"]),
    line("bubbles on the casting, like tiny beads, but no pits", &["nodules"], &["hole-seen"], &["hole-seen"]),
    line("raised veins like a spider web on flat faces", &["veining"], &[], &["cold-shut"]),
    line("no fins, bubbles or cracks, just a black skin that pickle doesn't remove", &["black-resists-pickle"], &["fins", "pores-round-smooth", "crack-or-break"], &["fins", "crack-or-break"]),
    line("metal leaked out the bottom of the flask", &["run-out"], &[], &["metal-ran-back"]),
    line("warts on one side and matching pits on the other", &["wart-with-matching-pit"], &[], &["nodules"]),
    line("Water marks running down the sides", &["water-marks"], &[], &["fins"]),
    // Cracks.
    line("14k rose gold ring cracked in the quench", &["quench-crack"], &[], &["ordering-brittleness"]),
    line("cracks at the sprue on every ring, hairline", &["crack-at-ring-gate"], &[], &["shattered-many-cracks"]),
    line("snapped in my fingers, no bending at all", &["snaps-without-bending"], &[], &["cracks-open-on-sizing"]),
    line("brittle as glass, whole tree", &["snaps-without-bending"], &[], &["stone-damage"]),
    line("cracked when I sized it up half a size, porosity in the fractures", &["cracks-open-on-sizing", "pores-in-fracture"], &[], &["size-off-consistently"]),
    line("annealing doesn't help, still cracks", &["still-brittle-after-anneal"], &[], &["soft-after-heat-and-quench"]),
    line("jagged crack where thick meets thin", &["jagged-crack-at-section-change"], &[], &["clean-straight-crack"]),
    line("the sprue bends but the ring just crumbles", &["snaps-without-bending"], &[], &["fins"]),
    line("never had any cracks", &[], &["crack-or-break"], &["crack-or-break"]),
    line("cracks were not seen", &[], &["crack-or-break"], &["crack-or-break"]),
    line("free of cracks and porosity", &[], &["crack-or-break"], &["crack-or-break", "hole-seen"]),
    // Skin and colour.
    line("black scale after pickling, smells like rotten eggs", &["black-resists-pickle", "sulphur-smell"], &[], &["stone-damage"]),
    line("sulfur smell and the mold is grey inside", &["sulphur-smell", "grey-or-black-mould"], &[], &["yellow-mould-round-piece"]),
    line("The plaster turned yellow round the casting", &["yellow-mould-round-piece"], &[], &["yellow-film"]),
    line("purple patches after polishing, firestain I guess", &["purple-cloud-after-polish", "firestain"], &[], &["fins"]),
    line("orangepeel after polishing 18k yellow", &["orange-peel-after-polish"], &[], &["rough-surface"]),
    line("orange peel when polished", &["orange-peel-after-polish"], &[], &["found-on-polishing"]),
    line("rough on the big flat areas, small pieces smooth", &["rough-on-large-flats"], &[], &["hole-seen"]),
    line("frosty fern pattern on the skin", &["dendritic-surface"], &[], &["stone-cloudy"]),
    line("hard spots that leave comet tails when polishing", &["hard-spots"], &[], &["hole-seen"]),
    line("colour is redder than it should be", &["even-colour-redder"], &[], &["firestain"]),
    line("yellow film on the silver after pickle", &["yellow-film-after-pickle"], &[], &["yellow-mould-round-piece"]),
    line("surface isn't rough", &[], &["surface-or-colour-bad"], &["surface-or-colour-bad", "rough-surface"]),
    line("only the printed ones are rough, waxes come out fine", &["rough-only-printed-patterns"], &[], &["rough-all-over"]),
    line("came out of the flask black but it comes clean in pickle", &["black-film-pickles-off"], &[], &["black-resists-pickle"]),
    // Foreign matter, shape, stones.
    line("white specks set in the metal near the gate", &["white-mould-grains-in-metal"], &[], &["void-holds-white-powder"]),
    line("black flakes that smear when I rub them", &["black-soft-flakes"], &[], &["dark-red-specks"]),
    line("investment inclusions", &["investment-inclusion"], &[], &["crucible-inclusion"]),
    line("all rings are half a size small", &["size-off-consistently"], &[], &["cracks-open-on-sizing"]),
    line("bands came out oval", &["oval-or-bent"], &[], &["wrong-size"]),
    line("the diamonds went cloudy and one stone is loose", &["stone-cloudy", "stone-tilted"], &[], &["hard-spots"]),
    line("stone cracked", &["stone-cracked"], &[], &["crack-or-break", "brittle-casting"]),
    // Process.
    line("white smoke off the crucible, and the button rose up", &["white-smoke", "button-domed"], &[], &["button-dished"]),
    line("New grain no better, same fault with fresh metal", &["fresh-metal-also-fails"], &[], &["fresh-metal-clean"]),
    line("started after we changed to a new bag of investment", &["began-with-new-lot"], &[], &["began-after-repair"]),
    line("vacuum pump struggles and the gauge is stuck", &["vacuum-slow-or-low"], &[], &["hole-seen"]),
    line("investment set too fast in the bowl, slurry was thick like porridge", &["slurry-was-thick"], &[], &["slurry-was-thin"]),
    line("we did not weigh the water", &["water-not-weighed"], &[], &["density-low"]),
    // Not one finding, or nothing at all.
    line("flask 640C, melt 1040 C, argon, spun", &[], &[], &["hole-seen", "misrun"]),
    line("why does this happen to me?", &[], &[], &["began-with-new-lot"]),
    line("not happy with the finish there are holes everywhere", &["pores-many-small-all-over"], &[], &[]),
    line("no cracks and lots of holes", &[], &["crack-or-break"], &["crack-or-break"]),
    line("not only fins but also cracks", &["fins", "crack-or-break"], &[], &[]),
    // Lines of real complaints, first told of the held-out cases.
    line("only one of my waxes always comes out with a hole at the sprue, sterling, all the other designs are fine", &["holes-near-gate", "only-one-design"], &[], &["shrinkage-cavity"]),
    line("fine silver, ten small pieces on a tree and every one has a little hole or groove where the sprue was", &["holes-near-gate"], &[], &["gas-porosity"]),
    line("silver castings sometimes brittle, I quench the flask two or three minutes after the cast", &["brittle-casting"], &[], &["quench-crack"]),
    line("filigree in 935 germanium silver cracks when I bend or forge it after casting, metal about 1020 C, flask 600 C, 30 percent old metal", &["cracks-open-on-sizing"], &[], &["oval-or-bent"]),
    line("18k white gold comes out with heavy orange peel, worst in thick parts, yellow and 14k white are fine, nothing was changed", &["orange-peel-after-polish", "only-one-alloy"], &[], &[]),
    line("my 18k red gold castings nearly always come out fragile and crisp, yellow green and white gold cast the same way are fine", &["snaps-without-bending", "only-one-alloy"], &[], &["detail-soft"]),
    line("18k rose gold ring shattered with cracks all through like a broken window pane after soldering a head and going into the pickle", &["shattered-many-cracks", "cracked-after-soldering"], &[], &["black-film-pickles-off"]),
    line("cracks on the shoulders of 99.5 gold rings near the head after casting", &["crack-or-break"], &[], &["jagged-crack-at-section-change"]),
    line("diamonds cast in place came out dull as if burnt", &["stone-cloudy"], &[], &[]),
    line("cz stones set in wax, 18k white gold, flask waits 2 hours before quench and stones still break", &["stone-cracked"], &[], &["crack-or-break"]),
    line("little flakes come off the mould and make pits in my castings, flask sits in the centrifuge two minutes while I melt with a torch next to it", &["hole-seen", "flask-sat-out"], &[], &[]),
    line("bits of investment embedded in the gold, mostly pieces with tiny holes and thin slots in the wax", &["investment-inclusion"], &[], &["hole-seen"]),
    line("recast two old wedding bands stamped 18k, melt smoked a lot, froze before filling the mould, cracked when bent, flask 480 C", &["white-smoke", "misrun", "cracks-open-on-sizing", "solder-in-scrap"], &[], &["oval-or-bent"]),
    line("thin crown copings with short rounded margins and pores where the sprue joins, sprues pinched at the joint", &["rounded-smooth-thin-ends", "holes-near-gate", "gate-necked"], &[], &[]),
    line("prongs of a 14k white gold ring snapped off clean, grainy break, customer swims every day, third ring already", &["clean-straight-crack", "coarse-grainy-fracture", "fault-came-in-wear"], &[], &[]),
    line("silver palladium bridge, two sprues on the crowns, pores always at the joint between the middle tooth and the crowns", &["pores-only-certain-places"], &[], &[]),
    line("dental gold gets weaker and full of little defects each time we recast it, fourth melt, no new metal", &["worse-with-reuse"], &[], &[]),
    line("fins on crowns, plaster mould went into a 700 C furnace half an hour after mixing and broke up", &["fins"], &[], &["crack-or-break"]),
    line("tiny bubbles all over one side face of 18k and 22k rings, found only when polishing, the rest is clean, closed vacuum pressure machine, metal 1050 C flask 630 C, we reuse scrap many times", &["hole-seen", "found-on-polishing"], &[], &[]),
    line("melter broke so I melted 300 g of deox sterling with a torch, small cross sections did not fill on two of five flasks", &["thin-parts-missing"], &[], &["crack-or-break"]),
    line("10k yellow gold, after polishing I see pinholes and white patches embedded in the metal under the loupe", &["white-mould-grains-in-metal", "found-on-polishing"], &[], &[]),
    line("tiny pinhole in the surface, digging with a needle opens a crater full of white investment", &["void-holds-white-powder", "tiny-mouth-large-chamber"], &[], &["open-at-devesting"]),
    line("graphite crucible falls apart after a few melts and I get small black graphite bits in my gold castings", &["crucible-face-broken", "black-soft-flakes"], &[], &["snaps-without-bending"]),
    line("gold ring shanks split right at the sprue even when the shank is wide and thick", &["crack-at-ring-gate"], &[], &[]),
    line("14k gold bar poured in a steel mould has 1 mm dents filled with borax glass", &["glassy-specks"], &[], &["sink-dent"]),
    line("9k scrap melted three times with a spoon of borax, black glass in the dish, gold now snaps like a matchstick", &["snaps-without-bending", "flux-in-button"], &[], &[]),
    line("melted a customers old gold chains 10 to 18k into an ingot, it cracked badly in the rolling mill twice", &["solder-in-scrap", "cracked-in-working"], &[], &[]),
    line("raised lines like bubble tracks on my castings", &["tracks-on-vertical-faces"], &[], &["nodules", "veining"]),
    line("little through holes in my pieces come out filled with a mix of metal and plaster, rough build up inside the borders, I dip the tree in water based wax wash", &["rough-warts"], &[], &["hole-seen"]),
    line("fine silver orchid came out evenly black but the button is clean, black does not come off in pickle or tumbler, second flask was fine", &["black-resists-pickle", "one-flask-of-several"], &[], &["black-film-pickles-off"]),
    line("one sterling flask of eight came out light pink instead of black, button yellowish, a bit of black smoke in the melter", &["shiny-before-pickle", "one-flask-of-several"], &[], &["sulphide-blackening"]),
    line("heard a thunk when the vacuum came on, poured 60 g sterling, metal went through the flask into the vacuum line, hollow lace left inside", &["crack-heard-at-casting", "metal-outside-mould"], &[], &[]),
    line("gold ring comes out about 2 percent smaller than the wax, rubber does not shrink", &["size-off-consistently"], &[], &["shrinkage-porosity"]),
    line("half a millimetre thin pieces in 18k yellow gold did not fill completely and came out rough, I probably overheated metal and oven", &["misrun", "rough-all-over"], &[], &[]),
    line("14k peach gold pendant has a deep 2 mm hole in the back with ugly black inside that pickle does not remove", &["single-big-void", "black-resists-pickle"], &[], &["pores-deep-inside"]),
    line("sterling castings come out black and pitted with little pinholes", &["hole-seen", "surface-or-colour-bad"], &[], &["sulphide-blackening"]),
    line("white gold ring has porosity at the bottom of the shank where the sprue was", &["holes-near-gate"], &[], &[]),
    line("bronze ran out through the bottom of the plaster mould into the flask, one piece empty, the rest without detail, mould had dried for two days, no vacuum", &["run-out", "metal-missing", "detail-soft", "flask-dry-or-cooled"], &[], &[]),
    line("gold partial denture frames do not fit, they rock, most went out of shape after soldering and annealing", &["oval-or-bent"], &[], &["cracked-after-soldering"]),
    line("palladium alloy melted in a graphite crucible became brittle, breaks with hardly any stretch", &["snaps-without-bending", "brittle-casting"], &[], &["alloyed-in-the-crucible"]),
    line("small beads of metal on the castings, no wetting agent used", &["nodules", "wetting-agent-wet-or-none"], &[], &[]),
    line("every little file mark of my carved wax shows much stronger on the metal", &["wax-surface-bad"], &[], &["all-alloys"]),
    line("sterling boils and spits up through the sprue when poured into warm carved tufa stone mould", &["melt-spat"], &[], &[]),
    line("gold casting has bands of different colour, weighed gold silver and copper into the crucible together and heated", &["colour-patches", "alloyed-in-the-crucible"], &[], &[]),
    line("cast sterling looks great when waxed and buffed but two weeks later a dull grey haze and dark spots appear", &["surface-or-colour-bad"], &[], &["found-on-polishing"]),
    line("deep purple fire coat on vacuum cast sterling, shows up when polished, pickle does not take it off", &["firestain"], &[], &["black-film-pickles-off"]),
    line("my pieces come back from the caster with tiny pinholes all over, brass and silver alike, waxes were smooth", &["pores-many-small-all-over", "all-alloys"], &[], &["metal-ran-back"]),
    line("shrinkage porosity in medium and heavy gold pieces only with new silicon deoxidised alloy, old customer gold casts fine, centrifuge, flask 540 C", &["shrinkage-porosity", "alloy-has-silicon"], &[], &["solder-in-scrap"]),
    line("bubbles in the injected waxes and holes in the castings, bronze and silver, wax cleaner makes the bubbles cave in", &["wax-bubbles-seen", "hole-seen"], &[], &["nodules", "pores-round-smooth"]),
    line("fourteen small diamonds in a platinum band turned milky white while I sized it on charcoal with the torch", &["stone-cloudy"], &[], &[]),
    line("soldered hollow sterling box cracked all the way round when quenched, only one tiny drill hole", &["quench-crack"], &[], &["hole-seen"]),
    // Invented before the reader was asked.
    line("the prong tips never fill on my thin engagement heads", &["thin-parts-missing"], &[], &[]),
    line("kiln died halfway through burnout, now everything is rough like concrete", &["rough-all-over"], &[], &["crack-or-break"]),
    line("crucible cracked last week but the castings are fine, only a few bumps", &["metal-extra"], &[], &["crack-or-break"]),
    line("two of the shanks snapped when I tried to size them", &["cracks-open-on-sizing"], &[], &["oval-or-bent"]),
    line("10k keeps breaking at the solder seam", &["crack-or-break"], &[], &["seam-rounded-lips"]),
    line("Little round balls stuck in the corners of the filigree", &["metal-spheres"], &[], &["hole-seen"]),
    line("My bezels come out with holes straight through the wall", &["hole-seen"], &[], &[]),
    line("the metal is lumpy and grey and the pickle won't touch it", &["black-resists-pickle"], &[], &["black-film-pickles-off"]),
    line("gold came out a funny orange colour in streaks", &["colour-patches"], &[], &[]),
    line("investment broke off inside and left a big lump on the shank", &["metal-extra"], &[], &["crack-or-break"]),
    line("no porosity at all but the ring came out oval", &["oval-or-bent"], &["hole-seen"], &["hole-seen"]),
    line("wax had bubbles in it, i can see them with a light", &["wax-bubbles-seen"], &[], &["pores-round-smooth", "hole-seen"]),
    line("silver spat all over the chamber when it was melting", &["melt-spat"], &[], &[]),
    line("button is hollow and spongy inside, pieces are the same", &["button-sponge-inside"], &[], &[]),
    line("the cz went milky and one has a chip out of it", &["stone-cloudy", "stone-cracked"], &[], &[]),
    line("flask leaked, half of the silver is in the bottom of the machine", &["metal-outside-mould"], &[], &[]),
    line("all the rings at the top of the tree are short", &["unfilled-top-of-tree"], &[], &[]),
    line("fins on everything and the flask had a crack down the side", &["fins", "flask-face-cracked"], &[], &["crack-or-break"]),
    line("rose gold went to pieces in the water", &["quench-crack"], &[], &[]),
    line("castings look like they were sandblasted", &["rough-all-over"], &[], &[]),
    line("copper coloured patches show after i sand it", &["colour-patches", "found-on-polishing"], &[], &[]),
    line("grey dull skin on palladium white gold, wont polish up", &["surface-or-colour-bad"], &[], &[]),
    line("porosity gets worse every time I remelt the buttons", &["worse-with-reuse", "hole-seen"], &[], &[]),
    line("only the men's signet has holes, the rest of the tree is perfect", &["only-one-design", "hole-seen"], &[], &[]),
    line("ring cracked while hammering it on the mandrel", &["cracks-open-on-sizing"], &[], &[]),
    line("some sort of glass in the metal, i use a lot of borax", &["glassy-specks"], &[], &[]),
    line("the letters on the class ring came out mushy", &["detail-soft"], &[], &[]),
    line("It stinks of sulphur when i break the mold open and the silver is black", &["sulphur-smell", "surface-or-colour-bad"], &[], &["crack-or-break"]),
    line("there's a line across the back of the band like it didn't join up", &["seam-rounded-lips"], &[], &[]),
    line("hard as nails specks that wreck my gravers", &["hard-spots"], &[], &[]),
    line("no more fins since I slowed the burnout but still pitting", &["hole-seen"], &["fins"], &["fins"]),
    line("Cracks, but only where the thin shank meets the thick head", &["crack-or-break"], &[], &[]),
    line("metal poured out again when I lifted the flask", &["metal-ran-back"], &[], &[]),
    line("the machine's pump is broken, so I spun it by hand, half the flask didn't fill", &["misrun"], &[], &["crack-or-break"]),
    line("drilled holes in the wax closed up with metal", &["metal-extra"], &[], &["hole-seen"]),
    line("black specks like pepper in the polished surface", &["dark-red-specks"], &[], &[]),
    line("bracelet links stuck together with paper thin metal", &["thin-sheets-from-edges"], &[], &[]),
    line("it is brittle, not porous", &["brittle-casting"], &["hole-seen"], &[]),
    line("My silver pendants have a crater next to every sprue", &["hole-seen"], &[], &[]),
    line("tops of the claws are missing on about half the heads", &["thin-parts-missing"], &[], &["stone-shift"]),
    line("pitting in the sprue button but the pieces look sound", &["button-sponge-inside"], &[], &[]),
    line("surface of the castings is grainy like 80 grit paper", &["rough-all-over"], &[], &[]),
    line("oven packed in overnight, next morning the flasks were cold so I reheated them and got flashing", &["fins", "flask-dry-or-cooled"], &[], &[]),
    line("kiln controller broke and the castings are pitted", &["hole-seen"], &[], &["crack-or-break"]),
    line("ring snapped at the sprue when I clipped it off", &["crack-at-ring-gate"], &[], &[]),
    line("brass came out pink and coppery", &["even-colour-redder"], &[], &[]),
    line("there are tiny beads under the claws", &["metal-spheres"], &[], &[]),
    line("little white bits poking out of the gold after polishing", &["white-mould-grains-in-metal", "found-on-polishing"], &[], &[]),
    line("Investment cracked in the kiln and i got thin webs between the rings", &["flask-face-cracked"], &[], &["crack-or-break"]),
    line("no cracks in the flask, but the ring itself is cracked", &["crack-or-break"], &[], &[]),
    line("Silver is black all over and pickle makes no difference", &["black-resists-pickle"], &[], &["black-film-pickles-off"]),
    line("sapphires went cloudy in the casting", &["stone-cloudy"], &[], &[]),
    line("hollow where the sprue was attached", &["hole-where-gate-joins"], &[], &[]),
    line("a few of the rings are egg shaped", &["oval-or-bent"], &[], &[]),
    line("metal froze in the sprue, nothing in the mould", &["misrun"], &[], &[]),
    line("half the tree empty, no button", &["no-or-tiny-button", "metal-missing"], &[], &[]),
    line("porosity shows up on the second polish, always on the thickest part of the shank", &["found-on-polishing", "pores-in-heavy-section", "hole-seen"], &[], &[]),
    line("gold is full of black dirt after melting in an old graphite crucible", &["foreign-matter-seen"], &[], &[]),
    line("a faint pink shadow on the silver once its polished", &["purple-cloud-after-polish"], &[], &[]),
    line("the gold smoked white when I poured it", &["white-smoke"], &[], &[]),
    line("waxes had tiny bubbles and the castings have blisters", &["wax-bubbles-seen"], &[], &["pores-round-smooth"]),
    line("14 karat gold broke like a cookie", &["snaps-without-bending"], &[], &[]),
    line("crucible has a hole in it", &[], &[], &["hole-seen"]),
    line("it isnt brittle and there are no pits, only the colour is patchy", &["colour-patches"], &["brittle-casting", "hole-seen"], &["hole-seen"]),
    line("lines standing up on the flat plate, like a leaf's veins", &["veining"], &[], &[]),
    line("bubbles of metal inside the bezel cups", &["metal-spheres"], &[], &["pores-round-smooth"]),
    line("pump hose split during the cast, prongs short", &["thin-parts-missing"], &[], &["crack-or-break"]),
    line("my platinum ring is full of tiny holes when I file it", &["pores-many-small-all-over", "found-on-polishing"], &[], &[]),
    line("two halves of the ring never joined", &["cold-shut"], &[], &[]),
    line("the signet sank in on the top", &["sink-dent"], &[], &[]),
    line("small casting, large void right in the middle when I cut it open", &["single-big-void"], &[], &[]),
    // What the reader weighs with care.
    line("rings are spongy, button too", &["hole-seen", "button-sponge-inside"], &[], &[]),
    line("red gold ring broke into pieces when i quenched it", &["quench-crack"], &[], &[]),
    line("flask cracked", &["flask-face-cracked"], &[], &["crack-or-break", "fins"]),
    line("no hole at the sprue", &[], &["holes-near-gate"], &["hole-seen"]),
    line("cracks in the crucible and in the mould", &[], &[], &["crack-or-break"]),
    line("purple stain that pickle does not take off", &[], &[], &["black-film-pickles-off", "black-resists-pickle"]),
    line("rings came out of the flask cracked", &["crack-or-break"], &[], &["flask-face-cracked"]),
    line("the ring has holes in the mould line", &["hole-seen"], &[], &[]),
    line("holes in the casting where the wax was thin", &["hole-seen"], &[], &["wax-surface-bad"]),
    line("crucible cracked so metal leaked into the furnace", &["crucible-face-broken", "metal-outside-mould"], &[], &["crack-or-break"]),
    line("why did my flask break?", &[], &[], &["crack-or-break"]),
    line("some prongs did not cast", &["thin-parts-missing"], &[], &[]),
    line("ring came out with a rough sandy texture inside the band", &["rough-all-over"], &[], &[]),
    line("lots of tiny balls on the back of the pendants", &["metal-spheres"], &[], &[]),
    line("my vacuum gauge is broken but castings fill ok, just some pits", &["hole-seen"], &[], &["crack-or-break"]),
    line("detail on the coin came out blurry", &["detail-soft"], &[], &[]),
    line("there is flashing on one side of the ring", &["fins"], &[], &[]),
    line("firescale all over my sterling after finishing", &["firestain"], &[], &[]),
    line("white gold breaks when I bend the prongs over the stone", &["cracks-open-on-sizing"], &[], &["stone-cracked"]),
    line("opal cracked in the burnout", &["stone-cracked"], &[], &["crack-or-break"]),
    line("the button has a deep dip in the middle", &["button-dished"], &[], &[]),
    line("rings shrink more than they should, all half a size down", &["size-off-consistently"], &[], &["shrinkage-porosity"]),
    line("black holes in the surface full of glass", &["glassy-specks"], &[], &[]),
    line("small hole where I cut off the sprue, opens up when I file", &["pores-at-gate-cut"], &[], &[]),
    line("no porosity with new metal, only when I reuse the buttons", &["worse-with-reuse"], &["hole-seen"], &[]),
    line("the mold is cracked and there's a crack on the ring too", &["flask-face-cracked", "crack-or-break"], &[], &[]),
    line("surface wrinkled like orange skin", &["orange-peel-after-polish"], &[], &[]),
];

/// A line of `tests/words-lines/`, and what is required of it.
#[derive(Default)]
struct Bench {
    text: String,
    told: Vec<(String, String)>,
}

impl Bench {
    /// The entries under a key, each with its alternatives.
    fn all<'a>(&'a self, key: &'a str) -> impl Iterator<Item = Vec<&'a str>> {
        self.told.iter().filter(move |(k, _)| k == key).map(|(_, v)| v.split('|').collect())
    }

    fn any(&self, keys: &[&str], value: &str) -> bool {
        keys.iter().any(|key| self.all(key).flatten().any(|one| one == value))
    }

    /// What is wrong in what was heard of it.
    fn faults(&self) -> Vec<String> {
        let understood = WORDS.understand(&self.text);
        let (found, denied) = (ids(&understood, false), ids(&understood, true));
        let mut wrong = Vec::new();
        let mut lacking = |key: &str, heard: &[String]| {
            for wanted in self.all(key).filter(|w| !heard.iter().any(|h| w.contains(&h.as_str()))) {
                wrong.push(format!("{key} {}", wanted.join("|")));
            }
        };
        let owned = |ids: &[&str]| -> Vec<String> { ids.iter().map(|i| (*i).to_owned()).collect() };
        let alloys = alloys(&understood);

        let facts: Vec<String> = understood
            .facts
            .iter()
            .map(|(f, v, _)| format!("{}={}", RULES.fact(*f).id, RULES.fact(*f).values[*v].id))
            .collect();
        lacking("must", &owned(&found));
        lacking("deny", &owned(&denied));
        lacking("alloy", &alloys);
        lacking("fact", &facts);
        let mut more = |what: &str, keys: &[&str], heard: &[String]| {
            wrong.extend(heard.iter().filter(|h| !self.any(keys, h)).map(|h| format!("{what} {h}")));
        };
        more("found though not said", &["must", "may"], &owned(&found));
        more("denied though not said", &["deny", "may-deny"], &owned(&denied));
        more("alloy not said", &["alloy"], &alloys);
        more("fact not said", &["fact", "may-fact"], &facts);
        let figures = |key| -> Vec<(&str, f64)> {
            let parse = |entry: &'_ str| {
                let (id, amount) = entry.split_once('=').unwrap();
                let quantity = RULES.find_quantity(id).unwrap();
                let quantity = RULES.quantity(quantity);
                (quantity.id, quantity.dimension.parse(amount).unwrap())
            };
            self.all(key).flatten().map(parse).collect()
        };
        let read: Vec<(&str, f64)> =
            understood.readings.iter().map(|r| (RULES.quantity(r.quantity).id, r.value)).collect();
        let same = |a: &(&str, f64), b: &(&str, f64)| a.0 == b.0 && (a.1 - b.1).abs() < 0.01 * b.1.abs();
        let (must, may) = (figures("figure"), figures("may-figure"));
        let unread = must.iter().filter(|f| !read.iter().any(|r| same(r, f)));
        wrong.extend(unread.map(|f| format!("figure {f:?}")));
        let wrongly = read.iter().filter(|r| !must.iter().chain(&may).any(|f| same(r, f)));
        wrong.extend(wrongly.map(|r| format!("figure not said {r:?}")));
        wrong
    }
}

/// The lines of a file, every id in them known.
fn bench(name: &str) -> Vec<Bench> {
    const KEYS: [&str; 10] =
        ["must", "deny", "may", "may-deny", "never", "alloy", "fact", "may-fact", "figure", "may-figure"];
    let path = format!("{}/tests/words-lines/{name}", env!("CARGO_MANIFEST_DIR"));
    let mut lines: Vec<Bench> = Vec::new();
    for row in std::fs::read_to_string(path).unwrap().lines().filter(|l| !l.is_empty() && !l.starts_with('#'))
    {
        if let Some(text) = row.strip_prefix("> ") {
            lines.push(Bench { text: text.to_owned(), ..Bench::default() });
            continue;
        }
        let (key, values) = row.split_once(": ").unwrap();
        assert!(KEYS.contains(&key), "{row}");
        let told = &mut lines.last_mut().unwrap().told;
        if key.ends_with("figure") {
            told.push((key.to_owned(), values.to_owned()));
            continue;
        }
        for value in values.split(' ') {
            let finding = |i: &str| RULES.find_defect(i).is_some() || RULES.find_sign(i).is_some();
            let fact = key.ends_with("fact") || key == "alloy";
            assert!(fact || value.split('|').all(finding), "no such id: {row}");
            told.push((key.to_owned(), value.to_owned()));
        }
    }
    lines
}

/// How many lines are heard fully right: all that must be heard, and nothing that may not. The floors are what was
/// reached, so that no change of the reader or of the names loses lines unseen.
#[test]
fn fresh_lines_are_mostly_understood() {
    for (name, floor) in [("mended-by.txt", 70), ("held-out.txt", 12)] {
        let lines = bench(name);
        let faults: Vec<String> = lines
            .iter()
            .map(|line| (line, line.faults()))
            .filter(|(_, faults)| !faults.is_empty())
            .map(|(line, faults)| format!("{}\n  {}", line.text, faults.join("; ")))
            .collect();
        let right = lines.len() - faults.len();
        eprintln!("{name}: {right} of {} lines fully right", lines.len());
        assert!(right >= floor, "{name}: {right} of {}\n{}", lines.len(), faults.join("\n"));
    }
}

#[test]
fn what_is_not_clear_is_asked_back_and_not_counted() {
    // After "no cracks and" it is not certain how far the no reaches; a word alone may mean something else.
    for (text, asked) in [
        ("no cracks and lots of holes", "hole-seen"),
        ("the colour", "surface-or-colour-bad"),
        ("craks", "crack-or-break"),
        ("only on the thick rings", "pores-in-heavy-section"),
        ("no holes before, holes after", "hole-seen"),
        ("some round holes, some jagged holes", "pores-round-smooth"),
    ] {
        let understood = WORDS.understand(text);
        let stated = understood.stated.iter().any(|s| id(s.finding) == asked);
        let perhaps = understood.perhaps.iter().any(|p| id(p.finding) == asked);
        assert!(!stated && perhaps, "{text}: {understood:?}");
    }
}

#[test]
fn alloys_and_facts_of_the_job_are_heard() {
    let alloy = |text: &str| alloys(&WORDS.understand(text));
    assert_eq!(alloy("pinholes in my sterling silver rings"), ["sterling-925"]);
    assert_eq!(alloy("14 karat yellow gold, cracks"), ["gold-14k-yellow"]);
    assert_eq!(alloy("18ct rose ring snapped"), ["gold-18k-rose"]);
    // No carat, no alloy: neither of the two white families may be guessed.
    assert_eq!(alloy("white gold with pits"), ["gold"]);
    assert_eq!(alloy("rose gold cracked"), ["au-red"]);
    assert_eq!(alloy("18k white gold with pits"), ["gold"]);
    assert_eq!(alloy("14k peach gold pendant, pits"), ["gold-14k-red"]);
    // Germanium or silicon is not said.
    assert_eq!(alloy("deox sterling, did not fill"), ["ag-ge-si"]);
    assert_eq!(alloy("cast platinum ring with a crack"), ["platinum"]);
    // What comes out well is not what is asked about.
    assert_eq!(alloy("18k red gold snaps, sterling and brass are fine"), ["gold-18k-red"]);
    assert!(alloy("copper spots all over").is_empty());
    assert!(alloy("not in sterling").is_empty());
    assert_eq!(alloy("sterling and 14k yellow gold both have pits").len(), 2);

    let understood = WORDS.understand("torch melted, spun, flask 640C, poured at 1040 C, blorked");
    let facts: Vec<&str> =
        understood.facts.iter().map(|(f, v, _)| RULES.fact(*f).values[*v].id.as_str()).collect();
    assert_eq!(facts, ["torch", "spun"]);
    let facts = |text: &str| -> Vec<&str> {
        let facts = WORDS.understand(text).facts;
        facts.iter().map(|(f, v, _)| RULES.fact(*f).values[*v].id.as_str()).collect()
    };
    assert_eq!(facts("palladium melted in a graphite crucible became brittle"), ["graphite"]);
    assert_eq!(facts("plaster mould, fins"), ["gypsum"]);
    assert_eq!(facts("printed in filament, holes"), ["printed-resin"]);
    assert_eq!(facts("thin twigs and leaves do not fill"), ["organic"]);
    assert_eq!(facts("stones set in wax broke"), ["in-place"]);
    assert!(facts("black graphite bits, plaster bits, a leaf-shaped pit").is_empty());
    assert_eq!(understood.readings.len(), 2, "{understood:?}");
    assert!(understood.not_understood.iter().any(|w| w == "blorked"), "{understood:?}");
}

#[test]
fn a_suspected_cause_is_no_evidence() {
    let understood = WORDS.understand("hot flask");
    assert!(understood.stated.is_empty(), "{understood:?}");
    let causes: Vec<&str> = understood.suspected.iter().map(|(c, _)| RULES.cause(*c).id.as_str()).collect();
    assert_eq!(causes, ["flask-too-hot"]);
}

/// The complaints of the held-out cases inside the trade: hardly any may leave the reader with nothing to go by.
#[test]
fn complaints_of_real_cases_are_not_refused() {
    const AT_MOST: usize = 1;
    let mut refused = Vec::new();
    let mut asked = 0;
    for entry in std::fs::read_dir(concat!(env!("CARGO_MANIFEST_DIR"), "/tests/cases-held-out")).unwrap() {
        let text = std::fs::read_to_string(entry.unwrap().path()).unwrap();
        let Some(told) = text.lines().next().and_then(|l| l.strip_prefix("# told: ")) else { continue };
        if text.lines().any(|l| l == "scope: edge") {
            continue;
        }
        asked += 1;
        if WORDS.understand(told).stated.is_empty() {
            refused.push(told.to_owned());
        }
    }
    assert!(asked >= 48, "{asked} cases");
    assert!(refused.len() <= AT_MOST, "{refused:#?}");
}

/// Every name that the rules give, said alone, must lead to its own finding, stated or asked back.
#[test]
fn every_name_is_heard() {
    let defects = RULES.defect_keys().map(|k| (Finding::Defect(k), &RULES.defect(k).synonyms));
    let signs = RULES.sign_keys().map(|k| (Finding::Sign(k), &RULES.sign(k).synonyms));
    // They are nothing but empty words once spoken among others; flags still take them.
    let too_little = ["always there", "here and there"];
    let mut deaf = Vec::new();
    for (finding, synonyms) in defects.chain(signs) {
        for name in synonyms.iter().filter(|n| !too_little.contains(&n.as_str())) {
            let understood = WORDS.understand(name);
            let heard = understood.stated.iter().any(|s| s.finding == finding && !s.denied)
                || understood.perhaps.iter().any(|p| p.finding == finding);
            if !heard {
                deaf.push(format!("{name} ({})", id(finding)));
            }
        }
    }
    assert!(deaf.is_empty(), "{deaf:#?}");
}

/// Ten thousand bytes of the words that meet the most names, and of words that meet none.
#[test]
fn long_texts_are_quick() {
    for word in [
        "hole ",
        "no hole or crack ",
        "grey mould ",
        "pinholz in te sprou ",
        "xyzzyplugh ",
        "a",
        "ß'",
        "not not, ",
    ] {
        let text = word.repeat(10_000 / word.len());
        LazyLock::force(&WORDS);
        // The best of three: other work on the machine is not what is measured.
        let best = (0..3)
            .map(|_| {
                let start = Instant::now();
                let _ = WORDS.understand(&text);
                start.elapsed()
            })
            .min()
            .unwrap();
        // On a shared machine; what grows with the square of the length takes seconds.
        assert!(best < Duration::from_millis(150), "{word:?} took {best:?}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_text_has_one_answer(text in "\\PC{0,300}") {
        prop_assert_eq!(WORDS.understand(&text), WORDS.understand(&text));
    }

    /// Denying a whole one-name line never leaves its finding counted as there.
    #[test]
    fn a_no_before_a_name_is_never_a_yes(at in 0..RULES.defects.len(), cue in prop::sample::select(vec!["no", "without", "never any"])) {
        let key = RULES.defect_keys().nth(at).unwrap();
        let text = format!("{cue} {}", RULES.defect(key).id.replace('-', " "));
        let understood = WORDS.understand(&text);
        prop_assert!(!ids(&understood, false).contains(&RULES.defect(key).id.as_str()), "{}: {:?}", text, understood);
    }

    #[test]
    fn lines_of_the_trade_in_any_order_stay_sound(words in prop::collection::vec(prop::sample::select(vec![
        "no", "not", "holes", "cracks", "or", "and", ",", "round", "after polishing", "sterling", "640 C", "?", "brittle",
        "didn't fill", "free of", "fins", "but", "only", "thick rings", "18", "k", "pin-hole", "'", "-", "porosty",
    ]), 0..40)) {
        let understood = WORDS.understand(&words.join(" "));
        for one in &understood.stated {
            let same = understood.stated.iter().filter(|s| s.finding == one.finding).count();
            prop_assert_eq!(same, 1);
            prop_assert!(!understood.perhaps.iter().any(|p| p.finding == one.finding));
        }
    }
}

fn run(arguments: &[&str]) -> (Option<i32>, String, String) {
    let out =
        Command::new(env!("CARGO_BIN_EXE_aftercast")).args(arguments).env("NO_COLOR", "1").output().unwrap();
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
    (out.status.code(), text(out.stdout), text(out.stderr))
}

/// The block "Understood" of a screen.
fn block(screen: &str) -> String {
    screen.split("\n\n").find(|b| b.starts_with("Understood")).unwrap_or("no block").to_owned()
}

#[test]
fn the_screen_says_what_was_understood() {
    let (code, screen, err) = run(&[
        "diagnose",
        "small round holes after polishing, only on the thick rings, no fins. sterling, torch, flask 640C, maybe hot flask; colour? wibbly-wobbly",
    ]);
    assert_eq!((code, err.as_str()), (Some(0), ""));
    assert!(screen.lines().all(|l| l.chars().count() <= 80), "{screen}");
    insta::assert_snapshot!("understood", block(&screen));
}

#[test]
fn programs_are_told_too() {
    let (code, json, _) = run(&["diagnose", "--format", "json", "round holes, no fins, in sterling, zorble"]);
    assert_eq!(code, Some(0));
    let answer: serde_json::Value = serde_json::from_str(&json).unwrap();
    let understood = &answer["understood"];
    assert_eq!(understood["stated"][0]["id"], "pores-round-smooth");
    assert_eq!(understood["stated"][1]["how"], "absent");
    assert_eq!(understood["alloys"][0]["id"], "sterling-925");
    assert_eq!(understood["alloys"][0]["used"], true);
    assert_eq!(understood["not_understood"][0], "zorble");
    let (_, json, _) = run(&["diagnose", "--format", "json", "--defects", "pinholes"]);
    let answer: serde_json::Value = serde_json::from_str(&json).unwrap();
    assert!(answer.get("understood").is_none());
}

#[test]
fn flags_and_words_are_joined() {
    let (code, json, _) = run(&[
        "diagnose",
        "--format",
        "json",
        "--alloy",
        "fine silver",
        "--signs",
        "round holes",
        "sterling",
        "with",
        "fins",
    ]);
    assert_eq!(code, Some(0));
    let answer: serde_json::Value = serde_json::from_str(&json).unwrap();
    let findings: Vec<&str> = answer["findings"]
        .as_array()
        .unwrap()
        .iter()
        .filter(|f| f["how"] != "ruled-out")
        .map(|f| f["id"].as_str().unwrap())
        .collect();
    assert_eq!(findings, ["pores-round-smooth", "fins"]);
    assert_eq!(answer["understood"]["alloys"][0]["used"], false);
    let (code, _, err) = run(&["diagnose", "--absent", "fins", "fins everywhere"]);
    assert_eq!(code, Some(2));
    insta::assert_snapshot!("opposite", err);
}

#[test]
fn words_without_a_finding_are_refused_with_what_may_be_meant() {
    let (code, out, err) = run(&["diagnose", "craks in the wobble"]);
    assert_eq!((code, out.as_str()), (Some(2), ""));
    insta::assert_snapshot!("nothing", err);
    let (code, _, err) = run(&["diagnose", "\u{1b}[31m \u{7}"]);
    assert_eq!(code, Some(2));
    assert!(!err.contains('\u{1b}'));
}

#[test]
fn flags_take_plurals_and_hyphens_and_name_what_is_near_a_slip() {
    for name in ["Pin-Hole", "pinholes", "didn't fill", "didn’t fill", "gas_porosity", "Gas Porosity"] {
        assert_eq!(run(&["diagnose", "--defects", name]).0, Some(0), "{name}");
    }
    for name in ["gray mold", "pitted surface", "sulfur smell"] {
        assert_eq!(run(&["diagnose", "--signs", name]).0, Some(0), "{name}");
    }
    let (code, _, err) =
        run(&["diagnose", "--defects", "pinholse,cold-shutt", "--signs", "round hole's wall"]);
    assert_eq!(code, Some(2));
    insta::assert_snapshot!("near", err);
}

/// A line, what it says of the sheet (path of the figure and value in its stored unit), and the figures left over.
type Heard<'a> = (&'a str, &'a [(&'a str, f64)], &'a [&'a str]);

#[test]
fn figures_of_the_sheet_are_read() {
    let cases: &[Heard<'_>] = &[
        ("pits on silver rings, flask was 480C", &[("flask.temperature", 480.0)], &[]),
        ("flask 480 C, metal at 1020 C", &[("flask.temperature", 480.0), ("melt.temperature", 1020.0)], &[]),
        (
            "poured at 1,850 degrees F into a 900 F flask",
            &[("melt.temperature", 1010.0), ("flask.temperature", 482.222)],
            &[],
        ),
        ("50% scrap, quenched after 10 minutes", &[("revert", 0.5), ("cooling.quench-after", 600.0)], &[]),
        ("holes near the 3 mm sprue on a 6mm thick band", &[("tree.gate", 3.0), ("tree.heaviest", 6.0)], &[]),
        ("misrun, casting pressure 1.5 bar", &[("pour.casting-pressure", 1500.0)], &[]),
        // Degrees of what, or of what scale, is not said.
        ("flask at 900 degrees, porous", &[], &["flask at 900 degrees"]),
        ("pits, it was 600 C", &[], &["600 C"]),
        // A range, advice, a question, two values, a value that cannot be.
        ("flask 900-1000 F, pits", &[], &["900-1000 F"]),
        ("my book says the flask should be 480 C, pits", &[], &["should be 480 C"]),
        ("porous, is a flask of 600 C too hot?", &[], &["flask of 600 C"]),
        ("flask 480 C and then flask 600 C, pits", &[], &["flask 480 C", "flask 600 C"]),
        ("flask at 4800 C, pits", &[], &["flask at 4800 C"]),
    ];
    for (text, wanted, left) in cases {
        let understood = WORDS.understand(text);
        let read: Vec<(&str, f64)> = understood
            .readings
            .iter()
            .map(|r| (RULES.quantity(r.quantity).id, (r.value * 1000.0).round() / 1000.0))
            .collect();
        assert_eq!(&read, wanted, "{text}: {understood:?}");
        assert_eq!(&understood.figures, left, "{text}");
    }
}

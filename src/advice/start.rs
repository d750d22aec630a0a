//! A starting process sheet: settings for an alloy and a kind of piece, each with its reason and where that comes from.

use crate::document::behind;
use crate::physics::weigh::{density, metal_from_wax, wax_density};
use crate::physics::{Element, Estimate, soak};
use crate::rules::{Alloy, AlloyKey, Basis, RuleBase, Section};
use crate::sheet::{Computed, FACTS, Field, Job, JobAlloy, Sheet, derived, written_figure};
use crate::units::{Celsius, Dimension, Grams, GramsPerCm3, Millimetres};

/// How the shop drives metal into the mould; the values of the fact `method`.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Equipment {
    /// A closed caster: purge, melt under gas, cast under pressure.
    VacuumPressure,
    /// Vacuum under the flask, the melt open above.
    VacuumAssist,
    /// Spun on an arm.
    Spun,
    /// Poured by hand.
    Gravity,
}

impl Equipment {
    /// All, with the word of the fact `method`.
    pub const WORDS: [(&'static str, Self); 4] = [
        ("vacuum-pressure", Self::VacuumPressure),
        ("vacuum-assist", Self::VacuumAssist),
        ("spun", Self::Spun),
        ("gravity", Self::Gravity),
    ];

    fn word(self) -> &'static str {
        Self::WORDS.iter().find(|(_, e)| *e == self).map_or("", |(w, _)| w)
    }
}

/// What the sheet is for.
#[derive(Debug, Clone)]
pub struct Request {
    /// The alloy.
    pub alloy: AlloyKey,
    /// How thick the pieces are.
    pub section: Section,
    /// With what they are cast.
    pub equipment: Equipment,
    /// Wax weight of the whole tree.
    pub wax: Option<Grams>,
    /// Thinnest part.
    pub thinnest: Option<Millimetres>,
    /// Heaviest part.
    pub heaviest: Option<Millimetres>,
    /// Stones set in the wax.
    pub stones: bool,
    /// Kind of pattern: a value of the fact `pattern`.
    pub pattern: Option<usize>,
    /// The flask.
    pub flask_diameter: Option<Millimetres>,
}

/// One line of the sheet.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Line {
    /// Its section; `None` at the top.
    pub section: Option<&'static str>,
    /// Its name there.
    pub key: &'static str,
    /// What is written.
    pub value: String,
    /// Why, and where that comes from.
    pub why: String,
}

/// A starting sheet.
#[derive(Debug, Clone)]
pub struct Plan {
    /// The sheet itself.
    pub sheet: Sheet,
    /// Its lines in order.
    pub lines: Vec<Line>,
    /// What the caster should know before using it: sources that disagree, things the program cannot decide.
    pub remarks: Vec<String>,
}

impl Plan {
    /// The sheet as YAML, every reason as a comment above its line.
    pub fn yaml(&self) -> String {
        let mut text = String::new();
        comment(
            &mut text,
            "",
            "A starting process sheet. Knowledge of the trade, not a safety instruction: the equipment maker, the \
             metal's and the powder's own sheets, local codes and licensed practice come first. Hold it against its \
             limits with `aftercast check`.",
        );
        for remark in &self.remarks {
            text.push_str("#\n");
            comment(&mut text, "", remark);
        }
        let mut section = None;
        for line in &self.lines {
            if line.section != section {
                section = line.section;
                if let Some(name) = section {
                    text.push_str(&format!("{name}:\n"));
                }
            }
            let indent = if section.is_some() { "  " } else { "" };
            if !line.why.is_empty() {
                comment(&mut text, indent, &line.why);
            }
            text.push_str(&format!("{indent}{}: {}\n", line.key, line.value));
        }
        text
    }
}

/// Running text as comment lines of 80 columns.
fn comment(text: &mut String, indent: &str, words: &str) {
    let lead = format!("{indent}# ");
    let words: String = words.split_whitespace().collect::<Vec<_>>().join(" ");
    for line in behind(&lead, &words, 80) {
        text.push_str(&line);
        text.push('\n');
    }
}

/// Wall pressure of gypsum, in mbar, from which a phosphate mould is taken where one suits.
const GYPSUM_STANDS: f64 = 150.0;
/// Wall pressure of gypsum, in mbar, from which the melt is set to the cool end of its window.
const WALL_GAS: f64 = 86.0;
/// Share of the atmosphere's pressure from which zinc wants little superheat.
const CALM: f64 = 0.3;
/// Share of the chamber pressure from which the chamber is filled above the atmosphere.
const KEPT_IN: f64 = 0.45;
/// The flask that the soak is for, when none is named, in mm.
const USUAL_FLASK: f64 = 90.0;

/// Writes the plan. Every figure is inside the alloy's windows and the field's usual limits.
pub fn plan(rules: &RuleBase, request: &Request) -> Plan {
    let alloy = rules.alloy(request.alloy);
    let sheet = Sheet { alloy: Some(JobAlloy::Known(Box::new(alloy.clone()))), ..Sheet::default() };
    let mut writer =
        Writer { rules, request, alloy, plan: Plan { sheet, lines: Vec::new(), remarks: Vec::new() } };
    writer.job();
    writer.heat();
    writer.melt();
    writer.charge();
    writer.pour();
    writer.flask();
    writer.mould();
    writer.tree();
    writer.cooling();
    writer.remarks();
    let mut plan = writer.plan;
    // The order of a sheet, whatever the order of thought.
    let place = |line: &Line| {
        let fields = Field::ALL.iter().position(|f| f.split() == (line.section, line.key));
        let sections = ["melt", "pour", "flask", "mould", "tree", "cooling"];
        let section = line.section.map_or(0, |s| 1 + sections.iter().position(|x| *x == s).unwrap_or(9));
        (section, fields.unwrap_or(0))
    };
    plan.lines.sort_by_key(place);
    plan
}

struct Writer<'a> {
    rules: &'a RuleBase,
    request: &'a Request,
    alloy: &'a Alloy,
    plan: Plan,
}

impl Writer<'_> {
    fn figure(&mut self, field: Field, value: f64, why: impl Into<String>) {
        let (section, key) = field.split();
        let value = tidy(field.dimension(), value);
        let written = written(field.dimension(), value);
        self.plan.sheet.set(field, value);
        self.plan.lines.push(Line { section, key, value: written, why: why.into() });
    }

    fn fact(&mut self, id: &'static str, value: &str, why: impl Into<String>) {
        let Some((section, key, _)) = FACTS.iter().find(|(.., fact)| *fact == id) else { return };
        let Some(fact) = self.rules.find_fact(id) else { return };
        let Some(at) = self.rules.fact(fact).values.iter().position(|v| v.id == value) else { return };
        self.plan.sheet.facts.insert(fact, at);
        self.plan.lines.push(Line { section: *section, key, value: value.to_owned(), why: why.into() });
    }

    fn computed(&self, id: &str) -> Option<Computed> {
        let one = derived::TABLE.iter().find(|d| d.id == id)?;
        (one.compute)(Job::new(&self.plan.sheet, self.rules))
    }

    fn share(&self, element: Element) -> f64 {
        self.alloy.composition.share(element)
    }

    fn has_volatile(&self) -> bool {
        self.share(Element::Zn) > 0.0005 || self.share(Element::Cd) > 0.0001
    }

    fn table_basis(&self, field: &str) -> String {
        format!("alloy table, {}", self.alloy.basis_of(field).words(self.rules))
    }

    fn is_closed(&self) -> bool {
        self.request.equipment == Equipment::VacuumPressure
    }

    fn job(&mut self) {
        let alloy = self.alloy.id.clone();
        let title = self.alloy.title.clone();
        self.plan.lines.push(Line { section: None, key: "alloy", value: alloy, why: title });
        self.fact("method", self.request.equipment.word(), "");
        self.fact("section", self.request.section.word(), "");
    }

    /// Melt, flask and mould hang together: the mould is chosen by what its wall must stand.
    fn heat(&mut self) {
        let section = self.request.section;
        let melt = self.alloy.melt.get(&section).copied();
        let flask = self.alloy.flask.get(&section).copied();
        let liquidus = self.alloy.liquidus;
        let (low, high) =
            melt.map_or((liquidus.get() + 60.0, liquidus.get() + 120.0), |w| (w.low.get(), w.high.get()));
        let mut pour = (low + high) / 2.0;
        // Little superheat where the melt would give off zinc or the wall gas.
        self.plan.sheet.set(Field::ChamberPressure, 1000.0);
        self.plan.sheet.set(Field::MeltTemperature, pour);
        if let Some(window) = flask {
            self.plan.sheet.set(Field::FlaskTemperature, (window.low.get() + window.high.get()) / 2.0);
        }
        let fumes = self.computed("zinc-boiling").is_some_and(|z| z.value > CALM);
        let breaks = self.computed("mould-gas").is_some_and(|g| g.value > WALL_GAS);
        if fumes || breaks {
            pour = low + (high - low) / 4.0;
        }
        self.plan.sheet.figures.clear();
        let over = (pour - liquidus.get()).round();
        let why = match melt {
            Some(_) => format!(
                "{over} K over the liquidus of {liquidus}; usual for {} pieces is {} to {} ({})",
                section.word(),
                Celsius::new(low),
                Celsius::new(high),
                self.table_basis("melt")
            ),
            None => format!("{over} K over the liquidus of {liquidus} (common practice)"),
        };
        self.figure(Field::MeltTemperature, pour, why);

        if let Some(window) = flask {
            let mut value = (window.low.get() + window.high.get()) / 2.0;
            let mut why = format!(
                "usual for {} pieces is {} to {} ({})",
                section.word(),
                window.low,
                window.high,
                self.table_basis("flask")
            );
            if self.request.stones && value > STONE_PEAK - 30.0 {
                value = (STONE_PEAK - 30.0).max(window.low.get());
                why.push_str("; low, for stones stand little heat");
            }
            self.figure(Field::FlaskTemperature, value, why);
        }
        self.binder();
    }

    fn binder(&mut self) {
        let Some(fact) = self.rules.find_fact("binder") else { return };
        let values = &self.rules.fact(fact).values;
        let suits: Vec<&str> =
            self.alloy.binder.iter().filter_map(|v| values.get(*v)).map(|v| v.id.as_str()).collect();
        let first = suits.first().copied().unwrap_or("gypsum");
        let basis = self.table_basis("binder");
        if first != "gypsum" {
            self.fact("binder", first, format!("what stands this metal ({basis})"));
            return;
        }
        let probe = self.plan.clone();
        self.fact("binder", "gypsum", "");
        let gas = self.computed("mould-gas");
        let wall = gas.as_ref().map_or_else(String::new, |g| format!("{}; ", g.says));
        let fits = gas.is_none_or(|g| g.value <= GYPSUM_STANDS);
        let too_hot = !fits && !self.request.stones;
        self.plan = probe;
        if too_hot {
            self.fact("binder", "phosphate", format!("{wall}too much for gypsum (physics)"));
        } else {
            self.fact("binder", "gypsum", format!("{wall}clean gypsum stands it ({basis})"));
        }
        if !fits && self.request.stones {
            self.plan.remarks.push(format!(
                "{wall}that is too much for gypsum, and stones do not stand a phosphate burnout: set the stones after casting."
            ));
        }
    }

    fn melt(&mut self) {
        let volatile = self.has_volatile();
        let covers = self.rules.find_fact("cover").map(|f| self.rules.fact(f).values.clone());
        let suits = |id: &str| {
            let at = covers.as_ref().and_then(|c| c.iter().position(|v| v.id == id));
            at.is_some_and(|at| self.alloy.cover.contains(&at))
        };
        let cover = ["argon", "nitrogen", "reducing-flame"].into_iter().find(|c| suits(c)).unwrap_or("argon");
        let vacuum_too = suits("vacuum");
        self.fact("heat", "induction", "stirs the melt and heats it evenly (common practice)");
        if self.is_closed() {
            let pressure = self.chamber_pressure();
            self.figure(Field::ChamberPressure, pressure, "");
            let why = match self.computed("zinc-boiling") {
                Some(z) => format!(
                    "fill with argon before the metal melts and keep it there: {}; vacuum belongs to the cold metal (physics, zinc activity of COST 507)",
                    z.says
                ),
                None if vacuum_too => {
                    "argon at the atmosphere's pressure is the safe start; this alloy also stands vacuum while molten (alloy table)".to_owned()
                }
                None => "argon at the atmosphere's pressure (common practice)".to_owned(),
            };
            if let Some(line) = self.plan.lines.last_mut() {
                line.why = why;
            }
            self.purge();
        }
        let why = if volatile {
            format!(
                "an alloy with zinc is melted under gas, never under vacuum ({})",
                self.table_basis("cover")
            )
        } else {
            self.table_basis("cover")
        };
        self.fact("cover", cover, why);
        let base = self.alloy.composition.base();
        let white = matches!(base, Element::Pt | Element::Pd | Element::Fe);
        let carbon_hurts = white || self.share(Element::Ni) > 0.005 || self.share(Element::Pd) > 0.005;
        if white {
            self.fact("crucible", "zirconia", "no carbon and no silica near this metal (alloy table)");
        } else if carbon_hurts {
            self.fact("crucible", "silica", "nickel and palladium take up carbon (alloy table)");
        } else if self.is_closed() {
            self.fact(
                "crucible",
                "graphite",
                "lasts longer when the chamber stays shut until it is black, not red (common practice)",
            );
        } else {
            self.fact("crucible", "graphite", "keeps air off the melt (common practice)");
        }
        let hot = self.plan.sheet.get(Field::MeltTemperature).is_some_and(|t| t > 1300.0);
        if hot {
            self.fact(
                "thermometer",
                "pyrometer",
                "immersion thermocouples serve to about 1300 °C only; write down its emissivity (common practice)",
            );
        } else {
            self.fact("thermometer", "thermocouple", "serves to about 1300 °C (common practice)");
        }
        let power = derived::usual_power(base).get();
        self.figure(Field::MeltPower, power, "usual for a small charge of this metal (common practice)");
        self.figure(
            Field::TimeAtHeat,
            60.0,
            "pour as soon as it is ready: gas, zinc loss and attack grow with time (common practice)",
        );
        if let Some(limit) = self.alloy.revert_limit {
            let share = limit.min(0.3);
            let why = format!(
                "up to {} is usual ({})",
                Dimension::Share.show(limit),
                self.table_basis("revert-limit")
            );
            self.figure(Field::Revert, share, why);
        }
    }

    /// Gas enough over the melt to keep zinc in, in mbar.
    fn chamber_pressure(&mut self) -> f64 {
        self.plan.sheet.set(Field::ChamberPressure, 1000.0);
        let ratio = self.computed("zinc-boiling").map_or(0.0, |z| z.value);
        let wanted = 1000.0 * (ratio / KEPT_IN).clamp(1.0, 1.4);
        (wanted / 50.0).ceil() * 50.0
    }

    fn purge(&mut self) {
        const VACUUM: f64 = 10.0;
        self.figure(
            Field::PurgeVacuum,
            VACUUM,
            "what a sound pump reaches in a small chamber (common practice)",
        );
        // Two at least, for the formula takes mould and lining as dry.
        let enough = [2.0, 3.0].into_iter().find(|n| {
            self.plan.sheet.set(Field::PurgeCycles, *n);
            self.computed("oxygen-left").is_some_and(|o| o.value <= 0.8)
        });
        self.figure(Field::PurgeCycles, enough.unwrap_or(4.0), "");
        let says = self.computed("oxygen-left").map_or_else(String::new, |o| format!("{}; ", o.says));
        if let Some(line) = self.plan.lines.last_mut() {
            line.why = format!("{says}with cold metal, and again while it heats (dilution formula)");
        }
    }

    fn charge(&mut self) {
        let Some(wax) = self.request.wax else {
            self.plan.remarks.push(
                "Weigh the wax tree and run this again with --wax, or write `charge` and `tree.wax` yourself."
                    .to_owned(),
            );
            return;
        };
        let rho: Estimate<GramsPerCm3> = match self.alloy.density {
            Some(d) => Estimate::relative(d, 0.005, "alloy table"),
            None => density(&self.alloy.composition),
        };
        self.figure(Field::TreeWax, wax.get(), "as weighed, sprues included");
        match metal_from_wax(wax, rho, wax_density(), None) {
            Ok(needed) => {
                let why = format!(
                    "{} for the tree and {} for a button of 15 % (wax weight times density {} over wax density {})",
                    needed.casting.show_as(Dimension::Mass),
                    needed.button.show_as(Dimension::Mass),
                    rho.value,
                    wax_density().show_as(Dimension::Density)
                );
                let total = needed.total.value.get();
                let step = if total < 20.0 { 0.5 } else { 1.0 };
                self.figure(Field::Charge, (total / step).ceil() * step, why);
            }
            Err(error) => self.plan.remarks.push(format!("no metal weight: {error}")),
        }
    }

    fn pour(&mut self) {
        match self.request.equipment {
            Equipment::VacuumPressure => {
                let start = match self.request.section {
                    Section::Thin => 1.5,
                    Section::Medium => 1.2,
                    Section::Heavy => 0.8,
                };
                self.figure(Field::PourVacuum, 100.0, "air must leave the mould (common practice)");
                self.drive(Field::CastingPressure, &[start, 1.5, 1.8, 2.0].map(|b| b * 1000.0), |p| {
                    p >= start * 1000.0
                });
                self.figure(
                    Field::Vibration,
                    40.0,
                    "35 to 40 s settle the metal; far less leaves it less dense (common practice)",
                );
            }
            Equipment::VacuumAssist => {
                self.figure(
                    Field::PourVacuum,
                    80.0,
                    "deep, and only a share of it is felt at the metal (common practice)",
                );
            }
            Equipment::Spun => {
                self.figure(Field::ArmRadius, 250.0, "measure your own arm; the force grows with it");
                self.drive(Field::SpinSpeed, &[350.0, 400.0, 450.0, 500.0], |_| true);
            }
            Equipment::Gravity => {
                self.figure(
                    Field::Head,
                    80.0,
                    "height of metal over the piece; nothing else pushes (common practice)",
                );
            }
        }
        if self.request.equipment != Equipment::Gravity {
            self.figure(
                Field::HoldForce,
                120.0,
                "keep the force on until the button has lost its glow, 1 to 3 min by size (common practice)",
            );
        }
        self.figure(Field::TransferTime, 20.0, "the skin of the flask chills on the way (common practice)");
    }

    /// The first of the usual steps that fills the thinnest part with half as much again to spare.
    fn drive(&mut self, field: Field, steps: &[f64], allowed: impl Fn(f64) -> bool) {
        if let Some(thin) = self.request.thinnest {
            self.plan.sheet.set(Field::Thinnest, thin.get());
        }
        let usual: Vec<f64> = steps.iter().copied().filter(|s| allowed(*s)).collect();
        let mut chosen = usual.first().copied();
        for step in &usual {
            chosen = Some(*step);
            self.plan.sheet.set(field, *step);
            if self.computed("fill-margin").is_none_or(|m| m.value >= 1.5) {
                break;
            }
        }
        let Some(chosen) = chosen else { return };
        self.plan.sheet.set(field, chosen);
        let says = self.computed("fill-margin").map_or_else(String::new, |m| format!("{}; ", m.says));
        let why = match field {
            Field::CastingPressure => format!(
                "{says}such casters go to about 2 bar; stay under the maker's rating (common practice)"
            ),
            _ => format!("{says}stay under the maker's speed (common practice)"),
        };
        self.figure(field, chosen, why);
    }

    fn flask(&mut self) {
        let across = self.request.flask_diameter.map_or(USUAL_FLASK, Millimetres::get);
        let named = if let Some(diameter) = self.request.flask_diameter {
            self.figure(Field::FlaskDiameter, diameter.get(), "");
            ""
        } else {
            "; write your own flask's diameter"
        };
        let wanted = soak::soak_time(Millimetres::new(across), 0.05);
        let needed = wanted.as_ref().map_or(3600.0, |w| w.value.get());
        let soak = (needed * 1.45 / 900.0).ceil().max(4.0) * 900.0;
        let words = wanted.map_or_else(|_| String::new(), |w| w.show_as(Dimension::Duration));
        self.figure(
            Field::FlaskSoak,
            soak,
            format!(
                "the core of a {} flask wants {words} after the drop{named} (heat conduction, within 30 %)",
                Millimetres::new(across)
            ),
        );
    }

    fn mould(&mut self) {
        let gypsum = self.plan.sheet.fact(self.rules, "binder") == Some("gypsum");
        let flask = self.plan.sheet.get(Field::FlaskTemperature).unwrap_or(0.0);
        if gypsum {
            self.figure(
                Field::Water,
                39.0,
                "38 to 40 by most powders; the bag comes first (common practice)",
            );
            self.figure(Field::MixTime, 210.0, "about 3 to 4 min (common practice)");
            self.figure(Field::InvestingVacuum, 30.0, "the slurry must boil (common practice)");
            self.figure(
                Field::WorkTime,
                540.0,
                "pour and leave before it sets, at about 9 min (common practice)",
            );
            self.figure(Field::SetTime, 7200.0, "about 2 h, and not left to dry out (common practice)");
            self.figure(
                Field::HeatingRate,
                150.0,
                "1 to 3 K a minute; faster cracks the mould (common practice)",
            );
            if self.request.stones {
                self.figure(
                    Field::BurnoutPeak,
                    STONE_PEAK,
                    "for stones in place; one side never goes over 454 °C, others to about 630 °C, and carbon stays longest at the low end (common practice)",
                );
                self.figure(
                    Field::BurnoutHold,
                    28_800.0,
                    "long, for the peak is low; air must get in (common practice)",
                );
                self.fact("boric-acid", "boric", "guards stones; read the powder's sheet (common practice)");
            } else {
                let peak = flask.max(730.0);
                self.figure(
                    Field::BurnoutPeak,
                    peak,
                    "730 to 750 °C burns wax out and spares the gypsum (common practice)",
                );
                let hold = if self.plan.sheet.get(Field::FlaskDiameter).is_some_and(|d| d > 110.0) {
                    14_400.0
                } else {
                    10_800.0
                };
                self.figure(
                    Field::BurnoutHold,
                    hold,
                    "until no grey is left; longer for large or full flasks (common practice)",
                );
            }
        } else {
            let peak = (flask + 20.0).max(870.0);
            self.figure(
                Field::BurnoutPeak,
                peak,
                "as the powder's maker says; hotter than the flask is cast (common practice)",
            );
            self.figure(Field::BurnoutHold, 10_800.0, "as the powder's maker says (common practice)");
            self.figure(Field::HeatingRate, 150.0, "as the powder's maker says (common practice)");
            self.plan.remarks.push(
                "Phosphate moulds differ: liquid, working time and burnout are the powder maker's, so most are left out here."
                    .to_owned(),
            );
        }
    }

    fn tree(&mut self) {
        if let Some(thin) = self.request.thinnest {
            self.figure(Field::Thinnest, thin.get(), "as given");
        }
        let heaviest = self.request.heaviest.map(Millimetres::get);
        if let Some(heaviest) = heaviest {
            self.figure(Field::Heaviest, heaviest, "as given");
        }
        let (thickness, whose) = match (heaviest, self.request.section) {
            (Some(h), _) => (h, ""),
            (None, Section::Thin) => (1.0, ", taken as 1 mm"),
            (None, Section::Medium) => (2.0, ", taken as 2 mm"),
            (None, Section::Heavy) => (4.0, ", taken as 4 mm"),
        };
        let gate = (thickness * GATE_TIMES * 10.0).round() / 10.0;
        self.figure(
            Field::Gate,
            gate.max(0.8),
            format!("1.6 times the heaviest part{whose}: freezes after it and can still be cut (modulus rule, trade papers)"),
        );
        self.figure(Field::GateLength, 6.0, "short, so that it feeds (common practice)");
        self.figure(
            Field::Spacing,
            if self.request.section == Section::Heavy { 15.0 } else { 12.0 },
            "so that the mould between does not heat through (common practice)",
        );
        self.figure(Field::WallGap, 10.0, "common practice");
        self.figure(Field::EndGap, 25.0, "so that the mould does not break out (common practice)");
        if let (Some(pattern), Some(fact)) = (self.request.pattern, self.rules.find_fact("pattern"))
            && let Some(value) = self.rules.fact(fact).values.get(pattern)
        {
            let why = if value.id == "wax" {
                ""
            } else {
                "leaves more ash than wax: longer burnout with air, and the maker's schedule"
            };
            let id = value.id.clone();
            self.fact("pattern", &id, why);
        }
        if self.request.stones {
            self.fact("stones", "in-place", "only stones that stand the burnout; never quench them");
        } else {
            self.fact("stones", "none", "");
        }
    }

    fn cooling(&mut self) {
        if let Some((early, late)) = self.alloy.quench_after {
            let mut after = ((early.get() + late.get()) / 2.0).min(LONGEST_WAIT.max(early.get()));
            let mut why = format!("advised is {early} to {late} ({})", self.table_basis("quench-after"));
            if self.request.stones {
                after = late.get();
                why.push_str("; with stones let it cool further, and warm water at most");
            }
            self.figure(Field::QuenchAfter, (after / 60.0).round() * 60.0, why);
        }
    }

    fn remarks(&mut self) {
        if let Some(notes) = &self.alloy.notes {
            let basis = self.alloy.basis_of("notes").words(self.rules);
            self.plan.remarks.insert(
                0,
                format!("Where sources disagree, and what else is known: {} ({basis})", notes.trim()),
            );
        }
        if matches!(self.alloy.basis, Basis::Memory) {
            self.plan.remarks.push(
                "This alloy's figures are remembered, not looked up: the maker's sheet for your lot comes first."
                    .to_owned(),
            );
        }
        if let (Some(h), section) = (self.request.heaviest, self.request.section) {
            let by_thickness = self.plan.sheet.heavy_section(self.rules);
            if by_thickness.is_some_and(|s| s != section) {
                self.plan.remarks.push(format!(
                    "A heaviest part of {h} is {} work, the sheet is for {}: a tree with both wants a compromise, and `check` will say so.",
                    by_thickness.map_or("", Section::word),
                    section.word()
                ));
            }
        }
    }
}

/// Burnout peak with stones in place, in °C: between the two sides of the trade.
const STONE_PEAK: f64 = 600.0;
/// Longest wait before the quench that a sheet begins with, in seconds: hot metal left longer in air stains, and a
/// table that allows two hours does not ask for one.
const LONGEST_WAIT: f64 = 1800.0;
/// Gate to heaviest part: over the modulus of a square section (1.1) and under what leaves a hot spot (2).
const GATE_TIMES: f64 = 1.6;

/// A number that a caster would set: whole fives for temperatures.
fn tidy(dimension: Dimension, value: f64) -> f64 {
    match dimension {
        Dimension::Temperature => (value / 5.0).round() * 5.0,
        _ => value,
    }
}

/// A figure of six digits, as a sheet writes it.
fn written(dimension: Dimension, value: f64) -> String {
    written_figure(dimension, crate::units::figures(value, 6).parse().unwrap_or(value))
}

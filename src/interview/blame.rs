//! Which causes made what was seen, in each joint state.

use super::standing::Standing;
use crate::inference::CauseId;
use crate::rules::DefectKey;

/// For each world, the causes that may have brought what was seen: the share that each has in the defects that are there.
pub(super) fn blame(standing: &Standing<'_>) -> Vec<Vec<(usize, f64)>> {
    let model = standing.model();
    let network = &model.network;
    let rules = model.rules;
    // Defects that what was seen or named speaks of; any defect while nothing was.
    let any = standing.findings().iter().any(|o| o.is_present());
    let defects: Vec<DefectKey> = rules.defect_keys().filter(|d| !any || standing.accounts(*d)).collect();
    let parents: Vec<Vec<(usize, CauseId, f64)>> = defects
        .iter()
        .map(|d| {
            let causes = model.causes_of(*d).iter().map(|(c, s)| (c.index(), model.cause(*c), *s));
            causes.filter(|(_, _, s)| *s > 0.0).collect()
        })
        .collect();
    standing
        .worlds
        .iter()
        .map(|world| {
            let mut blamed: Vec<(usize, f64)> = Vec::new();
            for (defect, parents) in defects.iter().zip(&parents) {
                if !world.holds(model.defect(*defect)) {
                    continue;
                }
                let there = world.chance(network, model.defect(*defect)).max(1e-12);
                for (at, _, strength) in parents.iter().filter(|(_, id, _)| world.holds(*id)) {
                    let share = (strength / there).min(1.0);
                    match blamed.iter_mut().find(|(c, _)| c == at) {
                        Some((_, held)) => *held = 1.0 - (1.0 - *held) * (1.0 - share),
                        None => blamed.push((*at, share)),
                    }
                }
            }
            blamed
        })
        .collect()
}

/// Numbers the causes that occur from 0 on, in their order. How many they are.
pub(super) fn renumber(blame: &mut [Vec<(usize, f64)>]) -> usize {
    let mut all: Vec<usize> = blame.iter().flatten().map(|(cause, _)| *cause).collect();
    all.sort_unstable();
    all.dedup();
    for (cause, _) in blame.iter_mut().flatten() {
        *cause = all.partition_point(|other| other < cause);
    }
    all.len()
}

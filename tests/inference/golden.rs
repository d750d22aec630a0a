//! Networks whose posteriors were computed by other programs and by exact fractions: tests/reference/README.md.

use std::collections::BTreeMap;

use aftercast::inference::{
    CauseId, Evidence, InferenceError, Likelihood, Network, NetworkBuilder, Var, explanations, information,
};
use serde_json::Value;

use crate::enumeration::close;
use crate::random::p;

struct Case {
    name: String,
    network: Network,
    vars: BTreeMap<String, Var>,
    names: Vec<String>,
    evidence: Evidence,
    data: Value,
}

fn number(value: &Value) -> f64 {
    value.as_f64().unwrap()
}

fn cases(file: &str) -> Vec<Case> {
    let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/reference").join(file);
    let document: Value = serde_json::from_str(&std::fs::read_to_string(path).unwrap()).unwrap();
    document["cases"].as_array().unwrap().iter().map(case).collect()
}

fn case(data: &Value) -> Case {
    let mut builder = NetworkBuilder::default();
    let mut vars: BTreeMap<String, Var> = BTreeMap::new();
    let mut names = Vec::new();
    for cause in data["causes"].as_array().into_iter().flatten() {
        let id = builder.root(&[p(number(&cause["prior"]))]).unwrap()[0];
        vars.insert(cause["id"].as_str().unwrap().into(), id.into());
        names.push(cause["id"].as_str().unwrap().to_owned());
    }
    for root in data["roots"].as_array().into_iter().flatten() {
        let states = root["states"].as_array().unwrap();
        let priors: Vec<_> = states.iter().map(|s| p(number(&s["prior"]))).collect();
        for (state, id) in states.iter().zip(builder.root(&priors).unwrap()) {
            vars.insert(state["id"].as_str().unwrap().into(), id.into());
            names.push(state["id"].as_str().unwrap().to_owned());
        }
    }
    for list in ["defects", "signs", "nodes"] {
        for node in data[list].as_array().into_iter().flatten() {
            let link = |l: &Value| (vars[l[0].as_str().unwrap()], p(number(&l[1])));
            let parents: Vec<_> = node["parents"].as_array().unwrap().iter().map(link).collect();
            let id = builder.node(p(number(&node["leak"])), &parents).unwrap();
            vars.insert(node["id"].as_str().unwrap().into(), id.into());
        }
    }
    let mut evidence = Evidence::new();
    for (id, value) in data["evidence"].as_object().unwrap() {
        let likelihood = match value {
            Value::Array(pair) => Likelihood::soft(number(&pair[0]), number(&pair[1])).unwrap(),
            _ if value.as_u64() == Some(1) => Likelihood::YES,
            _ => Likelihood::NO,
        };
        evidence.set(vars[id], likelihood);
    }
    let name = data["name"].as_str().unwrap().to_owned();
    Case { name, network: builder.build(), vars, names, evidence, data: data.clone() }
}

fn check(case: &Case) {
    let z = number(&case.data["p_evidence"]);
    if z == 0.0 {
        let error = case.network.prepare(&case.evidence).err();
        assert_eq!(error, Some(InferenceError::Impossible { finding: case.vars["S"] }), "{}", case.name);
        return;
    }
    let posterior = case.network.prepare(&case.evidence).unwrap().posterior();
    let ln = z.ln();
    close(&case.name, posterior.ln_evidence(), ln, 1e-9 * ln.abs() + 1e-15);
    for (id, value) in case.data["posterior"].as_object().unwrap() {
        close(&format!("{} {id}", case.name), posterior.of(case.vars[id]), number(value), 1e-12);
    }
    for (i, want) in case.data["explanations"].as_array().into_iter().flatten().enumerate() {
        let got = &explanations(&case.network, &case.evidence, None, 5).unwrap()[i];
        let on: Vec<&str> = got.present.iter().map(|c: &CauseId| case.names[c.index()].as_str()).collect();
        let want_on: Vec<&str> =
            want["present"].as_array().unwrap().iter().map(|v| v.as_str().unwrap()).collect();
        assert_eq!(on, want_on, "{}", case.name);
        close(&case.name, got.probability, number(&want["probability"]), 1e-12);
    }
    for (id, want) in case.data["information"].as_object().into_iter().flatten() {
        let Var::Node(node) = case.vars[id] else { panic!("{id} is a cause") };
        let got = information(&case.network, &case.evidence, &[node]).unwrap()[0];
        close(&case.name, got.p_present, number(&want["p_present"]), 1e-12);
        close(&case.name, got.bits, number(&want["bits"]), 1e-11);
    }
}

#[test]
fn forty_two_networks_agree_with_exact_fractions() {
    let cases = cases("noisy_or_golden.json");
    assert_eq!(cases.len(), 42);
    cases.iter().for_each(check);
}

#[test]
fn roots_with_several_states_and_soft_evidence_agree_with_pyagrum_and_exact_fractions() {
    let cases = cases("multistate_golden.json");
    assert!(cases.len() >= 12);
    cases.iter().for_each(check);
    for case in &cases {
        for (id, exact) in case.data["posterior"].as_object().unwrap() {
            close(&case.name, number(&case.data["pyagrum"][id]), number(exact), 1e-12);
        }
    }
}

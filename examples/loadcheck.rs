fn main() {
    let t = std::time::Instant::now();
    let l = aftercast::rules::shipped(&aftercast::sheet::catalogue());
    eprintln!(
        "{:?} errors {} causes {} defects {} signs {} questions {} remedies {} alloys {}",
        t.elapsed(),
        l.problems.errors(),
        l.rules.causes.len(),
        l.rules.defects.len(),
        l.rules.signs.len(),
        l.rules.questions.len(),
        l.rules.remedies.len(),
        l.rules.alloys.len()
    );
    println!("{}", aftercast::document::render(&l.sources, &l.problems, aftercast::document::Excerpt::Plain));
    if l.problems.errors() == 0 {
        let p = aftercast::rules::lint(&l.rules, &l.places);
        println!("{}", aftercast::document::render(&l.sources, &p, aftercast::document::Excerpt::Plain));
        eprintln!("lints {}", p.warnings());
    }
}

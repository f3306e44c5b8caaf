//! Every finding of both demos and of ten variations of each: a remedy that is offered as applied clears
//! its finding and raises nothing to stop for that it does not name; what stays words is listed here.

#[path = "../shared/demo_sites.rs"]
mod demo_sites;
mod fired;
mod variations;

use design::{Code, Evaluation, Evaluator, Finding, Remedy, Severity};
use site::Site;

use self::variations::{LEVEL, SLOPED, Variation};

/// Findings that no number of the plan clears, by the beginning of their message or remedy, and why.
const WORDS_ONLY: [(Code, &str, &str); 7] = [
    (
        Code::BareSoilDrainsIn,
        "Set a silt fence or straw rolls along",
        "a fence is set for the weeks of work and is no part of the plan; its length and the room behind \
         it are told",
    ),
    (
        Code::DrainsToHouse,
        "Rain on",
        "where no straight swale along a wall leads it past, a drain is drawn by who sees the place; its \
         size is told",
    ),
    (
        Code::SurveyThin,
        "Shoot",
        "only the ground tells its levels; how many shots, and where, is told",
    ),
    (
        Code::GroundwaterLiftsLiner,
        "No ground on the site lies low enough",
        "no pipe runs out and half a metre of cover is too little: only a pump holds it down; what it \
         moves and the level to keep until then are told",
    ),
    (
        Code::BeyondSurvey,
        "Steepen the bank",
        "a bank that neither moving, flattening nor steepening brings down ends where nothing is known; \
         how far out to shoot is told",
    ),
    (
        Code::DeadCorner,
        "Lead",
        "how much, where and which way is reckoned; where the pipe lies is drawn by who lays it",
    ),
    (
        Code::CircuitIncomplete,
        "Give it",
        "nothing is drawn that it could draw from and feed, so that there is no flow to reckon with",
    ),
];

#[test]
fn remedies_on_the_sloped_demo_clear_what_they_are_offered_for() {
    hold(0, demo_sites::rear_garden(), &SLOPED);
}

#[test]
fn remedies_on_the_level_demo_clear_what_they_are_offered_for() {
    hold(1, demo_sites::level_garden(), &LEVEL);
}

fn hold(demo: usize, site: Site, variations: &[Variation]) {
    let mut wrong = Vec::new();
    let mut evaluator = Evaluator::default();
    wrong.extend(of_site("as it is", &site, &[], &mut evaluator));
    let as_it_is = evaluator.evaluate(&site);
    wrong.extend(fired::unlike(demo, None, [&as_it_is; 2]));
    let known = &as_it_is.findings;
    for (name, change) in variations {
        let mut varied = site.clone();
        change(&mut varied);
        assert_eq!(varied.check(), Ok(()), "{name}");
        assert!(fired::is_listed(name), "{name}");
        let after = evaluator.evaluate(&varied);
        wrong.extend(fired::unlike(demo, Some(name), [&as_it_is, &after]));
        wrong.extend(of_site(name, &varied, known, &mut evaluator));
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// What is wrong with the remedies of one site, but for findings that are known; `--nocapture` prints
/// them all.
fn of_site(name: &str, site: &Site, known: &[Finding], evaluator: &mut Evaluator) -> Vec<String> {
    let before = evaluator.evaluate(site);
    println!("\n== {}: {name}", site.title);
    let mut wrong = Vec::new();
    for finding in &before.findings {
        let same = |of: &&Finding| {
            (of.code, of.work, &of.message) == (finding.code, finding.work, &finding.message)
        };
        if known.iter().any(|of| same(&of)) {
            println!(
                "{:?} {} {:?}: as before",
                finding.severity,
                finding.code.as_str(),
                finding.work
            );
            continue;
        }
        let start = std::time::Instant::now();
        let remedy = evaluator.remedy(site, finding);
        let took = start.elapsed();
        println!(
            "{:?} {} {:?}: {}",
            finding.severity,
            finding.code.as_str(),
            finding.work,
            finding.message
        );
        let words = finding.remedy.as_ref().map(|remedy| remedy.message.as_str());
        let fault = match &remedy {
            Some(Remedy { message, site: Some(edited) }) => {
                println!("   -> {message} ({took:.0?})");
                fault(finding, (&before, &evaluator.evaluate(edited)), message, edited)
            }
            _ => {
                let words = remedy.as_ref().map(|remedy| remedy.message.as_str()).or(words);
                println!("   .. {} ({took:.0?})", words.unwrap_or("NOTHING"));
                unlisted(finding, words)
            }
        };
        wrong.extend(
            fault.map(|why| format!("{name}: {:?} {}: {why}", finding.code, finding.message)),
        );
    }
    wrong
}

/// Why a remedy as applied is not what it says.
fn fault(
    finding: &Finding,
    (before, after): (&Evaluation, &Evaluation),
    message: &str,
    edited: &Site,
) -> Option<String> {
    if let Err(why) = edited.check() {
        return Some(format!("it makes no sound site: {why:?}"));
    }
    let alike = |of: &Evaluation| {
        of.findings.iter().filter(|f| (f.code, f.work) == (finding.code, finding.work)).count()
    };
    if alike(after) >= alike(before) {
        return Some(format!("\"{message}\" leaves it"));
    }
    let stays = |f: &&Finding| {
        (f.code, f.work, &f.message) == (finding.code, finding.work, &finding.message)
    };
    if after.findings.iter().any(|f| stays(&f)) {
        return Some(format!("\"{message}\" clears another and leaves it"));
    }
    let stops = |of: &Evaluation, like: &Finding| {
        let alike = |f: &&Finding| {
            f.severity == Severity::Stop && (f.code, f.work) == (like.code, like.work)
        };
        of.findings.iter().filter(alike).count()
    };
    let raised = after
        .findings
        .iter()
        .filter(|f| f.severity == Severity::Stop && stops(after, f) > stops(before, f));
    let told = |f: &&Finding| {
        // One of several alike is named for all of them.
        let alike = after.findings.iter().filter(|g| (g.code, g.work) == (f.code, f.work));
        alike.into_iter().any(|g| message.contains(&g.message))
    };
    let untold = raised.into_iter().find(|f| !told(f));
    untold.map(|f| format!("\"{message}\" raises a stop that it does not name: {}", f.message))
}

/// Why a finding without a remedy that can be applied is not one of those that are listed.
fn unlisted(finding: &Finding, words: Option<&str>) -> Option<String> {
    let Some(words) = words else { return Some("it has no remedy, not even words".into()) };
    let listed = WORDS_ONLY.iter().any(|(code, start, _)| {
        *code == finding.code && (words.contains(start) || finding.message.contains(start))
    });
    (!listed).then(|| format!("only words, and not listed: \"{words}\""))
}

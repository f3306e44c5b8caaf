//! What is asked before anything that somebody did could be lost.

use egui::{RichText, Ui};
use site::{Difference, Owner, Site, differences};

use super::words::{plain_button, small};
use crate::document::safe::{Answer, Question};
use crate::theme::{bold, paper, size};

/// Differences told one by one.
const SHOWN: usize = 5;

/// Shows the question; answers with what was decided.
pub(crate) fn question_ui(ui: &mut Ui, question: &Question, site: &Site) -> Option<Answer> {
    let head = |ui: &mut Ui, words: &str| ui.label(RichText::new(words).font(bold(size::HEAD)));
    match question {
        Question::Left(copy) => match &copy.site {
            Ok(left) => {
                head(ui, "Unsaved work from last time");
                ui.label(format!(
                    "The program ended {} ago before this site was saved. Going on with that work \
                     changes nothing in the file until you save.",
                    copy.age
                ));
                differences_ui(ui, "It differs from the saved site in", site, left);
                buttons(
                    ui,
                    &[
                        ("Go on with the unsaved work", Answer::TakeCopy),
                        (
                            "Go on with the saved site, keep the other beside it",
                            Answer::SetCopyAside,
                        ),
                    ],
                )
            }
            Err(why) => {
                head(ui, "Unsaved work that cannot be read");
                ui.label(format!("It was left {} ago. {why}", copy.age));
                buttons(
                    ui,
                    &[(
                        "Go on with the saved site, keep the other beside it",
                        Answer::SetCopyAside,
                    )],
                )
            }
        },
        Question::Changed(Ok(theirs)) => {
            head(ui, "The file was changed by somebody else");
            ui.label(
                "Since this window read the site, its file was written from elsewhere. Whichever you \
                 choose, both stay in the folder.",
            );
            differences_ui(ui, "Theirs differs from yours in", site, theirs);
            buttons(
                ui,
                &[
                    ("Save mine, keep theirs beside it", Answer::WriteMine),
                    ("Open theirs, keep mine beside it", Answer::TakeTheirs),
                    ("Write nothing now", Answer::Later),
                ],
            )
        }
        Question::Changed(Err(why)) => {
            head(ui, "The file was changed and cannot be read");
            ui.label(why);
            buttons(
                ui,
                &[
                    ("Save mine, keep that file beside it", Answer::WriteMine),
                    ("Write nothing now", Answer::Later),
                ],
            )
        }
    }
}

fn buttons(ui: &mut Ui, offers: &[(&str, Answer)]) -> Option<Answer> {
    ui.add_space(8.0);
    let clicked = offers.iter().filter(|(words, _)| plain_button(ui, words).clicked());
    clicked.map(|(_, answer)| *answer).fold(None, |_, answer| Some(answer))
}

fn differences_ui(ui: &mut Ui, words: &str, site: &Site, other: &Site) {
    ui.add_space(4.0);
    small(ui, words);
    let owners = differing(site, other);
    for name in owners.iter().take(SHOWN) {
        ui.label(RichText::new(name).color(paper::MARKING.ink()));
    }
    if owners.len() > SHOWN {
        small(ui, format!("and {} more", owners.len() - SHOWN));
    }
}

/// What two sites do not share, each named once.
fn differing(site: &Site, other: &Site) -> Vec<String> {
    let mut owners: Vec<String> = Vec::new();
    for Difference { owner, .. } in differences(site, other) {
        let name = match owner {
            Owner::Work(id) => {
                let work = site.work(id).or_else(|| other.work(id));
                work.map_or_else(|| format!("Work {}", id.0), |work| work.name.clone())
            }
            Owner::Part(part) => part,
        };
        if !owners.contains(&name) {
            owners.push(name);
        }
    }
    if site.title != other.title {
        owners.push(format!("its name, {}", other.title));
    }
    if owners.is_empty() {
        owners.push("what people call it, or in notes".to_owned());
    }
    owners
}

#[cfg(test)]
mod tests {
    use egui::vec2;

    use super::super::bench::{bench, click};
    use super::*;
    use crate::keep::LeftCopy;

    /// What is decided when words are clicked.
    fn decided(question: &Question, words: &str) -> Option<Answer> {
        let site = crate::demo::rear_garden();
        let mut harness = bench(vec2(420.0, 500.0), None, |ui, answer: &mut Option<Answer>| {
            *answer = question_ui(ui, question, &site).or(*answer);
        });
        click(&mut harness, &format!("button {words}"));
        harness.state().state
    }

    #[test]
    fn each_offer_is_what_it_says() {
        let theirs = crate::demo::rear_garden();
        let changed = Question::Changed(Ok(Box::new(theirs.clone())));
        let mine = decided(&changed, "Save mine, keep theirs beside it");
        assert_eq!(mine, Some(Answer::WriteMine));
        let taken = decided(&changed, "Open theirs, keep mine beside it");
        assert_eq!(taken, Some(Answer::TakeTheirs));
        assert_eq!(decided(&changed, "Write nothing now"), Some(Answer::Later));
        let broken = Question::Changed(Err("line 3: cut off".into()));
        let mine = decided(&broken, "Save mine, keep that file beside it");
        assert_eq!(mine, Some(Answer::WriteMine));
        let left = |site| {
            let name = "site.ron.autosave".into();
            Question::Left(LeftCopy { name, site, age: "2 hours".into() })
        };
        let good = left(Ok(Box::new(theirs)));
        let on = decided(&good, "Go on with the unsaved work");
        assert_eq!(on, Some(Answer::TakeCopy));
        let aside = "Go on with the saved site, keep the other beside it";
        for question in [good, left(Err("line 3: cut off".into()))] {
            assert_eq!(decided(&question, aside), Some(Answer::SetCopyAside));
        }
    }

    #[test]
    fn what_differs_is_named_once() {
        let site = crate::demo::rear_garden();
        let mut other = site.clone();
        other.works[0].note = "Dig by hand".into();
        other.works[0].name = "Lower pond".into();
        other.title = "Other".into();
        let names = differing(&site, &other);
        assert_eq!(names, [site.works[0].name.clone(), "its name, Other".to_owned()]);
        assert_eq!(differing(&site, &site).len(), 1);
    }
}

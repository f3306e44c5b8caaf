//! From the survey to the existing ground, and everything that is doubtful on the way.

pub mod levels;

use std::borrow::Cow;
use std::sync::Arc;

use ground::triangulate::{self, Breakline, BuildReport, SpikeLimits, Terrain};
use ground::{Lattice, LatticeError, LatticePoint, Surface, Tag};
use site::{Site, Survey, SurveyPoint};

use crate::{SurveyOutcome, Suspect, SuspectKind};

/// The existing ground, absent when the survey makes none, and what was found in the survey.
pub(crate) fn existing(site: &Site) -> (Option<Arc<Surface>>, SurveyOutcome) {
    let mut outcome = SurveyOutcome::default();
    let survey = match with_levels(&site.survey, &mut outcome) {
        Ok(survey) => survey,
        Err(why) => {
            outcome.refused = Some(why);
            return (None, outcome);
        }
    };
    let kept = kept_points(&survey, &mut outcome);
    let built =
        terrain(site, &survey, &kept).map_err(|error| error.to_string()).and_then(|terrain| {
            let built = triangulate::build(&terrain).map_err(|error| error.to_string())?;
            Ok((built, terrain.lattice))
        });
    match built {
        Ok((built, lattice)) => {
            outcome.n_points = built.surface.vertices().len();
            outcome.n_duplicates = built.report.merged.iter().map(|m| m.count - 1).sum();
            outcome.suspects.extend(suspects_of(&built.report, lattice));
            outcome.suspects.extend(spikes(site, &built.surface, &kept));
            outcome.suspects.sort_by(|a, b| {
                a.kind
                    .cmp(&b.kind)
                    .then(a.at_m[0].total_cmp(&b.at_m[0]))
                    .then(a.at_m[1].total_cmp(&b.at_m[1]))
            });
            (Some(Arc::new(built.surface)), outcome)
        }
        Err(why) => {
            outcome.refused = Some(why);
            (None, outcome)
        }
    }
}

/// The survey with the points that its level notes make of the ground.
fn with_levels<'s>(
    survey: &'s Survey,
    outcome: &mut SurveyOutcome,
) -> Result<Cow<'s, Survey>, String> {
    let Some(notes) = &survey.levels else { return Ok(Cow::Borrowed(survey)) };
    let reduced = levels::reduce(notes)
        .map_err(|fault| format!("row {} of the level notes: {fault}", fault.row + 1))?;
    let mut survey = survey.clone();
    survey.points.extend(levels::ground_points(notes, &reduced));
    outcome.levels = Some(reduced);
    Ok(Cow::Owned(survey))
}

/// The points that take part: neither set aside by the site nor strays.
fn kept_points<'a>(survey: &'a Survey, outcome: &mut SurveyOutcome) -> Vec<&'a SurveyPoint> {
    let listed: Vec<&SurveyPoint> =
        survey.points.iter().filter(|point| !survey.set_aside.contains(&point.name)).collect();
    let places: Vec<[f64; 3]> = listed.iter().map(|point| point.at_m).collect();
    let strays = triangulate::strays(&places);
    for stray in &strays {
        let point = listed[stray.row];
        outcome.suspects.push(Suspect {
            kind: SuspectKind::Stray,
            at_m: [point.at_m[0], point.at_m[1]],
            heights_m: Some([point.at_m[2]; 2]),
            off_m: Some([stray.distance_m, stray.limit_m]),
            name: Some(point.name.clone()),
        });
    }
    let mut strays = strays.into_iter().map(|stray| stray.row).peekable();
    let kept: Vec<&SurveyPoint> = listed
        .into_iter()
        .enumerate()
        .filter(|(i, _)| strays.next_if_eq(i).is_none())
        .map(|(_, point)| point)
        .collect();
    outcome.n_set_aside = survey.points.len() - kept.len();
    kept
}

/// A point must stand out by this much to be a spike: less is a tuft or a stone.
const SPIKE_LEAST_M: f64 = 0.15;

/// Points that stand out from all that their neighbours suggest by more than the site's limit.
fn spikes(site: &Site, surface: &Surface, kept: &[&SurveyPoint]) -> Vec<Suspect> {
    let lattice = surface.lattice();
    let limits =
        SpikeLimits { sigmas: site.limits.survey_spike_deviations, least_m: SPIKE_LEAST_M };
    let name = |at: LatticePoint| {
        let point = kept.iter().find(|p| lattice.snap([p.at_m[0], p.at_m[1]]) == Ok(at));
        point.map(|point| point.name.clone())
    };
    (triangulate::spikes(surface, limits).into_iter())
        .map(|spike| Suspect {
            kind: SuspectKind::Spike,
            at_m: lattice.metres(spike.at),
            heights_m: Some([spike.height, spike.without]),
            off_m: Some([(spike.height - spike.without).abs(), spike.limit_m]),
            name: name(spike.at),
        })
        .collect()
}

fn terrain(site: &Site, survey: &Survey, kept: &[&SurveyPoint]) -> Result<Terrain, LatticeError> {
    let lattice = Lattice::new(site.frame.step_um)?;
    let spot = |at: &[f64; 3]| Ok((lattice.snap([at[0], at[1]])?, at[2]));
    let ring = |ring: &Vec<[f64; 2]>| ring.iter().map(|&at| lattice.snap(at)).collect();
    let lines = survey.code_lines();
    let boundary: Result<Vec<LatticePoint>, _> = ring(&survey.boundary);
    Ok(Terrain {
        lattice,
        points: kept.iter().map(|point| spot(&point.at_m)).collect::<Result<_, _>>()?,
        breaklines: (survey.breaklines.iter().chain(&lines))
            .map(|line| {
                Ok(Breakline {
                    vertices: line.points_m.iter().map(spot).collect::<Result<_, _>>()?,
                })
            })
            .collect::<Result<_, _>>()?,
        boundary: Some(boundary?).filter(|ring| !ring.is_empty()),
        voids: survey.voids.iter().map(ring).collect::<Result<_, _>>()?,
        tag: Tag::default(),
    })
}

fn suspects_of(report: &BuildReport, lattice: Lattice) -> Vec<Suspect> {
    let suspect = |kind, at: LatticePoint, heights_m| Suspect {
        kind,
        at_m: lattice.metres(at),
        heights_m,
        off_m: None,
        name: None,
    };
    let mut found = Vec::new();
    found.extend(
        report
            .merged
            .iter()
            .filter(|m| m.heights[0] < m.heights[1])
            .map(|m| suspect(SuspectKind::Duplicate, m.at, Some(m.heights))),
    );
    found.extend(
        (report.crossings.iter().filter(|m| m.differs()))
            .map(|m| suspect(SuspectKind::Crossing, m.at, Some(m.heights))),
    );
    found.extend(
        (report.bends.iter().filter(|m| m.differs()))
            .map(|m| suspect(SuspectKind::OffLine, m.at, Some(m.heights))),
    );
    found.extend(report.overlaps.iter().map(|o| suspect(SuspectKind::Overlap, o[0], None)));
    found.extend(report.zero_length.iter().map(|&at| suspect(SuspectKind::ZeroLength, at, None)));
    found.extend(report.outside.iter().map(|&at| suspect(SuspectKind::Outside, at, None)));
    found.extend(
        report.beyond_survey.iter().map(|&at| suspect(SuspectKind::BoundaryBeyond, at, None)),
    );
    found
}

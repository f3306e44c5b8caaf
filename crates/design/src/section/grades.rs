//! Grades along a profile, where it keeps one for a while.

use super::stretches::Stretch;

/// A part of the finished ground that keeps about one grade along the line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Grade {
    /// Stations of its ends, metres.
    pub stations: [f64; 2],
    /// Levels of its ends, metres.
    pub levels: [f64; 2],
    /// Run per rise along the line, above zero; the ground may be steeper aside of it.
    pub run_per_rise: f64,
}

/// Shortest part whose grade is told, metres in plan.
const LEAST_M: f64 = 0.45;

/// Flatter ground is told to be nothing: 1 in 40 is about what an eye takes for level.
const FLATTEST: f64 = 1.0 / 40.0;

/// Grades that differ by less than this share are one.
const ALIKE: f64 = 0.15;

/// The grades of a profile, in order.
pub(super) fn of(profile: &[Stretch]) -> Vec<Grade> {
    let mut parts: Vec<Stretch> = Vec::new();
    for stretch in profile {
        match parts.last_mut().filter(|part| goes_on(part, stretch)) {
            Some(part) => {
                part.stations[1] = stretch.stations[1];
                part.levels[1] = stretch.levels[1];
            }
            None => parts.push(*stretch),
        }
    }
    (parts.iter())
        .filter(|part| part.stations[1] - part.stations[0] >= LEAST_M)
        .filter(|part| part.grade().abs() >= FLATTEST)
        .map(|part| Grade {
            stations: part.stations,
            levels: part.levels,
            run_per_rise: 1.0 / part.grade().abs(),
        })
        .collect()
}

/// Whether a stretch begins where a part ends and keeps its grade.
fn goes_on(part: &Stretch, next: &Stretch) -> bool {
    let joins = part.stations[1] == next.stations[0] && part.levels[1] == next.levels[0];
    let (a, b) = (part.grade(), next.grade());
    joins && (a - b).abs() <= ALIKE * a.abs().max(b.abs())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_flank_in_pieces_is_one_grade_and_a_step_ends_it() {
        let stretch = |stations, levels| Stretch { stations, levels };
        let profile = [
            stretch([0.0, 2.0], [10.0, 10.0]),
            stretch([2.0, 3.0], [10.0, 9.5]),
            stretch([3.0, 5.0], [9.5, 8.4]),
            stretch([5.0, 6.0], [7.0, 6.5]),
            stretch([6.0, 6.2], [6.5, 8.0]),
        ];
        let grades = of(&profile);
        let told: Vec<_> =
            grades.iter().map(|grade| (grade.stations, grade.run_per_rise)).collect();
        // 1.6 m down over 3 m is 1 in 1.875; half a metre down over one is 1 in 2.
        assert_eq!(told, [([2.0, 5.0], 3.0 / (10.0 - 8.4)), ([5.0, 6.0], 2.0)]);
    }
}

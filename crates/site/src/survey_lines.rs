//! Breaklines that the codes of a point list make.
//!
//! A code is a *line code* when [`Survey::line_codes`] lists it, whatever the case of its letters.
//!
//! | code | means |
//! |---|---|
//! | `BANK` | joins the `BANK` before it; any other code, a blank line or a comment ends the run |
//! | `BANK2` | joins the `BANK2` before it, whatever stands between |
//! | `BANK+` | begins a new line here |
//! | `BANK=` | ends the line here and closes it on its first point |

use crate::{Survey, SurveyLine, SurveyPoint};

impl Survey {
    /// The breaklines that the points' codes make, in the order in which they begin.
    ///
    /// Points that are set aside take no part. A line of one point is no line.
    pub fn code_lines(&self) -> Vec<SurveyLine> {
        let mut lines = Lines::default();
        let mut last_list_line = None;
        for point in self.points.iter().filter(|point| !self.set_aside.contains(&point.name)) {
            if last_list_line.is_some_and(|last| point.line > last + 1) {
                lines.end_runs();
            }
            last_list_line = Some(point.line);
            match LineCode::read(&point.code, &self.line_codes) {
                Some(code) => lines.add(point, &code),
                None => lines.end_runs(),
            }
        }
        lines.finish()
    }
}

/// A point's code, read as a line code.
struct LineCode {
    /// The line that it belongs to, in capitals, with its number.
    line: String,
    numbered: Numbered,
    sign: Sign,
}

#[derive(Clone, Copy, PartialEq)]
enum Numbered {
    No,
    Yes,
}

#[derive(Clone, Copy, PartialEq)]
enum Sign {
    None,
    Begin,
    Close,
}

impl LineCode {
    fn read(code: &str, line_codes: &[String]) -> Option<Self> {
        let code = code.trim();
        let (name, sign) = match code.strip_suffix('+') {
            Some(name) => (name, Sign::Begin),
            None => match code.strip_suffix('=') {
                Some(name) => (name, Sign::Close),
                None => (code, Sign::None),
            },
        };
        let line = name.trim().to_uppercase();
        let bare = line.trim_end_matches(|letter: char| letter.is_ascii_digit());
        let listed = |text: &str| line_codes.iter().any(|code| code.trim().to_uppercase() == text);
        if line.is_empty() {
            None
        } else if listed(&line) {
            Some(Self { line, numbered: Numbered::No, sign })
        } else if !bare.is_empty() && listed(bare) {
            Some(Self { line, numbered: Numbered::Yes, sign })
        } else {
            None
        }
    }
}

/// A line that may still grow.
struct OpenLine {
    name: String,
    numbered: Numbered,
    line_idx: usize,
}

#[derive(Default)]
struct Lines {
    all: Vec<SurveyLine>,
    open: Vec<OpenLine>,
}

impl Lines {
    fn end_runs(&mut self) {
        self.open.retain(|line| line.numbered == Numbered::Yes);
    }

    fn add(&mut self, point: &SurveyPoint, code: &LineCode) {
        self.open.retain(|line| line.numbered == Numbered::Yes || line.name == code.line);
        if code.sign == Sign::Begin {
            self.open.retain(|line| line.name != code.line);
        }
        let line_idx = match self.open.iter().find(|line| line.name == code.line) {
            Some(line) => line.line_idx,
            None => self.begin(code),
        };
        let line = &mut self.all[line_idx].points_m;
        line.push(point.at_m);
        if code.sign == Sign::Close {
            let first = line[0];
            line.push(first);
            self.open.retain(|line| line.name != code.line);
        }
    }

    fn begin(&mut self, code: &LineCode) -> usize {
        let line_idx = self.all.len();
        self.all.push(SurveyLine { code: code.line.clone(), points_m: Vec::new() });
        self.open.push(OpenLine { name: code.line.clone(), numbered: code.numbered, line_idx });
        line_idx
    }

    fn finish(mut self) -> Vec<SurveyLine> {
        self.all.retain(|line| line.points_m.len() > 1);
        self.all
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Joins points with these codes, which stand at (0,0,0), (1,0,0) and so on; an empty code
    /// with no name is a blank line. Answers each line's code and eastings.
    fn joined(codes: &[&str]) -> Vec<(String, Vec<f64>)> {
        let points = codes
            .iter()
            .enumerate()
            .filter(|(_, code)| **code != "(blank)")
            .map(|(row, code)| SurveyPoint {
                name: row.to_string(),
                at_m: [row as f64, 0.0, 0.0],
                code: (*code).to_owned(),
                line: row as u32 + 1,
            })
            .collect();
        let survey = Survey {
            points,
            line_codes: vec!["BANK".to_owned(), "edge".to_owned()],
            set_aside: vec!["99".to_owned()],
            ..Survey::default()
        };
        survey
            .code_lines()
            .into_iter()
            .map(|line| (line.code, line.points_m.iter().map(|p| p[0]).collect()))
            .collect()
    }

    fn line(code: &str, eastings: &[f64]) -> (String, Vec<f64>) {
        (code.to_owned(), eastings.to_vec())
    }

    #[test]
    fn a_run_of_points_with_one_line_code_joins() {
        assert_eq!(
            joined(&["GS", "BANK", "bank", "BANK", "GS", "BANK", "BANK", "EDGE", "EDGE"]),
            [line("BANK", &[1.0, 2.0, 3.0]), line("BANK", &[5.0, 6.0]), line("EDGE", &[7.0, 8.0])]
        );
    }

    #[test]
    fn a_lone_point_and_an_unlisted_code_make_no_line() {
        assert_eq!(joined(&["BANK", "GS", "TREE", "TREE", "BANKS", "BANKS", ""]), []);
    }

    #[test]
    fn numbered_lines_join_across_other_points() {
        assert_eq!(
            joined(&["BANK1", "EDGE2", "GS", "BANK1", "EDGE2"]),
            [line("BANK1", &[0.0, 3.0]), line("EDGE2", &[1.0, 4.0])]
        );
    }

    #[test]
    fn a_blank_line_and_a_plus_begin_anew_and_an_equals_closes() {
        assert_eq!(
            joined(&["BANK", "BANK", "(blank)", "BANK", "BANK", "BANK+", "BANK", "BANK="]),
            [
                line("BANK", &[0.0, 1.0]),
                line("BANK", &[3.0, 4.0]),
                line("BANK", &[5.0, 6.0, 7.0, 5.0])
            ]
        );
    }
}

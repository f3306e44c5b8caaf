//! What makes a circulation valid: what it names, its pumps' curves, and the crests that it feeds.

use super::Faults;
use crate::circulation::{CurvePoint, Pipe, PumpCurve};
use crate::works::Stream;
use crate::{Site, WorkId, WorkKind};

/// Whether a work is of the kind that is meant.
type Fits = fn(&WorkKind) -> bool;

impl Faults {
    /// What the pumps name stands in the site, and their curves fall.
    pub(super) fn circulation(&mut self, site: &Site) {
        self.table("circulation", &site.circulation);
        let is_vessel =
            |kind: &WorkKind| matches!(kind, WorkKind::Basin(_) | WorkKind::IntakeBay(_));
        let is_fed = |kind: &WorkKind| {
            matches!(kind, WorkKind::Basin(_) | WorkKind::FilterBed(_) | WorkKind::Stream(_))
        };
        for (i, pump) in site.circulation.pumps.iter().enumerate() {
            let path = format!("circulation.pumps[{i}]");
            let from = (pump.draws_from, is_vessel as Fits, "basin or intake bay");
            self.named(site, &format!("{path}.draws_from"), from);
            if let Some(main) = &pump.main {
                self.in_trench(site, &format!("{path}.main"), main);
            }
            for (k, line) in pump.lines.iter().enumerate() {
                let path = format!("{path}.lines[{k}]");
                let fed = (line.feeds, is_fed as Fits, "basin, filter bed or stream");
                self.named(site, &format!("{path}.feeds"), fed);
                self.in_trench(site, &format!("{path}.pipe"), &line.pipe);
            }
            if let PumpCurve::Points(points) = &pump.curve {
                self.curve(&format!("{path}.curve"), points);
            }
        }
    }

    /// A curve begins at no flow, and its heads fall as its flows rise.
    fn curve(&mut self, path: &str, points: &[CurvePoint]) {
        if let Some(first) = points.first().filter(|first| first.flow_l_s != 0.0) {
            let rule = format!("a pump's curve begins at no flow, not at {}", first.flow_l_s);
            self.add(format!("{path}[0].flow_l_s"), rule);
        }
        for (i, pair) in points.windows(2).enumerate() {
            let path = format!("{path}[{}]", i + 1);
            let [before, point] = [pair[0], pair[1]];
            if point.flow_l_s <= before.flow_l_s {
                let rule = format!("must be above {}, not {}", before.flow_l_s, point.flow_l_s);
                self.add(format!("{path}.flow_l_s"), rule);
            }
            if point.head_m >= before.head_m {
                let (above, read) = (before.head_m, point.head_m);
                let rule = format!("a pump's head falls: must be below {above}, not {read}");
                self.add(format!("{path}.head_m"), rule);
            }
        }
    }

    fn in_trench(&mut self, site: &Site, path: &str, pipe: &Pipe) {
        let is_trench = |kind: &WorkKind| matches!(kind, WorkKind::Trench(_));
        self.named(site, &format!("{path}.trench"), (pipe.trench, is_trench as Fits, "trench"));
    }

    /// A work that a part of the site names stands in it and is of a kind.
    fn named(&mut self, site: &Site, path: &str, (id, fits, what): (Option<WorkId>, Fits, &str)) {
        let Some(id) = id else { return };
        match site.work(id) {
            None => self.add(path, format!("there is no work {}", id.0)),
            Some(other) if !fits(&other.kind) => {
                self.add(path, format!("work {} is no {what}", id.0));
            }
            Some(_) => {}
        }
    }

    /// Parts of a crest stand side by side within its width.
    pub(super) fn crests(&mut self, path: &str, stream: &Stream) {
        for (i, fall) in stream.falls.iter().enumerate() {
            let whole_m: f64 = fall.parts.iter().map(|part| part.width_m).sum();
            if whole_m > fall.crest_width_m + 1.0e-6 {
                let most_m = fall.crest_width_m;
                let rule = format!("its parts are {whole_m} wide, its crest {most_m}");
                self.add(format!("{path}.kind.falls[{i}].parts"), rule);
            }
        }
    }
}

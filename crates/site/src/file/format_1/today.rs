//! From format 1 to the site of today.
//!
//! Every old field is taken by name, so that one that today's types no longer have is missed here.

use std::sync::Arc;

use super::*;
use crate::works;

fn all<Old, New: From<Old>>(old: Vec<Old>) -> Vec<New> {
    old.into_iter().map(Into::into).collect()
}

impl From<Site> for crate::Site {
    fn from(old: Site) -> Self {
        let Site {
            _format: _,
            title,
            frame,
            survey,
            soil,
            works,
            next_id,
            houses,
            limits,
            haul,
            viewpoints,
        } = old;
        Self {
            format: crate::Site::FORMAT,
            title,
            frame: frame.into(),
            survey: Arc::new(survey.into()),
            soils: soil.into(),
            works: all(works),
            next_id,
            circulation: crate::Circulation::default(),
            weather: crate::Weather::default(),
            houses: all(houses),
            keep_outs: Vec::new(),
            limits: limits.into(),
            digging: crate::Digging::default(),
            haul: haul.into(),
            carry: crate::Carry::default(),
            stockpiles: Vec::new(),
            viewpoints: all(viewpoints),
            pictures: Vec::new(),
        }
    }
}

impl From<Frame> for crate::Frame {
    fn from(old: Frame) -> Self {
        let Frame { unit, step_um, origin_m, horizontal_datum, vertical_datum } = old;
        Self { unit: unit.into(), step_um, origin_m, horizontal_datum, vertical_datum }
    }
}

impl From<Survey> for crate::Survey {
    fn from(old: Survey) -> Self {
        let Survey { file, line_codes, boundary, voids, set_aside, accuracy_m } = old;
        Self {
            points: Vec::new(),
            breaklines: Vec::new(),
            file,
            line_codes,
            boundary,
            voids,
            set_aside,
            accuracy_m,
            levels: None,
        }
    }
}

/// One soil all the way down, and no topsoil stripped.
impl From<Soil> for crate::Soils {
    fn from(old: Soil) -> Self {
        let Soil { bank_density_t_m3, swell, swell_range, shrink, shrink_range } = old;
        let layer = crate::Soil {
            bank_density_t_m3,
            swell,
            swell_range,
            shrink,
            shrink_range,
            ..crate::Soil::default()
        };
        Self { layers: vec![layer], ..Self::default() }
    }
}

impl From<House> for crate::House {
    fn from(old: House) -> Self {
        let House { name, outline_m, floor_m, height_m } = old;
        Self { name, outline_m, floor_m, sill_m: floor_m, height_m }
    }
}

impl From<Limits> for crate::Limits {
    fn from(old: Limits) -> Self {
        let Limits {
            flank_run_per_rise,
            wall_clearance_m,
            wall_fall_run_per_rise,
            stream_closure_m,
            natural_run_per_rise,
            mound_advice,
            mound_heap,
            mound_least_height_m,
            lip_backdrop_rise_m,
            lip_backdrop_reach_m,
            lip_backdrop_share,
            survey_spacing_m,
            survey_spike_deviations,
        } = old;
        Self {
            flank_run_per_rise,
            wall_clearance_m,
            wall_fall_run_per_rise,
            stream_closure_m,
            natural_run_per_rise,
            mound_advice,
            mound_heap,
            mound_least_height_m,
            lip_backdrop_rise_m,
            lip_backdrop_reach_m,
            lip_backdrop_share,
            survey_spacing_m,
            survey_spike_deviations,
            ..Self::default()
        }
    }
}

impl From<Haul> for crate::Haul {
    fn from(old: Haul) -> Self {
        let Haul { struck_m3, payload_t } = old;
        Self { struck_m3, payload_t, ..Self::default() }
    }
}

impl From<Viewpoint> for crate::Viewpoint {
    fn from(old: Viewpoint) -> Self {
        let Viewpoint { name, at_m, eye_m, toward_m } = old;
        Self { name, at_m, eye_m, toward_m }
    }
}

impl From<Work> for crate::Work {
    fn from(old: Work) -> Self {
        let Work { id, name, note, visible, kind } = old;
        Self { id: id.into(), name, note, group: String::new(), visible, kind: kind.into() }
    }
}

impl From<Curve> for crate::Curve {
    fn from(old: Curve) -> Self {
        let Curve { points, smooth } = old;
        Self { points, smooth }
    }
}

impl From<Basin> for works::Basin {
    fn from(old: Basin) -> Self {
        let Basin {
            outline,
            water_level_m,
            freeboard_m,
            liner_edge_m,
            overflow,
            rim_width_m,
            cut_bank,
            fill_bank,
            rings,
            floor,
        } = old;
        Self {
            outline: outline.into(),
            water_level_m,
            freeboard_m,
            liner_edge_m,
            overflow,
            overflow_width_m: None,
            overflow_m: None,
            rim_width_m,
            cut_bank,
            fill_bank,
            rings: all(rings),
            floor: floor.into(),
            joins: None,
            rim_build_up: works::BuildUp::default(),
            build_up: works::BuildUp::default(),
            bank_build_up: works::BuildUp::default(),
        }
    }
}

impl From<BasinRing> for works::BasinRing {
    fn from(old: BasinRing) -> Self {
        let BasinRing { shape, depth_m } = old;
        Self { shape: shape.into(), depth_m, build_up: works::BuildUp::default() }
    }
}

impl From<Stream> for works::Stream {
    fn from(old: Stream) -> Self {
        let Stream {
            line,
            from,
            into,
            stations,
            falls,
            water_depth_m,
            freeboard_m,
            cut_bank,
            fill_bank,
            rim_width_m,
        } = old;
        Self {
            line: line.into(),
            from: from.map(Into::into),
            into: into.map(Into::into),
            stations: all(stations),
            falls: all(falls),
            bed_stone_m: None,
            bed: None,
            sheet_m: None,
            water_depth_m,
            freeboard_m,
            cut_bank,
            fill_bank,
            rim_width_m,
            islands: Vec::new(),
            bed_build_up: works::BuildUp::default(),
            side_build_up: works::BuildUp::default(),
            bank_build_up: works::BuildUp::default(),
        }
    }
}

impl From<Station> for works::Station {
    fn from(old: Station) -> Self {
        let Station { along_m, invert_m, bed_width_m, side, edge_m } = old;
        Self { along_m, invert_m, bed_width_m, side, edge_m }
    }
}

impl From<Fall> for works::Fall {
    fn from(old: Fall) -> Self {
        let Fall { along_m, crest_m, crest_width_m, drop_m, pool_m } = old;
        let (parts, stone_m, face_run_m) = (Vec::new(), None, None);
        Self { along_m, crest_m, crest_width_m, drop_m, pool_m, parts, stone_m, face_run_m }
    }
}

impl From<Hill> for works::Hill {
    fn from(old: Hill) -> Self {
        let Hill { crest, crest_m, width_m, left, right } = old;
        Self {
            crest: crest.into(),
            crest_m,
            width_m,
            left: all(left),
            right: all(right),
            held_by: None,
            build_up: works::BuildUp::default(),
        }
    }
}

impl From<Flank> for works::Flank {
    fn from(old: Flank) -> Self {
        let Flank { run_per_rise, shoulder_m, toe_m } = old;
        Self { run_per_rise, shoulder_m, toe_m }
    }
}

impl From<Wall> for works::Wall {
    fn from(old: Wall) -> Self {
        let Wall {
            line,
            top_m,
            batter,
            thickness_m,
            embedment_m,
            retains,
            backfill,
            material,
            holds,
        } = old;
        Self {
            line: line.into(),
            top_m,
            top_run: works::TopRun::Sloping,
            batter,
            thickness_m,
            embedment_m,
            retains: retains.into(),
            backfill,
            material: material.into(),
            stone_m: None,
            holds: holds.map(Into::into),
            tiers: Vec::new(),
        }
    }
}

impl From<FilterBed> for works::FilterBed {
    fn from(old: FilterBed) -> Self {
        let FilterBed {
            outline,
            lip,
            depth_m,
            side,
            freeboard_m,
            rim_width_m,
            cut_bank,
            fill_bank,
            gravel_below_lip_m,
        } = old;
        Self {
            outline: outline.into(),
            lip: lip.into(),
            depth_m,
            side,
            freeboard_m,
            rim_width_m,
            cut_bank,
            fill_bank,
            gravel_below_lip_m,
            void_share: None,
            gravel_m: None,
            build_up: works::BuildUp::default(),
            bank_build_up: works::BuildUp::default(),
        }
    }
}

impl From<Lip> for works::Lip {
    fn from(old: Lip) -> Self {
        let Lip { at, width_m, elevation_m } = old;
        Self { at, width_m, elevation_m }
    }
}

impl From<WorkId> for crate::WorkId {
    fn from(WorkId(id): WorkId) -> Self {
        Self(id)
    }
}

impl From<LengthUnit> for units::LengthUnit {
    fn from(old: LengthUnit) -> Self {
        match old {
            LengthUnit::Metre => Self::Metre,
            LengthUnit::Foot => Self::Foot,
            LengthUnit::FootInch => Self::FootInch,
            LengthUnit::UsSurveyFoot => Self::UsSurveyFoot,
        }
    }
}

impl From<WorkKind> for crate::WorkKind {
    fn from(old: WorkKind) -> Self {
        match old {
            WorkKind::Basin(old) => Self::Basin(old.into()),
            WorkKind::Stream(old) => Self::Stream(old.into()),
            WorkKind::Hill(old) => Self::Hill(old.into()),
            WorkKind::Wall(old) => Self::Wall(old.into()),
            WorkKind::FilterBed(old) => Self::FilterBed(old.into()),
        }
    }
}

impl From<RingShape> for works::RingShape {
    fn from(old: RingShape) -> Self {
        match old {
            RingShape::Drawn(old) => Self::Drawn(old.into()),
            RingShape::Inset { run_m } => Self::Inset { run_m },
        }
    }
}

impl From<Floor> for works::Floor {
    fn from(old: Floor) -> Self {
        match old {
            Floor::Level => Self::Level,
            Floor::Sump { at, radius_m, depth_m } => Self::Sump { at, radius_m, depth_m },
        }
    }
}

impl From<Side> for works::Side {
    fn from(old: Side) -> Self {
        match old {
            Side::Left => Self::Left,
            Side::Right => Self::Right,
        }
    }
}

impl From<WallMaterial> for works::WallMaterial {
    fn from(old: WallMaterial) -> Self {
        match old {
            WallMaterial::Stone => Self::Stone,
            WallMaterial::Block => Self::Block,
            WallMaterial::Boulder => Self::Boulder,
        }
    }
}

//! From format 3 to the site of today.
//!
//! Every old field is taken by name, so that one that today's types no longer have is missed here.

use std::sync::Arc;

use super::*;
use crate::works;

impl From<Site> for crate::Site {
    fn from(old: Site) -> Self {
        Self {
            format: Self::FORMAT,
            title: old.title,
            frame: old.frame,
            survey: Arc::new(old.survey),
            soils: old.soils.into(),
            works: old.works.into_iter().map(Into::into).collect(),
            next_id: old.next_id,
            circulation: crate::Circulation::default(),
            weather: crate::Weather::default(),
            houses: old.houses,
            keep_outs: old.keep_outs,
            limits: old.limits.into(),
            digging: old.digging,
            haul: old.haul,
            carry: old.carry.into(),
            stockpiles: old.stockpiles,
            viewpoints: old.viewpoints,
            pictures: Vec::new(),
        }
    }
}

impl From<Soils> for crate::Soils {
    fn from(old: Soils) -> Self {
        let Soils { topsoil, layers, groundwater_m } = old;
        Self {
            topsoil,
            layers,
            groundwater_m,
            groundwater_low_m: None,
            erodibility: None,
            settling_grain_m: None,
        }
    }
}

impl From<Carry> for crate::Carry {
    fn from(old: Carry) -> Self {
        let Carry {
            access_m,
            access_width_m,
            carrier_width_m,
            body_m3,
            speed_m_s,
            load_and_tip_min,
        } = old;
        Self {
            access_m,
            access_width_m,
            carrier_width_m,
            body_m3,
            speed_m_s,
            load_and_tip_min,
            machine: None,
        }
    }
}

impl From<Work> for crate::Work {
    fn from(old: Work) -> Self {
        let Work { id, name, note, visible, kind } = old;
        Self { id, name, note, group: String::new(), visible, kind: kind.into() }
    }
}

impl From<WorkKind> for crate::WorkKind {
    fn from(old: WorkKind) -> Self {
        match old {
            WorkKind::Basin(old) => Self::Basin(old.into()),
            WorkKind::Stream(old) => Self::Stream(old.into()),
            WorkKind::Hill(old) => Self::Hill(old),
            WorkKind::Wall(old) => Self::Wall(old.into()),
            WorkKind::FilterBed(old) => Self::FilterBed(old.into()),
            WorkKind::IntakeBay(old) => Self::IntakeBay(old),
            WorkKind::Pad(old) => Self::Pad(old),
            WorkKind::Path(old) => Self::Path(old),
            WorkKind::PlaneGrade(old) => Self::PlaneGrade(old),
            WorkKind::Trench(old) => Self::Trench(old),
            WorkKind::Strip(old) => Self::Strip(old),
        }
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
            joins,
            rim_build_up,
            build_up,
            bank_build_up,
        } = old;
        Self {
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
            joins,
            rim_build_up,
            build_up,
            bank_build_up,
            overflow_width_m: None,
            overflow_m: None,
        }
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
            islands,
            bed_build_up,
            side_build_up,
            bank_build_up,
        } = old;
        Self {
            line,
            from,
            into,
            stations,
            falls: falls.into_iter().map(Into::into).collect(),
            water_depth_m,
            freeboard_m,
            cut_bank,
            fill_bank,
            rim_width_m,
            islands,
            bed_build_up,
            side_build_up,
            bank_build_up,
            bed_stone_m: None,
            bed: None,
            sheet_m: None,
        }
    }
}

impl From<Fall> for works::Fall {
    fn from(old: Fall) -> Self {
        let Fall { along_m, crest_m, crest_width_m, drop_m, pool_m } = old;
        let (parts, stone_m, face_run_m) = (Vec::new(), None, None);
        Self { along_m, crest_m, crest_width_m, drop_m, pool_m, parts, stone_m, face_run_m }
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
            build_up,
            bank_build_up,
        } = old;
        Self {
            outline,
            lip,
            depth_m,
            side,
            freeboard_m,
            rim_width_m,
            cut_bank,
            fill_bank,
            gravel_below_lip_m,
            build_up,
            bank_build_up,
            void_share: None,
            gravel_m: None,
        }
    }
}

impl From<Wall> for works::Wall {
    fn from(old: Wall) -> Self {
        let Wall {
            line,
            top_m,
            top_run,
            batter,
            thickness_m,
            embedment_m,
            retains,
            backfill,
            material,
            holds,
            tiers,
        } = old;
        Self {
            line,
            top_m,
            top_run,
            batter,
            thickness_m,
            embedment_m,
            retains,
            backfill,
            material,
            holds,
            tiers,
            stone_m: None,
        }
    }
}

impl From<Limits> for crate::Limits {
    fn from(old: Limits) -> Self {
        let Limits {
            flank_run_per_rise,
            mown_run_per_rise,
            wall_clearance_m,
            wall_fall_run_per_rise,
            wall_design_m,
            wall_design_loaded_m,
            wall_safety,
            wall_friction_deg,
            fill_settlement_m,
            stream_closure_m,
            shelf_least_width_m,
            shelf_greatest_depth_m,
            covered_bank_run_per_rise,
            bare_liner_run_per_rise,
            barrier_depth_m,
            open_depth_m,
            spoil_setback_m,
            uplift_factor,
            pond_runoff_share,
            bare_soil_m2,
            house_fall_reach_m,
            house_fall_m,
            house_fall_paved,
            root_zone_least,
            root_zone_most,
            path_run_per_rise,
            path_cross_fall,
            riser_least_m,
            riser_most_m,
            tread_least_m,
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
            mown_run_per_rise,
            wall_clearance_m,
            wall_fall_run_per_rise,
            wall_design_m,
            wall_design_loaded_m,
            wall_safety,
            wall_friction_deg,
            fill_settlement_m,
            stream_closure_m,
            shelf_least_width_m,
            shelf_greatest_depth_m,
            covered_bank_run_per_rise,
            bare_liner_run_per_rise,
            barrier_depth_m,
            open_depth_m,
            spoil_setback_m,
            uplift_factor,
            pond_runoff_share,
            bare_soil_m2,
            house_fall_reach_m,
            house_fall_m,
            house_fall_paved,
            root_zone_least,
            root_zone_most,
            path_run_per_rise,
            path_cross_fall,
            riser_least_m,
            riser_most_m,
            tread_least_m,
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

//! The operations and materials that the engine asks for by name.

use std::collections::BTreeMap;

use super::parts::{MaterialIndex, OperationIndex};
use crate::rate_sheet::{Missing, Section};

macro_rules! named {
    ($(#[$doc:meta])* $name:ident, $index:ident { $($field:ident = $word:literal),+ $(,)? }) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy)]
        pub struct $name { $(pub $field: $index),+ }

        impl $name {
            pub(super) fn find(names: &mut Names<'_, $index>) -> Self {
                Self { $($field: names.find($word)),+ }
            }
        }
    };
}

named! {
    /// Operations that the engine asks for by name.
    NamedOperations, OperationIndex {
        scan_before_cutting = "scan-before-cutting",
        lift_tongued = "lift-relay-boards-tongued|lift-relay-boards-square",
        drill_joist = "drill-joist",
        drill_stud = "drill-stud-or-noggin",
        pass_over_beam = "pass-over-beam|drill-stud-or-noggin",
        joist_plate = "joist-plate|drill-joist",
        box_existing_reuse = "box-existing-reuse",
        box_ceiling_pattress = "box-ceiling-pattress",
        loft_insulation_move = "loft-insulation-move",
        tails_run = "tails-25-run",
        mini_trunking = "trunking-mini",
        large_trunking = "trunking-large|trunking-mini",
        patch_panel_fit = "patch-panel-fit|fit-data-outlet-terminate",
        tv_splitter_fit = "tv-splitter-fit|fit-tv-outlet",
        armoured_clipped = "armoured-6-to-10-clipped",
        trench_soft = "trench-soft-soil",
        trench_slabs = "trench-paving-slabs",
        trench_gravel = "trench-gravel",
        trench_hard = "trench-hard-standing",
        trench_backfill = "trench-backfill-tape",
        earth_rod_drive = "earth-rod-drive",
        earth_rod_test = "earth-rod-resistance-test",
        client_fitting = "fit-client-supplied-fitting",
        connect_appliance = "connect-oven-or-hob",
        board_strip = "cu-isolate-and-strip",
        board_fit = "cu-fit-enclosure",
        board_way = "cu-terminate-way",
        sub_board_fit = "sub-board-fit",
        switched_fuse_fit = "switch-fuse-fit",
        tails_connect = "tails-connect",
        temporary_supply = "temporary-supply",
        keep_live = "keep-live-each-evening",
        bonding_terminate = "bonding-terminate",
        earth_terminal = "main-earth-terminal",
        dead_test_lighting = "dead-test-lighting",
        dead_test_ring = "dead-test-ring",
        dead_test_radial = "dead-test-radial",
        live_test = "live-test-circuit",
        supply_tests = "supply-tests",
        certificate = "certificate-write",
        certificate_extra = "certificate-per-extra-circuit",
        certificate_short = "certificate-one-circuit|certificate-write",
        minor_works = "minor-works-certificate|notify-building-control",
        check_what_stays = "check-what-stays|supply-tests",
        test_extended = "test-extended-circuit|dead-test-radial",
        test_at_new_board = "test-circuit-at-new-board|dead-test-lighting",
        isolate_circuit = "isolate-circuit-safely|find-and-extend-existing",
        notify = "notify-building-control",
        operator_form = "network-operator-form",
        handover = "handover-client",
        strip_point = "strip-out-point",
        strip_surface = "strip-out-surface-wiring|strip-out-point",
        strip_heater = "strip-out-storage-heater|cu-isolate-and-strip",
        chase_screed = "chase-floor-screed|chase-single-concrete",
        conduit_in_chase = "conduit-20-oval|te-2-5-in-chase",
        fill_chase = "make-good-chase",
        fill_box = "make-good-box",
        fire_stop = "fire-stop-penetration",
        move_light = "move-furniture-light",
        move_heavy = "move-furniture-heavy",
        protect_floors = "protect-floors",
        set_up_day = "set-up-clear-away-day",
        travel_10_km = "travel-each-way-10-km",
        park_and_carry = "park-and-carry",
        materials_collect = "materials-collect",
        waste_to_tip = "waste-to-tip",
        tower = "ladder-or-tower-set-up",
        mark_out = "site-meeting-or-mark-out",
        existing_circuit_survey = "existing-circuit-survey",
        find_and_extend = "find-and-extend-existing",
        fault_find = "fault-find-allowance",
        oval_conduit = "conduit-20-oval",
    }
}

named! {
    /// Materials that the engine asks for by name.
    NamedMaterials, MaterialIndex {
        earth_16 = "conductor-earth-16",
        tails_25 = "tails-25",
        capping = "capping",
        conduit = "conduit-20|capping",
        clip = "clip",
        clip_metal = "clip-metal",
        fixing = "fixing",
        grommet = "grommet",
        mini_trunking = "mini-trunking",
        large_trunking = "trunking-50|mini-trunking",
        patch_panel = "patch-panel-12|plate-data",
        data_plate = "plate-data-modules|plate-data",
        tv_splitter = "tv-splitter|plate-tv",
        gland_armoured = "gland-armoured",
        board_6 = "board-6-way",
        board_10 = "board-10-way",
        board_14 = "board-14-way",
        board_18 = "board-18-way",
        board_22 = "board-22-way",
        board_28 = "board-28-way",
        board_36 = "board-36-way",
        sub_board = "sub-board-6-way",
        surge_device = "surge-device",
        rcbo = "device-rcbo",
        rcbo_50 = "device-rcbo-50",
        breaker = "device-breaker",
        rcd = "device-rcd",
        blank = "blank-module",
        board_sundries = "board-sundries",
        switched_fuse = "switched-fuse-100",
        earth_clamp = "earth-clamp",
        earth_terminal = "earth-terminal",
        earth_rod = "earth-rod",
        fire_seal = "fire-seal",
        hole_sleeve = "hole-sleeve",
        tape_sand = "warning-tape-sand",
        filler = "filler",
        protection = "floor-protection",
        surface_1g = "box-1g-surface",
        surface_2g = "box-2g-surface",
    }
}

/// Looks names up and remembers the ones that are not there.
pub(super) struct Names<'a, Index> {
    pub section: Section,
    pub known: &'a BTreeMap<&'a str, Index>,
    pub missing: &'a mut Vec<Missing>,
    /// Stands in for one that is missing, until everything that is missing is known.
    pub any: Index,
}

impl<Index: Copy> Names<'_, Index> {
    /// What goes by a name. Of several, parted by `|`, the first that the sheet has: a version that was kept before a
    /// name was asked for is still complete.
    pub fn find(&mut self, names: &str) -> Index {
        self.find_if_asked(names).unwrap_or(self.any)
    }

    /// The same, where a name with `?` behind it may be lacking: absent where the sheet has none and may lack them all.
    pub fn find_if_asked(&mut self, names: &str) -> Option<Index> {
        let known = names.split('|').find_map(|name| self.known.get(name.trim_end_matches('?')).copied());
        known.or_else(|| {
            let asked = names.split('|').find(|name| !name.is_empty() && !name.ends_with('?'))?;
            self.missing.push(Missing { section: self.section, key: asked.to_owned() });
            Some(self.any)
        })
    }
}

/* fields.ts - the fields of the form, in the groups and the order of a CT report, with short words.
 *
 * Units, ranges, defaults and choices are the engine's (its questions); here is only what stands where.
 * SPDX-License-Identifier: GPL-3.0-or-later */
import type { Kind } from "./value";

export interface Field {
    pointer: string;
    label: string;
    kind: Kind;
    needed?: boolean;
    unit?: string; /* where no key of the engine has it */
    seldom?: boolean; /* stands folded away with others */
    gap?: boolean; /* a gap: its wall may be bright, and it may be looked at by angiography or echo */
    direct?: boolean; /* a length that may be looked at directly */
    choices?: string[]; /* where the key alone does not tell them */
    judged?: boolean; /* may say that it was measured */
}

export interface Section {
    id: string;
    title: string;
    fields: Field[];
}

const valve = (key: string, label: string, kind: Kind, more: Partial<Field> = {}): Field =>
    ({ pointer: `/surgical_valve/${key}`, label, kind, ...more });
const implant = (key: string, label: string, kind: Kind, more: Partial<Field> = {}): Field =>
    ({ pointer: `/implant/${key}`, label, kind, ...more });
const scan = (key: string, label: string, kind: Kind, more: Partial<Field> = {}): Field =>
    ({ pointer: `/scan/${key}`, label, kind, ...more });
const limit = (key: string, label: string, kind: Kind, more: Partial<Field> = {}): Field =>
    ({ pointer: `/limits/${key}`, label, kind, ...more });
const seldom = { seldom: true, judged: true };

export const OLD_VALVE: Section = { id: "old-valve", title: "The old valve", fields: [
    valve("leaflet_mount", "Leaflets mounted", "word", { needed: true }),
    valve("inner_diameter_mm", "Inner diameter of the ring", "reading", { needed: true, direct: true, judged: true }),
    valve("ring_height_mm", "Top of the ring above the base", "number", { judged: true }),
    valve("leaflet_thickness_mm", "Thickness of the leaflets", "reading", { direct: true, judged: true }),
    valve("post_azimuth_deg", "Direction of a post", "spread", { judged: true }),
    valve("mount_offset_mm", "Stand-off of outside leaflets", "spread", seldom),
    valve("mid_fraction", "Stand-off left half way", "spread", seldom),
    valve("leaflet_overhang_mm", "Free leaflet above the frame", "spread", seldom),
    valve("ring_give_mm", "How much the ring gives way", "spread", seldom),
    valve("eccentricity", "How oval the ring is", "spread", seldom),
    valve("post_block_deg", "Post that blocks laceration", "number", seldom),
] };

export const NEW_VALVE: Section = { id: "new-valve", title: "The new valve", fields: [
    implant("expansion", "Expands", "word", { needed: true }),
    implant("nominal_diameter_mm", "Nominal diameter", "number", { needed: true }),
    implant("implant_depth_mm", "Depth below the base", "spread", { needed: true }),
    implant("frame_height_mm", "Height of the frame", "number"),
    implant("skirt_height_mm", "Height of the skirt", "number"),
    implant("flare", "Flare at the top", "spread", seldom),
    implant("overexpansion", "Over-expansion", "spread", seldom),
    implant("canting_sd_deg", "Canting, SD", "number", seldom),
    implant("offset_sd_mm", "Off the centre, SD", "number", seldom),
] };

/* The fields of one sinus; `*` is its name. Without an ostium two are left out. */
const SINUS: Field[] = [
    { pointer: "ostium_height", label: "Ostium height", kind: "reading", needed: true },
    { pointer: "ostium_gap", label: "Ostium gap to the circle", kind: "reading", needed: true, gap: true },
    { pointer: "stj_height", label: "Junction height", kind: "reading", needed: true },
    { pointer: "stj_gap", label: "Junction gap to the circle", kind: "reading", needed: true, gap: true },
    { pointer: "leaflet_height", label: "Leaflet top above the base", kind: "reading", direct: true },
    { pointer: "leaflet_length_mm", label: "… or length of the leaflet", kind: "number" },
    { pointer: "circle_mm", label: "Circle drawn", kind: "number", needed: true },
    { pointer: "azimuth_deg", label: "Direction, from above", kind: "number" },
    { pointer: "sinus_width_mm", label: "Width of the sinus", kind: "number" },
];

export function sinusFields(side: string, ostium: boolean): Field[] {
    const at = side.replace(/~/g, "~0").replace(/\//g, "~1");
    return SINUS.filter((f) => ostium || !f.pointer.startsWith("ostium_"))
        .map((f) => ({ ...f, pointer: `/coronaries/${at}/${f.pointer}` }));
}

export const SCAN: Section = { id: "scan", title: "The scan and its readers", fields: [
    scan("detector", "Detector", "word"),
    scan("kernel", "Kernel", "word"),
    scan("base_plane/placements", "Base plane placed, times", "number"),
    scan("base_plane/radius_mm", "Radius of the base points", "number", { judged: true }),
    scan("base_plane/point_sd_mm", "Height of a base point, SD", "number", { judged: true }),
    scan("base_plane/cuff_wave_mm", "Wave of the cuff", "number", { judged: true }),
    scan("centreline_sd_mm", "Centreline, SD per axis", "number", { judged: true }),
    scan("blooming_mm", "Blooming of a bright edge", "spread", { judged: true }),
    scan("base_plane/tilt_sd_deg", "or: tilt of the plane, SD", "number", seldom),
    scan("base_plane/level_sd_mm", "and its level, SD", "number", seldom),
] };

export const LIMITS: Section = { id: "limits", title: "Limits and your line", fields: [
    { pointer: "/action_line", label: "Your line: act at", kind: "number" },
    limit("published_set", "Published limits", "word"),
    limit("ostium_clearance_mm", "Limit beside the ostium", "spread", { judged: true }),
    limit("stj_clearance_mm", "Limit beside the junction", "spread", { judged: true }),
    limit("reach_margin_mm", "Seals from below the junction", "number", { judged: true }),
    limit("basis", "Limits refer to", "word", { seldom: true }),
    limit("reference_thickness_mm", "Thickness they contain", "number", seldom),
    limit("reference_blooming_mm", "Blooming they contain", "number", seldom),
    { pointer: "/population/ostium_gap_mm", label: "Gaps among patients", kind: "spread", seldom: true },
] };

export const SECTIONS = [OLD_VALVE, NEW_VALVE, SCAN, LIMITS];

/* What an inner part of a reading is called where it is edited. */
export const READING_PARTS: Field[] = [
    { pointer: "between_reader_sd_mm", label: "SD between readers", kind: "number" },
    { pointer: "repeat_sd_mm", label: "SD of a repeat", kind: "number" },
    { pointer: "dof", label: "Degrees of freedom of these", kind: "number" },
    { pointer: "resolution_mm", label: "Resolution, full width", kind: "number" },
    { pointer: "sd_from_readings", label: "SD from these readings", kind: "truth" },
    { pointer: "sd_includes_plane", label: "SD contains the plane", kind: "truth" },
];

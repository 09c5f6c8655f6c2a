/* keys.c - every key of a case and of a profile, one line each.
 *
 * Contents: 1. words that a key may hold  2. the keys of each object  3. quantities that may be read  4. finding a key
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "casefile/keys.h"

#include <ctype.h>
#include <math.h>
#include <stddef.h>
#include <string.h>

#include "casefile/defaults.h"
#include "measurement/case.h"

/* 1. Words that a key may hold */

static const sm_key_word detectors[] = {
    {"energy_integrating", SM_ENERGY_INTEGRATING, SM_FACT_ENERGY_INTEGRATING},
    {"photon_counting", SM_PHOTON_COUNTING, SM_FACT_PHOTON_COUNTING},
    {"photon_counting_high_resolution", SM_PHOTON_COUNTING_HIGH, SM_FACT_PHOTON_COUNTING_HIGH},
    {NULL, 0, 0}};
static const sm_key_word kernels[] = {
    {"soft", SM_KERNEL_SOFT, SM_FACT_SOFT}, {"sharp", SM_KERNEL_SHARP, SM_FACT_SHARP}, {NULL, 0, 0}};
static const sm_key_word mounts[] = {{"internal", SM_MOUNT_INTERNAL, SM_FACT_INTERNAL},
                                     {"external", SM_MOUNT_EXTERNAL, SM_FACT_EXTERNAL},
                                     {"stentless", SM_STENTLESS, SM_FACT_STENTLESS},
                                     {NULL, 0, 0}};
static const sm_key_word expansions[] = {
    {"balloon", SM_BALLOON, SM_FACT_BALLOON}, {"self", SM_SELF_EXPANDING, SM_FACT_SELF}, {NULL, 0, 0}};
static const sm_key_word published_sets[] = {{"planning", SM_LIMITS_PLANNING, SM_FACT_PLANNING},
                                             {"after_implant", SM_LIMITS_AFTER_IMPLANT, SM_FACT_AFTER_IMPLANT},
                                             {NULL, 0, 0}};
static const sm_key_word bases[] = {
    {"tube", SM_BASIS_TUBE, 0}, {"drawn_circle", SM_BASIS_DRAWN_CIRCLE, 0}, {NULL, 0, 0}};
static const sm_key_word modalities[] = {
    {"fluoroscopy", SM_FLUOROSCOPY, SM_FACT_FLUOROSCOPY}, {"echo", SM_ECHO, SM_FACT_ECHO}, {NULL, 0, 0}};
/* No facts: nothing of a direct look has a default that depends on them. */
static const sm_key_word direct_modalities[] = {
    {"bench", SM_BENCH, 0}, {"echo", SM_ECHO, 0}, {"ct", SM_CT, 0}, {NULL, 0, 0}};

/* 2. The keys of each object */

#define REQ    SM_KEY_REQUIRED
#define ASKED  (SM_KEY_REQUIRED | SM_KEY_STOPGAP)
#define POS    SM_KEY_NOT_BELOW_0
#define SPREAD SM_KEY_SPREAD
#define TILT   SM_KEY_TILT_FORM
#define POINTS SM_KEY_POINTS_FORM
/* Keys that their own code reads, and keys that are stored in a field of a struct. */
#define OWN(name, kind, flags)                                                                                         \
    {                                                                                                                  \
        name, SM_KEY_##kind, flags, 0, 0, 0, NULL, "", "", SM_SOURCE_NONE                                              \
    }
#define IN(type, field, name, kind, flags, low, high, unit, words, draws)                                              \
    {                                                                                                                  \
        name, SM_KEY_##kind, flags, low, high, offsetof(type, field), NULL, unit, words, SM_SOURCE_##draws             \
    }
#define WORD(type, field, name, flags, choices, words)                                                                 \
    {                                                                                                                  \
        name, SM_KEY_CHOICE, flags, 0, 0, offsetof(type, field), choices, "", words, SM_SOURCE_NONE                    \
    }
#define KEYS(group, what, table)                                                                                       \
    {                                                                                                                  \
        group, what, table, sizeof table / sizeof *table                                                               \
    }

/* clang-format off */
static const sm_key case_keys[] = {
    OWN("format", TEXT, REQ), OWN("case", TEXT, REQ), OWN("note", TEXT, 0), OWN("profile", TEXT, 0),
    OWN("scan", OBJECT, 0), OWN("surgical_valve", OBJECT, REQ), OWN("implant", OBJECT, REQ),
    OWN("coronaries", OBJECT, REQ), OWN("limits", OBJECT, 0), OWN("population", OBJECT, 0), OWN("action_line", NUMBER, 0), OWN("alternatives", LIST, 0),
    OWN("confirmed", LIST, 0), OWN("looks", LIST, 0), OWN("patient_axes", OBJECT, 0), OWN("gantry", OBJECT, 0),
};
static const sm_key action_keys[] = {
    IN(sm_case, action_line, "action_line", NUMBER, SM_KEY_ABOVE_LOW | SM_KEY_BELOW_HIGH, 0, 1, "probability",
       "action line: act when the event is at least this probable", NONE),
};
#define SCAN(field, ...) IN(sm_scan, field, #field, __VA_ARGS__)
static const sm_key scan_keys[] = {
    WORD(sm_scan, detector, "detector", 0, detectors, "detector of the CT machine"),
    WORD(sm_scan, kernel, "kernel", 0, kernels, "reconstruction kernel"),
    SCAN(blooming_mm, DIST, POS, 0, 3, "mm per edge", "blooming: how far each bright edge appears displaced", BLOOMING),
    OWN("base_plane", OBJECT, 0),
    SCAN(centreline_sd_mm, NUMBER, SPREAD, 0, 5, "mm", "centreline error, SD per axis", CENTRELINE),
};
#define PLANE(field, ...) IN(sm_base_plane, field, #field, __VA_ARGS__)
static const sm_key base_plane_keys[] = {
    PLANE(radius_mm, NUMBER, POINTS, 5, 25, "mm", "base plane: radius of the three base points", BASE_PLANE),
    PLANE(azimuths_deg, AZIMUTHS, POINTS, -360, 360, "degrees", "base plane: directions of the base points", BASE_PLANE),
    PLANE(point_sd_mm, NUMBER, SPREAD | POINTS, 0, 5, "mm", "base plane: height error of each base point, SD", BASE_PLANE),
    PLANE(cuff_wave_mm, NUMBER, SPREAD | POINTS, 0, 5, "mm", "base plane: height of the sewing cuff's wave", BASE_PLANE),
    PLANE(placements, COUNT, POINTS, 1, 20, "", "base plane: times it was placed anew and averaged", BASE_PLANE),
    PLANE(tilt_sd_deg, NUMBER, SPREAD | TILT, 0, 20, "degrees", "base plane: tilt, SD per axis", BASE_PLANE),
    PLANE(level_sd_mm, NUMBER, SPREAD | TILT, 0, 5, "mm", "base plane: level, SD", BASE_PLANE),
};
#define VALVE(field, ...) IN(sm_surgical_valve, field, #field, __VA_ARGS__)
static const sm_key valve_keys[] = {
    WORD(sm_surgical_valve, leaflet_mount, "leaflet_mount", REQ, mounts, "where the old leaflets are mounted"),
    IN(sm_surgical_valve, inner_diameter, "inner_diameter_mm", QUANTITY, REQ, 12, 35, "mm", "inner diameter of the ring", INNER_DIAMETER),
    VALVE(ring_height_mm, NUMBER, 0, 0, 15, "mm", "height of the ring above the base plane", NONE),
    VALVE(ring_give_mm, DIST, POS, 0, 5, "mm", "how much the ring gives way", RING_GIVE),
    VALVE(eccentricity, DIST, POS, 0, 0.4, "fraction", "eccentricity of the ring", ECCENTRICITY),
    IN(sm_surgical_valve, leaflet_thickness, "leaflet_thickness_mm", QUANTITY, POS, 0, 5, "mm", "thickness of the old leaflets", LEAFLET_THICKNESS),
    VALVE(mount_offset_mm, DIST, POS | SM_KEY_NEEDS_OUTSIDE, 0, 5, "mm", "stand-off of leaflets mounted outside, at a post", MOUNT_OFFSET),
    VALVE(mid_fraction, DIST, SM_KEY_NEEDS_OUTSIDE, 0, 1, "fraction", "share of the stand-off left half way between posts", MID),
    VALVE(leaflet_overhang_mm, DIST, POS, 0, 15, "mm", "free leaflet that stands above the frame", LEAFLET_OVERHANG),
    VALVE(post_azimuth_deg, POST_AZIMUTH, SM_KEY_NEEDS_POSTS, -360, 360, "degrees", "direction of a post", POST_AZIMUTH),
    VALVE(post_block_deg, NUMBER, SM_KEY_NEEDS_POSTS, 0, 60, "degrees", "angle within which a post makes laceration useless", NONE),
};
#define IMPLANT(field, ...) IN(sm_implant, field, #field, __VA_ARGS__)
static const sm_key implant_keys[] = {
    WORD(sm_implant, expansion, "expansion", REQ, expansions, "how the new valve expands"),
    IMPLANT(nominal_diameter_mm, NUMBER, REQ, 15, 40, "mm", "nominal diameter of the new valve", NONE),
    IMPLANT(frame_height_mm, NUMBER, ASKED, 8, 70, "mm", "height of the new valve's frame", NONE),
    IMPLANT(skirt_height_mm, NUMBER, ASKED, 0, 70, "mm", "height of the skirt on the frame", NONE),
    IMPLANT(implant_depth_mm, DIST, REQ, -5, 20, "mm", "depth of the frame's bottom below the base plane", IMPLANT_DEPTH),
    IMPLANT(overexpansion, DIST, 0, -0.2, 0.3, "fraction", "over-expansion of the new valve", OVEREXPANSION),
    IMPLANT(flare, DIST, 0, 0, 1, "fraction", "flare: withheld expansion recovered at the frame's top", FLARE),
    IMPLANT(canting_sd_deg, NUMBER, SPREAD, 0, 20, "degrees", "canting of the new valve, SD per axis", CANTING),
    IMPLANT(offset_sd_mm, NUMBER, SPREAD, 0, 5, "mm", "offset of the new valve from the centre, SD per axis", OFFSET),
    IMPLANT(shape, SHAPE, 0, 0.3, 2, "fraction of height, relative diameter", "shape of the new valve's frame", NONE),
};
#define LIMIT(field, ...) IN(sm_limits, field, #field, __VA_ARGS__)
static const sm_key limits_keys[] = {
    WORD(sm_limits, published_set, "published_set", 0, published_sets, "which published limits hold unless stated"),
    LIMIT(ostium_clearance_mm, DIST, 0, 0, 10, "mm", "limit: clearance between tube and ostium", LIMITS),
    LIMIT(stj_clearance_mm, DIST, 0, 0, 10, "mm", "limit: clearance between tube and sinotubular junction", LIMITS),
    LIMIT(reach_margin_mm, NUMBER, 0, 0, 5, "mm", "limit: how far below the sinotubular junction a tube still seals", NONE),
    LIMIT(reference_thickness_mm, NUMBER, 0, 0, 3, "mm", "leaflet thickness that the limits already contain", NONE),
    LIMIT(reference_blooming_mm, NUMBER, 0, 0, 2, "mm per edge", "blooming that the limits already contain", NONE),
    WORD(sm_limits, basis, "basis", 0, bases, "what the limits refer to"),
};
static const sm_key population_keys[] = {
    IN(sm_population, ostium_gap_mm, "ostium_gap_mm", DIST, 0, -5, 30, "mm", "population: how common true ostium gaps are", NONE),
};
static const sm_key coronary_keys[] = {
    IN(sm_coronary, azimuth_deg, "azimuth_deg", NUMBER, ASKED, -360, 360, "degrees", "direction of the ostium", NONE),
    IN(sm_coronary, circle_mm, "circle_mm", NUMBER, REQ, 10, 45, "mm", "diameter of the circle that the reader drew", NONE),
    IN(sm_coronary, has_ostium, "ostium", TRUTH, 0, 0, 0, "", "whether a coronary leaves this sinus", NONE),
    IN(sm_coronary, quantity[SM_OSTIUM_HEIGHT], "ostium_height", QUANTITY, REQ | SM_KEY_OF_OSTIUM, 1, 60, "mm", "ostium height", NONE),
    IN(sm_coronary, quantity[SM_OSTIUM_GAP], "ostium_gap", QUANTITY, REQ | SM_KEY_OF_OSTIUM, -5, 30, "mm", "ostium gap", NONE),
    IN(sm_coronary, quantity[SM_STJ_HEIGHT], "stj_height", QUANTITY, REQ, 1, 60, "mm", "STJ height", NONE),
    IN(sm_coronary, quantity[SM_STJ_GAP], "stj_gap", QUANTITY, REQ, -5, 30, "mm", "STJ gap", NONE),
    IN(sm_coronary, quantity[SM_LEAFLET_HEIGHT], "leaflet_height", QUANTITY, ASKED, 1, 60, "mm", "leaflet height", NONE),
    IN(sm_coronary, leaflet_length_mm, "leaflet_length_mm", NUMBER, 0, 3, 40, "mm", "length of the leaflet, from the ring to its top, in place of leaflet_height", NONE),
    IN(sm_coronary, sinus_width_mm, "sinus_width_mm", NUMBER, 0, 15, 60, "mm", "width of the sinus at the ostium, from wall to wall", NONE),
};
#define READING(field, ...) IN(sm_quantity, field, #field, __VA_ARGS__)
/* What a profile may say as well as a case. */
#define READING_KEYS_OF_BOTH \
    READING(between_reader_sd_mm, NUMBER, SPREAD, 0, 10, "mm", "SD between readers", NONE), \
    READING(repeat_sd_mm, NUMBER, SPREAD, 0, 10, "mm", "SD of a repeat by the same reader", NONE), \
    READING(dof, NUMBER, 0, 3, INFINITY, "", "degrees of freedom of the SDs", NONE), \
    READING(sd_includes_plane, TRUTH, 0, 0, 0, "", "the SD already contains the plane's error", NONE), \
    READING(bloom_edges, NUMBER, 0, -2, 2, "edges", "bloomed edges that move the reading", BLOOMING), \
    READING(resolution_mm, NUMBER, SPREAD, 0, 3, "mm", "full width of the resolution term", NONE), \
    OWN("cross_check", OBJECT, 0)
static const sm_key reading_keys[] = {
    OWN("readings_mm", OBJECT, REQ), READING_KEYS_OF_BOTH,
    READING(sd_from_readings, TRUTH, 0, 0, 0, "", "SD taken from the readings of this case", NONE),
};
static const sm_key profile_reader_keys[] = {READING_KEYS_OF_BOTH, OWN("source", TEXT, 0)};
#define CHECK(field, ...) IN(sm_cross_check, field, #field, __VA_ARGS__)
#define SPOILED CHECK(spoiled, NUMBER, 0, 0.01, 0.2, "probability", "cross-check: probability that one of the two readings is about something else", NONE)
#define CHECK_KEYS_OF_BOTH \
    WORD(sm_cross_check, modality, "modality", REQ, modalities, "modality of the cross-check"), \
    CHECK(reader_sd_mm, NUMBER, SPREAD, 0, 10, "mm", "cross-check: reader SD", NONE), \
    CHECK(magnification_sd, NUMBER, SPREAD, 0, 0.3, "fraction", "cross-check: scale, relative SD", LOOK_SCALE), \
    CHECK(view_error_sd_deg, NUMBER, SPREAD, 0, 30, "degrees", "cross-check: angle by which the view misses the plane, SD", NONE), \
    SPOILED
static const sm_key cross_check_keys[] = {CHECK_KEYS_OF_BOTH, OWN("readings_mm", OBJECT, REQ)};
/* A density needs an SD above 0. */
static const sm_key direct_look_keys[] = {
    WORD(sm_cross_check, modality, "modality", REQ, direct_modalities, "modality of the cross-check"),
    CHECK(reader_sd_mm, NUMBER, REQ | SPREAD, 0.01, 10, "mm", "cross-check: reader SD", NONE),
    SPOILED, OWN("readings_mm", OBJECT, REQ),
};
static const sm_key profile_cross_check_keys[] = {CHECK_KEYS_OF_BOTH, OWN("source", TEXT, 0)};
static const sm_key alternative_keys[] = {
    OWN("name", TEXT, REQ), OWN("implant", OBJECT, 0), OWN("surgical_valve", OBJECT, 0), OWN("lacerate", OBJECT, 0),
    OWN("rescue", OBJECT, 0),
    IN(sm_alternative, burden, "burden", NUMBER, 0, 0, INFINITY, "untreated events", "harm of doing it", NONE),
};
#define LOOK(field, ...) IN(sm_planned_look, field, #field, __VA_ARGS__)
static const sm_key look_keys[] = {
    OWN("name", TEXT, REQ), LOOK(readers, COUNT, 0, 1, SM_MAX_PLANNED_READERS, "", "how many read it", NONE),
    LOOK(burden, NUMBER, 0, 0, INFINITY, "untreated events", "harm of looking", NONE),
    LOOK(minutes, NUMBER, SM_KEY_ABOVE_LOW, 0, INFINITY, "minutes", "how long it takes", NONE),
    OWN("again", OBJECT, 0), IN(sm_planned_look, own_plane, "plane", TRUTH, 0, 0, 0, "", "each reader places plane and centre anew", NONE),
    OWN("rescan", OBJECT, 0), OWN("project", TEXT, 0),
    LOOK(view_error_sd_deg, NUMBER, SPREAD, 0, 30, "degrees", "look: angle by which the view misses the plane, SD", NONE),
    LOOK(magnification_sd, NUMBER, SPREAD, 0, 0.3, "fraction", "look: scale, relative SD", NONE),
    LOOK(reader_sd_mm, NUMBER, SPREAD, 0, 10, "mm", "look: reader SD", NONE),
    OWN("direct", TEXT, 0), IN(sm_planned_look, reader_sd_mm, "sd_mm", NUMBER, SPREAD, 0.01, 10, "mm", "look: SD of a direct measurement", NONE),
    OWN("bundle", LIST, 0),
};
static const sm_key axes_keys[] = {
    OWN("edge_on_deg", LIST, 0), OWN("profile", OBJECT, 0), OWN("base_points_mm", LIST, 0), OWN("ostia_mm", OBJECT, 0),
};
static const sm_key axes_profile_keys[] = {OWN("side", TEXT, REQ), OWN("view_deg", LIST, REQ), OWN("on_screen", TEXT, 0)};
#define REACH(field, low, high, words) IN(sm_gantry, field, #field, NUMBER, 0, low, high, "degrees", words, NONE)
static const sm_key gantry_keys[] = {
    REACH(rao_deg, 0, 180, "gantry: how far it turns to the patient's right"),
    REACH(lao_deg, 0, 180, "gantry: how far it turns to the patient's left"),
    REACH(caudal_deg, 0, 90, "gantry: how far it turns toward the feet"),
    REACH(cranial_deg, 0, 90, "gantry: how far it turns toward the head"),
};
static const sm_key profile_keys[] = {
    OWN("format", TEXT, REQ), OWN("site", TEXT, REQ), OWN("source", TEXT, 0), OWN("note", TEXT, 0),
    OWN("readers", OBJECT, 0), OWN("scan", OBJECT, 0), OWN("surgical_valve", OBJECT, 0), OWN("implant", OBJECT, 0),
    OWN("limits", OBJECT, 0), OWN("population", OBJECT, 0), OWN("action_line", OBJECT, 0), OWN("looks", OBJECT, 0),
    OWN("gantry", OBJECT, 0),
};
static const sm_key profile_value_keys[] = {OWN("value", OBJECT, REQ), OWN("source", TEXT, 0), OWN("measured", TRUTH, 0)};
/* clang-format on */

#define FITS(table) _Static_assert(sizeof table / sizeof *table <= SM_KEYS_MOST, "SM_KEYS_MOST is too small")
FITS(case_keys);
FITS(base_plane_keys);
FITS(valve_keys);
FITS(implant_keys);
FITS(coronary_keys);
FITS(profile_keys);
FITS(look_keys);

const sm_keys sm_keys_case = KEYS("", "a case", case_keys);
const sm_keys sm_keys_action = KEYS("", "a case", action_keys);
const sm_keys sm_keys_scan = KEYS("scan", "the scan", scan_keys);
const sm_keys sm_keys_base_plane = KEYS("base_plane", "the base plane", base_plane_keys);
const sm_keys sm_keys_valve = KEYS("surgical_valve", "the surgical valve", valve_keys);
const sm_keys sm_keys_implant = KEYS("implant", "the implant", implant_keys);
const sm_keys sm_keys_limits = KEYS("limits", "the limits", limits_keys);
const sm_keys sm_keys_population = KEYS("population", "the population", population_keys);
const sm_keys sm_keys_coronary = KEYS("coronary", "a coronary", coronary_keys);
const sm_keys sm_keys_reading = KEYS("reading", "a read quantity", reading_keys);
const sm_keys sm_keys_cross_check = KEYS("cross_check", "a cross-check", cross_check_keys);
const sm_keys sm_keys_direct_look = KEYS("cross_check", "a direct cross-check", direct_look_keys);
const sm_keys sm_keys_alternative = KEYS("alternative", "an alternative", alternative_keys);
const sm_keys sm_keys_look = KEYS("look", "a look", look_keys);
const sm_keys sm_keys_axes = KEYS("patient_axes", "patient_axes", axes_keys);
const sm_keys sm_keys_axes_profile = KEYS("profile_view", "a view in profile", axes_profile_keys);
const sm_keys sm_keys_gantry = KEYS("gantry", "the gantry", gantry_keys);
const sm_keys sm_keys_profile = KEYS("profile", "a site profile", profile_keys);
const sm_keys sm_keys_profile_reader = KEYS("reading", "a profile's readers", profile_reader_keys);
const sm_keys sm_keys_profile_cross_check = KEYS("cross_check", "a profile's cross-check", profile_cross_check_keys);
const sm_keys sm_keys_profile_value = KEYS("value", "a value of a profile", profile_value_keys);

/* 3. Quantities that may be read */

/* clang-format off */
static const sm_quantity_kind quantities[] = {
    /* name, key, low, high, flags, bare number is a reading, source, that of a second look, its keys, words */
    {"ostium_height", "ostium_height", 1, 60, 0, true, SM_SOURCE_OSTIUM_HEIGHT, SM_SOURCE_NONE, NULL, "ostium height"},
    {"ostium_gap", "ostium_gap", -5, 30, 0, true, SM_SOURCE_OSTIUM_GAP, SM_SOURCE_OSTIUM_GAP_LOOK, &sm_keys_cross_check, "ostium gap"},
    {"stj_height", "stj_height", 1, 60, 0, true, SM_SOURCE_STJ_HEIGHT, SM_SOURCE_NONE, NULL, "STJ height"},
    {"stj_gap", "stj_gap", -5, 30, 0, true, SM_SOURCE_STJ_GAP, SM_SOURCE_STJ_GAP_LOOK, &sm_keys_cross_check, "STJ gap"},
    {"leaflet_height", "leaflet_height", 1, 60, 0, true, SM_SOURCE_LEAFLET_HEIGHT, SM_SOURCE_LEAFLET_HEIGHT_LOOK, &sm_keys_direct_look, "leaflet height"},
    {"inner_diameter", "inner_diameter_mm", 12, 35, 0, false, SM_SOURCE_INNER_DIAMETER, SM_SOURCE_INNER_DIAMETER_LOOK, &sm_keys_direct_look, "inner diameter"},
    {"leaflet_thickness", "leaflet_thickness_mm", 0, 5, SM_KEY_NOT_BELOW_0, false, SM_SOURCE_LEAFLET_THICKNESS, SM_SOURCE_LEAFLET_THICKNESS_LOOK, &sm_keys_direct_look, "leaflet thickness"},
};
/* clang-format on */

const sm_quantity_kind *sm_keys_quantity(const char *key)
{
    for (size_t i = 0; i < sizeof quantities / sizeof *quantities; i++)
        if (strcmp(quantities[i].key, key) == 0)
            return &quantities[i];
    return NULL;
}

bool sm_keys_is_gap(const sm_quantity_kind *kind)
{
    return kind->looks == &sm_keys_cross_check;
}

size_t sm_keys_quantities(const sm_quantity_kind **out)
{
    *out = quantities;
    return sizeof quantities / sizeof *quantities;
}

/* 4. Finding a key */

const sm_key *sm_keys_find(const sm_keys *keys, const char *name)
{
    for (size_t i = 0; i < keys->n; i++)
        if (strcmp(keys->key[i].name, name) == 0)
            return &keys->key[i];
    return NULL;
}

const sm_keys *sm_keys_home(const char *name)
{
    static const sm_keys *const homes[] = {
        &sm_keys_scan,       &sm_keys_base_plane, &sm_keys_valve,   &sm_keys_implant,     &sm_keys_limits,
        &sm_keys_population, &sm_keys_coronary,   &sm_keys_reading, &sm_keys_cross_check, &sm_keys_case};
    for (size_t i = 0; i < sizeof homes / sizeof *homes; i++)
        if (sm_keys_find(homes[i], name))
            return homes[i];
    return NULL;
}

#define LONGEST 48 /* longer names are never near a known one */

static size_t min3(size_t a, size_t b, size_t c)
{
    size_t m = a < b ? a : b;
    return m < c ? m : c;
}

/* Edit distance (one letter put in, left out, changed; case ignored); SIZE_MAX if a is too long. */
static size_t edit_distance(const char *a, const char *b)
{
    size_t n = strlen(a), m = strlen(b), row[LONGEST + 1];
    if (n > LONGEST || m > LONGEST)
        return (size_t)-1;
    for (size_t j = 0; j <= m; j++)
        row[j] = j;
    for (size_t i = 1; i <= n; i++) {
        size_t diagonal = row[0];
        row[0] = i;
        for (size_t j = 1; j <= m; j++) {
            size_t changed = diagonal + (tolower((unsigned char)a[i - 1]) != tolower((unsigned char)b[j - 1]));
            diagonal = row[j];
            row[j] = min3(changed, row[j] + 1, row[j - 1] + 1);
        }
    }
    return row[m];
}

const char *sm_keys_nearest(const char *name, const char *const *known, size_t n)
{
    const char *nearest = NULL;
    size_t least = (size_t)-1, len = strlen(name);
    for (size_t i = 0; i < n; i++) {
        if (len > 2 && strncmp(known[i], name, len) == 0 && known[i][len] == '_')
            return known[i]; /* the unit was left out */
        size_t distance = edit_distance(name, known[i]);
        size_t allowed = strlen(known[i]) / 3 > 2 ? strlen(known[i]) / 3 : 2;
        if (distance < least && distance <= allowed && distance < strlen(known[i])) {
            least = distance;
            nearest = known[i];
        }
    }
    return nearest;
}

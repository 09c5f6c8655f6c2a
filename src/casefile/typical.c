/* typical.c - the tables of usual ranges.
 *
 * Contents: 1. one number  2. two numbers together  3. finding
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "casefile/typical.h"

#include <string.h>

/* 1. One number */

#define NATIVE_HEIGHTS                                                                                                 \
    "J Cardiovasc Magn Reson 2013;15(S1):O12 (native, 16.2 +- 3.1 left, 16.0 +- 4.3 right), less 3 to 5 for the "      \
    "ring; "                                                                                                           \
    "the mean of common practice is lower on the left"
#define RIBEIRO "Eur Heart J 2018;39:687 (3.24 +- 2.22 obstructed, 6.30 +- 2.34 not)"
#define LEAFLETS                                                                                                       \
    "J Cardiovasc Magn Reson 2013;15(S1):O12 (native leaflet length 14.0 +- 2.3 left, 13.3 +- 2.3 right), from the "   \
    "ring"
#define JUDGED "none found: judgement"

/* clang-format off */
static const sm_typical typical[] = {
    /* key, side, what, when, low, high, unit, grade, source */
    {"ostium_height", "left", "ostium height", 0, 2.5, 20, "mm", SM_DERIVED, NATIVE_HEIGHTS},
    {"ostium_height", NULL, "ostium height", 0, 2.5, 25, "mm", SM_DERIVED, NATIVE_HEIGHTS},
    {"ostium_gap", NULL, "ostium gap", 0, -1, 13, "mm", SM_PUBLISHED, RIBEIRO},
    {"stj_height", NULL, "STJ height", 0, 11, 30, "mm", SM_JUDGEMENT, JUDGED},
    {"stj_gap", NULL, "STJ gap", 0, -1, 11, "mm", SM_JUDGEMENT, JUDGED},
    {"leaflet_height", NULL, "leaflet height", 0, 8, 21, "mm", SM_DERIVED, LEAFLETS},
    {"sinus_width_mm", NULL, "sinus width", 0, 22, 48, "mm", SM_JUDGEMENT, JUDGED},
    {"circle_mm", NULL, "drawn circle", 0, 15, 31, "mm", SM_JUDGEMENT, JUDGED},
    {"inner_diameter_mm", NULL, "inner diameter of the ring", 0, 15.5, 28, "mm", SM_JUDGEMENT, JUDGED},
    {"ring_height_mm", NULL, "height of the ring", 0, 0, 6, "mm", SM_JUDGEMENT, JUDGED},
    {"leaflet_thickness_mm", NULL, "thickness of the old leaflets", 0, 0.2, 2.5, "mm", SM_JUDGEMENT, JUDGED},
    {"nominal_diameter_mm", NULL, "nominal diameter of the new valve", 0, 19, 34, "mm", SM_JUDGEMENT, JUDGED},
    {"frame_height_mm", NULL, "frame height of a balloon-expanded valve", SM_FACT_BALLOON, 14, 26, "mm", SM_JUDGEMENT, JUDGED},
    {"frame_height_mm", NULL, "frame height of a self-expanding valve", SM_FACT_SELF, 18, 60, "mm", SM_JUDGEMENT, JUDGED},
    {"skirt_height_mm", NULL, "skirt height", 0, 3, 25, "mm", SM_JUDGEMENT, JUDGED},
    {"implant_depth_mm", NULL, "implant depth", 0, -1, 10, "mm", SM_JUDGEMENT, JUDGED},
};

/* 2. Two numbers together */

static const sm_joint joints[SM_JOINTS] = {
    /* what, low, high, unit, slip below, slip above, grade, source */
    [SM_JOINT_HALF_WIDTH] = {"ostium gap and half the circle (half the width of the sinus)", 8.5, 24.5, "mm",
        "gap or circle too small?", "a digit too many in the gap, or the circle too large?", SM_DERIVED, RIBEIRO},
    [SM_JOINT_SINUS] = {"ostium gap and half the circle, less half the stated sinus width", -4, 4, "mm",
        "gap, circle or sinus width of another place?", "gap, circle or sinus width of another place?", SM_JUDGEMENT, JUDGED},
    [SM_JOINT_EXCHANGED] = {"ostium height and gap: so many times likelier the other way round", 0, 25, "times",
        "height and gap exchanged?", "height and gap exchanged?", SM_DERIVED, NATIVE_HEIGHTS "; " RIBEIRO},
    [SM_JOINT_STJ_LESS_GAP] = {"STJ height less STJ gap", 3, 30, "mm",
        "height and gap exchanged?", "height or gap in another unit?", SM_JUDGEMENT, JUDGED},
    [SM_JOINT_STJ_ABOVE_OSTIUM] = {"STJ height less ostium height", 0.5, 24, "mm",
        "ostium and STJ exchanged?", "one of the heights in another unit?", SM_JUDGEMENT, JUDGED},
    [SM_JOINT_GAPS] = {"STJ gap less ostium gap", -7.5, 4, "mm",
        "height and gap exchanged, or a digit too many in the ostium gap?", "ostium and STJ exchanged?", SM_JUDGEMENT, JUDGED},
    [SM_JOINT_LEAFLET_ABOVE_RING] = {"leaflet top above the ring", 5, 19, "mm",
        "leaflet length, in centimetres, or from another plane?", "from another plane?", SM_DERIVED, LEAFLETS},
    [SM_JOINT_LEAFLET_ABOVE_SKIRT] = {"leaflet top above the top of the new valve's skirt", -3, 22, "mm",
        "skirt height or implant depth of another device?", "skirt height or implant depth of another device?", SM_JUDGEMENT, JUDGED},
    [SM_JOINT_LEAFLET_ABOVE_FRAME] = {"leaflet top above the new valve's frame", -50, 8, "mm",
        "frame height of another device?", "frame height of another device, or leaflet height from another plane?", SM_JUDGEMENT, JUDGED},
    [SM_JOINT_LABEL] = {"inner diameter against new valve and circle: so many times likelier a label size", 0, 12, "times",
        "label size for the inner diameter, or circle of another size?",
        "label size for the inner diameter, or circle of another size?", SM_JUDGEMENT, JUDGED},
    [SM_JOINT_OVERSIZING] = {"new valve against the ring's inner diameter, oversizing", -7, 30, "%",
        "label size for the inner diameter, or another size of the new valve?",
        "another size of the new valve, or the inner diameter of another valve?", SM_JUDGEMENT, JUDGED},
    [SM_JOINT_CIRCLE_LESS_WAIST] = {"drawn circle less the waist in the ring (nor is it the nominal diameter)", -0.7, 1.2, "mm",
        "circle of another size, or label size for the inner diameter?", "circle of another size?", SM_JUDGEMENT, JUDGED},
    [SM_JOINT_CIRCLE_LESS_NOMINAL] = {"drawn circle less the nominal diameter (nor is it the waist in the ring)", -1.2, 0.5, "mm",
        "circle of another size?", "circle of another size, or another new valve?", SM_JUDGEMENT, JUDGED},
    [SM_JOINT_CIRCLES] = {"difference between the circles of two sides", -1, 1, "mm",
        "one circle of another size?", "one circle of another size?", SM_JUDGEMENT, JUDGED},
    [SM_JOINT_RIGHT_LESS_LEFT] = {"right ostium height less left ostium height", -7.8, 18, "mm",
        "left and right exchanged?", "one of the heights of another unit or place?", SM_DERIVED, NATIVE_HEIGHTS},
    [SM_JOINT_LEAFLETS] = {"difference between the leaflet heights of two sides", -6, 6, "mm",
        "one of them of another place?", "one of them of another place?", SM_DERIVED, LEAFLETS},
    [SM_JOINT_STJS] = {"difference between the STJ heights of two sides", -7, 7, "mm",
        "one of them of another place?", "one of them of another place?", SM_JUDGEMENT, JUDGED},
    [SM_JOINT_OSTIUM_GAPS] = {"difference between the ostium gaps of two sides", -6.5, 6.5, "mm",
        "height and gap of one side exchanged?", "height and gap of one side exchanged?", SM_DERIVED, RIBEIRO},
    [SM_JOINT_AZIMUTHS] = {"angle between two ostia", 60, 180, "degrees",
        "one azimuth of another ostium?", "one azimuth of another ostium?", SM_JUDGEMENT, JUDGED},
};
/* clang-format on */

/* What exchanged numbers are weighed by: as docs/slips.md has it, derived and judged like the ranges. */
static const sm_typical_spread spreads[] = {
    [SM_SPREAD_LEFT_HEIGHT] = {9.5, 3.1},    [SM_SPREAD_HEIGHT] = {12.0, 4.3},      [SM_SPREAD_GAP] = {6.1, 2.45},
    [SM_SPREAD_STJ_GAP] = {1.2, 1.5},        [SM_SPREAD_GAPS] = {0.0, 2.2},         [SM_SPREAD_OVERSIZING] = {9.0, 5.0},
    [SM_SPREAD_CIRCLE_NOMINAL] = {0.0, 0.2}, [SM_SPREAD_CIRCLE_INNER] = {0.3, 0.4}, [SM_SPREAD_LABEL] = {1.5, 0.6},
    [SM_SPREAD_INNER] = {21.0, 2.2},
};

/* 3. Finding */

const sm_typical *sm_typical_find(const char *key, const char *side, unsigned facts)
{
    for (size_t i = 0; i < sm_typical_count(); i++) {
        const sm_typical *t = &typical[i];
        const bool here = !t->side || (side && strcmp(t->side, side) == 0);
        if (strcmp(t->key, key) == 0 && here && (t->when & facts) == t->when)
            return t;
    }
    return NULL;
}

size_t sm_typical_count(void)
{
    return sizeof typical / sizeof *typical;
}

const sm_typical *sm_typical_line(size_t i)
{
    return &typical[i];
}

const sm_joint *sm_joint_line(sm_joint_id id)
{
    return &joints[id];
}

const sm_typical_spread *sm_typical_spread_line(sm_typical_spread_id id)
{
    return &spreads[id];
}

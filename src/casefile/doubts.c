/* doubts.c - how far each judged default may itself be off.
 *
 * Where the table of defaults gives a number a range, that is its doubt. What stands here: distributions, numbers
 * without such a range, and choices that are asked about by themselves. Ranges are judgement unless a source is named.
 *
 * Contents: 1. the table  2. the doubt of a line  3. points of a value
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "casefile/doubts.h"

#include <math.h>
#include <string.h>

/* 1. The table */

typedef struct {
    const char *group, *key;
    unsigned when; /* of the line of defaults */
    sm_doubt doubt;
} doubt_line;

#define JUDGED(point, low, high, reason)                                                                               \
    {                                                                                                                  \
        SM_DOUBT_JUDGED, SM_POINT_##point, low, high, reason                                                           \
    }
#define ALONE(low, high, reason)                                                                                       \
    {                                                                                                                  \
        SM_DOUBT_ALONE, SM_POINT_VALUE, low, high, reason                                                              \
    }
#define NO_PART                                                                                                        \
    {                                                                                                                  \
        SM_DOUBT_NONE, SM_POINT_VALUE, 0, 0, NULL                                                                      \
    }
#define EI SM_FACT_ENERGY_INTEGRATING
#define PLANNED_AND_SEEN                                                                                               \
    "from the limit on CT after implant to that of planning (JACC Cardiovasc Interv 2022;15:496, PMID 35272774)"

/* clang-format off */
static const doubt_line table[] = {
    {"scan", "blooming_mm", EI | SM_FACT_SOFT, JUDGED(MODE, 0.3, 0.8, "the ends of its own range")},
    {"scan", "blooming_mm", EI | SM_FACT_SHARP, JUDGED(MODE, 0.2, 0.7, "the ends of its own range")},
    {"scan", "blooming_mm", SM_FACT_PHOTON_COUNTING, JUDGED(MODE, 0.05, 0.4, "from hardly any to that of a sharp kernel")},
    {"scan", "blooming_mm", SM_FACT_PHOTON_COUNTING_HIGH, JUDGED(MODE, 0.02, 0.15, "from hardly any to nearly that of the standard mode")},

    {"surgical_valve", "ring_give_mm", SM_FACT_STENTLESS, JUDGED(UPPER_END, 0.5, 2.5, "from a stiff root to a soft one")},
    {"surgical_valve", "ring_give_mm", 0, JUDGED(UPPER_END, 0.1, 0.6, "up to twice what posts move under pressure")},
    {"surgical_valve", "leaflet_thickness_mm", 0, JUDGED(MEDIAN, 0.5, 1.2, "from ordinary to heavily thickened leaflets")},
    {"surgical_valve", "mount_offset_mm", SM_FACT_EXTERNAL, JUDGED(MODE, 0.5, 1.2, "about the middle of its own range")},
    {"surgical_valve", "mid_fraction", 0, JUDGED(MIDDLE, 0.3, 0.7, "between mostly lying against the frame and mostly standing off")},
    {"surgical_valve", "leaflet_overhang_mm", 0, JUDGED(UPPER_END, 1, 4, "a little or much free leaflet")},
    {"surgical_valve", "post_block_deg", 0, NO_PART}, /* moves alternatives alone */

    {"implant", "overexpansion", SM_FACT_BALLOON, JUDGED(SHIFT, -0.02, 0.05, "between the two published series")},
    {"implant", "flare", SM_FACT_BALLOON, JUDGED(MODE, 0.25, 0.75, "the middle half of what is possible")},
    {"implant", "flare", SM_FACT_SELF, JUDGED(MODE, 0.1, 0.4, "the middle of its own range")},
    {"implant", "shape", SM_FACT_BALLOON, JUDGED(TOP, 1.0, 1.08, "the top as wide as the middle, or as wide as the widest published")},

    {"leaflet_thickness", "reader_sd_mm", 0, JUDGED(VALUE, 0.2, 0.5, "about half to twice")},
    {"ostium_gap", "bloom_edges", 0, ALONE(-1, 0, "a bright wall, or a soft one")},
    {"stj_gap", "bloom_edges", 0, ALONE(-1, 0, "a bright wall, or a soft one")},
    {"inner_diameter", "bloom_edges", 0, JUDGED(VALUE, -2, 0, "from a bright ring to one traced along its middle")},

    {"limits", "ostium_clearance_mm", 0, ALONE(3, 4, PLANNED_AND_SEEN)},
    {"limits", "ostium_clearance_mm", SM_FACT_AFTER_IMPLANT, ALONE(3, 4, PLANNED_AND_SEEN)},
    {"limits", "stj_clearance_mm", 0, ALONE(1, 3, "the limit on CT after implant, and the room above which none was threatened there (PMID 35272774)")},
    {"limits", "stj_clearance_mm", SM_FACT_AFTER_IMPLANT, ALONE(1, 3, "the limit on CT after implant, and the room above which none was threatened there (PMID 35272774)")},
    {"limits", "reach_margin_mm", 0, ALONE(0, 2, "up to the 2 mm below which none was threatened on CT after implant (PMID 35272774)")},
    {"limits", "reference_thickness_mm", 0, JUDGED(VALUE, 0.3, 0.6, "thin to thick ordinary leaflets")},
    {"limits", "reference_blooming_mm", 0, ALONE(0, 0.6, "none, or as much as today's readings have")},
    {"population", "ostium_gap_mm", 0, NO_PART}, /* no part of the answer */
};
/* clang-format on */

/* 2. The doubt of a line */

static bool is_of_line(const doubt_line *d, const sm_default *line)
{
    return d->when == line->when && strcmp(d->key, line->key) == 0 && strcmp(d->group, line->group) == 0;
}

static bool is_doubted(sm_grade g)
{
    return g == SM_DERIVED || g == SM_JUDGEMENT || g == SM_UNCONFIRMED;
}

sm_doubt sm_doubt_of(const sm_default *line)
{
    for (size_t i = 0; i < sizeof table / sizeof *table; i++)
        if (is_of_line(&table[i], line))
            return table[i].doubt;
    if (line->range.words && line->value.kind == SM_DATUM_NUMBER && is_doubted(line->grade))
        return (sm_doubt){SM_DOUBT_JUDGED, SM_POINT_VALUE, line->range.low, line->range.high, line->source};
    return (sm_doubt){.kind = SM_DOUBT_NONE};
}

/* 3. Points of a value */

const char *sm_doubt_point_words(sm_doubt_point p)
{
    static const char *const words[] = {[SM_POINT_VALUE] = "",
                                        [SM_POINT_MODE] = "most likely value",
                                        [SM_POINT_MEDIAN] = "median",
                                        [SM_POINT_MIDDLE] = "middle",
                                        [SM_POINT_UPPER_END] = "upper end",
                                        [SM_POINT_SHIFT] = "mean",
                                        [SM_POINT_TOP] = "diameter at the top"};
    return words[p];
}

static double parameter(const sm_dist *d, const char *name)
{
    for (size_t i = 0; i < sm_dist_parameters(d->family); i++)
        if (strcmp(sm_dist_parameter_name(d->family, i), name) == 0)
            return d->p[i];
    return NAN;
}

double sm_doubt_point_at(const sm_datum *value, sm_doubt_point p)
{
    if (p == SM_POINT_VALUE)
        return value->kind == SM_DATUM_NUMBER ? value->number : NAN;
    if (p == SM_POINT_TOP)
        return value->kind == SM_DATUM_POINTS ? value->list.x[2 * value->list.n - 1] : NAN;
    if (value->kind != SM_DATUM_DIST)
        return NAN;
    switch (p) {
    case SM_POINT_MODE:
        return parameter(&value->dist, "mode");
    case SM_POINT_MEDIAN:
        return parameter(&value->dist, "median");
    case SM_POINT_MIDDLE:
        return (parameter(&value->dist, "min") + parameter(&value->dist, "max")) / 2;
    case SM_POINT_UPPER_END:
        return parameter(&value->dist, "max");
    default:
        return parameter(&value->dist, "mean");
    }
}

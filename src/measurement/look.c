/* look.c - a second look at a quantity, as a likelihood (model.md 3.1).
 *
 * Contents: 1. what may be looked at  2. the constants of a look  3. a look by itself
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "measurement/look.h"

#include <math.h>
#include <string.h>

#include <gsl/gsl_math.h>

/* 1. What may be looked at */

const sm_looked_line sm_looked_table[SM_LOOKED] = {
    [SM_LOOKED_OSTIUM_GAP] = {"ostium_gap", true, SM_SOURCE_OSTIUM_GAP_LOOK, SM_SOURCE_OSTIUM_GAP, -5, 30},
    [SM_LOOKED_STJ_GAP] = {"stj_gap", true, SM_SOURCE_STJ_GAP_LOOK, SM_SOURCE_STJ_GAP, -5, 30},
    [SM_LOOKED_LEAFLET_HEIGHT] = {"leaflet_height", false, SM_SOURCE_LEAFLET_HEIGHT_LOOK, SM_SOURCE_LEAFLET_HEIGHT, 1,
                                  60},
    [SM_LOOKED_INNER_DIAMETER] = {"inner_diameter_mm", false, SM_SOURCE_INNER_DIAMETER_LOOK, SM_SOURCE_INNER_DIAMETER,
                                  12, 35},
    [SM_LOOKED_THICKNESS] = {"leaflet_thickness_mm", false, SM_SOURCE_LEAFLET_THICKNESS_LOOK,
                             SM_SOURCE_LEAFLET_THICKNESS, 0, 5}};

const sm_quantity *sm_looked_quantity(const sm_case *c, int k, sm_looked at)
{
    switch (at) {
    case SM_LOOKED_OSTIUM_GAP:
        return &c->coronary[k].quantity[SM_OSTIUM_GAP];
    case SM_LOOKED_STJ_GAP:
        return &c->coronary[k].quantity[SM_STJ_GAP];
    case SM_LOOKED_LEAFLET_HEIGHT:
        return &c->coronary[k].quantity[SM_LEAFLET_HEIGHT];
    case SM_LOOKED_INNER_DIAMETER:
        return &c->valve.inner_diameter;
    default:
        return &c->valve.leaflet_thickness;
    }
}

/* 2. The constants of a look */

void sm_look_create(const sm_cross_check *c, sm_looked at, double circle_mm, sm_look *l)
{
    const sm_looked_line *line = &sm_looked_table[at];
    memset(l, 0, sizeof *l);
    l->reading = sm_readings_mean(&c->readings);
    l->error_sd = fmax(SM_LOOK_LEAST_SD, c->reader_sd_mm / sqrt((double)c->readings.n));
    l->low = line->low;
    l->high = line->high;
    l->spoiled_density = c->spoiled / (1 - c->spoiled) / (line->high - line->low);
    if (!line->projection)
        return;
    l->magnification_sd = c->magnification_sd;
    l->view_sd = c->view_error_sd_deg * (M_PI / 180);
    l->half_circle = circle_mm / 2;
}

/* 3. A look by itself */

/* (3.6) to the second order: 1/cos G - 1 has about the mean v^2/2 and the variance v^4/2 for G = |N(0, v)|. */
void sm_look_range(const sm_look *l, double range[2])
{
    const double v2 = gsl_pow_2(l->view_sd), across = l->reading + l->half_circle;
    const double mean = l->reading + across * v2 / 2;
    const double variance =
        gsl_pow_2(l->error_sd) + gsl_pow_2(l->magnification_sd * l->reading) + gsl_pow_2(across * v2) / 2;
    range[0] = mean - 1.96 * sqrt(variance);
    range[1] = mean + 1.96 * sqrt(variance);
}

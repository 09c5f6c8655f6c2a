/* looked_case.h - the example case made plain: nothing is drawn but one quantity, on which alone the event hangs, and
 * what a second look at it needs.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_TESTS_LOOKED_CASE_H
#define SM_TESTS_LOOKED_CASE_H

#include "demo_case.h"
#include "measurement/look.h"

enum { LOOKS_MOST = 6 };

typedef struct {
    demo_case d;
    sm_reader_row row[LOOKS_MOST];
    double mm[LOOKS_MOST][1];
    int n; /* looks that were added */
} looked_case;

/* The domain of what is looked at, mm: docs/case-format.md. */
static const double domain_of[SM_LOOKED][2] = {[SM_LOOKED_OSTIUM_GAP] = {-5, 30},
                                               [SM_LOOKED_STJ_GAP] = {-5, 30},
                                               [SM_LOOKED_LEAFLET_HEIGHT] = {1, 60},
                                               [SM_LOOKED_INNER_DIAMETER] = {12, 35},
                                               [SM_LOOKED_THICKNESS] = {0, 5}};

static inline bool is_projection(sm_looked at)
{
    return at == SM_LOOKED_OSTIUM_GAP || at == SM_LOOKED_STJ_GAP;
}

static inline sm_quantity *looked_quantity(looked_case *c, int k, sm_looked at)
{
    static const sm_quantity_id id[SM_LOOKED_OF_SIDE] = {SM_OSTIUM_GAP, SM_STJ_GAP, SM_LEAFLET_HEIGHT};
    if (at == SM_LOOKED_INNER_DIAMETER)
        return &c->d.c.valve.inner_diameter;
    return at == SM_LOOKED_THICKNESS ? &c->d.c.valve.leaflet_thickness : &c->d.side[k].quantity[id[at]];
}

/* What is known without any error. */
static inline void looked_exact(looked_case *c, int k, sm_quantity_id q, double mm)
{
    c->d.side[k].quantity[q] = (sm_quantity){.value = sm_dist_constant(mm)};
}

/* The circle is the waist, the tube round, upright and plain, and reaches ostium and junction on both sides: a limit L
 * is crossed where a gap is below L. Each gap has so much room that nothing happens. */
static inline void looked_plain(looked_case *c)
{
    sm_surgical_valve *v = &c->d.c.valve;
    c->n = 0;
    demo_still_case(&c->d);
    c->d.c.implant.flare = sm_dist_constant(0);
    v->leaflet_mount = SM_MOUNT_INTERNAL;
    v->inner_diameter.value = sm_dist_constant(22.4);
    v->ring_give_mm = v->mount_offset_mm = sm_dist_constant(0);
    v->leaflet_thickness.value = sm_dist_constant(0.5);
    for (int k = 0; k < DEMO_SIDES; k++) {
        looked_exact(c, k, SM_OSTIUM_HEIGHT, 10);
        looked_exact(c, k, SM_STJ_HEIGHT, 14);
        looked_exact(c, k, SM_LEAFLET_HEIGHT, 14.8);
        looked_exact(c, k, SM_OSTIUM_GAP, 9);
        looked_exact(c, k, SM_STJ_GAP, 9);
    }
}

/* The event is that X lies below a limit, or above it. */
typedef struct {
    double limit;
    bool below;
} looked_event;

/* Makes the event of the plain case hang on one quantity of the left side, or of the valve: a gap below its limit of 4
 * or 2 mm; a leaflet up to the ostium, 14.2 mm, beside which there is too little room; a ring so wide, 11.2 + 4.1 - X/2
 * below 4, or leaflets so thick, 4.4 - (X - 0.5) below 4, that a gap becomes too small. */
static inline looked_event looked_hangs_on(looked_case *c, sm_looked at)
{
    looked_plain(c);
    switch (at) {
    case SM_LOOKED_OSTIUM_GAP:
        return (looked_event){4, true};
    case SM_LOOKED_STJ_GAP:
        return (looked_event){2, true};
    case SM_LOOKED_LEAFLET_HEIGHT:
        looked_exact(c, DEMO_LEFT, SM_OSTIUM_GAP, 3);
        looked_exact(c, DEMO_LEFT, SM_OSTIUM_HEIGHT, 14.2);
        return (looked_event){14.2, false};
    case SM_LOOKED_INNER_DIAMETER:
        looked_exact(c, DEMO_LEFT, SM_OSTIUM_GAP, 4.1);
        return (looked_event){22.6, false};
    default:
        looked_exact(c, DEMO_LEFT, SM_OSTIUM_GAP, 4.4);
        return (looked_event){0.9, false};
    }
}

/* A second look by one reader. The last two are of a projection alone. */
static inline sm_cross_check *looked_add(looked_case *c, int k, sm_looked at, double reading, double sd,
                                         double view_deg, double magnification)
{
    sm_cross_check *x = &looked_quantity(c, k, at)->cross_check;
    c->mm[c->n][0] = reading;
    c->row[c->n] = (sm_reader_row){NULL, 1, c->mm[c->n]};
    *x = (sm_cross_check){.present = true,
                          .readings = {1, &c->row[c->n++]},
                          .reader_sd_mm = sd,
                          .magnification_sd = is_projection(at) ? magnification : 0,
                          .view_error_sd_deg = is_projection(at) ? view_deg : 0,
                          .spoiled = 0.05};
    return x;
}

#endif

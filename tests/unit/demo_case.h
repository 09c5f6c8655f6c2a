/* demo_case.h - the example case of docs/case-format.md built in C, without any JSON; the tests change it as they need.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_TESTS_DEMO_CASE_H
#define SM_TESTS_DEMO_CASE_H

#include <math.h>
#include <stdio.h>

#include "measurement/case.h"

enum { DEMO_LEFT, DEMO_RIGHT, DEMO_SIDES };

/* Holds all that the case points at: do not move it, do not destroy its case. */
typedef struct {
    sm_case c;
    sm_coronary side[DEMO_SIDES];
    sm_reader_row row[DEMO_SIDES][SM_QUANTITIES][2];
    double mm[DEMO_SIDES][SM_QUANTITIES][2][2];
} demo_case;

/* One reading by one reader, with a total reader SD split evenly in variance. */
static inline void demo_read(demo_case *d, int k, sm_quantity_id q, double mm, double total_sd, double bloom_edges)
{
    d->mm[k][q][0][0] = mm;
    d->row[k][q][0] = (sm_reader_row){NULL, 1, d->mm[k][q][0]};
    d->side[k].quantity[q] = (sm_quantity){.is_read = true,
                                           .readings = {1, d->row[k][q]},
                                           .between_reader_sd_mm = total_sd / sqrt(2),
                                           .repeat_sd_mm = total_sd / sqrt(2),
                                           .bloom_edges = bloom_edges};
}

static inline void demo_side(demo_case *d, int k, const char *name, double azimuth_deg, const double mm[SM_QUANTITIES],
                             double gap_edges)
{
    static const double total_sd[] = {0.8, 0.6, 1.0, 0.6, 1.0}; /* the built-in defaults of facts.md */
    snprintf(d->side[k].name, sizeof d->side[k].name, "%s", name);
    d->side[k].azimuth_deg = azimuth_deg;
    d->side[k].circle_mm = 22.4;
    d->side[k].has_ostium = true;
    for (int q = 0; q < SM_QUANTITIES; q++) {
        const bool gap = q == SM_OSTIUM_GAP || q == SM_STJ_GAP;
        demo_read(d, k, (sm_quantity_id)q, mm[q], total_sd[q], gap ? gap_edges : q == SM_LEAFLET_HEIGHT ? 1 : 0);
    }
}

static inline void demo_sides(demo_case *d)
{
    static const double left[] = {9.1, 5.7, 18.0, 2.7, 14.8}, right[] = {12.2, 7.2, 18.6, 3.2, 14.8};
    demo_side(d, DEMO_LEFT, "left", 35, left, -1);
    demo_side(d, DEMO_RIGHT, "right", 160, right, 0);
    d->mm[DEMO_LEFT][SM_OSTIUM_HEIGHT][0][1] = 9.4; /* A twice, B once */
    d->mm[DEMO_LEFT][SM_OSTIUM_HEIGHT][1][0] = 9.9;
    d->row[DEMO_LEFT][SM_OSTIUM_HEIGHT][0].n = 2;
    d->row[DEMO_LEFT][SM_OSTIUM_HEIGHT][1] = (sm_reader_row){NULL, 1, d->mm[DEMO_LEFT][SM_OSTIUM_HEIGHT][1]};
    d->side[DEMO_LEFT].quantity[SM_OSTIUM_HEIGHT].readings.n = 2;
}

static inline sm_surgical_valve demo_valve(void)
{
    return (sm_surgical_valve){.leaflet_mount = SM_MOUNT_EXTERNAL,
                               .inner_diameter = {.value = sm_dist_normal(22.3, 0.3)},
                               .leaflet_thickness = {.value = (sm_dist){SM_LOGNORMAL, {0.7, 1.35}}},
                               .ring_height_mm = 2.5,
                               .ring_give_mm = sm_dist_uniform(0, 0.3),
                               .eccentricity = (sm_dist){SM_TRIANGULAR, {0.02, 0.055, 0.10}},
                               .mount_offset_mm = (sm_dist){SM_TRIANGULAR, {0.3, 0.8, 1.5}},
                               .mid_fraction = sm_dist_uniform(0.2, 0.8),
                               .leaflet_overhang_mm = sm_dist_uniform(0, 3),
                               .post_azimuth_unknown = true,
                               .post_block_deg = 15};
}

static inline sm_implant demo_implant(void)
{
    return (sm_implant){.expansion = SM_BALLOON,
                        .nominal_diameter_mm = 24.5,
                        .frame_height_mm = 19,
                        .skirt_height_mm = 9,
                        .implant_depth_mm = sm_dist_normal(4, 1),
                        .overexpansion = (sm_dist){SM_TRIANGULAR, {-0.02, 0, 0.05}},
                        .flare = (sm_dist){SM_TRIANGULAR, {0.1, 0.5, 1}},
                        .canting_sd_deg = 2,
                        .offset_sd_mm = 0.3};
}

static inline void demo_fill(demo_case *d)
{
    *d = (demo_case){.c = {.scan = {.blooming_mm = (sm_dist){SM_TRIANGULAR, {0.2, 0.5, 0.8}},
                                    .base_plane = {.radius_mm = 11.5,
                                                   .azimuths_deg = {0, 120, 240},
                                                   .point_sd_mm = 0.7,
                                                   .cuff_wave_mm = 0.6,
                                                   .placements = 1},
                                    .centreline_sd_mm = 0.4},
                           .n_coronaries = DEMO_SIDES,
                           .limits = {.ostium_clearance_mm = {SM_CONSTANT, {4}},
                                      .stj_clearance_mm = {SM_CONSTANT, {2}},
                                      .reference_thickness_mm = 0.5},
                           .action_line = 0.20}};
    d->c.valve = demo_valve();
    d->c.implant = demo_implant();
    demo_sides(d);
    d->c.coronary = d->side;
}

/* Takes every error of measurement away: readings count as read, the plane and centreline stand still. */
static inline void demo_no_reader_error(demo_case *d)
{
    for (int k = 0; k < DEMO_SIDES; k++)
        for (int q = 0; q < SM_QUANTITIES; q++)
            d->side[k].quantity[q].between_reader_sd_mm = d->side[k].quantity[q].repeat_sd_mm = 0;
}

static inline void demo_no_plane_error(demo_case *d)
{
    d->c.scan.base_plane.point_sd_mm = d->c.scan.base_plane.cuff_wave_mm = 0;
    d->c.scan.centreline_sd_mm = 0;
}

/* Holds everything of the tube at one value, round, centred and upright: D 24.5, hold 22.45, half flare, posts known.
 */
static inline void demo_still_tube(demo_case *d)
{
    sm_surgical_valve *v = &d->c.valve;
    sm_implant *m = &d->c.implant;
    v->inner_diameter.value = sm_dist_constant(22.3);
    v->ring_give_mm = sm_dist_constant(0.15);
    v->eccentricity = sm_dist_constant(0);
    v->leaflet_thickness.value = sm_dist_constant(0.7);
    v->mount_offset_mm = sm_dist_constant(0.8);
    v->mid_fraction = sm_dist_constant(0.5);
    v->leaflet_overhang_mm = sm_dist_constant(1);
    v->post_azimuth_unknown = false;
    v->post_azimuth_deg = sm_dist_constant(20);
    m->implant_depth_mm = sm_dist_constant(4);
    m->overexpansion = sm_dist_constant(0);
    m->flare = sm_dist_constant(0.5);
    m->canting_sd_deg = m->offset_sd_mm = 0;
}

/* The case with all of that: a reading at its estimate, an upright axis and the still tube, so that nothing is drawn.
 */
static inline void demo_still_case(demo_case *d)
{
    demo_fill(d);
    demo_no_reader_error(d);
    demo_no_plane_error(d);
    demo_still_tube(d);
    d->c.scan.blooming_mm = sm_dist_constant(0);
}

#endif

/* test_coordinates.c - what a re-check of each source of the example case would show, by hand.
 *
 * Contents: 1. the case  2. readings  3. what all sides share  4. second looks
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "check.h"
#include "demo_case.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_math.h>

#include "decision/coordinates.h"

/* 1. The case */

static demo_case demo;

static sm_coordinates coordinates_of(const char *source)
{
    sm_plan p;
    assert_int_equal(sm_plan_create(&demo.c, 5, &p), SM_OK);
    const int i = sm_sources_find(&p.sources, source);
    assert_true(i >= 0);
    const sm_coordinates c = sm_coordinates_of(&p, 0, i);
    sm_plan_destroy(&p);
    return c;
}

/* 2. Readings */

/* Section 6: rho = s/sqrt(s^2 + s_b^2 + s_r^2); A read twice and B once, so that s^2 = s_b^2/2 + s_r^2/4 (1/2 + 1). */
static void one_more_reading_tells_a_part(void **state)
{
    (void)state;
    demo_fill(&demo);
    sm_quantity *q = &demo.side[DEMO_LEFT].quantity[SM_OSTIUM_HEIGHT];
    q->between_reader_sd_mm = 0.8;
    q->repeat_sd_mm = 0.5;
    const double s_sq = 0.64 / 2 + 0.25 / 4 * 1.5;
    sm_coordinates c = coordinates_of("left.ostium_height");
    assert_int_equal(c.shows, SM_SHOWS_COLUMNS);
    assert_int_equal(c.grid.dims, 1);
    assert_true(c.one_more == c.column[0] && !c.grid.circular);
    assert_near(c.part.rho, sqrt(s_sq / (s_sq + 0.64 + 0.25)), 1e-14, 0);
    assert_true(c.part.dof == 0);
    q->resolution_mm = 0.4;
    c = coordinates_of("left.ostium_height");
    assert_int_equal(c.grid.dims, 2);
    assert_true(!c.uniform[0] && c.uniform[1]);
    q->dof = 7; /* of a t, both readings share its unknown scale */
    c = coordinates_of("left.ostium_height");
    assert_true(c.one_more == c.column[0]);
    assert_near(c.part.rho, sqrt(s_sq / (s_sq + 0.64 + 0.25)), 1e-14, 0);
    assert_near(c.part.dof, 7, 0, 0);
    *q = (sm_quantity){.value = sm_dist_normal(9, 1)}; /* nor where there is no reading */
    c = coordinates_of("left.ostium_height");
    assert_true(c.shows == SM_SHOWS_COLUMNS && c.one_more == -1);
    *q = (sm_quantity){.value = sm_dist_constant(9)};
    assert_int_equal(coordinates_of("left.ostium_height").shows, SM_SHOWS_NOTHING);
}

/* 3. What all sides share */

/* (2.2): var a = var b = 2 point_sd^2/(3 R^2), var c = point_sd^2/3 and, of the wave, wave^2/2, over the placements. */
static void a_plane_shows_slopes_and_level(void **state)
{
    (void)state;
    demo_fill(&demo);
    demo.c.scan.base_plane.placements = 2;
    sm_coordinates c = coordinates_of("base_plane");
    const double slope = sqrt(2 * 0.49 / (3 * 11.5 * 11.5) / 2), level = sqrt(0.49 / 3 / 2 + 0.36 / 2 / 2);
    assert_int_equal(c.shows, SM_SHOWS_PLANE);
    assert_int_equal(c.grid.dims, 3);
    assert_near(c.scale[0], 1 / slope, 1e-12, 0);
    assert_near(c.scale[1], 1 / slope, 1e-12, 0);
    assert_near(c.scale[2], 1 / level, 1e-12, 0);
    demo.c.scan.base_plane = (sm_base_plane){.tilt_form = true, .tilt_sd_deg = 3, .level_sd_mm = 0.4};
    c = coordinates_of("base_plane");
    assert_near(c.scale[0], 1 / tan(3 * (M_PI / 180)), 1e-14, 0);
    assert_near(c.scale[2], 1 / 0.4, 1e-14, 0);
    demo.c.scan.base_plane.tilt_sd_deg = demo.c.scan.base_plane.level_sd_mm = 0;
    assert_int_equal(coordinates_of("base_plane").shows, SM_SHOWS_NOTHING);
}

/* The mean square of (ecc/2) cos 2 psi is (mean^2 + sd^2)/8; ecc is triangular on 0.02, 0.055, 0.10. */
static void an_outline_shows_two_components(void **state)
{
    (void)state;
    demo_fill(&demo);
    const double mean = 0.175 / 3, variance = (0.035 * 0.035 + 0.045 * 0.045 + 0.08 * 0.08) / 36;
    const sm_coordinates c = coordinates_of("eccentricity");
    assert_int_equal(c.shows, SM_SHOWS_OUTLINE);
    assert_int_equal(c.grid.dims, 2);
    assert_near(c.scale[0], 1 / sqrt((mean * mean + variance) / 8), 1e-12, 0);
    assert_near(c.scale[1], c.scale[0], 0, 0);
}

/* Posts that may stand anywhere are a circle; posts about a place are a line. Nobody can check a deployment. */
static void unknown_posts_are_a_circle(void **state)
{
    (void)state;
    demo_fill(&demo);
    sm_coordinates c = coordinates_of("post_azimuth");
    assert_true(c.shows == SM_SHOWS_COLUMNS && c.grid.dims == 1 && c.grid.circular);
    demo.c.valve.post_azimuth_unknown = false;
    demo.c.valve.post_azimuth_deg = sm_dist_normal(35, 7);
    c = coordinates_of("post_azimuth");
    assert_true(c.shows == SM_SHOWS_COLUMNS && c.grid.dims == 1 && !c.grid.circular);
    assert_int_equal(coordinates_of("centreline").grid.dims, 2);
    assert_int_equal(coordinates_of("implant_depth").shows, SM_SHOWS_NOTHING);
}

/* 4. Second looks */

static double look_mm[2][1];
static sm_reader_row look_row[2];

static void add_look(int i, sm_quantity *q, double mm, double sd, double view_deg)
{
    look_mm[i][0] = mm;
    look_row[i] = (sm_reader_row){NULL, 1, look_mm[i]};
    q->cross_check = (sm_cross_check){.present = true,
                                      .readings = {1, &look_row[i]},
                                      .reader_sd_mm = sd,
                                      .view_error_sd_deg = view_deg,
                                      .spoiled = 0.05};
}

/* To know a quantity that has a second look is to know its X: cells lie about both readings, wide enough for either,
 * and the look itself shows nothing of its own. The left gap reads 5.7, corrected for a mean blooming of 0.5; its SD is
 * that of the reader, 0.6, and of what the plane and the centreline move it by: at the ostium's mean height of 9.575 mm
 * point_sd z sqrt(2/3)/R and 0.4. */
static void a_look_shows_the_truth_of_its_quantity(void **state)
{
    (void)state;
    static const double reads[] = {6.6, 14, 5};
    static const double sd[] = {1.3, 1.3, 0.2};
    const double own = 0.36 + gsl_pow_2(0.7 * 9.575 / 11.5) * 2 / 3 + 0.16, first = 5.7 + 0.5;
    for (int i = 0; i < 3; i++) {
        demo_fill(&demo);
        add_look(0, &demo.side[DEMO_LEFT].quantity[SM_OSTIUM_GAP], reads[i], sd[i], 8);
        const sm_coordinates c = coordinates_of("left.ostium_gap");
        assert_int_equal(c.shows, SM_SHOWS_TRUTH);
        assert_true(c.grid.dims == 1 && !c.grid.circular && c.look == 0 && c.one_more == -1);
        assert_near(c.centre[0], (first + reads[i]) / 2, 1e-13, 0);
        assert_near(c.scale[0], 1 / sqrt(fmax(own, sd[i] * sd[i]) + gsl_pow_2((reads[i] - first) / 4)), 1e-12, 0);
        assert_int_equal(coordinates_of("left.ostium_gap.cross_check").shows, SM_SHOWS_NOTHING);
        assert_int_equal(coordinates_of("right.ostium_gap").shows, SM_SHOWS_COLUMNS);
    }
}

/* The scale that looks at gaps share can be calibrated; a direct look at the ring has none. */
static void looks_share_what_can_be_calibrated(void **state)
{
    (void)state;
    demo_fill(&demo);
    add_look(0, &demo.side[DEMO_RIGHT].quantity[SM_STJ_GAP], 3.3, 1, 8);
    add_look(1, &demo.c.valve.inner_diameter, 22.6, 0.3, 0);
    assert_int_equal(coordinates_of("cross_check_calibration").shows, SM_SHOWS_COLUMNS);
    assert_int_equal(coordinates_of("inner_diameter").look, 1); /* sides first */
    assert_int_equal(coordinates_of("inner_diameter.cross_check").shows, SM_SHOWS_NOTHING);
    assert_int_equal(coordinates_of("right.stj_gap").look, 0);
    assert_near(coordinates_of("inner_diameter").centre[0], 22.45, 1e-14, 0);
}

/* The cell of each trial is that of its X, and the trials of one X fall into one cell whatever else they draw. */
static void cells_are_of_the_true_value(void **state)
{
    (void)state;
    sm_plan p;
    sm_worker w;
    int32_t cell[SM_LANES];
    double room[SM_LANES];
    demo_fill(&demo);
    add_look(0, &demo.side[DEMO_LEFT].quantity[SM_OSTIUM_GAP], 6.6, 1.3, 8);
    assert_int_equal(sm_plan_create(&demo.c, 5, &p), SM_OK);
    assert_int_equal(sm_worker_create(&p, &w), SM_OK);
    const sm_coordinates c = sm_coordinates_of(&p, 0, sm_sources_find(&p.sources, "left.ostium_gap"));
    sm_worker_draw(&p, &w, SM_FOR_RUN, 0);
    sm_worker_point(&w, 2);
    sm_evaluate_first(&p, w.column, &w.at);
    sm_coordinates_cell(&c, &p, sm_columns_of(&p, 0, w.column, &w.at), &w.at, cell);
    const double *X = sm_looked_at(&p, 0, &w.at, room);
    for (int i = 0; i < SM_LANES; i++) {
        const sm_landmark *l = &w.at.landmarks[DEMO_LEFT].at[SM_GAP_OSTIUM];
        const double at = (X[i] - c.centre[0]) * c.scale[0], width = 9.0 / SM_GRID_LINE;
        assert_near(X[i], hypot(l->x[i], l->y[i]) - 11.2, 0, 1e-12);
        assert_true(cell[i] >= 0 && cell[i] < SM_GRID_LINE);
        if (fabs(at) < 4.49)
            assert_near(-4.5 + (cell[i] + 0.5) * width, at, 0, width / 2 + 1e-9);
    }
    sm_worker_destroy(&w);
    sm_plan_destroy(&p);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(one_more_reading_tells_a_part),
        cmocka_unit_test(a_plane_shows_slopes_and_level),
        cmocka_unit_test(an_outline_shows_two_components),
        cmocka_unit_test(unknown_posts_are_a_circle),
        cmocka_unit_test(a_look_shows_the_truth_of_its_quantity),
        cmocka_unit_test(looks_share_what_can_be_calibrated),
        cmocka_unit_test(cells_are_of_the_true_value),
    };
    gsl_set_error_handler_off();
    return cmocka_run_group_tests(tests, NULL, NULL);
}

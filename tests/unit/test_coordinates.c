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
    assert_true(c.one_more == c.column[0] && !c.grid.circular && !c.grid.coin);
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

/* About the reading and its foreshortening, 17.8 G^2/2 for a reading of 6.6 mm; the coin where the looks conflict. */
static void a_look_shows_its_gap_and_the_coin(void **state)
{
    (void)state;
    static double mm[] = {6.6};
    static sm_reader_row row = {NULL, 1, mm};
    const double mean_view = (6.6 + 11.2) * gsl_pow_2(8 * (M_PI / 180)) / 2;
    for (int i = 0; i < 2; i++) {
        demo_fill(&demo);
        mm[0] = i == 0 ? 6.6 : 14;
        demo.side[DEMO_LEFT].quantity[SM_OSTIUM_GAP].cross_check =
            (sm_cross_check){.present = true, .readings = {1, &row}, .reader_sd_mm = 1.3, .view_error_sd_deg = 8};
        const sm_coordinates c = coordinates_of("left.ostium_gap.cross_check");
        assert_int_equal(c.shows, SM_SHOWS_LOOK);
        assert_int_equal(c.grid.dims, 1);
        assert_int_equal(c.grid.coin, i == 1);
        assert_true(c.side == DEMO_LEFT && c.gap == SM_GAP_OSTIUM);
        if (i > 0)
            continue;
        assert_near(c.centre[0], 6.6 + mean_view, 1e-14, 0);
        assert_near(c.scale[0], 1 / sqrt(1.69 + 2 * mean_view * mean_view), 1e-13, 0); /* var of G^2/2 c is 2 mean^2 */
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(one_more_reading_tells_a_part),     cmocka_unit_test(a_plane_shows_slopes_and_level),
        cmocka_unit_test(an_outline_shows_two_components),   cmocka_unit_test(unknown_posts_are_a_circle),
        cmocka_unit_test(a_look_shows_its_gap_and_the_coin),
    };
    gsl_set_error_handler_off();
    return cmocka_run_group_tests(tests, NULL, NULL);
}

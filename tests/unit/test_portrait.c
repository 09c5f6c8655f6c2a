/* test_portrait.c - where the parts stand: known heights, and ranges against those of a normal.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "check.h"
#include "demo_case.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_math.h>

#include "engine/portrait.h"

static demo_case demo;

static sm_portrait portrait_of(void)
{
    sm_portrait p;
    assert_int_equal(sm_portrait_run(&demo.c, 5, &p), SM_OK);
    return p;
}

/* Middle m and SD s of a normal. The ends hold 95 of 100: of 16,384 draws they err by 0.02 SDs and the middle by 0.01;
 * five times as much is let through. */
static void expect_normal(const sm_range *r, double m, double s)
{
    assert_near(r->median, m, 0, 0.05 * s + 1e-12);
    assert_near(r->low, m - 1.96 * s, 0, 0.1 * s + 1e-12);
    assert_near(r->high, m + 1.96 * s, 0, 0.1 * s + 1e-12);
}

/* The demo's left side by hand: depth 4, frame 19, skirt 9, hold 22.45, tube top 14.8. */
static void what_stands_still_has_no_range(void **state)
{
    (void)state;
    demo_still_case(&demo);
    sm_portrait p = portrait_of();
    const sm_portrait_side *left = &p.side[DEMO_LEFT];
    expect_normal(&p.frame_bottom, -4, 0);
    expect_normal(&p.frame_top, 15, 0);
    expect_normal(&p.skirt_top, 5, 0);
    expect_normal(&p.ring_radius, 22.45 / 2, 0);
    expect_normal(&left->ostium_height, 9.575, 0);
    expect_normal(&left->ostium_radius, 11.2 + 5.7, 0);
    expect_normal(&left->stj_height, 18, 0);
    expect_normal(&left->stj_radius, 11.2 + 2.7, 0);
    expect_normal(&left->leaflet_top, 14.8, 0);
    expect_normal(&left->tube_top, 14.8, 0);
    assert_near(left->z[0], -4, 0, 1e-12);
    assert_near(left->z[SM_PORTRAIT_HEIGHTS - 1], 14.8, 0, 1e-12);
    assert_true(p.has_posts && !p.post_unknown);
    expect_normal(&p.post, 20, 0);
    /* (4.4), (4.5) and (4.6) at the top: the post is 15 degrees away */
    const double m = 0.5 + 0.5 * (1 + cos(45 * (M_PI / 180))) / 2, top = 22.45 / 2 + 0.5 * 2.05 / 2 * 12.3 / 12.5;
    expect_normal(&left->wall[SM_PORTRAIT_HEIGHTS - 1], top + 0.8 * m + 0.2, 0);
    sm_portrait_destroy(&p);
}

/* The new valve's axis moves the wall toward a side by its part in that direction: an SD of the offset, and of the
 * canting times the height, whatever the azimuth. */
static void the_wall_moves_with_the_axis(void **state)
{
    (void)state;
    demo_still_case(&demo);
    demo.c.implant.offset_sd_mm = 0.4;
    demo.c.implant.canting_sd_deg = 3;
    demo.c.valve.mount_offset_mm = sm_dist_constant(0);
    sm_portrait p = portrait_of();
    for (int k = 0; k < DEMO_SIDES; k++)
        for (int j = 0; j < SM_PORTRAIT_HEIGHTS; j++) {
            const double z = p.side[k].z[j], s = fmax(0, (z - 2.5) / 12.5);
            expect_normal(&p.side[k].wall[j], 22.45 / 2 + 0.5 * 2.05 / 2 * s + 0.2,
                          hypot(0.4, tan(3 * (M_PI / 180)) * z));
        }
    sm_portrait_destroy(&p);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_stands_still_has_no_range),
        cmocka_unit_test(the_wall_moves_with_the_axis),
    };
    gsl_set_error_handler_off();
    return cmocka_run_group_tests(tests, NULL, NULL);
}

/* test_obstruction.c - from a limit to an artery: the published curve on the trials' true gaps.
 *
 * Contents: 1. the curve  2. gaps  3. the interval  4. a case and its alternatives
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "engine/obstruction.h"

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_math.h>
#include <gsl/gsl_randist.h>
#include <gsl/gsl_rng.h>

#include "check.h"
#include "decision/weigh.h"
#include "demo_case.h"

/* 1. The curve */

/* The numbers of the rule's own page for leaflets outside the posts: b 0.6697 a mm, a 0.4604, and the shares at whole
 * millimetres; worked out there from 3.24 +- 2.22 (20), 6.30 +- 2.34 (90), 6.1 of 100 and a reading error of 0.9 mm. */
static void curve_of_the_published_numbers(void **state)
{
    (void)state;
    const sm_series s = sm_series_published(SM_MOUNT_EXTERNAL);
    const sm_series_curve c = sm_series_curve_published(&s);
    static const double want[][2] = {{0, 0.613}, {2, 0.293}, {4, 0.098}, {6, 0.028}, {8, 0.007}};
    assert_near(c.b, 0.6697, 0, 5e-5);
    assert_near(c.a, 0.4604, 0, 5e-5);
    for (size_t i = 0; i < sizeof want / sizeof *want; i++)
        assert_near(sm_series_share(&c, want[i][0]), want[i][1], 0, 6e-4);
}

/* Bayes' rule the long way round: two normal densities of one variance and a base rate (Fisher's discriminant). */
static void curve_is_bayes_rule(void **state)
{
    (void)state;
    const double rate = 0.061, variance = 4.569;
    const sm_series_curve c = sm_series_curve_of(3.24, 6.30, variance, rate);
    for (double t = -3; t <= 12; t += 0.7) {
        const double o = rate * gsl_ran_gaussian_pdf(t - 3.24, sqrt(variance)),
                     u = (1 - rate) * gsl_ran_gaussian_pdf(t - 6.30, sqrt(variance));
        assert_near(sm_series_share(&c, t), o / (o + u), 1e-12, 0);
    }
}

/* Averaged over the mixture of true gaps that the series had, the curve gives their base rate back. */
static void curve_gives_the_base_rate_back(void **state)
{
    (void)state;
    for (int mount = SM_MOUNT_INTERNAL; mount <= SM_STENTLESS; mount++) {
        const sm_series s = sm_series_published((sm_leaflet_mount)mount);
        const sm_series_curve c = sm_series_curve_published(&s);
        const double rate = s.rate.per_100 / 100, variance = (6.30 - 3.24) / c.b, step = 0.01;
        double sum = 0;
        for (double t = -15; t < 25; t += step)
            sum += step * sm_series_share(&c, t) *
                   (rate * gsl_ran_gaussian_pdf(t - 3.24, sqrt(variance)) +
                    (1 - rate) * gsl_ran_gaussian_pdf(t - 6.30, sqrt(variance)));
        assert_near(sum, rate, 1e-8, 0);
    }
}

/* 2. Gaps */

static void fill(double *x, double value)
{
    for (int i = 0; i < SM_LANES; i++)
        x[i] = value;
}

static double obstructed(const sm_reached *r)
{
    const sm_series s = sm_series_published(SM_MOUNT_EXTERNAL);
    sm_obstruction o;
    assert_int_equal(sm_obstruction_of(r, &s, 0.5, 0.5, 1, &o), SM_OK);
    return o.probability;
}

/* As planned the least gap counts of the sides that the tube reaches; where it reaches none, nothing is expected. */
static void least_reached_gap_counts(void **state)
{
    (void)state;
    const sm_series s = sm_series_published(SM_MOUNT_EXTERNAL);
    const sm_series_curve c = sm_series_curve_published(&s);
    static sm_reached_group g;
    double gap[2][SM_LANES], cover[2][SM_LANES];
    sm_reached r;
    assert_int_equal(sm_reached_create(0, &r), SM_OK);
    fill(gap[0], 5);
    fill(gap[1], 3);
    fill(cover[0], 0); /* it reaches at 0 already */
    fill(cover[1], 1);
    for (int i = 0; i < SM_LANES / 4; i++)
        cover[1][i] = -0.1;
    for (int i = 0; i < SM_LANES / 8; i++)
        cover[0][i] = -0.1;
    sm_reached_begin(&g);
    for (int k = 0; k < 2; k++)
        sm_reached_side(&r, &g, k, gap[k], cover[k], NULL, 0, &c);
    sm_reached_add(&r, &g, NULL, SM_LANES);
    /* 1/8 neither, 1/8 at 5 mm, 3/4 at 3 mm; a bin is 0.14 mm wide */
    assert_near(obstructed(&r), sm_series_share(&c, 5) / 8 + sm_series_share(&c, 3) * 3 / 4, 0.05, 0);
    sm_reached_destroy(&r);
}

/* A leaflet that was split keeps (97.7 - 90.6)/97.7 of its share, a rescue its failures; the worst side is what is
 * left. */
static void split_and_rescued_sides_keep_a_share(void **state)
{
    (void)state;
    const sm_series s = sm_series_published(SM_MOUNT_EXTERNAL);
    const sm_series_curve c = sm_series_curve_published(&s);
    static sm_reached_group g;
    double near[SM_LANES], far[SM_LANES], cover[SM_LANES], opened[SM_LANES];
    sm_reached r;
    assert_int_equal(sm_reached_create(2, &r), SM_OK);
    fill(near, 1);
    fill(far, 7);
    fill(cover, 2);
    fill(opened, 1);
    for (int i = 0; i < SM_LANES / 2; i++)
        opened[i] = 0;
    sm_reached_begin(&g);
    sm_reached_side(&r, &g, 0, near, cover, opened, 0.25, &c);
    sm_reached_side(&r, &g, 1, far, cover, NULL, 0, &c);
    sm_reached_add(&r, &g, NULL, SM_LANES);
    const double split = fmax(0.75 * (97.7 - 90.6) / 97.7 * sm_series_share(&c, 1), sm_series_share(&c, 7));
    assert_near(obstructed(&r), 0.75 * sm_series_share(&c, 1) / 2 + split / 2, 0.05, 0);
    sm_reached_destroy(&r);
}

/* What only a sealed sinus makes: above a tenth there is no number. */
static void a_sealed_sinus_is_not_covered(void **state)
{
    (void)state;
    const sm_series s = sm_series_published(SM_MOUNT_INTERNAL);
    sm_obstruction o;
    sm_reached r;
    assert_int_equal(sm_reached_create(0, &r), SM_OK);
    r.all = r.squares = 10;
    r.bin[100] = 10;
    assert_int_equal(sm_obstruction_of(&r, &s, 0.2, 0.179, 1, &o), SM_OK);
    assert_false(o.covered);
    assert_int_equal(sm_obstruction_of(&r, &s, 0.2, 0.181, 1, &o), SM_OK);
    assert_true(o.covered);
    assert_int_equal(sm_obstruction_of(&r, &s, 0, 0, 1, &o), SM_OK);
    assert_true(o.covered && o.exceeds);
    sm_reached_destroy(&r);
}

/* 3. The interval */

static sm_published_group sample(gsl_rng *r, double mean, double sd, int n)
{
    double sum = 0, squares = 0;
    for (int i = 0; i < n; i++) {
        const double x = mean + sd * gsl_ran_ugaussian(r);
        sum += x;
        squares += x * x;
    }
    return (sm_published_group){sum / n, sqrt((squares - sum * sum / n) / (n - 1)), n};
}

/* 400 series of the published sizes, drawn from a truth that is known: at least 93 of 100 intervals hold it. */
static void interval_covers(void **state)
{
    (void)state;
    enum { REPEATS = 400 };
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    const double sd = 2.3192, error = 0.9, rate = 0.061;
    const sm_series_curve true_curve = sm_series_curve_of(3.24, 6.30, sd * sd - error * error, rate);
    sm_reached r;
    int held = 0;
    double truth = 0;
    assert_non_null(rng);
    assert_int_equal(sm_reached_create(0, &r), SM_OK);
    for (int i = 0; i < SM_REACHED_BINS; i++) { /* gaps of a case: normal, 4.9 mm, SD 1.2 */
        const double t = SM_REACHED_FROM + (i + 0.5) * (SM_REACHED_TO - SM_REACHED_FROM) / SM_REACHED_BINS;
        r.bin[i] = 1e4 * gsl_ran_gaussian_pdf(t - 4.9, 1.2);
        r.all += r.bin[i];
        truth += r.bin[i] * sm_series_share(&true_curve, t);
    }
    r.squares = r.all;
    truth /= r.all;
    for (int i = 0; i < REPEATS; i++) {
        const int events = (int)gsl_ran_binomial(rng, rate, 213);
        const sm_series s = {sample(rng, 3.24, sd, 20), sample(rng, 6.30, sd, 90), {100.0 * events / 213, events, 213}};
        sm_obstruction o;
        assert_int_equal(sm_obstruction_of(&r, &s, 0.3, 0.3, (uint64_t)i, &o), SM_OK);
        held += o.low95 <= truth && truth <= o.high95;
    }
    if (held < REPEATS * 93 / 100)
        fprintf(stderr, "%d of %d intervals hold the truth\n", held, REPEATS);
    assert_true(held >= REPEATS * 93 / 100);
    gsl_rng_free(rng);
    sm_reached_destroy(&r);
}

/* 4. A case and its alternatives */

static sm_alternative alternative(const sm_case *c, char *name)
{
    sm_alternative a = {.name = name, .implant = c->implant, .valve = c->valve, .burden = 0.01, .burden_stated = true};
    for (int k = 0; k < SM_MAX_CORONARIES; k++)
        a.lacerate[k] = a.rescue[k] = SM_NOT_DONE;
    return a;
}

enum { SMALLER, SPLIT, WIRE, NOTHING, ACTS };

/* Each act moves the number the right way, and what does nothing leaves it as it is. */
static void acts_move_it_the_right_way(void **state)
{
    (void)state;
    static char name[ACTS][16] = {"smaller", "split", "wire", "nothing"};
    demo_case demo;
    sm_alternative act[ACTS];
    sm_weigh w;
    demo_fill(&demo);
    for (int i = 0; i < ACTS; i++)
        act[i] = alternative(&demo.c, name[i]);
    act[SMALLER].patches_implant = true;
    act[SMALLER].implant.nominal_diameter_mm -= 2.5;
    act[SPLIT].lacerate[DEMO_LEFT] = 0.93;
    act[WIRE].rescue[DEMO_LEFT] = 0.9;
    act[NOTHING].rescue[DEMO_LEFT] = 0;
    demo.c.alternative = act;
    demo.c.n_alternatives = ACTS;
    demo.c.action_line = 0.2;
    assert_int_equal(sm_weigh_run(&demo.c, 0, (sm_run_context){.trials = 65536, .seed = 3}, &w), SM_OK);
    const sm_obstruction *planned = &w.row[0].obstruction;
    assert_near(planned->probability, w.assessment.obstruction.probability, 0, 0);
    assert_true(planned->low95 < planned->probability && planned->probability < planned->high95);
    for (int i = 0; i < NOTHING; i++)
        assert_true(w.row[1 + i].obstruction.probability < planned->probability - 5 * planned->standard_error);
    assert_near(w.row[1 + NOTHING].obstruction.probability, planned->probability, 1e-9, 0);
    demo.c.alternative = NULL;
    demo.c.n_alternatives = 0;
    sm_weigh_destroy(&w);
}

/* The event by the other published limits is that of the case with those limits, trial for trial. */
static void other_limits_are_another_case(void **state)
{
    (void)state;
    demo_case demo;
    sm_assessment planning, after;
    const sm_run_context context = {.trials = 20000, .seed = 9};
    demo_fill(&demo);
    demo.c.limits.ostium_clearance_mm = sm_dist_constant(4);
    demo.c.limits.stj_clearance_mm = sm_dist_constant(2);
    assert_int_equal(sm_assess(&demo.c, context, &planning), SM_OK);
    demo.c.limits.ostium_clearance_mm = sm_dist_constant(3);
    demo.c.limits.stj_clearance_mm = sm_dist_constant(1);
    assert_int_equal(sm_assess(&demo.c, context, &after), SM_OK);
    assert_int_equal(planning.by_limits[SM_LIMITS_PLANNING].k, planning.patient.event.k);
    assert_int_equal(planning.by_limits[SM_LIMITS_AFTER_IMPLANT].k, after.patient.event.k);
    assert_int_equal(after.by_limits[SM_LIMITS_PLANNING].k, planning.patient.event.k);
    assert_true(after.patient.event.k > 0 && after.patient.event.k < planning.patient.event.k);
    sm_assessment_destroy(&planning);
    sm_assessment_destroy(&after);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(curve_of_the_published_numbers),
        cmocka_unit_test(curve_is_bayes_rule),
        cmocka_unit_test(curve_gives_the_base_rate_back),
        cmocka_unit_test(least_reached_gap_counts),
        cmocka_unit_test(split_and_rescued_sides_keep_a_share),
        cmocka_unit_test(a_sealed_sinus_is_not_covered),
        cmocka_unit_test(interval_covers),
        cmocka_unit_test(acts_move_it_the_right_way),
        cmocka_unit_test(other_limits_are_another_case),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

/* test_looks.c - what second looks make of a whole case: its limits in closed form, and everything that is counted with
 * their weights.
 *
 * Contents: 1. a gap, a look and nothing else  2. limits  3. readings that move apart  4. beside the case
 *           5. what a re-check shows and is worth  6. shares of variance  7. guarded limits  8. where the parts stand
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "check.h"
#include "looked_case.h"

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_errno.h>
#include <gsl/gsl_integration.h>
#include <gsl/gsl_math.h>
#include <gsl/gsl_randist.h>

#include "decision/guarded.h"
#include "decision/nested.h"
#include "decision/sensitivity.h"
#include "decision/weigh.h"
#include "decision/weighted_shares.h"
#include "decision/worth.h"
#include "engine/portrait.h"

static looked_case looked;
static const sm_run_context many = {.trials = 400000, .seed = 3};

/* 1. A gap, a look and nothing else */

/* So seldom spoiled that it does not matter. */
#define NEVER 1e-9

/* The plain case with a left gap beside the ostium of m mm and SD s, and a look at it. Crowded below 4 mm. */
static sm_cross_check *one_gap(double m, double s, double reading, double sd, double view_deg, double spoiled)
{
    looked_hangs_on(&looked, SM_LOOKED_OSTIUM_GAP);
    looked_quantity(&looked, DEMO_LEFT, SM_LOOKED_OSTIUM_GAP)->value = sm_dist_normal(m, s);
    sm_cross_check *c = looked_add(&looked, DEMO_LEFT, SM_LOOKED_OSTIUM_GAP, reading, sd, view_deg, 0);
    c->spoiled = spoiled;
    return c;
}

static sm_assessment assess(void)
{
    sm_assessment a;
    assert_int_equal(sm_assess(&looked.d.c, many, &a), SM_OK);
    assert_int_equal(a.not_numbers, 0);
    return a;
}

typedef struct {
    double mean, variance;
} normal;

/* The product of two normals. */
static normal product(double m, double s, double n, double t)
{
    const double first = 1 / (s * s), second = 1 / (t * t);
    return (normal){(m * first + n * second) / (first + second), 1 / (first + second)};
}

/* 2. Limits */

/* No reading is spoiled, view and scale are exact: X is the product of two normals. Within 4 standard errors, and the
 * event with it. */
static void a_look_is_a_factor(void **state)
{
    (void)state;
    static const double given[][4] = {{5, 0.8, 6, 0.6}, {4.2, 0.3, 3.1, 1.2}, {4.4, 1.1, 4.4, 0.2}, {4, 0.5, 6.5, 0.5}};
    for (int i = 0; i < 4; i++) {
        const double *g = given[i];
        const normal want = product(g[0], g[1], g[2], g[3]);
        one_gap(g[0], g[1], g[2], g[3], 0, NEVER);
        sm_assessment a = assess();
        const sm_continuous *X = &a.side[DEMO_LEFT].output[SM_CONVENTIONAL_OSTIUM];
        const double n = a.effective_trials, P = gsl_cdf_gaussian_P(4 - want.mean, sqrt(want.variance));
        assert_true(n > 0.7 * (double)a.trials && n < (double)a.trials);
        assert_near(X->mean, want.mean, 0, 4 * sqrt(want.variance / n));
        assert_near(X->sd * X->sd, want.variance, 4 * sqrt(2 / n), 0);
        assert_near(X->median, want.mean, 0, 4 * sqrt(M_PI / 2 * want.variance / n));
        assert_near(X->high95, want.mean + 1.959964 * sqrt(want.variance), 0, 4 * 2.67 * sqrt(want.variance / n));
        assert_near(a.patient.event.probability, P, 0, 4 * sqrt(P * (1 - P) / n) + 1e-7);
        assert_near(a.look[0].state[SM_BOTH_RIGHT].probability, 1, 0, 1e-6);
        sm_assessment_destroy(&a);
    }
}

/* A look that reads the same with the same SD halves the variance. */
static void an_equal_look_halves_the_variance(void **state)
{
    (void)state;
    one_gap(5.3, 0.9, 5.3, 0.9, 0, NEVER);
    sm_assessment a = assess();
    const sm_continuous *X = &a.side[DEMO_LEFT].output[SM_CONVENTIONAL_OSTIUM];
    assert_near(X->mean, 5.3, 0, 4 * sqrt(0.405 / a.effective_trials));
    assert_near(X->sd * X->sd, 0.81 / 2, 4 * sqrt(2 / a.effective_trials), 0);
    sm_assessment_destroy(&a);
}

/* The less a look can tell, the nearer to the first reading alone: by its view, and by its reader until nothing is
 * left. */
static void a_blunt_look_leaves_the_first_reading(void **state)
{
    (void)state;
    static const double view[] = {0, 8, 20, 40}, sd[] = {0.5, 1.5, 5, 500};
    const double alone = gsl_cdf_gaussian_P(4 - 4.9, 0.8);
    double before[2] = {0, 0};
    for (int i = 0; i < 4; i++) {
        one_gap(4.9, 0.8, 5.4, 0.5, view[i], NEVER);
        sm_assessment a = assess();
        assert_true(a.side[DEMO_LEFT].output[SM_CONVENTIONAL_OSTIUM].sd > before[0]);
        before[0] = a.side[DEMO_LEFT].output[SM_CONVENTIONAL_OSTIUM].sd;
        sm_assessment_destroy(&a);
        one_gap(4.9, 0.8, 5.4, sd[i], 0, NEVER);
        a = assess();
        assert_true(a.patient.event.probability > before[1]);
        before[1] = a.patient.event.probability;
        if (i == 3)
            assert_near(before[1], alone, 0, 4 * a.patient.event.standard_error);
        sm_assessment_destroy(&a);
    }
    assert_true(before[0] > 0.5 && before[0] < 0.8); /* a view can only shorten: X is hardly less than 5.4 mm */
}

/* The states are all there is, and the event is that of the states. */
static void states_are_all_there_is(void **state)
{
    (void)state;
    one_gap(4.9, 0.8, 6.9, 0.7, 12, 0.1);
    sm_assessment a = assess();
    const sm_probability *s = a.look[0].state;
    assert_near(s[0].probability + s[1].probability + s[2].probability, 1, 1e-9, 0);
    for (int i = 0; i < SM_LOOK_STATES; i++)
        assert_true(s[i].probability > 0.01 && s[i].low < s[i].probability && s[i].probability < s[i].high);
    assert_near(a.look[0].event_first_only.probability, gsl_cdf_gaussian_P(4 - 4.9, 0.8), 0,
                4 * a.look[0].event_first_only.standard_error);
    sm_assessment_destroy(&a);
}

/* Without a look nothing is weighted. */
static void without_looks_all_trials_count(void **state)
{
    (void)state;
    looked_hangs_on(&looked, SM_LOOKED_OSTIUM_GAP);
    looked_quantity(&looked, DEMO_LEFT, SM_LOOKED_OSTIUM_GAP)->value = sm_dist_normal(4.9, 0.8);
    sm_assessment a = assess();
    assert_true(a.n_looks == 0 && a.effective_trials == (double)a.trials && a.patient.event.n == a.trials);
    assert_near(a.patient.event.standard_error,
                sqrt(a.patient.event.probability * (1 - a.patient.event.probability) / (double)a.trials), 1e-12, 0);
    sm_assessment_destroy(&a);
}

/* 3. Readings that move apart */

/* E[J] of a look with this view, J = 1/cos G, cut at 60 degrees; if X of the look alone, its reader's error s, lies in
 * the domain of -5 to 30 mm. By quadrature. */
static double mean_J(double reading, double s, double view_deg)
{
    const double view = view_deg * M_PI / 180;
    double sum = 0, all = 0;
    if (view == 0)
        return gsl_cdf_gaussian_P(30 - reading, s) - gsl_cdf_gaussian_P(-5 - reading, s);
    gsl_integration_glfixed_table *t = gsl_integration_glfixed_table_alloc(64);
    for (size_t i = 0; i < 64; i++) {
        double G, w;
        gsl_integration_glfixed_point(0, fmin(M_PI / 3, 7 * view), i, &G, &w, t);
        w *= gsl_ran_gaussian_pdf(G, view);
        const double X = (reading + 11.2) / cos(G) - 11.2, sd = s / cos(G);
        all += w;
        sum += w / cos(G) * (gsl_cdf_gaussian_P(30 - X, sd) - gsl_cdf_gaussian_P(-5 - X, sd));
    }
    gsl_integration_glfixed_table_free(t);
    return sum / all;
}

/* As two readings move apart both cannot be right: which is off, the mixture says: first off to look off as E[J] and
 * the chance that X is in its domain; half each where J is 1. Once the look leaves the domain it is the one that is
 * off. */
static void of_two_readings_apart_one_is_off(void **state)
{
    (void)state;
    static const double view[] = {0, 8, 20, 40}, reading[] = {12, 18, 29.5, 33};
    for (int i = 0; i < 4; i++)
        for (int j = 0; j < 4; j++) {
            one_gap(4.9, 0.5, reading[j], 0.6, view[i], 0.05);
            sm_assessment a = assess();
            const sm_probability *s = a.look[0].state;
            const double off = mean_J(reading[j], 0.6, view[i]), want = off / (1 + off);
            assert_near(s[SM_BOTH_RIGHT].probability, 0, 0, j == 0 ? 1e-5 : 1e-12);
            assert_near(s[SM_FIRST_OFF].probability, want, 0, 4 * s[SM_FIRST_OFF].standard_error + 1e-5);
            assert_true(s[SM_FIRST_OFF].standard_error < 0.004);
            if (view[i] == 0 && j < 2)
                assert_near(want, 0.5, 1e-12, 0);
            sm_assessment_destroy(&a);
        }
}

/* 4. Beside the case */

/* The example case with two looks, one far off, and an alternative. */
static void whole_case(void)
{
    looked.n = 0;
    demo_fill(&looked.d);
    looked_add(&looked, DEMO_LEFT, SM_LOOKED_OSTIUM_GAP, 7.1, 1, 8, 0.04);
    looked_add(&looked, DEMO_RIGHT, SM_LOOKED_OSTIUM_GAP, 3.9, 1, 8, 0.04);
}

static void expect_equal_within(const sm_probability *a, const sm_probability *b)
{
    const double error = hypot(a->standard_error, b->standard_error);
    assert_true(error < 0.004);
    assert_near(a->probability, b->probability, 0, 4.5 * error);
}

static sm_probability event_of(const sm_case *c, uint64_t seed)
{
    sm_assessment a;
    assert_int_equal(sm_assess(c, (sm_run_context){.trials = 300000, .seed = seed}, &a), SM_OK);
    const sm_probability p = a.patient.event;
    sm_assessment_destroy(&a);
    return p;
}

/* Another version of the case on the draws of the case is that version by itself, to the bit: it has weights of its
 * own.
 */
static void a_version_weighs_by_its_own_looks(void **state)
{
    (void)state;
    sm_coronary side[DEMO_SIDES];
    whole_case();
    sm_case other = looked.d.c;
    memcpy(side, looked.d.side, sizeof side);
    other.coronary = side;
    side[DEMO_RIGHT].quantity[SM_OSTIUM_GAP].cross_check.present = false;
    side[DEMO_LEFT].quantity[SM_OSTIUM_GAP].cross_check.spoiled = 0.15;
    const sm_case *version[] = {&other};
    sm_version_results r;
    assert_int_equal(
        sm_assess_versions(&looked.d.c, version, 1, (sm_run_context){.trials = 300000, .seed = 8}, NULL, &r), SM_OK);
    const sm_probability want = event_of(&other, 8), own = event_of(&looked.d.c, 8);
    assert_memory_equal(&r.at[0].patient.event, &want, sizeof want);
    assert_memory_equal(&r.own, &own, sizeof own);
    assert_near(r.at[0].difference.value, want.probability - own.probability, 1e-12, 1e-12);
    assert_true(r.at[0].difference.standard_error < hypot(want.standard_error, own.standard_error));
    sm_version_results_destroy(&r);
}

static sm_alternative alternative;

static void set_alternative(const sm_implant *implant, const sm_surgical_valve *valve)
{
    alternative = (sm_alternative){.name = (char *)"another", .burden = 0.02, .burden_stated = true};
    for (int k = 0; k < SM_MAX_CORONARIES; k++)
        alternative.lacerate[k] = alternative.rescue[k] = SM_NOT_DONE;
    alternative.patches_implant = implant != NULL;
    alternative.patches_valve = valve != NULL;
    alternative.implant = implant ? *implant : looked.d.c.implant;
    alternative.valve = valve ? *valve : looked.d.c.valve;
    looked.d.c.n_alternatives = 1;
    looked.d.c.alternative = &alternative;
}

static sm_weigh weigh(void)
{
    sm_weigh w;
    assert_int_equal(sm_weigh_run(&looked.d.c, 0, (sm_run_context){.trials = 300000, .seed = 4}, &w), SM_OK);
    assert_int_equal(w.n_rows, 2);
    return w;
}

/* A smaller valve, as a row beside the plan and as a case of its own; the difference is surer than two runs'. */
static void an_alternative_is_weighted_as_the_case(void **state)
{
    (void)state;
    whole_case();
    sm_implant smaller = looked.d.c.implant;
    smaller.nominal_diameter_mm = 22.5;
    set_alternative(&smaller, NULL);
    sm_weigh w = weigh();
    const sm_probability planned = event_of(&looked.d.c, 11);
    looked.d.c.implant = smaller;
    const sm_probability other = event_of(&looked.d.c, 12);
    expect_equal_within(&w.row[0].event, &planned);
    expect_equal_within(&w.row[1].event, &other);
    assert_near(w.row[1].event_difference.value, w.row[1].event.probability - w.row[0].event.probability, 1e-12, 1e-12);
    assert_true(w.row[1].event_difference.standard_error <
                0.8 * hypot(w.row[0].event.standard_error, w.row[1].event.standard_error));
    assert_near(w.row[0].cheapest + w.row[1].cheapest, 1, 1e-9, 0);
    sm_weigh_destroy(&w);
    looked.d.c.n_alternatives = 0;
}

/* A ring to be cracked: what a look says of the ring as it is says nothing of the ring that is made of it. */
static void a_cracked_ring_is_not_the_one_looked_at(void **state)
{
    (void)state;
    whole_case();
    sm_surgical_valve cracked = looked.d.c.valve;
    cracked.inner_diameter = (sm_quantity){.value = sm_dist_normal(23.4, 0.4)};
    looked_add(&looked, SM_SHARED, SM_LOOKED_INNER_DIAMETER, 21.5, 0.2, 0, 0);
    set_alternative(NULL, &cracked);
    sm_weigh w = weigh();
    looked.d.c.n_alternatives = 0;
    const sm_probability planned = event_of(&looked.d.c, 13);
    looked.d.c.valve = cracked;
    const sm_probability other = event_of(&looked.d.c, 14);
    expect_equal_within(&w.row[0].event, &planned);
    expect_equal_within(&w.row[1].event, &other);
    assert_true(fabs(w.row[1].event_difference.value) > 10 * w.row[1].event_difference.standard_error);
    sm_weigh_destroy(&w);
}

/* A normal of weight w, times a population of N(6.3, 1.5^2): adds the weight that is left and that of its events. */
static void add_common(double w, normal X, double *all, double *events)
{
    const normal left = product(X.mean, sqrt(X.variance), 6.3, 1.5);
    const double weight = w * gsl_ran_gaussian_pdf(X.mean - 6.3, sqrt(X.variance + 2.25));
    *all += weight;
    *events += weight * gsl_cdf_gaussian_P(4 - left.mean, sqrt(left.variance));
}

/* The plain case's gap again, with a population: each of the three states is a normal, and so is its product with one.
 */
static void a_population_is_one_more_factor(void **state)
{
    (void)state;
    static const double m = 4.9, s = 0.8, y = 4.2, t = 0.3, off = 0.05 / 0.95 / 35;
    double all = 0, events = 0;
    one_gap(m, s, y, t, 0, 0.05);
    looked.d.c.population.ostium_gap_mm = sm_dist_normal(6.3, 1.5);
    add_common(gsl_ran_gaussian_pdf(y - m, hypot(s, t)), product(m, s, y, t), &all, &events);
    add_common(off, (normal){m, s * s}, &all, &events);
    add_common(off, (normal){y, t * t}, &all, &events);
    sm_assessment a = assess();
    assert_true(a.event_in_population.standard_error < 0.002);
    assert_near(a.event_in_population.probability, events / all, 0, 4.5 * a.event_in_population.standard_error);
    sm_assessment_destroy(&a);
}

/* 5. What a re-check shows and is worth */

/* The gap's X has the variance v and its middle at the limit; the new valve moves off centre by N(0, 0.3). Given X the
 * event has the probability Phi(Z sqrt(v)/0.3). The offset across adds 0.003 mm. */
static double two_sources(double spoiled)
{
    const normal X = product(5.7, 0.6, 5.1, 0.5);
    one_gap(5.7, 0.6, 5.1, 0.5, 0, spoiled);
    looked.d.c.implant.offset_sd_mm = 0.3;
    looked.d.c.limits.ostium_clearance_mm = sm_dist_constant(X.mean);
    return X.variance;
}

static sm_plan plan_of(void)
{
    sm_plan p;
    assert_int_equal(sm_plan_create(&looked.d.c, 5, &p), SM_OK);
    return p;
}

/* At a line of 1/2 what remains is E[min(Phi(k Z), 1/2)] = 1/4 + atan(1/k)/(2 pi), k = sqrt(v)/0.3; all of it the gap's
 * X, which a re-check shows: its worth is 1/2 less that. By nested trials, and by cells. */
static void a_look_s_worth_in_closed_form(void **state)
{
    (void)state;
    const double k = sqrt(two_sources(NEVER)) / 0.3, remains = 0.25 + atan(1 / k) / (2 * M_PI);
    sm_plan p = plan_of();
    sm_worths w;
    assert_int_equal(sm_worth_run(&p, 0.5, 65536, (sm_run_context){.trials = 800000}, &w), SM_OK);
    const sm_source_worth *gap = &w.source[sm_sources_find(&p.sources, "left.ostium_gap")];
    assert_near(w.event.probability, 0.5, 0, 5 * w.event.standard_error + 0.003);
    assert_true(w.expected_cost.standard_error < 0.002);
    assert_near(w.expected_cost.value, remains, 0, 4 * w.expected_cost.standard_error + 5e-4);
    assert_near(gap->perfect.value.value, 0.5 - remains, 0, 5 * gap->perfect.value.standard_error + 0.002);
    assert_true(gap->varies && !gap->one_more_defined);
    assert_false(w.source[sm_sources_find(&p.sources, "left.ostium_gap.cross_check")].varies);
    assert_false(w.source[sm_sources_find(&p.sources, "offset")].varies);
    sm_worths_destroy(&w);
    sm_plan_destroy(&p);
}

static bool is_reducible(const void *self, const sm_sources *s, int column)
{
    (void)self;
    return s->source[s->column[column].source].reducible;
}

/* P(event | X) of each outer trial by counting: the mixture of three with a look that is likely off, which X alone
 * settles. min(P, q) - E[min(P(event | X), q)] by nested trials is the worth by cells. */
static void nested_trials_agree_with_cells(void **state)
{
    (void)state;
    two_sources(0.2);
    looked.mm[0][0] = 7.4;
    for (int i = 0; i < 2; i++) {
        const double q = i == 0 ? 0.2 : 0.45;
        const sm_nested_request known = {.known = is_reducible, .q = q, .inner = 512};
        sm_plan p = plan_of();
        sm_worths w;
        sm_estimate cost;
        assert_int_equal(sm_worth_run(&p, q, 1024, (sm_run_context){.trials = 800000}, &w), SM_OK);
        assert_int_equal(sm_nested_run(&p, &known, (sm_run_context){.trials = 32768}, &cost), SM_OK);
        const sm_estimate *value = &w.source[sm_sources_find(&p.sources, "left.ostium_gap")].perfect.value;
        assert_true(cost.standard_error < 0.002 && value->standard_error < 0.002);
        assert_near(value->value, fmin(w.event.probability, q) - cost.value, 0,
                    4 * hypot(value->standard_error, cost.standard_error) + 0.001);
        sm_worths_destroy(&w);
        sm_plan_destroy(&p);
    }
}

/* E[min(P, q)] over normal X of the known mixture by quadrature would need no trials: the brute force of the same by
 * weighted outer trials, each with P(event | X) in closed form. */
static void nested_trials_against_brute_force(void **state)
{
    (void)state;
    two_sources(0.2);
    looked.mm[0][0] = 7.4;
    const double limit = sm_dist_mean(&looked.d.c.limits.ostium_clearance_mm), q = 0.3;
    const sm_nested_request known = {.known = is_reducible, .q = q, .inner = 256};
    sm_plan p = plan_of();
    sm_worker w;
    sm_estimate cost;
    sm_weighted sum = {0};
    double weight[SM_LANES], room[SM_LANES], least[SM_LANES];
    assert_int_equal(sm_worker_create(&p, &w), SM_OK);
    for (uint32_t block = 0; block < 200; block++) {
        sm_worker_draw(&p, &w, SM_FOR_REDRAW, block);
        for (int g = 0; g < SM_BLOCK / SM_LANES; g++) {
            sm_worker_point(&w, g);
            sm_evaluate_first(&p, w.column, &w.at);
            sm_evaluate_weights(&p, 0, &w.at, weight);
            const double *X = sm_looked_at(&p, 0, &w.at, room);
            for (int i = 0; i < SM_LANES; i++)
                least[i] = fmin(q, gsl_cdf_gaussian_P(limit - X[i], 0.3));
            sm_weighted_add(&sum, weight, least, SM_LANES);
        }
    }
    assert_int_equal(sm_nested_run(&p, &known, (sm_run_context){.trials = 65536}, &cost), SM_OK);
    const sm_estimate want = sm_weighted_mean(&sum);
    assert_true(cost.standard_error < 0.001);
    assert_near(cost.value, want.value, 0, 4 * hypot(cost.standard_error, want.standard_error) + 3e-4);
    sm_worker_destroy(&w);
    sm_plan_destroy(&p);
}

/* The cells of every source hold all trials, brought to so many as are effective, half in each half; and their events
 * are the case's. */
static void cells_hold_the_effective_trials(void **state)
{
    (void)state;
    sm_cells c;
    whole_case();
    sm_plan p = plan_of();
    const sm_cells_request request = {.n_roots = 1};
    assert_int_equal(sm_cells_create(&p, &request, &c), SM_OK);
    assert_int_equal(sm_cells_run(&c, (sm_run_context){.trials = 200000}), SM_OK);
    const double n = sm_weighted_effective(&c.event), P = sm_weighted_share(&c.event);
    assert_true(n > 0.3 * 200000 && n < 200000);
    for (int source = 0; source < c.n_sources; source++) {
        double in[2] = {0, 0}, events[2] = {0, 0};
        if (c.shows[source].shows == SM_SHOWS_NOTHING)
            continue;
        for (int i = c.first[source]; i < c.first[source + 1]; i++)
            for (int h = 0; h < 2; h++) {
                assert_true(c.cell[i].events[h] <= c.cell[i].n[h] * (1 + 1e-9));
                in[h] += c.cell[i].n[h];
                events[h] += c.cell[i].events[h];
            }
        assert_near(in[0] + in[1], n, 1e-9, 0);
        assert_near(in[0], n / 2, 0.02, 0);
        assert_near((events[0] + events[1]) / n, P, 1e-9, 0);
    }
    sm_cells_destroy(&c);
    sm_plan_destroy(&p);
}

/* 6. Shares of variance */

/* Two normals with a correlation of r are both below their middle with probability 1/4 + asin(r)/(2 pi): the
 * first-order share of what they have in common, of a variance of 1/4. */
static double shared(double r)
{
    return asin(r) / (2 * M_PI) / 0.25;
}

/* By closed form: the gap's X carries v/(v + 0.09) of the clearance, the offset the rest. */
static void weighted_shares_in_closed_form(void **state)
{
    (void)state;
    const double v = two_sources(NEVER), gap = shared(v / (v + 0.09)), offset = shared(0.09 / (v + 0.09));
    sm_plan p = plan_of();
    sm_sensitivity s;
    assert_int_equal(sm_sensitivity_run(&p, (sm_run_context){.trials = 1048576}, &s), SM_OK);
    const sm_share *of_gap = &s.share[sm_sources_find(&p.sources, "left.ostium_gap")],
                   *of_offset = &s.share[sm_sources_find(&p.sources, "offset")],
                   *of_look = &s.share[sm_sources_find(&p.sources, "left.ostium_gap.cross_check")];
    assert_true(of_gap->first_only && of_gap->n_outputs == 0);
    assert_ptr_equal(sm_share_rank(of_gap), &of_gap->event.first);
    assert_true(of_gap->event.first.standard_error < 0.01 && of_offset->event.first.standard_error < 0.01);
    assert_near(of_gap->event.first.value, gap, 0, 5 * of_gap->event.first.standard_error + 0.004);
    assert_near(of_offset->event.first.value, offset, 0, 5 * of_offset->event.first.standard_error + 0.004);
    assert_near(of_look->event.first.value, 0, 0, 0);
    assert_near(s.irreducible_variance.value, (1 - gap) / 4, 0, 5 * s.irreducible_variance.standard_error + 0.001);
    sm_sensitivity_destroy(&s);
    sm_plan_destroy(&p);
}

/* Cells of few trials differ by chance: that is no share. A gap of the right side, cut in two dimensions, that is never
 * crossed. */
static void what_does_not_matter_has_no_share(void **state)
{
    (void)state;
    double sum = 0, error = 0;
    two_sources(NEVER);
    demo_read(&looked.d, DEMO_RIGHT, SM_STJ_GAP, 9, 0.3, 0);
    looked.d.side[DEMO_RIGHT].quantity[SM_STJ_GAP].resolution_mm = 0.4;
    for (uint64_t seed = 1; seed <= 16; seed++) {
        sm_plan p;
        sm_sensitivity s;
        assert_int_equal(sm_plan_create(&looked.d.c, seed, &p), SM_OK);
        assert_int_equal(sm_sensitivity_run(&p, (sm_run_context){.trials = 32768}, &s), SM_OK);
        const sm_estimate *first = &s.share[sm_sources_find(&p.sources, "right.stj_gap")].event.first;
        sum += first->value;
        error += first->standard_error * first->standard_error;
        sm_sensitivity_destroy(&s);
        sm_plan_destroy(&p);
    }
    assert_true(sqrt(error) / 16 < 0.0005);
    assert_near(sum / 16, 0, 0, 4 * sqrt(error) / 16);
}

/* Where no look weighs, cells and redrawing give the same first-order shares; within the errors of both, and what cells
 * of finite width miss. */
static void cells_agree_with_redrawing(void **state)
{
    (void)state;
    looked.n = 0;
    demo_fill(&looked.d);
    sm_plan p = plan_of();
    sm_sensitivity s;
    sm_estimate *first = calloc((size_t)p.n_own_sources, sizeof *first), remaining;
    assert_non_null(first);
    assert_int_equal(sm_sensitivity_run(&p, (sm_run_context){.trials = 262144}, &s), SM_OK);
    assert_int_equal(sm_weighted_shares_run(&p, (sm_run_context){.trials = 1048576, .seed = 9}, first, &remaining),
                     SM_OK);
    double sum = 0;
    for (int i = 0; i < p.n_own_sources; i++) {
        const sm_estimate *redrawn = &s.share[i].event.first;
        assert_near(first[i].value, redrawn->value, 0,
                    4.5 * hypot(first[i].standard_error, redrawn->standard_error) + 0.003);
        sum += first[i].value;
    }
    assert_true(sum > 0.3 && sum < 1);
    assert_near(remaining.value, s.irreducible_variance.value, 0,
                4.5 * hypot(remaining.standard_error, s.irreducible_variance.standard_error));
    free(first);
    sm_sensitivity_destroy(&s);
    sm_plan_destroy(&p);
}

/* 7. Guarded limits */

/* The example case whose left gap, looked at again, is read on the scan as the guard says: its probability is the line.
 * The other gap's guard has a look beside it that is not its own. */
static void a_guarded_limit_is_met_by_a_case_of_its_own(void **state)
{
    (void)state;
    sm_guard guard[DEMO_SIDES][SM_GAPS];
    const double line = 0.2;
    looked.n = 0;
    demo_fill(&looked.d);
    looked_add(&looked, DEMO_LEFT, SM_LOOKED_OSTIUM_GAP, 7.2, 1, 8, 0.04);
    assert_int_equal(sm_guarded_run(&looked.d.c, line, (sm_run_context){.seed = 3}, guard), SM_OK);
    const sm_guard *g = &guard[DEMO_LEFT][SM_GAP_OSTIUM];
    assert_int_equal(g->kind, SM_GUARD_FOUND);
    assert_true(g->at.standard_error < 0.1 && g->at.standard_error > 0);
    const double planned = looked.d.mm[DEMO_LEFT][SM_OSTIUM_GAP][0][0];
    looked.d.mm[DEMO_LEFT][SM_OSTIUM_GAP][0][0] = g->at.value - 0.5;
    const sm_probability lower = event_of(&looked.d.c, 20);
    looked.d.mm[DEMO_LEFT][SM_OSTIUM_GAP][0][0] = g->at.value;
    const sm_probability p = event_of(&looked.d.c, 21);
    const double slope = (lower.probability - p.probability) / 0.5;
    assert_true(slope > 0.02);
    assert_near(p.probability, line, 0, 4.5 * hypot(p.standard_error, slope * g->at.standard_error));
    assert_near(g->reading, planned, 1e-14, 0);
}

/* A look that reads little: the more the gap reads on the scan, the less is it believed beside that look, so that the
 * probability rises again, and no reading is enough. That is what is told, with the line near what the look alone says.
 */
static void a_look_can_keep_a_case_above_its_line(void **state)
{
    (void)state;
    sm_guard guard[DEMO_SIDES][SM_GAPS];
    char words[160];
    looked.n = 0;
    demo_fill(&looked.d);
    looked_add(&looked, DEMO_LEFT, SM_LOOKED_OSTIUM_GAP, 5.6, 1, 8, 0.04);
    assert_int_equal(sm_guarded_run(&looked.d.c, 0.2, (sm_run_context){.seed = 3}, guard), SM_OK);
    assert_int_equal(guard[DEMO_LEFT][SM_GAP_OSTIUM].kind, SM_GUARD_LOOK);
    sm_guard_words(&guard[DEMO_LEFT][SM_GAP_OSTIUM], SM_GAP_OSTIUM, "right", words, sizeof words);
    assert_contains(words, "the less it agrees with its second look, which keeps the case at or above your line");
    looked.d.mm[DEMO_LEFT][SM_OSTIUM_GAP][0][0] = 7.5;
    assert_true(event_of(&looked.d.c, 30).probability < 0.15); /* it is below the line where both agree */
    looked.d.mm[DEMO_LEFT][SM_OSTIUM_GAP][0][0] = 30;
    assert_true(event_of(&looked.d.c, 31).probability > 0.2);
}

/* In closed form: no reading spoiled, view exact; X then has the mean of the product, and the limit is where that lies
 * z(0.8) SDs above 4 mm. Readings move the mean by their share of the precision. */
static void a_guarded_limit_in_closed_form(void **state)
{
    (void)state;
    sm_guard guard[DEMO_SIDES][SM_GAPS];
    looked_hangs_on(&looked, SM_LOOKED_OSTIUM_GAP);
    demo_read(&looked.d, DEMO_LEFT, SM_OSTIUM_GAP, 5.7, 0.7, 0);
    sm_cross_check *c = looked_add(&looked, DEMO_LEFT, SM_LOOKED_OSTIUM_GAP, 4.3, 0.5, 0, 0);
    c->spoiled = NEVER;
    const normal X = product(5.7, 0.7, 4.3, 0.5);
    const double mean = 4 + sqrt(X.variance) * gsl_cdf_ugaussian_Pinv(0.8);
    const double want = (mean / X.variance - 4.3 / 0.25) * 0.49;
    assert_int_equal(sm_guarded_run(&looked.d.c, 0.2, (sm_run_context){.seed = 3}, guard), SM_OK);
    assert_int_equal(guard[DEMO_LEFT][SM_GAP_OSTIUM].kind, SM_GUARD_FOUND);
    assert_true(guard[DEMO_LEFT][SM_GAP_OSTIUM].at.standard_error < 0.02);
    assert_near(guard[DEMO_LEFT][SM_GAP_OSTIUM].at.value, want, 0,
                5 * guard[DEMO_LEFT][SM_GAP_OSTIUM].at.standard_error);
}

/* 8. Where the parts stand */

/* The portrait shows what the looks leave: the wall beside the ostium is the product of two normals about the circle.
 */
static void a_portrait_is_weighted(void **state)
{
    (void)state;
    sm_portrait p;
    const normal X = product(5, 0.8, 6, 0.6);
    one_gap(5, 0.8, 6, 0.6, 0, NEVER);
    assert_int_equal(sm_portrait_run(&looked.d.c, 5, &p), SM_OK);
    const sm_range *r = &p.side[DEMO_LEFT].ostium_radius;
    const double sd = sqrt(X.variance);
    assert_near(r->median, 11.2 + X.mean, 0, 0.06 * sd); /* of 16,384 draws: 0.01 SDs, and the ends 0.02 */
    assert_near(r->low, 11.2 + X.mean - 1.96 * sd, 0, 0.12 * sd);
    assert_near(r->high, 11.2 + X.mean + 1.96 * sd, 0, 0.12 * sd);
    assert_near(p.side[DEMO_RIGHT].ostium_radius.median, 11.2 + 9, 1e-12, 0);
    sm_portrait_destroy(&p);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_look_is_a_factor),
        cmocka_unit_test(an_equal_look_halves_the_variance),
        cmocka_unit_test(a_blunt_look_leaves_the_first_reading),
        cmocka_unit_test(states_are_all_there_is),
        cmocka_unit_test(without_looks_all_trials_count),
        cmocka_unit_test(of_two_readings_apart_one_is_off),
        cmocka_unit_test(a_version_weighs_by_its_own_looks),
        cmocka_unit_test(an_alternative_is_weighted_as_the_case),
        cmocka_unit_test(a_cracked_ring_is_not_the_one_looked_at),
        cmocka_unit_test(a_population_is_one_more_factor),
        cmocka_unit_test(a_look_s_worth_in_closed_form),
        cmocka_unit_test(nested_trials_agree_with_cells),
        cmocka_unit_test(nested_trials_against_brute_force),
        cmocka_unit_test(cells_hold_the_effective_trials),
        cmocka_unit_test(weighted_shares_in_closed_form),
        cmocka_unit_test(what_does_not_matter_has_no_share),
        cmocka_unit_test(cells_agree_with_redrawing),
        cmocka_unit_test(a_guarded_limit_is_met_by_a_case_of_its_own),
        cmocka_unit_test(a_look_can_keep_a_case_above_its_line),
        cmocka_unit_test(a_guarded_limit_in_closed_form),
        cmocka_unit_test(a_portrait_is_weighted),
    };
    gsl_set_error_handler_off();
    return cmocka_run_group_tests(tests, NULL, NULL);
}

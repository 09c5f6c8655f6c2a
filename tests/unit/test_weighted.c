/* test_weighted.c - events counted with weights: counts as the special case, by hand, and errors against replications.
 *
 * Contents: 1. counts  2. by hand  3. errors against replications  4. pairs of events
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "check.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_math.h>
#include <gsl/gsl_randist.h>

#include "engine/pairs.h"
#include "engine/weighted.h"

/* 1. Counts */

enum { MOST = 3 * SM_LANES };

static void expect_same_probability(const sm_probability *a, const sm_probability *b)
{
    assert_true(a->n == b->n && a->k == b->k);
    assert_true(a->probability == b->probability && a->standard_error == b->standard_error);
    assert_true(a->low == b->low && a->high == b->high);
}

/* Weights of 1 give what counts give, to the bit, added as numbers or counted; none and all included. */
static void weights_of_one_are_counts(void **state)
{
    (void)state;
    static const int every[] = {1, 2, 7, 300, 1000};
    double one[MOST], hit[MOST];
    for (int j = 0; j < 5; j++) {
        int k = 0;
        sm_weighted added = {0}, part = {0}, counted = {0};
        for (int i = 0; i < 700; i++) {
            one[i] = 1;
            hit[i] = (i + 1) % every[j] == 0;
            k += (i + 1) % every[j] == 0;
        }
        sm_weighted_add(&added, one, hit, 411);
        sm_weighted_add(&part, one + 411, hit + 411, 289);
        sm_weighted_merge(&added, &part);
        sm_weighted_count(&counted, k, 700);
        const sm_probability want = sm_probability_of(k, 700), a = sm_weighted_probability(&added),
                             b = sm_weighted_probability(&counted);
        expect_same_probability(&a, &want);
        expect_same_probability(&b, &want);
        assert_near(sm_weighted_effective(&added), 700, 0, 0);
    }
}

/* The same of a difference: 60 have both, 40 the first alone, 25 the second alone, 575 none. */
static void a_difference_of_counts_is_paired(void **state)
{
    (void)state;
    double a[MOST], b[MOST];
    sm_weighted of_a = {0}, of_b = {0};
    sm_joint_sums both = {0};
    for (int i = 0; i < 700; i++) {
        a[i] = i < 100;
        b[i] = i < 60 || (i >= 100 && i < 125);
    }
    sm_weighted_count(&of_a, 100, 700);
    sm_weighted_count(&of_b, 85, 700);
    sm_joint_add(&both, NULL, a, NULL, b, 700);
    assert_true(both.ww == 700 && both.wwa == 100 && both.wwb == 85 && both.wwab == 60);
    const sm_estimate got = sm_joint_difference(&of_a, &of_b, &both), want = sm_paired_difference(40, 25, 700);
    assert_true(got.value == want.value && got.standard_error == want.standard_error);
    const sm_joint_sums self = sm_joint_of_one(&of_a);
    const sm_estimate none = sm_joint_difference(&of_a, &of_a, &self);
    assert_true(none.value == 0 && none.standard_error == 0);
}

/* 2. By hand */

/* w 1, 2, 3 and e 1, 1/2, 0: p 1/3, sum w^2 (e - p)^2 = 4/9 + 4/36 + 1. */
static void a_weighted_share_by_hand(void **state)
{
    (void)state;
    sm_weighted s = {0}, none = {0};
    sm_weighted_add(&s, (double[]){1, 2, 3}, (double[]){1, 0.5, 0}, 3);
    const double squares = 4.0 / 9 + 4.0 / 36 + 1, alike = 1.0 / 3 * 2 / 3 * 36 / squares;
    const sm_probability p = sm_weighted_probability(&s);
    double low, high;
    assert_near(sm_weighted_effective(&s), 36.0 / 14, 1e-15, 0);
    assert_near(sm_weighted_share(&s), 1.0 / 3, 1e-15, 0);
    assert_near(p.probability, 1.0 / 3, 1e-15, 0);
    assert_near(p.standard_error, sqrt(squares) / 6, 1e-14, 0);
    assert_int_equal(p.n, llround(alike)); /* p (1 - p)/n is the square of the error */
    sm_wilson_interval(alike / 3, alike, &low, &high);
    assert_near(p.low, low, 1e-14, 0);
    assert_near(p.high, high, 1e-14, 0);
    assert_near(sm_weighted_mean(&s).value, 1.0 / 3, 1e-15, 0);
    assert_near(sm_weighted_mean(&s).standard_error, sqrt(squares) / 6, 1e-14, 0);
    assert_true(isnan(sm_weighted_probability(&none).probability) && isnan(sm_weighted_share(&none)));
    sm_weighted_add(&none, (double[]){0, 0}, (double[]){1, 0}, 2);
    assert_true(isnan(sm_weighted_probability(&none).probability) && sm_weighted_effective(&none) == 0);
}

/* What never happens is not known for sure: 0 of so many as are effective. */
static void none_of_the_weight_is_not_certain(void **state)
{
    (void)state;
    sm_weighted s = {0};
    sm_weighted_add(&s, (double[]){1, 2, 3, 2}, (double[]){0, 0, 0, 0}, 4);
    const sm_probability p = sm_weighted_probability(&s), want = sm_probability_of(0, llround(64.0 / 18));
    assert_near(p.probability, 0, 0, 0);
    assert_int_equal(p.n, want.n);
    assert_true(p.low == 0 && p.high > 0.3 && p.high < 1);
}

/* A scale of the weights says nothing. */
static void a_scale_of_the_weights_changes_nothing(void **state)
{
    (void)state;
    double w[50], v[50], e[50];
    sm_weighted a = {0}, b = {0};
    for (int i = 0; i < 50; i++) {
        w[i] = 1 + i % 7;
        v[i] = ldexp(w[i], -40);
        e[i] = i % 3 == 0;
    }
    sm_weighted_add(&a, w, e, 50);
    sm_weighted_add(&b, v, e, 50);
    const sm_probability p = sm_weighted_probability(&a), q = sm_weighted_probability(&b);
    expect_same_probability(&p, &q);
    assert_true(sm_weighted_effective(&a) == sm_weighted_effective(&b));
}

/* 3. Errors against replications */

enum { SETS = 2000, EACH = 1500 };

/* One data set: two weights and two events, all of which hang together. */
typedef struct {
    double w[EACH], v[EACH], a[EACH], b[EACH];
} data_set;

static void draw_set(gsl_rng *r, data_set *d)
{
    for (int i = 0; i < EACH; i++) {
        const double x = gsl_ran_gaussian_ziggurat(r, 1), y = gsl_ran_gaussian_ziggurat(r, 1);
        d->w[i] = exp(0.7 * x);
        d->v[i] = exp(0.4 * x + 0.5 * y);
        d->a[i] = x + 0.5 * y > 0.3;
        d->b[i] = x - 0.3 * y > 0.9;
    }
}

/* The mean of the stated errors, the SD of the estimates, and how often an interval held the truth. */
typedef struct {
    double n, sum, squares, error;
    int held;
} replications;

static void add_replication(double value, double error, replications *r)
{
    r->n++;
    r->sum += value;
    r->squares += value * value;
    r->error += error;
}

/* 2,000 estimates know their SD to 1.6 %. */
static void expect_error(const replications *r)
{
    const double mean = r->sum / r->n, sd = sqrt(r->squares / r->n - mean * mean);
    assert_near(r->error / r->n, sd, 0.065, 0);
}

/* The truths, by closed forms: e^(0.7 x) shifts x by 0.7. */
static double shifted(double of_x, double of_y, double shift_x, double shift_y, double limit)
{
    return 0.5 * erfc((limit - of_x * shift_x - of_y * shift_y) / hypot(of_x, of_y) * M_SQRT1_2);
}

static void errors_are_those_of_replications(void **state)
{
    (void)state;
    static data_set d;
    const double pa = shifted(1, 0.5, 0.7, 0, 0.3), pb = shifted(1, -0.3, 0.4, 0.5, 0.9);
    replications of_a = {0}, alike = {0}, apart = {0};
    gsl_rng *r = gsl_rng_alloc(gsl_rng_mt19937);
    gsl_rng_set(r, 5);
    for (int set = 0; set < SETS; set++) {
        sm_weighted a = {0}, b = {0}, b_apart = {0};
        sm_joint_sums both = {0}, both_apart = {0};
        draw_set(r, &d);
        sm_weighted_add(&a, d.w, d.a, EACH);
        sm_weighted_add(&b, d.w, d.b, EACH);
        sm_weighted_add(&b_apart, d.v, d.b, EACH);
        sm_joint_add(&both, d.w, d.a, d.w, d.b, EACH);
        sm_joint_add(&both_apart, d.w, d.a, d.v, d.b, EACH);
        const sm_probability p = sm_weighted_probability(&a);
        const sm_estimate x = sm_joint_difference(&a, &b, &both), y = sm_joint_difference(&a, &b_apart, &both_apart);
        add_replication(p.probability, p.standard_error, &of_a);
        add_replication(x.value, x.standard_error, &alike);
        add_replication(y.value, y.standard_error, &apart);
        of_a.held += p.low <= pa && pa <= p.high;
        apart.held += fabs(y.value - (pa - pb)) <= 1.96 * y.standard_error;
    }
    gsl_rng_free(r);
    expect_error(&of_a);
    expect_error(&alike);
    expect_error(&apart);
    assert_near(of_a.sum / SETS, pa, 0,
                4 * of_a.error / SETS / sqrt(SETS) + 0.0005); /* a ratio errs by a term in 1/n */
    assert_near(apart.sum / SETS, pa - pb, 0, 4 * apart.error / SETS / sqrt(SETS) + 0.0005);
    assert_in_range(of_a.held, 0.93 * SETS, 0.97 * SETS);
    assert_in_range(apart.held, 0.93 * SETS, 0.97 * SETS);
}

/* 4. Pairs of events */

/* Sums of squared weights over the trials in which both happen; a group that is not full; merged parts. */
static void pairs_are_sums_of_squared_weights(void **state)
{
    (void)state;
    double flag[3][SM_LANES], weight[SM_LANES], want[3][3] = {{0}};
    sm_mask mask[3];
    sm_pairs p, q;
    assert_int_equal(sm_pairs_create(3, &p), SM_OK);
    assert_int_equal(sm_pairs_create(3, &q), SM_OK);
    for (int group = 0; group < 2; group++) {
        const int n = group == 0 ? SM_LANES : 101;
        for (int i = 0; i < SM_LANES; i++) {
            weight[i] = i % 11 == 0 ? 0 : 0.25 * (i % 5 + group);
            flag[0][i] = i % 2 == 0;
            flag[1][i] = i % 3 == 0;
            flag[2][i] = 1;
        }
        for (int a = 0; a < 3; a++)
            mask[a] = sm_mask_of(flag[a], n);
        for (int a = 0; a < 3; a++)
            for (int b = 0; b < 3; b++)
                for (int i = 0; i < n; i++)
                    want[a][b] += weight[i] * weight[i] * flag[a][i] * flag[b][i];
        sm_pairs_add(group == 0 ? &p : &q, mask, weight);
    }
    sm_pairs_merge(&p, &q);
    for (int a = 0; a < 3; a++)
        for (int b = 0; b < 3; b++)
            assert_near(sm_pairs_both(&p, a, b), want[a][b], 0, 0); /* sixteenths: exact */
    sm_pairs_destroy(&p);
    sm_pairs_destroy(&q);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(weights_of_one_are_counts),
        cmocka_unit_test(a_difference_of_counts_is_paired),
        cmocka_unit_test(a_weighted_share_by_hand),
        cmocka_unit_test(none_of_the_weight_is_not_certain),
        cmocka_unit_test(a_scale_of_the_weights_changes_nothing),
        cmocka_unit_test(errors_are_those_of_replications),
        cmocka_unit_test(pairs_are_sums_of_squared_weights),
    };
    gsl_set_error_handler_off();
    return cmocka_run_group_tests(tests, NULL, NULL);
}

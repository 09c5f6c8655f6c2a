/* test_spread.c - moments and histogram accumulators: reference data, quantiles, intervals, hard cases.
 *
 * Contents: 1. moments  2. quantiles and intervals  3. hard cases  4. merging
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "check.h"
#include "strd.h"

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_randist.h>

#include "base/lanes.h"
#include "engine/spread.h"
#include "sampling/rng.h"

/* 1. Moments. NIST StRD, certified values recomputed in exact rational arithmetic. */

/* Added in pieces of odd sizes, each into its own accumulator, then merged. */
static sm_moments in_pieces(const double *y, int n, int piece)
{
    sm_moments all = {.n = 0};
    for (int start = 0; start < n; start += piece) {
        sm_moments part = {.n = 0};
        sm_moments_add(&part, y + start, start + piece < n ? piece : n - start);
        sm_moments_merge(&all, &part);
    }
    return all;
}

/* Whole, and cut in two ways. */
static void expect_moments(const double *y, int n, double mean, double sd, double sd_tolerance)
{
    const int piece[] = {n, 17, 1};
    for (int i = 0; i < 3; i++) {
        const sm_moments m = in_pieces(y, n, piece[i]);
        assert_int_equal(m.n, n);
        assert_near(m.mean, mean, i ? 4e-15 : 1e-15, 0);
        assert_near(sm_moments_sd(&m), sd, i ? 100 * sd_tolerance : sd_tolerance, 0);
    }
}

static void certified_data_sets(void **state)
{
    (void)state;
    expect_moments(strd_lew, 200, -177.435, 277.3321680443161, 1e-15);
    expect_moments(strd_lottery, 218, 518.9587155963303, 291.6997274709691, 1e-15);
    expect_moments(strd_mavro, 50, 2.001856, 0.0004291234540030528, 1e-12);
    expect_moments(strd_michelson, 100, 299.8524, 0.07901054781905177, 1e-12);
}

static void digits_of_pi(void **state)
{
    (void)state;
    static double y[5000];
    int n = 0;
    for (size_t i = 0; i < sizeof strd_pidigits / sizeof *strd_pidigits; i++)
        for (const char *c = strd_pidigits[i]; *c; c++)
            y[n++] = *c - '0';
    assert_int_equal(n, 5000);
    expect_moments(y, 5000, 4.5348, 2.867339060288708, 1e-14);
}

/* In one pass of sums of squares the last of these gives 0. */
static void numbers_with_a_large_mean(void **state)
{
    (void)state;
    static double y[1001];
    const double middle[] = {1.2, 1000000.2, 10000000.2}, tolerance[] = {1e-14, 1e-9, 1e-7};
    const double first[] = {10000001, 10000003, 10000002};
    expect_moments(first, 3, 10000002, 1, 1e-15);
    for (int k = 0; k < 3; k++) {
        y[0] = middle[k];
        for (int i = 1; i < 1001; i++)
            y[i] = k == 0 ? (i % 2 ? 1.1 : 1.3) : floor(middle[k]) + (i % 2 ? 0.1 : 0.3);
        const sm_moments m = in_pieces(y, 1001, 256);
        assert_near(m.mean, middle[k], 1e-15, 0);
        assert_near(sm_moments_sd(&m), 0.1, tolerance[k], 0);
    }
}

static void few_or_no_numbers(void **state)
{
    (void)state;
    sm_moments m = {.n = 0}, none = {.n = 0};
    const double y[] = {2.385};
    assert_true(sm_moments_sd(&m) == 0);
    sm_moments_add(&m, y, 0);
    sm_moments_merge(&m, &none);
    assert_int_equal(m.n, 0);
    sm_moments_add(&m, y, 1);
    assert_true(m.mean == 2.385 && sm_moments_sd(&m) == 0);
    sm_moments_merge(&none, &m);
    assert_true(none.n == 1 && none.mean == 2.385);
}

/* 2. Quantiles and intervals. Evenly spread probabilities p go through a quantile function, so that the sample has no
 * noise of its own and only the histogram errs. */

enum { POINTS = 1 << 18 };

static double y_at[POINTS];

static void fill(sm_spread *s, double (*quantile)(double p), double mean, double sd)
{
    for (int i = 0; i < POINTS; i++)
        y_at[i] = quantile((i + 0.5) / POINTS);
    sm_spread_init(s, mean, sd);
    for (int i = 0; i < POINTS; i += 256)
        sm_spread_add(s, y_at + i, 256);
}

/* A histogram that holds what 1e15 trials would put into each bin: only the interpolation errs. */
static void exact(sm_spread *s, double (*below)(double x), double mean, double sd, double least, double largest)
{
    sm_spread_init(s, mean, sd);
    const double width = (s->span.high - s->span.low) / SM_BINS;
    int64_t counted = 0;
    for (int i = 0; i < SM_BINS + 2; i++) {
        double upper = i < SM_BINS + 1 ? below(s->span.low + i * width) : 1;
        const int64_t held = (int64_t)(upper * 1e15) - counted;
        s->bin[i] = (double)held;
        counted += held;
    }
    s->span.moments.n = counted;
    s->span.moments.weight = (double)counted;
    s->span.min = least;
    s->span.max = largest;
}

/* spread.h: interpolated quantiles err by less than a tenth of their sampling error up to 1e9 trials. */
static void interpolation_errs_less_than_sampling(void **state)
{
    (void)state;
    static sm_spread s;
    exact(&s, gsl_cdf_ugaussian_P, 0.02, 1.01, -8, 8); /* the pilot's mean and sd are never exact */
    for (double z = -4.2; z < 4.2; z += 0.0317) {
        const double p = gsl_cdf_ugaussian_P(z), density = exp(-z * z / 2) / sqrt(2 * acos(-1));
        const double sampling = sqrt(p * (1 - p) / 1e9) / density;
        assert_near(sm_spread_quantile(&s, p), z, 0, 0.1 * sampling);
    }
}

/* The limits of a report, median and shortest interval against a tenth of the sampling error of n trials. */
static void expect_ends(const sm_spread *s, const double want[3], const double density[3], double shortest, double n)
{
    static const double p[3] = {0.025, 0.5, 0.975};
    double sampling[3];
    for (int i = 0; i < 3; i++) {
        sampling[i] = sqrt(p[i] * (1 - p[i]) / n) / density[i];
        assert_near(sm_spread_quantile(s, p[i]), want[i], 0, 0.1 * sampling[i]);
    }
    const sm_continuous c = sm_spread_summary(s);
    assert_near(c.shortest95[1] - c.shortest95[0], shortest, 0, 0.1 * hypot(sampling[0], sampling[2]));
}

static double peak_sd; /* of two peaks at -2 and 2 */

static double below_in_two_peaks(double x)
{
    return 0.5 * gsl_cdf_ugaussian_P((x + 2) / peak_sd) + 0.5 * gsl_cdf_ugaussian_P((x - 2) / peak_sd);
}

static void expect_two_peaks(double sd, double n)
{
    static sm_spread s;
    peak_sd = sd;
    exact(&s, below_in_two_peaks, 0.013, sqrt(4 + sd * sd), -6, 6);
    const double end = 2 + sd * gsl_cdf_ugaussian_Pinv(0.95), between = gsl_ran_ugaussian_pdf(2 / sd) / sd;
    const double at_end = 0.5 * gsl_ran_ugaussian_pdf((end - 2) / sd) / sd;
    expect_ends(&s, (const double[]){-end, 0, end}, (const double[]){at_end, between, at_end}, 2 * end, n);
}

/* Peaks of a quarter of the whole's sd, where a bin is 1/62 of a peak's sd, and of a tenth, where it is 1/25. By
 * symmetry the shortest interval has the symmetric one's ends. */
static void two_peaks_err_less_than_sampling(void **state)
{
    (void)state;
    expect_two_peaks(0.5, 1e9);
    expect_two_peaks(0.2, 1e9);
}

static double below_in_t(double x)
{
    return gsl_cdf_tdist_P(x, 3);
}

/* A t with 3 degrees of freedom, whose outer 0.08 % lie beyond the bins: up to 1e9 trials. */
static void heavy_tails_err_less_than_sampling(void **state)
{
    (void)state;
    static sm_spread s;
    exact(&s, below_in_t, 0.013, 1.75, -1e4, 1e4);
    const double end = gsl_cdf_tdist_Pinv(0.975, 3), at_end = gsl_ran_tdist_pdf(end, 3);
    expect_ends(&s, (const double[]){-end, 0, end}, (const double[]){at_end, gsl_ran_tdist_pdf(0, 3), at_end}, 2 * end,
                1e9);
    const double outside = (double)sm_spread_summary(&s).outside / 1e15;
    assert_near(outside, 2 * gsl_cdf_tdist_Q(14, 3), 1e-2, 0);
}

/* A task's part is the whole spread, number for number, also at the most that its bins may hold. */
static void a_part_counts_as_the_whole(void **state)
{
    (void)state;
    static sm_spread whole, taken;
    static sm_spread_part part;
    static double same[SM_PART_NUMBERS];
    for (int i = 0; i < SM_PART_NUMBERS; i++)
        same[i] = i % 1000 == 7 ? NAN : 2.385;
    sm_spread_init(&whole, 2, 1);
    sm_spread_init(&taken, 2, 1);
    sm_spread_part_init(&part, &taken, NULL);
    sm_spread_add(&whole, same, SM_PART_NUMBERS);
    sm_spread_part_add(&part, same, NULL, SM_PART_NUMBERS);
    sm_spread_take(&taken, &part);
    assert_memory_equal(whole.bin, taken.bin, sizeof whole.bin);
    assert_true(whole.span.min == taken.span.min && whole.span.max == taken.span.max &&
                whole.span.moments.n == taken.span.moments.n);
    assert_true(whole.span.not_numbers == taken.span.not_numbers && whole.span.not_numbers == 66);
    assert_true(whole.span.moments.mean == taken.span.moments.mean &&
                whole.span.moments.sum_sq == taken.span.moments.sum_sq);
}

/* What has weights: three groups of a normal, its weights from 0 to 5 with every ninth at 0. */
enum { WEIGHED = 3 * SM_LANES };

static double weighed_y[WEIGHED], weights[WEIGHED];

static void draw_weighed(void)
{
    gsl_rng *r = gsl_rng_alloc(gsl_rng_mt19937);
    gsl_rng_set(r, 41);
    for (int i = 0; i < WEIGHED; i++) {
        weighed_y[i] = 6 + gsl_ran_gaussian_ziggurat(r, 1.3);
        weights[i] = i % 9 == 0 ? 0 : gsl_ran_flat(r, 0, 5);
    }
    gsl_rng_free(r);
}

/* Sum w y/sum w and sum w (y - mean)^2 over all, in long double. */
static void weighted_moments_are_sums_over_all(void **state)
{
    (void)state;
    static const int piece[] = {WEIGHED, 300, 1};
    long double w = 0, wy = 0, squares = 0;
    int n = 0;
    draw_weighed();
    for (int i = 0; i < WEIGHED; i++) {
        w += weights[i];
        wy += (long double)weights[i] * weighed_y[i];
        n += weights[i] > 0;
    }
    for (int i = 0; i < WEIGHED; i++)
        squares += weights[i] * (weighed_y[i] - wy / w) * (weighed_y[i] - wy / w);
    for (int j = 0; j < 3; j++) {
        sm_moments m = {0};
        for (int i = 0; i < WEIGHED; i += piece[j])
            sm_moments_add_weighted(&m, weighed_y + i, weights + i, piece[j] < WEIGHED - i ? piece[j] : WEIGHED - i);
        assert_int_equal(m.n, n);
        assert_near(m.weight, (double)w, 1e-13, 0);
        assert_near(m.mean, (double)(wy / w), 1e-13, 0);
        assert_near(m.sum_sq, (double)squares, 1e-12, 0);
        assert_near(sm_moments_sd(&m), sqrt((double)(squares / w) * n / (n - 1.0)), 1e-12, 0);
    }
    sm_moments none = {0};
    sm_moments_add_weighted(&none, weighed_y, (const double[]){0, 0, 0}, 3);
    assert_true(none.n == 0 && none.weight == 0);
}

typedef struct {
    double y, weight;
} weighed;

static int by_value(const void *a, const void *b)
{
    const double x = ((const weighed *)a)->y, y = ((const weighed *)b)->y;
    return (x > y) - (x < y);
}

/* The value at which the sorted weights reach a share p of all. */
static double sorted_quantile(const weighed *sorted, double p)
{
    double all = 0, below = 0;
    for (int i = 0; i < WEIGHED; i++)
        all += sorted[i].weight;
    for (int i = 0; i < WEIGHED; i++) {
        below += sorted[i].weight;
        if (below >= p * all)
            return sorted[i].y;
    }
    return NAN;
}

/* Quantiles of the weighted histogram against the sorted values: within a bin. A scale of the weights says nothing, and
 * values without weight are not there, though they lie outermost. */
static void weighted_quantiles_are_those_of_sorting(void **state)
{
    (void)state;
    static const double share[] = {0.003, 0.025, 0.2, 0.5, 0.8, 0.975, 0.997}, scale[] = {1, 1e-9};
    static sm_spread s;
    static sm_spread_part part;
    static double heavy[SM_BINS + 2];
    static weighed sorted[WEIGHED];
    draw_weighed();
    weighed_y[0] = -40;
    weighed_y[9] = NAN;
    for (int j = 0; j < 2; j++) {
        for (int i = 0; i < WEIGHED; i++) {
            weights[i] *= scale[j];
            sorted[i] = (weighed){i == 9 ? 0 : weighed_y[i], weights[i]};
        }
        qsort(sorted, WEIGHED, sizeof *sorted, by_value);
        sm_spread_init(&s, 6, 1.3);
        sm_spread_part_init(&part, &s, heavy);
        sm_spread_part_add(&part, weighed_y, weights, WEIGHED);
        sm_spread_take(&s, &part);
        const sm_continuous c = sm_spread_summary(&s);
        for (size_t i = 0; i < sizeof share / sizeof *share; i++)
            assert_near(sm_spread_quantile(&s, share[i]), sorted_quantile(sorted, share[i]), 0, 16 * 1.3 / SM_BINS);
        assert_true(c.not_numbers == 0 && c.min > 0 && c.outside == 0);
        assert_true(c.shortest95[1] - c.shortest95[0] <= c.high95 - c.low95);
        assert_near(c.mean, s.span.moments.mean, 0, 0);
    }
}

/* An outline is of weights as of numbers: shares of the weight it is asked for. */
static void an_outline_has_the_weights(void **state)
{
    (void)state;
    static sm_spread s;
    static sm_spread_part part;
    static double heavy[SM_BINS + 2];
    double sum = 0, all = 0;
    draw_weighed();
    sm_spread_init(&s, 6, 1.3);
    sm_spread_part_init(&part, &s, heavy);
    sm_spread_part_add(&part, weighed_y, weights, WEIGHED);
    sm_spread_take(&s, &part);
    for (int i = 0; i < WEIGHED; i++)
        all += weights[i];
    const sm_outline o = sm_spread_outline(&s, 2 * all);
    for (int i = 0; i < SM_OUTLINE_BINS; i++)
        sum += o.share[i];
    assert_near(sum, 0.5, 1e-12, 0); /* none of 768 normals lies beyond four SDs */
}

static void a_normal_has_equal_intervals(void **state)
{
    (void)state;
    static sm_spread s;
    fill(&s, gsl_cdf_ugaussian_Pinv, 0, 1);
    const sm_continuous c = sm_spread_summary(&s);
    assert_int_equal(c.n, POINTS);
    assert_near(c.mean, 0, 0, 1e-12);
    assert_near(c.sd, 1, 1e-4, 0);
    assert_near(c.median, 0, 0, 1e-4);
    assert_near(c.low95, -1.95996398454005, 1e-4, 0);
    assert_near(c.high95, 1.95996398454005, 1e-4, 0);
    assert_near(c.shortest95[1] - c.shortest95[0], 3.9199279690801, 1e-4, 0);
    assert_true(c.outside == 0 && c.not_numbers == 0);
}

static double log_of_a_rectangle(double p)
{
    return log(0.1 + p);
}

/* ln U, U on [0.1, 1.1] (NPL DEM-ES-011, table 9.2, seen in excerpt; closed form): the shortest interval is [ln 0.15,
 * ln 1.1], the symmetric one [ln 0.125, ln 1.075]. */
static void the_shortest_interval_is_not_the_symmetric_one(void **state)
{
    (void)state;
    static sm_spread s;
    fill(&s, log_of_a_rectangle, -0.665, 0.606);
    const sm_continuous c = sm_spread_summary(&s);
    assert_near(c.low95, log(0.125), 0, 1e-4);
    assert_near(c.high95, log(1.075), 0, 1e-4);
    assert_near(c.shortest95[0], log(0.15), 0, 1e-3);
    assert_near(c.shortest95[1], log(1.1), 0, 1e-3);
    assert_true(c.shortest95[1] - c.shortest95[0] < c.high95 - c.low95);
}

static double mirrored(double p)
{
    return -log_of_a_rectangle(1 - p);
}

static void a_hard_edge_may_lie_at_either_end(void **state)
{
    (void)state;
    static sm_spread s;
    fill(&s, mirrored, 0.665, 0.606);
    const sm_continuous c = sm_spread_summary(&s);
    assert_near(c.shortest95[0], -log(1.1), 0, 1e-3);
    assert_near(c.shortest95[1], -log(0.15), 0, 1e-3);
}

static double exponential(double p)
{
    return -log1p(-p);
}

/* chi-square of two degrees over two: shortest 95 % is [0, -ln 0.05]. */
static void an_edge_at_zero(void **state)
{
    (void)state;
    static sm_spread s;
    fill(&s, exponential, 1, 1);
    const sm_continuous c = sm_spread_summary(&s);
    assert_near(c.shortest95[0], 0, 0, 4e-3);
    assert_near(c.shortest95[1], -log(0.05), 2e-3, 0);
    assert_near(c.low95, -log1p(-0.025), 1e-3, 0);
}

/* 3. Hard cases */

static double two_peaks(double p)
{
    return p < 0.5 ? -10 + 0.1 * gsl_cdf_ugaussian_Pinv(2 * p) : 10 + 0.1 * gsl_cdf_ugaussian_Pinv(2 * p - 1);
}

/* Half the trials at either of two peaks, each a few bins wide: both intervals span both, to a quarter of a bin. */
static void two_narrow_peaks(void **state)
{
    (void)state;
    static sm_spread s;
    fill(&s, two_peaks, 0, 10);
    const sm_continuous c = sm_spread_summary(&s);
    assert_near(c.sd, 10.0005, 1e-4, 0);
    assert_near(c.low95, -10 + 0.1 * gsl_cdf_ugaussian_Pinv(0.05), 0, 0.01);
    assert_near(c.high95, 10 + 0.1 * gsl_cdf_ugaussian_Pinv(0.95), 0, 0.01);
    assert_true(c.shortest95[1] - c.shortest95[0] <= c.high95 - c.low95);
}

static double heavy(double p)
{
    return gsl_cdf_tdist_Pinv(p, 3);
}

static void heavy_tails_are_counted_outside(void **state)
{
    (void)state;
    static sm_spread s;
    fill(&s, heavy, 0, sqrt(3));
    const sm_continuous c = sm_spread_summary(&s);
    assert_true(c.outside > 0 && c.outside < POINTS / 1000);
    assert_near(c.low95, -3.18244630528, 2e-4, 0);
    assert_near(c.high95, 3.18244630528, 2e-4, 0);
    assert_true(c.min < -50 && c.max > 50);
}

static void a_constant_is_its_own_interval(void **state)
{
    (void)state;
    const double value[] = {0, 3.7, -2.385e6, 1e-20};
    for (int k = 0; k < 4; k++) {
        static sm_spread s;
        double y[300];
        for (int i = 0; i < 300; i++)
            y[i] = value[k];
        sm_spread_init(&s, value[k], 0);
        sm_spread_add(&s, y, 300);
        const sm_continuous c = sm_spread_summary(&s);
        assert_true(c.mean == value[k] && c.sd == 0 && c.median == value[k]);
        assert_true(c.low95 == value[k] && c.high95 == value[k]);
        assert_true(c.shortest95[0] == value[k] && c.shortest95[1] == value[k]);
    }
}

/* A pilot that saw no spread, or one far off: quantiles stay within what was seen. */
static void a_wrong_pilot_does_not_invent_values(void **state)
{
    (void)state;
    static sm_spread s;
    double y[256];
    for (int i = 0; i < 256; i++)
        y[i] = 5 + i / 256.0;
    sm_spread_init(&s, -100, 0.1);
    sm_spread_add(&s, y, 256);
    const sm_continuous c = sm_spread_summary(&s);
    assert_int_equal(c.outside, 256);
    assert_true(c.low95 >= 5 && c.high95 < 6 && c.shortest95[0] >= 5 && c.shortest95[1] < 6);
    assert_near(c.mean, 5 + 255.0 / 512, 1e-14, 0);
}

static void not_numbers_are_counted_and_left_out(void **state)
{
    (void)state;
    static sm_spread s;
    double y[] = {1, NAN, 2, HUGE_VAL, 3, -HUGE_VAL, NAN, 4};
    sm_spread_init(&s, 2.5, 1);
    sm_spread_add(&s, y, 8);
    const sm_continuous c = sm_spread_summary(&s);
    assert_int_equal(c.n, 4);
    assert_int_equal(c.not_numbers, 4);
    assert_near(c.mean, 2.5, 1e-15, 0);
    assert_true(c.min == 1 && c.max == 4);
    assert_true(isfinite(c.low95) && isfinite(c.high95) && isfinite(c.shortest95[0]));
}

static void a_pilot_that_is_not_a_number_does_no_harm(void **state)
{
    (void)state;
    static sm_spread s;
    double y[] = {1, 2, 3, 4};
    const double mean[] = {2.5, NAN, HUGE_VAL};
    for (int i = 0; i < 3; i++) {
        sm_spread_init(&s, mean[i], NAN);
        sm_spread_add(&s, y, 4);
        const sm_continuous c = sm_spread_summary(&s);
        assert_int_equal(c.n, 4);
        assert_true(c.low95 >= 1 && c.high95 <= 4 && c.low95 <= c.median && c.median <= c.high95);
    }
}

static void an_empty_spread_has_no_quantile(void **state)
{
    (void)state;
    static sm_spread s;
    sm_spread_init(&s, 0, 1);
    assert_true(isnan(sm_spread_quantile(&s, 0.5)));
    assert_int_equal(sm_spread_summary(&s).n, 0);
}

/* 4. Merging */

static void merged_parts_are_the_whole(void **state)
{
    (void)state;
    static sm_spread whole, merged, part;
    fill(&whole, log_of_a_rectangle, -0.665, 0.606);
    sm_spread_init(&merged, -0.665, 0.606);
    for (int i = 0; i < POINTS; i += 4096) {
        sm_spread_init(&part, -0.665, 0.606);
        sm_spread_add(&part, y_at + i, 4096);
        sm_spread_merge(&merged, &part);
    }
    assert_memory_equal(whole.bin, merged.bin, sizeof whole.bin);
    assert_true(whole.span.min == merged.span.min && whole.span.max == merged.span.max &&
                whole.span.moments.n == merged.span.moments.n);
    assert_near(merged.span.moments.mean, whole.span.moments.mean, 1e-13, 0);
    assert_near(merged.span.moments.sum_sq, whole.span.moments.sum_sq, 1e-12, 0);
}

/* On 200 rough samples of a few hundred draws, of every look: the shortest is never longer, and holds its share. */
static void shortest_is_never_longer_and_holds_its_share(void **state)
{
    (void)state;
    gsl_rng *r = gsl_rng_alloc(sm_rng_philox);
    for (uint32_t k = 0; k < 200; k++) {
        static sm_spread s;
        double y[400], held = 0;
        const int n = 40 + 9 * (int)(k % 40);
        sm_rng_seek(r, 3, 5, k);
        sm_rng_normals(r, y, n);
        for (int i = 0; i < n; i++)
            y[i] = k % 3 == 0 ? exp(y[i]) : k % 3 == 1 ? -exp(2 * y[i]) : y[i] * y[i] * y[i];
        sm_spread_init(&s, 0, 1 + k % 5);
        sm_spread_add(&s, y, n);
        const sm_continuous c = sm_spread_summary(&s);
        const double slack = 2 * (s.span.high - s.span.low) / SM_BINS;
        assert_true(c.shortest95[1] - c.shortest95[0] <= c.high95 - c.low95);
        for (int i = 0; i < n; i++)
            held += y[i] >= c.shortest95[0] - slack && y[i] <= c.shortest95[1] + slack;
        if (s.bin[0] + s.bin[SM_BINS + 1] == 0)
            assert_true(held >= 0.95 * n - 1);
    }
    gsl_rng_free(r);
}

/* Three bins by hand; where `share` of the middle one's trials lie below, as a part of its width. */
static double place_in_middle(double before, double in, double after, double share)
{
    static sm_spread s;
    const double width = 16.0 / SM_BINS, all = before + in + after;
    sm_spread_init(&s, 0, 1);
    s.bin[2000] = before;
    s.bin[2001] = in;
    s.bin[2002] = after;
    s.span.moments.n = (int64_t)all;
    s.span.moments.weight = all;
    s.span.min = -8;
    s.span.max = 8;
    return (sm_spread_quantile(&s, (before + share * in) / all) - (-8 + 2000 * width)) / width;
}

/* A density that rises by r of itself across a bin has t + r (t^2 - t)/2 of the bin's trials in its first part t. r is
 * the mean of the steps to the neighbours, at most twice the smaller one, and 0 where they disagree (van Leer). */
static void a_density_that_jumps_is_not_bent(void **state)
{
    (void)state;
    static const double share[] = {0.13, 0.5, 0.81};
    for (int i = 0; i < 3; i++) {
        assert_near(place_in_middle(100, 300, 200, share[i]), share[i], 1e-9, 0); /* a peak */
        assert_near(place_in_middle(300, 100, 250, share[i]), share[i], 1e-9, 0); /* a valley */
        double t = place_in_middle(80, 100, 110, share[i]), r = 0.15;             /* steps of 20 and 10 */
        assert_near(t + r * (t * t - t) / 2, share[i], 1e-9, 0);
        t = place_in_middle(100, 110, 310, share[i]); /* steps of 10 and 200 */
        r = 2 * 10.0 / 110;
        assert_near(t + r * (t * t - t) / 2, share[i], 1e-9, 0);
        t = place_in_middle(310, 110, 100, share[i]);
        assert_near(t - r * (t * t - t) / 2, share[i], 1e-9, 0);
    }
}

/* For drawing: 700 of 2,000 trials, of which 200 lie too far out to be drawn. Bins of 8/128 SDs from -4 SDs on. */
static void an_outline_is_a_share_of_all_trials(void **state)
{
    (void)state;
    static sm_spread s;
    const double y[] = {3.5, 3.52, 5.1, 5.11, 5.12, 11.3, -4};
    sm_spread_init(&s, 3, 1);
    for (int i = 0; i < 100; i++)
        sm_spread_add(&s, y, 7);
    const sm_outline o = sm_spread_outline(&s, 2000), none = sm_spread_outline(&s, 0);
    assert_near(o.low, 3 - 4, 0, 1e-12);
    assert_near(o.width, 8.0 / SM_OUTLINE_BINS, 1e-12, 0);
    assert_int_equal(SM_OUTLINE_BINS, 128);
    for (int i = 0; i < SM_OUTLINE_BINS; i++) {
        /* (3.5 + 1) 16 = 72, (3.52 + 1) 16 = 72.3; (5.1 + 1) 16 = 97.6 and so on */
        assert_near(o.share[i], i == 72 ? 0.1 : i == 97 ? 0.15 : 0, 1e-12, 0);
        assert_near(none.share[i], 0, 0, 0);
    }
}

/* What was cleared is as good as new, wherever its values lay; so is what takes the bins of another. */
static void a_cleared_spread_is_as_new(void **state)
{
    (void)state;
    static sm_spread used, fresh;
    static sm_spread_part part;
    const double before[] = {-40, 0.3, 2.2, 90}, after[] = {2.6, 2.9, 3.1, 3.1, 4};
    sm_spread_init(&used, 3, 1);
    sm_spread_init(&fresh, 3, 1);
    sm_spread_add(&used, before, 4);
    sm_spread_clear(&used);
    assert_memory_equal(&used, &fresh, sizeof used);
    sm_spread_part_init(&part, &used, NULL);
    sm_spread_take(&used, &part);
    assert_memory_equal(used.bin, fresh.bin, sizeof used.bin);
    sm_spread_part_add(&part, before, NULL, 4);
    sm_spread_part_add(&part, after, NULL, 5);
    sm_spread_take(&used, &part);
    sm_spread_add(&fresh, before, 4);
    sm_spread_add(&fresh, after, 5);
    assert_memory_equal(used.bin, fresh.bin, sizeof used.bin);
    assert_int_equal(fresh.bin[0] + fresh.bin[SM_BINS + 1], 2);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(certified_data_sets),
        cmocka_unit_test(digits_of_pi),
        cmocka_unit_test(numbers_with_a_large_mean),
        cmocka_unit_test(few_or_no_numbers),
        cmocka_unit_test(interpolation_errs_less_than_sampling),
        cmocka_unit_test(two_peaks_err_less_than_sampling),
        cmocka_unit_test(heavy_tails_err_less_than_sampling),
        cmocka_unit_test(a_part_counts_as_the_whole),
        cmocka_unit_test(weighted_moments_are_sums_over_all),
        cmocka_unit_test(weighted_quantiles_are_those_of_sorting),
        cmocka_unit_test(an_outline_has_the_weights),
        cmocka_unit_test(a_normal_has_equal_intervals),
        cmocka_unit_test(the_shortest_interval_is_not_the_symmetric_one),
        cmocka_unit_test(a_hard_edge_may_lie_at_either_end),
        cmocka_unit_test(an_edge_at_zero),
        cmocka_unit_test(two_narrow_peaks),
        cmocka_unit_test(heavy_tails_are_counted_outside),
        cmocka_unit_test(a_constant_is_its_own_interval),
        cmocka_unit_test(a_wrong_pilot_does_not_invent_values),
        cmocka_unit_test(not_numbers_are_counted_and_left_out),
        cmocka_unit_test(a_pilot_that_is_not_a_number_does_no_harm),
        cmocka_unit_test(an_empty_spread_has_no_quantile),
        cmocka_unit_test(merged_parts_are_the_whole),
        cmocka_unit_test(shortest_is_never_longer_and_holds_its_share),
        cmocka_unit_test(a_density_that_jumps_is_not_bent),
        cmocka_unit_test(an_outline_is_a_share_of_all_trials),
        cmocka_unit_test(a_cleared_spread_is_as_new),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

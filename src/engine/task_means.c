/* task_means.c - what the sums of independent tasks say about a probability, and when they say enough.
 *
 * Contents: 1. the probability  2. the e-process
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "engine/task_means.h"

#include <math.h>

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_math.h>

/* 1. The probability */

static sm_task_sums total_of(sm_task_series s)
{
    sm_task_sums sum = {0};
    for (int i = 0; i < s.n; i++) {
        const sm_task_sums *t = &s.task[(size_t)i * s.stride];
        sum.points += t->points;
        sum.w += t->w;
        sum.ww += t->ww;
        sum.in += t->in;
        sum.out += t->out;
    }
    return sum;
}

/* What is divided by. */
static double divisor(sm_task_series s, const sm_task_sums *t)
{
    return s.widened ? t->points : t->w;
}

/* The rarer of event and contrary is what is summed; share: its part. */
typedef struct {
    sm_task_sums all;
    bool contrary;
    double share, probability;
} ratio;

static ratio ratio_of(sm_task_series s)
{
    ratio r = {.all = total_of(s)};
    r.contrary = r.all.out < r.all.in;
    r.share = (r.contrary ? r.all.out : r.all.in) / divisor(s, &r.all);
    r.probability = r.contrary ? 1 - r.share : r.share;
    return r;
}

/* By how much task i moves the probability: what it has of the event, less the share of its divisor. */
static double pull_of(sm_task_series s, const ratio *r, int i)
{
    const sm_task_sums *t = &s.task[(size_t)i * s.stride];
    const double more = (r->contrary ? t->out : t->in) - r->share * divisor(s, t);
    return (r->contrary ? -more : more) / divisor(s, &r->all);
}

static double error_of(sm_task_series s, const ratio *r)
{
    double squares = 0;
    for (int i = 0; i < s.n; i++)
        squares += gsl_pow_2(pull_of(s, r, i));
    return sqrt(squares * s.n / (s.n - 1.0));
}

/* To 2^-40, a part in 10^12: what is left of two roots that are all but alike is the last bits of their sums, which the
 * libraries of a machine decide. */
static double without_last_bits(double x)
{
    return ldexp(nearbyint(ldexp(x, 40)), -40);
}

sm_estimate sm_task_means_difference(sm_task_series a, sm_task_series b)
{
    const ratio of_a = ratio_of(a), of_b = ratio_of(b);
    const int n = a.n < b.n ? a.n : b.n;
    double squares = 0;
    for (int i = 0; i < n; i++)
        squares += gsl_pow_2(pull_of(a, &of_a, i) - pull_of(b, &of_b, i));
    return (sm_estimate){without_last_bits(of_a.probability - of_b.probability),
                         without_last_bits(sqrt(squares * n / (n - 1.0)))};
}

double sm_task_means_covariance(sm_task_series a, sm_task_series b)
{
    const ratio of_a = ratio_of(a), of_b = ratio_of(b);
    double products = 0;
    for (int i = 0; i < a.n; i++)
        products += pull_of(a, &of_a, i) * pull_of(b, &of_b, i);
    return products * a.n / (a.n - 1.0);
}

double sm_task_means_reach(int n)
{
    return gsl_cdf_tdist_Pinv(0.975, n - 1);
}

static void logit_interval(double p, double error, int n, double *low, double *high)
{
    const double logit = log(p / (1 - p)), half = sm_task_means_reach(n) * error / (p * (1 - p));
    *low = 1 / (1 + exp(half - logit));
    *high = 1 / (1 + exp(-half - logit));
}

#define FEW_DECIDE         0.1
#define FEW_DECIDE_WIDENED 0.25

static void at_least_counted(double effective, double p, sm_probability *r)
{
    double low, high;
    sm_wilson_interval(p * effective, effective, &low, &high);
    r->low = fmin(r->low, low);
    r->high = fmax(r->high, high);
}

sm_probability sm_task_means_probability(sm_task_series s)
{
    const ratio of = ratio_of(s);
    const double p = of.probability;
    sm_probability r = {.probability = p, .standard_error = NAN, .low = NAN, .high = NAN};
    if (!(of.all.w > 0))
        return (sm_probability){.probability = NAN, .standard_error = NAN, .low = NAN, .high = NAN};
    const double error = error_of(s, &of), effective = of.all.w * of.all.w / of.all.ww;
    const double alike = error > 0 ? fmin(p * (1 - p) / (error * error), 1e15) : effective;
    r.standard_error = error;
    r.low = r.high = p;
    if (p > 0 && p < 1)
        logit_interval(p, error, s.n, &r.low, &r.high);
    if (error > (s.widened ? FEW_DECIDE_WIDENED : FEW_DECIDE) * of.share || of.share == 0)
        at_least_counted(effective, p, &r);
    r.n = llround(p * alike < 0.5 ? effective : alike);
    r.k = llround(p * alike);
    return r;
}

/* 2. The e-process */

/* By how many SDs of a task's mean the truth is expected from a value that is asked about: 1 over the root of this. It
 * moves the size of the set and not its validity. */
#define SPREAD 1.0

/* log of the e-value: sqrt(c/(n + c)) ((n + c) V/((n + c) V - S^2))^(n/2), S and V the sums of x - p and its square. */
static double log_evidence(sm_task_series s, double p)
{
    const double n = s.n, c = SPREAD;
    double sum = 0, squares = 0;
    for (int i = 0; i < s.n; i++) {
        const sm_task_sums *t = &s.task[(size_t)i * s.stride];
        const double x = t->in / divisor(s, t) - p;
        sum += x;
        squares += x * x;
    }
    const double all = (n + c) * squares;
    return all > 0 ? 0.5 * log(c / (n + c)) - n / 2 * log1p(-sum * sum / all) : 0;
}

bool sm_task_means_exclude(sm_task_series s, double p, double epsilon)
{
    return s.n > 1 && log_evidence(s, p) >= -log(epsilon);
}

/* Bisects between a point inside and an end outside. */
static double end_of_sequence(sm_task_series s, double epsilon, double inside, double outside)
{
    if (!sm_task_means_exclude(s, outside, epsilon))
        return outside;
    for (int i = 0; i < 100; i++) {
        const double middle = (inside + outside) / 2;
        if (sm_task_means_exclude(s, middle, epsilon))
            outside = middle;
        else
            inside = middle;
    }
    return inside;
}

void sm_task_means_sequence(sm_task_series s, double epsilon, double *low, double *high)
{
    double mean = 0;
    for (int i = 0; i < s.n; i++) {
        const sm_task_sums *t = &s.task[(size_t)i * s.stride];
        mean += t->in / divisor(s, t) / s.n;
    }
    *low = end_of_sequence(s, epsilon, mean, 0);
    *high = end_of_sequence(s, epsilon, mean, 1);
}

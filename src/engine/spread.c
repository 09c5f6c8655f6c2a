/* spread.c - what is gathered of a continuous output.
 *
 * Contents: 1. moments  2. gathering  3. quantiles and intervals  4. outlines
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "engine/spread.h"

#include <math.h>
#include <stdbool.h>
#include <stddef.h>

#include "base/ends.h"
#include "base/lanes.h"
#include "base/sum.h"

/* 1. Moments */

void sm_moments_merge(sm_moments *m, const sm_moments *other)
{
    if (!(other->weight > 0))
        return;
    double n = m->weight, k = other->weight, d = other->mean - m->mean;
    m->mean += d * k / (n + k);
    m->sum_sq += other->sum_sq + d * d * n * k / (n + k);
    m->weight += k;
    m->n += other->n;
}

/* How many of n values the group from `start` on has. */
static int group_size(int start, int n)
{
    return n - start < SM_LANES ? n - start : SM_LANES;
}

SM_WIDE static void less(const double *restrict y, double offset, double *restrict out, int n)
{
    for (int i = 0; i < n; i++)
        out[i] = y[i] - offset;
}

SM_WIDE static void squares(const double *restrict y, double *restrict out, int n)
{
    for (int i = 0; i < n; i++)
        out[i] = y[i] * y[i];
}

/* The first value is taken off before adding up. Since it is one of the group, sum^2/n is at most (1 - 1/n) of the sum
 * of squares: their difference loses no more digits than n has. */
static sm_moments moments_of_group(const double *y, int n)
{
    double from_first[SM_LANES], square[SM_LANES];
    if (n <= 0)
        return (sm_moments){0};
    less(y, y[0], from_first, n);
    const double sum = sm_sum(from_first, n);
    squares(from_first, square, n);
    return (sm_moments){.n = n, .weight = n, .mean = y[0] + sum / n, .sum_sq = sm_sum(square, n) - sum * sum / n};
}

SM_WIDE static void times(const double *restrict y, const double *restrict weight, double *restrict out, int n)
{
    for (int i = 0; i < n; i++)
        out[i] = y[i] * weight[i];
}

/* The same with weights above 0. */
static sm_moments weighted_moments_of_group(const double *y, const double *weight, int n)
{
    double from_first[SM_LANES], heavy[SM_LANES], square[SM_LANES];
    const double all = sm_sum(weight, n);
    if (!(all > 0))
        return (sm_moments){0};
    less(y, y[0], from_first, n);
    times(from_first, weight, heavy, n);
    times(heavy, from_first, square, n);
    const double sum = sm_sum(heavy, n);
    return (sm_moments){
        .n = n, .weight = all, .mean = y[0] + sum / all, .sum_sq = fmax(0, sm_sum(square, n) - sum * sum / all)};
}

/* The values of a group that weigh anything. */
static int drop_what_has_no_weight(const double *y, const double *weight, int n, double *y_out, double *weight_out)
{
    int m = 0;
    for (int i = 0; i < n; i++)
        if (weight[i] > 0) {
            weight_out[m] = weight[i];
            y_out[m++] = y[i];
        }
    return m;
}

void sm_moments_add_weighted(sm_moments *m, const double *y, const double *weight, int n)
{
    double some[SM_LANES], weights[SM_LANES];
    if (!weight) {
        sm_moments_add(m, y, n);
        return;
    }
    for (int start = 0; start < n; start += SM_LANES) {
        const int taken = drop_what_has_no_weight(y + start, weight + start, group_size(start, n), some, weights);
        const sm_moments group = weighted_moments_of_group(some, weights, taken);
        sm_moments_merge(m, &group);
    }
}

void sm_moments_add(sm_moments *m, const double *y, int n)
{
    for (int start = 0; start < n; start += SM_LANES) {
        const sm_moments group = moments_of_group(y + start, group_size(start, n));
        sm_moments_merge(m, &group);
    }
}

double sm_moments_sd(const sm_moments *m)
{
    return m->n > 1 ? sqrt(m->sum_sq / (m->weight - m->weight / (double)m->n)) : 0;
}

/* 2. Gathering */

/* Eight standard deviations to either side: a t with 3 degrees of freedom leaves less than 1 in 5,000 outside. */
#define REACH 8.0

static sm_span empty_span(double low, double high)
{
    return (sm_span){.low = low, .high = high, .min = HUGE_VAL, .max = -HUGE_VAL};
}

void sm_spread_init(sm_spread *s, double mean, double sd)
{
    if (!isfinite(mean))
        mean = 0; /* no bin would hold anything, and finding one would not be defined */
    double half = REACH * sd;
    if (!(half > 1e-9 * fmax(1, fabs(mean))) || !isfinite(half))
        half = 1e-9 * fmax(1, fabs(mean)); /* a constant output: quantiles are clamped to min and max */
    *s = (sm_spread){.span = empty_span(mean - half, mean + half)};
}

/* The bin of each value. */
SM_WIDE static void find_bins(double low, double high, const double *restrict y, int n, int32_t *restrict bin)
{
    double place[SM_LANES];
    const double width = (high - low) / SM_BINS;
    sm_ends_place(y, low - width, width, SM_BINS + 1, place, n);
    for (int i = 0; i < n; i++)
        bin[i] = (int32_t)place[i];
}

/* The bins outside [first, end) are empty: where the least value and the largest lie. */
typedef struct {
    int first, end;
} filled;

static filled filled_bins(const sm_span *s)
{
    const double y[2] = {s->min, s->max};
    int32_t bin[2];
    if (!(s->min <= s->max))
        return (filled){0, 0};
    find_bins(s->low, s->high, y, 2, bin);
    return (filled){bin[0], bin[1] + 1};
}

void sm_spread_clear(sm_spread *s)
{
    const filled f = filled_bins(&s->span);
    s->span = empty_span(s->span.low, s->span.high);
    for (int i = f.first; i < f.end; i++)
        s->bin[i] = 0;
}

/* Adds what stands beside the bins; the bins of the two lie at the same places. */
static void span_merge(sm_span *s, const sm_span *other)
{
    sm_moments_merge(&s->moments, &other->moments);
    s->not_numbers += other->not_numbers;
    s->min = fmin(s->min, other->min);
    s->max = fmax(s->max, other->max);
}

/* A group of at most SM_LANES values without those that are not numbers, and the bin of each. */
typedef struct {
    int n;
    const double *y;
    const double *weight; /* NULL: each is 1 */
    double room[SM_LANES], weights[SM_LANES];
    int32_t bin[SM_LANES];
} placed;

static void drop_what_is_no_number(placed *p)
{
    int n = 0;
    for (int i = 0; i < p->n; i++)
        if (isfinite(p->y[i])) {
            p->weights[n] = p->weight ? p->weight[i] : 1;
            p->room[n++] = p->y[i];
        }
    p->y = p->room;
    p->weight = p->weight ? p->weights : NULL;
    p->n = n;
}

static sm_moments moments_of_placed(const placed *p)
{
    return p->weight ? weighted_moments_of_group(p->y, p->weight, p->n) : moments_of_group(p->y, p->n);
}

/* Places a group and adds it to what stands beside the bins. */
static void place(sm_span *s, const double *y, const double *weight, int n, placed *out)
{
    sm_span group = empty_span(s->low, s->high);
    out->y = y;
    out->weight = weight;
    out->n = n;
    group.moments = moments_of_placed(out);
    if (!isfinite(group.moments.sum_sq)) {
        drop_what_is_no_number(out);
        group.moments = moments_of_placed(out);
    }
    group.not_numbers = n - out->n;
    if (out->n > 0) {
        group.min = sm_ends_min(out->y, out->n);
        group.max = sm_ends_max(out->y, out->n);
    }
    find_bins(s->low, s->high, out->y, out->n, out->bin);
    span_merge(s, &group);
}

void sm_spread_add(sm_spread *s, const double *y, int n)
{
    placed p;
    for (int start = 0; start < n; start += SM_LANES) {
        place(&s->span, y + start, NULL, group_size(start, n), &p);
        for (int i = 0; i < p.n; i++)
            s->bin[p.bin[i]]++;
    }
}

void sm_spread_part_init(sm_spread_part *part, const sm_spread *s, double *heavy)
{
    *part = (sm_spread_part){.span = empty_span(s->span.low, s->span.high), .heavy = heavy};
    for (int i = 0; heavy && i < SM_BINS + 2; i++)
        heavy[i] = 0;
}

static void part_add_weighted(sm_spread_part *part, const double *y, const double *weight, int n)
{
    double some[SM_LANES], weights[SM_LANES];
    placed p;
    if (n == 0)
        return;
    if (sm_ends_min(weight, n) > 0)
        place(&part->span, y, weight, n, &p);
    else if ((n = drop_what_has_no_weight(y, weight, n, some, weights)) > 0)
        place(&part->span, some, weights, n, &p);
    else
        return;
    for (int i = 0; i < p.n; i++)
        part->heavy[p.bin[i]] += p.weight[i];
}

void sm_spread_part_add(sm_spread_part *part, const double *y, const double *weight, int n)
{
    placed p;
    for (int start = 0; start < n; start += SM_LANES) {
        if (part->heavy) {
            part_add_weighted(part, y + start, weight + start, group_size(start, n));
            continue;
        }
        place(&part->span, y + start, NULL, group_size(start, n), &p);
        for (int i = 0; i < p.n; i++)
            part->bin[p.bin[i]]++;
    }
}

void sm_spread_take(sm_spread *s, const sm_spread_part *part)
{
    const filled f = filled_bins(&part->span);
    span_merge(&s->span, &part->span);
    for (int i = f.first; i < f.end; i++)
        s->bin[i] += part->heavy ? part->heavy[i] : part->bin[i];
}

void sm_spread_merge(sm_spread *s, const sm_spread *other)
{
    const filled f = filled_bins(&other->span);
    span_merge(&s->span, &other->span);
    for (int i = f.first; i < f.end; i++)
        s->bin[i] += other->bin[i];
}

/* 3. Quantiles and intervals */

/* The lower edge of bin i; the outer bins reach to min and max. */
static double edge(const sm_spread *s, int i)
{
    if (i <= 0)
        return fmin(s->span.min, s->span.low);
    if (i >= SM_BINS + 2)
        return fmax(s->span.max, s->span.high);
    return s->span.low + (s->span.high - s->span.low) * (i - 1) / SM_BINS;
}

static double within(const sm_spread *s, double x)
{
    return x < s->span.min ? s->span.min : x > s->span.max ? s->span.max : x;
}

/* By how much, of its own count, the density rises across bin i: the central difference, clamped to twice the smaller
 * of the steps to the neighbours and 0 if those disagree (van Leer's limiter, J. Comput. Phys. 23 (1977) 276, from
 * memory), so that a density that jumps is not bent. The bins at the ends have other widths. */
static double rise_across(const sm_spread *s, int i)
{
    if (i < 2 || i > SM_BINS - 1)
        return 0;
    const double from = s->bin[i] - s->bin[i - 1], to = s->bin[i + 1] - s->bin[i];
    if (from * to <= 0)
        return 0;
    const double step = fmin(fabs(from + to) / 2, 2 * fmin(fabs(from), fabs(to)));
    return copysign(fmin(1, step / s->bin[i]), from);
}

/* The point below which `wanted` of the trials lie, given that `below` lie below bin i and that wanted - below is above
 * 0 and at most what bin i holds. The density is linear within a bin: t + rise (t^2 - t)/2 of its trials lie in its
 * first part t. */
static double point_in_bin(const sm_spread *s, int i, double below, double wanted)
{
    const double share = (wanted - below) / s->bin[i], rise = rise_across(s, i), at_start = 1 - rise / 2;
    const double t = 2 * share / (at_start + sqrt(at_start * at_start + 2 * rise * share));
    return within(s, edge(s, i) + t * (edge(s, i + 1) - edge(s, i)));
}

double sm_spread_quantile(const sm_spread *s, double p)
{
    const filled f = filled_bins(&s->span);
    double wanted = p * s->span.moments.weight, below = 0;
    for (int i = f.first; i < f.end; i++) {
        if (s->bin[i] > 0 && below + s->bin[i] >= wanted)
            return point_in_bin(s, i, below, wanted);
        below += s->bin[i];
    }
    return s->span.moments.n > 0 ? s->span.max : NAN;
}

/* Of intervals that are as long but for their last bits the first is kept: those bits hang on the processor. */
static void take_shorter(double a, double b, double out[2])
{
    if (b - a < (out[1] - out[0]) * (1 - 1e-9)) {
        out[0] = a;
        out[1] = b;
    }
}

/* The shortest interval that starts at an edge of a bin, with the far end interpolated, and the same mirrored: both are
 * tried because a hard edge (a density that jumps) can lie at either end. */
static void shortest(const sm_spread *s, double share, double out[2])
{
    const filled f = filled_bins(&s->span);
    const double wanted = share * s->span.moments.weight;
    double below_low = 0, below_high = 0;
    int high = f.first;
    out[0] = s->span.min;
    out[1] = s->span.max;
    for (int low = f.first; low < f.end; low++) {
        if (s->bin[low] == 0)
            continue; /* from the next edge it is shorter */
        while (high < f.end && below_high + s->bin[high] < below_low + wanted)
            below_high += s->bin[high++];
        if (high == f.end)
            break;
        double a = within(s, edge(s, low)), b = point_in_bin(s, high, below_high, below_low + wanted);
        take_shorter(a, b, out);
        below_low += s->bin[low];
    }
}

/* The same from the upper end: the interval that ends at an edge of a bin. */
static void shortest_from_above(const sm_spread *s, double share, double out[2])
{
    const filled f = filled_bins(&s->span);
    const double wanted = share * s->span.moments.weight;
    double above_high = 0, above_low = 0;
    int low = f.end - 1;
    for (int high = f.end - 1; high >= f.first; high--) {
        if (s->bin[high] == 0)
            continue;
        while (low >= f.first && above_low + s->bin[low] < above_high + wanted)
            above_low += s->bin[low--];
        if (low < f.first)
            break;
        double n = s->span.moments.weight, b = within(s, edge(s, high + 1));
        double a = point_in_bin(s, low, n - above_low - s->bin[low], n - above_high - wanted);
        take_shorter(a, b, out);
        above_high += s->bin[high];
    }
}

sm_continuous sm_spread_summary(const sm_spread *s)
{
    sm_continuous c = {.n = s->span.moments.n,
                       .not_numbers = s->span.not_numbers,
                       .outside = s->bin[0] + s->bin[SM_BINS + 1],
                       .mean = s->span.moments.mean,
                       .sd = sm_moments_sd(&s->span.moments),
                       .min = s->span.min,
                       .max = s->span.max};
    c.median = sm_spread_quantile(s, 0.5);
    c.low95 = sm_spread_quantile(s, 0.025);
    c.high95 = sm_spread_quantile(s, 0.975);
    if (c.n > 0) {
        c.shortest95[0] = c.low95; /* never longer than the symmetric one */
        c.shortest95[1] = c.high95;
        double from_below[2];
        shortest(s, 0.95, from_below);
        take_shorter(from_below[0], from_below[1], c.shortest95);
        shortest_from_above(s, 0.95, c.shortest95);
    }
    return c;
}

/* 4. Outlines */

sm_outline sm_spread_outline(const sm_spread *s, double of)
{
    enum { FIRST = SM_BINS / 4, EACH = SM_BINS / 2 / SM_OUTLINE_BINS };
    const double bin = (s->span.high - s->span.low) / SM_BINS;
    sm_outline o = {.low = s->span.low + FIRST * bin, .width = EACH * bin};
    for (int i = 0; i < SM_OUTLINE_BINS; i++) {
        double n = 0;
        for (int j = 0; j < EACH; j++)
            n += s->bin[1 + FIRST + i * EACH + j];
        o.share[i] = of > 0 ? n / of : 0;
    }
    return o;
}

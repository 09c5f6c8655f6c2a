/* intervals.c - do the 95 % intervals of a reader study hold the truth 95 times in 100, and how wide are they?
 *
 * Draws studies from the model (reading = mean + case + reader + reader within case + repeat, all normal), with a
 * variance of 1 mm^2 for one reading and a case SD of 3 mm, learns from each, and counts which intervals hold the SD
 * that it was made with. What the readers' share of the variance leaves goes half to the reader within case and half to
 * the repeats; to the repeats alone where nobody reads twice. Beside the intervals of the program stand the one that
 * its degrees of freedom give, Welch and Satterthwaite's, and in complete designs the modified large-sample interval of
 * Graybill and Wang (J Am Stat Assoc 1980;75:869-873; from memory). What a later case makes of the SD and its dof, SD
 * times t(dof), is counted too: how many errors of another reader its 95 % range holds.
 *
 *   intervals [--studies N] [--seed S] [--shapes K] [--break dof | --typed MM]
 *
 * Status 1 if the interval of one reading, the one by its dof, that of readers together, or the range of a later
 * case holds fewer than 95 in 100 by more than 3 standard errors in any design; else 0. --break dof judges those of
 * Welch and Satterthwaite in their place. --typed MM adds MM to one reading of each study (0: to none) and counts how
 * often a reading is called outlying, and how often that one is; status 0.
 *
 * Contents: 1. designs  2. drawing a study  3. other intervals  4. counting  5. table  6. readings typed wrong
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_errno.h>
#include <gsl/gsl_randist.h>

#include "readers/reader_study.h"
#include "sampling/rng.h"

/* 1. Designs */

enum { MOST_READERS = 8, MOST_CASES = 40, MOST_REPEATS = 3, MOST = MOST_READERS * MOST_CASES * MOST_REPEATS };

typedef struct {
    size_t readers, cases, repeats;
    bool gaps;    /* after the first case, one cell in three is missing; half of the cells have no repeat */
    double share; /* of the readers in the variance of one reading */
} design;

static const struct {
    size_t readers, cases, repeats;
    bool gaps;
} shape[] = {{3, 12, 2, false}, {3, 12, 2, true}, {3, 8, 2, false}, {3, 40, 2, false}, {3, 12, 1, false},
             {2, 12, 2, false}, {2, 12, 2, true}, {5, 8, 2, true},  {5, 12, 2, false}, {5, 40, 2, true}};
static const double shares[] = {0.0, 0.1, 0.3, 0.6};
#define COUNT(a) (sizeof(a) / sizeof *(a))

static bool is_there(const design *d, size_t i, size_t j, size_t t)
{
    return !d->gaps || !(((i + 2 * j) % 3 == 1 && i > 0) || (t > 0 && (i + j) % 2 == 1));
}

/* 2. Drawing a study */

typedef struct {
    double reader, cell, repeat; /* SD, mm */
} truth;

static truth truth_of(const design *d)
{
    double rest = 1.0 - d->share;
    if (d->repeats == 1)
        return (truth){.reader = sqrt(d->share), .repeat = sqrt(rest)};
    return (truth){.reader = sqrt(d->share), .cell = sqrt(0.5 * rest), .repeat = sqrt(0.5 * rest)};
}

static size_t draw_study(gsl_rng *rng, const design *d, sm_study_reading *out)
{
    truth s = truth_of(d);
    double reader[MOST_READERS];
    size_t n = 0;
    for (size_t j = 0; j < d->readers; j++)
        reader[j] = gsl_ran_gaussian(rng, 1.0) * s.reader;
    for (size_t i = 0; i < d->cases; i++) {
        double mm = 8.0 + gsl_ran_gaussian(rng, 3.0);
        for (size_t j = 0; j < d->readers; j++) {
            double cell = mm + reader[j] + gsl_ran_gaussian(rng, 1.0) * s.cell;
            for (size_t t = 0; t < d->repeats; t++) {
                double read = cell + gsl_ran_gaussian(rng, 1.0) * s.repeat;
                if (is_there(d, i, j, t))
                    out[n++] = (sm_study_reading){.case_id = i, .reader_id = j, .repeat = (long)t + 1, .mm = read};
            }
        }
    }
    return n;
}

/* 3. Other intervals */

/* Sum of g_i MS_i, g_i > 0: each end is moved by the root of the sum of the squares of what the ends of each part move.
 */
static sm_ci95 large_sample(const sm_anova *a, const design *d)
{
    double n = (double)d->repeats, cases = (double)d->cases;
    double part[SM_VCS] = {0.0, a->ms[SM_VC_READER] / (n * cases), a->ms[SM_VC_READER_CASE] * (1.0 - 1.0 / cases) / n,
                           d->repeats > 1 ? a->ms[SM_VC_REPEAT] * (1.0 - 1.0 / n) : 0.0};
    double sum = 0.0, down = 0.0, up = 0.0;
    for (int c = SM_VC_READER; c < SM_VCS; c++) {
        if (!(part[c] > 0.0))
            continue;
        double dof = (double)a->dof[c];
        sum += part[c];
        down += pow(part[c] * (1.0 - dof / gsl_cdf_chisq_Pinv(0.975, dof)), 2.0);
        up += pow(part[c] * (dof / gsl_cdf_chisq_Pinv(0.025, dof) - 1.0), 2.0);
    }
    return (sm_ci95){sqrt(sum), sqrt(fmax(0.0, sum - sqrt(down))), sqrt(sum + sqrt(up))};
}

static sm_ci95 satterthwaite(const sm_reml *r, const int use[SM_VCS])
{
    sm_vc_sum s = sm_reml_sum(r, use);
    return sm_ci95_sd(s.variance, s.var_of_variance);
}

/* The SD of a reading as known from dof degrees of freedom. */
static sm_ci95 by_dof(double sd, double dof)
{
    return (sm_ci95){sd, sd * sqrt(dof / gsl_cdf_chisq_Pinv(0.975, dof)),
                     sd * sqrt(dof / gsl_cdf_chisq_Pinv(0.025, dof))};
}

/* 4. Counting */

enum { TOTAL, TOTAL_DOF, TOTAL_OLD, TOTAL_LARGE, BETWEEN, BETWEEN_OLD, READER, REPEAT, INTERVALS };
enum { RANGE, RANGE_OLD, RANGES };

typedef struct {
    long n, below, above; /* studies; those with the truth below the low end, above the high end */
    double width;         /* sum of the lengths, mm */
} tally;

/* The share of another reader's errors that the 95 % range of a later case holds: sums over the studies. */
typedef struct {
    double sum, squares;
} share;

typedef struct {
    tally interval[INTERVALS];
    share range[RANGES];
    long studies;
    long few; /* with fewer than 3 degrees of freedom */
} counts;

static void count(tally *t, sm_ci95 c, double sd)
{
    t->n++;
    t->below += !(sd >= c.low);
    t->above += !(sd <= c.high);
    t->width += c.high - c.low;
}

/* A case takes no fewer than 3 degrees of freedom. One reading has an SD of 1. */
static void count_range(share *r, double sd, double dof)
{
    double inside = 1.0 - 2.0 * gsl_cdf_ugaussian_Q(sd * gsl_cdf_tdist_Pinv(0.975, fmax(dof, SM_LEARNED_LEAST_DOF)));
    r->sum += inside;
    r->squares += inside * inside;
}

static void count_study(const sm_learned *l, const design *d, counts *c)
{
    truth s = truth_of(d);
    tally *t = c->interval;
    double between = sqrt(s.reader * s.reader + s.cell * s.cell);
    sm_vc_sum sum = sm_reml_sum(&l->reml, (int[SM_VCS]){0, 1, 1, 1});
    c->studies++;
    c->few += l->too_small;
    count(&t[TOTAL], l->total_sd, 1.0);
    count(&t[TOTAL_DOF], by_dof(l->total_sd.value, l->dof_found > 0.0 ? l->dof_found : l->dof), 1.0);
    count(&t[TOTAL_OLD], satterthwaite(&l->reml, (int[SM_VCS]){0, 1, 1, 1}), 1.0);
    if (l->anova.balanced)
        count(&t[TOTAL_LARGE], large_sample(&l->anova, d), 1.0);
    if (d->repeats > 1) {
        count(&t[BETWEEN], l->between_sd, between);
        count(&t[BETWEEN_OLD], satterthwaite(&l->reml, (int[SM_VCS]){0, 1, 1, 0}), between);
    }
    count(&t[READER], l->component_sd[SM_VC_READER], s.reader);
    count(&t[REPEAT], l->component_sd[SM_VC_REPEAT], s.repeat);
    count_range(&c->range[RANGE], l->total_sd.value, l->dof);
    count_range(&c->range[RANGE_OLD], l->total_sd.value, sm_satterthwaite_dof(sum.variance, sum.var_of_variance));
}

/* Study i is a function of the seed and i alone. */
static void run_design(const design *d, long studies, uint64_t seed, counts *c)
{
    static sm_study_reading reading[MOST];
    char name[] = "x";
    sm_study_quantity quantity = {.name = name, .reading = reading};
    sm_reader_study s = {.n_cases = d->cases, .n_readers = d->readers, .n_quantities = 1, .quantity = &quantity};
    gsl_rng *rng = gsl_rng_alloc(sm_rng_philox);
    for (long i = 0; i < studies; i++) {
        sm_learned l;
        sm_rng_seek(rng, seed, sm_rng_stream("reader study", 0), (uint32_t)i);
        quantity.n = draw_study(rng, d, reading);
        if (sm_learn_quantity(&s, 0, &l) != SM_OK) {
            fprintf(stderr, "study %ld cannot be learned from\n", i);
            exit(2);
        }
        count_study(&l, d, c);
        sm_learned_destroy(&l);
    }
    gsl_rng_free(rng);
}

/* 5. Table */

static double held(const tally *t)
{
    return 1.0 - (double)(t->below + t->above) / (double)t->n;
}

/* As few or fewer would come by chance less than once in 740 times: 3 standard errors. */
static bool too_few(const tally *t)
{
    return t->n > 0 && gsl_cdf_binomial_P((unsigned)(t->n - t->below - t->above), 0.95, (unsigned)t->n) < 0.00135;
}

static bool holds_too_little(const share *r, long n)
{
    double mean = r->sum / (double)n, variance = fmax(0.0, r->squares / (double)n - mean * mean);
    return mean + 3.0 * sqrt(variance / (double)n) < 0.95;
}

static void print_held(const tally *t)
{
    if (t->n == 0)
        printf(" - |");
    else
        printf(" %.1f, %.1f + %.1f, %.2f |", 100.0 * held(t), 100.0 * (double)t->below / (double)t->n,
               100.0 * (double)t->above / (double)t->n, t->width / (double)t->n);
}

typedef struct {
    long studies, seed, shapes;
    bool judge_dof, types;
    double typed; /* mm */
} options;

static bool read_options(int argc, char **argv, options *o)
{
    *o = (options){.studies = 1000, .seed = 1, .shapes = COUNT(shape)};
    for (int i = 1; i + 1 < argc; i += 2) {
        if (strcmp(argv[i], "--studies") == 0)
            o->studies = atol(argv[i + 1]);
        else if (strcmp(argv[i], "--seed") == 0)
            o->seed = atol(argv[i + 1]);
        else if (strcmp(argv[i], "--shapes") == 0)
            o->shapes = atol(argv[i + 1]);
        else if (strcmp(argv[i], "--break") == 0 && strcmp(argv[i + 1], "dof") == 0)
            o->judge_dof = true;
        else if (strcmp(argv[i], "--typed") == 0) {
            o->types = true;
            o->typed = atof(argv[i + 1]);
        } else
            return false;
    }
    return argc % 2 == 1 && o->studies > 0 && o->shapes > 0 && o->shapes <= (long)COUNT(shape);
}

static void print_heading(const options *o)
{
    printf("%ld studies of each design, seed %ld. Each field: how many of 100 intervals held the truth, below which of "
           "100 and above which of 100 it lay, mean length in mm. Range of a case: how many of 100 errors of another "
           "reader SD times t(dof) holds.\n\n"
           "| readers, cases, repeats | readers' share | one reading | by its dof | by Welch and Satterthwaite | "
           "large-sample | readers together | by Welch and Satterthwaite | one reader against another | repeat | range "
           "of a case | by Welch and Satterthwaite | fewer than 3 dof, of 100 |\n"
           "|---|---|---|---|---|---|---|---|---|---|---|---|---|\n",
           o->studies, o->seed);
}

/* Whether enough intervals of those that are judged held the truth, and enough errors lay in the range. */
static bool is_held(const counts *c, bool judge_dof)
{
    const tally *t = c->interval;
    if (judge_dof)
        return !too_few(&t[TOTAL_OLD]) && !too_few(&t[BETWEEN_OLD]) &&
               !holds_too_little(&c->range[RANGE_OLD], c->studies);
    return !too_few(&t[TOTAL]) && !too_few(&t[TOTAL_DOF]) && !too_few(&t[BETWEEN]) &&
           !holds_too_little(&c->range[RANGE], c->studies);
}

static bool print_design(const design *d, const options *o)
{
    counts c = {0};
    run_design(d, o->studies, (uint64_t)o->seed, &c);
    printf("| %zu, %zu, %zu%s | %.0f %% |", d->readers, d->cases, d->repeats, d->gaps ? ", gaps" : "",
           100.0 * d->share);
    for (int k = 0; k < INTERVALS; k++)
        print_held(&c.interval[k]);
    for (int k = 0; k < RANGES; k++)
        printf(" %.1f |", 100.0 * c.range[k].sum / (double)c.studies);
    printf(" %.0f |\n", 100.0 * (double)c.few / (double)c.studies);
    fflush(stdout);
    return is_held(&c, o->judge_dof);
}

/* 6. Readings typed wrong */

static bool names(const sm_learned *l, size_t reading)
{
    for (size_t i = 0; i < l->n_outlying; i++)
        if (l->outlying[i].suspect == reading)
            return true;
    return false;
}

static void print_typed(const design *d, const options *o)
{
    static sm_study_reading reading[MOST];
    char name[] = "x";
    sm_study_quantity quantity = {.name = name, .reading = reading};
    sm_reader_study s = {.n_cases = d->cases, .n_readers = d->readers, .n_quantities = 1, .quantity = &quantity};
    gsl_rng *rng = gsl_rng_alloc(sm_rng_philox);
    long any = 0, right = 0;
    for (long i = 0; i < o->studies; i++) {
        sm_learned l;
        sm_rng_seek(rng, (uint64_t)o->seed, sm_rng_stream("reader study", 0), (uint32_t)i);
        quantity.n = draw_study(rng, d, reading);
        const size_t wrong = gsl_rng_uniform_int(rng, quantity.n);
        reading[wrong].mm += o->typed;
        if (sm_learn_quantity(&s, 0, &l) != SM_OK)
            exit(2);
        any += l.n_outlying > 0;
        right += names(&l, wrong);
        sm_learned_destroy(&l);
    }
    gsl_rng_free(rng);
    printf("| %zu, %zu, %zu%s | %.0f %% | %.1f | %.1f |\n", d->readers, d->cases, d->repeats, d->gaps ? ", gaps" : "",
           100.0 * d->share, 100.0 * (double)any / (double)o->studies, 100.0 * (double)right / (double)o->studies);
    fflush(stdout);
}

static int type_wrong(const options *o)
{
    printf("%ld studies of each design, seed %ld, one reading wrong by %g times the SD of a reading.\n\n"
           "| readers, cases, repeats | readers' share | a reading is called outlying, of 100 | the wrong one is |\n"
           "|---|---|---|---|\n",
           o->studies, o->seed, o->typed);
    for (long i = 0; i < o->shapes; i++)
        for (size_t k = 0; k < COUNT(shares); k += COUNT(shares) - 1) {
            design d = {shape[i].readers, shape[i].cases, shape[i].repeats, shape[i].gaps, shares[k]};
            print_typed(&d, o);
        }
    return 0;
}

int main(int argc, char **argv)
{
    options o;
    bool good = true;
    gsl_set_error_handler_off();
    if (!read_options(argc, argv, &o)) {
        fprintf(stderr, "intervals [--studies N] [--seed S] [--shapes K] [--break dof | --typed MM]\n");
        return 2;
    }
    if (o.types)
        return type_wrong(&o);
    print_heading(&o);
    for (long i = 0; i < o.shapes; i++)
        for (size_t k = 0; k < COUNT(shares); k++) {
            design d = {shape[i].readers, shape[i].cases, shape[i].repeats, shape[i].gaps, shares[k]};
            good = print_design(&d, &o) && good;
        }
    printf(good ? "\nNone holds too few.\n" : "\nSome hold TOO FEW.\n");
    return good ? 0 : 1;
}

/* bench.c - what a trial costs: the assessment of a case beside drawing the same numbers and nothing else.
 *
 * Both are timed in one run, in turn, on one thread; medians are printed. Never fails on time.
 *
 *   bench CASE [PROFILE]
 *
 * Contents: 1. the case  2. bare draws  3. the assessment  4. what to measure again  5. sweeps  6. the comparison
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <inttypes.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <sys/resource.h>
#include <time.h>

#include <gsl/gsl_errno.h>
#include <gsl/gsl_randist.h>

#include "analysis/recheck.h"
#include "casefile/sweep.h"
#include "casefile/swing.h"

enum { REPEATS = 9, TRIALS = 1 << 18, LARGEST_FILE = 1 << 20 };

/* 1. The case */

static sm_file_text read_file(const char *path, char *room)
{
    FILE *f = path ? fopen(path, "rb") : NULL;
    size_t n = f ? fread(room, 1, LARGEST_FILE, f) : 0;
    if (f)
        fclose(f);
    return (sm_file_text){.name = path, .text = f ? room : NULL, .length = n};
}

static sm_casefile *read_case(const char *case_path, const char *profile_path)
{
    char *room = malloc(2 * (size_t)LARGEST_FILE);
    sm_diag d = {0};
    sm_casefile *file = NULL;
    if (room)
        sm_casefile_read(read_file(case_path, room), read_file(profile_path, room + LARGEST_FILE), NULL, 0, &d, &file);
    sm_diag_destroy(&d);
    free(room);
    return file;
}

static double seconds(void)
{
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

static int by_size(const void *a, const void *b)
{
    const double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

static double median(double *x, size_t n)
{
    qsort(x, n, sizeof *x, by_size);
    return x[n / 2];
}

/* 2. Bare draws */

typedef struct {
    int normals, uniforms;
} columns;

static columns columns_of(const sm_case *c)
{
    columns n = {0};
    sm_plan p;
    if (sm_plan_create(c, 1, &p) != SM_OK)
        return n;
    for (int i = 0; i < p.sources.n_columns; i++)
        *(p.sources.column[i].base == SM_BASE_NORMAL ? &n.normals : &n.uniforms) += 1;
    sm_plan_destroy(&p);
    return n;
}

/* Fills as many columns of SM_BLOCK as the case has, by taus2 and the ziggurat. Returns ns a trial. */
static double time_draws(gsl_rng *r, columns n, double *column, double *sum)
{
    const double start = seconds();
    for (int block = 0; block < TRIALS / SM_BLOCK; block++) {
        for (int j = 0; j < n.normals; j++)
            for (int i = 0; i < SM_BLOCK; i++)
                column[j * SM_BLOCK + i] = gsl_ran_gaussian_ziggurat(r, 1);
        for (int j = n.normals; j < n.normals + n.uniforms; j++)
            for (int i = 0; i < SM_BLOCK; i++)
                column[j * SM_BLOCK + i] = gsl_rng_uniform(r);
        *sum += column[block % SM_BLOCK];
    }
    return (seconds() - start) / TRIALS * 1e9;
}

/* 3. The assessment */

/* The time of n trials, everything included: pilots, ranges, quantiles. */
static double time_assess(const sm_case *c, int64_t n, double *sum)
{
    const sm_executor serial = sm_executor_serial();
    const sm_watch watch = {0};
    sm_assessment a;
    const double start = seconds();
    if (sm_assess(c, &(sm_assess_options){.trials = n, .seed = 1}, &serial, &watch, &a) == SM_OK) {
        *sum += a.patient.event.probability;
        sm_assessment_destroy(&a);
    }
    return seconds() - start;
}

/* 4. What to measure again */

enum { RECHECK_REPEATS = 3 };

/* recheck at its default, with the swings that the command adds, over an assess of 1,000,000 trials: medians of ratios
 * in one run. */
static double recheck_ratio(const sm_casefile *file, double *sum)
{
    const sm_executor serial = sm_executor_serial();
    const sm_watch watch = {0};
    double ratio[REPEATS];
    for (int i = 0; i < RECHECK_REPEATS; i++) {
        sm_recheck k;
        sm_swings s;
        const double base = time_assess(sm_casefile_case(file), 1000000, sum), start = seconds();
        if (sm_recheck_run(sm_casefile_case(file), &sm_recheck_defaults, &serial, &watch, &k) != SM_OK)
            return NAN;
        if (sm_swings_run(file, 1, 65536, &serial, &s) == SM_OK)
            sm_swings_destroy(&s);
        *sum += k.worths.bound.value;
        sm_recheck_destroy(&k);
        ratio[i] = (seconds() - start) / base;
    }
    return median(ratio, RECHECK_REPEATS);
}

/* 5. Sweeps */

/* A sweep of 21 steps, its break-even included, over an assess of the same trials: the median of ratios in one run; the dearest of the knobs. */
static double sweep_ratio(const sm_casefile *file, double *sum)
{
    static const sm_sweep_ask ask[] = {{(char *)"blooming", 0.2, 0.8, 21}, {(char *)"tilt", 1.5, 6, 21}, {(char *)"flare", 0, 1, 21}, {(char *)"leaflet_thickness", 0.3, 2, 21},
                                       {(char *)"implant_depth", 2, 6, 21}, {(char *)"reader_error", 0.67, 1.67, 21}};
    const sm_executor serial = sm_executor_serial();
    const sm_watch watch = {0};
    const sm_sweep_run_options options = {TRIALS, 1, &serial, &watch};
    double dearest = 0;
    for (size_t j = 0; j < sizeof ask / sizeof *ask; j++) {
        double ratio[RECHECK_REPEATS];
        for (int i = 0; i < RECHECK_REPEATS; i++) {
            sm_sweep s;
            sm_diag d = {0};
            const double base = time_assess(sm_casefile_case(file), TRIALS, sum), start = seconds();
            if (sm_sweep_run(file, &ask[j], 1, &options, &d, &s) == SM_OK)
                *sum += s.range.value;
            sm_sweep_destroy(&s);
            sm_diag_destroy(&d);
            ratio[i] = (seconds() - start) / base;
        }
        dearest = fmax(dearest, median(ratio, RECHECK_REPEATS));
    }
    return dearest;
}

/* 6. The comparison */

static int compare(const sm_casefile *file)
{
    const sm_case *c = sm_casefile_case(file);
    double draws[REPEATS], trials[REPEATS], whole[REPEATS], ratio[REPEATS], sum = 0;
    const columns n = columns_of(c);
    double *column = malloc((size_t)(n.normals + n.uniforms + 1) * SM_BLOCK * sizeof *column);
    gsl_rng *r = gsl_rng_alloc(gsl_rng_taus2);
    if (!column || !r)
        return EXIT_FAILURE;
    for (int i = 0; i < REPEATS; i++) {
        draws[i] = time_draws(r, n, column, &sum);
        double one = time_assess(c, TRIALS, &sum), two = time_assess(c, 2 * (int64_t)TRIALS, &sum);
        trials[i] = (two - one) / TRIALS * 1e9;
        whole[i] = two / (2 * TRIALS) * 1e9;
        ratio[i] = trials[i] / draws[i];
    }
    printf("columns: %d normals, %d uniforms\n", n.normals, n.uniforms);
    printf("bare draws (taus2, ziggurat):   %7.1f ns a trial\n", median(draws, REPEATS));
    printf("assess, one thread:             %7.1f ns a trial (start-up taken off)\n", median(trials, REPEATS));
    printf("assess, start-up spread over %d: %.1f ns a trial\n", 2 * TRIALS, median(whole, REPEATS));
    printf("ratio of assess to bare draws:  %7.2f (aim: at most 2.6)\n", median(ratio, REPEATS));
    printf("recheck, one thread:            %7.2f times an assess of 1,000,000 trials (aim: at most 6)\n",
           recheck_ratio(file, &sum));
    printf("sweep of 21 steps, dearest knob: %6.2f times an assess of as many trials (aim: at most 7)\n",
           sweep_ratio(file, &sum));
    struct rusage use;
    getrusage(RUSAGE_SELF, &use);
    printf("peak memory:                    %7.1f MB (aim: below 64)\n", (double)use.ru_maxrss / 1024);
    gsl_rng_free(r);
    free(column);
    return sum > 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}

int main(int argc, char **argv)
{
    gsl_set_error_handler_off();
    sm_casefile *file = argc > 1 ? read_case(argv[1], argc > 2 ? argv[2] : NULL) : NULL;
    if (!file) {
        fprintf(stderr, "usage: bench CASE [PROFILE]\n");
        return EXIT_FAILURE;
    }
    int code = compare(file);
    sm_casefile_destroy(file);
    return code;
}

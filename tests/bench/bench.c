/* bench.c - what a trial costs, beside drawing the same numbers and nothing else, and beside other programs.
 *
 * What is compared is timed in one run, in turn; medians of times and of ratios are printed. Never fails on time.
 *
 *   bench PROGRAM CASE [PROFILE]
 *
 * The environment variable LARGEST is the largest number of trials that PROGRAM is run with (10,000,000).
 *
 * Contents: 1. the case  2. bare draws  3. the assessment  4. two threads  5. what to measure again
 *           6. sweeps  7. the program from outside  8. the same in other languages
 * SPDX-License-Identifier: GPL-3.0-or-later */
#define _DEFAULT_SOURCE /* wait4 */
#include <fcntl.h>
#include <math.h>
#include <pthread.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

#include <gsl/gsl_errno.h>
#include <gsl/gsl_randist.h>

#include "decision/recheck.h"
#include "whatif/sweep.h"
#include "whatif/settings.h"
#include "outside/threads.h"

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

static const sm_executor one_thread = {0};

/* The time of n trials, everything included: pilots, ranges, quantiles. */
static double time_assess_by(const sm_case *c, int64_t n, sm_points_kind points, sm_executor executor, double *sum)
{
    sm_assessment a;
    const double start = seconds();
    const sm_run_context context = {.trials = n, .seed = 1, .executor = executor, .points = points};
    if (sm_assess(c, context, &a) == SM_OK) {
        *sum += a.patient.event.probability;
        sm_assessment_destroy(&a);
    }
    return seconds() - start;
}

static double time_assess(const sm_case *c, int64_t n, sm_executor executor, double *sum)
{
    return time_assess_by(c, n, SM_POINTS_PLAIN, executor, sum);
}

static int beside_draws(const sm_case *c, double *sum)
{
    const columns n = columns_of(c);
    double draws[REPEATS], trials[REPEATS], whole[REPEATS], ratio[REPEATS];
    double *column = malloc((size_t)(n.normals + n.uniforms + 1) * SM_BLOCK * sizeof *column);
    gsl_rng *r = gsl_rng_alloc(gsl_rng_taus2);
    for (int i = 0; column && r && i < REPEATS; i++) {
        draws[i] = time_draws(r, n, column, sum);
        double one = time_assess(c, TRIALS, one_thread, sum),
               two = time_assess(c, 2 * (int64_t)TRIALS, one_thread, sum);
        trials[i] = (two - one) / TRIALS * 1e9;
        whole[i] = two / (2 * TRIALS) * 1e9;
        ratio[i] = whole[i] / draws[i];
    }
    free(column);
    if (!column || !r)
        return EXIT_FAILURE;
    gsl_rng_free(r);
    printf("columns: %d normals, %d uniforms\n", n.normals, n.uniforms);
    printf("bare draws (taus2, ziggurat)        %7.1f ns a trial\n", median(draws, REPEATS));
    printf("assess, one thread                  %7.1f ns a trial (start-up taken off)\n", median(trials, REPEATS));
    printf("assess, one thread, %7d trials  %7.1f ns a trial (all of it)\n", 2 * TRIALS, median(whole, REPEATS));
    printf("  over bare draws                   %7.2f (aim: at most 1.7)\n", median(ratio, REPEATS));
    return EXIT_SUCCESS;
}

/* 4. Two threads */

enum { PAIR_TRIALS = 1 << 20, SPINS = 100000000 };

/* Arithmetic in registers and nothing else, as many operations at once as a core can start: what two threads of it
 * reach is what this machine can give. Two threads of one core share its units and reach 1.2 to 1.4, two cores 2. */
static void *spin(void *out)
{
    uint64_t a = 1, b = 2, c = 3, d = 5, e = 7, f = 11;
    for (uint64_t i = 0; i < SPINS; i++) {
        a += i ^ b;
        b ^= i + 1;
        c += i ^ d;
        d ^= i + 2;
        e += i ^ f;
        f ^= i + 3;
    }
    *(uint64_t *)out = a ^ b ^ c ^ d ^ e ^ f;
    return NULL;
}

static double machine_speed_up(double *sum)
{
    uint64_t out[2] = {0};
    pthread_t other;
    const double start = seconds();
    spin(&out[0]);
    const double middle = seconds();
    if (pthread_create(&other, NULL, spin, &out[1]) != 0)
        return NAN;
    spin(&out[0]);
    pthread_join(other, NULL);
    *sum += (double)(out[0] ^ out[1]);
    return 2 * (middle - start) / (seconds() - middle);
}

static int with_two_threads(const sm_case *c, double *sum)
{
    double speed_up[REPEATS], machine[REPEATS];
    sm_threads *pool = sm_threads_create(2);
    if (!pool)
        return EXIT_FAILURE;
    const sm_executor pair = sm_threads_executor(pool);
    for (int i = 0; i < REPEATS; i++) {
        const double one = time_assess(c, PAIR_TRIALS, one_thread, sum);
        speed_up[i] = one / time_assess(c, PAIR_TRIALS, pair, sum);
        machine[i] = machine_speed_up(sum);
    }
    sm_threads_destroy(pool);
    const double ours = median(speed_up, REPEATS), its = median(machine, REPEATS); /* sorts */
    printf("two threads over one                %7.2f, best %.2f (aim: at least 1.7 on two idle cores)\n", ours,
           speed_up[REPEATS - 1]);
    printf("  the machine itself                %7.2f, best %.2f: arithmetic in registers, nothing shared\n", its,
           machine[REPEATS - 1]);
    return EXIT_SUCCESS;
}

/* 5. What to measure again */

enum { RECHECK_REPEATS = 3 };

/* What a call hangs on, as every command finds it, over an assess by itself. */
static double settings_ratio(const sm_casefile *file, double *sum)
{
    const sm_run_context context = {.trials = SM_DEFAULT_TRIALS, .seed = SM_DEFAULT_SEED};
    double ratio[REPEATS];
    for (int i = 0; i < REPEATS; i++) {
        sm_assessment a;
        sm_settings s;
        double start = seconds();
        if (sm_assess(sm_casefile_case(file), context, &a) != SM_OK)
            return NAN;
        const double base = seconds() - start;
        start = seconds();
        if (sm_settings_run(file, &a, context, &s) != SM_OK)
            return NAN;
        ratio[i] = (seconds() - start) / base;
        *sum += s.most;
        sm_settings_destroy(&s);
        sm_assessment_destroy(&a);
    }
    return median(ratio, REPEATS);
}

/* recheck at its default over an assess of as many trials: medians of ratios in one run. */
static double recheck_ratio(const sm_casefile *file, double *sum)
{
    const sm_run_context context = {.trials = SM_DEFAULT_TRIALS, .seed = SM_DEFAULT_SEED};
    double ratio[RECHECK_REPEATS];
    for (int i = 0; i < RECHECK_REPEATS; i++) {
        sm_recheck k;
        const double base = time_assess(sm_casefile_case(file), context.trials, one_thread, sum), start = seconds();
        if (sm_recheck_run(sm_casefile_case(file), &sm_recheck_defaults, context, &k) != SM_OK)
            return NAN;
        *sum += k.worths.bound.value;
        sm_recheck_destroy(&k);
        ratio[i] = (seconds() - start) / base;
    }
    return median(ratio, RECHECK_REPEATS);
}

/* 6. Sweeps */

/* A sweep of 21 steps, its break-even included, over an assess of the same trials: the median of ratios in one run; the
 * dearest of the knobs. */
static double sweep_ratio(const sm_casefile *file, double *sum)
{
    static const sm_sweep_ask ask[] = {{(char *)"blooming", 0.2, 0.8, 21},  {(char *)"tilt", 1.5, 6, 21},
                                       {(char *)"flare", 0, 1, 21},         {(char *)"leaflet_thickness", 0.3, 2, 21},
                                       {(char *)"implant_depth", 2, 6, 21}, {(char *)"reader_error", 0.67, 1.67, 21}};
    const sm_run_context context = {.trials = TRIALS, .seed = 1};
    double dearest = 0;
    for (size_t j = 0; j < sizeof ask / sizeof *ask; j++) {
        double ratio[RECHECK_REPEATS];
        for (int i = 0; i < RECHECK_REPEATS; i++) {
            sm_sweep s;
            sm_diag d = {0};
            const double base = time_assess(sm_casefile_case(file), TRIALS, one_thread, sum), start = seconds();
            if (sm_sweep_run(file, &ask[j], 1, context, &d, &s) == SM_OK)
                *sum += s.range.value;
            sm_sweep_destroy(&s);
            sm_diag_destroy(&d);
            ratio[i] = (seconds() - start) / base;
        }
        dearest = fmax(dearest, median(ratio, RECHECK_REPEATS));
    }
    return dearest;
}

/* 7. The program from outside */

/* Wall time in seconds and peak memory in MB of one run, its output thrown away. False if it failed. */
static bool run_program(const char *program, const char *command, const char *path, long long trials, double *wall,
                        double *memory)
{
    char count[24];
    struct rusage use;
    int status = 0;
    snprintf(count, sizeof count, "%lld", trials);
    const double start = seconds();
    const pid_t child = fork();
    if (child == 0) {
        int nowhere = open("/dev/null", O_WRONLY);
        dup2(nowhere, STDOUT_FILENO);
        dup2(nowhere, STDERR_FILENO);
        execl(program, program, command, path, "--trials", count, (char *)NULL);
        _exit(127);
    }
    if (child < 0 || wait4(child, &status, 0, &use) != child || status != 0)
        return false;
    *wall = seconds() - start;
    *memory = (double)use.ru_maxrss / 1024;
    return true;
}

/* Tables, pilot and summaries, before the trials; and the command, which also finds what the call hangs on and what a
 * look is worth, with trials of their own. */
/* Processor time of an assessment of one trial: other programs' turns do not count. */
static double time_start(const sm_case *c, sm_points_kind points, double *sum)
{
    const clock_t start = clock();
    time_assess_by(c, 1, points, one_thread, sum);
    return (double)(clock() - start) / CLOCKS_PER_SEC;
}

static void start_up(const char *program, const char *path, const sm_case *c, double *sum)
{
    enum { STARTS = 15 };
    double ours[STARTS], sharp[STARTS], wall[STARTS], memory;
    for (int i = 0; i < STARTS; i++) {
        ours[i] = time_start(c, SM_POINTS_PLAIN, sum);
        sharp[i] = time_start(c, SM_POINTS_SHARP, sum);
        if (!run_program(program, "assess", path, 1, &wall[i], &memory))
            return;
    }
    printf("start-up (assess of one trial)      %7.1f ms (aim: at most 4)\n", 1e3 * median(ours, STARTS));
    printf("  with sharp points, 4,096 of them  %7.1f ms (aim: at most 10)\n", 1e3 * median(sharp, STARTS));
    printf("the command, settings and looks too %7.1f ms\n", 1e3 * median(wall, STARTS));
}

static void growth(const char *program, const char *command, const char *path, long long largest)
{
    for (long long n = 100000; n <= largest; n *= 10) {
        double wall, memory;
        if (run_program(program, command, path, n, &wall, &memory))
            printf("%-7s of %13lld trials     %7.1f MB at most, %.1f s, %.0f ns a trial, all threads\n", command, n,
                   memory, wall, wall / (double)n * 1e9);
    }
}

/* 8. The same in other languages */

enum { RIVAL_REPEATS = 7, RIVAL_TRIALS = 1000000 };

/* What a program of tests/bench says a trial costs it, ns; NAN where its library is not installed. */
static double rival_time(const char *script, const char *path)
{
    char command[512], line[128] = "";
    snprintf(command, sizeof command, "/usr/bin/python3 %s '%s' %d 2>/dev/null", script, path, RIVAL_TRIALS);
    FILE *p = popen(command, "r");
    char *got = p ? fgets(line, sizeof line, p) : NULL;
    int status = p ? pclose(p) : -1;
    return got && status == 0 ? strtod(line, NULL) : NAN;
}

static void beside_rival(const char *name, const char *script, const char *path, const sm_case *c, sm_executor pair,
                         double aim, double *sum)
{
    double theirs[RIVAL_REPEATS], with_one[RIVAL_REPEATS], with_two[RIVAL_REPEATS];
    for (int i = 0; i < RIVAL_REPEATS; i++) {
        theirs[i] = rival_time(script, path);
        if (isnan(theirs[i])) {
            printf("%s: not installed, skipped\n", name);
            return;
        }
        with_two[i] = theirs[i] / (time_assess(c, RIVAL_TRIALS, pair, sum) / RIVAL_TRIALS * 1e9);
        with_one[i] = theirs[i] / (time_assess(c, RIVAL_TRIALS, one_thread, sum) / RIVAL_TRIALS * 1e9);
    }
    const double two = median(with_two, RIVAL_REPEATS);
    printf(
        "%-10s %7.0f ns a trial: %5.1f times assess with two threads, best %.1f (aim: at least %.0f); %.1f with one\n",
        name, median(theirs, RIVAL_REPEATS), two, with_two[RIVAL_REPEATS - 1], aim, median(with_one, RIVAL_REPEATS));
}

/* Processor time of the fewest sharp points, start-up included, whose standard error is at most `error`. */
static double time_sharp(const sm_case *c, double error, double *sum)
{
    for (int64_t points = 4096;; points *= 2) {
        const clock_t start = clock();
        sm_plan p;
        sm_sharp s;
        if (sm_plan_create(c, 1, &p) != SM_OK)
            return NAN;
        const sm_status ran = sm_sharp_run(&p, (sm_run_context){.trials = points, .seed = 1}, &s);
        const double taken = (double)(clock() - start) / CLOCKS_PER_SEC;
        const sm_probability P = ran == SM_OK ? sm_task_means_probability(sm_sharp_event(&s, 0, SM_SHARED))
                                              : (sm_probability){.standard_error = 0};
        sm_sharp_destroy(&s);
        sm_plan_destroy(&p);
        if (P.standard_error <= error) {
            *sum += P.probability;
            return taken;
        }
    }
}

/* The same of OpenTURNS' own low-discrepancy experiment, by its script: seconds; NAN where it is not installed. */
static double rival_sobol(const char *path, const char *error, long long *points)
{
    char command[512], line[128] = "";
    double taken = NAN;
    snprintf(command, sizeof command,
             "OMP_NUM_THREADS=1 /usr/bin/python3 tests/bench/rival_openturns.py '%s' sobol %s 2>/dev/null", path,
             error);
    FILE *p = popen(command, "r");
    const char *got = p ? fgets(line, sizeof line, p) : NULL;
    const int status = p ? pclose(p) : -1;
    return got && status == 0 && sscanf(line, "%lf %lld", &taken, points) == 2 ? taken : NAN;
}

static void beside_sobol(const char *path, const sm_case *c, double *sum)
{
    enum { TURNS = 3 };
    double theirs[TURNS], ours[TURNS], ratio[TURNS];
    long long points = 0;
    for (int i = 0; i < TURNS; i++) {
        theirs[i] = rival_sobol(path, "0.0005", &points);
        if (isnan(theirs[i])) {
            printf("OpenTURNS' Sobol points: not installed, skipped\n");
            return;
        }
        ours[i] = time_sharp(c, 0.0005, sum);
        ratio[i] = theirs[i] / ours[i];
    }
    const double times = median(ratio, TURNS);
    printf("to a standard error of 0.0005, processor time: OpenTURNS' randomised Sobol points %.2f s (%lld of them), "
           "sharp "
           "points %.4f s: %.0f times\n",
           median(theirs, TURNS), points, median(ours, TURNS), times);
}

static int beside_rivals(const char *path, const sm_case *c, double *sum)
{
    sm_threads *pool = sm_threads_create(2);
    if (!pool)
        return EXIT_FAILURE;
    const sm_executor pair = sm_threads_executor(pool);
    beside_rival("numpy", "tests/bench/rival_numpy.py", path, c, pair, 10, sum);
    beside_rival("OpenTURNS", "tests/bench/rival_openturns.py", path, c, pair, 50, sum);
    beside_sobol(path, c, sum);
    sm_threads_destroy(pool);
    return EXIT_SUCCESS;
}

static int compare(const char *program, const char *path, const sm_casefile *file)
{
    const sm_case *c = sm_casefile_case(file);
    const char *largest = getenv("LARGEST");
    const long long most = largest ? strtoll(largest, NULL, 10) : 10000000;
    double sum = 0;
    start_up(program, path, c,
             &sum); /* first: a child's peak memory is at least what its parent had when it was forked */
    growth(program, "assess", path, most);
    growth(program, "recheck", path, most);
    int code = beside_draws(c, &sum);
    if (code == EXIT_SUCCESS)
        code = with_two_threads(c, &sum);
    printf("what a call hangs on over assess    %7.2f (aim: at most 1)\n", settings_ratio(file, &sum));
    printf("recheck over assess, one thread     %7.2f (aim: at most 6)\n", recheck_ratio(file, &sum));
    printf("sweep of 21 steps, dearest knob     %7.2f times an assess of as many trials (aim: at most 7)\n",
           sweep_ratio(file, &sum));
    if (code == EXIT_SUCCESS)
        code = beside_rivals(path, c, &sum);
    return sum > 0 ? code : EXIT_FAILURE;
}

int main(int argc, char **argv)
{
    gsl_set_error_handler_off();
    setvbuf(stdout, NULL, _IOLBF, 0);
    sm_casefile *file = argc > 2 ? read_case(argv[2], argc > 3 ? argv[3] : NULL) : NULL;
    if (!file) {
        fprintf(stderr, "usage: bench PROGRAM CASE [PROFILE]\n");
        return EXIT_FAILURE;
    }
    int code = compare(argv[1], argv[2], file);
    sm_casefile_destroy(file);
    return code;
}

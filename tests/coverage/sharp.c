/* sharp.c - do sharp points give the right probability, with the right interval, and how much better than counting?
 *
 *   sharp [race | rows | settings | enough] [seeds N] [trials T] [profile FILE] [limit MM] CASE ...
 *
 * Each word holds for the cases after it; limit takes that clearance beside ostia and 1 mm at the junction in place of
 * the case's. For each case, over N seeds with T trials: the probability; by how many times the variance of the answer
 * is less than that of as many counted trials; how the standard error compares with what the answers scatter by; in how
 * many of 100 the 95 % interval holds the truth, for the patient event and for all other probabilities together; in how
 * many of 100 the stopping rule, looked at after every task, ever excludes the truth at 5 of 100; nanoseconds of
 * processor time a trial. The truth is of the same program, 2^24 points, whose error is told.
 *
 * With `enough`: the same with as many points as an assessment of T trials draws, told as their mean.
 *
 * With `race` in front of the cases: the processor time, start-up included, to a standard error of min(0.0005, 2 % of
 * the rarer of P and 1 - P), and to a tenth of that, by counting (an assessment, as it was) and by sharp points alone.
 *
 * With `rows`: of each alternative of a case, by how many times the variance of its unrescued events, and of their
 * paired difference from the plan, is less than by counting as many trials; errors and intervals as above.
 *
 * With `settings`: what a call hangs on, counted and from points, over N seeds with one assessment: mean and scatter of
 * the ends between which 90 of 100 settings lie and of the share in which the call stays; the scatter of a swing's
 * difference and the error told of it, root mean squares over all; processor time.
 *
 * Contents: 1. reading  2. one case  3. a race to a standard error  4. alternatives  5. settings  6. telling
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include <gsl/gsl_errno.h>

#include "casefile/casefile.h"
#include "decision/weigh.h"
#include "whatif/settings.h"

enum { LARGEST_FILE = 1 << 20, MOST_EVENTS = 64 };
#define TRUTH_TRIALS (INT64_C(1) << 24)

/* 1. Reading */

static sm_file_text read_file(const char *path, char *room)
{
    FILE *f = path ? fopen(path, "rb") : NULL;
    size_t n = f ? fread(room, 1, LARGEST_FILE, f) : 0;
    if (f)
        fclose(f);
    return (sm_file_text){.name = path, .text = f ? room : NULL, .length = n};
}

static sm_casefile *read_case(const char *path, const char *profile, const char *limit)
{
    static char room[2][LARGEST_FILE];
    const sm_override other[] = {{"/limits/ostium_clearance_mm", limit}, {"/limits/stj_clearance_mm", "1"}};
    sm_diag d = {0};
    sm_text words = {0};
    sm_casefile *file = NULL;
    sm_casefile_read(read_file(path, room[0]), read_file(profile, room[1]), other, limit ? 2 : 0, &d, &file);
    if (!file) {
        sm_diag_write(&d, &words);
        fputs(sm_text_string(&words), stderr);
    }
    sm_text_destroy(&words);
    sm_diag_destroy(&d);
    return file;
}

/* 2. One case */

/* All probabilities of one run, the patient event first. */
typedef struct {
    int n;
    sm_probability p[MOST_EVENTS];
    int64_t points;
    bool excluded; /* of the first, by the stopping rule after some task */
    double seconds;
} answer;

static void take(const sm_sharp *s, int root, int side, answer *a)
{
    a->p[a->n++] = sm_task_means_probability(sm_sharp_event(s, root, side));
    for (int g = 0; g < SM_GAPS; g++)
        a->p[a->n++] = sm_task_means_probability(sm_sharp_crossed(s, root, side, (sm_gap_id)g));
}

static bool ever_excluded(const sm_sharp *s, double truth)
{
    sm_task_series series = sm_sharp_event(s, 0, SM_SHARED);
    const int n = series.n;
    for (series.n = 2; series.n <= n; series.n++)
        if (sm_task_means_exclude(series, truth, 0.05))
            return true;
    return false;
}

/* enough: as an assessment has them, a sixteenth of as many points as trials and more if they err too much; else as
 * many as trials. */
static answer answer_with(const sm_case *c, int64_t trials, bool enough, uint64_t seed, double truth)
{
    const sm_run_context context = {.trials = trials, .seed = seed};
    answer a = {0};
    sm_plan p;
    sm_sharp s;
    const clock_t start = clock();
    if (sm_plan_create(c, seed, &p) != SM_OK)
        exit(EXIT_FAILURE);
    if ((enough ? sm_sharp_run_enough(&p, (sm_sharp_goal){0}, context, &s) : sm_sharp_run(&p, context, &s)) != SM_OK)
        exit(EXIT_FAILURE);
    a.seconds = (double)(clock() - start) / CLOCKS_PER_SEC;
    for (int side = SM_SHARED; side < s.n_sides; side++)
        take(&s, 0, side, &a);
    a.points = s.points_a_task * s.n_tasks;
    a.excluded = ever_excluded(&s, truth);
    sm_sharp_destroy(&s);
    sm_plan_destroy(&p);
    return a;
}

static bool holds(const sm_probability *p, double truth)
{
    return p->low <= truth && truth <= p->high;
}

typedef struct {
    double sum, squares, errors, held, others, others_held, excluded, seconds, points;
} sums;

/* What the truth is not known to is not asked about. */
static void add(const answer *a, const answer *truth, sums *s)
{
    const double p = a->p[0].probability, error = a->p[0].standard_error, off = p - truth->p[0].probability;
    s->sum += off;
    s->squares += off * off;
    s->errors += error * error;
    s->held += holds(&a->p[0], truth->p[0].probability);
    for (int i = 1; i < a->n; i++) {
        if (!(truth->p[i].standard_error < 0.2 * a->p[i].standard_error))
            continue;
        s->others += 1;
        s->others_held += holds(&a->p[i], truth->p[i].probability);
    }
    s->excluded += a->excluded;
    s->seconds += a->seconds;
    s->points += (double)a->points;
}

/* 3. A race to a standard error */

enum { RACES = 5, COUNTED = 1 << 20 };

/* Processor time of counting n trials, all of an assessment included. */
static double seconds_to_count(const sm_case *c, int64_t n)
{
    sm_assessment a;
    const clock_t start = clock();
    if (sm_assess(c, (sm_run_context){.trials = n, .seed = 1}, &a) != SM_OK)
        exit(EXIT_FAILURE);
    sm_assessment_destroy(&a);
    return (double)(clock() - start) / CLOCKS_PER_SEC;
}

/* Of the fewest points, doubled until they err by no more; the means of RACES seeds. */
static double seconds_to_place(const sm_case *c, double error, int64_t *points)
{
    for (int64_t trials = 4096;; trials *= 2) {
        double squares = 0, seconds = 0;
        for (int i = 1; i <= RACES; i++) {
            const answer a = answer_with(c, trials, false, (uint64_t)i, 0.5);
            squares += a.p[0].standard_error * a.p[0].standard_error / RACES;
            seconds += a.seconds / RACES;
            *points = a.points;
        }
        if (sqrt(squares) <= error)
            return seconds;
    }
}

/* Counting so many trials as err by no more: its time at COUNTED and half as many, in proportion. */
static void race(const char *path, const sm_case *c)
{
    const double P = answer_with(c, 1 << 20, false, 77, 0.5).p[0].probability, rarer = fmin(P, 1 - P);
    const double half = seconds_to_count(c, COUNTED / 2), whole = seconds_to_count(c, COUNTED);
    const double slope = (whole - half) / (COUNTED / 2.0), begin = fmax(0, half - slope * COUNTED / 2);
    printf("%-32s %.4g", path, P);
    for (int tenth = 0; tenth < 2; tenth++) {
        const double error = fmin(0.0005, 0.02 * rarer) / (tenth ? 10 : 1), n = P * (1 - P) / (error * error);
        int64_t points;
        const double sharp = seconds_to_place(c, error, &points), counted = begin + slope * n;
        printf(" | %.1e: %9.0f trials %8.3f s, %8lld points %6.3f s, %6.1f times", error, n, counted, (long long)points,
               sharp, counted / sharp);
    }
    printf("\n");
    fflush(stdout);
}

/* 4. Alternatives */

enum { MOST_ROWS = 16 };
#define COUNTED_ROWS (INT64_C(1) << 22)

/* Of one row, over the seeds: two numbers, the unrescued events and their difference from the plan. */
typedef struct {
    double sum[2], squares[2], errors[2], held[2];
} row_sums;

static sm_weigh weigh_with(const sm_case *c, sm_run_context context)
{
    sm_weigh w;
    if (sm_weigh_run(c, 0, context, &w) != SM_OK)
        exit(EXIT_FAILURE);
    return w;
}

static void add_row(const sm_weigh_row *r, const sm_weigh_row *truth, double reach, row_sums *s)
{
    const double value[2] = {r->unrescued.probability, r->difference.value},
                 error[2] = {r->unrescued.standard_error, r->difference.standard_error},
                 true_value[2] = {truth->unrescued.probability, truth->difference.value};
    for (int j = 0; j < 2; j++) {
        const double off = value[j] - true_value[j];
        s->sum[j] += off;
        s->squares[j] += off * off;
        s->errors[j] += error[j] * error[j];
        s->held[j] += j == 0 ? holds(&r->unrescued, true_value[0]) : fabs(off) <= reach * error[j];
    }
}

static void tell_row(const sm_weigh_row *truth, const sm_weigh_row *counted, const row_sums *s, int seeds,
                     double points)
{
    const double error[2] = {counted->unrescued.standard_error, counted->difference.standard_error};
    printf("  %-36.36s %.6f", truth->name, truth->unrescued.probability);
    for (int j = 0; j < 2; j++) {
        const double mean = s->sum[j] / seeds, variance = (s->squares[j] / seeds - mean * mean) * seeds / (seeds - 1.0);
        if (variance > 0)
            printf(" | %7.1f %5.2f %5.1f", error[j] * error[j] * (double)COUNTED_ROWS / points / variance,
                   sqrt(s->errors[j] / seeds / variance), 100 * s->held[j] / seeds);
    }
    printf("\n");
}

/* The truth is of 2^22 points. */
static void rows(const char *path, const sm_case *c, int seeds, int64_t trials)
{
    row_sums s[MOST_ROWS];
    sm_run_context context = {.trials = COUNTED_ROWS, .seed = 1000003};
    memset(s, 0, sizeof s);
    sm_weigh counted = weigh_with(c, context);
    context.points = SM_POINTS_SHARP;
    sm_weigh truth = weigh_with(c, context);
    const int n = truth.n_rows < MOST_ROWS ? truth.n_rows : MOST_ROWS;
    double points = 0;
    context.trials = trials;
    for (int i = 1; i <= seeds; i++) {
        context.seed = (uint64_t)i;
        sm_weigh w = weigh_with(c, context);
        points = (double)w.trials;
        for (int j = 0; j < n; j++)
            add_row(&w.row[j], &truth.row[j], sm_task_means_reach(w.assessment.sharp_tasks), &s[j]);
        sm_weigh_destroy(&w);
    }
    printf("%s, %.0f points: not rescued | variance less by, error told/real, held | the same of the difference\n",
           path, points);
    for (int j = 0; j < n; j++)
        tell_row(&truth.row[j], &counted.row[j], &s[j], seeds, points);
    fflush(stdout);
    sm_weigh_destroy(&truth);
    sm_weigh_destroy(&counted);
}

/* 5. Settings */

enum { MOST_ENDS = 512 };

/* Of one number over seeds. */
typedef struct {
    int n;
    double mean, squares, errors; /* of what is told */
} scatter;

static void add_told(sm_estimate e, scatter *s)
{
    const double off = e.value - s->mean;
    s->mean += off / ++s->n;
    s->squares += off * (e.value - s->mean);
    s->errors += e.standard_error * e.standard_error;
}

static double variance_of(const scatter *s)
{
    return s->squares / (s->n - 1);
}

typedef struct {
    scatter low90, high90, same, end[MOST_ENDS];
    double seconds;
} settings_sums;

static void add_settings(const sm_casefile *file, const sm_assessment *a, sm_run_context context, settings_sums *found)
{
    sm_settings s;
    const clock_t start = clock();
    if (sm_settings_run(file, a, context, &s) != SM_OK)
        exit(EXIT_FAILURE);
    found->seconds += (double)(clock() - start) / CLOCKS_PER_SEC;
    add_told(s.low90, &found->low90);
    add_told(s.high90, &found->high90);
    add_told(s.same, &found->same);
    for (int i = 0; i < 2 * s.n_swings && i < MOST_ENDS; i++)
        if (s.swing[i / 2].end[i % 2].applies)
            add_told(s.swing[i / 2].end[i % 2].difference, &found->end[i]);
    sm_settings_destroy(&s);
}

static void tell_settings(const char *path, const char *how, const settings_sums *s)
{
    double squares = 0, errors = 0;
    int ends = 0;
    for (int i = 0; i < MOST_ENDS; i++) {
        if (s->end[i].n < 2)
            continue;
        ends++;
        squares += variance_of(&s->end[i]);
        errors += s->end[i].errors / s->end[i].n;
    }
    printf("%-32s %-8s low90 %.4f %.5f  high90 %.4f %.5f  same %.3f %.4f  %d swings %.5f told %.5f  %.3f s\n", path,
           how, s->low90.mean, sqrt(variance_of(&s->low90)), s->high90.mean, sqrt(variance_of(&s->high90)),
           s->same.mean, sqrt(variance_of(&s->same)), ends, sqrt(squares / ends), sqrt(errors / ends),
           s->seconds / s->same.n);
    fflush(stdout);
}

static void settings(const char *path, const sm_casefile *file, int seeds)
{
    static settings_sums how[2];
    sm_assessment a;
    memset(how, 0, sizeof how);
    if (sm_assess(sm_casefile_case(file), (sm_run_context){.trials = 1 << 20, .seed = 99}, &a) != SM_OK)
        exit(EXIT_FAILURE);
    for (int i = 1; i <= seeds; i++)
        for (int sharp = 0; sharp < 2; sharp++)
            add_settings(
                file, &a,
                (sm_run_context){.trials = 1, .seed = (uint64_t)i, .points = sharp ? SM_POINTS_SHARP : SM_POINTS_PLAIN},
                &how[sharp]);
    tell_settings(path, "counted", &how[0]);
    tell_settings(path, "points", &how[1]);
    sm_assessment_destroy(&a);
}

/* 6. Telling */

static void head(void)
{
    printf(
        "case, probability (its error), points; variance less by; error told/real; held of 100, the others; excluded; "
        "ns a point\n");
}

static void study(const char *path, const sm_case *c, int seeds, int64_t trials, bool enough)
{
    sums s = {0};
    const answer truth = answer_with(c, TRUTH_TRIALS, false, 1000003, 0.5);
    const double P = truth.p[0].probability;
    for (int i = 1; i <= seeds; i++) {
        const answer a = answer_with(c, trials, enough, (uint64_t)i, P);
        add(&a, &truth, &s);
    }
    const double n = seeds, points = s.points / n, mean = s.sum / n,
                 variance = (s.squares / n - mean * mean) * n / (n - 1);
    printf("%-32s %.7g (%.0e) %7.0f %8.1f %6.2f %7.1f %7.1f %7.1f %7.0f\n", path, P, truth.p[0].standard_error, points,
           P * (1 - P) / points / variance, sqrt(s.errors / n / variance), 100 * s.held / n,
           100 * s.others_held / s.others, 100 * s.excluded / n, 1e9 * s.seconds / s.points);
    fflush(stdout);
}

int main(int argc, char **argv)
{
    int seeds = 200;
    int64_t trials = 32768;
    bool racing = false, of_rows = false, of_settings = false, enough = false;
    const char *profile = NULL, *limit = NULL;
    gsl_set_error_handler_off();
    if (argc > 1 && strcmp(argv[1], "race") != 0 && strcmp(argv[1], "rows") != 0 && strcmp(argv[1], "settings") != 0)
        head();
    for (int i = 1; i < argc; i++) {
        const char *value = i + 1 < argc ? argv[i + 1] : "";
        if (strcmp(argv[i], "seeds") == 0)
            seeds = atoi(argv[++i]);
        else if (strcmp(argv[i], "race") == 0)
            racing = true;
        else if (strcmp(argv[i], "rows") == 0)
            of_rows = true;
        else if (strcmp(argv[i], "settings") == 0)
            of_settings = true;
        else if (strcmp(argv[i], "enough") == 0)
            enough = true;
        else if (strcmp(argv[i], "trials") == 0)
            trials = atoll(argv[++i]);
        else if (strcmp(argv[i], "profile") == 0)
            profile = strcmp(argv[++i], "none") == 0 ? NULL : value;
        else if (strcmp(argv[i], "limit") == 0)
            limit = strcmp(argv[++i], "none") == 0 ? NULL : value;
        else {
            sm_casefile *file = read_case(argv[i], profile, limit);
            if (!file)
                return EXIT_FAILURE;
            if (racing)
                race(argv[i], sm_casefile_case(file));
            else if (of_settings)
                settings(argv[i], file, seeds);
            else if (of_rows)
                rows(argv[i], sm_casefile_case(file), seeds, trials);
            else
                study(argv[i], sm_casefile_case(file), seeds, trials, enough);
            sm_casefile_destroy(file);
        }
    }
    return EXIT_SUCCESS;
}

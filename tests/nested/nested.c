/* nested.c - the worth of every re-check against brute force: make nested.
 *
 * For each case named on the command line, and each reducible source that varies: the value that `recheck` gives, and
 * the same by nested Monte Carlo (4,096 outer by 1,024 inner trials). Exit status 0 if every pair lies within 3
 * combined standard errors (and what 4,096 trials cannot see) and every brute-force standard error is at most 0.002.
 * Second looks move the draws that they bear on: to hold such a draw is not to know what it stands for, so that those
 * sources are passed over. Their part in the worth of all together is held to by test_looks.
 * Then three looks not yet made, of one number, of several, and of everything in a plane of its own: for 2,048
 * simulated readings y* the event's probability given y* by 262,144 trials, each weighted by how likely it would have
 * shown y*.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <gsl/gsl_errno.h>

#include "decision/look_worth.h"
#include "decision/look_draws.h"
#include "decision/nested.h"
#include "decision/worth.h"
#include "casefile/casefile.h"
#include "outside/files.h"
#include "command/paths.h"

enum { OUTER = 4096 };

static bool is_source(const void *self, const sm_sources *s, int column)
{
    return s->column[column].source == *(const int *)self;
}

/* Whether the second looks move a column. */
static bool is_moved(const sm_steering *s, int column)
{
    bool moved = column == s->scale || column == s->choice;
    for (int j = 0; j < 3; j++)
        moved = moved || column == s->frame.normal[j];
    for (int j = 0; j < 2; j++)
        moved = moved || column == s->frame.centreline[j];
    for (int l = 0; l < s->n; l++)
        moved = moved || column == s->look[l].first.error.column || column == s->look[l].view;
    return s->n > 0 && moved;
}

/* Whether holding what a source draws is knowing it. */
static bool is_held(const sm_plan *p, int source)
{
    for (int j = 0; j < p->sources.n_columns; j++)
        if (p->sources.column[j].source == source && is_moved(&p->root[0].steering, j))
            return false;
    return true;
}

static int compare_source(const sm_plan *p, const sm_worths *w, int source, double q)
{
    const sm_nested_request request = {.known = is_source, .self = &source, .q = q, .inner = 1024};
    const sm_estimate value = w->source[source].perfect.value;
    sm_estimate cost;
    if (sm_nested_run(p, &request, (sm_run_context){.trials = OUTER}, &cost) != SM_OK)
        return 1;
    double nested = fmax(0, fmin(w->event.probability, q) - cost.value),
           error = hypot(value.standard_error, cost.standard_error);
    /* by the rule of three: what happens in fewer than 3 of the outer trials, and spares at most q each time */
    const double unseen = 3.0 / OUTER * q;
    /* a value is never negative: what brute force finds below 0 is its own error */
    bool agree = fabs(value.value - nested) <= 3 * error + unseen && cost.standard_error <= 0.002;
    printf("  %-28s %8.5f +-%.5f   nested %8.5f +-%.5f   %s\n", p->sources.source[source].name, value.value,
           value.standard_error, nested, cost.standard_error, agree ? "agrees" : "DIFFERS");
    fflush(stdout);
    return agree ? 0 : 1;
}

/* Looks by brute force */

enum { READINGS = 2048, INNER = 262144 };

/* Trials: what a look would show of each without its readers' noise, the noise, the weight, whether there is an event.
 */
typedef struct {
    int dims;
    double *mean, *noise; /* dims by trial */
    double *weight, *event;
} shown_trials;

static double noise_of(const sm_look_draws *d, int coordinate, const sm_look_room *r, int i, double *sd)
{
    for (int l = 0; l < d->n; l++) {
        const sm_simulated *s = &d->simulated[l];
        if (coordinate < s->first || coordinate >= s->first + s->dims)
            continue;
        const sm_shown *shown = &s->shown[coordinate - s->first];
        *sd = shown->noise_sd;
        return shown->noise_sd * r->column[shown->noise][i];
    }
    return 0;
}

/* n trials, a whole number of blocks. sd: by coordinate, of the noise. */
static int draw_trials(const sm_plan *p, const sm_look_draws *d, const int *which, sm_purpose purpose, int n,
                       shown_trials *t, double *sd)
{
    sm_worker w;
    sm_look_room room;
    double event[SM_LANES];
    if (sm_worker_create(p, &w) != SM_OK || sm_look_room_create(d, &room) != SM_OK)
        return 1;
    for (int at = 0; at < n; at += SM_LANES) {
        if (at % SM_BLOCK == 0)
            sm_worker_draw(p, &w, purpose, (uint32_t)(at / SM_BLOCK));
        sm_worker_point(&w, at % SM_BLOCK / SM_LANES);
        sm_evaluate_first(p, w.column, &w.at);
        sm_evaluate_weights(p, 0, &w.at, t->weight + at);
        sm_any_event(w.at.side, p->root[0].n_sides, event);
        memcpy(t->event + at, event, sizeof event);
        sm_look_draws_show(d, &w, purpose, sm_columns_of(p, 0, w.column, &w.at), &room);
        for (int j = 0; j < t->dims; j++)
            for (int i = 0; i < SM_LANES; i++) {
                double *noise = &t->noise[(size_t)j * (size_t)n + (size_t)(at + i)];
                *noise = noise_of(d, which[j], &room, i, &sd[j]);
                t->mean[(size_t)j * (size_t)n + (size_t)(at + i)] = room.y[which[j]][i] - *noise;
            }
    }
    sm_worker_destroy(&w);
    sm_look_room_destroy(&room);
    return 0;
}

static bool trials_create(int dims, int n, shown_trials *t)
{
    const size_t all = (size_t)dims * (size_t)n;
    *t = (shown_trials){dims, malloc(all * sizeof(double)), malloc(all * sizeof(double)),
                        malloc((size_t)n * sizeof(double)), malloc((size_t)n * sizeof(double))};
    return t->mean && t->noise && t->weight && t->event;
}

static void trials_destroy(shown_trials *t)
{
    free(t->mean);
    free(t->noise);
    free(t->weight);
    free(t->event);
}

/* min(P(event | y), q) by all inner trials and by either half: twice the former less the mean of the latter has no bias
 * of the first order in their number. */
static double least_given(const shown_trials *inner, const double *y, const double *sd, double q, double *exponent)
{
    double all[2] = {0}, events[2] = {0};
    for (int i = 0; i < INNER; i++)
        exponent[i] = 0;
    for (int j = 0; j < inner->dims; j++) {
        const double *mean = inner->mean + (size_t)j * INNER, by = 1 / sd[j];
        for (int i = 0; i < INNER; i++) {
            const double z = (y[j] - mean[i]) * by;
            exponent[i] -= 0.5 * z * z;
        }
    }
    for (int i = 0; i < INNER; i++) {
        const double w = exponent[i] > -60 ? inner->weight[i] * exp(exponent[i]) : 0;
        all[i & 1] += w;
        events[i & 1] += w * inner->event[i];
    }
    const double whole = fmin((events[0] + events[1]) / (all[0] + all[1]), q);
    return 2 * whole - (fmin(events[0] / all[0], q) + fmin(events[1] / all[1], q)) / 2;
}

static sm_estimate cost_given(const shown_trials *outer, const shown_trials *inner, const double *sd, double q)
{
    static double exponent[INNER];
    double y[64], w = 0, sum = 0, squares = 0;
    for (int i = 0; i < READINGS; i++) {
        for (int j = 0; j < outer->dims; j++)
            y[j] = outer->mean[(size_t)j * READINGS + (size_t)i] + outer->noise[(size_t)j * READINGS + (size_t)i];
        const double least = least_given(inner, y, sd, q, exponent);
        if (!isfinite(least)) /* nothing comes near: a reading beyond all inner trials */
            continue;
        w += outer->weight[i];
        sum += outer->weight[i] * least;
    }
    const double mean = sum / w;
    for (int i = 0; i < READINGS; i++)
        squares += outer->weight[i] * outer->weight[i];
    /* the spread of the least harm is at most that of a number between 0 and q */
    return (sm_estimate){mean, sqrt(squares) / w * sqrt(fmax(0, mean * (q - mean)))};
}

static int compare_look(const sm_plan *p, const sm_look_worths *w, int look)
{
    const double q = w->line;
    const sm_estimate value = w->look[look].worth.value;
    shown_trials outer = {0}, inner = {0};
    sm_look_draws d;
    int which[512], bad = 1;
    double sd[64];
    if (sm_look_draws_create(p, w->look[look].look, 1, &d) != SM_OK)
        return 1;
    const int dims = sm_look_draws_of(&d, 0, which);
    if (dims <= 64 && trials_create(dims, READINGS, &outer) && trials_create(dims, INNER, &inner) &&
        draw_trials(p, &d, which, SM_FOR_RANGE, READINGS, &outer, sd) == 0 &&
        draw_trials(p, &d, which, SM_FOR_REDRAW, INNER, &inner, sd) == 0) {
        const sm_estimate cost = cost_given(&outer, &inner, sd, q);
        const double nested = fmax(0, fmin(w->event, q) - cost.value),
                     error = hypot(value.standard_error, cost.standard_error);
        const bool agree = fabs(value.value - nested) <= 3 * error + 3.0 / READINGS * q;
        printf("  %-42s %8.5f +-%.5f   nested %8.5f +-%.5f   %s\n", w->look[look].look->name, value.value,
               value.standard_error, nested, cost.standard_error, agree ? "agrees" : "DIFFERS");
        fflush(stdout);
        bad = agree ? 0 : 1;
    }
    trials_destroy(&outer);
    trials_destroy(&inner);
    sm_look_draws_destroy(&d);
    return bad;
}

/* Of each kind of reading again the first: one number, several in the plane that stands, everything anew. */
static int compare_looks(const sm_plan *p, const sm_case *c)
{
    sm_look_worths w;
    bool done[3] = {false, false, false};
    int bad = 0;
    if (sm_look_worths_run(c, (sm_run_context){.trials = 4000000, .seed = 5}, &w) != SM_OK)
        return 1;
    for (int i = 0; i < w.n; i++) {
        const sm_planned_look *l = w.look[i].look;
        const int kind = l->own_plane ? 2 : l->n_targets > 1 ? 1 : 0;
        if (l->kind != SM_PLANNED_AGAIN || done[kind])
            continue;
        done[kind] = true;
        bad += compare_look(p, &w, i);
    }
    sm_look_worths_destroy(&w);
    return bad;
}

static int compare_case(const sm_case *c)
{
    sm_plan p;
    sm_worths w;
    int bad = 0;
    if (sm_plan_create(c, 5, &p) != SM_OK ||
        sm_worth_run(&p, c->action_line, 1024, (sm_run_context){.trials = 1000000}, &w) != SM_OK)
        return 1;
    printf("%s: P = %.4f, line %.2f\n", c->name, w.event.probability, c->action_line);
    for (int i = 0; i < w.n_sources; i++)
        if (w.source[i].varies && is_held(&p, i))
            bad += compare_source(&p, &w, i, c->action_line);
    bad += compare_looks(&p, c);
    sm_worths_destroy(&w);
    sm_plan_destroy(&p);
    return bad;
}

static int compare_file(const char *path)
{
    sm_text text = {0}, profile = {0};
    sm_diag d = {0};
    sm_casefile *f = NULL;
    if (sm_file_read(path, &text, &d) != SM_OK)
        return 1;
    char *name;
    bool ok = sm_casefile_profile_path((sm_file_text){path, text.s, text.len}, &name) == SM_OK;
    char *beside = name ? sm_path_beside(path, name) : NULL;
    ok = ok && !name == !beside && (!beside || sm_file_read(beside, &profile, &d) == SM_OK);
    ok = ok && sm_casefile_read((sm_file_text){path, text.s, text.len}, (sm_file_text){beside, profile.s, profile.len},
                                NULL, 0, &d, &f) == SM_OK;
    int bad = ok ? compare_case(sm_casefile_case(f)) : 1;
    sm_casefile_destroy(f);
    sm_text_destroy(&text);
    sm_text_destroy(&profile);
    sm_diag_destroy(&d);
    free(name);
    free(beside);
    return bad;
}

int main(int argc, char **argv)
{
    int bad = 0;
    gsl_set_error_handler_off();
    for (int i = 1; i < argc; i++)
        bad += compare_file(argv[i]);
    printf("%d differ\n", bad);
    return bad == 0 && argc > 1 ? 0 : 1;
}

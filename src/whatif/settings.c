/* settings.c - what the answer hangs on beside its readings.
 *
 * Contents: 1. the points  2. versions in chunks  3. one at a time  4. where it turns  5. all at once  6. the whole
 *           7. the form of the call
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "whatif/settings.h"

#include <math.h>
#include <stdlib.h>

#include <gsl/gsl_qrng.h>
#include <gsl/gsl_randist.h>
#include <gsl/gsl_sort.h>
#include <gsl/gsl_statistics_double.h>

#include "engine/job.h"
#include "sampling/rng.h"
#include "whatif/beside.h"

typedef struct {
    const sm_casefile *file;
    const sm_assessment *assessment;
    const sm_levers *levers;
    sm_run_context context;
    const sm_beside *beside; /* NULL: counted */
} settings_task;

/* 1. The points */

/* GSL's Sobol sequence ends here; levers beyond are drawn as a Latin hypercube. */
enum { SOBOL_DIMENSIONS = 40 };

/* The first 256 points of Sobol's sequence, each coordinate shifted by digits (exclusive or), so that none lies at an
 * end. The shifts are the same for every case and seed: settings are a rule of quadrature, and no draws. */
static double shifted(double x, uint32_t shift)
{
    const uint32_t digits = (uint32_t)ldexp(x, 32) ^ shift;
    return ldexp((double)digits + 0.5, -32);
}

static void fill_sobol(gsl_rng *r, gsl_qrng *q, int dimensions, int all, double *u)
{
    double x[SOBOL_DIMENSIONS] = {0}; /* the sequence begins at 0, which GSL leaves out */
    uint32_t shift[SOBOL_DIMENSIONS];
    for (int j = 0; j < dimensions; j++)
        shift[j] = (uint32_t)gsl_rng_get(r);
    for (int i = 0; i < SM_SETTINGS; i++) {
        for (int j = 0; j < dimensions; j++)
            u[i * all + j] = shifted(x[j], shift[j]);
        gsl_qrng_get(q, x);
    }
}

static void fill_latin(gsl_rng *r, int j, int all, double *u)
{
    int place[SM_SETTINGS];
    for (int i = 0; i < SM_SETTINGS; i++)
        place[i] = i;
    gsl_ran_shuffle(r, place, SM_SETTINGS, sizeof *place);
    for (int i = 0; i < SM_SETTINGS; i++)
        u[i * all + j] = (place[i] + 0.5) / SM_SETTINGS;
}

/* u[i * all + j]: setting i, lever j. */
static sm_status make_points(int all, double *u)
{
    const int dimensions = all < SOBOL_DIMENSIONS ? all : SOBOL_DIMENSIONS;
    gsl_rng *r = gsl_rng_alloc(sm_rng_philox);
    gsl_qrng *q = gsl_qrng_alloc(gsl_qrng_sobol, (unsigned)dimensions);
    const bool whole = r && q;
    if (whole) {
        sm_rng_seek(r, 0, sm_rng_stream("settings", 0), 0);
        fill_sobol(r, q, dimensions, all, u);
        for (int j = dimensions; j < all; j++)
            fill_latin(r, j, all, u);
    }
    if (r)
        gsl_rng_free(r);
    if (q)
        gsl_qrng_free(q);
    return whole ? SM_OK : SM_NO_MEMORY;
}

/* 2. Versions in chunks */

/* Versions of the case, each of which puts levers somewhere. Cases are read one after the other, then run side by side,
 * so many in one plan. */
enum { CHUNK = 32 };

/* How many trials if they are counted, how many points else. Two tasks tell the error of a setting poorly, but 256
 * settings pool theirs; a swing stands alone, within Student's reach of its tasks. */
typedef struct {
    int64_t trials;
    sm_sharp_size points;
} effort;

static const effort of_swing = {SM_SWING_TRIALS, {SM_SWING_TASKS, SM_VERSION_POINTS, false}},
                    of_setting = {SM_SETTING_TRIALS, {SM_SETTING_TASKS, SM_VERSION_POINTS, false}};

typedef struct {
    const settings_task *task;
    const effort *effort;
    void (*put)(const void *self, int i, sm_overrides *o); /* nothing put: version i is left out */
    const void *self;
    int n;
    sm_variant *out; /* by version; its n is 0 where it was left out */
} version_job;

static sm_status make_version(void *self, int i, sm_diag *d, sm_casefile **out)
{
    const version_job *j = self;
    sm_overrides o = {0};
    j->put(j->self, i, &o);
    const sm_status s = o.n > 0 || o.failed ? sm_overrides_vary_bare(j->task->file, &o, d, out) : SM_OK;
    sm_overrides_destroy(&o);
    return s;
}

typedef struct {
    const version_job *job;
    const sm_versions *versions;
    sm_status *status; /* by chunk */
} chunks;

static sm_status count_chunk(const version_job *j, const sm_versions *part, sm_variant *out)
{
    const sm_run_context alone = {
        .trials = j->effort->trials, .seed = j->task->context.seed, .brief = true, .points = SM_POINTS_PLAIN};
    sm_version_results found = {0};
    const sm_status s = sm_versions_run(j->task->file, part, alone, NULL, &found);
    for (int k = 0; s == SM_OK && k < part->n; k++)
        if (part->file[k])
            out[k] = sm_variant_of(&found.at[k]);
    sm_version_results_destroy(&found);
    return s;
}

static bool run_chunk(void *self, void *slot, int64_t i)
{
    const chunks *c = self;
    const version_job *j = c->job;
    const int first = (int)i * CHUNK, rest = j->n - first;
    const sm_versions part = {rest < CHUNK ? rest : CHUNK, c->versions->file + first};
    sm_variant *out = j->out + first;
    (void)slot;
    c->status[i] =
        j->task->beside ? sm_beside_run(j->task->beside, &part, j->effort->points, out) : count_chunk(j, &part, out);
    return true;
}

static sm_status run_chunks(const version_job *j, const sm_versions *v)
{
    const int n = (j->n + CHUNK - 1) / CHUNK;
    chunks c = {j, v, calloc((size_t)n + 1, sizeof *c.status)};
    const sm_job job = {.self = &c, .tasks = n, .run = run_chunk};
    sm_status s = c.status ? sm_job_run(&job, j->task->context) : SM_NO_MEMORY;
    for (int i = 0; s == SM_OK && i < n; i++)
        s = c.status[i];
    free(c.status);
    return s;
}

static sm_status run_versions(version_job *j)
{
    sm_versions v = {0};
    if (j->n == 0)
        return SM_OK;
    sm_status s = sm_versions_make(j->n, make_version, j, j->task->context.watch, &v);
    if (s == SM_OK)
        s = sm_watch_interrupted(j->task->context.watch) ? SM_INTERRUPTED : run_chunks(j, &v);
    sm_versions_destroy(&v);
    return s;
}

/* The probability of a version: that of the assessment, with its many trials, and the paired difference. */
static double probability_of(const settings_task *t, const sm_variant *v)
{
    return fmin(1, fmax(0, t->assessment->patient.event.probability + v->difference.value));
}

/* 3. One at a time */

static void put_end(const void *self, int i, sm_overrides *o)
{
    const settings_task *t = self;
    const sm_lever *l = &t->levers->at[i / 2];
    const double end = i % 2 ? l->high : l->low;
    if (end != l->own)
        sm_lever_put(t->file, t->levers, i / 2, end, o);
}

/* Beyond so many standard errors of a swing's difference a side of the line is sure. */
static double sure_of(const settings_task *t)
{
    return t->beside ? sm_task_means_reach(SM_SWING_TASKS) : 2;
}

static sm_swing_end end_of(const settings_task *t, const sm_lever *l, int high, const sm_variant *v)
{
    const double line = t->assessment->decision.action_line, own = t->assessment->patient.event.probability;
    const sm_call call = t->assessment->decision.call;
    const bool called = call == SM_CALL_ABOVE || call == SM_CALL_BELOW; /* an open call has no side to turn from */
    const double p = probability_of(t, v), sure = sure_of(t) * v->difference.standard_error;
    const double beyond = own >= line ? line - p : p - line; /* so far on the other side */
    return (sm_swing_end){.applies = v->event.n > 0,
                          .value = high ? l->high : l->low,
                          .probability = p,
                          .difference = v->difference,
                          .turns = v->event.n > 0 && called && beyond > sure,
                          .stays = called && beyond < -sure};
}

static sm_status swing_each(const settings_task *t, sm_settings *out)
{
    const int n = t->levers->n;
    sm_variant *found = calloc((size_t)n * 2 + 1, sizeof *found);
    version_job j = {t, &of_swing, put_end, t, 2 * n, found};
    sm_status s = found ? run_versions(&j) : SM_NO_MEMORY;
    for (int i = 0; s == SM_OK && i < n; i++) {
        out->swing[i].lever = t->levers->at[i];
        for (int e = 0; e < 2; e++)
            out->swing[i].end[e] = end_of(t, &t->levers->at[i], e, &found[2 * i + e]);
    }
    free(found);
    return s;
}

/* 4. Where it turns */

/* The way from the case's own value to an end that turns the call, in so many steps; the last is known. */
enum { STEPS = 8, INNER = STEPS - 1 };

typedef struct {
    const settings_task *t;
    const sm_settings *s;
    int *end; /* 2 * swing + end of those that turn */
} turning;

static double value_on_way(const sm_swing *w, int end, int step)
{
    return w->lever.own + (w->end[end].value - w->lever.own) * step / STEPS;
}

static void put_on_way(const void *self, int i, sm_overrides *o)
{
    const turning *w = self;
    const int which = w->end[i / INNER];
    const sm_swing *swing = &w->s->swing[which / 2];
    sm_lever_put(w->t->file, w->t->levers, which / 2, value_on_way(swing, which % 2, i % INNER + 1), o);
}

/* Where the probability first meets the line on the way, linear between steps. A step that makes no valid case is
 * passed over. */
static double meets(const settings_task *t, const sm_swing *w, int end, const sm_variant inner[INNER])
{
    const double line = t->assessment->decision.action_line;
    double before = t->assessment->patient.event.probability - line, from = w->lever.own;
    for (int k = 1; k <= STEPS; k++) {
        if (k < STEPS && inner[k - 1].event.n == 0)
            continue;
        const double p = k < STEPS ? probability_of(t, &inner[k - 1]) : w->end[end].probability;
        const double now = p - line, to = value_on_way(w, end, k);
        if ((now >= 0) != (before >= 0))
            return from + (to - from) * before / (before - now);
        before = now;
        from = to;
    }
    return w->end[end].value;
}

static sm_status find_turns(const settings_task *t, sm_settings *out)
{
    int n = 0, *end = calloc((size_t)out->n_swings * 2 + 1, sizeof *end);
    if (!end)
        return SM_NO_MEMORY;
    for (int i = 0; i < 2 * out->n_swings; i++)
        if (out->swing[i / 2].end[i % 2].turns)
            end[n++] = i;
    sm_variant *found = calloc((size_t)n * INNER + 1, sizeof *found);
    const turning w = {t, out, end};
    version_job j = {t, &of_swing, put_on_way, &w, n * INNER, found};
    sm_status s = found ? run_versions(&j) : SM_NO_MEMORY;
    for (int i = 0; s == SM_OK && i < n; i++) {
        sm_swing *swing = &out->swing[end[i] / 2];
        swing->end[end[i] % 2].at = meets(t, swing, end[i] % 2, found + (ptrdiff_t)i * INNER);
    }
    free(found);
    free(end);
    return s;
}

/* 5. All at once */

typedef struct {
    const settings_task *t;
    const double *u; /* setting by setting */
} points;

static void put_setting(const void *self, int i, sm_overrides *o)
{
    const points *p = self;
    const sm_levers *l = p->t->levers;
    for (int j = 0; j < l->n_judged; j++)
        sm_lever_put(p->t->file, l, j, sm_lever_value(&l->at[j], p->u[i * l->n_judged + j]), o);
}

/* The p quantile of n sorted values; its error is that of its rank among n, and that of the values themselves. */
static sm_estimate quantile_of(const double *sorted, int n, double p, double value_error)
{
    const double rank = sqrt(p * (1 - p) / n);
    const double below = gsl_stats_quantile_from_sorted_data(sorted, 1, (size_t)n, fmax(0, p - rank));
    const double above = gsl_stats_quantile_from_sorted_data(sorted, 1, (size_t)n, fmin(1, p + rank));
    return (sm_estimate){gsl_stats_quantile_from_sorted_data(sorted, 1, (size_t)n, p),
                         hypot((above - below) / 2, value_error)};
}

/* A share of n settings; its error never 0, as if half a setting more lay on either side. All settings use the same
 * draws, so that all are off together by about the error of a difference: of those within two such errors of the line
 * (near) a quarter changes sides if all are off by one. */
static sm_estimate share_of(int k, int near, int n)
{
    const double about = (k + 0.5) / (n + 1), together = near / (4.0 * n);
    return (sm_estimate){(double)k / n, hypot(sqrt(about * (1 - about) / n), together)};
}

static int count_near(const double *p, int n, double line, double distance)
{
    int near = 0;
    for (int i = 0; line > 0 && i < n; i++)
        near += fabs(p[i] - line) < distance;
    return near;
}

static void take_settings(const settings_task *t, const sm_variant *found, sm_settings *out)
{
    const double line = t->assessment->decision.action_line, own = t->assessment->patient.event.probability;
    double p[SM_SETTINGS], square = 0;
    int same = 0, n = 0;
    for (int i = 0; i < SM_SETTINGS; i++) {
        if (found[i].event.n == 0)
            continue;
        p[n] = probability_of(t, &found[i]);
        same += line > 0 ? (p[n] >= line) == (own >= line) : 1;
        square += found[i].difference.standard_error * found[i].difference.standard_error;
        n++;
    }
    out->n = n;
    if (n == 0)
        return;
    gsl_sort(p, 1, (size_t)n);
    const double error = sqrt(square / n);
    out->same = share_of(same, count_near(p, n, line, 2 * error), n);
    out->low90 = quantile_of(p, n, 0.05, error);
    out->high90 = quantile_of(p, n, 0.95, error);
    out->least = fmin(out->least, p[0]);
    out->most = fmax(out->most, p[n - 1]);
}

static sm_status run_settings(const settings_task *t, sm_settings *out)
{
    const int all = t->levers->n_judged;
    if (all == 0)
        return SM_OK;
    double *u = calloc((size_t)all * SM_SETTINGS, sizeof *u);
    sm_variant *found = calloc(SM_SETTINGS, sizeof *found);
    const points p = {t, u};
    version_job j = {t, &of_setting, put_setting, &p, SM_SETTINGS, found};
    sm_status s = u && found ? make_points(all, u) : SM_NO_MEMORY;
    if (s == SM_OK)
        s = run_versions(&j);
    if (s == SM_OK)
        take_settings(t, found, out);
    free(u);
    free(found);
    return s;
}

/* 6. The whole */

static void take_outer(const sm_assessment *a, sm_settings *s)
{
    for (int i = 0; i < SM_PUBLISHED_LIMITS; i++) {
        s->least = fmin(s->least, a->by_limits[i].probability);
        s->most = fmax(s->most, a->by_limits[i].probability);
    }
    for (int i = 0; i < 2 * s->n_swings; i++) {
        const sm_swing_end *e = &s->swing[i / 2].end[i % 2];
        if (!e->applies)
            continue;
        s->least = fmin(s->least, e->probability);
        s->most = fmax(s->most, e->probability);
    }
}

static sm_status run_all(const settings_task *t, sm_settings *out)
{
    const double own = t->assessment->patient.event.probability;
    const sm_estimate alone = {own, t->assessment->patient.event.standard_error};
    *out =
        (sm_settings){.probability = own, .same = {1, 0}, .low90 = alone, .high90 = alone, .least = own, .most = own};
    out->n_swings = t->levers->n;
    out->n_judged = t->levers->n_judged;
    out->swing = calloc((size_t)out->n_swings + 1, sizeof *out->swing);
    sm_status s = out->swing ? swing_each(t, out) : SM_NO_MEMORY;
    if (s == SM_OK)
        s = find_turns(t, out);
    if (s == SM_OK)
        take_outer(t->assessment, out);
    return s == SM_OK ? run_settings(t, out) : s;
}

/* Second looks are weighed, and points gain next to nothing on counting. */
static sm_status place_beside(const sm_casefile *f, sm_run_context context, sm_beside *beside)
{
    return context.points == SM_POINTS_SHARP ? sm_beside_create(sm_casefile_case(f), context, beside) : SM_OK;
}

sm_status sm_settings_run(const sm_casefile *f, const sm_assessment *a, sm_run_context context, sm_settings *out)
{
    sm_levers levers;
    *out = (sm_settings){0};
    sm_beside beside = {.gains = false};
    sm_status s = sm_levers_find(f, &levers);
    settings_task t = {f, a, &levers, sm_run_context_auxiliary(context, "what the call hangs on", 0), NULL};
    if (s == SM_OK)
        s = place_beside(f, context, &beside);
    t.beside = beside.gains ? &beside : NULL;
    if (s == SM_OK)
        s = run_all(&t, out);
    sm_beside_destroy(&beside);
    sm_levers_destroy(&levers);
    if (s != SM_OK)
        sm_settings_destroy(out);
    return s;
}

void sm_settings_destroy(sm_settings *s)
{
    free(s->swing);
    *s = (sm_settings){0};
}

/* 7. The form of the call */

#define FIRM_SHARE 0.95

/* Whether the other published limits leave the call as it is, surely. */
static bool limits_turn(const sm_assessment *a)
{
    const double line = a->decision.action_line;
    const bool above = a->patient.event.probability >= line;
    for (int i = 0; i < SM_PUBLISHED_LIMITS; i++) {
        const sm_probability *p = &a->by_limits[i];
        const double margin = above ? p->probability - line : line - p->probability;
        if (!(margin > 2 * p->standard_error))
            return true;
    }
    return false;
}

static bool is_wall(const sm_swing *w)
{
    return !w->lever.judged && w->lever.low < 0;
}

static double way_of(const sm_settings *s, int i)
{
    const sm_swing *w = &s->swing[i / 2];
    const sm_swing_end *e = &w->end[i % 2];
    return fabs((e->at - w->lever.own) / (e->value - w->lever.own));
}

/* Those before that need less of their range. */
static bool comes_before(const sm_settings *s, int i, int j)
{
    const double way_i = way_of(s, i), way_j = way_of(s, j);
    return way_i != way_j ? way_i < way_j : i < j;
}

static void tell_turns(const sm_settings *s, sm_hold *h)
{
    int last = -1;
    for (int i = 0; i < 2 * s->n_swings; i++)
        h->n_turns += s->swing[i / 2].end[i % 2].turns;
    h->n_told = h->n_turns < SM_TOLD_TURNS ? h->n_turns : SM_TOLD_TURNS;
    for (int told = 0; told < h->n_told; told++) {
        int best = -1;
        for (int i = 0; i < 2 * s->n_swings; i++)
            if (s->swing[i / 2].end[i % 2].turns && (last < 0 || comes_before(s, last, i)) &&
                (best < 0 || comes_before(s, i, best)))
                best = i;
        last = best;
        h->told[told].swing = best / 2;
        h->told[told].end = best % 2;
    }
}

static void find_what(const sm_assessment *a, const sm_settings *s, sm_hold *h)
{
    h->on_settings = s->same.value - 2 * s->same.standard_error < FIRM_SHARE && s->n > 0;
    h->on_limits = limits_turn(a);
    for (int i = s->n_judged; i < s->n_swings; i++)
        for (int e = 0; e < 2; e++) {
            const sm_swing_end *end = &s->swing[i].end[e];
            if (!end->applies || end->stays)
                continue;
            *(is_wall(&s->swing[i]) ? &h->on_walls : &h->on_limits) = true;
        }
}

sm_hold sm_hold_of(const sm_assessment *a, const sm_settings *s)
{
    sm_hold h = {.form = SM_FORM_NONE};
    const sm_call call = a->decision.call;
    if (call == SM_CALL_NONE)
        return h;
    if (s) {
        find_what(a, s, &h);
        tell_turns(s, &h);
    }
    const bool hangs = h.on_settings || h.on_limits || h.on_walls;
    if (call == SM_CALL_UNRESOLVED)
        h.form = SM_FORM_OPEN;
    else if (!s)
        h.form = SM_FORM_UNKNOWN;
    else if (call == SM_CALL_ABOVE)
        h.form = hangs ? SM_FORM_ABOVE_HANGS_ON : SM_FORM_ABOVE;
    else
        h.form = hangs ? SM_FORM_BELOW_HANGS_ON : SM_FORM_BELOW;
    return h;
}

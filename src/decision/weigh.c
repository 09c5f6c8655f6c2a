/* weigh.c - the alternatives of a case side by side, on the same draws.
 *
 * Contents: 1. the roots  2. from counts to rows  3. the cheapest  4. dominated rows  5. how firm the choice is
 *           6. the whole
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "decision/weigh.h"

#include <math.h>
#include <stdlib.h>

/* 1. The roots */

/* Success and rescue probabilities of one alternative, multiplied by a factor. */
typedef struct {
    double lacerate[SM_MAX_CORONARIES], rescue[SM_MAX_CORONARIES];
} chances;

/* A plan whose first roots are the rows; further ones are rows that succeed less often. */
struct sm_weighing {
    sm_plan plan;
    sm_weigh *out;
    int n_rows;
    chances *scaled;             /* by step and alternative */
    int *root[SM_SUCCESS_STEPS]; /* by step and row: where in the plan; a row that cannot fail keeps its own root */
};

static double step_factor(int step)
{
    return (10 - step) / 10.0;
}

static bool any_done(const double *probability, size_t n)
{
    for (size_t k = 0; k < n; k++)
        if (probability[k] != SM_NOT_DONE)
            return true;
    return false;
}

static bool can_fail(const sm_case *c, const sm_alternative *a)
{
    return any_done(a->lacerate, c->n_coronaries) || any_done(a->rescue, c->n_coronaries);
}

static void scale(const sm_case *c, const sm_alternative *a, double factor, chances *out)
{
    for (size_t k = 0; k < c->n_coronaries; k++) {
        out->lacerate[k] = a->lacerate[k] == SM_NOT_DONE ? SM_NOT_DONE : factor * a->lacerate[k];
        out->rescue[k] = a->rescue[k] == SM_NOT_DONE ? SM_NOT_DONE : factor * a->rescue[k];
    }
}

/* What is not patched is not passed on, so that its draws are not computed again. */
static sm_status add_root(sm_weighing *w, const sm_alternative *a, double factor, chances *scaled, int *place)
{
    const sm_case *c = w->plan.c;
    scale(c, a, factor, scaled);
    sm_root_request request = {.valve = a->patches_valve ? &a->valve : NULL,
                               .implant = a->patches_implant ? &a->implant : NULL};
    request.lacerate = any_done(a->lacerate, c->n_coronaries) ? scaled->lacerate : NULL;
    request.rescue = any_done(a->rescue, c->n_coronaries) ? scaled->rescue : NULL;
    return sm_plan_add(&w->plan, &request, place);
}

/* The roots of one step; step 0 comes first and has every row. */
static sm_status add_step(sm_weighing *w, int step)
{
    const sm_case *c = w->plan.c;
    sm_status s = SM_OK;
    w->root[step][0] = 0;
    for (int i = 0; s == SM_OK && i < w->n_rows - 1; i++) {
        const sm_alternative *a = &c->alternative[i];
        chances *scaled = &w->scaled[step * (w->n_rows - 1) + i];
        if (step == 0 || can_fail(c, a))
            s = add_root(w, a, step_factor(step), scaled, &w->root[step][i + 1]);
        else
            w->root[step][i + 1] = i + 1;
    }
    return s;
}

void sm_weighing_destroy(sm_weighing *w)
{
    if (!w)
        return;
    sm_plan_destroy(&w->plan);
    free(w->scaled);
    for (int step = 0; step < SM_SUCCESS_STEPS; step++)
        free(w->root[step]);
    free(w);
}

static sm_status add_steps(sm_weighing *w)
{
    w->scaled = malloc(SM_SUCCESS_STEPS * (size_t)w->n_rows * sizeof *w->scaled);
    sm_status s = w->scaled ? SM_OK : SM_NO_MEMORY;
    for (int step = 0; s == SM_OK && step < SM_SUCCESS_STEPS; step++) {
        w->root[step] = malloc((size_t)w->n_rows * sizeof *w->root[step]);
        s = w->root[step] ? add_step(w, step) : SM_NO_MEMORY;
    }
    return s;
}

sm_status sm_weighing_create(const sm_case *c, uint64_t seed, sm_weigh *out, sm_weighing **created)
{
    *out = (sm_weigh){.n_rows = (int)c->n_alternatives + 1, .cheapest = -1, .next = -1};
    sm_weighing *w = *created = calloc(1, sizeof *w);
    if (!w)
        return SM_NO_MEMORY;
    w->out = out;
    w->n_rows = out->n_rows;
    sm_status s = sm_plan_create(c, seed, &w->plan);
    if (s == SM_OK)
        s = add_steps(w);
    if (s != SM_OK) {
        sm_weighing_destroy(w);
        *created = NULL;
    }
    return s;
}

sm_plan *sm_weighing_plan(sm_weighing *w)
{
    return &w->plan;
}

/* 2. From counts to rows */

/* What the rows rest on: counts, and sharp points in their place if they are not NULL. Roots are rows. */
typedef struct {
    const sm_gathered *g;
    const sm_sharp *sharp;
} found;

static sm_probability event_of(found f, int root)
{
    return f.sharp ? sm_task_means_probability(sm_sharp_event(f.sharp, root, SM_SHARED))
                   : sm_weighted_probability(&f.g->tally[root].patient.event);
}

static sm_probability unrescued_of(found f, int root)
{
    return f.sharp ? sm_task_means_probability(sm_sharp_unrescued(f.sharp, root))
                   : sm_weighted_probability(&f.g->tally[root].unrescued);
}

static sm_probability side_of(found f, int root, int side)
{
    return f.sharp ? sm_task_means_probability(sm_sharp_event(f.sharp, root, side))
                   : sm_weighted_probability(&f.g->tally[root].side[side].event);
}

static double crowded_share(found f, int root)
{
    return f.sharp ? sm_task_means_probability(sm_sharp_crossed(f.sharp, root, SM_SHARED, SM_GAP_OSTIUM)).probability
                   : sm_weighted_share(&f.g->tally[root].patient.crowded);
}

static sm_estimate event_difference(found f, int root)
{
    const sm_tally *t = &f.g->tally[root];
    return f.sharp ? sm_task_means_difference(sm_sharp_event(f.sharp, root, SM_SHARED),
                                              sm_sharp_event(f.sharp, 0, SM_SHARED))
                   : sm_joint_difference(&t->patient.event, &f.g->tally[0].patient.event, &t->with_first);
}

/* Of unrescued events, root less the plan. */
static sm_estimate difference_of(found f, int root)
{
    const sm_tally *t = &f.g->tally[root];
    return f.sharp ? sm_task_means_difference(sm_sharp_unrescued(f.sharp, root), sm_sharp_unrescued(f.sharp, 0))
                   : sm_joint_difference(&t->unrescued, &f.g->tally[0].unrescued, &t->unrescued_with_first);
}

static double more_trials(const sm_probability *a, const sm_probability *b, const sm_estimate *paired)
{
    double apart = a->standard_error * a->standard_error + b->standard_error * b->standard_error;
    double together = paired->standard_error * paired->standard_error;
    return together > 0 ? apart / together : HUGE_VAL;
}

static double burden_of(const sm_case *c, int row)
{
    return row == 0 ? 0 : c->alternative[row - 1].burden;
}

static sm_status fill_row(found f, int i, const sm_case *c, uint64_t seed, sm_weigh *out)
{
    sm_weigh_row *r = &out->row[i];
    *r = (sm_weigh_row){.name = i == 0 ? "as planned" : c->alternative[i - 1].name, .dominated_by = -1};
    r->side = malloc((size_t)f.g->n_sides * sizeof *r->side);
    if (!r->side)
        return SM_NO_MEMORY;
    for (int k = 0; k < f.g->n_sides; k++)
        r->side[k] = side_of(f, i, k);
    r->event = event_of(f, i);
    const sm_series series = sm_series_published(c->valve.leaflet_mount);
    const sm_status s =
        sm_obstruction_of(&f.g->reached[i], &series, r->event.probability, crowded_share(f, i), seed, &r->obstruction);
    if (s != SM_OK)
        return s;
    r->unrescued = unrescued_of(f, i);
    r->event_difference = event_difference(f, i);
    r->difference = difference_of(f, i);
    r->more_trials = more_trials(&r->unrescued, &out->row[0].unrescued, &r->difference);
    r->burden = burden_of(c, i);
    r->burden_stated = i == 0 || c->alternative[i - 1].burden_stated;
    r->cost = (sm_estimate){r->burden + r->unrescued.probability, r->unrescued.standard_error};
    r->break_even = (sm_estimate){0 - r->difference.value, r->difference.standard_error};
    return SM_OK;
}

static sm_status fill_rows(found f, const sm_case *c, uint64_t seed, sm_weigh *out)
{
    sm_status s = SM_OK;
    out->trials = f.sharp ? f.sharp->points_a_task * f.sharp->n_tasks : f.g->n;
    out->n_sides = f.g->n_sides;
    out->row = calloc((size_t)out->n_rows, sizeof *out->row);
    if (!out->row)
        return SM_NO_MEMORY;
    for (int i = 0; s == SM_OK && i < out->n_rows; i++)
        s = fill_row(f, i, c, seed, out);
    return s;
}

/* U_i less U_j, paired. */
static sm_estimate between(found f, int i, int j)
{
    if (f.sharp)
        return sm_task_means_difference(sm_sharp_unrescued(f.sharp, i), sm_sharp_unrescued(f.sharp, j));
    const sm_weighted *a = &f.g->tally[i].unrescued, *b = &f.g->tally[j].unrescued;
    const sm_joint_sums both = {a->ww, sm_pairs_both(&f.g->pairs, i, i), sm_pairs_both(&f.g->pairs, j, j),
                                sm_pairs_both(&f.g->pairs, i, j)};
    return sm_joint_difference(a, b, &both);
}

/* By how many standard errors a difference must be off to be told with 95 % confidence. */
static double reach(found f)
{
    return f.sharp ? sm_task_means_reach(f.sharp->n_tasks) : 1.96;
}

/* 3. The cheapest */

/* The row that costs least after `best`. */
static int next_cheapest(const double *cost, int n, int best)
{
    int next = -1;
    for (int i = 0; i < n; i++)
        if (i != best && (next < 0 || cost[i] < cost[next]))
            next = i;
    return next;
}

/* Of few tasks the errors are known worse than of many trials: widened, so that what is told with 95 % confidence is.
 */
static void fill_sharp_covariance(found f, int n_rows, double *covariance)
{
    const double wider = reach(f) / 1.96;
    for (int i = 0; i < n_rows; i++)
        for (int j = 0; j < n_rows; j++)
            covariance[i * n_rows + j] =
                wider * wider *
                sm_task_means_covariance(sm_sharp_unrescued(f.sharp, i), sm_sharp_unrescued(f.sharp, j));
}

/* cov(U_i, U_j) = sum w^2 (e_i - p_i)(e_j - p_j)/(sum w)^2. */
static void fill_counted_covariance(const sm_gathered *g, int n_rows, double *covariance)
{
    const double n = g->tally[0].unrescued.w, squares = g->tally[0].unrescued.ww;
    for (int i = 0; i < n_rows; i++)
        for (int j = 0; j < n_rows; j++) {
            const double pi = sm_weighted_share(&g->tally[i].unrescued), pj = sm_weighted_share(&g->tally[j].unrescued);
            const double with_i = sm_pairs_both(&g->pairs, i, i), with_j = sm_pairs_both(&g->pairs, j, j);
            const double both = sm_pairs_both(&g->pairs, i, j) - pi * with_j - pj * with_i + pi * pj * squares;
            covariance[i * n_rows + j] = both / n / n;
        }
}

/* work: n_rows (n_rows + 2) places. */
static sm_status rank(found f, uint64_t seed, double *work, sm_weigh *out)
{
    const int n = out->n_rows;
    double *cost = work, *probability = work + n, *covariance = work + 2 * n;
    for (int i = 0; i < n; i++)
        cost[i] = out->row[i].cost.value;
    out->cheapest = sm_least(cost, n);
    out->next = next_cheapest(cost, n, out->cheapest);
    if (out->next >= 0)
        out->margin =
            (sm_estimate){cost[out->next] - cost[out->cheapest], between(f, out->next, out->cheapest).standard_error};
    if (f.sharp)
        fill_sharp_covariance(f, n, covariance);
    else
        fill_counted_covariance(f.g, n, covariance);
    sm_status s = sm_probability_cheapest(n, cost, covariance, seed, probability);
    for (int i = 0; i < n; i++)
        out->row[i].cheapest = probability[i];
    out->settled = probability[out->cheapest] >= SM_SETTLED;
    return s;
}

/* 4. Dominated rows */

/* Row i asks no less burden than j, and does not have fewer unrescued events beyond Monte Carlo error; and they are not
 * the same in both. */
static bool dominates(found f, const sm_weigh *w, int j, int i)
{
    const sm_weigh_row *a = &w->row[i], *b = &w->row[j];
    sm_estimate more = between(f, j, i);
    bool same = a->burden == b->burden && a->unrescued.probability == b->unrescued.probability;
    return b->burden <= a->burden && more.value + reach(f) * more.standard_error <= 0 && !same;
}

/* Of several that dominate a row the cheapest is named. */
static void mark_dominated(found f, sm_weigh *w)
{
    for (int i = 0; i < w->n_rows; i++)
        for (int j = 0; j < w->n_rows; j++) {
            int *by = &w->row[i].dominated_by;
            if (j != i && dominates(f, w, j, i) && (*by < 0 || w->row[j].cost.value < w->row[*by].cost.value))
                *by = j;
        }
}

/* 5. How firm the choice is */

/* work: 2 n_rows places. */
static sm_status vary_burdens(double *work, sm_weigh *out)
{
    double *burden = work, *events = work + out->n_rows;
    for (int i = 0; i < out->n_rows; i++) {
        burden[i] = out->row[i].burden;
        events[i] = out->row[i].unrescued.probability;
    }
    out->range = malloc((size_t)out->n_rows * sizeof *out->range);
    if (!out->range)
        return SM_NO_MEMORY;
    out->n_ranges = sm_burden_ranges(out->n_rows, burden, events, SM_BURDENS_FROM, SM_BURDENS_TO, out->range);
    return SM_OK;
}

static sm_status vary_success(const sm_weighing *w, found f, sm_weigh *out)
{
    for (int i = 0; i < out->n_rows - 1; i++)
        out->any_success |= can_fail(w->plan.c, &w->plan.c->alternative[i]);
    for (int step = 0; step < SM_SUCCESS_STEPS; step++) {
        sm_success_step *s = &out->step[step];
        s->factor = step_factor(step);
        s->cost = malloc((size_t)out->n_rows * sizeof *s->cost);
        if (!s->cost)
            return SM_NO_MEMORY;
        for (int i = 0; i < out->n_rows; i++)
            s->cost[i] = out->row[i].burden + unrescued_of(f, w->root[step][i]).probability;
        s->cheapest = sm_least(s->cost, out->n_rows);
    }
    return SM_OK;
}

/* 6. The whole */

static sm_status conclude(const sm_weighing *w, found f, sm_weigh *out)
{
    const size_t n = (size_t)out->n_rows;
    double *work = malloc(n * (n + 2) * sizeof *work);
    sm_status s = work ? fill_rows(f, w->plan.c, w->plan.seed, out) : SM_NO_MEMORY;
    if (s == SM_OK)
        s = rank(f, w->plan.seed, work, out);
    if (s == SM_OK)
        s = vary_burdens(work, out);
    if (s == SM_OK)
        s = vary_success(w, f, out);
    if (s == SM_OK) {
        mark_dominated(f, out);
        sm_line_steps(&out->row[0].event, out->line);
    }
    free(work);
    return s;
}

/* What a re-check could change in the choice. */
static sm_status choose(const sm_weighing *w, sm_run_context context, sm_weigh *out)
{
    double burden[SM_MAX_ALTERNATIVES + 1];
    for (int i = 0; i < out->n_rows; i++)
        burden[i] = out->row[i].burden;
    sm_choice_request request = {.n_roots = out->n_rows, .now = out->cheapest, .burden = burden};
    return sm_choice_run(&w->plan, &request, context, &out->choice);
}

static sm_status read_rows(void *self, const sm_gathered *g, const sm_sharp *sharp)
{
    const sm_weighing *w = self;
    return conclude(w, (found){g, sharp}, w->out);
}

sm_extra_roots sm_weighing_extra_roots(sm_weighing *w)
{
    return (sm_extra_roots){.self = w, .read = read_rows, .n_paired = w->n_rows};
}

sm_status sm_weigh_cost(const sm_case *c, int row, sm_run_context context, double *cost)
{
    sm_weigh unused;
    sm_weighing *w;
    sm_sharp sharp = {.sums = NULL};
    sm_status s = sm_weighing_create(c, context.seed, &unused, &w);
    if (s != SM_OK)
        return s;
    s = sm_sharp_run_enough(&w->plan, (sm_sharp_goal){0}, context, &sharp);
    if (s == SM_OK)
        *cost = burden_of(c, row) + sm_task_means_probability(sm_sharp_unrescued(&sharp, row)).probability;
    sm_sharp_destroy(&sharp);
    sm_weighing_destroy(w);
    return s;
}

sm_status sm_weigh_run(const sm_case *c, int64_t recheck_trials, sm_run_context context, sm_weigh *out)
{
    sm_weighing *w;
    sm_status s = sm_weighing_create(c, context.seed, out, &w);
    if (s != SM_OK)
        return s;
    const sm_extra_roots extra = sm_weighing_extra_roots(w);
    s = sm_assess_plan(&w->plan, &extra, context, &out->assessment);
    if (s == SM_OK && recheck_trials > 0)
        s = choose(w, sm_run_context_auxiliary(context, "what a re-check could change", recheck_trials), out);
    sm_weighing_destroy(w);
    out->complete = s == SM_OK;
    if (s == SM_INTERRUPTED)
        out->assessment.complete = false;
    else if (s != SM_OK)
        sm_weigh_destroy(out);
    return s;
}

void sm_weigh_destroy(sm_weigh *w)
{
    sm_assessment_destroy(&w->assessment);
    for (int i = 0; w->row && i < w->n_rows; i++)
        free(w->row[i].side);
    free(w->row);
    free(w->range);
    for (int step = 0; step < SM_SUCCESS_STEPS; step++)
        free(w->step[step].cost);
    sm_choice_destroy(&w->choice);
    *w = (sm_weigh){0};
}

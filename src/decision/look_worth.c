/* look_worth.c - what looks not yet made are worth, and how to act on what they show.
 *
 * Contents: 1. what is looked at  2. cells  3. one group of trials  4. observing a run  5. the rule at the table
 *           6. a look contained in another  7. worths  8. views  9. the whole  10. policies
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "decision/look_worth.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include <gsl/gsl_math.h>

#include "decision/look_index.h"
#include "decision/weigh.h"
#include "measurement/planned_look.h"

/* 1. What is looked at */

enum { LEAST_TRIALS = 2 * SM_TASK_TRIALS, CHOICE_DIMS = 3 };

/* Of the choice: which sides' indices a look with several coordinates is sorted by. */
typedef struct {
    sm_grid grid;
    int side[CHOICE_DIMS];
    size_t first; /* cell */
} choice_cells;

/* All that one run is made with. */
typedef struct {
    const sm_case *c;
    sm_weighing *weighing; /* NULL: the plan below is this one's own */
    sm_weigh unused;
    sm_plan own;
    sm_plan *plan;
    int n_roots, now;
    double burden[SM_MAX_ALTERNATIVES + 1];
    int n;                 /* looks: those of the case, then those of the views */
    sm_planned_look *look; /* shallow copies */
    sm_look_draws draws;
    sm_look_indices indices;
    choice_cells *choice; /* by look */
    size_t n_choice_cells;
    sm_cell_counts *line_cell, *choice_cell; /* line: SM_GRID_LINE a look */
    sm_swap *swap;                           /* root a in cell c: swap[a * n_choice_cells + c] */
    double least;                            /* weighted sum of the least cost of any root in that very trial */
} work;

bool sm_look_worths_have_choice(const sm_case *c)
{
    for (size_t i = 0; i < c->n_alternatives; i++)
        if (!c->alternative[i].burden_stated)
            return false;
    return c->n_alternatives > 0;
}

/* The sides of which a look says most; at most three. */
static void find_sides(const sm_look_index *x, choice_cells *to)
{
    const int most = x->n_sides < CHOICE_DIMS ? x->n_sides : CHOICE_DIMS;
    for (int d = 0; d < most; d++) {
        int best = -1;
        for (int k = 0; k < x->n_sides; k++) {
            bool taken = !(x->side[k].spread > 0);
            for (int j = 0; j < d; j++)
                taken = taken || to->side[j] == k;
            if (!taken && (best < 0 || x->side[k].spread > x->side[best].spread))
                best = k;
        }
        if (best < 0)
            return;
        to->side[d] = best;
        to->grid.dims = d + 1;
    }
}

static sm_status place_choice(work *w)
{
    w->choice = calloc((size_t)w->n + 1, sizeof *w->choice);
    if (!w->choice)
        return SM_NO_MEMORY;
    for (int i = 0; i < w->n; i++) {
        const sm_look_index *x = &w->indices.look[i];
        if (x->dims > 1)
            find_sides(x, &w->choice[i]);
        else
            w->choice[i].grid.dims = x->dims;
        w->choice[i].first = w->n_choice_cells;
        w->n_choice_cells += (size_t)sm_grid_cells(&w->choice[i].grid);
    }
    return SM_OK;
}

/* 2. Cells */

static bool chooses(const work *w)
{
    return w->n_roots > 1;
}

static size_t line_cells(const work *w)
{
    return (size_t)w->n * SM_GRID_LINE;
}

static size_t choice_places(const work *w)
{
    return chooses(w) ? w->n_choice_cells : 0;
}

static size_t swap_places(const work *w)
{
    return chooses(w) ? (size_t)w->n_roots * w->n_choice_cells : 0;
}

static sm_status cells_create(work *w)
{
    w->line_cell = calloc(line_cells(w) + 1, sizeof *w->line_cell);
    w->choice_cell = calloc(choice_places(w) + 1, sizeof *w->choice_cell);
    w->swap = calloc(swap_places(w) + 1, sizeof *w->swap);
    return w->line_cell && w->choice_cell && w->swap ? SM_OK : SM_NO_MEMORY;
}

/* 3. One group of trials */

/* What one task gathers. */
typedef struct {
    sm_look_room room;
    sm_cell_counts *line_cell, *choice_cell;
    sm_swap *swap;
    double least;
} part;

/* A group as the observer is given it: by root, 1 where an event is not undone; weights, 1 where there are none. */
typedef struct {
    double weight[SM_LANES];
    const sm_mask *unrescued;
    int n;
} group;

static double flag(const sm_mask *m, int i)
{
    return (double)(m->word[i / 64] >> (i % 64) & 1);
}

static void add_cells(const group *g, const sm_mask *event, const int32_t *place, sm_cell_counts *cell)
{
    for (int i = 0; i < g->n; i++) {
        cell[place[i]].n[i & 1] += g->weight[i];
        cell[place[i]].events[i & 1] += g->weight[i] * flag(event, i);
    }
}

static void add_swaps(const work *w, size_t first, const group *g, const int32_t *place, part *p)
{
    int at[SM_LANES];
    const sm_mask *now = &g->unrescued[w->now];
    for (int a = 0; a < w->n_roots; a++) {
        if (a == w->now)
            continue;
        sm_swap *swap = p->swap + (size_t)a * w->n_choice_cells + first;
        for (int i = 0, n = sm_mask_without(&g->unrescued[a], now, at); i < n; i++)
            swap[place[at[i]]].gained[at[i] & 1] += g->weight[at[i]];
        for (int i = 0, n = sm_mask_without(now, &g->unrescued[a], at); i < n; i++)
            swap[place[at[i]]].lost[at[i] & 1] += g->weight[at[i]];
    }
}

/* The act at the line: the case as planned, its event. */
static void add_line(int look, const group *g, const int32_t *place, part *p)
{
    add_cells(g, &g->unrescued[0], place, p->line_cell + (size_t)look * SM_GRID_LINE);
}

static void add_choice(const work *w, int look, const group *g, const int32_t *place, part *p)
{
    const choice_cells *c = &w->choice[look];
    add_cells(g, &g->unrescued[w->now], place, p->choice_cell + c->first);
    add_swaps(w, c->first, g, place, p);
}

/* A look with one number is sorted by it alone, also for the choice. */
static void add_look(const work *w, int look, const group *g, part *p)
{
    static const sm_grid line = {.dims = 1};
    const choice_cells *c = &w->choice[look];
    const bool several = w->indices.look[look].dims > 1 && chooses(w);
    double patient[SM_LANES], side[CHOICE_DIMS][SM_LANES];
    const double *by_patient[1] = {patient}, *by_side[CHOICE_DIMS] = {side[0], side[1], side[2]};
    int32_t place[SM_LANES];
    sm_look_index_show(&w->indices, look, p->room.y, patient, c->side, several ? c->grid.dims : 0, side);
    sm_grid_cell(&line, by_patient, SM_LANES, place);
    add_line(look, g, place, p);
    if (several)
        sm_grid_cell(&c->grid, by_side, SM_LANES, place);
    if (chooses(w))
        add_choice(w, look, g, place, p);
}

static void add_least(const work *w, const group *g, part *p)
{
    for (int i = 0; i < g->n; i++) {
        double least = HUGE_VAL;
        for (int a = 0; a < w->n_roots; a++)
            least = fmin(least, w->burden[a] + flag(&g->unrescued[a], i));
        p->least += g->weight[i] * least;
    }
}

/* 4. Observing a run */

static sm_status part_create(void *self, void *part_)
{
    const work *w = self;
    part *p = part_;
    p->line_cell = malloc((line_cells(w) + 1) * sizeof *p->line_cell);
    p->choice_cell = malloc((choice_places(w) + 1) * sizeof *p->choice_cell);
    p->swap = malloc((swap_places(w) + 1) * sizeof *p->swap);
    const sm_status s = sm_look_room_create(&w->draws, &p->room);
    return p->line_cell && p->choice_cell && p->swap ? s : SM_NO_MEMORY;
}

static void part_destroy(void *self, void *part_)
{
    part *p = part_;
    (void)self;
    sm_look_room_destroy(&p->room);
    free(p->line_cell);
    free(p->choice_cell);
    free(p->swap);
}

static void part_empty(void *self, void *part_)
{
    const work *w = self;
    part *p = part_;
    memset(p->line_cell, 0, line_cells(w) * sizeof *p->line_cell);
    memset(p->choice_cell, 0, choice_places(w) * sizeof *p->choice_cell);
    memset(p->swap, 0, swap_places(w) * sizeof *p->swap);
    p->least = 0;
}

static void part_merge(void *self, const void *part_)
{
    work *w = self;
    const part *p = part_;
    sm_cell_counts_add(w->line_cell, p->line_cell, line_cells(w));
    sm_cell_counts_add(w->choice_cell, p->choice_cell, choice_places(w));
    sm_swaps_add(w->swap, p->swap, swap_places(w));
    w->least += p->least;
}

static void look(void *self, void *part_, const sm_worker *worker, const double *const *column, const double *weight,
                 const sm_mask *unrescued, int n)
{
    const work *w = self;
    part *p = part_;
    group g = {.unrescued = unrescued, .n = n};
    for (int i = 0; i < SM_LANES; i++)
        g.weight[i] = weight ? weight[i] : 1;
    sm_look_draws_show(&w->draws, worker, SM_FOR_RUN, column, &p->room);
    for (int i = 0; i < w->n; i++)
        if (w->indices.look[i].dims > 0)
            add_look(w, i, &g, p);
    if (chooses(w))
        add_least(w, &g, p);
}

/* Weights are of no size: brought to as many trials of weight 1 as know as much (cells.c). */
static void level(work *w, const sm_weighted *event)
{
    const double by = event->w > 0 ? sm_weighted_effective(event) / event->w : 1;
    sm_cell_counts_scale(w->line_cell, line_cells(w), by);
    sm_cell_counts_scale(w->choice_cell, choice_places(w), by);
    sm_swaps_scale(w->swap, swap_places(w), by);
}

/* Unrescued events by root from a run of `trials`, observed or not. */
static sm_status run_trials(work *w, const sm_observer *observer, sm_run_context context, int64_t trials,
                            sm_gathered *g)
{
    sm_status s = sm_gathered_create_counts(w->plan, w->n_roots, g);
    if (s != SM_OK)
        return s;
    g->observer = observer;
    return sm_run(w->plan, sm_run_context_auxiliary(context, "the worth of looks", trials), g);
}

static double cost_of(const work *w, const sm_gathered *g, int root)
{
    return w->burden[root] + sm_weighted_share(&g->tally[root].unrescued);
}

static int cheapest(const work *w, const sm_gathered *g)
{
    int best = 0;
    for (int a = 1; a < w->n_roots; a++)
        if (cost_of(w, g, a) < cost_of(w, g, best))
            best = a;
    return best;
}

/* The act that others are compared with, found beforehand from fewer trials; that it is not quite the cheapest is made
 * good afterwards. */
static sm_status find_now(work *w, sm_run_context context)
{
    sm_gathered g = {0};
    if (!chooses(w))
        return SM_OK;
    const sm_status s = run_trials(w, NULL, context, SM_TASK_TRIALS, &g);
    if (s == SM_OK)
        w->now = cheapest(w, &g);
    sm_gathered_destroy(&g);
    return s;
}

/* 5. The rule at the table */

/* The range of cells that holds all but a thousandth of the trials at either end: beyond, the curve rests on nothing.
 */
static void held(const sm_cell_counts *cell, int *from, int *to)
{
    double all = 0, below = 0;
    for (int c = 0; c < SM_GRID_LINE; c++)
        all += cell[c].n[0] + cell[c].n[1];
    *from = 0;
    *to = SM_GRID_LINE - 1;
    for (int c = 0; c < SM_GRID_LINE; c++) {
        const double here = cell[c].n[0] + cell[c].n[1];
        if (below <= 0.001 * all)
            *from = c;
        if (below + here < 0.999 * all)
            *to = c + 1 < SM_GRID_LINE ? c + 1 : c;
        below += here;
    }
}

static double cell_middle(int c)
{
    return ((c + 0.5) / SM_GRID_LINE * 2 - 1) * SM_GRID_REACH;
}

static sm_status find_rule(const work *w, int look, double q, sm_watch watch, sm_act_rule *rule)
{
    const sm_look_index *x = &w->indices.look[look];
    const sm_cell_counts *cell = w->line_cell + (size_t)look * SM_GRID_LINE;
    double P[SM_GRID_LINE];
    int from, to, crossings = 0;
    *rule = (sm_act_rule){.kind = SM_ACT_NO_RULE};
    if (x->dims != 1)
        return SM_OK;
    const sm_status s = sm_policy_curve(cell, watch, P);
    held(cell, &from, &to);
    for (int c = from; c < to; c++) {
        if ((P[c] >= q) == (P[c + 1] >= q))
            continue;
        const double share = (q - P[c]) / (P[c + 1] - P[c]);
        const double z = cell_middle(c) + share * (cell_middle(c + 1) - cell_middle(c));
        *rule = (sm_act_rule){P[c] >= q ? SM_ACT_BELOW : SM_ACT_ABOVE, x->mean + z / x->scale};
        crossings++;
    }
    if (crossings != 1)
        *rule = (sm_act_rule){.kind = crossings == 0 ? SM_ACT_NEVER_TURNS : SM_ACT_CROSSES};
    return s;
}

/* 6. A look contained in another */

static bool same_targets_within(const sm_planned_look *a, const sm_planned_look *b)
{
    for (size_t i = 0; i < a->n_targets; i++) {
        bool found = false;
        for (size_t j = 0; j < b->n_targets; j++)
            found = found || (a->target[i].side == b->target[j].side && a->target[i].what == b->target[j].what);
        if (!found)
            return false;
    }
    return true;
}

static bool same_scan(const sm_scan *a, const sm_scan *b)
{
    const sm_base_plane *p = &a->base_plane, *q = &b->base_plane;
    const sm_dist *d = &a->blooming_mm, *e = &b->blooming_mm;
    bool same = d->family == e->family && p->tilt_form == q->tilt_form && p->radius_mm == q->radius_mm &&
                p->point_sd_mm == q->point_sd_mm && p->cuff_wave_mm == q->cuff_wave_mm &&
                p->placements == q->placements && p->tilt_sd_deg == q->tilt_sd_deg &&
                p->level_sd_mm == q->level_sd_mm && a->centreline_sd_mm == b->centreline_sd_mm;
    for (int i = 0; i < 4; i++)
        same = same && d->p[i] == e->p[i];
    for (int i = 0; i < 3; i++)
        same = same && p->azimuths_deg[i] == q->azimuths_deg[i];
    return same;
}

/* b shows at least as much as a, neither being a bundle: the same thing by no fewer readers, on no fewer quantities,
 * with errors that are no larger. */
static bool within_single(const sm_planned_look *a, const sm_planned_look *b)
{
    if (a->kind != b->kind || a->readers > b->readers || !same_targets_within(a, b))
        return false;
    switch (a->kind) {
    case SM_PLANNED_AGAIN:
        return a->own_plane == b->own_plane;
    case SM_PLANNED_RESCAN:
        return same_scan(&a->scan, &b->scan);
    case SM_PLANNED_PROJECT:
        return a->reader_sd_mm >= b->reader_sd_mm && a->magnification_sd >= b->magnification_sd &&
               a->view_error_sd_deg >= b->view_error_sd_deg && a->miss_deg >= b->miss_deg;
    default:
        return a->reader_sd_mm >= b->reader_sd_mm;
    }
}

/* Whether a single look is within b, or one of b's parts. */
static bool within_any(const sm_planned_look *all, const sm_planned_look *a, const sm_planned_look *b)
{
    if (b->kind != SM_PLANNED_BUNDLE)
        return within_single(a, b);
    for (size_t i = 0; i < b->n_parts; i++)
        if (within_single(a, &all[b->part[i]]))
            return true;
    return false;
}

static bool holds(const sm_planned_look *bundle, size_t place)
{
    for (size_t i = 0; i < bundle->n_parts; i++)
        if (bundle->part[i] == place)
            return true;
    return false;
}

/* A bundle is within another that holds the same looks and more; one better look is no two. */
static bool within(const sm_planned_look *all, const sm_planned_look *a, const sm_planned_look *b)
{
    if (a->kind != SM_PLANNED_BUNDLE)
        return within_any(all, a, b);
    for (size_t i = 0; i < a->n_parts; i++)
        if (b->kind != SM_PLANNED_BUNDLE || !holds(b, a->part[i]))
            return false;
    return a->n_parts > 0;
}

/* 7. Worths */

/* What is found of each look of the run, those of the views too. */
typedef struct {
    sm_worth line, choice;
    sm_act_rule act;
    sm_status status;
} found;

/* The worth that is put in order. */
static sm_worth *at_line(found *f)
{
    return &f->line;
}

static sm_worth *of_choice(found *f)
{
    return &f->choice;
}

/* Theory orders them: 0 <= what a part shows <= what the whole shows <= the bound. What exceeds by Monte Carlo error is
 * brought back: a look that contains another may always be read by the other's rule, and has its worth if its own rule
 * found less. */
static void keep_order(const work *w, found *f, sm_worth *(*worth)(found *f), double bound)
{
    for (int i = 0; i < w->n; i++)
        worth(&f[i])->value.value = fmin(worth(&f[i])->value.value, bound);
    for (int pass = 0; pass < w->n; pass++)
        for (int a = 0; a < w->n; a++)
            for (int b = 0; b < w->n; b++)
                if (a != b && within(w->look, &w->look[a], &w->look[b]) &&
                    worth(&f[b])->value.value < worth(&f[a])->value.value)
                    *worth(&f[b]) = *worth(&f[a]);
}

/* A look's error of how often it changes the act holds the rule's own too. */
static void add_rule_error(sm_worth *w)
{
    w->change.standard_error = hypot(w->change.standard_error, w->rule_error);
}

static sm_status worth_of(const work *w, int look, sm_watch watch, found *f)
{
    static const sm_grid line = {.dims = 1};
    const double q = w->c->action_line;
    sm_status s = SM_OK;
    if (w->indices.look[look].dims == 0)
        return SM_OK;
    if (q > 0)
        f->line = sm_policy_worth(&line, w->line_cell + (size_t)look * SM_GRID_LINE, q, watch, &s);
    if (q > 0 && s == SM_OK)
        s = find_rule(w, look, q, watch, &f->act);
    if (chooses(w) && s == SM_OK) {
        const choice_cells *c = &w->choice[look];
        const sm_actions actions = {w->n_roots, w->now, w->burden, w->swap + c->first, w->n_choice_cells};
        f->choice = sm_policy_choice(&c->grid, w->choice_cell + c->first, &actions, watch, &s);
    }
    add_rule_error(&f->line);
    add_rule_error(&f->choice);
    return s;
}

static void take_choice(const work *w, const sm_gathered *g, found *f, sm_look_worths *out)
{
    const int best = cheapest(w, g);
    const double dearer = cost_of(w, g, w->now) - cost_of(w, g, best);
    out->n_acts = w->n_roots;
    out->now = best;
    out->cost_planned = cost_of(w, g, 0);
    out->cost_now = cost_of(w, g, best);
    out->cost_known = fmin(out->cost_now, w->least / g->tally[0].unrescued.w);
    for (int i = 0; i < w->n; i++)
        f[i].choice.value.value = fmax(0, f[i].choice.value.value - dearer);
    keep_order(w, f, of_choice, out->cost_now - out->cost_known);
}

/* Acting now costs q for certain: how often the look says act is how often it does not change the call. */
static sm_estimate acts(const sm_worth *w, bool acts_now)
{
    return (sm_estimate){acts_now ? 1 - w->change.value : w->change.value, w->change.standard_error};
}

double sm_look_worth_net(const sm_look_worths *w, const sm_look_worth *l)
{
    return w->has_line ? l->net : l->choice_net;
}

static void rank(sm_look_worths *out)
{
    for (int i = 0; i < out->n; i++) {
        int place = i;
        for (; place > 0 &&
               sm_look_worth_net(out, &out->look[out->order[place - 1]]) < sm_look_worth_net(out, &out->look[i]);
             place--)
            out->order[place] = out->order[place - 1];
        out->order[place] = i;
    }
}

static void take_look(const work *w, const found *f, int i, sm_look_worths *out)
{
    out->look[i] = (sm_look_worth){.look = &w->c->planned[i],
                                   .dims = w->indices.look[i].dims,
                                   .worth = f->line,
                                   .net = f->line.value.value - w->c->planned[i].burden,
                                   .acts = acts(&f->line, out->event >= w->c->action_line),
                                   .act = f->act,
                                   .choice = f->choice,
                                   .choice_net = f->choice.value.value - w->c->planned[i].burden};
}

/* One task a look, each into a place of its own. */
typedef struct {
    const work *w;
    sm_watch watch;
    found *f;
} fits;

static void fit_one(void *arg, int i)
{
    const fits *all = arg;
    all->f[i].status = worth_of(all->w, i, all->watch, &all->f[i]);
}

static sm_status find_all(const work *w, sm_run_context context, found *f)
{
    fits all = {w, context.watch, f};
    sm_status s = SM_OK;
    sm_executor_run(context.executor, w->n, fit_one, &all);
    for (int i = 0; s == SM_OK && i < w->n; i++)
        s = f[i].status;
    return s;
}

static void conclude(const work *w, const sm_gathered *g, found *f, sm_look_worths *out)
{
    const double q = w->c->action_line;
    out->trials = g->n;
    out->event = sm_weighted_share(&g->tally[0].patient.event);
    out->bound = out->has_line ? fmin(out->event, q) - q * out->event : 0;
    keep_order(w, f, at_line, out->bound);
    if (chooses(w))
        take_choice(w, g, f, out);
    for (int i = 0; i < out->n; i++)
        take_look(w, &f[i], i, out);
    rank(out);
}

/* 8. Views */

#define BESIDE_DEG 10.0

static void view_of(const work *w, int side, sm_gap_view *v)
{
    const sm_coronary *o = &w->c->coronary[side];
    const sm_root *r = &w->plan->root[0];
    const double bloom = sm_dist_mean(&r->scan.blooming.transform.dist);
    v->side = side;
    v->projection = sm_carm_projection(&w->c->axes, o->azimuth_deg, &w->c->gantry);
    v->gap = sm_root_reading_mean(&r->side[side].readings.reading[SM_OSTIUM_GAP], bloom);
    const double miss = v->projection.edge_on.off_deg;
    v->shortens = sm_carm_foreshortening(v->gap, o->circle_mm, miss);
    v->shortens_more = sm_carm_foreshortening(v->gap, o->circle_mm, miss + BESIDE_DEG) - v->shortens;
}

static sm_status find_views(work *w, sm_look_worths *out)
{
    if (!w->c->axes.present)
        return SM_OK;
    out->view = calloc(w->c->n_coronaries, sizeof *out->view);
    if (!out->view)
        return SM_NO_MEMORY;
    for (int k = 0; k < (int)w->c->n_coronaries; k++)
        if (w->c->coronary[k].has_ostium)
            view_of(w, k, &out->view[out->n_views++]);
    return SM_OK;
}

/* By how much the view of a side's gap misses: 0 where nothing is known of it. */
static double miss_of(const sm_look_worths *out, int side)
{
    for (int i = 0; i < out->n_views; i++)
        if (out->view[i].side == side && out->view[i].projection.edge_on.there)
            return out->view[i].projection.edge_on.off_deg;
    return 0;
}

/* Two angiograms a view: from there, and from 10 degrees beside it. target: room for one each. */
static void add_view_looks(work *w, const sm_look_worths *out, sm_look_target *target)
{
    const sm_picture_errors *e = &w->c->picture[SM_GAP_OSTIUM];
    for (int i = 0; i < 2 * out->n_views; i++) {
        const sm_gap_view *v = &out->view[i / 2];
        target[i] = (sm_look_target){v->side, SM_OSTIUM_GAP};
        w->look[w->n++] = (sm_planned_look){.kind = SM_PLANNED_PROJECT,
                                            .readers = 1,
                                            .n_targets = 1,
                                            .target = &target[i],
                                            .scan = w->c->scan,
                                            .reader_sd_mm = e->reader_sd_mm,
                                            .magnification_sd = e->magnification_sd,
                                            .view_error_sd_deg = e->view_error_sd_deg,
                                            .miss_deg = v->projection.edge_on.off_deg + i % 2 * BESIDE_DEG};
    }
}

/* A view that cannot be had has no worth. */
static void take_views(const work *w, const found *f, sm_look_worths *out)
{
    const int first = w->n - 2 * out->n_views;
    for (int i = 0; i < out->n_views; i++)
        if (out->view[i].projection.edge_on.there) {
            out->view[i].worth = f[first + 2 * i].line.value;
            out->view[i].worth_off = f[first + 2 * i + 1].line.value;
        }
}

/* 9. The whole */

static sm_status make_plan(work *w, uint64_t seed)
{
    sm_status s;
    if (sm_look_worths_have_choice(w->c)) {
        s = sm_weighing_create(w->c, seed, &w->unused, &w->weighing);
        w->plan = s == SM_OK ? sm_weighing_plan(w->weighing) : NULL;
        w->n_roots = (int)w->c->n_alternatives + 1;
        for (size_t i = 0; i < w->c->n_alternatives; i++)
            w->burden[i + 1] = w->c->alternative[i].burden;
        return s;
    }
    s = sm_plan_create(w->c, seed, &w->own);
    w->plan = &w->own;
    w->n_roots = 1;
    return s;
}

static sm_status make_list(work *w, const sm_look_worths *out, sm_look_target *target)
{
    w->look = calloc(w->c->n_planned + 2 * (size_t)out->n_views + 1, sizeof *w->look);
    if (!w->look)
        return SM_NO_MEMORY;
    for (size_t i = 0; i < w->c->n_planned; i++) {
        w->look[w->n] = w->c->planned[i];
        if (w->look[w->n].kind == SM_PLANNED_PROJECT)
            w->look[w->n].miss_deg = miss_of(out, w->look[w->n].target[0].side);
        w->n++;
    }
    if (out->has_line)
        add_view_looks(w, out, target);
    return SM_OK;
}

static sm_status prepare(work *w, sm_look_worths *out, sm_look_target *target)
{
    sm_status s = make_list(w, out, target);
    if (s == SM_OK)
        s = sm_look_draws_create(w->plan, w->look, w->n, &w->draws);
    if (s == SM_OK)
        s = sm_look_indices_create(&w->draws, &w->indices);
    if (s == SM_OK)
        s = place_choice(w);
    return s == SM_OK ? cells_create(w) : s;
}

static int64_t trials_for(int64_t of_case)
{
    const int64_t eighth = (of_case / 8 + SM_TASK_TRIALS - 1) / SM_TASK_TRIALS * SM_TASK_TRIALS;
    return eighth > LEAST_TRIALS ? eighth : LEAST_TRIALS;
}

static sm_status run_looks(work *w, sm_run_context context, sm_look_worths *out)
{
    const sm_observer observer = {.self = w,
                                  .n_roots = w->n_roots,
                                  .part_size = sizeof(part),
                                  .create = part_create,
                                  .empty = part_empty,
                                  .look = look,
                                  .merge = part_merge,
                                  .destroy = part_destroy};
    sm_gathered g = {0};
    found *f = calloc((size_t)w->n + 1, sizeof *f);
    sm_status s = f ? find_now(w, context) : SM_NO_MEMORY;
    if (s == SM_OK)
        s = run_trials(w, &observer, context, trials_for(context.trials), &g);
    if (s == SM_OK) {
        level(w, &g.tally[0].patient.event);
        s = find_all(w, context, f);
    }
    if (s == SM_OK) {
        conclude(w, &g, f, out);
        if (out->has_line)
            take_views(w, f, out);
    }
    sm_gathered_destroy(&g);
    free(f);
    return s;
}

static void work_destroy(work *w)
{
    sm_look_indices_destroy(&w->indices);
    sm_look_draws_destroy(&w->draws);
    free(w->choice);
    free(w->line_cell);
    free(w->choice_cell);
    free(w->swap);
    free(w->look);
    if (w->weighing)
        sm_weighing_destroy(w->weighing);
    else
        sm_plan_destroy(&w->own);
}

static sm_status make_places(const sm_case *c, sm_look_worths *out)
{
    out->n = (int)c->n_planned;
    out->look = calloc(c->n_planned + 1, sizeof *out->look);
    out->order = calloc(c->n_planned + 1, sizeof *out->order);
    return out->look && out->order ? SM_OK : SM_NO_MEMORY;
}

sm_status sm_look_worths_run(const sm_case *c, sm_run_context context, sm_look_worths *out)
{
    work w = {.c = c};
    sm_look_target *target = calloc(2 * c->n_coronaries, sizeof *target);
    *out = (sm_look_worths){
        .has_line = c->action_line > 0, .line = c->action_line, .has_choice = sm_look_worths_have_choice(c)};
    sm_status s = target ? make_plan(&w, context.seed) : SM_NO_MEMORY;
    if (s == SM_OK)
        s = find_views(&w, out);
    if (s == SM_OK && (out->has_line || out->has_choice)) {
        s = make_places(c, out);
        if (s == SM_OK)
            s = prepare(&w, out, target);
        if (s == SM_OK)
            s = run_looks(&w, context, out);
    }
    work_destroy(&w);
    free(target);
    if (s != SM_OK)
        sm_look_worths_destroy(out);
    return s;
}

void sm_look_worths_destroy(sm_look_worths *w)
{
    free(w->look);
    free(w->order);
    free(w->view);
    *w = (sm_look_worths){0};
}

/* 10. Policies */

const sm_look_worth *sm_look_worths_first(const sm_look_worths *w)
{
    if (w->n == 0)
        return NULL;
    const sm_look_worth *first = &w->look[w->order[0]];
    return sm_look_worth_net(w, first) >= SM_WORTH_FLOOR ? first : NULL;
}

const sm_look_worth *sm_look_worths_best_of_choice(const sm_look_worths *w)
{
    const sm_look_worth *best = NULL;
    for (int i = 0; i < w->n; i++)
        if (!best || w->look[i].choice_net > best->choice_net)
            best = &w->look[i];
    return best;
}

sm_policies sm_policies_at_line(double P, double q, const sm_look_worth *l)
{
    return (sm_policies){P, q, fmin(P, q) - l->net, q * P, l->worth.value.standard_error};
}

sm_policies sm_policies_of_choice(double P, const sm_look_worths *w, const sm_look_worth *l)
{
    return (sm_policies){P, w->cost_now, w->cost_now - l->choice_net, w->cost_known, l->choice.value.standard_error};
}

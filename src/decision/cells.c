/* cells.c - trials sorted by what a re-check of each source would show.
 *
 * Contents: 1. storage  2. what one task gathers  3. one group of trials  4. looking on at a run
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "decision/cells.h"

#include <stdlib.h>
#include <string.h>

/* 1. Storage */

/* Places of the swaps. */
static size_t all_swaps(const sm_cells *c)
{
    return c->request.n_roots > 1 ? (size_t)c->request.n_roots * (size_t)c->n_cells : 0;
}

static sm_status find_coordinates(sm_cells *c)
{
    c->shows = calloc((size_t)c->n_sources, sizeof *c->shows);
    c->first = calloc((size_t)c->n_sources + 1, sizeof *c->first);
    if (!c->shows || !c->first)
        return SM_NO_MEMORY;
    for (int i = 0; i < c->n_sources; i++) {
        c->shows[i] = sm_coordinates_of(c->plan, 0, i);
        const bool varies = c->shows[i].shows != SM_SHOWS_NOTHING;
        c->first[i + 1] = c->first[i] + (varies ? sm_grid_cells(&c->shows[i].grid) : 0);
    }
    c->n_cells = c->first[c->n_sources];
    return SM_OK;
}

sm_status sm_cells_create(const sm_plan *p, const sm_cells_request *request, sm_cells *c)
{
    *c = (sm_cells){.plan = p, .request = *request, .n_sources = p->sources.n_sources};
    sm_status s = find_coordinates(c);
    if (s == SM_OK) {
        c->cell = calloc((size_t)c->n_cells + 1, sizeof *c->cell);
        c->swap = calloc(all_swaps(c) + 1, sizeof *c->swap);
        s = c->cell && c->swap ? SM_OK : SM_NO_MEMORY;
    }
    if (s != SM_OK)
        sm_cells_destroy(c);
    return s;
}

void sm_cells_destroy(sm_cells *c)
{
    free(c->shows);
    free(c->first);
    free(c->cell);
    free(c->swap);
    *c = (sm_cells){0};
}

/* 2. What one task gathers */

/* sm_cell_counts and sm_swap for one task, small enough for the second cache. */
typedef struct {
    uint16_t n[2], events[2];
} task_cell;

typedef struct {
    uint16_t gained[2], lost[2];
} task_swap;

_Static_assert(SM_TASK_TRIALS / 2 <= UINT16_MAX, "a cell holds half of a task's trials");

/* heavy_*: in place of the others if there are weights. */
typedef struct {
    task_cell *cell;
    task_swap *swap;
    sm_cell_counts *heavy_cell;
    sm_swap *heavy_swap;
    int32_t (*place)[SM_LANES]; /* by source: the cell of each trial of the group at hand */
    sm_weighted event;
    double least;
} part;

static sm_status part_create(void *self, void *part_)
{
    const sm_cells *c = self;
    const bool weighs = sm_plan_weighs_first(c->plan);
    const size_t cells = weighs ? 1 : (size_t)c->n_cells + 1, heavy = weighs ? (size_t)c->n_cells + 1 : 1;
    part *p = part_;
    p->cell = malloc(cells * sizeof *p->cell);
    p->swap = malloc((weighs ? 1 : all_swaps(c) + 1) * sizeof *p->swap);
    p->heavy_cell = malloc(heavy * sizeof *p->heavy_cell);
    p->heavy_swap = malloc((weighs ? all_swaps(c) + 1 : 1) * sizeof *p->heavy_swap);
    p->place = malloc((size_t)c->n_sources * sizeof *p->place);
    return p->cell && p->swap && p->heavy_cell && p->heavy_swap && p->place ? SM_OK : SM_NO_MEMORY;
}

static void part_empty(void *self, void *part_)
{
    const sm_cells *c = self;
    part *p = part_;
    if (sm_plan_weighs_first(c->plan)) {
        memset(p->heavy_cell, 0, (size_t)c->n_cells * sizeof *p->heavy_cell);
        memset(p->heavy_swap, 0, all_swaps(c) * sizeof *p->heavy_swap);
    } else {
        memset(p->cell, 0, (size_t)c->n_cells * sizeof *p->cell);
        memset(p->swap, 0, all_swaps(c) * sizeof *p->swap);
    }
    p->event = (sm_weighted){0};
    p->least = 0;
}

static void take_heavy(sm_cells *c, const part *p)
{
    sm_cell_counts_add(c->cell, p->heavy_cell, (size_t)c->n_cells);
    sm_swaps_add(c->swap, p->heavy_swap, all_swaps(c));
}

static void take_counts(sm_cells *c, const part *p)
{
    for (int i = 0; i < c->n_cells; i++)
        for (int h = 0; h < 2; h++) {
            c->cell[i].n[h] += p->cell[i].n[h];
            c->cell[i].events[h] += p->cell[i].events[h];
        }
    for (size_t i = 0; i < all_swaps(c); i++)
        for (int h = 0; h < 2; h++) {
            c->swap[i].gained[h] += p->swap[i].gained[h];
            c->swap[i].lost[h] += p->swap[i].lost[h];
        }
}

static void part_merge(void *self, const void *part_)
{
    sm_cells *c = self;
    const part *p = part_;
    if (sm_plan_weighs_first(c->plan))
        take_heavy(c, p);
    else
        take_counts(c, p);
    sm_weighted_merge(&c->event, &p->event);
    c->least += p->least;
}

static void part_destroy(void *self, void *part_)
{
    part *p = part_;
    (void)self;
    free(p->cell);
    free(p->swap);
    free(p->heavy_cell);
    free(p->heavy_swap);
    free(p->place);
}

/* 3. One group of trials */

/* Some trials of a group. */
typedef struct {
    int n, at[SM_LANES];
} some_trials;

static some_trials trials_without(const sm_mask *a, const sm_mask *b)
{
    some_trials t;
    t.n = sm_mask_without(a, b, t.at);
    return t;
}

/* A group of trials as the observer is given it. */
typedef struct {
    const sm_worker *w;
    const double *const *column;
    const double *weight;
    const sm_mask *unrescued;
    int n;
} group;

static void add_source(const sm_cells *c, int source, const group *g, const some_trials *events, part *p)
{
    int32_t *place = p->place[source];
    sm_coordinates_cell(&c->shows[source], c->plan, g->column, &g->w->at, place);
    if (g->weight) {
        sm_cell_counts *cell = p->heavy_cell + c->first[source];
        for (int i = 0; i < g->n; i++)
            cell[place[i]].n[i & 1] += g->weight[i];
        for (int i = 0; i < events->n; i++)
            cell[place[events->at[i]]].events[events->at[i] & 1] += g->weight[events->at[i]];
        return;
    }
    task_cell *cell = p->cell + c->first[source];
    for (int i = 0; i < g->n; i++)
        cell[place[i]].n[i & 1]++;
    for (int i = 0; i < events->n; i++)
        cell[place[events->at[i]]].events[events->at[i] & 1]++;
}

static void add_heavy_swaps(const int32_t *place, const double *weight, const some_trials *gained,
                            const some_trials *lost, sm_swap *swap)
{
    for (int i = 0; i < gained->n; i++)
        swap[place[gained->at[i]]].gained[gained->at[i] & 1] += weight[gained->at[i]];
    for (int i = 0; i < lost->n; i++)
        swap[place[lost->at[i]]].lost[lost->at[i] & 1] += weight[lost->at[i]];
}

static void count_swaps(const int32_t *place, const some_trials *gained, const some_trials *lost, task_swap *swap)
{
    for (int i = 0; i < gained->n; i++)
        swap[place[gained->at[i]]].gained[gained->at[i] & 1]++;
    for (int i = 0; i < lost->n; i++)
        swap[place[lost->at[i]]].lost[lost->at[i] & 1]++;
}

/* Where root a has an event that `now` has not, and the reverse. */
static void add_swaps(const sm_cells *c, int a, const double *weight, const some_trials *gained,
                      const some_trials *lost, part *p)
{
    for (int source = 0; source < c->n_sources; source++) {
        if (c->shows[source].shows == SM_SHOWS_NOTHING)
            continue;
        const size_t at = (size_t)a * (size_t)c->n_cells + (size_t)c->first[source];
        if (weight)
            add_heavy_swaps(p->place[source], weight, gained, lost, p->heavy_swap + at);
        else
            count_swaps(p->place[source], gained, lost, p->swap + at);
    }
}

static double least_cost(const sm_cells *c, const group *g)
{
    double least[SM_LANES], sum = 0;
    for (int a = 0; a < c->request.n_roots; a++) {
        const double burden = c->request.burden ? c->request.burden[a] : 0;
        for (int i = 0; i < g->n; i++) {
            const double cost = burden + (double)(g->unrescued[a].word[i / 64] >> (i % 64) & 1);
            least[i] = a > 0 && least[i] < cost ? least[i] : cost;
        }
    }
    for (int i = 0; i < g->n; i++)
        sum += (g->weight ? g->weight[i] : 1) * least[i];
    return sum;
}

/* What only matters if there is more than one thing to do. */
static void compare_roots(const sm_cells *c, const group *g, part *p)
{
    const sm_mask *now = &g->unrescued[c->request.now];
    for (int a = 0; a < c->request.n_roots; a++) {
        if (a == c->request.now)
            continue;
        const some_trials gained = trials_without(&g->unrescued[a], now), lost = trials_without(now, &g->unrescued[a]);
        add_swaps(c, a, g->weight, &gained, &lost, p);
    }
    p->least += least_cost(c, g);
}

static void add_event(const group *g, const some_trials *events, sm_weighted *sum)
{
    double flag[SM_LANES] = {0};
    if (!g->weight) {
        sm_weighted_count(sum, events->n, g->n);
        return;
    }
    for (int i = 0; i < events->n; i++)
        flag[events->at[i]] = 1;
    sm_weighted_add(sum, g->weight, flag, g->n);
}

static void look(void *self, void *part_, const sm_worker *w, const double *const *column, const double *weight,
                 const sm_mask *unrescued, int n)
{
    static const sm_mask none = {{0}};
    const sm_cells *c = self;
    const group g = {w, column, weight, unrescued, n};
    part *p = part_;
    const some_trials events = trials_without(&unrescued[c->request.now], &none);
    for (int source = 0; source < c->n_sources; source++)
        if (c->shows[source].shows != SM_SHOWS_NOTHING)
            add_source(c, source, &g, &events, p);
    add_event(&g, &events, &p->event);
    if (c->request.n_roots > 1)
        compare_roots(c, &g, p);
}

/* 4. Looking on at a run */

sm_observer sm_cells_observer(sm_cells *c)
{
    return (sm_observer){.self = c,
                         .n_roots = c->request.n_roots,
                         .part_size = sizeof(part),
                         .create = part_create,
                         .empty = part_empty,
                         .look = look,
                         .merge = part_merge,
                         .destroy = part_destroy};
}

/* Weights are of no size: brought to as many trials of weight 1 as know as much, the cells say how far they can be
 * trusted. */
void sm_cells_level(sm_cells *c)
{
    if (!sm_plan_weighs_first(c->plan) || !(c->event.w > 0))
        return;
    const double by = sm_weighted_effective(&c->event) / c->event.w;
    sm_cell_counts_scale(c->cell, (size_t)c->n_cells, by);
    sm_swaps_scale(c->swap, all_swaps(c), by);
}

sm_status sm_cells_run(sm_cells *c, sm_run_context context)
{
    const int64_t trials = context.trials < SM_CELLS_TRIALS ? SM_CELLS_TRIALS : context.trials;
    const sm_observer observer = sm_cells_observer(c);
    sm_gathered g;
    sm_status s = sm_gathered_create_counts(c->plan, c->request.n_roots, &g);
    if (s != SM_OK)
        return s;
    g.observer = &observer;
    s = sm_run(c->plan, sm_run_context_auxiliary(context, "the worth of re-checks", trials), &g);
    sm_gathered_destroy(&g);
    if (s == SM_OK)
        sm_cells_level(c);
    return s;
}

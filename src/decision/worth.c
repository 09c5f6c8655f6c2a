/* worth.c - what a re-check of each reducible source is worth at the action line.
 *
 * Contents: 1. one source  2. all sources
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "decision/worth.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "decision/nested.h"

/* 1. One source */

/* Theory orders them: 0 <= one more reading <= perfect re-check <= bound. What exceeds by Monte Carlo error is brought
 * back. */
static void keep_order(sm_source_worth *w, double bound)
{
    w->perfect.value.value = fmin(w->perfect.value.value, bound);
    w->one_more.value.value = fmin(w->one_more.value.value, w->perfect.value.value);
}

/* The cells of a two-column source added up along its second coordinate: what the reader error alone shows. */
static const sm_cell_counts *first_coordinate(const sm_grid *g, const sm_cell_counts *cell,
                                              sm_cell_counts sum[SM_GRID_LINE])
{
    if (g->dims == 1)
        return cell;
    const int side = sm_grid_side(g), repeat = SM_GRID_LINE / side;
    memset(sum, 0, SM_GRID_LINE * sizeof *sum);
    for (int c = 0; c < side * side; c++)
        for (int h = 0; h < 2; h++) {
            sum[c / side * repeat + repeat / 2].n[h] += cell[c].n[h];
            sum[c / side * repeat + repeat / 2].events[h] += cell[c].events[h];
        }
    return sum;
}

static sm_status source_worth(const sm_cells *cells, int source, double q, double bound, sm_watch watch,
                              sm_source_worth *out)
{
    const sm_coordinates *shows = &cells->shows[source];
    const sm_cell_counts *cell = cells->cell + cells->first[source];
    sm_cell_counts sum[SM_GRID_LINE];
    sm_status s = SM_OK;
    *out = (sm_source_worth){.varies = shows->shows != SM_SHOWS_NOTHING};
    if (!out->varies)
        return SM_OK;
    out->perfect = sm_policy_worth(&shows->grid, cell, q, watch, &s);
    if (s == SM_OK && shows->one_more >= 0) {
        out->one_more_defined = true;
        out->one_more = sm_policy_partial_worth(first_coordinate(&shows->grid, cell, sum), shows->part, q, &s);
    }
    keep_order(out, bound);
    return s;
}

/* 2. All sources */

const sm_cells_request sm_worth_sorts = {.n_roots = 1};

static bool is_reducible(const void *self, const sm_sources *s, int column)
{
    (void)self;
    return s->source[s->column[column].source].reducible;
}

static sm_status fill(const sm_cells *cells, double q, sm_watch watch, sm_worths *out)
{
    out->n_sources = cells->n_sources;
    out->source = calloc((size_t)cells->n_sources, sizeof *out->source);
    if (!out->source)
        return SM_NO_MEMORY;
    out->event = sm_weighted_probability(&cells->event);
    double P = out->event.probability, slope = P < q ? 1 - q : q; /* of min(P, q) - q P in P */
    out->bound = (sm_estimate){fmin(P, q) - q * P, slope * out->event.standard_error};
    for (int i = 0; i < cells->n_sources; i++) {
        sm_status s = source_worth(cells, i, q, out->bound.value, watch, &out->source[i]);
        if (s != SM_OK)
            return s;
    }
    return SM_OK;
}

enum { INNER = 64 };

sm_status sm_worth_of(const sm_cells *cells, double q, int64_t nested_trials, sm_run_context context, sm_worths *out)
{
    const sm_nested_request known = {.known = is_reducible, .q = q, .inner = INNER};
    const sm_run_context nested = sm_run_context_auxiliary(context, "what no imaging can settle", nested_trials);
    *out = (sm_worths){0};
    sm_status s = fill(cells, q, context.watch, out);
    if (s == SM_OK)
        s = sm_nested_run(cells->plan, &known, nested, &out->expected_cost);
    if (s != SM_OK)
        sm_worths_destroy(out);
    return s;
}

sm_status sm_worth_run(const sm_plan *p, double q, int64_t nested_trials, sm_run_context context, sm_worths *out)
{
    sm_cells cells;
    *out = (sm_worths){0};
    sm_status s = sm_cells_create(p, &sm_worth_sorts, &cells);
    if (s != SM_OK)
        return s;
    s = sm_cells_run(&cells, context);
    if (s == SM_OK)
        s = sm_worth_of(&cells, q, nested_trials, context, out);
    sm_cells_destroy(&cells);
    return s;
}

void sm_worths_destroy(sm_worths *w)
{
    free(w->source);
    *w = (sm_worths){0};
}

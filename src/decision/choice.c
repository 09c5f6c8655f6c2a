/* choice.c - which re-check could change the choice among several things that may be done.
 *
 * Contents: 1. worths  2. what only an alternative draws  3. the whole
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "decision/choice.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "decision/cells.h"

/* 1. Worths */

/* Puts the worth of a source into its place by value. */
static void insert(sm_choice *c, const char *source, const sm_worth *w)
{
    int place = c->n++;
    for (; place > 0 && c->item[place - 1].worth.value.value < w->value.value; place--)
        c->item[place] = c->item[place - 1];
    c->item[place].worth = *w;
    snprintf(c->item[place].source, sizeof c->item[place].source, "%s", source);
}

/* What the choice now costs less what the best in every single trial costs, on average. */
static double bound_of(const sm_cells *cells, const sm_choice_request *request)
{
    return fmax(0, request->burden[request->now] + sm_weighted_share(&cells->event) - cells->least / cells->event.w);
}

static sm_status fill(const sm_plan *p, const sm_choice_request *request, const sm_cells *cells, sm_watch watch,
                      sm_choice *out)
{
    sm_status s = SM_OK;
    const size_t stride = (size_t)cells->n_cells;
    out->item = calloc((size_t)cells->n_sources, sizeof *out->item);
    if (!out->item)
        return SM_NO_MEMORY;
    out->bound = bound_of(cells, request);
    for (int i = 0; s == SM_OK && i < cells->n_sources; i++) {
        if (cells->shows[i].shows == SM_SHOWS_NOTHING)
            continue;
        sm_actions actions = {request->n_roots, request->now, request->burden, cells->swap + cells->first[i], stride};
        sm_worth w = sm_policy_choice(&cells->shows[i].grid, cells->cell + cells->first[i], &actions, watch, &s);
        w.value.value = fmin(w.value.value, out->bound);
        insert(out, p->sources.source[i].name, &w);
    }
    return s;
}

/* 2. What only an alternative draws */

/* Whether `other` draws what `planned` does not: it is constant there, or drawn from another column (a reading in place
 * of a distribution). */
static bool is_unseen(const sm_coordinates *planned, const sm_coordinates *other)
{
    if (other->shows == SM_SHOWS_NOTHING || planned->shows == SM_SHOWS_NOTHING)
        return other->shows != SM_SHOWS_NOTHING;
    return planned->shows == SM_SHOWS_COLUMNS && other->shows == SM_SHOWS_COLUMNS &&
           planned->column[0] != other->column[0];
}

static sm_status find_unseen(const sm_plan *p, int n_roots, sm_choice *out)
{
    out->unseen = calloc((size_t)p->sources.n_sources * (size_t)n_roots, sizeof *out->unseen);
    if (!out->unseen)
        return SM_NO_MEMORY;
    for (int i = 0; i < p->sources.n_sources; i++) {
        const sm_coordinates planned = sm_coordinates_of(p, 0, i);
        for (int a = 1; a < n_roots; a++) {
            const sm_coordinates other = sm_coordinates_of(p, a, i);
            if (!is_unseen(&planned, &other))
                continue;
            sm_choice_unseen *u = &out->unseen[out->n_unseen++];
            snprintf(u->source, sizeof u->source, "%s", p->sources.source[i].name);
            u->root = a;
        }
    }
    return SM_OK;
}

/* 3. The whole */

sm_status sm_choice_run(const sm_plan *p, const sm_choice_request *request, sm_run_context context, sm_choice *out)
{
    const sm_cells_request sort = {.n_roots = request->n_roots, .now = request->now, .burden = request->burden};
    sm_cells cells;
    *out = (sm_choice){0};
    sm_status s = sm_cells_create(p, &sort, &cells);
    if (s != SM_OK)
        return s;
    s = sm_cells_run(&cells, context);
    if (s == SM_OK)
        s = fill(p, request, &cells, context.watch, out);
    if (s == SM_OK)
        s = find_unseen(p, request->n_roots, out);
    sm_cells_destroy(&cells);
    if (s != SM_OK)
        sm_choice_destroy(out);
    return s;
}

void sm_choice_destroy(sm_choice *c)
{
    free(c->item);
    free(c->unseen);
    *c = (sm_choice){0};
}

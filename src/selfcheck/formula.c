/* formula.c - Monte Carlo of a formula of a few distributions.
 *
 * Contents: 1. workspace  2. one group of trials  3. the run  4. indices
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "selfcheck/formula.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "engine/run.h"
#include "sampling/rng.h"

enum { GROUPS = SM_BLOCK / SM_LANES, RANGE_BLOCKS = 4 };

/* 1. Workspace */

typedef struct {
    sm_sources sources;
    sm_tables *tables;
    sm_transform transform[SM_FORMULA_INPUTS];
    int column[SM_FORMULA_INPUTS]; /* -1: constant */
    double base[SM_FORMULA_INPUTS][SM_BLOCK];
    sm_formula_columns columns;
    sm_formula_result part; /* what the task at work has found */
    gsl_rng *rng;
} workspace;

static void workspace_destroy(workspace *w)
{
    if (!w)
        return;
    if (w->rng)
        gsl_rng_free(w->rng);
    sm_tables_destroy(w->tables);
    sm_sources_destroy(&w->sources);
    free(w);
}

static sm_status prepare_input(workspace *w, int source, const sm_dist *d, int i)
{
    char part[16];
    const sm_base base = sm_transform_base(d->family);
    snprintf(part, sizeof part, "x%d", i);
    w->column[i] = sm_dist_is_constant(d) ? -1 : sm_sources_column(&w->sources, source, part, base);
    if (!sm_dist_is_constant(d) && w->column[i] < 0)
        return SM_NO_MEMORY;
    return sm_transform_create(w->tables, d, base, &w->transform[i]);
}

static sm_status workspace_create(const sm_formula *f, workspace **out)
{
    workspace *w = calloc(1, sizeof *w);
    *out = w;
    if (!w)
        return SM_NO_MEMORY;
    w->rng = gsl_rng_alloc(sm_rng_philox);
    w->tables = sm_tables_create();
    const int source = sm_sources_add_named(&w->sources, f->name, true, SM_SHARED);
    sm_status s = w->rng && w->tables && source >= 0 ? SM_OK : SM_NO_MEMORY;
    for (int i = 0; s == SM_OK && i < f->n_inputs; i++)
        s = prepare_input(w, source, &f->input[i], i);
    return s;
}

/* 2. One group of trials */

static void draw_block(const sm_formula *f, workspace *w, uint64_t seed, sm_purpose purpose, uint32_t block)
{
    for (int i = 0; i < f->n_inputs; i++)
        if (w->column[i] >= 0)
            sm_sources_draw(&w->sources.column[w->column[i]], w->rng, seed, purpose, block, w->base[i]);
}

static void evaluate_group(const sm_formula *f, workspace *w, int g)
{
    for (int i = 0; i < f->n_inputs; i++)
        sm_transform_apply(&w->transform[i], w->base[i] + (size_t)g * SM_LANES, w->columns.x[i], SM_LANES);
    f->evaluate(f->constant, &w->columns);
}

static void add_group(const sm_formula *f, workspace *w, sm_formula_result *r)
{
    r->n += SM_LANES;
    for (int o = 0; o < f->n_outputs; o++)
        sm_spread_add(&r->spread[o], w->columns.y[o], SM_LANES);
    for (int e = 0; e < f->n_events; e++)
        for (int i = 0; i < SM_LANES; i++)
            r->event[e] += w->columns.event[e][i] != 0;
}

/* 3. The run */

/* Where the outputs lie, from streams of their own, as for a case. */
static void find_ranges(const sm_formula *f, workspace *w, uint64_t seed, sm_moments moments[SM_FORMULA_OUTPUTS])
{
    for (uint32_t block = 0; block < RANGE_BLOCKS; block++) {
        draw_block(f, w, seed, SM_FOR_RANGE, block);
        for (int g = 0; g < GROUPS; g++) {
            evaluate_group(f, w, g);
            for (int o = 0; o < f->n_outputs; o++)
                sm_moments_add(&moments[o], w->columns.y[o], SM_LANES);
        }
    }
}

static void clear(const sm_formula *f, const sm_moments moments[SM_FORMULA_OUTPUTS], sm_formula_result *r)
{
    r->n = 0;
    for (int e = 0; e < SM_FORMULA_EVENTS; e++)
        r->event[e] = 0;
    for (int o = 0; o < f->n_outputs; o++)
        sm_spread_init(&r->spread[o], moments[o].mean, sm_moments_sd(&moments[o]));
}

static void merge(const sm_formula *f, sm_formula_result *r, const sm_formula_result *part)
{
    r->n += part->n;
    for (int e = 0; e < SM_FORMULA_EVENTS; e++)
        r->event[e] += part->event[e];
    for (int o = 0; o < f->n_outputs; o++)
        sm_spread_merge(&r->spread[o], &part->spread[o]);
}

/* Cut into tasks that are merged in order, as the run of a case is. */
static void run(const sm_formula *f, workspace *w, uint64_t seed, int64_t trials, sm_formula_result *r)
{
    sm_moments moments[SM_FORMULA_OUTPUTS] = {{.n = 0}};
    find_ranges(f, w, seed, moments);
    clear(f, moments, r);
    clear(f, moments, &w->part);
    for (int64_t done = 0, block = 0; done < trials; block++) {
        draw_block(f, w, seed, SM_FOR_RUN, (uint32_t)block);
        for (int g = 0; g < GROUPS && done < trials; g++, done += SM_LANES) {
            evaluate_group(f, w, g);
            add_group(f, w, &w->part);
        }
        if (block % SM_TASK_BLOCKS == SM_TASK_BLOCKS - 1 || done >= trials) {
            merge(f, r, &w->part);
            clear(f, moments, &w->part);
        }
    }
}

sm_status sm_formula_run(const sm_formula *f, uint64_t seed, int64_t trials, sm_formula_result **out)
{
    workspace *w;
    sm_status s = workspace_create(f, &w);
    *out = s == SM_OK ? malloc(sizeof **out) : NULL;
    if (s == SM_OK && !*out)
        s = SM_NO_MEMORY;
    if (s == SM_OK)
        run(f, w, seed, trials, *out);
    workspace_destroy(w);
    return s;
}

/* 4. Indices */

/* Two samples, drawn as sensitivity.c draws them, and the sums of one input after another. */
typedef struct {
    workspace *own, *other;
    double f_A[SM_LANES], kept[SM_LANES];
    sm_moments f[SM_BATCHES];
    sm_sobol_sums sums[SM_FORMULA_INPUTS][SM_BATCHES];
} two_samples;

static void add_indices(const sm_formula *f, two_samples *s, int g, int batch)
{
    evaluate_group(f, s->own, g);
    evaluate_group(f, s->other, g);
    memcpy(s->f_A, s->own->columns.y[0], sizeof s->f_A);
    const double *f_B = s->other->columns.y[0];
    sm_moments_add(&s->f[batch], s->f_A, SM_LANES);
    sm_moments_add(&s->f[batch], f_B, SM_LANES);
    for (int i = 0; i < f->n_inputs; i++) {
        double *x = s->own->columns.x[i];
        memcpy(s->kept, x, sizeof s->kept);
        memcpy(x, s->other->columns.x[i], sizeof s->kept);
        f->evaluate(f->constant, &s->own->columns);
        sm_sobol_add(&s->sums[i][batch], s->f_A, f_B, s->own->columns.y[0], SM_LANES);
        memcpy(x, s->kept, sizeof s->kept);
    }
}

static void redraw(const sm_formula *f, two_samples *s, uint64_t seed, int64_t blocks)
{
    for (int64_t block = 0; block < blocks * SM_BATCHES; block++) {
        draw_block(f, s->own, seed, SM_FOR_RUN, (uint32_t)block);
        draw_block(f, s->other, seed, SM_FOR_REDRAW, (uint32_t)block);
        for (int g = 0; g < GROUPS; g++)
            add_indices(f, s, g, (int)(block / blocks));
    }
}

sm_status sm_formula_indices(const sm_formula *f, uint64_t seed, int64_t trials, sm_sobol *index)
{
    const int64_t per_batch = SM_BLOCK * (int64_t)SM_BATCHES;
    two_samples *two = calloc(1, sizeof *two);
    sm_status s = two ? workspace_create(f, &two->own) : SM_NO_MEMORY;
    if (s == SM_OK)
        s = workspace_create(f, &two->other);
    if (s == SM_OK)
        redraw(f, two, seed, (trials + per_batch - 1) / per_batch);
    for (int i = 0; s == SM_OK && i < f->n_inputs; i++)
        index[i] = sm_sobol_of(two->sums[i], two->f);
    if (two) {
        workspace_destroy(two->own);
        workspace_destroy(two->other);
    }
    free(two);
    return s;
}

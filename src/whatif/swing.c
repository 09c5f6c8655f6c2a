/* swing.c - how far the answer moves when an assumption takes the ends of its range.
 *
 * Contents: 1. what moves as one  2. one assumption at a time  3. all of grade judgement together  4. the whole
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "whatif/swing.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "whatif/overrides.h"

/* 1. What moves as one */

typedef struct {
    const sm_casefile *file;
    const sm_assumption *assumption;
    int n_assumptions;
    sm_run_context context;
} swing_task;

/* A default number with a range. A default distribution is drawn: it shows as a share of the variance instead. */
static bool swings(const sm_assumption *a)
{
    return a->origin == SM_FROM_DEFAULT && a->has_range && a->value.kind == SM_DATUM_NUMBER;
}

/* What moves as one: the same default on every side, and the two SDs of a reading, which come from one total. key names
 * it: the path without the side, with the first SD for both. */
#define FIRST_SD  "between_reader_sd_mm"
#define SECOND_SD "repeat_sd_mm"
enum { KEY_SIZE = 160 };

static void key_of(const sm_assumption *a, char key[KEY_SIZE])
{
    static const char coronaries[] = "/coronaries/";
    const char *rest = a->path, *last = strrchr(a->path, '/');
    if (strncmp(rest, coronaries, strlen(coronaries)) == 0)
        rest = strchr(rest + strlen(coronaries), '/');
    if (!rest || !last || last < rest)
        rest = last = a->path;
    const char *name = strcmp(last, "/" SECOND_SD) == 0 ? "/" FIRST_SD : last;
    snprintf(key, KEY_SIZE, "%.*s%s", (int)(last - rest), rest, name);
}

static bool move_as_one(const sm_assumption *a, const sm_assumption *b)
{
    char key_a[KEY_SIZE], key_b[KEY_SIZE];
    key_of(a, key_a);
    key_of(b, key_b);
    return strcmp(key_a, key_b) == 0;
}

/* The first of those that move as one with i: it stands for all of them. */
static int leader_of(const swing_task *g, int i)
{
    for (int j = 0; j < i; j++)
        if (swings(&g->assumption[j]) && move_as_one(&g->assumption[i], &g->assumption[j]))
            return j;
    return i;
}

/* Puts leader i, and all that move with it, at their high (or low) ends. */
static void add_end(const swing_task *g, int i, bool high, sm_overrides *o)
{
    for (int j = i; j < g->n_assumptions; j++) {
        const sm_assumption *a = &g->assumption[j];
        if (swings(a) && move_as_one(&g->assumption[i], a))
            sm_overrides_add_number(o, a->path, "", high ? a->high : a->low);
    }
}

/* 2. One assumption at a time */

/* Versions 2 i and 2 i + 1: leader i at its low and its high end. */
static sm_status make_end(void *self, int i, sm_diag *d, sm_casefile **out)
{
    const swing_task *g = self;
    const int leader = i / 2;
    sm_overrides o = {0};
    if (!swings(&g->assumption[leader]) || leader_of(g, leader) != leader)
        return SM_OK;
    add_end(g, leader, i % 2 == 1, &o);
    sm_status s = sm_overrides_vary(g->file, &o, d, out);
    sm_overrides_destroy(&o);
    return s;
}

static sm_status swing_each(swing_task *g, sm_swings *out)
{
    sm_versions v = {0};
    sm_version_results found = {0};
    sm_status s = sm_versions_make(2 * g->n_assumptions, make_end, g, g->context.watch, &v);
    for (int i = 0; s == SM_OK && i < g->n_assumptions; i++)
        if (!sm_versions_whole(&v, 2 * i, 2))
            sm_versions_drop(&v, 2 * i, 2);
    if (s == SM_OK)
        s = sm_versions_run(g->file, &v, g->context, NULL, &found);
    for (int i = 0; s == SM_OK && i < g->n_assumptions; i++)
        if (v.file[2 * i])
            out->swing[i] = (sm_swing){true, sm_variant_of(&found.at[2 * i]), sm_variant_of(&found.at[2 * i + 1])};
    out->base = found.own;
    sm_version_results_destroy(&found);
    sm_versions_destroy(&v);
    return s;
}

/* 3. All of grade judgement together */

static bool is_judgement(const swing_task *g, const sm_swings *s, int i)
{
    return s->swing[i].applies && g->assumption[i].grade == SM_JUDGEMENT;
}

typedef struct {
    const swing_task *g;
    const sm_swings *each;
} judgements;

/* Version 0 (or 1): every judgement value at the end that lowers (or raises) the probability. */
static sm_status make_together(void *self, int end, sm_diag *d, sm_casefile **out)
{
    const judgements *j = self;
    sm_overrides o = {0};
    for (int i = 0; i < j->g->n_assumptions; i++)
        if (is_judgement(j->g, j->each, i)) {
            const sm_swing *w = &j->each->swing[i];
            const bool high_raises = w->high.difference.value >= w->low.difference.value;
            add_end(j->g, i, high_raises == (end == 1), &o);
        }
    sm_status s = o.n > 0 || o.failed ? sm_overrides_vary(j->g->file, &o, d, out) : SM_OK;
    sm_overrides_destroy(&o);
    return s;
}

static void find_largest(const swing_task *g, sm_swings *s)
{
    double largest = 0;
    s->largest = -1;
    for (int i = 0; i < g->n_assumptions; i++) {
        double width = fabs(s->swing[i].high.difference.value - s->swing[i].low.difference.value);
        if (is_judgement(g, s, i) && width > largest) {
            largest = width;
            s->largest = i;
        }
    }
}

static sm_status swing_together(const swing_task *g, sm_swings *out)
{
    judgements j = {g, out};
    sm_versions v = {0};
    sm_version_results found = {0};
    sm_status s = sm_versions_make(2, make_together, &j, (sm_watch){0}, &v);
    const bool both = s == SM_OK && sm_versions_whole(&v, 0, 2);
    if (both)
        s = sm_versions_run(g->file, &v, g->context, NULL, &found);
    if (both && s == SM_OK) {
        out->any_judgement = true;
        out->lowest = sm_variant_of(&found.at[0]);
        out->highest = sm_variant_of(&found.at[1]);
    }
    sm_version_results_destroy(&found);
    sm_versions_destroy(&v);
    return s;
}

/* 4. The whole */

sm_status sm_swings_run(const sm_casefile *f, sm_run_context context, sm_swings *out)
{
    swing_task g = {.file = f, .context = context};
    g.n_assumptions = (int)sm_casefile_assumptions(f, &g.assumption);
    *out = (sm_swings){.n_assumptions = g.n_assumptions, .largest = -1};
    out->swing = calloc((size_t)g.n_assumptions + 1, sizeof *out->swing);
    sm_status s = out->swing ? swing_each(&g, out) : SM_NO_MEMORY;
    if (s == SM_OK) {
        find_largest(&g, out);
        s = swing_together(&g, out);
    }
    if (s != SM_OK)
        sm_swings_destroy(out);
    return s;
}

void sm_swings_destroy(sm_swings *s)
{
    free(s->swing);
    *s = (sm_swings){0};
}

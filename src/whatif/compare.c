/* compare.c - two cases on the same draws.
 *
 * Contents: 1. the old case with each difference  2. what each does  3. the comparison
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "whatif/compare.h"

#include <stdlib.h>

#include "whatif/versions.h"

/* 1. The old case with each difference */

typedef struct {
    const sm_casefile *old, *now;
    const sm_differences *differences;
    sm_diag *d; /* why there is no case with all of them */
} taking;

/* Version i has difference i alone, if that can move anything; the last has all of them. */
static sm_status make_version(void *self, int i, sm_diag *unheard, sm_casefile **out)
{
    const taking *t = self;
    if (i == t->differences->n)
        return sm_difference_apply(t->old, t->now, t->differences, -1, t->d, out);
    if (t->differences->at[i].kind != SM_DIFFERS_ANSWER)
        return SM_OK;
    return sm_difference_apply(t->old, t->now, t->differences, i, unheard, out);
}

static sm_status make_versions(taking *t, sm_versions *v)
{
    const int n = t->differences->n;
    sm_status s = sm_versions_make(n + 1, make_version, t, (sm_watch){0}, v);
    return s == SM_OK && !v->file[n] ? SM_REFUSED : s;
}

/* 2. What each does */

static sm_alone alone_of(const sm_difference *x, const sm_version *v, const sm_assessment *old,
                         const sm_assessment *now)
{
    const double line = x->kind == SM_DIFFERS_LINE ? now->decision.action_line : old->decision.action_line;
    sm_alone a = {.stands_alone = true,
                  .event = v ? v->patient.event : old->patient.event,
                  .difference = v ? v->difference : (sm_estimate){0, 0}};
    a.call = sm_call_of(a.event.low, a.event.high, line);
    return a;
}

/* Errors of differences on the same draws are correlated in an unknown way: their sum is the most that they can make
 * together. */
static void take_left(const sm_compare *c, sm_estimate *left)
{
    *left = c->moved;
    int moving = 0;
    for (int i = 0; i < c->differences.n; i++) {
        const sm_alone *a = &c->alone[i];
        if (!a->stands_alone || c->differences.at[i].kind != SM_DIFFERS_ANSWER)
            continue;
        left->value -= a->difference.value;
        left->standard_error += a->difference.standard_error;
        moving++;
    }
    bool all_stand = true;
    for (int i = 0; i < c->differences.n; i++)
        all_stand = all_stand && c->alone[i].stands_alone;
    if (moving <= 1 && all_stand) /* what one does alone is all that was done */
        *left = (sm_estimate){0, 0};
}

static sm_status take(const sm_versions *v, const sm_version_results *found, sm_compare *out)
{
    out->alone = calloc((size_t)v->n, sizeof *out->alone);
    if (!out->alone)
        return SM_NO_MEMORY;
    for (int i = 0; i < out->differences.n; i++) {
        const sm_difference *x = &out->differences.at[i];
        if (v->file[i] || x->kind != SM_DIFFERS_ANSWER)
            out->alone[i] = alone_of(x, v->file[i] ? &found->at[i] : NULL, &out->old, &out->now);
    }
    out->moved = found->at[out->differences.n].difference;
    take_left(out, &out->left);
    return SM_OK;
}

/* 3. The comparison */

static void keep_old(sm_compare *c)
{
    sm_assessment known = sm_assessment_take_unfinished(&c->old);
    sm_compare_destroy(c);
    c->old = known;
}

sm_status sm_compare_run(const sm_casefile *old, const sm_casefile *now, sm_run_context context, sm_diag *d,
                         sm_compare *out)
{
    taking t = {old, now, &out->differences, d};
    sm_versions v = {0};
    sm_version_results found = {0};
    *out = (sm_compare){0};
    sm_status s = sm_differences_find(old, now, d, &out->differences);
    if (s == SM_OK)
        s = make_versions(&t, &v);
    if (s == SM_OK)
        s = sm_versions_run(old, &v, context, &out->old, &found);
    if (s == SM_OK)
        s = sm_assess(sm_casefile_case(now), context, &out->now);
    if (s == SM_OK)
        s = take(&v, &found, out);
    sm_version_results_destroy(&found);
    sm_versions_destroy(&v);
    if (s == SM_INTERRUPTED)
        keep_old(out);
    else if (s != SM_OK)
        sm_compare_destroy(out);
    return s;
}

void sm_compare_destroy(sm_compare *c)
{
    sm_assessment_destroy(&c->old);
    sm_assessment_destroy(&c->now);
    sm_differences_destroy(&c->differences);
    free(c->alone);
    *c = (sm_compare){0};
}

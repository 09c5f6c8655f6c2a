/* compare.c - two cases on the same draws.
 *
 * Contents: 1. the old case with each difference  2. what each does  3. the comparison
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "whatif/compare.h"

#include <stdlib.h>

#include "measurement/look.h"
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

/* The looks of an assessment, held against a line that may be another than its own. */
static bool are_opposed(const sm_assessment *a, double line)
{
    for (int l = 0; l < a->n_looks; l++)
        if (sm_look_opposed(&a->look[l], line))
            return true;
    return false;
}

/* looked: the assessment whose looks speak for this version. */
static sm_alone alone_of(const sm_difference *x, const sm_version *v, const sm_assessment *looked, const sm_compare *c)
{
    const double line = x->kind == SM_DIFFERS_LINE ? c->now.decision.action_line : c->old.decision.action_line;
    sm_alone a = {.stands_alone = true,
                  .event = v ? v->patient.event : c->old.patient.event,
                  .difference = v ? v->difference : (sm_estimate){0, 0}};
    a.call = sm_call_of(a.event.low, a.event.high, line);
    a.reason = a.call == SM_CALL_UNRESOLVED ? SM_REASON_MONTE_CARLO : SM_REASON_NONE;
    if (a.call != SM_CALL_NONE && are_opposed(looked, line)) {
        a.call = SM_CALL_UNRESOLVED;
        a.reason = SM_REASON_LOOKS_OPPOSED;
    }
    return a;
}

static bool has_looks(const sm_case *c)
{
    for (int at = 0; at < SM_LOOKED; at++)
        for (size_t k = 0; k < (at < SM_LOOKED_OF_SIDE ? c->n_coronaries : 1); k++)
            if (sm_looked_quantity(c, (int)k, (sm_looked)at)->cross_check.present)
                return true;
    return false;
}

/* What one difference does alone. Only the first root of a plan counts what each look alone says: a version that has
 * looks is assessed by itself, on the same draws. */
static sm_status take_one(const sm_versions *v, const sm_version_results *found, int i, sm_run_context context,
                          sm_compare *out)
{
    const sm_difference *x = &out->differences.at[i];
    sm_assessment own = {0};
    sm_status s = SM_OK;
    if (!v->file[i] && x->kind == SM_DIFFERS_ANSWER)
        return SM_OK; /* it cannot stand alone */
    if (!v->file[i])
        out->alone[i] = alone_of(x, NULL, &out->old, out);
    else {
        const sm_case *c = sm_casefile_case(v->file[i]);
        if (c->action_line > 0 && has_looks(c))
            s = sm_assess(c, context, &own);
        out->alone[i] = alone_of(x, &found->at[i], &own, out);
    }
    sm_assessment_destroy(&own);
    return s;
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

static sm_status take(const sm_versions *v, const sm_version_results *found, sm_run_context context, sm_compare *out)
{
    out->alone = calloc((size_t)v->n, sizeof *out->alone);
    sm_status s = out->alone ? SM_OK : SM_NO_MEMORY;
    for (int i = 0; s == SM_OK && i < out->differences.n; i++)
        s = take_one(v, found, i, context, out);
    if (s != SM_OK)
        return s;
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
        s = take(&v, &found, context, out);
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

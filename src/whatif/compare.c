/* compare.c - two cases on the same draws.
 *
 * Contents: 1. the old case with each difference  2. what each does  3. the comparison
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "whatif/compare.h"

#include <stdlib.h>

/* 1. The old case with each difference */

/* file[i]: with difference i alone; the last: with all of them. Those that make no case, or can move nothing, are NULL.
 */
typedef struct {
    int n;
    sm_casefile **file;
    const sm_case **c; /* packed */
    int n_cases;
    int *place; /* of file[i] in c, -1 */
} versions;

static sm_status add_version(versions *v, int i, sm_status applied)
{
    if (applied == SM_OK) {
        v->place[i] = v->n_cases;
        v->c[v->n_cases++] = sm_casefile_case(v->file[i]);
    }
    return applied;
}

static sm_status make_versions(const sm_casefile *old, const sm_casefile *now, const sm_differences *s, sm_diag *d,
                               versions *v)
{
    *v = (versions){.n = s->n + 1};
    v->file = calloc((size_t)v->n, sizeof *v->file);
    v->c = calloc((size_t)v->n, sizeof *v->c);
    v->place = calloc((size_t)v->n, sizeof *v->place);
    sm_status status = v->file && v->c && v->place ? SM_OK : SM_NO_MEMORY;
    for (int i = 0; status == SM_OK && i < s->n; i++) {
        sm_diag unused = {0};
        v->place[i] = -1;
        if (s->at[i].kind == SM_DIFFERS_ANSWER)
            status = add_version(v, i, sm_difference_apply(old, now, s, i, &unused, &v->file[i]));
        status = status == SM_REFUSED ? SM_OK : status;
        sm_diag_destroy(&unused);
    }
    return status == SM_OK ? add_version(v, s->n, sm_difference_apply(old, now, s, -1, d, &v->file[s->n])) : status;
}

static void destroy_versions(versions *v)
{
    for (int i = 0; v->file && i < v->n; i++)
        sm_casefile_destroy(v->file[i]);
    free(v->file);
    free(v->c);
    free(v->place);
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

static sm_status take(const versions *v, const sm_versions *found, sm_compare *out)
{
    out->alone = calloc((size_t)v->n, sizeof *out->alone);
    if (!out->alone)
        return SM_NO_MEMORY;
    for (int i = 0; i < out->differences.n; i++) {
        const sm_difference *x = &out->differences.at[i];
        if (v->place[i] >= 0 || x->kind != SM_DIFFERS_ANSWER)
            out->alone[i] = alone_of(x, v->place[i] >= 0 ? &found->at[v->place[i]] : NULL, &out->old, &out->now);
    }
    out->moved = found->at[v->place[v->n - 1]].difference;
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
    versions v = {0};
    sm_versions found = {0};
    *out = (sm_compare){0};
    sm_status s = sm_differences_find(old, now, d, &out->differences);
    if (s == SM_OK)
        s = make_versions(old, now, &out->differences, d, &v);
    if (s == SM_OK)
        s = sm_assess_versions(sm_casefile_case(old), v.c, v.n_cases, context, &out->old, &found);
    if (s == SM_OK)
        s = sm_assess(sm_casefile_case(now), context, &out->now);
    if (s == SM_OK)
        s = take(&v, &found, out);
    sm_versions_destroy(&found);
    destroy_versions(&v);
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

/* beside.c - how versions of a case differ from it, from few sharp points that all of them share.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "whatif/beside.h"

sm_status sm_beside_create(const sm_case *c, sm_run_context context, sm_beside *out)
{
    *out = (sm_beside){.gains = false};
    sm_status s = sm_plan_create_brief(c, context.seed, &out->plan);
    if (s != SM_OK)
        return s;
    out->gains = !sm_plan_weighs(&out->plan);
    return out->gains ? sm_sharp_axes_create(&out->plan, &out->axes) : SM_OK;
}

void sm_beside_destroy(sm_beside *b)
{
    sm_sharp_axes_destroy(&b->axes);
    sm_plan_destroy(&b->plan);
    *b = (sm_beside){.gains = false};
}

/* The versions that are there follow the case as the roots of the plan. */
static sm_status add_versions(const sm_versions *v, sm_plan *p)
{
    sm_status s = SM_OK;
    for (int i = 0; s == SM_OK && i < v->n; i++)
        if (v->file[i])
            s = sm_plan_add(p, &(sm_root_request){.c = sm_casefile_case(v->file[i])}, NULL);
    return s;
}

static void take_variants(const sm_sharp *found, const sm_versions *v, sm_variant *out)
{
    const sm_task_series own = sm_sharp_event(found, 0, SM_SHARED);
    for (int i = 0, root = 0; i < v->n; i++) {
        if (!v->file[i])
            continue;
        const sm_task_series event = sm_sharp_event(found, ++root, SM_SHARED);
        out[i] = (sm_variant){sm_task_means_probability(event), sm_task_means_difference(event, own)};
    }
}

sm_status sm_beside_run(const sm_beside *b, const sm_versions *v, sm_sharp_size size, sm_variant *out)
{
    sm_plan p;
    sm_sharp found = {.sums = NULL};
    sm_status s = sm_plan_create_beside(&b->plan, &p);
    if (s != SM_OK)
        return s;
    s = add_versions(v, &p);
    if (s == SM_OK)
        s = sm_sharp_run_beside(&p, size, &b->axes, (sm_run_context){.trials = 0}, &found);
    if (s == SM_OK)
        take_variants(&found, v, out);
    sm_sharp_destroy(&found);
    sm_plan_destroy(&p);
    return s;
}

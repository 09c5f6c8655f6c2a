/* variants.c - other versions of a case on the same draws, compared with it trial by trial.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "engine/variants.h"

#include <math.h>

sm_estimate sm_paired_difference(int64_t gained, int64_t lost, int64_t n)
{
    double N = (double)n, d = (double)(gained - lost) / N;
    return (sm_estimate){d, sqrt(fmax(0, (double)(gained + lost) / N - d * d) / N)};
}

static sm_status run_plan(const sm_plan *p, sm_run_context context, sm_probability *base, sm_variant *out)
{
    sm_gathered g;
    sm_status s = sm_gathered_create_counts(p, p->n_roots, &g);
    if (s != SM_OK)
        return s;
    s = sm_run(p, sm_run_context_auxiliary(context, context.trials), &g);
    *base = sm_probability_of(g.tally[0].patient.event, g.n);
    for (int i = 1; i < g.n_roots; i++) {
        const sm_tally *t = &g.tally[i];
        out[i - 1] =
            (sm_variant){sm_probability_of(t->patient.event, g.n), sm_paired_difference(t->gained, t->lost, g.n)};
    }
    sm_gathered_destroy(&g);
    return s;
}

sm_status sm_variants_run(const sm_case *c, const sm_case *const *variant, int n, sm_run_context context,
                          sm_probability *base, sm_variant *out)
{
    sm_plan p;
    sm_status s = sm_plan_create(c, context.seed, &p);
    if (s != SM_OK)
        return s;
    for (int i = 0; s == SM_OK && i < n; i++)
        s = sm_plan_add(&p, &(sm_root_request){.c = variant[i]}, NULL);
    if (s == SM_OK)
        s = run_plan(&p, context, base, out);
    sm_plan_destroy(&p);
    return s;
}

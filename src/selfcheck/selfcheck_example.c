/* selfcheck_example.c - runs a published example and puts what it gave beside what it ought to give.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "selfcheck/selfcheck_example.h"

#include <stdlib.h>

static void check_answer(const sm_answer *a, const sm_formula_result *r, sm_checks *t)
{
    switch (a->ask) {
    case SM_ASK_MEAN:
        sm_checks_mean(t, a->name, r, a->of, a->expected, a->widest);
        break;
    case SM_ASK_SD:
        sm_checks_sd(t, a->name, r, a->of, a->expected, a->widest);
        break;
    case SM_ASK_POINT:
        sm_checks_quantile(t, a->name, r, a->of, a->p, a->expected, a->widest);
        break;
    case SM_ASK_SHORTEST_LOW:
        sm_checks_shortest(t, a->name, r, a->of, 0, a->expected, a->widest);
        break;
    case SM_ASK_SHORTEST_HIGH:
        sm_checks_shortest(t, a->name, r, a->of, 1, a->expected, a->widest);
        break;
    case SM_ASK_SHORTEST_LENGTH:
        sm_checks_shortest_length(t, a->name, r, a->of, a->expected, a->widest);
        break;
    case SM_ASK_EVENT:
        sm_checks_event(t, a->name, r, a->of, a->expected);
        break;
    case SM_ASK_SHARE:
        sm_checks_share(t, a->name, r, a->of, a->given, a->expected);
        break;
    case SM_ASK_FIRST:
    case SM_ASK_TOTAL:
    case SM_ASK_END:
        break;
    }
}

static bool asks_for_indices(const sm_example *e)
{
    return e->answer[0].ask == SM_ASK_FIRST || e->answer[0].ask == SM_ASK_TOTAL;
}

static sm_status check_outputs(const sm_example *e, const sm_selfcheck_size *size, sm_checks *t)
{
    sm_formula_result *r;
    sm_status s = sm_formula_run(&e->formula, size->seed, size->trials, &r);
    for (int i = 0; s == SM_OK && i < SM_EXAMPLE_ANSWERS && e->answer[i].ask != SM_ASK_END; i++)
        check_answer(&e->answer[i], r, t);
    free(r);
    return s;
}

static sm_status check_indices(const sm_example *e, const sm_selfcheck_size *size, sm_checks *t)
{
    sm_sobol index[SM_FORMULA_INPUTS];
    sm_status s = sm_formula_indices(&e->formula, size->seed, size->trials, index);
    for (int i = 0; s == SM_OK && i < SM_EXAMPLE_ANSWERS && e->answer[i].ask != SM_ASK_END; i++) {
        const sm_answer *a = &e->answer[i];
        const sm_estimate *got = a->ask == SM_ASK_FIRST ? &index[a->of].first : &index[a->of].total;
        sm_checks_simulated(t, a->name, a->expected, got->value, got->standard_error, a->widest);
    }
    return s;
}

void sm_selfcheck_example(const sm_example *e, const sm_selfcheck_size *size, sm_checks *t)
{
    sm_checks_group(t, e->title, e->source, e->seen);
    sm_status s = asks_for_indices(e) ? check_indices(e, size, t) : check_outputs(e, size, t);
    if (t->status == SM_OK)
        t->status = s;
}

/* selfcheck.c - published examples asked of this program.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "selfcheck/selfcheck.h"

#include <stdlib.h>

#include "selfcheck/selfcheck_groups.h"

typedef void (*fill_group)(const sm_selfcheck_size *size, sm_checks *t);

#define SM_SELFCHECK_FILL(group) sm_selfcheck_##group,
static const fill_group groups[] = {SM_SELFCHECK_GROUPS(SM_SELFCHECK_FILL)};
enum { GROUPS = sizeof groups / sizeof *groups };

sm_formula_result *sm_selfcheck_formula(const sm_formula *f, const sm_selfcheck_size *size, sm_checks *t)
{
    sm_formula_result *r;
    sm_status s = sm_formula_run(f, size->seed, size->trials, &r);
    if (s != SM_OK && t->status == SM_OK)
        t->status = s;
    return r;
}

/* Each part and each example fills a table of its own, so that they may run side by side. */
typedef struct {
    sm_selfcheck_size size;
    sm_checks *part;
} work;

/* The examples of all tables in one row. */
static const sm_example *example_at(int i)
{
    if (i < sm_n_examples_of_propagation)
        return &sm_examples_of_propagation[i];
    i -= sm_n_examples_of_propagation;
    if (i < sm_n_examples_of_probability)
        return &sm_examples_of_probability[i];
    return &sm_examples_of_sensitivity[i - sm_n_examples_of_probability];
}

static void run_part(void *arg, int i)
{
    work *w = arg;
    if (i < GROUPS)
        groups[i](&w->size, &w->part[i]);
    else
        sm_selfcheck_example(example_at(i - GROUPS), &w->size, &w->part[i]);
}

sm_status sm_selfcheck_run(sm_run_context context, sm_checks *out)
{
    const int n = GROUPS + sm_n_examples_of_propagation + sm_n_examples_of_probability + sm_n_examples_of_sensitivity;
    work w = {.size = {context.seed, context.trials}, .part = calloc((size_t)n, sizeof *w.part)};
    *out = (sm_checks){0};
    if (!w.part)
        return SM_NO_MEMORY;
    sm_executor_run(context.executor, n, run_part, &w);
    for (int i = 0; i < n; i++) {
        sm_checks_append(out, &w.part[i]);
        sm_checks_destroy(&w.part[i]);
    }
    free(w.part);
    return out->status;
}

/* selfcheck.c - published examples asked of this program.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "analysis/selfcheck.h"

#include <stdlib.h>

#include "analysis/selfcheck_groups.h"

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

/* Each group fills a table of its own, so that groups may run side by side. */
typedef struct {
    sm_selfcheck_size size;
    sm_checks part[GROUPS];
} work;

static void run_group(void *arg, int i)
{
    work *w = arg;
    groups[i](&w->size, &w->part[i]);
}

sm_status sm_selfcheck_run(uint64_t seed, int64_t trials, const sm_executor *executor, sm_checks *out)
{
    work w = {.size = {seed, trials}};
    *out = (sm_checks){0};
    executor->run(executor->self, GROUPS, run_group, &w);
    for (int i = 0; i < GROUPS; i++) {
        sm_checks_append(out, &w.part[i]);
        sm_checks_destroy(&w.part[i]);
    }
    return out->status;
}

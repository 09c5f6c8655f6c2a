/* report_help.h - what a report tells of, from a case's text.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_TESTS_REPORT_HELP_H
#define SM_TESTS_REPORT_HELP_H

#include "casefile_help.h"
#include "report/figures/figure.h"

/* All that a report needs, from a case's text, at few trials. */
typedef struct {
    outcome o;
    sm_recheck recheck;
    sm_settings settings;
    sm_portrait portrait;
    sm_weigh weigh;
    sm_published context;
    sm_findings f;
} report;

static inline void report_make(report *r, const char *text)
{
    const sm_run_context context = {.trials = 32768, .seed = 3};
    const sm_recheck_options options = {.redraws = 32768, .nested = 1024};
    *r = (report){.o = read_text(text)};
    if (!r->o.c)
        fprintf(stderr, "%s\n", r->o.messages.s);
    assert_non_null(r->o.c);
    assert_int_equal(sm_recheck_run(r->o.c, &options, context, &r->recheck), SM_OK);
    assert_int_equal(sm_settings_run(r->o.file, &r->recheck.assessment, context, &r->settings), SM_OK);
    assert_int_equal(sm_portrait_run(r->o.c, 3, &r->portrait), SM_OK);
    if (r->o.c->n_alternatives > 0)
        assert_int_equal(sm_weigh_run(r->o.c, 0, context, &r->weigh), SM_OK);
    sm_published_of(r->o.c, &r->context);
    r->f = (sm_findings){.result = sm_result_of(r->o.file, &r->o.diag, &r->recheck.assessment),
                         .recheck = &r->recheck,
                         .portrait = &r->portrait,
                         .weigh = r->o.c->n_alternatives > 0 ? &r->weigh : NULL,
                         .context = r->o.c->n_alternatives > 0 ? &r->context : NULL};
    r->f.result.settings = &r->settings;
}

static inline void report_destroy(report *r)
{
    sm_recheck_destroy(&r->recheck);
    sm_settings_destroy(&r->settings);
    sm_portrait_destroy(&r->portrait);
    sm_weigh_destroy(&r->weigh);
    outcome_destroy(&r->o);
}

#endif

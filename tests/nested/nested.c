/* nested.c - the worth of every re-check against brute force: make nested.
 *
 * For each case named on the command line, and each reducible source that varies: the value that `recheck` gives, and
 * the same by nested Monte Carlo (4,096 outer by 1,024 inner trials). Exit status 0 if every pair lies within 3
 * combined standard errors (and what 4,096 trials cannot see) and every brute-force standard error is at most 0.002.
 * Second looks move the draws that they bear on: to hold such a draw is not to know what it stands for, so that those
 * sources are passed over. Their part in the worth of all together is held to by test_looks.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <gsl/gsl_errno.h>

#include "decision/nested.h"
#include "decision/worth.h"
#include "casefile/casefile.h"
#include "cli/files.h"

enum { OUTER = 4096 };

static bool is_source(const void *self, const sm_sources *s, int column)
{
    return s->column[column].source == *(const int *)self;
}

/* Whether the second looks move a column. */
static bool is_moved(const sm_steering *s, int column)
{
    bool moved = column == s->scale || column == s->choice;
    for (int j = 0; j < 3; j++)
        moved = moved || column == s->frame.normal[j];
    for (int j = 0; j < 2; j++)
        moved = moved || column == s->frame.centreline[j];
    for (int l = 0; l < s->n; l++)
        moved = moved || column == s->look[l].first.error.column || column == s->look[l].view;
    return s->n > 0 && moved;
}

/* Whether holding what a source draws is knowing it. */
static bool is_held(const sm_plan *p, int source)
{
    for (int j = 0; j < p->sources.n_columns; j++)
        if (p->sources.column[j].source == source && is_moved(&p->root[0].steering, j))
            return false;
    return true;
}

static int compare_source(const sm_plan *p, const sm_worths *w, int source, double q)
{
    const sm_nested_request request = {.known = is_source, .self = &source, .q = q, .inner = 1024};
    const sm_estimate value = w->source[source].perfect.value;
    sm_estimate cost;
    if (sm_nested_run(p, &request, (sm_run_context){.trials = OUTER}, &cost) != SM_OK)
        return 1;
    double nested = fmax(0, fmin(w->event.probability, q) - cost.value),
           error = hypot(value.standard_error, cost.standard_error);
    /* by the rule of three: what happens in fewer than 3 of the outer trials, and spares at most q each time */
    const double unseen = 3.0 / OUTER * q;
    /* a value is never negative: what brute force finds below 0 is its own error */
    bool agree = fabs(value.value - nested) <= 3 * error + unseen && cost.standard_error <= 0.002;
    printf("  %-28s %8.5f +-%.5f   nested %8.5f +-%.5f   %s\n", p->sources.source[source].name, value.value,
           value.standard_error, nested, cost.standard_error, agree ? "agrees" : "DIFFERS");
    fflush(stdout);
    return agree ? 0 : 1;
}

static int compare_case(const sm_case *c)
{
    sm_plan p;
    sm_worths w;
    int bad = 0;
    if (sm_plan_create(c, 5, &p) != SM_OK ||
        sm_worth_run(&p, c->action_line, 1024, (sm_run_context){.trials = 1000000}, &w) != SM_OK)
        return 1;
    printf("%s: P = %.4f, line %.2f\n", c->name, w.event.probability, c->action_line);
    for (int i = 0; i < w.n_sources; i++)
        if (w.source[i].varies && is_held(&p, i))
            bad += compare_source(&p, &w, i, c->action_line);
    sm_worths_destroy(&w);
    sm_plan_destroy(&p);
    return bad;
}

static int compare_file(const char *path)
{
    sm_text text = {0}, profile = {0};
    sm_diag d = {0};
    sm_casefile *f = NULL;
    if (sm_file_read(path, &text, &d) != SM_OK)
        return 1;
    char *name;
    bool ok = sm_casefile_profile_path((sm_file_text){path, text.s, text.len}, &name) == SM_OK;
    char *beside = name ? sm_file_beside(path, name) : NULL;
    ok = ok && !name == !beside && (!beside || sm_file_read(beside, &profile, &d) == SM_OK);
    ok = ok && sm_casefile_read((sm_file_text){path, text.s, text.len}, (sm_file_text){beside, profile.s, profile.len},
                                NULL, 0, &d, &f) == SM_OK;
    int bad = ok ? compare_case(sm_casefile_case(f)) : 1;
    sm_casefile_destroy(f);
    sm_text_destroy(&text);
    sm_text_destroy(&profile);
    sm_diag_destroy(&d);
    free(name);
    free(beside);
    return bad;
}

int main(int argc, char **argv)
{
    int bad = 0;
    gsl_set_error_handler_off();
    for (int i = 1; i < argc; i++)
        bad += compare_file(argv[i]);
    printf("%d differ\n", bad);
    return bad == 0 && argc > 1 ? 0 : 1;
}

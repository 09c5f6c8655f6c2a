/* choice.h - which re-check could change the choice among several things that may be done.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_DECISION_CHOICE_H
#define SM_DECISION_CHOICE_H

#include "engine/plan.h"
#include "decision/policy.h"
#include "engine/run.h"

/* A perfect re-check of one reducible source: what it would spare, in untreated events, and how often another action
 * would be chosen. */
typedef struct {
    char source[SM_SOURCE_NAME_SIZE];
    sm_worth worth;
} sm_choice_item;

/* The first n_roots roots of the plan are what may be done; each costs its burden and 1 if an unrescued event
 * follows. */
typedef struct {
    int n_roots, now;     /* now: the root that is chosen without a re-check */
    const double *burden; /* by root */
} sm_choice_request;

/* A reducible source that root `root` draws and the case as planned does not: what an alternative makes of the valve (a
 * diameter after the ring was cracked) shows only once it is done, so that no re-check beforehand has a worth for it.
 */
typedef struct {
    char source[SM_SOURCE_NAME_SIZE];
    int root;
} sm_choice_unseen;

typedef struct {
    int n; /* reducible sources that vary in the case as planned, by falling value */
    sm_choice_item *item;
    double bound; /* what knowing everything would spare, the deployment and every success too */
    int n_unseen; /* by source and root */
    sm_choice_unseen *unseen;
} sm_choice;

/* On any status but SM_OK out is empty. */
sm_status sm_choice_run(const sm_plan *p, const sm_choice_request *request, sm_run_context context, sm_choice *out);
void sm_choice_destroy(sm_choice *c);

#endif

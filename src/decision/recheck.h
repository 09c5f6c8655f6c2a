/* recheck.h - which measurement to check again, and what that is worth.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_DECISION_RECHECK_H
#define SM_DECISION_RECHECK_H

#include "engine/assess.h"
#include "decision/guarded.h"
#include "decision/look_worth.h"
#include "decision/sensitivity.h"
#include "decision/weigh.h"
#include "decision/worth.h"

typedef struct {
    int64_t redraws; /* trials in which every source in turn is drawn again; default 131,072 */
    int64_t nested;  /* outer trials for what is irreducible; default 16,384 */
    sm_weigh *weigh; /* NULL by default; else filled on the way with all but its assessment and its choice. The case
                        must have alternatives */
} sm_recheck_options;

extern const sm_recheck_options sm_recheck_defaults;

/* One source. Values are 0 without an action line. */
typedef struct {
    char name[SM_SOURCE_NAME_SIZE];
    sm_source_id id;
    bool reducible;
    int side; /* or SM_SHARED */
    sm_source_worth worth;
    sm_share share;         /* owned by the recheck's sensitivity */
    int tied_from, tied_to; /* places in `order` between which Monte Carlo error cannot settle the order; tied_from =
                               tied_to if it can */
} sm_recheck_source;

typedef struct {
    sm_assessment assessment;
    bool has_line;
    int n_sources;
    sm_recheck_source *source;
    int n_reducible;
    int *order; /* of the reducible sources: by value, then by total index on the event */
    sm_worths worths;
    sm_sensitivity sensitivity;
    sm_guard (*guard)[SM_GAPS]; /* by side; NULL without an action line */
    sm_look_worths looks;       /* what could really be done */
} sm_recheck;

/* context.trials: for the call and the values. SM_OK; SM_INTERRUPTED (the assessment holds what is known and is marked
 * as not complete; the rest is empty); or an error with out empty. */
sm_status sm_recheck_run(const sm_case *c, const sm_recheck_options *options, sm_run_context context, sm_recheck *out);
void sm_recheck_destroy(sm_recheck *r);

/* Whether any re-check could change the call: some reducible source is worth at least SM_WORTH_FLOOR. */
bool sm_recheck_can_change(const sm_recheck *r);

#endif

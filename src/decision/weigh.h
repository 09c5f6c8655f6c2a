/* weigh.h - the alternatives of a case side by side, on the same draws (model.md 5.1).
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_DECISION_WEIGH_H
#define SM_DECISION_WEIGH_H

#include "decision/choice.h"
#include "decision/firmness.h"

/* Row 0: as planned; row i: alternative i - 1 of the case. Costs, burdens and differences are in untreated events. */
typedef struct {
    const char *name; /* of the case; "as planned" for row 0 */
    sm_probability event, unrescued;
    sm_obstruction obstruction;   /* what published series make of the same trials, for comparison */
    sm_probability *side;         /* the event on each side */
    sm_estimate event_difference; /* paired: less what the plan has */
    sm_estimate difference;       /* the same of the unrescued event */
    double more_trials; /* so many times more trials would two independent runs need for `difference`; HUGE_VAL if it
                           has no error */
    double burden;
    bool burden_stated;     /* false: none was stated, and 0 taken */
    sm_estimate cost;       /* burden + P(unrescued event) */
    sm_estimate break_even; /* the burden at which it costs what the plan costs; below 0 if it only adds events */
    int dominated_by; /* a row with no more burden and, beyond Monte Carlo error, no more unrescued events; -1: none */
    double cheapest;  /* the probability, over Monte Carlo error, that this row is the cheapest */
} sm_weigh_row;

enum { SM_SUCCESS_STEPS = 6 };

/* Every success and rescue probability multiplied by `factor`, 1 down to 1/2. */
typedef struct {
    double factor;
    int cheapest;
    double *cost; /* by row */
} sm_success_step;

typedef struct {
    sm_assessment assessment; /* of the case as planned */
    bool complete;            /* false: interrupted; what is there rests on fewer trials; `choice` is empty */
    int64_t trials;           /* on which the rows rest */
    int n_rows, n_sides;
    sm_weigh_row *row;
    int cheapest;
    bool settled;       /* it is the cheapest with at least SM_SETTLED, over Monte Carlo error */
    sm_estimate margin; /* what the next cheapest row costs more */
    int next;           /* that row; -1 if there is one row */
    int n_ranges;
    sm_burden_range *range; /* all burdens multiplied by SM_BURDENS_FROM to SM_BURDENS_TO */
    bool any_success;       /* some alternative can fail */
    sm_success_step step[SM_SUCCESS_STEPS];
    sm_line_step line[SM_LINES];
    sm_choice choice;
} sm_weigh;

#define SM_SETTLED      0.975
#define SM_BURDENS_FROM 0.1
#define SM_BURDENS_TO   10.0

/* c must have alternatives and outlive out. recheck_trials: for what a re-check could change; 0: that is left out.
 * SM_OK; SM_INTERRUPTED with what is known; else out is empty. */
sm_status sm_weigh_run(const sm_case *c, int64_t recheck_trials, sm_run_context context, sm_weigh *out);
void sm_weigh_destroy(sm_weigh *w);

/* What one row costs, from sharp points alone: as sm_weigh_run has it with them. SM_OK, SM_INTERRUPTED or an error. */
sm_status sm_weigh_cost(const sm_case *c, int row, sm_run_context context, double *cost);

/* Weighing on the way of another's assessment (sm_assess_plan): the first roots of the plan are the rows, and the
 * extra fills w with all but its assessment and its choice. c and w must outlive it. SM_NO_MEMORY. */
typedef struct sm_weighing sm_weighing;
sm_status sm_weighing_create(const sm_case *c, uint64_t seed, sm_weigh *w, sm_weighing **out);
sm_plan *sm_weighing_plan(sm_weighing *w);
sm_extra_roots sm_weighing_extra_roots(sm_weighing *w);
void sm_weighing_destroy(sm_weighing *w);

#endif

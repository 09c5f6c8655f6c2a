/* look_worth.h - what looks not yet made are worth, and how to act on what they show (model.md 6.1).
 *
 * Every trial simulates what each look would show, from its own truth. The rule, whom to act on given what is shown, is
 * learned on one half of the trials and paid on the other (policy.h): the worth is never too high. Trials are the first
 * of the run of the case.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_DECISION_LOOK_WORTH_H
#define SM_DECISION_LOOK_WORTH_H

#include "engine/run.h"
#include "decision/policy.h"
#include "geometry/carm.h"

/* What makes a look with one coordinate a rule that can be used at the table. */
typedef enum {
    SM_ACT_NO_RULE, /* it shows more than one number */
    SM_ACT_BELOW,
    SM_ACT_ABOVE,
    SM_ACT_NEVER_TURNS, /* whatever it shows, the call stays */
    SM_ACT_CROSSES      /* the risk crosses the line more than once */
} sm_act_kind;

typedef struct {
    sm_act_kind kind;
    double at; /* x* with P(event | y* = x*) = q, mm */
} sm_act_rule;

/* One look. Worths are in untreated events. */
typedef struct {
    const sm_planned_look *look; /* of the case */
    int dims;                    /* how many numbers it shows */
    sm_worth worth;              /* at the action line; zeroed without one */
    double net;                  /* less its burden */
    sm_estimate acts;            /* how often it will say: act */
    sm_act_rule act;
    sm_worth choice; /* the same among the alternatives of the case, if their burdens are stated; else zeroed */
    double choice_net;
} sm_look_worth;

/* The view of one side's ostium gap, if the case says how the valve lies. */
typedef struct {
    int side;
    sm_projection projection;
    double gap;            /* T: the true gap's mean, mm */
    double shortens;       /* what the edge-on view's miss takes off it, mm */
    double shortens_more;  /* what 10 degrees more take off beyond that, mm */
    sm_estimate worth;     /* of an angiogram from there; 0 without an action line */
    sm_estimate worth_off; /* from 10 degrees beside it */
} sm_gap_view;

typedef struct {
    bool has_line, has_choice;
    double line;
    int64_t trials;
    int n;
    sm_look_worth *look; /* in the order of the case */
    int *order;          /* by net worth at the line, without one by that of the choice */
    double event;        /* P, from the same trials */
    double bound;        /* of perfect information at the line: min(P, q) - q P */
    int n_acts, now;     /* of the choice: the case as planned and its alternatives; the cheapest, as things stand */
    double cost_planned, cost_now, cost_known; /* of the choice: as planned; of `now`, from trials of their own, unless
                                                  its row of weigh is put there; if everything were known */
    int n_views;
    sm_gap_view *view;
} sm_look_worths;

/* Whether there is a choice: alternatives, each with its burden. */
bool sm_look_worths_have_choice(const sm_case *c);

/* context.trials: of the run of the case; an eighth of them, at least 65,536, are taken. On SM_OK out is filled: with
 * views alone if the case has neither an action line nor burdens of all its alternatives. SM_INTERRUPTED, SM_NO_MEMORY,
 * SM_NUMERIC: out is empty. c must outlive it. */
sm_status sm_look_worths_run(const sm_case *c, sm_run_context context, sm_look_worths *out);
void sm_look_worths_destroy(sm_look_worths *w);

/* The look that comes first, NULL if none is worth more than its burden (and SM_WORTH_FLOOR). */
const sm_look_worth *sm_look_worths_first(const sm_look_worths *w);
/* What a look is worth by what it is ranked by, and the same less its burden. */
double sm_look_worth_net(const sm_look_worths *w, const sm_look_worth *l);

/* The look with the highest net worth in the choice; NULL if there is none. */
const sm_look_worth *sm_look_worths_best_of_choice(const sm_look_worths *w);

/* The expected harm of four ways to go on, in untreated events. */
typedef struct {
    double as_planned, act_now, look_then_act, know_all;
    double standard_error; /* of look_then_act, given the others */
} sm_policies;

/* At the action line; P: the event as planned, as it is told elsewhere. */
sm_policies sm_policies_at_line(double P, double line, const sm_look_worth *l);
/* Among the alternatives: `act_now` is the cheapest of all. */
sm_policies sm_policies_of_choice(double P, const sm_look_worths *w, const sm_look_worth *l);

#endif

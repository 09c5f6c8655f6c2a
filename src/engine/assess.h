/* assess.h - how probable it is that each limit is truly crossed.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_ENGINE_ASSESS_H
#define SM_ENGINE_ASSESS_H

#include "engine/run.h"
#include "engine/sharp.h"
#include "base/diag.h"

/* event = crowded (at the ostium) or sealed (at the STJ). */
typedef struct {
    sm_probability event;
    union {
        struct {
            sm_probability crowded, sealed;
        };
        sm_probability crossed[SM_GAPS]; /* the same by gap */
    };
} sm_crossing;

/* What a second look makes of its quantity (model.md 3.1). Both readings right, the look off (about something else), or
 * the first reading off; the PATIENT event where the first reading alone is believed, and where the look alone is, the
 * other looks as in the run. */
typedef struct {
    sm_looked at;
    int side; /* SM_SHARED if it is the valve's */
    sm_probability state[SM_LOOK_STATES];
    sm_probability event_first_only, event_look_only;
    double alone[2]; /* where the look by itself puts its quantity: about 95 of 100 between, mm (sm_look_range) */
    bool opposed;    /* the readings disagree, and each believed alone leads to another side of the action line */
    bool apart;      /* the same of readings that agree: each alone leaves more open than both together */
} sm_look_result;

/* Whether it is so of this line (0: of none). The more careful answer within Monte Carlo error: opposed unless both are
 * surely on one side, or both readings may well be right; apart only if surely on different sides. */
bool sm_look_opposed(const sm_look_result *l, double line);

typedef struct {
    sm_crossing crossing;
    sm_continuous output[SM_OUTPUTS]; /* mm */
    sm_outline outline[SM_OUTPUTS];   /* the same as shapes, for drawing */
    sm_outline crossed[SM_GAPS];      /* the part of the ostium (STJ) clearance's outline that is crowded (sealed) */
    double waist;                     /* W at the ring with every draw at its mean, mm */
} sm_side_result;

typedef enum { SM_CALL_NONE, SM_CALL_ABOVE, SM_CALL_BELOW, SM_CALL_UNRESOLVED } sm_call;
typedef enum { SM_REASON_NONE, SM_REASON_MONTE_CARLO, SM_REASON_LOOKS_OPPOSED, SM_REASON_FEW_COUNT } sm_call_reason;

/* The call against the action line. low, high: the interval that decided, Wilson's or the confidence sequence's. */
typedef struct {
    double action_line; /* 0: none */
    sm_call call;
    sm_call_reason reason;
    bool by_sequence;
    double low, high;
} sm_decision;

typedef struct {
    int64_t trials;
    uint64_t seed;
    bool complete;
    int64_t sharp_points; /* from which the patient's and the sides' probabilities come; 0: from the trials */
    int sharp_tasks;
    sm_crossing patient;
    bool bloom_corrected; /* some gap's reading was corrected for blooming */
    sm_probability event_without_bloom_correction;
    sm_probability event_in_population;            /* each trial weighted by the case's population: for comparison */
    sm_probability by_limits[SM_PUBLISHED_LIMITS]; /* the patient event by each published set of limits */
    int n_looks;
    sm_look_result look[SM_MAX_LOOKS]; /* in the order of the case, the valve's last */
    sm_obstruction obstruction;        /* what published series make of the same trials, for comparison */
    double effective_trials;           /* so many of weight 1 would know as much; `trials` without looks */
    int n_sides;
    sm_side_result *side; /* in the order of the case */
    sm_decision decision;
    int64_t not_numbers; /* output values that are not numbers, over trials, sides and outputs; no crossing */
    sm_diag warnings;    /* SM_WARNING, without a place */
} sm_assessment;

/* SM_OK; SM_INTERRUPTED (out holds what is known); else out is empty. The watch's `enough` is not used. With
 * SM_POINTS_SHARP in the context the crossings (also without the bloom correction, and by published limits) come from
 * about as many sharp points beside the trials; if it ends before there are any, from the trials. */
sm_status sm_assess(const sm_case *c, sm_run_context context, sm_assessment *out);
/* The same, but goes on after context.trials until the confidence sequence resolves the call, or `cap` trials are met:
 * then SM_UNRESOLVED. */
sm_status sm_assess_until_resolved(const sm_case *c, int64_t cap, sm_run_context context, sm_assessment *out);
void sm_assessment_destroy(sm_assessment *a);
/* Hands over what is known, as not complete, and leaves a empty: for a whole of which nothing else is kept. */
sm_assessment sm_assessment_take_unfinished(sm_assessment *a);

/* What else is taken from the trials of an assessment, so that nothing is drawn twice. */
typedef struct {
    void *self;
    /* After the run, also an interrupted one: the sharp points of all roots, and the counts of the first n_paired (at
     * least of root[0]); sharp: NULL if there are none, then the counts of all roots. May be NULL. */
    sm_status (*read)(void *self, const sm_gathered *g, const sm_sharp *sharp);
    int n_paired; /* of how many roots, from the first, counts stand beside points and pairs are counted */
    const sm_observer *observer; /* may be NULL */
    sm_sharp *sharp;             /* receives the sharp points' sums, for the caller to destroy; may be NULL */
} sm_extra_roots;

/* sm_assess on a plan of the caller's, whose first root is the case as planned; other roots of the caller's may follow.
 * The assessment adds its own behind them. */
sm_status sm_assess_plan(sm_plan *p, const sm_extra_roots *extra, sm_run_context context, sm_assessment *out);

/* What another version of the case gives on the same draws. difference: of the patient event, paired, version less
 * case. */
typedef struct {
    sm_crossing patient;
    sm_crossing *side; /* by side */
    sm_estimate difference;
} sm_version;

typedef struct {
    int n;
    sm_version *at;
    sm_crossing *side;  /* of all versions; `at` points into it */
    sm_probability own; /* the patient event of the case itself, from the same trials */
} sm_version_results;

/* Runs n other versions of the case (same coronaries) beside it on the same draws; a version that is NULL is passed
 * over and its results stay zero. With sharp points each version has its own, and gets what it would get alone. out
 * receives the assessment of the case itself; NULL if the counts alone are asked for, which nobody follows.
 * SM_INTERRUPTED: both hold what is known. Destroy both in every case. */
sm_status sm_assess_versions(const sm_case *c, const sm_case *const *version, int n, sm_run_context context,
                             sm_assessment *out, sm_version_results *results);
void sm_version_results_destroy(sm_version_results *v);

/* The call that an interval allows: above if low >= line, below if high < line. */
sm_call sm_call_of(double low, double high, double action_line);

#endif

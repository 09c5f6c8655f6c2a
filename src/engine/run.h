/* run.h - Monte Carlo over the roots of a plan: counts for every root, spreads for the case as planned.
 *
 * The work is cut into tasks of SM_TASK_BLOCKS blocks. Each task fills accumulators of its own; they are merged in the
 * order of the tasks, so that the result does not depend on the number of threads.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_ENGINE_RUN_H
#define SM_ENGINE_RUN_H

#include "engine/interval.h"
#include "engine/obstruction.h"
#include "engine/pairs.h"
#include "engine/plan.h"
#include "engine/run_context.h"
#include "engine/spread.h"
#include "engine/weighted.h"

enum { SM_TASK_BLOCKS = 32 };
#define SM_TASK_TRIALS ((int64_t)SM_TASK_BLOCKS * SM_BLOCK)

typedef struct {
    sm_weighted event;
    union {
        struct {
            sm_weighted crowded, sealed;
        };
        sm_weighted crossed[SM_GAPS]; /* the same by gap */
    };
} sm_counts;

/* What happened in the trials of one root, weighted where it has second looks. unrescued: an event that no rescue
 * undoes. with_first, unrescued_with_first: the same event and that of root[0], in the same trials. */
typedef struct {
    sm_counts patient;
    sm_counts *side;
    sm_weighted unrescued;
    sm_joint_sums with_first, unrescued_with_first;
} sm_tally;

/* What else is gathered from the trials of a run, so that they need not be drawn again. One part a task; parts are
 * merged in the order of the tasks. */
typedef struct {
    void *self;
    int n_roots;      /* of how many roots it asks for the unrescued events, at most SM_MAX_PAIRED */
    size_t part_size; /* parts start zeroed */
    sm_status (*create)(void *self, void *part);
    void (*empty)(void *self, void *part);
    /* A group of n trials, on which w has evaluated root[0]. column: as root[0] has them; weight: of its trials, NULL
     * if each is 1; unrescued: by root, whether a patient event is not undone. */
    void (*look)(void *self, void *part, const sm_worker *w, const double *const *column, const double *weight,
                 const sm_mask *unrescued, int n);
    void (*merge)(void *self, const void *part);
    void (*destroy)(void *self, void *part); /* also of a part that create left half made */
} sm_observer;

/* What a run gathers. */
typedef struct sm_gathered {
    int n_roots, n_sides;
    int n_spreads; /* of how many sides spreads are kept: all or none */
    int64_t n;
    sm_weighted in_population; /* root[0]'s patient event, each trial weighted by the case's population too */
    sm_weighted by_limits[SM_PUBLISHED_LIMITS];      /* root[0]'s patient event by each published set of limits */
    sm_weighted state[SM_MAX_LOOKS][SM_LOOK_STATES]; /* the same in the trials in which that is true of that look */
    sm_tally *tally;                                 /* by root */
    sm_pairs pairs; /* of the unrescued patient event, among the first pairs.n roots, which weigh alike; none unless
                       asked for with sm_pairs_create */
    int n_reached;
    sm_reached *reached;             /* of the first n_reached roots: the gaps beside ostia that the tube reaches */
    const sm_observer *observer;     /* NULL unless set after sm_gathered_create; borrowed */
    sm_spread (*spread)[SM_OUTPUTS]; /* by side, root[0] */
    sm_spread (*crossing)[SM_GAPS];  /* by side, root[0]: the clearances of the trials that are crowded, or sealed */
} sm_gathered;

/* Counts of the first n_roots roots, also the reached gaps of the first n_reached, which are the case as planned and
 * its alternatives. */
sm_status sm_gathered_create(const sm_plan *p, int n_roots, int n_reached, sm_gathered *g);
/* For the counts of the first n_roots roots alone: without spreads a trial of root[0] costs a sixth less, and memory
 * does not grow with the sides. */
sm_status sm_gathered_create_counts(const sm_plan *p, int n_roots, sm_gathered *g);
void sm_gathered_destroy(sm_gathered *g);

/* Runs up to context.trials trials and fills out (made by sm_gathered_create for the same plan). SM_OK also if
 * `enough` ended it early; SM_INTERRUPTED with what is known in out. */
sm_status sm_run(const sm_plan *p, sm_run_context context, sm_gathered *out);

#endif

/* sharp.h - the probabilities of a plan's roots from well-placed points (placing.h) in which the landmarks' own errors
 * are integrated (smoothing.h): the same numbers as by counting, known far better from as many trials.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_ENGINE_SHARP_H
#define SM_ENGINE_SHARP_H

#include "engine/placing.h"
#include "engine/run_context.h"
#include "engine/task_means.h"

/* Tasks of equal size, each its own randomisation: a power of two points, between these. */
enum { SM_LEAST_TASKS = 16, SM_LEAST_POINTS = SM_LANES, SM_MOST_POINTS = 1 << 24 };

/* As many points are enough as let the patient event err by this part of the error of counting the trials: half; of a
 * rare event less, as points that are drawn wider serve alternatives worse; all of it in cases with second looks, where
 * points gain little. At least a sixteenth of the trials; a sixty-fourth, drawn beforehand, says how many. */
#define SM_ENOUGH_PART      0.5
#define SM_ENOUGH_PART_RARE (1.0 / 3)
enum { SM_FIRST_PART = 16, SM_SIZING_PART = 64 };

/* When to go on: until the patient event of root[0] is told from a line, up to cap points; line 0: never. */
typedef struct {
    double line;
    int64_t cap;
} sm_sharp_goal;

/* Sums of each event of each root, by task. */
typedef struct {
    int n_roots, n_sides, n_events; /* n_events: of all roots */
    bool alone;                     /* of the patient event and no other */
    bool rescues;                   /* some root's: then each has its unrescued event too */
    int64_t points_a_task;
    int n_tasks; /* whole ones */
    bool widened;
    size_t cap_tasks;
    sm_task_sums *sums; /* n_events a task */
} sm_sharp;

/* How many points a task has if as many as the trials are drawn, and how many those are: at most the trials, but never
 * fewer than 16 tasks of 256. */
int64_t sm_sharp_points_a_task(int64_t trials);
int64_t sm_sharp_points(int64_t trials);

/* So many points; or only as many as are enough beside context.trials, at most as many as those, in as many tasks, and
 * further tasks towards a goal. SM_OK; SM_INTERRUPTED: out holds the whole tasks, if there are 16, else none. Destroy
 * out in every case. */
sm_status sm_sharp_run(const sm_plan *p, sm_run_context context, sm_sharp *out);
sm_status sm_sharp_run_enough(const sm_plan *p, sm_sharp_goal goal, sm_run_context context, sm_sharp *out);
void sm_sharp_destroy(sm_sharp *s);

/* Axes that are turned once for many plans, which all have the same root[0]. */
typedef struct {
    sm_smoothing smoothing;
    sm_placing placing;
} sm_sharp_axes;

/* p: root[0] alone; it must outlive out. Destroy out in every case. */
sm_status sm_sharp_axes_create(const sm_plan *p, sm_sharp_axes *out);
void sm_sharp_axes_destroy(sm_sharp_axes *a);

/* How many tasks (at least 2) of how many points, a power of two that is no less than SM_LEAST_POINTS. */
typedef struct {
    int tasks;
    int64_t points;
    bool every; /* every event, else the patient event alone */
} sm_sharp_size;

/* For roots of which the difference from root[0] is asked for, and no more than it takes to tell that: few points,
 * never widened, the axes as they are turned already; a root[0] that other roots make draw otherwise has a pilot of its
 * own. Status as above. */
sm_status sm_sharp_run_beside(const sm_plan *p, sm_sharp_size size, const sm_sharp_axes *axes, sm_run_context context,
                              sm_sharp *out);

/* The tasks' sums of the patient event (side SM_SHARED) or a side's: of any rule, or of one. */
sm_task_series sm_sharp_event(const sm_sharp *s, int root, int side);
sm_task_series sm_sharp_crossed(const sm_sharp *s, int root, int side, sm_gap_id gap);
/* Of the patient event that no rescue undoes. */
sm_task_series sm_sharp_unrescued(const sm_sharp *s, int root);
/* Of root[0]'s patient event by published limits. */
sm_task_series sm_sharp_by_limits(const sm_sharp *s, int limits);

#endif

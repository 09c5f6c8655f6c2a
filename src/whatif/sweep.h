/* sweep.h - the probability along one knob, or over the grid of two, on the same draws.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_WHATIF_SWEEP_H
#define SM_WHATIF_SWEEP_H

#include "engine/assess.h"
#include "whatif/contour.h"
#include "whatif/curve.h"
#include "whatif/knob.h"
#include "whatif/settings.h"
#include "whatif/versions.h"

enum {
    SM_SWEEP_AXES = 2,
    SM_SWEEP_STEPS = 21,      /* of one knob, unless asked otherwise */
    SM_SWEEP_GRID_STEPS = 11, /* of each of two */
    SM_SWEEP_MOST_STEPS = 201,
    SM_SWEEP_MOST_GRID_STEPS = 41,
    SM_SWEEP_MOST_MEETINGS = 8,
    SM_SWEEP_ALL_POINTS = 5 /* of each knob if all are swept */
};

/* What was asked: WHAT=FROM:TO[:STEPS]. steps 0: not said. */
typedef struct {
    char *what;
    double from, to;
    int steps;
} sm_sweep_ask;

/* SM_USAGE with one fault in d if text is none. Destroy out in every case. */
sm_status sm_sweep_ask_read(const char *text, sm_diag *d, sm_sweep_ask *out);
void sm_sweep_ask_destroy(sm_sweep_ask *a);

typedef struct {
    sm_knob knob;
    int steps;
    double *value; /* rising */
} sm_sweep_axis;

/* Where the answer changes sides: the knob's value with its Monte Carlo error, and whether the probability rises
 * through the line there. */
typedef struct {
    sm_estimate at;
    bool rises;
} sm_break_even;

typedef struct {
    int n_axes;
    sm_sweep_axis axis[SM_SWEEP_AXES];
    sm_assessment assessment;    /* the case as it is */
    sm_version_results versions; /* point (i, j) of axis[0] and axis[1] at i + j * axis[0].steps */
    sm_curve_point *point;       /* the same as a curve, row by row */
    int low, high;               /* points of least and greatest probability */
    sm_estimate range;
    bool moves;
    sm_contour line; /* of two: where the answer meets the action line; empty without one */
    int n_even;      /* of one knob */
    sm_break_even even[SM_SWEEP_MOST_MEETINGS];
} sm_sweep;

/* One or two asks. SM_USAGE or SM_REFUSED with the faults in d; SM_INTERRUPTED: out holds what is known, its assessment
 * marked as not complete. Destroy out in every case. */
sm_status sm_sweep_run(const sm_casefile *f, const sm_sweep_ask *ask, int n, sm_run_context context, sm_diag *d,
                       sm_sweep *out);
void sm_sweep_destroy(sm_sweep *s);

/* What stands under the curve of one knob: the room at the gap that the knob moves most, at either end of its range. */
typedef struct {
    int side;
    sm_gap_id gap;
    sm_assessment end[2];
    double limit[2]; /* mm, of that gap */
} sm_sweep_ends;

/* SM_OK also if there is nothing to show (two knobs): then all is zero. SM_INTERRUPTED: nothing to show. Destroy out
 * in every case. */
sm_status sm_sweep_ends_run(const sm_casefile *f, const sm_sweep *s, sm_run_context context, sm_sweep_ends *out);
void sm_sweep_ends_destroy(sm_sweep_ends *e);

/* Where a grid meets the action line along knob `along`, the other knob being at its step j. Returns how many. */
int sm_sweep_meetings(const sm_sweep *s, int along, int j, sm_meeting *out, int most);

/* One thing alone over its range: what is in doubt (settings.h), or another named knob over its range in docs/facts.md,
 * as if it were known to lie there. */
typedef struct {
    sm_knob knob;
    bool in_doubt;
    int n; /* points: SM_SWEEP_ALL_POINTS, or the ends and what is taken */
    double value[SM_SWEEP_ALL_POINTS];
    sm_curve_point point[SM_SWEEP_ALL_POINTS];
    sm_estimate range;
    bool moves;
    bool turns; /* some value is on the other side of the line from the case */
    int n_even;
    sm_break_even even[SM_SWEEP_MOST_MEETINGS];
} sm_sweep_row_of_all;

typedef struct {
    sm_assessment assessment;
    int n;
    sm_sweep_row_of_all *row; /* widest range first */
    int n_left_out;           /* named knobs without a range, or fixed in this case */
    int n_in_doubt;           /* rows of what is in doubt: they come first, each kind the widest first */
} sm_sweep_all;

/* SM_INTERRUPTED as in sm_sweep_run. Destroy out in every case. */
sm_status sm_sweep_all_run(const sm_casefile *f, sm_run_context context, sm_sweep_all *out);
/* Adds what is in doubt, from the one computation of it that all commands share. SM_NO_MEMORY. */
sm_status sm_sweep_all_settle(const sm_casefile *f, const sm_settings *s, sm_sweep_all *all);
void sm_sweep_all_destroy(sm_sweep_all *a);

#endif

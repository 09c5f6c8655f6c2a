/* steer.h - draws steered to where the second looks point, and the weights that undo the steering (model.md 3.1).
 *
 * Each trial first takes, for every look, one of three things to be true: both readings, the look's alone, the first's
 * alone. Where both are right, the draws that the looks bear on (base points, centreline, scale, each reader's error)
 * are moved to what a linear model of the looks says of them. The weight is the target's density over that of what was
 * drawn, so that any steering is right; a good one keeps the weights alike (docs/numerics.md).
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_ENGINE_STEER_H
#define SM_ENGINE_STEER_H

#include "engine/draws.h"
#include "measurement/look.h"

/* The draws that several looks bear on: three of the base plane, two of the centreline, the looks' common scale. */
enum { SM_FRAME_DRAWS = 5, SM_COMMON_DRAWS = 6 };

/* Below, the linear model errs by too much of a look's own SD, mm: second orders are a few hundredths. */
#define SM_SHARP_SD 0.25

/* One look, what it is at, and how X answers to the draws. */
typedef struct {
    sm_look look;
    sm_looked at;
    int side;                        /* SM_SHARED if it is the valve's */
    int error, view;                 /* columns; view -1 if direct */
    double by_frame[SM_FRAME_DRAWS]; /* dX by a, b, c, cx, cy */
    double by_draw[SM_FRAME_DRAWS];  /* the same by the base draws, mm a standard deviation */
    sm_root_reading first;           /* the first reading of X, in the reader's frame */
    sm_transform error_by_score;     /* its error as a function of a normal score */
    bool sharp; /* a side's look that is surer than the linear model: the rest is for the exact one */
    double cos_az, sin_az, half;
    sm_root_reading height; /* of the landmark of a gap */
} sm_steered_look;

/* All that the steering of a root hangs on: zeroed storage, compared as bytes (parts.h). */
typedef struct {
    int n;      /* looks; 0: nothing is steered */
    int choice; /* column of the uniform that chooses what is true */
    int scale;  /* column of M, -1 if no look is a projection */
    sm_root_scan scan;
    sm_root_frame frame;
    sm_steered_look look[SM_MAX_LOOKS];
} sm_steering;

enum { SM_VIEWS = 64 };

/* Where the angle by which a look's view misses is drawn, if both readings are right: by steps of equal width from 0.
 */
typedef struct {
    bool steered; /* else from its distribution */
    double width; /* radians */
    double upto[SM_VIEWS], mass[SM_VIEWS];
} sm_view_choice;

/* How often each combination of states is tried: rising sums and shares by combination, the first look the fastest; and
 * where each view is drawn. It follows from the steering. */
typedef struct {
    int n;
    double *upto, *share;
    sm_view_choice view[SM_MAX_LOOKS];
} sm_choices;

/* SM_NO_MEMORY. Destroy in every case. */
sm_status sm_choices_create(const sm_steering *c, sm_choices *out);
void sm_choices_destroy(sm_choices *c);

/* The state that combination `combination` gives look l. */
sm_look_state sm_choices_state(int combination, int l);

/* dX by frame of a quantity at radius r and height z of the reader's frame; radial: of its distance from the axis, else
 * of its height. */
void sm_steer_by_frame(double cos_az, double sin_az, double r, double z, bool radial, double by_frame[SM_FRAME_DRAWS]);
/* Sets by_draw from by_frame. */
void sm_steer_by_draws(const sm_root_frame *f, sm_steered_look *l);

/* By how many standard deviations each look reads more than it would of the first reading, both right and each look by
 * itself, by the linear model. */
void sm_steer_residuals(const sm_steering *c, double standardised[SM_MAX_LOOKS]);

/* What the steering makes of SM_LANES trials. */
typedef struct {
    const double **column; /* all columns, those that moved in `moved` */
    double moved[SM_COMMON_DRAWS + SM_MAX_LOOKS][SM_LANES];
    double state[SM_MAX_LOOKS][SM_LANES];  /* sm_look_state */
    double cosine[SM_MAX_LOOKS][SM_LANES]; /* cos G; 1 if direct */
    double scale[SM_MAX_LOOKS][SM_LANES];  /* 1 + M */
    double weight[SM_LANES],
        exponent[SM_LANES]; /* the weight is the one times e to the other, but for what hangs on X */
    double base[SM_MAX_LOOKS][SM_LANES], rest[SM_MAX_LOOKS][SM_LANES], variance[SM_MAX_LOOKS][SM_LANES]; /* scratch */
    double right[SM_MAX_LOOKS][SM_LANES], pick[SM_LANES];
    double factor[SM_MAX_LOOKS][SM_MAX_LOOKS][SM_LANES];
} sm_steered;

sm_status sm_steered_create(int n_columns, sm_steered *s);
void sm_steered_destroy(sm_steered *s);

/* column[j], j < n_columns, points at the base draws of column j for these trials. */
void sm_steer(const sm_steering *c, const sm_choices *choices, const double *const *column, int n_columns,
              sm_steered *out);

/* The X of the trials in which the first reading of look l is off, put over those in X. */
void sm_steer_replace(const sm_steering *c, const sm_steered *s, int l, double *restrict X);

/* The weight of each trial, given the true X of each look. 0 where it is no number. */
void sm_steer_weigh(const sm_steering *c, const sm_steered *s, const double *const *X, double *restrict weight);

#endif

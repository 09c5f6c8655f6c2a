/* cross_check.h - the same gap read by another modality (model.md 3.1).
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_MEASUREMENT_CROSS_CHECK_H
#define SM_MEASUREMENT_CROSS_CHECK_H

#include "base/lanes.h"
#include "measurement/case.h"

/* The limit of chi^2 with one degree of freedom at 5 %: beyond it the looks conflict. */
#define SM_CONFLICT_CHI2 3.84

/* The constants of one other look. mm, radians. */
typedef struct {
    bool present;
    double reading;          /* mean over readers of each reader's mean */
    double error_sd;         /* reader_sd / sqrt(m) */
    double magnification_sd; /* relative */
    double view_sd;          /* radians */
    double half_circle;      /* mm */
} sm_look;

/* Equal cross-checks make equal bytes. */
void sm_look_create(const sm_cross_check *c, double circle_mm, sm_look *out);

/* Mean and variance of T_f over the trials in which neither divisor of (3.5) is below SM_LOOK_LEAST: model.md (3.8).
 * Over all trials neither is finite: cos G and 1 + M come as near to 0 as one likes. */
#define SM_LOOK_LEAST 0.5 /* cos G of 60 degrees; a scale wrong by half */

typedef struct {
    double mean, variance; /* mm, mm^2 */
} sm_look_moments;

sm_look_moments sm_look_moments_of(const sm_look *l);
/* The share of trials that these leave out. */
double sm_look_left_out(const sm_look *l);

/* How the two looks are joined, and the means and variances (mm, mm^2) that say so. */
typedef struct {
    double mean_ct, v_ct, mean_f, v_f;
    double chi2, w; /* w: weight of the CT look when pooled */
    bool conflict;
} sm_joining;

/* Joins T_ct (3.6) and T_f (3.8) by their means and variances: chi^2, whether they conflict, w of (3.7). */
sm_joining sm_look_join(double mean_ct, double v_ct, double mean_f, double v_f);

/* (3.5): T_f from base draws: z_error and z_view of this look, z_scale common to the case. */
void sm_look_draw(const sm_look *l, const double *restrict z_error, const double *restrict z_view,
                  const double *restrict z_scale, double *restrict T_f);

#endif

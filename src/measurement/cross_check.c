/* cross_check.c - the same gap read by another modality (model.md 3.1).
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "measurement/cross_check.h"

#include <math.h>

#include <gsl/gsl_math.h>

sm_look sm_look_create(const sm_cross_check *c, double circle_mm)
{
    if (!c->present)
        return (sm_look){.present = false};
    return (sm_look){.present = true,
                     .reading = sm_readings_mean(&c->readings),
                     .error_sd = c->reader_sd_mm / sqrt((double)c->readings.n),
                     .magnification_sd = c->magnification_sd,
                     .view_sd = c->view_error_sd_deg * (M_PI / 180),
                     .half_circle = circle_mm / 2};
}

/* (3.6) and (3.7). Two looks without any spread agree only if they are equal. */
sm_joining sm_look_join(double mean_ct, double v_ct, double mean_f, double v_f)
{
    sm_joining j = {.mean_ct = mean_ct, .v_ct = v_ct, .mean_f = mean_f, .v_f = v_f, .w = 0.5};
    double v = v_ct + v_f, d = mean_ct - mean_f;
    if (v > 0) {
        j.chi2 = d * d / v;
        j.w = v_f / v;
    } else {
        j.chi2 = d == 0 ? 0 : HUGE_VAL;
    }
    j.conflict = j.chi2 > SM_CONFLICT_CHI2;
    return j;
}

void sm_look_draw(const sm_look *l, const double *restrict z_error, const double *restrict z_view,
                  const double *restrict z_scale, double *restrict T_f)
{
    for (int i = 0; i < SM_LANES; i++) { /* (3.5); cos is even, so |G| needs no absolute value */
        double error = l->error_sd * z_error[i], M = l->magnification_sd * z_scale[i], G = l->view_sd * z_view[i];
        T_f[i] = ((l->reading - error) / (1 + M) + l->half_circle) / cos(G) - l->half_circle;
    }
}

/* cross_check.c - the same gap read by another modality (model.md 3.1).
 *
 * Contents: 1. one look  2. its mean and variance  3. joining two looks  4. draws
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "measurement/cross_check.h"

#include <math.h>
#include <string.h>

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_math.h>

/* 1. One look */

void sm_look_create(const sm_cross_check *c, double circle_mm, sm_look *l)
{
    memset(l, 0, sizeof *l);
    if (!c->present)
        return;
    l->present = true;
    l->reading = sm_readings_mean(&c->readings);
    l->error_sd = c->reader_sd_mm / sqrt((double)c->readings.n);
    l->magnification_sd = c->magnification_sd;
    l->view_sd = c->view_error_sd_deg * (M_PI / 180);
    l->half_circle = circle_mm / 2;
}

/* 2. Its mean and variance */

#define FAR 8.5 /* SDs; beyond lies 2e-17 */
enum { PANELS = 1024 };

/* Means of 1/x and 1/x^2 of a divisor x. */
typedef struct {
    double first, second;
} inverse_means;

static double scale_of(double M)
{
    return 1 + M;
}

/* Over a normal draw of that SD between low and high, by Simpson's rule; the weights are divided by their own sum, so
 * that what lies outside is left out. */
static inverse_means inverse_means_of(double (*divisor)(double), double sd, double low, double high)
{
    double weights = 0;
    inverse_means m = {0, 0};
    low = fmax(low, -FAR * sd);
    high = fmin(high, FAR * sd);
    for (int i = 0; i <= PANELS; i++) {
        const double at = low + (high - low) * i / PANELS, z = sd > 0 ? at / sd : 0;
        const double weight = (i == 0 || i == PANELS ? 1 : i % 2 ? 4 : 2) * exp(-z * z / 2), x = divisor(at);
        weights += weight;
        m.first += weight / x;
        m.second += weight / (x * x);
    }
    return (inverse_means){m.first / weights, m.second / weights};
}

/* (3.8): error, M and G are independent, and the error has mean 0. */
sm_look_moments sm_look_moments_of(const sm_look *l)
{
    const double widest = acos(SM_LOOK_LEAST), r = l->reading, h = l->half_circle;
    const inverse_means A = inverse_means_of(scale_of, l->magnification_sd, SM_LOOK_LEAST - 1, HUGE_VAL);
    const inverse_means C = inverse_means_of(cos, l->view_sd, -widest, widest);
    const double radius = r * A.first + h, radius_sq = r * r * A.second + 2 * r * h * A.first + h * h;
    const double error = gsl_pow_2(l->error_sd) * A.second * C.second;
    return (sm_look_moments){radius * C.first - h, error + radius_sq * C.second - gsl_pow_2(radius * C.first)};
}

double sm_look_left_out(const sm_look *l)
{
    const double view = l->view_sd > 0 ? 2 * gsl_cdf_ugaussian_Q(acos(SM_LOOK_LEAST) / l->view_sd) : 0;
    const double scale = l->magnification_sd > 0 ? gsl_cdf_ugaussian_Q((1 - SM_LOOK_LEAST) / l->magnification_sd) : 0;
    return view + scale - view * scale;
}

/* 3. Joining two looks */

/* chi^2 and the weight of (3.7). Two looks without any spread agree only if they are equal. */
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

/* 4. Draws */

void sm_look_draw(const sm_look *l, const double *restrict z_error, const double *restrict z_view,
                  const double *restrict z_scale, double *restrict T_f)
{
    for (int i = 0; i < SM_LANES; i++) { /* (3.5); cos is even, so |G| needs no absolute value */
        double error = l->error_sd * z_error[i], M = l->magnification_sd * z_scale[i], G = l->view_sd * z_view[i];
        T_f[i] = ((l->reading - error) / (1 + M) + l->half_circle) / cos(G) - l->half_circle;
    }
}

/* base_plane.c - the error of the reader's base plane.
 *
 * Contents: 1. constants  2. draws
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "measurement/base_plane.h"

#include <math.h>
#include <string.h>

#include <gsl/gsl_math.h>

#include "sampling/turn.h"

/* 1. Constants */

/* Inverts the 3 x 3 matrix m by its adjugate. False if it is singular. */
static bool invert(double m[3][3], double out[3][3])
{
    double cofactor[3][3], det = 0;
    for (int i = 0; i < 3; i++)
        for (int j = 0; j < 3; j++) {
            int r = (i + 1) % 3, s = (i + 2) % 3, t = (j + 1) % 3, u = (j + 2) % 3;
            cofactor[i][j] = m[r][t] * m[s][u] - m[r][u] * m[s][t];
        }
    for (int j = 0; j < 3; j++)
        det += m[0][j] * cofactor[0][j];
    for (int i = 0; i < 3; i++)
        for (int j = 0; j < 3; j++)
            out[i][j] = cofactor[j][i] / det;
    return fabs(det) > 1e-9;
}

/* (2.2) for any azimuths: row i says c + a R cos phi_i + b R sin phi_i = e_i; solving it gives 2/(3R) sums for equal
 * spacing. */
static sm_status solve_points(const sm_base_plane *values, sm_plane *p)
{
    double rows[3][3];
    for (int i = 0; i < 3; i++) {
        double phi = values->azimuths_deg[i] * (M_PI / 180), R = values->radius_mm;
        rows[i][0] = 1;
        rows[i][1] = R * cos(phi);
        rows[i][2] = R * sin(phi);
        p->cos_3phi[i] = cos(3 * phi);
        p->sin_3phi[i] = sin(3 * phi);
    }
    return invert(rows, p->solve) ? SM_OK : SM_NUMERIC;
}

sm_status sm_plane_create(const sm_base_plane *values, sm_plane *p)
{
    memset(p, 0, sizeof *p);
    p->tilt_form = values->tilt_form;
    if (values->tilt_form) {
        p->tilt_sd = tan(values->tilt_sd_deg * (M_PI / 180));
        p->level_sd = values->level_sd_mm;
        return SM_OK;
    }
    p->placements = (int)values->placements;
    p->point_sd = values->point_sd_mm / sqrt(p->placements);
    p->wave = values->cuff_wave_mm;
    return solve_points(values, p);
}

int sm_plane_phases(const sm_plane *p)
{
    return p->tilt_form || p->wave == 0 ? 0 : p->placements;
}

/* 2. Draws */

/* The mean over the placements of cos and sin of the phase 2 pi U: all that the wave of (2.1) needs of them. */
SM_WIDE static void mean_phase(const sm_plane *p, const double *const *phase, double *restrict mean_cos,
                               double *restrict mean_sin)
{
    double c[SM_LANES], s[SM_LANES];
    const int phases = sm_plane_phases(p);
    for (int i = 0; i < SM_LANES; i++)
        mean_cos[i] = mean_sin[i] = 0;
    for (int k = 0; k < phases; k++) {
        sm_turn(phase[k], c, s, SM_LANES);
        for (int i = 0; i < SM_LANES; i++) {
            mean_cos[i] += c[i] / phases;
            mean_sin[i] += s[i] / phases;
        }
    }
}

/* (2.1) and (2.2). With sin(2 pi U + 3 phi) = sin(2 pi U) cos 3 phi + cos(2 pi U) sin 3 phi the mean over placements
 * goes inside. */
SM_WIDE static void draw_points(const sm_plane *p, const double *const normal[3], const double *const *phase,
                                double *restrict a, double *restrict b, double *restrict c)
{
    double mean_cos[SM_LANES], mean_sin[SM_LANES];
    mean_phase(p, phase, mean_cos, mean_sin);
    for (int i = 0; i < SM_LANES; i++)
        a[i] = b[i] = c[i] = 0;
    for (int k = 0; k < 3; k++) {
        const double *z = normal[k];
        const double to_c = p->solve[0][k], to_a = p->solve[1][k], to_b = p->solve[2][k];
        for (int i = 0; i < SM_LANES; i++) {
            double e = p->point_sd * z[i] + p->wave * (mean_sin[i] * p->cos_3phi[k] + mean_cos[i] * p->sin_3phi[k]);
            c[i] += to_c * e;
            a[i] += to_a * e;
            b[i] += to_b * e;
        }
    }
}

void sm_plane_draw(const sm_plane *p, const double *const normal[3], const double *const *phase, double *restrict a,
                   double *restrict b, double *restrict c)
{
    if (!p->tilt_form) {
        draw_points(p, normal, phase, a, b, c);
        return;
    }
    for (int i = 0; i < SM_LANES; i++) { /* (2.3) */
        a[i] = p->tilt_sd * normal[0][i];
        b[i] = p->tilt_sd * normal[1][i];
        c[i] = p->level_sd * normal[2][i];
    }
}

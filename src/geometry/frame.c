/* frame.c - from the reader's frame to the valve's frame (model.md 2.3).
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "geometry/frame.h"

#include <math.h>

SM_WIDE void sm_frame_place(const double *restrict a, const double *restrict b, const double *restrict c,
                            const double *restrict cx, const double *restrict cy, sm_frame *restrict f)
{
    for (int i = 0; i < SM_LANES; i++) { /* (2.5) */
        double N = sqrt(1 + a[i] * a[i] + b[i] * b[i]), S = sqrt(1 + a[i] * a[i]);
        double nx = -a[i] / N, ny = -b[i] / N, nz = 1 / N;
        double ux = 1 / S, uz = a[i] / S;
        f->nx[i] = nx;
        f->ny[i] = ny;
        f->nz[i] = nz;
        f->ux[i] = ux;
        f->uz[i] = uz;
        f->vx[i] = ny * uz; /* v = n x u with u_y = 0 */
        f->vy[i] = nz * ux - nx * uz;
        f->vz[i] = -ny * ux;
        f->ox[i] = cx[i];
        f->oy[i] = cy[i];
        f->oz[i] = c[i] + a[i] * cx[i] + b[i] * cy[i];
    }
}

SM_WIDE void sm_frame_point(const sm_frame *restrict f, double cos_az, double sin_az, const double *restrict r,
                            const double *restrict z, double *restrict x, double *restrict y, double *restrict h)
{
    for (int i = 0; i < SM_LANES; i++) { /* (2.6) */
        x[i] = f->ox[i] + r[i] * (cos_az * f->ux[i] + sin_az * f->vx[i]) + z[i] * f->nx[i];
        y[i] = f->oy[i] + r[i] * (sin_az * f->vy[i]) + z[i] * f->ny[i];
        h[i] = f->oz[i] + r[i] * (cos_az * f->uz[i] + sin_az * f->vz[i]) + z[i] * f->nz[i];
    }
}

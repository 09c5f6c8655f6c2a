/* tube.c - the tube that the new valve makes of the old leaflets (model.md section 4).
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "geometry/tube.h"

#include <math.h>

sm_direction sm_direction_at(double th)
{
    return (sm_direction){cos(2 * th), sin(2 * th), cos(3 * th), sin(3 * th)};
}

static inline double lesser(double a, double b)
{
    return a < b ? a : b;
}

static inline double greater(double a, double b)
{
    return a > b ? a : b;
}

/* shape of (4.1): each piece adds its rise in so far as x lies beyond its start. */
SM_WIDE static void shape_at(const sm_tube_model *m, const sm_tube *restrict t, const double *restrict z,
                             double *restrict shape)
{
    const double height = m->frame_height, first = m->shape_points ? m->shape[0][1] : 1;
    for (int i = 0; i < SM_LANES; i++)
        shape[i] = first;
    for (size_t j = 0; j + 1 < m->shape_points; j++) {
        const double start = m->shape[j][0], width = m->shape[j + 1][0] - start;
        const double slope = (m->shape[j + 1][1] - m->shape[j][1]) / width;
        for (int i = 0; i < SM_LANES; i++) {
            double x = (z[i] + t->depth[i]) / height;
            shape[i] += slope * lesser(greater(x - start, 0), width);
        }
    }
}

/* s of (4.3). If a draw puts the frame's top at or below the ring, the step stands at the ring. */
static inline double above_ring(double z, double ring_height, double frame_top)
{
    double span = greater(frame_top - ring_height, 1e-9);
    return lesser(greater((z - ring_height) / span, 0), 1);
}

SM_WIDE void sm_tube_frame_radius(const sm_tube_model *m, const sm_tube *restrict t, const sm_direction *d,
                                  const double *restrict z, double *restrict R_frame, double *restrict W)
{
    double shape[SM_LANES];
    shape_at(m, t, z, shape);
    for (int i = 0; i < SM_LANES; i++) {
        double D = t->D0[i] * shape[i];                                             /* (4.1) */
        double w = lesser(D, t->hold[i]);                                           /* (4.2) */
        double s = above_ring(z[i], m->ring_height, m->frame_height - t->depth[i]); /* (4.3) */
        double outline = d->cos_2th * t->ecc_c[i] + d->sin_2th * t->ecc_s[i];       /* ecc/2 cos 2(th - psi) */
        R_frame[i] = w / 2 * (1 + outline) + t->flare[i] * (D - w) / 2 * s;         /* (4.4) */
        W[i] = w;
    }
}

SM_WIDE void sm_tube_stand_off(const sm_tube *restrict t, const sm_direction *d, double *restrict stand_off)
{
    for (int i = 0; i < SM_LANES; i++) {
        double cos_3 = d->cos_3th * t->post_c[i] + d->sin_3th * t->post_s[i]; /* cos 3(th - post) */
        double m = t->mid[i] + (1 - t->mid[i]) * (1 + cos_3) / 2;             /* (4.5): cos^2 x = (1 + cos 2x)/2 */
        stand_off[i] = t->mount_offset[i] * m + t->excess[i];                 /* (4.6) */
    }
}

SM_WIDE void sm_tube_top(const sm_tube_model *m, const sm_tube *restrict t, const double *restrict H,
                         double *restrict H_t, double *restrict skirt_top)
{
    for (int i = 0; i < SM_LANES; i++) { /* (4.9) */
        double frame_top = m->frame_height - t->depth[i];
        skirt_top[i] = m->skirt_height - t->depth[i];
        H_t[i] = greater(lesser(H[i], frame_top + t->overhang[i]), skirt_top[i]);
    }
}

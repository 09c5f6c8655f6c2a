/* smooth.c - how probable a side's rules are over the private errors of its readings, all else given.
 *
 * Contents: 1. the tube  2. the height  3. the clearance
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "geometry/smooth.h"

#include <math.h>

#include "sampling/normal.h"

/* Beyond, the normal distribution function is 0 or 1. */
#define FAR 9.0

/* Between -FAR and FAR; what is not a number is -FAR. */
static inline double within(double x)
{
    x = x > -FAR ? x : -FAR;
    return x < FAR ? x : FAR;
}

/* 1. The tube */

void sm_smooth_tube(const sm_side_model *k, const sm_tube_model *m, const sm_tube *t, const double *H,
                    sm_side_tube *out)
{
    double skirt_top[SM_LANES];
    sm_tube_top(m, t, H, out->H_t, skirt_top);
    sm_tube_stand_off(t, &k->direction, out->stand_off);
}

void sm_smooth_open_tube(const sm_tube_model *m, const sm_tube *t, const double *H, sm_side_tube *out)
{
    double skirt_top[SM_LANES];
    sm_tube_top(m, t, H, out->H_t, skirt_top);
    for (int i = 0; i < SM_LANES; i++) {
        out->H_t[i] = out->H_t[i] < skirt_top[i] ? out->H_t[i] : skirt_top[i];
        out->stand_off[i] = 0;
    }
}

/* 2. The height */

/* (8.1), (8.2): the landmark without private errors, and how far one standard deviation of either turned error moves
 * it. The second moves it at one height: q. */
typedef struct {
    double x[SM_LANES], y[SM_LANES], h[SM_LANES];
    double px[SM_LANES], py[SM_LANES], ph[SM_LANES];
} turned;

SM_WIDE static void turn(const sm_side_place *k, const sm_frame *restrict f, const sm_private_pair *restrict pair,
                         turned *restrict p, sm_level *restrict out)
{
    const double cos_az = k->cos_az, sin_az = k->sin_az;
    for (int i = 0; i < SM_LANES; i++) {
        const double dx = cos_az * f->ux[i] + sin_az * f->vx[i], dy = sin_az * f->vy[i],
                     dh = cos_az * f->uz[i] + sin_az * f->vz[i];
        const double a = pair->gap_sd[i] * dh, b = pair->height_sd[i] * f->nz[i], c = sqrt(a * a + b * b);
        const double ea = c > 0 ? a / c : 0, eb = c > 0 ? b / c : 1; /* no height error and a level plane: any turn */
        p->px[i] = ea * pair->gap_sd[i] * dx + eb * pair->height_sd[i] * f->nx[i];
        p->py[i] = ea * pair->gap_sd[i] * dy + eb * pair->height_sd[i] * f->ny[i];
        p->ph[i] = c;
        out->qx[i] = ea * pair->height_sd[i] * f->nx[i] - eb * pair->gap_sd[i] * dx;
        out->qy[i] = ea * pair->height_sd[i] * f->ny[i] - eb * pair->gap_sd[i] * dy;
    }
}

static void place(const sm_side_place *k, const sm_frame *f, const sm_private_pair *pair, turned *p)
{
    double r[SM_LANES];
    for (int i = 0; i < SM_LANES; i++)
        r[i] = pair->gap[i] + k->circle / 2;
    sm_frame_point(f, k->cos_az, k->sin_az, r, pair->height, p->x, p->y, p->h);
}

/* (8.3), (8.4): how probable it is that the height lies below the tube's top, and one height of those that do. */
SM_WIDE static void reach_top(const double *restrict H_t, double margin, turned *p, const double *restrict u,
                              const sm_table *phi, double *restrict reached)
{
    double b[SM_LANES], g[SM_LANES];
    for (int i = 0; i < SM_LANES; i++) {
        const double cover = H_t[i] + margin - p->h[i];
        b[i] = within(p->ph[i] > 0 ? cover / p->ph[i] : cover >= 0 ? FAR : -FAR);
    }
    sm_table_apply(phi, 0, 1, b, reached, SM_LANES);
    for (int i = 0; i < SM_LANES; i++)
        g[i] = reached[i] * u[i];
    sm_normal_quantiles(g, g, SM_LANES);
    for (int i = 0; i < SM_LANES; i++) {
        p->x[i] += p->px[i] * g[i];
        p->y[i] += p->py[i] * g[i];
        p->h[i] += p->ph[i] * g[i];
    }
}

/* What the clearance is measured between: the landmark from the tube's axis at its height, and the tube's radius with
 * what stands off it. withheld: 1 if the limit is meant beside the circle as drawn, or 0. */
SM_WIDE static void stand_beside(const turned *restrict p, const sm_tube *restrict t, const double *restrict R_frame,
                                 const double *restrict W, const double *restrict stand_off, double withheld,
                                 double circle, sm_level *restrict out)
{
    for (int i = 0; i < SM_LANES; i++) {
        out->dx[i] = p->x[i] - (t->off_x[i] + t->cant_x[i] * p->h[i]);
        out->dy[i] = p->y[i] - (t->off_y[i] + t->cant_y[i] * p->h[i]);
        out->R[i] = R_frame[i] + stand_off[i] + withheld * (circle - W[i]) / 2;
    }
}

void sm_smooth_level(const sm_side_model *k, const sm_tube_model *m, const sm_tube *t, const sm_frame *f,
                     const sm_side_tube *tube, const sm_private_pair *pair, const sm_table *phi, sm_level *out)
{
    turned p;
    double z[SM_LANES], R_frame[SM_LANES], W[SM_LANES];
    place(&k->place, f, pair, &p);
    turn(&k->place, f, pair, &p, out);
    reach_top(tube->H_t, pair->margin, &p, pair->u, phi, out->reached);
    for (int i = 0; i < SM_LANES; i++)
        z[i] = p.h[i] < tube->H_t[i] ? p.h[i] : tube->H_t[i];
    sm_tube_frame_radius(m, t, &k->direction, z, R_frame, W);
    stand_beside(&p, t, R_frame, W, tube->stand_off, m->drawn_circle ? 1 : 0, k->place.circle, out);
}

/* 3. The clearance */

/* (8.5): the ends between which the second error leaves less than L between landmark and axis; both alike where none
 * does. Without such an error there is all or nothing. */
SM_WIDE static void ends_of(const sm_level *at, const double *restrict limit, double *restrict low,
                            double *restrict high)
{
    for (int i = 0; i < SM_LANES; i++) {
        const double L = at->R[i] + limit[i], qx = at->qx[i], qy = at->qy[i], dx = at->dx[i], dy = at->dy[i];
        const double A = qx * qx + qy * qy, B = dx * qx + dy * qy, C = dx * dx + dy * dy - L * L;
        const double D = B * B - A * C, root = sqrt(D > 0 ? D : 0);
        const bool moves = A > 0, some = (L > 0) & (moves ? D > 0 : C < 0);
        low[i] = within(!some ? 0 : moves ? (-B - root) / A : -FAR);
        high[i] = within(!some ? 0 : moves ? (-B + root) / A : FAR);
    }
}

void sm_smooth_crossed(const sm_level *at, const double *limit, const sm_table *phi, double *restrict p)
{
    double low[SM_LANES], high[SM_LANES], up_to[SM_LANES];
    ends_of(at, limit, low, high);
    sm_table_apply(phi, 0, 1, high, up_to, SM_LANES);
    sm_table_apply(phi, 0, 1, low, p, SM_LANES);
    for (int i = 0; i < SM_LANES; i++) {
        const double between = up_to[i] > p[i] ? up_to[i] - p[i] : 0;
        p[i] = at->reached[i] * between;
    }
}

void sm_smooth_either(const double *restrict a, const double *restrict b, double *restrict either)
{
    for (int i = 0; i < SM_LANES; i++)
        either[i] = 1 - (1 - a[i]) * (1 - b[i]); /* (8.6) */
}

void sm_smooth_mixed(const double *restrict success, const double *restrict p, const double *restrict open,
                     double *restrict mixed)
{
    for (int i = 0; i < SM_LANES; i++)
        mixed[i] = (1 - success[i]) * p[i] + success[i] * open[i]; /* (8.7) */
}

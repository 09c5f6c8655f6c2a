/* side.c - one coronary's clearances, cover, reach and crossings (model.md section 5).
 *
 * Contents: 1. constants  2. landmarks  3. a lacerated leaflet  4. clearances and crossings
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "geometry/side.h"

#include <math.h>

#include <gsl/gsl_math.h>

#include "geometry/gap.h"

/* 1. Constants */

sm_side_model sm_side_create(double azimuth_deg, double circle_mm, const sm_limits *limits,
                             const sm_surgical_valve *valve)
{
    const double th = azimuth_deg * (M_PI / 180);
    const bool posts = valve->leaflet_mount != SM_STENTLESS;
    return (sm_side_model){.place = {.circle = circle_mm, .cos_az = cos(th), .sin_az = sin(th)},
                           .direction = sm_direction_at(th),
                           .reach_margin = limits->reach_margin_mm,
                           .counts = 1,
                           .cos_post_block = posts ? cos(3 * valve->post_block_deg * (M_PI / 180)) : 2};
}

void sm_side_without_ostium(sm_side_model *k)
{
    k->counts = 0;
}

/* 2. Landmarks */

SM_WIDE void sm_side_landmark(const sm_side_place *k, const sm_frame *f, const double *restrict gap,
                              const double *height, sm_landmark *p)
{
    double r[SM_LANES];
    const double half = k->circle / 2;
    for (int i = 0; i < SM_LANES; i++)
        r[i] = gap[i] + half;
    sm_frame_point(f, k->cos_az, k->sin_az, r, height, p->x, p->y, p->h);
}

void sm_side_landmarks(const sm_side_place *k, const sm_frame *f, const double (*reading)[SM_LANES], sm_landmarks *out)
{
    double r[SM_LANES], x[SM_LANES], y[SM_LANES];
    for (int g = 0; g < SM_GAPS; g++)
        sm_side_landmark(k, f, reading[sm_gaps[g].quantity], reading[sm_gaps[g].height], &out->at[g]);
    for (int i = 0; i < SM_LANES; i++)
        r[i] = k->circle / 2;
    sm_frame_point(f, k->cos_az, k->sin_az, r, reading[SM_LEAFLET_HEIGHT], x, y, out->H);
}

SM_WIDE void sm_side_gap(const sm_side_place *k, const sm_landmark *restrict p, double *restrict T)
{
    for (int i = 0; i < SM_LANES; i++)
        T[i] = sqrt(p->x[i] * p->x[i] + p->y[i] * p->y[i]) - k->circle / 2;
}

SM_WIDE void sm_side_move(const sm_side_place *k, const double *restrict T, sm_landmark *restrict p)
{
    for (int i = 0; i < SM_LANES; i++) {
        double scale = (T[i] + k->circle / 2) / sqrt(p->x[i] * p->x[i] + p->y[i] * p->y[i]);
        p->x[i] *= scale;
        p->y[i] *= scale;
    }
}

/* 3. A lacerated leaflet */

SM_WIDE void sm_side_clear_of_posts(const sm_side_model *k, const sm_tube *t, double *restrict clear)
{
    const sm_direction *d = &k->direction;
    for (int i = 0; i < SM_LANES; i++) {
        const double cos_3 = d->cos_3th * t->post_c[i] + d->sin_3th * t->post_s[i];
        clear[i] = cos_3 >= k->cos_post_block ? 0 : 1;
    }
}

/* Section 5: on success, and if no post stands in front, the tube ends at the skirt and is the bare frame. */
SM_WIDE static void lay_open(const sm_side_model *k, const sm_tube *t, const double *restrict split,
                             const double *restrict skirt_top, double *restrict H_t, double *restrict stand_off,
                             double *restrict opened)
{
    double clear[SM_LANES];
    sm_side_clear_of_posts(k, t, clear);
    for (int i = 0; i < SM_LANES; i++) {
        bool open = (split[i] != 0) & (clear[i] != 0);
        double lower = H_t[i] < skirt_top[i] ? H_t[i] : skirt_top[i];
        H_t[i] = open ? lower : H_t[i];
        stand_off[i] = open ? 0 : stand_off[i];
        opened[i] = open ? 1 : 0;
    }
}

/* 4. Clearances and crossings */

/* For one landmark: its distance from the new valve's axis at its height less the tube's radius there, and (4.7). */
SM_WIDE void sm_side_clearance(const sm_side_model *k, const sm_tube_model *m, const sm_tube *restrict t,
                               const sm_side_cover *restrict cover, const sm_landmark *restrict p, double *restrict out)
{
    const double *restrict H_t = cover->H_t, *restrict stand_off = cover->stand_off;
    double z[SM_LANES], R_frame[SM_LANES], W[SM_LANES];
    const double withheld = m->drawn_circle ? 1 : 0;
    for (int i = 0; i < SM_LANES; i++)
        z[i] = p->h[i] < H_t[i] ? p->h[i] : H_t[i];
    sm_tube_frame_radius(m, t, &k->direction, z, R_frame, W);
    for (int i = 0; i < SM_LANES; i++) {
        double dx = p->x[i] - (t->off_x[i] + t->cant_x[i] * p->h[i]); /* (4.8) */
        double dy = p->y[i] - (t->off_y[i] + t->cant_y[i] * p->h[i]);
        double R_tube = R_frame[i] + stand_off[i]; /* (4.6) */
        out[i] = sqrt(dx * dx + dy * dy) - R_tube - withheld * (k->place.circle - W[i]) / 2;
    }
}

void sm_side_waist(const sm_side_model *k, const sm_tube_model *m, const sm_tube *t, const sm_landmarks *p,
                   double *restrict W)
{
    double R_frame[SM_LANES];
    sm_tube_frame_radius(m, t, &k->direction, p->at[SM_GAP_OSTIUM].h, R_frame, W);
}

void sm_side_find_cover(const sm_side_model *k, const sm_tube_model *m, const sm_tube *t, const sm_landmarks *p,
                        const double *split, sm_side_cover *cover, sm_side_out *out)
{
    double skirt_top[SM_LANES];
    sm_tube_top(m, t, p->H, cover->H_t, skirt_top);
    sm_tube_stand_off(t, &k->direction, cover->stand_off);
    for (int i = 0; split && i < SM_LANES; i++)
        out->uncut_cover[i] = cover->H_t[i] - p->at[SM_GAP_OSTIUM].h[i];
    if (split)
        lay_open(k, t, split, skirt_top, cover->H_t, cover->stand_off, out->opened);
}

SM_WIDE void sm_side_cross(const sm_side_model *k, const sm_landmarks *restrict p, const sm_side_cover *restrict tube,
                           const double (*restrict limit)[SM_LANES], sm_side_out *restrict out)
{
    const double counts = k->counts; /* read in the loop, gcc 12 makes it of single numbers */
    const double *H_t = tube->H_t, *ostium_h = p->at[SM_GAP_OSTIUM].h, *stj_h = p->at[SM_GAP_STJ].h;
    for (int i = 0; i < SM_LANES; i++) {
        double cover = H_t[i] - ostium_h[i], reach = H_t[i] - stj_h[i]; /* (5.4) */
        double ostium = out->y[SM_OSTIUM_CLEARANCE][i], stj = out->y[SM_STJ_CLEARANCE][i];
        out->y[SM_COVER][i] = cover;
        out->y[SM_REACH][i] = reach;
        out->crowded[i] = ((cover >= 0) & (ostium < limit[SM_GAP_OSTIUM][i])) ? counts : 0; /* (5.5) */
        out->sealed[i] = ((reach >= -k->reach_margin) & (stj < limit[SM_GAP_STJ][i])) ? 1 : 0;
    }
    for (int i = 0; i < SM_LANES; i++)
        out->event[i] = out->crowded[i] + counts * out->sealed[i] > 0 ? 1 : 0;
}

void sm_side_evaluate(const sm_side_model *k, const sm_tube_model *m, const sm_tube *t, const sm_landmarks *p,
                      const double (*limit)[SM_LANES], const double *split, sm_side_out *out)
{
    sm_side_cover cover;
    sm_side_find_cover(k, m, t, p, split, &cover, out);
    for (int g = 0; g < SM_GAPS; g++) {
        sm_side_gap(&k->place, &p->at[g], out->y[sm_gaps[g].conventional]);          /* (5.1) */
        sm_side_clearance(k, m, t, &cover, &p->at[g], out->y[sm_gaps[g].clearance]); /* (5.2), (5.3) */
    }
    sm_side_cross(k, p, &cover, limit, out);
}

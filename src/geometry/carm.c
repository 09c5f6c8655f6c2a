/* carm.c - the projection in which a C-arm shows a gap.
 *
 * Contents: 1. vectors  2. views  3. the valve's axes  4. the view of a gap
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "geometry/carm.h"

#include <math.h>
#include <string.h>

#include <gsl/gsl_math.h>

#define DEG (M_PI / 180)

/* 1. Vectors */

static double dot(const double a[3], const double b[3])
{
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
}

static void cross(const double a[3], const double b[3], double out[3])
{
    const double c[3] = {a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]};
    memcpy(out, c, sizeof c);
}

/* p a + q b */
static void combine(double p, const double a[3], double q, const double b[3], double out[3])
{
    for (int i = 0; i < 3; i++)
        out[i] = p * a[i] + q * b[i];
}

/* Brings a to length 1; false if it has next to none. */
static bool make_unit(double a[3])
{
    const double length = sqrt(dot(a, a));
    if (!(length > 1e-9))
        return false;
    for (int i = 0; i < 3; i++)
        a[i] /= length;
    return true;
}

/* 2. Views */

void sm_carm_direction(sm_view v, double d[3])
{
    const double a = v.primary_deg * DEG, b = v.secondary_deg * DEG;
    d[0] = sin(a) * cos(b); /* (6.4) */
    d[1] = -cos(a) * cos(b);
    d[2] = sin(b);
}

sm_view sm_carm_view(const double d[3])
{
    return (sm_view){.primary_deg = atan2(d[0], -d[1]) / DEG, .secondary_deg = asin(fmax(-1, fmin(1, d[2]))) / DEG};
}

double sm_carm_apart_deg(sm_view a, sm_view b)
{
    double da[3], db[3], across[3];
    sm_carm_direction(a, da);
    sm_carm_direction(b, db);
    cross(da, db, across);
    return atan2(sqrt(dot(across, across)), fabs(dot(da, db))) / DEG;
}

/* 3. The valve's axes */

/* e turned about n by an angle, e being across n. */
static void turn(const double n[3], const double e[3], double angle_deg, double out[3])
{
    double ahead[3];
    cross(n, e, ahead);
    combine(cos(angle_deg * DEG), e, sin(angle_deg * DEG), ahead, out);
}

void sm_carm_azimuth(const sm_patient_axes *axes, double azimuth_deg, double e[3])
{
    turn(axes->n, axes->e0, azimuth_deg, e); /* (6.5) */
}

bool sm_carm_axis_of_views(const sm_view edge_on[2], double n[3])
{
    double d[2][3];
    for (int i = 0; i < 2; i++)
        sm_carm_direction(edge_on[i], d[i]);
    cross(d[0], d[1], n); /* (6.6) */
    if (!make_unit(n) || fabs(n[2]) < sin(3 * DEG))
        return false;
    for (int i = 0; i < 3 && n[2] < 0; i++)
        d[0][i] = -n[i];
    if (n[2] < 0)
        memcpy(n, d[0], sizeof d[0]);
    return true;
}

bool sm_carm_zero_of_profile(const double n[3], sm_view profile, bool at_right, double azimuth_deg, double e0[3])
{
    const double a = profile.primary_deg * DEG, right[3] = {cos(a), sin(a), 0};
    double d[3], e[3];
    sm_carm_direction(profile, d);
    cross(n, d, e);
    if (!make_unit(e))
        return false;
    if ((dot(e, right) > 0) != at_right)
        for (int i = 0; i < 3; i++)
            e[i] = -e[i];
    turn(n, e, -azimuth_deg, e0);
    return true;
}

/* The centre of the circle through three points: barycentric, by the squared sides. */
static void circle_centre(const double p[3][3], double centre[3])
{
    double side[3], weight[3], sum = 0;
    for (int i = 0; i < 3; i++) {
        double a[3];
        combine(1, p[(i + 1) % 3], -1, p[(i + 2) % 3], a);
        side[i] = dot(a, a);
    }
    for (int i = 0; i < 3; i++) {
        weight[i] = side[i] * (side[(i + 1) % 3] + side[(i + 2) % 3] - side[i]);
        sum += weight[i];
    }
    for (int j = 0; j < 3; j++)
        centre[j] = (weight[0] * p[0][j] + weight[1] * p[1][j] + weight[2] * p[2][j]) / sum;
}

bool sm_carm_axis_of_points(const double base[3][3], const double toward[3], double n[3], double centre[3])
{
    double a[3], b[3], up[3];
    combine(1, base[1], -1, base[0], a);
    combine(1, base[2], -1, base[0], b);
    if (!make_unit(a) || !make_unit(b))
        return false;
    cross(a, b, n);
    if (dot(n, n) < gsl_pow_2(sin(5 * DEG)) || !make_unit(n))
        return false;
    circle_centre(base, centre);
    combine(1, toward, -1, centre, up);
    const double height = dot(up, n);
    for (int i = 0; i < 3 && height < 0; i++)
        n[i] = -n[i];
    return fabs(height) > 1;
}

bool sm_carm_zero_of_point(const double n[3], const double centre[3], const double point[3], double azimuth_deg,
                           double e0[3])
{
    double e[3];
    combine(1, point, -1, centre, e);
    combine(1, e, -dot(e, n), n, e);
    if (!make_unit(e))
        return false;
    turn(n, e, -azimuth_deg, e0);
    return true;
}

/* 4. The view of a gap */

/* Limits are met to a millionth of a degree, so that a view at the very end of the gantry's reach is taken. */
#define SLACK_DEG 1e-6

static bool within(sm_view v, const sm_gantry *g)
{
    return v.primary_deg >= -g->rao_deg - SLACK_DEG && v.primary_deg <= g->lao_deg + SLACK_DEG &&
           v.secondary_deg >= -g->caudal_deg - SLACK_DEG && v.secondary_deg <= g->cranial_deg + SLACK_DEG;
}

/* Of d and -d the one with the detector in front of the patient; one exactly beside the patient is LAO. */
static bool in_front(const double d[3])
{
    return d[1] < -1e-9 || (d[1] < 1e-9 && d[0] > 0);
}

/* Whether d or -d can be had; the detector in front if both can. */
static bool reached(const double d[3], const sm_gantry *g, sm_view *out)
{
    const double back[3] = {-d[0], -d[1], -d[2]};
    const double *front = in_front(d) ? d : back, *other = in_front(d) ? back : d;
    *out = sm_carm_view(front);
    if (within(*out, g))
        return true;
    *out = sm_carm_view(other);
    return within(*out, g);
}

/* The view nearest to f in the plane of f and g: by how many degrees toward g, of either sign. */
static bool at_angle(const double f[3], const double toward[3], double angle_deg, const sm_gantry *gantry, sm_view *out)
{
    double d[3];
    combine(cos(angle_deg * DEG), f, sin(angle_deg * DEG), toward, d);
    return reached(d, gantry, out);
}

/* Between an angle that cannot be had and one that can. */
static double close_in(const double f[3], const double toward[3], double outside, double inside, const sm_gantry *g,
                       sm_view *view)
{
    for (int i = 0; i < 40; i++) {
        const double middle = (outside + inside) / 2;
        if (at_angle(f, toward, middle, g, view))
            inside = middle;
        else
            outside = middle;
    }
    at_angle(f, toward, inside, g, view);
    return fabs(inside);
}

static sm_carm_shot nearest(const double f[3], const double toward[3], const sm_gantry *gantry)
{
    enum { STEPS = 3600 };
    const double step = 90.0 / STEPS;
    sm_carm_shot shot = {.there = false};
    if (at_angle(f, toward, 0, gantry, &shot.view))
        return (sm_carm_shot){true, shot.view, 0};
    for (int i = 1; i <= STEPS && !shot.there; i++)
        for (int sign = 1; sign >= -1 && !shot.there; sign -= 2)
            if (at_angle(f, toward, sign * i * step, gantry, &shot.view)) {
                shot.there = true;
                shot.off_deg = close_in(f, toward, sign * (i - 1) * step, sign * i * step, gantry, &shot.view);
            }
    return shot;
}

sm_projection sm_carm_projection(const sm_patient_axes *axes, double azimuth_deg, const sm_gantry *gantry)
{
    double e[3], f[3];
    sm_carm_azimuth(axes, azimuth_deg, e);
    cross(axes->n, e, f); /* edge-on and in profile at once */
    return (sm_projection){.edge_on = nearest(f, e, gantry), .profile = nearest(f, axes->n, gantry)};
}

double sm_carm_foreshortening(double T, double circle_mm, double miss_deg)
{
    return (T + circle_mm / 2) * (1 - cos(miss_deg * DEG)); /* (6.7) */
}

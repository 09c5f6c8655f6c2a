/* picked.c - points picked in a scan -> heights, azimuths and distances as a reader records them (model.md 2.4).
 *
 * Contents: 1. vectors  2. the frame  3. a point in it  4. how the root lies in the patient
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "measurement/picked.h"

#include <math.h>
#include <stdbool.h>
#include <stddef.h>

#define DEGREES (180 / 3.14159265358979323846)

/* 1. Vectors */

static sm_vector less(sm_vector a, sm_vector b)
{
    return (sm_vector){a.x - b.x, a.y - b.y, a.z - b.z};
}

/* a + s b */
static sm_vector plus(sm_vector a, double s, sm_vector b)
{
    return (sm_vector){a.x + s * b.x, a.y + s * b.y, a.z + s * b.z};
}

static sm_vector times(double s, sm_vector a)
{
    return (sm_vector){s * a.x, s * a.y, s * a.z};
}

static double dot(sm_vector a, sm_vector b)
{
    return a.x * b.x + a.y * b.y + a.z * b.z;
}

static sm_vector cross(sm_vector a, sm_vector b)
{
    return (sm_vector){a.y * b.z - a.z * b.y, a.z * b.x - a.x * b.z, a.x * b.y - a.y * b.x};
}

static double length(sm_vector a)
{
    return sqrt(dot(a, a));
}

/* What of a lies across the unit vector n. */
static sm_vector across(sm_vector a, sm_vector n)
{
    return plus(a, -dot(a, n), n);
}

/* 2. The frame */

enum { SIN_LEAST_PERCENT = 5 }; /* base points within 3 degrees of a line make no plane */
#define NEAREST_MM 1.0          /* a point nearer than this to a plane or an axis does not tell a side */

/* (2.7): the plane through the base points, and the centre of their circle. */
static sm_picked_fault span(const sm_vector base[3], sm_picked_frame *out)
{
    const sm_vector a = less(base[0], base[2]), b = less(base[1], base[2]), normal = cross(a, b);
    const double area = length(normal), sides = length(a) * length(b) * length(less(base[0], base[1]));
    const double longest = fmax(length(a), fmax(length(b), length(less(base[0], base[1]))));
    if (!(area * longest > SIN_LEAST_PERCENT / 100.0 * sides) || !(sides > 0))
        return SM_PICKED_NO_PLANE;
    const sm_vector w = less(times(dot(a, a), b), times(dot(b, b), a));
    out->n = times(1 / area, normal);
    out->origin = plus(base[2], 1 / (2 * area * area), cross(w, normal));
    out->radius_mm = sides / (2 * area);
    return SM_PICKED_OK;
}

sm_picked_fault sm_picked_frame_create(const sm_vector base[3], const sm_vector *centre, const sm_vector *up,
                                       const sm_vector *zero, sm_picked_frame *out)
{
    *out = (sm_picked_frame){0};
    if (span(base, out) != SM_PICKED_OK)
        return SM_PICKED_NO_PLANE;
    const double rise = dot(less(*up, out->origin), out->n);
    if (!(fabs(rise) >= NEAREST_MM))
        return SM_PICKED_NO_UP;
    out->n = times(rise < 0 ? -1 : 1, out->n);
    if (centre) {
        const sm_vector off = across(less(*centre, out->origin), out->n);
        out->centre_off_mm = length(off);
        out->origin = plus(out->origin, 1, off);
    }
    const sm_vector toward = across(less(*zero, out->origin), out->n); /* (2.8) */
    if (!(length(toward) >= NEAREST_MM))
        return SM_PICKED_NO_ZERO;
    out->u = times(1 / length(toward), toward);
    out->v = cross(out->n, out->u);
    for (int i = 0; i < 3; i++)
        out->base_azimuth_deg[i] = sm_picked_measure(out, &base[i]).azimuth_deg;
    return SM_PICKED_OK;
}

/* 3. A point in it */

sm_picked sm_picked_measure(const sm_picked_frame *f, const sm_vector *p)
{
    const sm_vector d = less(*p, f->origin);
    const double along_u = dot(d, f->u), along_v = dot(d, f->v);
    const double azimuth = atan2(along_v, along_u) * DEGREES;
    return (sm_picked){.height_mm = dot(d, f->n), /* (2.9) */
                       .radius_mm = hypot(along_u, along_v),
                       .azimuth_deg = azimuth < 0 ? azimuth + 360 : azimuth};
}

/* 4. How the root lies in the patient */

/* Seen from the aorta, the right ostium follows the left one clockwise, by 100 to 200 degrees in most roots: in a
 * mirror it follows counter-clockwise. Near half a turn apart, or side by side, two ostia do not tell; nearer still if
 * all else is as it should be. */
static bool follows_backward(const sm_picked_frame *f, const sm_vector *left, const sm_vector *right, bool else_well)
{
    const double from = sm_picked_measure(f, left).azimuth_deg, to = sm_picked_measure(f, right).azimuth_deg;
    const double turn = to - from + (to < from ? 360 : 0), most = else_well ? 150 : 165;
    return turn > 40 && turn < most;
}

/* The cosine of the angle, seen from the head, between a direction and another; 1 if it has no such direction. */
static double agrees(sm_vector d, double x, double y)
{
    const double n = hypot(d.x, d.y);
    return n >= NEAREST_MM ? (d.x * x + d.y * y) / (n * hypot(x, y)) : 1;
}

sm_picked_lie sm_picked_lies(const sm_picked_frame *f, const sm_vector *left, const sm_vector *right)
{
    const double clearly = -0.35; /* 20 degrees past a right angle */
    if (f->n.z < -0.1)            /* 6 degrees below the level: no aorta leads so, however it lies */
        return SM_LIES_UPSIDE_DOWN;
    if (left && right) { /* the left ostium lies to the left of the right one and behind it */
        const double way = agrees(less(*left, *right), 1, 1);
        if (follows_backward(f, left, right, way > -2 * clearly))
            return way < 2 * clearly ? SM_LIES_EXCHANGED : SM_LIES_MIRRORED;
        return way < 0 ? SM_LIES_TURNED : SM_LIES_PLAIN;
    }
    if (left && agrees(less(*left, f->origin), 1, 0.3) < clearly)
        return SM_LIES_TURNED;
    if (right && agrees(less(*right, f->origin), 0, -1) < clearly)
        return SM_LIES_TURNED;
    return SM_LIES_PLAIN;
}

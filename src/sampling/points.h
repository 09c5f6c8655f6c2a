/* points.h - Sobol's points, scrambled, each reachable at once: a coordinate is a pure function of (dimension, seed,
 * index).
 *
 * Directions by Joe and Kuo (joe_kuo.c). The scramble is Owen's nested uniform one by a hash (Laine and Karras 2011;
 * Burley 2020): every coordinate by itself is uniform over the seeds, and any 2^k points that follow an index divisible
 * by 2^k fall one into each of 2^k equal steps.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_SAMPLING_POINTS_H
#define SM_SAMPLING_POINTS_H

#include <stdint.h>

#include <gsl/gsl_qrng.h>

#include "base/lanes.h"

enum { SM_POINT_DIMENSIONS = 128, SM_POINT_DEGREE = 10, SM_POINT_DIGITS = 32 };

typedef struct {
    uint16_t polynomial, m[SM_POINT_DEGREE];
} sm_joe_kuo_row;

extern const sm_joe_kuo_row sm_joe_kuo[SM_POINT_DIMENSIONS];

/* One dimension: its direction numbers and its first SM_LANES points, digits reversed, not scrambled. */
typedef struct {
    uint32_t direction[SM_POINT_DIGITS], first[SM_LANES];
} sm_point_axis;

/* dimension: 0 to SM_POINT_DIMENSIONS - 1. */
void sm_point_axis_create(int dimension, sm_point_axis *a);

/* out[i] = the coordinate of point index + i, i < SM_LANES: (k + 1/2) 2^-32, never 0 or 1. index: a multiple of
 * SM_LANES. */
void sm_points_fill(const sm_point_axis *a, uint32_t seed, uint32_t index, double *out);

/* The same behind GSL's interface, up to SM_POINT_DIMENSIONS dimensions: starts not scrambled at point 0. */
extern const gsl_qrng_type *const sm_qrng_points;
/* Puts q, a generator of sm_qrng_points, at a point; seed: of each dimension's scramble, NULL: none. */
void sm_qrng_points_seek(gsl_qrng *q, uint32_t index, const uint32_t *seed);

#endif

/* transform.h - from a stored base draw, a standard normal or a uniform, to a draw from any family.
 *
 * A draw is a fixed function of its base draw, so that a family or its parameters can change while the base draws stay.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_SAMPLING_TRANSFORM_H
#define SM_SAMPLING_TRANSFORM_H

#include "sampling/table.h"

typedef enum { SM_BASE_NORMAL, SM_BASE_UNIFORM } sm_base;

/* The base draw from which a family is cheapest. */
sm_base sm_transform_base(sm_family f);

/* A family tied to the kind of its base draw. location and scale apply to the standard form if a table is used. */
typedef struct {
    sm_dist dist;
    sm_base base;
    bool constant;
    double location, scale;
    const sm_table *table; /* owned by the tables; NULL if a closed form is used */
} sm_transform;

/* Prepares d for base draws of the given kind; equal ones from the same tables are equal as bytes. SM_NUMERIC if a
 * quantile cannot be found, SM_NO_MEMORY. */
sm_status sm_transform_create(sm_tables *tables, const sm_dist *d, sm_base base, sm_transform *out);

/* out[i] = the draw that belongs to base[i]. base may be NULL for a constant. out must not overlap base. */
void sm_transform_apply(const sm_transform *t, const double *restrict base, double *restrict out, int n);

#endif

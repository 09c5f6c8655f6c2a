/* reading.h - a reading becomes a distribution (model.md section 3).
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_MEASUREMENT_READING_H
#define SM_MEASUREMENT_READING_H

#include "measurement/case.h"

/* (3.1) as constants: truth = estimate - bloom_edges (B - reference) + error + resolution (V - 1/2), with V uniform.
 * For a quantity that is known as a distribution, `error` is that distribution and estimate, bloom_edges and resolution
 * are 0. mm. */
typedef struct {
    double estimate;
    sm_dist error; /* normal, student_t, or the distribution itself */
    double bloom_edges, reference;
    double resolution;
    double variance;        /* s^2 of (3.2) times (3.9), after the plane was taken off */
    double plane_taken;     /* variance taken off for sd_includes_plane */
    bool plane_exceeds;     /* the plane's variance was larger than s^2: warn */
    bool one_more;          /* a further reading by another reader is defined: its SD is known beforehand */
    double dof;             /* of the SDs; 0: they are known, the error is normal */
    double reread_variance; /* s_b^2 + s_r^2: what one more reading by another reader scatters by, about the truth */
} sm_reading;

/* plane_variance: the variance that the base plane and centreline give this quantity with one placement (mm^2), used
 * if q->sd_includes_plane; reference: reference_blooming_mm for the two gaps, else 0. Equal quantities make equal
 * bytes. */
void sm_reading_create(const sm_quantity *q, double plane_variance, double reference, sm_reading *out);

/* The variance of (3.2), mm^2. 0 if the quantity is not read or the error is of type A. */
double sm_reading_variance(const sm_quantity *q);

/* How many times (3.2) says too little of readers who lie further apart than their SDs allow: (3.9), squared. 1 or
 * more; 1 for one reader, for type A, and if an SD is 0. */
double sm_reading_excess(const sm_quantity *q);

#endif

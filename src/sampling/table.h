/* table.h - tables of costly quantiles, by which a normal score becomes a draw of another family.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_SAMPLING_TABLE_H
#define SM_SAMPLING_TABLE_H

#include "sampling/dist.h"

/* Tables of the costly quantiles (lognormal up to a gsd of 2.5, half_normal, student_t, truncated_normal, beta), built
 * once for each shape: cubic Hermite in the normal score z over [-8.5, 8.5]. The error is below 1e-6 of the value or
 * 1e-9 of the spread, whichever is more; below forty times that for a beta with a or b below 0.2 (tested). */
typedef struct sm_tables sm_tables;
sm_tables *sm_tables_create(void);
/* Takes what `known` has from there, and never writes to it: it must outlive them. */
sm_tables *sm_tables_create_beside(const sm_tables *known);
void sm_tables_destroy(sm_tables *t);

/* Finds or builds the table of sm_dist_standard_quantile(f, s1, s2, .), which the tables own. SM_NUMERIC if a
 * quantile cannot be found, SM_NO_MEMORY: *out is then left as it was. */
typedef struct sm_table sm_table;
sm_status sm_tables_get(sm_tables *tables, sm_family f, double s1, double s2, const sm_table **out);

/* The same of the normal distribution function itself, Phi(z), with an error below 1e-9; and of the scale by which a
 * normal is multiplied to make a Student's t: sqrt(dof/chi-square), rising with its normal score. */
sm_status sm_tables_phi(sm_tables *tables, const sm_table **out);
sm_status sm_tables_t_scale(sm_tables *tables, double dof, const sm_table **out);

/* out[i] = location + scale * the quantile at normal score z[i]. out must not overlap z. */
void sm_table_apply(const sm_table *t, double location, double scale, const double *restrict z, double *restrict out,
                    int n);

#endif

/* pivots.h - 95 % intervals of the SDs that readers make, by generalized pivots: they hold with few readers too.
 *
 * The degrees of freedom that Welch and Satterthwaite give a sum of squares are themselves estimated, and with few
 * readers an interval from them is too narrow. Here every square keeps the chi-square that it has (Weerahandi, J Am
 * Stat Assoc 1993;88:899-905; from memory), and what the sum can be is an average over them: no random number is drawn.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_READERS_PIVOTS_H
#define SM_READERS_PIVOTS_H

#include <stdbool.h>

#include "readers/ci95.h"
#include "readers/crossed.h"

enum { SM_PIVOT_NODES = 33 };

/* Mean 0 in every term, the cases' effects taken off. s^2_r, s^2_c, s^2_w: variance of readers, of readers within
 * cases, of repeats; n_k: readings of cell k.
 *   reader[i].square / (s^2_r + share (s^2_c + repeat_share s^2_w)), summed over i:  chi-square, reader_dof
 *   cell_ss / (s^2_c + cell_repeat_share s^2_w):                                     chi-square, cell_dof
 *   repeat_ss / s^2_w:                                                               chi-square, repeat_dof
 * Exact if all n_k are alike, with cells missing or not; else the means of 1/n_k stand for each. */
typedef struct {
    double square;       /* mm^2, of an independent contrast of readers scaled to carry s^2_r once */
    double share;        /* of a cell's error in it */
    double repeat_share; /* mean of 1/n_k in it */
} sm_reader_contrast;

typedef struct {
    size_t reader_dof, cell_dof, repeat_dof; /* 0 if the design has none */
    sm_reader_contrast *reader;
    double cell_ss, cell_repeat_share, repeat_ss;                /* mm^2 */
    double chi_cell[SM_PIVOT_NODES], chi_repeat[SM_PIVOT_NODES]; /* quantiles at the nodes of the average */
} sm_pivots;

/* SM_OK, SM_NO_MEMORY or SM_NUMERIC. A design that tells nothing gives no degrees of freedom. */
sm_status sm_pivots_create(const sm_crossed *d, sm_pivots **out);
void sm_pivots_destroy(sm_pivots *p);

/* Which variances are added up. If nobody read a case twice, s^2_w is a part of s^2_c: ask for cell. */
typedef struct {
    bool reader, cell, repeat;
} sm_pivot_sum;

/* The share of belief (a generalized p-value) that the sum is more than `variance`, mm^2. NaN if the design cannot
 * tell the sum. */
double sm_pivots_above(const sm_pivots *p, sm_pivot_sum sum, double variance);

/* The square root of the sum, mm, with `value` as its estimate: from where 97.5 of 100 of the belief lie above to where
 * 2.5 of 100 of what lies above 0 do. An estimate that weighs the readings otherwise may lie outside in odd designs;
 * the interval is then stretched to it. */
sm_ci95 sm_pivots_sd(const sm_pivots *p, sm_pivot_sum sum, double value);

#endif

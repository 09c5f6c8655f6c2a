/* iso5725.h - repeatability and reproducibility, pooled over levels (cases).
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_READERS_ISO5725_H
#define SM_READERS_ISO5725_H

#include "readers/crossed.h"

/* ISO 5725-2 (formulas from memory; the standard was not opened), readers in the place of laboratories, mm. NaN if
 * not told. Over all levels: s_r^2 by degrees of freedom of the repeats, s_L^2 by readers less one (each level's taken
 * before it is cut at 0, so that the pooled value is not biased upward; only the pooled one is cut). */
typedef struct {
    size_t levels;               /* with at least two readers and a repeat */
    double s_r, s_l, s_big_r;    /* repeatability, between readers (not below 0), reproducibility SD */
    double r_limit, big_r_limit; /* 2.8 SD: two readings differ by less in about 95 of 100 pairs */
} sm_iso5725;

sm_iso5725 sm_iso5725_fit(const sm_crossed *d);

#endif

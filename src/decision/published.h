/* published.h - what published series of the same operation say of a conventional reading like this one. Beside the
 * decision, never in it.
 *
 * What they make of the true gaps of a run stands in engine/obstruction.h. Facts: docs/facts.md (Ribeiro, Eur Heart J
 * 2018;39:687).
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_DECISION_PUBLISHED_H
#define SM_DECISION_PUBLISHED_H

#include "measurement/series.h"

typedef struct {
    int side;       /* of the smallest reading */
    double reading; /* the conventional ostium gap read there, mm, before any correction */
    sm_published_class rate;
    bool beyond; /* the reading lies outside the range of nearly all published ones */
} sm_published;

void sm_published_of(const sm_case *c, sm_published *out);

/* What the published means and SDs imply of a cut at so many mm ("at risk" at or below it): checks on the facts, and
 * told to the reader. */
double sm_published_auc(void);
double sm_published_sensitivity(double cut);
double sm_published_specificity(double cut);

#endif

/* published.h - what published series of the same operation say of a conventional reading like this one. Beside the
 * decision, never in it.
 *
 * Two normal distributions of the conventional valve-to-ostium distance, of patients who were obstructed and who were
 * not, and how often the design class of the old valve was obstructed at all; Bayes' rule joins them. Evaluated at the
 * reading itself: the published SDs already contain reader error. Facts: docs/facts.md (Ribeiro, Eur Heart J
 * 2018;39:687).
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_DECISION_PUBLISHED_H
#define SM_DECISION_PUBLISHED_H

#include <stdint.h>

#include "base/status.h"
#include "measurement/case.h"

/* A published group of readings, mm. */
typedef struct {
    double mean, sd;
    int n;
} sm_published_group;

/* How often a design class was obstructed. per_100 is what was published; events of patients are one split of the
 * published total, 37 of 1,612, that agrees with the published percentages of all three classes (derived: the split
 * itself was not seen), and set the width of the interval only. */
typedef struct {
    double per_100;
    int events, patients;
} sm_published_class;

extern const sm_published_group sm_published_obstructed, sm_published_unobstructed;
sm_published_class sm_published_class_of(sm_leaflet_mount mount);

typedef struct {
    int side;       /* of the smallest reading */
    double reading; /* the conventional ostium gap read there, mm, before any correction */
    sm_published_class rate;
    double probability; /* of obstruction at this reading, by the published means, SDs and class rate as they stand */
    double low, high;   /* 95 % of what these rest on so few patients leaves open */
    bool beyond;        /* the reading lies outside the range of nearly all published ones */
} sm_published;

/* 65,536 draws of what the groups and the rate might truly be: SD by chi-square, mean by normal given that (so t), rate
 * by beta with Jeffreys' prior. */
sm_status sm_published_of(const sm_case *c, uint64_t seed, sm_published *out);

/* What the published means and SDs imply of a cut at so many mm ("at risk" at or below it): checks on the facts, and
 * told to the reader. */
double sm_published_auc(void);
double sm_published_sensitivity(double cut);
double sm_published_specificity(double cut);

#endif

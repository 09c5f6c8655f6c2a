/* series.h - published series of readings from patients who were obstructed and who were not (docs/facts.md).
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_MEASUREMENT_SERIES_H
#define SM_MEASUREMENT_SERIES_H

#include "measurement/case.h"

/* The two published sets of limits, mm: by planning, and by CT before and after (docs/facts.md). */
enum { SM_PUBLISHED_LIMITS = 2 };

typedef struct {
    double ostium_clearance_mm, stj_clearance_mm;
} sm_published_limit;

extern const sm_published_limit sm_published_limits[SM_PUBLISHED_LIMITS];

/* A published group of readings of the conventional valve-to-ostium distance, mm (Ribeiro, Eur Heart J 2018;39:687). */
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

/* Both groups, and a class. */
typedef struct {
    sm_published_group obstructed, unobstructed;
    sm_published_class rate;
} sm_series;

sm_series sm_series_published(sm_leaflet_mount mount);

/* The SD of the readings' own error in those series, mm: judgement, with its range. The published SDs contain it. */
#define SM_SERIES_ERROR_SD   0.9
#define SM_SERIES_ERROR_LOW  0.6
#define SM_SERIES_ERROR_HIGH 1.2

/* Of coronaries whose leaflet was split with success (97.7 %), the share that was obstructed all the same: 90.6 %
 * stayed free of it (Abdel-Wahab, EuroIntervention, doi 10.4244/EIJ-D-22-00960). */
#define SM_SERIES_SPLIT_OBSTRUCTED ((97.7 - 90.6) / 97.7)

#endif

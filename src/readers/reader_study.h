/* reader_study.h - a reader study: the readings, and what is learned from those of each quantity.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_READERS_READER_STUDY_H
#define SM_READERS_READER_STUDY_H

#include <stdbool.h>

#include "readers/additive_fit.h"
#include "readers/agreement.h"
#include "readers/iso5725.h"
#include "readers/odd_cells.h"
#include "readers/variance_components.h"

/* Bounds of one study; inside them no quantity takes more than a few seconds. */
#define SM_STUDY_MAX_CASES      1000
#define SM_STUDY_MAX_READERS    100
#define SM_STUDY_MAX_QUANTITIES 50
#define SM_STUDY_MAX_READINGS   5000 /* of one quantity */

typedef struct {
    size_t case_id, reader_id, file, line; /* number of the file, line from 1 */
    long repeat;
    double mm;
} sm_study_reading;

typedef struct {
    char *name;
    size_t n;
    sm_study_reading *reading; /* by case, reader and repeat */
} sm_study_quantity;

typedef struct {
    size_t n_cases, n_readers, n_quantities, n_files;
    char **case_name, **reader_name, **file_name; /* of a file without its folder */
    sm_study_quantity *quantity;
} sm_reader_study;

/* Frees what s holds, not s itself. A zeroed study is fine. */
void sm_reader_study_destroy(sm_reader_study *s);

/* Two readers, by their numbers in the study, and how they agree (first less second). */
typedef struct {
    size_t first, second;
    sm_agreement agreement;
} sm_learned_pair;

/* The odd cell in terms of the study: readings first to first + n - 1 of the quantity are its repeats. */
typedef struct {
    size_t case_id, reader_id;
    size_t first, n, suspect; /* suspect: of its repeats the one furthest from what is read elsewhere */
    sm_odd_cell cell;
} sm_learned_odd;

/* Everything that the readings of one quantity tell. Estimates are NaN if the design cannot tell them. */
typedef struct {
    size_t cases, readers, readings;
    size_t *reader_id; /* of each column, as offset[] */
    bool has_spread;   /* false: nothing below but the counts is filled */
    sm_reml reml;
    sm_anova anova;
    sm_ci95 component_sd[SM_VCS]; /* case, reader, reader within case, repeat, mm */
    sm_ci95 between_sd;           /* reader and reader within case together, mm */
    sm_ci95 repeat_sd;            /* mm; NaN if repeats were not made: between_sd then holds them */
    sm_ci95 total_sd;             /* one reading by one reader, mm */
    double dof_found, dof;        /* of total_sd, as wide as its interval; NaN if not told; dof is not below 3 */
    bool too_small;               /* dof_found is below 3 or not told */
    bool has_icc;
    sm_icc icc; /* of the first readings of the cases that every reader read */
    sm_iso5725 iso;
    size_t n_pairs;
    sm_learned_pair *pair; /* pairs with at least 3 cases in common */
    sm_ci95 *offset;       /* of each reader from the mean of the readers, mm; NULL if not told */
    size_t n_odd;
    sm_learned_odd *odd;
    size_t n_outlying; /* at most SM_OUTLYING_MOST */
    sm_learned_odd *outlying;
    double sd_without; /* of one reading without them (of odd repeats the suspect alone), mm; NaN if not told */
} sm_learned;

/* The least degrees of freedom that a case file takes (docs/case-format.md). */
#define SM_LEARNED_LEAST_DOF 3.0

/* Learns from quantity q of s. SM_OK also if little can be learned. */
sm_status sm_learn_quantity(const sm_reader_study *s, size_t q, sm_learned *out);
/* Frees what l holds, not l itself. A zeroed one is fine. */
void sm_learned_destroy(sm_learned *l);

/* True if a profile entry can be made: readers compared, and the fit converged. */
bool sm_learned_is_usable(const sm_learned *l);

#endif

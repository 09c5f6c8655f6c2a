/* formula.h - Monte Carlo of a formula of a few distributions, through the same streams, transforms, accumulators and
 * intervals as a case: how examples with published answers are asked of the engine.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_SELFCHECK_FORMULA_H
#define SM_SELFCHECK_FORMULA_H

#include "engine/sobol.h"
#include "engine/sources.h"
#include "engine/spread.h"

enum { SM_FORMULA_INPUTS = 16, SM_FORMULA_OUTPUTS = 6, SM_FORMULA_EVENTS = 6 };

/* The columns of one group of trials. An event is 1 if it happened, else 0. */
typedef struct {
    double x[SM_FORMULA_INPUTS][SM_LANES];
    double y[SM_FORMULA_OUTPUTS][SM_LANES];
    double event[SM_FORMULA_EVENTS][SM_LANES];
} sm_formula_columns;

typedef struct {
    const char *name; /* of its streams: formulas of one name share their draws */
    int n_inputs, n_outputs, n_events;
    sm_dist input[SM_FORMULA_INPUTS];
    double constant[8]; /* handed to evaluate */
    void (*evaluate)(const double *constant, sm_formula_columns *c);
} sm_formula;

typedef struct {
    int64_t n, event[SM_FORMULA_EVENTS];
    sm_spread spread[SM_FORMULA_OUTPUTS];
} sm_formula_result;

/* Runs `trials` trials, rounded up to whole groups of SM_LANES; *out is on the heap, the caller frees it. SM_NO_MEMORY,
 * SM_NUMERIC. */
sm_status sm_formula_run(const sm_formula *f, uint64_t seed, int64_t trials, sm_formula_result **out);

/* Sobol indices of output 0 for each input, by redrawing it as the sources of a case are: index has f->n_inputs places.
 * Trials are rounded up to whole blocks in each of SM_BATCHES batches. SM_NO_MEMORY, SM_NUMERIC. */
sm_status sm_formula_indices(const sm_formula *f, uint64_t seed, int64_t trials, sm_sobol *index);

#endif

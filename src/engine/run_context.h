/* run_context.h - what every run is given with the case: how many trials, from where the draws start, on what they
 * run and who watches.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_ENGINE_RUN_CONTEXT_H
#define SM_ENGINE_RUN_CONTEXT_H

#include "engine/executor.h"
#include "engine/watch.h"

/* If nothing else is asked for. The cap is that of a run which goes on until the call is resolved. */
#define SM_DEFAULT_TRIALS INT64_C(1000000)
#define SM_DEFAULT_SEED   UINT64_C(1)
#define SM_DEFAULT_CAP    INT64_C(100000000)
/* Beyond 4.4e12 the number of a block of draws no longer fits its 32 bits. */
#define SM_MOST_TRIALS INT64_C(1000000000000)

/* From where the probabilities of an assessment come: counted in its trials, or from sharp points beside them
 * (sharp.h), which every command takes unless it is asked for plain ones. */
typedef enum { SM_POINTS_PLAIN, SM_POINTS_SHARP } sm_points_kind;

/* Passed by value, so that there is no NULL to pass. What is left out of an initialiser means: one task after the
 * other, in the caller's thread, and nobody watches. */
typedef struct {
    int64_t trials; /* 1 to SM_MOST_TRIALS */
    uint64_t seed;  /* of the plans that the run makes; a function that is given a plan draws with the plan's */
    sm_executor executor;
    sm_watch watch;
    bool brief; /* short pilots, for differences between versions on the same draws */
    sm_points_kind points;
    const char *auxiliary; /* what an auxiliary run finds, for its progress; NULL else */
} sm_run_context;

/* For an auxiliary run, whose findings nobody follows: with `trials` trials; the watch is asked about interrupts, and
 * learns how far it is. what: "the worth of re-checks"; NULL: as the context has it. */
sm_run_context sm_run_context_auxiliary(sm_run_context context, const char *what, int64_t trials);

#endif

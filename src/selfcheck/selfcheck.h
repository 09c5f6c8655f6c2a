/* selfcheck.h - published examples asked of this program: what it gives beside what it ought to give.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_SELFCHECK_SELFCHECK_H
#define SM_SELFCHECK_SELFCHECK_H

#include "selfcheck/check_table.h"
#include "engine/run_context.h"

/* The tolerances are those of this many trials; with fewer the simulated checks fail. */
#define SM_SELFCHECK_TRIALS 1000000
#define SM_SELFCHECK_SEED   1

/* Runs every group; context.watch is not asked. The table is complete only on SM_OK; SM_NO_MEMORY, SM_NUMERIC. Checks
 * that fail are in out->failures and leave the status SM_OK. The caller destroys out in any case. */
sm_status sm_selfcheck_run(sm_run_context context, sm_checks *out);

#endif

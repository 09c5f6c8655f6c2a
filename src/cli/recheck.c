/* recheck.c - what recheck and report both find.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "cli/recheck.h"

sm_status sm_cli_recheck_run(const sm_session *s, sm_weigh *weigh, sm_recheck *recheck, sm_swings *swings)
{
    sm_recheck_options options = sm_recheck_defaults;
    options.weigh = weigh;
    sm_status status = sm_recheck_run(s->planned, &options, s->context, recheck);
    if (status == SM_OK)
        status = sm_swings_run(s->at[0].file,
                               sm_run_context_auxiliary(s->context, "each assumption over its range", SM_SWING_TRIALS),
                               swings);
    recheck->assessment.complete = status == SM_OK;
    return status;
}

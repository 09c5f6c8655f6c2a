/* run_context.c - what every run is given beside the case.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "engine/run_context.h"

sm_run_context sm_run_context_auxiliary(sm_run_context context, int64_t trials)
{
    const sm_watch interrupts = {.self = context.watch.self, .interrupted = context.watch.interrupted};
    context.trials = trials;
    context.watch = interrupts;
    return context;
}

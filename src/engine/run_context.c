/* run_context.c - what every run is given with the case.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "engine/run_context.h"

sm_run_context sm_run_context_auxiliary(sm_run_context context, const char *what, int64_t trials)
{
    const sm_watch *w = &context.watch;
    context.watch = (sm_watch){.self = w->self, .interrupted = w->interrupted, .auxiliary = w->auxiliary};
    context.trials = trials;
    context.auxiliary = what ? what : context.auxiliary;
    return context;
}

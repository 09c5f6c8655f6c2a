/* watch.c - what the caller may do while work goes on.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "engine/watch.h"

bool sm_watch_interrupted(const sm_watch *w)
{
    return w->interrupted && w->interrupted(w->self);
}

sm_watch sm_watch_interrupts(const sm_watch *w)
{
    return (sm_watch){.self = w->self, .interrupted = w->interrupted};
}

/* watch.c - what the caller may do while work goes on.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "engine/watch.h"

bool sm_watch_interrupted(sm_watch w)
{
    return w.interrupted && w.interrupted(w.self);
}

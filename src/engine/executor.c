/* executor.c - how the caller lets work run side by side.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "engine/executor.h"

#include <stddef.h>

void sm_executor_run(sm_executor e, int n, void (*task)(void *arg, int i), void *arg)
{
    if (e.run)
        e.run(e.self, n, task, arg);
    else
        for (int i = 0; i < n; i++)
            task(arg, i);
}

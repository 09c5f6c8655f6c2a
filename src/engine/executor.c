/* executor.c - the executor that needs no threads.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "engine/executor.h"

#include <stddef.h>

static void run_in_order(void *self, int n, void (*task)(void *arg, int i), void *arg)
{
    (void)self;
    for (int i = 0; i < n; i++)
        task(arg, i);
}

sm_executor sm_executor_serial(void)
{
    return (sm_executor){.width = 1, .run = run_in_order, .self = NULL};
}

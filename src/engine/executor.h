/* executor.h - how the caller lets work run side by side. The engine starts no threads of its own.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_ENGINE_EXECUTOR_H
#define SM_ENGINE_EXECUTOR_H

/* run calls task(arg, i) once for every i in 0 .. n - 1, in any order, perhaps at the same time, and returns when all
 * are done. run NULL: one task after the other, in the caller's thread. */
typedef struct {
    int width; /* how many tasks may run at the same time; below 1: one */
    void (*run)(void *self, int n, void (*task)(void *arg, int i), void *arg);
    void *self;
} sm_executor;

void sm_executor_run(sm_executor e, int n, void (*task)(void *arg, int i), void *arg);

#endif

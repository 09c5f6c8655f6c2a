/* threads.h - a pool of threads behind the engine's executor.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_OUTSIDE_THREADS_H
#define SM_OUTSIDE_THREADS_H

#include "engine/executor.h"

typedef struct sm_threads sm_threads;

enum { SM_MAX_THREADS = 256 };

/* A pool in which `width` tasks run at the same time, the caller's thread being one. width 0: one for each processor.
 * If the system gives fewer threads, fewer are used. NULL without memory. */
sm_threads *sm_threads_create(int width);
void sm_threads_destroy(sm_threads *t);
/* Valid as long as the pool. */
sm_executor sm_threads_executor(sm_threads *t);

#endif

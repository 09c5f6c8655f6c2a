/* watch.h - what the caller may do while work goes on: ask it to end, or show how far it is.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_ENGINE_WATCH_H
#define SM_ENGINE_WATCH_H

#include <stdbool.h>
#include <stdint.h>

struct sm_gathered;

/* Called between tasks, in the thread that runs them all. Every member may be NULL. */
typedef struct {
    void *self;
    bool (*interrupted)(void *self);
    /* Called after each merge in order with what is known; returns true when that is enough. */
    bool (*enough)(void *self, const struct sm_gathered *so_far);
    void (*progress)(void *self, const struct sm_gathered *so_far, int64_t trials);
} sm_watch;

bool sm_watch_interrupted(sm_watch w);

#endif

/* watch.h - what the caller may do while work goes on: ask it to end, or show how far it is.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_ENGINE_WATCH_H
#define SM_ENGINE_WATCH_H

#include <stdbool.h>
#include <stdint.h>

struct sm_gathered;

/* Every member may be NULL. Called between tasks, in the thread that runs them all; `interrupted` by the tasks, too,
 * side by side and often: it must be quick, and once true stay true. */
typedef struct {
    void *self;
    bool (*interrupted)(void *self);
    /* Called after each merge in order with what is known; returns true when that is enough. */
    bool (*enough)(void *self, const struct sm_gathered *so_far);
    void (*progress)(void *self, const struct sm_gathered *so_far, int64_t trials);
    /* Of an auxiliary run: what it finds, and how far it is. */
    void (*auxiliary)(void *self, const char *what, double share);
} sm_watch;

bool sm_watch_interrupted(sm_watch w);

#endif

/* job.h - work cut into tasks: run side by side through the caller's executor, merged in the order of the tasks.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_ENGINE_JOB_H
#define SM_ENGINE_JOB_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "engine/run_context.h"
#include "base/status.h"

/* Each task runs in a slot of its own: a worker's draws and the accumulators it fills. No result depends on how many
 * slots there are. */
typedef struct {
    void *self; /* what all tasks share; constant while tasks run */
    int64_t tasks;
    size_t slot_size; /* slots start zeroed; 0: tasks write to places of their own in self, and create, merge and
                       * destroy may be NULL */
    sm_status (*create)(void *self, void *slot);
    bool (*run)(void *self, void *slot, int64_t task); /* side by side; must first empty the slot's accumulators. False:
                                                        * it was interrupted, and the slot holds what it found so far */
    bool (*merge)(void *self, const void *slot);       /* one at a time, in order; true: that is enough */
    void (*destroy)(void *self, void *slot);           /* also of a slot that create left half made */
    void (*between)(void *self);                       /* after each wave, unless that was enough; may be NULL */
} sm_job;

/* Runs on the context's executor; its watch is asked after each wave whether to end. SM_OK when all tasks ran whole or
 * merge said enough, SM_INTERRUPTED (what the tasks found until then is merged), or what create returned. */
sm_status sm_job_run(const sm_job *job, sm_run_context context);

#endif

/* job.c - work cut into tasks, merged in order.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "engine/job.h"

#include <stdlib.h>

typedef struct {
    const sm_job *job;
    char *slots;
    bool *whole; /* by slot */
    int64_t first;
} wave;

static void *slot_at(const wave *w, int i)
{
    return w->slots + (size_t)i * w->job->slot_size;
}

static void run_one(void *arg, int i)
{
    const wave *w = arg;
    w->whole[i] = w->job->run(w->job->self, slot_at(w, i), w->first + i);
}

static void destroy_slots(wave *w, int n)
{
    for (int i = 0; w->slots && w->job->destroy && i < n; i++)
        w->job->destroy(w->job->self, slot_at(w, i));
    free(w->slots);
    free(w->whole);
}

static sm_status create_slots(wave *w, int n)
{
    w->slots = calloc((size_t)n, w->job->slot_size + 1); /* never of no size, which might be NULL */
    w->whole = calloc((size_t)n, sizeof *w->whole);
    sm_status s = w->slots && w->whole ? SM_OK : SM_NO_MEMORY;
    for (int i = 0; s == SM_OK && w->job->create && i < n; i++)
        s = w->job->create(w->job->self, slot_at(w, i));
    return s;
}

/* Merges the wave's slots in order. True when that is enough: what later tasks of the wave found is then left out. */
static bool merge_wave(const wave *w, int n)
{
    for (int i = 0; w->job->merge && i < n; i++)
        if (w->job->merge(w->job->self, slot_at(w, i)))
            return true;
    if (w->job->between)
        w->job->between(w->job->self);
    return false;
}

static bool all_whole(const wave *w, int n)
{
    for (int i = 0; i < n; i++)
        if (!w->whole[i])
            return false;
    return true;
}

static sm_status run_waves(wave *w, int width, sm_run_context context)
{
    const sm_job *job = w->job;
    for (; w->first < job->tasks; w->first += width) {
        int n = job->tasks - w->first < width ? (int)(job->tasks - w->first) : width;
        sm_executor_run(context.executor, n, run_one, w);
        if (merge_wave(w, n))
            break;
        const bool more = w->first + n < job->tasks;
        if (context.auxiliary && context.watch.auxiliary)
            context.watch.auxiliary(context.watch.self, context.auxiliary, (double)(w->first + n) / (double)job->tasks);
        if (!all_whole(w, n) || (more && sm_watch_interrupted(context.watch)))
            return SM_INTERRUPTED;
    }
    return SM_OK;
}

sm_status sm_job_run(const sm_job *job, sm_run_context context)
{
    wave w = {.job = job};
    const int most = context.executor.width > 1 ? context.executor.width : 1;
    const int width = most < job->tasks ? most : (int)job->tasks;
    sm_status s = create_slots(&w, width);
    if (s == SM_OK)
        s = run_waves(&w, width, context);
    destroy_slots(&w, width);
    return s;
}

/* threads.c - a pool of threads behind the engine's executor.
 *
 * The threads wait for a batch of tasks, take the next index under one lock, and wake the caller when the last task of
 * the batch has ended. A task takes milliseconds: the lock costs nothing that could be measured.
 *
 * Contents: 1. the pool  2. work  3. making and ending the pool
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "outside/threads.h"

#include <pthread.h>
#include <signal.h>
#include <stdbool.h>
#include <stdlib.h>
#include <unistd.h>

/* 1. The pool */

struct sm_threads {
    pthread_mutex_t lock;
    pthread_cond_t has_work, has_ended;
    /* The batch at work: indices below n; next is the first that nobody took, left those that have not ended. */
    int n, next, left;
    void (*task)(void *arg, int i);
    void *arg;
    bool closing;
    int n_threads; /* besides the caller's */
    pthread_t thread[];
};

/* 2. Work */

/* Takes tasks until none is left to take. The lock is held on entry and on return. */
static void work(sm_threads *t)
{
    while (t->next < t->n) {
        int i = t->next++;
        pthread_mutex_unlock(&t->lock);
        t->task(t->arg, i);
        pthread_mutex_lock(&t->lock);
        if (--t->left == 0)
            pthread_cond_signal(&t->has_ended);
    }
}

static void *thread_main(void *self)
{
    sm_threads *t = self;
    pthread_mutex_lock(&t->lock);
    while (!t->closing) {
        work(t);
        if (!t->closing)
            pthread_cond_wait(&t->has_work, &t->lock);
    }
    pthread_mutex_unlock(&t->lock);
    return NULL;
}

static void run(void *self, int n, void (*task)(void *arg, int i), void *arg)
{
    sm_threads *t = self;
    pthread_mutex_lock(&t->lock);
    t->task = task;
    t->arg = arg;
    t->n = t->left = n;
    t->next = 0;
    pthread_cond_broadcast(&t->has_work);
    work(t);
    while (t->left > 0)
        pthread_cond_wait(&t->has_ended, &t->lock);
    t->n = t->next = 0;
    pthread_mutex_unlock(&t->lock);
}

/* 3. Making and ending the pool */

static int processors(void)
{
    long n = sysconf(_SC_NPROCESSORS_ONLN);
    return n < 1 ? 1 : n > SM_MAX_THREADS ? SM_MAX_THREADS : (int)n;
}

/* Interrupts belong to the caller's thread. */
static void start_threads(sm_threads *t, int wanted)
{
    sigset_t all, before;
    sigfillset(&all);
    pthread_sigmask(SIG_SETMASK, &all, &before);
    while (t->n_threads < wanted && pthread_create(&t->thread[t->n_threads], NULL, thread_main, t) == 0)
        t->n_threads++;
    pthread_sigmask(SIG_SETMASK, &before, NULL);
}

sm_threads *sm_threads_create(int width)
{
    const int others = (width > 0 ? width : processors()) - 1;
    sm_threads *t = calloc(1, sizeof *t + (size_t)others * sizeof t->thread[0]);
    if (!t)
        return NULL;
    pthread_mutex_init(&t->lock, NULL);
    pthread_cond_init(&t->has_work, NULL);
    pthread_cond_init(&t->has_ended, NULL);
    start_threads(t, others);
    return t;
}

void sm_threads_destroy(sm_threads *t)
{
    if (!t)
        return;
    pthread_mutex_lock(&t->lock);
    t->closing = true;
    pthread_cond_broadcast(&t->has_work);
    pthread_mutex_unlock(&t->lock);
    for (int i = 0; i < t->n_threads; i++)
        pthread_join(t->thread[i], NULL);
    pthread_mutex_destroy(&t->lock);
    pthread_cond_destroy(&t->has_work);
    pthread_cond_destroy(&t->has_ended);
    free(t);
}

sm_executor sm_threads_executor(sm_threads *t)
{
    return (sm_executor){.width = t->n_threads + 1, .run = run, .self = t};
}

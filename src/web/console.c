/* console.c - the rest of the outside as a page has it: what is said is kept, one task after the other, an interrupt is
 * what the page's watch says, and questions are asked by its forms.
 *
 * Contents: 1. what is said  2. progress and interrupts  3. tasks  4. questions
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <stddef.h>
#include <stdlib.h>

#include "base/shown.h"
#include "outside/interrupts.h"
#include "outside/new_dialogue.h"
#include "outside/terminal.h"
#include "outside/threads.h"
#include "web/world.h"

/* 1. What is said */

sm_style sm_terminal_style(bool plain)
{
    return (sm_style){.width = 80, .utf8 = true, .plain = plain};
}

sm_status sm_terminal_complain(const char *words, sm_status s)
{
    sm_text_puts(&sm_world_here()->err, words);
    return s;
}

/* 2. Progress and interrupts */

static bool interrupted;

void sm_interrupts_listen(void)
{
    interrupted = false;
}

bool sm_interrupts_came(void)
{
    return interrupted;
}

static void show(double share, const char *words)
{
    const sm_world_watch watch = sm_world_watched();
    if (watch && !watch(share, words))
        interrupted = true;
}

sm_progress sm_progress_create(double line)
{
    return (sm_progress){.line = line};
}

void sm_progress_show(sm_progress *p, const sm_gathered *so_far, int64_t trials)
{
    (void)p;
    show((double)so_far->n / (double)trials, "the probabilities");
}

void sm_progress_auxiliary(sm_progress *p, const char *what, double share)
{
    (void)p;
    show(share, what);
}

void sm_progress_end(sm_progress *p)
{
    (void)p;
}

/* 3. Tasks */

struct sm_threads {
    int width;
};

sm_threads *sm_threads_create(int width)
{
    sm_threads *t = malloc(sizeof *t);
    (void)width;
    if (t)
        t->width = 1;
    return t;
}

void sm_threads_destroy(sm_threads *t)
{
    free(t);
}

sm_executor sm_threads_executor(sm_threads *t)
{
    return (sm_executor){.width = t->width};
}

/* 4. Questions */

sm_status sm_new_dialogue(const char *path)
{
    (void)path;
    return sm_terminal_complain("new: this page asks by its forms\n", SM_USAGE);
}

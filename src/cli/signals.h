/* signals.h - Ctrl-C asks a run to end with what is known (outside/interrupts.h); a second one ends the program at
 * once, and leaves nothing temporary. SIGTERM and SIGHUP do the same.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_CLI_SIGNALS_H
#define SM_CLI_SIGNALS_H

#include <signal.h>
#include <stdbool.h>

#include "outside/interrupts.h"

/* From here on a signal that ends the program calls `remove` first, which does nothing that a handler may not do; the
 * program still ends by that signal, as its caller expects. One that the caller asked to be ignored stays ignored. */
void sm_signals_clean_by(void (*remove)(void));
/* Waits until something can be read from fd. False once an interrupt has come, even one just before the wait. */
bool sm_signals_wait_input(int fd);

/* Holds every signal back until it is released; may be nested. For moments in which no other thread is at work. */
typedef struct {
    sigset_t before;
} sm_signals_blocked;
void sm_signals_block(sm_signals_blocked *blocked);
void sm_signals_unblock(const sm_signals_blocked *blocked);

#endif

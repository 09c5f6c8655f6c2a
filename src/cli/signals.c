/* signals.c - Ctrl-C asks a run to end with what is known.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "cli/signals.h"

#include <signal.h>
#include <stddef.h>

static volatile sig_atomic_t interrupted;

static void note_interrupt(int signal_number)
{
    (void)signal_number;
    interrupted = 1;
}

void sm_signals_listen(void)
{
    struct sigaction before, action = {.sa_handler = note_interrupt, .sa_flags = (int)SA_RESETHAND};
    sigemptyset(&action.sa_mask);
    if (sigaction(SIGINT, NULL, &before) == 0 && before.sa_handler != SIG_IGN)
        sigaction(SIGINT, &action, NULL);
}

bool sm_signals_interrupted(void)
{
    return interrupted != 0;
}

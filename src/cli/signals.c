/* signals.c - Ctrl-C asks a run to end with what is known.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "cli/signals.h"

#include <signal.h>
#include <stddef.h>
#include <sys/select.h>

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

/* Between a look at the flag and a plain read() an interrupt would be lost: it is held back until pselect waits. */
bool sm_signals_wait_input(int fd)
{
    sigset_t held, before;
    sigemptyset(&held);
    sigaddset(&held, SIGINT);
    sigprocmask(SIG_BLOCK, &held, &before);
    if (!interrupted) {
        fd_set input;
        FD_ZERO(&input);
        FD_SET(fd, &input);
        pselect(fd + 1, &input, NULL, NULL, NULL, &before);
    }
    sigprocmask(SIG_SETMASK, &before, NULL);
    return !interrupted;
}

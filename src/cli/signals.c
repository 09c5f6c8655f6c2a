/* signals.c - Ctrl-C asks a run to end with what is known; what ends the program leaves nothing temporary.
 *
 * Contents: 1. handlers  2. asking  3. holding back
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "cli/signals.h"

#include <errno.h>
#include <stddef.h>
#include <sys/select.h>

/* 1. Handlers */

static volatile sig_atomic_t listening, interrupted;
static void (*volatile clean)(void); /* before the program ends by a signal; NULL: nothing to do */

/* Those that ask the program to end; the first of them only asks a run. */
static const int asks[] = {SIGINT, SIGTERM, SIGHUP};
/* Those that end it whatever it does, if it can still act. */
static const int ends[] = {SIGPIPE, SIGQUIT, SIGALRM, SIGXCPU, SIGUSR1, SIGUSR2};

enum { ASKS = sizeof asks / sizeof *asks, ENDS = sizeof ends / sizeof *ends };

/* By SA_RESETHAND the default stands again: the signal ends the program as soon as this returns. */
static void end_by(int signal_number)
{
    if (clean)
        clean();
    raise(signal_number);
}

static void ask(int signal_number)
{
    const int error = errno;
    if (listening && !interrupted)
        interrupted = 1;
    else {
        signal(signal_number, SIG_DFL);
        end_by(signal_number);
    }
    errno = error;
}

static void install(int signal_number, void (*handler)(int), int flags)
{
    struct sigaction before, action = {.sa_handler = handler, .sa_flags = flags};
    sigfillset(&action.sa_mask);
    if (sigaction(signal_number, NULL, &before) == 0 && before.sa_handler == SIG_DFL)
        sigaction(signal_number, &action, NULL);
}

static void install_all(void)
{
    for (size_t i = 0; i < ASKS; i++)
        install(asks[i], ask, 0);
    for (size_t i = 0; i < ENDS; i++)
        install(ends[i], end_by, (int)SA_RESETHAND);
    signal(SIGXFSZ, SIG_IGN); /* a file above the limit is a failed write, and is reported as such */
}

void sm_signals_clean_by(void (*remove)(void))
{
    clean = remove;
    install_all();
}

void sm_interrupts_listen(void)
{
    listening = 1;
    install_all();
}

/* 2. Asking */

bool sm_interrupts_came(void)
{
    return interrupted != 0;
}

/* Between a look at the flag and a plain read() an interrupt would be lost: it is blocked back until pselect waits. */
bool sm_signals_wait_input(int fd)
{
    sm_signals_blocked blocked;
    sm_signals_block(&blocked);
    if (!interrupted) {
        fd_set input;
        FD_ZERO(&input);
        FD_SET(fd, &input);
        pselect(fd + 1, &input, NULL, NULL, NULL, &blocked.before);
    }
    sm_signals_unblock(&blocked);
    return !interrupted;
}

/* 3. Holding back */

void sm_signals_block(sm_signals_blocked *blocked)
{
    sigset_t all;
    sigfillset(&all);
    pthread_sigmask(SIG_SETMASK, &all, &blocked->before);
}

void sm_signals_unblock(const sm_signals_blocked *blocked)
{
    pthread_sigmask(SIG_SETMASK, &blocked->before, NULL);
}

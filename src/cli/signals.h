/* signals.h - Ctrl-C asks a run to end with what is known; a second one ends the program at once.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_CLI_SIGNALS_H
#define SM_CLI_SIGNALS_H

#include <stdbool.h>

/* Starts listening, unless the caller of the program asked for interrupts to be ignored. */
void sm_signals_listen(void);
/* Whether an interrupt has come since. */
bool sm_signals_interrupted(void);
/* Waits until something can be read from fd. False once an interrupt has come, even one just before the wait. */
bool sm_signals_wait_input(int fd);

#endif

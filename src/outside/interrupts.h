/* interrupts.h - someone asks a run to end with what is known by then.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_OUTSIDE_INTERRUPTS_H
#define SM_OUTSIDE_INTERRUPTS_H

#include <stdbool.h>

/* From here on the first interrupt is only noted. */
void sm_interrupts_listen(void);
/* Whether an interrupt has come since. */
bool sm_interrupts_came(void);

#endif

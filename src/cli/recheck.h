/* recheck.h - what recheck and report both find: the worth of every re-check, and how far each assumption moves the
 * answer.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_CLI_RECHECK_H
#define SM_CLI_RECHECK_H

#include "decision/recheck.h"
#include "whatif/swing.h"
#include "cli/session.h"

/* weigh: as in sm_recheck_options. SM_INTERRUPTED: what is known is there; the swings are empty. Destroy all in every
 * case. */
sm_status sm_cli_recheck_run(const sm_session *s, sm_weigh *weigh, sm_recheck *recheck, sm_swings *swings);

#endif

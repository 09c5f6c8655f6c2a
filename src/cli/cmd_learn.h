/* cmd_learn.h - slimmargin learn: a reader study -> what the readers' own errors are.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_CLI_CMD_LEARN_H
#define SM_CLI_CMD_LEARN_H

#include "base/status.h"

/* argv[0] is "learn". Words go to standard output, messages to standard error. */
sm_status sm_cmd_learn(int argc, char **argv);

#endif

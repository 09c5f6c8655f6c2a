/* program.h - the whole program: what the words of a command line ask for, done with the outside that it is linked
 * with.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_COMMAND_PROGRAM_H
#define SM_COMMAND_PROGRAM_H

#include "base/status.h"

/* argv[0] is the name of the program, argv[argc] NULL; nothing of it is changed. What went wrong has been told;
 * sm_status_exit makes an exit status of it. GSL's own handler of errors must be off. */
sm_status sm_program_run(int argc, char **argv);

#endif

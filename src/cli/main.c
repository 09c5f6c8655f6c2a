/* main.c - the program on a command line.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <gsl/gsl_errno.h>

#include "command/program.h"

int main(int argc, char **argv)
{
    gsl_set_error_handler_off(); /* every status is checked where it arises */
    return sm_status_exit(sm_program_run(argc, argv));
}

/* figures.h - every picture as a file of its own, with its data beside it.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_CLI_FIGURES_H
#define SM_CLI_FIGURES_H

#include "base/status.h"
#include "report/figures/figure.h"

/* Writes NAME.svg and NAME.csv of every picture into the folder, which is there (sm_session_check_outputs). What went
 * wrong has been told. */
sm_status sm_cli_figures_write(const char *folder, const sm_findings *f);

/* The same of the figures of a sweep. */
sm_status sm_cli_sweep_figures_write(const char *folder, const sm_findings *f);

#endif

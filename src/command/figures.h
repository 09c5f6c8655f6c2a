/* figures.h - every picture as a file of its own, with its data beside it.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_COMMAND_FIGURES_H
#define SM_COMMAND_FIGURES_H

#include "base/status.h"
#include "report/figures/figure.h"
#include "outside/staging.h"

/* Stages NAME.svg and NAME.csv of every picture for the folder, which is there. What went wrong has been told. */
sm_status sm_figures_stage(sm_staging *staging, const char *folder, const sm_findings *f);

/* The same of the figures of a sweep. */
sm_status sm_sweep_figures_stage(sm_staging *staging, const char *folder, const sm_findings *f);

/* Whether some case has a figure whose picture or data go into a file of this name. */
bool sm_figures_may_write(const char *name);

#endif

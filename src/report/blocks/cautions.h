/* cautions.h - what every output says about its own limits (docs/facts.md).
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_REPORT_BLOCKS_CAUTIONS_H
#define SM_REPORT_BLOCKS_CAUTIONS_H

/* All of them, one paragraph, plain words; without line ends. */
const char *sm_cautions(void);
/* The one that stands beside every headline. */
const char *sm_caution_short(void);

/* All of them in two lines, for a screen that has room for no more. */
const char *sm_caution_line(void);

#endif

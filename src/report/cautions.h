/* cautions.h - what every output says last.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_REPORT_CAUTIONS_H
#define SM_REPORT_CAUTIONS_H

/* The cautions of docs/facts.md in plain words, one paragraph without line ends. */
const char *sm_cautions(void);

#endif

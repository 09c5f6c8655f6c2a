/* sweep_html.h - a sweep as one page.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_REPORT_PAGE_SWEEP_HTML_H
#define SM_REPORT_PAGE_SWEEP_HTML_H

#include "report/figures/figure.h"

/* The whole page; f holds a sweep or the sweep of all. */
void sm_sweep_html(sm_text *out, const sm_findings *f);

#endif

/* report_html.h - the report: one page that a heart team reads in two minutes.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_REPORT_REPORT_HTML_H
#define SM_REPORT_REPORT_HTML_H

#include "report/figure.h"

/* The whole page. */
void sm_report_html(sm_text *out, const sm_findings *f);

/* Its parts that stand in files of their own. */
void sm_report_numbers(sm_text *out, const sm_findings *f);  /* report_tables.c */
void sm_report_readings(sm_text *out, const sm_findings *f); /* report_tables.c */
void sm_report_rests(sm_text *out, const sm_findings *f);    /* report_rests.c */

#endif

/* report_html.h - the report: one page that a heart team reads in two minutes.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_REPORT_PAGE_REPORT_HTML_H
#define SM_REPORT_PAGE_REPORT_HTML_H

#include "report/blocks/block.h"
#include "report/figures/figure.h"

/* The whole page. */
void sm_report_html(sm_text *out, const sm_findings *f);

/* A page about a case, of blocks, which are emptied: the program, the case and what of it (", what if"; "": all) as its
 * title. */
void sm_report_page(sm_text *out, const sm_result *r, const char *about, sm_blocks *b);
/* Program, trials, seed, case and its SHA-256. */
void sm_report_origin(sm_text *out, const sm_result *r);

/* The sources of what is assumed, numbered as they are first met: told once, below all. */
typedef struct {
    const sm_findings *f;
    const sm_assumption **source; /* the first assumption of each */
    size_t n_sources;
} sm_report_sources;

bool sm_report_sources_create(const sm_findings *f, sm_report_sources *out);
void sm_report_sources_destroy(sm_report_sources *s);
/* The number of an assumption's source, from 1; 0 if the case itself is the source. */
size_t sm_report_source_number(sm_report_sources *s, const sm_assumption *a);

/* Its parts that stand in files of their own. */
void sm_report_numbers(sm_blocks *b, const sm_findings *f);  /* report_tables.c */
void sm_report_readings(sm_blocks *b, sm_report_sources *s); /* report_tables.c */
void sm_report_rests(sm_blocks *b, sm_report_sources *s);    /* report_rests.c */

#endif

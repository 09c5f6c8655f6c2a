/* whole.h - the order of a report: what assess, recheck and weigh find of one case, in one go; told as a page or as
 * JSON. The command line, the page in a browser and the public header share it.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_API_WHOLE_H
#define SM_API_WHOLE_H

#include "report/page/report_html.h"

typedef struct {
    sm_recheck recheck;
    sm_portrait portrait;
    sm_weigh weigh;       /* n_rows 0: the case has no alternatives */
    sm_published context; /* if it has some */
    sm_series_drawn series;
    bool complete; /* false: interrupted; the assessment and the portrait alone are reported */
} sm_whole;

/* Fills out, which is zeroed; its assessment is recheck.assessment. SM_OK; SM_INTERRUPTED (out holds what is known);
 * else out has nothing to tell. Destroy it in every case. */
sm_status sm_whole_run(const sm_case *c, sm_run_context context, sm_whole *out);
void sm_whole_destroy(sm_whole *w);

/* What a page and its figures tell. r: of the same assessment, with what its call hangs on. Borrows from w. */
sm_findings sm_whole_findings(const sm_whole *w, const sm_result *r);
void sm_whole_json(const sm_findings *f, sm_text *out);

#endif

/* page_call.h - what the page asks of the program: one call, JSON in, JSON out (docs/page.md, "The call").
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_WEB_PAGE_CALL_H
#define SM_WEB_PAGE_CALL_H

#include "casefile/casefile.h"
#include "format/json_doc.h"
#include "format/json_write.h"

/* Adds the answer to a request to out, which is a JSON object whatever the request was: `status` is one of the words of
 * sm_status, as "ok", "refused", "no_memory". out->failed if memory ran out for the answer itself. GSL's own handler of
 * errors must be off. */
void sm_page_call(const char *request, size_t length, sm_text *out);

/* What the parts of it (page_*.c) share. */

/* A member of the request; "", 0 or NULL if it is missing or of another kind. */
const char *sm_page_text(const cJSON *request, const char *key);
double sm_page_number(const cJSON *request, const char *key, double otherwise);
/* One case with its profile, as the request has them under "case" and "profile". Every fault is in d. */
sm_status sm_page_case(const cJSON *request, sm_diag *d, sm_casefile **out);
/* "messages": [...], each with severity, file, line, column, pointer, words. */
void sm_page_messages(sm_json *w, const sm_diag *d);
/* "status": "ok" and so on. */
void sm_page_status(sm_json *w, sm_status s);

/* The parts: each writes the members of its answer, `status` among them. */
void sm_page_command(const cJSON *request, sm_json *w); /* page_command.c: a command line with its files */
void sm_page_read(const cJSON *request, sm_json *w);    /* page_case.c: faults, unusual values, knobs */
void sm_page_live(const cJSON *request, sm_json *w);    /* page_case.c: a case with knobs turned, quickly */
void sm_page_keys(const cJSON *request, sm_json *w);    /* page_keys.c: what a form asks */

#endif

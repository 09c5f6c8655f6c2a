/* exports.c - what the WebAssembly module offers the page, and what it asks of it.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <stdbool.h>
#include <stddef.h>
#include <stdlib.h>
#include <string.h>

#include <gsl/gsl_errno.h>

#include "web/page_call.h"
#include "web/world.h"

#define EXPORT(name) __attribute__((export_name(name)))

/* How far a run is, with what it is about in UTF-8; anything but 0: it is to end. */
__attribute__((import_module("page"), import_name("progress"))) int page_progress(double share, const char *words,
                                                                                  size_t bytes);
EXPORT("page_allocate") void *page_allocate(size_t bytes);
EXPORT("page_call") const char *page_call(char *request, size_t bytes);
EXPORT("page_answer_length") size_t page_answer_length(void);

static sm_text answer; /* of the last call */

static bool watch(double share, const char *words)
{
    return page_progress(share, words, strlen(words)) == 0;
}

/* Room for a request; NULL without memory. */
void *page_allocate(size_t bytes)
{
    return malloc(bytes ? bytes : 1);
}

/* Takes the request over, which page_allocate made room for. The answer is valid until the next call; NULL if memory
 * ran out for it. */
const char *page_call(char *request, size_t bytes)
{
    gsl_set_error_handler_off(); /* every status is checked where it arises */
    sm_text_destroy(&answer);
    sm_world_watch_by(watch);
    sm_page_call(request, bytes, &answer);
    free(request);
    return answer.failed ? NULL : sm_text_string(&answer);
}

size_t page_answer_length(void)
{
    return answer.len;
}

/* explain.h - finding an explanation, and writing it.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_REPORT_GUIDE_EXPLAIN_H
#define SM_REPORT_GUIDE_EXPLAIN_H

#include "report/guide/explain_terms.h"
#include "report/blocks/layout.h"

/* The entry of a word, NULL if there is none. Capitals, '_', '-' and spaces make no difference; of a dotted name
 * (left.ostium_gap) the whole counts first, then what follows a dot. */
const sm_term *sm_explain_find(const char *word);

enum { SM_EXPLAIN_NEAR = 5 };
/* The nearest entries: those that contain the word, then those spelled nearly like it. Returns how many. */
size_t sm_explain_near(const char *word, const sm_term *out[SM_EXPLAIN_NEAR]);

/* The three sentences, and what the tables say if it is the name of a key. */
void sm_explain_write(sm_text *out, const sm_style *style, const sm_term *t);
/* Every word that is known, by group. */
void sm_explain_list(sm_text *out, const sm_style *style);

/* Puts name i of an entry in the place of what out holds; false if it has no more. */
bool sm_explain_name(const sm_term *t, size_t i, sm_text *out);

#endif

/* first_screen.c - what an operator reads in half a minute.
 *
 * In this order: what is unusual, what was understood, what was warned of, where line and burdens disagree; the answer,
 * the ruler, what would turn the call; what to look at again first; what might be done instead; the cautions.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/text/first_screen.h"

#include "report/blocks/cautions.h"
#include "report/text/assess_text.h"
#include "report/text/looks_text.h"
#include "report/text/weigh_text.h"

/* So many warnings have room; each is two or three lines. */
enum { MOST_WARNINGS = 1 };

typedef struct {
    sm_blocks *b;
    int n;
} warnings;

static void warn(void *self, const char *words)
{
    warnings *w = self;
    if (w->n++ < MOST_WARNINGS)
        sm_block_say(w->b, SM_WARNED, words);
}

static void tell_warnings(sm_blocks *b, const sm_result *r)
{
    warnings w = {b, 0};
    b->text.failed |= !sm_result_each_warning(r, warn, &w);
    if (w.n > MOST_WARNINGS)
        sm_text_addf(sm_block_words(b, SM_WARNED), "%d more %s: --whole", w.n - MOST_WARNINGS,
                     w.n - MOST_WARNINGS == 1 ? "warning" : "warnings");
    if (w.n > 0)
        sm_block_say(b, SM_GAP, "");
}

static void tell_disagreement(sm_blocks *b, const sm_result *r, const sm_weigh *k)
{
    if (k && k->n_rows > 0)
        sm_weigh_disagreement(sm_block_words(b, SM_STRONG), r, k);
}

/* What to look at again first, and what might be done instead. */
static void tell_next(sm_blocks *b, const sm_weigh *k, const sm_look_worths *looks)
{
    sm_block_say(b, SM_GAP, "");
    if (looks)
        sm_looks_tell_screen(b, looks);
    if (k && k->n_rows > 0)
        sm_weigh_instead(sm_block_words(b, SM_SAY), k);
}

void sm_first_screen(sm_blocks *b, const sm_result *r, const sm_weigh *k, const sm_look_worths *looks)
{
    sm_assess_begin(b, r);
    tell_warnings(b, r);
    tell_disagreement(b, r, k);
    sm_assess_answer(b, r);
    sm_assess_hangs(b, r);
    tell_next(b, k, looks);
    sm_block_say(b, SM_MUTED, "More: --whole; slimmargin recheck, weigh, sweep --all, report CASE -o FILE.html");
    sm_block_say(b, SM_SAY, sm_caution_line());
}

void sm_first_whole(sm_blocks *b, const sm_result *r, const sm_weigh *k, const sm_look_worths *looks)
{
    sm_assess_begin(b, r);
    tell_disagreement(b, r, k);
    sm_assess_answer(b, r);
    if (r->c->note && r->c->note[0])
        sm_text_addf(sm_block_words(b, SM_MUTED), "Note of the case: %s", r->c->note);
    sm_assess_hangs(b, r);
    tell_next(b, k, looks);
    sm_assess_rest(b, r);
}

void sm_first_quiet(sm_blocks *b, const sm_result *r, const sm_weigh *k)
{
    tell_disagreement(b, r, k);
    sm_assess_tell_quiet(b, r);
}

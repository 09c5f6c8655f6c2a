/* compare_text.c - what moved the answer between two versions of a case, in plain words.
 *
 * Contents: 1. the headline  2. each difference  3. the sum  4. the whole
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/text/compare_text.h"

#include <math.h>
#include <string.h>

#include "report/text/assess_text.h"
#include "report/text/assumption_text.h"
#include "report/text/unusual_text.h"
#include "report/blocks/cautions.h"
#include "report/blocks/words.h"
#include "report/blocks/write.h"

/* 1. The headline */

static const char *call_words(const sm_decision *d)
{
    switch (d->call) {
    case SM_CALL_ABOVE:
        return "at or above your line";
    case SM_CALL_BELOW:
        return "below your line";
    case SM_CALL_UNRESOLVED:
        return d->reason == SM_REASON_LOOKS_OPPOSED ? "open, as two looks are opposed," : "open";
    default:
        return "without a line";
    }
}

/* By less than 1 of 200 roots nobody's decision moves, however surely it is known. */
#define HARDLY 0.005

static bool has_moved(const sm_compare *c)
{
    return fabs(c->moved.value) > 2 * c->moved.standard_error && fabs(c->moved.value) >= HARDLY;
}

/* "The answer moved from about 25 of 100 to about 18 of 100: above your line before, below it now." */
static void compare_headline(sm_text *out, const sm_compare *c)
{
    const sm_decision *old = &c->old.decision, *now = &c->now.decision;
    if (!c->old.complete) {
        sm_text_puts(out, "Stopped early: what moved the answer is not known.");
        return;
    }
    if (!has_moved(c)) {
        sm_text_puts(out, fabs(c->moved.value) > 2 * c->moved.standard_error ? "The answer has hardly moved: "
                                                                             : "The answer has not moved: ");
        sm_words_frequency(out, &c->now.patient.event);
    } else {
        sm_text_puts(out, "The answer moved from ");
        sm_words_frequency(out, &c->old.patient.event);
        sm_text_puts(out, " to ");
        sm_words_frequency(out, &c->now.patient.event);
    }
    sm_text_puts(out, has_moved(c) ? ":" : ";");
    if (old->call == SM_CALL_NONE && now->call == SM_CALL_NONE)
        sm_text_puts(out, " without an action line nothing is called.");
    else if (old->call == now->call)
        sm_text_addf(out, " %s before and now.", call_words(now));
    else
        sm_text_addf(out, " %s before, %s now.", call_words(old), call_words(now));
}

/* 2. Each difference */

/* One at least, and at most four. */
static int decimals_of(double moved, double error)
{
    const int of_use = error > 0 ? sm_words_decimals_of_use(moved, 2 * error, 1) : 1;
    return of_use < 1 ? 1 : of_use > 4 ? 4 : of_use;
}

/* "-6.9 of 100 (+-0.1)": a paired difference. */
static void moved_words(sm_text *out, const sm_estimate *e)
{
    const double se = 100 * e->standard_error;
    const int decimals = decimals_of(100 * e->value, se);
    if (e->value == 0 && se == 0)
        sm_text_puts(out, "by nothing");
    else if (fabs(e->value) < 2 * e->standard_error) {
        sm_text_puts(out, "by nothing that this run can tell (");
        sm_words_error(out, se);
        sm_text_puts(out, " of 100)");
    } else {
        sm_text_addf(out, "by %+.*f of 100 (", decimals, 100 * e->value);
        sm_words_error(out, se);
        sm_text_puts(out, ")");
    }
}

static void alone_words(sm_text *out, const sm_compare *c, int i)
{
    const sm_alone *a = &c->alone[i];
    const sm_difference *x = &c->differences.at[i];
    if (x->kind == SM_DIFFERS_LABEL) {
        sm_text_puts(out, " Another, but no part of the case as planned.");
        return;
    }
    if (!a->stands_alone) {
        sm_text_puts(out, " It cannot stand alone; what it does is in what is left.");
        return;
    }
    if (x->kind == SM_DIFFERS_LINE)
        sm_text_puts(out, " It moves no probability");
    else {
        sm_text_puts(out, " Alone it moves the answer ");
        moved_words(out, &a->difference);
    }
    if (a->call != SM_CALL_NONE && a->call != c->old.decision.call)
        sm_text_addf(out, " and the call to %s",
                     a->reason == SM_REASON_LOOKS_OPPOSED ? "open, as two looks are opposed"
                                                          : call_words(&(sm_decision){.call = a->call}));
    sm_text_puts(out, ".");
}

static void difference(sm_text *out, const sm_compare *c, int i)
{
    const sm_difference *x = &c->differences.at[i];
    sm_text_puts(out, x->words);
    if (x->kind != SM_DIFFERS_LABEL) { /* a note is long, and says nothing of the root */
        sm_text_puts(out, ": ");
        sm_words_value(out, &x->old, x->unit);
        sm_text_puts(out, " became ");
        sm_words_value(out, &x->now, x->unit);
    }
    sm_text_puts(out, ".");
    alone_words(out, c, i);
}

/* The next by size below `last`; -1 if there is none. */
static int next_largest(const sm_compare *c, double last, int after)
{
    int found = -1;
    double most = -1;
    for (int i = 0; i < c->differences.n; i++) {
        const double size = fabs(c->alone[i].difference.value);
        if ((size < last || (size == last && i > after)) && size > most) {
            found = i;
            most = size;
        }
    }
    return found;
}

static void differences(sm_blocks *b, const sm_compare *c)
{
    sm_block_say(b, SM_TITLE, "What changed, the largest effect first");
    if (c->differences.n == 0)
        sm_block_say(b, SM_SAY, "Nothing: both files say the same.");
    double last = HUGE_VAL;
    for (int i = next_largest(c, last, -1); i >= 0; i = next_largest(c, last, i)) {
        difference(sm_block_words(b, SM_ITEM), c, i);
        last = fabs(c->alone[i].difference.value);
    }
    if (sm_differences_of_scan_alone(&c->differences))
        sm_block_say(b, SM_NOTE, SM_SCAN_MADE);
}

/* 3. The sum */

static void sum(sm_text *out, const sm_compare *c)
{
    if (c->differences.n < 2)
        return;
    sm_text_puts(out, "All together they move the answer ");
    moved_words(out, &c->moved);
    if (fabs(c->left.value) <= 2 * c->left.standard_error)
        sm_text_addf(out,
                     "; what each does alone adds up to that, to within the error of this run (at most %.1g of 100).",
                     100 * c->left.standard_error);
    else
        sm_text_addf(
            out,
            "; what each does alone does not add up to that. What is left, because they act together, is %+.2f "
            "of 100 (error at most %.1g).",
            100 * c->left.value, 100 * c->left.standard_error);
}

static void sides(sm_blocks *b, const sm_case *old, const sm_case *now, const sm_compare *c)
{
    sm_block_say(b, SM_TITLE, "Each side, of 100 roots");
    for (size_t k = 0; k < old->n_coronaries; k++)
        for (size_t j = 0; j < now->n_coronaries; j++) {
            if (strcmp(old->coronary[k].name, now->coronary[j].name) != 0 || !old->coronary[k].has_ostium ||
                !now->coronary[j].has_ostium)
                continue;
            sm_text *words = sm_block_words(b, SM_ITEM);
            sm_words_side(words, old->coronary[k].name);
            sm_text_puts(words, ": ");
            sm_words_of_100(words, &c->old.side[k].crossing.event);
            sm_text_puts(words, " before, ");
            sm_words_of_100(words, &c->now.side[j].crossing.event);
            sm_text_puts(words, " now.");
        }
}

/* 4. The whole */

static void headlines(sm_blocks *b, const sm_result *old, const sm_compare_part *p)
{
    const sm_compare *c = p->compare;
    compare_headline(sm_block_words(b, SM_HEADLINE), c);
    if (!c->old.complete) {
        sm_text *words = sm_block_words(b, SM_SAY);
        sm_text_puts(words, "The first case: ");
        sm_assess_headline(words, old);
    } else {
        sm_assess_headline_after(sm_block_words(b, SM_SAY), "Before", old);
        sm_assess_headline_after(sm_block_words(b, SM_SAY), "Now", p->now);
    }
    sm_assess_opposed(b, "Before", old->c, &c->old);
    sm_assess_opposed(b, "Now", p->now->c, &c->now);
    sm_block_say(b, SM_LEAD, sm_caution_short());
}

static void findings(sm_blocks *b, const sm_result *old, const sm_compare_part *p)
{
    differences(b, p->compare);
    sum(sm_block_words(b, SM_SAY), p->compare);
    sides(b, old->c, p->now->c, p->compare);
    sm_block_say(
        b, SM_SAY,
        old->assessment->sharp_points > 0
            ? "Both cases, and each difference put alone into the first, have sharp points of their own, as if "
              "assessed alone."
            : "Both cases, and each difference put alone into the first, run on the same draws.");
    sm_warning_tell(b, p->now);
}

/* Of either case, and each says which: two versions may have one name. */
static void unusual(sm_blocks *b, const sm_result *old, const sm_result *now)
{
    const sm_result *both[] = {old, now};
    static const char *const which[] = {"Before", "Now"};
    for (size_t i = 0; i < 2; i++)
        if (sm_unusual_any(both[i])) {
            sm_text_addf(sm_block_words(b, SM_SAY), "%s, case %s:", which[i], both[i]->c->name);
            sm_unusual_tell(b, both[i]);
        }
}

/* What is unusual and was meant, of either case. */
static void confirmed(sm_blocks *b, const sm_result *old, const sm_result *now)
{
    const sm_result *both[] = {old, now};
    static const char *const which[] = {"Before", "Now"};
    for (size_t i = 0; i < 2; i++)
        if (sm_unusual_any_confirmed(both[i])) {
            sm_text *words = sm_block_words(b, SM_SAY);
            sm_text_addf(words, "%s, case %s.", which[i], both[i]->c->name);
            sm_unusual_confirmed(words, both[i]);
        }
}

void sm_compare_text(sm_text *out, const sm_style *style, const sm_result *old, const sm_compare_part *p)
{
    sm_blocks b = {0};
    sm_assess_masthead(&b, old);
    sm_text_addf(sm_block_words(&b, SM_MUTED), "compared with case %s", p->now->c->name);
    sm_block_say(&b, SM_GAP, "");
    unusual(&b, old, p->now);
    confirmed(&b, old, p->now);
    headlines(&b, old, p);
    if (p->compare->old.complete)
        findings(&b, old, p);
    sm_caution_tell(&b);
    sm_write_text(out, style, &b);
}

void sm_compare_text_quiet(sm_text *out, const sm_style *style, const sm_result *old, const sm_compare_part *p)
{
    sm_blocks b = {0};
    unusual(&b, old, p->now);
    headlines(&b, old, p);
    sm_write_text(out, style, &b);
}

/* recheck_text.c - what to measure again, in the reading room's words.
 *
 * Contents: 1. imperatives  2. small numbers  3. the headline  4. the work list  5. what stays open
 *           6. where the spread comes from  7. guarded limits  8. the whole
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/text/recheck_text.h"

#include <math.h>
#include <string.h>

#include "report/text/assess_text.h"
#include "report/text/assumption_text.h"
#include "report/text/hold_text.h"
#include "report/text/looks_text.h"
#include "report/text/unusual_text.h"
#include "report/blocks/cautions.h"
#include "report/blocks/words.h"

/* 1. Imperatives */

void sm_recheck_imperative(sm_text *out, const char *source)
{
    sm_words_of_source(out, source, sm_source_table[sm_source_named(source, NULL)].again);
}

/* 2. Small numbers */

/* A worth in untreated events per 1,000 such cases; what cannot be told from 0 is "below 1". */
static void worth_words(sm_text *out, double value)
{
    if (value < SM_WORTH_FLOOR)
        sm_text_puts(out, "below 1");
    else
        sm_text_addf(out, "%.0f", 1000 * value);
}

/* The share by which sources are ranked, and what it is: in all, or alone where there is no other. */
static double rank_of(const sm_recheck_source *s)
{
    return sm_share_rank(&s->share)->value;
}

static const char *carries(const sm_share *s)
{
    return s->first_only ? "alone carries" : "takes part in";
}

/* A share of variance in percent, with its error; never a negative one that is only noise. */
static void share_words(sm_text *out, const sm_estimate *e)
{
    sm_text_addf(out, "%.1f +-%.1f", 100 * fmax(0, e->value), 100 * e->standard_error);
}

/* 3. The headline */

void sm_recheck_headline(sm_text *out, const sm_recheck *k)
{
    sm_text what = {0};
    if (k->n_reducible > 0)
        sm_recheck_imperative(&what, k->source[k->order[0]].name);
    if (k->n_sources == 0)
        sm_text_puts(out, "Stopped early: what to measure again is not known.");
    else if (!k->has_line)
        sm_text_addf(
            out, "%s: it carries the largest share of the uncertainty; without an action line no worth can be named.",
            sm_text_string(&what));
    else if (!sm_recheck_can_change(k))
        sm_text_puts(out, "No re-check can change the call: none is worth 1 untreated event per 1,000 such cases.");
    else if (k->looks.n > 0)
        sm_looks_headline(out, &k->looks);
    else
        sm_text_addf(out, "%s: of all re-checks that is worth most here.", sm_text_string(&what));
    sm_text_done(&what, out);
}

/* 4. The work list */

static void tied_words(sm_text *out, const sm_recheck_source *s)
{
    if (s->tied_to > s->tied_from)
        sm_text_addf(out, "; tied, %d to %d", s->tied_from + 1, s->tied_to + 1);
}

/* One item: the imperative, then "would change the call in 3 of 10 such cases; worth 47 untreated events per 1,000". */
static void work_item(sm_text *out, const sm_recheck *k, int place)
{
    const sm_recheck_source *s = &k->source[k->order[place]];
    const sm_source_worth *w = &s->worth;
    sm_text_addf(out, "%d. ", place + 1);
    sm_recheck_imperative(out, s->name);
    sm_text_puts(out, ": would change the call in ");
    sm_words_change(out, w->perfect.change.value);
    sm_text_puts(out, " such cases; worth ");
    worth_words(out, w->perfect.value.value);
    sm_text_addf(out, " (+-%.1f) untreated events per 1,000", 1000 * w->perfect.value.standard_error);
    if (w->one_more_defined) {
        sm_text_puts(out, "; one more reading by another reader: ");
        worth_words(out, w->one_more.value.value);
    }
    tied_words(out, s);
    sm_text_puts(out, ".");
}

/* A second look is what one knows already; what is left to know stands under what it looks at. */
static bool is_look(const sm_recheck_source *s)
{
    const sm_source_kind kind = sm_source_table[s->id].kind;
    return kind == SM_SOURCE_LOOK || kind == SM_SOURCE_DIRECT_LOOK;
}

/* The items that cannot be told from worthless, in one sentence. */
static void worthless(sm_text *out, const sm_recheck *k, int from)
{
    const char *before = "Worth below 1 per 1,000 each, so not worth the time for this call: ";
    bool any = false;
    for (int i = from; i < k->n_reducible; i++) {
        if (is_look(&k->source[k->order[i]]))
            continue;
        sm_text_puts(out, any ? ", " : before);
        sm_words_source(out, k->source[k->order[i]].name);
        any = true;
    }
    sm_text_puts(out, any ? "." : "");
}

static void looks_words(sm_text *out, const sm_recheck *k)
{
    if (k->assessment.n_looks > 0)
        sm_text_puts(out, "What was looked at twice stands once here: the worth is that of knowing its true measure.");
}

void sm_recheck_bound(sm_text *out, const sm_recheck *k)
{
    sm_text_addf(
        out,
        "An untreated event is a limit truly crossed with nothing done about it; it is not an obstructed "
        "artery. Knowing everything at once, the deployment too, could spare %.0f at most; worths do not add up.",
        1000 * k->worths.bound.value);
}

static void explain_worth(sm_text *out, const sm_recheck *k)
{
    sm_text_puts(out, "Worth: the untreated events that a perfect re-check would spare in 1,000 cases that read like "
                      "this, when you act at your line of ");
    sm_words_line(out, k->assessment.decision.action_line, 0);
    sm_text_puts(out, ". ");
    sm_recheck_bound(out, k);
}

/* Which numbers come from where. */
void sm_recheck_counted(sm_text *out, const sm_recheck *k)
{
    if (k->assessment.sharp_points == 0)
        return;
    sm_text_puts(out,
                 "How probable a crossing is comes from the sharp points. Worths, shares and, beside second looks, "
                 "readings that turn the call and settings are counted in trials: each with the error that stands "
                 "there.");
}

static void work_list_by_worth(sm_blocks *b, const sm_recheck *k)
{
    int i = 0;
    for (; i < k->n_reducible && k->source[k->order[i]].worth.perfect.value.value >= SM_WORTH_FLOOR; i++)
        work_item(sm_block_words(b, SM_NUMBERED), k, i);
    worthless(sm_block_words(b, SM_SAY), k, i);
    looks_words(sm_block_words(b, SM_SAY), k);
    explain_worth(sm_block_words(b, SM_SAY), k);
}

static void work_list_by_share(sm_blocks *b, const sm_recheck *k)
{
    for (int i = 0; i < k->n_reducible && rank_of(&k->source[k->order[i]]) > 0.005; i++) {
        const sm_recheck_source *s = &k->source[k->order[i]];
        sm_text *words = sm_block_words(b, SM_NUMBERED);
        sm_text_addf(words, "%d. ", i + 1);
        sm_recheck_imperative(words, s->name);
        sm_text_addf(words, ": %s %.0f %% of the uncertainty of the answer", carries(&s->share), 100 * rank_of(s));
        tied_words(words, s);
        sm_text_puts(words, ".");
    }
    looks_words(sm_block_words(b, SM_SAY), k);
    sm_block_say(b, SM_SAY,
                 "An action_line in the case (act if at least so many of 100 such roots cross a limit) would "
                 "bring what each re-check is worth, "
                 "whether it could change the call, and how much each gap must read.");
}

/* 5. What stays open */

/* The sources that no one can measure, if they move the answer. */
static void unmeasurable(sm_text *out, const sm_recheck *k)
{
    const char *before = "";
    for (int i = 0; i < k->n_sources; i++)
        if (!k->source[i].reducible && rank_of(&k->source[i]) >= 0.0005) {
            sm_text_puts(out, before);
            sm_words_source(out, k->source[i].name);
            before = ", ";
        }
    if (!before[0])
        sm_text_puts(out, "anything of the deployment: none of it moves this answer");
}

void sm_recheck_remains(sm_text *out, const sm_recheck *k)
{
    const double P = k->assessment.patient.event.probability, q = k->assessment.decision.action_line, v = P * (1 - P);
    if (k->has_line)
        sm_text_addf(out,
                     "With every measurement perfect, 1,000 cases that read like this would still cost %.0f (+-%.1f) "
                     "untreated events, against %.0f now%s. ",
                     1000 * k->worths.expected_cost.value, 1000 * k->worths.expected_cost.standard_error,
                     1000 * fmin(P, q), P < q ? "" : ": to act costs what your line says");
    if (v > 0)
        sm_text_addf(out, "Of the uncertainty whether a limit is crossed, %.0f %% would remain. ",
                     100 * fmin(1, k->sensitivity.irreducible_variance.value / v));
}

static void not_before(sm_text *out, const sm_recheck *k)
{
    sm_text_puts(out, "Nobody need be sent to measure ");
    unmeasurable(out, k);
    sm_text_puts(out, ". ");
    sm_recheck_remains(out, k);
}

/* 6. Where the spread comes from */

static void share_row(sm_blocks *b, const sm_recheck_source *s)
{
    sm_words_source(sm_block_words(b, SM_ROW), s->name);
    share_words(sm_block_words(b, SM_CELL), &s->share.event.first);
    if (!s->share.first_only)
        share_words(sm_block_words(b, SM_CELL), &s->share.event.total);
}

/* The source of largest share below `last` and from half a percent on; -1 if there is none. */
static int next_share(const sm_recheck *k, double last)
{
    int next = -1;
    for (int i = 0; i < k->n_sources; i++) {
        const double t = rank_of(&k->source[i]);
        if (t < last && t >= 0.005 && (next < 0 || t > rank_of(&k->source[next])))
            next = i;
    }
    return next;
}

static void share_columns(sm_blocks *b, bool first_only)
{
    static const sm_told_column column[] = {
        {"source", 46, .gap = 2},
        {"alone", 13, SM_RIGHT, .before = "alone ", .after = " percent"},
        {"in all", 17, SM_RIGHT, .before = "with all that it joins ", .after = " percent"}};
    sm_block_table(b, &(sm_told_table){0}, column, sizeof column / sizeof *column - first_only);
}

/* Sources by what they are ranked by, largest first; what is below half a percent is left to the result file. */
static void shares(sm_blocks *b, const sm_recheck *k)
{
    const bool first_only = k->n_sources > 0 && k->source[0].share.first_only;
    double last = HUGE_VAL;
    sm_block_say(b, SM_TITLE, "Where the uncertainty of the answer comes from, percent");
    share_columns(b, first_only);
    for (int next; (next = next_share(k, last)) >= 0; last = rank_of(&k->source[next]))
        share_row(b, &k->source[next]);
    if (first_only)
        sm_block_say(b, SM_SAY,
                     "Alone: the first-order Sobol index of the patient event, with its standard error. There is no "
                     "share in all: a second look ties what it looks at, plane and centre to each other, so that what "
                     "each does together with the others cannot be told apart.");
    else
        sm_block_say(b, SM_SAY,
                     "Alone: the first-order Sobol index of the patient event. In all: the total index, with all that "
                     "the source does together with others; these add up to more than 100. Each with its standard "
                     "error. The result file has them for every clearance.");
}

/* 7. Guarded limits */

/* "0.5 mm, less than one SD (0.6) of this reading". */
static void against_error(sm_text *out, double mm, double sd)
{
    sm_words_mm(out, mm);
    sm_text_puts(out, " mm");
    if (!(sd > 0))
        return;
    if (mm < sd)
        sm_text_puts(out, ", less than one SD (");
    else
        sm_text_addf(out, ", %.1f SDs (", mm / sd);
    sm_words_mm(out, sd);
    sm_text_puts(out, ") of this reading");
}

/* A reading at which the call turns. No gap reads below 0: what lies there is no target. */
static void found_words(sm_text *out, const sm_guard *g)
{
    const double more = sm_mm_at_least(g->at.value) - g->reading;
    if (g->at.value <= 0) {
        sm_text_puts(out, " mm read; below your line however little room it reads.");
        return;
    }
    sm_text_puts(out, more > 0 ? " mm read; from " : " mm read; below ");
    sm_words_mm_at_least(out, g->at.value);
    if (g->at.standard_error >= 0.05)
        sm_text_addf(out, " (+-%.1f)", g->at.standard_error);
    sm_text_puts(out, more > 0 ? " on the case falls below your line: " : " the call would turn: ");
    against_error(out, fabs(more), g->sd);
    sm_text_puts(out, ".");
}

static void guard_words(sm_text *out, const sm_case *c, int side, sm_gap_id gap, const sm_guard *g)
{
    char why[200];
    sm_words_side(out, c->coronary[side].name);
    sm_text_addf(out, ", gap %s: ", sm_gaps[gap].where_stj);
    sm_words_mm(out, g->reading);
    if (g->kind == SM_GUARD_FOUND)
        found_words(out, g);
    else {
        sm_guard_words(g, gap, c->coronary[g->other_side].name, why, sizeof why);
        sm_text_addf(out, " mm%s; no reading of it turns the call: %s.", g->sd > 0 ? " read" : "", why);
    }
}

void sm_recheck_tell_guards(sm_blocks *b, sm_block_kind kind, const sm_case *c, const sm_recheck *k)
{
    for (int side = 0; side < (int)c->n_coronaries; side++)
        for (int gap = 0; c->coronary[side].has_ostium && gap < SM_GAPS; gap++)
            guard_words(sm_block_words(b, kind), c, side, (sm_gap_id)gap, &k->guard[side][gap]);
}

static void guards(sm_blocks *b, const sm_case *c, const sm_recheck *k)
{
    if (!k->guard)
        return;
    sm_block_say(b, SM_TITLE, "How much each gap must read to fall below your line");
    sm_recheck_tell_guards(b, SM_ITEM, c, k);
    sm_block_say(
        b, SM_SAY,
        "With these errors, and every other reading as it is; rounded up to a tenth of a millimetre. One reading in "
        "three is off by more than its SD.");
}

/* 8. The whole */

static void findings(sm_blocks *b, const sm_result *r, const sm_recheck *k)
{
    sm_looks_tell(b, r->c, &k->looks, k->assessment.patient.event.probability);
    sm_looks_tell_views(b, r->c, &k->looks);
    sm_block_say(b, SM_TITLE,
                 k->has_line ? "What to measure again, if one thing could be known perfectly"
                             : "What to measure again");
    if (k->n_reducible == 0)
        sm_block_say(b, SM_SAY, "Nothing: this case has no measurement that varies.");
    else if (k->has_line)
        work_list_by_worth(b, k);
    else
        work_list_by_share(b, k);
    sm_block_say(b, SM_TITLE, "Not to be known before the valve is in");
    not_before(sm_block_words(b, SM_SAY), k);
    guards(b, r->c, k);
    shares(b, k);
    sm_recheck_counted(sm_block_words(b, SM_SAY), k);
}

void sm_recheck_tell(sm_blocks *b, const sm_result *r, const sm_recheck *k)
{
    sm_assess_masthead(b, r);
    sm_block_say(b, SM_GAP, "");
    sm_unusual_tell(b, r);
    sm_understood_tell(b, r);
    sm_block_say(b, SM_GAP, "");
    sm_recheck_tell_quiet(b, r, k);
    if (k->n_sources > 0) /* else it was stopped before anything of this was known */
        findings(b, r, k);
    sm_block_say(b, SM_TITLE, "What the call hangs on beside its readings");
    sm_hold_swings(b, r);
    if (!r->settings)
        sm_block_say(b, SM_SAY, "Not known: the run was interrupted.");
    sm_warning_tell(b, r);
    sm_caution_tell(b);
}

void sm_recheck_tell_quiet(sm_blocks *b, const sm_result *r, const sm_recheck *k)
{
    sm_recheck_headline(sm_block_words(b, SM_HEADLINE), k);
    sm_assess_headline(sm_block_words(b, SM_SAY), r);
    sm_assess_opposed(b, "", r->c, r->assessment);
    sm_block_say(b, SM_SAY, sm_caution_short());
}

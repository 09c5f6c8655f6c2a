/* hold_text.c - what a call hangs on, in plain words.
 *
 * Contents: 1. what is moved  2. the form of the call  3. the settings  4. what would turn it  5. all that moves it
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/text/hold_text.h"

#include <math.h>
#include <string.h>

#include "report/blocks/words.h"

/* 1. What is moved */

static const sm_assumption *assumption_of(const sm_result *r, int swing)
{
    return &r->assumption[r->settings->swing[swing].lever.assumption];
}

static bool is_wall(const sm_result *r, int swing)
{
    return sm_lever_is_wall(assumption_of(r, swing));
}

/* What moves as one has the same ends and words but for its side. */
int sm_hold_swing_of(const sm_result *r, size_t assumption)
{
    for (int i = 0; r->settings && i < r->settings->n_swings; i++)
        if ((size_t)r->settings->swing[i].lever.assumption == assumption)
            return i;
    return -1;
}

/* 2. The form of the call */

static void join(sm_text *out, int *n, int all, const char *words)
{
    if (*n > 0)
        sm_text_puts(out, *n + 1 == all ? " and " : ", ");
    sm_text_puts(out, words);
    (*n)++;
}

static void number_words(sm_text *out, int n)
{
    static const char *const words[] = {"no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine"};
    if (n < 10)
        sm_text_puts(out, words[n]);
    else
        sm_text_addf(out, "%d", n);
}

static int judged_turns(const sm_settings *s)
{
    int n = 0;
    for (int i = 0; i < s->n_judged; i++)
        n += s->swing[i].end[0].turns || s->swing[i].end[1].turns;
    return n;
}

/* "three judged values, the limit and whether a wall is bright". */
static void what_words(sm_text *out, const sm_result *r, const sm_hold *h)
{
    const int all = h->on_settings + h->on_limits + h->on_walls, turns = judged_turns(r->settings);
    int n = 0;
    sm_text judged = {0};
    if (turns > 0) {
        number_words(&judged, turns);
        sm_text_puts(&judged, turns == 1 ? " judged value" : " judged values");
    } else
        sm_text_puts(&judged, "the judged values together");
    if (h->on_settings)
        join(out, &n, all, sm_text_string(&judged));
    if (h->on_limits)
        join(out, &n, all, "the limit");
    if (h->on_walls)
        join(out, &n, all, "whether a wall is bright");
    sm_text_done(&judged, out);
}

static const char *open_words(sm_call_reason reason)
{
    return reason == SM_REASON_LOOKS_OPPOSED ? "Open, two looks are opposed: "
           : reason == SM_REASON_FEW_COUNT   ? "Open, too few trials count: "
                                             : "Open, at your line: ";
}

void sm_hold_form_words(sm_text *out, const sm_result *r)
{
    const sm_hold h = sm_hold_of(r->assessment, r->settings);
    const bool above = r->assessment->decision.call == SM_CALL_ABOVE;
    switch (h.form) {
    case SM_FORM_NONE:
        return;
    case SM_FORM_OPEN:
        sm_text_puts(out, open_words(r->assessment->decision.reason));
        return;
    case SM_FORM_UNKNOWN:
        sm_text_puts(out, above ? "Above your line so far: " : "Below your line so far: ");
        return;
    case SM_FORM_ABOVE:
    case SM_FORM_BELOW:
        sm_text_puts(out, above ? "Above your line: " : "Below your line: ");
        return;
    default:
        sm_text_puts(out, above ? "Above your line, but it hangs on " : "Below your line, but it hangs on ");
        what_words(out, r, &h);
        sm_text_puts(out, ": ");
    }
}

void sm_hold_firmness(sm_text *out, const sm_result *r)
{
    switch (sm_hold_of(r->assessment, r->settings).form) {
    case SM_FORM_ABOVE:
    case SM_FORM_BELOW:
        sm_text_puts(out, "Firm: it stays so in at least 95 of 100 settings of the judged values, by the other "
                          "published limits, and whether walls are bright or not.");
        return;
    case SM_FORM_UNKNOWN:
        sm_text_puts(out, "What it hangs on is not known: the run was interrupted.");
        return;
    default:
        return;
    }
}

/* 3. The settings */

/* "the call stays in 71 of 100 settings (+-3)" */
static void stays_words(sm_text *out, const char *before, const sm_settings *s)
{
    sm_text_addf(out, "%s call stays in ", before);
    if (s->same.value >= 0.995)
        sm_text_puts(out, "nearly all settings");
    else
        sm_text_addf(out, "%.0f of 100 settings (+-%.0f)", 100 * s->same.value,
                     fmax(1, ceil(200 * s->same.standard_error)));
}

void sm_hold_settings(sm_text *out, const sm_result *r)
{
    const sm_settings *s = r->settings;
    if (!s)
        return;
    if (s->n > 0) {
        sm_text_puts(out, "With the judged values all drawn anew, ");
        sm_words_range(out, s->low90.value, s->high90.value);
        sm_text_puts(out, " of 100 in 90 of 100 settings");
        if (r->assessment->decision.call == SM_CALL_ABOVE || r->assessment->decision.call == SM_CALL_BELOW) {
            sm_text_puts(out, "; ");
            stays_words(out, "the", s);
        }
        sm_text_puts(out, ". ");
    } else
        sm_text_puts(out, "No judged value of this case is in doubt. ");
    sm_text_puts(out, "At the very least and most, everything in doubt moved alone or together: ");
    sm_words_range(out, s->least, s->most);
    sm_text_puts(out, ".");
}

void sm_hold_under_ruler(sm_blocks *b, const sm_result *r)
{
    double low, high;
    sm_text *spoken = sm_block_words(b, SM_SPOKEN);
    if (sm_hold_ruler_settings(r, &low, &high)) {
        sm_text_puts(spoken, "In 90 of 100 settings of the judged values: ");
        sm_words_range(spoken, low, high);
        sm_text_puts(spoken, " of 100. ");
    }
    if (sm_hold_ruler_limits(r, &low, &high)) {
        sm_text_puts(spoken, "By the limits that might hold as well: ");
        sm_words_range(spoken, low, high);
        sm_text_puts(spoken, " of 100.");
    }
    sm_text *out = sm_block_words(b, SM_SAY);
    if (!r->settings) {
        sm_text_puts(out, "What this hangs on is not known: the run was interrupted.");
        return;
    }
    const sm_call call = r->assessment->decision.call;
    if (r->settings->n > 0 && (call == SM_CALL_ABOVE || call == SM_CALL_BELOW)) {
        stays_words(out, "The", r->settings);
        sm_text_puts(out, ". ");
    }
    sm_text_puts(out, "Least and most of all: ");
    sm_words_range(out, r->settings->least, r->settings->most);
    sm_text_puts(out, ".");
}

bool sm_hold_ruler_settings(const sm_result *r, double *low, double *high)
{
    if (!r->settings || r->settings->n == 0)
        return false;
    *low = r->settings->low90.value;
    *high = r->settings->high90.value;
    return true;
}

bool sm_hold_ruler_limits(const sm_result *r, double *low, double *high)
{
    const sm_assessment *a = r->assessment;
    *low = *high = a->patient.event.probability;
    for (int i = 0; i < SM_PUBLISHED_LIMITS; i++) {
        *low = fmin(*low, a->by_limits[i].probability);
        *high = fmax(*high, a->by_limits[i].probability);
    }
    for (int i = 0; r->settings && i < 2 * r->settings->n_swings; i++) {
        const sm_swing_end *e = &r->settings->swing[i / 2].end[i % 2];
        if (r->settings->swing[i / 2].lever.judged || is_wall(r, i / 2) || !e->applies)
            continue;
        *low = fmin(*low, e->probability);
        *high = fmax(*high, e->probability);
    }
    return true;
}

/* 4. What would turn it */

/* Three figures of the range; rounded away from what is taken, so that it does turn there. */
static void value_words(sm_text *out, double x, double range, int end, const char *unit)
{
    const int decimals = (int)fmin(4, fmax(0, 2 - floor(log10(fabs(range)))));
    const double step = pow(10, -decimals);
    sm_words_amount(out, step * (end ? ceil(x / step - 1e-9) : floor(x / step + 1e-9)), unit);
}

static void turn_words(sm_text *out, const sm_result *r, int swing, int end)
{
    const sm_swing *w = &r->settings->swing[swing];
    const sm_assumption *a = assumption_of(r, swing);
    const double range = w->lever.high - w->lever.low;
    sm_lever_words(assumption_of(r, swing), out);
    if (is_wall(r, swing)) {
        sm_text_puts(out, end ? " is not bright (taken: bright)" : " is bright (taken: not)");
        return;
    }
    sm_text_puts(out, end ? " is above " : " is below ");
    value_words(out, w->end[end].at, range, end, a->unit);
    sm_text_puts(out, " (taken: ");
    sm_words_number(out, w->lever.own);
    sm_text_puts(out, ")");
}

/* "And two more: --whole.", on a page without the option. */
static void more_words(sm_text *out, int n, bool page)
{
    sm_text words = {0};
    number_words(&words, n);
    sm_text_addf(out, "or %s more%s", sm_text_string(&words), page ? ", below." : ": --whole.");
    sm_text_done(&words, out);
}

void sm_hold_turns(sm_blocks *b, sm_block_kind kind, const sm_result *r)
{
    const sm_hold h = sm_hold_of(r->assessment, r->settings);
    if (h.n_told == 0)
        return;
    sm_block_say(b, SM_STRONG, "It would turn if (then, of 100, at the end of the range):");
    for (int i = 0; i < h.n_told; i++) {
        sm_text *words = sm_block_words(b, kind);
        turn_words(words, r, h.told[i].swing, h.told[i].end);
        sm_text_puts(words, ": ");
        sm_words_of_100_plain(words, r->settings->swing[h.told[i].swing].end[h.told[i].end].probability);
    }
    if (h.n_turns > h.n_told)
        more_words(sm_block_words(b, kind), h.n_turns - h.n_told, kind == SM_RUN);
}

void sm_hold_turning_at(sm_text *out, const sm_result *r, int swing)
{
    const sm_swing *w = &r->settings->swing[swing];
    for (int e = 0; e < 2; e++)
        if (w->end[e].turns && is_wall(r, swing))
            sm_text_puts(out, e ? "; turns if not bright" : "; turns if bright");
        else if (w->end[e].turns) {
            sm_text_puts(out, e ? "; turns above " : "; turns below ");
            value_words(out, w->end[e].at, w->lever.high - w->lever.low, e, "");
        }
}

/* 5. All that moves it */

static double width_of(const sm_swing *w)
{
    double low = 0, high = 0;
    for (int e = 0; e < 2; e++)
        if (w->end[e].applies) {
            low = fmin(low, w->end[e].difference.value);
            high = fmax(high, w->end[e].difference.value);
        }
    return high - low;
}

/* Below half a percent nothing is told. */
#define LEAST_WIDTH 0.005

/* The widest swing after `last` in the order of width, then of place; -1 if there is none of that width. */
static int next_swing(const sm_settings *s, int last)
{
    int next = -1;
    for (int i = 0; i < s->n_swings; i++) {
        const double width = width_of(&s->swing[i]);
        const bool after =
            last < 0 || width < width_of(&s->swing[last]) || (width == width_of(&s->swing[last]) && i > last);
        if (after && width > LEAST_WIDTH && (next < 0 || width > width_of(&s->swing[next])))
            next = i;
    }
    return next;
}

static void end_words(sm_text *out, const sm_result *r, int swing, int end)
{
    const sm_swing *w = &r->settings->swing[swing];
    const sm_swing_end *e = &w->end[end];
    sm_words_of_100_plain(out, e->applies ? e->probability : r->settings->probability);
    sm_text_puts(out, " of 100 at ");
    if (is_wall(r, swing))
        sm_text_puts(out, end ? "a soft wall" : "a bright one");
    else
        sm_words_amount(out, e->applies ? e->value : w->lever.own, end ? assumption_of(r, swing)->unit : "");
}

static void swing_words(sm_text *out, const sm_result *r, int swing)
{
    sm_lever_words(assumption_of(r, swing), out);
    sm_text_addf(out, " (%s): ", sm_grade_name(assumption_of(r, swing)->grade));
    end_words(out, r, swing, 0);
    sm_text_puts(out, ", ");
    end_words(out, r, swing, 1);
    sm_hold_turning_at(out, r, swing);
    sm_text_puts(out, ".");
}

void sm_hold_swings(sm_blocks *b, const sm_result *r)
{
    if (!r->settings)
        return;
    sm_hold_settings(sm_block_words(b, SM_STRONG), r);
    for (int i = next_swing(r->settings, -1); i >= 0; i = next_swing(r->settings, i))
        swing_words(sm_block_words(b, SM_ITEM), r, i);
    sm_block_say(
        b, SM_SAY,
        "Each alone from one end of its range to the other, the widest first; what moves the answer by less "
        "than half of 100 is left to the result file. A setting draws all judged values at once, each as often "
        "below as above what is taken; limits and bright walls are asked about by themselves. A value that "
        "was measured leaves the settings: say \"measured\": true beside it.");
}

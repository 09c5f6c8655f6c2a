/* weigh_text.c - the alternatives side by side, in plain words.
 *
 * Contents: 1. small pieces  2. the headline  3. what the user stated  4. side by side  5. what follows from it
 *           6. how firm the choice is  7. what to measure again  8. the whole
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/text/weigh_text.h"

#include <math.h>
#include <string.h>

#include "report/text/assess_text.h"
#include "report/text/assumption_text.h"
#include "report/text/obstruction_text.h"
#include "report/text/unusual_text.h"
#include "report/blocks/cautions.h"
#include "report/text/recheck_text.h"
#include "report/blocks/words.h"

/* 1. Small pieces */

/* A row's name: "as planned" bare, the user's own in quotation marks. */
static void row_name(sm_text *out, const sm_weigh *k, int row)
{
    sm_text_addf(out, row == 0 ? "%s" : "\"%s\"", k->row[row].name);
}

/* Of 1,000 such cases, in whole numbers if there are ten or more. */
static void of_1000(sm_text *out, double share)
{
    const double x = 1000 * share;
    sm_text_addf(out, "%.*f", x < 0.995 ? 2 : x < 9.95 ? 1 : 0, x);
}

/* Probabilities over Monte Carlo error, of 1,000: nobody counts beyond. */
static void sure_words(sm_text *out, double p)
{
    if (p > 0.9995)
        sm_text_puts(out, "more than 999 of 1,000");
    else
        sm_text_addf(out, "%.0f of 1,000", 1000 * p);
}

/* So many decimals, and one more where the error would be told as 0. */
static int decimals_for(double error, int least)
{
    return error > 0 && error < pow(10, -least) / 2 ? least + 1 : least;
}

/* A number and its Monte Carlo error. */
static void with_error(sm_text *out, double x, const char *between, double error, int least)
{
    const int decimals = decimals_for(error, least);
    sm_text_addf(out, "%.*f%s%.*f", decimals, x, between, decimals, error);
}

/* 2. The headline */

static void settled_words(sm_text *out, const sm_weigh *k)
{
    const int best = k->cheapest, other = best == 0 ? k->next : 0;
    sm_text_puts(out, "Least harm by your values: ");
    row_name(out, k, best);
    sm_text_puts(out, ", at ");
    of_1000(out, k->row[best].cost.value);
    sm_text_puts(out, " untreated events per 1,000 such cases, burden included");
    sm_text_puts(out, best == 0 ? "; next " : ", against ");
    if (best == 0) {
        row_name(out, k, other);
        sm_text_puts(out, ", at ");
    }
    of_1000(out, k->row[other].cost.value);
    sm_text_puts(out, best == 0 ? "." : " as planned.");
}

void sm_weigh_headline(sm_text *out, const sm_weigh *k)
{
    if (k->settled) {
        settled_words(out, k);
        return;
    }
    sm_text_puts(out, "Not told apart by this run: ");
    row_name(out, k, k->cheapest);
    sm_text_puts(out, " and ");
    row_name(out, k, k->next);
    sm_text_puts(out, " cost ");
    of_1000(out, k->row[k->cheapest].cost.value);
    sm_text_puts(out, " and ");
    of_1000(out, k->row[k->next].cost.value);
    sm_text_puts(out, " untreated events per 1,000 such cases by your values.");
}

void sm_weigh_disagreement(sm_text *out, const sm_result *r, const sm_weigh *k)
{
    const sm_call call = r->assessment->decision.call;
    const bool act = k->cheapest != 0, judged = act ? k->row[k->cheapest].burden_stated : true;
    if (!k->settled || !judged || (call != SM_CALL_ABOVE && call != SM_CALL_BELOW) || act == (call == SM_CALL_ABOVE))
        return;
    if (act) {
        sm_text_puts(out, "Your burdens say act (");
        row_name(out, k, k->cheapest);
        sm_text_puts(out, " harms least), your line says go as planned");
    } else
        sm_text_puts(out, "Your line says act, your burdens say that going as planned harms least");
    sm_text_puts(out, ": settle first which of them holds.");
}

void sm_weigh_instead(sm_text *out, const sm_weigh *k)
{
    sm_text_puts(out, "Harm per 1,000 such cases, by your values: ");
    for (int i = 0; i < k->n_rows; i++) {
        sm_text_puts(out, i ? ", " : "");
        row_name(out, k, i);
        sm_text_puts(out, " ");
        of_1000(out, k->row[i].cost.value);
        if (!k->row[i].burden_stated && i > 0)
            sm_text_puts(out, " (no burden stated)");
    }
    sm_text_puts(out, ".");
}

/* 3. What the user stated */

/* before SIDE after PROBABILITY, for every side if it is done. */
static void sides_words(sm_text *out, const sm_case *c, const double *probability, const char *before,
                        const char *after)
{
    for (size_t k = 0; k < c->n_coronaries; k++) {
        if (probability[k] == SM_NOT_DONE)
            continue;
        sm_text_puts(out, before);
        sm_words_side(out, c->coronary[k].name);
        sm_text_puts(out, after);
        sm_words_number(out, probability[k]);
        sm_text_puts(out, ";");
    }
}

/* 1/burden such cases for one untreated event. */
static void burden_words(sm_text *out, const sm_alternative *a)
{
    if (!a->burden_stated)
        sm_text_puts(out, " NO BURDEN STATED: weighed as if doing it harmed nobody.");
    else if (a->burden == 0)
        sm_text_puts(out, " burden 0: doing it harms nobody.");
    else {
        sm_text_puts(out, " burden ");
        sm_words_number(out, a->burden);
        if (a->burden < 1)
            sm_text_addf(out, ": worth doing in %.*f such cases to spare one untreated event.", a->burden > 0.1 ? 1 : 0,
                         1 / a->burden);
        else
            sm_text_puts(out, ": as bad as an untreated event, or worse.");
    }
}

static void stated(sm_blocks *b, const sm_case *c, const sm_alternative *a)
{
    sm_text *words = sm_block_words(b, SM_ITEM);
    sm_text_addf(words, "\"%s\":", a->name);
    if (a->patches_implant)
        sm_text_puts(words, " another new valve or deployment, as the case says;");
    if (a->patches_valve)
        sm_text_puts(words, " another state of the old valve, as the case says;");
    sides_words(words, c, a->lacerate, " splits the leaflet in front of the ", " coronary, with success probability ");
    sides_words(words, c, a->rescue, " rescues an event at the ", " coronary with probability ");
    burden_words(words, a);
}

static void all_stated(sm_blocks *b, const sm_case *c)
{
    sm_block_say(b, SM_TITLE, "What you stated");
    for (size_t i = 0; i < c->n_alternatives; i++)
        stated(b, c, &c->alternative[i]);
    sm_block_say(b, SM_SAY,
                 "These burdens, successes and rescues are yours: slimmargin has none of its own. An untreated "
                 "event is a limit truly crossed that nothing rescues; it is not an obstructed artery. A burden is "
                 "the harm of doing it, to everyone it is done to, in units of one untreated event. Harm in all: "
                 "the burden, and the events that nothing rescues.");
}

/* 4. Side by side */

/* Events spared against the plan, of 1,000, with the paired error. */
static void fewer_words(sm_text *out, const sm_weigh_row *r)
{
    if (r->difference.value == 0 && r->difference.standard_error == 0)
        sm_text_puts(out, "none");
    else
        with_error(out, -1000 * r->difference.value, " +-", 1000 * r->difference.standard_error, 1);
}

static void row(sm_blocks *b, const sm_weigh *k, int i)
{
    const sm_weigh_row *r = &k->row[i];
    row_name(sm_block_words(b, SM_ROW), k, i);
    sm_block_say(b, SM_DRAWN, r->name);
    of_1000(sm_block_words(b, SM_CELL), r->event.probability);
    of_1000(sm_block_words(b, SM_CELL), r->unrescued.probability);
    if (i > 0)
        fewer_words(sm_block_words(b, SM_CELL), r);
    else
        sm_block_say(b, SM_NONE, "");
    sm_words_number(sm_block_words(b, SM_CELL), 1000 * r->burden);
    if (i == 0)
        sm_block_say(b, SM_SAID, ""); /* the plan has none */
    of_1000(sm_block_words(b, SM_CELL), r->cost.value);
}

static void table(sm_blocks *b, const sm_weigh *k)
{
    static const sm_told_column column[] = {
        {.width = 31},
        {"a limit\ncrossed", 9, SM_RIGHT, .before = "a limit crossed in "},
        {"not\nrescued", 9, SM_RIGHT, .before = "not rescued in "},
        {"fewer than\nas planned", 14, SM_RIGHT, .before = "fewer than as planned: "},
        {"burden,\nyours", 8, SM_RIGHT, .before = "your burden "},
        {"harm\nin all", 9, SM_RIGHT, .before = "harm in all "}};
    sm_block_table(b, &(sm_told_table){.name = "numbers", .joint = "; ", .hang = 2}, column,
                   sizeof column / sizeof *column);
    for (int i = 0; i < k->n_rows; i++)
        row(b, k, i);
}

/* How many times more trials independent runs would need, least and most over the rows. */
static void pairing(sm_blocks *b, const sm_weigh *k)
{
    double least = HUGE_VAL, most = 0;
    sm_text *words = sm_block_words(b, SM_SAY);
    for (int i = 1; i < k->n_rows; i++)
        if (isfinite(k->row[i].more_trials)) {
            least = fmin(least, k->row[i].more_trials);
            most = fmax(most, k->row[i].more_trials);
        }
    const bool sharp = k->assessment.sharp_points > 0;
    const char *drawn = sharp ? "points" : "trials";
    sm_text_addf(words, "All on the same %s, so that chance cancels in the differences",
                 sharp ? "sharp points" : "draws");
    if (most > 0 && least < 0.95 * most)
        sm_text_addf(words, ": runs apart would need %.1f to %.1f times the %s for the same errors", least, most,
                     drawn);
    else if (most > 0)
        sm_text_addf(words, ": runs apart would need %.1f times the %s for the same errors", most, drawn);
    sm_text_puts(words, ". +-: Monte Carlo standard error.");
}

/* What the published series make of each act: no part of the harm. */
static void obstructed(sm_blocks *b, const sm_weigh *k)
{
    sm_text *words = sm_block_words(b, SM_SAY);
    sm_text_puts(words, "Obstructed, if published series of few, chosen patients carry over (no part of the harm), per "
                        "1,000 such cases: ");
    for (int i = 0; i < k->n_rows; i++) {
        sm_text_puts(words, i ? "; " : "");
        row_name(words, k, i);
        sm_text_puts(words, " ");
        sm_obstruction_of_1000(words, &k->row[i].obstruction);
    }
    sm_text_puts(words, ". ");
    for (int i = 0; i < k->n_rows; i++)
        if (!k->row[i].obstruction.covered) {
            sm_text_puts(words, "Not covered: those series know nothing of a sealed sinus.");
            break;
        }
}

static void side_by_side(sm_blocks *b, const sm_weigh *k)
{
    sm_block_say(b, SM_TITLE, "Side by side, per 1,000 such cases");
    table(b, k);
    pairing(b, k);
    obstructed(b, k);
}

/* 5. What follows from it */

static void by_side(sm_blocks *b, const sm_case *c, const sm_weigh *k, int i)
{
    sm_text *words = sm_block_words(b, SM_ITEM);
    row_name(words, k, i);
    sm_text_puts(words, ": crossing on ");
    int told = 0;
    for (int side = 0; side < k->n_sides; side++) {
        if (!c->coronary[side].has_ostium)
            continue;
        sm_text_puts(words, told++ ? ", " : "");
        sm_words_side(words, c->coronary[side].name);
        sm_text_puts(words, " ");
        sm_words_of_100(words, &k->row[i].side[side]);
    }
    sm_text_puts(words, " of 100.");
    const sm_estimate *even = &k->row[i].break_even;
    if (i > 0 && even->value > 0) {
        const int decimals = decimals_for(even->standard_error, 4);
        sm_text_addf(words, " Worth doing, against going as planned, while its burden is below %.*f (+-%.*f).",
                     decimals - 1, even->value, decimals, even->standard_error);
    } else if (i > 0)
        sm_text_puts(words, " It spares no event: no burden is small enough.");
    if (k->row[i].dominated_by >= 0) {
        sm_text_puts(words, " Never the better choice: ");
        row_name(words, k, k->row[i].dominated_by);
        sm_text_puts(words, " asks no more burden and leaves no more events.");
    }
}

/* 6. How firm the choice is */

static void firm_to_error(sm_blocks *b, const sm_weigh *k)
{
    sm_text *words = sm_block_words(b, SM_ITEM);
    sm_text_puts(words, "Monte Carlo error: ");
    row_name(words, k, k->cheapest);
    sm_text_puts(words, " does the least harm in ");
    sure_words(words, k->row[k->cheapest].cheapest);
    sm_text_puts(words, " reruns like this one");
    if (k->next >= 0) {
        sm_text_puts(words, "; next is ");
        row_name(words, k, k->next);
        sm_text_puts(words, ", with ");
        with_error(words, 1000 * k->margin.value, " (+-", 1000 * k->margin.standard_error, 1);
        sm_text_puts(words, ") more untreated events per 1,000");
    }
    sm_text_addf(words,
                 ". That is the error of %s alone, the least of the doubts: the judged values, which move the "
                 "number as planned, move these numbers too.",
                 k->assessment.sharp_points > 0 ? "the points" : "counting");
}

static void firm_to_burdens(sm_blocks *b, const sm_weigh *k)
{
    sm_text *words = sm_block_words(b, SM_ITEM);
    sm_text_puts(words, "Your burdens, all multiplied by the same factor: ");
    if (k->n_ranges == 1) {
        row_name(words, k, k->range[0].action);
        sm_text_puts(words, " stays the least harmful from 0.1 to 10");
    }
    for (int i = 0; i < k->n_ranges && k->n_ranges > 1; i++) {
        sm_text_addf(words, "%sfrom %.3g to %.3g ", i ? ", " : "", k->range[i].from, k->range[i].to);
        row_name(words, k, k->range[i].action);
    }
    sm_text_puts(words, ".");
}

static void firm_to_success(sm_blocks *b, const sm_weigh *k)
{
    sm_text *words = sm_block_words(b, SM_ITEM);
    int changes = 0;
    if (!k->any_success)
        return;
    sm_text_puts(words, "Your success and rescue probabilities, all multiplied by the same factor, 1 down to 0.5: ");
    for (int i = 1; i < SM_SUCCESS_STEPS; i++) {
        if (k->step[i].cheapest == k->step[i - 1].cheapest)
            continue;
        sm_text_puts(words, changes++ ? ", then " : "the least harmful becomes ");
        row_name(words, k, k->step[i].cheapest);
        sm_text_addf(words, " at about %.1f", k->step[i].factor);
    }
    if (changes == 0) {
        row_name(words, k, k->cheapest);
        sm_text_puts(words, " stays the least harmful");
    }
    sm_text_puts(words, ".");
}

static const char *line_word(sm_call call)
{
    return call == SM_CALL_ABOVE ? "act" : call == SM_CALL_BELOW ? "go" : "?";
}

/* Never "-0.00". */
static void benefit_words(sm_text *out, double x)
{
    sm_text_addf(out, "%.2f", fabs(x) < 0.005 ? 0.0 : x);
}

static void line_words(sm_text *out, const sm_line_step *s, int row)
{
    if (row == 0)
        sm_text_addf(out, "%.0f", 100 * s->line);
    else if (row == 1)
        sm_text_puts(out, line_word(s->call));
    else
        benefit_words(out, s->net_benefit);
}

/* Line by line it is a table across; a sentence goes line by line too. */
static void line_table(sm_blocks *b, const sm_weigh *k)
{
    static const char *const label[] = {"line, of 100", "act, or go", "net benefit"};
    sm_block_table(b, &(sm_told_table){0}, &(sm_told_column){.width = 20}, 1);
    for (int i = 0; i < SM_LINES; i++)
        sm_block_column(b, &(sm_told_column){.width = 6, .align = SM_RIGHT});
    for (int row = 0; row < 3; row++) {
        sm_block_say(b, SM_ROW, label[row]);
        sm_block_say(b, SM_SAID, "");
        for (int i = 0; i < SM_LINES; i++)
            line_words(sm_block_words(b, SM_CELL), &k->line[i], row);
    }
    sm_text *words = sm_block_words(b, SM_SPOKEN);
    for (int i = 0; i < SM_LINES; i++) {
        sm_text_addf(words, "%s%s at a line of %.0f of 100, net benefit ", i ? "; " : "", line_word(k->line[i].call),
                     100 * k->line[i].line);
        benefit_words(words, k->line[i].net_benefit);
    }
    sm_text_puts(words, ".");
}

static void over_lines(sm_blocks *b, const sm_weigh *k)
{
    sm_block_say(b, SM_TITLE, "To act or to go as planned, line by line");
    line_table(b, k);
    sm_block_say(b, SM_SAY,
                 "For any way of acting that spares every event: the line (threshold probability) is its burden. Net "
                 "benefit of acting: events met less "
                 "needless acts weighed by the odds of the line, per case (Vickers and Elkin 2006); above 0, act. "
                 "go: go as planned. ?: the line lies within Monte Carlo error.");
}

static void firmness(sm_blocks *b, const sm_weigh *k)
{
    sm_block_say(b, SM_TITLE, "How firm the choice is");
    firm_to_error(b, k);
    firm_to_burdens(b, k);
    firm_to_success(b, k);
    over_lines(b, k);
}

/* 7. What to measure again */

enum { MOST_ITEMS = 5 };

static void choice_item(sm_blocks *b, int place, const sm_choice_item *item)
{
    sm_text *words = sm_block_words(b, SM_ITEM);
    sm_text_addf(words, "%d. ", place + 1);
    sm_recheck_imperative(words, item->source);
    sm_text_addf(
        words, ": would change the choice in %.0f of 100 such cases; worth %.0f (+-%.1f) untreated events per 1,000.",
        100 * item->worth.change.value, 1000 * item->worth.value.value, 1000 * item->worth.value.standard_error);
}

/* "Not weighed: inner diameter under "crack the ring" ...": a source that only an alternative draws. */
static void not_weighed(sm_blocks *b, const sm_weigh *k)
{
    const sm_choice *c = &k->choice;
    sm_text *words = sm_block_words(b, SM_SAY);
    for (int i = 0; i < c->n_unseen; i++) {
        sm_text_puts(words, i == 0 ? "Not weighed: " : "; ");
        sm_words_source(words, c->unseen[i].source);
        sm_text_addf(words, " under \"%s\"", k->row[c->unseen[i].root].name);
    }
    if (c->n_unseen > 0)
        sm_text_puts(words, ". What an alternative makes of the valve shows only once it is done, and no re-check "
                            "beforehand can tell. What could be measured "
                            "beforehand belongs, with its uncertainty, to the case as planned.");
}

static void measure_again(sm_blocks *b, const sm_weigh *k)
{
    const sm_choice *c = &k->choice;
    int n = 0;
    sm_block_say(b, SM_TITLE, "What re-check could change the choice");
    for (; n < c->n && n < MOST_ITEMS && c->item[n].worth.value.value >= SM_WORTH_FLOOR; n++)
        choice_item(b, n, &c->item[n]);
    sm_text *words = sm_block_words(b, SM_SAY);
    if (!c->item)
        sm_text_puts(words, "Not known: the run was interrupted.");
    else if (n == 0)
        sm_text_puts(words,
                     "None: no single re-check is worth 1 untreated event per 1,000 such cases for this choice.");
    else
        sm_text_addf(words,
                     "Worth: what a perfect re-check would spare in 1,000 cases that read like this, with the "
                     "alternative chosen anew by what it shows. Knowing everything beforehand, the deployment too, "
                     "could spare %.0f at most. recheck ranks re-checks for the call at your line; this ranks them for "
                     "the choice among these alternatives: the orders may differ.",
                     1000 * c->bound);
    not_weighed(b, k);
}

/* 8. The whole */

static void headlines(sm_blocks *b, const sm_result *r, const sm_weigh *k)
{
    sm_weigh_disagreement(sm_block_words(b, SM_STRONG), r, k);
    sm_weigh_headline(sm_block_words(b, SM_HEADLINE), k);
    if (!k->row[k->cheapest].burden_stated)
        sm_block_say(b, SM_SAY, "No burden was stated for it: it is weighed as if doing it harmed nobody.");
    sm_assess_headline_after(sm_block_words(b, SM_SAY), "As planned", r);
    sm_assess_opposed(b, "As planned", r->c, r->assessment);
    if (!k->complete)
        sm_block_say(b, SM_SAY, "Interrupted: this rests on fewer trials than were asked for.");
    sm_block_say(b, SM_SAY, sm_caution_short());
}

void sm_weigh_tell(sm_blocks *b, const sm_result *r, const sm_weigh *k, const sm_published *context)
{
    sm_assess_masthead(b, r);
    sm_block_say(b, SM_GAP, "");
    sm_unusual_tell(b, r);
    sm_understood_tell(b, r);
    sm_block_say(b, SM_GAP, "");
    headlines(b, r, k);
    all_stated(b, r->c);
    side_by_side(b, k);
    sm_block_say(b, SM_TITLE, "Each by itself");
    for (int i = 0; i < k->n_rows; i++)
        by_side(b, r->c, k, i);
    firmness(b, k);
    measure_again(b, k);
    if (context)
        sm_context_tell(b, r->c, context, &k->assessment.obstruction);
    sm_assumption_tell(b, r);
    sm_warning_tell(b, r);
    sm_caution_tell(b);
}

void sm_weigh_tell_quiet(sm_blocks *b, const sm_result *r, const sm_weigh *k)
{
    headlines(b, r, k);
}

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
#include "report/blocks/cautions.h"
#include "report/text/recheck_text.h"
#include "report/blocks/words.h"
#include "report/blocks/write.h"

/* 1. Small pieces */

/* Adds words as one paragraph, made safe to show, and empties them. Items hang by four columns. */
static void say(sm_text *out, const sm_style *style, bool item, sm_text *words)
{
    const bool hangs = item && !style->plain;
    sm_layout_make_safe(words, style);
    sm_layout_words(out, style, hangs ? 2 : 0, hangs ? 4 : 0, words);
}

/* A row's name: "as planned" bare, the user's own in quotation marks. */
static void row_name(sm_text *out, const sm_weigh *k, int row)
{
    sm_text_addf(out, row == 0 ? "%s" : "\"%s\"", k->row[row].name);
}

/* Of 1,000 such cases, in whole numbers where there are ten or more. */
static void of_1000(sm_text *out, double share)
{
    const double x = 1000 * share;
    sm_text_addf(out, "%.*f", x < 0.995 ? 2 : x < 9.95 ? 1 : 0, x);
}

static void probability_of_1000(sm_text *out, const sm_probability *p)
{
    of_1000(out, p->probability);
}

/* Probabilities over Monte Carlo error, of 1,000: nobody counts beyond. */
static void sure_words(sm_text *out, double p)
{
    if (p > 0.9995)
        sm_text_puts(out, "more than 999 of 1,000");
    else
        sm_text_addf(out, "%.0f of 1,000", 1000 * p);
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

/* 3. What the user stated */

/* before SIDE after PROBABILITY, for every side where it is done. */
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

static void stated(sm_text *out, const sm_style *style, const sm_case *c, const sm_alternative *a)
{
    sm_text words = {0};
    sm_text_addf(&words, "\"%s\":", a->name);
    if (a->patches_implant)
        sm_text_puts(&words, " another new valve or deployment, as the case says;");
    if (a->patches_valve)
        sm_text_puts(&words, " another state of the old valve, as the case says;");
    sides_words(&words, c, a->lacerate, " splits the leaflet in front of the ", " coronary, with success probability ");
    sides_words(&words, c, a->rescue, " rescues an event at the ", " coronary with probability ");
    burden_words(&words, a);
    say(out, style, true, &words);
}

static void all_stated(sm_text *out, const sm_style *style, const sm_case *c)
{
    sm_layout_title(out, style, "What you stated");
    for (size_t i = 0; i < c->n_alternatives; i++)
        stated(out, style, c, &c->alternative[i]);
    sm_layout_wrap(out, style, 0, 0,
                   "These burdens, successes and rescues are yours: slimmargin has none of its own. An untreated "
                   "event is a limit truly crossed that nothing rescues; it is not an obstructed artery. A burden is "
                   "the harm of doing it, to everyone it is done to, in units of one untreated event. Harm in all: "
                   "the burden, and the events that nothing rescues.");
}

/* 4. Side by side */

enum { NAME = 31, CROSSING = 9, LEFT = 9, FEWER = 14, BURDEN = 8, COST = 9 };

/* Events spared against the plan, of 1,000, with the paired error. */
static void fewer_words(sm_text *out, const sm_weigh_row *r)
{
    if (r->difference.value == 0 && r->difference.standard_error == 0)
        sm_text_puts(out, "none");
    else
        sm_text_addf(out, "%.1f +-%.1f", -1000 * r->difference.value, 1000 * r->difference.standard_error);
}

static void number_cell(sm_text *out, size_t columns, void (*write)(sm_text *, const sm_probability *),
                        const sm_probability *p)
{
    sm_text cell = {0};
    write(&cell, p);
    sm_layout_right(out, sm_text_string(&cell), columns);
    sm_text_done(&cell, out);
}

static void word_cell(sm_text *out, size_t columns, sm_text *cell)
{
    sm_layout_right(out, sm_text_string(cell), columns);
    sm_text_done(cell, out);
}

/* The name, and a line end after it where the numbers would not stand in their columns. */
static void name_cell(sm_text *out, const sm_style *style, const char *name)
{
    sm_text safe = {0};
    sm_layout_safe(&safe, style, name);
    if (sm_layout_columns(sm_text_string(&safe)) < NAME)
        sm_layout_left(out, sm_text_string(&safe), NAME);
    else {
        sm_layout_wrap(out, style, 0, 2, sm_text_string(&safe));
        sm_text_fill(out, ' ', NAME);
    }
    sm_text_done(&safe, out);
}

static void table_row(sm_text *out, const sm_style *style, const sm_weigh *k, int i)
{
    const sm_weigh_row *r = &k->row[i];
    sm_text fewer = {0}, burden = {0}, cost = {0};
    name_cell(out, style, r->name);
    number_cell(out, CROSSING, probability_of_1000, &r->event);
    number_cell(out, LEFT, probability_of_1000, &r->unrescued);
    if (i > 0)
        fewer_words(&fewer, r);
    else
        sm_text_puts(&fewer, "-");
    word_cell(out, FEWER, &fewer);
    sm_words_number(&burden, 1000 * r->burden);
    word_cell(out, BURDEN, &burden);
    of_1000(&cost, r->cost.value);
    word_cell(out, COST, &cost);
    sm_text_puts(out, "\n");
}

static void table(sm_text *out, const sm_style *style, const sm_weigh *k)
{
    static const char *const head[2][6] = {{"", "a limit", "not", "fewer than", "burden,", "harm"},
                                           {"", "crossed", "rescued", "as planned", "yours", "in all"}};
    static const size_t width[] = {NAME, CROSSING, LEFT, FEWER, BURDEN, COST};
    for (int line = 0; line < 2; line++) {
        for (size_t i = 0; i < 6; i++)
            sm_layout_right(out, head[line][i], width[i]);
        sm_text_puts(out, "\n");
    }
    for (int i = 0; i < k->n_rows; i++)
        table_row(out, style, k, i);
}

static void row_sentence(sm_text *out, const sm_style *style, const sm_weigh *k, int i)
{
    const sm_weigh_row *r = &k->row[i];
    sm_text words = {0};
    row_name(&words, k, i);
    sm_text_puts(&words, ": a limit crossed in ");
    of_1000(&words, r->event.probability);
    sm_text_puts(&words, "; not rescued in ");
    of_1000(&words, r->unrescued.probability);
    sm_text_puts(&words, "; ");
    if (i > 0) {
        sm_text_puts(&words, "fewer than as planned: ");
        fewer_words(&words, r);
        sm_text_puts(&words, "; your burden ");
        sm_words_number(&words, 1000 * r->burden);
        sm_text_puts(&words, "; ");
    }
    sm_text_puts(&words, "harm in all ");
    of_1000(&words, r->cost.value);
    sm_text_puts(&words, ".");
    say(out, style, false, &words);
}

/* How many times more trials independent runs would need, least and most over the rows. */
static void pairing(sm_text *out, const sm_style *style, const sm_weigh *k)
{
    double least = HUGE_VAL, most = 0;
    sm_text words = {0};
    for (int i = 1; i < k->n_rows; i++)
        if (isfinite(k->row[i].more_trials)) {
            least = fmin(least, k->row[i].more_trials);
            most = fmax(most, k->row[i].more_trials);
        }
    sm_text_puts(&words, "All on the same draws, so that chance cancels in the differences");
    if (most > 0 && least < 0.95 * most)
        sm_text_addf(&words, ": runs apart would need %.1f to %.1f times the trials for the same errors", least, most);
    else if (most > 0)
        sm_text_addf(&words, ": runs apart would need %.1f times the trials for the same errors", most);
    sm_text_puts(&words, ". +-: Monte Carlo standard error.");
    say(out, style, false, &words);
}

static void side_by_side(sm_text *out, const sm_style *style, const sm_weigh *k)
{
    sm_layout_title(out, style, "Side by side, per 1,000 such cases");
    if (!style->plain)
        table(out, style, k);
    for (int i = 0; i < k->n_rows && style->plain; i++)
        row_sentence(out, style, k, i);
    pairing(out, style, k);
}

/* 5. What follows from it */

static void by_side(sm_text *out, const sm_style *style, const sm_case *c, const sm_weigh *k, int i)
{
    sm_text words = {0};
    row_name(&words, k, i);
    sm_text_puts(&words, ": crossing on ");
    for (int side = 0; side < k->n_sides; side++) {
        sm_text_puts(&words, side ? ", " : "");
        sm_words_side(&words, c->coronary[side].name);
        sm_text_puts(&words, " ");
        sm_words_of_100(&words, &k->row[i].side[side]);
    }
    sm_text_puts(&words, " of 100.");
    if (i > 0 && k->row[i].break_even.value > 0)
        sm_text_addf(&words, " Worth doing, against going as planned, while its burden is below %.3f (+-%.4f).",
                     k->row[i].break_even.value, k->row[i].break_even.standard_error);
    else if (i > 0)
        sm_text_puts(&words, " It spares no event: no burden is small enough.");
    if (k->row[i].dominated_by >= 0) {
        sm_text_puts(&words, " Never the better choice: ");
        row_name(&words, k, k->row[i].dominated_by);
        sm_text_puts(&words, " asks no more burden and leaves no more events.");
    }
    say(out, style, true, &words);
}

/* 6. How firm the choice is */

static void firm_to_error(sm_text *out, const sm_style *style, const sm_weigh *k)
{
    sm_text words = {0};
    sm_text_puts(&words, "Monte Carlo error: ");
    row_name(&words, k, k->cheapest);
    sm_text_puts(&words, " does the least harm in ");
    sure_words(&words, k->row[k->cheapest].cheapest);
    sm_text_puts(&words, " reruns like this one");
    if (k->next >= 0) {
        sm_text_puts(&words, "; next is ");
        row_name(&words, k, k->next);
        sm_text_addf(&words, ", with %.1f (+-%.1f) more untreated events per 1,000", 1000 * k->margin.value,
                     1000 * k->margin.standard_error);
    }
    sm_text_puts(&words, ".");
    say(out, style, true, &words);
}

static void firm_to_burdens(sm_text *out, const sm_style *style, const sm_weigh *k)
{
    sm_text words = {0};
    sm_text_puts(&words, "Your burdens, all multiplied by the same factor: ");
    if (k->n_ranges == 1) {
        row_name(&words, k, k->range[0].action);
        sm_text_puts(&words, " stays the least harmful from 0.1 to 10");
    }
    for (int i = 0; i < k->n_ranges && k->n_ranges > 1; i++) {
        sm_text_addf(&words, "%sfrom %.3g to %.3g ", i ? ", " : "", k->range[i].from, k->range[i].to);
        row_name(&words, k, k->range[i].action);
    }
    sm_text_puts(&words, ".");
    say(out, style, true, &words);
}

static void firm_to_success(sm_text *out, const sm_style *style, const sm_weigh *k)
{
    sm_text words = {0};
    int changes = 0;
    if (!k->any_success)
        return;
    sm_text_puts(&words, "Your success and rescue probabilities, all multiplied by the same factor, 1 down to 0.5: ");
    for (int i = 1; i < SM_SUCCESS_STEPS; i++) {
        if (k->step[i].cheapest == k->step[i - 1].cheapest)
            continue;
        sm_text_puts(&words, changes++ ? ", then " : "the least harmful becomes ");
        row_name(&words, k, k->step[i].cheapest);
        sm_text_addf(&words, " at about %.1f", k->step[i].factor);
    }
    if (changes == 0) {
        row_name(&words, k, k->cheapest);
        sm_text_puts(&words, " stays the least harmful");
    }
    sm_text_puts(&words, ".");
    say(out, style, true, &words);
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

static void line_table(sm_text *out, const sm_weigh *k)
{
    enum { LABEL = 20, CELL = 6 };
    static const char *const label[] = {"line, of 100", "act, or go", "net benefit"};
    for (int row = 0; row < 3; row++) {
        sm_layout_left(out, label[row], LABEL);
        for (int i = 0; i < SM_LINES; i++) {
            const sm_line_step *s = &k->line[i];
            sm_text cell = {0};
            if (row == 0)
                sm_text_addf(&cell, "%.0f", 100 * s->line);
            else if (row == 1)
                sm_text_puts(&cell, line_word(s->call));
            else
                benefit_words(&cell, s->net_benefit);
            word_cell(out, CELL, &cell);
        }
        sm_text_puts(out, "\n");
    }
}

static void line_sentence(sm_text *out, const sm_style *style, const sm_weigh *k)
{
    sm_text words = {0};
    for (int i = 0; i < SM_LINES; i++) {
        sm_text_addf(&words, "%s%s at a line of %.0f of 100, net benefit ", i ? "; " : "", line_word(k->line[i].call),
                     100 * k->line[i].line);
        benefit_words(&words, k->line[i].net_benefit);
    }
    sm_text_puts(&words, ".");
    say(out, style, false, &words);
}

static void over_lines(sm_text *out, const sm_style *style, const sm_weigh *k)
{
    sm_layout_title(out, style, "To act or to go as planned, line by line");
    if (style->plain)
        line_sentence(out, style, k);
    else
        line_table(out, k);
    sm_layout_wrap(out, style, 0, 0,
                   "For any way of acting that spares every event: the line (threshold probability) is its burden. Net "
                   "benefit of acting: events met less "
                   "needless acts weighed by the odds of the line, per case (Vickers and Elkin 2006); above 0, act. "
                   "go: go as planned. ?: the line lies within Monte Carlo error.");
}

static void firmness(sm_text *out, const sm_style *style, const sm_weigh *k)
{
    sm_layout_title(out, style, "How firm the choice is");
    firm_to_error(out, style, k);
    firm_to_burdens(out, style, k);
    firm_to_success(out, style, k);
    over_lines(out, style, k);
}

/* 7. What to measure again */

enum { MOST_ITEMS = 5 };

static void choice_item(sm_text *out, const sm_style *style, int place, const sm_choice_item *item)
{
    sm_text words = {0};
    sm_text_addf(&words, "%d. ", place + 1);
    sm_recheck_imperative(&words, item->source);
    sm_text_addf(
        &words, ": would change the choice in %.0f of 100 such cases; worth %.0f (+-%.1f) untreated events per 1,000.",
        100 * item->worth.change.value, 1000 * item->worth.value.value, 1000 * item->worth.value.standard_error);
    say(out, style, true, &words);
}

/* "Not weighed: inner diameter under "crack the ring" ...": a source that only an alternative draws. */
static void not_weighed(sm_text *out, const sm_style *style, const sm_weigh *k)
{
    const sm_choice *c = &k->choice;
    sm_text words = {0};
    for (int i = 0; i < c->n_unseen; i++) {
        sm_text_puts(&words, i == 0 ? "Not weighed: " : "; ");
        sm_words_source(&words, c->unseen[i].source);
        sm_text_addf(&words, " under \"%s\"", k->row[c->unseen[i].root].name);
    }
    if (words.len > 0)
        sm_text_puts(&words, ". What an alternative makes of the valve shows only once it is done, and no re-check "
                             "beforehand can tell. What could be measured "
                             "beforehand belongs, with its uncertainty, to the case as planned.");
    if (words.len > 0)
        say(out, style, false, &words);
}

static void measure_again(sm_text *out, const sm_style *style, const sm_weigh *k)
{
    const sm_choice *c = &k->choice;
    int n = 0;
    sm_text words = {0};
    sm_layout_title(out, style, "What re-check could change the choice");
    for (; n < c->n && n < MOST_ITEMS && c->item[n].worth.value.value >= SM_CHOICE_FLOOR; n++)
        choice_item(out, style, n, &c->item[n]);
    if (!c->item)
        sm_text_puts(&words, "Not known: the run was interrupted.");
    else if (n == 0)
        sm_text_puts(&words,
                     "None: no single re-check is worth 1 untreated event per 1,000 such cases for this choice.");
    else
        sm_text_addf(&words,
                     "Worth: what a perfect re-check would spare in 1,000 cases that read like this, with the "
                     "alternative chosen anew by what it shows. Knowing everything beforehand, the deployment too, "
                     "could spare %.0f at most. recheck ranks re-checks for the call at your line; this ranks them for "
                     "the choice among these alternatives: the orders may differ.",
                     1000 * c->bound);
    say(out, style, false, &words);
    not_weighed(out, style, k);
}

/* 8. The whole */

static void headlines(sm_text *out, const sm_style *style, const sm_weigh *k)
{
    sm_text words = {0};
    sm_weigh_headline(&words, k);
    sm_layout_make_safe(&words, style);
    sm_layout_paragraph(out, style, SM_PAINT_STRONG, 0, &words);
    if (!k->row[k->cheapest].burden_stated)
        sm_layout_wrap(out, style, 0, 0, "No burden was stated for it: it is weighed as if doing it harmed nobody.");
    sm_assess_headline_after(&words, "As planned", &k->assessment);
    sm_layout_paragraph(out, style, SM_PAINT_NONE, 0, &words);
    if (!k->complete)
        sm_layout_wrap(out, style, 0, 0, "Interrupted: this rests on fewer trials than were asked for.");
    sm_layout_wrap(out, style, 0, 0, sm_caution_short());
}

void sm_weigh_text(sm_text *out, const sm_style *style, const sm_result *r, const sm_weigh *k,
                   const sm_context *context)
{
    sm_blocks b = {0};
    sm_assess_masthead(&b, r);
    sm_write_text(out, style, &b);
    sm_text_puts(out, "\n");
    headlines(out, style, k);
    all_stated(out, style, r->c);
    side_by_side(out, style, k);
    sm_layout_title(out, style, "Each by itself");
    for (int i = 0; i < k->n_rows; i++)
        by_side(out, style, r->c, k, i);
    firmness(out, style, k);
    measure_again(out, style, k);
    if (context)
        sm_context_tell(&b, r->c, context);
    sm_assumption_tell(&b, r);
    sm_warning_tell(&b, r);
    sm_caution_tell(&b);
    sm_write_text(out, style, &b);
}

void sm_weigh_text_quiet(sm_text *out, const sm_style *style, const sm_weigh *k)
{
    headlines(out, style, k);
}

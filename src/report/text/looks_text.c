/* looks_text.c - what a look is worth before it is made, the rule at the table, and the view that shows each gap.
 *
 * Contents: 1. numbers  2. the rule  3. the headline  4. the looks  5. four ways to go on  6. what is taken
 *           7. the first three  8. views  9. the whole
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/text/looks_text.h"

#include <math.h>

#include "measurement/planned_look.h"
#include "report/blocks/words.h"

/* 1. Numbers */

/* The worth that looks are ranked by. */
static const sm_worth *ranked_by(const sm_look_worths *w, const sm_look_worth *l)
{
    return w->has_line ? &l->worth : &l->choice;
}

/* Untreated events per 1,000 such cases; what cannot be told from 0 is "below 1". */
static void per_1000(sm_text *out, double value)
{
    if (fabs(value) < SM_WORTH_FLOOR)
        sm_text_puts(out, "below 1");
    else
        sm_text_addf(out, "%.0f", 1000 * value);
}

static bool any_burden(const sm_look_worths *w)
{
    bool any = false;
    for (int i = 0; i < w->n; i++)
        any = any || w->look[i].look->burden > 0;
    return any;
}

static bool any_minutes(const sm_look_worths *w)
{
    bool any = false;
    for (int i = 0; i < w->n; i++)
        any = any || w->look[i].look->minutes > 0;
    return any;
}

/* 2. The rule */

/* "act if it reads below 5.1 mm": the rule of a look with one number; nothing if it has none. */
static void rule_words(sm_text *out, const sm_look_worth *l)
{
    if (l->act.kind != SM_ACT_BELOW && l->act.kind != SM_ACT_ABOVE)
        return;
    sm_text_puts(out, l->act.kind == SM_ACT_BELOW ? "act if it reads below " : "act if it reads above ");
    sm_words_mm(out, l->act.at);
    sm_text_puts(out, " mm");
}

static bool has_rule(const sm_look_worth *l)
{
    return l->act.kind == SM_ACT_BELOW || l->act.kind == SM_ACT_ABOVE;
}

/* 3. The headline */

void sm_looks_headline(sm_text *out, const sm_look_worths *w)
{
    const sm_look_worth *first = sm_look_worths_first(w);
    if (!first && w->n > 0)
        sm_text_puts(out, any_burden(w) ? "No look is worth more than its burden here: to look first changes too "
                                          "little."
                                        : "No look can change what to do: none spares 1 untreated event per 1,000 such "
                                          "cases.");
    if (!first)
        return;
    sm_text_addf(out, "Look first: %s", first->look->name);
    if (has_rule(first)) {
        sm_text_puts(out, "; ");
        rule_words(out, first);
    }
    sm_text_puts(out, ".");
}

/* 4. The looks */

static void look_columns(sm_blocks *b, const sm_look_worths *w)
{
    static const sm_told_column spares[] = {
        {"spares, of 1,000", 16, SM_RIGHT, .before = "spares ", .after = " of 1,000"},
        {"turns the call in", 17, SM_RIGHT, .before = "turns the call in "}};
    static const sm_told_column burden = {"less its\nburden", 8, SM_RIGHT, .before = "less its burden "};
    static const sm_told_column minutes = {"minutes", 8, SM_RIGHT, .before = "minutes: "};
    const bool more = any_burden(w) || any_minutes(w);
    const sm_told_column look = {"look", more ? 32 : 40, .gap = 2};
    sm_block_table(b, &(sm_told_table){.hang = 2}, &look, 1);
    sm_block_columns(b, spares, 2);
    if (more)
        sm_block_columns(b, any_burden(w) ? &burden : &minutes, 1);
}

static void look_row(sm_blocks *b, const sm_look_worths *w, const sm_look_worth *l)
{
    const sm_worth *worth = ranked_by(w, l);
    sm_text_puts(sm_block_words(b, SM_ROW), l->look->name);
    sm_text *spares = sm_block_words(b, SM_CELL);
    per_1000(spares, worth->value.value);
    sm_text_addf(spares, " +-%.1f", 1000 * worth->value.standard_error);
    sm_words_change(sm_block_words(b, SM_CELL), worth->change.value);
    if (any_burden(w))
        sm_text_addf(sm_block_words(b, SM_CELL), "%.0f", 1000 * sm_look_worth_net(w, l));
    else if (any_minutes(w) && l->look->minutes > 0)
        sm_text_addf(sm_block_words(b, SM_CELL), "%.0f", l->look->minutes);
    else if (any_minutes(w))
        sm_block_words(b, SM_NONE);
}

static bool is_worth(const sm_look_worths *w, const sm_look_worth *l)
{
    return ranked_by(w, l)->value.value >= SM_WORTH_FLOOR;
}

/* Those that cannot be told from worthless, in one sentence. */
static void worthless(sm_blocks *b, const sm_look_worths *w)
{
    sm_text *out = sm_block_words(b, SM_SAY);
    const char *before = "Worth below 1 per 1,000: ";
    for (int i = 0; i < w->n; i++) {
        const sm_look_worth *l = &w->look[w->order[i]];
        if (is_worth(w, l))
            continue;
        sm_text_addf(out, "%s%s", before, l->look->name);
        before = "; ";
    }
    sm_text_puts(out, before[0] == ';' ? "." : "");
}

/* Looks whose burden is more than they spare. */
static void not_worth_it(sm_blocks *b, const sm_look_worths *w)
{
    sm_text *out = sm_block_words(b, SM_SAY);
    const char *before = "Worth less than its burden, so do not look first: ";
    for (int i = 0; i < w->n; i++) {
        const sm_look_worth *l = &w->look[w->order[i]];
        if (!is_worth(w, l) || sm_look_worth_net(w, l) >= 0)
            continue;
        sm_text_addf(out, "%s%s", before, l->look->name);
        before = "; ";
    }
    sm_text_puts(out, before[0] == ';' ? "." : "");
}

static void rules(sm_blocks *b, const sm_look_worths *w)
{
    for (int i = 0; i < w->n; i++) {
        const sm_look_worth *l = &w->look[w->order[i]];
        if (!w->has_line || !is_worth(w, l) || l->dims != 1)
            continue;
        sm_text *out = sm_block_words(b, SM_ITEM);
        sm_text_addf(out, "%s: ", l->look->name);
        if (has_rule(l)) {
            rule_words(out, l);
            sm_text_puts(out, "; it will say so in ");
            sm_words_change(out, l->acts.value);
            sm_text_puts(out, ".");
        } else
            sm_text_puts(out, "no single reading divides acting from going on; the risk crosses your line more than "
                              "once.");
    }
}

static void look_table(sm_blocks *b, const sm_look_worths *w)
{
    look_columns(b, w);
    for (int i = 0; i < w->n; i++)
        if (is_worth(w, &w->look[w->order[i]]))
            look_row(b, w, &w->look[w->order[i]]);
    worthless(b, w);
    not_worth_it(b, w);
}

/* 5. Four ways to go on */

static void way(sm_blocks *b, const char *words, double harm)
{
    sm_text_puts(sm_block_words(b, SM_ROW), words);
    sm_text_addf(sm_block_words(b, SM_CELL), "%.0f", 1000 * harm);
}

static void ways(sm_blocks *b, const char *act, const sm_look_worth *l, sm_policies p)
{
    static const sm_told_column column[] = {{NULL, 58, .gap = 2},
                                            {"harm of 1,000", 14, SM_RIGHT, .after = " of 1,000"}};
    sm_text first = {0};
    sm_text_addf(&first, "%s, then act on it", l->look->name);
    sm_block_table(b, &(sm_told_table){.hang = 2}, column, 2);
    way(b, "go as planned", p.as_planned);
    way(b, act, p.act_now);
    way(b, sm_text_string(&first), p.look_then_act);
    way(b, "know everything, the deployment too", p.know_all);
    sm_text_done(&first, &b->text);
}

static const char *act_words(const sm_case *c, const sm_look_worths *w)
{
    return w->now == 0 ? "as planned, the least of all now" : c->alternative[w->now - 1].name;
}

static void four_ways(sm_blocks *b, const sm_case *c, const sm_look_worths *w, double event)
{
    const sm_look_worth *at_line = w->has_line && w->n > 0 ? &w->look[w->order[0]] : NULL;
    const sm_look_worth *of_choice = w->has_choice ? sm_look_worths_best_of_choice(w) : NULL;
    if (at_line) {
        sm_block_say(b, SM_TITLE, "Four ways to go on, at your line");
        ways(b, "act now: it costs what your line says", at_line, sm_policies_at_line(event, w->line, at_line));
    }
    if (of_choice) {
        sm_block_say(b, SM_TITLE, "The same among your alternatives, by their burdens");
        ways(b, act_words(c, w), of_choice, sm_policies_of_choice(event, w, of_choice));
    }
}

/* 6. What is taken */

static bool any_of(const sm_case *c, sm_planned_kind kind)
{
    bool any = false;
    for (size_t i = 0; i < c->n_planned; i++)
        any = any || c->planned[i].kind == kind;
    return any;
}

/* What a case's projections err by, if all err alike; else that each has its own. */
static void picture_words(sm_text *out, const sm_case *c)
{
    const sm_planned_look *one = NULL;
    bool same = true;
    for (size_t i = 0; i < c->n_planned; i++) {
        const sm_planned_look *l = &c->planned[i];
        if (l->kind != SM_PLANNED_PROJECT)
            continue;
        one = one ? one : l;
        same = same && one->reader_sd_mm == l->reader_sd_mm && one->magnification_sd == l->magnification_sd &&
               one->view_error_sd_deg == l->view_error_sd_deg;
    }
    if (one && same)
        sm_text_addf(out,
                     " An angiogram is read to %.3g mm (SD), its scale known to %.3g %%, its view off by %.3g degrees.",
                     one->reader_sd_mm, 100 * one->magnification_sd, one->view_error_sd_deg);
}

static bool any_dof(const sm_case *c)
{
    bool any = false;
    for (size_t k = 0; k < c->n_coronaries; k++)
        for (int q = 0; q < SM_QUANTITIES; q++)
            any = any || (c->coronary[k].quantity[q].is_read && c->coronary[k].quantity[q].dof > 0);
    return any;
}

static void taken(sm_blocks *b, const sm_case *c, const sm_look_worths *w)
{
    sm_text *out = sm_block_words(b, SM_SAY);
    sm_text_puts(out, c->planned_standard ? "Your case lists no looks, so these are the usual ones, without any burden"
                                          : "These are the looks of your case");
    sm_text_puts(out, "; each is simulated from what may be true, and read as you would read it. ");
    sm_text_puts(out, w->has_line ? "Spares: untreated events in 1,000 cases that read like this, when you act at your "
                                    "line on what it shows."
                                  : "Spares: untreated events in 1,000 cases that read like this, when you choose by "
                                    "what it shows.");
    sm_text_puts(out, " Worths do not add up.");
    picture_words(out, c);
    if (any_of(c, SM_PLANNED_AGAIN) && any_dof(c))
        sm_text_puts(out, " A new reader's error is taken as normal, though its SD is known from few readings.");
}

/* 7. The first three */

/* The first look with a rule that is worth its burden; NULL if there is none. */
static const sm_look_worth *first_rule(const sm_look_worths *w)
{
    for (int i = 0; i < w->n; i++) {
        const sm_look_worth *l = &w->look[w->order[i]];
        if (has_rule(l) && sm_look_worth_net(w, l) >= SM_WORTH_FLOOR)
            return l;
    }
    return NULL;
}

void sm_looks_first(sm_text *out, const sm_look_worths *w)
{
    enum { FIRST = 3 };
    const sm_look_worth *rule = first_rule(w);
    const char *before = "Look again first (spares, of 1,000): ";
    for (int i = 0; i < w->n && i < FIRST; i++) {
        const sm_look_worth *l = &w->look[w->order[i]];
        if (sm_look_worth_net(w, l) < SM_WORTH_FLOOR)
            break;
        sm_text_addf(out, "%s%s (", before, l->look->name);
        per_1000(out, sm_look_worth_net(w, l));
        sm_text_puts(out, ")");
        before = "; ";
    }
    if (before[0] != ';')
        return;
    sm_text_puts(out, ".");
    if (rule) {
        sm_text_addf(out, " After \"%s\": ", rule->look->name);
        rule_words(out, rule);
        sm_text_puts(out, ".");
    }
}

/* The view of what an angiogram is at; NULL if none is known. */
static const sm_gap_view *view_of(const sm_look_worths *w, const sm_planned_look *l)
{
    for (int i = 0; i < w->n_views; i++)
        if (l->kind == SM_PLANNED_PROJECT && l->target[0].what == SM_OSTIUM_GAP &&
            l->target[0].side == w->view[i].side && w->view[i].projection.edge_on.there)
            return &w->view[i];
    return NULL;
}

/* "LAO 38, cranial 22". */
static void view_words(sm_text *out, sm_view v)
{
    /* rounded first, so that -0.3 is LAO 0 */
    const double a = round(v.primary_deg), e = round(v.secondary_deg);
    sm_text_addf(out, "%s %.0f, %s %.0f", a < 0 ? "RAO" : "LAO", fabs(a), e < 0 ? "caudal" : "cranial", fabs(e));
}

static void screen_row(sm_blocks *b, const sm_look_worths *w, const sm_look_worth *l)
{
    const sm_gap_view *v = view_of(w, l->look);
    sm_text *label = sm_block_words(b, SM_ROW);
    sm_text_puts(label, l->look->name);
    if (v) {
        sm_text_puts(label, ", ");
        view_words(label, v->projection.edge_on.view);
    }
    if (has_rule(l)) {
        sm_text_puts(label, ": ");
        rule_words(label, l);
    }
    per_1000(sm_block_words(b, SM_CELL), sm_look_worth_net(w, l));
    sm_words_change(sm_block_words(b, SM_CELL), ranked_by(w, l)->change.value);
}

void sm_looks_tell_screen(sm_blocks *b, const sm_look_worths *w)
{
    enum { FIRST = 3 };
    static const sm_told_column column[] = {
        {"Look at again first", 45, .gap = 2},
        {"spares, of 1,000", 16, SM_RIGHT, .before = "spares ", .after = " of 1,000"},
        {"turns the call", 14, SM_RIGHT, .before = "turns the call in "}};
    if (!sm_look_worths_first(w))
        return;
    sm_block_table(b, &(sm_told_table){.hang = 2}, column, 3);
    for (int i = 0; i < w->n && i < FIRST; i++)
        if (sm_look_worth_net(w, &w->look[w->order[i]]) >= SM_WORTH_FLOOR)
            screen_row(b, w, &w->look[w->order[i]]);
}

/* 8. Views */

static void edge_on_words(sm_text *out, const sm_gap_view *v)
{
    const sm_carm_shot *s = &v->projection.edge_on;
    if (!s->there) {
        sm_text_puts(out, "no view with the ring edge-on lies within the gantry's reach.");
        return;
    }
    view_words(out, s->view);
    sm_text_puts(out, ", the ring edge-on; ");
    if (s->off_deg < 0.5)
        sm_text_puts(out, "the gap is not foreshortened.");
    else
        sm_text_addf(out, "it misses the gap's profile by %.0f degrees, %.1f mm.", s->off_deg, v->shortens);
}

static void beside_words(sm_text *out, const sm_look_worths *w, const sm_gap_view *v)
{
    if (!v->projection.edge_on.there)
        return;
    sm_text_addf(out, " 10 degrees beside it take a further %.1f mm off", v->shortens_more);
    if (w->has_line) {
        sm_text_puts(out, ", and ");
        per_1000(out, fmax(0, v->worth.value - v->worth_off.value));
        sm_text_puts(out, " of 1,000 off what such a picture is worth (");
        per_1000(out, v->worth.value);
        sm_text_puts(out, ")");
    }
    sm_text_puts(out, ".");
}

static void profile_words(sm_text *out, const sm_gap_view *v)
{
    const sm_carm_shot *s = &v->projection.profile;
    if (v->projection.edge_on.there && v->projection.edge_on.off_deg < 0.5)
        return;
    if (!s->there) {
        sm_text_puts(out, " No view within reach shows the gap without foreshortening.");
        return;
    }
    sm_text_puts(out, " Without foreshortening: ");
    view_words(out, s->view);
    sm_text_addf(out, ", the ring then open by %.0f degrees.", s->off_deg);
}

void sm_looks_tell_views(sm_blocks *b, const sm_case *c, const sm_look_worths *w)
{
    if (w->n_views == 0)
        return;
    sm_block_say(b, SM_TITLE, "The view that shows each gap");
    for (int i = 0; i < w->n_views; i++) {
        const sm_gap_view *v = &w->view[i];
        sm_text *out = sm_block_words(b, SM_ITEM);
        sm_words_side(out, c->coronary[v->side].name);
        sm_text_puts(out, ": ");
        edge_on_words(out, v);
        beside_words(out, w, v);
        profile_words(out, v);
    }
    sm_text *out = sm_block_words(b, SM_SAY);
    sm_text_addf(
        out,
        "By how the valve lies on CT, within RAO %.0f to LAO %.0f and caudal %.0f to cranial %.0f. On the table "
        "the view found differs from the one foretold, mostly by 9 to 10 degrees.",
        c->gantry.rao_deg, c->gantry.lao_deg, c->gantry.caudal_deg, c->gantry.cranial_deg);
}

/* 9. The whole */

void sm_looks_tell(sm_blocks *b, const sm_case *c, const sm_look_worths *w, double event)
{
    if (w->n == 0)
        return;
    sm_block_say(b, SM_TITLE, "What a look is worth before it is made");
    look_table(b, w);
    rules(b, w);
    taken(b, c, w);
    four_ways(b, c, w, event);
}

/* report_html.c - the report, part by part in the order of the page.
 *
 * Contents: 1. the call  2. the rooms and the root  3. what to measure again  4. alternatives
 *           5. from a limit to an artery  6. cautions and origin  7. the whole
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/page/report_html.h"

#include "report/blocks/cautions.h"
#include "report/blocks/words.h"
#include "report/page/html.h"
#include "report/text/assess_text.h"
#include "report/text/assumption_text.h"
#include "report/text/hold_text.h"
#include "report/text/looks_text.h"
#include "report/text/obstruction_text.h"
#include "report/text/recheck_text.h"
#include "report/text/unusual_text.h"
#include "report/text/weigh_text.h"

/* 1. The call */

static void call(sm_blocks *b, const sm_findings *f)
{
    const sm_assessment *a = f->result.assessment;
    sm_unusual_tell(b, &f->result);
    if (f->weigh)
        sm_weigh_disagreement(sm_block_words(b, SM_STRONG), &f->result, f->weigh);
    sm_assess_headline(sm_block_words(b, SM_HEADLINE), &f->result);
    sm_assess_opposed(b, "", f->result.c, a);
    sm_assess_stopped(sm_block_words(b, SM_SAY), a);
    sm_assess_driver(sm_block_words(b, SM_LEAD), f->result.c, a);
    sm_block_say(b, SM_LEAD, sm_caution_short());
    sm_obstruction_tell(b, &a->obstruction);
    sm_understood_tell(b, &f->result);
    sm_html_figure(b, &sm_fig_ruler, f, 0);
    sm_hold_turns(b, SM_RUN, &f->result);
    sm_assess_other_limits(sm_block_words(b, SM_NOTE), f->result.c, a);
    if (f->recheck)
        sm_looks_first(sm_block_words(b, SM_NOTE), &f->recheck->looks);
}

/* 2. The rooms and the root */

/* All pictures of a figure under a title. */
static void pictures(sm_blocks *b, const sm_findings *f, const char *title, const sm_figure *g)
{
    sm_block_say(b, SM_TITLE, title);
    for (int i = 0; i < g->count(f); i++)
        sm_html_figure(b, g, f, i);
}

static void root(sm_blocks *b, const sm_findings *f)
{
    if (!f->portrait)
        return;
    sm_block_say(b, SM_PAIR, "");
    pictures(b, f, "The root in profile, to scale", &sm_fig_profile);
    pictures(b, f, "The root unrolled", &sm_fig_unrolled);
    sm_block_say(b, SM_GROUP_END, "");
}

/* 3. What to measure again */

static void recheck(sm_blocks *b, const sm_findings *f)
{
    if (!f->recheck)
        return;
    sm_block_say(b, SM_TITLE, "What to measure again");
    if (f->recheck->has_line && !sm_recheck_can_change(f->recheck))
        sm_recheck_headline(sm_block_words(b, SM_SAY), f->recheck);
    if (sm_fig_recheck.count(f) > 0)
        sm_html_figure(b, &sm_fig_recheck, f, 0);
    sm_recheck_remains(sm_block_words(b, SM_NOTE), f->recheck);
    if (f->recheck->has_line)
        sm_recheck_bound(sm_block_words(b, SM_SCREEN_NOTE), f->recheck);
    sm_recheck_counted(sm_block_words(b, SM_SCREEN_NOTE), f->recheck);
}

/* What a look is worth, and the view of each gap: two sheets of paper have room for the first three on top alone. */
static void looks(sm_blocks *b, const sm_findings *f)
{
    if (!f->recheck || f->recheck->looks.n + f->recheck->looks.n_views == 0)
        return;
    sm_block_say(b, SM_SCREEN, "");
    sm_looks_tell(b, f->result.c, &f->recheck->looks, f->result.assessment->patient.event.probability);
    sm_looks_tell_views(b, f->result.c, &f->recheck->looks);
    sm_block_say(b, SM_GROUP_END, "");
}

/* 4. Alternatives */

static void alternatives(sm_blocks *b, const sm_findings *f)
{
    if (sm_fig_alternatives.count(f) == 0)
        return;
    sm_block_say(b, SM_TITLE, "What might be done instead");
    sm_weigh_headline(sm_block_words(b, SM_STRONG), f->weigh);
    sm_html_figure(b, &sm_fig_alternatives, f, 0);
}

/* 5. From a limit to an artery */

static void obstruction(sm_blocks *b, const sm_findings *f)
{
    if (sm_fig_series.count(f) == 0)
        return;
    sm_block_say(b, SM_SCREEN, ""); /* two sheets of paper have room for the sentence on top alone */
    sm_block_say(b, SM_TITLE, "From a limit to an artery, for comparison only");
    sm_html_figure(b, &sm_fig_series, f, 0);
    sm_block_say(b, SM_NOTE, sm_obstruction_caution());
    sm_block_say(b, SM_GROUP_END, "");
}

/* 6. Cautions and origin */

void sm_report_origin(sm_text *out, const sm_result *r)
{
    sm_text_addf(out, "slimmargin %s, ", sm_result_version());
    sm_assess_drawn(out, r->assessment);
    sm_text_addf(out, ". Case %s, SHA-256 %s.", r->c->name, r->case_sha256);
}

static void cautions(sm_blocks *b, const sm_result *r)
{
    sm_caution_tell(b);
    sm_text *out = sm_block_words(b, SM_ORIGIN);
    sm_report_origin(out, r);
    if (r->profile_sha256)
        sm_text_addf(out, " Site profile, SHA-256 %s.", r->profile_sha256);
    else
        sm_text_puts(out, " No site profile.");
}

/* 7. The whole */

void sm_report_page(sm_text *out, const sm_result *r, const char *about, sm_blocks *b)
{
    sm_text running = {0}, title = {0};
    sm_text_addf(&running, "\xc2\xb7 case %s \xc2\xb7 SHA-256 %.12s", r->c->name, r->case_sha256);
    sm_text_addf(&title, "slimmargin: case %s%s", r->c->name, about);
    sm_html_page(out, &(sm_html_head){sm_text_string(&title), sm_text_string(&running)}, b);
    sm_text_done(&running, out);
    sm_text_done(&title, out);
}

void sm_report_html(sm_text *out, const sm_findings *f)
{
    sm_report_sources s;
    sm_blocks b = {0};
    if (!sm_report_sources_create(f, &s)) {
        out->failed = true;
        return;
    }
    call(&b, f);
    pictures(&b, f, "Room beside each ostium, mm", &sm_fig_room);
    root(&b, f);
    looks(&b, f);
    recheck(&b, f);
    alternatives(&b, f);
    obstruction(&b, f);
    sm_report_numbers(&b, f);
    sm_report_readings(&b, &s);
    sm_report_rests(&b, &s);
    sm_warning_tell(&b, &f->result);
    cautions(&b, &f->result);
    sm_report_page(out, &f->result, "", &b);
    sm_report_sources_destroy(&s);
}

/* report_html.c - the report, part by part in the order of the page.
 *
 * Contents: 1. the call  2. the rooms  3. the root  4. what to measure again  5. alternatives
 *           6. warnings, cautions, origin  7. the whole
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/page/report_html.h"

#include <inttypes.h>
#include <math.h>

#include "report/text/assess_text.h"
#include "report/blocks/cautions.h"
#include "report/page/html.h"
#include "report/text/recheck_text.h"
#include "report/text/weigh_text.h"
#include "report/blocks/words.h"

#ifndef SM_VERSION
#define SM_VERSION "unversioned"
#endif

/* 1. The call */

static void call(sm_text *out, const sm_findings *f)
{
    const sm_assessment *a = f->result.assessment;
    sm_text words = {0};
    sm_assess_headline(&words, a);
    sm_text_puts(out, "<section class=\"call\">\n");
    sm_html_words(out, "h1", NULL, &words);
    if (!a->complete) {
        sm_assess_stopped(&words, a);
        sm_html_words(out, "p", NULL, &words);
    }
    sm_assess_driver(&words, f->result.c, a);
    sm_text_addf(&words, " %s", sm_caution_short());
    sm_html_words(out, "p", "lead", &words);
    sm_html_figure(out, &sm_fig_ruler, f, 0, NULL);
    sm_html_section_end(out);
}

/* 2. The rooms */

static void rooms(sm_text *out, const sm_findings *f)
{
    const int n = sm_fig_room.count(f);
    sm_html_section(out, NULL, 2, "Room beside each ostium, mm");
    for (int i = 0; i < n; i++)
        sm_html_figure(out, &sm_fig_room, f, i, NULL);
    sm_html_section_end(out);
}

/* 3. The root */

static void root(sm_text *out, const sm_findings *f)
{
    if (!f->portrait)
        return;
    sm_text_puts(out, "<div class=\"pair\">\n");
    sm_html_section(out, NULL, 2, "The root in profile, to scale");
    for (int i = 0; i < sm_fig_profile.count(f); i++)
        sm_html_figure(out, &sm_fig_profile, f, i, NULL);
    sm_html_section_end(out);
    sm_html_section(out, NULL, 2, "The root unrolled");
    sm_html_figure(out, &sm_fig_unrolled, f, 0, NULL);
    sm_html_section_end(out);
    sm_text_puts(out, "</div>\n");
}

/* 4. What to measure again */

/* What is left when every measurement is perfect. */
static void irreducible(sm_text *out, const sm_recheck *k)
{
    const double event = k->assessment.patient.event.probability;
    const double variance = event * (1 - event);
    sm_text words = {0};
    if (k->has_line)
        sm_text_addf(&words,
                     "Were every measurement perfect, 1,000 such cases would still cost %.0f untreated events, against "
                     "%.0f now%s. ",
                     1000 * k->worths.expected_cost.value, 1000 * fmin(event, k->assessment.decision.action_line),
                     event < k->assessment.decision.action_line ? "" : ": to act costs what your line says");
    if (variance > 0)
        sm_text_addf(&words,
                     "%.0f %% of the uncertainty whether a limit is crossed would remain: how the new valve expands, "
                     "flares and leans. ",
                     100 * k->sensitivity.irreducible_variance.value / variance);
    if (k->has_line)
        sm_text_addf(
            &words,
            "Knowing everything could spare %.0f; the bars do not add up. An untreated event is a limit truly crossed "
            "with nothing done about it, not an obstructed artery.",
            1000 * k->worths.bound.value);
    sm_html_element(out, "h3", NULL, "What no re-check can settle");
    sm_html_words(out, "p", "note", &words);
}

static void recheck(sm_text *out, const sm_findings *f)
{
    if (!f->recheck)
        return;
    sm_html_section(out, NULL, 2, "What to measure again");
    if (f->recheck->has_line && !sm_recheck_can_change(f->recheck)) {
        sm_text words = {0};
        sm_recheck_headline(&words, f->recheck);
        sm_html_words(out, "p", NULL, &words);
    }
    if (sm_fig_recheck.count(f) > 0)
        sm_html_figure(out, &sm_fig_recheck, f, 0, NULL);
    irreducible(out, f->recheck);
    sm_html_section_end(out);
}

/* 5. Alternatives */

static void alternatives(sm_text *out, const sm_findings *f)
{
    sm_text words = {0};
    if (sm_fig_alternatives.count(f) == 0)
        return;
    sm_html_section(out, NULL, 2, "What might be done instead");
    sm_weigh_headline(&words, f->weigh);
    sm_html_words(out, "p", "strong", &words);
    sm_html_figure(out, &sm_fig_alternatives, f, 0, NULL);
    sm_html_section_end(out);
}

/* 6. Warnings, cautions, origin */

typedef struct {
    sm_text *out;
    bool begun;
} warning_list;

static void add_warning(void *self, const char *words)
{
    warning_list *l = self;
    if (!l->begun) {
        sm_html_section(l->out, NULL, 2, "Warnings");
        sm_text_puts(l->out, "<ul>\n");
    }
    l->begun = true;
    sm_html_element(l->out, "li", NULL, words);
}

static void warnings(sm_text *out, const sm_findings *f)
{
    warning_list l = {out, false};
    sm_result_each_warning(&f->result, add_warning, &l);
    if (!l.begun)
        return;
    sm_text_puts(out, "</ul>\n");
    sm_html_section_end(out);
}

static void origin(sm_text *out, const sm_findings *f)
{
    const sm_result *r = &f->result;
    sm_text words = {0};
    sm_text_addf(&words, "slimmargin %s, ", SM_VERSION);
    sm_words_count(&words, r->assessment->trials);
    sm_text_addf(&words, " trials, seed %" PRIu64 ". Case %s, SHA-256 %s. ", r->assessment->seed, r->c->name,
                 r->case_sha256);
    if (r->profile_sha256)
        sm_text_addf(&words, "Site profile, SHA-256 %s.", r->profile_sha256);
    else
        sm_text_puts(&words, "No site profile.");
    sm_html_words(out, "p", "note sha", &words);
}

static void cautions(sm_text *out, const sm_findings *f)
{
    sm_html_section(out, "caution", 2, "Before you act on this");
    sm_html_element(out, "p", NULL, sm_cautions());
    origin(out, f);
    sm_html_section_end(out);
}

/* 7. The whole */

void sm_report_begin(sm_text *out, const sm_result *r, const char *about)
{
    sm_text running = {0}, title = {0};
    sm_text_addf(&running, "\xc2\xb7 case %s \xc2\xb7 SHA-256 %.12s", r->c->name, r->case_sha256);
    sm_text_addf(&title, "slimmargin: case %s%s", r->c->name, about);
    sm_html_begin(out, &(sm_html_head){sm_text_string(&title), sm_text_string(&running)});
    sm_text_done(&running, out);
    sm_text_done(&title, out);
}

void sm_report_html(sm_text *out, const sm_findings *f)
{
    sm_report_sources s;
    if (!sm_report_sources_create(f, &s)) {
        out->failed = true;
        return;
    }
    sm_report_begin(out, &f->result, "");
    call(out, f);
    rooms(out, f);
    root(out, f);
    recheck(out, f);
    alternatives(out, f);
    sm_report_numbers(out, f);
    sm_report_readings(out, &s);
    sm_report_rests(out, &s);
    warnings(out, f);
    cautions(out, f);
    sm_html_end(out);
    sm_report_sources_destroy(&s);
}

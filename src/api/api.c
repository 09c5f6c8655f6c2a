/* api.c - include/slimmargin.h on top of the floors.
 *
 * Contents: 1. words and versions  2. cases  3. runs  4. results  5. a report
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "slimmargin.h"

#include <stdlib.h>

#include "api/whole.h"
#include "engine/assess.h"
#include "casefile/casefile.h"
#include "report/json/result_json.h"
#include "report/blocks/write.h"
#include "report/text/assess_text.h"

/* 1. Words and versions */

static slimmargin_status public_status(sm_status s)
{
    switch (s) {
    case SM_OK:
        return SLIMMARGIN_OK;
    case SM_REFUSED:
        return SLIMMARGIN_REFUSED;
    case SM_UNRESOLVED:
        return SLIMMARGIN_UNRESOLVED;
    case SM_INTERRUPTED:
        return SLIMMARGIN_INTERRUPTED;
    case SM_NO_MEMORY:
        return SLIMMARGIN_NO_MEMORY;
    default:
        return SLIMMARGIN_FAILED;
    }
}

const char *slimmargin_status_words(slimmargin_status s)
{
    static const sm_status of[] = {[SLIMMARGIN_OK] = SM_OK,
                                   [SLIMMARGIN_REFUSED] = SM_REFUSED,
                                   [SLIMMARGIN_UNRESOLVED] = SM_UNRESOLVED,
                                   [SLIMMARGIN_INTERRUPTED] = SM_INTERRUPTED,
                                   [SLIMMARGIN_NO_MEMORY] = SM_NO_MEMORY,
                                   [SLIMMARGIN_FAILED] = SM_NUMERIC};
    return sm_status_words((unsigned)s < sizeof of / sizeof *of ? of[s] : SM_STATUS_COUNT);
}

const char *slimmargin_version(void)
{
    return sm_result_version();
}

/* 2. Cases */

struct slimmargin_case {
    sm_casefile *file;
    sm_diag diag;
    char *messages;
};

slimmargin_status slimmargin_case_profile(const char *text, size_t length, char **path)
{
    return public_status(
        sm_casefile_profile_path((sm_file_text){.name = "case", .text = text, .length = length}, path));
}

slimmargin_status slimmargin_case_read(const char *text, size_t length, const char *profile, size_t profile_length,
                                       slimmargin_case **out)
{
    const sm_file_text case_text = {"case", text, length}, profile_text = {"profile", profile, profile_length};
    slimmargin_case *c = *out = calloc(1, sizeof *c);
    if (!c)
        return SLIMMARGIN_NO_MEMORY;
    sm_status s = sm_casefile_read(case_text, profile_text, NULL, 0, &c->diag, &c->file);
    sm_text messages = {0};
    sm_diag_write(&c->diag, &messages);
    c->messages = sm_text_take(&messages);
    if (s == SM_NO_MEMORY || !c->messages) { /* a message may be what memory ran out for */
        slimmargin_case_free(c);
        *out = NULL;
        return SLIMMARGIN_NO_MEMORY;
    }
    return public_status(s);
}

const char *slimmargin_case_messages(const slimmargin_case *c)
{
    return c->messages;
}

void slimmargin_case_free(slimmargin_case *c)
{
    if (!c)
        return;
    sm_casefile_destroy(c->file);
    sm_diag_destroy(&c->diag);
    free(c->messages);
    free(c);
}

/* 3. Runs */

struct slimmargin_result {
    const slimmargin_case *c;
    sm_assessment assessment;
    sm_settings settings; /* empty: not known */
};

slimmargin_options slimmargin_options_default(void)
{
    return (slimmargin_options){.trials = SM_DEFAULT_TRIALS, .seed = SM_DEFAULT_SEED, .cap = SM_DEFAULT_CAP};
}

/* The caller's watch, and whether it asked to stop. */
typedef struct {
    const slimmargin_watch *watch;
    bool stop;
} watching;

static void ask(void *self, const sm_gathered *so_far, int64_t trials)
{
    watching *w = self;
    const sm_probability p = sm_weighted_probability(&so_far->tally[0].patient.event);
    const slimmargin_progress known = {so_far->n, trials, p.probability, p.low, p.high};
    if (w->watch && w->watch->go_on && !w->watch->go_on(w->watch->self, &known))
        w->stop = true;
}

static bool asked_to_stop(void *self)
{
    return ((watching *)self)->stop;
}

static bool in_range(const slimmargin_options *o, const slimmargin_executor *executor)
{
    return o->trials >= 1 && o->trials <= SM_MOST_TRIALS &&
           (!o->until_resolved || (o->cap >= o->trials && o->cap <= SM_MOST_TRIALS)) &&
           (!executor || executor->width >= 1);
}

static sm_run_context context_of(const slimmargin_options *o, const slimmargin_executor *executor, watching *w)
{
    sm_run_context context = {.trials = o->trials,
                              .seed = o->seed,
                              .watch = {.self = w, .interrupted = asked_to_stop, .progress = ask},
                              .points = o->plain_points ? SM_POINTS_PLAIN : SM_POINTS_SHARP};
    if (executor)
        context.executor = (sm_executor){executor->width, executor->run, executor->self};
    return context;
}

/* What the call of an assessment hangs on, as in every command. */
static sm_status settle(const slimmargin_case *c, sm_run_context context, sm_assessment *a, sm_settings *out)
{
    const sm_status s = sm_settings_run(c->file, a, context, out);
    a->complete = s == SM_OK;
    return s;
}

slimmargin_status slimmargin_assess(const slimmargin_case *c, const slimmargin_options *options,
                                    const slimmargin_executor *executor, const slimmargin_watch *watch,
                                    slimmargin_result **out)
{
    const slimmargin_options o = options ? *options : slimmargin_options_default();
    watching w = {.watch = watch};
    const sm_run_context context = context_of(&o, executor, &w);
    *out = NULL;
    if (!c->file || !in_range(&o, executor))
        return SLIMMARGIN_REFUSED;
    slimmargin_result *r = calloc(1, sizeof *r);
    if (!r)
        return SLIMMARGIN_NO_MEMORY;
    r->c = c;
    const sm_case *planned = sm_casefile_case(c->file);
    sm_status s = o.until_resolved ? sm_assess_until_resolved(planned, o.cap, context, &r->assessment)
                                   : sm_assess(planned, context, &r->assessment);
    if (s == SM_OK || s == SM_UNRESOLVED) {
        const sm_status settings = settle(c, context, &r->assessment, &r->settings);
        s = settings == SM_OK ? s : settings;
    }
    if (s == SM_OK || s == SM_UNRESOLVED || s == SM_INTERRUPTED)
        *out = r;
    else
        slimmargin_result_free(r);
    return public_status(s);
}

/* 4. Results */

static sm_result told_of(const slimmargin_case *c, const sm_assessment *a, const sm_settings *settings)
{
    sm_result result = sm_result_of(c->file, &c->diag, a);
    result.settings = settings->swing ? settings : NULL;
    return result;
}

static sm_result result_of(const slimmargin_result *r)
{
    return told_of(r->c, &r->assessment, &r->settings);
}

char *slimmargin_result_text(const slimmargin_result *r, bool utf8, bool plain)
{
    const sm_style style = {.width = 80, .utf8 = utf8, .plain = plain};
    const sm_result result = result_of(r);
    sm_text text = {0};
    sm_blocks b = {0};
    sm_assess_tell(&b, &result);
    sm_write_text(&text, &style, &b);
    return sm_text_take(&text);
}

char *slimmargin_result_json(const slimmargin_result *r)
{
    const sm_result result = result_of(r);
    sm_text text = {0};
    sm_result_json_write(&result, NULL, 0, &text);
    return sm_text_take(&text);
}

void slimmargin_result_free(slimmargin_result *r)
{
    if (!r)
        return;
    sm_assessment_destroy(&r->assessment);
    sm_settings_destroy(&r->settings);
    free(r);
}

/* 5. A report */

/* Hands the text over. */
static sm_status hand_over(sm_text *text, char **out, sm_status s)
{
    *out = sm_text_take(text);
    return *out ? s : SM_NO_MEMORY;
}

static sm_status tell_whole(const slimmargin_case *c, const sm_whole *w, const sm_settings *settings, char **html,
                            char **json, sm_status s)
{
    const sm_result r = told_of(c, &w->recheck.assessment, settings);
    const sm_findings f = sm_whole_findings(w, &r);
    sm_text text = {0};
    if (html) {
        sm_report_html(&text, &f);
        s = hand_over(&text, html, s);
    }
    if (json && s != SM_NO_MEMORY) {
        sm_whole_json(&f, &text);
        s = hand_over(&text, json, s);
    }
    return s;
}

slimmargin_status slimmargin_report(const slimmargin_case *c, const slimmargin_options *options,
                                    const slimmargin_executor *executor, const slimmargin_watch *watch, char **html,
                                    char **json)
{
    const slimmargin_options o = options ? *options : slimmargin_options_default();
    watching w = {.watch = watch};
    sm_whole found = {.complete = false};
    sm_settings settings = {0};
    if (html)
        *html = NULL;
    if (json)
        *json = NULL;
    if (!c->file || o.until_resolved || !in_range(&o, executor))
        return SLIMMARGIN_REFUSED;
    const sm_run_context context = context_of(&o, executor, &w);
    sm_status s = sm_whole_run(sm_casefile_case(c->file), context, &found);
    if (s == SM_OK)
        s = settle(c, context, &found.recheck.assessment, &settings);
    if (s == SM_OK || s == SM_INTERRUPTED)
        s = tell_whole(c, &found, &settings, html, json, s);
    sm_whole_destroy(&found);
    sm_settings_destroy(&settings);
    return public_status(s);
}

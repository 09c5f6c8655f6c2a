/* page_case.c - one case of the page's form: what is wrong with it, what can be turned, and what it gives, quickly.
 *
 * Contents: 1. knobs  2. reading  3. a version with knobs turned  4. its figures  5. live
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <stdlib.h>
#include <string.h>

#include "engine/assess.h"
#include "report/figures/figure.h"
#include "report/json/result_json.h"
#include "web/page_call.h"
#include "whatif/knob.h"

/* 1. Knobs */

static void one_knob(sm_json *w, const sm_knob *k)
{
    sm_json_open(w, NULL, SM_JSON_LINE);
    sm_json_string(w, "name", k->name);
    sm_json_string(w, "at", k->pointer);
    sm_json_string(w, "words", k->words);
    sm_json_string(w, "unit", k->unit);
    sm_json_number(w, "low", k->low);
    sm_json_number(w, "high", k->high);
    if (k->has_own)
        sm_json_number(w, "own", k->own);
    else
        sm_json_string(w, "stated", k->stated.plain);
    if (k->has_range)
        sm_json_pair(w, "range", k->from, k->to);
    sm_json_close(w);
}

static void add_knob(sm_json *w, const sm_casefile *f, const char *name)
{
    sm_diag unused = {0}; /* a knob that this case holds fixed is not listed */
    sm_knob k = {0};
    if (sm_knob_find(f, name, &unused, &k) == SM_OK)
        one_knob(w, &k);
    sm_knob_destroy(&k);
    sm_diag_destroy(&unused);
}

static void knobs(sm_json *w, const sm_casefile *f)
{
    static const char *const readings[] = {"ostium_gap", "ostium_height", "stj_gap", "stj_height", "leaflet_height"};
    const sm_case *c = sm_casefile_case(f);
    sm_json_open_list(w, "knobs", SM_JSON_LINES);
    for (size_t i = 0; sm_knob_name(i); i++)
        add_knob(w, f, sm_knob_name(i));
    for (size_t k = 0; k < c->n_coronaries; k++)
        for (size_t i = 0; i < sizeof readings / sizeof *readings; i++) {
            sm_text name = {0};
            sm_text_addf(&name, "%s.%s", c->coronary[k].name, readings[i]);
            add_knob(w, f, sm_text_string(&name));
            sm_text_done(&name, w->out);
        }
    sm_json_close(w);
}

/* 2. Reading */

void sm_page_read(const cJSON *request, sm_json *w)
{
    const char *text = sm_page_text(request, "case");
    sm_diag d = {0};
    sm_casefile *f = NULL;
    char *profile = NULL;
    sm_status s = sm_casefile_profile_path((sm_file_text){"case", text, strlen(text)}, &profile);
    if (s == SM_OK)
        s = sm_page_case(request, &d, &f);
    sm_page_status(w, s);
    sm_json_string(w, "profile_named", profile);
    sm_page_messages(w, &d);
    if (s == SM_OK) {
        const sm_result r = sm_result_of(f, &d, NULL);
        sm_result_json_unusual(w, &r);
        knobs(w, f);
    }
    sm_casefile_destroy(f);
    sm_diag_destroy(&d);
    free(profile);
}

/* 3. A version with knobs turned */

enum { MOST_KNOBS = 8 };

typedef struct {
    sm_knob knob[MOST_KNOBS];
    double value[MOST_KNOBS];
    int n;
} turned;

static void turned_destroy(turned *t)
{
    for (int i = 0; i < t->n; i++)
        sm_knob_destroy(&t->knob[i]);
}

/* "knobs": {"blooming": 0.6} */
static sm_status find_knobs(const cJSON *request, const sm_casefile *f, sm_diag *d, turned *t)
{
    const cJSON *asked = cJSON_GetObjectItemCaseSensitive(request, "knobs");
    sm_status s = SM_OK;
    for (const cJSON *k = asked ? asked->child : NULL; s == SM_OK && k && t->n < MOST_KNOBS; k = k->next) {
        if (!cJSON_IsNumber(k))
            continue;
        t->value[t->n] = k->valuedouble;
        s = sm_knob_find(f, k->string, d, &t->knob[t->n++]);
    }
    return s;
}

/* The case with the knobs at their values in the place of the case. */
static sm_status turn(const cJSON *request, sm_diag *d, sm_casefile **f)
{
    turned t = {.n = 0};
    const sm_knob *knob[MOST_KNOBS];
    sm_casefile *version = NULL;
    sm_status s = find_knobs(request, *f, d, &t);
    for (int i = 0; i < t.n; i++)
        knob[i] = &t.knob[i];
    if (s == SM_OK && t.n > 0)
        s = sm_knob_case(*f, knob, t.value, t.n, d, &version);
    if (s == SM_OK && version) {
        sm_casefile_destroy(*f);
        *f = version;
    }
    turned_destroy(&t);
    return s;
}

/* 4. Its figures */

static void one_figure(sm_json *w, const sm_figure *g, const sm_findings *f, int i)
{
    sm_text name = {0}, picture = {0};
    sm_figure_name(g, f, i, &name);
    sm_figure_write(g, f, i, sm_text_string(&name), sm_figure_width(g), true, &picture);
    sm_json_string(w, sm_text_string(&name), sm_text_string(&picture));
    sm_text_done(&name, w->out);
    sm_text_done(&picture, w->out);
}

/* "figures": {"profile-left": "<svg ...", ...}: what can be drawn of an assessment. */
static sm_status figures(sm_json *w, const sm_result *r, uint64_t seed)
{
    sm_portrait portrait;
    const sm_status s = sm_portrait_run(r->c, seed, &portrait);
    if (s != SM_OK)
        return s;
    const sm_findings f = {.result = *r, .portrait = &portrait};
    sm_json_open(w, "figures", SM_JSON_LINES);
    for (size_t g = 0; g < sm_figures_count; g++)
        for (int i = 0; i < sm_figures[g]->count(&f); i++)
            one_figure(w, sm_figures[g], &f, i);
    sm_json_close(w);
    sm_portrait_destroy(&portrait);
    return SM_OK;
}

/* 5. Live */

static void tell(const cJSON *request, sm_json *w, const sm_result *r)
{
    sm_text json = {0};
    sm_result_json_write(r, NULL, 0, &json);
    sm_json_raw(w, "result", json.failed ? NULL : sm_text_string(&json));
    if (cJSON_IsTrue(cJSON_GetObjectItemCaseSensitive(request, "figures")) &&
        figures(w, r, r->assessment->seed) != SM_OK)
        json.failed = true;
    sm_text_done(&json, w->out);
}

/* Without what the call hangs on: that takes the 256 settings of a whole command. */
void sm_page_live(const cJSON *request, sm_json *w)
{
    const double trials = sm_page_number(request, "trials", 20480);
    const sm_run_context context = {.trials = trials >= 1 && trials <= 1e9 ? (int64_t)trials : 20480,
                                    .seed = SM_DEFAULT_SEED,
                                    .points = SM_POINTS_SHARP};
    sm_diag d = {0};
    sm_casefile *f = NULL;
    sm_assessment a = {.trials = 0};
    sm_status s = sm_page_case(request, &d, &f);
    if (s == SM_OK)
        s = turn(request, &d, &f);
    if (s == SM_OK)
        s = sm_assess(sm_casefile_case(f), context, &a);
    sm_page_status(w, s);
    sm_page_messages(w, &d);
    if (s == SM_OK) {
        const sm_result r = sm_result_of(f, &d, &a);
        tell(request, w, &r);
    }
    sm_assessment_destroy(&a);
    sm_casefile_destroy(f);
    sm_diag_destroy(&d);
}

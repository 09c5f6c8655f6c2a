/* selfcheck_json.c - the self-check as JSON.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/json/selfcheck_json.h"

#include "format/json_write.h"
#include "report/json/result_json.h"

static void write_check(sm_json *w, const sm_checks *t, const sm_check *c)
{
    const sm_check_group *g = &t->group[c->group];
    sm_json_open(w, NULL, SM_JSON_LINE);
    sm_json_string(w, "example", g->title);
    sm_json_string(w, "name", c->name);
    sm_json_string(w, "source", g->source);
    sm_json_string(w, "seen", sm_seen_words(g->seen));
    sm_json_number(w, "expected", c->expected);
    sm_json_computed(w, "got", c->got);
    sm_json_computed(w, "tolerance", c->tolerance);
    sm_json_truth(w, "pass", c->pass);
    sm_json_close(w);
}

void sm_selfcheck_json_write(const sm_checks *t, uint64_t seed, int64_t trials, sm_text *out)
{
    sm_json w = {.out = out};
    sm_json_open(&w, NULL, SM_JSON_LINES);
    sm_json_string(&w, "format", "slimmargin-selfcheck-1");
    sm_json_string(&w, "version", sm_result_version());
    sm_json_count(&w, "trials", trials);
    sm_json_natural(&w, "seed", seed);
    sm_json_truth(&w, "pass", t->failures == 0);
    sm_json_count(&w, "failures", t->failures);
    sm_json_open_list(&w, "checks", SM_JSON_LINES);
    for (int i = 0; i < t->n; i++)
        write_check(&w, t, &t->check[i]);
    sm_json_close(&w);
    sm_json_close(&w);
    sm_text_puts(out, "\n");
}

/* page_keys.c - what a form asks: every key of a case with its words, unit, domain, usual range, default and
 * explanation, from the tables that the reader itself uses.
 *
 * Contents: 1. one key  2. the tables  3. the answer
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include <string.h>

#include "casefile/typical.h"
#include "casefile/value.h"
#include "newcase/questions.h"
#include "report/guide/explain.h"
#include "web/page_call.h"

/* 1. One key */

static const char *const kinds[] = {[SM_KEY_TEXT] = "text",         [SM_KEY_CHOICE] = "choice",
                                    [SM_KEY_NUMBER] = "number",     [SM_KEY_COUNT] = "count",
                                    [SM_KEY_TRUTH] = "truth",       [SM_KEY_DIST] = "distribution",
                                    [SM_KEY_QUANTITY] = "quantity", [SM_KEY_AZIMUTHS] = "azimuths",
                                    [SM_KEY_SHAPE] = "shape",       [SM_KEY_POST_AZIMUTH] = "post_azimuth",
                                    [SM_KEY_OBJECT] = "object",     [SM_KEY_LIST] = "list"};

static bool has_domain(const sm_key *key)
{
    return key->kind == SM_KEY_NUMBER || key->kind == SM_KEY_COUNT || key->kind == SM_KEY_DIST ||
           key->kind == SM_KEY_QUANTITY || key->kind == SM_KEY_POST_AZIMUTH;
}

static void domain(sm_json *w, const sm_key *key)
{
    char words[SM_DOMAIN_SIZE];
    sm_value_domain(key, words);
    sm_json_string(w, "unit", key->unit);
    sm_json_string(w, "domain", words);
    sm_json_number(w, "low", key->low);
    sm_json_number(w, "high", key->high);
}

static void choices(sm_json *w, const sm_key *key)
{
    sm_json_open_list(w, "choices", SM_JSON_LINE);
    for (const sm_key_word *c = key->choice; c && c->name; c++)
        sm_json_string(w, NULL, c->name);
    sm_json_close(w);
}

/* The usual range, of every side and of one alone: what is outside is asked about. */
static void usual(sm_json *w, const sm_key *key)
{
    sm_json_open_list(w, "usual", SM_JSON_LINE);
    for (size_t i = 0; i < sm_typical_count(); i++) {
        const sm_typical *line = sm_typical_line(i);
        if (strcmp(line->key, key->name) != 0 || line->when)
            continue;
        sm_json_open(w, NULL, SM_JSON_LINE);
        sm_json_string(w, "side", line->side);
        sm_json_number(w, "low", line->low);
        sm_json_number(w, "high", line->high);
        sm_json_string(w, "unit", line->unit);
        sm_json_close(w);
    }
    sm_json_close(w);
}

/* What the program takes where nothing is said, its range and why. Where defaults depend on what else the case says,
 * each with its condition. */
static void defaults(sm_json *w, const sm_keys *keys, const sm_key *key)
{
    sm_json_open_list(w, "defaults", SM_JSON_LINE);
    for (size_t i = 0; i < sm_defaults_count(); i++) {
        const sm_default *line = sm_defaults_line(i);
        if (strcmp(line->group, keys->group) != 0 || strcmp(line->key, key->name) != 0)
            continue;
        sm_text when = {0};
        sm_defaults_when_write(line->when, &when);
        sm_json_open(w, NULL, SM_JSON_LINE);
        sm_json_string(w, "when", sm_text_string(&when));
        sm_json_string(w, "value", line->value.plain);
        sm_json_string(w, "unit", line->unit);
        sm_json_string(w, "grade", sm_grade_name(line->grade));
        sm_json_string(w, "range", line->range.words);
        sm_json_string(w, "reason", line->reason);
        sm_json_string(w, "source", line->source);
        sm_json_close(w);
        sm_text_done(&when, w->out);
    }
    sm_json_close(w);
}

static void one_key(sm_json *w, const sm_keys *keys, const sm_key *key)
{
    const sm_term *term = sm_explain_find(key->name);
    sm_json_open(w, NULL, SM_JSON_LINES);
    sm_json_string(w, "key", key->name);
    sm_json_string(w, "kind", kinds[key->kind]);
    sm_json_string(w, "words", key->words);
    sm_json_truth(w, "required", key->flags & SM_KEY_REQUIRED);
    sm_json_truth(w, "of_ostium", key->flags & SM_KEY_OF_OSTIUM);
    sm_json_truth(w, "spread", key->flags & SM_KEY_SPREAD);
    if (has_domain(key))
        domain(w, key);
    if (key->kind == SM_KEY_CHOICE)
        choices(w, key);
    usual(w, key);
    defaults(w, keys, key);
    sm_json_string(w, "explained", term ? term->sentences : NULL);
    sm_json_close(w);
}

/* 2. The tables */

/* Where each stands in a case; * is any name or number. */
static const struct {
    const char *at;
    const sm_keys *keys;
} tables[] = {{"", &sm_keys_case},
              {"", &sm_keys_action},
              {"/scan", &sm_keys_scan},
              {"/scan/base_plane", &sm_keys_base_plane},
              {"/surgical_valve", &sm_keys_valve},
              {"/implant", &sm_keys_implant},
              {"/limits", &sm_keys_limits},
              {"/population", &sm_keys_population},
              {"/coronaries/*", &sm_keys_coronary},
              {"/coronaries/*/*", &sm_keys_reading},
              {"/coronaries/*/*/cross_check", &sm_keys_cross_check},
              {"/surgical_valve/*/cross_check", &sm_keys_direct_look},
              {"/alternatives/*", &sm_keys_alternative},
              {"/looks/*", &sm_keys_look},
              {"/patient_axes", &sm_keys_axes},
              {"/gantry", &sm_keys_gantry}};

/* 3. The answer */

static void one_table(sm_json *w, const char *at, const sm_keys *keys)
{
    sm_json_open(w, NULL, SM_JSON_LINES);
    sm_json_string(w, "at", at);
    sm_json_string(w, "what", keys->what);
    sm_json_open_list(w, "keys", SM_JSON_LINES);
    for (size_t i = 0; i < keys->n; i++)
        one_key(w, keys, &keys->key[i]);
    sm_json_close(w);
    sm_json_close(w);
}

void sm_page_keys(const cJSON *request, sm_json *w)
{
    (void)request;
    sm_page_status(w, SM_OK);
    sm_json_open_list(w, "tables", SM_JSON_LINES);
    for (size_t i = 0; i < sizeof tables / sizeof *tables; i++)
        one_table(w, tables[i].at, tables[i].keys);
    sm_json_close(w);
}

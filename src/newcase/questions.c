/* questions.c - what must be asked to make a case, taken from the tables of keys.
 *
 * Contents: 1. which keys are asked  2. the list  3. in words
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "newcase/questions.h"

#include <ctype.h>
#include <stdio.h>
#include <string.h>

#include "casefile/defaults.h"
#include "casefile/value.h"

/* 1. Which keys are asked */

bool sm_questions_asks(const sm_keys *keys, const sm_key *key)
{
    static const char *const asked[] = {"detector", "kernel"};
    for (size_t i = 0; keys == &sm_keys_scan && i < sizeof asked / sizeof *asked; i++)
        if (strcmp(key->name, asked[i]) == 0)
            return true;
    return keys == &sm_keys_action;
}

/* 2. The list */

typedef struct {
    sm_question *out;
    size_t n, room;
} list;

static void add(list *l, sm_question q)
{
    if (l->n < l->room)
        l->out[l->n] = q;
    l->n++;
}

static void add_section(list *l, const sm_keys *keys, const char *path)
{
    for (size_t i = 0; i < keys->n; i++) {
        sm_question q = {.kind = SM_QUESTION_KEY, .keys = keys, .key = &keys->key[i]};
        q.optional = !(q.key->flags & SM_KEY_REQUIRED);
        if (q.optional && !sm_questions_asks(keys, q.key))
            continue;
        snprintf(q.pointer, sizeof q.pointer, "%s/%s", path, q.key->name);
        add(l, q);
    }
}

static void add_one(list *l, const sm_keys *keys, const char *name, sm_question_kind kind)
{
    sm_question q = {.kind = kind, .keys = keys, .key = sm_keys_find(keys, name)};
    q.optional = kind == SM_QUESTION_ALTERNATIVES;
    snprintf(q.pointer, sizeof q.pointer, "/%s", name);
    add(l, q);
}

/* The keys of one coronary, and after each gap the edge that it meets and a second look at it. */
static void add_side(list *l, const char *side)
{
    for (size_t i = 0; i < sm_keys_coronary.n; i++) {
        sm_question q = {.kind = SM_QUESTION_KEY, .keys = &sm_keys_coronary, .key = &sm_keys_coronary.key[i]};
        if (!(q.key->flags & SM_KEY_REQUIRED))
            continue;
        snprintf(q.side, sizeof q.side, "%s", side);
        snprintf(q.pointer, sizeof q.pointer, "/coronaries/%s/%s", q.side, q.key->name);
        add(l, q);
        const sm_quantity_kind *quantity = sm_keys_quantity(q.key->name);
        if (!quantity || !sm_keys_is_gap(quantity)) /* direct looks are rarer: who has one adds it */
            continue;
        q.kind = SM_QUESTION_EDGE;
        q.optional = true;
        snprintf(q.pointer, sizeof q.pointer, "/coronaries/%s/%s/bloom_edges", q.side, q.key->name);
        add(l, q);
        q.kind = SM_QUESTION_LOOK;
        snprintf(q.pointer, sizeof q.pointer, "/coronaries/%s/%s/cross_check", q.side, q.key->name);
        add(l, q);
    }
}

size_t sm_questions_list(const char *const *side, size_t n_sides, sm_question *out, size_t room)
{
    list l = {out, 0, room};
    add_one(&l, &sm_keys_case, "case", SM_QUESTION_KEY);
    add_section(&l, &sm_keys_scan, "/scan");
    add_section(&l, &sm_keys_valve, "/surgical_valve");
    add_section(&l, &sm_keys_implant, "/implant");
    add_one(&l, &sm_keys_case, "coronaries", SM_QUESTION_SIDES);
    for (size_t i = 0; i < n_sides; i++)
        add_side(&l, side[i]);
    add_one(&l, &sm_keys_case, "alternatives", SM_QUESTION_ALTERNATIVES);
    add_section(&l, &sm_keys_action, "");
    return l.n;
}

/* 3. In words */

static void capital(sm_text *out, size_t at)
{
    if (!out->failed && at < out->len)
        out->s[at] = (char)toupper((unsigned char)out->s[at]);
}

void sm_question_group(const sm_question *q, sm_text *out)
{
    if (q->side[0])
        sm_text_addf(out, "Coronary: %s", q->side);
    else if (q->kind == SM_QUESTION_SIDES)
        sm_text_puts(out, "Coronaries");
    else if (q->kind == SM_QUESTION_ALTERNATIVES || q->keys == &sm_keys_action)
        sm_text_puts(out, "The decision");
    else
        sm_text_puts(out, q->keys == &sm_keys_valve     ? "The surgical valve"
                          : q->keys == &sm_keys_implant ? "The new valve"
                                                        : "The case and its scan");
}

bool sm_question_is_of_both_sides(const sm_question *q)
{
    static const char *const alike[] = {"circle_mm", "stj_height", "leaflet_height"};
    for (size_t i = 0; q->side[0] && i < sizeof alike / sizeof *alike; i++)
        if (strcmp(q->key->name, alike[i]) == 0)
            return true;
    return q->kind == SM_QUESTION_EDGE;
}

void sm_question_words(const sm_question *q, sm_text *out)
{
    const size_t at = out->len;
    if (q->side[0])
        sm_text_addf(out, "%s: ", q->side);
    if (q->kind == SM_QUESTION_SIDES)
        sm_text_puts(out, "the ostia that were measured");
    else if (q->kind == SM_QUESTION_EDGE)
        sm_text_addf(out, "does this %s start or end on a bright edge?", q->key->words);
    else if (q->kind == SM_QUESTION_LOOK)
        sm_text_addf(out, "this %s as read on angiography or echo", q->key->words);
    else if (q->kind == SM_QUESTION_ALTERNATIVES)
        sm_text_puts(out, "an alternative to what is planned");
    else
        sm_text_puts(out,
                     q->key->words[0] ? q->key->words : "a name for this case; nothing that identifies the patient");
    capital(out, at);
}

static void choices(const sm_key *key, sm_text *out)
{
    for (const sm_key_word *c = key->choice; c && c->name; c++)
        sm_text_addf(out, "%s%s", c == key->choice ? "" : c[1].name ? ", " : " or ", c->name);
}

static void quantity_expects(const sm_key *key, const char *domain, sm_text *out)
{
    const sm_quantity_kind *quantity = sm_keys_quantity(key->name);
    if (quantity && quantity->bare_is_reading)
        sm_text_addf(out, "a reading %s; several are written 8.0; 8.3 or, by reader, A: 8.0; 8.3; B: 8.5", domain);
    else
        sm_text_addf(out, "a number %s, taken as exact; or with its SD, 22.3 +- 0.3; or as read on CT, read 22.1; 22.4",
                     domain);
}

void sm_question_expects(const sm_question *q, sm_text *out)
{
    char domain[SM_DOMAIN_SIZE];
    sm_value_domain(q->key, domain);
    if (q->kind == SM_QUESTION_SIDES)
        sm_text_puts(out, "names with blanks between them, most often left right");
    else if (q->kind == SM_QUESTION_EDGE)
        sm_text_puts(out, "yes (calcified wall, bright leaflets or posts: it then reads short) or no");
    else if (q->kind == SM_QUESTION_LOOK)
        sm_text_addf(out, "a reading %s; on angiography 6.6, several 6.6; B: 6.9; on echo: echo 6.6", domain);
    else if (q->kind == SM_QUESTION_ALTERNATIVES)
        sm_text_puts(out,
                     "a name and what is done, such as smaller: nominal_diameter_mm 23; burden 0.02, or wire: rescue "
                     "left 0.9; or lacerate left 0.9 (probability of success; burden: harm in untreated events)");
    else if (q->key->kind == SM_KEY_CHOICE)
        choices(q->key, out);
    else if (q->key->kind == SM_KEY_TEXT)
        sm_text_puts(out, "letters, digits, . _ - (no name, no birth date, no record number)");
    else if (q->key->kind == SM_KEY_QUANTITY)
        quantity_expects(q->key, domain, out);
    else if (q->key->kind == SM_KEY_DIST)
        sm_text_addf(out, "a number %s; or a spread, 4 +- 1 (mean and SD) or 3 to 5", domain);
    else
        sm_text_addf(out, "a number %s%s", domain, q->keys == &sm_keys_action ? "; 0.2 is 20 of 100" : "");
}

void sm_question_default(const sm_question *q, sm_text *out)
{
    if (!q->optional)
        return;
    if (q->keys == &sm_keys_action) {
        sm_text_puts(out, "none: probabilities are told and nothing is called");
        return;
    }
    if (q->kind == SM_QUESTION_LOOK || q->kind == SM_QUESTION_ALTERNATIVES) {
        sm_text_puts(out, "none");
        return;
    }
    const bool edge = q->kind == SM_QUESTION_EDGE;
    const sm_default *line =
        edge ? sm_defaults_find(q->key->name, "bloom_edges", 0) : sm_defaults_find(q->keys->group, q->key->name, 0);
    if (!line)
        return;
    if (edge)
        sm_text_puts(out, "no. ");
    else
        sm_text_puts(out, line->value.plain);
    sm_text_addf(out, "%s%s", edge ? "" : ". ", line->reason);
}

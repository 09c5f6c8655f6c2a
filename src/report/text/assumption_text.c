/* assumption_text.c - what an answer rests on, by grade, in plain words; the warnings; the cautions.
 *
 * Contents: 1. which say the same  2. which quantities  3. groups  4. the list  5. warnings and cautions
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/text/assumption_text.h"

#include <string.h>

#include "report/blocks/cautions.h"
#include "report/blocks/words.h"

/* 1. Which say the same */

/* What an assumption of a coronary's quantity says, after "left ostium height: "; NULL: it is of no quantity. */
static const char *said_of_quantity(const sm_assumption *a)
{
    const char *colon = strncmp(a->path, "/coronaries/", 12) == 0 ? strstr(a->words, ": ") : NULL;
    return colon ? colon + 2 : NULL;
}

bool sm_assumption_same(const sm_assumption *a, const sm_assumption *b)
{
    const char *what_a = said_of_quantity(a), *what_b = said_of_quantity(b);
    return what_a && what_b && a->grade == b->grade && a->origin == b->origin && strcmp(what_a, what_b) == 0 &&
           strcmp(a->value.json, b->value.json) == 0 && strcmp(a->unit, b->unit) == 0 &&
           strcmp(a->reason, b->reason) == 0 && strcmp(a->source, b->source) == 0;
}

bool sm_assumption_told_before(const sm_result *r, size_t i)
{
    for (size_t j = 0; j < i; j++)
        if (sm_assumption_same(&r->assumption[j], &r->assumption[i]))
            return true;
    return false;
}

/* 2. Which quantities */

static bool is_of(const sm_assumption *a, const char *side, const char *quantity)
{
    static const char in[] = "/coronaries/";
    const char *at = a->path;
    if (strncmp(at, in, strlen(in)) != 0)
        return false;
    at += strlen(in);
    if (strncmp(at, side, strlen(side)) != 0 || at[strlen(side)] != '/')
        return false;
    at += strlen(side) + 1;
    const size_t n = strlen(quantity);
    return strncmp(at, quantity, n) == 0 && (at[n] == '/' || !at[n]);
}

/* How many sides have an assumption like `first` for a quantity; their names in `sides`. */
static size_t sides_of(const sm_result *r, const sm_assumption *first, const char *quantity, sm_text *sides)
{
    size_t n = 0;
    for (size_t k = 0; k < r->c->n_coronaries; k++)
        for (size_t i = 0; i < r->n_assumptions; i++) {
            const sm_assumption *a = &r->assumption[i];
            if (!is_of(a, r->c->coronary[k].name, quantity) || (a != first && !sm_assumption_same(first, a)))
                continue;
            sm_text_puts(sides, n++ ? ", " : "");
            sm_words_side(sides, r->c->coronary[k].name);
            break;
        }
    return n;
}

void sm_assumption_what(sm_text *out, const sm_result *r, size_t i, const char *of)
{
    const sm_assumption *first = &r->assumption[i];
    const char *of_quantity = said_of_quantity(first);
    sm_text_puts(out, of_quantity ? of_quantity : first->words);
    for (int q = 0; of_quantity && q < SM_QUANTITIES; q++) {
        sm_text sides = {0};
        const size_t n = sides_of(r, first, sm_quantity_name((sm_quantity_id)q), &sides);
        if (n > 0) {
            sm_text_addf(out, "%s%s", of, sm_words_quantity((sm_quantity_id)q));
            of = ", ";
        }
        if (n > 0 && n < r->c->n_coronaries)
            sm_text_addf(out, " (%s)", sm_text_string(&sides));
        sm_text_done(&sides, out);
    }
}

/* 3. Groups */

/* origin -1: any. */
static const struct {
    sm_grade grade;
    int origin;
    const char *title;
} groups[SM_ASSUMPTION_GROUPS] = {{SM_UNCONFIRMED, -1, "Unconfirmed: from memory, not checked against a source"},
                                  {SM_JUDGEMENT, -1, "Judgement: no published number was found"},
                                  {SM_DERIVED, -1, "Derived: arithmetic on, or analogy with, something published"},
                                  {SM_PUBLISHED, -1, "Published: seen in its source"},
                                  {SM_STATED, SM_FROM_PROFILE, "Stated in the site profile"},
                                  {SM_STATED, SM_FROM_CASE, "Stated in the case"},
                                  {SM_STATED, SM_FROM_DEFAULT, "Other"}};

const char *sm_assumption_group_title(int group)
{
    return groups[group].title;
}

bool sm_assumption_belongs(const sm_assumption *a, int group)
{
    return a->grade == groups[group].grade && (groups[group].origin < 0 || (int)a->origin == groups[group].origin);
}

/* 4. The list */

/* "centreline error, SD: 0.4 mm (default; none found: judgement)". What the heading says is not said again. */
static void assumption_words(sm_text *out, const sm_result *r, size_t i)
{
    const sm_assumption *a = &r->assumption[i];
    sm_assumption_what(out, r, i, ", of ");
    sm_text_puts(out, ": ");
    sm_words_value(out, &a->value, a->unit);
    if (a->grade != SM_STATED) {
        sm_text_addf(out, " (%s; ", sm_origin_name(a->origin));
        sm_assumption_why(a, out);
        sm_text_puts(out, ")");
    } else if (a->origin != SM_FROM_CASE && a->source[0])
        sm_text_addf(out, " (%s)", a->source);
}

void sm_assumption_tell(sm_blocks *b, const sm_result *r)
{
    sm_block_say(b, SM_TITLE, "What this rests on, the weakest first");
    for (int g = 0; g < SM_ASSUMPTION_GROUPS; g++) {
        sm_block_say(b, SM_SUBTITLE, groups[g].title);
        for (size_t i = 0; i < r->n_assumptions; i++)
            if (sm_assumption_belongs(&r->assumption[i], g) && !sm_assumption_told_before(r, i))
                assumption_words(sm_block_words(b, SM_RUN), r, i);
    }
}

/* 5. Warnings and cautions */

static void add_warning(void *self, const char *words)
{
    sm_block_say(self, SM_WARNED, words);
}

void sm_warning_tell(sm_blocks *b, const sm_result *r)
{
    sm_block_say(b, SM_TITLE, "Warnings");
    b->text.failed |= !sm_result_each_warning(r, add_warning, b);
}

void sm_caution_tell(sm_blocks *b)
{
    sm_block_say(b, SM_CAUTION_TITLE, "Before you act on this");
    sm_block_say(b, SM_SAY, sm_cautions());
}

/* explain.c - finding an explanation, and writing it.
 *
 * Contents: 1. names  2. finding  3. the nearest  4. writing
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "report/guide/explain.h"

#include <ctype.h>
#include <stdlib.h>
#include <string.h>

#include "casefile/keys.h"
#include "report/guide/key_facts.h"

/* 1. Names */

enum { LONGEST = 80 };

/* A word without capitals, '_', '-' and spaces: ways of writing the same word become one. Longer ones are cut. */
static void fold(const char *s, size_t n, char out[LONGEST])
{
    size_t k = 0;
    for (size_t i = 0; i < n && k + 1 < LONGEST; i++)
        if (!strchr("_- \t", s[i]))
            out[k++] = (char)tolower((unsigned char)s[i]);
    out[k] = '\0';
}

/* Steps *names over its first name; false if there is none. */
static bool next_name(const char **names, const char **start, size_t *n)
{
    if (!**names)
        return false;
    *start = *names;
    *n = strcspn(*names, "|");
    *names += *n + ((*names)[*n] == '|');
    return true;
}

bool sm_explain_name(const sm_term *t, size_t i, sm_text *out)
{
    const char *names = t->names, *start;
    size_t n;
    while (next_name(&names, &start, &n))
        if (i-- == 0) {
            out->len = 0;
            sm_text_putn(out, start, n);
            return true;
        }
    return false;
}

/* 2. Finding */

static const sm_term *find_folded(const char *folded)
{
    const sm_term *all;
    const size_t count = sm_terms(&all);
    char known[LONGEST];
    for (size_t i = 0; i < count; i++) {
        const char *names = all[i].names, *start;
        for (size_t n; next_name(&names, &start, &n);) {
            fold(start, n, known);
            if (folded[0] && strcmp(known, folded) == 0)
                return &all[i];
        }
    }
    return NULL;
}

const sm_term *sm_explain_find(const char *word)
{
    char folded[LONGEST];
    for (;;) {
        fold(word, strlen(word), folded);
        const sm_term *t = find_folded(folded);
        const char *dot = strchr(word, '.');
        if (t || !dot)
            return t;
        word = dot + 1;
    }
}

/* 3. The nearest */

/* Whether a name of t contains the folded word, or (by_letters) is spelled nearly like it. */
static bool is_near(const sm_term *t, const char *folded, bool by_letters)
{
    const char *names = t->names, *start;
    char known[LONGEST];
    const char *const only[] = {known};
    for (size_t n; next_name(&names, &start, &n);) {
        fold(start, n, known);
        if (by_letters ? sm_keys_nearest(folded, only, 1) != NULL : strlen(folded) > 2 && strstr(known, folded))
            return true;
    }
    return false;
}

static bool is_among(const sm_term *const *out, size_t n, const sm_term *t)
{
    for (size_t i = 0; i < n; i++)
        if (out[i] == t)
            return true;
    return false;
}

size_t sm_explain_near(const char *word, const sm_term *out[SM_EXPLAIN_NEAR])
{
    const sm_term *all;
    const size_t count = sm_terms(&all);
    char folded[LONGEST];
    size_t found = 0;
    fold(word, strlen(word), folded);
    for (int by_letters = 0; by_letters < 2; by_letters++)
        for (size_t i = 0; i < count && found < SM_EXPLAIN_NEAR; i++)
            if (is_near(&all[i], folded, by_letters) && !is_among(out, found, &all[i]))
                out[found++] = &all[i];
    return found;
}

/* 4. Writing */

void sm_explain_write(sm_text *out, const sm_style *style, const sm_term *t)
{
    sm_text name = {0};
    sm_explain_name(t, 0, &name);
    sm_layout_title(out, style, sm_text_string(&name));
    sm_layout_wrap(out, style, 0, 0, t->sentences);
    for (size_t i = 0; sm_explain_name(t, i, &name); i++)
        sm_key_facts(out, style, sm_text_string(&name));
    sm_text_done(&name, out);
}

static void group_write(sm_text *out, const sm_style *style, sm_term_group g)
{
    const sm_term *all;
    const size_t count = sm_terms(&all);
    sm_text words = {0};
    for (size_t i = 0; i < count; i++)
        if (all[i].group == g) {
            sm_text_puts(&words, words.len ? ", " : "");
            sm_text_putn(&words, all[i].names, strcspn(all[i].names, "|"));
        }
    sm_text_addf(out, "%s\n", sm_term_group_title(g));
    sm_layout_paragraph(out, style, SM_PAINT_NONE, 2, &words);
    sm_text_done(&words, out);
}

void sm_explain_list(sm_text *out, const sm_style *style)
{
    for (int g = 0; g < SM_TERM_GROUPS; g++)
        group_write(out, style, (sm_term_group)g);
}

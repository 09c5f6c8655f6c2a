/* markup_check.h - whether HTML and SVG are well-formed: every element closed in its order, no bare markup in text.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SM_TESTS_MARKUP_CHECK_H
#define SM_TESTS_MARKUP_CHECK_H

#include <stdbool.h>

#include "check.h"

enum { MARKUP_DEPTH = 64, MARKUP_NAME = 32 };

typedef struct {
    char name[MARKUP_DEPTH][MARKUP_NAME];
    int depth, elements;
} markup_stack;

/* Reads one tag at s ("<..."); returns what follows it. */
static inline const char *markup_tag(const char *s, markup_stack *m)
{
    char name[MARKUP_NAME] = "";
    const bool closing = s[1] == '/', special = s[1] == '!' || s[1] == '?';
    const char *at = s + 1 + closing;
    size_t n = strcspn(at, " />\n");
    assert_true(n < sizeof name);
    memcpy(name, at, n);
    bool quoted = false;
    for (at = s + 1; *at && (quoted || *at != '>'); at++) {
        quoted ^= *at == '"';
        assert_true(*at != '<');
    }
    assert_true(*at == '>');
    if (special || strcmp(name, "meta") == 0 || at[-1] == '/')
        return at + 1;
    if (!closing) {
        assert_true(m->depth < MARKUP_DEPTH);
        memcpy(m->name[m->depth++], name, sizeof name);
        m->elements++;
    } else {
        assert_true(m->depth > 0);
        assert_string_equal(m->name[--m->depth], name);
    }
    return at + 1;
}

/* Fails where s is not well-formed; returns how many elements it has. */
static inline int markup_check(const char *s)
{
    markup_stack m = {.depth = 0};
    while (*s) {
        if (*s == '<') {
            s = markup_tag(s, &m);
            if (m.depth > 0 && strcmp(m.name[m.depth - 1], "style") == 0)
                s = strstr(s, "</style>");
            continue;
        }
        assert_true(*s != '>');
        assert_true(*s != '&' || strcspn(s, ";") <= 6);
        s++;
    }
    assert_int_equal(m.depth, 0);
    return m.elements;
}

#endif

/* test_case_fuzz.c - a thousand damaged cases: each is read or refused, with words, the same way every time.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "casefile_help.h"

/* xorshift64* (Vigna 2016): a fixed sequence on every machine. */
static uint64_t next_random(uint64_t *s)
{
    *s ^= *s >> 12;
    *s ^= *s << 25;
    *s ^= *s >> 27;
    return *s * UINT64_C(2685821657736338717);
}

static size_t below(uint64_t *s, size_t n)
{
    return (size_t)(next_random(s) >> 33) % n;
}

static const char *const pieces[] = {"{",
                                     "}",
                                     "[",
                                     "]",
                                     ",",
                                     ":",
                                     "\"",
                                     "\\",
                                     "null",
                                     "true",
                                     "-1",
                                     "1e999",
                                     "0",
                                     "99999",
                                     "0.5",
                                     "\"x\"",
                                     "{}",
                                     "[]",
                                     "\\ud800",
                                     "\xC3",
                                     "\xE2\x82\xAC",
                                     "\"implant\"",
                                     "{\"normal\": {\"mean\": 1, \"sd\": -1}}",
                                     "{\"readings_mm\": {\"A\": [5]}}",
                                     "\"unknown\"",
                                     "\"stentless\"",
                                     "\"name\"",
                                     "//",
                                     "\x01"};

/* Damages text in one of four ways, in place of part of it. */
static char *damaged(const char *text, uint64_t *s)
{
    size_t n = strlen(text), at = below(s, n), cut = below(s, 12), end = at + cut < n ? at + cut : n;
    const char *piece = pieces[below(s, sizeof pieces / sizeof *pieces)];
    sm_text t = {0};
    sm_text_putn(&t, text, at);
    switch (below(s, 5)) {
    case 0: /* a piece put in */
        sm_text_puts(&t, piece);
        end = at;
        break;
    case 1: /* a value or a few letters replaced */
        sm_text_puts(&t, piece);
        break;
    case 2: /* a few letters left out */
        break;
    case 3: { /* another part of the text copied here */
        size_t from = below(s, n), len = below(s, 60);
        sm_text_putn(&t, text + from, from + len < n ? len : n - from);
        break;
    }
    default: { /* one bit turned */
        char c = (char)(text[at] ^ (1 << below(s, 7)));
        sm_text_putn(&t, c ? &c : " ", 1);
        end = at + 1;
        break;
    }
    }
    sm_text_puts(&t, text + end);
    return sm_text_take(&t);
}

/* Replaces the value after a random colon by a piece: these survive the scan more often. */
static char *wrong_value(const char *text, uint64_t *s)
{
    size_t n = strlen(text), at = below(s, n);
    const char *colon = strchr(text + at, ':');
    if (!colon)
        return damaged(text, s);
    size_t begin = (size_t)(colon - text) + 1, end = begin + strcspn(text + begin, ",}]\n");
    sm_text t = {0};
    sm_text_putn(&t, text, begin);
    sm_text_puts(&t, pieces[below(s, sizeof pieces / sizeof *pieces)]);
    sm_text_puts(&t, text + end);
    return sm_text_take(&t);
}

static void survives_a_thousand_damaged_cases(void **state)
{
    (void)state;
    char *text = example("slimmargin-case-1"), *profile = example("slimmargin-profile-1");
    uint64_t seed = UINT64_C(20240607);
    size_t read = 0, scanned = 0;
    for (size_t i = 0; i < 1000; i++) {
        char *bad = i % 2 ? damaged(text, &seed) : wrong_value(text, &seed);
        char *bad_profile = i % 10 == 9 ? damaged(profile, &seed) : sm_string_copy(profile);
        outcome a = read_with(bad, bad_profile, NULL, 0), b = read_with(bad, bad_profile, NULL, 0);
        assert_int_equal(a.status, b.status);
        assert_true(a.status == SM_OK || a.status == SM_REFUSED);
        assert_string_equal(a.messages.s, b.messages.s);
        read += a.status == SM_OK;
        scanned += a.status == SM_REFUSED && strstr(a.messages.s, ": /") != NULL;
        outcome_destroy(&a);
        outcome_destroy(&b);
        free(bad);
        free(bad_profile);
    }
    /* Neither all nor none: the damage reaches the checks behind the scan. */
    assert_true(read > 20 && read < 500);
    assert_true(scanned > 100);
    free(text);
    free(profile);
}

/* The text cut off after every byte. */
static void refuses_every_truncation(void **state)
{
    (void)state;
    size_t n = strlen(smallest) - 2; /* without its last brace and line end */
    for (size_t k = 0; k < n; k++) {
        char *part = sm_string_copyn(smallest, k);
        outcome o = read_text(part);
        assert_int_equal(o.status, SM_REFUSED);
        assert_int_equal(o.diag.n, 1);
        outcome_destroy(&o);
        free(part);
    }
}

int main(void)
{
    gsl_set_error_handler_off();
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(survives_a_thousand_damaged_cases),
        cmocka_unit_test(refuses_every_truncation),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

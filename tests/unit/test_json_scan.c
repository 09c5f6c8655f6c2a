/* test_json_scan.c - strict JSON: what is refused, with which words, at which line and column.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "format/json_doc.h"
#include "format/json_scan.h"
#include "check.h"

typedef struct {
    const char *text;
    size_t length; /* 0: strlen */
    size_t line, column;
    const char *words;
} refusal;

#define T(text, line, column, words)                                                                                   \
    {                                                                                                                  \
        text, 0, line, column, words                                                                                   \
    }

static const refusal refusals[] = {
    T("", 1, 1, "found an empty file, expected a JSON object"),
    T(" \n\t ", 1, 1, "found an empty file"),
    T("{", 1, 2, "found the end of the file, expected a key"),
    T("{\"a\"", 1, 5, "expected a colon : after the key: the file seems to be cut short"),
    T("{\"a\": ", 1, 7, "found the end of the file, expected a value"),
    T("{\"a\": 1", 1, 8, "expected a comma , or the closing brace }"),
    T("{\n \"a\": [1,\n  2", 3, 4, "expected a comma , or the closing bracket ]: the file seems to be cut short"),
    T("{\"a\": \"text", 1, 12, "expected the closing quote"),
    T("{\"a\": 1,}", 1, 9, "found the character }, expected a key in double quotes"),
    T("[1,]", 1, 4, "found the character ], expected a value (is there a comma too many?)"),
    T("{\"a\": 22,4}", 1, 10, "found the character 4, expected a decimal point in place of the comma before it"),
    T("{'a': 1}", 1, 2, "found the character ', expected a key in double quotes"),
    T("{\"a\": 'x'}", 1, 7, "text stands in double quotes"),
    T("{a: 1}", 1, 2, "found the character a, expected a key in double quotes"),
    T("{\"a\" 1}", 1, 6, "expected a colon"),
    T("{\"a\": 1 \"b\": 2}", 1, 9, "found the character \", expected a comma"),
    T("{\"a\": 1]", 1, 8, "found the character ], expected a comma , or the closing brace }"),
    T("{} {}", 1, 4, "found the character {, expected nothing after the end"),
    T("{}\n\nx", 3, 1, "expected nothing after the end"),
    T("[01]", 1, 2, "a number that begins with 0 and another digit"),
    T("[-01]", 1, 2, "a number that begins with 0 and another digit"),
    T("[+1]", 1, 2, "a number begins with a digit or a minus sign"),
    T("[.5]", 1, 2, "a number begins with a digit or a minus sign"),
    T("[1.]", 1, 4, "expected a digit after the decimal point"),
    T("[1e]", 1, 4, "expected a digit in the exponent"),
    T("[1e+]", 1, 5, "expected a digit in the exponent"),
    T("[-]", 1, 3, "expected a digit after the minus sign"),
    T("[0x10]", 1, 3, "found the character x, expected a comma"),
    T("[1,5,\n 5,5.5.5]", 2, 7, "found the character ., expected a comma"),
    T("[NaN]", 1, 2, "found the character N, expected a value"),
    T("[Infinity]", 1, 2, "expected a value: a number, a text"),
    T("[True]", 1, 2, "expected a value"),
    T("[tru]", 1, 2, "expected a value"),
    T("[truee]", 1, 6, "expected a comma"),
    T("[1] // note", 1, 5, "expected nothing after the end"),
    T("[/* x */ 1]", 1, 2, "JSON has no comments"),
    T("[\"a\nb\"]", 1, 4, "found the control character 0x0A, expected the closing quote"),
    T("[\"\\x\"]", 1, 4, "after a backslash"),
    T("[\"\\", 1, 4, "after a backslash"),
    T("[\"\\u12\"]", 1, 3, "found \\u without four hexadecimal digits"),
    T("[\"\\u0000\"]", 1, 3, "found \\u0000, expected no zero character"),
    T("[\"\\ud800\"]", 1, 3, "found half of a pair"),
    T("[\"\\udc00\\ud800\"]", 1, 3, "found half of a pair"),
    T("[\"\\ud800\\u0041\"]", 1, 3, "found half of a pair"),
    T("[\"caf\xE9\"]", 1, 6, "found the byte 0xE9, which is not UTF-8"),
    T("[\"\xC0\xAF\"]", 1, 3, "found the byte 0xC0, which is not UTF-8"),
    T("[\"\xED\xA0\x80\"]", 1, 3, "found the byte 0xED, which is not UTF-8"),
    T("[\"\xF4\x90\x80\x80\"]", 1, 3, "found the byte 0xF4, which is not UTF-8"),
    T("[\"\xE2\x82", 1, 3, "found the byte 0xE2, which is not UTF-8"),
    T("\xFF\xFE{", 1, 1, "found the byte 0xFF, which is not UTF-8"),
    {"[1, \0 2]", 8, 1, 5, "found a zero byte, expected text"},
    {"{}\0", 3, 1, 3, "found a zero byte"},
    T("[123456789012345678901234567890123456789012345678901234567890.5]", 1, 2,
      "found a number of more than 60 characters"),
};

static void check_refusal(sm_file_text file, const refusal *want)
{
    sm_json_spots spots;
    sm_diag d = {0};
    assert_int_equal(sm_json_scan(file, &spots, &d), SM_REFUSED);
    assert_int_equal(d.n, 1);
    assert_int_equal(d.faults, 1);
    assert_contains(d.item[0].words, want->words);
    if (want->line) {
        assert_int_equal(d.item[0].line, want->line);
        assert_int_equal(d.item[0].column, want->column);
    }
    assert_string_equal(d.item[0].file, "x.json");
    sm_json_spots_destroy(&spots);
    sm_diag_destroy(&d);
}

static void refuses_each_fault_with_its_place(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof refusals / sizeof *refusals; i++) {
        const refusal *r = &refusals[i];
        size_t length = r->length ? r->length : strlen(r->text);
        char *exact = malloc(length ? length : 1); /* no closing zero: the scan may not look past the end */
        memcpy(exact, r->text, length);
        check_refusal((sm_file_text){"x.json", exact, length}, r);
        free(exact);
    }
}

static void accepts_strict_json(void **state)
{
    (void)state;
    static const char *const good[] = {"{}",
                                       " [ ] ",
                                       "5",
                                       "-0.5e-3",
                                       "\"\\ud83d\\ude00 \\n \\u00e9\"",
                                       "[true,false,null]",
                                       "\xEF\xBB\xBF{}",
                                       "\"\xF0\x9F\x98\x80\"",
                                       "{\"a\":{\"b\":[{},[],\"x\",1E+5]}}\r\n"};
    for (size_t i = 0; i < sizeof good / sizeof *good; i++) {
        sm_json_spots spots;
        sm_diag d = {0};
        assert_int_equal(sm_json_scan((sm_file_text){"x.json", good[i], strlen(good[i])}, &spots, &d), SM_OK);
        assert_int_equal(d.n, 0);
        sm_json_spots_destroy(&spots);
    }
}

/* n times `unit`, then `end`. */
static char *repeated(const char *unit, size_t n, const char *end)
{
    sm_text t = {0};
    for (size_t i = 0; i < n; i++)
        sm_text_puts(&t, unit);
    sm_text_puts(&t, end);
    return sm_text_take(&t);
}

static void limits_depth_and_size(void **state)
{
    (void)state;
    char *deep = repeated("[", 20000, "");
    check_refusal((sm_file_text){"x.json", deep, 20000},
                  &(refusal){NULL, 0, 1, 65, "brackets nested more than 64 deep"});
    free(deep);
    char *open = repeated("[", 64, ""), *allowed = repeated("]", 64, "");
    char *both = malloc(129);
    snprintf(both, 129, "%s%s", open, allowed);
    sm_json_doc doc;
    sm_diag d = {0};
    assert_int_equal(sm_json_doc_read(&doc, (sm_file_text){"x.json", both, 128}, &d), SM_OK);
    sm_json_doc_destroy(&doc);
    free(open);
    free(allowed);
    free(both);
    char *big = malloc(SM_JSON_SIZE_LIMIT + 1);
    memset(big, ' ', SM_JSON_SIZE_LIMIT + 1);
    check_refusal((sm_file_text){"x.json", big, SM_JSON_SIZE_LIMIT + 1},
                  &(refusal){NULL, 0, 0, 0, "expected at most 4 MB"});
    free(big);
    /* A length alone is enough to refuse: no byte of a file of 100 MB is looked at. */
    check_refusal((sm_file_text){"x.json", "", (size_t)100 << 20},
                  &(refusal){NULL, 0, 0, 0, "found a file of 104857600 bytes"});
}

/* Every value of a document, in order, with its pointer and place. */
static void places_every_value(void **state)
{
    (void)state;
    static const char text[] = "{\n  \"a/b\": {\"m~n\": [10, {\"x\": 1}]},\n  \"a/b\": null\n}";
    sm_json_doc doc;
    sm_diag d = {0};
    assert_int_equal(sm_json_doc_read(&doc, (sm_file_text){"x.json", text, sizeof text - 1}, &d), SM_OK);
    const cJSON *inner = doc.root->child->child->child->next->child, *second = doc.root->child->next;
    sm_text pointer = {0};
    size_t line, column;
    sm_json_doc_pointer(&doc, inner, &pointer);
    assert_string_equal(pointer.s, "/a~1b/m~0n/1/x");
    sm_json_locate(text, sm_json_doc_place(&doc, inner)->value, &line, &column);
    assert_int_equal(line, 2);
    assert_int_equal(column, 29);
    sm_json_locate(text, sm_json_doc_place(&doc, second)->key, &line, &column);
    assert_int_equal(line, 3);
    assert_int_equal(column, 3);
    assert_null(sm_json_doc_place(&doc, &(cJSON){0}));
    sm_text_destroy(&pointer);
    sm_json_doc_destroy(&doc);
}

static void writes_numbers_that_read_back(void **state)
{
    (void)state;
    static const char text[] =
        "{\"a\": [0.1, 2.385, 1e-7, -22.299999999999997, 5], \"b\\\"\": \"x\\\\y\", \"c\": [true, false, null]}";
    sm_json_doc doc;
    sm_diag d = {0};
    assert_int_equal(sm_json_doc_read(&doc, (sm_file_text){"x.json", text, sizeof text - 1}, &d), SM_OK);
    sm_text out = {0};
    sm_json_doc_write(doc.root, &out);
    assert_string_equal(out.s, "{\"a\": [0.1, 2.385, 1e-07, -22.299999999999997, 5], \"b\\\"\": \"x\\\\y\", "
                               "\"c\": [true, false, null]}");
    sm_text_destroy(&out);
    sm_json_doc_destroy(&doc);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(refuses_each_fault_with_its_place),
        cmocka_unit_test(accepts_strict_json),
        cmocka_unit_test(limits_depth_and_size),
        cmocka_unit_test(places_every_value),
        cmocka_unit_test(writes_numbers_that_read_back),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

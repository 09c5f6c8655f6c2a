/* test_svg.c - the drawing floor: escaping, well-formed files, labels apart, scales.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "markup_check.h"
#include "report/blocks/markup.h"
#include "report/figures/svg.h"

static void expect_markup(const char *words, const char *wanted)
{
    sm_text t = {0};
    sm_markup_text(&t, words);
    sm_text_puts(&t, "");
    assert_string_equal(t.s ? t.s : "", wanted);
    sm_text_destroy(&t);
}

static void test_escaping(void **state)
{
    (void)state;
    expect_markup("<b>\"A\" & 'B'</b>", "&lt;b&gt;&quot;A&quot; &amp; &#39;B&#39;&lt;/b&gt;");
    expect_markup("Łukasz Ωμέγα 試験 \xf0\x9f\xab\x80", "Łukasz Ωμέγα 試験 \xf0\x9f\xab\x80");
    expect_markup("a\tb\nc\x7f\xc2\x85"
                  "d",
                  "a\\u0009b\\u000ac\\u007f\\u0085d");
    expect_markup("\xff\xc0\xaf\xed\xa0\x80\xe2\x82", "\\xff\\xc0\\xaf\\xed\\xa0\\x80\\xe2\\x82");
    expect_markup("\xf4\x90\x80\x80", "\\xf4\\x90\\x80\\x80");
    expect_markup("\xef\xbf\xbf", "\\uffff");
    expect_markup("a\xe2\x80\xae<b", "a\\u202e&lt;b");
}

static void expect_csv(const char *s, const char *wanted)
{
    sm_text t = {0};
    sm_markup_csv(&t, s);
    assert_string_equal(sm_text_string(&t), wanted);
    sm_text_destroy(&t);
}

static void test_csv(void **state)
{
    static const char *const numbers[] = {"-1.5", "+3", "-.5e-7", "12", "-0"}, *const formulas[] = {
                                                                                   "=1+1",  "+A1", "-A1",  "@SUM(A1)",
                                                                                   "-",     "=",   "-1-1", "-inf",
                                                                                   "-0x10", "+nan"};
    (void)state;
    expect_csv("plain", "plain");
    expect_csv("", "");
    expect_csv("a, \"b\"", "\"a, \"\"b\"\"\"");
    expect_csv("a;b", "\"a;b\"");
    expect_csv("=1,2", "\"'=1,2\"");
    expect_csv("a\nb\x1b\xe2\x80\xae\xff", "a\\u000ab\\u001b\\u202e\\xff");
    expect_csv("\t=1", "\\u0009=1");
    expect_csv("\r=1", "\\u000d=1");
    for (size_t i = 0; i < sizeof numbers / sizeof *numbers; i++)
        expect_csv(numbers[i], numbers[i]);
    for (size_t i = 0; i < sizeof formulas / sizeof *formulas; i++) {
        char wanted[32];
        snprintf(wanted, sizeof wanted, "'%s", formulas[i]);
        expect_csv(formulas[i], wanted);
    }
}

static const sm_lettering letters = {.cls = "t-ink", .size = 11, .anchor = SM_START};

static char *written(sm_svg *s, bool standalone)
{
    sm_text t = {0};
    sm_svg_write(s, standalone, &t);
    assert_false(t.failed);
    return sm_text_take(&t);
}

static void test_file(void **state)
{
    sm_svg s;
    (void)state;
    sm_svg_begin(&s, "test", 368);
    s.height = 100;
    sm_text_puts(&s.title, "5 < 6 & \"so\"");
    sm_text_puts(&s.desc, "a finding");
    sm_svg_line(&s, "l-ink", 0.125, 1, 2.5, -0.001);
    sm_svg_hatched(&s, (sm_point[]){{0, 0}, {NAN, 3}, {10, 0}, {5, 5}}, 4);
    sm_svg_curve(&s, "l-firm", (sm_point[]){{0, 0}, {1, 1}, {2, 0}}, 3);
    sm_svg_text(&s, &letters, 3, 20, "<i>");
    char *text = written(&s, true);
    markup_check(text);
    assert_contains(text, "xmlns=\"http://www.w3.org/2000/svg\"");
    assert_contains(text, "<title id=\"test-title\">5 &lt; 6 &amp; &quot;so&quot;</title>");
    assert_contains(text, "aria-labelledby=\"test-title test-desc\"");
    assert_contains(text, "x1=\"0.12\" y1=\"1\" x2=\"2.5\" y2=\"0\"");
    assert_contains(text, "d=\"M0 0L10 0L5 5Z\"");
    assert_contains(text, "<pattern id=\"test-hatch\"");
    assert_contains(text, ">&lt;i&gt;</text>");
    free(text);
    sm_svg_destroy(&s);
}

static bool apart(sm_box a, sm_box b)
{
    return a.x + a.w <= b.x || b.x + b.w <= a.x || a.y + a.h <= b.y || b.y + b.h <= a.y;
}

/* Twenty labels that all want the same place: those that find one are apart and inside. */
static void test_labels(void **state)
{
    enum { N = 20 };
    sm_box box[N];
    int placed = 0;
    sm_svg s;
    (void)state;
    sm_svg_begin(&s, "labels", 200);
    for (int i = 0; i < N; i++) {
        box[i] = sm_svg_label(&s, &letters, 150, 60, 14, "a label");
        placed += box[i].w > 0;
        for (int j = 0; j < i; j++)
            assert_true(box[i].w == 0 || box[j].w == 0 || apart(box[i], box[j]));
        assert_true(box[i].w == 0 || (box[i].x >= 0 && box[i].x + box[i].w <= 200 && box[i].y >= 0));
    }
    assert_true(placed >= 8 && placed < N);
    sm_svg_destroy(&s);
}

static void test_paragraph_and_fit(void **state)
{
    sm_svg s;
    sm_text t = {0};
    (void)state;
    sm_svg_begin(&s, "words", 200);
    double end = sm_svg_paragraph(&s, &letters, 0, 11, 60, "one two three four five");
    assert_true(end > 11 + 2 * 1.3 * 11);
    assert_int_equal(s.n_taken, (size_t)nearbyint((end - 11) / (1.3 * 11)));
    sm_svg_destroy(&s);
    sm_svg_fit(&t, "試験試験試験試験", &letters, 40);
    assert_contains(t.s, "\xe2\x80\xa6");
    assert_true(sm_svg_text_width(t.s, letters.size, false) <= 40);
    sm_text_destroy(&t);
    sm_svg_fit(&t, "short", &letters, 400);
    assert_string_equal(t.s, "short");
    sm_text_destroy(&t);
}

static void test_scale(void **state)
{
    const sm_scale a = {1, 11, 132, 752};
    (void)state;
    assert_near(sm_scale_at(&a, 2.385), 132 + 1.385 * 62, 1e-12, 0);
    assert_near(sm_scale_step(&a, 34), 1, 1e-12, 0);
    assert_near(sm_scale_step(&a, 62.5), 2, 1e-12, 0);
    assert_near(sm_scale_step(&a, 30), 0.5, 1e-12, 0);
    const sm_scale up = {0, 20, 200, 0};
    assert_near(sm_scale_step(&up, 21), 5, 1e-12, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_escaping),
                                       cmocka_unit_test(test_csv),
                                       cmocka_unit_test(test_file),
                                       cmocka_unit_test(test_labels),
                                       cmocka_unit_test(test_paragraph_and_fit),
                                       cmocka_unit_test(test_scale)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}

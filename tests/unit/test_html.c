/* test_html.c - the report as a page: well-formed, closed to the outside, escaped; every figure with words and data.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "markup_check.h"
#include "report_help.h"
#include "report/page/report_html.h"

static char *page_of(const sm_findings *f)
{
    sm_text t = {0};
    sm_report_html(&t, f);
    assert_false(t.failed);
    return sm_text_take(&t);
}

static void check_page(const char *page)
{
    markup_check(page);
    assert_contains(page, "<html lang=\"en\">");
    assert_contains(page, "Content-Security-Policy\" content=\"default-src 'none'");
    assert_null(strstr(page, "<script"));
    assert_null(strstr(page, "http:"));
    assert_null(strstr(page, "https:"));
}

static void test_smallest(void **state)
{
    report r;
    (void)state;
    report_make(&r, smallest);
    char *page = page_of(&r.f);
    check_page(page);
    assert_contains(page, "case small");
    assert_contains(page, "SHA-256");
    assert_contains(page, "local identifier");
    assert_contains(page, "not a medical device");
    assert_null(strstr(page, "What might be done instead"));
    for (int o = 0; o < SM_OUTPUTS; o++)
        assert_contains(page, sm_outputs[o].column);
    free(page);
    report_destroy(&r);
}

static void test_escaped(void **state)
{
    static const char with[] =
        "\"ostium_gap\": {\"readings_mm\": {\"<i>A</i> & \\\"B\\\"\": [5.7], \"試験 Łukasz\": [5.9]}}";
    static const char alternatives[] = "\"action_line\": 0.2, \"alternatives\": [{\"name\": \"</title><b>'wire'</b>\", "
                                       "\"rescue\": {\"left\": 0.9}, \"burden\": 0.03}], \"coronaries\"";
    report r;
    (void)state;
    char *half = replaced(smallest, "\"ostium_gap\": 5.7", with),
         *text = replaced(half, "\"coronaries\"", alternatives);
    report_make(&r, text);
    char *page = page_of(&r.f);
    check_page(page);
    assert_contains(page, "&lt;i&gt;A&lt;/i&gt; &amp; &quot;B&quot;");
    assert_contains(page, "試験 Łukasz");
    assert_contains(page, "&lt;/title&gt;&lt;b&gt;&#39;wire&#39;&lt;/b&gt;");
    assert_contains(page, "What might be done instead");
    assert_contains(page, "your line: 20 of 100");
    free(page);
    free(half);
    free(text);
    report_destroy(&r);
}

/* Stopped early: an assessment and nothing else. */
static void test_assessment_alone(void **state)
{
    report r;
    (void)state;
    report_make(&r, smallest);
    r.recheck.assessment.complete = false;
    const sm_findings f = {.result = r.f.result};
    char *page = page_of(&f);
    check_page(page);
    assert_contains(page, "Stopped before the end");
    assert_null(strstr(page, "What to measure again"));
    free(page);
    report_destroy(&r);
}

static size_t columns(const char *row)
{
    size_t n = 1;
    bool quoted = false;
    for (; *row && *row != '\n'; row++) {
        quoted ^= *row == '"';
        n += *row == ',' && !quoted;
    }
    return n;
}

static void check_figure(const sm_figure *g, const sm_findings *f, int i, double width)
{
    sm_svg s;
    sm_text name = {0}, picture = {0}, data = {0};
    sm_figure_name(g, f, i, &name);
    sm_svg_begin(&s, name.s, width);
    g->draw(f, i, &s);
    sm_svg_write(&s, true, &picture);
    g->data(f, i, &data);
    assert_false(picture.failed || data.failed || name.failed);
    markup_check(picture.s);
    assert_true(s.height > 20 && s.height < 2000);
    assert_non_null(strpbrk(s.title.s, "0123456789")); /* the finding with its number */
    assert_true(s.desc.len > 20);
    assert_null(strstr(picture.s, "nan"));
    for (const char *row = data.s; row && *row; row = strchr(row, '\n') + 1)
        assert_int_equal(columns(row), columns(data.s));
    sm_svg_destroy(&s);
    sm_text_destroy(&name);
    sm_text_destroy(&picture);
    sm_text_destroy(&data);
}

static void test_figures(void **state)
{
    report r;
    int n = 0;
    (void)state;
    report_make(&r, smallest);
    for (size_t g = 0; g < sm_figures_count; g++)
        for (int i = 0; i < sm_figures[g]->count(&r.f); i++, n++) {
            check_figure(sm_figures[g], &r.f, i, SM_PAGE_WIDTH);
            check_figure(sm_figures[g], &r.f, i, SM_HALF_WIDTH);
        }
    assert_true(n >= 5);
    report_destroy(&r);
}

/* The hatched part of a room is the probability of a crowded ostium; the portrait agrees with the outputs. */
static void test_drawn_numbers(void **state)
{
    report r;
    double crossed = 0, all = 0;
    (void)state;
    report_make(&r, smallest);
    const sm_side_result *s = &r.recheck.assessment.side[0];
    for (int b = 0; b < SM_OUTLINE_BINS; b++) {
        crossed += s->crossed[SM_GAP_OSTIUM].share[b];
        all += s->outline[SM_OSTIUM_CLEARANCE].share[b];
    }
    assert_near(crossed, s->crossing.crowded.probability, 0, 1e-3);
    assert_near(all, 1, 0, 1e-3);
    const sm_portrait_side *p = &r.portrait.side[0];
    assert_near(p->tube_top.median - p->ostium_height.median, s->output[SM_COVER].median, 0, 0.2);
    assert_near(p->ostium_radius.median - r.o.c->coronary[0].circle_mm / 2, s->output[SM_CONVENTIONAL_OSTIUM].median, 0,
                0.05);
    assert_true(p->ostium_height.low < p->ostium_height.median && p->ostium_height.median < p->ostium_height.high);
    report_destroy(&r);
}

/* Every second look stands in the table of readings, a direct one with its SD, which is listed nowhere else. */
static void test_looks(void **state)
{
    report r;
    (void)state;
    const sm_override put[] = {
        {"/surgical_valve/inner_diameter_mm",
         "{\"normal\": {\"mean\": 22, \"sd\": 0.5}, \"cross_check\": {\"modality\": "
         "\"bench\", \"readings_mm\": {\"A\": [21.2]}, \"reader_sd_mm\": 0.3}}"},
        {"/surgical_valve/leaflet_thickness_mm",
         "{\"uniform\": {\"min\": 0.5, \"max\": 1.1}, \"cross_check\": {\"modality\": \"echo\", \"readings_mm\": "
         "{\"A\": [0.9]}, \"reader_sd_mm\": 0.25}}"},
        {"/coronaries/left/ostium_gap", "{\"normal\": {\"mean\": 5.7, \"sd\": 1}, \"cross_check\": {\"modality\": "
                                        "\"fluoroscopy\", \"readings_mm\": {\"A\": [6]}}}"},
        {"/coronaries/left/leaflet_height",
         "{\"readings_mm\": {\"A\": [14.8]}, \"cross_check\": {\"modality\": \"ct\", \"readings_mm\": {\"B\": [14.1, "
         "14.3]}, \"reader_sd_mm\": 0.8}}"}};
    char *text = text_with(smallest, put, sizeof put / sizeof *put);
    report_make(&r, text);
    char *page = page_of(&r.f);
    check_page(page);
    assert_contains(page, "mean 22, SD 0.5; by bench value: A: 21.2 (SD 0.3)");
    assert_contains(page, "mean 0.8, SD 0.173; by echo: A: 0.9 (SD 0.25)");
    assert_contains(page, "mean 5.7, SD 1; by fluoroscopy: A: 6<");
    assert_contains(page, "A: 14.8; by another CT scan: B: 14.1, 14.3 (SD 0.8)");
    free(page);
    free(text);
    report_destroy(&r);
}

int main(void)
{
    gsl_set_error_handler_off();
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_smallest),         cmocka_unit_test(test_escaped),
                                       cmocka_unit_test(test_assessment_alone), cmocka_unit_test(test_figures),
                                       cmocka_unit_test(test_drawn_numbers),    cmocka_unit_test(test_looks)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}

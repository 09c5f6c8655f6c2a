/* test_writers_memory.c - memory runs out while something is written: the writer's text has failed, or is what it is
 * ever.
 *
 * Every allocation of each writer fails in turn; of the long ones every STRIDE-th, unless SM_LONG is set.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "casefile/defaults_list.h"
#include "report_help.h"
#include "failing_malloc.h"

#include "report/blocks/write.h"
#include "report/guide/explain.h"
#include "report/guide/key_guide.h"
#include "report/json/compare_json.h"
#include "report/json/recheck_json.h"
#include "report/json/selfcheck_json.h"
#include "report/json/sweep_json.h"
#include "report/json/weigh_json.h"
#include "report/page/report_html.h"
#include "report/page/sweep_html.h"
#include "report/text/assess_text.h"
#include "report/text/compare_text.h"
#include "report/text/recheck_text.h"
#include "report/text/selfcheck_text.h"
#include "report/text/sweep_text.h"
#include "report/text/unusual_text.h"
#include "report/text/weigh_text.h"

#ifdef CAN_COUNT

enum { STRIDE = 19 };

/* All that can be told, found beforehand. */
typedef struct {
    report r;
    sm_sweep one, two;
    sm_sweep_ends ends;
    sm_sweep_all all;
    sm_compare compare;
    outcome newer;
    sm_checks checks;
} findings;

static findings found;
static sm_style style = {.width = 80, .utf8 = true, .colour = true};

/* 1. Finding */

static const char case_text[] =
    "{\"format\": \"slimmargin-case-1\", \"case\": \"small\", \"note\": \"read on 2024-05-17 \\u202e\", "
    "\"action_line\": 0.2, \"confirmed\": [\"frame_height_mm\"],\n"
    " \"surgical_valve\": {\"leaflet_mount\": \"external\", \"inner_diameter_mm\": 22},\n"
    " \"implant\": {\"expansion\": \"balloon\", \"nominal_diameter_mm\": 24, \"frame_height_mm\": 13,\n"
    "             \"skirt_height_mm\": 2, \"implant_depth_mm\": 4},\n"
    " \"alternatives\": [{\"name\": \"=a <wire> of a name too long for a column\", \"rescue\": {\"left\": 0.9}, "
    "\"burden\": 0.03},\n"
    "   {\"name\": \"smaller\", \"implant\": {\"nominal_diameter_mm\": 22.5}, \"burden\": 0.02}],\n"
    " \"coronaries\": {\"left\": {\"azimuth_deg\": 35, \"circle_mm\": 22.4, \"ostium_height\": 9.5,\n"
    "   \"ostium_gap\": {\"readings_mm\": {\"A\": [5.7, 9.3], \"B\": [5.9]}, \"bloom_edges\": -1, \"cross_check\":\n"
    "     {\"modality\": \"echo\", \"readings_mm\": {\"A\": [13.1]}}},\n"
    "   \"stj_height\": 18, \"stj_gap\": 2.7, \"leaflet_height\": 14.8}}}\n";

static void sweep(const char *const *what, int n, sm_sweep *out)
{
    sm_diag d = {0};
    sm_sweep_ask ask[2] = {{0}};
    for (int i = 0; i < n; i++)
        assert_int_equal(sm_sweep_ask_read(what[i], &d, &ask[i]), SM_OK);
    assert_int_equal(sm_sweep_run(found.r.o.file, ask, n, (sm_run_context){.trials = 200, .seed = 3}, &d, out), SM_OK);
    for (int i = 0; i < n; i++)
        sm_sweep_ask_destroy(&ask[i]);
    sm_diag_destroy(&d);
}

static void find(void)
{
    static const char *const what[] = {"left.ostium_gap=4:6:3", "/coronaries/left/stj_gap=2:3:3"};
    const sm_run_context few = {.trials = 200, .seed = 3};
    sm_diag d = {0};
    report_make(&found.r, case_text);
    sweep(what, 1, &found.one);
    sweep(what, 2, &found.two);
    assert_int_equal(sm_sweep_ends_run(found.r.o.file, &found.one, few, &found.ends), SM_OK);
    assert_int_equal(sm_sweep_all_run(found.r.o.file, few, &found.all), SM_OK);
    char *newer = replaced(case_text, "\"stj_gap\": 2.7", "\"stj_gap\": {\"readings_mm\": {\"C\": [2.9]}}");
    found.newer = read_text(newer);
    free(newer);
    assert_int_equal(sm_compare_run(found.r.o.file, found.newer.file, few, &d, &found.compare), SM_OK);
    assert_int_equal(sm_selfcheck_run((sm_run_context){.trials = 2000, .seed = 3}, &found.checks), SM_OK);
    sm_diag_destroy(&d);
}

static void let_go(void)
{
    sm_checks_destroy(&found.checks);
    sm_compare_destroy(&found.compare);
    outcome_destroy(&found.newer);
    sm_sweep_all_destroy(&found.all);
    sm_sweep_ends_destroy(&found.ends);
    sm_sweep_destroy(&found.two);
    sm_sweep_destroy(&found.one);
    report_destroy(&found.r);
}

/* 2. Writers */

static void tell_assess(sm_text *out)
{
    sm_blocks b = {0};
    sm_assess_tell(&b, &found.r.f.result);
    sm_write_text(out, &style, &b);
}

static void tell_recheck(sm_text *out)
{
    sm_blocks b = {0};
    sm_recheck_tell(&b, &found.r.f.result, &found.r.recheck);
    sm_recheck_tell_quiet(&b, &found.r.f.result, &found.r.recheck);
    sm_write_text(out, &style, &b);
}

static void tell_weigh(sm_text *out)
{
    sm_blocks b = {0};
    sm_weigh_tell(&b, &found.r.f.result, &found.r.weigh, &found.r.context);
    sm_weigh_tell_quiet(&b, &found.r.f.result, &found.r.weigh);
    sm_write_text(out, &style, &b);
}

static sm_sweep_part part_of(const sm_sweep *s, const sm_sweep_all *all)
{
    return (sm_sweep_part){found.r.o.c, s, all};
}

static void tell_sweep(sm_text *out)
{
    const sm_sweep_part part[] = {part_of(&found.one, NULL), part_of(&found.two, NULL), part_of(NULL, &found.all)};
    sm_blocks b = {0};
    for (int i = 0; i < 3; i++) {
        sm_sweep_tell(&b, &found.r.f.result, &part[i]);
        sm_sweep_tell_quiet(&b, &found.r.f.result, &part[i]);
    }
    sm_write_text(out, &style, &b);
}

static void tell_understood(sm_text *out)
{
    const sm_result r = sm_result_of(found.r.o.file, &found.r.o.diag, NULL);
    sm_blocks b = {0};
    assert_true(sm_unusual_any(&r) && r.n_unusual > 1);
    sm_unusual_tell(&b, &r);
    sm_understood_tell(&b, &r);
    sm_write_text(out, &style, &b);
}

static void tell_compare(sm_text *out)
{
    const sm_result old = sm_result_of(found.r.o.file, &found.r.o.diag, &found.compare.old),
                    now = sm_result_of(found.newer.file, &found.newer.diag, &found.compare.now);
    sm_compare_text(out, &style, &old, &(sm_compare_part){&found.compare, &now});
    sm_compare_text_quiet(out, &style, &old, &(sm_compare_part){&found.compare, &now});
}

static void tell_selfcheck(sm_text *out)
{
    sm_selfcheck_text(out, &style, &found.checks, 3, 2000);
    sm_selfcheck_text_quiet(out, &style, &found.checks);
}

static void tell_guide(sm_text *out)
{
    const sm_term *t;
    const size_t n = sm_terms(&t);
    sm_key_guide(out, &style);
    sm_explain_list(out, &style);
    for (size_t i = 0; i < n; i += 5)
        sm_explain_write(out, &style, &t[i]);
    sm_defaults_write(out, 80);
}

static void json_all(sm_text *out)
{
    const sm_findings *f = &found.r.f;
    const sm_recheck_part again = {f->result.c, &found.r.recheck};
    const sm_weigh_part weigh = {f->result.c, &found.r.weigh, &found.r.context};
    const sm_sweep_part one = part_of(&found.one, NULL), all = part_of(NULL, &found.all);
    const sm_result now = sm_result_of(found.newer.file, &found.newer.diag, &found.compare.now);
    const sm_compare_part compare = {&found.compare, &now};
    const sm_result_part part[] = {sm_recheck_json_part(&again), sm_weigh_json_part(&weigh), sm_sweep_json_part(&one),
                                   sm_sweep_json_part(&all), sm_compare_json_part(&compare)};
    sm_result_json_write(&f->result, part, sizeof part / sizeof *part, out);
    sm_selfcheck_json_write(&found.checks, 3, 2000, out);
}

/* More digits than the C library has room for without memory of its own. */
static void digits(sm_text *out)
{
    sm_text_puts(out, "a third: ");
    sm_text_addf(out, "%.*f\n", 20000, 1.0 / 3);
}

static void page(sm_text *out)
{
    sm_report_html(out, &found.r.f);
}

static sm_findings of_sweep(const sm_sweep *s, const sm_sweep_all *all)
{
    return (sm_findings){.result = found.r.f.result, .sweep = s, .sweep_ends = &found.ends, .sweep_all = all};
}

static void sweep_page(sm_text *out)
{
    const sm_findings f[] = {of_sweep(&found.one, NULL), of_sweep(&found.two, NULL), of_sweep(NULL, &found.all)};
    for (int i = 0; i < 3; i++)
        sm_sweep_html(out, &f[i]);
}

/* Every picture as a file of its own, and its data. */
static void draw(const sm_figure *const *figure, size_t n, const sm_findings *f, sm_text *out)
{
    for (size_t g = 0; g < n; g++)
        for (int i = 0; i < figure[g]->count(f); i++) {
            sm_svg svg;
            sm_figure_name(figure[g], f, i, out);
            sm_svg_begin(&svg, "figure", figure[g]->half ? SM_HALF_WIDTH : SM_PAGE_WIDTH);
            figure[g]->draw(f, i, &svg);
            sm_svg_write(&svg, true, out);
            sm_svg_destroy(&svg);
            figure[g]->data(f, i, out);
        }
}

static void figures(sm_text *out)
{
    draw(sm_figures, sm_figures_count, &found.r.f, out);
}

static void sweep_figures(sm_text *out)
{
    const sm_findings f[] = {of_sweep(&found.one, NULL), of_sweep(&found.two, NULL), of_sweep(NULL, &found.all)};
    for (int i = 0; i < 3; i++)
        draw(sm_sweep_figures, sm_sweep_figures_count, &f[i], out);
}

/* 3. Failing */

typedef struct {
    const char *name;
    void (*write)(sm_text *out);
    sm_text now, ever;
} writing;

static void write_once(void *self)
{
    writing *w = self;
    w->now = (sm_text){0};
    w->write(&w->now);
}

static void judge(void *self, bool failed)
{
    writing *w = self;
    const bool same = !w->now.failed && strcmp(sm_text_string(&w->now), w->ever.s) == 0;
    if (!same && !(failed && w->now.failed))
        fail_msg("%s: an allocation failed unseen", w->name);
    if (alive != (w->now.s != NULL))
        fail_msg("%s: an allocation failed, and %ld pieces were left", w->name, alive);
    sm_text_destroy(&w->now);
}

static void fail_each(const char *name, void (*write)(sm_text *out))
{
    writing w = {.name = name, .write = write};
    write(&w.ever);
    assert_true(!w.ever.failed && w.ever.len > 100);
    printf("%s: %ld allocations\n", name, fail_allocations(write_once, judge, &w, getenv("SM_LONG") ? 1 : STRIDE));
    sm_text_destroy(&w.ever);
}

static void test_writers(void **state)
{
    static const struct {
        const char *name;
        void (*write)(sm_text *out);
    } writer[] = {{"digits", digits},
                  {"assess", tell_assess},
                  {"recheck", tell_recheck},
                  {"weigh", tell_weigh},
                  {"sweep", tell_sweep},
                  {"compare", tell_compare},
                  {"understood", tell_understood},
                  {"selfcheck", tell_selfcheck},
                  {"guide", tell_guide},
                  {"json", json_all},
                  {"page", page},
                  {"figures", figures},
                  {"sweep's page", sweep_page},
                  {"sweep's figures", sweep_figures}};
    (void)state;
    find();
    for (int plain = 0; plain < 2; plain++)
        for (size_t i = 0; i < (plain ? 8 : sizeof writer / sizeof *writer); i++) {
            style.plain = plain;
            style.colour = !plain;
            fail_each(writer[i].name, writer[i].write);
        }
    let_go();
}

#else
static void test_writers(void **state)
{
    (void)state;
    printf("left out: the allocator cannot be counted here\n");
}
#endif

int main(void)
{
    gsl_set_error_handler_off();
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_writers)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}

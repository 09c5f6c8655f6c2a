/* test_report.c - the text of an assessment: headline, driver, layout, cautions.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "check.h"

#include "report/blocks/cautions.h"
#include "report/blocks/words.h"
#include "report/blocks/write.h"
#include "report/text/assess_text.h"

/* Two sides, made by hand: counts of 100,000 trials. */
typedef struct {
    sm_case c;
    sm_coronary coronary[2];
    sm_assessment a;
    sm_side_result side[2];
} made;

enum { N = 100000 };

static sm_crossing crossing(int64_t event, int64_t crowded, int64_t sealed)
{
    return (sm_crossing){.event = sm_probability_of(event, N),
                         .crowded = sm_probability_of(crowded, N),
                         .sealed = sm_probability_of(sealed, N)};
}

static void make(made *m, int64_t left, int64_t right_sealed, double line)
{
    *m = (made){.coronary = {{.name = "left", .has_ostium = true}, {.name = "vein_graft", .has_ostium = true}}};
    m->c = (sm_case){.name = "made", .n_coronaries = 2, .coronary = m->coronary, .action_line = line};
    m->c.limits.ostium_clearance_mm = sm_dist_constant(4);
    m->c.limits.stj_clearance_mm = sm_dist_constant(2);
    m->side[0].crossing = crossing(left, left, 0);
    m->side[1].crossing = crossing(right_sealed, 0, right_sealed);
    for (int o = 0; o < SM_OUTPUTS; o++)
        m->side[0].output[o] = m->side[1].output[o] =
            (sm_continuous){.n = N, .mean = 3.1 + o, .sd = 1, .median = 3.2 + o, .low95 = 1.2 + o, .high95 = 5.3 + o};
    m->a = (sm_assessment){.trials = N, .seed = 7, .complete = true, .n_sides = 2, .side = m->side};
    m->a.patient = crossing(left + right_sealed, left, right_sealed);
    const sm_probability *p = &m->a.patient.event;
    m->a.decision = (sm_decision){.action_line = line, .low = p->low, .high = p->high};
    m->a.decision.call = sm_call_of(p->low, p->high, line);
    for (int i = 0; i < SM_PUBLISHED_LIMITS; i++)
        m->a.by_limits[i] = *p;
}

/* Nothing in doubt. */
static const sm_swing no_swing;
static const sm_settings settled = {.swing = (sm_swing *)&no_swing, .same = {1, 0}};

static char *text_of(made *m, sm_style style, void (*tell)(sm_blocks *, const sm_result *))
{
    const sm_assumption rests = {.path = "/x",
                                 .words = "x",
                                 .value = {.kind = SM_DATUM_NUMBER, .number = 1},
                                 .unit = "mm",
                                 .reason = "",
                                 .source = ""};
    const sm_result r = {.c = &m->c,
                         .case_sha256 = "",
                         .assumption = &rests,
                         .n_assumptions = 1,
                         .assessment = &m->a,
                         .settings = &settled};
    sm_blocks b = {0};
    sm_text t = {0};
    tell(&b, &r);
    sm_write_text(&t, &style, &b);
    assert_false(t.failed);
    return sm_text_take(&t);
}

static char *headline_of(made *m)
{
    sm_text t = {0};
    const sm_result r = {.c = &m->c, .assessment = &m->a, .settings = &settled};
    sm_assess_headline(&t, &r);
    return sm_text_take(&t);
}

static void expect_headline(int64_t left, double line, const char *wanted)
{
    made m;
    make(&m, left, 0, line);
    char *s = headline_of(&m);
    assert_string_equal(s, wanted);
    free(s);
}

static void test_headlines(void **state)
{
    (void)state;
    expect_headline(25000, 0.2, "Above your line: about 25 of 100 roots read like this truly cross a limit.");
    expect_headline(25000, 0.3, "Below your line: about 25 of 100 roots read like this truly cross a limit.");
    expect_headline(25000, 0.2501, "Open, at your line: about 25 of 100 roots read like this truly cross a limit.");
    expect_headline(25000, 0, "About 25 of 100 roots read like this truly cross a limit.");
    expect_headline(1000, 0, "About 1 of 100 roots read like this truly crosses a limit.");
    expect_headline(0, 0, "Fewer than 3 of 100,000 roots read like this truly cross a limit.");
    expect_headline(20400, 0.2, "Above your line: about 204 of 1,000 roots read like this truly cross a limit.");
}

/* A case whose left gap reads 5.2 and is looked at again: 9.6. */
static void make_looked(made *m, int64_t left, double line)
{
    static double first = 5.2, second = 9.6;
    static sm_reader_row rows[2] = {{.n = 1, .mm = &first}, {.n = 1, .mm = &second}};
    make(m, left, 0, line);
    sm_quantity *q = &m->coronary[0].quantity[SM_OSTIUM_GAP];
    *q = (sm_quantity){.is_read = true, .readings = {1, &rows[0]}};
    q->cross_check =
        (sm_cross_check){.present = true, .modality = SM_FLUOROSCOPY, .readings = {1, &rows[1]}, .spoiled = 0.04};
    m->a.n_looks = 1;
    m->a.effective_trials = 2345.6;
    m->a.look[0] = (sm_look_result){.at = SM_LOOKED_OSTIUM_GAP,
                                    .event_first_only = sm_probability_of(31000, N),
                                    .event_look_only = sm_probability_of(9000, N)};
}

static void set_states(made *m, int64_t right, int64_t off, int64_t first)
{
    sm_probability *p = m->a.look[0].state;
    p[SM_BOTH_RIGHT] = sm_probability_of(right, N);
    p[SM_LOOK_OFF] = sm_probability_of(off, N);
    p[SM_FIRST_OFF] = sm_probability_of(first, N);
}

#define OPPOSED                                                                                                        \
    "Two looks at the left gap beside the ostium are opposed: CT says 5.2 mm, and by that alone about 31 of 100 "      \
    "cross a limit; fluoroscopy says 9.6 mm, and by that alone about 9 of 100."

static void opposed_looks_are_said_first(void **state)
{
    (void)state;
    made m;
    make_looked(&m, 25000, 0.2);
    set_states(&m, 1000, 49500, 49500);
    m.a.decision.call = SM_CALL_UNRESOLVED;
    m.a.decision.reason = SM_REASON_LOOKS_OPPOSED;
    m.a.look[0].opposed = true;
    static const sm_style wide = {.width = 400, .plain = true};
    char *s = text_of(&m, wide, sm_assess_tell), *quiet = text_of(&m, wide, sm_assess_tell_quiet);
    assert_contains(quiet, "Open, two looks are opposed: about 25 of 100");
    assert_contains(quiet, OPPOSED);
    const char *opposed = strstr(s, OPPOSED), *driver = strstr(s, "Nearly all of it");
    assert_true(opposed && driver && opposed < driver);
    assert_contains(s, "No number of trials resolves that: look again.");
    free(quiet);
    free(s);
    m.a.look[0].opposed = false;
    s = text_of(&m, wide, sm_assess_tell_quiet);
    assert_null(strstr(s, "opposed: CT"));
    free(s);
}

static void expect_driver(int64_t left, int64_t right_sealed, const char *wanted)
{
    made m;
    sm_text t = {0};
    make(&m, left, right_sealed, 0.2);
    sm_assess_driver(&t, &m.c, &m.a);
    assert_string_equal(t.s, wanted);
    sm_text_destroy(&t);
}

static void test_drivers(void **state)
{
    (void)state;
    expect_driver(25000, 100, "Nearly all of it is a crowded left ostium (about 25 of 100).");
    expect_driver(15000, 9000,
                  "Most of it is a crowded left ostium (about 15 of 100), then a sealed vein graft sinus (about "
                  "9 of 100).");
    expect_driver(9000, 11000,
                  "The largest part is a sealed vein graft sinus (about 11 of 100), then a crowded left ostium "
                  "(about 9 of 100).");
    expect_driver(0, 0, "No trial crossed a limit on any side.");
}

static void test_order_of_the_text(void **state)
{
    (void)state;
    static const char *const parts[] = {"Above your line",
                                        "does not mean that the artery",
                                        "your line: 20 of 100",
                                        "Room beside the ostium",
                                        "sinotubular junction (reach)",
                                        "truly so",
                                        "Monte Carlo error",
                                        "The call",
                                        "What this rests on",
                                        "Before you act"};
    made m;
    make(&m, 25000, 100, 0.2);
    char *s = text_of(&m, (sm_style){.width = 80, .utf8 = true}, sm_assess_tell), *at = s;
    for (size_t i = 0; i < sizeof parts / sizeof *parts; i++) {
        assert_contains(at, parts[i]);
        at = strstr(at, parts[i]);
    }
    free(s);
}

static void expect_lines(const char *s, size_t width)
{
    char line[400];
    for (; *s; s += strcspn(s, "\n") + 1) {
        snprintf(line, sizeof line, "%.*s", (int)strcspn(s, "\n"), s);
        if (sm_layout_columns(line) > width)
            fprintf(stderr, "%s\n", line);
        assert_true(sm_layout_columns(line) <= width);
    }
}

static void test_styles(void **state)
{
    (void)state;
    made m;
    make(&m, 25000, 100, 0.2);
    char *utf8 = text_of(&m, (sm_style){.width = 80, .utf8 = true, .colour = true}, sm_assess_tell);
    char *ascii = text_of(&m, (sm_style){.width = 80}, sm_assess_tell);
    char *plain = text_of(&m, (sm_style){.width = 60, .plain = true}, sm_assess_tell);
    char *quiet = text_of(&m, (sm_style){.width = 80}, sm_assess_tell_quiet);
    expect_lines(utf8, 80);
    expect_lines(ascii, 80);
    expect_lines(plain, 60);
    assert_contains(utf8, "\033[1m");
    assert_null(strchr(ascii, '\033'));
    for (const char *c = ascii; *c; c++)
        assert_true((unsigned char)*c < 0x80);
    assert_null(strchr(plain, '|'));
    assert_contains(plain, "left, crowded ostium: about 25 of 100");
    assert_string_equal(quiet, "Above your line: about 25 of 100 roots read like this truly cross a limit.\n"
                               "That a limit is crossed does not mean that the artery will be obstructed.\n");
    free(utf8);
    free(ascii);
    free(plain);
    free(quiet);
}

static void test_stopped_early_is_said(void **state)
{
    (void)state;
    made m;
    make(&m, 25000, 100, 0.2);
    m.a.complete = false;
    char *s = text_of(&m, (sm_style){.width = 80}, sm_assess_tell_quiet);
    assert_contains(s, "Stopped before the end: this is what is known after 100,000 trials.");
    free(s);
}

static void expect_look(int64_t right, int64_t off, int64_t first, const char *wanted)
{
    made m;
    make_looked(&m, 25000, 0);
    set_states(&m, right, off, first);
    char *s = text_of(&m, (sm_style){.width = 400, .plain = true}, sm_assess_tell);
    assert_contains(s, "The left gap beside the ostium: CT says 5.2 mm, fluoroscopy 9.6 mm: ");
    assert_contains(s, wanted);
    assert_contains(s, "Over all sides a limit is crossed in about 31 of 100 if the CT reading alone is believed, in "
                       "about 9 of 100 if fluoroscopy alone is.");
    assert_true((right >= off && right >= first) == (!strstr(s, "leans") && !strstr(s, "follows each")));
    free(s);
}

static void test_looks(void **state)
{
    (void)state;
    expect_look(94000, 3000, 3000,
                "both can be right, about 94 of 100; fluoroscopy is off in about 3 of 100, the CT "
                "reading in about 3 of 100. Over");
    expect_look(60000, 30000, 10000, "both may be right or not, about 60 of 100;");
    expect_look(10000, 80000, 10000, "both can hardly be right, about 10 of 100;");
    expect_look(10000, 80000, 10000, "Most likely fluoroscopy is off, so the answer leans back on the CT reading.");
    expect_look(10000, 10000, 80000, "Most likely the CT reading is off, so the answer leans on fluoroscopy.");
    expect_look(10000, 42000, 48000, "The numbers do not tell which, so the answer follows each of them in part.");
}

static void what_looks_assume_and_cost(void **state)
{
    (void)state;
    made m;
    static const sm_style wide = {.width = 500, .plain = true};
    make_looked(&m, 25000, 0);
    set_states(&m, 94000, 3000, 3000);
    char *s = text_of(&m, wide, sm_assess_tell);
    assert_contains(s, "of either reading in 4 of 100, and never of both.");
    assert_contains(s, "A wrong landmark would spoil the ostium's height too;");
    assert_contains(s, "these 100,000 know as much as about 2,300 that count alike.");
    free(s);
    m.a.n_looks = 0;
    s = text_of(&m, wide, sm_assess_tell);
    assert_null(strstr(s, "Second looks"));
    assert_null(strstr(s, "count alike"));
    free(s);
}

/* Nothing is called CT that was not read, and a bench value does not speak. */
static void looks_at_what_was_not_read(void **state)
{
    (void)state;
    made m;
    make_looked(&m, 25000, 0.2);
    set_states(&m, 94000, 3000, 3000);
    m.c.valve.leaflet_thickness = m.coronary[0].quantity[SM_OSTIUM_GAP];
    sm_quantity *q = &m.c.valve.leaflet_thickness;
    q->is_read = false;
    q->value = (sm_dist){SM_NORMAL, {0.7, 0.2}};
    q->cross_check.modality = SM_BENCH;
    m.a.look[0].at = SM_LOOKED_THICKNESS;
    m.a.look[0].side = SM_SHARED;
    m.a.look[0].opposed = true;
    char *s = text_of(&m, (sm_style){.width = 500, .plain = true}, sm_assess_tell);
    assert_contains(s, "Two looks at the thickness of the old leaflets are opposed: the first value is 0.7 mm,");
    assert_contains(s, "; the bench value is 9.6 mm, and by that alone about 9 of 100.");
    assert_contains(s, "The thickness of the old leaflets: the first value is 0.7 mm, the bench value 9.6 mm: both");
    assert_null(strstr(s, "A wrong landmark would"));
    free(s);
}

static void test_columns(void **state)
{
    (void)state;
    assert_int_equal(sm_layout_columns("abc"), 3);
    assert_int_equal(sm_layout_columns("Gr\xc3\xbc\xc3\x9f"
                                       "e"),
                     5);
    assert_int_equal(sm_layout_columns("\xe5\xa4\xa7\xe5\x8b\x95"), 4); /* two wide characters */
    assert_int_equal(sm_layout_columns("e\xcc\x81"), 1);                /* a combining accent */
    assert_int_equal(sm_layout_columns("\033[1mab\033[0m"), 2);
    assert_int_equal(sm_layout_columns("\xff\xfe"), 2);
}

static void test_safe(void **state)
{
    (void)state;
    sm_text t = {0};
    sm_layout_safe(&t, &(sm_style){.utf8 = true}, "a\033[31m\x07\xc3\xbc\xff\xe2\x80\xae");
    assert_string_equal(t.s, "a\\u001b[31m\\u0007\xc3\xbc\\xff\\u202e");
    sm_text_destroy(&t);
    sm_layout_safe(&t, &(sm_style){.utf8 = false},
                   "\xc3\xbc"
                   "b");
    assert_string_equal(t.s, "?b");
    sm_text_destroy(&t);
}

static void test_wrap(void **state)
{
    (void)state;
    sm_text t = {0};
    sm_layout_wrap(&t, &(sm_style){.width = 20}, 0, 4, "one two three four five  six");
    assert_string_equal(t.s, "one two three four\n    five six\n");
    sm_text_destroy(&t);
    sm_layout_wrap(&t, &(sm_style){.width = 10}, 2, 2, "averyverylongword b");
    assert_string_equal(t.s, "  averyverylongword\n  b\n");
    sm_text_destroy(&t);
}

static void expect_strip(sm_strip s, const char *wanted)
{
    const sm_axis axis = {0, 10, 11};
    sm_text t = {0};
    sm_layout_strip(&t, &(sm_style){.width = 80}, &axis, &s);
    assert_string_equal(t.s, wanted);
    sm_text_destroy(&t);
}

static void test_strips(void **state)
{
    (void)state;
    expect_strip((sm_strip){.low = 2, .middle = 5, .high = 8, .limit = 4}, "  //|O===  ");
    expect_strip((sm_strip){.low = 2, .middle = 5, .high = 8, .limit = 4, .hollow = true}, "  --|o---  ");
    expect_strip((sm_strip){.low = 2, .middle = 5, .high = 8, .limit = 4, .crosses_above = true}, "  ==|O///  ");
    expect_strip((sm_strip){.low = 2, .middle = 3, .high = 4, .limit = 20}, "  /O/      ");
    expect_strip((sm_strip){.low = -5, .middle = 3, .high = 40, .limit = -20}, "===O=======");
}

static void test_axes(void **state)
{
    (void)state;
    double step;
    sm_axis a = sm_axis_create(2.3, 9.1, 31, 9, &step);
    assert_near(a.from, 2, 0, 0);
    assert_near(a.to, 10, 0, 0);
    assert_near(step, 1, 0, 0);
    a = sm_axis_create(-120.5, 300, 31, 9, &step);
    assert_near(step, 100, 0, 0);
    a = sm_axis_create(4, 4, 31, 9, &step); /* nothing varies */
    assert_true(a.to > a.from);
    a = sm_axis_create(NAN, NAN, 31, 9, &step);
    assert_true(a.to > a.from);
    sm_text t = {0};
    sm_layout_scale(&t, &(sm_axis){-2, 2, 21}, 1);
    assert_string_equal(t.s, "-2   -1    0    1    2");
    sm_text_destroy(&t);
}

static void test_hundred(void **state)
{
    (void)state;
    sm_text t = {0};
    sm_layout_hundred(&t, &(sm_style){.width = 80}, 2, &(sm_ruler){.share = 0.25, .line = 0.2}, "your line");
    assert_contains(t.s, "            v your line\n  #############.....");
    sm_text_destroy(&t);
    sm_layout_hundred(&t, &(sm_style){.width = 60}, 2, &(sm_ruler){.share = 0.001, .line = 0.9},
                      "your line: 90 of 100");
    assert_contains(t.s, "your line: 90 of 100 v\n  '......");
    sm_text_destroy(&t);
}

static void test_cautions(void **state)
{
    (void)state;
    assert_contains(sm_cautions(), "does not mean that the artery will be obstructed");
    assert_contains(sm_cautions(), "small, retrospective series");
    assert_contains(sm_cautions(), "never replaces it");
    assert_contains(sm_cautions(), "local protocols and licensed practice rule");
    assert_contains(sm_cautions(), "not a medical device and not for autonomous use");
}

/* Every output of the table stands in the text, as a drawn table and in sentences: its title, unless it is told beside
 * another, and its median, which no other output has. */
static void every_output_is_told(void **state)
{
    (void)state;
    made m;
    make(&m, 100, 50, 0.2);
    char *drawn = text_of(&m, (sm_style){.width = 80}, sm_assess_tell);
    char *plain = text_of(&m, (sm_style){.width = 400, .plain = true}, sm_assess_tell);
    for (int o = 0; o < SM_OUTPUTS; o++) {
        char cell[16], sentence[32];
        snprintf(cell, sizeof cell, " %.1f ", 3.2 + o);
        snprintf(sentence, sizeof sentence, "median %.1f,", 3.2 + o);
        assert_contains(drawn, cell);
        assert_contains(plain, sentence);
        if (sm_outputs[o].kind != SM_OUTPUT_DRAWN) {
            assert_contains(drawn, sm_outputs[o].title);
            assert_contains(plain, sm_outputs[o].title);
        }
    }
    free(drawn);
    free(plain);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(every_output_is_told),
                                       cmocka_unit_test(test_headlines),
                                       cmocka_unit_test(opposed_looks_are_said_first),
                                       cmocka_unit_test(test_drivers),
                                       cmocka_unit_test(test_order_of_the_text),
                                       cmocka_unit_test(test_styles),
                                       cmocka_unit_test(test_stopped_early_is_said),
                                       cmocka_unit_test(test_looks),
                                       cmocka_unit_test(what_looks_assume_and_cost),
                                       cmocka_unit_test(looks_at_what_was_not_read),
                                       cmocka_unit_test(test_columns),
                                       cmocka_unit_test(test_safe),
                                       cmocka_unit_test(test_wrap),
                                       cmocka_unit_test(test_strips),
                                       cmocka_unit_test(test_axes),
                                       cmocka_unit_test(test_hundred),
                                       cmocka_unit_test(test_cautions)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}

/* test_unusual.c - what is possible but unusual is asked about, by every rule of docs/slips.md; `confirmed`; the words.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "casefile/typical.h"
#include "report/blocks/write.h"
#include "report/text/assess_text.h"
#include "report/text/unusual_text.h"
#include "report_help.h"

#define LEFT  "/coronaries/left/"
#define RIGHT "/coronaries/right/"

/* clang-format off */
/* The demo, in which nothing is unusual, with up to four values put in; then this is asked, and nothing else. */
static const struct {
    sm_override put[4];
    const char *at, *name, *what, *slip;
    double value, low, high;
} asked[] = {
    {{{LEFT "ostium_height", "1.3"}}, LEFT "ostium_height", "left.ostium_height", "ostium height", "in centimetres?", 1.3, 2.5, 20},
    {{{RIGHT "ostium_height", "1.2"}}, RIGHT "ostium_height", "right.ostium_height", "ostium height", "in centimetres?", 1.2, 2.5, 25},
    {{{RIGHT "ostium_height", "{\"readings_mm\": {\"A\": [12.2, 1.2], \"B\": [12.0]}}"}}, RIGHT "ostium_height", "right.ostium_height", "ostium height", "in centimetres?", 1.2, 2.5, 25},
    {{{LEFT "ostium_gap", "15.7"}}, LEFT "ostium_gap", "left.ostium_gap", "ostium gap", "a digit too many?", 15.7, -1, 13},
    {{{RIGHT "stj_height", "10"}, {RIGHT "ostium_height", "9"}}, RIGHT "stj_height", "right.stj_height", "STJ height", "typed for another quantity?", 10, 11, 30},
    {{{LEFT "stj_gap", "12.7"}}, LEFT "stj_gap", "left.stj_gap", "STJ gap", "a digit too many?", 12.7, -1, 11},
    {{{RIGHT "stj_gap", "0.32"}}, RIGHT "stj_gap", "right.stj_gap", "STJ gap", "to a hundredth, alone of its side: in centimetres?", 0.32, -1, 11},
    {{{RIGHT "ostium_gap", "0.72"}}, RIGHT "ostium_gap", "right.ostium_gap", "ostium gap", "to a hundredth, alone of its side: in centimetres?", 0.72, -1, 13},
    {{{LEFT "leaflet_height", "1.48"}}, LEFT "leaflet_height", "left.leaflet_height", "leaflet height", "in centimetres?", 1.48, 8, 21},
    {{{LEFT "circle_mm", "32.4"}}, LEFT "circle_mm", "left.circle_mm", "drawn circle", "a digit too many?", 32.4, 15, 31},
    {{{"/surgical_valve/inner_diameter_mm", "15"}}, "/surgical_valve/inner_diameter_mm", "inner_diameter_mm", "inner diameter of the ring", "typed for another quantity?", 15, 15.5, 28},
    {{{"/surgical_valve/ring_height_mm", "6.5"}}, "/surgical_valve/ring_height_mm", "ring_height_mm", "height of the ring", "a decimal point left out?", 6.5, 0, 6},
    {{{"/surgical_valve/leaflet_thickness_mm", "3"}}, "/surgical_valve/leaflet_thickness_mm", "leaflet_thickness_mm", "thickness of the old leaflets", "a decimal point left out?", 3, 0.2, 2.5},
    {{{"/implant/nominal_diameter_mm", "34.5"}}, "/implant/nominal_diameter_mm", "nominal_diameter_mm", "nominal diameter of the new valve", "a digit too many?", 34.5, 19, 34},
    {{{"/implant/frame_height_mm", "29"}}, "/implant/frame_height_mm", "frame_height_mm", "frame height of a balloon-expanded valve", "a digit too many?", 29, 14, 26},
    {{{"/implant/frame_height_mm", "17"}, {"/implant/expansion", "\"self\""}}, "/implant/frame_height_mm", "frame_height_mm", "frame height of a self-expanding valve", "typed for another quantity?", 17, 18, 60},
    {{{"/implant/skirt_height_mm", "0.9"}}, "/implant/skirt_height_mm", "skirt_height_mm", "skirt height", "in centimetres?", 0.9, 3, 25},
    {{{"/implant/implant_depth_mm", "14"}}, "/implant/implant_depth_mm", "implant_depth_mm", "implant depth", "a digit too many?", 14, -1, 10}, 
    {{{LEFT "sinus_width_mm", "21"}}, LEFT "sinus_width_mm", "left.sinus_width_mm", "sinus width", "typed for another quantity?", 21, 22, 48},
    /* Two numbers together. */
    {{{LEFT "sinus_width_mm", "25"}}, LEFT "ostium_gap", "left.ostium_gap", "less half the stated sinus width", "another place?", 5.7 + 11.2 - 12.5, -4, 4},
    {{{LEFT "ostium_gap", "0.5"}, {LEFT "circle_mm", "15.2"}, {LEFT "stj_gap", "0.5"}}, LEFT "ostium_gap", "left.ostium_gap", "half the width of the sinus", "gap or circle too small?", 8.1, 8.5, 24.5},
    {{{RIGHT "ostium_height", "7.2"}, {RIGHT "ostium_gap", "12.2"}}, RIGHT "ostium_height", "right.ostium_height", "the other way round", "height and gap exchanged?", 55249.04904, 0, 25},
    {{{RIGHT "stj_height", "13.1"}, {RIGHT "stj_gap", "10.8"}, {RIGHT "ostium_gap", "7"}}, RIGHT "stj_height", "right.stj_height", "STJ height less STJ gap", "height and gap exchanged?", 2.3, 3, 30},
    {{{RIGHT "stj_height", "12.3"}}, RIGHT "stj_height", "right.stj_height", "STJ height less ostium height", "ostium and STJ exchanged?", 0.1, 0.5, 24},
    {{{RIGHT "stj_gap", "9"}, {RIGHT "ostium_gap", "4.5"}}, RIGHT "ostium_gap", "right.ostium_gap", "STJ gap less ostium gap", "ostium and STJ exchanged?", 4.5, -7.5, 4},
    {{{RIGHT "leaflet_height", "9"}, {LEFT "leaflet_height", "9.6"}, {"/surgical_valve/ring_height_mm", "4.5"}}, RIGHT "leaflet_height", "right.leaflet_height", "leaflet top above the ring", "leaflet length, in centimetres, or from another plane?", 4.5, 5, 19},
    {{{RIGHT "leaflet_height", "9"}, {LEFT "leaflet_height", "9.6"}, {"/implant/skirt_height_mm", "16.5"}}, RIGHT "leaflet_height", "right.leaflet_height", "leaflet top above the top of the new valve's skirt", "skirt height", -3.5, -3, 22},
    {{{RIGHT "leaflet_height", "20"}, {"/implant/frame_height_mm", "15.5"}}, RIGHT "leaflet_height", "right.leaflet_height", "leaflet top above the new valve's frame", "from another plane?", 8.5, -50, 8},
    {{{"/surgical_valve/inner_diameter_mm", "23.3"}}, "/surgical_valve/inner_diameter_mm", "inner_diameter_mm", "likelier a label size", "label size for the inner diameter", 85.55767413462625, 0, 12},
    {{{"/surgical_valve/inner_diameter_mm", "26.5"}, {LEFT "circle_mm", "24.5"}, {RIGHT "circle_mm", "24.5"}}, "/surgical_valve/inner_diameter_mm", "inner_diameter_mm", "oversizing", "label size for the inner diameter", 100 * (24.5 / 26.5 - 1), -7, 30},
    {{{LEFT "circle_mm", "21.4"}}, LEFT "circle_mm", "left.circle_mm", "drawn circle less the waist", "circle of another size", -0.9, -0.7, 1.2},
    {{{RIGHT "circle_mm", "25.2"}, {LEFT "circle_mm", "24.5"}}, RIGHT "circle_mm", "right.circle_mm", "drawn circle less the nominal diameter", "another new valve?", 0.7, -1.2, 0.5},
    {{{RIGHT "circle_mm", "23.5"}}, RIGHT "circle_mm", "right.circle_mm", "difference between the circles", "one circle", 1.1, -1, 1},
    {{{LEFT "ostium_height", "17"}, {RIGHT "ostium_height", "9"}}, RIGHT "ostium_height", "right.ostium_height", "right ostium height less left", "left and right exchanged?", -8, -7.8, 18},
    {{{LEFT "leaflet_height", "9"}, {RIGHT "leaflet_height", "15.5"}}, RIGHT "leaflet_height", "right.leaflet_height", "leaflet heights of two sides", "one of them", 6.5, -6, 6},
    {{{LEFT "stj_height", "15"}, {RIGHT "stj_height", "22.5"}}, RIGHT "stj_height", "right.stj_height", "STJ heights of two sides", "one of them", 7.5, -7, 7},
    {{{LEFT "ostium_gap", "3"}, {RIGHT "ostium_gap", "9.7"}, {RIGHT "ostium_height", "14"}}, RIGHT "ostium_gap", "right.ostium_gap", "ostium gaps of two sides", "exchanged?", 6.7, -6.5, 6.5},
    {{{RIGHT "azimuth_deg", "-280"}}, RIGHT "azimuth_deg", "right.azimuth_deg", "angle between two ostia", "one azimuth", 45, 60, 180},
};
/* clang-format on */
enum { ASKED = sizeof asked / sizeof *asked };

static outcome read_changed(const sm_override *put, size_t n)
{
    char *text = load("scenarios/demo.json");
    outcome o = read_with(text, NULL, put, n);
    free(text);
    return o;
}

static char *told(const outcome *o, const sm_assessment *a, void (*tell)(sm_blocks *, const sm_result *))
{
    const sm_result r = sm_result_of(o->file, &o->diag, a);
    const sm_style style = {.width = 200};
    sm_text text = {0};
    sm_blocks b = {0};
    tell(&b, &r);
    sm_write_text(&text, &style, &b);
    return sm_text_take(&text);
}

static size_t count(const sm_override put[4])
{
    size_t n = 0;
    while (n < 4 && put[n].pointer)
        n++;
    return n;
}

/* Prints what is not as asked[i] has it. */
static int wrong_in(int i, const outcome *o)
{
    const sm_unusual *u = NULL;
    const size_t n = o->file ? sm_casefile_unusual(o->file, &u) : 0;
    if (n == 1 && strcmp(u->at, asked[i].at) == 0 && strcmp(u->name, asked[i].name) == 0 &&
        strstr(u->what, asked[i].what) && strstr(u->slip, asked[i].slip) && u->low == asked[i].low &&
        u->high == asked[i].high && fabs(u->value - asked[i].value) < 1e-9 * (1 + fabs(u->value)) && !u->confirmed)
        return 0;
    fprintf(stderr, "%s, %s: asked about %zu, wanted 1\n%s", asked[i].name, asked[i].what, n, o->messages.s);
    for (size_t k = 0; k < n; k++)
        fprintf(stderr, "  %s: %s %g, usual %g to %g: %s\n", u[k].name, u[k].what, u[k].value, u[k].low, u[k].high,
                u[k].slip);
    return 1;
}

static void each_is_asked_about_alone(void **state)
{
    (void)state;
    int wrong = 0;
    for (int i = 0; i < ASKED; i++) {
        outcome o = read_changed(asked[i].put, count(asked[i].put));
        wrong += wrong_in(i, &o);
        outcome_destroy(&o);
    }
    assert_int_equal(wrong, 0);
}

/* Tight and odd roots that are no slips: a small gap to a tenth, ostia on the far side of 0 degrees, everything to
 * hundredths. */
static void the_unusual_that_is_usual_passes(void **state)
{
    (void)state;
    static const sm_override put[][2] = {{{RIGHT "ostium_gap", "0.5"}, {"/note", "\"tight\""}},
                                         {{LEFT "azimuth_deg", "350"}, {RIGHT "azimuth_deg", "95"}},
                                         {{RIGHT "stj_gap", "0.55"}, {RIGHT "stj_height", "18.61"}},
                                         {{RIGHT "stj_gap", "1.15"}, {RIGHT "azimuth_deg", "-200"}},
                                         {{LEFT "sinus_width_mm", "34"}, {RIGHT "sinus_width_mm", "36"}}};
    for (size_t i = 0; i < sizeof put / sizeof *put; i++) {
        outcome o = read_changed(put[i], 2);
        const sm_unusual *u;
        const size_t n = sm_casefile_unusual(o.file, &u);
        if (n > 0)
            fail_msg("%s = %s: %s %s", put[i][0].pointer, put[i][0].json, u->what, u->slip);
        outcome_destroy(&o);
    }
}

/* No line of either table can be added without its case above. */
static void every_line_has_its_case(void **state)
{
    (void)state;
    for (size_t l = 0; l < sm_typical_count() + SM_JOINTS; l++) {
        const bool one = l < sm_typical_count();
        const sm_typical *t = one ? sm_typical_line(l) : NULL;
        const sm_joint *j = one ? NULL : sm_joint_line((sm_joint_id)(l - sm_typical_count()));
        const char *what = one ? t->what : j->what;
        const double high = one ? t->high : j->high;
        int found = 0;
        for (int i = 0; i < ASKED; i++)
            found += strstr(what, asked[i].what) != NULL && asked[i].high == high;
        if (!found)
            fail_msg("no case for \"%s\" up to %g", what, high);
    }
}

static void to_confirm_it_silences_it(void **state)
{
    (void)state;
    for (int i = 0; i < ASKED; i++) {
        sm_override put[6] = {{0}};
        const size_t n = count(asked[i].put);
        sm_text names = {0};
        memcpy(put, asked[i].put, n * sizeof *put);
        sm_text_addf(&names, "[\"%s\"]", asked[i].name);
        put[n] = (sm_override){"/confirmed", names.s};
        put[n + 1] = (sm_override){"/alternatives", "[]"}; /* theirs would be asked about by themselves */
        outcome o = read_changed(put, n + 2);
        const sm_unusual *u;
        if (!o.file)
            fail_msg("%s: %s", asked[i].name, o.messages.s);
        assert_int_equal(sm_casefile_unusual(o.file, &u), 1);
        assert_true(u->confirmed);
        sm_result r = sm_result_of(o.file, &o.diag, NULL);
        assert_false(sm_unusual_any(&r));
        outcome_destroy(&o);
        sm_text_destroy(&names);
    }
}

/* Of two numbers that took part, either name will do. */
static void either_of_two_confirms(void **state)
{
    (void)state;
    const sm_override put[] = {{RIGHT "stj_height", "12.3"}, {"/confirmed", "[\"right.ostium_height\"]"}};
    outcome o = read_changed(put, 2);
    const sm_unusual *u;
    assert_int_equal(sm_casefile_unusual(o.file, &u), 1);
    assert_string_equal(u->name, "right.stj_height");
    assert_true(u->confirmed);
    outcome_destroy(&o);
}

static void unknown_names_are_refused(void **state)
{
    (void)state;
    static const struct {
        const char *json, *words;
    } wrong[] = {{"[\"left.ostium_hight\"]", "nearest: \"left.ostium_height\""},
                 {"[\"up.ostium_height\"]", "expected the name of a number of this case"},
                 {"[\"inner_diameter\"]", "nearest: \"inner_diameter_mm\""},
                 {"[3]", "found 3, expected the name"},
                 {"\"left.ostium_height\"", "expected a list of names"}};
    for (size_t i = 0; i < sizeof wrong / sizeof *wrong; i++) {
        outcome o = read_changed(&(sm_override){"/confirmed", wrong[i].json}, 1);
        assert_int_equal(o.status, SM_REFUSED);
        assert_contains(o.messages.s, wrong[i].words);
        outcome_destroy(&o);
    }
}

/* Of an alternative what it patches is asked about, alone and with the rest, at its own place and by its own name. */
static const struct {
    const char *json;
    const char *confirmed; /* or NULL */
    const char *at, *name, *what, *slip;
    double value;
} patched[] = {
    {"{\"implant\": {\"nominal_diameter_mm\": 34.5}}", NULL, "implant/nominal_diameter_mm", "nominal_diameter_mm",
     "nominal diameter of the new valve", "a digit too many?", 34.5},
    {"{\"implant\": {\"nominal_diameter_mm\": 20.5}}", NULL, "implant/nominal_diameter_mm", "nominal_diameter_mm",
     "oversizing", "another size of the new valve?", 100 * (20.5 / 22.3 - 1)},
    {"{\"surgical_valve\": {\"inner_diameter_mm\": 26.8}}", NULL, "surgical_valve/inner_diameter_mm",
     "inner_diameter_mm", "oversizing", "label size for the inner diameter", 100 * (24.5 / 26.8 - 1)},
    {"{\"surgical_valve\": {\"leaflet_thickness_mm\": 3}}", NULL, "surgical_valve/leaflet_thickness_mm",
     "leaflet_thickness_mm", "thickness of the old leaflets", "a decimal point left out?", 3},
    {"{\"implant\": {\"implant_depth_mm\": 14}}", NULL, "implant/implant_depth_mm", "implant_depth_mm", "implant depth",
     "a digit too many?", 14},
    /* By what the alternative itself says of the expansion. */
    {"{\"implant\": {\"expansion\": \"self\", \"frame_height_mm\": 17}}", NULL, "implant/frame_height_mm",
     "frame_height_mm", "frame height of a self-expanding valve", "typed for another quantity?", 17},
    /* With the leaflets of the case, of which both sides are off by it: asked about once. */
    {"{\"implant\": {\"frame_height_mm\": 24, \"skirt_height_mm\": 22}}", NULL, "implant/skirt_height_mm",
     "skirt_height_mm", "leaflet top above the top of the new valve's skirt", "skirt height", 14.8 - (22 - 4)},
    /* What the case confirms of its own valve says nothing of an alternative's. */
    {"{\"implant\": {\"nominal_diameter_mm\": 20.1}}", "[\"inner_diameter_mm\"]", "implant/nominal_diameter_mm",
     "nominal_diameter_mm", "oversizing", "another size", 100 * (20.1 / 22.3 - 1)},
};

/* The demo with this alternative alone; confirmed: NULL or a list. */
static outcome read_patched(const char *json, const char *confirmed)
{
    sm_text all = {0};
    sm_text_addf(&all, "[{\"name\": \"a \\\"b\\\"\", \"burden\": 0.01, %s]", json + 1);
    outcome o = read_changed((sm_override[]){{"/alternatives", all.s}, {"/confirmed", confirmed}}, confirmed ? 2 : 1);
    if (!o.file)
        fail_msg("%s: %s", json, o.messages.s);
    sm_text_destroy(&all);
    return o;
}

static void alternatives_are_asked_about(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof patched / sizeof *patched; i++) {
        sm_text at = {0}, name = {0}, names = {0};
        const sm_unusual *u;
        sm_text_addf(&at, "/alternatives/0/%s", patched[i].at);
        sm_text_addf(&name, "a \"b\".%s", patched[i].name);
        sm_text_addf(&names, "[\"a \\\"b\\\".%s\"]", patched[i].name);
        outcome o = read_patched(patched[i].json, patched[i].confirmed);
        const size_t n = sm_casefile_unusual(o.file, &u);
        if (n != 1)
            fail_msg("%s: asked about %zu", patched[i].json, n);
        assert_string_equal(u->at, at.s);
        assert_string_equal(u->name, name.s);
        assert_contains(u->what, "alternative \"a \"b\"\", ");
        assert_contains(u->what, patched[i].what);
        assert_contains(u->slip, patched[i].slip);
        assert_near(u->value, patched[i].value, 1e-9, 1e-9);
        assert_false(u->confirmed);
        char *words = told(&o, NULL, sm_unusual_tell);
        assert_contains(words, names.s); /* to be copied into the case */
        free(words);
        outcome_destroy(&o);
        o = read_patched(patched[i].json, names.s);
        assert_int_equal(sm_casefile_unusual(o.file, &u), 1);
        assert_true(u->confirmed);
        outcome_destroy(&o);
        sm_text_destroy(&at);
        sm_text_destroy(&name);
        sm_text_destroy(&names);
    }
}

/* What an alternative leaves as it is, is not asked about again; nor can it be confirmed under its name. */
static void what_an_alternative_leaves_is_the_case_s(void **state)
{
    (void)state;
    const sm_override put[] = {{"/implant/skirt_height_mm", "0.9"},
                               {"/confirmed", "[\"smaller device.skirt_height_mm\"]"}};
    const sm_unusual *u;
    outcome o = read_changed(put, 1);
    assert_int_equal(sm_casefile_unusual(o.file, &u), 1);
    assert_string_equal(u->at, "/implant/skirt_height_mm");
    outcome_destroy(&o);
    o = read_changed(put, 2);
    assert_int_equal(o.status, SM_REFUSED);
    assert_contains(o.messages.s, "found \"smaller device.skirt_height_mm\", expected the name of a number");
    outcome_destroy(&o);
}

/* A sinus without a coronary is held to its own readings: what is beside an ostium is not there to be asked about. */
static void a_sinus_without_a_coronary_is_read_back(void **state)
{
    (void)state;
    static const char third[] = "{\"azimuth_deg\": 280, \"circle_mm\": 22.4, \"ostium\": false, \"stj_height\": %s, "
                                "\"stj_gap\": 2.2, \"leaflet_height\": 14.8}";
    static const char *const stj[] = {"18.4", "1.84"};
    for (size_t i = 0; i < 2; i++) {
        char json[200];
        const sm_unusual *u;
        snprintf(json, sizeof json, third, stj[i]);
        outcome o = read_changed(&(sm_override){"/coronaries/third", json}, 1);
        assert_int_equal(sm_casefile_unusual(o.file, &u), i);
        if (i == 1)
            assert_string_equal(u->name, "third.stj_height");
        char *words = told(&o, NULL, sm_understood_tell);
        assert_contains(words, i == 0 ? "Third: no coronary; junction 18.4 high, 2.2 away." : "Third: no coronary;");
        free(words);
        outcome_destroy(&o);
    }
}

/* The scenarios: of several designs, one coronary of another name, a third ostium, distributions. */
static void usual_cases_pass(void **state)
{
    (void)state;
    static const char *const files[] = {"demo",      "ferry-breeze",  "ferry-still",  "ferry-storm", "harbour-fine",
                                        "hourglass", "low-eaves",     "meadow",       "narrow-gate", "seven-readings",
                                        "soft-wall", "three-bridges", "two-witnesses"};
    for (size_t i = 0; i < sizeof files / sizeof *files; i++) {
        sm_text path = {0};
        sm_text_addf(&path, "scenarios/%s.json", files[i]);
        char *text = load(path.s);
        outcome o = read_with(text, NULL, NULL, 0);
        const sm_unusual *u;
        if (!o.file || sm_casefile_unusual(o.file, &u) != 0)
            fail_msg("%s is asked about", path.s);
        outcome_destroy(&o);
        free(text);
        sm_text_destroy(&path);
    }
}

static void it_stands_first(void **state)
{
    (void)state;
    const sm_override put[] = {{LEFT "leaflet_height", "1.48"}, {RIGHT "leaflet_height", "1.48"}};
    outcome o = read_changed(put, 2);
    sm_assessment a;
    assert_int_equal(sm_assess(o.c, (sm_run_context){.trials = 4096, .seed = 1}, &a), SM_OK);
    char *quiet = told(&o, &a, sm_assess_tell_quiet), *whole = told(&o, &a, sm_assess_tell);
    assert_contains(quiet, "Left, leaflet height: 1.48 mm; usual are 8 to 21. In centimetres?");
    assert_contains(quiet, "\"confirmed\": [\"left.leaflet_height\", \"right.leaflet_height\"]");
    assert_true(strstr(quiet, "Left, leaflet") < strstr(quiet, "roots read like this"));
    assert_contains(whole, "Left, leaflet height: 1.48 mm");
    assert_true(strstr(whole, "Left, leaflet") < strstr(whole, "Read as: "));
    assert_true(strstr(whole, "Read as: ") < strstr(whole, "roots read like this"));
    free(quiet);
    free(whole);
    sm_assessment_destroy(&a);
    outcome_destroy(&o);
}

/* Leaflets that end below both ostia leave nothing to cross: the words say what the 0 may rest on. */
static void an_answer_at_its_end_is_named(void **state)
{
    (void)state;
    const sm_override put[] = {
        {LEFT "leaflet_height", "1.48"}, {RIGHT "leaflet_height", "1.48"}, {"/implant/skirt_height_mm", "4"}};
    outcome o = read_changed(put, 3);
    sm_assessment a;
    assert_int_equal(sm_assess(o.c, (sm_run_context){.trials = 4096, .seed = 1}, &a), SM_OK);
    char *quiet = told(&o, &a, sm_assess_tell_quiet);
    assert_contains(quiet, "The answer lies at 0 of 100 and may rest on what is unusual alone.");
    free(quiet);
    sm_assessment_destroy(&a);
    outcome_destroy(&o);
}

static void it_is_read_back(void **state)
{
    (void)state;
    outcome o = read_demo();
    char *words = told(&o, NULL, sm_understood_tell);
    assert_string_equal(
        words,
        "Read as: leaflets outside the posts; balloon-expanded 24.5 in a ring of 22.3, 4.0 mm deep; circle 22.4. "
        "Left: ostium 9.6 high, 5.7 away, bright wall; junction 18.0 high, 2.7 away, bright wall. Right:\n"
        "ostium 12.2 high, 7.2 away; junction 18.6 high, 3.2 away. Leaflets to 14.8. Limits 4 and 2. Your line: 20 of "
        "100.\n");
    free(words);
    outcome_destroy(&o);
    const sm_override put[] = {{"/implant/expansion", "\"self\""},
                               {"/surgical_valve/leaflet_mount", "\"stentless\""},
                               {LEFT "circle_mm", "21.4"},
                               {"/confirmed", "[\"left.circle_mm\"]"}};
    o = read_changed(put, 4);
    words = told(&o, NULL, sm_understood_tell);
    assert_contains(words, "a stentless valve; self-expanding 24.5");
    assert_contains(words, "bright wall; circle 21.4. Right");
    assert_contains(words, "Unusual, and confirmed by the case: left, drawn circle less the waist");
    free(words);
    outcome_destroy(&o);
}

/* A second look is read back beside what it looks at, also where one number would else tell both leaflets. */
static void looks_are_read_back(void **state)
{
    (void)state;
    const sm_override put[] = {
        {"/surgical_valve/inner_diameter_mm",
         "{\"normal\": {\"mean\": 22.3, \"sd\": 0.3}, \"cross_check\": {\"modality\": "
         "\"bench\", \"readings_mm\": {\"A\": [22.1]}, \"reader_sd_mm\": 0.3}}"},
        {LEFT "leaflet_height/cross_check",
         "{\"modality\": \"ct\", \"readings_mm\": {\"A\": [14.1], \"B\": [14.5]}, \"reader_sd_mm\": 0.8}"},
        {"/surgical_valve/leaflet_thickness_mm",
         "{\"readings_mm\": {\"A\": [0.8]}, \"cross_check\": {\"modality\": \"echo\", \"readings_mm\": {\"A\": [0.9]}, "
         "\"reader_sd_mm\": 0.2}}"}};
    outcome o = read_changed(put, 3);
    char *words = told(&o, NULL, sm_understood_tell);
    assert_contains(words, "in a ring of 22.3 (by bench value 22.1), 4.0 mm deep; leaflets 0.8 thick, by echo 0.9;");
    assert_contains(words, "bright wall; leaflet to 14.8, by another CT scan 14.3. Right");
    assert_contains(words, "3.2 away; leaflet to 14.8. Limits 4 and 2. Your line");
    assert_null(strstr(words, "Leaflets to"));
    free(words);
    outcome_destroy(&o);
}

/* docs/slips.md lists what is looked at, with the numbers of the tables. */
static void the_manual_lists_it(void **state)
{
    (void)state;
    char *manual = load("docs/slips.md");
    for (size_t l = 0; l < sm_typical_count() + SM_JOINTS; l++) {
        const bool one = l < sm_typical_count();
        const sm_typical *t = one ? sm_typical_line(l) : NULL;
        const sm_joint *j = one ? NULL : sm_joint_line((sm_joint_id)(l - sm_typical_count()));
        sm_text row = {0};
        sm_text_addf(&row, "| %s%s%s | %g to %g %s | %s |", one ? t->what : j->what, one && t->side ? ", " : "",
                     one && t->side ? t->side : "", one ? t->low : j->low, one ? t->high : j->high,
                     one ? t->unit : j->unit, sm_grade_name(one ? t->grade : j->grade));
        assert_contains(manual, row.s);
        sm_text_destroy(&row);
    }
    free(manual);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(each_is_asked_about_alone),
                                       cmocka_unit_test(every_line_has_its_case),
                                       cmocka_unit_test(the_unusual_that_is_usual_passes),
                                       cmocka_unit_test(to_confirm_it_silences_it),
                                       cmocka_unit_test(either_of_two_confirms),
                                       cmocka_unit_test(unknown_names_are_refused),
                                       cmocka_unit_test(alternatives_are_asked_about),
                                       cmocka_unit_test(what_an_alternative_leaves_is_the_case_s),
                                       cmocka_unit_test(a_sinus_without_a_coronary_is_read_back),
                                       cmocka_unit_test(usual_cases_pass),
                                       cmocka_unit_test(it_stands_first),
                                       cmocka_unit_test(an_answer_at_its_end_is_named),
                                       cmocka_unit_test(it_is_read_back),
                                       cmocka_unit_test(looks_are_read_back),
                                       cmocka_unit_test(the_manual_lists_it)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}

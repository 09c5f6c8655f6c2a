/* test_new_case.c - forms, questions, typed answers and tables of cases.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "newcase/cases_csv.h"
#include "newcase/draft.h"
#include "report/blocks/write.h"
#include "report/text/new_text.h"
#include "casefile_help.h"

/* 1. Typed answers */

static sm_question question_of(const sm_keys *keys, const char *name)
{
    const sm_key *key = sm_keys_find(keys, name);
    assert_non_null(key);
    return (sm_question){.keys = keys, .key = key};
}

static void check_answer(const sm_question *q, const char *typed, const char *want, sm_decimals decimals)
{
    sm_text json = {0}, wrong = {0};
    if (!sm_answer_read(q, typed, decimals, &json, &wrong))
        fail_msg("\"%s\" was refused: %s", typed, wrong.s);
    while (json.len && json.s[json.len - 1] == '\n')
        json.s[--json.len] = '\0';
    assert_string_equal(json.s, want);
    sm_text_destroy(&json);
    sm_text_destroy(&wrong);
}

static void check_refused(const sm_question *q, const char *typed, const char *words)
{
    sm_text json = {0}, wrong = {0};
    if (sm_answer_read(q, typed, SM_DECIMAL_POINT, &json, &wrong))
        fail_msg("\"%s\" was taken as %s", typed, json.s);
    assert_contains(wrong.s, words);
    sm_text_destroy(&json);
    sm_text_destroy(&wrong);
}

static void answers_are_read(void **state)
{
    (void)state;
    const sm_question gap = question_of(&sm_keys_coronary, "ostium_gap");
    const sm_question inner = question_of(&sm_keys_valve, "inner_diameter_mm");
    const sm_question depth = question_of(&sm_keys_implant, "implant_depth_mm");
    const sm_question mount = question_of(&sm_keys_valve, "leaflet_mount");
    const sm_question post = question_of(&sm_keys_valve, "post_azimuth_deg");
    const sm_question name = question_of(&sm_keys_case, "case");
    sm_question edge = gap;
    edge.kind = SM_QUESTION_EDGE;
    check_answer(&gap, " 5.7 ", "{\"readings_mm\": {\"A\": [5.7]}}", SM_DECIMAL_POINT);
    check_answer(&gap, "9.1; 9.4", "{\"readings_mm\": {\"A\": [9.1, 9.4]}}", SM_DECIMAL_POINT);
    check_answer(&gap, "-0.5 .25", "{\"readings_mm\": {\"A\": [-0.5, 0.25]}}", SM_DECIMAL_POINT);
    check_answer(&gap, "B: 1 A:2;3; B: 4", "{\"readings_mm\": {\"B\": [1, 4], \"A\": [2, 3]}}", SM_DECIMAL_POINT);
    check_answer(&gap, "5,7 5,9", "{\"readings_mm\": {\"A\": [5.7, 5.9]}}", SM_DECIMAL_COMMA_TOO);
    check_answer(&gap, "{\"normal\":{\"mean\":5,\"sd\":1}}", "{\"normal\": {\"mean\": 5, \"sd\": 1}}",
                 SM_DECIMAL_POINT);
    check_answer(&inner, "22.3", "22.3", SM_DECIMAL_POINT);
    check_answer(&inner, "read 22.1; B: 22.4", "{\"readings_mm\": {\"A\": [22.1], \"B\": [22.4]}}", SM_DECIMAL_POINT);
    check_answer(&depth, "4 +- 1", "{\"normal\": {\"mean\": 4, \"sd\": 1}}", SM_DECIMAL_POINT);
    check_answer(&depth, "4 +-1", "{\"normal\": {\"mean\": 4, \"sd\": 1}}", SM_DECIMAL_POINT);
    check_answer(&depth, "3 to 5", "{\"uniform\": {\"min\": 3, \"max\": 5}}", SM_DECIMAL_POINT);
    check_answer(&depth, "3 to 5, likely 4", "{\"triangular\": {\"min\": 3, \"max\": 5, \"mode\": 4}}",
                 SM_DECIMAL_COMMA_TOO);
    check_answer(&mount, "EXT", "\"external\"", SM_DECIMAL_POINT);
    check_answer(&mount, "nowhere", "\"nowhere\"", SM_DECIMAL_POINT); /* for the check to refuse */
    check_answer(&post, "unknown", "\"unknown\"", SM_DECIMAL_POINT);
    check_answer(&post, "95", "95", SM_DECIMAL_POINT);
    check_answer(&name, "{odd\"}", "\"{odd\\\"}\"", SM_DECIMAL_POINT);
    check_answer(&edge, "Yes", "-1", SM_DECIMAL_POINT);
    check_answer(&edge, "n", "0", SM_DECIMAL_POINT);
}

/* A direct look says by what it was made, and its SD. */
static void direct_looks_are_read(void **state)
{
    (void)state;
    sm_question look = question_of(&sm_keys_valve, "inner_diameter_mm");
    look.kind = SM_QUESTION_LOOK;
    check_answer(&look, "bench 21.2 sd 0.3",
                 "{\"modality\": \"bench\", \"readings_mm\": {\"A\": [21.2]}, \"reader_sd_mm\": 0.3}",
                 SM_DECIMAL_POINT);
    check_answer(&look, "ct 21,2 21,4; B: 21,1 sd 0,3",
                 "{\"modality\": \"ct\", \"readings_mm\": {\"A\": [21.2, 21.4], \"B\": [21.1]}, \"reader_sd_mm\": 0.3}",
                 SM_DECIMAL_COMMA_TOO);
    check_answer(&look, "echo 21; sd 1",
                 "{\"modality\": \"echo\", \"readings_mm\": {\"A\": [21]}, \"reader_sd_mm\": 1}", SM_DECIMAL_POINT);
    check_refused(&look, "21.2 sd 0.3", "write by what it was measured");
    check_refused(&look, "bench 21.2", "write by what it was measured");
    check_refused(&look, "fluoroscopy 21.2 sd 0.3", "write by what it was measured");
    check_refused(&look, "bench 21.2 sd", "write by what it was measured");
    check_refused(&look, "bench 21.2 sd x", "\"x\" is not a number");
    check_refused(&look, "bench 21.2 sd 0.3 0.4", "\"0.4\" is too much after the SD");
    check_refused(&look, "bench sd 0.3", "there is no number in it");
}

static void looks_and_alternatives_are_read(void **state)
{
    (void)state;
    sm_question look = question_of(&sm_keys_coronary, "ostium_gap"), list = question_of(&sm_keys_case, "alternatives");
    look.kind = SM_QUESTION_LOOK;
    list.kind = SM_QUESTION_ALTERNATIVES;
    check_answer(&look, "6.6", "{\"modality\": \"fluoroscopy\", \"readings_mm\": {\"A\": [6.6]}}", SM_DECIMAL_POINT);
    check_answer(&look, "angiography 6.6;B:7",
                 "{\"modality\": \"fluoroscopy\", \"readings_mm\": {\"A\": [6.6], \"B\": [7]}}", SM_DECIMAL_POINT);
    check_answer(&look, "echo 6,6 6,7", "{\"modality\": \"echo\", \"readings_mm\": {\"A\": [6.6, 6.7]}}",
                 SM_DECIMAL_COMMA_TOO);
    check_answer(&look, "echo 6.6 sd 1.1",
                 "{\"modality\": \"echo\", \"readings_mm\": {\"A\": [6.6]}, \"reader_sd_mm\": 1.1}", SM_DECIMAL_POINT);
    check_refused(&look, "bench 6.6 sd 0.3", "is not a number");
    check_refused(&look, "x-ray 5", "is not a number");
    check_refused(&look, "echo", "no number");
    check_answer(
        &list, "a b: nominal_diameter_mm 22.5; implant_depth_mm 3 to 5 ; ring_height_mm 3; burden 0.02",
        "[{\"name\": \"a b\", \"implant\": {\"nominal_diameter_mm\": 22.5, \"implant_depth_mm\": {\"uniform\": "
        "{\"min\": 3, \"max\": 5}}}, \"surgical_valve\": {\"ring_height_mm\": 3}, \"burden\": 0.02}]",
        SM_DECIMAL_POINT);
    check_answer(&list, "x: rescue left 0,9; rescue right 0.8;|y: lacerate left .5;expansion SELF",
                 "[{\"name\": \"x\", \"rescue\": {\"left\": 0.9, \"right\": 0.8}}, {\"name\": \"y\", \"lacerate\": "
                 "{\"left\": 0.5}, "
                 "\"implant\": {\"expansion\": \"self\"}}]",
                 SM_DECIMAL_COMMA_TOO);
    check_refused(&list, "", "no alternative");
    check_refused(&list, "x", "a colon");
    check_refused(&list, "x: rescue", "a coronary and the probability");
    check_refused(&list, "x: rescue left", "a coronary and the probability");
    check_refused(&list, "x: rescue left x", "is not a number");
    check_refused(&list, "x: rescue left 0.9; rescue left 0.8", "left stands twice");
    check_refused(&list, "x: burden 1; burden 2", "burden stands twice");
    check_refused(&list, "x: diameter 3", "nothing that an alternative does");
    check_refused(&list, "x: nominal_diameter_mm 22mm", "is not a number");
}

static void answers_are_refused(void **state)
{
    (void)state;
    const sm_question gap = question_of(&sm_keys_coronary, "ostium_gap");
    const sm_question depth = question_of(&sm_keys_implant, "implant_depth_mm");
    sm_question edge = gap, sides = question_of(&sm_keys_case, "coronaries");
    edge.kind = SM_QUESTION_EDGE;
    sides.kind = SM_QUESTION_SIDES;
    check_refused(&gap, "", "no number");
    check_refused(&gap, "A:", "no number");
    check_refused(&gap, "5,7", "decimal point");
    check_refused(&gap, "5.7mm", "without a unit");
    check_refused(&gap, "nan", "is not a number");
    check_refused(&gap, "1e3", "is not a number");
    check_refused(&gap, "0x10", "is not a number");
    check_refused(&gap, "5..7", "is not a number");
    check_refused(&gap, ".", "is not a number");
    check_refused(&gap, "12345678901234567890123456789012345678901", "is not a number");
    check_refused(&gap, "5.7 +- 0.5", "readings alone");
    check_refused(&gap, "{\"normal\": ", "expected");
    check_refused(&depth, "4 1", "too much");
    check_refused(&depth, "4 +- ", "is not a number");
    check_refused(&edge, "", "neither yes nor no");
    check_refused(&edge, "yesterday", "neither yes nor no");
    check_refused(&sides, "l\"eft", "letters");
    check_refused(&sides, "", "letters");
}

/* 2. Forms */

static void a_form_is_refused_until_filled(void **state)
{
    (void)state;
    static const char *const sides[] = {"left", "right", NULL};
    sm_draft form;
    assert_int_equal(sm_draft_create(sides, false, &form), SM_OK);
    outcome o = read_text(form.text.s);
    assert_int_equal(o.status, SM_REFUSED);
    size_t blanks = 0;
    for (const char *s = form.text.s; (s = strstr(s, "null")); s++)
        blanks++;
    assert_int_equal(o.diag.faults, blanks);
    for (size_t i = 0; i < o.diag.n; i++)
        assert_contains(o.diag.item[i].words, "not filled in");
    outcome_destroy(&o);
    sm_draft_destroy(&form);
}

/* Every question answered with what it says may be answered makes a case, and each blank left is refused. */
static void answered_questions_make_a_case(void **state)
{
    (void)state;
    static const struct {
        const char *key, *json;
    } known[] = {{"case", "\"x\""},
                 {"leaflet_mount", "\"internal\""},
                 {"inner_diameter_mm", "22"},
                 {"expansion", "\"self\""},
                 {"nominal_diameter_mm", "26"},
                 {"frame_height_mm", "45"},
                 {"skirt_height_mm", "13"},
                 {"implant_depth_mm", "4"},
                 {"azimuth_deg", "30"},
                 {"circle_mm", "22"},
                 {"stj_height", "19"},
                 {"action_line", "0.2"}};
    sm_draft draft;
    sm_question *q;
    size_t n;
    sm_diag d = {0};
    assert_int_equal(sm_draft_create(NULL, true, &draft), SM_OK);
    for (size_t i = 0;; i++) {
        assert_int_equal(sm_draft_questions(&draft, &q, &n), SM_OK);
        if (i >= n)
            break;
        sm_text sides = {0};
        const char *json =
            q[i].kind == SM_QUESTION_EDGE || q[i].kind == SM_QUESTION_LOOK || q[i].kind == SM_QUESTION_ALTERNATIVES
                ? NULL
                : "12";
        if (q[i].kind == SM_QUESTION_SIDES) {
            assert_true(sm_answer_read(&q[i], "only", SM_DECIMAL_POINT, &sides, &sides));
            json = sides.s;
        }
        for (size_t k = 0; k < sizeof known / sizeof *known; k++)
            if (strcmp(q[i].key->name, known[k].key) == 0)
                json = known[k].json;
        if (q[i].keys == &sm_keys_scan)
            json = NULL;
        assert_int_equal(sm_draft_state(&draft, &q[i], NULL), SM_ANSWER_BLANK);
        if (sm_draft_answer(&draft, &q[i], json, &d) != SM_OK)
            fail_msg("%s: %s", q[i].pointer, d.n ? d.item[0].words : "?");
        assert_int_equal(sm_draft_state(&draft, &q[i], NULL), json ? SM_ANSWER_GIVEN : SM_ANSWER_LEFT_OUT);
        sm_text_destroy(&sides);
        free(q);
    }
    free(q);
    assert_int_equal(d.n, 0);
    assert_int_equal(sm_draft_check(&draft, &d), SM_OK);
    sm_diag_destroy(&d);
    sm_draft_destroy(&draft);
}

static void a_bad_answer_leaves_the_draft(void **state)
{
    (void)state;
    sm_draft draft;
    sm_diag d = {0};
    assert_int_equal(sm_draft_read((sm_file_text){"x", smallest, sizeof smallest - 1}, &d, &draft), SM_OK);
    char *before = sm_string_copy(draft.text.s);
    sm_question skirt = question_of(&sm_keys_implant, "skirt_height_mm"),
                frame = question_of(&sm_keys_implant, "frame_height_mm");
    snprintf(skirt.pointer, sizeof skirt.pointer, "/implant/skirt_height_mm");
    snprintf(frame.pointer, sizeof frame.pointer, "/implant/frame_height_mm");
    assert_int_equal(sm_draft_answer(&draft, &skirt, "71", &d), SM_REFUSED);
    assert_contains(d.item[0].words, "from 0 to 70 (mm)");
    sm_diag_destroy(&d);
    assert_int_equal(sm_draft_answer(&draft, &frame, "8.5", &d), SM_REFUSED); /* a rule that binds two answers */
    assert_true(d.n > 0);
    sm_diag_destroy(&d);
    assert_string_equal(draft.text.s, before);
    free(before);
    sm_draft_destroy(&draft);
}

static sm_question beside(const char *side, const char *gap, sm_question_kind kind)
{
    sm_question q = question_of(&sm_keys_coronary, gap);
    q.kind = kind;
    q.optional = true;
    snprintf(q.side, sizeof q.side, "%s", side);
    snprintf(q.pointer, sizeof q.pointer, "/coronaries/%s/%s%s", side, gap,
             kind == SM_QUESTION_EDGE   ? "/bloom_edges"
             : kind == SM_QUESTION_LOOK ? "/cross_check"
                                        : "");
    return q;
}

static void check_state(const sm_draft *draft, const sm_question *q, const char *want)
{
    sm_text json = {0};
    const sm_answer_state state = sm_draft_state(draft, q, &json);
    assert_int_equal(state, want ? SM_ANSWER_GIVEN : SM_ANSWER_LEFT_OUT);
    if (want)
        assert_string_equal(json.s, want);
    sm_text_destroy(&json);
}

/* A bare reading is written in full when something is to stand beside it; a new reading keeps what stood there. */
static void what_stands_beside_a_reading_stays(void **state)
{
    (void)state;
    static const char look_json[] = "{\"modality\": \"echo\", \"readings_mm\": {\"A\": [6.1]}}";
    sm_draft draft;
    sm_diag d = {0};
    const sm_question gap = beside("left", "ostium_gap", SM_QUESTION_KEY),
                      edge = beside("left", "ostium_gap", SM_QUESTION_EDGE),
                      look = beside("left", "ostium_gap", SM_QUESTION_LOOK);
    assert_int_equal(sm_draft_read((sm_file_text){"x", smallest, sizeof smallest - 1}, &d, &draft), SM_OK);
    check_state(&draft, &gap, "5.7");
    assert_int_equal(sm_draft_answer(&draft, &edge, "-1", &d), SM_OK);
    check_state(&draft, &gap, "{\"readings_mm\": {\"A\": [5.7]}, \"bloom_edges\": -1}");
    assert_int_equal(sm_draft_answer(&draft, &look, look_json, &d), SM_OK);
    assert_int_equal(sm_draft_answer(&draft, &gap, "{\"readings_mm\": {\"B\": [6.5]}}", &d), SM_OK);
    check_state(&draft, &edge, "-1");
    check_state(&draft, &look, look_json);
    /* a new gap of which nothing was said has a blank for both */
    const sm_question stj = beside("left", "stj_gap", SM_QUESTION_KEY),
                      its_look = beside("left", "stj_gap", SM_QUESTION_LOOK);
    assert_int_equal(sm_draft_answer(&draft, &stj, "{\"readings_mm\": {\"B\": [3]}}", &d), SM_OK);
    assert_int_equal(sm_draft_state(&draft, &its_look, NULL), SM_ANSWER_BLANK);
    assert_int_equal(sm_draft_answer(&draft, &its_look, NULL, &d), SM_OK);
    check_state(&draft, &its_look, NULL);
    assert_int_equal(d.n, 0);
    sm_diag_destroy(&d);
    sm_draft_destroy(&draft);
}

static void the_other_side_and_one_alternative_more(void **state)
{
    (void)state;
    static const char *const sides[] = {"left", "right", NULL};
    const sm_question left = beside("left", "leaflet_height", SM_QUESTION_KEY),
                      right = beside("right", "leaflet_height", SM_QUESTION_KEY),
                      top = beside("right", "stj_height", SM_QUESTION_KEY);
    sm_question list = question_of(&sm_keys_case, "alternatives");
    sm_draft draft;
    sm_text json = {0};
    sm_status s;
    snprintf(list.pointer, sizeof list.pointer, "/alternatives");
    assert_int_equal(sm_draft_create(sides, false, &draft), SM_OK);
    assert_false(sm_draft_other_side(&draft, &right, &json, &s));
    assert_int_equal(s, SM_OK);
    assert_int_equal(sm_draft_put(&draft, right.pointer, "14.8"), SM_OK);
    assert_false(sm_draft_other_side(&draft, &right, &json, &s)); /* its own is not the other's */
    assert_false(sm_draft_other_side(&draft, &top, &json, &s));
    assert_true(sm_draft_other_side(&draft, &left, &json, &s));
    assert_string_equal(json.s, "14.8");
    sm_text_destroy(&json);
    assert_int_equal(sm_draft_longer_list(&draft, &list, "[{\"name\": \"a\"}]", &json), SM_OK);
    assert_int_equal(sm_draft_put(&draft, list.pointer, json.s), SM_OK);
    sm_text_destroy(&json);
    assert_int_equal(sm_draft_longer_list(&draft, &list, "[{\"name\": \"b\"}, {\"name\": \"c\"}]", &json), SM_OK);
    assert_string_equal(json.s, "[{\"name\": \"a\"}, {\"name\": \"b\"}, {\"name\": \"c\"}]");
    sm_text_destroy(&json);
    sm_draft_destroy(&draft);
}

/* The smallest case: leaflet 14.8, ostium 9.5 and 5.7, junction 18 and 2.7; limits 4 and 2. */
static void a_case_is_read_back(void **state)
{
    (void)state;
    static const sm_style plain = {.width = 80, .plain = true}, drawn = {.width = 80};
    outcome o = read_text(smallest);
    for (int i = 0; i < 2; i++) {
        sm_blocks b = {0};
        sm_text out = {0};
        sm_new_last_look(&b, o.c);
        sm_write_text(&out, i ? &drawn : &plain, &b);
        for (char *c = out.s; i == 0 && *c; c++)
            *c = *c == '\n' ? ' ' : *c;
        if (i == 0) {
            assert_contains(out.s, "mounted outside the old valve's posts. The ring's inner diameter is 22.0 mm.");
            assert_contains(out.s, "from 4.0 mm below the base plane to 15.0 mm above it, its skirt to 5.0 mm.");
            assert_contains(out.s,
                            "ends 5.3 mm above the lower edge of the ostium and 3.2 mm below the sinotubular junction");
            assert_contains(out.s, "left, ostium: begins at 9.5, leaflet to 14.8, above it 5.3");
            assert_contains(out.s, "left, junction: begins at 18.0, leaflet to 14.8, above it -3.2");
            assert_contains(out.s, "left, ostium: gap 5.7, limit 4.0, more 1.7");
            assert_contains(out.s, "left, junction: gap 2.7, limit 2.0, more 0.7");
            assert_contains(out.s, "Your line: none.");
        } else {
            /* on 32 columns from 0 to 18 mm: 9.5 is column 16 and 14.8 column 25 */
            assert_contains(out.s, "left, ostium            ================O/////////  ");
        }
        sm_text_destroy(&out);
    }
    outcome_destroy(&o);
}

static void what_is_no_draft(void **state)
{
    (void)state;
    static const char *const bad[] = {"", "[]", "5", "{}", "{\"format\": \"slimmargin-profile-1\"}", "{\"format\": 1"};
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        sm_draft draft;
        sm_diag d = {0};
        assert_int_equal(sm_draft_read((sm_file_text){"x", bad[i], strlen(bad[i])}, &d, &draft), SM_REFUSED);
        assert_int_equal(d.faults, 1);
        sm_diag_destroy(&d);
        sm_draft_destroy(&draft);
    }
}

/* 3. Tables */

#define HEAD                                                                                                           \
    "case,surgical_valve.leaflet_mount,surgical_valve.inner_diameter_mm,implant.expansion,"                            \
    "implant.nominal_diameter_mm,implant.frame_height_mm,implant.skirt_height_mm,implant.implant_depth_mm,"            \
    "left.azimuth_deg,left.circle_mm,left.ostium_height,left.ostium_gap,left.stj_height,left.stj_gap,"                 \
    "left.leaflet_height"
#define ROW "external,22,balloon,24,19,9,4 +- 1,35,22.4,9.5,5.7,18,2.7,14.8"

typedef struct {
    sm_cases cases;
    sm_diag d;
    sm_text messages;
    sm_status status;
} table;

static table read_table(const char *text)
{
    table t = {0};
    t.status = sm_cases_csv_read((sm_file_text){"t.csv", text, strlen(text)}, &t.d, &t.cases);
    for (size_t i = 0; t.status == SM_OK && i < t.cases.n; i++)
        assert_int_not_equal(sm_cases_csv_check(&t.cases, i, (sm_file_text){.text = NULL}, &t.d), SM_NO_MEMORY);
    sm_diag_write(&t.d, &t.messages);
    sm_text_puts(&t.messages, "");
    return t;
}

static void table_destroy(table *t)
{
    sm_cases_destroy(&t->cases);
    sm_diag_destroy(&t->d);
    sm_text_destroy(&t->messages);
}

static void a_table_makes_cases(void **state)
{
    (void)state;
    table t = read_table(HEAD ",left.ostium_gap,coronaries.left.ostium_gap.readings_mm.B,left.ostium_gap.bloom_edges,"
                              "right.azimuth_deg,action_line,scan.base_plane.point_sd_mm\n"
                              "one," ROW ",5.8,6.1,-1,,0.2,0.5\n"
                              "\"two\"," ROW ",,,,,,\n");
    assert_string_equal(t.messages.s, "t.csv:2:1: warning: nothing is said of right: the case has no such ostium\n"
                                      "t.csv:3:1: warning: nothing is said of right: the case has no such ostium\n");
    assert_int_equal(t.cases.n, 2);
    assert_string_equal(t.cases.row[1].name, "two");
    outcome one = read_text(t.cases.row[0].draft.text.s);
    assert_non_null(one.c);
    const sm_quantity *gap = &one.c->coronary[0].quantity[SM_OSTIUM_GAP];
    assert_int_equal(gap->readings.n, 2);
    assert_int_equal(gap->readings.row[0].n, 2);
    assert_near(sm_quantity_estimate(gap), (5.75 + 6.1) / 2, 1e-12, 0);
    assert_near(gap->bloom_edges, -1, 0, 0);
    assert_near(one.c->action_line, 0.2, 0, 0);
    assert_near(one.c->scan.base_plane.point_sd_mm, 0.5, 0, 0);
    outcome_destroy(&one);
    table_destroy(&t);
}

static void a_spreadsheet_with_decimal_commas(void **state)
{
    (void)state;
    char *text = sm_string_copy("\xEF\xBB\xBF" HEAD "\r\none," ROW "\r\n");
    for (char *c = text; *c; c++)
        *c = *c == ',' ? ';' : *c == '.' && c[1] >= '0' && c[1] <= '9' ? ',' : *c;
    table t = read_table(text);
    assert_string_equal(t.messages.s, "");
    assert_contains(t.cases.row[0].draft.text.s, "[5.7]");
    table_destroy(&t);
    free(text);
}

static void bad_tables(void **state)
{
    (void)state;
    static const struct {
        const char *text, *message;
    } bad[] = {
        {"", "t.csv:1:1: the file is empty"},
        {HEAD "\n", "t.csv:1:1: there is no row below the header"},
        {"left.ostium_gap\n5\n", "the header has no column \"case\""},
        {"case\nx\n", "no column of a coronary"},
        {HEAD ",patient_name\n", "looks as if it identified patients"},
        {HEAD ",left.date_of_birth\n", "looks as if it identified patients"},
        {HEAD ",left.ostium_gab\n", "did you mean ostium_gap?"},
        {HEAD ",flare\n", "\"flare\" is a key of the implant"},
        {HEAD ",implant.flare.x\n", "expected a dotted key"},
        {HEAD ",case\n", "stands twice"},
        {HEAD ",a..b\n", "expected a dotted key"},
        {HEAD ",left.ostium_height.cross_check\n", "expected a"},
        {HEAD ",left.ostium_gap.cross_check\nx," ROW ",scan 5\n",
         "t.csv:2:66: /coronaries/left/ostium_gap/cross_check: \"scan\" is not a number"},
        {HEAD ",surgical_valve.inner_diameter_mm.cross_check\nx," ROW ",bench 21.8 sd 0.3\n",
         "t.csv:2:66: /surgical_valve/inner_diameter_mm/cross_check: 22 is exact in this row, expected it as read"},
        {HEAD ",left.leaflet_height.cross_check\nx," ROW ",ct 14.1\n",
         "t.csv:2:66: /coronaries/left/leaflet_height/cross_check: write by what it was measured"},
        {HEAD ",left.leaflet_height.cross_check\nx," ROW ",ct 61 sd 1\n", "found 61, expected a number from 1 to 60"},
        {HEAD ",alternatives\nx," ROW ",smaller\n", "t.csv:2:66: /alternatives: write a name, a colon"},
        {HEAD ",alternatives\nx," ROW ",x: rescue right 0.9\n", "t.csv:2:66: /alternatives/0/rescue"},
        {HEAD "\none," ROW "\nONE," ROW "\n", "t.csv:3:1: /case: the name \"ONE\" stands in line 2 as well"},
        {HEAD "\n.x," ROW "\n", "does not begin with a dot"},
        {HEAD "\nx," ROW ",7\n", "t.csv:2:66: there are more cells than the header has columns"},
        {HEAD "\nx,external,22,balloon,24,19,9,4,35,22.4,9.5,,18,2.7,14.8\n",
         "t.csv:2:45: /coronaries/left/ostium_gap: the cell is empty, expected a reading"},
        {HEAD "\nx,external,22,balloon,24,19,9,4,35,22.4,9.5,5.7mm,18,2.7,14.8\n",
         "t.csv:2:45: /coronaries/left/ostium_gap: \"5.7mm\" is not a number"},
        {HEAD "\nx,external,22,balloon,24,19,25,4,35,22.4,9.5,5.7,18,2.7,14.8\n",
         "t.csv:2:29: /implant/skirt_height_mm: found"},
        {HEAD "\nx,\"external,22\n", "never closed"},
        {HEAD "\nx\xff," ROW "\n", "t.csv:2:2: this is not UTF-8"},
    };
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        table t = read_table(bad[i].text);
        assert_contains(t.messages.s, bad[i].message);
        assert_true(t.d.faults > 0);
        table_destroy(&t);
    }
    /* A cell that was refused is told once, and the other faults of all rows with it. */
    table t =
        read_table(HEAD "\nx,external,22,balloon,24,19,9,4,35,22.4,9.5,x,18,2.7,14.8\ny,inside,22,balloon,24,19,9,4,35,"
                        "22.4,9.5,5,18,2.7,99\n");
    assert_int_equal(t.d.faults, 3);
    table_destroy(&t);
}

static void too_many_columns(void **state)
{
    (void)state;
    sm_text text = {0};
    sm_text_puts(&text, HEAD);
    for (int i = 0; i < SM_CSV_MAX_FIELDS; i++)
        sm_text_puts(&text, ",left.ostium_gap");
    sm_text_puts(&text, "\n");
    table t = read_table(text.s);
    assert_contains(t.messages.s, "expected at most 64");
    table_destroy(&t);
    sm_text_destroy(&text);
}

int main(void)
{
    gsl_set_error_handler_off();
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(answers_are_read),
        cmocka_unit_test(answers_are_refused),
        cmocka_unit_test(looks_and_alternatives_are_read),
        cmocka_unit_test(direct_looks_are_read),
        cmocka_unit_test(a_form_is_refused_until_filled),
        cmocka_unit_test(answered_questions_make_a_case),
        cmocka_unit_test(a_bad_answer_leaves_the_draft),
        cmocka_unit_test(what_stands_beside_a_reading_stays),
        cmocka_unit_test(the_other_side_and_one_alternative_more),
        cmocka_unit_test(a_case_is_read_back),
        cmocka_unit_test(what_is_no_draft),
        cmocka_unit_test(a_table_makes_cases),
        cmocka_unit_test(a_spreadsheet_with_decimal_commas),
        cmocka_unit_test(bad_tables),
        cmocka_unit_test(too_many_columns),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

/* test_reader_study.c - what a whole study teaches: the invented study, small studies, coverage, words and JSON.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "check.h"

#include <cjson/cJSON.h>
#include <gsl/gsl_cdf.h>
#include <gsl/gsl_errno.h>
#include <gsl/gsl_randist.h>

#include "readers/reader_study.h"
#include "study/study_csv.h"
#include "report/json/study_json.h"
#include "report/blocks/cautions.h"
#include "report/text/learn_text.h"

enum { MOST = 8 };

static sm_reader_study study;
static sm_learned learned[MOST];
static sm_text words, json;

static void forget(void)
{
    for (size_t q = 0; q < MOST; q++)
        sm_learned_destroy(&learned[q]);
    sm_reader_study_destroy(&study);
    sm_text_destroy(&words);
    sm_text_destroy(&json);
}

static void learn(const char *text, size_t n)
{
    forget();
    sm_diag d = {0};
    assert_int_equal(sm_study_csv_read(&(sm_file_text){"dir/s.csv", text, n}, 1, &d, &study), SM_OK);
    sm_diag_destroy(&d);
    assert_true(study.n_quantities <= MOST);
    for (size_t q = 0; q < study.n_quantities; q++)
        assert_int_equal(sm_learn_quantity(&study, q, &learned[q]), SM_OK);
    sm_learn_text_write(&study, learned, &(sm_style){.width = 80, .utf8 = true}, false, &words);
    sm_study_json_write(&study, learned, "s.csv", &json);
    assert_false(words.failed || json.failed);
}

static void learn_string(const char *rows)
{
    sm_text t = {0};
    sm_text_puts(&t, "case,quantity,reader,repeat,value_mm\n");
    sm_text_puts(&t, rows);
    learn(t.s, t.len);
    sm_text_destroy(&t);
}

/* The words as one line, so that a sentence is found wherever it was broken. */
static const char *one_line(void)
{
    char *to = words.s;
    for (const char *from = words.s; *from; from++) {
        char ch = *from == '\n' ? ' ' : *from;
        if (ch != ' ' || to == words.s || to[-1] != ' ')
            *to++ = ch;
    }
    *to = '\0';
    return words.s;
}

static void read_scenario(sm_text *t)
{
    FILE *f = fopen("scenarios/readers/study.csv", "rb");
    assert_non_null(f);
    int ch;
    while ((ch = getc(f)) != EOF)
        sm_text_putn(t, &(char){(char)ch}, 1);
    fclose(f);
}

/* 1. The invented study */

/* Made with one-reading SDs of 0.70, 0.49, 0.81, 0.44 and 0.81 mm (make_study.py): each lies inside its interval. */
static void test_scenario(void **state)
{
    (void)state;
    static const double made[] = {0.70, 0.49, 0.81, 0.44, 0.81};
    sm_text t = {0};
    read_scenario(&t);
    learn(t.s, t.len);
    sm_text_destroy(&t);
    assert_int_equal(study.n_quantities, 5);
    for (size_t q = 0; q < 5; q++) {
        const sm_learned *l = &learned[q];
        assert_true(l->cases == 12 && l->readers == 3 && l->readings == 72);
        assert_true(sm_learned_is_usable(l) && !l->too_small && l->dof > 3.0);
        assert_true(l->total_sd.low < made[q] && made[q] < l->total_sd.high);
        assert_near(pow(l->total_sd.value, 2), pow(l->between_sd.value, 2) + pow(l->repeat_sd.value, 2), 1e-12, 0.0);
        assert_near(l->iso.s_big_r, l->total_sd.value, 1e-5, 0.0); /* balanced: ISO 5725-2 and REML agree */
        assert_near(l->iso.s_r, l->repeat_sd.value, 1e-5, 0.0);
        assert_true(l->has_icc && l->n_pairs == 3 && l->offset);
    }
}

/* Sentences of the text, no line wider than 80 characters, the cautions last, and no drawing characters when plain. */
static void test_words(void **state)
{
    (void)state;
    sm_text t = {0}, plain = {0};
    read_scenario(&t);
    learn(t.s, t.len);
    sm_text_destroy(&t);
    size_t column = 0;
    for (const char *p = words.s; *p; p++) {
        column = *p == '\n' ? 0 : column + (((unsigned char)*p & 0xC0) != 0x80);
        assert_true(column <= 80);
    }
    sm_learn_text_write(&study, learned, &(sm_style){.width = 80, .plain = true}, false, &plain);
    for (const char *p = plain.s; *p; p++)
        assert_true((unsigned char)*p < 0x80);
    assert_contains(plain.s, "\nthe same reader again: 0.22 (0.18 to 0.28); ANOVA 0.22.\n");
    assert_contains(plain.s, "\nA less C, 12 cases: mean difference 0.32 (-0.10 to 0.74), 95 of 100 lie from\n"
                             "-1.0 (-1.7 to -0.4) to 1.7 (1.0 to 2.4).\n");
    sm_text_destroy(&plain);
    sm_learn_text_write(&study, learned, &(sm_style){.width = 80}, true, &plain);
    assert_contains(plain.s, "Two readers of the STJ gap differ by up to 1.3 mm");
    assert_true(strstr(plain.s, "Pairs") == NULL);
    sm_text_destroy(&plain);
    const char *s = one_line();
    assert_contains(s, "Two readers of the ostium gap differ by up to 1.3 mm in 95 of 100 scans; 77 % of that lies "
                       "between readers, 23 % is the same reader on another day.");
    assert_contains(s, "STJ gap: 12 cases, 3 readers, 72 readings");
    assert_contains(s,
                    "For planning: one reading by one reader has an SD of 0.45 (0.38 to 1.21) mm. A later case takes "
                    "it as known from 8 readings of one thing (7 degrees of freedom).");
    assert_contains(s, "The 95 % intervals of the SDs hold the truth about 95 times in 100, with few readers too");
    const char *last = strstr(s, sm_cautions());
    assert_non_null(last);
    assert_string_equal(last + strlen(sm_cautions()), " ");
}

/* 2. JSON */

static double number_at(const cJSON *node, const char *key)
{
    const cJSON *found = cJSON_GetObjectItemCaseSensitive(node, key);
    return cJSON_IsNumber(found) ? found->valuedouble : NAN;
}

static void test_json(void **state)
{
    (void)state;
    sm_text t = {0};
    read_scenario(&t);
    learn(t.s, t.len);
    sm_text_destroy(&t);
    cJSON *root = cJSON_Parse(json.s);
    assert_non_null(root);
    assert_string_equal(cJSON_GetStringValue(cJSON_GetObjectItemCaseSensitive(root, "format")), "slimmargin-readers-1");
    const cJSON *gap =
        cJSON_GetObjectItemCaseSensitive(cJSON_GetObjectItemCaseSensitive(root, "quantities"), "ostium_gap");
    assert_non_null(gap);
    /* nine digits are written */
    assert_near(number_at(gap, "between_reader_sd_mm"), learned[1].between_sd.value, 0.0, 5e-10);
    assert_near(number_at(gap, "repeat_sd_mm"), learned[1].repeat_sd.value, 0.0, 5e-10);
    assert_near(number_at(gap, "dof"), learned[1].dof, 0.0, 5e-8);
    assert_near(
        number_at(cJSON_GetObjectItemCaseSensitive(cJSON_GetObjectItemCaseSensitive(gap, "icc"), "2,1"), "value"),
        learned[1].icc.form[SM_ICC_2_1].value, 0.0, 5e-10);
    assert_int_equal(cJSON_GetArraySize(cJSON_GetObjectItemCaseSensitive(gap, "pairs")), 3);
    assert_true(cJSON_IsObject(cJSON_GetObjectItemCaseSensitive(gap, "anova")));
    cJSON_Delete(root);
}

/* 3. Little to learn from: what can and what cannot be told */

static void test_little(void **state)
{
    (void)state;
    learn_string("1,x,A,1,5\n");
    assert_false(learned[0].has_spread);
    assert_contains(one_line(), "Too little to learn from.");
    learn_string("1,x,A,1,5\n1,x,A,2,5\n2,x,A,1,5\n2,x,A,2,5\n");
    assert_contains(one_line(), "Nothing can be learned: the readings show no spread beyond that of the cases.");
    learn_string("1,x,A,1,5\n1,x,A,2,5.4\n2,x,A,1,7\n2,x,A,2,7.1\n");
    assert_true(isnan(learned[0].total_sd.value) && learned[0].repeat_sd.value > 0.0 &&
                !sm_learned_is_usable(&learned[0]));
    assert_contains(one_line(), "Only one reader: how readers differ cannot be told");
    learn_string("1,x,A,1,5\n1,x,A,2,5.4\n2,x,B,1,7\n2,x,B,2,7.1\n");
    assert_contains(one_line(), "No case was read by two readers");
    learn_string("1,x,A,1,5\n1,x,B,1,5.4\n2,x,A,1,7\n2,x,B,1,7.1\n3,x,A,1,4\n3,x,B,1,4.9\n");
    assert_true(isnan(learned[0].repeat_sd.value));
    assert_near(learned[0].between_sd.value, learned[0].total_sd.value, 0.0, 0.0);
    assert_contains(one_line(), "Nobody read a case twice");
    learn_string("1,x,A,1,5\n1,x,A,2,5.4\n1,x,B,1,7\n1,x,B,2,7.1\n");
    assert_contains(one_line(), "Only one case: the readers are compared on it alone.");
    assert_contains(words.s, "TOO SMALL");
    assert_near(learned[0].dof, 3.0, 0.0, 0.0);
    assert_true(learned[0].dof_found < 3.0);
}

/* Never a share between readers beside "the reader component came out as 0": which part is 0, what is left to the
 * other, and how far the interval goes. */
static void test_negative(void **state)
{
    (void)state;
    learn_string("1,x,A,1,5\n1,x,A,2,6\n1,x,B,1,6\n1,x,B,2,5\n2,x,A,1,7.2\n2,x,A,2,8\n2,x,B,1,8\n2,x,B,2,7\n3,x,A,1,"
                 "1\n3,x,A,2,2\n3,x,B,1,2\n3,x,B,2,1\n");
    assert_true(learned[0].component_sd[SM_VC_READER].value == 0.0 && learned[0].between_sd.value == 0.0);
    assert_contains(one_line(), "0 % of that lies between readers, 100 % is the same reader on another day.");
    assert_contains(words.s, "Nothing lies between readers: two of them are estimated to differ no more than the same "
                             "reader on two days (0 mm (the analysis of variance gives a negative value, which is set "
                             "to 0)). The study allows an SD of up to ");
    assert_null(strstr(words.s, "component"));
    assert_contains(json.s, "\"was_negative\": true");
}

/* Readers whose ways with single cases differ, and who do not differ throughout. */
static void test_habit_of_0(void **state)
{
    (void)state;
    learn_string(
        "1,x,A,1,5\n1,x,A,2,5.1\n1,x,B,1,6\n1,x,B,2,6.1\n2,x,A,1,8\n2,x,A,2,8.1\n2,x,B,1,7\n2,x,B,2,7.1\n"
        "3,x,A,1,3\n3,x,A,2,3.1\n3,x,B,1,3.6\n3,x,B,2,3.7\n4,x,A,1,9.6\n4,x,A,2,9.7\n4,x,B,1,9\n4,x,B,2,9.1\n");
    const sm_learned *l = &learned[0];
    assert_true(l->component_sd[SM_VC_READER].value == 0.0 && l->between_sd.value > 0.5);
    assert_contains(one_line(), "99 % of that lies between readers");
    assert_contains(words.s,
                    "Of what lies between readers, that one reads more than another throughout is estimated at 0 "
                    "mm (the analysis of variance gives a negative value, which is set to 0): all of it is "
                    "readers' own ways with single cases. The study allows an SD of up to ");
    char high[32];
    snprintf(high, sizeof high, "up to %.1f mm.", l->component_sd[SM_VC_READER].high);
    assert_contains(words.s, high);
    assert_null(strstr(words.s, "component"));
    /* And the reverse: B reads about 1 mm more than A everywhere, and repeats waver more than that varies. */
    learn_string("1,x,A,1,5\n1,x,A,2,5.4\n1,x,B,1,6.5\n1,x,B,2,6\n2,x,A,1,8.4\n2,x,A,2,8\n2,x,B,1,9\n2,x,B,2,9.4\n"
                 "3,x,A,1,3\n3,x,A,2,3.4\n3,x,B,1,4.4\n3,x,B,2,4\n");
    assert_contains(one_line(), "Of what lies between readers, their own ways with single cases are estimated at 0 mm");
    assert_contains(words.s,
                    "all of it is that one reads more than another throughout. The study allows an SD of up to");
}

/* Readings of 8 cases by 3 readers twice, with up to two of them typed wrong. */
static void learn_typed(const char *case_a, double wrong_a, const char *case_b, double wrong_b)
{
    sm_text t = {0};
    for (int i = 1; i <= 8; i++)
        for (int j = 0; j < 3; j++)
            for (int r = 1; r <= 2; r++) {
                const char name[] = {(char)('0' + i), (char)('A' + j), (char)('0' + r), '\0'};
                double mm = 5.0 + i + 0.1 * j + 0.1 * ((i * 7 + j * 5 + r * 3) % 11);
                mm += strcmp(name, case_a) == 0 ? wrong_a : strcmp(name, case_b) == 0 ? wrong_b : 0.0;
                sm_text_addf(&t, "%d,ostium_gap,%c,%d,%.2f\n", i, 'A' + j, r, mm);
            }
    learn_string(t.s);
    sm_text_destroy(&t);
}

/* One reading typed wrong by 3 mm stands first, with file, line, value, and what the others read; and is kept. */
static void test_odd(void **state)
{
    (void)state;
    learn_typed("4B2", 3.0, "", 0.0);
    const sm_learned *l = &learned[0];
    const sm_study_reading *r = &study.quantity[0].reading[l->outlying[0].suspect];
    assert_int_equal(l->readings, 48);
    assert_int_equal(l->n_outlying, 1);
    assert_string_equal(study.case_name[l->outlying[0].case_id], "4");
    assert_string_equal(study.reader_name[l->outlying[0].reader_id], "B");
    assert_true(r->line == 23 && r->repeat == 2);
    assert_true(strncmp(one_line(), " Look first at this reading: typed wrong? ", 42) == 0);
    assert_contains(words.s,
                    "s.csv, line 23: reader B read the ostium gap of case 4 as 12.7 mm; again by the same reader "
                    "9.4; others read 9.9, 9.1, 10, 9.2.");
    char without[96];
    snprintf(without, sizeof without, "One reading of the ostium gap has an SD of %.2f mm with it and %.2f mm without.",
             l->total_sd.value, l->sd_without);
    assert_contains(words.s, without);
    assert_true(l->total_sd.value > 1.3 * l->sd_without);
    assert_contains(words.s, "Worth a second look (nothing was left out)");
    assert_contains(words.s, "case 4, reader B: the repeats differ far more than others (Cochran");
    assert_contains(json.s, "\"outlying\": [\n        {\n          \"file\": \"s.csv\",\n          \"line\": 23,");
    sm_learn_text_write(&study, learned, &(sm_style){.width = 80}, true, &words);
    assert_contains(words.s, "typed wrong?");
    /* Without it: nothing is found. */
    learn_typed("", 0.0, "", 0.0);
    assert_true(learned[0].n_outlying == 0 && isnan(learned[0].sd_without) && !strstr(words.s, "typed wrong"));
    assert_contains(json.s, "\"outlying\": []");
}

/* Two in different cases and of different sign do not hide each other. */
static void test_two_odd(void **state)
{
    (void)state;
    learn_typed("4B2", 3.0, "7C1", -3.0);
    assert_int_equal(learned[0].n_outlying, 2);
    assert_contains(one_line(), "Look first at these readings: typed wrong?");
    assert_contains(words.s, "reader B read the ostium gap of case 4 as 12.7 mm");
    assert_contains(words.s, "reader C read the ostium gap of case 7 as 9.9 mm");
}

/* 8 cases read once by 3 readers; the reading of reader C of case 5 is wrong by the first, that of A of case 1 by the
 * second. */
static void learn_once(double wrong_5c, double wrong_1a)
{
    static const double noise[] = {0.31, -0.52, 0.11, 0.74,  -0.23, -0.88, 0.45, 0.02, -0.37, 0.61,  0.19, -0.14,
                                   0.93, -0.66, 0.27, -0.05, 0.50,  -0.41, 0.08, 0.36, -0.71, -0.19, 0.57, -0.30};
    sm_text t = {0};
    for (int i = 0; i < 8; i++)
        for (int j = 0; j < 3; j++) {
            const double wrong = i == 5 && j == 2 ? wrong_5c : i == 1 && j == 0 ? wrong_1a : 0.0;
            sm_text_addf(&t, "%d,x,%c,1,%.2f\n", i, 'A' + j, 5.0 + i + noise[3 * i + j] + wrong);
        }
    learn_string(t.s);
    sm_text_destroy(&t);
}

/* Where nobody reads twice the means alone give a wrong one away; two hide each other from the single test. */
static void test_odd_mean(void **state)
{
    (void)state;
    learn_once(5.0, 0.0);
    const sm_learned *l = &learned[0];
    assert_int_equal(l->n_outlying, 1);
    assert_true(l->outlying[0].cell.kind == SM_ODD_MEAN && l->total_sd.value > 1.5 * l->sd_without);
    assert_contains(one_line(), "reader C read the x of case 5 as 14.59 mm; others read 9.95, 10.5.");
    learn_once(6.0, 5.0);
    assert_int_equal(l->n_outlying, 2);
    size_t sure = 0;
    for (size_t i = 0; i < l->n_odd; i++)
        sure += l->odd[i].cell.p < 0.01;
    assert_true(sure < 2);
}

/* 4. Coverage: 400 simulated studies of 12 scans, 3 readers, 2 repeats. What a later case uses is SD times t(dof): its
 * 95 % must hold about 95 in 100 errors of a new reader. The 95 % intervals of the SDs must hold the truth in 366 to
 * 394 of the 400 (380 and 3 standard errors of 4.4). By Welch and Satterthwaite's dof those of one reading held in 362
 * of these complete studies; tests/coverage/intervals.c looks at more designs. */

typedef struct {
    double reader, cell, repeat; /* SD, mm; cases have 1.5 */
    bool gaps;                   /* one cell in four is missing, one of the others in three has no repeat */
} maker;

static size_t simulate(gsl_rng *rng, const maker *m, sm_study_reading *reading)
{
    double reader[3];
    size_t n = 0;
    for (int j = 0; j < 3; j++)
        reader[j] = gsl_ran_gaussian(rng, m->reader);
    for (size_t i = 0; i < 12; i++) {
        double truth = 5.5 + gsl_ran_gaussian(rng, 1.5);
        for (size_t j = 0; j < 3; j++) {
            double cell = truth + reader[j] + gsl_ran_gaussian(rng, m->cell);
            for (long t = 1; t <= 2; t++) {
                double mm = cell + gsl_ran_gaussian(rng, m->repeat);
                if (!m->gaps || ((i + j) % 4 != 3 && (t == 1 || (i + 2 * j) % 3 != 2)))
                    reading[n++] = (sm_study_reading){.case_id = i, .reader_id = j, .repeat = t, .mm = mm};
            }
        }
    }
    return n;
}

static bool holds(sm_ci95 c, double truth)
{
    return c.low <= truth && truth <= c.high;
}

enum { STUDIES = 400 };

/* Intervals of one reading, of the repeats and between readers that held the truth; their mean length, mm; and the
 * expected share, of 100, of a new reader's errors inside, with the dof and without. */
typedef struct {
    int total, repeat, between;
    double length, errors, errors_normal;
} held;

static void count_held(const sm_learned *l, const maker *m, held *h)
{
    double between = sqrt(m->reader * m->reader + m->cell * m->cell);
    double truth = sqrt(between * between + m->repeat * m->repeat), t = gsl_cdf_tdist_Pinv(0.975, l->dof);
    h->total += holds(l->total_sd, truth);
    h->repeat += holds(l->repeat_sd, m->repeat);
    h->between += holds(l->between_sd, between);
    h->length += (l->total_sd.high - l->total_sd.low) / STUDIES;
    h->errors += 100.0 * (1.0 - 2.0 * gsl_cdf_ugaussian_Q(t * l->total_sd.value / truth)) / STUDIES;
    h->errors_normal += 100.0 * (1.0 - 2.0 * gsl_cdf_ugaussian_Q(1.96 * l->total_sd.value / truth)) / STUDIES;
}

static held learn_many(const maker *m, unsigned long seed)
{
    static sm_study_reading reading[72];
    sm_study_quantity quantity = {.name = "x", .reading = reading};
    sm_reader_study s = {.n_cases = 12, .n_readers = 3, .n_quantities = 1, .quantity = &quantity};
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_taus2);
    gsl_rng_set(rng, seed);
    held h = {0};
    for (int i = 0; i < STUDIES; i++) {
        sm_learned l;
        quantity.n = simulate(rng, m, reading);
        assert_int_equal(sm_learn_quantity(&s, 0, &l), SM_OK);
        assert_true(l.reml.converged);
        count_held(&l, m, &h);
        sm_learned_destroy(&l);
    }
    gsl_rng_free(rng);
    printf("the 95 %% of SD t(dof) hold %.1f in 100 errors of a new reader, of SD normal %.1f; 95 %% intervals held "
           "the truth in %d (one reading; mean length %.2f mm), %d (repeat), %d (between readers) of %d studies\n",
           h.errors, h.errors_normal, h.total, h.length, h.repeat, h.between, STUDIES);
    return h;
}

static void check_held(int n)
{
    assert_true(n >= 366 && n <= 394);
}

static void test_coverage(void **state)
{
    (void)state;
    held h = learn_many(&(maker){.reader = 0.3, .cell = 0.25, .repeat = 0.3}, 20);
    assert_true(h.errors > 95.0 && h.errors < 98.0);
    check_held(h.repeat);
    check_held(h.total);
    check_held(h.between);
}

/* Where cells and repeats are missing and readers differ far more than they waver, the degrees of freedom of the sum
 * are hard to tell. */
static void test_coverage_gaps(void **state)
{
    (void)state;
    held h = learn_many(&(maker){.reader = 0.6, .cell = 0.25, .repeat = 0.3, .gaps = true}, 21);
    assert_true(h.errors > 95.0 && h.errors < 98.0); /* 93.0 by Welch and Satterthwaite's dof */
    check_held(h.repeat);
    check_held(h.total);
    check_held(h.between);
}

/* Readers who agree to the last digit leave nothing to fit: no degrees of freedom are told. Those of the second are
 * what its one contrast of readers has, and not what rounding makes of it. */
static void test_no_rest(void **state)
{
    (void)state;
    learn_string("1,ostium_gap,A,1,3\n1,ostium_gap,B,1,4\n2,ostium_gap,A,1,5\n2,ostium_gap,B,1,6\n"
                 "3,ostium_gap,A,1,7\n3,ostium_gap,B,1,8\n");
    assert_contains(one_line(), "the fit did not settle");
    assert_null(strstr(words.s, "degrees of freedom"));
    learn_string("1,ostium_gap,A,1,3\n1,ostium_gap,B,1,4.25\n2,ostium_gap,A,1,5.5\n2,ostium_gap,B,1,6.75\n"
                 "3,ostium_gap,A,1,7\n3,ostium_gap,B,1,8.25\n");
    assert_near(learned[0].dof_found, 1.0, 0.02, 0.0); /* two readers who always differ by the same: one contrast */
    assert_true(learned[0].dof == 3.0);
    assert_contains(one_line(), "it gives 1.0 degrees of freedom, fewer than the 3 that a case needs; 3 are used");
}

/* Two readers leave one degree of freedom between them: the intervals hold, and are as long as that. */
static void test_two_readers(void **state)
{
    (void)state;
    learn_string("1,x,A,1,5\n1,x,A,2,5.4\n1,x,B,1,6\n1,x,B,2,6.3\n2,x,A,1,7\n2,x,A,2,7.1\n2,x,B,1,8.1\n2,x,B,2,8\n"
                 "3,x,A,1,4\n3,x,A,2,4.2\n3,x,B,1,5.1\n3,x,B,2,5\n");
    const sm_learned *l = &learned[0];
    double difference = 6.15 + 8.05 + 5.05 - 5.2 - 7.05 - 4.1; /* three times the mean one */
    double far = fabs(difference) / 3.0 / sqrt(2.0) / sqrt(gsl_cdf_chisq_Pinv(0.025, 1.0));
    assert_near(l->total_sd.high, far, 0.01, 0.0);
    assert_true(l->between_sd.high <= l->total_sd.high && l->component_sd[SM_VC_READER].high <= l->between_sd.high);
    assert_true(l->total_sd.low > 0.2 && l->total_sd.low < l->total_sd.value);
}

/* Two readers, cases read once to five times: how far apart they are is the mean of the cases' differences, each
 * weighed by one over its variance, two of reader within case and of the repeats that its means hold. */
static void test_offsets_weigh_repeats(void **state)
{
    (void)state;
    static const int repeats[][2] = {{1, 5}, {2, 1}, {5, 4}, {1, 1}, {3, 2}, {1, 4}};
    static const double apart[] = {0.9, -0.2, 0.35, 1.3, -0.4, 0.6}, noise[] = {0.31, -0.44, 0.13, -0.27, 0.38};
    double mean[6][2] = {{0}}, sum = 0, weights = 0;
    sm_text rows = {0};
    for (int i = 0; i < 6; i++)
        for (int j = 0; j < 2; j++)
            for (int r = 0; r < repeats[i][j]; r++) {
                const double mm = 7 + 1.7 * i + (j == 0 ? apart[i] : 0) + noise[(r + i + 2 * j) % 5];
                mean[i][j] += mm / repeats[i][j];
                sm_text_addf(&rows, "c%d,ostium_gap,%c,%d,%.12g\n", i, 'A' + j, r + 1, mm);
            }
    learn_string(rows.s);
    sm_text_destroy(&rows);
    const sm_learned *l = &learned[0];
    const double cell = l->reml.variance[SM_VC_READER_CASE], repeat = l->reml.variance[SM_VC_REPEAT];
    assert_true(l->reml.told[SM_VC_READER_CASE] && cell > 0.01 && repeat > 0.01);
    for (int i = 0; i < 6; i++) {
        const double weight = 1 / (2 * cell + repeat / repeats[i][0] + repeat / repeats[i][1]);
        sum += weight * (mean[i][0] - mean[i][1]);
        weights += weight;
    }
    assert_near(l->offset[0].value - l->offset[1].value, sum / weights, 1e-9, 0);
    assert_near(l->offset[0].value + l->offset[1].value, 0, 0, 1e-12);
}

int main(void)
{
    gsl_set_error_handler_off();
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_scenario),      cmocka_unit_test(test_words),
        cmocka_unit_test(test_json),          cmocka_unit_test(test_little),
        cmocka_unit_test(test_negative),      cmocka_unit_test(test_habit_of_0),
        cmocka_unit_test(test_two_odd),       cmocka_unit_test(test_odd_mean),
        cmocka_unit_test(test_odd),           cmocka_unit_test(test_coverage),
        cmocka_unit_test(test_coverage_gaps), cmocka_unit_test(test_two_readers),
        cmocka_unit_test(test_no_rest),       cmocka_unit_test(test_offsets_weigh_repeats)};
    int failed = cmocka_run_group_tests(tests, NULL, NULL);
    forget();
    return failed;
}

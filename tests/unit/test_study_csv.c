/* test_study_csv.c - the text of a reader study, good and bad.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "check.h"

#include "format/csv.h"
#include "study/study_csv.h"

#define HEADER "case,quantity,reader,repeat,value_mm\n"

static sm_reader_study study;
static sm_diag diag;
static sm_text messages;

static void forget(void)
{
    sm_reader_study_destroy(&study);
    sm_diag_destroy(&diag);
    sm_text_destroy(&messages);
}

static sm_status read_text(const char *text, size_t n)
{
    forget();
    sm_status status = sm_study_csv_read(&(sm_file_text){"s.csv", text, n}, 1, &diag, &study);
    sm_diag_write(&diag, &messages);
    sm_text_puts(&messages, "");
    return status;
}

static sm_status read_string(const char *text)
{
    return read_text(text, strlen(text));
}

/* 1. Good files */

static void test_plain(void **state)
{
    (void)state;
    assert_int_equal(
        read_string(HEADER
                    "02,ostium_gap,B,2,5.25\n01,ostium_gap,A,1,5.5\n02,stj_gap,A,1,-0.5\n02,ostium_gap,B,1,5.75\n"),
        SM_OK);
    assert_int_equal(study.n_cases, 2);
    assert_int_equal(study.n_readers, 2);
    assert_int_equal(study.n_quantities, 2);
    assert_string_equal(study.quantity[0].name, "ostium_gap");
    assert_int_equal(study.quantity[0].n, 3);
    assert_string_equal(study.case_name[study.quantity[0].reading[0].case_id], "02");
    assert_int_equal(study.quantity[0].reading[0].repeat, 1); /* by case, reader and repeat */
    assert_near(study.quantity[0].reading[0].mm, 5.75, 0.0, 0.0);
    assert_int_equal(study.quantity[0].reading[0].line, 5);
    assert_near(study.quantity[1].reading[0].mm, -0.5, 0.0, 0.0);
    assert_string_equal(messages.s, "");
}

/* Byte order mark, CR LF, quotes, any order, capitals, semicolons with decimal commas and points, trailing empty
 * fields, no last line end. */
static void test_spreadsheets(void **state)
{
    (void)state;
    assert_int_equal(read_string("\xEF\xBB\xBF"
                                 "Value_mm;REPEAT;Reader;\"quantity\";case;\r\n"
                                 "5,25;1;\"Dr \"\"K\"\"; site 2\";ostium_gap;1;\r\n\r\n;;;;;\r\n5.5; 2 ;\"Dr "
                                 "\"\"K\"\"; site 2\";ostium_gap;1"),
                     SM_OK);
    assert_int_equal(study.quantity[0].n, 2);
    assert_string_equal(study.reader_name[0], "Dr \"K\"; site 2");
    assert_near(study.quantity[0].reading[0].mm, 5.25, 0.0, 0.0);
    assert_near(study.quantity[0].reading[1].mm, 5.5, 0.0, 0.0);
    assert_string_equal(messages.s, "");
    assert_int_equal(read_string("case,quantity,reader,repeat,value_mm\r1,x,A,1,2\r1,x,B,1,3\r"), SM_OK); /* CR alone */
    assert_int_equal(study.quantity[0].n, 2);
    assert_int_equal(read_string("case,quantity,reader,repeat,value_mm\n1,x,\"A\nB\",1,2\n1,x,A,1,bad\n"), SM_REFUSED);
    assert_contains(messages.s, "s.csv:4:9: "); /* a line end inside quotes counts as a line */
}

static void test_warnings(void **state)
{
    (void)state;
    assert_int_equal(read_string("case,quantity,reader,repeat,value_mm,note\n1,x,A,1,2,\n1,x,a,1,2,ok\n12345678,x,A,1,,"
                                 "\n12345678,x,A,1,4,\n"),
                     SM_OK);
    assert_contains(messages.s, "s.csv:1:38: warning: the column \"note\" is not used");
    assert_contains(messages.s, "s.csv:3:5: warning: \"A\" and \"a\" differ only in capitals and are taken as two");
    assert_contains(messages.s, "s.csv:4:16: warning: value_mm is empty: the row is passed over");
    assert_contains(messages.s,
                    "warning: the name \"12345678\" holds a long number: make sure that it identifies nobody");
    assert_int_equal(study.n_readers, 2);
}

/* 2. Bad files: a row each, all named in one run */

static void test_rows(void **state)
{
    (void)state;
    static const struct {
        const char *row, *message;
    } bad[] = {
        {",x,A,1,2", "case is empty"},
        {"1,,A,1,2", "quantity is empty"},
        {"1,x,,1,2", "reader is empty"},
        {"1,x y,A,1,2", "quantity \"x y\" may hold only letters, digits, . _ and -"},
        {"1,x,A\x01,1,2", "reader holds a control character"},
        {"0123456789012345678901234567890123456789012345678901234567890123456789,x,A,1,2",
         "case is longer than 64 characters"},
        {"1,x,A,0,2", "repeat \"0\" is not a whole number from 1"},
        {"1,x,A,1.5,2", "repeat \"1.5\" is not a whole number from 1"},
        {"1,x,A,,2", "repeat \"\" is not a whole number from 1"},
        {"1,x,A,1,2 mm", "value_mm \"2 mm\" is not a number: write digits and a decimal mark only, without a unit"},
        {"1,x,A,1,nan", "value_mm \"nan\" is not a number"},
        {"1,x,A,1,1e1", "value_mm \"1e1\" is not a number"},
        {"1,x,A,1,-", "value_mm \"-\" is not a number"},
        {"1,x,A,1,1.2.3", "value_mm \"1.2.3\" has more than one decimal mark"},
        {"1,x,A,1,\"2,5\"",
         "value_mm \"2,5\" has a decimal comma, but commas separate the columns: write a decimal point"},
        {"1,x,A,1,101", "value_mm 101 is not between -100 and 100 mm, the range of any length here"},
        {"1,ostium_gap,A,1,57", "value_mm 57 is not between -5 and 30 mm, the range of ostium_gap"},
        {"1,x,A,1,2,5", "the row has 6 fields, the header 5: a decimal comma? Write a decimal point, or separate the "
                        "columns with semicolons"},
        {"1,x,A,1", "the row has 4 fields, the header 5"},
        {"1,\"x\"y,A,1,2", "there is text after the closing quote; write a quote inside quotes twice"},
        {"1,x,A\"B,1,2", "there is a quote inside a field that does not start with one"},
        {"7,x,Z,3,2\n7,x,Z,3,2.5", "case 7, x, reader Z, repeat 3 stands already on line"},
        {"1,x,\"A,1,2", "this quote is never closed: everything after it was taken as one field"},
    };
    sm_text all = {0};
    sm_text_puts(&all, HEADER);
    for (size_t i = 0; i < sizeof bad / sizeof bad[0]; i++) {
        sm_text one = {0};
        sm_text_addf(&one, "%s1,x,A,9,2\n%s\n", HEADER, bad[i].row);
        sm_text_addf(&all, "%s\n", bad[i].row);
        assert_int_equal(read_text(one.s, one.len), SM_REFUSED);
        assert_contains(messages.s, bad[i].message);
        assert_int_equal(diag.faults, 1);
        assert_true(diag.item[0].line == 3 || diag.item[0].line == 4);
        assert_int_equal(study.n_quantities, 0);
        sm_text_destroy(&one);
    }
    assert_int_equal(read_text(all.s, all.len), SM_REFUSED);
    assert_int_equal(diag.faults, sizeof bad / sizeof bad[0]);
    sm_text_destroy(&all);
}

static void test_header(void **state)
{
    (void)state;
    assert_int_equal(read_string(""), SM_REFUSED);
    assert_contains(messages.s, "s.csv:1:1: the file is empty");
    assert_int_equal(read_text(NULL, 0), SM_REFUSED);
    assert_int_equal(read_string(HEADER), SM_REFUSED);
    assert_contains(messages.s, "there is no reading under the header");
    assert_int_equal(read_string("case,quantity,reader,width\n1,x,A,2\n"), SM_REFUSED);
    assert_contains(messages.s, "the header has no column \"repeat\"");
    assert_contains(messages.s, "the header has no column \"value_mm\"");
    assert_int_equal(read_string("case,case,quantity,reader,repeat,value_mm\n1,1,x,A,1,2\n"), SM_REFUSED);
    assert_contains(messages.s, "s.csv:1:6: the column \"case\" stands twice in the header");
    assert_int_equal(read_string("case,quantity,reader,repeat,value_mm,Patient_Name\n1,x,A,1,2,-\n"), SM_REFUSED);
    assert_contains(messages.s,
                    "the column \"Patient_Name\" looks as if it identified patients: take it out of the file");
}

/* Heads that mean the same, a row of units, tabs, decimal commas. */
static void test_heads(void **state)
{
    (void)state;
    static const char *const good[] = {
        "Case,Quantity,Reader,Repeat,Value (mm)\n1,x,A,1,2.5\n1,x,B,1,3\n",
        "case;quantity;reader;repeat;value [mm]\n1;x;A;1;2,5\n1;x;B;1;3\n",
        "case\tquantity\treader\trepeat\tvalue mm\n1\tx\tA\t1\t2,5\n1\tx\tB\t1\t3\n",
        "case\tquantity\treader\trepeat\tvalue_mm\n1\tx\t\"A\"\t1 \t 2.5\n\n1\tx\tB\t1\t3\t\t\n",
        "case,quantity,reader,repeat,value\n,,,,mm\n1,x,A,1,2.5\n1,x,B,1,3\n",
        "case,quantity,reader,repeat,value_mm\n,,,-,(mm)\n1,x,A,1,2.5\n1,x,B,1,3\n",
    };
    for (size_t i = 0; i < sizeof good / sizeof *good; i++) {
        assert_int_equal(read_string(good[i]), SM_OK);
        assert_string_equal(messages.s, "");
        assert_int_equal(study.quantity[0].n, 2);
        assert_near(study.quantity[0].reading[0].mm, 2.5, 0.0, 0.0);
        assert_string_equal(study.reader_name[0], "A");
        assert_string_equal(study.file_name[study.quantity[0].reading[0].file], "s.csv");
    }
    static const struct {
        const char *text, *message;
    } bad[] = {
        {"case,quantity,reader,repeat,value\n1,x,A,1,2.5\n",
         "s.csv:1:1: the column \"value\" has no unit: call it \"value_mm\" if it holds millimetres"},
        {"case,quantity,reader,repeat,value\n,,,,cm\n1,x,A,1,2.5\n", "s.csv:2:1: this row names a unit other than mm"},
        {"case,quantity,reader,repeat,value_mm\n,,,,\xC2\xB5m\n1,x,A,1,2.5\n", "this row names a unit other than mm"},
        {"case,quantity,reader,repeat,value (cm)\n1,x,A,1,2.5\n",
         "s.csv:1:29: the column \"value (cm)\" is not in millimetres: convert it and call it \"value_mm\""},
        {"patient,quantity,observer,session,value_mm\n1,x,A,1,2.5\n",
         "s.csv:1:1: the column \"patient\": call it \"case\" if that is what it holds"},
        {"patient,quantity,observer,session,value_mm\n1,x,A,1,2.5\n", "the column \"observer\": call it \"reader\""},
        {"patient,quantity,observer,session,value_mm\n1,x,A,1,2.5\n", "the column \"session\": call it \"repeat\""},
        {"case\tquantity\treader\trepeat\tvalue_mm\n1\tx\tA\t1\t2,5,1\n", "has more than one decimal mark"},
    };
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        assert_int_equal(read_string(bad[i].text), SM_REFUSED);
        assert_contains(messages.s, bad[i].message);
    }
    /* Beside the column of cases, that of the patients is what it was: refused. */
    assert_int_equal(read_string("case,patient,quantity,reader,repeat,value_mm\n1,2,x,A,1,2\n"), SM_REFUSED);
    assert_contains(messages.s, "the column \"patient\" looks as if it identified patients");
}

/* One column a reader. */
static void test_wide(void **state)
{
    (void)state;
    assert_int_equal(read_string("case,quantity,reader A,Reader_Dr. B (mm),note\n1,x,2.5,3,\n2,x,,4.5,late\n"), SM_OK);
    assert_contains(messages.s, "s.csv:1:42: warning: the column \"note\" is not used; if it holds the readings of a "
                                "reader, call it \"reader note\"");
    assert_int_equal(diag.n, 1);
    assert_true(study.n_readers == 2 && study.quantity[0].n == 3);
    assert_string_equal(study.reader_name[1], "Dr. B");
    const sm_study_reading *r = study.quantity[0].reading;
    assert_near(r[1].mm, 3, 0.0, 0.0);
    assert_true(r[0].reader_id == 0 && r[1].reader_id == 1 && r[0].repeat == 1 && r[0].line == 2 && r[2].line == 3);
    assert_int_equal(read_string("case;quantity;repeat;reader R1;reader R2\n;;;mm;mm\n1;x;1;2,5;3\n1;x;2;2,6;3,1\n"),
                     SM_OK);
    assert_true(study.n_readers == 2 && study.quantity[0].n == 4 && study.quantity[0].reading[1].repeat == 2);
    static const struct {
        const char *text, *message;
    } bad[] = {
        {"case,quantity,A,B\n1,x,2,3\n", "If each reader has a column, call these columns \"reader A\", \"reader B\""},
        {"case,reader A,reader B\n1,2,3\n", "the header has no column \"quantity\""},
        {"case,quantity,reader A,reader B\n1,x,2,3\n1,x,2.5,3\n",
         "case 1, x, reader A, repeat 1 stands already on line 2"},
        {"case,quantity,reader A,reader A\n1,x,2,3\n", "reader A has two columns: write repeats as rows"},
        {"case,quantity,reader A1,reader A2,reader B1,reader B2\n1,x,2,3,4,5\n",
         "s.csv:1:1: \"reader A1\" and its like may be one reader's repeats or several readers"},
        {"case,quantity,reader A,reader (mm)\n1,x,2,3\n", "after \"reader\" a name of 1 to 64 characters must stand"},
        {"case,quantity,reader A,reader B\n,,cm,cm\n1,x,2,3\n", "this row names a unit other than mm"},
        {"case,quantity,reader A,reader B\n1,x,2,3 mm\n", "s.csv:2:7: value_mm \"3 mm\" is not a number"},
        {"case,quantity,reader id,repeat,value_mm\n1,x,A,1,2\n", "the header has no column \"reader\""},
    };
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        assert_int_equal(read_string(bad[i].text), SM_REFUSED);
        assert_contains(messages.s, bad[i].message);
    }
}

/* 3. Several files */

static sm_status read_two(const char *a, const char *b)
{
    forget();
    const sm_file_text text[] = {{"dir/a.csv", a, strlen(a)}, {"b.csv", b, strlen(b)}};
    sm_status status = sm_study_csv_read(text, 2, &diag, &study);
    sm_diag_write(&diag, &messages);
    sm_text_puts(&messages, "");
    return status;
}

/* Names that are the same mean the same; each file has a form of its own. */
static void test_two_files(void **state)
{
    (void)state;
    assert_int_equal(
        read_two(HEADER "1,x,A,1,2\n2,x,A,1,3\n", "value (mm);case;quantity;repeat;reader\n2,5;1;x;1;B\n4;1;y;1;A\n"),
        SM_OK);
    assert_true(study.n_files == 2 && study.n_cases == 2 && study.n_readers == 2 && study.n_quantities == 2);
    assert_string_equal(study.file_name[0], "a.csv");
    assert_int_equal(study.quantity[0].n, 3);
    assert_true(study.quantity[0].reading[1].file == 1 && study.quantity[0].reading[1].line == 2);
    assert_near(study.quantity[0].reading[1].mm, 2.5, 0.0, 0.0);
    assert_string_equal(messages.s, "");

    assert_int_equal(read_two(HEADER "1,x,A,1,2\n2,x,A,1,3\n", HEADER "9,x,A,1,3\n1,x,A,1,2\n"), SM_REFUSED);
    assert_contains(messages.s,
                    "b.csv:3:1: case 1, x, reader A, repeat 1 stands already on line 2 of dir/a.csv with the same "
                    "value: take one of the two out; if it was read again, number it as the next repeat");
    assert_int_equal(read_two(HEADER "1,x,A,1,2\n2,x,A,1,3\n", HEADER "1,x,A,1,2.5\n"), SM_REFUSED);
    assert_contains(messages.s,
                    "on line 2 of dir/a.csv with another value: number the repeats 1, 2, ..., and name other "
                    "readers and cases otherwise");
    assert_int_equal(read_two(HEADER "1,x,A,1,2\n", HEADER "1,x,A,1,2\n"), SM_REFUSED);
    assert_contains(messages.s, "b.csv: holds the same bytes as dir/a.csv: name it once");
    assert_int_equal(diag.faults, 1);
    assert_int_equal(read_two(HEADER "1,x,A,1,2\n", HEADER), SM_REFUSED);
    assert_contains(messages.s, "b.csv: there is no reading under the header");
    assert_int_equal(read_two(HEADER "1,x,A,1,2\n", ""), SM_REFUSED);
    assert_contains(messages.s, "b.csv:1:1: the file is empty");
}

static void test_copies(void **state)
{
    (void)state;
    assert_int_equal(read_string(HEADER "1,x,A,1,2\n1,x,A,1,2.0\n"), SM_REFUSED);
    assert_contains(messages.s,
                    "s.csv:3:1: case 1, x, reader A, repeat 1 stands already on line 2 with the same value: take "
                    "one of the two out; if it was read again, number it as the next repeat");
}

static void test_text(void **state)
{
    (void)state;
    assert_int_equal(read_string(HEADER "1,x,M\xFCller,1,2\n"), SM_REFUSED);
    assert_contains(messages.s, "s.csv:2:6: this is not UTF-8 text: save the table as \"CSV UTF-8\"");
    assert_int_equal(read_text(HEADER "1,x,\0,1,2\n", sizeof HEADER + 10), SM_REFUSED);
    assert_contains(messages.s, "not UTF-8");
    char *large = malloc(SM_STUDY_SIZE_LIMIT + 1);
    memset(large, 'x', SM_STUDY_SIZE_LIMIT + 1);
    assert_int_equal(read_text(large, SM_STUDY_SIZE_LIMIT + 1), SM_REFUSED);
    assert_contains(messages.s, "s.csv: the file is larger than 16 MB");
    free(large);
}

static void test_too_many(void **state)
{
    (void)state;
    sm_text t = {0};
    sm_text_puts(&t, HEADER);
    for (int i = 0; i < SM_STUDY_MAX_READINGS + 1; i++)
        sm_text_addf(&t, "%d,x,A,%d,2\n", i % SM_STUDY_MAX_CASES, i / SM_STUDY_MAX_CASES + 1);
    for (int i = 0; i < SM_STUDY_MAX_READERS + 1; i++)
        sm_text_addf(&t, "1,y,R%d,1,2\n", i);
    assert_int_equal(read_text(t.s, t.len), SM_REFUSED);
    assert_contains(messages.s, "there are more than 100 readers");
    assert_contains(messages.s, "x has 5001 readings; at most 5000 are taken");
    assert_int_equal(diag.faults, 2);
    sm_text_destroy(&t);
}

/* Any bytes: never a crash, and refusal always says why. */
static void test_noise(void **state)
{
    (void)state;
    static const char piece[] = "1,x;\"\"\n\rA2.5-\xC3\xBC\tmm(reader ";
    unsigned long seed = 1;
    for (int round = 0; round < 2000; round++) {
        char text[256];
        size_t n = strlen(HEADER), at = round % 2 ? n : 0;
        memcpy(text, HEADER, n);
        while (at < sizeof text - 1) {
            seed = seed * 6364136223846793005UL + 1442695040888963407UL;
            text[at++] = piece[(seed >> 33) % (sizeof piece - 1)];
        }
        assert_true(read_text(text, at) == SM_OK || diag.faults > 0);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_plain), cmocka_unit_test(test_spreadsheets), cmocka_unit_test(test_warnings),
        cmocka_unit_test(test_rows),  cmocka_unit_test(test_header),       cmocka_unit_test(test_heads),
        cmocka_unit_test(test_wide),  cmocka_unit_test(test_two_files),    cmocka_unit_test(test_copies),
        cmocka_unit_test(test_text),  cmocka_unit_test(test_too_many),     cmocka_unit_test(test_noise)};
    int failed = cmocka_run_group_tests(tests, NULL, NULL);
    forget();
    return failed;
}

/* test_base.c - growing text, numbers that read back, messages, statuses, columns, characters.
 *
 * Contents: 1. text  2. numbers  3. messages  4. statuses  5. room  6. columns
 *           7. characters  8. what may be shown
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "check.h"

#include "base/diag.h"
#include "base/ends.h"
#include "base/grow.h"
#include "base/shown.h"
#include "base/status.h"
#include "base/sum.h"
#include "base/text.h"
#include "base/utf8.h"

/* Under the address sanitizer too, memory that cannot be had is refused and not a reason to stop. */
const char *__asan_default_options(void);
const char *__asan_default_options(void)
{
    return "allocator_may_return_null=1";
}

/* 1. Text */

static void text_starts_empty_and_is_handed_over(void **state)
{
    (void)state;
    sm_text t = {0};
    char *s = sm_text_take(&t);
    assert_string_equal(s, "");
    free(s);
    sm_text_puts(&t, "left ");
    sm_text_putn(&t, "ostium and more", 6);
    sm_text_addf(&t, " %d of %s", 25, "100");
    sm_text_fill(&t, '-', 3);
    assert_int_equal(t.len, strlen(t.s));
    s = sm_text_take(&t);
    assert_string_equal(s, "left ostium 25 of 100---");
    assert_null(t.s);
    free(s);
}

static void a_piece_tells_the_whole_that_it_failed(void **state)
{
    (void)state;
    sm_text whole = {0}, piece = {0};
    assert_string_equal(sm_text_string(&piece), "");
    sm_text_puts(&piece, "a piece");
    assert_string_equal(sm_text_string(&piece), "a piece");
    sm_text_done(&piece, &whole);
    assert_null(piece.s);
    assert_false(whole.failed);
    piece.failed = true;
    sm_text_done(&piece, &whole);
    assert_true(whole.failed);
}

/* Every length from 0 to 700 by each way of adding: the room grows at every possible place. */
static void text_grows_at_any_length(void **state)
{
    (void)state;
    for (size_t n = 0; n < 700; n++) {
        sm_text t = {0};
        sm_text_fill(&t, 'x', n);
        sm_text_addf(&t, "%s", "yz");
        sm_text_puts(&t, "");
        assert_false(t.failed);
        assert_int_equal(t.len, n + 2);
        assert_int_equal(strlen(t.s), n + 2);
        assert_string_equal(t.s + n, "yz");
        sm_text_destroy(&t);
    }
}

static void text_that_failed_stays_failed(void **state)
{
    (void)state;
    sm_text t = {0};
    sm_text_puts(&t, "kept");
    sm_text_fill(&t, 'x', SIZE_MAX / 2); /* no machine has this room */
    assert_true(t.failed);
    assert_string_equal(t.s, "kept");
    sm_text_puts(&t, "more");
    assert_string_equal(t.s, "kept");
    assert_null(sm_text_take(&t));
    assert_false(t.failed);
}

/* 2. Numbers */

static void expect_number(double x, const char *want)
{
    char room[SM_NUMBER_SIZE];
    assert_string_equal(sm_number_write(x, room), want);
}

static void numbers_are_as_short_as_they_can_be(void **state)
{
    (void)state;
    expect_number(0.1, "0.1");
    expect_number(22.3, "22.3");
    expect_number(-5, "-5");
    expect_number(1e22, "1e+22");
    expect_number(0.1 + 0.2, "0.30000000000000004");
    expect_number(NAN, "null");
    expect_number(HUGE_VAL, "null");
    expect_number(-HUGE_VAL, "null");
}

static void expect_computed(double x, const char *want)
{
    char room[SM_NUMBER_SIZE];
    assert_string_equal(sm_number_computed(x, room), want);
}

/* Nine digits, in which the last bits of 0.1 + 0.2 or of a count's share are not seen; whole numbers to the last. */
static void computed_numbers_have_nine_digits(void **state)
{
    (void)state;
    expect_computed(0.1 + 0.2, "0.3");
    expect_computed(1.0 / 3, "0.333333333");
    expect_computed(nextafter(1.0 / 3, 1), "0.333333333");
    expect_computed(-123456.7890625, "-123456.789");
    expect_computed(1.5e-12, "1.5e-12");
    expect_computed(1713891541, "1713891541");
    expect_computed(-0.0, "0");
    expect_computed(1e22, "1e+22");
    expect_computed(NAN, "null");
    expect_computed(-HUGE_VAL, "null");
}

static double from_bits(uint64_t bits)
{
    double x;
    memcpy(&x, &bits, sizeof x);
    return x;
}

/* 200,000 bit patterns spread over all doubles, with the smallest and the largest: each reads back bit for bit. */
static void numbers_read_back_the_same(void **state)
{
    (void)state;
    const double ends[] = {4.9406564584124654e-324, 2.2250738585072011e-308, 1.7976931348623157e308, -0.0};
    char room[SM_NUMBER_SIZE];
    for (size_t i = 0; i < 200000; i++) {
        double x = i < 4 ? ends[i] : from_bits(0x9e3779b97f4a7c15u * i);
        if (!isfinite(x))
            continue;
        double back = strtod(sm_number_write(x, room), NULL);
        assert_memory_equal(&back, &x, sizeof x);
    }
}

static void copies_are_apart_from_what_they_copy(void **state)
{
    (void)state;
    char from[] = "stj_gap";
    char *all = sm_string_copy(from), *part = sm_string_copyn(from, 3);
    from[0] = 'X';
    assert_string_equal(all, "stj_gap");
    assert_string_equal(part, "stj");
    free(all);
    free(part);
}

/* 3. Messages */

static void messages_say_where_and_keep_their_order(void **state)
{
    (void)state;
    sm_diag d = {0};
    sm_text out = {0};
    for (int i = 0; i < 40; i++)
        sm_diag_add(&d, SM_FAULT, (sm_place){"case.json", (size_t)i + 3, 7, "/limits"}, "fault %d", i);
    sm_diag_add(&d, SM_WARNING, (sm_place){0}, "no place");
    sm_diag_add(&d, SM_FAULT, (sm_place){.file = "empty.json", .pointer = ""}, "the file is empty");
    assert_int_equal(d.n, 42);
    assert_int_equal(d.faults, 41);
    assert_false(d.failed);
    sm_diag_write(&d, &out);
    assert_memory_equal(out.s, "case.json:3:7: /limits: fault 0\ncase.json:4:7: ", 46);
    assert_contains(out.s, "fault 39\nwarning: no place\nempty.json: the file is empty\n");
    sm_text_destroy(&out);
    sm_diag_destroy(&d);
    assert_int_equal(d.n, 0);
    sm_diag_destroy(&d);
}

/* The place belongs to the message: what it was copied from may change. */
static void messages_own_their_words(void **state)
{
    (void)state;
    sm_diag d = {0};
    char file[] = "a.json", pointer[] = "/x";
    sm_diag_add(&d, SM_FAULT, (sm_place){file, 1, 2, pointer}, "%s", file);
    file[0] = pointer[1] = 'z';
    assert_string_equal(d.item[0].file, "a.json");
    assert_string_equal(d.item[0].pointer, "/x");
    assert_string_equal(d.item[0].words, "a.json");
    sm_diag_destroy(&d);
}

/* 4. Statuses */

static void statuses_have_the_documented_exit(void **state)
{
    (void)state;
    const sm_status of[] = {SM_OK,         SM_USAGE,        SM_REFUSED,    SM_NOT_WRITTEN,
                            SM_UNRESOLVED, SM_CHECK_FAILED, SM_INTERRUPTED};
    const int want[] = {0, 1, 2, 3, 4, 5, 130};
    for (size_t i = 0; i < sizeof want / sizeof *want; i++)
        assert_int_equal(sm_status_exit(of[i]), want[i]);
    for (int s = 0; s < SM_STATUS_COUNT; s++)
        assert_true(strlen(sm_status_words((sm_status)s)) > 3);
    for (int s = 1; s < SM_STATUS_COUNT; s++)
        assert_true(sm_status_exit((sm_status)s) != 0);
}

static void a_status_outside_the_list_is_not_success(void **state)
{
    (void)state;
    assert_int_equal(sm_status_exit((sm_status)SM_STATUS_COUNT), 70);
    assert_int_equal(sm_status_exit((sm_status)-1), 70);
    assert_string_equal(sm_status_words((sm_status)-1), "unknown status");
}

/* 5. Room */

static void an_array_grows_and_stays_where_it_cannot(void **state)
{
    (void)state;
    size_t cap = 0;
    int *x = NULL;
    for (size_t n = 0; n < 100; n++) {
        int *more = sm_grow(x, n, &cap, 3, sizeof *more);
        assert_non_null(more);
        x = more;
        x[n] = (int)n;
    }
    assert_int_equal(cap, 192); /* 3, doubled six times */
    for (int i = 0; i < 100; i++)
        assert_int_equal(x[i], i);
    cap = 100;
    assert_null(sm_grow(x, 100, &cap, 3, SIZE_MAX / 400));
    assert_int_equal(cap, 100);
    assert_int_equal(x[99], 99);
    free(x);
}

/* 6. Columns, of lengths that no vector divides */

static void ends_are_found_in_any_length(void **state)
{
    (void)state;
    const double x[] = {2.385, -7.25, 3.5, 0.125, -0.5, 11.75, 4.25, -7.0, 8.5};
    for (int n = 1; n <= 9; n++) {
        double least = HUGE_VAL, most = -HUGE_VAL;
        for (int i = 0; i < n; i++) {
            least = fmin(least, x[i]);
            most = fmax(most, x[i]);
        }
        assert_true(sm_ends_min(x, n) == least && sm_ends_max(x, n) == most);
    }
}

static void places_are_held_between_the_ends(void **state)
{
    (void)state;
    const double x[] = {-1e300, -1.25, -1.0, -0.375, 0.75, 2.0, 2.125, 1e300, 0};
    const double want[] = {0, 0, 0, 2.5, 7, 12, 12, 12, 4}; /* steps of 1/4 from -1, twelve of them */
    double place[9];
    sm_ends_place(x, -1, 0.25, 12, place, 9);
    for (int i = 0; i < 9; i++)
        assert_true(place[i] == want[i]);
}

static void sums_take_every_number_once(void **state)
{
    (void)state;
    double x[37];
    for (int n = 0; n <= 37; n++) {
        for (int i = 0; i < n; i++)
            x[i] = i * i - 3.5;
        assert_true(sm_sum(x, n) == (n - 1) * n * (2 * n - 1) / 6 - 3.5 * n); /* exact in any order */
    }
}

/* 7. Characters */

/* The bytes that make c in a form of n bytes, be it the right one or not. */
static void encode(uint32_t c, size_t n, char out[4])
{
    static const unsigned char mark[] = {0, 0x00, 0xC0, 0xE0, 0xF0};
    for (size_t i = n; i-- > 1; c >>= 6)
        out[i] = (char)(0x80 | (c & 0x3F));
    out[0] = (char)(mark[n] | c);
}

/* Every number that four bytes can hold, in every form that can hold it. */
static void every_character_reads_back_in_its_shortest_form_alone(void **state)
{
    (void)state;
    static const uint32_t end[] = {0, 0x80, 0x800, 0x10000, 0x200000};
    size_t wrong = 0, good = 0;
    for (size_t n = 1; n <= 4; n++)
        for (uint32_t c = 0; c < end[n]; c++) {
            char s[4];
            uint32_t code = 1234567;
            encode(c, n, s);
            const bool valid = c >= end[n - 1] && (c < 0xD800 || c > 0xDFFF) && c < 0x110000;
            wrong += sm_utf8_decode(s, 4, &code) != (valid ? n : 0) || code != (valid ? c : 1234567);
            wrong += n > 1 && sm_utf8_decode(s, n - 1, &code) != 0;
            good += valid;
        }
    assert_int_equal(wrong, 0);
    assert_int_equal(good, 0x110000 - 0x800);
}

/* Overlong, a surrogate, beyond the last character, cut short, a stray byte, a zero. */
static void the_first_bad_byte_is_found(void **state)
{
    (void)state;
    static const struct {
        const char *s;
        size_t n, bad;
    } row[] = {{"a\xC3\xBC\xE2\x80\x94\xF0\x9F\x99\x82", 10, 10},
               {"a\xC0\x80", 3, 1},
               {"\xE0\x80\x80", 3, 0},
               {"ab\xED\xA0\x80", 5, 2},
               {"\xF4\x90\x80\x80", 4, 0},
               {"a\xE2\x80", 3, 1},
               {"\xE2\x80z", 3, 0},
               {"\x80", 1, 0},
               {"\xFF", 1, 0},
               {"ab\0c", 4, 2},
               {"", 0, 0}};
    for (size_t i = 0; i < sizeof row / sizeof row[0]; i++)
        assert_int_equal(sm_utf8_check(row[i].s, row[i].n), row[i].bad);
    assert_int_equal(sm_utf8_count("a\xC3\xBC\xE2\x80\x94\xF0\x9F\x99\x82"), 4);
    assert_int_equal(sm_utf8_count(""), 0);
}

/* 8. What may be shown */

/* The list of docs/case-format.md, written out once more. */
static bool is_on_the_list(uint32_t c)
{
    static const uint32_t range[][2] = {{0, 0x1f},        {0x7f, 0x9f},     {0x61c, 0x61c},  {0x200e, 0x200f},
                                        {0x2028, 0x202e}, {0x2066, 0x2069}, {0xfffe, 0xffff}};
    for (size_t i = 0; i < sizeof range / sizeof *range; i++)
        if (c >= range[i][0] && c <= range[i][1])
            return true;
    return false;
}

static void what_is_on_the_list_alone_is_hostile(void **state)
{
    (void)state;
    for (uint32_t c = 0; c <= 0x10ffff; c++)
        if (sm_shown_is_hostile(c) != is_on_the_list(c))
            fail_msg("U+%04X", (unsigned)c);
}

static void hostile_text_is_shown_as_escapes(void **state)
{
    (void)state;
    sm_text t = {0}, again = {0};
    sm_text_shown(&t, "\x1b[2J \xe2\x80\xae \xc2\x9b\n\t\x7f \xff\xe5\xa4 \xc3\xbc\\");
    assert_string_equal(t.s, "\\u001b[2J \\u202e \\u009b\\u000a\\u0009\\u007f \\xff\\xe5\\xa4 \xc3\xbc\\");
    sm_text_shown(&again, t.s);
    assert_string_equal(again.s, t.s);
    sm_text_destroy(&t);
    sm_text_shown_lines(&t, "a\r\n\n\x1b b");
    assert_string_equal(t.s, "a\\u000d\n\n\\u001b b");
    sm_text_destroy(&t);
    sm_text_destroy(&again);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(text_starts_empty_and_is_handed_over),
        cmocka_unit_test(a_piece_tells_the_whole_that_it_failed),
        cmocka_unit_test(text_grows_at_any_length),
        cmocka_unit_test(text_that_failed_stays_failed),
        cmocka_unit_test(numbers_are_as_short_as_they_can_be),
        cmocka_unit_test(computed_numbers_have_nine_digits),
        cmocka_unit_test(numbers_read_back_the_same),
        cmocka_unit_test(copies_are_apart_from_what_they_copy),
        cmocka_unit_test(messages_say_where_and_keep_their_order),
        cmocka_unit_test(messages_own_their_words),
        cmocka_unit_test(statuses_have_the_documented_exit),
        cmocka_unit_test(a_status_outside_the_list_is_not_success),
        cmocka_unit_test(an_array_grows_and_stays_where_it_cannot),
        cmocka_unit_test(ends_are_found_in_any_length),
        cmocka_unit_test(places_are_held_between_the_ends),
        cmocka_unit_test(sums_take_every_number_once),
        cmocka_unit_test(every_character_reads_back_in_its_shortest_form_alone),
        cmocka_unit_test(the_first_bad_byte_is_found),
        cmocka_unit_test(what_is_on_the_list_alone_is_hostile),
        cmocka_unit_test(hostile_text_is_shown_as_escapes),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

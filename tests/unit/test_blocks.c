/* test_blocks.c - one content, three writers: what each writes, what it leaves out, and that failing memory writes
 * nothing. SPDX-License-Identifier: GPL-3.0-or-later */
#include "markup_check.h"

#include "failing_malloc.h"
#include "report/blocks/write.h"

static const sm_told_column column[] = {{.head = "who", .width = 10},
                                        {"of\n100", 6, SM_RIGHT, .after = " of 100"},
                                        {"in words", 0, SM_LEFT, .gap = 2, .before = "that is ", .first = true}};

static void row(sm_blocks *b, const char *who, const char *drawn, const char *number, const char *words)
{
    sm_block_say(b, SM_ROW, who);
    if (drawn)
        sm_block_say(b, SM_DRAWN, drawn);
    sm_block_say(b, SM_CELL, number);
    sm_block_say(b, words ? SM_CELL : SM_NONE, words ? words : "");
}

/* Something of nearly every kind; a user's words hold what is unsafe anywhere. */
static void tell(sm_blocks *b)
{
    sm_block_say(b, SM_MASTHEAD, "program");
    sm_block_say(b, SM_MORE, "seed 1");
    sm_block_say(b, SM_HEADLINE, "The answer.");
    sm_block_say(b, SM_LEAD, "First.");
    sm_block_say(b, SM_LEAD, "Second.");
    sm_block_say(b, SM_TITLE, "Nothing below");
    sm_block_say(b, SM_SUBTITLE, "nor here");
    sm_block_say(b, SM_SAY, "");
    sm_block_say(b, SM_TITLE, "A table");
    sm_block_table(b, &(sm_told_table){.name = "numbers", .joint = "; ", .hang = 2}, column, 3);
    row(b, "left, all", "  left", "25", "a quarter");
    row(b, "too long <for> its\tcolumn", NULL, "1", NULL);
    sm_block_say(b, SM_SUBTITLE, "A list");
    sm_block_say(b, SM_ITEM, "one ");
    sm_block_say(b, SM_BOLD, "two");
    sm_block_say(b, SM_MORE, " three");
    sm_block_say(b, SM_ITEM, "four");
    sm_block_say(b, SM_WARNED, "careful");
    sm_block_say(b, SM_PAIR, "");
    sm_block_say(b, SM_TITLE, "Drawn");
    sm_block_say(b, SM_PICTURE, "<figure></figure>\n");
    sm_block_say(b, SM_GROUP_END, "");
}

static char *text_of(void (*teller)(sm_blocks *), bool plain)
{
    sm_blocks b = {0};
    sm_text t = {0};
    teller(&b);
    sm_write_text(&t, &(sm_style){.width = 40, .plain = plain}, &b);
    assert_false(t.failed);
    return sm_text_take(&t);
}

static void test_terminal(void **state)
{
    (void)state;
    char *s = text_of(tell, false);
    assert_string_equal(s, "program                           seed 1\n"
                           "The answer.\nFirst.\nSecond.\n"
                           "\nA table --------------------------------\n"
                           "              of\n"
                           "who          100  in words\n"
                           "  left        25  a quarter\n"
                           "too long <for> its\\u0009column\n"
                           "               1  -\n"
                           "A list\n  one two three\n  four\n  ! careful\n"
                           "\nDrawn ----------------------------------\n");
    free(s);
}

static void test_plain(void **state)
{
    (void)state;
    char *s = text_of(tell, true);
    assert_string_equal(s, "program, seed 1.\nThe answer.\nFirst.\nSecond.\n"
                           "\nA table\n"
                           "left, all: that is a quarter; 25 of 100.\n"
                           "too long <for> its\\u0009column: 1 of\n100.\n"
                           "A list.\none two three\nfour\ncareful\n"
                           "\nDrawn\n");
    free(s);
}

static void test_html(void **state)
{
    sm_blocks b = {0};
    sm_text t = {0};
    (void)state;
    tell(&b);
    sm_write_html(&t, &b);
    assert_string_equal(
        t.s, "<section class=\"call\">\n<h1>The answer.</h1>\n<p class=\"lead\">First. Second.</p>\n</section>\n"
             "<section>\n<h2>A table</h2>\n"
             "<div class=\"across\"><table class=\"numbers\">\n<thead><tr><th scope=\"col\">who</th>"
             "<th scope=\"col\">of 100</th><th scope=\"col\">in words</th></tr></thead>\n<tbody>\n"
             "<tr><th scope=\"row\">left, all</th><td>25</td><td>a quarter</td></tr>\n"
             "<tr><th scope=\"row\">too long &lt;for&gt; its\\u0009column</th><td>1</td><td>\xe2\x80\x93</td></tr>\n"
             "</tbody></table></div>\n"
             "<h3>A list</h3>\n<ul>\n<li>one <b>two</b> three</li>\n<li>four</li>\n<li>careful</li>\n</ul>\n"
             "</section>\n<div class=\"pair\">\n<section>\n<h2>Drawn</h2>\n<figure></figure>\n</section>\n</div>\n");
    markup_check(t.s);
    sm_text_destroy(&t);
    sm_blocks_destroy(&b);
}

/* A bar stands below the number that names its place, a negative one too. */
static void tell_strips(sm_blocks *b)
{
    sm_block_table(b, &(sm_told_table){0}, column, 1);
    sm_block_axis(b, &(sm_axis){-2, 2, 21}, 1, 0);
    for (int i = -2; i <= 2; i++) {
        sm_block_say(b, SM_ROW, "x");
        sm_block_say(b, SM_SAID, ""); /* not said */
        sm_block_strip(b, &(sm_strip){.low = i, .middle = i, .high = i, .limit = 9});
    }
}

static void test_scale(void **state)
{
    (void)state;
    char *s = text_of(tell_strips, false), *plain = text_of(tell_strips, true);
    const char *line = s;
    assert_true(strncmp(s, "who      -2   -1    0    1    2\n", 32) == 0);
    for (int i = 0; i < 5; i++) {
        line = strchr(line, '\n') + 1;
        assert_int_equal(strcspn(line, "O"), 10 + 5 * i);
        assert_true(s[10 + 5 * i] == "21012"[i]);
    }
    assert_string_equal(plain, "");
    free(s);
    free(plain);
}

/* Whatever allocation fails, either all is written or the text says that it failed; nothing is lost. */
static void test_memory(void **state)
{
    (void)state;
#ifdef CAN_COUNT
    bool failed = true;
    int n = 0;
    for (; failed; n++) {
        sm_blocks b = {0};
        sm_text t = {0};
        count_allocations(n);
        tell(&b);
        sm_write_html(&t, &b);
        sm_write_text(&t, &(sm_style){.width = 40}, &b);
        const bool told = t.failed;
        sm_text_destroy(&t);
        failed = stop_counting();
        assert_int_equal(told, failed);
        assert_int_equal(alive, 0);
    }
    assert_true(n > 10);
#else
    print_message("left out: this C library cannot count\n");
#endif
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_terminal), cmocka_unit_test(test_plain),
                                       cmocka_unit_test(test_html), cmocka_unit_test(test_scale),
                                       cmocka_unit_test(test_memory)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}

/* test_api_memory.c - memory runs out at every allocation of the public header's functions in turn: the same answer as
 * ever, or SLIMMARGIN_NO_MEMORY (NULL of a text), and nothing left behind.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "slimmargin.h"

#include "casefile_help.h"
#include "failing_malloc.h"

#ifdef CAN_COUNT

static const char faulty[] = "{\"format\": \"slimmargin-case-1\", \"cose\": 1}";

/* What one program gets of one case: each part as it came, "" where none came. */
typedef struct {
    const char *text;
    slimmargin_status named, read, run;
    bool told, written; /* both texts came */
    char path[64], messages[4000], words[40000], json[200000];
} answers;

static char *keep(char *s, char *out, size_t size)
{
    snprintf(out, size, "%s", s ? s : "");
    free(s);
    return out;
}

static void run(const slimmargin_case *c, answers *a)
{
    const slimmargin_options options = {.trials = 100, .seed = 3};
    slimmargin_result *r;
    a->run = slimmargin_assess(c, &options, NULL, NULL, &r);
    assert_true((a->run == SLIMMARGIN_OK) == (r != NULL));
    if (!r)
        return;
    char *words = slimmargin_result_text(r, true, false), *json = slimmargin_result_json(r);
    a->told = words != NULL;
    a->written = json != NULL;
    keep(words, a->words, sizeof a->words);
    keep(json, a->json, sizeof a->json);
    slimmargin_result_free(r);
}

static void ask(void *self)
{
    answers *a = self;
    char *path = NULL;
    slimmargin_case *c;
    a->named = slimmargin_case_profile(a->text, strlen(a->text), &path);
    assert_true(a->named == SLIMMARGIN_OK || !path);
    keep(path, a->path, sizeof a->path);
    a->run = SLIMMARGIN_REFUSED;
    a->told = a->written = false;
    a->words[0] = a->json[0] = a->messages[0] = '\0';
    a->read = slimmargin_case_read(a->text, strlen(a->text), small_profile, strlen(small_profile), &c);
    assert_true((a->read == SLIMMARGIN_NO_MEMORY) == !c);
    if (c)
        snprintf(a->messages, sizeof a->messages, "%s", slimmargin_case_messages(c));
    if (a->read == SLIMMARGIN_OK)
        run(c, a);
    slimmargin_case_free(c);
}

static answers undisturbed, now;
static long struck; /* runs with at least one answer of no memory */

/* One allocation has failed: one part alone may say so, and all others are as ever. */
static void judge(void *self, bool failed)
{
    const answers *a = self, *u = &undisturbed;
    const int lacks = (a->named == SLIMMARGIN_NO_MEMORY) + (a->read == SLIMMARGIN_NO_MEMORY) +
                      (a->run == SLIMMARGIN_NO_MEMORY) + (a->run == SLIMMARGIN_OK && !a->told) +
                      (a->run == SLIMMARGIN_OK && !a->written);
    assert_int_equal(alive, 0);
    assert_true(lacks <= failed);
    struck += lacks;
    if (a->named == SLIMMARGIN_OK)
        assert_string_equal(a->path, u->path);
    if (a->read == SLIMMARGIN_NO_MEMORY)
        return;
    assert_int_equal(a->read, u->read);
    assert_string_equal(a->messages, u->messages);
    if (a->run == SLIMMARGIN_NO_MEMORY)
        return;
    assert_int_equal(a->run, u->run);
    if (a->told)
        assert_string_equal(a->words, u->words);
    if (a->written)
        assert_string_equal(a->json, u->json);
}

/* What a call hangs on reads the case some hundred times: of those allocations one in STRIDE fails. */
enum { STRIDE = 1009 };

static void ask_of(const char *asked, long least)
{
    undisturbed.text = now.text = asked;
    ask(&undisturbed);
    struck = 0;
    const long n = fail_allocations(ask, judge, &now, STRIDE);
    const long failed = n < FIRST_ALLOCATIONS ? n : FIRST_ALLOCATIONS + (n - FIRST_ALLOCATIONS) / STRIDE;
    printf("%ld of %ld allocations failed in turn, %ld of them told\n", failed, n, struck);
    assert_true(n >= least && struck > failed - 10);
}

static void test_of_a_case(void **state)
{
    (void)state;
    char *text = replaced(smallest, "\"case\": \"small\",",
                          "\"case\": \"small\", \"profile\": \"site.json\", \"note\": \"read on 2024-05-17\",");
    ask_of(text, 500);
    free(text);
    assert_int_equal(undisturbed.run, SLIMMARGIN_OK);
    assert_string_equal(undisturbed.path, "site.json");
    assert_true(strstr(undisturbed.messages, "warning") && undisturbed.told && undisturbed.written);
}

static void test_of_faults(void **state)
{
    (void)state;
    ask_of(faulty, 20);
    assert_int_equal(undisturbed.read, SLIMMARGIN_REFUSED);
    assert_true(strstr(undisturbed.messages, "did you mean"));
    ask_of("{", 5);
}

#else
static void test_of_a_case(void **state)
{
    (void)state;
    printf("left out: the allocator cannot be counted here\n");
}

static void test_of_faults(void **state)
{
    (void)state;
}
#endif

int main(void)
{
    gsl_set_error_handler_off();
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_of_a_case), cmocka_unit_test(test_of_faults)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}

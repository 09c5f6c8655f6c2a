/* test_case_memory.c - memory runs out at every allocation in turn: SM_NO_MEMORY, no crash, nothing left behind.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "casefile_help.h"
#include "failing_malloc.h"

#ifdef CAN_COUNT

typedef struct {
    const char *text, *profile;
    sm_status status, in_the_end;
    char said[4000], undisturbed[4000]; /* what sm_diag_write gives */
} reading;

static void read_once(void *self)
{
    static const sm_override o[] = {{"/coronaries/right/stj_gap/repeat_sd_mm", "0.4"}, {"/scan/kernel", "\"sharp\""}};
    reading *r = self;
    sm_diag d = {0};
    sm_text said = {0};
    sm_casefile *f = NULL;
    r->status = sm_casefile_read((sm_file_text){"case.json", r->text, strlen(r->text)},
                                 (sm_file_text){"site.json", r->profile, strlen(r->profile)}, o, 2, &d, &f);
    sm_diag_write(&d, &said);
    if (said.failed)
        r->status = SM_NO_MEMORY;
    snprintf(r->said, sizeof r->said, "%s", sm_text_string(&said));
    sm_casefile_destroy(f);
    sm_diag_destroy(&d);
    sm_text_destroy(&said);
}

/* qsort of the C library does without memory. Where something was done without, all is as it would have been. */
static void judge(void *self, bool failed)
{
    const reading *r = self;
    assert_int_equal(alive, 0);
    if (failed && r->status == SM_NO_MEMORY)
        return;
    assert_int_equal(r->status, r->in_the_end);
    assert_string_equal(r->said, r->undisturbed);
}

static long check_every_allocation(const char *text, const char *profile, sm_status in_the_end)
{
    reading r = {.text = text, .profile = profile, .in_the_end = in_the_end};
    read_once(&r);
    memcpy(r.undisturbed, r.said, sizeof r.said);
    return fail_allocations(read_once, judge, &r, 1);
}

#define PLANNED(gap, again, view)                                                                                      \
    "\"action_line\": 0.20, \"looks\": [{\"name\": \"a\", \"" again "\": [\"" gap                                      \
    "\"]}, {\"name\": \"b\", \"rescan\": "                                                                             \
    "{\"kernel\": \"sharp\"}}, {\"name\": \"c\", \"project\": \"" gap "\"}, {\"name\": \"d\", \"direct\": "            \
    "\"inner_diameter_mm\", \"sd_mm\": 0.2}, {\"name\": \"e\", \"bundle\": [\"a\", \"d\"]}],"                          \
    "\"patient_axes\": {\"edge_on_deg\": [[20, 0], " view                                                              \
    "], \"profile\": {\"side\": \"left\", \"view_deg\": [0, 0]}},"

static void survives_every_failing_allocation(void **state)
{
    (void)state;
    char *text = example("slimmargin-case-1"), *profile = example("slimmargin-profile-1");
    assert_true(check_every_allocation(text, profile, SM_OK) > 500);
    char *bad = replaced(text, "\"kernel\": \"soft\"", "\"kernell\": 1, \"blooming_mm\": {\"norml\": 2}, \"name\": 3");
    assert_true(check_every_allocation(bad, profile, SM_REFUSED) > 500);
    assert_true(check_every_allocation("{\"a\": ", profile, SM_REFUSED) > 5);
    /* Numbers that are unusual, one of them confirmed; a leaflet's length; a direction and a skirt left out. */
    char *odd[4] = {replaced(text, "\"ostium_height\": 12.2", "\"ostium_height\": 1.2")};
    odd[1] = replaced(odd[0], "\"stj_gap\": 3.2, \"leaflet_height\": 14.8",
                      "\"stj_gap\": 13.2, \"leaflet_length_mm\": 12.3");
    odd[2] = replaced(odd[1], "\"action_line\": 0.20,",
                      "\"confirmed\": [\"right.stj_gap\", \"left.circle_mm\"], \"action_line\": 0.20,");
    odd[3] = replaced(odd[2], "\"right\": {\"azimuth_deg\": 160, ", "\"right\": {");
    assert_true(check_every_allocation(odd[3], profile, SM_OK) > 500);
    for (size_t i = 0; i < 4; i++)
        free(odd[i]);
    /* A second look beside readings, one beside a distribution, one where none may stand. */
    static const char look[] = "\"leaflet_height\": {\"readings_mm\": {\"A\": [14.8]}, \"cross_check\": {\"modality\": "
                               "\"ct\", \"readings_mm\": {\"B\": [14.1]}, \"reader_sd_mm\": 0.8}}",
                      ring[] = "{\"normal\": {\"mean\": 22.3, \"sd\": 0.3}, \"cross_check\": {\"modality\": \"bench\", "
                               "\"readings_mm\": {\"A\": [22]}, \"reader_sd_mm\": 0.3}}",
                      wrong[] = "\"ostium_height\": {\"readings_mm\": {\"A\": [12.2]}, \"cross_check\": 1}";
    char *looked =
        replaced(text, "\"stj_gap\": 3.2, \"leaflet_height\": 14.8", "\"stj_gap\": 3.2, \"leaflet_height\": 14.9");
    char *leaflet = replaced(looked, "\"leaflet_height\": 14.9", look);
    char *both = replaced(leaflet, "{\"normal\": {\"mean\": 22.3, \"sd\": 0.3}}", ring);
    char *refused = replaced(both, "\"ostium_height\": 12.2", wrong);
    assert_true(check_every_allocation(both, profile, SM_OK) > 500);
    assert_true(check_every_allocation(refused, profile, SM_REFUSED) > 500);
    /* Looks of every kind and how the valve lies; the same with a fault in each. */
    char *planned = replaced(text, "\"action_line\": 0.20,", PLANNED("left.ostium_gap", "again", "[70, 0]"));
    char *misread = replaced(text, "\"action_line\": 0.20,", PLANNED("left.ostium_gpa", "agian", "[25, 0]"));
    assert_true(check_every_allocation(planned, profile, SM_OK) > 500);
    assert_true(check_every_allocation(misread, profile, SM_REFUSED) > 500);
    free(planned);
    free(misread);
    free(looked);
    free(leaflet);
    free(both);
    free(refused);
    free(bad);
    free(text);
    free(profile);
}
#endif

int main(void)
{
    gsl_set_error_handler_off();
#ifdef CAN_COUNT
    const struct CMUnitTest tests[] = {cmocka_unit_test(survives_every_failing_allocation)};
    return cmocka_run_group_tests(tests, NULL, NULL);
#else
    puts("left out: allocations cannot be counted here");
    return 0;
#endif
}

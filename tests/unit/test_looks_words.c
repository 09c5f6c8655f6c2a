/* test_looks_words.c - how worths of looks, their rules, the ways to go on and the views are told.
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "casefile_help.h"
#include "report/blocks/write.h"
#include "report/text/looks_text.h"

static sm_planned_look planned[4] = {{.name = (char *)"one reader", .kind = SM_PLANNED_AGAIN},
                                     {.name = (char *)"another scan", .kind = SM_PLANNED_RESCAN},
                                     {.name = (char *)"bench", .kind = SM_PLANNED_DIRECT},
                                     {.name = (char *)"echo", .kind = SM_PLANNED_DIRECT}};
static sm_look_worth look[4];
static int order[4] = {1, 0, 2, 3};

static sm_look_worth worth(int i, int dims, double value, sm_act_rule act)
{
    return (sm_look_worth){.look = &planned[i],
                           .dims = dims,
                           .worth = {.value = {value, 0.0004}, .change = {0.31, 0.01}},
                           .net = value - planned[i].burden,
                           .acts = {0.61, 0.01},
                           .act = act};
}

static sm_look_worths worths(void)
{
    look[0] = worth(0, 1, 0.0172, (sm_act_rule){SM_ACT_BELOW, 6.37});
    look[1] = worth(1, 10, 0.0414, (sm_act_rule){SM_ACT_NO_RULE, 0});
    look[2] = worth(2, 1, 0.0052, (sm_act_rule){SM_ACT_CROSSES, 0});
    look[3] = worth(3, 1, 0.0004, (sm_act_rule){SM_ACT_NEVER_TURNS, 0});
    return (sm_look_worths){.has_line = true, .line = 0.2, .n = 4, .look = look, .order = order, .event = 0.251};
}

/* As text of 80 columns. */
static char *told(sm_blocks *b)
{
    const sm_style style = {.width = 80};
    sm_text out = {0};
    sm_write_text(&out, &style, b);
    for (const char *line = out.s; line && *line; line += strcspn(line, "\n") + (line[strcspn(line, "\n")] == '\n')) {
        size_t columns = 0;
        for (const char *c = line; *c && *c != '\n'; c++)
            columns += (*c & 0xC0) != 0x80;
        assert_true(columns <= 80);
    }
    return sm_text_take(&out);
}

static void a_list_with_its_rules(void **state)
{
    (void)state;
    outcome o = read_text(smallest);
    sm_look_worths w = worths();
    sm_blocks b = {0};
    sm_looks_headline(sm_block_words(&b, SM_SAY), &w);
    sm_looks_tell(&b, o.c, &w, 0.251);
    sm_looks_first(sm_block_words(&b, SM_SAY), &w);
    char *text = told(&b);
    assert_contains(text, "Look first: another scan.");
    assert_contains(text, "41 +-0.4");
    assert_contains(text, "3 of 10");
    assert_contains(text, "one reader: act if it reads below 6.4 mm; it will say so in 6 of 10.");
    assert_contains(text, "bench: no single reading divides acting from going on");
    assert_contains(text, "Worth below 1 per 1,000: echo.");
    assert_null(strstr(text, "less its"));
    assert_contains(text, "go as planned"); /* 251, 200, 200 - 41, 0.2 x 251 */
    assert_contains(text, "251");
    assert_contains(text, "159");
    assert_contains(text, "50");
    assert_contains(text, "Your case lists no looks");
    assert_contains(text, "Look again first (spares, of 1,000): another scan (41); one reader (17); bench");
    assert_contains(text, "(5). After \"one reader\": act if it reads below 6.4 mm.");
    free(text);
    outcome_destroy(&o);
}

static void on_the_first_screen(void **state)
{
    (void)state;
    static sm_look_target gap[1] = {{0, SM_OSTIUM_GAP}};
    sm_gap_view v[1] = {{.projection = {{true, {38.4, 21.6}, 0}, {true, {38.4, 21.6}, 0}}}};
    sm_look_worths w = worths();
    planned[0].kind = SM_PLANNED_PROJECT;
    planned[0].target = gap;
    w.n_views = 1;
    w.view = v;
    sm_blocks b = {0};
    sm_looks_tell_screen(&b, &w);
    char *text = told(&b);
    assert_contains(text, "Look at again first                           spares, of 1,000 turns the call");
    assert_contains(text, "one reader, LAO 38, cranial 22: act if it");
    assert_contains(text, "below 6.4 mm");
    assert_contains(text, "another scan                                               41       3 of 10");
    assert_null(strstr(text, "echo"));
    free(text);
    planned[0].kind = SM_PLANNED_AGAIN;
    for (int i = 0; i < 4; i++)
        look[i].net = 0;
    sm_looks_tell_screen(&b, &w);
    text = told(&b);
    assert_null(strstr(text, "Look at again"));
    free(text);
}

static void burdens(void **state)
{
    (void)state;
    outcome o = read_text(smallest);
    planned[1].burden = 0.05;
    sm_look_worths w = worths();
    static int by_net[4] = {0, 2, 3, 1};
    w.order = by_net;
    sm_blocks b = {0};
    sm_looks_headline(sm_block_words(&b, SM_SAY), &w);
    sm_looks_tell(&b, o.c, &w, 0.251);
    char *text = told(&b);
    assert_contains(text, "Look first: one reader; act if it reads below 6.4 mm.");
    assert_contains(text, "less its");
    assert_contains(text, "-9");
    assert_contains(text, "Worth less than its burden, so do not look first: another scan.");
    free(text);
    for (int i = 0; i < 4; i++)
        look[i].net = -0.001;
    sm_looks_headline(sm_block_words(&b, SM_SAY), &w);
    sm_looks_first(sm_block_words(&b, SM_SAY), &w);
    text = told(&b);
    assert_contains(text, "No look is worth more than its burden here");
    assert_null(strstr(text, "Look again first"));
    free(text);
    planned[1].burden = 0;
    sm_looks_headline(sm_block_words(&b, SM_SAY), &w);
    text = told(&b);
    assert_contains(text, "none spares 1 untreated event per 1,000");
    free(text);
    outcome_destroy(&o);
}

static void views(void **state)
{
    (void)state;
    outcome o = read_text(smallest);
    sm_gap_view v[1] = {{.projection = {{true, {-0.3, 21.6}, 12.4}, {true, {-38.2, -3.6}, 20.2}},
                         .shortens = 0.4,
                         .shortens_more = 0.9,
                         .worth = {0.0171, 0.0005},
                         .worth_off = {0.0142, 0.0005}}};
    sm_look_worths w = {.has_line = true, .n_views = 1, .view = v};
    sm_blocks b = {0};
    sm_looks_tell_views(&b, o.c, &w);
    char *text = told(&b);
    assert_contains(text, "left: LAO 0, cranial 22, the ring edge-on; it misses the gap's profile by 12");
    assert_contains(text, "degrees, 0.4 mm.");
    assert_contains(text, "further 0.9 mm off, and 3 of");
    assert_contains(text, "caudal 4, the ring then open by 20 degrees.");
    free(text);
    v[0].projection = (sm_projection){{.there = false}, {.there = false}};
    sm_looks_tell_views(&b, o.c, &w);
    text = told(&b);
    assert_contains(text, "no view with the ring edge-on lies within the gantry's reach");
    assert_contains(text, "within reach shows the gap without foreshortening.");
    assert_null(strstr(text, "10 degrees beside"));
    free(text);
    outcome_destroy(&o);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(a_list_with_its_rules), cmocka_unit_test(burdens),
                                       cmocka_unit_test(on_the_first_screen), cmocka_unit_test(views)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}

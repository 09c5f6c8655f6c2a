/* test_rng.c - a random number is a pure function of seed, stream, block and position.
 *
 * The known answers are those of Random123's own file of test vectors (read in full; recomputed from Debian's headers).
 *
 * Contents: 1. known answers  2. places  3. draws
 * SPDX-License-Identifier: GPL-3.0-or-later */
#include "check.h"

#include <gsl/gsl_randist.h>
#include <Random123/philox.h>

#include "engine/sources.h"
#include "sampling/philox.h"
#include "sampling/rng.h"

static gsl_rng *rng_at(uint64_t seed, uint64_t stream, uint32_t block)
{
    gsl_rng *r = gsl_rng_alloc(sm_rng_philox);
    assert_non_null(r);
    sm_rng_seek(r, seed, stream, block);
    return r;
}

/* 1. Known answers */

static void expect_cipher(const uint32_t counter[4], uint64_t seed, const uint32_t want[4])
{
    uint32_t got[4];
    sm_philox_encipher(counter, seed, got);
    assert_memory_equal(got, want, sizeof got);
}

static void cipher_gives_the_published_vectors(void **state)
{
    (void)state;
    const uint32_t zeros[4] = {0}, ones[4] = {0xffffffff, 0xffffffff, 0xffffffff, 0xffffffff};
    const uint32_t pi[4] = {0x243f6a88, 0x85a308d3, 0x13198a2e, 0x03707344};
    expect_cipher(zeros, 0, (const uint32_t[]){0x6627e8d5, 0xe169c58d, 0xbc57ac4c, 0x9b00dbd8});
    expect_cipher(ones, 0xffffffffffffffffu, (const uint32_t[]){0x408f276d, 0x41c83b0e, 0xa20bc7c6, 0x6d5451fd});
    expect_cipher(pi, 0x299f31d0a4093822u, (const uint32_t[]){0xd16cfe09, 0x94fdcceb, 0x5001e420, 0x24126ea1});
}

/* All through GSL's interface: the first vector is the generator's first four numbers at place 0. */
static void generator_starts_with_the_first_vector(void **state)
{
    (void)state;
    gsl_rng *r = gsl_rng_alloc(sm_rng_philox);
    gsl_rng_set(r, 0);
    const unsigned long want[4] = {0x6627e8d5, 0xe169c58d, 0xbc57ac4c, 0x9b00dbd8};
    for (int i = 0; i < 4; i++)
        assert_true(gsl_rng_get(r) == want[i]);
    gsl_rng_free(r);
}

/* At odd places, over several refills: number 4 q + j of a place is word j of the cipher at (q, block, stream low,
 * stream high) under the seed. Random123 is asked directly. */
static void generator_is_the_cipher_at_its_place(void **state)
{
    (void)state;
    const uint64_t seed = 0x0123456789abcdefu, stream = 0xfedcba9876543210u;
    const uint32_t block = 0x89abcdefu;
    const philox4x32_key_t key = {{0x89abcdef, 0x01234567}};
    gsl_rng *r = rng_at(seed, stream, block);
    for (uint32_t q = 0; q < 300; q++) {
        philox4x32_ctr_t counter = {{q, block, 0x76543210, 0xfedcba98}};
        counter = philox4x32(counter, key);
        for (int j = 0; j < 4; j++)
            assert_true(gsl_rng_get(r) == counter.v[j]);
    }
    gsl_rng_free(r);
}

/* 2. Places */

static void first_numbers(gsl_rng *r, uint64_t seed, uint64_t stream, uint32_t block, unsigned long out[8])
{
    sm_rng_seek(r, seed, stream, block);
    for (int i = 0; i < 8; i++)
        out[i] = gsl_rng_get(r);
}

static void seeking_is_free_of_order(void **state)
{
    (void)state;
    unsigned long forward[5][8], backward[5][8];
    gsl_rng *r = rng_at(1, 2, 3);
    for (uint32_t b = 0; b < 5; b++)
        first_numbers(r, 7, 11, b, forward[b]);
    gsl_rng_get(r);
    for (uint32_t b = 5; b-- > 0;)
        first_numbers(r, 7, 11, b, backward[b]);
    assert_memory_equal(forward, backward, sizeof forward);
    gsl_rng_free(r);
}

/* Every bit of seed, stream and block makes another sequence. */
static void each_part_of_the_place_counts(void **state)
{
    (void)state;
    unsigned long here[8], there[8];
    gsl_rng *r = rng_at(0, 0, 0);
    first_numbers(r, 0, 0, 0, here);
    for (int bit = 0; bit < 64; bit++) {
        first_numbers(r, (uint64_t)1 << bit, 0, 0, there);
        assert_memory_not_equal(here, there, sizeof here);
        first_numbers(r, 0, (uint64_t)1 << bit, 0, there);
        assert_memory_not_equal(here, there, sizeof here);
        first_numbers(r, 0, 0, bit < 32 ? (uint32_t)1 << bit : 5, there);
        assert_memory_not_equal(here, there, sizeof here);
    }
    gsl_rng_free(r);
}

/* GSL takes seed 0 to mean another seed in its own generators; here it is a seed like any other. */
static void seed_zero_is_a_seed(void **state)
{
    (void)state;
    unsigned long zero[8], by_set[8], def[8];
    gsl_rng *r = rng_at(0, 0, 0);
    first_numbers(r, 0, 0, 0, zero);
    first_numbers(r, gsl_rng_default_seed + 1, 0, 0, def);
    gsl_rng_set(r, 0);
    for (int i = 0; i < 8; i++)
        by_set[i] = gsl_rng_get(r);
    assert_memory_equal(zero, by_set, sizeof zero);
    assert_memory_not_equal(zero, def, sizeof zero);
    gsl_rng_free(r);
}

static void streams_of_different_names_and_purposes_differ(void **state)
{
    (void)state;
    const char *names[] = {"",
                           "a",
                           "b",
                           "ab",
                           "ba",
                           "base_plane/point0",
                           "base_plane/point1",
                           "left.ostium_gap/error",
                           "right.ostium_gap/error",
                           "left.stj_gap/error"};
    enum { NAMES = sizeof names / sizeof *names, ALL = NAMES * 4 };
    uint64_t stream[ALL];
    for (int i = 0; i < ALL; i++) {
        stream[i] = sm_rng_stream(names[i / 4], (uint32_t)(i % 4));
        for (int j = 0; j < i; j++)
            assert_true(stream[i] != stream[j]);
    }
}

/* 3. Draws */

static void a_copied_generator_goes_on_alike(void **state)
{
    (void)state;
    gsl_rng *r = rng_at(5, 6, 7);
    for (int i = 0; i < 37; i++)
        gsl_rng_get(r);
    gsl_rng *copy = gsl_rng_clone(r);
    for (int i = 0; i < 200; i++)
        assert_true(gsl_rng_get(r) == gsl_rng_get(copy));
    gsl_rng_free(r);
    gsl_rng_free(copy);
}

static void uniforms_are_centred_in_their_cells(void **state)
{
    (void)state;
    double u[100];
    gsl_rng *r = rng_at(1, 2, 3), *same = rng_at(1, 2, 3);
    sm_rng_uniforms(r, u, 100);
    for (int i = 0; i < 100; i++) {
        assert_true(u[i] > 0 && u[i] < 1);
        assert_true(u[i] * 0x1p32 - 0.5 == (double)gsl_rng_get(same));
    }
    gsl_rng_free(r);
    gsl_rng_free(same);
}

/* Whole columns are made from the buffer; every bit is what GSL's function makes of the generator one by one, also
 * where it needs several numbers: 4 million draws cross some 50,000 of those, about 150 in the tails. Odd pieces begin
 * and end anywhere in the buffer. */
static void normals_are_those_of_gsl(void **state)
{
    (void)state;
    double z[SM_BLOCK];
    gsl_rng *r = rng_at(0, 0, 0), *same = rng_at(0, 0, 0);
    for (uint32_t k = 0; k < 4096; k++) {
        const int n = k % 3 ? SM_BLOCK : 1 + (int)(k % 331);
        if (k % 5 == 0) {
            sm_rng_seek(r, k, 11, k);
            sm_rng_seek(same, k, 11, k);
        }
        sm_rng_normals(r, z, n);
        for (int i = 0; i < n; i++) {
            const double want = gsl_ran_gaussian_ziggurat(same, 1);
            assert_memory_equal(&z[i], &want, sizeof want);
        }
        assert_true(gsl_rng_get(r) == gsl_rng_get(same));
    }
    gsl_rng_free(r);
    gsl_rng_free(same);
}

/* Many at a time are the same as one by one, at places where counters wrap around too. */
static void many_counters_are_each_enciphered(void **state)
{
    (void)state;
    const sm_philox_place at[] = {
        {0, 0, 0}, {0x0123456789abcdefu, 0xfedcba9876543210u, 0x89abcdefu}, {~(uint64_t)0, ~(uint64_t)0, ~(uint32_t)0}};
    const uint32_t first[] = {0, 16, 0x7ffffff8u, 0xfffffff5u};
    for (int p = 0; p < 3; p++)
        for (int f = 0; f < 4; f++) {
            uint32_t many[SM_PHILOX_NUMBERS], one[4];
            sm_philox_fill(&at[p], first[f], many);
            for (uint32_t i = 0; i < SM_PHILOX_COUNTERS; i++) {
                const uint32_t counter[4] = {first[f] + i, at[p].block, (uint32_t)at[p].stream,
                                             (uint32_t)(at[p].stream >> 32)};
                sm_philox_encipher(counter, at[p].seed, one);
                assert_memory_equal(&many[4 * i], one, sizeof one);
            }
        }
}

/* The draws of a column depend on its own name alone: other sources, added before it, change nothing. */
static void adding_a_source_leaves_the_others(void **state)
{
    (void)state;
    sm_sources few = {0}, many = {0};
    double a[SM_BLOCK], b[SM_BLOCK];
    gsl_rng *r = rng_at(0, 0, 0);
    int i = sm_sources_column(&few, sm_sources_add_named(&few, "centreline", true, SM_SHARED), "x", SM_BASE_NORMAL);
    for (int k = 0; k < 90; k++) {
        char name[32];
        snprintf(name, sizeof name, "other%d", k);
        assert_true(sm_sources_column(&many, sm_sources_add_named(&many, name, true, k), "value", SM_BASE_UNIFORM) ==
                    k);
    }
    int j = sm_sources_column(&many, sm_sources_add_named(&many, "centreline", true, SM_SHARED), "x", SM_BASE_NORMAL);
    assert_int_equal(j, 90);
    for (uint32_t block = 0; block < 3; block++) {
        sm_sources_draw(&few.column[i], r, 1, SM_FOR_RUN, block, a);
        sm_sources_draw(&many.column[j], r, 1, SM_FOR_RUN, block, b);
        assert_memory_equal(a, b, sizeof a);
    }
    sm_sources_destroy(&few);
    sm_sources_destroy(&many);
    gsl_rng_free(r);
}

static void sources_and_columns_are_found_again(void **state)
{
    (void)state;
    sm_sources s = {0};
    int a = sm_sources_add_named(&s, "blooming", true, SM_SHARED),
        b = sm_sources_add_named(&s, "flare", false, SM_SHARED);
    assert_int_equal(sm_sources_add_named(&s, "blooming", true, SM_SHARED), a);
    assert_int_equal(sm_sources_find(&s, "flare"), b);
    assert_int_equal(sm_sources_find(&s, "nothing"), -1);
    int c = sm_sources_column(&s, a, "value", SM_BASE_UNIFORM);
    assert_int_equal(sm_sources_column(&s, a, "value", SM_BASE_NORMAL), c);
    assert_int_equal(s.column[c].base, SM_BASE_UNIFORM); /* the kind of its first asking stays */
    assert_int_equal(sm_sources_column(&s, -1, "value", SM_BASE_NORMAL), -1);
    sm_sources_destroy(&s);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(cipher_gives_the_published_vectors),
        cmocka_unit_test(generator_starts_with_the_first_vector),
        cmocka_unit_test(generator_is_the_cipher_at_its_place),
        cmocka_unit_test(seeking_is_free_of_order),
        cmocka_unit_test(each_part_of_the_place_counts),
        cmocka_unit_test(seed_zero_is_a_seed),
        cmocka_unit_test(streams_of_different_names_and_purposes_differ),
        cmocka_unit_test(a_copied_generator_goes_on_alike),
        cmocka_unit_test(normals_are_those_of_gsl),
        cmocka_unit_test(many_counters_are_each_enciphered),
        cmocka_unit_test(uniforms_are_centred_in_their_cells),
        cmocka_unit_test(adding_a_source_leaves_the_others),
        cmocka_unit_test(sources_and_columns_are_found_again),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

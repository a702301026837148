/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "support/check.h"

#include <stdlib.h>
#include <string.h>

#include "base/arena.h"

static void takes_are_zeroed_aligned_and_apart(void **state)
{
    (void)state;
    es_arena *arena = es_arena_new();
    unsigned char *taken[400];
    for (size_t i = 0; i < 400; i++) {
        const size_t n = 1 + i * 7 % 311;
        taken[i] = es_arena_take(arena, n, 3);
        assert_non_null(taken[i]);
        assert_int_equal((uintptr_t)taken[i] % _Alignof(max_align_t), 0);
        for (size_t b = 0; b < 3 * n; b++) assert_int_equal(taken[i][b], 0);
        memset(taken[i], (int)(i % 251 + 1), 3 * n);
    }
    for (size_t i = 0; i < 400; i++) {
        const size_t n = 1 + i * 7 % 311;
        for (size_t b = 0; b < 3 * n; b++) assert_int_equal(taken[i][b], i % 251 + 1);
    }
    es_arena_free(arena);
}

static void large_item_leaves_room_in_the_chunk_before(void **state)
{
    (void)state;
    es_arena *arena = es_arena_new();
    char *before = es_arena_take(arena, 10, 1);
    char *large = es_arena_take(arena, 1000000, 1);
    char *after = es_arena_take(arena, 10, 1);
    assert_non_null(large);
    large[999999] = 'x';
    assert_true(after > before && after - before < 1000);
    es_arena_free(arena);
}

static void no_items_give_a_pointer(void **state)
{
    (void)state;
    es_arena *arena = es_arena_new();
    assert_non_null(es_arena_take(arena, 0, 24));
    assert_non_null(es_arena_copy(arena, NULL, 0, 8));
    es_arena_free(arena);
    es_arena_free(NULL);
}

static void overflow_is_refused(void **state)
{
    (void)state;
    es_arena *arena = es_arena_new();
    assert_null(es_arena_take(arena, SIZE_MAX / 3, 7));
    assert_null(es_arena_take(arena, 7, SIZE_MAX / 3));
    es_arena_free(arena);
}

static void strings_end_in_nul(void **state)
{
    (void)state;
    es_arena *arena = es_arena_new();
    assert_string_equal(es_arena_string(arena, "honey tank", 5), "honey");
    assert_string_equal(es_arena_string(arena, "", 0), "");
    const double pair[] = {2.385, -7.11};
    const double *copy = es_arena_copy(arena, pair, 2, sizeof *pair);
    check_close(copy[0], 2.385, 0, "");
    check_close(copy[1], -7.11, 0, "");
    es_arena_free(arena);
}

static void arrays_grow_and_keep(void **state)
{
    (void)state;
    void *items = NULL;
    size_t capacity = 0;
    for (size_t n = 0; n < 1000; n++) {
        assert_true(es_grow(&items, &capacity, n, sizeof(unsigned)));
        assert_true(capacity > n);
        ((unsigned *)items)[n] = (unsigned)n * 2654435761u;
    }
    for (size_t n = 0; n < 1000; n++) assert_int_equal(((unsigned *)items)[n], (unsigned)n * 2654435761u);
    free(items);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(takes_are_zeroed_aligned_and_apart),
        cmocka_unit_test(large_item_leaves_room_in_the_chunk_before),
        cmocka_unit_test(no_items_give_a_pointer),
        cmocka_unit_test(overflow_is_refused),
        cmocka_unit_test(strings_end_in_nul),
        cmocka_unit_test(arrays_grow_and_keep),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "support/check.h"

#include <string.h>

#include "base/nearest.h"

static size_t distance(const char *a, const char *b)
{
    const size_t there = es_edit_distance(a, strlen(a), b, strlen(b), 60);
    assert_int_equal(es_edit_distance(b, strlen(b), a, strlen(a), 60), there);
    return there;
}

static void steps_are_counted(void **state)
{
    (void)state;
    assert_int_equal(distance("wall", "wall"), 0);
    assert_int_equal(distance("Wall", "wALL"), 0);
    assert_int_equal(distance("wal", "wall"), 1);
    assert_int_equal(distance("wlal", "wall"), 1); /* neighbours swapped: one step */
    assert_int_equal(distance("kitten", "sitting"), 3);
    assert_int_equal(distance("", "stud"), 4);
    assert_int_equal(distance("brik-cavty", "brick-cavity"), 2);
    assert_int_equal(es_edit_distance("kitten", 6, "sitting", 7, 1), 2);
    assert_int_equal(es_edit_distance("a", 1, "abcdefgh", 8, 3), 4);
}

static void long_words_are_far(void **state)
{
    (void)state;
    char word[80];
    memset(word, 'a', sizeof word);
    assert_int_equal(es_edit_distance(word, 80, word, 80, 5), 6);
    assert_int_equal(es_edit_distance(word, 64, word, 64, 5), 0);
    assert_int_equal(es_edit_distance(word, 64, word, 63, 5), 1);
}

static const char *nearest(const char *word)
{
    static const char *const KNOWN[] = {"wall", "hole", "window", "stud", "slab", "stab", "b", "to"};
    es_nearest n = es_nearest_to(word, strlen(word));
    for (size_t i = 0; i < sizeof KNOWN / sizeof KNOWN[0]; i++) es_nearest_offer(&n, KNOWN[i]);
    return n.best;
}

static void nearest_word_is_found(void **state)
{
    (void)state;
    assert_string_equal(nearest("wal"), "wall");
    assert_string_equal(nearest("windwo"), "window");
    assert_string_equal(nearest("sab"), "slab"); /* the first of equals */
    assert_string_equal(nearest("too"), "to");
    assert_null(nearest("telephone"));
    assert_null(nearest("wxyz"));
    assert_null(nearest("x"));
    assert_null(nearest(""));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(steps_are_counted),
        cmocka_unit_test(long_words_are_far),
        cmocka_unit_test(nearest_word_is_found),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

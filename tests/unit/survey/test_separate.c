/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "support/check.h"

#include "survey/separate.h"

static void columns_in_one_ratio_are_one_group(void **state)
{
    (void)state;
    /* offset, brick, door (always half as often as brick), stud */
    const double x[] = {1, 2, 1, 0, 1, 4, 2, 1, 1, 2, 1, 3, 1, 0, 0, 1, 1, 6, 3, 2};
    size_t group[4], n;
    assert_int_equal(es_separate(x, 5, 4, group, &n), EARSHOT_OK);
    assert_int_equal(n, 1);
    assert_int_equal(group[0], SIZE_MAX);
    assert_int_equal(group[1], 0);
    assert_int_equal(group[2], 0);
    assert_int_equal(group[3], SIZE_MAX);
    check_close(es_column_cosine(x, 5, 4, 1, 2), 1.0, 1e-12, "");
    check_close(es_column_length(x, 5, 4, 1) / es_column_length(x, 5, 4, 2), 2.0, 1e-12, "");
}

static void a_wall_in_every_reading_is_tied_to_the_offset(void **state)
{
    (void)state;
    const double x[] = {1, 1, 0, 1, 1, 2, 1, 1, 1, 1, 1, 4};
    size_t group[3], n;
    assert_int_equal(es_separate(x, 4, 3, group, &n), EARSHOT_OK);
    assert_int_equal(n, 1);
    assert_int_equal(group[0], 0);
    assert_int_equal(group[1], 0);
    assert_int_equal(group[2], SIZE_MAX);
}

/* Stud = brick + door in every reading: none of the three stands alone. */
static void sums_tie_three(void **state)
{
    (void)state;
    const double x[] = {1, 1, 0, 1, 1, 0, 2, 2, 1, 3, 1, 4, 1, 2, 2, 4, 1, 5, 0, 5};
    size_t group[4], n;
    assert_int_equal(es_separate(x, 5, 4, group, &n), EARSHOT_OK);
    assert_int_equal(n, 1);
    assert_int_equal(group[0], SIZE_MAX);
    for (size_t i = 1; i < 4; i++) assert_int_equal(group[i], 0);
}

/* A material that one reading in twenty met alone is told apart. */
static void one_reading_apart_is_enough(void **state)
{
    (void)state;
    double x[40];
    size_t group[2], n;
    for (size_t i = 0; i < 20; i++) {
        x[2 * i] = 1.0;
        x[2 * i + 1] = i ? 1.0 : 0.0;
    }
    assert_int_equal(es_separate(x, 20, 2, group, &n), EARSHOT_OK);
    assert_int_equal(n, 0);
}

static void columns_of_zeros_stand_alone(void **state)
{
    (void)state;
    const double x[] = {1, 0, 0, 1, 0, 0, 1, 0, 0};
    size_t group[3], n;
    assert_int_equal(es_separate(x, 3, 3, group, &n), EARSHOT_OK);
    assert_int_equal(n, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(columns_in_one_ratio_are_one_group),
        cmocka_unit_test(a_wall_in_every_reading_is_tied_to_the_offset),
        cmocka_unit_test(sums_tie_three),
        cmocka_unit_test(one_reading_apart_is_enough),
        cmocka_unit_test(columns_of_zeros_stand_alone),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

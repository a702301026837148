/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "support/check.h"

#include <stdio.h>
#include <string.h>

#include "plan/names.h"

static void many_names_are_found_again(void **state)
{
    (void)state;
    static char name[3000][8];
    es_names names = {0};
    for (size_t i = 0; i < 3000; i++) {
        snprintf(name[i], sizeof name[i], "n%zu", i);
        assert_true(es_names_add(&names, (es_named){.space = ES_SPACE_DEVICE, .name = name[i], .item = i * 3}));
    }
    for (size_t i = 0; i < 3000; i++) {
        const es_named *found = es_names_find(&names, ES_SPACE_DEVICE, name[i], NULL);
        assert_non_null(found);
        assert_int_equal(found->item, i * 3);
        assert_null(es_names_find(&names, ES_SPACE_MATERIAL, name[i], NULL));
    }
    assert_null(es_names_find(&names, ES_SPACE_DEVICE, "n3000", NULL));
    es_names_clear(&names);
    assert_null(es_names_find(&names, ES_SPACE_DEVICE, "n1", NULL));
}

static void equal_names_come_newest_first(void **state)
{
    (void)state;
    es_names names = {0};
    for (size_t i = 0; i < 3; i++) {
        assert_true(es_names_add(&names, (es_named){.space = ES_SPACE_RADIO, .name = "hub", .item = i + 5}));
        assert_true(es_names_add(&names, (es_named){.space = ES_SPACE_STOREY, .name = "hub", .item = 90 + i}));
    }
    const es_named *found = NULL;
    for (size_t i = 0; i < 3; i++) {
        found = es_names_find(&names, ES_SPACE_RADIO, "hub", found);
        assert_non_null(found);
        assert_int_equal(found->item, 7 - i);
    }
    assert_null(es_names_find(&names, ES_SPACE_RADIO, "hub", found));
    es_names_clear(&names);
}

static void nearest_is_of_the_same_space(void **state)
{
    (void)state;
    es_names names = {0};
    assert_true(es_names_add(&names, (es_named){.space = ES_SPACE_RADIO, .name = "stub"}));
    assert_true(es_names_add(&names, (es_named){.space = ES_SPACE_MATERIAL, .name = "stud"}));
    assert_string_equal(es_names_nearest(&names, ES_SPACE_RADIO, "stud"), "stub");
    assert_string_equal(es_names_nearest(&names, ES_SPACE_MATERIAL, "stub"), "stud");
    assert_null(es_names_nearest(&names, ES_SPACE_SCENE, "stud"));
    es_names_clear(&names);
}

static void every_space_has_a_noun(void **state)
{
    (void)state;
    for (es_space s = ES_SPACE_NONE; s < ES_SPACES; s++) assert_true(strlen(es_space_noun(s)) > 3);
    assert_string_equal(es_space_noun(ES_SPACE_POST), "receiver or mount");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(many_names_are_found_again),
        cmocka_unit_test(equal_names_come_newest_first),
        cmocka_unit_test(nearest_is_of_the_same_space),
        cmocka_unit_test(every_space_has_a_noun),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

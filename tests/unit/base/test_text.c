/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "support/check.h"

#include <string.h>

#include "base/text.h"

static void pieces_are_appended(void **state)
{
    (void)state;
    earshot_text text = {0};
    es_text_add(&text, "wall");
    es_text_add_char(&text, ' ');
    es_text_add_bytes(&text, "studded", 4);
    es_text_format(&text, " %d,%.1f", 7, 2.385);
    assert_string_equal(text.data, "wall stud 7,2.4");
    assert_int_equal(text.size, 15);
    assert_false(text.failed);
    earshot_text_clear(&text);
    assert_null(text.data);
    assert_int_equal(text.size, 0);
}

static void grows_past_its_first_room(void **state)
{
    (void)state;
    earshot_text text = {0};
    for (int i = 0; i < 10000; i++) es_text_format(&text, "%04d", i);
    assert_int_equal(text.size, 40000);
    assert_memory_equal(text.data + 4 * 7357, "7357", 4);
    assert_int_equal(strlen(text.data), 40000);
    earshot_text_clear(&text);
}

static void after_a_failure_nothing_is_added(void **state)
{
    (void)state;
    earshot_text text = {.failed = true};
    es_text_add(&text, "x");
    es_text_format(&text, "%d", 1);
    assert_null(text.data);
    assert_true(text.failed);
}

static void empty_pieces_are_fine(void **state)
{
    (void)state;
    earshot_text text = {0};
    es_text_add(&text, "");
    assert_string_equal(text.data, "");
    es_text_format(&text, "%s", "");
    assert_int_equal(text.size, 0);
    earshot_text_clear(&text);
}

static void columns_are_characters(void **state)
{
    (void)state;
    assert_int_equal(es_text_columns(""), 0);
    assert_int_equal(es_text_columns("hall"), 4);
    assert_int_equal(es_text_columns("G\xC3\xA4ste-WC \xE2\x82\xAC"), 10);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(pieces_are_appended),
        cmocka_unit_test(grows_past_its_first_room),
        cmocka_unit_test(after_a_failure_nothing_is_added),
        cmocka_unit_test(empty_pieces_are_fine),
        cmocka_unit_test(columns_are_characters),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

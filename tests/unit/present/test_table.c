/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "support/check.h"

#include <stdlib.h>
#include <string.h>

#include "present/table.h"

static const es_column COLUMN[] = {
    {.head = "", .head2 = "name", .flexible = true, .comfort = 12},
    {.head = "", .head2 = "label", .flexible = true, .comfort = 14, .optional = true},
    {.head = "level", .head2 = "dB", .right = true},
    {.head = "", .head2 = "why", .flexible = true, .comfort = 10},
};
enum { N = sizeof COLUMN / sizeof COLUMN[0] };

static char *made(unsigned width)
{
    earshot_text text = {0};
    es_table *table = es_table_new(COLUMN, N);
    es_table_put(table, "%s", "hall");
    es_table_put(table, "%s", "Hall movement detector");
    es_table_put(table, "%.2f", -1234.56);
    es_table_put(table, "%s", "two brick walls and a door" ES_TABLE_OR "two walls, a door" ES_TABLE_OR "3 things");
    es_table_put(table, "%s",
                 "k\xc3\xbc"
                 "che");
    es_table_put(table, "%s", "");
    es_table_put(table, "%.2f", 7.8);
    es_table_put(table, "%s", "");
    es_table_write(table, width, &text);
    es_table_free(table);
    assert_false(text.failed);
    return text.data;
}

static void shows_everything_where_there_is_room(void **state)
{
    (void)state;
    char *text = made(100);
    assert_string_equal(text, "                                  level\n"
                              "name   label                         dB  why\n"
                              "hall   Hall movement detector  -1234.56  two brick walls and a door\n"
                              "k\xc3\xbc"
                              "che                              7.80\n");
    free(text);
}

static void takes_the_longest_wording_that_fits(void **state)
{
    (void)state;
    char *text = made(58);
    assert_non_null(strstr(text, "hall   Hall movement de...  -1234.56  two walls, a door\n"));
    free(text);
}

static void drops_the_optional_column_before_it_cuts_too_deep(void **state)
{
    (void)state;
    char *text = made(42);
    assert_null(strstr(text, "label"));
    assert_non_null(strstr(text, "hall   -1234.56  two walls, a door\n"));
    free(text);
}

static void leaves_out_an_optional_column_with_nothing_in_it(void **state)
{
    (void)state;
    static const es_column column[] = {{.head = "name"}, {.head = "label", .optional = true}, {.head = "x"}};
    earshot_text text = {0};
    es_table *table = es_table_new(column, 3);
    for (int i = 0; i < 2; i++) {
        es_table_put(table, "%s", "hall");
        es_table_put(table, "%s", "");
        es_table_put(table, "%d", 17 + i);
    }
    es_table_write(table, 80, &text);
    assert_string_equal(text.data, "name  x\nhall  17\nhall  18\n");
    es_table_free(table);
    earshot_text_clear(&text);
}

static void never_cuts_a_number_and_keeps_within_the_width(void **state)
{
    (void)state;
    for (unsigned width = 26; width <= 100; width++) {
        char *text = made(width);
        assert_non_null(strstr(text, "-1234.56"));
        for (const char *line = text; *line; line = strchr(line, '\n') + 1)
            assert_true(strcspn(line, "\n") <= width + 1); /* one two-byte letter */
        free(text);
    }
}

static void cuts_by_letters_not_bytes(void **state)
{
    (void)state;
    earshot_text text = {0};
    es_text_cut("\xc3\xa4\xc3\xb6\xc3\xbc\xc3\x9f\xc3\xa9\xc3\xa8", 12, 5, &text);
    assert_string_equal(text.data, "\xc3\xa4\xc3\xb6...");
    earshot_text_clear(&text);
}

static void wraps_words_under_the_first(void **state)
{
    (void)state;
    earshot_text text = {0};
    es_wrap("  R ", "one two three four", 14, &text);
    assert_string_equal(text.data, "  R one two\n    three four\n");
    earshot_text_clear(&text);
}

static void a_word_longer_than_the_line_stands_alone(void **state)
{
    (void)state;
    earshot_text text = {0};
    es_wrap("", "a verylongwordindeed b", 8, &text);
    assert_string_equal(text.data, "a\nverylongwordindeed\nb\n");
    earshot_text_clear(&text);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(shows_everything_where_there_is_room),
        cmocka_unit_test(takes_the_longest_wording_that_fits),
        cmocka_unit_test(drops_the_optional_column_before_it_cuts_too_deep),
        cmocka_unit_test(leaves_out_an_optional_column_with_nothing_in_it),
        cmocka_unit_test(never_cuts_a_number_and_keeps_within_the_width),
        cmocka_unit_test(cuts_by_letters_not_bytes),
        cmocka_unit_test(wraps_words_under_the_first),
        cmocka_unit_test(a_word_longer_than_the_line_stands_alone),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "support/check.h"

#include <string.h>

#include "survey/csv_rows.h"

static es_csv_reader READER;
static es_csv_row ROW;

static void start(const char *text)
{
    READER = es_csv_start(text, strlen(text));
}

static void check_field(size_t i, const char *expected, unsigned line, unsigned column)
{
    char value[200];
    assert_true(i < ROW.n);
    const size_t n = es_csv_value(&ROW.field[i], value);
    value[n] = '\0';
    assert_string_equal(value, expected);
    assert_int_equal(ROW.field[i].line, line);
    assert_int_equal(ROW.field[i].column, column);
}

static void next_row(size_t fields)
{
    assert_true(es_csv_next(&READER, &ROW));
    assert_int_equal(ROW.n, fields);
    assert_int_equal(ROW.fault, ES_CSV_GOOD);
}

static void every_line_end_ends_a_row(void **state)
{
    (void)state;
    static const char *const TEXT[] = {"a,bc\nd,e\n", "a,bc\r\nd,e\r\n", "a,bc\rd,e\r", "a,bc\nd,e",
                                       "\xEF\xBB\xBF\x61,bc\r\n\r\n\nd,e"};
    for (size_t i = 0; i < sizeof TEXT / sizeof TEXT[0]; i++) {
        start(TEXT[i]);
        next_row(2);
        check_field(0, "a", 1, 1);
        check_field(1, "bc", 1, 3);
        next_row(2);
        check_field(0, "d", i == 4 ? 4 : 2, 1);
        check_field(1, "e", i == 4 ? 4 : 2, 3);
        assert_false(es_csv_next(&READER, &ROW));
    }
}

static void quoted_fields_hold_anything(void **state)
{
    (void)state;
    start("\"a,b\",\"say \"\"no\"\"\",\"two\r\nlines\",\"\"\nx");
    next_row(4);
    check_field(0, "a,b", 1, 1);
    check_field(1, "say \"no\"", 1, 7);
    check_field(2, "two\r\nlines", 1, 20);
    check_field(3, "", 2, 8);
    next_row(1);
    check_field(0, "x", 3, 1);
}

static void blanks_around_a_bare_field_do_not_count(void **state)
{
    (void)state;
    start(" a b ,\t,\" c \"");
    next_row(3);
    check_field(0, "a b", 1, 1);
    check_field(1, "", 1, 7);
    check_field(2, " c ", 1, 9);
}

static void columns_are_characters(void **state)
{
    (void)state;
    start("T\xC3\xBCr,x");
    next_row(2);
    check_field(1, "x", 1, 5);
}

static void empty_fields_are_fields(void **state)
{
    (void)state;
    start(",,\n");
    next_row(3);
    assert_false(es_csv_next(&READER, &ROW));
}

static void check_fault(const char *text, es_csv_fault fault, unsigned line, unsigned column)
{
    start(text);
    assert_true(es_csv_next(&READER, &ROW));
    assert_int_equal(ROW.fault, fault);
    assert_int_equal(ROW.fault_line, line);
    assert_int_equal(ROW.fault_column, column);
}

static void faults_have_a_place(void **state)
{
    (void)state;
    check_fault("a,b\"c\nd", ES_CSV_STRAY_QUOTE, 1, 4);
    next_row(1);
    check_field(0, "d", 2, 1);
    check_fault("\"a\"b,c\nd", ES_CSV_STRAY_QUOTE, 1, 4);
    next_row(1);
    check_fault("a,\"bc\nd", ES_CSV_OPEN_QUOTE, 1, 3);
    assert_false(es_csv_next(&READER, &ROW));
    char many[2 * ES_CSV_MOST_FIELDS + 4];
    memset(many, ',', sizeof many);
    many[sizeof many - 1] = '\0';
    check_fault(many, ES_CSV_TOO_MANY, 1, ES_CSV_MOST_FIELDS + 1);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_line_end_ends_a_row),
        cmocka_unit_test(quoted_fields_hold_anything),
        cmocka_unit_test(blanks_around_a_bare_field_do_not_count),
        cmocka_unit_test(columns_are_characters),
        cmocka_unit_test(empty_fields_are_fields),
        cmocka_unit_test(faults_have_a_place),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "support/check.h"

#include <string.h>

#include "base/utf8.h"

static void every_character_is_read(void **state)
{
    (void)state;
    static const struct {
        const char *text;
        size_t length;
        uint32_t code;
    } READ[] = {{"A", 1, 0x41},
                {"\x7F", 1, 0x7F},
                {"\xC2\x80", 2, 0x80},
                {"\xDF\xBF", 2, 0x7FF},
                {"\xE0\xA0\x80", 3, 0x800},
                {"\xEF\xBF\xBF", 3, 0xFFFF},
                {"\xED\x9F\xBF", 3, 0xD7FF},
                {"\xF0\x90\x80\x80", 4, 0x10000},
                {"\xF4\x8F\xBF\xBF", 4, 0x10FFFF}};
    for (size_t i = 0; i < sizeof READ / sizeof READ[0]; i++) {
        uint32_t code = 1;
        assert_int_equal(es_utf8_read(READ[i].text, strlen(READ[i].text), &code), READ[i].length);
        assert_int_equal(code, READ[i].code);
        for (size_t n = 0; n < READ[i].length; n++) assert_int_equal(es_utf8_read(READ[i].text, n, &code), 0);
    }
}

static void what_is_none_is_refused(void **state)
{
    (void)state;
    static const char *const NONE[] = {"\x80",
                                       "\xBF",
                                       "\xC0\x80",
                                       "\xC1\xBF",
                                       "\xC3"
                                       "A",
                                       "\xE0\x9F\xBF",
                                       "\xED\xA0\x80",
                                       "\xED\xBF\xBF",
                                       "\xE2\x82"
                                       "A",
                                       "\xF0\x8F\xBF\xBF",
                                       "\xF4\x90\x80\x80",
                                       "\xF5\x80\x80\x80",
                                       "\xFF",
                                       "\xFE"};
    for (size_t i = 0; i < sizeof NONE / sizeof NONE[0]; i++) {
        uint32_t code = 7;
        assert_int_equal(es_utf8_read(NONE[i], strlen(NONE[i]), &code), 0);
        assert_int_equal(code, 7);
    }
}

static void characters_are_counted(void **state)
{
    (void)state;
    assert_int_equal(es_utf8_count("", 0), 0);
    assert_int_equal(es_utf8_count("G\xC3\xA4ste", 6), 5);
    assert_int_equal(es_utf8_count("a\xFF\xC3", 3), 3);
    assert_int_equal(es_utf8_count("a\0b", 3), 3);
}

static void a_line_has_no_control_characters(void **state)
{
    (void)state;
    assert_true(es_utf8_is_line("", 0));
    assert_true(es_utf8_is_line("G\xC3\xA4ste ~", 8));
    assert_false(es_utf8_is_line("a\nb", 3));
    assert_false(es_utf8_is_line("a\0b", 3));
    assert_false(es_utf8_is_line("\x1b[31m", 5));
    assert_false(es_utf8_is_line("\x7f", 1));
    assert_false(es_utf8_is_line("\xC2\x85", 2)); /* U+0085, next line */
    assert_true(es_utf8_is_line("\xC2\xA0", 2));  /* U+00A0, a space that does not break */
    assert_false(es_utf8_is_line("K\xFC"
                                 "che",
                                 5));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_character_is_read),
        cmocka_unit_test(what_is_none_is_refused),
        cmocka_unit_test(characters_are_counted),
        cmocka_unit_test(a_line_has_no_control_characters),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

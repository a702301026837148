/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "support/check.h"

#include <stdlib.h>
#include <string.h>

#include "plan/lexer.h"

static void next_is(es_lines *lines, const char *expected)
{
    const char *line;
    size_t n;
    assert_true(es_next_line(lines, &line, &n));
    assert_int_equal(n, strlen(expected));
    assert_memory_equal(line, expected, n);
}

static void ends(es_lines *lines)
{
    const char *line;
    size_t n;
    assert_false(es_next_line(lines, &line, &n));
}

static void lines_end_in_lf_crlf_or_cr(void **state)
{
    (void)state;
    const char text[] = "\xEF\xBB\xBFplan 1\r\n\n  wall\nlast";
    es_lines lines = es_lines_of(text, sizeof text - 1);
    next_is(&lines, "plan 1");
    next_is(&lines, "");
    next_is(&lines, "  wall");
    next_is(&lines, "last");
    assert_int_equal(lines.line, 4);
    ends(&lines);
    lines = es_lines_of("a\n", 2);
    next_is(&lines, "a");
    ends(&lines);
    lines = es_lines_of("", 0);
    ends(&lines);
    const char mixed[] = "one\r\rthree\r\r\nfive\n\rseven\r";
    lines = es_lines_of(mixed, sizeof mixed - 1);
    next_is(&lines, "one");
    next_is(&lines, "");
    next_is(&lines, "three");
    next_is(&lines, "");
    next_is(&lines, "five");
    next_is(&lines, "");
    next_is(&lines, "seven");
    assert_int_equal(lines.line, 7);
    ends(&lines);
}

static es_tokens tokens;

static void token_is(size_t i, const char *key, const char *value, unsigned column, unsigned width)
{
    assert_true(i < tokens.n);
    const es_token *t = &tokens.token[i];
    assert_int_equal(t->n_key, strlen(key));
    assert_memory_equal(t->n_key ? t->key : "", key, t->n_key);
    assert_int_equal(t->n_value, strlen(value));
    assert_memory_equal(t->value, value, t->n_value);
    assert_int_equal(t->column, column);
    assert_int_equal(t->width, width);
}

static void fields_are_cut(void **state)
{
    (void)state;
    const char line[] = "  device \tpir  6.0,4.0 at=2.3m label=\"G\xC3\xA4ste # 2\" x=a=b # at=1";
    es_lex_fault fault;
    assert_int_equal(es_lex(line, sizeof line - 1, &tokens, &fault), ES_LEX_OK);
    assert_int_equal(tokens.n, 6);
    token_is(0, "", "device", 3, 6);
    token_is(1, "", "pir", 11, 3);
    token_is(2, "", "6.0,4.0", 16, 7);
    token_is(3, "at", "2.3m", 24, 7);
    token_is(4, "label", "G\xC3\xA4ste # 2", 32, 17);
    token_is(5, "x", "a=b", 50, 5);
    assert_true(tokens.token[4].quoted);
    assert_int_equal(tokens.token[3].value_column, 27);
    assert_int_equal(tokens.token[4].value_column, 39);
    assert_int_equal(tokens.end_column, 55);
}

static void empty_lines_have_no_fields(void **state)
{
    (void)state;
    es_lex_fault fault;
    assert_int_equal(es_lex("", 0, &tokens, &fault), ES_LEX_OK);
    assert_int_equal(tokens.n, 0);
    assert_int_equal(es_lex(" \t # \xFF\0 x", 9, &tokens, &fault), ES_LEX_OK);
    assert_int_equal(tokens.n, 0);
    assert_int_equal(es_lex("a#b", 3, &tokens, &fault), ES_LEX_OK);
    assert_int_equal(tokens.n, 1);
    assert_int_equal(es_lex("x \"\"", 4, &tokens, &fault), ES_LEX_OK);
    assert_int_equal(tokens.n, 2);
    assert_int_equal(tokens.token[1].n_value, 0);
}

typedef struct faulty {
    const char *line;
    unsigned column, width;
    const char *message;
} faulty;

static void faults_have_a_place_and_a_message(void **state)
{
    (void)state;
    static const faulty FAULTS[] = {
        {"site \"Hall", 6, 5, "the quoted text that starts here has no end"},
        {"site \"Hall\\\"", 6, 7, "the quoted text that starts here has no end"},
        {"site \"a\"b", 9, 1, "the quoted text ends, but the field goes on"},
        {"site a\"b\"", 7, 1, "a quotation mark stands inside a word"},
        {"wall stud from= 1", 11, 5, "there is no value behind '='"},
        {"wall stud from = 1", 16, 1, "there is no key in front of '='"},
        {"wall stud =1", 11, 1, "there is no key in front of '='"},
        {"site \"a\tb\"", 8, 1, "a tab stands inside quoted text"},
        {"wall\x1B[31m", 5, 1, "control character U+001B stands in the text"},
        {"site \"\xC2\x9B\"", 7, 1, "control character U+009B stands in the text"},
        {"site \"K\xFC"
         "che\"",
         8, 1, "byte 0xFC is not UTF-8"},
        {"\xFF\xFE", 1, 1, "byte 0xFF is not UTF-8"},
        {"wall\xC2\xA0stud", 5, 1, "a special space stands here"},
        {"site \xE2\x80\x9Chall\xE2\x80\x9D", 6, 1, "a typographic quotation mark stands here"},
        {"device a\xE2\x80\x93"
         "b",
         9, 1, "a special dash stands here"},
        {"wall \xEF\xBB\xBFstud", 6, 1, "a byte order mark stands here"},
    };
    for (size_t i = 0; i < sizeof FAULTS / sizeof FAULTS[0]; i++) {
        es_lex_fault fault;
        assert_int_equal(es_lex(FAULTS[i].line, strlen(FAULTS[i].line), &tokens, &fault), ES_LEX_FAULT);
        assert_string_equal(fault.message, FAULTS[i].message);
        assert_int_equal(fault.column, FAULTS[i].column);
        assert_int_equal(fault.width, FAULTS[i].width);
        assert_false(fault.hopeless);
        assert_true(strlen(fault.hint) > 0);
    }
}

static void a_zero_byte_is_hopeless(void **state)
{
    (void)state;
    es_lex_fault fault;
    assert_int_equal(es_lex("p\0l", 3, &tokens, &fault), ES_LEX_FAULT);
    assert_true(fault.hopeless);
    assert_int_equal(fault.column, 2);
}

static void backslashes_are_taken_out(void **state)
{
    (void)state;
    const char line[] = "site \"24\\\" door, C:\\\\x\\y\"";
    es_lex_fault fault;
    char text[32] = "";
    assert_int_equal(es_lex(line, sizeof line - 1, &tokens, &fault), ES_LEX_OK);
    const size_t n = es_unquote(tokens.token[1].value, tokens.token[1].n_value, text);
    assert_string_equal(text, "24\" door, C:\\x\\y");
    assert_int_equal(n, strlen(text));
}

static int free_tokens(void **state)
{
    (void)state;
    free(tokens.token);
    return 0;
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(lines_end_in_lf_crlf_or_cr), cmocka_unit_test(fields_are_cut),
        cmocka_unit_test(empty_lines_have_no_fields), cmocka_unit_test(faults_have_a_place_and_a_message),
        cmocka_unit_test(a_zero_byte_is_hopeless),    cmocka_unit_test(backslashes_are_taken_out),
    };
    return cmocka_run_group_tests(tests, NULL, free_tokens);
}
